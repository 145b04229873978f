"""``briefgen retime`` as a function: a plan, a wanted change and a moment in; the new times, fuel, parties
and words out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Literal

from briefgen.airmath.authority import authority_at
from briefgen.airmath.script import last_is_heard
from briefgen.brief.wording import spoken
from briefgen.brief.wording.format import rounded_instant
from briefgen.brief.wording.lost_contact import briefed_no_cue
from briefgen.brief.wording.spoken import Call
from briefgen.core.diagnostics import Diagnostic, KeyPath, has_errors
from briefgen.core.records import record
from briefgen.mission.edit.changes import at_true_time
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.build import make_plan
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.in_two import first_by_laps
from briefgen.plan.event.judge import (
    Ruling,
    judge,
    judge_holding,
    judge_left,
    judge_silence,
    judge_unheard,
)
from briefgen.plan.event.motion import Motion, motion_of
from briefgen.plan.event.silence import GIVEN_UP, while_holding, within_limits
from briefgen.plan.event.speed_alone import by_speed_s
from briefgen.plan.event.waits import accepted_s, printed_slips_s, verdict
from briefgen.plan.model import EventPlan, Gate, Party
from briefgen.plan.one_pass import seen_from
from briefgen.plan.sortie import Plan
from briefgen.retime.by_speed import plan_by_speed
from briefgen.retime.failing import Told, failing_anew
from briefgen.retime.heard import Predicted
from briefgen.retime.later import LaterBlock, LaterPass, later_blocks, later_passes
from briefgen.retime.story import ReadBack, Story, after_call, story_of

MET = ("no call", "new time", "fast", "slow")
CHANGES = ("new time", "fast", "slow")
Laps = Literal["as printed", "worked again", "worked out"]


@record
class Wanted:
    """The new true time, and when the call is read back. ``read_back`` None: before the hold is entered.
    ``earlier``: changes told before this one and read back, in their order. ``heard``: cues with their times.
    ``predicted``: T by them, or by somebody's own judgement after them, and what is overdue; None for a T
    that hangs on no cue."""

    true_time: datetime
    read_back: datetime | None
    heard: Sequence[tuple[str, datetime]] = ()
    predicted: Predicted | None = None
    earlier: Sequence[ReadBack] = ()


@record
class NewTimes:
    """The clock after the change. ``inbound_turns``: START INBOUND TURN of each lap. ``speed_kt``: ground
    speed to change to and hold to the centre after leave-hold, else None. ``ip_before``: the IP time without
    this change. ``laps``: those of the printed slip row, until ``row_until``; worked again once that is lost;
    or worked out by the flight where no row is printed; None: not by the hold. ``abort_only``: from then on
    nothing but the abort words; None where the mission gives no such moment."""

    true_time: datetime
    set_time: datetime
    leave_hold: datetime | None
    inbound_turns: tuple[datetime, ...]
    ip: datetime
    ip_before: datetime
    push_up: datetime | None
    abort_only: datetime | None
    speed_kt: float | None
    laps: Laps | None
    row_until: datetime | None = None


@record
class ShipLine:
    """A ship's fuel at the new time, printed figures; ``landing`` None: not known."""

    ship: int
    landing_before: float
    landing: float | None
    required: float
    go_home: datetime | None

    @property
    def enough(self) -> bool | None:
        """None: not checked."""
        return None if self.landing is None else self.landing >= self.required


@record
class Retimed:
    """Everything that ``briefgen retime`` tells. ``new_true`` None and ``change_s`` 0: a cue is overdue, and
    no time is proposed. ``change_s`` and ``old_true`` go by the time that the flight holds, which is the
    plan's until a change was told. ``times`` is None when the change can't be met or needs no call.
    ``until``: the read-back must be (or had to be) complete by then; ``say_by`` = ``until`` less the
    relay. ``fuel_basis``: what the fuel of a change by speed stands on, or why there is none.
    ``failing``: gates that fail at the new time and not in the plan; ``plan_failing``: those of the plan
    itself, which is then not to be flown. ``ask_first``: what the flight is asked before a time beyond a
    limit is told. ``earlier``: what was told before. ``limit``: TOO LATE or TOO EARLY with the reason, of
    the time that the flight would hold after it; ``lap_limit``: of the time that one more lap would make;
    both empty strings: none known. ``short_s``: what speed falls short of the change, inside the
    tolerance of T. ``rest_s``: what is told later, by speed, of a change that neither laps nor speed give
    alone; ``change_s`` and the times are then those of the laps. ``soonest``: the earliest T that a
    flight told to hold can still reach, where the one asked for lies before it. ``later``: what becomes
    of the passes behind this one, and ``later_training`` of the blocks of training. ``gives_up``:
    home or on instead of a return to the hold that leads to no T. ``question``: of a flight told to hold
    that has left all the same, the T that its leaving would make, only asked about; ``new_true`` is then
    None and ``change_s`` 0. ``once``: the cue that is waited for; ``authority_s`` is then what speed gives
    when it is heard, so early or late, and told."""

    kind: str
    change_s: float
    old_true: datetime
    old_set: datetime
    new_true: datetime | None
    told: datetime | None
    until: datetime | None
    say_by: datetime | None
    reason: str
    one_more_lap_s: float | None
    authority_s: tuple[float, float] | None
    times: NewTimes | None
    ships: tuple[ShipLine, ...]
    parties: tuple[Party, ...]
    failing: tuple[Gate, ...]
    within_accepted: bool | None
    call: Call
    predicted: Predicted | None
    fuel_basis: str
    earlier: tuple[ReadBack, ...]
    limit: tuple[str, str]
    lap_limit: tuple[str, str]
    ask_first: Call
    plan_failing: tuple[Gate, ...]
    short_s: float
    rest_s: float
    soonest: datetime | None
    later: tuple[LaterPass, ...]
    later_training: tuple[LaterBlock, ...]
    gives_up: bool
    question: datetime | None
    once: str

    @property
    def met(self) -> bool:
        """Whether the new time can be met."""
        return self.kind in MET

    @property
    def clear(self) -> bool:
        """Whether it can be told as it is: it can be met, lies within every limit, and no gate fails."""
        return self.met and not self.limit[0] and not self.failing and not self.plan_failing


@record
class _Changed:
    """The plan with the change in it (the plan itself when there is none), and what its fuel stands on."""

    plan: Plan
    fuel_basis: str = ""


@record
class _Ruled:
    """The question with its answer: where the flight was, the ruling, and where it is once the call has been
    read back. ``sortie``: the plan with all its passes."""

    sortie: Plan
    motion: Motion
    before: Story
    ruling: Ruling
    change_s: float
    after: Story
    rest_s: float = 0.0

    @property
    def by_hold(self) -> bool:
        return self.ruling.kind == "new time"


def retime(
    sortie: Plan, wanted: Wanted, pass_: EventPlan | None = None
) -> tuple[Retimed | None, list[Diagnostic]]:
    """The answer for a plan that has an event, about one of its passes (left out: the only one); diagnostics
    are of the plan at the new time."""
    plan = seen_from(sortie, pass_ or sortie.passes[0])
    motion = motion_of(plan.passes[0])
    story, problems = story_of(motion, wanted.earlier)
    if problems:
        return None, problems
    held = _held(plan, story)
    told_s = 0.0 if wanted.read_back is None else motion.seconds(wanted.read_back)
    change_s = 0.0 if _silent(wanted) else _asked_s(held, wanted.true_time, story)
    ruling = (
        Ruling("over")
        if not story.in_hold and _has_passed(plan, story, wanted)
        else _ruled(plan, story, wanted, (change_s, told_s))
    )
    never = ruling.kind == "unable" and ruling.until_s is None  # a printed row that is lost stays so
    first_s = _laps_first_s(plan, story, wanted, (change_s, told_s)) if never else None
    rest_s = 0.0
    if first_s is not None:
        change_s, rest_s = first_s, change_s - first_s
        ruling = _ruled(plan, story, wanted, (change_s, told_s))
    after = after_call(story, ruling, change_s, told_s) if ruling.kind in CHANGES else story
    ruled = _Ruled(sortie, motion, story, ruling, change_s, after, rest_s)
    changed, found = _changed(ruled, wanted) if ruling.kind in CHANGES else (_Changed(plan), [])
    return (None, found) if changed is None else (_retimed(plan, changed, ruled, wanted), [])


def _ruled(plan: Plan, story: Story, wanted: Wanted, asked: tuple[float, float]) -> Ruling:
    """``asked``: the change and when it is read back. A flight told to hold is told nothing but asked, and an
    overdue cue stands above any change."""
    change_s, told_s = asked
    if story.left_for_s is not None:
        found = judge_left(story.now, told_s, silent=_silent(wanted))
        return within_limits(plan, found, plan.the_pass.true_time)
    if story.holding:
        if not _silent(wanted):
            return judge_holding(story.now, change_s, told_s)
        told = motion_of(plan.passes[0]).origin + timedelta(seconds=told_s)
        return while_holding(plan, _at_least(wanted), told)
    parts = script_parts(plan.mission.passes[0])
    if _silent(wanted):
        at_least = _at_least(wanted)
        late_s = (at_least - _held(plan, story)).total_seconds()
        found = judge_silence(story.now, late_s, told_s, sure=wanted.predicted.sure)
        return within_limits(plan, found, at_least)
    if last_is_heard(parts, (name for name, _ in wanted.heard)):
        return judge(story.now, change_s, told_s)
    cue = parts[-1].cue
    return judge_unheard(story.now, change_s, told_s, cue, _known_s(plan, wanted, cue))


def _known_s(plan: Plan, wanted: Wanted, cue: str) -> float:
    """When a change would be read back that is told as soon as ``cue`` is heard."""
    assert wanted.predicted is not None, "only a script has a cue that is not heard"
    at = dict(wanted.predicted.expected)[cue]
    return motion_of(plan.passes[0]).seconds(at) + plan.mission.events[0].relay_s


def _laps_first_s(plan: Plan, story: Story, wanted: Wanted, asked: tuple[float, float]) -> float | None:
    """What of a change the laps give first, where speed gives the rest once the cue that T hangs on is heard,
    and neither T lies beyond a limit; None: none."""
    if story.holding:
        return None
    (change_s, told_s), chain = asked, motion_of(plan.passes[0]).chain
    parts = script_parts(plan.mission.passes[0])
    known = chain.speeds_known and not story.calls
    heard = last_is_heard(parts, (name for name, _ in wanted.heard))
    left = authority_at(chain.inbound, 0.0, chain.window) if heard else by_speed_s(chain)
    first_s = first_by_laps(story.now, change_s, told_s, (left.early_s, left.late_s)) if known else None
    held = _held(plan, story)
    ts = () if first_s is None else (held + timedelta(seconds=s) for s in (first_s, change_s))
    return None if any(verdict(plan, at)[0] for at in ts) else first_s


def _at_least(wanted: Wanted) -> datetime:
    """T while a cue is overdue: no earlier than this."""
    return wanted.predicted.true_time + timedelta(seconds=wanted.predicted.late_s)


def _silent(wanted: Wanted) -> bool:
    """Whether a cue is overdue: then there is nothing to tell but that."""
    return wanted.predicted is not None and wanted.predicted.overdue != ()


def _silence_call(plan: Plan, ruling: Ruling, wanted: Wanted) -> Call:
    who, briefed = spoken.callers(plan.mission), briefed_no_cue(plan)
    found = wanted.predicted
    assert found is not None, "only a script has a cue that is overdue"
    return spoken.not_started(who, found.overdue[0], ruling.added, briefed, mark=found.mark)


def _held(plan: Plan, story: Story) -> datetime:
    """The true time that the flight holds."""
    return plan.the_pass.true_time + timedelta(seconds=story.held_s)


def _has_passed(plan: Plan, story: Story, wanted: Wanted) -> bool:
    """Whether the call would begin when the flight is over the centre already."""
    over = plan.the_pass.true_time + timedelta(seconds=story.flies_for_s)
    return (
        wanted.read_back is not None
        and wanted.read_back - timedelta(seconds=plan.mission.events[0].relay_s) >= over
    )


def _asked_s(held: datetime, wanted: datetime, story: Story) -> float:
    """The change that is called: inside the dead-band the one predicted, else the one to the whole second
    that is read out. Of a flight that left without a true time the one that its leaving would make."""
    if story.left_for_s is not None:
        return story.left_for_s - story.held_s
    exact = (wanted - held).total_seconds()
    return exact if abs(exact) < story.now.deadband_s else (rounded_instant(wanted) - held).total_seconds()


def _changed(ruled: _Ruled, wanted: Wanted) -> tuple[_Changed | None, list[Diagnostic]]:
    """Planned again: by the hold everything from leave-hold on moves; a change by speed moves only T and what
    follows it."""
    after = ruled.after
    final = _mission_at(ruled, after.held_s, wanted)
    if not after.calls:
        changed, found = make_plan(final)
        return (None if changed is None or has_errors(found) else _Changed(changed)), found
    made, found = plan_by_speed(
        _mission_at(ruled, after.hold_s, wanted), final, after.calls, ruled.motion.origin, _cause(ruled)
    )
    return (None if made is None else _Changed(*made)), found


def _mission_at(ruled: _Ruled, change_s: float, wanted: Wanted) -> Mission:
    sortie, chain = ruled.sortie, ruled.motion.chain
    return at_true_time(
        sortie.mission,
        chain.true_time + timedelta(seconds=change_s),
        takeoff=sortie.clock.takeoff,
        setups=sortie.setups,
        heard=dict(wanted.heard),
        of=_cause(ruled),
    )


def _cause(ruled: _Ruled) -> KeyPath:
    """Where the pass is written."""
    return ruled.motion.chain.section.cause


def _retimed(plan: Plan, changed: _Changed, ruled: _Ruled, wanted: Wanted) -> Retimed:
    ruling, change_s, held = ruled.ruling, ruled.change_s, _held(plan, ruled.before)
    until = None if ruling.until_s is None else ruled.motion.origin + timedelta(seconds=ruling.until_s)
    relay = timedelta(seconds=plan.mission.events[0].relay_s)
    is_new, place = changed.plan is not plan, plan.mission.place - 1
    left = ruled.before.left_for_s is not None
    return Retimed(
        kind=ruling.kind,
        change_s=0.0 if left else change_s,
        old_true=held,
        old_set=held + (plan.the_pass.set_time - plan.the_pass.true_time),
        new_true=None if left or _silent(wanted) else rounded_instant(wanted.true_time),
        told=wanted.read_back,
        until=until,
        say_by=None if until is None else until - relay,
        reason=ruling.reason,
        one_more_lap_s=ruling.one_more_lap_s,
        authority_s=None if ruling.early_s is None else (ruling.early_s, ruling.late_s),
        times=_times(plan, ruled, _laps(plan, ruled, earlier=bool(wanted.earlier))) if is_new else None,
        ships=_ships(plan, changed),
        parties=changed.plan.passes[place].parties if is_new else (),
        failing=failing_anew(ruled.sortie, changed.plan, _when(ruled, wanted)) if is_new else (),
        plan_failing=tuple(gate for gate in plan.gates if gate.verdict == "FAIL"),
        within_accepted=_accepted(plan, ruled.before.held_s + change_s),
        call=(
            _silence_call(plan, ruling, wanted) if ruling.kind == "not started" else _call(plan, ruled, held)
        ),
        predicted=wanted.predicted,
        fuel_basis=changed.fuel_basis,
        earlier=tuple(wanted.earlier),
        limit=(
            verdict(plan, _at_least(wanted))
            if ruling.kind == "not started"
            else _limit(plan, ruling, held, change_s)
        ),
        lap_limit=_lap_limit(plan, ruling, held),
        ask_first=_ask_first(plan, ruling, held, change_s),
        short_s=ruling.short_s,
        rest_s=ruled.rest_s,
        soonest=_soonest(ruled),
        gives_up=ruling.added in GIVEN_UP,
        question=held + timedelta(seconds=change_s) if left and ruling.kind == "ask" else None,
        once=ruling.once,
        later=tuple(later_passes(ruled.sortie, changed.plan, place)) if is_new else (),
        later_training=tuple(later_blocks(ruled.sortie, changed.plan, place)) if is_new else (),
    )


def _soonest(ruled: _Ruled) -> datetime | None:
    at_s = ruled.ruling.soonest_s if ruled.ruling.kind == "unable" else None
    return None if at_s is None else ruled.motion.origin + timedelta(seconds=at_s)


def _when(ruled: _Ruled, wanted: Wanted) -> Told:
    at = wanted.read_back
    past_ip = at is not None and ruled.motion.seconds(at) >= ruled.before.ip_s
    return Told(ruled.motion.chain.section, at, past_ip)


def _laps(plan: Plan, ruled: _Ruled, *, earlier: bool) -> Laps | None:
    """The rows are of the plan: after an ``earlier`` call none holds."""
    if not ruled.by_hold:
        return None
    if not earlier and ruled.change_s not in printed_slips_s(plan):
        return "worked out"
    return "as printed" if ruled.ruling.row and not earlier else "worked again"


def _times(plan: Plan, ruled: _Ruled, laps: Laps | None) -> NewTimes:
    """By the hold everything inbound moves with T; by speed only what lies after the change of speed does,
    and there is no push-up."""
    event, after = plan.the_pass, ruled.after
    shift, moved = timedelta(seconds=after.held_s), timedelta(seconds=after.hold_s)
    origin, calls, leave = ruled.motion.origin, after.calls, ruled.motion.chain.leave_hold
    return NewTimes(
        true_time=event.true_time + shift,
        set_time=event.set_time + shift,
        leave_hold=None if leave is None else leave + moved,
        inbound_turns=(
            tuple(origin + timedelta(seconds=lap.inbound_turn_s) for lap in ruled.ruling.wait.laps)
            if ruled.by_hold
            else ()
        ),
        ip=origin + timedelta(seconds=after.ip_s),
        ip_before=origin + timedelta(seconds=ruled.before.ip_s),
        push_up=None if event.push is None or calls else event.push.at + shift,
        abort_only=None if (silent := ruled.motion.chain.closes(0.0)) is None else silent + shift,
        speed_kt=calls[-1].speed_kt if calls else None,
        laps=laps,
        row_until=(origin + timedelta(seconds=ruled.ruling.row_until_s) if laps == "as printed" else None),
    )


def _ships(plan: Plan, changed: _Changed) -> tuple[ShipLine, ...]:
    """Landing fuel with the hold as long as it now is, or with the speed changed; the go-home time of the
    hold only while it is ahead."""
    if plan.fuel is None:
        return ()
    after = {ship.ship: ship for ship in changed.plan.fuel.ships} if changed.plan.fuel is not None else {}
    return tuple(
        ShipLine(
            before.ship,
            before.landing_predicted,
            after[before.ship].landing_predicted if before.ship in after else None,
            before.base_required,
            None if changed.fuel_basis else before.go_home,
        )
        for before in plan.fuel.ships
    )


def _accepted(plan: Plan, change_s: float) -> bool | None:
    span = accepted_s(plan)
    return None if span is None else -span[0] <= change_s <= span[1]


def _limit(plan: Plan, ruling: Ruling, held: datetime, change_s: float) -> tuple[str, str]:
    """Of the T held where no call is needed, else of the new one, be it UNABLE as well; empty where nothing
    is told of it."""
    if ruling.closed or ruling.kind not in (*MET, "ask", "wait", "unable"):
        return "", ""
    return verdict(plan, held if ruling.kind == "no call" else held + timedelta(seconds=change_s))


def _ask_first(plan: Plan, ruling: Ruling, held: datetime, change_s: float) -> Call:
    """Empty where no limit stands in the way, or the call is a question as it is."""
    if ruling.kind in ("ask", "unable") or not _limit(plan, ruling, held, change_s)[0]:
        return Call("")
    return spoken.ask_first(spoken.callers(plan.mission), held, 0.0 if ruling.kind == "no call" else change_s)


def _lap_limit(plan: Plan, ruling: Ruling, held: datetime) -> tuple[str, str]:
    return (
        ("", "")
        if ruling.one_more_lap_s is None
        else verdict(plan, held + timedelta(seconds=ruling.one_more_lap_s))
    )


def _call(plan: Plan, ruled: _Ruled, held: datetime) -> Call:
    who, ruling, change_s = spoken.callers(plan.mission), ruled.ruling, ruled.change_s
    if ruling.kind == "new time":
        return spoken.new_time(who, held, held + timedelta(seconds=change_s))
    if ruling.kind in ("fast", "slow"):
        return spoken.seconds(who, change_s)
    if ruling.kind == "ask" and ruled.before.left_for_s is not None:
        return spoken.ask_which(who, held + timedelta(seconds=change_s))
    if ruling.kind == "ask" and ruled.before.holding:
        return spoken.ask_time(who, held, held + timedelta(seconds=change_s))
    if ruling.kind == "ask":
        return spoken.ask(who, change_s, further=bool(ruled.before.calls))
    # no lap is offered beyond a limit
    price_s = None if _lap_limit(plan, ruling, held)[0] else ruling.one_more_lap_s
    return spoken.unable(who, change_s, price_s) if ruling.kind == "unable" else Call("")
