"""The forecast that the plan is made with."""

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field

from briefgen.mission.schema.base import (
    Part,
    Phrase,
    PlaceOrAreaRef,
    listed,
)
from briefgen.mission.schema.units import (
    AloftField,
    Celsius,
    ClockField,
    ClockRangeField,
    CloudField,
    ElevationField,
    PressureField,
    VisibilityField,
    WindField,
)


class WindLevel(Part):
    """The forecast at one level of the air."""

    level: AloftField
    wind: WindField
    temperature: Celsius | None = None


class PlaceWeather(Part):
    """The forecast at a place, or in the training area (AREA)."""

    cloud: tuple[CloudField, ...] | None = Field(default=None, max_length=8)
    """Layers, lowest first; an empty list [] is a clear sky; left out, the cloud isn't known."""
    visibility: VisibilityField | None = None
    wind: WindField | None = None
    temperature: Celsius | None = None
    qnh: PressureField | None = None


class Weather(Part):
    """The forecast that the plan is made with."""

    issued: ClockField | None = None
    valid: ClockRangeField | None = None
    source: Phrase | None = None
    winds: tuple[WindLevel, ...] = listed(40)
    at: Annotated[Mapping[PlaceOrAreaRef, PlaceWeather], Field(max_length=60)] = Field(default_factory=dict)
    transition_altitude: ElevationField | None = None
