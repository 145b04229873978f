"""The way home, fuel rules, radio, contingencies, risk, limits, waivers and notices."""

from collections.abc import Iterator, Mapping
from typing import Annotated, Literal

from pydantic import AfterValidator, ConfigDict, Discriminator, Field, Tag
from pydantic_core import PydanticCustomError

from briefgen.mission.schema.base import (
    Count,
    GateRef,
    Label,
    Part,
    Phrase,
    PlaceRef,
    PresetNumber,
    Rating,
    Sentence,
    ShipNumber,
    YesNo,
    choice,
    listed,
)
from briefgen.mission.schema.event import FormationName
from briefgen.mission.schema.units import (
    AlternateRequired,
    BeforePointField,
    CalibratedField,
    ClockRangeField,
    DateField,
    DateRangeField,
    Feet,
    FrequencyField,
    FuelField,
    Knots,
    LevelField,
    ReserveField,
    Seconds,
    SpeedField,
    VerticalRate,
    VisibilityNm,
)
from briefgen.mission.schema.weather import Legs

DisplayUnit = Annotated[
    Literal["lb", "kg", "L", "US gal"], choice("a unit of fuel", "lb", "kg", "L", "US gal")
]
Regime = Annotated[str, choice("a regime", "icao", "usa", "uk", "australia")]


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


class RadioPreset(Part):
    """One preset of the radio."""

    preset: PresetNumber
    use: Label
    frequency: FrequencyField
    listens: tuple[ShipNumber, ...] = listed(16)
    """Ships that listen to it beside the leader's frequency."""


class Contingency(Part):
    """What is done when something goes wrong."""

    trigger: Phrase
    who: Label
    action: Sentence


LostContact = Annotated[
    Literal["hold", "go home"], choice("what the flight does without its ground contact", "hold", "go home")
]


class NoGroundContact(Contingency):
    """What the flight does by itself when it hears nothing from the ground contact."""

    after: BeforePointField | None = None
    """When it acts, counted back from leave-hold, without a hold from the IP."""
    then: LostContact | None = None
    """What it does then. ``hold``: stay in the hold until heard or the go-home time. There is no default."""


class FallOut(Part):
    """What becomes of the flight without one ship."""

    leads: ShipNumber | None = None
    formation: FormationName | None = None


class Contingencies(Part):
    """The named ones are asked for by the gates; any other may be added under a name of its own."""

    model_config = ConfigDict(extra="allow")
    __pydantic_extra__: dict[str, Contingency]

    lost_wingman: Contingency | None = None
    lost_communications: Contingency | None = None
    knock_it_off: Contingency | None = None
    inadvertent_cloud: Contingency | None = None
    no_ground_contact: NoGroundContact | None = None
    fall_outs: Annotated[Mapping[ShipNumber, FallOut], Field(max_length=16)] = Field(default_factory=dict)

    def given(self) -> Iterator[tuple[str, Contingency]]:
        """Those in the file with their key: the named ones first, then the unit's own in the order of the
        file."""
        for key in (
            "lost_wingman",
            "lost_communications",
            "knock_it_off",
            "inadvertent_cloud",
            "no_ground_contact",
        ):
            if (contingency := getattr(self, key)) is not None:
                yield key, contingency
        yield from (self.__pydantic_extra__ or {}).items()


class RiskRating(Part):
    """From 1 (least) to 5."""

    likelihood: Rating
    severity: Rating


class Risk(Part):
    """One hazard, before and after its control."""

    hazard: Phrase
    before: RiskRating
    control: Sentence | None = None
    after: RiskRating | None = None
    accepted_by: Label | None = None


class TakeoffMinima(Part):
    """Weather for the take-off, and for landing."""

    ceiling: LevelField | None = None
    visibility: VisibilityNm | None = None


class AreaMinima(Part):
    """Weather in the training area."""

    visibility: VisibilityNm | None = None
    clear_of_cloud: Feet | None = None


class FormationMinima(Part):
    """Weather on the legs flown in formation."""

    visibility: VisibilityNm | None = None
    below_cloud: Feet | None = None


class WeatherMinima(Part):
    """Minima for each part of the sortie."""

    takeoff: TakeoffMinima | None = None
    area: AreaMinima | None = None
    formation_legs: FormationMinima | None = None
    landing: TakeoffMinima | None = None
    """At the base, and at the diverts."""
    alternate: TakeoffMinima | None = None
    """At the alternate, over its own arrivals."""
    no_alternate: TakeoffMinima | None = None
    """What spares the alternate by weather; left out: 2000 ft AGL and 3 SM, the figures of 14 CFR
    91.169(b)."""


class Limits(Part):
    """The unit's own figures. They override the published defaults of the regime."""

    regime: Regime = "icao"
    pass_minimum_height: Feet | None = None
    """Above the highest obstacle."""
    legs_minimum_height: Feet | None = None
    """Of every leg, the hold and the area's floor above known elevations and listed obstacles within a mile;
    left out: 500 ft, a default."""
    crowd_distance: Feet | None = None
    """The least from a ship's track on the run-in and the egress to the spectators, to the side; left out:
    500 ft, a default."""
    pass_maximum_speed: SpeedField | None = None
    event_ceiling_minimum: LevelField | None = None
    event_visibility_minimum: VisibilityNm | None = None
    speed_below_10000_ft: CalibratedField | None = None
    """The most below 10000 ft MSL, calibrated taken as indicated."""
    formation_size: Count | None = None
    """The most ships of the flypast."""
    formation_across: Feet | None = None
    """The most to the side of the leader, and the most behind."""
    formation_vertical: Feet | None = None
    """The most above or below the leader."""
    formation_descent_rate: VerticalRate | None = None
    """ft/min, every leg from the rejoin to the recovery."""
    formation_climb_rate: VerticalRate | None = None
    forecast_age: Seconds | None = None
    weather: WeatherMinima | None = None
    crosswind: Knots | None = None
    duty_period: Seconds | None = None
    land_before_sunset: Seconds | None = None
    speed_authority: Phrase | None = None
    """Reference for more than 250 KIAS below 10000 ft, where the regime has that cap."""
    aerobatics_floor: Feet | None = None
    """The least above the ground under the area."""
    request_days: Count | None = None
    """Days before the event by which the airspace is asked for."""
    reserve_by_day: Seconds | None = None
    """The least reserve, as a time, when the last landing is in daylight."""
    reserve_by_night: Seconds | None = None


class Waiver(Part):
    """A recorded exception from one rule (the id of its gate)."""

    rule: GateRef
    reference: Label
    authority: Phrase
    valid: DateRangeField


class Notice(Part):
    """A NOTAM or hazard that the flight lead has read."""

    reference: Label
    says: Sentence
    read: DateField | None = None
    valid: ClockRangeField | None = None


def _yes(value: bool) -> bool:
    if value:
        return value
    why, help = "then there are some, and each is read for itself", "list the notices that there are"
    raise PydanticCustomError(
        "unreadable",
        "{text}",
        {"text": "none: no says that there are notices", "why": why, "help": help, "code": "value"},
    )


class NoNotices(Part):
    """Somebody has looked, and no notice is in force."""

    none: Annotated[YesNo, AfterValidator(_yes)]
    read_by: Label
    read: DateField


def _one_or_many(value: object) -> str:
    return "a list" if isinstance(value, (list, tuple)) else "one word"


Notices = Annotated[
    Annotated[NoNotices, Tag("one word")]
    | Annotated[tuple[Notice, ...], Field(max_length=60), Tag("a list")],
    Discriminator(_one_or_many),
]
