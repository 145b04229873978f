"""The clock of the sortie: phases forward from take-off, and backward from the true time over target.

The times are the leader's; each other ship has its own until it is in the area (``ship_later_s``), where the
warm-up begins when the last is in. Everything is UTC.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.model import Clock, ClockEvent, HoldPlan, Leg, PassChain, Phase, PhaseKind
from briefgen.plan.route.air import flow_height_ft
from briefgen.plan.route.legs import Route


@record
class Piece:
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


@record
class Chain:
    """The forward chain from take-off to the hold (or to the IP, or to the way home): its pieces, and where
    the block lies."""

    pieces: tuple[Piece, ...]

    @property
    def seconds(self) -> float:
        """From take-off to the end of the chain."""
        return sum(p.seconds for p in self.pieces)

    @property
    def last_leg_s(self) -> float:
        """The leg that ends the chain; 0 where no leg does."""
        return self.pieces[-1].seconds if self.pieces and self.pieces[-1].leg is not None else 0.0

    def until(self, kinds: Iterable[PhaseKind]) -> float:
        """From take-off to the end of the last piece of one of these kinds."""
        wanted = set(kinds)
        last = max((i for i, p in enumerate(self.pieces) if p.kind in wanted), default=-1)
        return sum(p.seconds for p in self.pieces[: last + 1])

    def after(self, kinds: Iterable[PhaseKind]) -> float:
        """From the end of the last piece of one of these kinds to the end of the chain."""
        return self.seconds - self.until(kinds)


BEFORE_BLOCK: tuple[PhaseKind, ...] = ("climb", "departure")
IN_BLOCK: tuple[PhaseKind, ...] = (*BEFORE_BLOCK, "gather", "warm-up", "set-up")


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
    return phase.kind in BEFORE_BLOCK or (mission.file.training is None and phase.kind == "transit")


# ---------------------------------------------------------------- the forward chain


def forward_chain(mission: Mission, route: Route, setups: int) -> Chain:
    """Departure, warm-up, set-ups, leave, rejoin, transit, with so many set-ups."""
    training = _training_pieces(mission, route, setups)
    pieces = [*_leg_pieces(route.departure, "cruise"), *training, *_leg_pieces(route.transit, "transit")]
    return Chain(tuple(pieces))


def _leg_pieces(legs: Sequence[Leg], flow: str) -> Iterator[Piece]:
    for i, leg in enumerate(legs, 1):
        name = leg.between
        climb_s = leg.climb.time_s if leg.climb is not None else 0.0
        if leg.climb is not None:
            middle_ft = (leg.start_altitude_ft + leg.altitude_ft) / 2
            yield Piece(
                f"{leg.kind}-{i}-climb",
                "climb",
                f"Climb towards {leg.end.id}",
                climb_s,
                "climb",
                None,
                middle_ft,
                leg,
                leg.cause,
            )
        kind: PhaseKind = leg.kind if leg.kind in ("departure", "transit", "recovery") else "transit"
        yield Piece(
            f"{leg.kind}-{i}", kind, name, leg.time_s - climb_s, flow, None, leg.flow_ft, leg, leg.cause
        )


def _training_pieces(mission: Mission, route: Route, setups: int) -> Iterator[Piece]:
    training = mission.file.training
    if training is None:
        return
    height, where = _way_in_ft(route), ("training",)
    own = block_height_ft(mission, mission.file.flight[0])
    block = height if own is None else own
    gather_s = _intervals(mission, mission.file.ground_ops, "takeoff_interval")
    if gather_s > 0.0 and (training.warm_up is not None or setups > 0):
        yield Piece(
            "gather",
            "gather",
            "Until the last ship is in",
            gather_s,
            "cruise",
            None,
            height,
            None,
            ("ground_ops", "takeoff_interval"),
        )
    if training.warm_up is not None:
        given = mission.fuel_lb(training.warm_up.fuel)
        yield Piece(
            "warm-up",
            "warm-up",
            "Warm-up",
            training.warm_up.time,
            "training",
            given,
            block,
            None,
            (*where, "warm_up"),
        )
    for i in range(1, setups + 1):
        given = mission.fuel_lb(training.setups.fuel_each)
        yield Piece(
            f"set-up-{i}",
            "set-up",
            f"Set-up {i}",
            training.setups.each,
            "training",
            given,
            block,
            None,
            (*where, "setups"),
        )
    if training.leave is not None:
        given, by = mission.fuel_lb(training.leave.fuel), training.leave.by
        yield Piece(
            "leave",
            "leave",
            f"Leave by {by}",
            training.leave.time,
            "cruise",
            given,
            block,
            None,
            (*where, "leave"),
        )
    if training.rejoin is not None:
        given, at = mission.fuel_lb(training.rejoin.fuel), _rejoin_ft(mission, route, height)
        yield Piece(
            "rejoin",
            "rejoin",
            "Fuel check" if mission.alone else "Rejoin and check",
            training.rejoin.time,
            "cruise",
            given,
            at,
            None,
            (*where, "rejoin"),
        )


def _way_in_ft(route: Route) -> float | None:
    return route.departure[-1].flow_ft if route.departure else None


def _rejoin_ft(mission: Mission, route: Route, otherwise_ft: float | None) -> float | None:
    level = mission.file.training.rejoin.level
    return otherwise_ft if level is None else flow_height_ft(mission, route.training_exit, level)


def block_height_ft(mission: Mission, ship: Ship) -> float | None:
    """Where a ship burns its training fuel: the middle of its side's block. None without one, or where it is
    above ground that isn't known."""
    training = mission.file.training
    band = training.blocks.get(ship.side) if training is not None and ship.side is not None else None
    if band is None or "AGL" in (band.low.datum, band.high.datum):
        return None
    return (band.low.feet + band.high.feet) / 2


# ---------------------------------------------------------------- after the forward chain


def event_pieces(mission: Mission, chain: PassChain, hold: HoldPlan | None) -> Iterator[Piece]:
    """Hold, hold to IP, run-in, push-up, egress, in flying order. The leg from the hold to the IP burns at
    the run-in's flow."""
    run_in, push = chain.run_in, chain.push
    if hold is not None:
        yield Piece(
            "hold",
            "hold",
            f"Hold at {hold.fix.id}",
            hold.wait_s,
            "hold",
            None,
            _hold_ft(mission, chain, hold),
            None,
            hold.cause,
        )
    if chain.hold_to_ip is not None:
        leg = chain.hold_to_ip
        name = leg.between
        yield Piece("hold-to-ip", "hold to IP", name, leg.time_s, "run_in", None, leg.flow_ft, leg, leg.cause)
    whole_s = (chain.true_time - chain.ip_time).total_seconds()
    before_s = whole_s if push is None else push.after_ip_s
    yield Piece(
        "run-in",
        "run-in",
        f"Run-in from {run_in.start.id}",
        before_s,
        "run_in",
        None,
        run_in.flow_ft,
        run_in,
        run_in.cause,
    )
    if push is not None:
        yield Piece(
            "push-up",
            "push-up",
            "Push-up",
            whole_s - before_s,
            "push_up",
            None,
            run_in.flow_ft,
            run_in,
            run_in.cause,
        )
    if chain.egress is not None:
        leg = chain.egress
        yield Piece("egress", "egress", "Egress", leg.time_s, "recovery", None, leg.flow_ft, leg, leg.cause)


def _hold_ft(mission: Mission, chain: PassChain, hold: HoldPlan) -> float | None:
    return flow_height_ft(mission, hold.fix, chain.section.written.hold.level)


def home_pieces(mission: Mission, legs: Sequence[Leg]) -> Iterator[Piece]:
    """The recovery legs and the approach; the climb's own fuel is a row without time."""
    recovery = mission.file.recovery
    pieces = list(_leg_pieces(legs, "recovery"))
    if recovery is not None and recovery.climb_fuel is not None and pieces:
        given = mission.fuel_lb(recovery.climb_fuel)
        yield Piece(
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
    yield from pieces
    if recovery is not None and recovery.approach is not None:
        given = mission.fuel_lb(recovery.approach.fuel)
        yield Piece(
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


def phases_from(start: datetime, pieces: Iterable[Piece]) -> tuple[Phase, ...]:
    """Pieces one after the other from an instant on."""
    phases, at_s = [], 0.0
    for p in pieces:
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
            )
        )
    return tuple(phases)


# ---------------------------------------------------------------- the clock


@record
class Schedule:
    """What the solver decided: take-off, and how the phases lie."""

    takeoff: datetime
    takeoff_solved: bool
    forward: tuple[Phase, ...]
    to_hold_s: float  # from the end of the block to the end of the forward chain, at the speeds as typed
    event: tuple[Phase, ...]
    home: tuple[Phase, ...]


def make_clock(mission: Mission, schedule: Schedule, chain: PassChain | None, hold: HoldPlan | None) -> Clock:
    """The whole clock from the solved schedule."""
    phases = (*schedule.forward, *schedule.event, *schedule.home)
    lead_landing = phases[-1].end if phases else schedule.takeoff
    last_landing = later(lead_landing, _intervals(mission, mission.file.recovery, "landing_interval"))
    last_takeoff = later(schedule.takeoff, _intervals(mission, mission.file.ground_ops, "takeoff_interval"))
    block = _ends(schedule.forward)
    recovery = mission.file.recovery
    shut_down = (
        None if recovery is None or recovery.shut_down is None else later(last_landing, recovery.shut_down)
    )
    duty_end = None if recovery is None or recovery.debrief is None else later(last_landing, recovery.debrief)
    solved = schedule.takeoff_solved or hold is None or hold.planned_s is None
    knock_off, because = _knock_off(mission, schedule, chain, hold)
    clock = Clock(
        takeoff=schedule.takeoff,
        takeoff_solved=schedule.takeoff_solved,
        last_takeoff=last_takeoff,
        report=mission.times.report,
        area_entry=block.entry,
        training_start=block.start,
        training_end=block.end,
        rejoined=block.rejoined,
        hold_arrival=hold.arrival if hold is not None else None,
        leave_hold=chain.leave_hold if chain is not None else None,
        ip=chain.ip_time if chain is not None else None,
        push_up=chain.push.at if chain is not None and chain.push is not None else None,
        true_time=chain.true_time if chain is not None else None,
        set_time=chain.set_time if chain is not None else None,
        lead_landing=lead_landing,
        last_landing=last_landing,
        shut_down=shut_down,
        duty_end=duty_end,
        knock_off=knock_off,
        knock_off_because=because,
        hold_difference_s=None if solved else hold.wait_s - hold.planned_s,
        events=(),
        phases=phases,
    )
    return replace(clock, events=_events(mission, clock))


@record
class _Block:
    """The leader's entry into the area, the warm-up's beginning when the last ship is in, the end of
    training, rejoined."""

    entry: datetime | None
    start: datetime | None
    end: datetime | None
    rejoined: datetime | None


def _ends(forward: Sequence[Phase]) -> _Block:
    inside = [p for p in forward if p.kind in ("gather", "warm-up", "set-up")]
    start = next((p.start for p in inside if p.kind != "gather"), None)
    after = [p for p in forward if p.kind in ("leave", "rejoin")]
    end = inside[-1].end if inside else None
    return _Block(inside[0].start if inside else None, start, end, after[-1].end if after else end)


def _intervals(mission: Mission, part: object, key: str) -> float:
    each = getattr(part, key, None) if part is not None else None
    return (each or 0.0) * (len(mission.file.flight) - 1)


def _knock_off(
    mission: Mission, schedule: Schedule, chain: PassChain | None, hold: HoldPlan | None
) -> tuple[datetime | None, str]:
    """Latest end of training that still leaves the shortest flyable hold of at least the minimum (without a
    hold: that still reaches the IP on its second, at the speeds as typed), and the area before its
    reservation ends; and what is lost later than that."""
    block, reserved = _ends(schedule.forward), mission.times.reserved
    if block.end is None:
        return None, ""
    found = []
    if chain is not None and chain.leave_hold is None:
        found.append((later(chain.ip_time, -schedule.to_hold_s), "the IP is reached too late for T"))
    if chain is not None and hold is not None and hold.shortest_s is not None:
        found.append(
            (
                later(hold.leave, -hold.shortest_s - schedule.to_hold_s),
                "the shortest hold that can be flown is gone",
            )
        )
    if reserved is not None:
        to_leave_s = sum(phase.seconds for phase in schedule.forward if phase.kind == "leave")
        found.append((later(reserved.end, -to_leave_s), "the area's reservation ends before it is left"))
    return min(found, default=(None, ""))


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


def _events(mission: Mission, clock: Clock) -> tuple[ClockEvent, ...]:
    ground, n = mission.file.ground_ops, len(mission.file.flight)
    found = (
        [ClockEvent("report", "Report", clock.report, ("ground_ops", "report"))]
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
            found.append(ClockEvent(key, label, later(clock.takeoff, -before), ("ground_ops", key)))
    found.append(ClockEvent("takeoff", "Take-off", clock.takeoff, ("ground_ops", "takeoff")))
    if n > 1:
        found.append(
            ClockEvent(
                "last-takeoff", f"Take-off ship {n}", clock.last_takeoff, ("ground_ops", "takeoff_interval")
            )
        )
    named = (
        ("area-entry", "Area entry", clock.area_entry, ("training",)),
        ("training-end", "End of training", clock.training_end, ("training", "setups")),
        ("rejoined", "Fuel checked" if mission.alone else "Rejoined", clock.rejoined, ("training", "rejoin")),
        ("hold-arrival", "Hold entered", clock.hold_arrival, ("event", "pass", "hold")),
        ("leave-hold", "Leave-hold", clock.leave_hold, ("event", "pass", "hold")),
        ("ip", "IP", clock.ip, ("event", "pass", "run_in")),
        ("push-up", "Push-up", clock.push_up, ("event", "pass", "push_up_to")),
        ("true-time", "True time over target", clock.true_time, ("event", "pass", "time")),
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
    found += [ClockEvent(id, label, at, cause) for id, label, at, cause in named if at is not None]
    return tuple(sorted(found, key=lambda e: e.at))
