"""What the unit and others have laid down: limits, risk, waivers, notices, radio."""

from typing import Annotated

from pydantic import AfterValidator, Discriminator, Field, Tag
from pydantic_core import PydanticCustomError

from briefgen.mission.schema.base import (
    Count,
    GateRef,
    Label,
    Part,
    Phrase,
    PlaceOrPhaseRef,
    PresetNumber,
    Rating,
    Sentence,
    ShipNumber,
    YesNo,
    choice,
    listed,
)
from briefgen.mission.schema.units import (
    CalibratedField,
    ClockRangeField,
    DateField,
    DateRangeField,
    Feet,
    FrequencyField,
    Knots,
    LevelField,
    Seconds,
    SpeedField,
    VerticalRate,
    VisibilityNm,
)

Regime = Annotated[str, choice("a regime", "icao", "usa", "uk", "australia")]


class RadioPreset(Part):
    """One preset of the radio."""

    preset: PresetNumber
    use: Label
    frequency: FrequencyField
    from_: PlaceOrPhaseRef | None = Field(default=None, alias="from")
    """Where it is taken: a place of the way, or one of step, start, check_in, taxi, takeoff, training,
    rejoin, hold, run_in, egress and recovery. The kneeboard card has its number on that line."""
    listens: tuple[ShipNumber, ...] = listed(16)
    """Ships that listen to it beside the leader's frequency."""


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
    temporary_counts: YesNo | None = None
    """Whether a PROB group of a TAF counts like its TEMPO and what prevails; left out it is a caution."""


class Limits(Part):
    """The unit's own figures. They override the published defaults of the regime."""

    regime: Regime = "icao"
    pass_minimum_height: Feet | None = None
    """Above the highest obstacle."""
    legs_minimum_height: Feet | None = None
    """Of every leg, the hold and the area's floor above known elevations and listed obstacles within a mile;
    left out: near the track what the regime asks for, but for take-off and landing; elsewhere 500 ft, a
    default."""
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
    """ft/min, of one ship alone too. Without it no climb is counted: what is flown upward is judged at the
    level that it begins at."""
    forecast_age: Seconds | None = None
    weather: WeatherMinima | None = None
    crosswind: Knots | None = None
    density_altitude: Feet | None = None
    """The highest that the unit accepts for take-off and landing."""
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
