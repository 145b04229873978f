"""Tiles of terrain that a mission names: ``terrain: {files: [N42W094.hgt], product: SRTM}``.

First where they lie, beside the mission or beside its book; then, once every place of the sortie is known,
what is in them: near the sortie every cell, elsewhere the highest of each block.
"""

from __future__ import annotations

import hashlib
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span, has_errors
from briefgen.mission.inputs.ground import GroundFiles
from briefgen.mission.inputs.obstacle_files import CONTENT, NAME, name_of
from briefgen.mission.inputs.place_files import FILES
from briefgen.mission.read.beside import find_beside, refused
from briefgen.mission.read.tree import Source, TextTree
from briefgen.units.grammar import Refusal
from briefgen.units.parse_places import parse_position
from briefgen.units.values import Position

if TYPE_CHECKING:
    from briefgen.mission.inputs.tiles import Near, Tile

SECTION, CODE = "terrain", "terrain-file"
PATH: KeyPath = (SECTION, FILES)
SUFFIXES = (".hgt", ".HGT", ".asc", ".tif", ".tiff")
MOST_TILES = 40  # our own bound
_HELP = "name a .hgt, .asc or .tif file below this folder, such as N42W094.hgt"


def find_terrain_files(source: Source, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    """The source with the places of the tiles that it names; those that it has already stay."""
    section = source.at((SECTION,))
    given = section.get(FILES) if isinstance(section, dict) else None
    if given is None:
        return source, []
    where, names = (
        source.spans.value(PATH),
        [name_of(file) for file in given] if isinstance(given, list) else None,
    )
    if not names or len(names) > MOST_TILES or not all(isinstance(name, str) for name in names):
        message = f"`{FILES}` wants a list of names of tiles, {MOST_TILES} at most"
        wrong = refused(CODE, message, where, f"write `{FILES}: [N42W094.hgt]`")
        return source.with_value(PATH, None), [wrong]
    known = source.ground.tiles if source.ground is not None else {}
    found: dict[str, Path] = {}
    problems: list[Diagnostic] = []
    for i, name in enumerate(names):
        assert isinstance(name, str)
        at = known.get(name) or find_beside(name, folder, SUFFIXES)
        if isinstance(at, str):
            problems.append(refused(CODE, at, source.spans.value((*PATH, i)), _HELP))
        else:
            found[name] = at
    if problems:
        return source.with_value(PATH, None), problems
    return replace(source, ground=replace(source.ground or GroundFiles(), tiles=found)), []


def read_terrain(source: Source) -> tuple[Source, list[Diagnostic]]:
    """The source with what its tiles say near its places."""
    given, ground = source.at(PATH), source.ground
    if not isinstance(given, list) or ground is None or not ground.tiles:
        return source, []
    from briefgen.mission.inputs.terrain import Terrain
    from briefgen.mission.inputs.tiles import Near

    places = _places(source)
    if not places:
        return source, []
    near = Near(places)
    tiles: list[Tile] = []
    files: list[TextTree] = []
    problems: list[Diagnostic] = []
    for i, name in enumerate(str(name_of(file)) for file in given):
        tile, content = _tile(ground.tiles[name], name, near, source.spans.value((*PATH, i)))
        if isinstance(tile, Diagnostic):
            problems.append(tile)
        else:
            tiles.append(tile)
        files.append({NAME: name, CONTENT: content})
    if has_errors(problems):
        return source.with_value(PATH, None), problems
    return replace(source.with_value(PATH, files), ground=replace(ground, terrain=Terrain(tiles))), problems


def _tile(path: Path, name: str, near: Near, span: Span | None) -> tuple[Tile | Diagnostic, str]:
    """A tile, and the fingerprint of its file."""
    from briefgen.mission.inputs.terrain_readers import MOST_BYTES, READERS, Refused
    from briefgen.mission.inputs.tiles import tile_of

    try:
        if not path.is_file() or path.stat().st_size > MOST_BYTES:
            message = f"{name} is no file, or one of more than {MOST_BYTES // 1024 // 1024} MB"
            return Diagnostic(CODE, "error", message, span, "no tile is as large", _HELP), ""
        found = READERS[path.suffix](path, name)
        if isinstance(found, Refused):
            return Diagnostic(CODE, "error", found.message, span, found.why, found.help), ""
        with path.open("rb") as stream:
            content = hashlib.file_digest(stream, "blake2b").hexdigest()[:16]
        return tile_of(found[0], found[1](), near), content
    except OSError as problem:
        message = f"{name} cannot be read: {problem.strerror}"
        return Diagnostic(CODE, "error", message, span, "", "check the file, and the right to read it"), ""
    except ValueError:  # a file that shrank while it was read
        return Diagnostic(CODE, "error", f"{name} cannot be read to its end", span, "", "fetch it anew"), ""


def _places(source: Source) -> list[Position]:
    """The positions of all places that can be read."""
    places, found = source.at(("places",)), []
    for place in places.values() if isinstance(places, dict) else ():
        position = place.get("position") if isinstance(place, dict) else None
        try:
            found += [parse_position(position)] if isinstance(position, str) else []
        except Refusal:
            continue  # told where it stands
    return found
