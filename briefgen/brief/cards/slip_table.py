"""What can be told of a ceremony that slips, on the pass's side of a kneeboard card: by the hold, or where
there is none by speed. Rows with one last read-back stand together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import datetime

from briefgen.brief.cards.common import clock_column, grid
from briefgen.brief.cards.model import Grid, Lines, Run
from briefgen.brief.wording import format as words
from briefgen.brief.wording.by_speed import Told, told_spans, told_words
from briefgen.brief.wording.hold import row_heading, row_laps
from briefgen.brief.wording.passes import hangs_on
from briefgen.brief.wording.speed_span import fix_words, span_words
from briefgen.brief.wording.wait_limits import (
    BY_SPEED,
    NO_CALL,
    all_too_late,
    by_speed_until,
    in_two_by,
    later_ways,
    lost_words,
    short_of,
    slip_spans,
    slip_words,
    span_end,
    too_late_note,
)
from briefgen.brief.wording.words import Words
from briefgen.core.records import record
from briefgen.plan.event.slips import turned_off
from briefgen.plan.event.speed_alone import read_back_s
from briefgen.plan.event.waits import IN_TWO, UNABLE, hold_lost, lost, no_call
from briefgen.plan.model import EventPlan, Means, SlipRow
from briefgen.plan.sortie import Plan

MINUTE_S = 60
_SAID_IN = 3  # the column from which on a verdict stands


@record
class _Row:
    """What stands in a row: instants, so that a column whose hour is one can say it in its head. ``span``:
    how far a row for several slips goes, in the place of its T. ``said``: what stands from the laps to the
    end of a row that is not to be flown."""

    slip: str
    span: str = ""
    true: datetime | None = None
    set: datetime | None = None
    laps: str = ""
    turn: datetime | None = None
    leave: datetime | None = None
    told: datetime | None = None
    said: str = ""
    calls: bool = True


def changes(w: Words, event: EventPlan | None) -> Grid | Lines | None:
    """By the hold, or where there is none by speed; of a pass that moves with another only that."""
    if event is None:
        return None
    if event.leader is not None:
        return Lines("", (("T is", f"{hangs_on(event)}."),))
    return _speeds(w, event) if event.hold is None else _slips(w, event)


def changes_note(w: Words, event: EventPlan, *, each: bool = True, later: bool = True) -> str:
    """What holds of its rows. ``later``: what is done with a slip whose row is lost, ``each``: until when
    with every one, else until when at least. Empty where it has none."""
    if event.leader is not None:
        return ""
    return _speeds_note(w, event) if event.hold is None else _slips_note(w, event, each=each, later=later)


def _shown(w: Words) -> list[tuple[SlipRow, SlipRow]]:
    """What is too late from some slip on stands in the note, with its reason."""
    return [span for span in slip_spans(w.plan) if not all_too_late(w.plan, *span)]


def _slips(w: Words, event: EventPlan) -> Grid | None:
    spans = _shown(w)
    rows = [_slip_row(w, event, first, last) for first, last in spans]
    columns, cells = _columns(rows)
    planned = tuple(i for i, (row, _) in enumerate(spans) if row.slip_s == 0)
    return grid(
        "",
        columns,
        cells,
        dark=planned,
        joined=(len(columns) - 1,),
        wide=tuple((i, _SAID_IN) for i, row in enumerate(rows) if row.said),
        name="Slip, changed in the hold",
    )


def _slips_note(w: Words, event: EventPlan, *, each: bool, later: bool) -> str:
    spans = _shown(w)
    rows = [_slip_row(w, event, first, last) for first, last in spans]
    shown = [at for r in rows for at in (r.true, r.set, r.turn, r.leave, r.told) if at is not None]
    notes = [
        f"All {w.days(shown)}.{_slip_headings(w, event)}",
        _later(w.plan, event, each=each) if later else "",
        _unable([span for span in spans if lost(w.plan, span[0])[0] == UNABLE]),
        _in_two(w.plan, spans),
        too_late_note(w.plan),
    ]
    return " ".join(filter(None, notes))


def _columns(rows: Sequence[_Row]) -> tuple[list[tuple[str, str, str]], list[tuple[str, ...]]]:
    """(head, width, align) of each column, and the cells."""
    true, trues = clock_column("T", [row.true for row in rows])
    set_, sets = clock_column("SET", [row.set for row in rows])
    turn, turns = clock_column("Last turn in", [row.turn for row in rows])
    leave, leaves = clock_column("Leave", [row.leave for row in rows])
    told, tolds = clock_column("Read back by", [row.told for row in rows])
    heads = ("Slip", true, set_, "Last laps,\nfly out", turn, leave, told)
    cells: list[tuple[str, ...]] = [
        (
            row.slip,
            row.span or trues[i],
            sets[i],
            row.said or row.laps,
            turns[i],
            leaves[i],
            tolds[i] if row.calls else NO_CALL,
        )
        for i, row in enumerate(rows)
    ]
    return [(head, "auto" if place else "1fr", "r") for place, head in enumerate(heads)], cells


def _speeds(w: Words, event: EventPlan) -> Grid | None:
    """Without a hold: the ground speed from the IP to the centre for so many seconds fast or slow, and until
    when each can still be told, read back; None where the mission lacks what speed is judged by."""
    speeds = {fix.seconds: fix_words(fix) for fix in event.speed_fixes}

    def told(first: Told, last: Told) -> tuple[str, ...]:
        head = ", ".join(filter(None, (told_words(first, last), first.short)))
        speed = speeds.get(first.slip_s)
        if first.until is None or not speed:
            return (head, "", first.said or UNABLE)
        return (head, speed, w.by_column(first.until))

    spans = told_spans(w.plan, event)
    columns = [("Told", "1fr", "l"), ("GS", "auto", "r"), ("Told by, Z", "auto", "r")]
    return grid("", columns, [told(*span) for span in spans] if speeds else [], name="Fast or slow")


def _speeds_note(w: Words, event: EventPlan) -> str:
    """Empty where there is no table."""
    if not event.speed_fixes:
        return ""
    said = [first.until for first, _ in told_spans(w.plan, event) if first.until is not None]
    days = f"All {w.days(said)}. " if said else ""
    return f"{days}No hold: speed alone moves T, {span_words(event)}. {_speeds_from(event)}"


def _speeds_from(event: EventPlan) -> str:
    """When the ground speeds of each row, held to the centre, are the right ones."""
    cue = event.section.cue_of_t
    if cue is None or all(read_back_s(event.chain, fix.seconds) <= 0.0 for fix in event.speed_fixes):
        return "First GS: told before the IP; second: told at Told by, which is read back."
    heard = f"First GS: told once {cue}, that early or late, is heard"
    return f"{heard}; second: told at Told by, which is read back."


def told_speeds(w: Words, event: EventPlan, *, until: bool = True) -> Run | None:
    """After the hold: the ground speed to the centre for so many seconds fast or slow, which the push table
    does not know; ``until`` when each can still be told. None where nothing is told so."""
    if event.hold is None or event.leader is not None or hold_lost(w.plan):
        return None
    speeds = {fix.seconds: fix_words(fix) for fix in event.speed_fixes}
    spans = [(first, last) for first, last in told_spans(w.plan, event) if first.slip_s in speeds]
    rows = [(told_words(*span), _speed_told(w, span[0], speeds, until=until)) for span in spans]
    how = "to the centre, no push-up; second: told at its last moment"
    return Run("TOLD", (*rows, ("KGS", how))) if rows else None


def _speed_told(w: Words, told: Told, speeds: Mapping[float, str], *, until: bool) -> str:
    speed = speeds[told.slip_s]
    if told.until is None or not speed:
        return told.said or UNABLE
    by = f"{speed} by {w.by_column(told.until)}" if until else speed
    return ", ".join(filter(None, (by, told.short)))


def _unable(spans: list[tuple[SlipRow, SlipRow]]) -> str:
    """``UNABLE -1 min and +5 min to +10 min: no whole number of laps gives it.``: slips of one reason
    together; empty where every one can be flown."""
    same: dict[str, list[str]] = {}
    for first, last in spans:
        if not first.met and first.reason:
            same.setdefault(first.reason, []).append(
                slip_words(first) if first is last else f"{slip_words(first)} to {slip_words(last)}"
            )
    return (
        f"UNABLE {'; '.join(f'{words.listed(named)}: {reason}' for reason, named in same.items())}."
        if same
        else ""
    )


def _in_two(plan: Plan, spans: list[tuple[SlipRow, SlipRow]]) -> str:
    """``IN TWO CALLS +2 min: laps +2 min 10 s by 12:35:22, then FAST 10 s.``; empty where none is
    flown so."""
    rows = [row for row, _ in spans if lost(plan, row)[0] == IN_TWO]
    told = [f"{slip_words(row)}: {in_two_by(row, words.clock_bare)}" for row in rows]
    return f"{IN_TWO} {'; '.join(told)}." if told else ""


def _slip_row(w: Words, event: EventPlan, row: SlipRow, last: SlipRow) -> _Row:
    said, _ = lost(w.plan, row)
    if end := span_end(w.plan, row, last):
        return _Row(slip_short(row), end, said=said)
    until, slip = by_speed_until(w.plan, row), slip_short(row)
    if until is not None:
        leave = w.plan.clock.leave_hold
        return _Row(slip, "", row.true_time, row.set_time, laps=BY_SPEED, leave=leave, told=until)
    if said:
        return _Row(slip, "", row.true_time, row.set_time, said=said)
    calls = not no_call(w.plan, row.slip_s)
    return _Row(
        slip,
        "",
        row.true_time,
        row.set_time,
        row_laps(event.hold, row, words.duration_clock, of="/"),
        row.last_inbound_turn,
        row.leave_hold,
        words.time_limit(row.told_by, "latest") if calls and row.told_by is not None else None,
        calls=calls,
    )


def slip_short(row: SlipRow) -> str:
    """``+1 min``, and ``+11:38`` instead of ``+11 min 38 s``, for which the column has no room."""
    if row.slip_s and abs(row.slip_s) > MINUTE_S and row.slip_s % MINUTE_S:
        return ("+" if row.slip_s > 0 else "") + words.duration_clock(row.slip_s)
    return slip_words(row)


def _later(plan: Plan, event: EventPlan, *, each: bool) -> str:
    """What can still be done with each slip whose row is lost, until when, and what after that. Not ``each``:
    until when at least, with the slips of a way that not all of them have."""
    still: dict[Means, dict[str, list[SlipRow]]] = {}
    for row in event.slips:
        for means, until in later_ways(plan, row) if row.met else ():
            still.setdefault(means, {}).setdefault(words.clock_bare(until), []).append(row)
    told = {row.slip_s for ends in still.values() for rows in ends.values() for row in rows}
    ways = [
        f"{means} to {_each_end(means, ends) if each else _least_end(means, ends, len(told))}"
        for means, ends in still.items()
    ]
    later = f"Told later: {', '.join(ways)}. " if ways else ""
    return f"{later}Then {lost_words(plan)}."


def _each_end(means: Means, ends: dict[str, list[SlipRow]]) -> str:
    return ", ".join(f"{at} ({words.listed(_named(rows, means, ', '))})" for at, rows in ends.items())


def _least_end(means: Means, ends: dict[str, list[SlipRow]], among: int) -> str:
    """``12:37:32 at least (-30 s inside the tolerance, +30 s)``."""
    rows = [row for same in ends.values() for row in same]
    named = f" ({', '.join(_named(rows, means, ' '))})" if len(rows) < among else ""
    return f"{min(ends)}{' at least' if len(ends) > 1 else ''}{named}"


def _named(rows: Sequence[SlipRow], means: Means, between: str) -> list[str]:
    return [between.join(filter(None, (slip_words(row), short_of(row, means)))) for row in rows]


def _slip_headings(w: Words, event: EventPlan) -> str:
    """`` Last out on 203 M at -1 min, 206 M at +1 min.``: the rows with another outbound heading than
    planned; empty where all are near it."""
    flown = [row for row in event.slips if row.met and row.slip_s and not lost(w.plan, row)[0]]
    others = [
        f"{row_heading(w.mission, event, row)} at {slip_words(row)}"
        for row in flown
        if turned_off(event.hold, row)
    ]
    return f" Last out on {', '.join(others)}." if others else ""
