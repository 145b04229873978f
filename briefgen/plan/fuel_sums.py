"""Reserve, landing fuel, going home, joker: the sums of one ship, line by line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from briefgen.mission.schema_base import RESERVED_ID
from briefgen.plan.fuel_flows import burn, given_burn, phase_burn, weight
from briefgen.plan.fuel_inputs import FuelInputs, Given, ShipInput, WayHome
from briefgen.plan.fuel_round import add_up, as_typed, typed_words
from briefgen.plan.model import Addend, Bingo, Clock, FuelSum, Phase, Tier
from briefgen.plan.model.legs import EGRESS_ID, END_OF_EGRESS
from briefgen.records import record

_STARTS = {RESERVED_ID: "Area's far edge", EGRESS_ID: END_OF_EGRESS}  # the two points that no file names, at the beginning of a line
TIERS = ("normal_landing", "minimum", "emergency")


# ---------------------------------------------------------------- landing


def reserve_sum(ship: ShipInput, inputs: FuelInputs) -> FuelSum:
    """The reserve: a time at the hold flow takes the burn factor, a weight does not and its figure is as typed. No addends: the file gives none."""
    reserve, scale = inputs.reserve, inputs.scale
    if reserve is None:
        return add_up("Reserve: none given", (), scale, rounded=False)
    if reserve.seconds is None:
        line = weight(Given(reserve.lb, reserve.cause), label="Reserve", scale=scale)
        return replace(add_up("Reserve", (line,), scale, rounded=False), figure=as_typed(reserve.lb, scale))
    line = burn(ship, "hold", reserve.seconds, inputs.reserve_altitude_ft, label="Reserve", cause=reserve.cause, scale=scale)
    return add_up("Reserve", (line,), scale, rounded=False)


def tiers_of(ship: ShipInput, inputs: FuelInputs) -> tuple[Tier, ...]:
    """Normal landing, minimum, emergency as typed; ``printed`` None where the file gives none."""
    return tuple(
        Tier(tier, as_typed(given.lb, inputs.scale), given.cause) if (given := ship.tiers.get(tier)) else Tier(tier, None, ship.cause)
        for tier in TIERS
    )


@record
class Landing:
    """Fuel required when the leader touches down: the greater of reserve and normal landing, then this ship's intervals."""

    floor: Addend
    intervals: Addend | None
    because: str

    @property
    def addends(self) -> tuple[Addend, ...]:
        """Its lines in a sum."""
        return (self.floor,) if self.intervals is None else (self.floor, self.intervals)

    @property
    def required(self) -> int:
        """Their printed total."""
        return sum(line.printed for line in self.addends)


def landing_of(ship: ShipInput, inputs: FuelInputs) -> Landing:
    """The landing fuel of one ship. Each ship waits for those before it in the landing order, one interval each, at the
    recovery flow: none for the first, all of them for the last.  Reserve and normal landing are compared exactly, and told as their figures."""
    scale, normal, reserve = inputs.scale, ship.tiers.get("normal_landing"), reserve_sum(ship, inputs)
    known = [(weight(normal, label="Landing fuel: normal landing", scale=scale), as_typed(normal.lb, scale))] if normal else []
    known += [(replace(line, label="Landing fuel: reserve"), reserve.figure) for line in reserve.addends]
    floor = max((line for line, _ in known), key=lambda line: line.exact_lb)
    intervals = _landing_intervals(ship, inputs)
    words = " and ".join(f"{line.label.removeprefix('Landing fuel: ')} {typed_words(figure, scale)}" for line, figure in known)
    because = f"the greater of {words}" if len(known) > 1 else f"{words}, the only one given"
    if intervals is not None:
        because += f"; and {intervals.printed} {scale.unit} for {intervals.label.lower()}"
    return Landing(floor, intervals, because)


def _landing_intervals(ship: ShipInput, inputs: FuelInputs) -> Addend | None:
    seconds = ship.place * inputs.landing_interval_s
    if seconds <= 0:
        return None
    label = f"Waiting to land as number {ship.place + 1}"
    cause = inputs.landing_interval_cause
    return burn(ship, "recovery", seconds, None, label=label, cause=cause, scale=inputs.scale)


# ---------------------------------------------------------------- going home


def alternate_lines(ship: ShipInput, inputs: FuelInputs, clock: Clock) -> tuple[Addend, ...]:
    """From overhead home to the alternate when it is required: climb again, direct leg, approach again."""
    leg = inputs.alternate.leg
    if not inputs.alternate.required or leg is None:
        return ()
    scale = inputs.scale
    climb = given_burn(ship, inputs.climb, label="Alternate: climb", scale=scale) if inputs.climb else None
    label = f"Alternate: {leg.start.id} direct {leg.end.id}, {leg.distance_nm:.1f} nm"
    way = burn(ship, "recovery", leg.time_s, leg.altitude_ft, label=label, cause=inputs.alternate.cause, scale=scale)
    approach = tuple(replace(line, label="Alternate: approach") for line in approach_lines(ship, inputs, clock))
    return (*((climb,) if climb else ()), way, *approach)


def approach_lines(ship: ShipInput, inputs: FuelInputs, clock: Clock) -> tuple[Addend, ...]:
    """The approach as the clock flies it."""
    return tuple(phase_burn(ship, phase, inputs.scale) for phase in clock.phases if phase.kind == "approach")


def bingo_from(way: WayHome, ship: ShipInput, inputs: FuelInputs, clock: Clock) -> Bingo:
    """Fuel to go home from a point: direct leg at the recovery flow, climb, approach, alternate if required, landing fuel."""
    scale, leg = inputs.scale, way.leg
    lines: list[Addend] = []
    if inputs.climb is not None:
        lines.append(given_burn(ship, inputs.climb, label="Climb on the way home", scale=scale))
    if leg is not None:
        label = f"{_STARTS.get(way.point.id, way.point.id)} direct {leg.end.id}, {leg.distance_nm:.1f} nm"
        lines.append(burn(ship, "recovery", leg.time_s, leg.altitude_ft, label=label, cause=leg.cause, scale=scale))
    lines += approach_lines(ship, inputs, clock)
    lines += alternate_lines(ship, inputs, clock)
    lines += landing_of(ship, inputs).addends
    return Bingo(
        point=way.point,
        phase=way.phase,
        alternate=inputs.alternate.required,
        distance_nm=leg.distance_nm if leg else 0.0,
        course_true_deg=leg.course_true_deg if leg else None,
        sum=add_up(f"Bingo from {way.point.name or way.point.id}", tuple(lines), scale, rounded=True),
    )


def worst(bingos: Sequence[Bingo], phase: str) -> Bingo | None:
    """The one to set now in a phase: that which needs most, the first of equals. None when none is known."""
    return max((b for b in bingos if b.phase == phase), key=lambda b: (b.sum.total, b.sum.exact_lb), default=None)


# ---------------------------------------------------------------- joker


def joker_sum(ship: ShipInput, inputs: FuelInputs, clock: Clock, corner: Bingo | None) -> FuelSum | None:
    """Fuel at which training ends, so that all that follows can be flown. None without training.

    The greater of what follows and of ``corner``, the bingo of the training block, with the pad: whoever reaches joker at the far edge of the
    area must not have passed bingo there already. Where what follows is long, as with a pass, it is always the first.
    """
    onward = onward_sum(ship, inputs, clock)
    if onward is None or corner is None:
        return onward
    back = from_corner(corner, inputs)
    return back if back.total > onward.total else onward


def from_corner(corner: Bingo, inputs: FuelInputs) -> FuelSum:
    """The bingo's own lines and the pad."""
    return add_up("Joker at the far edge of the area", (*corner.sum.addends, _pad(inputs)), inputs.scale, rounded=True)


def _pad(inputs: FuelInputs) -> Addend:
    return weight(inputs.pad, label="Pad", scale=inputs.scale)


def onward_sum(ship: ShipInput, inputs: FuelInputs, clock: Clock) -> FuelSum | None:
    """What follows the training, line by line; None without training.

    Every phase after the end of training as the clock has it, with the longer of planned and actual hold and the late
    slip at the hold flow; then the alternate if required, landing fuel and pad.
    """
    if clock.training_end is None:
        return None
    lines: list[Addend] = []
    after = [p for p in clock.phases if p.start >= clock.training_end]
    slip_at = _slip_after(after, inputs)
    for phase in after:
        lines.append(_hold_line(ship, phase, inputs) if phase.kind == "hold" else phase_burn(ship, phase, inputs.scale))
        if phase is slip_at:
            lines.append(slip_line(ship, phase, inputs))
    lines += alternate_lines(ship, inputs, clock)
    lines += landing_of(ship, inputs).addends
    lines.append(_pad(inputs))
    return add_up("Joker at the end of training", tuple(lines), inputs.scale, rounded=True)


def _hold_line(ship: ShipInput, phase: Phase, inputs: FuelInputs) -> Addend:
    planned_s, actual_s = inputs.hold_planned_s, phase.seconds
    longer_s = max(planned_s, actual_s)
    which = "as planned" if planned_s >= actual_s else "as it results"
    cause = inputs.hold_planned_cause if planned_s >= actual_s and inputs.hold_planned_cause else phase.cause
    label = f"{phase.label}, {which}"
    return burn(ship, phase.flow or "hold", longer_s, phase.altitude_ft, label=label, cause=cause, scale=inputs.scale)


def slip_line(ship: ShipInput, phase: Phase, inputs: FuelInputs) -> Addend:
    """The late slip that the flight accepts, at the hold flow; ``phase`` is where it is waited out."""
    return burn(ship, "hold", inputs.slip_late_s, phase.altitude_ft, label="Late slip accepted", cause=inputs.slip_cause, scale=inputs.scale)


def _slip_after(after: Sequence[Phase], inputs: FuelInputs) -> Phase | None:
    """The phase after which the slip's line stands: the hold, else the last one before the pass."""
    if inputs.slip_late_s <= 0:
        return None
    holds = [p for p in after if p.kind == "hold"]
    before_pass = [p for p in after if p.kind in ("leave", "rejoin", "transit")]
    return holds[-1] if holds else before_pass[-1] if before_pass else after[0] if after else None


