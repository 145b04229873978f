"""True altitudes and what the altimeter reads: the correction for cold air of a mission's own air.

A typed level is always what the altimeter reads. Of two ways to know the column of air the colder counts: the
forecast aloft, and the temperature at the station whose QNH is set with ISA's lapse above it. Where neither
is given, ISA is taken, and no height found with it passes (``unknown_air``); a QNH from far away is still the
best there is to work with, and passes as little.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache

from briefgen.airmath import atmosphere
from briefgen.airmath.aloft import ForecastLevel, mean_air
from briefgen.airmath.cold_air import MeanC, indicated_height_ft, standard_lapse, true_height_ft
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.plan.model import Point, UnknownAir
from briefgen.plan.route.air import STANDARD_QNH_HPA, forecast, qnh_at, qnh_station
from briefgen.units.blank import only_keeps_place
from briefgen.units.rounding import up
from briefgen.units.values import Position

AwayNm = Callable[[Position], float]
READ_TO_FT = 10.0  # a least reading goes up to the next mark that a pilot can hold


@record
class Station:
    """Where the QNH that is set comes from. ``id`` None: the file gives none. Its elevation not given: sea
    level. A station without a temperature takes that of the point it is set for; None where neither has one.
    """

    id: str | None
    elevation_ft: float
    temperature_c: float | None


@record
class Column:
    """The air over a station, as the two ways know it: ``levels`` only those with a temperature. ``shift_ft``
    makes an altitude a pressure altitude."""

    station: Station
    levels: tuple[ForecastLevel, ...]
    shift_ft: float


def column_at(mission: Mission, point: Point) -> Column:
    """The air between the station whose QNH is set at a point and whoever flies there."""
    id = qnh_station(mission, point)
    place = mission.places.get(point.id if id is None else id)
    elevation_ft = place.elevation_ft if place is not None else None
    levels = tuple(level for level in forecast(mission, point) if level.temperature_c is not None)
    shift_ft = atmosphere.pressure_altitude_ft(0.0, qnh_at(mission, point) or STANDARD_QNH_HPA)
    return Column(Station(id, elevation_ft or 0.0, _temperature_c(mission, id, point)), levels, shift_ft)


def _temperature_c(mission: Mission, id: str | None, point: Point) -> float | None:
    given = (mission.weather_at(place) for place in (id, point.id) if place is not None)
    return next(
        (here.temperature for here in given if here is not None and here.temperature is not None), None
    )


def unknown_air(mission: Mission, columns: Sequence[Column], away_nm: AwayNm) -> UnknownAir | None:
    """What is not given of some columns of air, or whose figures they are; None where all of it is.
    ``away_nm``: how far a spot is from what is flown in them; one QNH must lie as near as cloud and
    visibility do, and says whose temperature is wanted."""

    def off_nm(id: str) -> float:
        return away_nm(mission.places[id].position)

    stations = {column.station.id for column in columns}
    nearest_nm = min((off_nm(id) for id in stations if id is not None), default=None)
    far_nm = nearest_nm if nearest_nm is not None and nearest_nm > WEATHER_NEAR_NM else None
    no_qnh = nearest_nm is None or far_nm is not None
    without = without_temperature(columns)
    lacks = (*(("QNH",) if no_qnh else ()), *(("temperature",) if without is not None else ()))
    if not lacks:
        weather = mission.file.weather
        nobodys = weather is not None and only_keeps_place(weather.source)
        return UnknownAir(("source",), ("weather", "source"), None) if nobodys else None
    base = mission.base.id
    near = base if off_nm(base) <= WEATHER_NEAR_NM else min(mission.places, key=off_nm)
    at = near if no_qnh or without is None else without.station.id
    return UnknownAir(lacks, ("weather", "at", at, lacks[0].lower()), far_nm)


def without_temperature(columns: Iterable[Column]) -> Column | None:
    """A column of which neither way knows how cold it is."""
    return next((c for c in columns if c.station.temperature_c is None and not c.levels), None)


def true_altitude_ft(column: Column, altitude_ft: float) -> float:
    """How high one really is, ft MSL, when the altimeter reads ``altitude_ft``: never above it."""
    station_ft = column.station.elevation_ft
    return station_ft + _true_height(column, altitude_ft - station_ft)


def reading_ft(column: Column, altitude_ft: float) -> float:
    """What the altimeter has to read for a true altitude, ft MSL: never below it."""
    station_ft, height_ft = column.station.elevation_ft, altitude_ft - column.station.elevation_ft
    return station_ft + max(
        (indicated_height_ft(height_ft, station_ft, mean) for mean in _ways(column)), default=height_ft
    )


def reading_up_ft(column: Column, altitude_ft: float) -> float:
    """The same up to the next mark that a pilot can hold: a least reading."""
    return up(reading_ft(column, altitude_ft), READ_TO_FT)


@lru_cache(maxsize=4096)
def _true_height(column: Column, indicated_ft: float) -> float:
    station_ft = column.station.elevation_ft
    return min(
        (true_height_ft(indicated_ft, station_ft, mean) for mean in _ways(column)), default=indicated_ft
    )


def _ways(column: Column) -> list[MeanC]:
    station, found = column.station, []
    if station.temperature_c is not None:
        found.append(standard_lapse(station.elevation_ft, station.temperature_c))
    if column.levels:
        low_ft = station.elevation_ft + column.shift_ft
        found.append(lambda height_ft: mean_air(column.levels, low_ft, low_ft + height_ft).temperature_c)
    return found
