"""What was typed after ``briefgen retime FILE``, checked and turned into a wanted true time and a moment."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from itertools import pairwise

from briefgen.brief.wording.format import clock_z, listed, time_limit
from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.core.records import record
from briefgen.mission.resolve.clocks import read_instant
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.judge import is_closed, is_committed
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.waits import accepted_s
from briefgen.plan.sortie import Plan
from briefgen.retime.answer import Wanted
from briefgen.retime.by_hand import not_taken
from briefgen.retime.doubts import Asked, doubted_moment, doubted_time, doubts
from briefgen.retime.heard import Predicted, check_names, missed_from, not_put_off, planned_times, predicted
from briefgen.retime.story import Phase, ReadBack, Story, as_planned, read_back_at, story_of
from briefgen.units.parse import Refusal, parse_duration_s

MOST_SLIP_S = 6 * 3600.0  # our own bound against slips of the keyboard
NEXT_PHASE: dict[Phase, Phase | None] = {"holding": "inbound", "inbound": "running-in", "running-in": None}
NO_TIME = ("hold", "left")  # what --told says in a word
_BARE = re.compile(r"[0-9]{1,5}(?:\.[0-9]+)?")  # a figure alone is seconds here


@record
class Typed:
    """The options as typed. ``to`` or ``slip`` is somebody's own judgement, after the cues ``heard``; without
    them ``heard`` says what is wanted, and ``unheard`` alone asks as of the second from which it is missed.
    ``told``: (seconds, hold or left, and the time) of each change that was read back before, and of leaving
    the hold all the same. ``sure``: cues that
    were heard when ``heard`` says so, though that was asked about. ``unheard``: cues that were listened for
    and not heard."""

    to: str | None = None
    slip: str | None = None
    heard: tuple[tuple[str, str], ...] = ()
    now: str | None = None
    phase: Phase | None = None
    told: tuple[tuple[str, str], ...] = ()
    sure: tuple[str, ...] = ()
    unheard: tuple[str, ...] = ()


def wanted(plan: Plan, typed: Typed) -> tuple[Wanted | None, list[Diagnostic]]:
    """What is wanted, or None with everything that is wrong with the options."""
    mission = plan.mission
    problems = [*_one_question(typed), *_no_hold(plan, typed)]
    now, found = _moment(plan, typed.now, "--now")
    problems += found
    earlier, found = _told(plan, typed)
    problems += found
    motion = motion_of(plan.passes[0])
    story, found = (as_planned(motion), []) if found else story_of(motion, earlier)
    problems += found
    heard, found = _heard(mission, typed, now)
    problems += found
    true_time, found = _asked(mission, typed, story)
    problems += found
    if has_errors(problems):
        return None, problems
    held, over = (
        mission.passes[0].true_time + timedelta(seconds=s) for s in (story.held_s, story.flies_for_s)
    )
    problems += _doubts(plan, typed, Asked(heard, true_time, over, _sure(typed), _missing(typed)))
    last_heard = max((at for _, at in heard), default=None)
    problems += [*_phase_over(plan, story, typed, last_heard), *_unheard(mission, typed)]
    if has_errors(problems):
        return None, problems
    missing = _missing(typed)
    if _only_unheard(typed):
        now = now or missed_from(mission, sorted(missing))
    read_back = _read_back(plan, story, typed, now, last_heard)
    if earlier and (read_back is None or read_back < earlier[-1].read_back):
        return None, [_before_told(earlier[-1])]
    said = None if read_back is None else read_back - timedelta(seconds=mission.events[0].relay_s)
    refused = not_taken(plan, story, true_time, read_back, not_due=False)
    if refused is not None:
        return None, [refused]
    if not script_parts(mission.passes[0]):
        return Wanted(true_time, read_back, earlier=earlier), []
    flies = read_back is not None and not story.in_hold
    told_s = motion.seconds(read_back) if flies else 0.0
    silent = not heard and not missing  # nothing of the ceremony was entered
    closed = silent and flies and (said >= over or is_closed(story.now, told_s))
    at = None if closed else max(filter(None, (said, last_heard)), default=None)
    committed = flies and is_committed(story.now, told_s)
    found_t = predicted(mission, heard, now=at, own=true_time, committed=committed, missing=missing)
    if committed and true_time is not None and not found_t.overdue:
        found_t = not_put_off(mission, heard, found_t, now=at, held=held, missing=missing)
    if found_t.overdue and true_time is not None:
        by_script = predicted(mission, heard, now=at, committed=committed, missing=missing)
        refused = not_taken(plan, story, true_time, read_back, not_due=not by_script.overdue)
    if refused is not None:
        return None, [refused]
    if not heard and found_t.overdue and found_t.overdue[0] not in missing:
        return None, [_not_entered(plan, found_t)]
    return Wanted(found_t.true_time, read_back, heard, found_t, earlier), []


def is_flown(plan: Plan, typed: Typed) -> bool:
    """Whether the pass is flown at the moment that was typed: its T, as it was told, is past."""
    heard = [_time(plan.mission, text, name)[0] for name, text in typed.heard]
    now, told = _time(plan.mission, typed.now, "--now")[0], _told(plan, typed)[0]
    moment = now or max(filter(None, heard), default=None)
    held = plan.the_pass.true_time + timedelta(seconds=sum(change.change_s or 0.0 for change in told))
    return moment is not None and moment >= held


def _read_back(
    plan: Plan, story: Story, typed: Typed, now: datetime | None, last_heard: datetime | None
) -> datetime | None:
    """With a phase where it begins, but nothing is called before it was heard."""
    by_clock = read_back_at(plan, story, now=now or last_heard, phase="planned")
    if typed.phase is None:
        return by_clock
    begins = read_back_at(plan, story, now=None, phase=_phase(typed))
    return begins if last_heard is None else max(begins, by_clock)


def _only_unheard(typed: Typed) -> bool:
    return bool(typed.unheard) and not (typed.to or typed.slip or typed.heard or typed.phase)


def _sure(typed: Typed) -> frozenset[str]:
    return frozenset(name.upper() for name in typed.sure)


def _missing(typed: Typed) -> frozenset[str]:
    return frozenset(name.upper() for name in typed.unheard)


def _doubts(plan: Plan, typed: Typed, asked: Asked) -> list[Diagnostic]:
    """What is asked before any words are given; a new T inside what is accepted is believed."""
    stray = sorted(asked.sure - {name for name, _ in asked.heard})
    found = [_not_heard(name) for name in stray]
    if typed.to is not None and asked.own is not None and not _is_accepted(plan, asked.own):
        doubted = doubted_time(plan, asked.own, asked.held)
        found += [] if doubted is None else [doubted]
    return [*found, *doubts(plan, asked)]


def _is_accepted(plan: Plan, true_time: datetime) -> bool:
    span, change_s = accepted_s(plan), (true_time - plan.the_pass.true_time).total_seconds()
    return span is not None and -span[0] <= change_s <= span[1]


def _not_heard(name: str) -> Diagnostic:
    help = f"add --heard {name} TIME, or leave --sure {name} out"
    return Diagnostic("sure", "error", f"--sure {name}: no --heard says when it was", None, "", help)


def _unheard(mission: Mission, typed: Typed) -> list[Diagnostic]:
    """Names of the script, and none that was heard."""
    heard = {name.upper() for name, _ in typed.heard}
    names = [name.upper() for name in typed.unheard]
    found = check_names(mission, [(name, "") for name in names], "--unheard") if names else []
    return [*found, *(_heard_too(name) for name in names if name in heard)]


def _heard_too(name: str) -> Diagnostic:
    message, help = f"{name} is given with --heard and with --unheard", "leave one of them out"
    return Diagnostic("retime-options", "error", message, help=help)


def _not_entered(plan: Plan, found: Predicted) -> Diagnostic:
    """What is not entered may have been heard all the same: no words until somebody says."""
    cue, due = found.overdue[0], dict(found.expected)[found.overdue[0]]
    planned, day = planned_times(plan.mission)[cue], plan.the_pass.true_time.date()
    expected = (
        f"was expected at {clock_z(due, day=day)}"
        if clock_z(planned, day=day) == clock_z(due, day=day)
        else f"was planned for {clock_z(planned, day=day)} and, with T so moved, expected at"
        f" {clock_z(due, day=day)}"
    )
    message = f"{cue} {expected}, and nothing says whether it was heard"
    why = "a change is told on what was heard; that a cue has not started is told only when nobody heard it"
    return Diagnostic(
        "heard-unknown", "error", message, None, why, f"add --heard {cue} TIME, or --unheard {cue}"
    )


def _phase_over(plan: Plan, story: Story, typed: Typed, last: datetime | None) -> list[Diagnostic]:
    """A phase that ends before what was heard in it can be read back is refused."""
    after = None if typed.phase is None or last is None else NEXT_PHASE[_phase(typed)]
    if after is None:
        return []
    read_back = read_back_at(plan, story, now=last, phase="planned")
    over = read_back_at(plan, story, now=None, phase=after)
    if read_back < over:
        return []
    day = plan.the_pass.true_time.date()
    message = (
        f"--phase {typed.phase}: what was heard at {clock_z(last, day=day)} is read back at"
        f" {clock_z(read_back, day=day)}, when the flight is {after} already"
    )
    why = f"{after} from {clock_z(time_limit(over, 'latest'), day=day)} on"
    return [Diagnostic("phase-over", "error", message, None, why, f"leave it out, or say --phase {after}")]


def _told(plan: Plan, typed: Typed) -> tuple[tuple[ReadBack, ...], list[Diagnostic]]:
    """The changes told before, in the order of their read-backs."""
    told, problems = [], []
    for seconds, text in typed.told:
        word = seconds.strip().lower()
        change_s, found = (None, []) if word in NO_TIME else _seconds(seconds, "--told")
        at, more = _moment(plan, text, f"--told {seconds}")
        problems += [*found, *more]
        if (word in NO_TIME or change_s is not None) and at is not None:
            told.append(ReadBack(change_s, at, left=word == "left"))
    if any(after.read_back < before.read_back for before, after in pairwise(told)):
        problems.append(
            Diagnostic(
                "told-order",
                "error",
                "--told: the changes are not in the order of their times",
                help="give the earliest first",
            )
        )
    return tuple(told), problems


def _before_told(last: ReadBack) -> Diagnostic:
    what = "the flight left the hold" if last.left else "the change that was read back"
    message = f"the call would come before {what} at {last.read_back:%H:%M:%S} Z"
    return Diagnostic(
        "told-later",
        "error",
        message,
        help="say with --now when the call is made, or with --phase where the flight is by then",
    )


def _phase(typed: Typed) -> Phase:
    return typed.phase or "planned"


def _one_question(typed: Typed) -> list[Diagnostic]:
    given = [value for value in (typed.to, typed.slip) if value is not None]
    problems = []
    if len(given) == 2 or not (given or typed.heard or typed.unheard):
        what = "--to and --slip are given together" if given else "nothing says what is to change"
        problems.append(
            Diagnostic(
                "retime-options",
                "error",
                what,
                help="give one of --to TIME, --slip SECONDS, --heard CUE TIME, --unheard CUE",
            )
        )
    if typed.now is not None and typed.phase is not None:
        problems.append(
            Diagnostic(
                "retime-options",
                "error",
                "--now and --phase are given together",
                help="one of them says where the flight is",
            )
        )
    return problems


def _no_hold(plan: Plan, typed: Typed) -> Iterator[Diagnostic]:
    """No flight is in a hold that there is none of, nor told to stay in it."""
    if plan.the_pass.hold is not None:
        return
    told = {seconds.strip().lower() for seconds, _ in typed.told}
    for option, there in (
        ("--phase holding", typed.phase == "holding"),
        *((f"--told {word}", word in told) for word in NO_TIME),
    ):
        if there:
            help = "say with --now when the call is made, or --phase running-in for the IP"
            message = f"{option}: the pass has no hold"
            yield Diagnostic("retime-options", "error", message, help=help)


def _time(mission: Mission, text: str | None, name: str) -> tuple[datetime | None, list[Diagnostic]]:
    if text is None:
        return None, []
    return read_instant(text, mission.passes[0].true_time, mission.clocks, name)


def _moment(plan: Plan, text: str | None, option: str) -> tuple[datetime | None, list[Diagnostic]]:
    """When a call is made or was read back, doubted where it is no time of this flight."""
    at, found = _time(plan.mission, text, option)
    doubt = None if at is None else doubted_moment(plan, at, option)
    return at, found if doubt is None else [*found, doubt]


def _heard(
    mission: Mission, typed: Typed, now: datetime | None
) -> tuple[tuple[tuple[str, datetime], ...], list[Diagnostic]]:
    if not typed.heard:
        return (), []
    told = [(name.upper(), text) for name, text in typed.heard]  # ids are in capitals
    problems, notes = [*check_names(mission, told), *_heard_twice(told)], []
    for name, text in told:
        at, found = _time(mission, text, f"--heard {name}")
        problems += found
        if at is not None and now is not None and at > now:
            problems.append(
                Diagnostic(
                    "heard-later",
                    "error",
                    f"{name} is heard after --now",
                    help="check both times, and whose clock they are of",
                )
            )
        notes.append((name, at))
    return tuple(notes), problems


def _heard_twice(told: Sequence[tuple[str, str]]) -> Iterator[Diagnostic]:
    """A cue that is heard at two times: which one counts nobody else can say."""
    for name in dict.fromkeys(name for name, _ in told):
        times = list(dict.fromkeys(text for other, text in told if other == name))
        if len(times) > 1:
            message, help = f"--heard {name} is given for {listed(times)}", "leave all but one of them out"
            yield Diagnostic("retime-options", "error", message, help=help)


def _asked(mission: Mission, typed: Typed, story: Story) -> tuple[datetime | None, list[Diagnostic]]:
    if typed.to is not None:
        at, found = _time(mission, typed.to, "--to")
        if at is None or abs(at - mission.passes[0].true_time) <= timedelta(seconds=MOST_SLIP_S):
            return at, found
        return None, [_far(typed.to)]
    if typed.slip is None:
        return None, []
    seconds, found = _seconds(typed.slip, "--slip")
    return (
        None if seconds is None else mission.passes[0].true_time + timedelta(seconds=story.held_s + seconds)
    ), found


def _seconds(text: str, name: str) -> tuple[float | None, list[Diagnostic]]:
    """Seconds with their sign, later is more: a figure alone, or a duration as in the mission file."""
    typed = text.strip().replace("\u2212", "-")
    sign, length = (typed[0], typed[1:].strip()) if typed[:1] in ("+", "-") else ("", typed)
    try:
        seconds = float(length) if _BARE.fullmatch(length) else parse_duration_s(length)
    except Refusal as refusal:
        return None, [_unread(text, name, sign or "+", refusal)]
    seconds = -seconds if sign == "-" else seconds
    return (seconds, []) if abs(seconds) <= MOST_SLIP_S else (None, [_far(text)])


def _unread(text: str, name: str, sign: str, refusal: Refusal) -> Diagnostic:
    """A slip that cannot be read, with the readings that it may have had."""
    readings = [f'{name} "{sign}{reading}"' for reading in refusal.readings]
    help = (
        f"write {' or '.join(readings)}"
        if readings
        else f'write seconds, later with +, earlier with -: {name} +90, {name} -30, {name} "+1 min 30 s"'
    )
    return Diagnostic("slip", "error", f'{name}: cannot read "{text}" as seconds', None, refusal.why, help)


def _far(text: str) -> Diagnostic:
    return Diagnostic(
        "far-time",
        "error",
        f'"{text}" lies more than six hours from the true time',
        help="check the time and whose clock it is of; else change the mission file",
    )
