"""The training area: its reservation, the height blocks, aerobatics, the yardstick."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime
from itertools import combinations
from math import ceil

from briefgen.airmath.areas import distance_to_edge_nm, inside_area
from briefgen.airmath.times import TimeSpan
from briefgen.core.diagnostics import KeyPath
from briefgen.mission.resolve.other_clocks import held_by_another_clock
from briefgen.mission.schema.training import Area
from briefgen.plan.gates.pressures_of_area import over_area_worst
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import somebodys
from briefgen.plan.gates.verdicts import (
    DEFAULT,
    UNIT,
    About,
    against,
    at_least,
    limit_of,
    no_limit,
    not_after,
    not_before,
    not_checked,
    span_words,
    words,
)
from briefgen.plan.heights.altimeter import Column, column_at, true_altitude_ft, without_temperature
from briefgen.plan.heights.ground import highest_under_area_ft
from briefgen.plan.model import Gate, Point, Source
from briefgen.plan.route.air import STANDARD_QNH_HPA, altitude_ft, position
from briefgen.plan.sortie import Sortie
from briefgen.units.grammar import listed
from briefgen.units.values import ClockRange, Level

AREA = ("training", "area")
BLOCKS = ("training", "blocks")
PAIR_APART = 63
ON_THE_BOUNDARY_NM = 0.1  # what a position is typed to, our own bound: a point so near is on the boundary
TILES = Source("the highest by the tiles, their error added", ("as given",))
OVER_A_CROWD = Source("14 CFR 91.303: no aerobatics over an open-air assembly", ("rule",))


def area_reserved(s: Sortie) -> Iterator[Gate]:
    """Every minute in the area lies inside its reservation."""
    training, reserved = s.mission.file.training, s.mission.times.reserved
    if training is None or s.clock.area_entry is None:
        return
    about = text("area-entry")
    last = text("area-exit")
    if reserved is None:
        yield not_checked(about, "the area's reservation is not given")
        yield not_checked(last, "the area's reservation is not given")
        return
    own = (p for p in s.clock.phases if s.trainings and p.piece == s.the_block.id)
    leave = next((p.end for p in own if p.kind == "leave"), s.clock.training_end)
    if other := _by_another_clock(s, training.area.reserved, s.clock.area_entry, leave or s.clock.area_entry):
        about, last = (gate.but(remedy=f"{other}; else {gate.remedy}") for gate in (about, last))
    yield not_before(about, s.clock.area_entry, reserved.start)
    yield not_after(last, leave, reserved.end)


def _by_another_clock(s: Sortie, typed: ClockRange | None, entry: datetime, leave: datetime) -> str:
    """What to write where the reservation would hold by another clock; empty where it would by none."""
    offers = held_by_another_clock(typed, TimeSpan(entry, leave), s.mission.clocks) if typed else ()
    return f"write {listed(offers)} if that clock is meant" if offers else ""


def entry_and_exit(s: Sortie) -> Iterator[Gate]:
    """Where the clock has the area entered and left lies in it or on its boundary; a point that nothing leads
    to ("way-out" says so) or that isn't typed is none."""
    if not s.trainings:
        return
    training, about = s.mission.the_training, text("area-points")
    flown = next(block for block in s.route.blocks if block.section.id == s.the_block.id)
    boundary = training.area.boundary
    entry = () if flown.way_in_ft is None else (flown.entry,)
    left = () if training.leave is None else (flown.exit,)
    points = {point.id: position(point) for point in (*entry, *left)}
    if not points:
        return
    off_nm = {
        id: distance_to_edge_nm(at, boundary) for id, at in points.items() if not inside_area(at, boundary)
    }
    outside = [f"{id} {nm:.1f} nm outside" for id, nm in off_nm.items() if nm > ON_THE_BOUNDARY_NM]
    value = listed(outside, "and") if outside else "inside"
    yield words(about, not outside, value, "inside", worse="CAUTION")


def setups_enough(s: Sortie) -> Iterator[Gate]:
    """At least the set-ups that make the training worth flying."""
    if not s.trainings:
        return
    about = text("set-ups")
    if s.mission.the_training.setups.minimum is None:
        yield no_limit(about, s.the_block.setups_flown, key=("training", "setups", "minimum"))
        return
    yield at_least(about, s.the_block.setups_flown, s.the_block.setups_minimum)


def ends_by(s: Sortie) -> Iterator[Gate]:
    """Training ends, as planned, by END BY: what speed could make up behind it is kept for slips."""
    end, latest = s.clock.training_end, s.clock.knock_off
    if not s.trainings or end is None or latest is None:
        return
    over_s = (end - latest).total_seconds()
    about = text("end-by", gap=span_words(ceil(max(over_s, 0.0))))
    yield not_after(about, end, latest, worse="CAUTION")


# ---------------------------------------------------------------- blocks


def area_point(s: Sortie) -> Point:
    """Where the area's levels are read: its first corner, over the highest ground under the area, where that
    is known."""
    area = s.mission.the_training.area
    return Point("AREA", area.name, area.boundary[0].lat_deg, area.boundary[0].lon_deg, area_ground_ft(s))


def area_ground_ft(s: Sortie) -> float | None:
    """The highest ground under the area, ft MSL: as typed, else by the mission's tiles; None where neither
    says it."""
    typed = s.mission.the_training.area.highest_ground
    return highest_under_area_ft(s.mission) if typed is None else typed.feet


def area_feet(s: Sortie, level: Level, qnh_hpa: float) -> float | None:
    """Feet MSL of a level of the area, over its highest ground and by a QNH."""
    return altitude_ft(s.mission, area_point(s), level, qnh_hpa=qnh_hpa)


def _blocks(s: Sortie, qnh_hpa: float) -> dict[str, tuple[float | None, float | None]]:
    return {
        name: (area_feet(s, band.low, qnh_hpa), area_feet(s, band.high, qnh_hpa))
        for name, band in s.mission.the_training.blocks.items()
    }


def _sides(s: Sortie) -> list[str]:
    return sorted({ship.side for ship in s.mission.file.flight if ship.side is not None})


def blocks(s: Sortie) -> Iterator[Gate]:
    """Every side has its block, inside the area's heights; blocks do not overlap, and lie apart by the
    buffer."""
    training = s.mission.file.training
    if training is None or len(s.mission.file.flight) < 2:
        return
    inside = text("blocks-inside")
    overlap = text("blocks-overlap")
    buffer = text("blocks-buffer")
    found = _blocks(s, STANDARD_QNH_HPA)
    without = [side for side in _sides(s) if side not in s.mission.file.training.blocks]
    why = _blocks_doubt(found, without)
    if why:
        yield not_checked(overlap, why, key=_blocks_key(found, without))
        return
    yield over_area_worst(s, inside, lambda hpa: _inside(s, inside, training.area, hpa))
    if len(found) > 1:
        yield over_area_worst(s, overlap, lambda hpa: _overlap(s, overlap, hpa))
        yield over_area_worst(s, buffer, lambda hpa: _buffer(s, buffer, training.block_buffer, hpa))


def _blocks_doubt(found: dict, without: list[str]) -> str:
    if not found:
        return "no blocks are given: nothing says who owns which heights"
    if without and len(found) < 2:
        return f"side {without[0]} has no block"
    return (
        "a block is given above the ground, which isn't known here"
        if any(None in band for band in found.values())
        else ""
    )


def _blocks_key(found: dict, without: list[str]) -> KeyPath:
    if any(None in band for band in found.values()):
        return (*AREA, "highest_ground")
    return (*BLOCKS, without[0]) if found and without else BLOCKS


def _heights(s: Sortie, qnh_hpa: float) -> dict[str, tuple[float, float]]:
    """The same of those that can be told."""
    found = _blocks(s, qnh_hpa)
    return {name: (low, high) for name, (low, high) in found.items() if low is not None and high is not None}


def _inside(s: Sortie, about: About, area: Area, qnh_hpa: float) -> Gate:
    found = _heights(s, qnh_hpa)
    floor, top = area_feet(s, area.floor, qnh_hpa), area_feet(s, area.top, qnh_hpa)
    if floor is None or top is None:
        return not_checked(
            about,
            "the area's heights are above the ground, which isn't known here",
            key=(*AREA, "highest_ground"),
        )
    room = {name: min(low - floor, top - high) for name, (low, high) in found.items()}
    worst = min(room, key=lambda name: room[name])
    return at_least(about.but(title=f"{about.title}: {worst}", cause=(*BLOCKS, worst)), room[worst], 0.0)


def _nearest(s: Sortie, qnh_hpa: float) -> tuple[str, str, float]:
    """The two blocks with the least between them, in feet."""
    found = _heights(s, qnh_hpa)
    pairs = {
        (a, b): max(found[b][0] - found[a][1], found[a][0] - found[b][1]) for a, b in combinations(found, 2)
    }
    (one, other), gap = min(pairs.items(), key=lambda row: row[1])
    return one, other, gap


def _overlap(s: Sortie, about: About, qnh_hpa: float) -> Gate:
    one, other, gap = _nearest(s, qnh_hpa)
    return at_least(about.but(title=f"{about.title}: {one} and {other}", cause=(*BLOCKS, one)), gap, 0.0)


def _buffer(s: Sortie, about: About, limit: float | None, qnh_hpa: float) -> Gate:
    one, other, gap = _nearest(s, qnh_hpa)
    about = about.but(title=f"{about.title}: {one} and {other}")
    return no_limit(about, gap) if limit is None else at_least(about, gap, limit)


# ---------------------------------------------------------------- aerobatics


def aerobatics(s: Sortie) -> Iterator[Gate]:
    """Aerobatic training stays above the regime's floor, and the event does not lie under the area."""
    training = s.mission.file.training
    if training is None:
        return
    limit, floor = (
        limit_of(s, s.mission.file.limits.aerobatics_floor, "aerobatics_floor_ft"),
        training.area.floor,
    )
    about = text("aerobatics-floor").but(source=limit.source if limit is not None else UNIT)
    as_typed = about.but(unit=f"ft {floor.datum}")
    if training.aerobatic is None:
        yield not_checked(
            as_typed,
            "nobody has said whether the training is aerobatic",
            value=floor.feet,
            key=("training", "aerobatic"),
        )
    elif not training.aerobatic:
        yield words(
            about.but(unit="", cause=("training", "aerobatic")),
            True,
            "none planned",
            "none, or above the floor",
        )
        return
    elif limit is None:
        ground_too = floor.datum != "AGL" and area_ground_ft(s) is None
        also = ((*AREA, "highest_ground"),) if ground_too else ()
        yield no_limit(as_typed, floor.feet, key=("limits", "aerobatics_floor"), also=also)
    elif floor.datum == "AGL":
        yield against(about, floor.feet, limit)
    elif (ground_ft := area_ground_ft(s)) is None:
        why = f"the ground under the area isn't known; {limit.value:.0f} ft AGL are needed"
        yield not_checked(as_typed, why, value=floor.feet, key=(*AREA, "highest_ground"))
    else:
        if training.area.highest_ground is None:
            about = about.but(source=about.source.beside("ground", TILES))
        gate = over_area_worst(
            s, about, lambda hpa: against(about, _true_ft(s, floor, hpa) - ground_ft, limit)
        )
        yield somebodys(s, if_temperature(s, about, gate))
    yield from _over_the_event(s)


def area_columns(s: Sortie) -> list[Column]:
    """The air over each corner of the area."""
    corners = s.mission.the_training.area.boundary
    return [column_at(s.mission, Point("", "", at.lat_deg, at.lon_deg, None)) for at in corners]


def if_temperature(s: Sortie, about: About, gate: Gate) -> Gate:
    """A gate that counts how high the flight really is: without any temperature over some corner nobody knows
    how much lower that is than its altimeter reads, so it does not pass."""
    column = without_temperature(area_columns(s))
    if column is None or gate.verdict in ("FAIL", "NOT CHECKED"):
        return gate
    why = "no temperature is given: in cold air the flight is lower than its altimeter reads"
    key = ("weather", "at", column.station.id or "AREA", "temperature")
    return not_checked(about, why, value=gate.value, key=key)


def _true_ft(s: Sortie, level: Level, qnh_hpa: float) -> float:
    """How high a level that isn't typed above ground truly is, ft MSL, in the cold of any corner."""
    feet = area_feet(s, level, qnh_hpa) or 0.0
    return min(true_altitude_ft(column, feet) for column in area_columns(s))


def _over_the_event(s: Sortie) -> Iterator[Gate]:
    if not s.passes:
        return
    boundary = s.mission.the_training.area.boundary
    inside = any(inside_area(position(p.centre), boundary) for p in s.passes)
    source = OVER_A_CROWD if s.mission.file.limits.regime == "usa" else DEFAULT
    about = text("aerobatics-place").but(source=source)
    yield words(about, not inside, "under the area" if inside else "outside the area", "outside the area")


# ---------------------------------------------------------------- yardstick


def yardstick(s: Sortie) -> Iterator[Gate]:
    """One channel for each ship; the two of an element (1 and 2, 3 and 4 ...) 63 channels apart in one
    band."""
    if s.mission.file.training is None or len(s.mission.file.flight) < 2:
        return
    given, where = s.mission.file.training.yardstick, ("training", "yardstick")
    one = text("yardstick-own")
    pair = text("yardstick-pairs", apart=PAIR_APART)
    missing = [ship.ship for ship in s.mission.file.flight if ship.ship not in given]
    if missing:
        why = "no yardstick is given" if not given else f"ship {missing[0]} has no channel"
        yield not_checked(one, why, key=(*where, str(missing[0])) if given else where)
        return
    names = {n: f"{channel.number}{channel.band}" for n, channel in given.items()}
    shared = [
        f"{a} and {b} both on {names[a]}" for a, b in combinations(sorted(names), 2) if names[a] == names[b]
    ]
    yield words(one, not shared, "; ".join(shared) or "each its own", "each its own")
    wrong = [
        f"{a} and {b}: {names[a]}, {names[b]}"
        for a, b in zip(range(1, 17, 2), range(2, 17, 2), strict=True)
        if a in given and b in given and not _paired(given[a], given[b])
    ]
    yield words(pair, not wrong, "; ".join(wrong) or "all paired", "all paired")


def _paired(one, other) -> bool:
    return one.band == other.band and abs(one.number - other.number) == PAIR_APART
