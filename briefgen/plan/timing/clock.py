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
from briefgen.mission.schema.sortie import Ship
from briefgen.mission.schema.training import Training
from briefgen.plan.model import (
    BlockClock,
    Clock,
    ClockEvent,
    HoldPlan,
    Leg,
    LegKind,
    PassChain,
    Phase,
    PhaseKind,
)
from briefgen.plan.model.laid import Block, Stretch
from briefgen.plan.route.air import flow_height_ft
from briefgen.units.values import Fuel


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
        return _seconds(self.parts)

    @property
    def last_leg_s(self) -> float:
        """The leg that ends the chain; 0 where no leg does."""
        return self.parts[-1].seconds if self.parts and self.parts[-1].leg is not None else 0.0


BEFORE_BLOCK: tuple[PhaseKind, ...] = ("climb", "departure")
TRAINED: tuple[PhaseKind, ...] = ("gather", "warm-up", "set-up")
WAY_FLOWS: Mapping[LegKind, str] = {"departure": "cruise", "transit": "transit", "recovery": "recovery"}


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


# ---------------------------------------------------------------- the forward chain


def forward_chain(mission: Mission, stretch: Stretch, setups: Mapping[str, int]) -> Chain:
    """The ways of a stretch and its blocks, each with so many set-ups as ``setups`` has under its id."""
    parts: list[Part] = []
    blocks: dict[str, BlockSpan] = {}
    ends_in = () if stretch.to is None else (stretch.to.chain.section.id,)
    ids = [piece.section.id if isinstance(piece, Block) else "" for piece in stretch.pieces]
    for piece, following in zip(stretch.pieces, (*ids[1:], *ends_in, ""), strict=False):
        if isinstance(piece, Block):
            own, entry_s = tuple(_block_parts(mission, piece, setups[piece.section.id])), _seconds(parts)
            end_s = entry_s + _seconds(part for part in own if part.kind in TRAINED)
            out_s = end_s + _seconds(part for part in own if part.kind == "leave")
            blocks[piece.section.id] = BlockSpan(entry_s, end_s, out_s)
            parts += own
        else:
            parts += _leg_parts(piece.legs, following)
    return Chain(tuple(parts), blocks)


def _seconds(parts: Iterable[Part]) -> float:
    return sum(part.seconds for part in parts)


def _leg_parts(legs: Sequence[Leg], to: str = "") -> Iterator[Part]:
    """The legs of a way, a transit's named by the piece that it leads to."""
    for i, leg in enumerate(legs, 1):
        id = long_id(to, f"{leg.kind}-{i}") if leg.kind == "transit" else f"{leg.kind}-{i}"
        flow = WAY_FLOWS[leg.kind]
        name = leg.between
        climb_s = leg.climb.time_s if leg.climb is not None else 0.0
        if leg.climb is not None:
            middle_ft = (leg.start_altitude_ft + leg.altitude_ft) / 2
            yield Part(
                f"{id}-climb",
                "climb",
                f"Climb towards {leg.end.id}",
                climb_s,
                "climb",
                None,
                middle_ft,
                leg,
                leg.cause,
            )
        yield Part(id, leg.kind, name, leg.time_s - climb_s, flow, None, leg.flow_ft, leg, leg.cause)


def _block_parts(mission: Mission, block: Block, setups: int) -> Iterator[Part]:
    """The wait for the last ship, where it is the first block; warm-up, set-ups, leave and rejoin. Of several
    blocks each row names its own."""
    section, training = block.section, block.section.written
    of = f" ({section.id})" if len(mission.blocks) > 1 else ""
    own = block_height_ft(training, mission.file.flight[0])
    height = block.way_in_ft if own is None else own

    def part(
        kind: PhaseKind, label: str, seconds: float, fuel: Fuel | None, key: str, *, number: int | None = None
    ) -> Part:
        flow = "training" if kind in ("warm-up", "set-up") else "cruise"
        id = long_id(section.id, kind if number is None else f"{kind}-{number}")
        cause = (*section.cause, key)
        given_lb = mission.fuel_lb(fuel)
        return Part(id, kind, label + of, seconds, flow, given_lb, height, None, cause, section.id)

    gather_s = _intervals(mission, mission.file.ground_ops, "takeoff_interval") if block.first else 0.0
    if gather_s > 0.0 and (training.warm_up is not None or setups > 0):
        yield Part(
            long_id(section.id, "gather"),
            "gather",
            f"Until the last ship is in{of}",
            gather_s,
            "cruise",
            altitude_ft=block.way_in_ft,
            cause=("ground_ops", "takeoff_interval"),
            piece=section.id,
        )
    if training.warm_up is not None:
        yield part("warm-up", "Warm-up", training.warm_up.time, training.warm_up.fuel, "warm_up")
    for i in range(1, setups + 1):
        each = training.setups
        yield part("set-up", f"Set-up {i}", each.each, each.fuel_each, "setups", number=i)
    if training.leave is not None:
        leave = training.leave
        yield part("leave", f"Leave by {leave.by}", leave.time, leave.fuel, "leave")
    if training.rejoin is not None:
        rejoin, label = training.rejoin, "Fuel check" if mission.alone else "Rejoin and check"
        at = part("rejoin", label, rejoin.time, rejoin.fuel, "rejoin")
        yield replace(at, altitude_ft=_rejoin_ft(mission, block))


def _rejoin_ft(mission: Mission, block: Block) -> float | None:
    rejoin = block.section.written.rejoin
    if rejoin is None or rejoin.level is None:
        return block.way_in_ft
    return flow_height_ft(mission, block.exit, rejoin.level)


def block_height_ft(training: Training, ship: Ship) -> float | None:
    """Where a ship burns its training fuel: the middle of its side's block. None without one, or where it is
    above ground that isn't known."""
    band = training.blocks.get(ship.side) if ship.side is not None else None
    if band is None or "AGL" in (band.low.datum, band.high.datum):
        return None
    return (band.low.feet + band.high.feet) / 2


# ---------------------------------------------------------------- after the forward chain


def pass_parts(mission: Mission, chain: PassChain, hold: HoldPlan | None) -> Iterator[Part]:
    """Hold, hold to IP, run-in, push-up, egress, in flying order. The leg from the hold to the IP burns at
    the run-in's flow."""
    run_in, push, piece = chain.run_in, chain.push, chain.section.id
    whole_s = (chain.true_time - chain.ip_time).total_seconds()
    before_s = whole_s if push is None else push.after_ip_s

    def flown(kind: PhaseKind, label: str, seconds: float, flow: str, leg: Leg) -> Part:
        id = long_id(piece, "hold-to-ip" if kind == "hold to IP" else kind)
        return Part(id, kind, label, seconds, flow, None, leg.flow_ft, leg, leg.cause, piece)

    if hold is not None:
        label, height = f"Hold at {hold.fix.id}", _hold_ft(mission, chain, hold)
        yield Part(
            long_id(piece, "hold"), "hold", label, hold.wait_s, "hold", None, height, None, hold.cause, piece
        )
    if chain.hold_to_ip is not None:
        leg = chain.hold_to_ip
        yield flown("hold to IP", leg.between, leg.time_s, "run_in", leg)
    yield flown("run-in", f"Run-in from {run_in.start.id}", before_s, "run_in", run_in)
    if push is not None:
        yield flown("push-up", "Push-up", whole_s - before_s, "push_up", run_in)
    if chain.egress is not None:
        yield flown("egress", "Egress", chain.egress.time_s, "recovery", chain.egress)


def _hold_ft(mission: Mission, chain: PassChain, hold: HoldPlan) -> float | None:
    return flow_height_ft(mission, hold.fix, chain.section.written.hold.level)


def home_parts(mission: Mission, legs: Sequence[Leg]) -> Iterator[Part]:
    """The recovery legs and the approach; the climb's own fuel is a row without time."""
    recovery = mission.file.recovery
    parts = list(_leg_parts(legs))
    if recovery is not None and recovery.climb_fuel is not None and parts:
        given = mission.fuel_lb(recovery.climb_fuel)
        yield Part(
            "recovery-climb",
            "recovery",
            "Climb on the way home",
            0.0,
            None,
            given,
            None,
            None,
            ("recovery", "climb_fuel"),
        )
    yield from parts
    if recovery is not None and recovery.approach is not None:
        given = mission.fuel_lb(recovery.approach.fuel)
        yield Part(
            "approach",
            "approach",
            "Approach",
            recovery.approach.time,
            "recovery",
            given,
            None,
            None,
            ("recovery", "approach"),
        )


def phases_from(start: datetime, parts: Iterable[Part]) -> tuple[Phase, ...]:
    """Parts one after the other from an instant on."""
    phases, at_s = [], 0.0
    for p in parts:
        begin, at_s = at_s, at_s + p.seconds
        phases.append(
            Phase(
                p.id,
                p.kind,
                p.label,
                later(start, begin),
                later(start, at_s),
                p.flow,
                p.given_fuel_lb,
                p.altitude_ft,
                p.leg,
                p.cause,
                p.piece,
            )
        )
    return tuple(phases)


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


def make_clock(mission: Mission, schedule: Schedule) -> Clock:
    """The whole clock from the solved schedule."""
    phases = schedule.phases
    lead_landing = phases[-1].end if phases else schedule.takeoff
    last_landing = later(lead_landing, _intervals(mission, mission.file.recovery, "landing_interval"))
    last_takeoff = later(schedule.takeoff, _intervals(mission, mission.file.ground_ops, "takeoff_interval"))
    blocks = tuple(_block_clocks(mission, schedule))
    block = next(iter(blocks), BlockClock("", None, None, None, None, None, ""))
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


def _intervals(mission: Mission, part: object, key: str) -> float:
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
        name = f"{label} ({section.id})" if len(mission.passes) > 1 else label
        if at is not None:
            yield ClockEvent(long_id(section.id, kind), name, at, section.key(key), kind)
