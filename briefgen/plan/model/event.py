"""The pass: hold, run-in, push-up, slips, the ceremony on the ground. Units and conventions: the package's
docstring."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import inner, record
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.model.chain import HoldShape, PassChain, PushUp
from briefgen.plan.model.legs import Height, Leg, Point


@record
class Lap:
    """One lap of the hold: from the fix, first turn, outbound leg, inbound turn, inbound leg, to the fix.
    ``entry``: it is the ICAO entry of an arrival that isn't direct (airmath/hold_entry.py), and its times are
    "about"; empty for every other lap."""

    start: datetime
    outbound: datetime  # rolled out on the outbound heading
    inbound_turn: datetime  # START INBOUND TURN
    inbound: datetime  # rolled out on the inbound course
    fix: datetime
    outbound_heading_true_deg: float
    entry: Literal["", "offset", "parallel"]


@record
class HoldPlan:
    """The racetrack as planned. ``flyable`` False: no whole number of laps gives the wait; ``nearest_s`` are
    the two waits that can be flown (fewer where there is none on a side).  ``taken_up_s``: seconds by which
    the last leg to the hold is flown faster (negative: slower) than at its speed, so that whole laps give the
    wait; 0 mostly.  Path points are (east nm, north nm) from the fix, of the last lap, for the drawing.
    ``shortest_s`` is the shortest flyable wait of at least the minimum, None without.

    The outbound heading is that of the laps after the first. The first lap has its own (in ``laps``): its
    first turn begins on the heading of arrival, so it rolls out somewhere else.

    ``off_inbound_deg``: the arrival heading against the inbound course, positive in the direction of the
    turns. ``outbound_off_deg``: the most that a lap goes out off the reciprocal of the inbound course, None
    without laps. ``entry``: the ICAO entry where the arrival isn't direct, else empty; then
    ``leg_per_late_s`` is by how much the last outbound leg is shortened for each second that the fix is
    passed late after it, and ``entry_path`` its drawing."""

    fix: Point
    altitude_ft: float
    tas_kt: float
    cas_kt: float
    arrival: datetime
    leave: datetime
    wait_s: float
    taken_up_s: float
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
    off_inbound_deg: float
    outbound_off_deg: float | None
    entry: Literal["", "offset", "parallel"]
    leg_per_late_s: float | None
    entry_path: tuple[tuple[float, float], ...]
    cause: KeyPath

    @property
    def height(self) -> Height:
        """The height at which it is flown."""
        return Height(self.altitude_ft, (*self.cause, "level"))

    @property
    def left_s(self) -> float:
        """The time there is for the wait: what speed on the way there takes up is no part of it."""
        return self.wait_s - self.taken_up_s

    @property
    def spare_s(self) -> float:
        """By so much it may be shorter: what is left beyond the shortest; 0 where none can be flown."""
        return 0.0 if self.shortest_s is None else max(self.left_s - self.shortest_s, 0.0)

    @property
    def reached(self) -> bool:
        """False where the flight would come to the fix only after it must leave it."""
        return self.arrival <= self.leave


@record
class PushRow:
    """Push table: seconds late (+) or early (-) against the set time -> nm to go; None: push at the IP, and
    be ``left_s`` late over the centre, since speed alone can't make up more. Negative ``left_s``: so early
    even without a push."""

    late_s: float
    to_go_nm: float | None
    left_s: float = 0.0


Means = Literal["as printed", "worked again", "by speed"]


@record
class SlipRow:
    """Slip table, changes of the hold only. A row that can't be met from the start of the hold has ``met``
    False and ``reason``; then the times after the set time are None.

    ``unchanged_laps`` are flown as planned, the laps after them with ``outbound_leg_s``, each on its own
    outbound heading. ``told_by``: laps, leg and turn time are true for a change whose read-back is complete
    by then; ``say_by`` = told-by less the relay. From then to ``met_until`` the change can still be met by
    the hold, but with figures worked again from that moment. ``speed_until``: to then speed alone gives it,
    after leave-hold, inside the tolerance; None: never, or not known. ``speed_short_s``: what it falls short
    of it at best.
    ``first_s``: what the laps give first of a change that neither they nor speed give alone, read back by
    ``first_until``; the rest is told later, by speed. ``one_more_lap_s``: what a further lap would cost once
    the row is lost (None: it can't be flown); a lost row reads UNABLE, never the nearest value.
    ``holds_until`` is told-by once more, since plan.json keeps its keys.
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
    met_until: datetime | None = None
    one_more_lap_s: float | None = None
    unchanged_laps: int | None = None
    outbound_headings_true_deg: tuple[float, ...] = ()
    speed_until: datetime | None = None
    speed_short_s: float = 0.0
    first_s: float | None = None
    first_until: datetime | None = None

    @property
    def still(self) -> tuple[tuple[Means, datetime], ...]:
        """In which way the change can be met until when (read-back complete), in the order in which the ways
        end; empty: in none."""
        ways = (
            ("as printed", self.told_by),
            ("worked again", self.met_until),
            ("by speed", self.speed_until),
        )
        return tuple((means, until) for means, until in ways if until is not None)


@record
class Authority:
    """Seconds by which the arrival can be moved from the planned state at ``at``: ``early_s`` sooner,
    ``late_s`` later. ``cue``: the one that is known by then."""

    at: datetime
    where: str
    early_s: float
    late_s: float
    cue: str = ""


@record
class LastUpdate:
    """The last moment at which a change of ``seconds`` early / late is told to be flown by speed, read-back
    complete, which the abort-only moment of its T ends too; None: never, also since the cue that tells of it
    is heard too late. ``early_short_s``, ``late_short_s``: by how much speed falls short of it when that cue
    is heard, inside the tolerance of T."""

    seconds: float
    early_until: datetime | None
    late_until: datetime | None
    early_short_s: float = 0.0
    late_short_s: float = 0.0


@record
class Workload:
    """What the flight can still take in, read-back complete: a new clock time until ``new_time_until``
    (leave-hold, None without a hold), "fast" or "slow" by so many seconds until ``seconds_until`` (None: the
    mission gives no abort-only moment), then only ABORT."""

    new_time_until: datetime | None
    seconds_until: datetime | None


@record
class SpeedFix:
    """After leave-hold: told at the fix (without a hold: at the IP, or once the cue that T hangs on is heard,
    as early or late itself) to be ``seconds`` earlier (-) or later (+), hold this ground speed to the centre.
    ``last_gs_kt``: the speed that it takes when told at the last moment (``LastUpdate``); the end of the
    run-in's window where that gives it inside the tolerance. None: what is more."""

    seconds: float
    gs_kt: float | None
    last_gs_kt: float | None = None


@record
class ShipOver:
    """A ship of the formation over the centre: offsets from the leader in ft (right, back, down positive).
    ``altitude_ft`` is what its altimeter reads as planned, ``true_altitude_ft`` how high it then is: less in
    air colder than ISA, never more."""

    ship: int
    position: str
    right_ft: float
    back_ft: float
    down_ft: float
    at: datetime
    altitude_ft: float
    true_altitude_ft: float


@record
class Floor:
    """What the pass must not undercut: a true altitude in ft MSL, and what makes it. ``name`` is the
    obstacle's or the place's, ``top_ft`` MSL what stands there, ``over_ft`` the least height over it; both
    None for the lowest height of the permission. ``default``: that height is neither the unit's nor the
    regime's."""

    true_altitude_ft: float
    made_by: Literal["obstacle", "ground", "permission"]
    name: str
    top_ft: float | None
    over_ft: float | None
    default: bool = False


@record
class UnknownAir:
    """What is not given of the air that an altimeter is read in: standard air is taken for it, and nothing
    found with it reads PASS; of what is given ``source`` alone, where that only keeps its place: the figures
    are taken as they stand, and nothing found with them reads PASS either. ``key``: of the file, that gives
    the first of them. ``far_nm``: how far away the only QNH is that could be set, where it is given too far
    away to count; ``anywhere``: from the farthest part of the area, since nobody knows where in it the ground
    stands."""

    lacks: tuple[Literal["QNH", "temperature", "source"], ...]
    key: KeyPath
    far_nm: float | None
    anywhere: bool = False

    @property
    def standard(self) -> bool:
        """Standard air is taken, at least in part."""
        return "source" not in self.lacks


@record
class LeastClearance:
    """The least true height of a ship over what is known under its track: over an obstacle, or over the
    ground of a place."""

    ship: int
    over: Literal["obstacle", "ground"]
    name: str
    clearance_ft: float


@record
class PassHeights:
    """The least heights of the pass. ``minimum_ft`` and ``lead_ft`` are altimeter readings, the same for
    every ship: the floor, and for whoever leads the floor and ``step_ft``, the largest step-down of every
    planned or fall-out formation; each corrected for cold air from the station whose QNH is set (``station``,
    a place id; ``station_c`` its temperature), up to the next 10 ft; ``cold_ft`` is what the cold adds to the
    floor before that. None where it isn't known, which is so without a QNH or a temperature too (``air``).
    ``under`` None: nothing under the track is known."""

    floor: Floor | None
    step_ft: float | None
    minimum_ft: float | None
    lead_ft: float | None
    cold_ft: float
    under: LeastClearance | None
    station: str | None
    station_c: float | None
    air: UnknownAir | None


@record
class CrowdLine:
    """When the leader is abeam each end, and the seconds over the line (positive)."""

    first_abeam: datetime
    last_abeam: datetime
    seconds: float
    length_nm: float
    offset_nm: float  # closest distance of the line to the leader's track


@record
class Cue:
    """A cue of the ceremony as scheduled. ``marks`` are (id, instant)."""

    id: str
    says: str
    at: datetime
    lasts_s: float | None
    spread_s: float | None
    marks: tuple[tuple[str, datetime], ...]
    cause: KeyPath


@record
class Contact:
    """A line of the contact schedule: radio check, hack, T-15 min ..., each cue. ``say`` is what to say or
    do: at T-15 min and on what may still be said then, of a cue what happens."""

    label: str
    at: datetime
    say: str
    cause: KeyPath


@record
class Party:
    """Another party whose plan hangs on T. ``held`` is the T they acknowledged; state says whether it is this
    T."""

    who: str
    what: str
    start: datetime | None
    end: datetime | None
    contact: str
    held: datetime | None
    acknowledged: bool
    cause: KeyPath


@record
class CueCheck:
    """Can the cue that T hangs on be heard, relayed and read back before leave-hold?

    ``known_at`` = cue + relay; ``margin_s`` = leave-hold - known_at (negative: too late).  ``hold_nearer_nm``
    is how much nearer the hold and the IP, both, would have to be for the same speeds, up to the next tenth;
    ``nearer_problem`` says what would then go wrong, empty where the flight can be flown so, a typed take-off
    ``takeoff_earlier_s`` earlier (negative: later).  ``slip_left_s``:
    the change of T (early, late) that speed alone can still absorb after the cue is known.  None without a
    script.
    """

    cue: str
    at: datetime
    known_at: datetime
    margin_s: float
    hold_nearer_nm: float
    nearer_problem: str
    slip_left_s: tuple[float, float]
    cause: KeyPath
    takeoff_earlier_s: float = inner(default=0.0)


@record
class Abort:
    """``last_begin``: abort only after this; it climbs to ``altitude_ft`` in ``climb_s`` (None: rate not
    known)."""

    words: str
    last_begin: datetime | None
    altitude_ft: float | None
    climb_s: float | None
    level_by: datetime | None
    clear_of_line: bool | None
    cause: KeyPath


@record
class NextFixed:
    """The first later pass whose T stays when this one moves, its hold, and how that is shaped.
    ``most_taken_up_s``: the most that speed on the last leg to it takes up. ``goes_first``: where not both
    can be kept it is, and this one is given up, by the ``priority`` of their events."""

    section: PassSection
    hold: HoldPlan | None
    shape: HoldShape | None
    most_taken_up_s: float
    goes_first: bool

    @property
    def spare_s(self) -> float:
        """By so much this one may be later and leave it its shortest hold; 0 where it has none."""
        return 0.0 if self.hold is None else self.hold.spare_s


@record
class EventPlan:
    """The pass, backward from T. ``late_bias_s`` is added once: set time = true time + bias.

    ``chain`` and ``shape``: how it and its hold are flown, from which all this is made. ``next_fixed``: None
    where every later T moves with this one, or there is none. ``leader``: the pass that T moves with, so that
    it is never moved alone; None where T is its own. ``followers``: those whose T moves with this one."""

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
    # the least of aircraft and unit caps at the pass, as ground speed along the run-in
    maximum_gs_kt: float | None
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
    lowest_altitude_ft: float  # what the lowest ship's altimeter reads as planned
    lowest_true_altitude_ft: float
    pass_cas_kt: float
    pass_mach: float
    crowd: CrowdLine | None
    cues: tuple[Cue, ...]
    contacts: tuple[Contact, ...]
    parties: tuple[Party, ...]
    cue_check: CueCheck | None
    abort: Abort | None
    cause: KeyPath
    chain: PassChain = inner()
    shape: HoldShape | None = inner()
    workload: Workload
    # the mission gives the rate of change and both ends of the window, so that ``authority`` can be told
    speeds_known: bool
    heights: PassHeights
    # slips of T (earliest, latest; later positive) that can be given, told before the hold, or without one
    # before the IP
    reach_s: tuple[tuple[float, float], ...]
    next_fixed: NextFixed | None = inner(default=None)
    leader: PassSection | None = inner(default=None)
    followers: tuple[EventPlan, ...] = inner(default=())
    moves_with: EventPlan | None = inner(default=None)

    @property
    def moved(self) -> EventPlan:
        """The pass whose wait gives a slip of this one: the leader, where T moves with that."""
        return self if self.moves_with is None else self.moves_with

    @property
    def pushes_to_less(self) -> bool:
        """Whether the push table, which goes to what is planned, ends below what is allowed."""
        return self.push is not None and self.push_up_to_kt < self.chain.window.maximum_kt

    def told_until(self, until: datetime, slip_s: float) -> datetime:
        """The last moment to read back a change by speed that can be flown until then."""
        last = self.chain.closes(slip_s)
        return until if last is None else min(until, last)

    @property
    def section(self) -> PassSection:
        """What the file says of it."""
        return self.chain.section
