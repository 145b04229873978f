"""Rounding for readers, in decimal, so that what is rounded is the figure a reader would write down.

``round()`` and ``%.1f`` round halves to even and see 2.675 as 2.67499...; these do neither. A negative zero
never comes out.
"""

from __future__ import annotations

from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_UP, Decimal

SLACK = Decimal("1e-6")  # a computed 1320.0000000002 lb is 1320 lb, not 1330


def nearest(value: float, step: float = 1.0) -> float:
    """The multiple of ``step`` nearest to ``value``; halves go away from zero, so that +0.5 and -0.5 are told
    alike."""
    return _scaled(value, step, ROUND_HALF_UP, Decimal(0))


def up(value: float, step: float = 1.0) -> float:
    """The lowest multiple of ``step`` that is not below ``value``: for what is required. An excess under a
    millionth of a step is noise."""
    return _scaled(value, step, ROUND_CEILING, -SLACK)


def down(value: float, step: float = 1.0) -> float:
    """The highest multiple of ``step`` that is not above ``value``: for what is left."""
    return _scaled(value, step, ROUND_FLOOR, SLACK)


def decimals(value: float, places: int = 0) -> str:
    """``value`` with that many decimals, halves away from zero, never "-0"."""
    text = f"{Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP):f}"
    return text.lstrip("-") if not any(c in "123456789" for c in text) else text


def typed(value: float) -> str:
    """A figure that somebody typed, in their unit or another: ``72``, ``72.5``, ``68.04``; what isn't whole
    in hundredths goes up, so that it never reads as less than typed."""
    text = decimals(up(value, 0.01), 2)
    return text.rstrip("0").removesuffix(".")


def _scaled(value: float, step: float, mode: str, slack: Decimal) -> float:
    unit = Decimal(repr(float(step)))
    return (
        float((Decimal(repr(float(value))) / unit + slack).quantize(Decimal(1), rounding=mode) * unit) + 0.0
    )
