"""The quantities of a mission file: one annotated type for each, read by ``briefgen.units.parse``.

A type named for its unit (Seconds, Feet, Nm, Knots ...) is a plain float in that unit, whatever unit was
typed.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Tag
from pydantic.functional_validators import AfterValidator
from pydantic_core import PydanticCustomError

from briefgen.mission.schema.base import LABEL_CHARACTERS, Scalar, Unreadable, as_text, quantity
from briefgen.mission.schema.flows import FlowRow, FlowTable
from briefgen.units import parse
from briefgen.units import values as v
from briefgen.units.parse_fuel import parse_fuel_flow
from briefgen.units.parse_heights import parse_height

LevelField = Annotated[v.Level, quantity(parse.parse_level)]
AloftField = Annotated[v.Level, quantity(parse.parse_level_aloft)]
ElevationField = Annotated[v.Level, quantity(parse.parse_elevation)]
LevelBandField = Annotated[v.LevelBand, quantity(parse.parse_level_band)]
CloudField = Annotated[v.CloudLayer, quantity(parse.parse_cloud)]
DirectionField = Annotated[v.Direction, quantity(parse.parse_direction)]
WindField = Annotated[v.Wind, quantity(parse.parse_wind)]
SpeedField = Annotated[v.Speed, quantity(parse.parse_speed)]
GroundSpeedField = Annotated[v.Speed, quantity(parse.parse_ground_speed)]
PositionField = Annotated[v.Position, quantity(parse.parse_position)]
FuelField = Annotated[v.Fuel, quantity(parse.parse_fuel)]
ReserveField = Annotated[v.Fuel | v.Duration, quantity(parse.parse_reserve)]
ClockField = Annotated[v.ClockTime, quantity(parse.parse_clock_time)]
HoursField = Annotated[v.DailyHours, quantity(parse.parse_opening_hours)]
ClockRangeField = Annotated[v.ClockRange, quantity(parse.parse_clock_range)]
PassTimeField = Annotated[v.ClockTime | v.EndOfCue, quantity(parse.parse_pass_time)]
TOffsetField = Annotated[v.TOffset, quantity(parse.parse_t_offset)]
TimeOrOffsetField = Annotated[v.ClockTime | v.TOffset, quantity(parse.parse_t_offset_or_clock)]
FrequencyField = Annotated[v.Frequency, quantity(parse.parse_frequency)]
ContactField = Annotated[v.Frequency | int, quantity(parse.parse_radio_choice)]
ChannelField = Annotated[v.Channel, quantity(parse.parse_channel)]
PhoneText = Annotated[str, quantity(parse.parse_phone)]
DateField = Annotated[date, quantity(parse.parse_date)]
DateRangeField = Annotated[v.DateRange, quantity(parse.parse_date_range)]
AlternateRequired = Annotated[Literal["yes", "no", "by weather"], quantity(parse.parse_alternate_required)]

BeforePointField = Annotated[v.BeforePoint, quantity(parse.parse_before_leaving)]
Seconds = Annotated[float, quantity(parse.parse_duration_s)]
LegSeconds = Annotated[float, quantity(parse.parse_hold_leg_s)]
Feet = Annotated[float, quantity(parse.parse_height)]
RunwayFeet = Annotated[float, quantity(parse.parse_length_ft)]
Nm = Annotated[float, quantity(parse.parse_distance_nm)]
VisibilityNm = Annotated[float, quantity(parse.parse_visibility_nm)]
Knots = Annotated[float, quantity(parse.parse_wind_speed_kt)]
Acceleration = Annotated[float, quantity(parse.parse_acceleration_kt_s)]
VerticalRate = Annotated[float, quantity(parse.parse_vertical_rate_ft_min)]
Degrees = Annotated[float, quantity(parse.parse_bank_deg)]
Celsius = Annotated[float, quantity(parse.parse_temperature_c)]
PressureField = Annotated[v.Pressure, quantity(parse.parse_pressure)]
VisibilityField = Annotated[v.Visibility, quantity(parse.parse_visibility)]
MachNumber = Annotated[float, quantity(parse.parse_mach)]
VariationEast = Annotated[float, quantity(parse.parse_variation_deg)]
Density = Annotated[float, quantity(parse.parse_density_kg_l)]
BurnFactor = Annotated[float, quantity(parse.parse_burn_factor)]


# ---------------- a speed that is compared with calibrated ones


def _calibrated(speed: v.Speed) -> v.Speed:
    if speed.kind == "KCAS":
        return speed
    why = "it limits what the airspeed indicator shows, wherever the aircraft is"
    raise PydanticCustomError(
        "unreadable",
        "{text}",
        {
            "text": f"this speed is in {speed.kind}",
            "why": why,
            "help": "write it in KCAS, such as 250 KCAS",
            "code": "value",
        },
    )


CalibratedField = Annotated[v.Speed, quantity(parse.parse_speed), AfterValidator(_calibrated)]


# ---------------------------------------------------------------- offsets: heights with a sign


def _read_offset(text: str) -> float:
    return -parse_height(text[1:]) if text.startswith("-") else parse_height(text)


OffsetFeet = Annotated[
    float, Scalar("an offset", _read_offset, ("30 ft", "-30 ft"), as_text("^-?[0-9].*(?:[fF][tT]|m)$"))
]


# ---------------------------------------------------------------- time zones


ZONE_KIND = "time-zone"


def _read_zone(text: str) -> str:
    from briefgen.airmath.clocks import UnknownZone, find_zone

    zone = find_zone(text)
    if isinstance(zone, UnknownZone):
        help = (
            f"did you mean {' or '.join(zone.suggestions)}?"
            if zone.suggestions
            else "write a name of the tz database, for example Australia/Adelaide"
        )
        raise Unreadable(
            zone.why, "every local time here hangs on it", help, kind="" if zone.suggestions else ZONE_KIND
        )
    return text


ZoneName = Annotated[
    str,
    Scalar(
        "a time zone",
        _read_zone,
        ("Australia/Adelaide", "UTC"),
        as_text(f"^[A-Za-z0-9_+/-]{{2,{LABEL_CHARACTERS + 16}}}$"),
    ),
]


# ---------------------------------------------------------------- fuel flow: one, or a table by altitude


def _one_row(text: str) -> FlowTable:
    return FlowTable((FlowRow(None, parse_fuel_flow(text)),))


def _rows(table: Mapping[v.Level, v.FuelFlow]) -> FlowTable:
    if not table:
        raise PydanticCustomError(
            "unreadable",
            "{text}",
            {
                "text": "this table of flows is empty",
                "why": "no fuel could be worked out from it",
                "help": "give a flow",
                "code": "value",
            },
        )
    return FlowTable(
        tuple(FlowRow(level, table[level]) for level in sorted(table, key=lambda level: level.feet))
    )


def _shape(value: Any) -> str:
    return "table" if isinstance(value, dict) else "text"


_GRAMMAR = parse.PARSERS[parse_fuel_flow]
_FLOW = Scalar(_GRAMMAR.noun, _one_row, _GRAMMAR.examples, _GRAMMAR.json_schema)
FlowText = Annotated[v.FuelFlow, quantity(parse.parse_fuel_flow)]
FlowField = Annotated[
    Annotated[FlowTable, _FLOW, Tag("text")]
    | Annotated[Mapping[AloftField, FlowText], AfterValidator(_rows), Tag("table")],
    Discriminator(_shape),
]
