"""An empty file of actuals for one plan: its ships, cues and objectives as comments to fill in."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from briefgen.brief.wording import format as words
from briefgen.debrief.flown import Flown
from briefgen.debrief.sums import cue_rows
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
    yield _time("area", clock.area_entry, "entered")
    if plan.training is not None and clock.training_end is not None:
        flown = plan.training.setups_flown
        yield (
            f"# training: {{flown: {flown}, valid: {flown}, end: {words.clock_z(clock.training_end)}}}   #"
            " set-ups; knock-it-off of the last"
        )
    yield _time("hold", clock.hold_arrival, "entered: over the fix")
    yield _time("leave_hold", clock.leave_hold, "over the fix for the last time")
    yield _time("true_time", clock.true_time, "overhead")
    yield _time("landing", clock.lead_landing, "the leader's touchdown")
    at_hold = " on entering the hold," if clock.hold_arrival else ""
    yield (
        f"# fuel:                  # the gauge before starting, at knock-it-off,{at_hold} at each ship's"
        " touchdown; a point may be left out"
    )
    for ship in file.flight:
        unit = file.fuel.display if file.fuel else "lb"
        keys = (
            "start",
            *(("end_of_training",) if clock.training_end else ()),
            *(("hold",) if clock.hold_arrival else ()),
            "landing",
        )
        yield f"#   {ship.ship}: {{{', '.join(f'{key}: 0 {unit}' for key in keys)}}}"
    if (event := plan.event) is not None:
        t = words.clock_z(event.true_time)
        seconds = "fast: or slow: so many seconds"
        how = f"as {seconds}" if event.hold is None else f"as old and new time, or {seconds}"
        yield (
            f"# told:                  # changes of the true time, {how}; read_back: when, or no. Left out,"
            " they are taken from the log"
        )
        moved = "slow: 0 s" if event.hold is None else f"old: {t}, new: {t}"
        yield f"#   - {{at: {t}, {moved}, read_back: no}}"
    if cues := cue_rows(plan, Flown()):
        yield "# heard:                 # cues and marks; they win over those of the log"
        yield from (f"#   {row.id}: {words.clock_z(row.scheduled)}" for row in cues)
    if file.sortie.success:
        yield "# success:"
        yield from (
            f"#   {number}: yes            # or no: {line}"
            for number, line in enumerate(file.sortie.success, 1)
        )
    if plan.event is not None:
        yield "# log: |                 # the text that the clock page copies out, each line indented by two"
        yield "#   00:00:00 Z  Heard CUE"


def _time(key: str, at: datetime | None, note: str) -> str:
    return (
        f"# {key}: {words.clock_z(at)}   # {note}" if at is not None else f"# {key}: not part of this sortie"
    )
