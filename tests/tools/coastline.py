"""Packs the coasts and borders of the world for the maps: ``python -m tests.tools.coastline FILE.json``.

The file, ``countries-10m.json``, is Natural Earth's 1:10m countries as TopoJSON, from the npm package
world-atlas (``npm pack world-atlas``). Written is ``briefgen/coast/coast.zip``; what it holds says
``briefgen/coast/SOURCE.md``.
"""

from __future__ import annotations

import json
import sys
import zipfile
from collections import defaultdict
from collections.abc import Iterator
from itertools import accumulate, pairwise
from math import ceil, cos, floor, radians
from pathlib import Path
from typing import Any

from briefgen.brief.figures.coast_lines import PER_DEG, TILE_DEG, Spot, tile_name
from briefgen.core.resources import coast_path
from briefgen.draw.scene.geometry import simplify

TILE = TILE_DEG * PER_DEG
LEFT_OUT = 0.75


def lines_of(topology: dict[str, Any]) -> Iterator[tuple[bool, list[Spot]]]:
    """The lines of the topology, with True for a border. A coast has its land on the right hand, as outer
    rings are drawn clockwise; longitudes run on over the 180th meridian."""
    users: dict[int, list[int]] = defaultdict(list)
    for country in topology["objects"]["countries"]["geometries"]:
        for arc in _numbers(country.get("arcs", [])):
            users[arc if arc >= 0 else ~arc].append(arc)
    for index, used in users.items():
        line = _thinned(_placed(topology, topology["arcs"][index]))
        yield len(used) > 1, line if used[0] >= 0 else line[::-1]


def _numbers(nested: list[Any]) -> Iterator[int]:
    for item in nested:
        if isinstance(item, int):
            yield item
        else:
            yield from _numbers(item)


def _placed(topology: dict[str, Any], arc: list[list[int]]) -> list[tuple[float, float]]:
    (wide, high), (left, low) = topology["transform"]["scale"], topology["transform"]["translate"]
    lats = [low + high * y for y in accumulate(step[1] for step in arc)]
    lons: list[float] = []
    for x in accumulate(step[0] for step in arc):
        lon = left + wide * x
        lons.append(lon + 360 * round((lons[-1] - lon) / 360) if lons else lon)
    return [(lon * PER_DEG, lat * PER_DEG) for lon, lat in zip(lons, lats, strict=True)]


def _thinned(line: list[tuple[float, float]]) -> list[Spot]:
    """With the corners that matter; its ends stay, where others begin. A ring is thinned in two halves."""
    shrink = max(cos(radians(line[0][1] / PER_DEG)), 0.05)
    flat = tuple((lon * shrink, lat) for lon, lat in line)
    half = len(flat) // 2 if line[0] == line[-1] else 0
    parts = (flat[: half + 1], flat[half:]) if half else (flat,)
    kept = [spot for part in parts for spot in simplify(part, most=len(line), tolerance=LEFT_OUT)]
    spots = [(round(x / shrink), round(y)) for x, y in kept]
    return [spot for i, spot in enumerate(spots) if i == 0 or spot != spots[i - 1]]


def tiled(line: list[Spot]) -> Iterator[tuple[tuple[int, int], list[Spot]]]:
    """The pieces of a line by the south-west corner of their tile; both pieces have the point on the edge."""
    piece: list[Spot] = []
    of: tuple[int, int] | None = None
    for start, end in pairwise(line):
        for a, b in pairwise(_cut(start, end)):
            here = _corner((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
            if here != of and of is not None:
                yield of, piece
                piece = []
            of, piece = here, [*piece, b] if piece else [a, b]
    if of is not None:
        yield of, piece


def _cut(start: Spot, end: Spot) -> list[Spot]:
    (x1, y1), (x2, y2) = start, end
    cuts = {0.0: start, 1.0: end}
    for edge in _between(x1, x2):
        share = (edge - x1) / (x2 - x1)
        cuts[share] = (edge, round(y1 + share * (y2 - y1)))
    for edge in _between(y1, y2):
        share = (edge - y1) / (y2 - y1)
        cuts[share] = (round(x1 + share * (x2 - x1)), edge)
    return [cuts[share] for share in sorted(cuts)]


def _between(one: int, other: int) -> list[int]:
    low, high = min(one, other), max(one, other)
    return [
        edge * TILE for edge in range(ceil(low / TILE), floor(high / TILE) + 1) if low < edge * TILE < high
    ]


def _corner(x: float, y: float) -> tuple[int, int]:
    return floor(x / TILE) * TILE, floor(y / TILE) * TILE


def packed(lines: list[list[Spot]], corner: Spot) -> bytes:
    """How many lines; then of each how many points, the first from the tile's corner, each further one from
    the one before; all as numbers of seven bits a byte, the lowest first."""
    found = bytearray(_number(len(lines)))
    for line in lines:
        found += _number(len(line))
        for (x0, y0), (x, y) in pairwise([corner, *line]):
            found += _number(_signless(x - x0)) + _number(_signless(y - y0))
    return bytes(found)


def _signless(value: int) -> int:
    return 2 * value if value >= 0 else -2 * value - 1


def _number(value: int) -> bytes:
    low, rest = value & 127, value >> 7
    return bytes([low | 128]) + _number(rest) if rest else bytes([low])


def pack(topology: dict[str, Any], target: Path) -> int:
    """Writes the archive; how many points it holds."""
    tiles: dict[Spot, tuple[list[list[Spot]], list[list[Spot]]]] = defaultdict(lambda: ([], []))
    for border, line in lines_of(topology):
        for (west, south), piece in tiled(line):
            home = (west + 180 * PER_DEG) % (360 * PER_DEG) - 180 * PER_DEG
            tiles[home, south][border].append([(x - west + home, y) for x, y in piece])
    with zipfile.ZipFile(target, "w") as archive:
        for corner, kinds in sorted(tiles.items()):
            name = zipfile.ZipInfo(tile_name(corner[0] // PER_DEG, corner[1] // PER_DEG))
            whole = b"".join(packed(lines, corner) for lines in kinds)
            archive.writestr(name, whole, zipfile.ZIP_DEFLATED, 9)
    return sum(len(piece) for kinds in tiles.values() for lines in kinds for piece in lines)


if __name__ == "__main__":
    count = pack(json.loads(Path(sys.argv[1]).read_text(encoding="utf-8")), coast_path())
    print(f"{coast_path().name}: {count} points, {coast_path().stat().st_size} bytes")
