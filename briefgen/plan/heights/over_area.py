"""How high the floor of the training area and its blocks lie over what is known to stand under them: places
with an elevation, the listed obstacles, and the highest ground under the area."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from functools import partial
from math import inf

from briefgen.airmath.areas import distance_to_edge_nm, inside_area
from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import KeyPath
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.heights.altimeter import AwayNm, column_at, true_altitude_ft, unknown_air
from briefgen.plan.heights.legs import (
    OTHER_AIR_FT,
    Over,
    Spot,
    level_way,
    over_at,
    spots_of_files,
    surely_off,
)
from briefgen.plan.heights.pass_heights import WITHIN_NM
from briefgen.plan.model import Height, Point
from briefgen.plan.route.air import altitude_ft
from briefgen.units.values import Level, Position


def over_area(mission: Mission, spots: Sequence[Spot], minimum_ft: float) -> Iterator[Over]:
    """Every known height inside the training area or within a mile of its edge, and the highest ground under
    it, below its floor and below each block. A floor above the ground clears what isn't known. The highest
    ground stands at a place in the area that is as high, else anywhere in it: then one QNH must be near
    enough to all of the area."""
    area = mission.the_training.area
    reach_nm = max(distance_nm(area.boundary[0], corner) for corner in area.boundary)
    around = (area.boundary[0], area.boundary[0])
    near = [
        (spot, away_nm)
        for spot in spots
        if not surely_off(around, 0.0, spot, reach_nm + WITHIN_NM + spot.doubt_nm)
        and (away_nm := _off_area_nm(spot, area.boundary)) <= WITHIN_NM
    ]
    listed = spots_of_files(mission, around, reach_nm + WITHIN_NM)
    for spot, away_nm in (*near, *_that_count_under(mission, listed, minimum_ft)):
        off_nm = partial(distance_nm, spot.position)
        for found in under_area(mission, spot, (spot.position,), minimum_ft, off_nm):
            yield replace(found, away_nm=away_nm)
    if area.highest_ground is not None:
        where = _as_high(mission, area.boundary, area.highest_ground.feet)
        at = area.boundary if where is None else (where,)
        ground = Spot("the highest ground", at[0], area.highest_ground.feet, 0.0)
        yield from under_area(mission, ground, at, minimum_ft, partial(_farthest_nm, at))


def _off_area_nm(spot: Spot, boundary: Sequence[Position]) -> float:
    """How far outside an area a spot may stand at the least, 0 inside."""
    if inside_area(spot.position, boundary):
        return 0.0
    return distance_to_edge_nm(spot.position, boundary) - spot.doubt_nm


def _that_count_under(
    mission: Mission, listed: Sequence[Spot], minimum_ft: float
) -> Iterator[tuple[Spot, float]]:
    """Of the obstacles of files under the area and within a mile of it the highest, and those that might be
    too high for it in any air near it; and how far outside they stand."""
    area, found = mission.the_training.area, False
    at = Point("", area.name, area.boundary[0].lat_deg, area.boundary[0].lon_deg)
    heights = [altitude_ft(mission, at, level) for _, level, _ in _area_levels(mission)]
    low_ft = min((feet for feet in heights if feet is not None), default=0.0)
    true_ft = true_altitude_ft(column_at(mission, at), low_ft) - OTHER_AIR_FT
    for spot in sorted(listed, key=lambda spot: -spot.top_ft):
        if found and spot.top_ft + minimum_ft < true_ft:
            return
        if (away_nm := _off_area_nm(spot, area.boundary)) <= WITHIN_NM:
            found = True
            yield spot, away_nm


def _as_high(mission: Mission, boundary: Sequence[Position], ground_ft: float) -> Position | None:
    """A place inside the training area that stands as high."""
    for place in mission.places.values():
        high = place.elevation_ft is not None and place.elevation_ft >= ground_ft
        if high and inside_area(place.position, boundary):
            return place.position
    return None


def under_area(
    mission: Mission, spot: Spot, places: Sequence[Position], minimum_ft: float, off_nm: AwayNm
) -> Iterator[Over]:
    """A spot that stands at some of ``places``, under the floor and under the low end of each block: the
    lowest that a level can be at any of them counts."""
    points = [Point("", spot.name, place.lat_deg, place.lon_deg, spot.top_ft) for place in places]
    columns = tuple(dict.fromkeys(column_at(mission, point) for point in points))
    air = unknown_air(mission, columns, off_nm)
    if air is not None and air.far_nm is not None and len(places) > 1:
        air = replace(air, key=("places",), anywhere=True)  # what is wanted is where it stands
    for name, level, cause in _area_levels(mission):
        heights = (altitude_ft(mission, point, level) for point in points)
        low_ft = min(feet for feet in heights if feet is not None)
        way = level_way(name, points[0], columns, height=Height(low_ft, cause), air=air, cause=cause)
        yield over_at(way, spot, None, along_nm=inf, minimum_ft=minimum_ft)


def _farthest_nm(places: Sequence[Position], spot: Position) -> float:
    return max(distance_nm(spot, place) for place in places)


def _area_levels(mission: Mission) -> Iterator[tuple[str, Level, KeyPath]]:
    training = mission.the_training
    yield f"floor of {training.area.name}", training.area.floor, ("training", "area", "floor")
    for name, band in training.blocks.items():
        yield f"block {name}", band.low, ("training", "blocks", name)
