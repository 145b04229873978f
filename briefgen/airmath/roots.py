"""One way to find where a function crosses zero, and where a condition begins to hold."""

from __future__ import annotations

from collections.abc import Callable
from math import copysign


def crossing(
    f: Callable[[float], float], low: float, high: float, *, within: float = 1e-10, small: float = 1e-11
) -> float:
    """Where a continuous function changes sign between two ends (Illinois' regula falsi, with halving as a
    safeguard).

    Ends when the bracket is no wider than ``within`` or the function no larger than ``small``, each in its
    own unit. When the function doesn't change sign, the end with the smaller value is returned: callers check
    the ends first where that matters.
    """
    f_low, f_high = f(low), f(high)
    if f_low == 0.0 or f_high == 0.0 or (f_low > 0.0) == (f_high > 0.0):
        return low if abs(f_low) <= abs(f_high) else high
    weight_low, weight_high = f_low, f_high
    for step in range(200):
        middle = (
            (low + high) / 2.0
            if step % 4 == 3
            else high - weight_high * (high - low) / (weight_high - weight_low)
        )
        f_middle = f(middle)
        if abs(f_middle) <= small or high - low <= within:
            return middle
        if (f_middle > 0.0) == (f_low > 0.0):
            low, weight_low, weight_high = middle, f_middle, weight_high / 2.0
        else:
            high, weight_high, weight_low = middle, f_middle, weight_low / 2.0
    return (low + high) / 2.0


def crossing_with_slope(
    f: Callable[[float], tuple[float, float]], low: float, high: float, *, small: float
) -> float:
    """Where a function that goes from below zero at ``low`` to above it at ``high`` crosses zero, when its
    slope is known too.

    ``f`` gives value and slope. Newton's steps, with halving wherever a step would leave the bracket or has
    not halved the value before it; ends when the function is no larger than ``small``.
    """
    at, before = low, float("inf")
    for _ in range(100):
        value, slope = f(at)
        if abs(value) <= small:
            return at
        low, high = (at, high) if value < 0.0 else (low, at)
        step = at - value / slope if slope > 0.0 else low
        at = step if low < step < high and abs(value) <= before / 2.0 else (low + high) / 2.0
        before = abs(value)
    return at


def boundary(holds: Callable[[float], bool], good: float, bad: float, *, within: float = 1e-9) -> float:
    """The last value on the good side of a condition that holds at ``good`` and not at ``bad`` (either may be
    the larger)."""
    while abs(bad - good) > within:
        middle = (good + bad) / 2.0
        good, bad = (middle, bad) if holds(middle) else (good, middle)
    return good


def boundary_by_margin(margin: Callable[[float], float], good: float, bad: float, *, within: float) -> float:
    """``boundary`` of a condition that holds where ``margin`` is not negative: in fewer steps where the
    margin is smooth, by halving elsewhere."""
    m_good, m_bad = margin(good), margin(bad)
    while abs(width := bad - good) > within:
        guess = good + width * (m_good / (m_good - m_bad))
        # aimed a little past the crossing, so that the farther end comes near as well
        beside = 0.4 * copysign(within, width)
        guess += -beside if abs(guess - good) > abs(bad - guess) else beside
        for at in (guess, (good + bad) / 2.0):
            if not min(good, bad) < at < max(good, bad):
                continue
            m = margin(at)
            good, m_good, bad, m_bad = (at, m, bad, m_bad) if m >= 0.0 else (good, m_good, at, m)
            if abs(bad - good) <= abs(width) / 2.0:
                break
    return good
