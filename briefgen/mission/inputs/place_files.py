"""Places and areas that stand in files beside the mission: ``places: {files: [unit.gpx, fields.csv]}`` and
``boundary: {file: area.kml, name: Moorland}``.

What a file holds takes the place of its name in the text tree, as it would be typed, with places that point
into the file. So it is checked, compared, approved and fingerprinted like all that is typed.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path, PurePath
from typing import TypeAlias

from briefgen.core.diagnostics import Diagnostic, KeyPath, Related, Span, has_errors
from briefgen.core.records import record
from briefgen.mission.inputs.placed import MOST_FILES, MOST_PLACES, PLACES, Finds, Outline, Spot
from briefgen.mission.inputs.places_csv import read_csv
from briefgen.mission.inputs.places_geojson import read_geojson
from briefgen.mission.inputs.places_xml import read_gpx, read_kml
from briefgen.mission.read.beside import named_here, printed_name, read_beside, refused
from briefgen.mission.read.characters import FileKind, check_characters, decode
from briefgen.mission.read.composer import MAXIMUM_ITEMS
from briefgen.mission.read.flow import FLOW
from briefgen.mission.read.tree import Source, Spans, TextTree
from briefgen.mission.schema.base import ID_PATTERN, Unreadable, read_place_id, suggestion
from briefgen.units.grammar import listed

FILES = "files"
Reader: TypeAlias = Callable[[str, str], Finds]
READERS: Mapping[str, Reader] = {
    ".gpx": read_gpx,
    ".kml": read_kml,
    ".geojson": read_geojson,
    ".json": read_geojson,
    ".csv": read_csv,
}


@record
class Kind:
    """Files of one kind: the reader of each ending of their names, and what to write in place of a name that
    is none of theirs."""

    file: FileKind
    readers: Mapping[str, Reader]
    help: str


WITH_AREAS = (".kml", ".geojson", ".json")
_POINTS = "name a .gpx, .kml, .geojson or .csv file below this folder, such as fields.csv"
_AREAS = "name a .kml or .geojson file below this folder, such as area.kml"


def include_place_files(source: Source, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    """The source with the places and boundaries of the files that it names."""
    source, problems = _with_places(source, folder)
    for path in _boundaries(source):
        source, found = _with_boundary(source, path, folder)
        problems += found
    return source, problems


# ---------------------------------------------------------------- places


def _with_places(source: Source, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    typed = source.at(("places",))
    if not isinstance(typed, dict) or FILES not in typed:
        return source, []
    names, where = typed[FILES], source.spans.value(("places", FILES))
    source = source.with_value(("places",), {id: place for id, place in typed.items() if id != FILES})
    problems = [] if names is None else no_names(names, where, "fields.csv")
    for i, name in enumerate(names) if isinstance(names, list) and not problems else ():
        assert isinstance(name, str)
        span = source.spans.value(("places", FILES, i))
        finds, text, found = _read(name, source, folder, span, tuple(READERS))
        found += [_no_points(finds, name)] if finds and not finds.spots and not found else []
        source = source if finds is None else replace(source, texts={**source.texts, finds.file: text})
        crowded = _too_many(source, finds, name) if finds else None
        found += [crowded] if crowded else []
        for spot in finds.spots if finds and not crowded else ():
            source, double = _with_spot(source, spot)
            found += double
        problems += named_here(found, span)
    if names is None or has_errors(problems):  # what refers to a place that is lost is no mistake of its own
        source = replace(source, doubtful=source.doubtful | {("places",)})
    return source, problems


def no_names(names: TextTree, where: Span | None, like: str) -> list[Diagnostic]:
    """What is wrong with a list of files; ``like``: a name that would do."""
    if isinstance(names, list) and 0 < len(names) <= MOST_FILES and all(isinstance(n, str) for n in names):
        twice = {str(name) for name in names if names.count(name) > 1}
        help = "name each file once"
        return [refused("place-file", f"{name} stands twice here", where, help) for name in sorted(twice)]
    example = names if isinstance(names, str) else like
    message = f"`{FILES}` wants a list of names of files, {MOST_FILES} at most"
    return [refused("place-file", message, where, f"write `{FILES}: [{example}]`")]


def _no_points(finds: Finds, name: str) -> Diagnostic:
    message = f"{name} has no place in it"
    why = "only points with names are places: no routes, no tracks, no outlines"
    return Diagnostic(
        "place-file", "error", message, finds.span(1), why, "take its name out, or give it points"
    )


def _too_many(source: Source, finds: Finds, name: str) -> Diagnostic | None:
    """Refused before it is checked: every place is held against every other."""
    number, others = len(finds.spots), source.at(("places",))
    if number + len(others or ()) <= MOST_PLACES:
        return None
    message = f"{name} has {number} places, with the others {number + len(others or ())}"
    why, help = f"the most is {MOST_PLACES} in a mission", "keep in it those of this mission"
    return Diagnostic("place-file", "error", message, finds.spots[-1].id.span, why, help)


def _with_spot(source: Source, spot: Spot) -> tuple[Source, list[Diagnostic]]:
    """The source with one more place; one whose id is taken is an error that names both."""
    typed = spot.id.text
    id = typed.upper() if re.fullmatch(ID_PATTERN, typed.upper()) and typed.isascii() else typed
    try:
        read_place_id(id)
    except Unreadable as wrong:
        return source, [Diagnostic("place-file", "error", wrong.message, spot.id.span, wrong.why, wrong.help)]
    path: KeyPath = ("places", id)
    places = source.at(("places",))
    assert isinstance(places, dict)
    if id in places:
        first = source.spans.key(path)
        related = (Related("it stands here as well", first),) if first else ()
        message, why = f"the place {id} stands twice", "which of the two is meant is not known"
        help = "take one of the two out, or give it another id"
        return source, [Diagnostic("double-place", "error", message, spot.id.span, why, help, related)]
    texts = {"position": spot.position, "elevation": spot.elevation}
    if spot.name is not None and spot.name.text != id:
        texts["name"] = spot.name
    given = {key: text for key, text in texts.items() if text is not None}
    at = {(*path, key): text.span for key, text in given.items()}
    spans = Spans(
        {**source.spans.keys, path: spot.id.span, **at}, {**source.spans.values, path: spot.id.span, **at}
    )
    place: TextTree = {key: text.text for key, text in given.items()}
    return replace(source.with_value(("places",), {**places, id: place}), spans=spans), []


# ---------------------------------------------------------------- the boundary of an area


def _boundaries(source: Source) -> Iterator[KeyPath]:
    """The key path of every boundary that names a file, also in the sections of a flow."""
    flow = source.at((FLOW,))
    sections: list[KeyPath] = [(), *((FLOW, i) for i in range(len(flow) if isinstance(flow, list) else 0))]
    for section in sections:
        path = (*section, "training", "area", "boundary")
        if isinstance(source.at(path), dict):
            yield path


def _with_boundary(source: Source, path: KeyPath, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    part = source.at(path)
    assert isinstance(part, dict)
    file, name = part.get("file"), part.get("name")
    span = source.spans.value((*path, "file"))
    if not isinstance(file, str) or not isinstance(name, str | None) or part.keys() - {"file", "name"}:
        help = "for example `boundary: {file: area.kml, name: Moorland}`"
        message = "`boundary` wants a list of positions, or `file` and the `name` of an outline in it"
        return source.with_value(path, None), [refused("place-file", message, span, help)]
    finds, text, found = _read(file, source, folder, span, WITH_AREAS)
    chosen = None
    if finds is not None and not has_errors(found):
        chosen = _chosen(finds, name, source.spans.value((*path, "name")) or span)
        source = replace(source, texts={**source.texts, finds.file: text})
    if isinstance(chosen, Diagnostic):
        found = [chosen]
    if not isinstance(chosen, Outline):
        return source.with_value(path, None), named_here(found, span)
    corners = {(*path, i): corner.span for i, corner in enumerate(chosen.corners)}
    kept = {key: span for key, span in source.spans.values.items() if key[:-1] != path}
    spans = replace(source.spans, values={**kept, **corners})
    source = source.with_value(path, [corner.text for corner in chosen.corners])
    return replace(source, spans=spans), found


def _chosen(finds: Finds, name: str | None, span: Span | None) -> Outline | Diagnostic:
    """The one outline of that name, or the only one."""
    names = list(dict.fromkeys(outline.name.text for outline in finds.outlines if outline.name))
    fitting = [o for o in finds.outlines if name is None or (o.name and o.name.text == name)]
    code, why = "place-file", "an area has one boundary"
    if len(fitting) == 1 and len(fitting[0].corners) > MAXIMUM_ITEMS:
        message = f"this outline has {len(fitting[0].corners)} corners"
        why, help = "each of them is worked with", "draw the area with 100 at most"
        return Diagnostic(code, "error", message, fitting[0].span, why, help)
    if len(fitting) == 1 and not fitting[0].refused:
        return fitting[0]
    if len(fitting) == 1:
        message, help = f"this outline {fitting[0].refused}", "draw the area as one outline without holes"
        return Diagnostic(code, "error", message, fitting[0].span, why, help)
    if fitting and name is not None:
        related = (Related("it stands here as well", fitting[0].span),)
        message, help = f'the outline "{name}" stands twice', "give one of the two another name"
        return Diagnostic(code, "error", message, fitting[1].span, why, help, related)
    known = f"its outlines are {listed(names)}" if names else "give its outlines names"
    if not finds.outlines:
        known = "export the area as a polygon, or type its corners"
    message = f'it has no outline "{name}"' if name is not None else "it has several outlines"
    message = message if finds.outlines else "it has no outline"
    help = (suggestion(name, names) if name else "") or known
    return Diagnostic(code, "error", message, span, why, help)


# ---------------------------------------------------------------- one file


def _read(
    name: str, source: Source, folder: Path | None, span: Span | None, suffixes: tuple[str, ...]
) -> tuple[Finds | None, str, list[Diagnostic]]:
    """What a file holds, its text, and what is wrong with it; None where it could not be read at all."""
    readers = {suffix: READERS[suffix] for suffix in suffixes}
    kind = Kind(PLACES, readers, _AREAS if suffixes == WITH_AREAS else _POINTS)
    finds, text, problems = read_points(name, source, folder, span, kind)
    if finds is not None and finds.height is not None and suffixes != WITH_AREAS:
        problems.append(_no_heights(finds.height, name))
    return finds, text, problems


def read_points(
    name: str,
    source: Source,
    folder: Path | None,
    span: Span | None,
    kind: Kind,
) -> tuple[Finds | None, str, list[Diagnostic]]:
    """What a file of points holds, its text, and what is wrong with it; None where it could not be read at
    all."""
    data = read_beside(name, folder, tuple(kind.readers), kind.file)
    if isinstance(data, str):
        return None, "", [refused("place-file", data, span, kind.help)]
    printed = printed_name(PurePath(source.name), name)
    text, problems = decode(data, printed, kind.file)
    if text is None:
        return None, "", problems
    clean, found = check_characters(text, printed)
    problems += found
    if not clean.strip():
        finds = Finds(printed)
        finds.error(f"{name} is empty", finds.span(1), "there is nothing to read in it", "take its name out")
    elif has_errors(problems):
        finds = Finds(printed)
    else:
        finds = kind.readers[PurePath(name).suffix](clean, printed)
    return finds, clean, [*problems, *finds.problems]


def _no_heights(span: Span, name: str) -> Diagnostic:
    message = f"the heights beside the positions of {name} are not read"
    why = "such a file does not say whether they are of the ground, and above which sea level"
    help = "type the place, or list it in a .csv with its elevation, where a gate needs one"
    return Diagnostic("place-heights", "note", message, span, why, help)
