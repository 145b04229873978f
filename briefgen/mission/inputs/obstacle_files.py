"""Obstacles that stand in files beside the mission: ``obstacles: {files: [obstacles.csv], ...}``.

Points of GeoJSON and rows of a CSV, by the readers of places; each with a ``top`` above the sea in the place
of an elevation. They stay out of the text tree, being thousands: it holds the name of a file and the
fingerprint of what was read, so that the plan's changes with it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import lru_cache, partial
from pathlib import Path
from typing import TYPE_CHECKING

from briefgen.airmath.precision import typed_uncertainty_nm
from briefgen.core.diagnostics import Diagnostic, Span, has_errors
from briefgen.mission.inputs.ground import GroundFiles
from briefgen.mission.inputs.place_files import FILES, Kind, Reader, no_names, read_points
from briefgen.mission.inputs.placed import MOST_ERRORS, MOST_POINTS, Finds, Text
from briefgen.mission.inputs.places_csv import read_csv
from briefgen.mission.inputs.places_geojson import read_geojson, read_in_place
from briefgen.mission.read.beside import named_here
from briefgen.mission.read.characters import FileKind
from briefgen.mission.read.tree import Source, TextTree
from briefgen.units.grammar import Refusal
from briefgen.units.parse_heights import parse_elevation
from briefgen.units.parse_places import parse_position, quick_position

if TYPE_CHECKING:
    from briefgen.mission.inputs.obstacle_list import Row

SECTION, NAME, CONTENT = "obstacles", "name", "content"
MOST_OBSTACLES = MOST_POINTS  # in one mission
OBSTACLES = FileKind("file of obstacles", 8 * 1024 * 1024, "cut it down to where the sortie is flown")
_JSON = (".geojson", ".json")
_READERS: Mapping[str, Reader] = {
    ".csv": partial(read_csv, height="top"),
    **dict.fromkeys(_JSON, partial(read_geojson, height="top")),
}
_NAMES = "name a .csv or .geojson file below this folder, such as obstacles.csv"
_TOP = "above the sea, its unit and datum behind it: 1290 ft MSL, or 1290 and a unit `ft MSL`"


def include_obstacle_files(source: Source, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    """The source with the obstacles of the files that it names."""
    typed, path = source.at((SECTION,)), (SECTION, FILES)
    if not isinstance(typed, dict) or typed.get(FILES) is None:
        return source, []
    where, given = source.spans.value(path), typed[FILES]
    if (
        source.ground is not None
        and source.ground.obstacles is not None
        and isinstance(given, list)
        and all(isinstance(file, dict) for file in given)
    ):
        return source, []  # read already, those of a book from beside the book
    names = [name_of(file) for file in given] if isinstance(given, list) else given
    problems = no_names(names, where, "obstacles.csv")
    listed: list[Row] = []
    files: list[TextTree] = []
    for i, name in enumerate(names) if isinstance(names, list) and not problems else ():
        assert isinstance(name, str)
        span = source.spans.value((*path, i))
        kind = Kind(OBSTACLES, _READERS, _NAMES)
        finds, text, found = read_points(name, source, folder, span, kind)
        if finds is not None:
            source = replace(source, texts={**source.texts, finds.file: text})
            rows, wrong = _rows(finds, text, i) if not has_errors(found) else ([], [])
            listed += rows
            found += [*wrong, *_too_many(finds, name, len(listed))]
        files.append({NAME: name, CONTENT: hashlib.sha256(text.encode()).hexdigest()[:16]})
        problems += named_here(found, span)
    if has_errors(problems):
        return source.with_value(path, None), problems
    from briefgen.mission.inputs.obstacle_list import ObstacleList

    ground = replace(source.ground or GroundFiles(), obstacles=ObstacleList(listed))
    return replace(source.with_value(path, files), ground=ground), problems


def name_of(file: TextTree) -> TextTree:
    """The name of a file as it is typed, or as an earlier reading left it."""
    return file.get(NAME) if isinstance(file, dict) and CONTENT in file else file


def _too_many(finds: Finds, name: str, number: int) -> Iterator[Diagnostic]:
    if number > MOST_OBSTACLES:
        message = f"with {name} the mission has more than {MOST_OBSTACLES} obstacles"
        why = "no sortie passes near as many"
        yield Diagnostic("place-file", "error", message, finds.span(1), why, OBSTACLES.too_big)


def _rows(finds: Finds, text: str, number: int) -> tuple[list[Row], list[Diagnostic]]:
    """The obstacles of a file, and what can't be read of them; of GeoJSON it is read anew for its place."""
    rows = list(_listed(finds, number))
    if finds.problems and finds.file.endswith(_JSON):
        finds = read_in_place(text, finds.file, "top")
        rows = list(_listed(finds, number))
    return rows, finds.problems


def _listed(finds: Finds, number: int) -> Iterator[Row]:
    """Every point with its top; what can't be read is told with its line."""
    if not finds.spots and not finds.problems:
        why, help = "only points with a name and a top are obstacles", "take its name out, or give it points"
        finds.error("the file has no obstacle in it", finds.span(1), why, help)
    for spot in finds.spots:
        if len(finds.problems) > MOST_ERRORS:
            return
        where, top_ft = _where(spot.position, finds), _top_ft(spot.elevation, spot.id.span, finds)
        if where is not None and top_ft is not None:
            yield where[0], where[1], top_ft, where[2], number, (spot.name or spot.id).text


def _where(text: Text, finds: Finds) -> tuple[float, float, float] | None:
    """Latitude, longitude, and how exactly they are typed, in nm."""
    if found := quick_position(text.text):
        return found
    try:
        position = parse_position(text.text)
    except Refusal as wrong:
        finds.error(wrong.message, text.span, wrong.why, wrong.help)
        return None
    return position.lat_deg, position.lon_deg, typed_uncertainty_nm(text.text, position)


def _top_ft(top: Text | None, span: Span, finds: Finds) -> float | None:
    if top is None:
        finds.error("this obstacle has no top", span, "how high it is must be known", f"write its top {_TOP}")
        return None
    try:
        return _feet(top.text)
    except Refusal as wrong:
        finds.error(wrong.message, top.span, wrong.why, f"write it {_TOP}")
        return None


@lru_cache(maxsize=4096)
def _feet(text: str) -> float:
    return parse_elevation(text).feet
