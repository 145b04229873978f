"""The pass: run-in, push-up, slips, the ceremony on the ground. Units and conventions: the package's
docstring."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import inner, record
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.model.chain import HoldShape, PassChain, PushUp
from briefgen.plan.model.heights import PassHeights
from briefgen.plan.model.hold import HoldPlan
from briefgen.plan.model.legs import Leg, Point


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
