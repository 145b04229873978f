"""The coasts and borders of the world, read from ``briefgen/coast/coast.zip``.

The archive has a member for each tile of ten degrees that has any: its coasts, then its borders. A coast has
its land on the right hand. No lake and no road is in it.
"""

from __future__ import annotations

import zipfile
from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise, product
from math import floor
from typing import TypeAlias

from briefgen.core.resources import coast_path
from briefgen.draw.scene.geometry import Box

PER_DEG = 500  # steps of the packed lines in a degree
TILE_DEG = 10

Spot: TypeAlias = tuple[int, int]  # longitude and latitude, in steps


def coasts_and_borders(
    lons: tuple[float, float], lats: tuple[float, float]
) -> tuple[list[list[Spot]], list[list[Spot]]]:
    """The coasts and the borders that touch a window of degrees, as whole as it shows them. Longitudes are
    counted on as the window's are."""
    wests, souths = (
        range(floor(low / TILE_DEG) * TILE_DEG, floor(high / TILE_DEG) * TILE_DEG + 1, TILE_DEG)
        for low, high in (lons, lats)
    )
    window = Box(*(degrees * PER_DEG for degrees in (lons[0], lats[0], lons[1], lats[1])))
    found: tuple[list[list[Spot]], list[list[Spot]]] = ([], [])
    for west, south in product(wests, souths):
        home = (west + 180) % 360 - 180
        for kind, lines in zip(found, _tile(home, south), strict=True):
            for line in lines:
                kind.extend(_near([(x + (west - home) * PER_DEG, y) for x, y in line], window))
    return _joined(found[0]), _joined(found[1])


def tile_name(west_deg: int, south_deg: int) -> str:
    """``S40E140``: the tile with that south-west corner."""
    south, west = "S" if south_deg < 0 else "N", "W" if west_deg < 0 else "E"
    return f"{south}{abs(south_deg):02d}{west}{abs(west_deg):03d}"


@lru_cache(maxsize=16)
def _tile(west_deg: int, south_deg: int) -> tuple[list[list[Spot]], list[list[Spot]]]:
    """The coasts and the borders of a tile."""
    name = tile_name(west_deg, south_deg)
    with zipfile.ZipFile(coast_path()) as archive:
        if name not in archive.namelist():
            return [], []
        numbers = _numbers(archive.read(name))
    corner = west_deg * PER_DEG, south_deg * PER_DEG
    coasts, borders = ([_line(numbers, corner) for _ in range(next(numbers))] for _ in range(2))
    return coasts, borders


def _numbers(packed: bytes) -> Iterator[int]:
    """Seven bits a byte, the lowest first; the eighth says that more follow."""
    value, shift = 0, 0
    for byte in packed:
        value, shift = value | (byte & 127) << shift, shift + 7
        if byte < 128:
            yield value
            value, shift = 0, 0


def _line(numbers: Iterator[int], corner: Spot) -> list[Spot]:
    """Each point from the one before it, the first from the tile's corner."""
    (x, y), line = corner, []
    for _ in range(next(numbers)):
        x, y = x + _signed(next(numbers)), y + _signed(next(numbers))
        line.append((x, y))
    return line


def _signed(number: int) -> int:
    """An odd number is a step back."""
    return number // 2 if number % 2 == 0 else -(number + 1) // 2


def _near(line: list[Spot], window: Box) -> Iterator[list[Spot]]:
    """The runs of a line whose stretches may touch a window."""
    run: list[Spot] = []
    for start, end in pairwise(line):
        (x1, y1), (x2, y2) = start, end
        if (
            max(x1, x2) < window.left
            or min(x1, x2) > window.right
            or max(y1, y2) < window.top
            or min(y1, y2) > window.bottom
        ):
            if run:
                yield run
            run = []
        else:
            run = [*run, end] if run else [start, end]
    if run:
        yield run


def _joined(lines: Iterable[list[Spot]]) -> list[list[Spot]]:
    """The lines put together where one ends and another begins; at one end several may meet."""
    begin: dict[Spot, list[list[Spot]]] = {}
    rest = list(lines)
    for line in rest:
        begin.setdefault(_same(line[0]), []).append(line)
    ends = {_same(line[-1]) for line in rest}
    whole: list[list[Spot]] = []
    # those first that nothing leads to: what is left then goes round
    for line in sorted(rest, key=lambda line: _same(line[0]) in ends):
        if not any(line is other for other in begin.get(_same(line[0]), ())):
            continue
        _take(begin, line)
        chain = list(line)
        while after := begin.get(_same(chain[-1])):
            chain += after[0][1:]
            _take(begin, after[0])
        whole.append(chain)
    return whole


def _same(spot: Spot) -> Spot:
    return spot[0] % (360 * PER_DEG), spot[1]


def _take(begin: dict[Spot, list[list[Spot]]], line: list[Spot]) -> None:
    own = begin[_same(line[0])]
    own[:] = [other for other in own if other is not line]
