"""The way home, fuel rules, and what is done when something fails."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import ConfigDict, Field

from briefgen.mission.schema.base import (
    Part,
    PlaceRef,
    ShipNumber,
    choice,
    listed,
)
from briefgen.mission.schema.event import Contingency, FormationName, NoGroundContact
from briefgen.mission.schema.training import Legs
from briefgen.mission.schema.units import (
    AlternateRequired,
    FuelField,
    ReserveField,
    Seconds,
)

DisplayUnit = Annotated[
    Literal["lb", "kg", "L", "US gal"], choice("a unit of fuel", "lb", "kg", "L", "US gal")
]


class Approach(Part):
    """The approach of each ship."""

    time: Seconds
    fuel: FuelField | None = None


class Alternate(Part):
    """Where the flight goes when the base cannot be used."""

    place: PlaceRef
    required: AlternateRequired = "no"
    """By weather: required unless a forecast valid around the arrival makes it needless."""


class Recovery(Part):
    """From the egress to the debrief. ``debrief`` and ``shut_down`` are times after landing."""

    legs: Annotated[Legs, Field(max_length=20)] = ()
    climb_fuel: FuelField | None = None
    approach: Approach | None = None
    landing_interval: Seconds | None = None
    alternate: Alternate | None = None
    diverts: tuple[PlaceRef, ...] = listed(8)
    shut_down: Seconds | None = None
    debrief: Seconds | None = None
    """Ends the duty period."""


class FuelRules(Part):
    """How fuel is shown and what is kept."""

    display: DisplayUnit = "lb"
    """L and US gal by each aircraft's own density. Left out: the unit in which the fuel of the leader's
    aircraft is typed."""
    reserve: ReserveField | None = None
    """A time at the hold's flow, or a weight."""
    joker_pad: FuelField | None = None
    round_up_to: FuelField | None = None
    """What joker and bingo go up to: in the displayed unit, a whole multiple of every aircraft's
    ``fuel_step``."""


class FallOut(Part):
    """What becomes of the flight without one ship."""

    leads: ShipNumber | None = None
    formation: FormationName | None = None


class Contingencies(Part):
    """The named ones are asked for by the gates; any other may be added under a name of its own."""

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Contingency] = Field(init=False)

    lost_wingman: Contingency | None = None
    lost_communications: Contingency | None = None
    knock_it_off: Contingency | None = None
    inadvertent_cloud: Contingency | None = None
    no_ground_contact: NoGroundContact | None = None
    fall_outs: Annotated[Mapping[ShipNumber, FallOut], Field(max_length=16)] = Field(default_factory=dict)

    def given(self, *, event: bool) -> Iterator[tuple[str, Contingency]]:
        """Those in the file with their key: the named ones first, then the unit's own in the order of the
        file. Without an ``event`` nobody loses its ground contact."""
        for key in (
            "lost_wingman",
            "lost_communications",
            "knock_it_off",
            "inadvertent_cloud",
            "no_ground_contact",
        ):
            if (contingency := getattr(self, key)) is not None and (event or key != "no_ground_contact"):
                yield key, contingency
        yield from (self.__pydantic_extra__ or {}).items()
