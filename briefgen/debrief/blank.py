"""An empty file of actuals for one plan: its ships, cues and objectives as comments to fill in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from briefgen.brief.wording import format as words
from briefgen.debrief.flown import Flown
from briefgen.debrief.sums import cue_rows
from briefgen.plan.model import BlockClock
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan


def blank_actuals(plan: Plan) -> str:
    """The text, which reads as "nothing recorded" until a line is freed of its #."""
    return "\n".join(_lines(plan)) + "\n"


def _lines(plan: Plan) -> Iterator[str]:
    clock, file = plan.clock, plan.mission.file
    yield (
        f"# What was flown: {file.sortie.name}. Free a line of its # and write what was read off; what stays"
        ' commented is "not recorded".'
    )
    yield "# Every time says whose clock: Z, base, event. The times and fuels below are those of the plan."
    yield "actuals: 1"
    yield _time("takeoff", clock.takeoff, "the leader's")
    several = len(plan.trainings) > 1
    if several:
        yield "# blocks:                # each by its id: its area entered; set-ups; knock-it-off of the last"
        yield from (f"#   {block.id}: {{{_block(plan, block)}}}" for block in clock.blocks)
    else:
        yield _time("area", clock.area_entry, "entered")
        for block in clock.blocks:
            if block.end is not None:
                yield f"# training: {{{_set_ups(plan, block)}}}   # set-ups; knock-it-off of the last"
    if len(plan.passes) > 1:
        yield "# passes:                # each by its id: its hold and T, what was told and heard"
        for seen in each_pass(plan):
            yield f"#   {seen.passes[0].section.id}:"
            yield from (f"#     {line[2:]}" for line in (*_times(seen), *_told_and_heard(seen), *_log(seen)))
    else:
        yield from _times(plan)
    yield _time("landing", clock.lead_landing, "the leader's touchdown")
    hold = plan.passes[0].hold if plan.passes else None
    of = f" of {plan.trainings[0].id}" if several else ""
    at_hold = "" if hold is None else f" on entering the {'first ' if len(plan.passes) > 1 else ''}hold,"
    yield (
        f"# fuel:                  # the gauge before starting, at knock-it-off{of},{at_hold} at each ship's"
        " touchdown; a point may be left out"
    )
    for ship in file.flight:
        unit = file.fuel.display if file.fuel else "lb"
        keys = (
            "start",
            *(("end_of_training",) if clock.training_end else ()),
            *(("hold",) if hold is not None else ()),
            "landing",
        )
        yield f"#   {ship.ship}: {{{', '.join(f'{key}: 0 {unit}' for key in keys)}}}"
    if len(plan.passes) == 1:
        yield from _told_and_heard(plan)
    if file.sortie.success:
        yield "# success:"
        yield from (
            f"#   {number}: yes            # or no: {line}"
            for number, line in enumerate(file.sortie.success, 1)
        )
    if len(plan.passes) == 1:
        yield from _log(plan)


def _block(plan: Plan, block: BlockClock) -> str:
    entered = "" if block.entry is None else f"area: {words.clock_z(block.entry)}, "
    return f"{entered}{_set_ups(plan, block)}"


def _set_ups(plan: Plan, block: BlockClock) -> str:
    number = plan.setups[block.id]
    end = "" if block.end is None else f", end: {words.clock_z(block.end)}"
    return f"flown: {number}, valid: {number}{end}"


def _times(plan: Plan) -> Iterator[str]:
    """Of the one pass, or of the plan as one of several passes sees it, as the two below."""
    clock = plan.clock
    yield _time("hold", clock.hold_arrival, "entered: over the fix")
    yield _time("leave_hold", clock.leave_hold, "over the fix for the last time")
    yield _time("true_time", clock.true_time, "overhead")


def _told_and_heard(plan: Plan) -> Iterator[str]:
    event = plan.passes[0]
    t = words.clock_z(event.true_time)
    seconds = "fast: or slow: so many seconds"
    how = f"as {seconds}" if event.hold is None else f"as old and new time, or {seconds}"
    yield (
        f"# told:                  # changes of the true time, {how}; read_back: when, or no. Left out,"
        " they are taken from the log"
    )
    moved = "slow: 0 s" if event.hold is None else f"old: {t}, new: {t}"
    yield f"#   - {{at: {t}, {moved}, read_back: no}}"
    if not event.section.follows and (cues := cue_rows(plan, Flown())):
        yield "# heard:                 # cues and marks; they win over those of the log"
        yield from (f"#   {row.id}: {words.clock_z(row.scheduled)}" for row in cues)


def _log(plan: Plan) -> Iterator[str]:
    several = plan.passes[0].section.among > 1
    lines = "its lines that are about this pass" if several else "each line"
    yield f"# log: |                 # the text that the clock page copies out, {lines} indented by two"
    yield "#   00:00:00 Z  Heard CUE"


def _time(key: str, at: datetime | None, note: str) -> str:
    return (
        f"# {key}: {words.clock_z(at)}   # {note}" if at is not None else f"# {key}: not part of this sortie"
    )
