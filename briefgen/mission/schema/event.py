"""The event and the pass over it."""

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Discriminator, Field, Tag

from briefgen.airmath.formation import FORMATIONS
from briefgen.mission.schema.base import (
    CallsignText,
    Count,
    CueId,
    Label,
    Part,
    Phrase,
    PlaceRef,
    SectionId,
    Sentence,
    ShipNumber,
    Title,
    choice,
    listed,
)
from briefgen.mission.schema.units import (
    Acceleration,
    BeforePointField,
    ClockField,
    ClockRangeField,
    ContactField,
    DateField,
    Degrees,
    DirectionField,
    ElevationField,
    Feet,
    GroundSpeedField,
    LegSeconds,
    LevelBandField,
    LevelField,
    Nm,
    OffsetFeet,
    PassTimeField,
    PhoneText,
    PositionField,
    Seconds,
    SpeedField,
    TimeOrOffsetField,
    TOffsetField,
)
from briefgen.units.grammar import Refusal
from briefgen.units.parse_words import parse_frequency
from briefgen.units.values import ClockTime, Frequency

Turns = Annotated[Literal["left", "right"], choice("a way to turn", "left", "right")]
NoCue = Annotated[
    Literal["hold", "go home", "next pass"],
    choice("what the flight does without its cue", "hold", "go home", "next pass"),
]
FormationName = Annotated[str, choice("the name of a formation", *FORMATIONS)]


Then = Annotated[Literal["home", "next pass"], choice("what may follow a pass", "home", "next pass")]


class Permission(Part):
    """The authority's permission for the pass."""

    reference: Label
    authority: Phrase | None = None
    valid: ClockRangeField | None = None
    lowest: LevelField | None = None
    requested: DateField | None = None


class GroundContact(Part):
    """Who stands at the event with a radio."""

    name: Label | None = None
    callsign: CallsignText
    primary: ContactField | None = None
    """A preset of ``radio``, or a frequency."""
    backup: ContactField | None = None
    phone: PhoneText | None = None
    in_place: ClockField | None = None
    radio_check: ClockField | None = None


class Cue(Part):
    """What the ground contact hears, and when it begins."""

    says: Phrase
    time: ClockField
    lasts: Seconds | None = None
    spread: Seconds | None = None
    """One standard deviation of its length."""
    marks: Annotated[Mapping[CueId, Seconds], Field(max_length=12)] = Field(default_factory=dict)
    """Seconds after its beginning."""


class AcceptSlip(Part):
    """How early or late the event may run and still be served, in seconds."""

    early: Seconds = 0.0
    late: Seconds = 0.0


def _one_or_many(value: object) -> str:
    return "a list" if isinstance(value, (list, tuple)) else "one"


OneOrMany = Annotated[
    Annotated[ClockField, Tag("one")]
    | Annotated[tuple[ClockField, ...], Field(min_length=1, max_length=16), Tag("a list")],
    Discriminator(_one_or_many),
]


class Party(Part):
    """Someone whose plans hang on the time over target. ``acknowledged`` is the time over target that they
    hold, of several passes a list with that of each in turn (one alone is of the first); a pass that follows
    another so long after it needs none. A window typed from T counts from the T that they hold."""

    who: Label
    what: Phrase
    from_: TimeOrOffsetField | None = Field(default=None, alias="from")
    to: TimeOrOffsetField | None = None
    contact: Label | None = None
    acknowledged: OneOrMany | None = None

    @property
    def held(self) -> tuple[ClockTime, ...]:
        """``acknowledged`` as a list."""
        given = self.acknowledged
        return given if isinstance(given, tuple) else () if given is None else (given,)

    @property
    def frequency(self) -> Frequency | None:
        """Its contact where that is a frequency; None for a telephone number or words."""
        try:
            return parse_frequency(self.contact)
        except Refusal:
            return None


class OtherTraffic(Part):
    """Someone else who flies there."""

    who: Label
    level: LevelBandField | None = None
    from_: TimeOrOffsetField | None = Field(default=None, alias="from")
    until: TimeOrOffsetField | None = None


class CrowdLine(Part):
    """The line along which the spectators stand."""

    from_: PositionField = Field(alias="from")
    to: PositionField


class Hold(Part):
    """The racetrack in which the flight waits."""

    at: PlaceRef
    level: LevelField
    speed: SpeedField
    turns: Turns
    leg: LegSeconds
    bank: Degrees
    planned: Seconds | None = None
    minimum: Seconds | None = None
    maximum: Seconds | None = None
    inbound: DirectionField | None = None
    """The course from the hold fix to the initial point. The positions count; a typed one only has to agree
    with them to 2 degrees."""


class ShipOffset(Part):
    """Where one ship flies from the leader, in ft; left is negative ``right``."""

    ship: ShipNumber
    right: OffsetFeet = 0.0
    back: OffsetFeet = 0.0
    down: OffsetFeet = 0.0


class RunIn(Part):
    """From the initial point to the spot that is flown over."""

    from_: PlaceRef = Field(alias="from")
    level: LevelField
    speed: GroundSpeedField
    minimum_speed: GroundSpeedField | None = None
    formation: FormationName | None = None
    """A named formation, or ``offsets``, not both."""
    offsets: tuple[ShipOffset, ...] = listed(16)
    spacing: Feet | None = None
    step_down: Feet | None = None
    """Each ship below the one before it."""
    formation_acceleration: Acceleration | None = None
    """What the wingmen can follow, in kt/s."""
    formation_deceleration: Acceleration | None = None
    acceleration: Acceleration | None = None
    """Of a flight of one ship: how fast it changes its speed, in kt/s."""
    deceleration: Acceleration | None = None
    course: DirectionField | None = None
    """Where it starts. The positions count; a typed course only has to agree with them to 2 degrees."""

    @property
    def faster_kt_s(self) -> float | None:
        """How fast the flight gains speed, None where the file doesn't say."""
        return self.formation_acceleration or self.acceleration

    @property
    def slower_kt_s(self) -> float | None:
        """How fast the flight loses speed; as it gains speed where the file says no more."""
        return self.formation_deceleration or self.deceleration or self.faster_kt_s


class Abort(Part):
    """The words that stop the pass, and what the flight then does."""

    words: Phrase
    said_by: Phrase | None = None
    level: LevelField | None = None
    action: Sentence | None = None


class CheckedByHand(Part):
    """What somebody has looked up where the program can't: who, in what, when, and the least height above the
    ground and what stands on it."""

    by: Label
    source: Phrase
    date: DateField
    lowest: Feet


class Egress(Part):
    """After the pass."""

    course: DirectionField
    distance: Nm
    level: LevelField
    speed: SpeedField
    turn_checked: CheckedByHand | None = None
    """The ground and obstacles under the turn from the run-in to this course."""


class Obstacle(Part):
    """Something high near the pass."""

    name: Label
    position: PositionField
    top: ElevationField
    source: Phrase | None = None


_IN_WORDS = "write it in the words of `action`, a level with its datum, such as 3000 ft MSL"
_OF_AN_ABORT = f"{_IN_WORDS}; the level of a stopped pass is `level` of `abort` in `pass`"


class Contingency(Part):
    """What is done when something goes wrong."""

    ELSEWHERE: ClassVar[Mapping[str, str]] = {
        **dict.fromkeys(("level", "altitude", "height", "climb_to"), _OF_AN_ABORT),
        **dict.fromkeys(("course", "heading", "speed", "turn"), _IN_WORDS),
    }
    trigger: Phrase
    who: Label
    action: Sentence


LostContact = Annotated[
    Literal["hold", "go home", "next pass"],
    choice("what the flight does without its ground contact", "hold", "go home", "next pass"),
]


class NoGroundContact(Contingency):
    """What the flight does by itself when it hears nothing from the ground contact."""

    after: BeforePointField | None = None
    """When it acts, counted back from leave-hold, without a hold from the IP."""
    then: LostContact | None = None
    """What it does then. ``hold``: stay in the hold until heard, or until the wait ends: by fuel it then goes
    home, by the latest T as ``then`` of the pass says. ``next pass``: on to the pass after this one, which
    keeps its T. There is no default."""


class ObstaclesChecked(Part):
    """How far around the pass the flight lead has looked for obstacles, when and in what."""

    source: Phrase
    date: DateField | None = None
    within: Nm


class Pass(Part):
    """The flypast: one run over one spot at one second."""

    over: PlaceRef
    time: PassTimeField
    """The true time over target: the end of a cue ("end of ANTHEM") or a clock time."""
    tolerance: Seconds | None = None
    deadband: Seconds | None = None
    """Smaller slips get no call."""
    crowd_line: CrowdLine | None = None
    hold: Hold | None = None
    run_in: RunIn
    late_bias: Seconds | None = None
    """How late the flight sets its aircraft, made up by the push-up. Left out: none is flown."""
    push_up_to: GroundSpeedField | None = None
    after_leaving_hold: Phrase | None = None
    no_cue: NoCue | None = None
    """What the flight does when it has left the hold and the cue is not heard. ``hold``: return to the hold,
    and once no T can follow there, as ``then`` says. ``next pass``: on to the pass after this one, which
    keeps its T. Left out: ``next pass`` where ``then`` says so; there is no other default."""
    return_turn: Turns | None = None
    """Which way it then turns, back to the hold. There is no default."""
    no_ground_contact: NoGroundContact | None = None
    """Of this pass in place of the one of the whole sortie, in ``contingencies``."""
    abort_only_after: TOffsetField | None = None
    abort: Abort | None = None
    then: Then = "home"
    """What follows the pass, flown, stopped or given up."""
    egress: Egress | None = None
    minimum_ships: Count | None = None
    obstacles: tuple[Obstacle, ...] = listed(200)
    obstacles_checked: ObstaclesChecked | None = None


class Event(Part):
    """The public event that is flown over."""

    name: Title
    id: SectionId | None = None
    """Its short name, needed where there are several. It names the event's clock in any time of the file:
    14:30 HILL."""
    priority: Count | None = None
    """Of several that cannot all be kept the highest number is dropped first."""
    permission: Permission | None = None
    ground_contact: GroundContact | None = None
    script: Annotated[Mapping[CueId, Cue], Field(max_length=24)] = Field(default_factory=dict)
    accept_slip: AcceptSlip | None = None
    relay_time: Seconds | None = None
    """From a cue heard to a time read back."""
    parties: tuple[Party, ...] = listed(24)
    other_traffic: tuple[OtherTraffic, ...] = listed(24)
    pass_: Pass = Field(alias="pass")

    @property
    def cue_of_t(self) -> str | None:
        """The id of the cue at whose end the time over target lies, None for an explicit time."""
        return getattr(self.pass_.time, "cue", None)
