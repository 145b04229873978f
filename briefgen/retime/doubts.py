"""What is asked before anything is said on a time that was typed: a cue that is early, or out of the script's
order, as the ground contact's page asks about a tap (render/html/clock_taps.js), one behind a cue that was
not heard, a mark off the pace, and a time that may be of another clock.

Each doubt is settled by the name of what was meant, by the clock that was meant, or by ``--sure CUE``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from briefgen.airmath.clocks import offset_at
from briefgen.airmath.script import SAME_INSTANT_S
from briefgen.brief.wording.format import clock_typed, clock_z, duration, listed, time_limit
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.waits import accepted_s
from briefgen.plan.sortie import Plan
from briefgen.retime.heard import predicted

OFF_PACE, OFF_PACE_S = 1 / 4, 3.0  # a mark is off the pace by more than both: our default, no source
EARLY_S = 5.0  # early by more than this and twice the spread of what goes before it: our default, no source
OTHER_CLOCK_S = 5 * 60.0  # a time so near to a whole hour, or the zones' offset, away: our default, no source
MOST_HOURS = 14
CALLS_END_S = 30 * 60.0  # after T, where no later T is accepted: our default, no source
Note = tuple[str, datetime]


@record
class Asked:
    """The cues heard, ``own``: T by somebody's own judgement, else None; ``held``: T that the flight holds;
    ``sure``: the cues that somebody has answered for; ``missing``: those listened for and not heard."""

    heard: tuple[Note, ...]
    own: datetime | None
    held: datetime
    sure: frozenset[str]
    missing: frozenset[str] = frozenset()


def doubts(plan: Plan, asked: Asked) -> Iterator[Diagnostic]:
    """One for each time that is asked about; what is doubted does not count for those after it."""
    counted: list[Note] = []
    for name, at in sorted(dict(asked.heard).items(), key=lambda note: note[1]):
        found = None if name in asked.sure else _doubt(plan, asked, counted, (name, at))
        if found is None:
            counted.append((name, at))
        else:
            yield found


def doubted_time(plan: Plan, at: datetime, held: datetime) -> Diagnostic | None:
    """A new T that may have been read from another clock; None where it is believed."""
    off_s = other_clock_s(plan.mission, (at - held).total_seconds(), at)
    if off_s is None:
        return None
    meant = at - timedelta(seconds=off_s)
    slip_s = (at - held).total_seconds()
    message = f"--to {_z(plan, at)} lies {duration(abs(slip_s))} from the true time that the flight holds"
    help = (
        f'if another clock was meant, write --to "{_typed(plan, meant)}"; if not, write --slip {slip_s:+.0f}'
    )
    return _diagnostic("time-clock", message, "it may be of another clock", help)


def doubted_moment(plan: Plan, at: datetime, option: str) -> Diagnostic | None:
    """The moment of a call, typed with an option, that lies before take-off or long after T; None where it is
    believed."""
    first, t = plan.clock.takeoff, plan.passes[0].true_time
    _, accepted_late_s = accepted_s(plan) or (0.0, 0.0)
    last = t + timedelta(seconds=max(CALLS_END_S, accepted_late_s))
    if first <= at <= last:
        return None
    meant = [at - timedelta(seconds=s) for s in _shifts_s(plan.mission, at)]
    flown = [moment for moment in meant if first <= moment <= last]
    by_clock = min(flown, key=lambda moment: (moment > t, abs(moment - t)), default=None)
    message = f"{option} {_z(plan, at)} is no time of this flight"
    why = f"it takes off at {_z(plan, first)}, and nothing is told after {_z(plan, last)}"
    other = f'if another clock was meant, write {option} "{_typed(plan, by_clock)}"; ' if by_clock else ""
    return _diagnostic("time-clock", message, why, f"{other}before take-off leave {option} out")


def other_clock_s(mission: Mission, off_s: float, at: datetime) -> float | None:
    """The whole hours, offset of a zone or difference of the two zones that a time lies off, within
    OTHER_CLOCK_S; None: none of them."""
    nearest = min(_shifts_s(mission, at), key=lambda shift: (abs(off_s - shift), shift))
    return nearest if abs(off_s - nearest) <= OTHER_CLOCK_S else None


def _shifts_s(mission: Mission, at: datetime) -> list[float]:
    """By how much a time may be off that was read from another clock."""
    base, event = (offset_at(at, zone) for zone in (mission.base_zone, mission.event_zone))
    shifts = {*(3600.0 * hours for hours in range(1, MOST_HOURS + 1)), *map(abs, (base, event, base - event))}
    return [sign * shift for shift in shifts if shift for sign in (1, -1)]


def _doubt(plan: Plan, asked: Asked, counted: Sequence[Note], note: Note) -> Diagnostic | None:
    """Where T was moved by somebody's own judgement the cues may have been heard before or after that: a tap
    that is believed by either is believed."""
    lists = [expected_now(plan, counted, None)]
    lists += [] if asked.own is None else [expected_now(plan, counted, asked.own)]
    offs = [_other_clock(plan, found, note) for found in lists]
    if None not in offs:
        return _clock_doubt(plan, lists[0], note, offs[0])
    skipped = _skipped(plan, lists[0], note[0], asked.missing)
    if skipped:
        return _skipped_doubt(plan, note, skipped)
    if note[1] >= asked.held:
        return None
    others = [_other(plan, found, note) for found in lists]
    if () in others:
        return _pace_doubt(plan, counted, note) if note[0] in dict(lists[0]) else None
    return _tap_doubt(plan, note, others[0][0])


def expected_now(plan: Plan, heard: Sequence[Note], own: datetime | None) -> list[Note]:
    """(cue or mark, when) of everything after what was heard furthest along: by the script, else as planned
    and moved with T. Port of ``expectedNow``."""
    found, names = predicted(plan.mission, heard, now=None, own=own), {name for name, _ in heard}
    everything, moved = _in_order(plan), found.true_time - plan.the_pass.true_time
    furthest = max((i for i, (name, _) in enumerate(everything) if name in names), default=-1)
    by_script = dict(found.expected)
    return [(name, by_script.get(name, at + moved)) for name, at in everything[furthest + 1 :]]


def _in_order(plan: Plan) -> list[Note]:
    return [note for cue in plan.the_pass.cues for note in ((cue.id, cue.at), *cue.marks)]


def _next(plan: Plan, expected: Sequence[Note], at: datetime) -> str | None:
    """What is heard next. Port of ``nextTap``: the window of a mark ends half-way to what comes next, that of
    a cue half-way to the next cue; the marks of a cue that was not heard do not come in its place."""
    cues, awaited = {cue.id for cue in plan.the_pass.cues}, False
    for i, (name, due) in enumerate(expected):
        later = (when for other, when in expected[i + 1 :] if name not in cues or other in cues)
        after = next(later, None)
        awaited = awaited or name in cues
        if (name in cues or not awaited) and not (after is not None and at > due + (after - due) / 2):
            return name
    return None


def _other(plan: Plan, expected: Sequence[Note], note: Note) -> tuple[str | None, ...]:
    """What was meant instead, perhaps; (None,): nothing else, it is early; (): it is believed. Port of
    ``doubtsOf``."""
    name, at = note[0], time_limit(note[1], "latest")  # the page judges at the whole second that it shows
    names, coming = [other for other, _ in expected], _next(plan, expected, at)
    if name not in names:
        return () if coming is None else (coming,)
    place = names.index(name)
    if coming in {cue.id for cue in plan.the_pass.cues} and names.index(coming) < place:
        return (coming,)
    early = timedelta(seconds=_early_s(plan.mission, name) + SAME_INSTANT_S)
    if at >= expected[place][1] - early:
        return ()
    return (min(expected[:place], key=lambda other: abs(other[1] - at), default=(None, at))[0],)


def _skipped(plan: Plan, expected: Sequence[Note], name: str, missing: frozenset[str]) -> list[str]:
    """The cues before it that somebody says were not heard: each may sound late instead. The page asks about
    every one that was not tapped (``skippedBy``); what is typed names its cue."""
    names, cues = [other for other, _ in expected], {cue.id for cue in plan.the_pass.cues}
    before = names[: names.index(name)] if name in names else []
    return [other for other in before if other in cues and other in missing]


def _pace_doubt(plan: Plan, counted: Sequence[Note], note: Note) -> Diagnostic | None:
    """A mark that would change the pace by more than a quarter, and more than twice what its part spreads.
    Port of ``offPace``."""
    (name, at), heard = note, dict(counted)
    part = next((part for part in script_parts(plan.mission.passes[0]) if name in dict(part.marks)), None)
    if part is None or part.cue not in heard:
        return None
    planned_s = dict(part.marks)[name]
    after_s = (time_limit(at, "latest") - heard[part.cue]).total_seconds()
    share = max(OFF_PACE, 2.0 * (part.spread_s or 0.0) / part.lasts_s)
    off_s = abs(after_s - planned_s * predicted(plan.mission, counted, now=None).pace)
    if off_s <= max(OFF_PACE_S, share * planned_s) + SAME_INSTANT_S:
        return None
    message = (
        f"--heard {name}: {_z(plan, at)}: {name} {duration(after_s)} after {part.cue}? By the script"
        f" {duration(planned_s)}"
    )
    why = "one of the two may be a slip, and the rest would be taken to run at that pace: the clock page asks"
    help = f"if both are right, add --sure {name}; if not, leave --heard {name} out, or mend its time"
    return _diagnostic("heard-doubted", message, why, help)


def _early_s(mission: Mission, name: str) -> float:
    """A cue is as uncertain as the part before it, a mark as its own."""
    parts = script_parts(mission.passes[0])
    cue = next((i for i, part in enumerate(parts) if part.cue == name), None)
    own = next((i for i, part in enumerate(parts) if name in dict(part.marks)), None)
    place = own if cue is None else max(cue - 1, 0)
    return EARLY_S if place is None else max(EARLY_S, 2.0 * (parts[place].spread_s or 0.0))


def _due(plan: Plan, expected: Sequence[Note], name: str) -> datetime:
    return dict(expected).get(name) or dict(_in_order(plan))[name]


def _other_clock(plan: Plan, expected: Sequence[Note], note: Note) -> float | None:
    off_s = (note[1] - _due(plan, expected, note[0])).total_seconds()
    return other_clock_s(plan.mission, off_s, note[1])


def _clock_doubt(plan: Plan, expected: Sequence[Note], note: Note, off_s: float) -> Diagnostic:
    (name, at), due = note, _due(plan, expected, note[0])
    side = "after" if at > due else "before"
    message = (
        f"--heard {name}: {_z(plan, at)} lies {duration(abs((at - due).total_seconds()))} {side} its expected"
        f" {_z(plan, due)}"
    )
    meant = _typed(plan, at - timedelta(seconds=off_s))
    help = f'if another clock was meant, write --heard {name} "{meant}"; if not, add --sure {name}'
    return _diagnostic("heard-clock", message, "it may be of another clock", help)


def _tap_doubt(plan: Plan, note: Note, other: str | None) -> Diagnostic:
    name, at = note
    if other is None:
        message, instead = f"--heard {name}: {_z(plan, at)}: {name} already?", ""
    else:
        message = f"--heard {name}: {_z(plan, at)}: {other} or {name}?"
        instead = f'if it was {other}, write --heard {other} "{_typed(plan, at)}"; '
    why = "it is early, or out of the script's order: the clock page asks too"
    return _diagnostic("heard-doubted", message, why, f"{instead}if it was {name}, add --sure {name}")


def _skipped_doubt(plan: Plan, note: Note, skipped: Sequence[str]) -> Diagnostic:
    name, at = note
    message = f"--heard {name}: {_z(plan, at)}: {', '.join(skipped)} or {name}?"
    instead = (
        f'if it was {cue}, write --heard {cue} "{_typed(plan, at)}" and leave --unheard {cue} out; '
        for cue in skipped
    )
    help = f"{''.join(instead)}if it was {name}, add --sure {name}"
    was = "was" if len(skipped) == 1 else "were"
    why = f"{listed(skipped)} {was} not heard and may be late: the clock page asks too"
    return _diagnostic("heard-doubted", message, why, help)


def _z(plan: Plan, at: datetime) -> str:
    return clock_z(at, day=plan.passes[0].true_time.date())


def _typed(plan: Plan, at: datetime) -> str:
    return clock_typed(at, day=plan.passes[0].true_time.date())


def _diagnostic(code: str, message: str, why: str, help: str) -> Diagnostic:
    return Diagnostic(code, "error", message, why=why, help=help)
