"""The air of the plan: forecast levels, pressure altitude, speeds, magnetic variation. Asks airmath, holds no
formula."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from math import ceil

from briefgen.airmath import atmosphere
from briefgen.airmath.aloft import ForecastLevel, mean_air
from briefgen.airmath.aloft import air_at as air_aloft
from briefgen.airmath.geodesy import direct, distance_nm, inverse, off_line
from briefgen.airmath.magnetism import CAUTION_NT, Declination, declination, to_magnetic, to_true
from briefgen.airmath.wind import (
    CALM,
    NoSolution,
    WindTriangle,
    WindVector,
    heading_for_course,
    tas_for_ground_speed,
)
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import kept, record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.mission.schema.line_to_add import line_to_add
from briefgen.plan.model import Air, Leg, Point
from briefgen.units.values import Direction, Level, Position, Speed, Wind

STANDARD_QNH_HPA = 1013.25
QNH_STEP_NM = 5.0  # a leg is looked at this often for the place nearest to it


@kept
def position(point: Point) -> Position:
    """Where a point is."""
    return Position(point.lat_deg, point.lon_deg)


def point_of(mission: Mission, place_id: str) -> Point:
    """A place of the mission as a point of the plan. The reader has made sure that it exists."""
    place = mission.places[place_id]
    return Point(place_id, place.name, place.position.lat_deg, place.position.lon_deg, place.elevation_ft)


@lru_cache(maxsize=1024)
def off_leg_nm(start: Position, end: Position, spot: Position) -> float:
    """How far a spot is from a leg, from a point where both its ends are one; every leg asks about each
    place with weather."""
    return distance_nm(start, spot) if start == end else off_line(start, end, spot).distance_nm


# ---------------------------------------------------------------- variation


def variation_deg(mission: Mission, point: Point) -> float | None:
    """East positive. The place's own figure wins over the model; None outside the model and where a compass
    can't be relied on."""
    place = mission.places.get(point.id)
    if place is not None and place.variation_deg is not None:
        return place.variation_deg
    found = declination(position(point), mission.file.sortie.date)
    return found.deg if isinstance(found, Declination) and not found.use_true else None


def magnetic(mission: Mission, point: Point, true_deg: float) -> float | None:
    """A true direction as the compass shows it at a point, None where the variation isn't known."""
    variation = variation_deg(mission, point)
    return None if variation is None else to_magnetic(true_deg, variation)


def true_direction(mission: Mission, point: Point, direction: Direction) -> float | None:
    """Degrees true of a direction as typed at a point, None for a magnetic one where the variation isn't
    known."""
    if direction.reference == "T":
        return direction.deg
    variation = variation_deg(mission, point)
    return None if variation is None else to_true(direction.deg, variation)


def wind_vector(mission: Mission, point: Point, wind: Wind, *, gusts: bool = False) -> WindVector | None:
    """A forecast wind as a vector, None for a magnetic one where the variation isn't known. ``gusts``: as
    strong as it gets."""
    from_true = true_direction(mission, point, wind.direction)
    return (
        None
        if from_true is None
        else WindVector.from_direction(from_true, wind.strongest_kt if gusts else wind.kt)
    )


def crosswind_kt(here: WeatherAt, wind: Wind, from_true_deg: float, runways: Sequence[float]) -> float:
    """The crosswind in its gusts on the best of some runways (directions true): of a wind that varies the
    most that it may be, of one from anywhere all of it."""
    if here.from_anywhere:
        return wind.strongest_kt
    blows = [from_true_deg]
    if here.sector is not None:
        first, last = here.sector
        blows += [first + n for n in range(int((last - first) % 360) + 1)]
    vectors = [WindVector.from_direction(deg % 360, wind.strongest_kt) for deg in blows]
    return max(min(abs(v.crosswind_from_left_kt(runway)) for runway in runways) for v in vectors)


# ---------------------------------------------------------------- pressure and levels


def qnh_station(mission: Mission, point: Point) -> str | None:
    """The place whose QNH is set at a point: the point itself, else the nearest that has one; None when the
    file gives none."""
    given = mission.qnh_hpa
    if point.id in given:
        return point.id
    spot = position(point)
    return min(given, key=lambda k: (distance_nm(spot, mission.places[k].position), k), default=None)


def qnh_at(mission: Mission, point: Point) -> float | None:
    """QNH in hPa that is set at the point; None when the file gives none."""
    station = qnh_station(mission, point)
    return None if station is None else mission.qnh_hpa[station]


def pressure_altitude_ft(mission: Mission, point: Point, altitude_ft: float) -> float:
    """Pressure altitude of an altitude MSL at a point; standard pressure where the file gives no QNH."""
    return atmosphere.pressure_altitude_ft(altitude_ft, qnh_at(mission, point) or STANDARD_QNH_HPA)


def altitude_ft(
    mission: Mission, point: Point, level: Level, *, qnh_hpa: float | None = None
) -> float | None:
    """Feet MSL of a level over a point. A flight level through the QNH there, or through ``qnh_hpa``; AGL
    through the point's elevation, None without one."""
    match level.datum:
        case "MSL":
            return level.feet
        case "FL":
            return atmosphere.altitude_from_pressure_altitude_ft(
                level.feet, qnh_hpa or qnh_at(mission, point) or STANDARD_QNH_HPA
            )
    return None if point.elevation_ft is None else point.elevation_ft + level.feet


def lowest_qnh(mission: Mission, start: Point, end: Point) -> float | None:
    """The lowest QNH in hPa along the leg between two points, each spot taking that of the nearest place that
    has one; None when the file gives none."""
    return min(qnhs_along(mission, start, end), default=None)


def qnhs_along(mission: Mission, start: Point, end: Point) -> set[float]:
    """Every QNH in hPa along the leg between two points, as ``lowest_qnh`` takes them."""
    given = set(mission.qnh_hpa.values())
    if len(given) < 2:  # the same wherever it is set
        return given
    between = _spots_between(position(start), position(end))
    return {qnh for point in (start, *between, end) if (qnh := qnh_at(mission, point)) is not None}


@lru_cache(maxsize=256)
def _spots_between(start: Position, end: Position) -> tuple[Point, ...]:
    """The spots at which a leg is looked at between its ends, which every gate of heights asks again."""
    line = inverse(start, end)
    steps = ceil(line.distance_nm / QNH_STEP_NM)
    spots = (
        direct(start, line.course_start_deg, line.distance_nm * i / steps).position for i in range(1, steps)
    )
    return tuple(Point("", "", spot.lat_deg, spot.lon_deg) for spot in spots)


def least_altitude_ft(mission: Mission, leg: Leg, typed_ft: float) -> float:
    """How low, MSL, an aircraft may be whose altimeter reads ``typed_ft`` (ft MSL of the plan) on a leg: by
    the lowest QNH along it, flight levels included. For every question of clearance; the cold is not in it.
    """
    lowest = lowest_qnh(mission, leg.start, leg.end)
    return (
        typed_ft
        if lowest in (None, qnh_at(mission, leg.end))
        else atmosphere.altitude_from_pressure_altitude_ft(
            pressure_altitude_ft(mission, leg.end, typed_ft), lowest
        )
    )


def flow_height_ft(mission: Mission, point: Point, level: Level) -> float | None:
    """Where a flow table is read for a level: its feet as typed, MSL and flight levels alike, as the rows of
    the table are; AGL over the elevation."""
    return level.feet if level.datum != "AGL" else altitude_ft(mission, point, level)


# ---------------------------------------------------------------- forecast


def forecast(mission: Mission, point: Point) -> tuple[ForecastLevel, ...]:
    """The forecast aloft over a point, lowest first, in pressure altitudes: a flight level is its own, a
    height MSL becomes one by the QNH that is set there. So what is flown at 5000 ft MSL has the wind forecast
    for 5000 ft MSL under every QNH. Of two levels at one height the last counts. Empty: no winds are
    given."""
    return _forecasts(mission)[qnh_at(mission, point) or STANDARD_QNH_HPA]


@kept
def _forecasts(mission: Mission) -> Mapping[float, tuple[ForecastLevel, ...]]:
    """By each QNH in hPa that may be set; a height above the ground is one above the base."""
    weather = mission.file.weather
    base = point_of(mission, mission.file.ground_ops.base)
    found: dict[float, tuple[ForecastLevel, ...]] = {}
    for qnh_hpa in {STANDARD_QNH_HPA, *mission.qnh_hpa.values()}:
        levels: dict[float, ForecastLevel] = {}
        for row in () if weather is None else weather.aloft:
            height = row.level.feet if row.level.datum == "FL" else altitude_ft(mission, base, row.level)
            vector = wind_vector(mission, base, row.wind)
            if height is None or vector is None:
                continue
            if row.level.datum != "FL":
                height = atmosphere.pressure_altitude_ft(height, qnh_hpa)
            levels[height] = ForecastLevel(height, vector, row.temperature)
        found[qnh_hpa] = tuple(levels[height] for height in sorted(levels))
    return found


def air_at(mission: Mission, point: Point, height_ft: float) -> Air:
    """Wind and temperature at an altitude MSL over a point."""
    return _air(mission, point, height_ft, pressure_altitude_ft(mission, point, height_ft))


def air_of_leg(mission: Mission, end: Point, level: Level) -> Air | None:
    """The air at a leg's level: a flight level is its pressure altitude, feet become one by the QNH at the
    leg's end, one for the whole leg. None for a level above ground whose elevation isn't known."""
    height = altitude_ft(mission, end, level)
    if height is None:
        return None
    own = level.feet if level.datum == "FL" else pressure_altitude_ft(mission, end, height)
    return _air(mission, end, height, own)


def air_between(mission: Mission, end: Point, air: Air, start_ft: float) -> Air:
    """The air half way between a leg's level and the altitude MSL at which it begins, by the QNH at its
    end."""
    start_pressure_ft = pressure_altitude_ft(mission, end, start_ft)
    between_ft = (start_pressure_ft + air.pressure_altitude_ft) / 2
    return _air(mission, end, (start_ft + air.altitude_ft) / 2, between_ft)


def _air(mission: Mission, point: Point, height_ft: float, pressure_height: float) -> Air:
    levels = forecast(mission, point)
    if not levels:
        return Air(
            height_ft,
            pressure_height,
            0.0,
            0.0,
            atmosphere.isa_temperature_c(pressure_height),
            forecast=False,
        )
    air = air_aloft(levels, pressure_height)
    return Air(
        height_ft,
        pressure_height,
        air.wind.from_true_deg,
        air.wind.kt,
        air.temperature_c,
        extrapolated=air.outside,
    )


def mean_wind(mission: Mission, point: Point, low_pressure_ft: float, high_pressure_ft: float) -> WindVector:
    """Mean wind between two pressure altitudes over a point."""
    levels = forecast(mission, point)
    return mean_air(levels, low_pressure_ft, high_pressure_ft).wind if levels else CALM


def wind_of(air: Air) -> WindVector:
    """The wind of some air as a vector."""
    return WindVector.from_direction(air.wind_from_true_deg, air.wind_kt)


# ---------------------------------------------------------------- speeds


@record
class Speeds:
    """One motion through the air and over the ground."""

    tas_kt: float
    cas_kt: float
    mach: float
    gs_kt: float
    heading_true_deg: float


def speeds_on_course(air: Air, course_true_deg: float, speed: Speed) -> Speeds | str:
    """Every speed of a leg flown at ``speed`` in ``air`` along a course; a string says why it can't be flown.

    Validity: subsonic.
    """
    triangle = _triangle(air, course_true_deg, speed)
    if isinstance(triangle, str):
        return triangle
    if isinstance(triangle, NoSolution):
        return triangle.reason
    if not atmosphere.subsonic_tas(triangle.tas_kt, air.temperature_c):
        return f"{triangle.tas_kt:.0f} kt true is not below the speed of sound"
    cas = atmosphere.cas_from_tas(triangle.tas_kt, air.pressure_altitude_ft, air.temperature_c)
    mach = atmosphere.mach_from_tas(triangle.tas_kt, air.temperature_c)
    return Speeds(triangle.tas_kt, cas, mach, triangle.ground_speed_kt, triangle.heading_true_deg)


def _triangle(air: Air, course_true_deg: float, speed: Speed) -> WindTriangle | NoSolution | str:
    if speed.kind == "KGS":
        return tas_for_ground_speed(course_true_deg, speed.value, wind_of(air))
    tas = tas_kt(air, speed)
    return tas if isinstance(tas, str) else heading_for_course(course_true_deg, tas, wind_of(air))


def tas_kt(air: Air, speed: Speed) -> float | str:
    """True airspeed of an airspeed (not of a ground speed) in some air; a string says why there is none."""
    match speed.kind:
        case "KCAS":
            if not atmosphere.subsonic_cas(speed.value, air.pressure_altitude_ft):
                return f"{speed.value:.0f} KCAS is not below the speed of sound at this level"
            return atmosphere.tas_from_cas(speed.value, air.pressure_altitude_ft, air.temperature_c)
        case "MACH":
            return (
                atmosphere.tas_from_mach(speed.value, air.temperature_c)
                if speed.value < 1
                else "Mach 1 or more isn't planned"
            )
        case "KTAS":
            return speed.value
    return "a ground speed depends on the course"


def missing_air(mission: Mission) -> list[Diagnostic]:
    """What the plan takes for granted because the file gives no QNH; magnetic variations that nobody knows.
    Winds that are not given have their gate."""
    found = [*_unreadable_winds(mission), *_variation_not_known(mission)]
    if all((here := mission.weather_at(id)) is None or here.qnh is None for id in mission.weather_places):
        found.append(_no_qnh(mission))
    return found


def _unreadable_winds(mission: Mission) -> list[Diagnostic]:
    """A magnetic wind aloft where the base's variation isn't known: an error, because the plan would fly
    without it."""
    base = point_of(mission, mission.file.ground_ops.base)
    rows = mission.file.weather.winds if mission.file.weather is not None else ()
    why, help = (
        "the plan would be made without this wind",
        "give the wind in degrees true (T), or the base's variation",
    )
    return [
        Diagnostic(
            "variation",
            "error",
            f"this wind is magnetic, and the variation at {base.id} isn't known",
            why=why,
            help=help,
            cause=cause,
        )
        for i, row in enumerate(rows)
        if wind_vector(mission, base, row.wind) is None and (cause := ("weather", "winds", i, "wind"))
    ]


def _variation_not_known(mission: Mission) -> list[Diagnostic]:
    """One caution for each reason, naming the places: there only true directions are printed."""
    reasons: dict[str, list[str]] = {}
    for id, place in mission.places.items():
        if (reason := _why_no_variation(mission, place.position)) and place.variation_deg is None:
            reasons.setdefault(reason, []).append(id)
    help = (
        "give the variation of each place by hand, such as variation: 10.0 E, if a compass can be relied on"
        " there"
    )
    return [
        Diagnostic(
            "variation-not-known",
            "caution",
            f"no magnetic variation for {', '.join(ids)}: {reason}",
            why="directions there are printed true only, which no compass shows",
            help=help,
            cause=("places", ids[0]),
        )
        for reason, ids in reasons.items()
    ]


def _why_no_variation(mission: Mission, where: Position) -> str:
    found = declination(where, mission.file.sortie.date)
    if not isinstance(found, Declination):
        return found.reason
    return (
        f"the model's horizontal field is below {CAUTION_NT:.0f} nT there, too weak to rely on a compass"
        if found.use_true
        else ""
    )


def outside_forecast(legs: Sequence[Leg]) -> list[Diagnostic]:
    """Legs flown above or below every level of the forecast: the nearest level's wind is held, the
    temperature follows ISA's lapse."""
    outside = [leg for leg in legs if leg.air.extrapolated]
    if not outside:
        return []
    names = ", ".join(
        f"{leg.start.id} to {leg.end.id} at {leg.altitude_ft:.0f} ft, pressure altitude"
        f" {leg.air.pressure_altitude_ft:.0f} ft"
        for leg in outside
    )
    why = (
        "the wind of the nearest level is taken as it stands, and the temperature follows the standard lapse"
        " from there"
    )
    message, help = (
        f"outside the forecast's levels: {names}",
        "give the forecast up to there, or look again at the QNH",
    )
    return [
        Diagnostic("outside-forecast", "caution", message, why=why, help=help, cause=("weather", "winds"))
    ]


def _no_qnh(mission: Mission) -> Diagnostic:
    """No figure is shown: copied, it would pass for what was forecast."""
    line = line_to_add(mission.file, ("weather", "at", mission.base.id, "qnh"), "... hPa")
    return Diagnostic(
        "no-qnh",
        "caution",
        f"no QNH is given: {STANDARD_QNH_HPA} hPa is taken",
        why="times, fuel and airspeeds depend on it",
        help=f"{line}, as it is forecast",
        cause=("weather",),
    )
