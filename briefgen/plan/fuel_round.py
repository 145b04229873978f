"""Rounding of fuel. What is needed or burnt is rounded up, what is there is rounded down, so a printed margin is never too great.

A limit of the unit's own (a tier, a reserve given as a weight) is no sum: it is judged and told as typed. Only its line in a sum goes up to the step.
"""

from __future__ import annotations

import math

from briefgen.plan.fuel_inputs import Scale
from briefgen.plan.model import Addend, FuelSum
from briefgen.units.rounding import typed
from briefgen.units.values import LB_PER_KG

STEP = {"lb": 10, "kg": 5}  # display step
NOISE = 1e-6  # display units: what binary fractions leave behind must not cost a whole step
TYPED_PLACES = 6  # decimals of the display unit: what a conversion there and back leaves behind is less


def in_unit(lb: float, scale: Scale) -> float:
    """Pounds in the display unit, unrounded."""
    return lb if scale.unit == "lb" else lb / LB_PER_KG


def in_lb(amount: float, scale: Scale) -> float:
    """An amount in the display unit in pounds."""
    return amount if scale.unit == "lb" else amount * LB_PER_KG


def printed_up(lb: float, scale: Scale) -> int:
    """Up to the display step: addends and everything needed. 100.00000001 lb prints as 100."""
    return up_to_step(in_unit(lb, scale), scale.step)


def as_typed(lb: float, scale: Scale) -> float:
    """A limit of the unit's own in the display unit, exactly: 72 where 72 kg is typed, 68.038856 kg of 150 lb. An int where it is whole."""
    amount = round(in_unit(lb, scale), TYPED_PLACES)
    return int(amount) if amount == int(amount) else amount


def up_to_step(amount: float, step: int) -> int:
    """An amount in the display unit as a line of a sum: up to the display step."""
    return math.ceil((amount - NOISE) / step) * step


def printed_down(lb: float, scale: Scale) -> int:
    """Down to the display step: fuel that is there."""
    return math.floor((in_unit(lb, scale) + NOISE) / scale.step) * scale.step


def figure_up(total: int, scale: Scale) -> int:
    """A total of printed addends up to ``round_up_to``: joker and bingo. Whole numbers, so nothing to guard against."""
    return -(-total // scale.round_up_to) * scale.round_up_to


def add_up(title: str, addends: tuple[Addend, ...], scale: Scale, *, rounded: bool) -> FuelSum:
    """The sum of printed addends; ``rounded``: the figure goes up to ``round_up_to`` (joker, bingo), else it is the total."""
    total = sum(addend.printed for addend in addends)
    exact_lb = math.fsum(addend.exact_lb for addend in addends)
    return FuelSum(title, addends, total, figure_up(total, scale) if rounded else total, exact_lb)


def typed_words(amount: float, scale: Scale) -> str:
    """A figure that the file gives, for the words of a sum: "72.5 kg", see ``as_typed``."""
    return f"{typed(amount)} {scale.unit}"


def amount_words(lb: float, scale: Scale) -> str:
    """A flow for the words of a sum, to the nearest hundredth of the display unit: "1900 lb", "37.44 kg"."""
    return f"{in_unit(lb, scale):.2f}".rstrip("0").rstrip(".") + f" {scale.unit}"
