"""How many set-ups: what fuel allows and which ship, what is flown and why, what the flypast costs. (Time:
see solve.)"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from briefgen.core.records import record
from briefgen.mission.resolve.sections import BlockSection
from briefgen.plan.fuel.inputs import FuelInputs, ShipInput, WayHome
from briefgen.plan.fuel.rounding import printed_down, required, tidy, up_to
from briefgen.plan.fuel.rows import fuel_rows, hold_rate_lb_h
from briefgen.plan.fuel.sums import after_training, from_corner, kept_lines, landing_of, onward_sum
from briefgen.plan.model import Clock, FuelPlan, Phase, ShipFuel, TrainingPlan

MOST_SETUPS = 60  # no block has more; keeps a set-up that costs nothing from counting for ever


@record
class ByFuel:
    """The most set-ups that fuel allows, and the ship that allows no more."""

    setups: int
    limiting_ship: int


@record
class BlockDecision:
    """How many set-ups of a block, and what bounds them: None where it can't be told."""

    setups: int
    by_time: int | None
    by_fuel: ByFuel | None


def setups_by_fuel(
    inputs: FuelInputs,
    clock: Clock,
    *,
    hold_takes_up: bool,
    corner: WayHome | None = None,
    block: str = "",
) -> ByFuel | None:
    """The most set-ups of a block after which every ship ends its training at or above its joker, as printed.

    ``clock`` is any clock of this sortie with at least one set-up of it.  ``hold_takes_up``: take-off is
    fixed, so each set-up more makes the hold one set-up shorter, and the joker with it down to the planned
    hold; False: take-off moves, the hold stays.  ``corner``: where the longest way home from the area begins.
    Time isn't looked at: a hold shorter than nothing counts as the planned one.  None without a set-up to
    count. All flows must be there (``plan/fuel/checks.py``)."""
    own = Counted(clock, block, hold_takes_up)
    if not own.setups:
        return None
    allowed = [(*_ship_setups(ship, inputs, own, corner), ship.ship) for ship in inputs.ships]
    setups, _, limiting = min(allowed)
    return ByFuel(setups, limiting)


@record
class Counted:
    """The block whose set-ups are counted, on a clock that has some; ``hold_takes_up`` as above."""

    clock: Clock
    block: str
    hold_takes_up: bool

    @property
    def setups(self) -> list[Phase]:
        """Its set-ups on this clock."""
        return [p for p in self.clock.phases if p.kind == "set-up" and p.piece == self.block]

    @property
    def hold(self) -> Phase | None:
        """The hold of the pass that follows it, None where that has none or no pass follows."""
        after = after_training(self.clock, self.block) or ()
        first = next((p for p in after if p.kind in ("hold", "run-in")), None)
        return first if first is not None and first.kind == "hold" else None


def _ship_setups(
    ship: ShipInput, inputs: FuelInputs, own: Counted, corner: WayHome | None
) -> tuple[int, float]:
    """The most set-ups of one ship, and its printed margin over joker after them."""
    clock, setups = own.clock, own.setups
    rows = fuel_rows(ship, inputs, clock, landing_of(ship, inputs), {})
    first = next(row for row in rows if row.phase_id == setups[0].id)
    before_lb, each_lb = first.remaining_exact_lb + first.burn.exact_lb, first.burn.exact_lb
    at_edge = from_corner(corner, ship, inputs, clock).figure if corner is not None else 0
    # beyond it nothing would be left at all
    affordable = min(int(before_lb / each_lb), MOST_SETUPS) if each_lb > 0 else MOST_SETUPS
    jokers = _jokers(
        ship,
        inputs,
        own,
        [n - len(setups) if own.hold_takes_up else 0 for n in range(max(affordable, 0) + 1)],
    )
    margins = [
        tidy(printed_down(before_lb - n * each_lb, ship.scale) - max(joker, at_edge))
        for n, joker in enumerate(jokers)
    ]
    most = max((n for n, margin in enumerate(margins) if margin >= 0), default=0)
    return most, margins[most]


def _jokers(ship: ShipInput, inputs: FuelInputs, own: Counted, changes: Sequence[int]) -> list[float]:
    """What joker asks for the way on with so many set-ups more than the clock has (negative: fewer), the hold
    shorter by as many."""
    onward, kept, hold, scale = (
        onward_sum(ship, inputs, own.clock, own.block),
        kept_lines(ship, inputs),
        own.hold,
        ship.scale,
    )
    assert onward is not None, "a block with set-ups has an end of training"
    trip_lb = onward.exact_lb - sum(line.exact_lb for line in kept)
    piece = hold.piece if hold is not None else None
    planned_s = next((wait.planned_s for wait in inputs.waits if wait.piece == piece), 0.0)
    each_s = own.setups[0].seconds
    rate = hold_rate_lb_h(ship, hold) / 3600 if hold is not None else 0.0
    hold_s = [
        max(planned_s, hold.seconds - n * each_s, 0.0) if hold is not None else 0.0 for n in (0, *changes)
    ]
    return [
        up_to(required(trip_lb + rate * (now_s - hold_s[0]), kept, scale), scale.round_up_to)
        for now_s in hold_s[1:]
    ]


# ---------------------------------------------------------------- what is flown


def choose_setups(
    given: int | None, by_time: int | None, by_fuel: ByFuel | None
) -> tuple[int | None, Literal["given", "time", "fuel"]]:
    """What is flown and which bound it is: given ones as given, else the least of time and fuel (time where
    they are equal). None when neither is known."""
    if given is not None:
        return given, "given"
    if by_fuel is not None and (by_time is None or by_fuel.setups < by_time):
        return by_fuel.setups, "fuel"
    return by_time, "time"


def training_plan(section: BlockSection, decided: BlockDecision) -> TrainingPlan:
    """The record of a block; what the flypast costs it is told later, see the two below."""
    training, by_time, by_fuel = section.written, decided.by_time, decided.by_fuel
    setups = training.setups
    _, bound = choose_setups(setups.planned, by_time, by_fuel)
    return TrainingPlan(
        id=section.id,
        setups_flown=decided.setups,
        setups_given=setups.planned,
        setups_minimum=setups.minimum or 0,
        by_time=by_time,
        by_fuel=by_fuel.setups if by_fuel else None,
        limiting_ship=by_fuel.limiting_ship if by_fuel else None,
        bound=bound,
        warm_up_s=training.warm_up.time if training.warm_up else 0.0,
        each_s=setups.each,
        leave_s=training.leave.time if training.leave else 0.0,
        rejoin_s=training.rejoin.time if training.rejoin else 0.0,
        cost_setups=None,
        cost_fuel_printed=None,
    )


def least(bounds: Sequence[int | None]) -> int | None:
    """The least of the bounds that are known; None when none is."""
    return min((bound for bound in bounds if bound is not None), default=None)


def cost_setups(with_it: Sequence[int | None], without_it: Sequence[int | None]) -> int | None:
    """Set-ups that the flypast costs: what (time, fuel) would allow without it, less what they allow with
    it."""
    before, after = least(without_it), least(with_it)
    return None if before is None or after is None else before - after


def cost_fuel(with_it: FuelPlan, without_it: FuelPlan) -> float:
    """Printed fuel that the flypast costs the thirstiest ship, both sorties with the same set-ups."""
    ships = [next(s for s in plan.ships if s.ship == with_it.thirstiest) for plan in (with_it, without_it)]
    flown, plain = (ship.start_printed - ship.landing_predicted for ship in ships)
    return tidy(flown - plain)


def joker_margin(ship: ShipFuel) -> float | None:
    """Printed fuel above joker at the end of training, negative below; None without training."""
    if ship.joker is None or ship.training_end_predicted is None:
        return None
    return tidy(ship.training_end_predicted - ship.joker.figure)


def least_joker_margin(ships: Sequence[ShipFuel]) -> tuple[float, int] | None:
    """The least of them, and whose it is; None where no ship has one."""
    margins = ((joker_margin(ship), ship.ship) for ship in ships)
    return min(((margin, ship) for margin, ship in margins if margin is not None), default=None)
