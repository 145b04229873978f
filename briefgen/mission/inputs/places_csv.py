"""Places of a table with a header: ``id``, ``name``, ``lat``, ``lon``, ``elevation``, ``unit``, ``datum``.

Commas, semicolons or tabs stand between the values; positions and elevations are written as in a mission.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator

from briefgen.mission.inputs.placed import Finds, Text
from briefgen.units.nearest import nearest_words

COLUMNS = ("id", "name", "lat", "lon", "elevation", "unit", "datum")
_OTHER_WORDS = {"latitude": "lat", "longitude": "lon", "long": "lon"}
_HEADER = "id,name,lat,lon,elevation,unit"


def read_csv(text: str, file: str) -> Finds:
    """Every row as a place; columns of other names are left out."""
    finds = Finds(file)
    lines = _lines(text, finds)
    line, header = next(lines, (1, []))
    columns = _columns(header, line, finds)
    if not columns or finds.problems:
        return finds
    for line, row in lines:
        span = finds.span(line)
        if len(row) != len(header):
            message = f"{len(row)} values here, {len(header)} columns in the header"
            why = "a value would be read as that of another column"
            finds.error(message, span, why, "put quotes around a value that has a separator in it")
            continue
        texts = {name: finds.text(row[i], span) for name, i in columns.items()}
        _row(texts, line, finds)
    return finds


def _row(texts: dict[str, Text | None], line: int, finds: Finds) -> None:
    name, elevation, unit = texts.get("name"), texts.get("elevation"), texts.get("unit")
    if datum := texts.get("datum"):
        finds.datum(datum.text, datum.span)
    halves = [texts[half] for half in ("lat", "lon")]
    if elevation and unit:
        elevation = Text(f"{elevation.text} {unit.text}", elevation.span)
    position = Text(" ".join(half.text if half else "" for half in halves).strip(), finds.span(line))
    finds.spot(texts.get("id") or name, position, name, elevation)


def _lines(text: str, finds: Finds) -> Iterator[tuple[int, list[str]]]:
    """Each row that has a value, with the line on which it ends."""
    first = next((line for line in text.splitlines() if line.strip()), "")
    separator = max(",;\t", key=first.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=separator, strict=True)
    try:
        for row in reader:
            if any(cell.strip() for cell in row):
                yield reader.line_num, row
    except csv.Error as problem:
        help = "look for a quote that is not closed, or stands inside a value"
        finds.broken("table", finds.span(reader.line_num), str(problem), help)


def _columns(header: list[str], line: int, finds: Finds) -> dict[str, int]:
    """At which position each known column stands; empty where the table has no rows of places."""
    names = [cell.strip().lower() for cell in header]
    names = [_OTHER_WORDS.get(name, name) for name in names]
    span = finds.span(line)
    for name in names:
        if name not in COLUMNS and (meant := nearest_words(name, COLUMNS)):
            why = "what is not known is not read"
            finds.error(f'there is no column "{name[:60]}"', span, why, f"did you mean {meant[0]}?")
        elif name in COLUMNS and names.count(name) > 1:
            why, help = "only one of them would be read", "take one of them out"
            finds.error(f'there are several columns "{name}"', span, why, help)
            return {}
    missing = [name for name in ("lat", "lon") if name not in names]
    if not {"id", "name"} & {*names}:
        missing.insert(0, "id")
    if missing:
        message = f"the header has no {' and no '.join(missing)}"
        why = "the first line of the table says what stands in which column"
        finds.error(message, span, why, f"begin the file with a header, such as {_HEADER}")
    return {name: i for i, name in enumerate(names) if name in COLUMNS}
