"""The comparison: differences in seconds and in lb, exact. Late and more are plus."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import groupby, pairwise
from statistics import mean, stdev

from briefgen.brief.wording.blocks import block_name
from briefgen.brief.wording.passes import name_of
from briefgen.core.records import record
from briefgen.debrief.flown import POINTS, Flown, RecordedChange
from briefgen.mission.resolve.sections import WaySection
from briefgen.plan.model import FuelRow, ShipFuel
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan

LEAST_LENGTHS = 5  # of parts, before a deviation is told: our default; of five it is still a third uncertain
LABELS = {
    "takeoff": "Take-off",
    "area": "Area entry",
    "training_end": "End of training",
    "hold": "Hold entered",
    "leave_hold": "Leave-hold",
    "true_time": "T, overhead",
    "landing": "Landing, leader",
}


@record
class TimeRow:
    """``told``: the time that the flight held after its last read-back, None where no change was. Flown None:
    not recorded. ``of``: the id of the pass, or the block of training, whose instant it is, empty of the
    whole sortie; ``name``: what it is called where there are several."""

    key: str
    planned: datetime
    told: datetime | None
    flown: datetime | None
    of: str = ""
    name: str = ""

    @property
    def against_told_s(self) -> float | None:
        """Flown minus told, without a change minus planned."""
        return None if self.flown is None else (self.flown - (self.told or self.planned)).total_seconds()


def time_rows(plan: Plan, flown: Flown) -> tuple[TimeRow, ...]:
    """Planned, told and flown of every instant that the plan has, in flying order."""
    clock, pieces = plan.clock, [piece.id for piece in plan.mission.flow if not isinstance(piece, WaySection)]
    rows = [*_rows_of_blocks(plan, flown), *_rows_of_passes(plan, flown)]
    return (
        TimeRow("takeoff", clock.takeoff, None, flown.times.get("takeoff")),
        *sorted(rows, key=lambda row: pieces.index(row.of)),
        TimeRow("landing", clock.lead_landing, None, flown.times.get("landing")),
    )


def _rows_of_blocks(plan: Plan, flown: Flown) -> Iterator[TimeRow]:
    for block in plan.clock.blocks:
        times, name = flown.of(block.id).times, block_name(plan, block.id)
        for key, at in (("area", block.entry), ("training_end", block.end)):
            if at is not None:
                yield TimeRow(key, at, None, times.get(key), block.id, name)


def _rows_of_passes(plan: Plan, flown: Flown) -> Iterator[TimeRow]:
    """Hold, leave-hold and T of each pass. One whose T follows the pass before it moves with what was told of
    that, unless it was told of itself."""
    moved: timedelta | None = None
    for seen in each_pass(plan):
        clock, pass_ = seen.clock, seen.passes[0]
        own, section = flown.of(pass_.section.id), pass_.section
        moved = moved if section.follows else None
        told, leave = last_read_back(own.told), told_leave_hold(seen, own, moved)
        if told is None and moved is not None:
            told = pass_.true_time + moved
        moved = None if told is None else told - pass_.true_time
        for key, at, as_told in (
            ("hold", clock.hold_arrival, None),
            ("leave_hold", clock.leave_hold, leave),
            ("true_time", pass_.true_time, told),
        ):
            if at is not None:
                yield TimeRow(key, at, as_told, own.times.get(key), section.id, name_of(section))


def last_read_back(told: Sequence[RecordedChange]) -> datetime | None:
    """The true time of the last change that was read back; None without one. What wasn't read back isn't
    held."""
    held = [call.new for call in told if call.read_back]
    return held[-1] if held else None


def told_leave_hold(plan: Plan, flown: Flown, moved: timedelta | None) -> datetime | None:
    """Planned leave-hold moved by each new time that was read back before leaving it, as retime rules: a
    change by speed leaves it where it was. ``moved``: by what the pass before took it along. None: as
    planned."""
    clock = plan.clock
    if clock.leave_hold is None or clock.true_time is None:
        return None
    left = flown.times.get("leave_hold", clock.leave_hold)
    held, by_hold = clock.true_time + (moved or timedelta(0)), moved
    for call in flown.told:
        if call.read_back and not call.by_speed and call.read_back <= left:
            by_hold = (by_hold or timedelta(0)) + (call.new - held)
        held = call.new if call.read_back else held
    return None if by_hold is None else clock.leave_hold + by_hold


# ---------------------------------------------------------------- fuel


@record
class FuelPoint:
    """Fuel at one of the four points in lb; ``flown_lb`` None: not recorded."""

    point: str
    planned_lb: float
    flown_lb: float | None


@record
class Burn:
    """Between two points. ``plain_lb``: the planned airborne burn at burn factor 1, for the set-ups and the
    hold as flown where these are recorded. ``ground_lb``: planned start to take-off, which takes no factor
    and is taken off the flown burn. ``factor`` None: it can't be told, because of ``lacks``."""

    first: str
    last: str
    flown_lb: float | None
    plain_lb: float
    ground_lb: float
    factor: float | None
    lacks: str = ""


@record
class ShipSheet:
    """One ship: its points, the stretches between neighbouring ones, and the whole."""

    ship: int
    planned_factor: float
    points: tuple[FuelPoint, ...]
    burns: tuple[Burn, ...]
    whole: Burn


def ship_sheets(plan: Plan, flown: Flown) -> tuple[ShipSheet, ...]:
    """Every ship's sheet; empty when the plan has no fuel."""
    if plan.fuel is None:
        return ()
    corrections = flown_phases(plan, flown)
    return tuple(
        _sheet(plan, ship, flown.fuel_lb.get(ship.ship, {}), corrections) for ship in plan.fuel.ships
    )


def flown_phases(plan: Plan, flown: Flown) -> dict[str, float]:
    """Phase id -> how many times its planned burn was flown: set-ups by their number in each block, the hold
    by its length; 1 where not recorded."""
    scale: dict[str, float] = {}
    for phase in (phase for phase in plan.clock.phases if phase.kind == "set-up"):
        number = flown.of(phase.piece).setups_flown
        if number is not None:
            scale[phase.id] = number / plan.setups[phase.piece]
    for hold in (phase for phase in plan.clock.phases if phase.kind == "hold"):
        own = flown.of(hold.piece).times
        entered, left = own.get("hold"), own.get("leave_hold")
        if hold.seconds > 0 and entered and left:
            scale[hold.id] = (left - entered).total_seconds() / hold.seconds
    return scale


def _sheet(plan: Plan, ship: ShipFuel, gauge: Mapping[str, float], scale: Mapping[str, float]) -> ShipSheet:
    ends = _row_of_point(plan, ship.rows)
    start_lb = ship.rows[0].remaining_exact_lb + ship.rows[0].burn.exact_lb
    planned = {
        point: start_lb if end < 0 else ship.rows[end].remaining_exact_lb for point, end in ends.items()
    }
    points = tuple(FuelPoint(point, lb, gauge.get(point)) for point, lb in planned.items())

    def between(first: str, last: str) -> Burn:
        return _burn((first, last), ship, ship.rows[ends[first] + 1 : ends[last] + 1], gauge, scale)

    names = list(ends)
    return ShipSheet(
        ship.ship,
        ship.burn_factor,
        points,
        tuple(between(a, b) for a, b in pairwise(names)),
        between(names[0], names[-1]),
    )


def _row_of_point(plan: Plan, rows: Sequence[FuelRow]) -> dict[str, int]:
    """Point -> the row at whose end it lies, -1 for the start; points that the sortie doesn't have are left
    out. The hold is that of the first pass."""
    hold = plan.passes[0].hold if plan.passes else None
    instants = {
        "end_of_training": plan.clock.training_end,
        "hold": None if hold is None else hold.arrival,
    }
    found = {"start": -1}
    for point in POINTS[1:-1]:
        at = instants[point]
        before = [i for i, row in enumerate(rows) if at is not None and row.end <= at]
        found |= {point: before[-1]} if before else {}
    return {**dict(sorted(found.items(), key=lambda point: point[1])), "landing": len(rows) - 1}


def _burn(
    ends: tuple[str, str],
    ship: ShipFuel,
    rows: Sequence[FuelRow],
    gauge: Mapping[str, float],
    scale: Mapping[str, float],
) -> Burn:
    ground = sum(row.burn.exact_lb for row in rows if row.phase_id == "ground")
    plain = sum(
        row.burn.exact_lb / ship.burn_factor * scale.get(row.phase_id, 1.0)
        for row in rows
        if row.phase_id != "ground"
    )
    lacking = [point for point in ends if point not in gauge]
    burnt = None if lacking else gauge[ends[0]] - gauge[ends[1]]
    if burnt is None:
        lacks = "not recorded"
    elif plain <= 0:
        lacks = "no planned burn"
    else:
        lacks = "no more burnt than planned on the ground" if burnt <= ground else ""
    factor = None if burnt is None or lacks else (burnt - ground) / plain
    return Burn(*ends, burnt, plain, ground, factor, lacks)


# ---------------------------------------------------------------- cues


@record
class CueRow:
    """A cue, or a mark (``of`` names its cue), as scheduled and as heard. ``spread_s``: of the cue's length,
    as the file has it. ``event``: whose script it is of, by id where there are several. ``doubted``: heard in
    another order than the script's with the one before or after it, so that one of the two is wrong."""

    id: str
    of: str
    scheduled: datetime
    heard: datetime | None
    spread_s: float | None
    event: str = ""
    doubted: bool = False

    @property
    def late_s(self) -> float | None:
        """Heard minus scheduled."""
        return None if self.heard is None else (self.heard - self.scheduled).total_seconds()


@record
class CueLength:
    """How long a part of the script lasted, from its cue to the next one, both heard; seconds as heard less
    scheduled, None where one of the two is doubted."""

    cue: str
    longer_s: float | None
    event: str = ""


@record
class Spread:
    """Of the lengths of ``count`` parts, which is what the file's ``spread`` is of; a reading of a mark or a
    start is none. ``mean_s``: None without any. ``deviation_s``: of a sample (n - 1), None with fewer than
    LEAST_LENGTHS, each of another part."""

    count: int
    mean_s: float | None
    deviation_s: float | None


def cue_rows(plan: Plan, flown: Flown) -> tuple[CueRow, ...]:
    """Cues and their marks in the order of their times, event by event: its passes share its script."""
    several = len({pass_.section.event.id for pass_ in plan.passes}) > 1
    found: list[CueRow] = []
    for id, group in groupby(plan.passes, key=lambda pass_: pass_.section.event.id):
        passes = list(group)
        heard = {k: at for pass_ in passes for k, at in flown.of(pass_.section.id).heard.items()}
        rows = [
            CueRow(
                name,
                "" if name == cue.id else cue.id,
                at,
                heard.get(name),
                cue.spread_s if name == cue.id else None,
                id if several else "",
            )
            for cue in passes[0].cues
            for name, at in ((cue.id, cue.at), *cue.marks)
        ]
        in_order = sorted(rows, key=lambda row: row.scheduled)
        doubted = {row.id for pair in turned_round(in_order) for row in pair}
        found += [replace(row, doubted=row.id in doubted) for row in in_order]
    return tuple(found)


def turned_round(rows: Sequence[CueRow]) -> list[tuple[CueRow, CueRow]]:
    """The neighbours among what was heard of one script of which the later one was heard before the other."""
    heard = [(row, row.heard) for row in rows if row.heard is not None]
    return [
        (before, after)
        for (before, first), (after, second) in pairwise(heard)
        if before.event == after.event and before.scheduled < after.scheduled and second < first
    ]


def cue_lengths(rows: Sequence[CueRow]) -> tuple[CueLength, ...]:
    """The parts of which both ends were heard, in their order."""
    cues = [row for row in rows if not row.of]
    return tuple(
        CueLength(cue.id, None if cue.doubted or after.doubted else after.late_s - cue.late_s, cue.event)
        for cue, after in pairwise(cues)
        if cue.event == after.event and cue.late_s is not None and after.late_s is not None
    )


def spread_of(lengths: Sequence[CueLength]) -> Spread:
    """Mean and deviation of what the parts lasted longer than scheduled; what is doubted does not count."""
    longer = [length.longer_s for length in lengths if length.longer_s is not None]
    enough = len(longer) >= LEAST_LENGTHS
    return Spread(len(longer), mean(longer) if longer else None, stdev(longer) if enough else None)
