"""Places of a table with a header: ``id``, ``name``, ``lat``, ``lon``, ``elevation``, ``unit``, ``datum``; of
obstacles ``top`` in place of ``elevation``.

Commas, semicolons or tabs stand between the values; positions and elevations are written as in a mission.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator

from briefgen.core.diagnostics import Span
from briefgen.mission.inputs.placed import Finds, HeightOf, Text
from briefgen.units.nearest import nearest_words

MOST_COLUMNS = 200  # of a table of places: our own bound
_OTHER_WORDS = {"latitude": "lat", "longitude": "lon", "long": "lon"}


def read_csv(text: str, file: str, height: HeightOf = "elevation") -> Finds:
    """Every row as a point; columns of other names are left out."""
    finds = Finds(file, height)
    lines = _lines(text, finds)
    line, header = next(lines, (1, []))
    columns = _columns(header, line, finds)
    if not columns or finds.problems:
        return finds
    raw = re.split("\r\n|\r|\n", text)
    for line, row in lines:
        if finds.full:
            break
        span = finds.span(line)
        if len(row) != len(header):
            message = f"{len(row)} values here, {len(header)} columns in the header"
            why = "a value would be read as that of another column"
            finds.error(message, span, why, "put quotes around a value that has a separator in it")
            continue
        where = _position_in(row, raw[line - 1], columns)
        at = Span(finds.file, line, where[0], line, where[1]) if where else span
        _row({name: row[i] for name, i in columns.items() if row[i]}, span, at, finds)
    return finds


def _position_in(row: list[str], raw: str, columns: dict[str, int]) -> tuple[int, int] | None:
    """From which column of a line to before which its position stands; None where quotes move the values."""
    first, last = sorted((columns["lat"], columns["lon"]))
    end = sum(map(len, row[: last + 1])) + last + 1
    begin = sum(map(len, row[:first])) + first + 1
    return (begin, end) if sum(map(len, row)) + len(row) - 1 == len(raw) and begin < end else None


def _row(cells: dict[str, str], span: Span, at: Span, finds: Finds) -> None:
    name, height = finds.text(cells.get("name", ""), span), cells.get(finds.height_of, "")
    if datum := finds.text(cells.get("datum", ""), span):
        finds.datum(datum.text, datum.span)
    height = f"{height} {cells.get('unit', '')}" if height.strip() else ""
    position = finds.text(f"{cells.get('lat', '')} {cells.get('lon', '')}", at) or Text("", at)
    id = None if name and finds.height_of == "top" else finds.text(cells.get("id", ""), span)
    finds.spot(id or name, position, name, finds.text(height, span))


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
    if len(header) > MOST_COLUMNS:
        message, why = f"the header has {len(header)} columns", f"the most is {MOST_COLUMNS}"
        finds.error(message, finds.span(line), why, "keep the columns of places alone")
        return {}
    names = [cell.strip().lower() for cell in header]
    names = [_OTHER_WORDS.get(name, name) for name in names]
    known = ("id", "name", "lat", "lon", finds.height_of, "unit", "datum")
    span = finds.span(line)
    for name in names:
        if name not in known and (meant := nearest_words(name, known)):
            why = "what is not known is not read"
            finds.error(f'there is no column "{name[:60]}"', span, why, f"did you mean {meant[0]}?")
        elif name in known and names.count(name) > 1:
            why, help = "only one of them would be read", "take one of them out"
            finds.error(f'there are several columns "{name}"', span, why, help)
            return {}
    needed = ["lat", "lon", *(["top"] if finds.height_of == "top" else [])]
    missing = [name for name in needed if name not in names]
    if not {"id", "name"} & {*names}:
        missing.insert(0, "id")
    if missing:
        message = f"the header has no {' and no '.join(missing)}"
        why = "the first line of the table says what stands in which column"
        like = f"id,name,lat,lon,{finds.height_of},unit"
        finds.error(message, span, why, f"begin the file with a header, such as {like}")
    return {name: i for i, name in enumerate(names) if name in known}
