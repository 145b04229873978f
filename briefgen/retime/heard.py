"""From what was heard of the ceremony to a new true time: cues and marks by name, T predicted by
briefgen/airmath/script.py."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from briefgen.airmath.script import Heard, Part, is_mark, predict
from briefgen.brief.wording.format import time_limit
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.base import did_you_mean
from briefgen.plan.event.ceremony import script_parts


@record
class Predicted:
    """T as what was heard of the script says. ``deviation_s``: one standard deviation, None where a spread is
    missing. ``expected``: the cues and marks still to come. ``overdue``: cues that should have been heard by
    now, the first of them ``late_s`` ago; then ``true_time`` is no time to tell anybody. ``awaited``: cues
    late by more than the dead-band, ``sure``: one by more than its time spreads. ``asked``: marks so late of
    which nobody has said anything; ``mark``: the first that is overdue is one."""

    true_time: datetime
    deviation_s: float | None
    pace: float
    expected: tuple[tuple[str, datetime], ...]
    overdue: tuple[str, ...]
    late_s: float
    own: bool = False
    awaited: tuple[str, ...] = ()
    sure: bool = False
    asked: tuple[str, ...] = ()
    mark: bool = False


def names_of(parts: Sequence[Part]) -> tuple[str, ...]:
    """Every cue and mark of the script, in its order."""
    return tuple(name for part in parts for name in (part.cue, *(mark for mark, _ in part.marks)))


def check_names(
    mission: Mission, heard: Sequence[tuple[str, str]], option: str = "--heard"
) -> list[Diagnostic]:
    """What is wrong with the names of cues on the command line."""
    parts = script_parts(mission.passes[0])
    if not parts:
        help = "give --to or --slip, or let event.pass.time hang on a cue, such as: end of ANTHEM"
        return [
            Diagnostic(
                "no-script",
                "error",
                "the time over target is an explicit time, so no cue tells how the ceremony runs",
                help=help,
            )
        ]
    known = names_of(parts)
    return [
        Diagnostic(
            "unknown-cue",
            "error",
            f'{option}: the script has no cue or mark "{name}" before T{did_you_mean(name, known)}',
            help=f"the cues and marks are {', '.join(known)}",
        )
        for name, _ in heard
        if name not in known
    ]


def planned_times(mission: Mission) -> dict[str, datetime]:
    """When each cue and mark of the script is planned."""
    parts = script_parts(mission.passes[0])
    return dict(predicted(mission, (), now=None).expected) if parts else {}


def missed_from(mission: Mission, names: Sequence[str]) -> datetime | None:
    """The first whole second at which one of these cues is overdue when nothing was heard; None: never before
    T, as a mark is not."""
    due, end = planned_times(mission), mission.times.true_time
    named = [due[name] for name in names if name in due]
    if end is None or not named:
        return None
    at = time_limit(min(named), "earliest")
    while at < end:
        if not set(names).isdisjoint(predicted(mission, (), now=at).overdue):
            return at
        at += timedelta(seconds=1)
    return None


def predicted(
    mission: Mission,
    heard: Sequence[tuple[str, datetime]],
    *,
    now: datetime | None,
    own: datetime | None = None,
    committed: bool = False,
    missing: Iterable[str] = (),
) -> Predicted:
    """T from the cues and marks that were heard, or somebody's ``own``, and what is overdue at ``now``, for a
    flight that is ``committed`` or still holds; ``missing``: what was listened for and not heard."""
    parts = script_parts(mission.passes[0])
    begins = mission.times.cues[parts[0].cue]
    notes = tuple(Heard(name, (at - begins).total_seconds()) for name, at in heard)
    now_s = None if now is None else (now - begins).total_seconds()
    deadband_s = mission.passes[0].deadband_s
    own_s = None if own is None else (own - begins).total_seconds()
    found = predict(
        parts,
        0.0,
        notes,
        now_s=now_s,
        deadband_s=deadband_s,
        own_target_s=own_s,
        committed=committed,
        missing=frozenset(missing),
    )
    expected = tuple((name, begins + timedelta(seconds=at_s)) for name, at_s in found.expected)
    true_time = begins + timedelta(seconds=found.target_s) if own is None else own
    return Predicted(
        true_time,
        found.deviation_s,
        found.pace,
        expected,
        found.overdue,
        found.late_s,
        own is not None,
        found.awaited,
        found.sure,
        found.asked,
        bool(found.overdue) and is_mark(parts, found.overdue[0]),
    )


def not_put_off(
    mission: Mission,
    heard: Sequence[tuple[str, datetime]],
    by_own: Predicted,
    *,
    now: datetime | None,
    held: datetime,
    missing: Iterable[str] = (),
) -> Predicted:
    """Somebody's own T, unless it is a later one that puts off a cue which nobody heard and which is overdue
    by what was heard and by the T that the flight holds: of one that has left the hold the fact stands."""
    found = predicted(mission, heard, now=now, committed=True, missing=missing)
    if found.true_time < held:
        found = predicted(mission, heard, now=now, own=held, committed=True, missing=missing)
    return found if found.overdue and found.true_time < by_own.true_time else by_own
