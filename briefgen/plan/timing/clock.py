"""The clock of the sortie: phases forward from take-off, and backward from the true time over target.

The times are the leader's; each other ship has its own until it is in the area (``ship_later_s``), where the
warm-up begins when the last is in. Everything is UTC.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Any

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import BlockSection, long_id
from briefgen.plan.model import (
    BlockClock,
    Clock,
    ClockEvent,
    HoldPlan,
    Leg,
    PassChain,
    Phase,
    PhaseKind,
)


@record
class Part:
    """A phase before it has a time: what is flown, for how long, on what fuel."""

    id: str
    kind: PhaseKind
    label: str
    seconds: float
    flow: str | None
    given_fuel_lb: float | None = None
    altitude_ft: float | None = None
    leg: Leg | None = None
    cause: KeyPath = ()
    piece: str = ""


@record
class BlockSpan:
    """Where a block lies in its stretch, in seconds from the stretch's begin: the leader comes in, training
    ends, the area is left."""

    entry_s: float
    end_s: float
    out_s: float


@record
class Chain:
    """The forward chain of a stretch, from take-off (or the egress before) to the hold, or to the IP, or to
    the way home: its parts, and where its blocks lie."""

    parts: tuple[Part, ...]
    blocks: Mapping[str, BlockSpan]

    @property
    def seconds(self) -> float:
        """From its begin to its end."""
        return seconds_of(self.parts)

    @property
    def last_leg_s(self) -> float:
        """The leg that ends the chain; 0 where no leg does."""
        return self.parts[-1].seconds if self.parts and self.parts[-1].leg is not None else 0.0


BEFORE_BLOCK: tuple[PhaseKind, ...] = ("climb", "departure")
TRAINED: tuple[PhaseKind, ...] = ("gather", "warm-up", "set-up")


def seconds_of(parts: Iterable[Part]) -> float:
    """What they take together."""
    return sum(part.seconds for part in parts)


def later(instant: datetime, seconds: float) -> datetime:
    """An instant some seconds later (negative: sooner)."""
    return instant + timedelta(seconds=seconds)


def nearest_second(instant: datetime) -> datetime:
    """The whole second that is printed for an instant, halves up."""
    return (instant + timedelta(milliseconds=500)).replace(microsecond=0)


# ---------------------------------------------------------------- the clock of one ship


def ship_later_s(mission: Mission, number: int) -> float:
    """Seconds by which a ship takes off after the leader: one interval for each ship before it."""
    place = next(i for i, ship in enumerate(mission.file.flight) if ship.ship == number)
    return place * (mission.file.ground_ops.takeoff_interval or 0.0)


def on_own_clock(mission: Mission, phase: Phase) -> bool:
    """True for what each ship flies on its own clock: up to the area, without training up to the hold fix or
    the IP. After it the flight has one clock."""
    to_block = isinstance(mission.first_piece, BlockSection)
    return phase.kind in BEFORE_BLOCK or (not to_block and phase.kind == "transit")


# ---------------------------------------------------------------- the clock


@record
class Timed:
    """A stretch with its times: ``forward`` up to the pass, ``after`` from the hold (or the IP) to the end of
    the egress. ``to`` and ``hold`` are None where it leads to none."""

    chain: Chain
    forward: tuple[Phase, ...]
    to: PassChain | None = None
    hold: HoldPlan | None = None
    after: tuple[Phase, ...] = ()

    @property
    def end(self) -> datetime | None:
        """When the next one begins; None where nothing is flown."""
        phases = (*self.forward, *self.after)
        return phases[-1].end if phases else None


@record
class Schedule:
    """What the solver decided: take-off, and how the phases lie."""

    takeoff: datetime
    takeoff_solved: bool
    stretches: tuple[Timed, ...]
    home: tuple[Phase, ...]

    @property
    def phases(self) -> tuple[Phase, ...]:
        """All of them, in flying order."""
        flown = (phase for timed in self.stretches for phase in (*timed.forward, *timed.after))
        return (*flown, *self.home)


EARLY_S = 1.0  # the IP is reached on its second
NO_BLOCK_CLOCK = BlockClock("", None, None, None, None, None, "")  # of a sortie without training


def _with_early(takeoff: datetime, phases: Sequence[Phase]) -> Iterator[Phase]:
    """The phases, a run-in whose IP is reached too early with by how much: no hold before it takes that
    up."""
    ends = (takeoff, *(phase.end for phase in phases))
    for phase, before in zip(phases, ends, strict=False):
        early_s = (phase.start - before).total_seconds() if phase.kind == "run-in" else 0.0
        yield replace(phase, early_s=early_s) if early_s > EARLY_S else phase


def make_clock(mission: Mission, schedule: Schedule) -> Clock:
    """The whole clock from the solved schedule."""
    phases = tuple(_with_early(schedule.takeoff, schedule.phases))
    lead_landing = phases[-1].end if phases else schedule.takeoff
    last_landing = later(lead_landing, intervals_s(mission, mission.file.recovery, "landing_interval"))
    last_takeoff = later(schedule.takeoff, intervals_s(mission, mission.file.ground_ops, "takeoff_interval"))
    blocks = tuple(_block_clocks(mission, schedule))
    block = next(iter(blocks), NO_BLOCK_CLOCK)
    first = next((timed for timed in schedule.stretches if timed.to is not None), None)
    chain, hold = (None, None) if first is None else (first.to, first.hold)
    recovery = mission.file.recovery
    shut_down = (
        None if recovery is None or recovery.shut_down is None else later(last_landing, recovery.shut_down)
    )
    duty_end = None if recovery is None or recovery.debrief is None else later(last_landing, recovery.debrief)
    clock = Clock(
        takeoff=schedule.takeoff,
        takeoff_solved=schedule.takeoff_solved,
        last_takeoff=last_takeoff,
        report=mission.times.report,
        lead_landing=lead_landing,
        last_landing=last_landing,
        shut_down=shut_down,
        duty_end=duty_end,
        blocks=blocks,
        events=(),
        phases=phases,
        **block_members(block),
        **pass_members(chain, hold, solved=schedule.takeoff_solved),
    )
    return replace(clock, events=_events(mission, clock, schedule))


def block_members(block: BlockClock) -> dict[str, Any]:
    """What a clock has of one block of training, by the names of its members."""
    return {
        "area_entry": block.entry,
        "training_start": block.start,
        "training_end": block.end,
        "rejoined": block.rejoined,
        "knock_off": block.end_by,
        "knock_off_because": block.end_by_because,
    }


def pass_members(chain: PassChain | None, hold: HoldPlan | None, *, solved: bool) -> dict[str, Any]:
    """What a clock has of one pass, by the names of its members; ``solved``: take-off was worked out from
    its planned hold, and nothing is left to differ."""
    untold = solved or hold is None or hold.planned_s is None
    return {
        "hold_arrival": None if hold is None else hold.arrival,
        "leave_hold": None if chain is None else chain.leave_hold,
        "ip": None if chain is None else chain.ip_time,
        "push_up": None if chain is None or chain.push is None else chain.push.at,
        "true_time": None if chain is None else chain.true_time,
        "set_time": None if chain is None else chain.set_time,
        "hold_difference_s": None if untold else hold.wait_s - hold.planned_s,
    }


def _block_clocks(mission: Mission, schedule: Schedule) -> Iterator[BlockClock]:
    for timed in schedule.stretches:
        for section in (block for block in mission.blocks if block.id in timed.chain.blocks):
            own = [phase for phase in timed.forward if phase.piece == section.id]
            inside = [phase for phase in own if phase.kind in TRAINED]
            after = [phase for phase in own if phase.kind in ("leave", "rejoin")]
            end = inside[-1].end if inside else None
            end_by, because = (None, "") if end is None else _end_by(mission, timed, section)
            yield BlockClock(
                section.id,
                inside[0].start if inside else None,
                next((phase.start for phase in inside if phase.kind != "gather"), None),
                end,
                after[-1].end if after else end,
                end_by,
                because,
            )


def intervals_s(mission: Mission, part: object, key: str) -> float:
    """An interval of a section (0 where it is not given) once for each ship after the first."""
    each = getattr(part, key, None) if part is not None else None
    return (each or 0.0) * (len(mission.file.flight) - 1)


def _end_by(mission: Mission, timed: Timed, section: BlockSection) -> tuple[datetime | None, str]:
    """Latest end of training that still leaves the shortest flyable hold of at least the minimum (without a
    hold: that still reaches the IP on its second, at the speeds as typed), and the area before its
    reservation ends; and what is lost later than that. A later block on the way, whose set-ups the file
    leaves open, has its minimum then, and is left before its own reservation ends."""
    chain, hold, span = timed.to, timed.hold, timed.chain.blocks[section.id]
    left_out_s, found = 0.0, []
    following = [block for block in mission.blocks if block.id in timed.chain.blocks]
    for block in following[following.index(section) + 1 :]:
        left_out_s += _not_needed_s(timed, block)
        if block.reserved is not None:
            to_out_s = timed.chain.blocks[block.id].out_s - span.end_s - left_out_s
            why = f"the reservation of {block.id} ends before it is left"
            found.append((later(block.reserved.end, -to_out_s), why))
    to_hold_s = timed.chain.seconds - span.end_s - left_out_s
    if chain is not None and chain.leave_hold is None:
        found.append((later(chain.ip_time, -to_hold_s), "the IP is reached too late for T"))
    if chain is not None and hold is not None and hold.shortest_s is not None:
        shortest = later(hold.leave, -hold.shortest_s - to_hold_s)
        found.append((shortest, "the shortest hold that can be flown is gone"))
    if section.reserved is not None:
        last = later(section.reserved.end, span.end_s - span.out_s)
        found.append((last, "the area's reservation ends before it is left"))
    return min(found, default=(None, ""))


def least_setups(section: BlockSection) -> int:
    """What a block is left whatever an earlier one takes: a typed number, else the minimum."""
    setups = section.written.setups
    return setups.planned if setups.planned is not None else setups.minimum or 0


def _not_needed_s(timed: Timed, section: BlockSection) -> float:
    """The set-ups of a block beyond what it is left whatever happens."""
    flown = [part for part in timed.chain.parts if part.kind == "set-up" and part.piece == section.id]
    return sum(part.seconds for part in flown[least_setups(section) :])


def ground_out_of_order(clock: Clock) -> list[Diagnostic]:
    """A caution where anything before take-off comes before the report: the two are typed in different ways
    (a clock time, a time before)."""
    early = [
        event
        for event in clock.events
        if clock.report is not None and event.id != "report" and event.at < clock.report
    ]
    if not early:
        return []
    before_s = max((clock.report - event.at).total_seconds() for event in early)
    message = f"{early[0].label} comes {before_s / 60:.0f} min before the report"
    why, help = (
        "the crew would not be there, or the duty period begins sooner than it is counted",
        "check ground_ops.report and the times before take-off",
    )
    return [
        Diagnostic("before-report", "caution", message, why=why, help=help, cause=("ground_ops", "report"))
    ]


def _events(mission: Mission, clock: Clock, schedule: Schedule) -> tuple[ClockEvent, ...]:
    ground, n = mission.file.ground_ops, len(mission.file.flight)
    found = (
        [ClockEvent("report", "Report", clock.report, ("ground_ops", "report"), "report")]
        if clock.report is not None
        else []
    )
    for key, label in (
        ("brief", "Brief"),
        ("step", "Step"),
        ("start", "Start"),
        ("check_in", "Check-in"),
        ("taxi", "Taxi"),
    ):
        before = getattr(ground, key)
        if before is not None:
            found.append(ClockEvent(key, label, later(clock.takeoff, -before), ("ground_ops", key), key))
    found.append(ClockEvent("takeoff", "Take-off", clock.takeoff, ("ground_ops", "takeoff"), "takeoff"))
    if n > 1:
        found.append(
            ClockEvent(
                "last-takeoff",
                f"Take-off ship {n}",
                clock.last_takeoff,
                ("ground_ops", "takeoff_interval"),
                "last-takeoff",
            )
        )
    found += [event for block in clock.blocks for event in _block_events(mission, block)]
    named = (
        ("landing", "Landing" if mission.alone else "Landing ship 1", clock.lead_landing, ("recovery",)),
        (
            "last-landing",
            f"Landing ship {n}",
            clock.last_landing if n > 1 else None,
            ("recovery", "landing_interval"),
        ),
        ("shut-down", "Shut-down", clock.shut_down, ("recovery", "shut_down")),
        ("debrief-end", "End of debrief", clock.duty_end, ("recovery", "debrief")),
    )
    found += [ClockEvent(kind, label, at, cause, kind) for kind, label, at, cause in named if at is not None]
    found += [event for timed in schedule.stretches for event in _pass_events(mission, timed)]
    return tuple(sorted(found, key=lambda e: e.at))


def _block_events(mission: Mission, clock: BlockClock) -> Iterator[ClockEvent]:
    """The named instants of a block; of several their labels name it."""
    block = next(block for block in mission.blocks if block.id == clock.id)
    for kind, label, at, key in (
        ("area-entry", "Area entry", clock.entry, ()),
        ("training-end", "End of training", clock.end, ("setups",)),
        ("rejoined", "Fuel checked" if mission.alone else "Rejoined", clock.rejoined, ("rejoin",)),
    ):
        name = f"{label} ({block.id})" if len(mission.blocks) > 1 else label
        if at is not None:
            yield ClockEvent(long_id(block.id, kind), name, at, block.key(*key), kind)


def _pass_events(mission: Mission, timed: Timed) -> Iterator[ClockEvent]:
    """The named instants of a pass; of several their labels name it."""
    chain, hold = timed.to, timed.hold
    if chain is None:
        return
    section = chain.section
    for kind, label, at, key in (
        ("hold-arrival", "Hold entered", hold.arrival if hold is not None else None, "hold"),
        ("leave-hold", "Leave-hold", chain.leave_hold, "hold"),
        ("ip", "IP", chain.ip_time, "run_in"),
        ("push-up", "Push-up", chain.push.at if chain.push is not None else None, "push_up_to"),
        ("true-time", "True time over target", chain.true_time, "time"),
    ):
        name = f"{label} ({section.name})" if len(mission.passes) > 1 else label
        if at is not None:
            yield ClockEvent(long_id(section.id, kind), name, at, section.key(key), kind)
