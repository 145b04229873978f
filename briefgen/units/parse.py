"""Every value type from its text: one table of grammars and parsers, and the JSON-Schema fragment of each.

Each ``parse_*`` takes the text as typed and returns the value, or raises ``Refusal`` (a ValueError), which
carries ``message``, ``why``, ``help`` and ``readings``. ``json_schema(parse_level)`` is the fragment that
goes with ``parse_level``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from briefgen.units import parse_air as air
from briefgen.units import parse_clock as clock
from briefgen.units import parse_fuel as fuel
from briefgen.units import parse_heights as heights
from briefgen.units import parse_motion as motion
from briefgen.units import parse_places as places
from briefgen.units import parse_time as time
from briefgen.units import parse_wind as wind
from briefgen.units import parse_words as words
from briefgen.units.grammar import READERS, Grammar, Refusal
from briefgen.units.parse_air import parse_pressure, parse_temperature_c
from briefgen.units.parse_clock import (
    parse_clock_range,
    parse_clock_time,
    parse_opening_hours,
    parse_pass_time,
    parse_t_offset_or_clock,
)
from briefgen.units.parse_fuel import parse_density_kg_l, parse_fuel, parse_fuel_flow, parse_reserve
from briefgen.units.parse_heights import (
    parse_cloud,
    parse_elevation,
    parse_height,
    parse_level,
    parse_level_aloft,
    parse_level_band,
)
from briefgen.units.parse_motion import (
    parse_acceleration_kt_s,
    parse_bank_deg,
    parse_ground_speed,
    parse_mach,
    parse_speed,
    parse_vertical_rate_ft_min,
)
from briefgen.units.parse_places import (
    parse_distance_nm,
    parse_length_ft,
    parse_position,
    parse_variation_deg,
    parse_visibility,
    parse_visibility_nm,
)
from briefgen.units.parse_time import (
    parse_before_leaving,
    parse_date,
    parse_date_range,
    parse_duration_s,
    parse_hold_leg_s,
    parse_t_offset,
)
from briefgen.units.parse_wind import parse_direction, parse_wind, parse_wind_speed_kt
from briefgen.units.parse_words import (
    parse_alternate_required,
    parse_burn_factor,
    parse_channel,
    parse_count,
    parse_frequency,
    parse_likelihood,
    parse_number,
    parse_phone,
    parse_radio_choice,
    parse_squawk,
    parse_yes_no,
)

PARSERS: dict[Callable[[object], Any], Grammar] = {
    parse_level: heights.LEVEL,
    parse_level_aloft: heights.ALOFT,
    parse_elevation: heights.ELEVATION,
    parse_level_band: heights.BAND,
    parse_height: heights.HEIGHT,
    parse_cloud: heights.CLOUD,
    parse_direction: wind.DIRECTION,
    parse_wind: wind.WIND,
    parse_wind_speed_kt: wind.WIND_SPEED,
    parse_speed: motion.SPEED,
    parse_ground_speed: motion.GROUND_SPEED,
    parse_mach: motion.MACH,
    parse_temperature_c: air.TEMPERATURE,
    parse_pressure: air.PRESSURE,
    parse_acceleration_kt_s: motion.ACCELERATION,
    parse_vertical_rate_ft_min: motion.VERTICAL_RATE,
    parse_bank_deg: motion.BANK,
    parse_position: places.POSITION,
    parse_distance_nm: places.DISTANCE,
    parse_length_ft: places.LENGTH,
    parse_visibility: places.VISIBILITY,
    parse_visibility_nm: places.VISIBILITY,
    parse_variation_deg: places.VARIATION,
    parse_fuel: fuel.FUEL,
    parse_fuel_flow: fuel.FLOW,
    parse_density_kg_l: fuel.DENSITY,
    parse_reserve: fuel.RESERVE,
    parse_duration_s: time.DURATION,
    parse_hold_leg_s: time.HOLD_LEG,
    parse_t_offset: time.T_OFFSET,
    parse_before_leaving: time.BEFORE_LEAVING,
    parse_date: time.DATE,
    parse_date_range: time.DATE_RANGE,
    parse_clock_time: clock.CLOCK,
    parse_clock_range: clock.CLOCK_RANGE,
    parse_opening_hours: clock.HOURS,
    parse_pass_time: clock.PASS_TIME,
    parse_t_offset_or_clock: clock.WHEN,
    parse_frequency: words.FREQUENCY,
    parse_radio_choice: words.RADIO_CHOICE,
    parse_phone: words.PHONE,
    parse_channel: words.CHANNEL,
    parse_yes_no: words.YES_NO,
    parse_alternate_required: words.ALTERNATE,
    parse_count: words.COUNT,
    parse_number: words.NUMBER,
    parse_burn_factor: words.FACTOR,
    parse_likelihood: words.LIKELIHOOD,
    parse_squawk: words.SQUAWK,
}

READERS.update({grammar.name: parser for parser, grammar in PARSERS.items()})

__all__ = ["PARSERS", "Refusal", "json_schema"]
__all__ += [parser.__name__ for parser in PARSERS]


def json_schema(parser: Callable[[object], Any]) -> dict[str, object]:
    """The JSON-Schema fragment of a parser: an anchored pattern, a description, examples."""
    return PARSERS[parser].json_schema()
