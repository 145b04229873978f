"""The ordered list of gates."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from briefgen.plan.gates import limits, timing
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie

GateFunction = Callable[[Sortie], Iterable[Gate]]

GATES: tuple[GateFunction, ...] = (
    timing.time_reachable,
    timing.hold_bounds,
    timing.cue_first,
    timing.authority_at_cue,
    timing.push_slack,
    timing.cap_margin,
    timing.parties_hold_time,
    limits.pass_height,
    limits.pass_speed,
    timing.vertical_rates,
    limits.area_reserved,
    limits.setups_enough,
    limits.joker_kept,
    limits.fuel_order,
    limits.landing_fuel,
    limits.daylight_pass,
    limits.daylight_landing,
    limits.duty_period,
)


def judge(sortie: Sortie) -> tuple[Gate, ...]:
    """Every gate's verdict, in the order of the list."""
    return tuple(gate for function in GATES for gate in function(sortie))
