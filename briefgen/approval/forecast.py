"""How far a forecast may move inside an approval. What gates judge of it (cloud, visibility, crosswind)
they judge; these bounds hold what is measured, which moves times, heights and fuel while every gate still
passes."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from itertools import islice
from math import cos, dist, radians, sin

from briefgen.compare.tree import Typed
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.inputs.read_report import read_report
from briefgen.mission.inputs.report import WINDS_TEXT, AloftRow, Report, ReportKind, WindsText
from briefgen.mission.inputs.winds_text import read_winds
from briefgen.mission.resolve.weather import coldest_c, lowest_hpa
from briefgen.units.grammar import Refusal
from briefgen.units.parse_air import parse_pressure, parse_temperature_c
from briefgen.units.parse_wind import parse_wind
from briefgen.units.rounding import up
from briefgen.units.values import Wind

# our own bounds, no authority: 5 hPa is about 150 ft of height, 15 kt about 4 s in each minute at 220 kt
MOST_HPA, MOST_C, MOST_KT = 5.0, 10.0, 15.0
FREELY = f"QNH may move by {MOST_HPA:g} hPa, temperature by {MOST_C:g} C, wind by {MOST_KT:g} kt"
WINDS: KeyPath = ("weather", "winds")
AT: KeyPath = ("weather", "at")


@record
class _Measured:
    """``apart``: how far two texts of such a figure are apart; None where they can't be compared."""

    apart: Callable[[str, str], float | None]
    most: float
    unit: str


def _hpa_apart(old: str, new: str) -> float:
    return abs(parse_pressure(new).hpa - parse_pressure(old).hpa)


def _c_apart(old: str, new: str) -> float:
    return abs(parse_temperature_c(new) - parse_temperature_c(old))


def _kt_apart(old: str, new: str) -> float | None:
    """Between the vectors, or between the gusts if that is more; None where one is true, the other
    magnetic."""
    before, after = parse_wind(old), parse_wind(new)
    if before.direction.reference != after.direction.reference and before.kt and after.kt:
        return None
    return max(dist(_vector(before), _vector(after)), abs(after.strongest_kt - before.strongest_kt))


def _vector(wind: Wind) -> tuple[float, float]:
    angle = radians(wind.direction.deg)
    return wind.kt * cos(angle), wind.kt * sin(angle)


# ---------------------------------------------------------------- what is pasted


def _reported(
    kind: ReportKind, figure: Callable[[Report], float | None]
) -> Callable[[str, str], float | None]:
    """How far apart a figure of two reports is; None where one of them can't be read, or alone has it."""

    def apart(old: str, new: str) -> float | None:
        reports = [read_report(text, kind) for text in (old, new)]
        before, after = (figure(report) if isinstance(report, Report) else None for report in reports)
        if all(isinstance(report, Report) for report in reports) and before is None and after is None:
            return 0.0
        return None if before is None or after is None else abs(after - before)

    return apart


def _winds_apart(old: str, new: str) -> float | None:
    """The most that two pasted winds differ at a level; None where their levels differ."""
    before, after = ({row.level: row.wind for row in _rows(text)} for text in (old, new))
    if not before or before.keys() != after.keys():
        return None
    return max(dist(_vector(before[level]), _vector(after[level])) for level in before)


def _rows(text: str) -> tuple[AloftRow, ...]:
    found = read_winds(text)
    return found.rows if isinstance(found, WindsText) else ()


def _of_report(kind: ReportKind) -> tuple[_Measured, ...]:
    return (
        _Measured(_reported(kind, lowest_hpa), MOST_HPA, "hPa"),
        _Measured(_reported(kind, coldest_c), MOST_C, "C"),
    )


MEASURED: dict[str, tuple[_Measured, ...]] = {
    "qnh": (_Measured(_hpa_apart, MOST_HPA, "hPa"),),
    "temperature": (_Measured(_c_apart, MOST_C, "C"),),
    "wind": (_Measured(_kt_apart, MOST_KT, "kt"),),
    "taf": _of_report("TAF"),
    "metar": _of_report("METAR"),
    "winds_text": (_Measured(_winds_apart, MOST_KT, "kt"),),
}


def moved_too_far(typed: Iterable[Typed]) -> Iterator[tuple[Typed, str]]:
    """What was typed differently of the measured forecast beyond its bound, or left out, and why that is
    asked about."""
    for change in typed:
        measured = MEASURED.get(str(change.path[-1]), ()) if change.path else ()
        if change.old is None or not _in_forecast(change.path, whole=not measured):
            continue
        if change.new is None:
            yield change, "what was approved was planned with it"
            continue
        beyond = (why for each in measured if (why := _beyond(each, change.old, change.new)))
        yield from ((change, why) for why in islice(beyond, 1))


def _in_forecast(path: KeyPath, *, whole: bool) -> bool:
    """A measured figure of the forecast; ``whole``: a branch that holds such figures."""
    if whole:
        return path in (("weather",), WINDS, AT) or (len(path) == 3 and path[:2] in (WINDS, AT))
    return path == WINDS_TEXT or (len(path) == 4 and path[:2] in (WINDS, AT))


def _beyond(measured: _Measured, old: str, new: str) -> str:
    """Why the figure has moved too far; empty where it has not."""
    bound = f"without a new approval it may move by {measured.most:g} {measured.unit}"
    try:
        apart = measured.apart(old, new)
    except Refusal:
        apart = None
    if apart is None:
        return f"{bound}, and these two can't be compared"
    apart = round(apart, 6)  # a difference of floats may be a hair over the bound that it is
    return f"that is {up(apart, 0.1):g} {measured.unit}; {bound}" if apart > measured.most else ""
