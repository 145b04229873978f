"""Reserve, landing fuel, going home, joker: the sums of one ship, line by line."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.schema.base import RESERVED_ID
from briefgen.plan.fuel.flows import burn, flow_lb_h, given_burn, phase_burn, weight
from briefgen.plan.fuel.inputs import FuelInputs, Given, Line, ShipInput, Wait, WayHome
from briefgen.plan.fuel.rounding import (
    add_up,
    as_typed,
    in_a_sum,
    is_printable,
    printed,
    printed_up,
    required,
    tidy,
    total,
    typed_words,
)
from briefgen.plan.model import Addend, Bingo, Clock, FuelSum, Phase, Point, Scale, Tier
from briefgen.plan.model.legs import END_OF_EGRESS

TIERS = ("normal_landing", "minimum", "emergency")
BLOCK = ("gather", "warm-up", "set-up", "training")


# ---------------------------------------------------------------- landing


def reserve_of(ship: ShipInput, inputs: FuelInputs) -> Addend | None:
    """The reserve: a time at the hold flow takes the burn factor and goes up to the step, a weight does
    neither. None where the file gives none."""
    reserve = inputs.reserve
    if reserve is None:
        return None
    if reserve.seconds is None:
        return limit(ship, Given(reserve.lb, reserve.cause, reserve.converted), label="Reserve")
    line = burn(
        ship, "hold", reserve.seconds, inputs.reserve_altitude_ft, label="Reserve", cause=reserve.cause
    )
    return printed(line, printed_up(line.exact_lb, ship.scale))


def reserve_sum(ship: ShipInput, inputs: FuelInputs) -> FuelSum:
    """The reserve as a sum of one line, of none where the file gives none."""
    line = reserve_of(ship, inputs)
    title, lines = ("Reserve: none given", ()) if line is None else ("Reserve", (line,))
    return add_up(title, (), lines, ship.scale, rounded=False)


def as_given(ship: ShipInput, given: Given, *, label: str) -> Addend:
    """A weight that is kept: printed as typed."""
    return printed(weight(ship, given, label=label), as_typed(given.lb, ship.scale))


def limit(ship: ShipInput, given: Given, *, label: str) -> Addend:
    """A limit of the unit's own that is kept: printed as ``limit_of`` has it."""
    return printed(weight(ship, given, label=label), limit_of(given, ship.scale))


def limit_of(given: Given, scale: Scale) -> float:
    """A limit of the unit's own in the displayed unit: as typed, or, typed in another unit, up to the
    step."""
    return printed_up(given.lb, scale) if given.converted else in_a_sum(as_typed(given.lb, scale), scale)


def tiers_of(ship: ShipInput) -> tuple[Tier, ...]:
    """Normal landing, minimum, emergency; ``printed`` None where the file gives none."""
    return tuple(
        Tier(tier, limit_of(given, ship.scale), given.cause)
        if (given := ship.tiers.get(tier))
        else Tier(tier, None, ship.cause)
        for tier in TIERS
    )


@record
class Landing:
    """Fuel required when the leader touches down: the greater of reserve and normal landing, then this ship's
    intervals. It is kept in every sum: rounded up once as a whole, its lines with it."""

    floor: Addend
    intervals: Addend | None
    because: str

    @property
    def addends(self) -> tuple[Addend, ...]:
        """Its lines in a sum."""
        return (self.floor,) if self.intervals is None else (self.floor, self.intervals)

    @property
    def required(self) -> float:
        """Their printed total."""
        return total(line.printed for line in self.addends)


def landing_of(ship: ShipInput, inputs: FuelInputs) -> Landing:
    """The landing fuel of one ship. Each ship waits for those before it in the landing order, one interval
    each, at the recovery flow: none for the first, all of them for the last.  Reserve and normal landing are
    compared exactly, and told as their figures."""
    scale, normal, reserve = ship.scale, ship.tiers.get("normal_landing"), reserve_of(ship, inputs)
    known = {"normal landing": limit(ship, normal, label="Landing fuel: normal landing")} if normal else {}
    known |= {"reserve": replace(reserve, label="Landing fuel: reserve")} if reserve else {}
    floor = max(known.values(), key=lambda line: line.exact_lb)
    intervals = _landing_intervals(ship, inputs, floor)
    words = " and ".join(f"{name} {typed_words(line.printed, scale)}" for name, line in known.items())
    because = f"the greater of {words}" if len(known) > 1 else f"{words}, the only one given"
    if intervals is not None:
        because += f"; and {typed_words(intervals.printed, scale)} for {intervals.label.lower()}"
    return Landing(floor, intervals, because)


def _landing_intervals(ship: ShipInput, inputs: FuelInputs, floor: Addend) -> Addend | None:
    """What the wait adds to the floor as printed."""
    seconds = ship.place * inputs.landing_interval_s
    if seconds <= 0:
        return None
    label = f"Waiting to land as number {ship.place + 1}"
    line = burn(ship, "recovery", seconds, None, label=label, cause=inputs.landing_interval_cause)
    return printed(line, tidy(required(line.exact_lb, (floor,), ship.scale) - floor.printed))


# ---------------------------------------------------------------- going home


def alternate_lines(ship: ShipInput, inputs: FuelInputs, clock: Clock) -> tuple[Line, ...]:
    """From overhead home to the alternate when it is required: climb again, direct leg, approach again."""
    leg = inputs.alternate.leg
    if not inputs.alternate.required or leg is None:
        return ()
    climb = given_burn(ship, inputs.climb, label="Alternate: climb") if inputs.climb else None
    label = f"Alternate: {leg.start.id} direct {leg.end.id}, {leg.distance_nm:.1f} nm"
    way = burn(ship, "recovery", leg.time_s, leg.flow_ft, label=label, cause=inputs.alternate.cause)
    approach = tuple(replace(line, label="Alternate: approach") for line in approach_lines(ship, clock))
    return (*((climb,) if climb else ()), way, *approach)


def approach_lines(ship: ShipInput, clock: Clock) -> tuple[Line, ...]:
    """The approach as the clock flies it."""
    return tuple(phase_burn(ship, phase) for phase in clock.phases if phase.kind == "approach")


def bingo_from(way: WayHome, ship: ShipInput, inputs: FuelInputs, clock: Clock) -> Bingo:
    """Fuel to go home from a point, landing fuel included."""
    leg, title = way.leg, f"Bingo from {way.point.name or way.point.id}"
    return Bingo(
        point=way.point,
        phase=way.phase,
        alternate=inputs.alternate.required,
        distance_nm=leg.distance_nm if leg else 0.0,
        course_true_deg=leg.course_true_deg if leg else None,
        sum=add_up(
            title,
            home_lines(way, ship, inputs, clock),
            landing_of(ship, inputs).addends,
            ship.scale,
            rounded=True,
        ),
        piece=way.piece,
    )


def home_lines(way: WayHome, ship: ShipInput, inputs: FuelInputs, clock: Clock) -> list[Line]:
    """The trip home from a point: climb, direct leg at the recovery flow, approach, alternate if required."""
    leg = way.leg
    lines: list[Line] = []
    if inputs.climb is not None:
        lines.append(given_burn(ship, inputs.climb, label="Climb on the way home"))
    if leg is not None:
        label = f"{_start_words(way.point)} direct {leg.end.id}, {leg.distance_nm:.1f} nm"
        lines.append(burn(ship, "recovery", leg.time_s, leg.flow_ft, label=label, cause=leg.cause))
    lines += approach_lines(ship, clock)
    return [*lines, *alternate_lines(ship, inputs, clock)]


def _start_words(point: Point) -> str:
    """A point at the beginning of a line; two of them no file names."""
    return (
        "Area's far edge" if point.id == RESERVED_ID else END_OF_EGRESS if point.is_egress_end else point.id
    )


def worst(bingos: Sequence[Bingo], phase: str) -> Bingo | None:
    """The one to set now in a phase: that which needs most, the first of equals. None when none is known."""
    return max(
        (b for b in bingos if b.phase == phase), key=lambda b: (b.sum.total, b.sum.exact_lb), default=None
    )


# ---------------------------------------------------------------- joker


def after_training(clock: Clock, block: str) -> tuple[Phase, ...] | None:
    """What is flown after the training of a block has ended, by its order, not by the clock: a hold that is
    reached too late begins before. None where nothing of it is flown."""
    last = max((i for i, p in enumerate(clock.phases) if p.piece == block and p.kind in BLOCK), default=None)
    return None if last is None else clock.phases[last + 1 :]


def joker_sum(
    ship: ShipInput, inputs: FuelInputs, clock: Clock, corners: Sequence[WayHome], block: str
) -> FuelSum | None:
    """Fuel at which the training of a block ends, so that all that follows can be flown. None without it.

    The greater of what follows (see ``onward_sum``) and of going home from one of ``corners``, where the
    training block's bingo is worked out, with the pad: whoever reaches joker at the far edge of the area must
    not have passed bingo there already. Where what follows is long, as with a pass, it is always the first.
    """
    onward = onward_sum(ship, inputs, clock, block)
    if onward is None:
        return None
    return max(
        (onward, *(from_corner(corner, ship, inputs, clock) for corner in corners)),
        key=lambda joker: joker.total,
    )


def from_corner(corner: WayHome, ship: ShipInput, inputs: FuelInputs, clock: Clock) -> FuelSum:
    """The bingo's own lines and the pad."""
    return _joker("Joker at the far edge of the area", home_lines(corner, ship, inputs, clock), ship, inputs)


def _joker(title: str, trip: Sequence[Line], ship: ShipInput, inputs: FuelInputs) -> FuelSum:
    """Trip, landing fuel and pad. A pad that is typed in another unit shares the rounding of the trip, else
    it stands as typed."""
    kept = kept_lines(ship, inputs)
    loose = (
        () if len(kept) > len(landing_of(ship, inputs).addends) else (weight(ship, inputs.pad, label="Pad"),)
    )
    return add_up(title, (*trip, *loose), kept, ship.scale, rounded=True)


def kept_lines(ship: ShipInput, inputs: FuelInputs) -> tuple[Addend, ...]:
    """What joker keeps as printed: landing fuel, and the pad where it can be printed as typed."""
    pad = as_given(ship, inputs.pad, label="Pad")
    return (*landing_of(ship, inputs).addends, *((pad,) if is_printable(pad.printed) else ()))


def onward_sum(ship: ShipInput, inputs: FuelInputs, clock: Clock, block: str) -> FuelSum | None:
    """What follows the training of a block, line by line, then landing fuel and pad; the dearest where an
    accepted slip may lose a later pass. None without it."""
    after, title = after_training(clock, block), "Joker at the end of training"
    if after is None:
        return None
    trips = _trips(after, ship, inputs, clock)
    return max((_joker(f"{title}{but}", lines, ship, inputs) for but, lines in trips), key=_exact_lb)


def continue_sum(piece: str, ship: ShipInput, inputs: FuelInputs, clock: Clock) -> FuelSum | None:
    """What is needed at the end of the egress of a pass so that all that follows can be flown: the joker's
    lines from there, without its pad. None where no other pass follows."""
    last = max((i for i, phase in enumerate(clock.phases) if phase.piece == piece), default=-1)
    after = clock.phases[last + 1 :]
    onward = next((wait.event for wait in inputs.waits if any(p.piece == wait.piece for p in after)), None)
    if last < 0 or onward is None:
        return None
    landing, title = landing_of(ship, inputs).addends, f"To continue to {onward}"
    trips = _trips(after, ship, inputs, clock)
    sums = (add_up(f"{title}{but}", lines, landing, ship.scale, rounded=True) for but, lines in trips)
    return max(sums, key=_exact_lb)


def _exact_lb(sum: FuelSum) -> float:
    return sum.exact_lb


def _trips(
    after: Sequence[Phase], ship: ShipInput, inputs: FuelInputs, clock: Clock
) -> Iterator[tuple[str, list[Line]]]:
    """Phases to their end, with the alternate if required; and, for each pass whose accepted late slip is
    more than the wait of the next one can give, as far as it ends and home from there, all behind dropped."""
    yield "", [*_lines_of(after, ship, inputs), *alternate_lines(ship, inputs, clock)]
    late_s = 0.0
    for (_, own), (phase, later) in pairwise(waits_in(after, inputs.waits)):
        late_s = late_s if own.follows else own.late_s
        if later.follows or own.home is None or late_s <= _slack_s(phase, later):
            continue
        flown = after[: max(i for i, phase in enumerate(after) if phase.piece == own.piece) + 1]
        lines = [*_lines_of(flown, ship, inputs), *home_lines(own.home, ship, inputs, clock)]
        yield f", {later.event} dropped", lines


def _lines_of(after: Sequence[Phase], ship: ShipInput, inputs: FuelInputs) -> list[Line]:
    """Phases as the clock has them, with the longer of planned and actual holds and the dearest slips that
    can follow one another."""
    waits = waits_in(after, inputs.waits)
    changes = dearest_changes(ship, waits)
    own = {phase.id: (wait, s) for (phase, wait), s in zip(waits, changes, strict=True)}
    lines: list[Line] = []
    for phase in after:
        wait, change_s = own.get(phase.id, (None, 0.0))
        if phase.kind == "hold":
            lines.append(_hold_line(ship, phase, wait, min(change_s, 0.0)))
        else:
            lines.append(phase_burn(ship, phase))
        if wait is not None and change_s > 0.0:
            label = "Late slip accepted" if len(inputs.waits) == 1 else f"Late slip accepted, {wait.event}"
            lines.append(slip_line(ship, phase, change_s, label=label, cause=wait.slip_cause))
    return lines


def _hold_line(ship: ShipInput, phase: Phase, wait: Wait | None, change_s: float) -> Line:
    """The longer of planned and actual hold, less what an accepted slip before it leaves less of it."""
    planned_s, actual_s = wait.planned_s if wait is not None else 0.0, phase.seconds
    is_planned = planned_s >= actual_s
    which = "as planned" if is_planned else "as it results"
    label = f"{phase.label}, {which}" if not change_s else f"{phase.label}, {which}, less the slip before it"
    cause = wait.planned_cause if wait is not None and is_planned and wait.planned_cause else phase.cause
    seconds = max(planned_s, actual_s) + change_s
    return burn(ship, phase.flow or "hold", seconds, phase.altitude_ft, label=label, cause=cause)


def slip_line(ship: ShipInput, phase: Phase, seconds: float, *, label: str, cause: KeyPath) -> Line:
    """A late slip that the flight accepts, at the hold flow; without a hold it is flown slower on the run-in,
    at that flow. ``phase`` is where it is waited out."""
    return burn(ship, _flow_of_wait(phase), seconds, phase.altitude_ft, label=label, cause=cause)


def _flow_of_wait(phase: Phase) -> str:
    return "hold" if phase.kind == "hold" else "run_in"


# ---------------------------------------------------------------- slips that can follow one another


def waits_in(after: Sequence[Phase], waits: Sequence[Wait]) -> list[tuple[Phase, Wait]]:
    """The phase in which the slips of each pass are waited out: hold, else run-in; in flying order."""
    found: list[tuple[Phase, Wait]] = []
    for wait in waits:
        own = [phase for phase in after if phase.piece == wait.piece]
        holds = [phase for phase in own if phase.kind == "hold"]
        runs = [phase for phase in own if phase.kind == "run-in"]
        found += [(phase, wait) for phase in (holds or runs)[-1:]]
    return found


def dearest_changes(ship: ShipInput, waits: Sequence[tuple[Phase, Wait]]) -> list[float]:
    """By how many seconds each wait grows with the slips that are accepted and together burn most: late or
    early, none, as much less than the one before as the wait can give, or as much as a later one can still
    follow. Only slips count that can follow one another. A pass whose T follows the one before slips with
    it."""
    best: dict[float, tuple[float, tuple[float, ...]]] = {0.0: (0.0, ())}
    for (phase, wait), followed in zip(waits, _just_followed_s(waits), strict=True):
        rate, slack_s = flow_lb_h(ship, _flow_of_wait(phase), phase.altitude_ft), _slack_s(phase, wait)
        found: dict[float, tuple[float, tuple[float, ...]]] = {}
        for before_s, (burnt, changes) in best.items():
            least_s = before_s - slack_s if changes else -wait.early_s
            slips = (before_s,) if wait.follows else (-wait.early_s, 0.0, wait.late_s, least_s, *followed)
            for slip_s in slips:
                if wait.follows or max(least_s, -wait.early_s) <= slip_s <= wait.late_s:
                    option = (burnt + rate * (slip_s - before_s), (*changes, slip_s - before_s))
                    found[slip_s] = max(found.get(slip_s, option), option)
        best = found or {slip_s: (burnt, (*changes, 0.0)) for slip_s, (burnt, changes) in best.items()}
    return list(max(best.values())[1])


def _just_followed_s(waits: Sequence[tuple[Phase, Wait]]) -> list[tuple[float, ...]]:
    """For each wait the slips from which a later one just comes to an end of its own, its wait and those
    before it as short as can be."""
    found: list[tuple[float, ...]] = []
    followed: tuple[float, ...] = ()
    for phase, wait in reversed(waits):
        found.append(followed)
        ends = () if wait.follows else (-wait.early_s, wait.late_s)
        followed = tuple(slip_s + _slack_s(phase, wait) for slip_s in (*ends, *followed))
    return found[::-1]


def _slack_s(phase: Phase, wait: Wait) -> float:
    """By so much a wait can be shorter than it is; a pass that follows another is flown when that was."""
    return 0.0 if wait.follows or phase.kind != "hold" else max(phase.seconds - wait.least_s, 0.0)
