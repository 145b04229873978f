"""A cue that nobody has heard: from which second on what is told of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.airmath.script import SAME_SECOND_S, Heard, Part, predict
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import kept, record
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.judge import Added, Ruling, flying_as_briefed, is_committed, judge_silence
from briefgen.plan.event.lost_contact import wait_end
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.waits import verdict, wait_limits
from briefgen.plan.model import EventPlan
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan

GIVEN_UP: tuple[Added, ...] = ("go home", "next pass")  # no T can follow: on as ``then`` says
BRIEFED: tuple[Added, ...] = ("no cue", *GIVEN_UP)  # what the fact is said with once nothing else helps


@record
class Step:
    """From this whole second on the fact is said with ``added``; ``until``: the last second of it, after
    which other words are said, or only the abort words."""

    added: Added
    start: datetime
    until: datetime


def silence_steps(plan: Plan, unheard: str = "") -> tuple[Step, ...]:
    """What is said, second by second, of the cue ``unheard``, else of the one that T hangs on, when all
    before it was heard as planned, nothing since, and the flight holds the planned T: as the clock page has
    it, which judges whole seconds. Empty where T hangs on no cue."""
    return _joined(_by_the_second(plan, unheard))


def mark_steps(plan: Plan) -> tuple[tuple[str, tuple[Step, ...]], ...]:
    """The same of each mark of the part that T hangs on, which has begun as planned and then stops: the marks
    before it heard as planned, this one listened for and not heard. Only marks of which something can be
    said."""
    event = plan.event
    parts = () if event is None else script_parts(event.section)
    if event is None or not parts:
        return ()
    marks = sorted(parts[-1].marks, key=lambda mark: mark[1])
    found = [
        (mark, _joined(_of_pass(plan, event, parts, len(parts), marks=tuple(marks[:place]), missing=mark)))
        for place, (mark, _) in enumerate(marks)
    ]
    return tuple((mark, steps) for mark, steps in found if steps)


def _joined(seconds: Iterator[tuple[datetime, Added]]) -> tuple[Step, ...]:
    found: list[Step] = []
    for at, added in seconds:
        start = found.pop().start if found and found[-1].added == added else at
        found.append(Step(added, start, at))
    return tuple(found)


def _by_the_second(plan: Plan, unheard: str) -> Iterator[tuple[datetime, Added]]:
    parts, cues = () if plan.event is None else script_parts(plan.event.section), cues_to_t(plan)
    if plan.event is not None and parts:
        yield from _of_pass(plan, plan.event, parts, cues.index(unheard or cues[-1]))


def _of_pass(
    plan: Plan,
    pass_: EventPlan,
    parts: tuple[Part, ...],
    unheard: int,
    *,
    marks: tuple[tuple[str, float], ...] = (),
    missing: str = "",
) -> Iterator[tuple[datetime, Added]]:
    """``unheard``: the place of the first cue that is not heard. Where all are, ``marks`` of the last part
    are heard too, and ``missing`` is not."""
    section, motion = pass_.section, motion_of(pass_)
    cues, relay_s = section.event.times.cues, section.event.relay_s
    now = flying_as_briefed(motion)
    begins = motion.seconds(cues[parts[0].cue])
    heard = _as_planned(parts, begins)[:unheard]
    last = motion.seconds(cues[parts[-1].cue])
    heard += tuple(Heard(mark, last + offset_s) for mark, offset_s in marks)
    at = _whole_second(cues[parts[min(unheard, len(parts) - 1)].cue])
    without = frozenset(filter(None, (missing,)))
    while at < pass_.true_time:
        said_s = motion.seconds(at)
        committed = is_committed(now, said_s + relay_s)
        found = predict(
            parts,
            begins,
            heard,
            now_s=said_s,
            deadband_s=now.deadband_s,
            committed=committed,
            missing=without,
        )
        late_s = found.target_s + found.late_s - now.target_s
        ruling = judge_silence(now, late_s, said_s + relay_s, sure=found.sure)
        if ruling.kind != "not started":
            return
        if found.overdue:
            yield at, within_limits(plan, ruling, pass_.true_time + timedelta(seconds=late_s)).added
        at += timedelta(seconds=1)


def within_limits(plan: Plan, ruling: Ruling, at_least: datetime) -> Ruling:
    """No HOLD where the T that it leads to, ``at_least`` or later, lies beyond a limit: the flight then says
    what it can. No return to the hold where the earliest T after it lies beyond a limit of this pass: the
    flight then goes home, or on to the next pass."""
    if ruling.added == "no cue":
        given_up = plan.passes[0].section.given_up
        return replace(ruling, added=given_up) if _back_for_nothing(plan, ruling) else ruling
    if ruling.added != "hold":
        return ruling
    origin = motion_of(plan.passes[0]).origin
    leads_to = at_least if ruling.soonest_s is None else origin + timedelta(seconds=ruling.soonest_s)
    return replace(ruling, added="intentions") if verdict(plan, leads_to)[0] else ruling


def while_holding(plan: Plan, at_least: datetime, told: datetime) -> Ruling:
    """The same of a flight that was told to hold: it goes home, or on, once no T can follow, since
    ``at_least`` lies beyond a limit of this pass, or the call is read back after HOME or ON FROM HOLD."""
    end = wait_end(plan)
    if end is not None and told > end.at:
        return Ruling("not started", added=end.then)
    too_late = _is_too_late(plan, at_least)
    return Ruling("not started", added=plan.passes[0].section.given_up if too_late else "")


def _back_for_nothing(plan: Plan, ruling: Ruling) -> bool:
    pass_ = plan.passes[0]
    if pass_.section.no_cue != "hold" or ruling.soonest_s is None:
        return False
    return _is_too_late(plan, motion_of(pass_).origin + timedelta(seconds=ruling.soonest_s))


def _is_too_late(plan: Plan, at_least: datetime) -> bool:
    """Whether this T, or any later one, lies beyond a limit of this pass."""
    soonest = at_least - timedelta(seconds=SAME_SECOND_S)
    return any(limit.loses is None and limit.latest_t < soonest for limit in wait_limits(plan))


def no_way_back(plan: Plan) -> Iterator[Diagnostic]:
    """A typed return to the hold that leads to no T, whenever it would be flown: the flight is then told to
    go home, or on, instead, on every product."""
    for seen in each_pass(plan):
        (pass_,) = seen.passes
        given_up = pass_.section.given_up
        if pass_.section.no_cue == "hold" and _first_briefed(seen) in GIVEN_UP:
            yield Diagnostic(
                "no-way-back",
                "caution",
                "no_cue: hold leads to no T",
                why="back in the hold it is too late for any T within its limits: the products say "
                + ("GO HOME" if given_up == "go home" else "GO ON to the next pass"),
                help=f"write no_cue: {given_up}, or give the hold what it lacks:"
                " time, fuel, or a later limit",
                cause=pass_.section.key("no_cue"),
            )


def _whole_second(at: datetime) -> datetime:
    """The first whole second that isn't before; a microsecond after one is that one."""
    near = at - timedelta(microseconds=1)
    begun = near.replace(microsecond=0)
    return begun if begun == near else begun + timedelta(seconds=1)


def _as_planned(parts: tuple[Part, ...], begins_s: float) -> tuple[Heard, ...]:
    """Every cue at its planned time."""
    expected = dict(predict(parts, begins_s, ()).expected)
    return tuple(Heard(part.cue, expected[part.cue]) for part in parts)


def cues_to_t(plan: Plan) -> tuple[str, ...]:
    """The cues of the script up to the one that T hangs on; none where it hangs on no cue."""
    return tuple(part.cue for part in script_parts(plan.passes[0].section)) if plan.passes else ()


def _first_briefed(plan: Plan) -> Added | None:
    """What a flight that has left the hold is told first beside the fact; None: never anything."""
    return next((added for _, added in _by_the_second(plan, "") if added in BRIEFED), None)


@kept
def no_cue_from(plan: Plan) -> datetime | None:
    """From when on the fact is said with what a flight that has left the hold then does; None: never."""
    return next((step.start for step in silence_steps(plan) if step.added in BRIEFED), None)


@kept
def given_up_from(plan: Plan) -> datetime | None:
    """From when on a flight briefed to return to its hold goes home, or on, since no T can follow; None:
    never."""
    return next((step.start for step in silence_steps(plan) if step.added in GIVEN_UP), None)
