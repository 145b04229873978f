"""What a plan is made of: frozen records, built once, in the order in which the sortie flies.

Units: ft, nm, kt, s, lb, degrees true (0 <= x < 360), hPa, Celsius; instants are aware datetimes in UTC.
``cause`` is the key path of the mission file that a figure came from.  ``None`` means "not known" or "does not apply",
and the docstring says which.  Nothing here rounds, except fuel, whose printed figures are what the sums are made of.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from briefgen.diagnostics import KeyPath
from briefgen.units.values import Level

# ---------------------------------------------------------------- points, air, legs


@dataclass(frozen=True)
class Point:
    """A place the sortie uses. ``elevation_ft`` is MSL, None when the file gives none."""

    id: str
    name: str
    lat_deg: float
    lon_deg: float
    elevation_ft: float | None = None


@dataclass(frozen=True)
class Air:
    """The air at one level. ``extrapolated``: the level lies outside the forecast's levels. ``forecast``: False means
    that the mission gives no winds: calm and standard temperature are taken, and products say so."""

    altitude_ft: float
    pressure_altitude_ft: float
    wind_from_true_deg: float
    wind_kt: float
    temperature_c: float
    extrapolated: bool = False
    forecast: bool = True


LegKind = Literal["departure", "transit", "hold to IP", "run-in", "egress", "recovery"]


@dataclass(frozen=True)
class ClimbPart:
    """The first climb of the sortie, part of the first departure leg: time, still-air and ground distance."""

    time_s: float
    still_air_nm: float
    ground_nm: float
    wind_from_true_deg: float
    wind_kt: float


@dataclass(frozen=True)
class Leg:
    """A straight (geodesic) leg at one level and one speed.

    ``course_mid_true_deg`` is given for legs over 100 nm.  Magnetic values are None where the variation isn't known.
    ``gs_kt`` is the ground speed of the level part; a leg that changes speed has ``gs_start_kt`` different from it.
    ``vertical_rate_ft_min`` is the mean signed rate that takes the leg from ``start_altitude_ft`` to ``altitude_ft`` over
    the whole of its time (without the climb part, which has its own time).
    """

    kind: LegKind
    start: Point
    end: Point
    distance_nm: float
    course_true_deg: float
    course_mid_true_deg: float | None
    variation_deg: float | None
    course_magnetic_deg: float | None
    level: Level
    start_altitude_ft: float
    altitude_ft: float
    air: Air
    tas_kt: float
    cas_kt: float
    mach: float
    gs_kt: float
    gs_start_kt: float
    heading_true_deg: float
    heading_magnetic_deg: float | None
    time_s: float
    climb: ClimbPart | None
    vertical_rate_ft_min: float
    cause: KeyPath


# ---------------------------------------------------------------- the clock of the sortie

PhaseKind = Literal[
    "ground", "departure", "warm-up", "set-up", "leave", "rejoin", "transit", "hold", "hold to IP", "run-in", "push-up",
    "egress", "recovery", "approach", "training", "climb",
]  # fmt: skip


@dataclass(frozen=True)
class Phase:
    """One row of the clock: a stretch of time with one use of fuel.

    ``id`` is stable and unique ("departure-1-climb", "departure-1", "set-up-3", "transit-1", "hold", "run-in" ...).
    ``flow`` names the key of the aircraft's fuel_flow that applies; ``given_fuel_lb`` is the mission's own figure for the
    phase (before the burn factor), which wins over flow x time.  ``altitude_ft`` is MSL, where flow tables are read.
    ``leg`` is the leg flown, or None.
    """

    id: str
    kind: PhaseKind
    label: str
    start: datetime
    end: datetime
    flow: str | None
    given_fuel_lb: float | None
    altitude_ft: float | None
    leg: Leg | None
    cause: KeyPath

    @property
    def seconds(self) -> float:
        """Length of the phase."""
        return (self.end - self.start).total_seconds()


@dataclass(frozen=True)
class ClockEvent:
    """A named instant before take-off, in the air or after landing: "Brief", "Step", "T", "Landing ship 4" ..."""

    id: str
    label: str
    at: datetime
    cause: KeyPath


@dataclass(frozen=True)
class Clock:
    """The whole sortie in time order.

    ``events`` holds every named instant (report ... debrief end), in time order; ``phases`` the airborne rows in flying
    order, take-off to the leader's touchdown.  ``takeoff_solved``: the file left it out.
    ``lead_landing`` and ``last_landing`` are touchdowns.  Members that the mission has no use for are None.
    ``hold_difference_s`` is the hold that is left minus the hold that was planned (None without a hold or with a solved
    take-off).
    """

    takeoff: datetime
    takeoff_solved: bool
    last_takeoff: datetime
    report: datetime | None
    area_entry: datetime | None
    training_start: datetime | None
    training_end: datetime | None  # knock-it-off of the last set-up: the block ends here, then leave and rejoin
    rejoined: datetime | None
    hold_arrival: datetime | None
    leave_hold: datetime | None
    ip: datetime | None
    push_up: datetime | None
    true_time: datetime | None
    set_time: datetime | None
    lead_landing: datetime
    last_landing: datetime
    shut_down: datetime | None
    duty_end: datetime | None
    knock_off: datetime | None  # latest end of training that still leaves the shortest flyable hold of at least the minimum
    hold_difference_s: float | None
    events: tuple[ClockEvent, ...]
    phases: tuple[Phase, ...]


# ---------------------------------------------------------------- training


@dataclass(frozen=True)
class TrainingPlan:
    """The block. ``bound`` says what decided ``setups_flown``: "given", "time" or "fuel" (then ``limiting_ship``).

    ``by_time`` and ``by_fuel`` are the most set-ups that each allows (0 when not even one); None when it can't be told.
    """

    setups_flown: int
    setups_given: int | None
    setups_minimum: int
    by_time: int | None
    by_fuel: int | None
    limiting_ship: int | None
    bound: Literal["given", "time", "fuel"]
    warm_up_s: float
    each_s: float
    leave_s: float
    rejoin_s: float
    cost_setups: int | None  # set-ups that the flypast costs: same sortie without it, minus this one; None without a flypast
    cost_fuel_printed: int | None  # fuel of the thirstiest ship that the flypast costs, in display units


# ---------------------------------------------------------------- the pass


@dataclass(frozen=True)
class Lap:
    """One lap of the hold: from the fix, first turn, outbound leg, inbound turn, inbound leg, to the fix."""

    start: datetime
    outbound: datetime  # rolled out on the outbound heading
    inbound_turn: datetime  # START INBOUND TURN
    inbound: datetime  # rolled out on the inbound course
    fix: datetime


@dataclass(frozen=True)
class HoldPlan:
    """The racetrack as planned. ``flyable`` False: no whole number of laps gives the wait; ``nearest_s`` are the two
    waits that can be flown (fewer where there is none on a side).  Path points are (east nm, north nm) from the fix, of
    the last lap, for the drawing.  ``shortest_s`` is the shortest flyable wait of at least the minimum, None without."""

    fix: Point
    altitude_ft: float
    tas_kt: float
    cas_kt: float
    arrival: datetime
    leave: datetime
    wait_s: float
    planned_s: float | None
    minimum_s: float | None
    maximum_s: float | None
    turns: Literal["left", "right"]
    bank_deg: float
    inbound_course_true_deg: float
    inbound_heading_true_deg: float
    outbound_heading_true_deg: float
    outbound_heading_magnetic_deg: float | None
    inbound_gs_kt: float
    laps: tuple[Lap, ...]
    outbound_leg_s: float | None
    leg_s: float
    flyable: bool
    nearest_s: tuple[float, ...]
    shortest_s: float | None
    price_of_lap_s: float | None  # one more lap with the outbound leg as briefed
    path: tuple[tuple[float, float], ...]
    cause: KeyPath


@dataclass(frozen=True)
class PushUp:
    """Where and when the flight accelerates. ``reached_kt`` is the ground speed over the centre."""

    to_go_nm: float
    at: datetime
    reached_kt: float
    acceleration_kt_s: float
    after_ip_s: float
    after_ip_nm: float


@dataclass(frozen=True)
class PushRow:
    """Push table: seconds late (+) or early (-) against the set time -> nm to go; None: push at IP, speed alone can't."""

    late_s: float
    to_go_nm: float | None


@dataclass(frozen=True)
class SlipRow:
    """Slip table, changes of the hold only. A row that can't be met from the start of the hold has ``met`` False and
    ``reason``; then the times after the set time are None. ``told_by``: read-back complete; ``say_by`` = told-by less the relay.

    ``holds_until``: the laps, the outbound leg and the turn time are true for a change read back at or before it. From then to
    ``told_by`` the change can still be met, but the flight works those figures again. ``one_more_lap_s``: what a further lap would cost
    once the row is lost (None: it can't be flown); a lost row reads UNABLE, never the nearest value.
    """

    slip_s: float
    true_time: datetime
    set_time: datetime
    leave_hold: datetime | None
    laps: int | None
    outbound_leg_s: float | None
    last_inbound_turn: datetime | None
    told_by: datetime | None
    say_by: datetime | None
    met: bool
    reason: str
    holds_until: datetime | None = None
    one_more_lap_s: float | None = None


@dataclass(frozen=True)
class Authority:
    """Seconds by which the arrival can be moved from the planned state at ``at``: ``early_s`` sooner, ``late_s`` later."""

    at: datetime
    where: str
    early_s: float
    late_s: float


@dataclass(frozen=True)
class LastUpdate:
    """The last moment at which a change of ``seconds`` early / late can still be flown by speed, read-back complete; None: never.

    The limits of workload (``Workload``) come before it.
    """

    seconds: float
    early_until: datetime | None
    late_until: datetime | None


@dataclass(frozen=True)
class Workload:
    """What the flight can still take in, read-back complete: a new clock time until ``new_time_until`` (leave-hold, None without a
    hold), "fast" or "slow" by so many seconds until ``seconds_until`` (None: the mission gives no abort-only moment), then only ABORT."""

    new_time_until: datetime | None
    seconds_until: datetime | None


@dataclass(frozen=True)
class SpeedFix:
    """After leave-hold: told at the fix to be ``seconds`` earlier (-) or later (+), hold this ground speed to the centre.
    None: outside what the run-in's window allows."""

    seconds: float
    gs_kt: float | None


@dataclass(frozen=True)
class ShipOver:
    """A ship of the formation over the centre: offsets from the leader in ft (right, back, down positive)."""

    ship: int
    position: str
    right_ft: float
    back_ft: float
    down_ft: float
    at: datetime
    altitude_ft: float


@dataclass(frozen=True)
class CrowdLine:
    """When the leader is abeam each end, and the seconds over the line (positive)."""

    first_abeam: datetime
    last_abeam: datetime
    seconds: float
    length_nm: float
    offset_nm: float  # closest distance of the line to the leader's track


@dataclass(frozen=True)
class Cue:
    """A cue of the ceremony as scheduled. ``marks`` are (id, instant)."""

    id: str
    says: str
    at: datetime
    lasts_s: float | None
    spread_s: float | None
    marks: tuple[tuple[str, datetime], ...]
    cause: KeyPath


@dataclass(frozen=True)
class Contact:
    """A line of the contact schedule: radio check, hack, T-15 min ..., each cue. ``say`` is what to say or do."""

    label: str
    at: datetime
    say: str
    cause: KeyPath


@dataclass(frozen=True)
class Party:
    """Another party whose plan hangs on T. ``held`` is the T they acknowledged; state says whether it is this T."""

    who: str
    what: str
    start: datetime | None
    end: datetime | None
    contact: str
    held: datetime | None
    acknowledged: bool
    cause: KeyPath


@dataclass(frozen=True)
class CueCheck:
    """Can the cue that T hangs on be heard, relayed and read back before leave-hold?

    ``known_at`` = cue + relay; ``margin_s`` = leave-hold - known_at (negative: too late).  ``hold_nearer_nm`` is how much
    nearer the hold would have to be for the same speeds, ``slip_left_s`` the change of T (early, late) that speed alone can
    still absorb after the cue is known.  None without a script.
    """

    cue: str
    at: datetime
    known_at: datetime
    margin_s: float
    hold_nearer_nm: float
    slip_left_s: tuple[float, float]
    cause: KeyPath


@dataclass(frozen=True)
class Abort:
    """``last_begin``: abort only after this; it climbs to ``altitude_ft`` in ``climb_s`` (None: rate not known)."""

    words: str
    last_begin: datetime | None
    altitude_ft: float | None
    climb_s: float | None
    level_by: datetime | None
    clear_of_line: bool | None
    cause: KeyPath


@dataclass(frozen=True)
class EventPlan:
    """The pass, backward from T. ``late_bias_s`` is added once: set time = true time + bias."""

    centre: Point
    true_time: datetime
    set_time: datetime
    late_bias_s: float
    tolerance_s: float | None
    ip: Point
    ip_time: datetime
    hold: HoldPlan | None
    hold_to_ip: Leg | None
    run_in: Leg
    egress: Leg | None
    run_in_kt: float
    push_up_to_kt: float
    maximum_gs_kt: float | None  # the least of aircraft and unit caps at the pass, as ground speed along the run-in
    maximum_because: str
    minimum_gs_kt: float | None
    push: PushUp | None  # None: no bias to make up, or it can't be made up (then ``push_problem``)
    push_problem: str
    push_table: tuple[PushRow, ...]
    slips: tuple[SlipRow, ...]
    authority: tuple[Authority, ...]
    authority_at_last_cue: Authority | None
    last_updates: tuple[LastUpdate, ...]
    speed_fixes: tuple[SpeedFix, ...]
    ships: tuple[ShipOver, ...]
    lowest_altitude_ft: float
    pass_cas_kt: float
    pass_mach: float
    crowd: CrowdLine | None
    cues: tuple[Cue, ...]
    contacts: tuple[Contact, ...]
    parties: tuple[Party, ...]
    cue_check: CueCheck | None
    abort: Abort | None
    cause: KeyPath
    workload: Workload = Workload(None, None)


# ---------------------------------------------------------------- fuel


@dataclass(frozen=True)
class Addend:
    """One line of a sum. ``printed`` is in display units, rounded up to the display step; ``basis`` words the product
    ("1900 lb/h x 7 min 32 s x 1.04" or "given 80 lb x 1.04")."""

    label: str
    exact_lb: float
    printed: int
    basis: str
    cause: KeyPath


@dataclass(frozen=True)
class FuelSum:
    """``total`` is the sum of the printed addends; ``figure`` is the total rounded up to ``round_up_to``."""

    title: str
    addends: tuple[Addend, ...]
    total: int
    figure: int
    exact_lb: float


@dataclass(frozen=True)
class FuelRow:
    """Fuel along the clock: ``burn`` in the phase, what remains at its end, and what is required there to go home
    (the unrounded bingo of that point, None where not worked out)."""

    phase_id: str
    label: str
    start: datetime
    end: datetime
    burn: Addend
    remaining_exact_lb: float
    remaining_printed: int
    required_printed: int | None


@dataclass(frozen=True)
class Bingo:
    """Fuel to go home from one point. ``phase``: "training", "event" or "transit"; ``alternate``: the alternate is in it."""

    point: Point
    phase: Literal["training", "event", "transit"]
    alternate: bool
    distance_nm: float
    course_true_deg: float | None
    sum: FuelSum


@dataclass(frozen=True)
class Tier:
    """A predicted-landing-fuel tier in the unit's own words; None where the file gives none."""

    id: Literal["normal_landing", "minimum", "emergency"]
    printed: int | None
    cause: KeyPath


@dataclass(frozen=True)
class ShipFuel:
    """Everything printed about one ship's fuel, in display units unless the name says lb."""

    ship: int
    start_printed: int
    burn_factor: float
    rows: tuple[FuelRow, ...]
    joker: FuelSum | None
    bingo_training: Bingo | None
    bingo_event: Bingo | None
    bingos: tuple[Bingo, ...]
    reserve: FuelSum
    landing_required: int
    landing_required_because: str
    landing_predicted: int
    landing_predicted_exact_lb: float
    training_end_predicted: int | None
    knock_off: datetime | None
    go_home: datetime | None  # when this ship in the hold reaches the fuel to go home; None without a hold
    longest_hold_s: float | None
    tiers: tuple[Tier, ...]


@dataclass(frozen=True)
class FuelPlan:
    """``unit`` and ``step`` of every printed figure. The flight's figures are those of the ship that needs most."""

    unit: Literal["lb", "kg"]
    step: int
    round_up_to: int
    ships: tuple[ShipFuel, ...]
    thirstiest: int
    joker: int | None
    bingo_training: int | None
    bingo_event: int | None
    go_home: datetime | None
    lowest_landing: int
    lowest_landing_ship: int
    alternate_required: bool
    alternate_because: str


# ---------------------------------------------------------------- sun, zones, gates


@dataclass(frozen=True)
class SunAt:
    """The sun at one place on the sortie's local day. Instants are None where there is no such event; ``words`` then say why
    ("up all day", "civil twilight all night")."""

    point: Point
    zone: str
    civil_dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    civil_dusk: datetime | None
    words: str
    used_for: str
    at: datetime | None
    elevation_deg: float | None
    azimuth_true_deg: float | None


Verdict = Literal["PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED"]


@dataclass(frozen=True)
class Gate:
    """One judged figure.

    ``id`` is stable. ``value``, ``limit`` and ``margin`` are numbers in ``unit``, instants (unit "instant") or words.
    ``sense``: "at least", "at most", "within" or "" for words.  ``why`` is always filled for NOT CHECKED, FAIL and CAUTION and
    says what to do.  ``source``: regulation and section, the unit's own, or "default, no authority".
    """

    id: str
    title: str
    verdict: Verdict
    value: float | str | datetime | None
    limit: float | str | datetime | None
    margin: float | None
    unit: str
    sense: Literal["at least", "at most", "within", ""]
    why: str
    source: str
    cause: KeyPath
    waivable: bool = True
    waiver: str = ""


@dataclass(frozen=True)
class Plan:
    """Everything that the products print. ``mission`` is the resolved mission that it was made from."""

    mission: object
    legs: tuple[Leg, ...]
    clock: Clock
    training: TrainingPlan | None
    event: EventPlan | None
    fuel: FuelPlan | None  # None when it can't be worked out: the notes say what is missing
    suns: tuple[SunAt, ...]
    gates: tuple[Gate, ...]
    notes: tuple[str, ...]
