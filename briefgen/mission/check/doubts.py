"""Figures that can be read but contradict others, or that hardly anybody means: cautions, each with a default
of our own."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.airmath.atmosphere import isa_temperature_c
from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker, fits, reports_in
from briefgen.mission.check.pressures import OFF_BY_30, pressures_apart
from briefgen.mission.resolve.weather import lowest_hpa
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.mission.schema.weather import PlaceWeather
from briefgen.units.values import Wind

APART_C, LEVELS_APART_C = 20.0, 12.0
QNH_LEAST_HPA, QNH_MOST_HPA = 950.0, 1050.0
WIND_MOST_KT, WIND_LOW_FT = 100.0, 5000.0
ONE_SPOT_NM, TALL_FT = 0.1, 1000.0
_RUN_IN: KeyPath = ("event", "pass", "run_in")


def temperatures_aloft_keep_their_sign(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No temperature of the winds table would fit the level next to it far better with the other sign."""
    for i, (here_c, expected_c) in _signs_aloft(file).items():
        yield check.caution(
            "temperature-sign",
            ("weather", "winds", i, "temperature"),
            f"{here_c:g} C here, and {expected_c:.0f} C at this level by the one next to it",
            why=(
                f"more than {LEVELS_APART_C:.0f} C off the standard lapse, and near it with the other sign"
                " (default, no authority); heights and fuel hang on it"
            ),
            help=f"write {-here_c:g} C if the sign is a slip; leave it if the forecast says so",
        )


def _signs_aloft(file: MissionFile) -> dict[int, tuple[float, float]]:
    """Of each doubted row of the winds its temperature, and what the nearest other row gives there."""
    rows, found = _aloft(file), {}
    for i, (feet, here_c) in rows.items():
        others = [row for other, row in rows.items() if other != i]
        near = min(others, key=lambda row: abs(row[0] - feet), default=(feet, here_c))
        expected_c = _by_the_lapse(near, feet)
        off_c = abs(here_c - expected_c)
        if off_c > LEVELS_APART_C and abs(-here_c - expected_c) < off_c / 2:
            found[i] = here_c, expected_c
    return found


def _aloft(file: MissionFile) -> dict[int, tuple[float, float]]:
    """Of each row of the winds with a temperature its height in feet and that, by its position."""
    return {
        i: (row.level.feet, row.temperature)
        for i, row in enumerate(given(file, "weather", "winds") or ())
        if given(row, "level") and given(row, "temperature") is not None
    }


def temperatures_agree(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A place's temperature is near that of the winds table at its height."""
    doubted = _signs_aloft(file)
    rows = [row for i, row in _aloft(file).items() if i not in doubted]
    for id, weather in (file.weather.at if file.weather is not None else {}).items():
        here, elevation = given(weather, "temperature"), given(file.places.get(id), "elevation")
        if here is None or not rows:
            continue
        there = _interpolated(sorted(rows), elevation.feet if elevation is not None else 0.0)
        if abs(here - there) > APART_C:
            message = f"{here:.0f} C at {id}, and {there:.0f} C at that height by the table of winds"
            why = (
                f"more than {APART_C:.0f} C between the two is likelier a wrong sign (default, no authority);"
                " cold air lowers every true height"
            )
            path: KeyPath = ("weather", "at", id, "temperature")
            yield check.caution(
                "temperatures-apart", path, message, why=why, help="check the sign and the figure of both"
            )


def pressures_are_likely(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Each QNH, typed or of a report, is one that weather has; of one that its neighbours contradict its gate
    speaks."""
    found = {
        id: (position, qnh)
        for id, weather in (file.weather.at if file.weather is not None else {}).items()
        if (qnh := _qnh_of(weather)) is not None
        and (position := given(file.places.get(id), "position")) is not None
    }
    apart = {pair.odd for pair in pressures_apart({id: (at, hpa) for id, (at, (_, hpa)) in found.items()})}
    yield from _unlikely(check, {id: qnh for id, (_, qnh) in found.items() if id not in apart})


def _qnh_of(weather: PlaceWeather) -> tuple[str, float] | None:
    """The QNH that counts at a place, hPa, and under which key it stands."""
    typed = given(weather, "qnh")
    if typed is not None:
        return "qnh", typed.hpa
    reports = reports_in(weather).items()
    told = [(key, hpa) for key, report in reports if (hpa := lowest_hpa(report)) is not None]
    return min(told, key=lambda row: row[1], default=None)


def _unlikely(check: Checker, found: dict[str, tuple[str, float]]) -> Iterator[Diagnostic]:
    """Every QNH that weather hardly has, told at the first of them."""
    odd = [id for id, (_, hpa) in found.items() if not QNH_LEAST_HPA <= hpa <= QNH_MOST_HPA]
    paths: dict[str, KeyPath] = {id: ("weather", "at", id, key) for id, (key, _) in found.items()}
    if odd:
        yield check.caution(
            "unlikely",
            paths[odd[0]],
            f"a QNH of {found[odd[0]][1]:.1f} hPa at {odd[0]}",
            why=(
                f"it is usually {QNH_LEAST_HPA:.0f} to {QNH_MOST_HPA:.0f} hPa (default, no authority);"
                f" {OFF_BY_30}"
            ),
            help="check the figure and its unit",
            related=tuple((f"{found[id][1]:.1f} hPa at {id}", paths[id]) for id in odd[1:]),
        )


def winds_are_likely(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """At a place, and aloft up to WIND_LOW_FT, no wind is stronger than anybody flies a pass in."""
    for path, wind in _low_winds(file):
        if wind.strongest_kt > WIND_MOST_KT:
            yield check.caution(
                "unlikely",
                path,
                f"a wind of {wind.strongest_kt:g} kt at a place or low above it",
                why=(
                    f"above {WIND_MOST_KT:.0f} kt up to {WIND_LOW_FT:.0f} ft a slip of the keyboard"
                    " is likelier (default, no authority)"
                ),
                help="check the figure and its unit; leave it if the forecast says so",
            )


def _low_winds(file: MissionFile) -> Iterator[tuple[KeyPath, Wind]]:
    """Each with its key."""
    for id, weather in (given(file, "weather", "at") or {}).items():
        if (wind := given(weather, "wind")) is not None:
            yield ("weather", "at", id, "wind"), wind
    for i, row in enumerate(given(file, "weather", "winds") or ()):
        level, wind = given(row, "level"), given(row, "wind")
        if level is not None and wind is not None and level.feet <= WIND_LOW_FT:
            yield ("weather", "winds", i, "wind"), wind


def tops_and_ground_agree(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A listed obstacle on the very spot of a place stands on its ground, and is no higher than what people
    build."""
    places = {
        id: (position, elevation)
        for id, place in file.places.items()
        if (position := given(place, "position")) is not None
        and (elevation := given(place, "elevation")) is not None
    }
    for i, obstacle in enumerate(given(file, "event", "pass_", "obstacles") or ()):
        where, top = given(obstacle, "position"), given(obstacle, "top")
        for id, (position, elevation) in places.items() if where is not None and top is not None else ():
            above_ft = top.feet - elevation.feet
            if not 0.0 <= above_ft <= TALL_FT and distance_nm(where, position) <= ONE_SPOT_NM:
                yield check.caution(
                    "top-and-ground",
                    ("event", "pass", "obstacles", i, "top"),
                    f"{top.feet:.0f} ft MSL here, and the ground at {id}, on the same spot,"
                    f" {elevation.feet:.0f} ft MSL",
                    why=(
                        f"an obstacle {abs(above_ft):.0f} ft {'high' if above_ft > 0 else 'under its ground'}"
                        f" is likelier a slip (0 to {TALL_FT:.0f} ft: default, no authority)"
                    ),
                    help="check both figures and their units",
                    related=((f"the elevation of {id}", ("places", id, "elevation")),),
                )


def _interpolated(rows: list[tuple[float, float]], height_ft: float) -> float:
    """Between two levels in proportion; beyond the lowest or highest with the lapse of the standard
    atmosphere."""
    below, above = [row for row in rows if row[0] <= height_ft], [row for row in rows if row[0] > height_ft]
    if below and above:
        (low_ft, low_c), (high_ft, high_c) = below[-1], above[0]
        return low_c + (high_c - low_c) * (height_ft - low_ft) / (high_ft - low_ft)
    return _by_the_lapse(below[-1] if below else above[0], height_ft)


def _by_the_lapse(near: tuple[float, float], height_ft: float) -> float:
    """What a temperature aloft is at another height in the standard atmosphere."""
    near_ft, near_c = near
    return near_c + isa_temperature_c(height_ft) - isa_temperature_c(near_ft)


# the form of a key path (a star stands for any step), what bounds the figure, as words, what it is, and its
# unit
_UNLIKELY: tuple[tuple[tuple[str, ...], float, float, str, str, str], ...] = (
    (("training", "setups", "each"), 60.0, 7200.0, "1 min to 2 h", "a set-up", "s"),
    (("event", "script", "*", "spread"), 0.0, 600.0, "10 min at the most", "the spread of a cue", "s"),
    (
        (*map(str, _RUN_IN), "spacing"),
        0.0,
        300.0,
        "300 ft at the most, measured from ship to ship in close formation",
        "a spacing",
        "ft",
    ),
    (
        ("event", "pass", "hold", "bank"),
        0.0,
        45.0,
        "45 deg at the most, and less in a helicopter",
        "a bank in the hold",
        "deg",
    ),
)


def figures_are_likely(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Figures that can be worked with and that hardly anybody means."""
    for path, value in check.values:
        for form, low, high, bounds, what, unit in _UNLIKELY if isinstance(value, (int, float)) else ():
            if value and not low <= value <= high and fits(path, form):
                why = f"it is usually {bounds} (default, no authority)"
                yield check.caution(
                    "unlikely",
                    path,
                    f"{what} of {round(value, 1):g} {unit}",
                    why=why,
                    help="check the figure and its unit",
                )
