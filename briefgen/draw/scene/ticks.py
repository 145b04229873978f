"""Round numbers for axes, scale bars and graticules."""

from __future__ import annotations

import math

_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)
_TIME_STEPS_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400)
_ARC_STEPS_MIN = (1, 2, 5, 10, 15, 20, 30, 60, 120, 300, 600)


def nice_step(span: float, most: int) -> float:
    """The smallest of 1, 2, 2.5, 5 times a power of ten that cuts the span into at most ``most`` parts. Span
    > 0."""
    rough = span / most
    power = 10.0 ** math.floor(math.log10(rough))
    return next(step * power for step in _STEPS if step * power >= rough * (1 - 1e-9))


def nice_time_step_s(span_s: float, most: int) -> int:
    """The same for clock times: a step of whole seconds, minutes or hours that divides the hour or the
    day."""
    return next((step for step in _TIME_STEPS_S if span_s / step <= most), _TIME_STEPS_S[-1])


def nice_arc_step_min(span_deg: float, most: int) -> int:
    """The same for latitudes and longitudes: a step in minutes of arc."""
    return next((step for step in _ARC_STEPS_MIN if span_deg * 60 / step <= most), _ARC_STEPS_MIN[-1])


def ticks(low: float, high: float, step: float) -> list[float]:
    """The multiples of the step from low to high, both included when they are multiples."""
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return [i * step for i in range(first, last + 1)]
