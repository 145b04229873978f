"""The legs of a way, and the block of training."""

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field

from briefgen.mission.schema.base import (
    Count,
    Label,
    Part,
    PlaceRef,
    SectionId,
    Sentence,
    ShipNumber,
    WordKey,
    YesNo,
    listed,
)
from briefgen.mission.schema.units import (
    ChannelField,
    ClockRangeField,
    DirectionField,
    ElevationField,
    Feet,
    FuelField,
    LevelBandField,
    LevelField,
    PositionField,
    Seconds,
    SpeedField,
)


class RouteLeg(Part):
    """One leg, the same everywhere: to a place, at a level, at a speed."""

    to: PlaceRef
    level: LevelField
    speed: SpeedField
    course: DirectionField | None = None
    """Where it starts. The positions count; a typed course only has to agree with them to 2 degrees."""


class Area(Part):
    """The training area and its reservation."""

    name: Label
    boundary: tuple[PositionField, ...] = listed(100, at_least=3)
    """Its corners in order, or an outline of a file: ``{file: area.kml, name: Moorland}``."""
    floor: LevelField
    top: LevelField
    highest_ground: ElevationField | None = None
    """The highest ground under the area."""
    reserved: ClockRangeField | None = None


class WarmUp(Part):
    """From the area's edge to the first set-up."""

    time: Seconds
    fuel: FuelField | None = None


class Setups(Part):
    """The repeated piece of the training."""

    planned: Count | None = None
    """Left out: the least of what time and fuel allow."""
    minimum: Count | None = None
    each: Seconds
    fuel_each: FuelField | None = None


class Leave(Part):
    """Out of the area by a place."""

    by: PlaceRef
    time: Seconds
    fuel: FuelField | None = None


class Rejoin(Part):
    """Over the place by which the flight leaves: the fuel and damage check."""

    time: Seconds
    fuel: FuelField | None = None
    level: LevelField | None = None
    """Its fuel burns at this level; left out, at that of the way to the area."""


class Training(Part):
    """The block of training before the event, or the whole of the sortie."""

    area: Area
    id: SectionId | None = None
    """Its short name, needed where there are several."""
    aerobatic: YesNo | None = None
    warm_up: WarmUp | None = None
    setups: Setups
    blocks: Annotated[Mapping[WordKey, LevelBandField], Field(max_length=8)] = Field(default_factory=dict)
    """Who owns which heights. Each ship's training fuel is read at the middle of its side's block, where its
    flow is a table by altitude."""
    block_buffer: Feet | None = None
    yardstick: Annotated[Mapping[ShipNumber, ChannelField], Field(max_length=16)] = Field(
        default_factory=dict
    )
    """Air-to-air TACAN channel of each ship."""
    rules: tuple[Sentence, ...] = listed(12)
    leave: Leave | None = None
    rejoin: Rejoin | None = None


Legs = tuple[RouteLeg, ...]
