"""A gate's figures as words, the same on the terminal, the slides and the approval sheet."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime

from briefgen.brief.wording.format import clock_z, duration, rounded_instant, time_limit
from briefgen.plan.model import Gate
from briefgen.units.rounding import decimals, down, typed, up

MOST_DECIMALS = 3
NO_LIMIT = "no limit given"
LONG_S = 90.0  # spans from here on read as minutes
_SENSE_OF_CLOCKS = {"at least": "not before", "at most": "not after"}
_SIDES = {"at least": "earliest", "at most": "latest"}
OPEN = ("CAUTION", "NOT CHECKED")  # what an approver gives a reason for
# their figures are steps of a gauge, or limits of the unit's own, which read as typed
FUEL_UNITS = (
    "lb",
    "kg",
    "L",
    "US gal",
)
_ONE = {"days": "day", "ships": "ship", "flypasts": "flypast", "set-ups": "set-up"}
_USUAL_DECIMALS = {"s": 1, "nm": 1, "NM": 1, "km": 1, "SM": 2, "Mach": 2}


def value_words(gate: Gate, *, day: date | None = None) -> str:
    """``535.8 s``, ``03:30:02 Z``, ``not known``; ``535.8 s in calm air`` where it is worked out so for want
    of winds. ``day`` is the UTC date that the reader takes for granted."""
    value = bare_words(gate, day=day)
    return value if gate.value is None else f"{value}{calm_words(gate)}"


def bare_words(gate: Gate, *, day: date | None = None) -> str:
    """The same for a figure set large, with ``calm_words`` beside it."""
    return _words(gate.value, gate, day) if gate.value is not None else "not known"


def calm_words(gate: Gate) -> str:
    """What is said beside a figure set large."""
    return " in calm air" if gate.calm else ""


def limit_words(gate: Gate, *, day: date | None = None) -> str:
    """``at least 240 s``, ``not after 09:49:44 Z``; ``no limit given`` where neither the file nor the regime
    has one, ``not judged`` where something else is missing."""
    if gate.limit is None:
        return "not judged" if gate.lacks == "data" else NO_LIMIT
    if isinstance(gate.limit, datetime) and gate.sense in _SENSE_OF_CLOCKS:
        return (
            f"{_SENSE_OF_CLOCKS[gate.sense]} {_words(time_limit(gate.limit, _SIDES[gate.sense]), gate, day)}"
        )
    limit = _safe(gate, _span_step(gate)) if isinstance(gate.limit, (int, float)) else gate.limit
    return f"{gate.sense} {_words(limit, gate, day)}".strip()


def figures_words(gate: Gate, *, day: date | None = None) -> str:
    """``535.8 s (at least 240 s)``; a limit that says the same as the value, or is unknown like it, is left
    out."""
    if gate.value is None and gate.limit is None:
        return value_words(gate)
    value, limit = value_words(gate, day=day), limit_words(gate, day=day)
    return value if bare_words(gate, day=day) == limit else f"{value} ({limit})"


def named(gate: Gate) -> str:
    """``Shortest hold [hold-minimum]``: with the id that a waiver and a reasons file name; one that passes is
    never named."""
    return gate.title if gate.verdict == "PASS" else f"{gate.title} {id_words(gate)}"


def id_words(gate: Gate) -> str:
    """``[hold-minimum]``."""
    return f"[{gate.id}]"


def never_waived(gate: Gate) -> str:
    """Said of a FAIL for which no waiver is accepted; empty for every other gate."""
    return "never waived" if gate.verdict == "FAIL" and not gate.waivable else ""


def what_to_do(gate: Gate, reasons: Mapping[str, str]) -> str:
    """What to do about a gate that does not pass, or what is missing; its waiver, or that it takes none; and
    the reason for which an open one was accepted (gate id → reason)."""
    accepted = f"accepted: {reasons[gate.id]}" if gate.verdict in OPEN and gate.id in reasons else ""
    return "; ".join(part for part in (gate.why, gate.waiver, never_waived(gate), accepted) if part)


def sentences(*parts: str) -> str:
    """Those that say something, each with a capital and a full stop."""
    return " ".join(f"{part[:1].upper()}{part[1:].rstrip('.')}." for part in parts if part)


def _words(figure: float | str | datetime, gate: Gate, day: date | None) -> str:
    if isinstance(figure, str):
        return figure
    if isinstance(figure, datetime):
        return clock_z(_within(figure, gate), day=day)
    if gate.unit == "s" and _reads_as_minutes(gate):
        return duration(figure)
    number = typed(figure) if gate.unit in FUEL_UNITS else _trimmed(decimals(figure, _places(gate)))
    one = number == "1"
    return f"{number} {_ONE.get(gate.unit, gate.unit) if one else gate.unit}".strip()


def _within(at: datetime, gate: Gate) -> datetime:
    """The nearest whole second; where that reads beyond a limit that is kept, the second before (after an
    earliest limit), and where it reads within a limit that is broken, the second beyond."""
    near = rounded_instant(at)
    if (
        gate.sense not in _SIDES
        or not isinstance(gate.limit, datetime)
        or not isinstance(gate.value, datetime)
    ):
        return near
    latest, limit = gate.sense == "at most", time_limit(gate.limit, _SIDES[gate.sense])
    keeps, reads = (
        (gate.value <= gate.limit, near <= limit) if latest else (gate.value >= gate.limit, near >= limit)
    )
    return near if keeps == reads else time_limit(at, "latest" if keeps == latest else "earliest")


def _reads_as_minutes(gate: Gate) -> bool:
    figures = [f for f in (gate.value, gate.limit) if isinstance(f, (int, float))]
    if not figures or max(abs(f) for f in figures) < LONG_S:
        return False
    return len(figures) < 2 or _sign(*figures) == _sign(float(decimals(figures[0])), _safe(gate, 1.0))


def _span_step(gate: Gate) -> float:
    """The step in which a span of time reads, in s."""
    return 1.0 if _reads_as_minutes(gate) else 10.0 ** -_places(gate)


def _safe(gate: Gate, step: float) -> float:
    """The limit in such steps; of a span of time on the safe side, so that who keeps what is printed keeps
    the limit: a most down, a least up."""
    if gate.unit == "s" and gate.sense in _SIDES:
        return (down if gate.sense == "at most" else up)(gate.limit, step)
    return gate.limit


def _places(gate: Gate) -> int:
    """The fewest decimals with which value and limit still stand on the same side of each other: 999.6 ft
    must not read as 1000."""
    usual = _USUAL_DECIMALS.get(gate.unit, 0)
    if not isinstance(gate.value, (int, float)) or not isinstance(gate.limit, (int, float)):
        return usual
    value, limit = float(gate.value), float(gate.limit)
    tries = range(usual, MOST_DECIMALS + 1)
    return next(
        (
            n
            for n in tries
            if _sign(float(decimals(value, n)), float(decimals(_safe(gate, 10.0**-n), n)))
            == _sign(value, limit)
        ),
        MOST_DECIMALS,
    )


def _sign(value: float, limit: float) -> int:
    return (value > limit) - (value < limit)


def _trimmed(text: str) -> str:
    return text.rstrip("0").removesuffix(".") if "." in text else text
