"""How high everything that is flown passes over the ground, by the mission's tiles: over the highest of all
cells that touch a corridor around a way, widened by the formation, and at a turn by its radius.

A way is judged as over an obstacle: at the lower of its two levels until the climb has brought it higher,
a mile at a time. Beside the aerodrome that it takes off from, for a mile, its level counts as over what
stands by the field; beyond, as long as it has not yet climbed to the least height, it need only lie above
the ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from itertools import pairwise
from math import inf, radians, sin, tan
from typing import TYPE_CHECKING

from briefgen.airmath.constants import GRAVITY_M_S2, M_PER_NM
from briefgen.airmath.geodesy import distance_nm, from_plane, point_along, points_along
from briefgen.core.records import kept, record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.ground import PRODUCTS, TerrainFiles
from briefgen.plan.heights.legs import (
    Over,
    Spot,
    Way,
    hold_way,
    in_air_over,
    over_at,
    racetrack,
    round_nm,
    widest_nm,
)
from briefgen.plan.heights.over_area import under_area
from briefgen.plan.model import HoldPlan, ShipOver
from briefgen.plan.route.air import position
from briefgen.plan.route.turning import BANK_DEG
from briefgen.units.values import FT_PER_M, Position

if TYPE_CHECKING:
    from briefgen.mission.inputs.terrain import Terrain

CORRIDOR_NM = 1.0  # a default of this program, to each side
UNLISTED_FT = 200.0  # a default of this program: the highest thing that no list has
# a default of this program: by as much (30 hPa) no QNH is lower than the nearest one, up to so far from it
FAR_QNH_FT, FAR_QNH_NM = 1000.0, 150.0
PIECE_NM = 4.0  # between the points of a line
_STEP_NM = 1.0  # of a climb: judged at the height at its beginning
_ALL_OF_IT_DEG = 60.0  # a turn by less leads off by less than its radius


@record
class Margins:
    """What the heights of the tiles may lack. ``error_ft``: how far off they may be."""

    error_ft: float
    unlisted_ft: float
    corridor_nm: float

    @property
    def both_ft(self) -> float:
        """All that is added to the ground."""
        return self.error_ft + self.unlisted_ft


@record
class Answer:
    """What the tiles say of something that is flown. ``voids`` and ``missing``: the tiles with a void
    under it, and the degree squares that no tile holds."""

    name: str
    overs: tuple[Over, ...]
    voids: tuple[str, ...]
    missing: tuple[str, ...]


def margins_of(terrain: TerrainFiles) -> Margins:
    """As typed, else as known of the product, else our defaults."""
    product = PRODUCTS.get(terrain.product or "")
    error_ft = terrain.error if terrain.error is not None else product.error_m * FT_PER_M if product else 0.0
    return Margins(
        error_ft,
        UNLISTED_FT if terrain.unlisted is None else terrain.unlisted,
        CORRIDOR_NM if terrain.corridor is None else terrain.corridor,
    )


def is_read(mission: Mission) -> bool:
    """Whether the mission names tiles, and they have been read."""
    return _tiles(mission) is not None


def _tiles(mission: Mission) -> Terrain | None:
    ground = mission.source.ground
    return None if mission.file.terrain is None or ground is None else ground.terrain


def turn_radius_nm(speed_kt: float, turn_deg: float = 180.0) -> float:
    """How far a turn by so much leads to the outside at the most that is counted: its radius at a bank of 30
    degrees, less for a turn of under 60."""
    metres = (speed_kt * M_PER_NM / 3600.0) ** 2 / (GRAVITY_M_S2 * tan(radians(BANK_DEG)))
    return metres / M_PER_NM * 2 * sin(radians(min(abs(turn_deg), _ALL_OF_IT_DEG) / 2))


def ground_under_way(mission: Mission, way: Way, turn_nm: float, minimum_ft: float) -> Answer:
    """The ground under a way, and under the turn at its beginning."""
    margins, line = margins_of(_terrain(mission)), (position(way.start), position(way.end))
    within_nm = margins.corridor_nm + widest_nm(way.ships)
    asked_ft = minimum_ft + margins.both_ft
    answer = _Answering(mission, way.name)
    lowest = max(way.ships, key=lambda ship: ship.down_ft, default=None)
    clear_nm = asked_ft / way.climb_ft_per_nm if way.takes_off and way.climb_ft_per_nm else 0.0
    for from_nm, points in _pieces(way, line):
        spot = answer.under_line(points, within_nm)
        if spot is not None:
            there = in_air_over(mission, way, spot)
            over = over_at(there, spot, lowest, along_nm=from_nm, minimum_ft=asked_ft)
            clears = over.clearance_ft is not None and over.clearance_ft >= margins.error_ft
            answer.overs += [] if from_nm < clear_nm and clears else [over]
    if turn_nm > 0.0 and (spot := answer.under_line(line[:1], within_nm + turn_nm)) is not None:
        there = in_air_over(mission, way, spot)
        answer.overs.append(over_at(there, spot, lowest, along_nm=0.0, minimum_ft=asked_ft))
    return answer.found()


def ground_under_hold(
    mission: Mission, hold: HoldPlan, ships: Sequence[ShipOver], minimum_ft: float
) -> Answer:
    """The ground under a racetrack."""
    margins, way = margins_of(_terrain(mission)), hold_way(mission, hold)
    answer, fix = _Answering(mission, way.name), position(hold.fix)
    path = tuple(from_plane(fix, east, north) for east, north in racetrack(hold))
    spot = answer.under_line(_no_further_apart(path), margins.corridor_nm + round_nm(ships))
    if spot is not None:
        lowest = max(ships, key=lambda ship: ship.down_ft, default=None)
        asked_ft = minimum_ft + margins.both_ft
        there = in_air_over(mission, way, spot)
        answer.overs.append(over_at(there, spot, lowest, along_nm=inf, minimum_ft=asked_ft))
    return answer.found()


def ground_under_area(mission: Mission, minimum_ft: float) -> Answer:
    """The ground under a training area, below its floor and each of its blocks."""
    margins, area = margins_of(_terrain(mission)), mission.the_training.area
    answer = _Answering(mission, f"the area {area.name}")
    spot = answer.under_area(tuple(area.boundary), margins.corridor_nm)
    if spot is not None:
        off_nm = partial(distance_nm, spot.position)
        asked_ft = minimum_ft + margins.both_ft
        answer.overs += under_area(mission, spot, (spot.position,), asked_ft, off_nm)
    return answer.found()


def highest_along(
    mission: Mission, points: Sequence[Position], ships: Sequence[ShipOver]
) -> list[float | None]:
    """The highest ground in the corridor between each point and the next, ft MSL: None where no tile holds
    all of it, nothing at all where none is read."""
    tiles = _tiles(mission)
    if tiles is None:
        return []
    within_nm = margins_of(_terrain(mission)).corridor_nm + widest_nm(ships)
    found = [tiles.under_line(pair, within_nm) for pair in pairwise(points)]
    return [one.metres * FT_PER_M if one.metres is not None and one.whole else None for one in found]


@kept
def highest_under_area_ft(mission: Mission) -> float | None:
    """The highest ground under a training area, the error of the tiles added, ft MSL; None where no tile is
    read, or not all of it is known."""
    tiles = _tiles(mission)
    if tiles is None:
        return None
    found = tiles.under_area(tuple(mission.the_training.area.boundary), 0.0)
    if found.metres is None or not found.whole:
        return None
    return found.metres * FT_PER_M + margins_of(_terrain(mission)).error_ft


class _Answering:
    """An answer as far as it has come."""

    def __init__(self, mission: Mission, name: str) -> None:
        tiles = _tiles(mission)
        assert tiles is not None, "nothing else asks"
        self.terrain, self.name = tiles, name
        self.overs: list[Over] = []
        self.voids: set[str] = set()
        self.missing: set[str] = set()

    def under_line(self, line: tuple[Position, ...], within_nm: float) -> Spot | None:
        """The highest ground within a distance of a line; None where nothing of it is known."""
        found = self.terrain.under_line(line, within_nm)
        self.voids |= {*found.voids}
        self.missing |= {*found.missing}
        return _spot(found.metres, found.where)

    def under_area(self, corners: tuple[Position, ...], within_nm: float) -> Spot | None:
        """The same of an area."""
        found = self.terrain.under_area(corners, within_nm)
        self.voids |= {*found.voids}
        self.missing |= {*found.missing}
        return _spot(found.metres, found.where)

    def found(self) -> Answer:
        """The whole answer."""
        return Answer(self.name, tuple(self.overs), tuple(sorted(self.voids)), tuple(sorted(self.missing)))


def _spot(metres: float | None, where: Position | None) -> Spot | None:
    if metres is None or where is None:
        return None
    return Spot("the ground", where, metres * FT_PER_M, 0.0)


def _pieces(way: Way, line: tuple[Position, Position]) -> Iterator[tuple[float, tuple[Position, ...]]]:
    """A way in pieces, each with how far along it it counts (inf: at the level of the way): a mile each as
    long as it climbs, then the rest."""
    length_nm = distance_nm(*line)
    rise_ft, rate = way.ends.ft - way.begins.ft, way.climb_ft_per_nm
    climbs_nm = 0.0 if rise_ft <= 0.0 else length_nm if not rate else min(rise_ft / rate, length_nm)
    if rise_ft > 0.0 and rate is None:  # no height along it is known but at its ends
        yield 0.0, points_along(*line, PIECE_NM)
        return
    at_nm = 0.0
    while at_nm < climbs_nm:
        to_nm = min(at_nm + _STEP_NM, length_nm)
        yield inf if way.takes_off and at_nm == 0.0 else at_nm, _part(line, at_nm, to_nm)
        at_nm = to_nm
    if at_nm < length_nm or length_nm == 0.0:
        yield inf, points_along(_at(line, at_nm), line[1], PIECE_NM)


def _part(line: tuple[Position, Position], from_nm: float, to_nm: float) -> tuple[Position, Position]:
    return _at(line, from_nm), _at(line, to_nm)


def _at(line: tuple[Position, Position], along_nm: float) -> Position:
    return line[0] if along_nm == 0.0 else point_along(*line, along_nm).position


def _no_further_apart(path: tuple[Position, ...]) -> tuple[Position, ...]:
    """The points of a path, with some between where two are far from each other."""
    found = list(path[:1])
    for before, after in pairwise(path):
        found += points_along(before, after, PIECE_NM)[1:]
    return tuple(found)


def _terrain(mission: Mission) -> TerrainFiles:
    assert mission.file.terrain is not None, "nothing else asks"
    return mission.file.terrain


def lowered(over: Over, margins: Margins, least_ft: float) -> Over:
    """With the height that is left over the ground as high as it may be. Where the nearest QNH is known
    and far, it counts as much lower as none is there, if that is enough: else the air stays unknown."""
    clear_ft, air = over.clearance_ft, over.air
    if clear_ft is None:
        return over
    left_ft = clear_ft - margins.both_ft
    far = air is not None and air.lacks == ("QNH",) and air.far_nm is not None
    if far and air is not None and (air.far_nm or 0.0) <= FAR_QNH_NM and left_ft - FAR_QNH_FT >= least_ft:
        return replace(over, clearance_ft=left_ft - FAR_QNH_FT, air=None)
    return replace(over, clearance_ft=left_ft)
