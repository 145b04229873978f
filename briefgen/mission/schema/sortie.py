"""The sortie, the places, the aircraft, the flight and the ground operations of a mission file.

What is not said to be required may be left out; what depends on it then reads NOT CHECKED or is not printed.
"""

from collections.abc import Mapping
from typing import Annotated

from pydantic import Field

from briefgen.mission.inputs.placed import MOST_PLACES
from briefgen.mission.schema.base import (
    AircraftRef,
    CallsignText,
    Count,
    Label,
    Part,
    Phrase,
    PlaceId,
    PlaceRef,
    ShipNumber,
    Side,
    TailText,
    Title,
    WordKey,
    YesNo,
    listed,
)
from briefgen.mission.schema.flows import FlowTable
from briefgen.mission.schema.units import (
    BurnFactor,
    ClockField,
    DateField,
    Density,
    DirectionField,
    ElevationField,
    FlowField,
    FrequencyField,
    FuelField,
    HoursField,
    MachNumber,
    Nm,
    PhoneText,
    PositionField,
    RunwayFeet,
    Seconds,
    SpeedField,
    VariationEast,
    ZoneName,
)
from briefgen.units.blank import names_nothing, says_nothing
from briefgen.units.people import names_nobody


class Book(Part):
    """A unit's book, and what it says of itself."""

    book: Phrase
    owner: Label
    """Who keeps it."""
    date: DateField
    """Of this edition."""


class UnitBook(Book):
    """The book that a mission stands on; in the mission its name alone: ``unit: ../book.yaml``."""

    unit: Book | None = None
    """The book that it stands on itself, such as the wing's."""


class Objectives(Part):
    """What the sortie is for."""

    primary: Phrase | None = None
    secondary: Phrase | None = None


class Supervisor(Part):
    """Who supervises, and how to reach them."""

    name: Label
    phone: PhoneText | None = None
    frequency: FrequencyField | None = None
    recall_word: Label | None = None
    """The word that brings the flight home."""


class SelfAuthorised(Part):
    """Lets the named supervisor approve a flight that they fly; without it somebody else has to."""

    authority: Phrase
    """Who or what allows it, such as a paragraph of the unit's orders."""
    reason: Phrase


class Sortie(Part):
    """Name, call sign and date; what it is for."""

    name: Title
    callsign: CallsignText
    date: DateField
    """The calendar date by the event's clock, without an event by the base's, of every cue and time over
    target that is typed without a date, and without an event of the take-off. A T at the end of a cue may lie
    past midnight, on the date after; take-off and other times without a date are those nearest to T."""
    marking: Title | None = None
    """Printed at the top and foot of every page."""
    objectives: Objectives | None = None
    success: tuple[Phrase, ...] = listed(12)
    """How the debrief will judge."""
    supervisor: Supervisor | None = None
    self_authorised: SelfAuthorised | None = None

    @property
    def own_authority(self) -> SelfAuthorised | None:
        """By whose authority they may approve a flight of their own; None where a part of it says nothing."""
        given = self.self_authorised
        return (
            None if given is None or names_nothing(given.authority) or says_nothing(given.reason) else given
        )


class Runway(Part):
    """One runway direction of an airfield."""

    name: Label
    direction: DirectionField | None = None
    length: RunwayFeet | None = None


class Place(Part):
    """A spot on Earth that the sortie uses. Beside those typed here ``files`` names files of places: ``files:
    [unit.gpx, fields.csv]``."""

    name: Label | None = None
    """How it is printed; without it the id is."""
    position: PositionField
    elevation: ElevationField | None = None
    """In ft MSL or m MSL."""
    runways: tuple[Runway, ...] = listed(12)
    open: HoursField | None = None
    """Daily hours: from and to, to 24:00 for the end of the day, or H24."""
    approach: YesNo | None = None
    """Whether the aerodrome has an instrument approach: without one, or without saying so, an alternate by
    weather is required."""
    time_zone: ZoneName | None = None
    """A name of the tz database, such as Australia/Adelaide. Wins over the look-up."""
    variation: VariationEast | None = None
    """Magnetic variation in degrees, east positive. Wins over the model."""


class Flows(Part):
    """Fuel flow of one aircraft for each use of fuel: one flow, or a table by altitude. ``ground`` is before
    take-off."""

    ground: FlowField | None = None
    climb: FlowField | None = None
    cruise: FlowField | None = None
    transit: FlowField | None = None
    hold: FlowField | None = None
    training: FlowField | None = None
    run_in: FlowField | None = None
    push_up: FlowField | None = None
    recovery: FlowField | None = None

    def of(self, key: str) -> FlowTable | None:
        """The flow of one use of fuel, None where the file gives none."""
        flow: FlowTable | None = getattr(self, key)
        return flow


class Climb(Part):
    """Time and distance of the climb after take-off, in still air. Used once, to the first departure
    level."""

    time: Seconds
    distance: Nm


class SpeedLimits(Part):
    """What the aircraft may fly."""

    minimum: SpeedField | None = None
    maximum: SpeedField | None = None
    maximum_mach: MachNumber | None = None


class Tiers(Part):
    """Predicted landing fuel, in the unit's own words: emergency < minimum <= normal landing."""

    normal_landing: FuelField | None = None
    minimum: FuelField | None = None
    emergency: FuelField | None = None


class Aircraft(Part):
    """One type of aircraft. In the mission file, or in a file of its own: ``petrel: {file:
    types/petrel.yaml}``."""

    name: Label
    fuel_capacity: FuelField | None = None
    fuel_density: Density | None = None
    """kg per litre. Needed only when fuel is given or shown in L or US gal."""
    fuel_step: FuelField | None = None
    """The step of its gauge, in the displayed unit. Left out: about a 500th of its capacity, marked as a
    default."""
    fuel_flow: Flows | None = None
    climb: Climb | None = None
    speed_limits: SpeedLimits | None = None
    tiers: Tiers | None = None


class Ship(Part):
    """One aircraft of the flight and its crew."""

    ship: ShipNumber
    """1 is the leader; numbered without gaps."""
    crew: tuple[Label, ...] = listed(4, at_least=1)
    aircraft: AircraftRef
    """A key of ``aircraft``."""
    tail: TailText | None = None
    start_fuel: FuelField | None = None
    side: Side | None = None
    """blue or red in the training."""
    burn_factor: BurnFactor = 1.0
    """Fuel used against the leader's; wingmen use more. 1 unless it is given."""
    can_lead: YesNo | None = None
    flypasts_led: Count | None = None

    @property
    def captain(self) -> str | None:
        """The first of the crew; None where that entry only keeps the place of a name."""
        return None if names_nobody(self.crew[0]) else self.crew[0]

    @property
    def crew_named(self) -> bool:
        """Whether every entry of the crew names somebody."""
        return not any(names_nobody(name) for name in self.crew)

    @property
    def may_lead(self) -> bool | None:
        """``can_lead``; None where a yes is said of nobody."""
        return None if self.can_lead and self.captain is None else self.can_lead


class TimeHack(Part):
    """When, from what and how exactly the watches are set."""

    when: Phrase
    source: Label | None = None
    to: Seconds | None = None


class GroundOps(Part):
    """From the report to the take-off. ``brief`` to ``taxi`` are times before take-off, in seconds."""

    base: PlaceRef
    runway: Label | None = None
    report: ClockField | None = None
    """Start of the duty period."""
    brief: Seconds | None = None
    step: Seconds | None = None
    start: Seconds | None = None
    check_in: Seconds | None = None
    taxi: Seconds | None = None
    start_to_takeoff_fuel: FuelField | None = None
    takeoff: ClockField | None = None
    """Left out: worked back from the time over target."""
    takeoff_interval: Seconds | None = None
    """Between one ship and the next."""
    time_hack: TimeHack | None = None


Places = Annotated[Mapping[PlaceId, Place], Field(min_length=1, max_length=MOST_PLACES)]
AircraftTypes = Annotated[Mapping[WordKey, Aircraft], Field(min_length=1, max_length=16)]
Flight = Annotated[tuple[Ship, ...], Field(min_length=1, max_length=16)]
