"""Rounding of fuel, once each: a sum is exact until it is printed. What is required goes up to a step of the
gauge, what is there goes down, so a printed margin is never too great, and never further than a step from the
exact figure.

The step is what the aircraft's gauge shows (``fuel_step``), without it one by the size of its tanks. A limit
of the unit's own (a tier, a reserve given as an amount) is no sum: it is judged and printed as typed, and
goes up to the step only where it was typed in another unit. Joker and bingo go up to ``round_up_to`` as their
last step.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from fractions import Fraction

from briefgen.plan.fuel.inputs import Line
from briefgen.plan.model import Addend, FuelSum, Scale
from briefgen.units.rounding import nearest, typed
from briefgen.units.values import L_PER_US_GAL, LB_PER_KG, FuelUnit

# steps that gauges have; which of them is a default of this program, no authority
STEPS = (
    100,
    50,
    20,
    10,
    5,
    2,
    1,
    0.5,
    0.2,
    0.1,
)
PART_OF_TANKS = 500  # the default step is at most this part of the tanks
FINEST = 0.01  # displayed units: no figure has more decimals
NOISE = 1e-6  # displayed units: what binary fractions leave behind must not cost a whole step
PLACES = 6  # decimals of a displayed unit: what a conversion there and back leaves behind is less


# ---------------------------------------------------------------- the scale of a ship


def unit_lb(unit: FuelUnit, density_kg_per_l: float | None) -> float:
    """Pounds in one of a displayed unit. A volume needs the density: the reader has refused a file without
    it."""
    if unit == "lb":
        return 1.0
    if unit == "kg":
        return LB_PER_KG
    assert density_kg_per_l is not None, "mission/check/flight.py: display_has_density"
    return density_kg_per_l * LB_PER_KG * (L_PER_US_GAL if unit == "US gal" else 1.0)


def default_step(tanks: float) -> float:
    """The largest of ``STEPS`` that is at most a 500th of the tanks, at least the smallest; ``tanks`` in the
    displayed unit."""
    return next((step for step in STEPS if step * PART_OF_TANKS <= tanks + NOISE), STEPS[-1])


def common_step(steps: Iterable[float]) -> float:
    """The least amount that is a whole multiple of every step, in exact decimals: 1 for 0.5 and 0.2."""
    parts = [_decimal(step) for step in steps]
    whole = math.lcm(*(part.denominator for part in parts))
    return tidy(float(Fraction(math.lcm(*(int(part * whole) for part in parts)), whole)))


def is_multiple(amount: float, step: float) -> bool:
    """Is it a whole multiple, in exact decimals: 0.6 of 0.2 is."""
    return (_decimal(amount) / _decimal(step)).denominator == 1


def next_multiple(amount: float, step: float) -> float:
    """The lowest multiple of a step that isn't below an amount, at least one step, in exact decimals."""
    return tidy(float(max(1, math.ceil(_decimal(amount) / _decimal(step))) * _decimal(step)))


def _decimal(amount: float) -> Fraction:
    """The decimals that were typed, not the binary fraction nearest to them."""
    return Fraction(repr(amount))


# ---------------------------------------------------------------- single figures


def in_unit(lb: float, scale: Scale) -> float:
    """Pounds in the displayed unit, unrounded."""
    return lb / scale.unit_lb


def in_lb(amount: float, scale: Scale) -> float:
    """An amount in the displayed unit in pounds."""
    return amount * scale.unit_lb


def tidy(amount: float) -> float:
    """A printed figure, or a sum or difference of printed figures, without the noise of binary fractions; an
    int where it is whole."""
    decimal = round(amount, PLACES)
    return int(decimal) if decimal == int(decimal) else decimal


def total(figures: Iterable[float]) -> float:
    """The sum of printed figures."""
    return tidy(math.fsum(figures))


def as_typed(lb: float, scale: Scale) -> float:
    """A limit of the unit's own in the displayed unit, exactly: 72 where 72 kg is typed, 68.038856 kg of 150
    lb."""
    return tidy(in_unit(lb, scale))


def printed_up(lb: float, scale: Scale) -> float:
    """Up to the step: what is required. 100.00000001 lb prints as 100."""
    return up_to(in_unit(lb, scale), scale.step)


def printed_down(lb: float, scale: Scale) -> float:
    """Down to the step: fuel that is there."""
    return tidy(math.floor((in_unit(lb, scale) + NOISE) / scale.step) * scale.step)


def in_a_sum(amount: float, scale: Scale) -> float:
    """What is kept as a line of a sum: as typed where whoever adds up the column can read it, in hundredths;
    else, converted from another unit, up to the step."""
    return amount if is_printable(amount) else up_to(amount, scale.step)


def is_printable(amount: float) -> bool:
    """Does it stand in print as it is: no finer than a hundredth."""
    return amount == tidy(round(amount, 2))


def printed_near(lb: float, scale: Scale) -> float:
    """The nearest step: what was burnt, which is neither required nor there."""
    return tidy(nearest(in_unit(lb, scale), scale.step))


def up_to(amount: float, step: float) -> float:
    """An amount in the displayed unit up to a step."""
    return tidy(math.ceil((amount - NOISE) / step) * step)


def still_reads_lb(amount: float, scale: Scale) -> float:
    """The least fuel in lb that, rounded down, still reads as an amount that is required."""
    return in_lb(up_to(amount, scale.step) - NOISE / 2, scale)


# ---------------------------------------------------------------- sums


def required(trip_lb: float, kept: Sequence[Addend], scale: Scale) -> float:
    """What is required for a trip and what is kept, rounded up once. Never less than what is kept, as
    printed."""
    held = total(line.printed for line in kept)
    exact_lb = trip_lb + math.fsum(line.exact_lb for line in kept)
    return max(printed_up(exact_lb, scale), held) if trip_lb > 0 else held


def add_up(
    title: str, trip: Sequence[Line], kept: Sequence[Addend], scale: Scale, *, rounded: bool
) -> FuelSum:
    """A sum whose printed lines make its printed total. What is kept (landing fuel, pad) stands as it is, the
    lines of the trip share the rest, each within a step of its exact amount. ``rounded``: the figure goes up
    to ``round_up_to`` (joker, bingo), else it is the total."""
    trip_lb = math.fsum(line.exact_lb for line in trip)
    whole = required(trip_lb, kept, scale)
    shares = shared_out(
        [in_unit(line.exact_lb, scale) for line in trip],
        tidy(whole - total(line.printed for line in kept)),
        scale.step,
    )
    lines = (*map(printed, trip, shares), *kept)
    exact_lb = math.fsum(line.exact_lb for line in lines)
    return FuelSum(title, lines, whole, up_to(whole, scale.round_up_to) if rounded else whole, exact_lb)


def printed(line: Line, amount: float) -> Addend:
    """A line with its printed amount."""
    return Addend(line.label, line.exact_lb, amount, line.basis, line.cause)


def shared_out(exact: Sequence[float], whole: float, step: float) -> list[float]:
    """Amounts that make ``whole`` together: each down to the step, then a step more where the remainder is
    largest, until nothing is left. What is no whole step (where a typed limit isn't) goes where the next one
    would; the little that may be too much comes off the largest."""
    shares = [tidy(math.floor((amount + NOISE) / step) * step) for amount in exact]
    left = tidy(whole - total(shares))
    order = sorted(range(len(exact)), key=lambda i: (round(shares[i] - exact[i], PLACES), -exact[i]))
    turn = 0
    while left > 0 and order:
        i = order[turn % len(order)]
        more = min(step, left)
        shares[i], left, turn = tidy(shares[i] + more), tidy(left - more), turn + 1
    if left < 0 and order:
        most = max(order, key=lambda i: shares[i])
        shares[most] = tidy(shares[most] + left)
    return shares


# ---------------------------------------------------------------- words of the sums


def typed_words(amount: float, scale: Scale) -> str:
    """A figure that the file gives, for the words of a sum: "72.5 kg", see ``as_typed``."""
    return f"{typed(amount)} {scale.unit}"


def amount_words(lb: float, scale: Scale) -> str:
    """A flow for the words of a sum, to the nearest hundredth of the displayed unit: "1900 lb", "37.44
    kg"."""
    return f"{in_unit(lb, scale):.2f}".rstrip("0").rstrip(".") + f" {scale.unit}"
