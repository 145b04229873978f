"""The comparison as words and tables, for the two slides and the page."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.slides.pages import View
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import in_block
from briefgen.brief.wording.gates import limit_words, value_words
from briefgen.brief.wording.passes import name_of
from briefgen.brief.wording.words import NOT_CHECKED, Words, words_of
from briefgen.debrief.flown import Flown, RecordedChange
from briefgen.debrief.fuel_view import NOT_RECORDED, factors, fuel_tables, low_fuel, title_fuel
from briefgen.debrief.sums import (
    LABELS,
    LEAST_LENGTHS,
    CueRow,
    Spread,
    TimeRow,
    cue_lengths,
    cue_rows,
    ship_sheets,
    spread_of,
    time_rows,
)
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Plan

MOST_ROWS = 9  # ships and cues together on a slide; more cues stand on the page alone
MOST_TOLD = 3  # on the slide; the page has them all
MOST_FAILED = 3  # the same of the gates that failed


def debrief_view(plan: Plan, flown: Flown) -> View:
    """What the templates of debrief/ and the page may use."""
    w = words_of(plan)
    times, sheets, cues = time_rows(plan, flown), ship_sheets(plan, flown), cue_rows(plan, flown)
    tables = [
        _times(w, times, flown),
        _objectives(plan, flown),
        _told(w, plan, flown),
        factors(w, sheets),
        *fuel_tables(w, sheets),
        _cues(w, cues),
        _calls(w, plan, flown),
        _failed(w),
    ]
    values = {
        "low_fuel": low_fuel(w, sheets),
        "failed": _failed_words(plan, flown),
        "title_times": _title_times(plan, times),
        "title_fuel": title_fuel(sheets),
        "told": _told_words(w, flown) if len(plan.passes) == 1 else None,
        "each_pass": list(_of_each(w, plan, times, flown)) if len(plan.passes) > 1 else [],
        "objectives": [f"{_MARKS[met]}: {line}" for line, met in _judged(plan, flown)],
        "setups": _setups(plan, flown),
        "cues_fit": len(sheets) + len(cues) <= MOST_ROWS,
        "spread": _spread_words(cues, spread_of(cue_lengths(cues))),
    }
    return View(values, {table.name: table for table in tables if table.rows})


# ---------------------------------------------------------------- a plan that failed


def _failing(plan: Plan) -> list[Gate]:
    return [gate for gate in plan.gates if gate.verdict == "FAIL"]


def _failed_words(plan: Plan, flown: Flown) -> str | None:
    """``2 gates of this plan FAIL; it was flown all the same: Blocks do not overlap; Last landing before
    sunset``; None of a plan without a failing gate. That it was flown is said only where something of it is
    recorded."""
    failing = _failing(plan)
    if not failing:
        return None
    named = "; ".join(
        [
            *(gate.title for gate in failing[:MOST_FAILED]),
            *([f"{len(failing) - MOST_FAILED} more"] if len(failing) > MOST_FAILED else []),
        ]
    )
    what = f"{words.counted(len(failing), 'gate')} of this plan {'FAILS' if len(failing) == 1 else 'FAIL'}"
    whether = "" if flown.recorded else "whether "
    unsaid = "" if flown.recorded else " is not recorded"
    return f"{what}; {whether}it was flown all the same{unsaid}: {named}"


def _failed(w: Words) -> Table:
    columns = (
        Column("Gate", share=0.4),
        Column("Value", "right"),
        Column("Limit", "right"),
        Column("What there was to do", share=0.3),
    )
    cells: list[list[str | Cell]] = [
        [gate.title, value_words(gate, day=w.day), limit_words(gate, day=w.day), gate.why]
        for gate in _failing(w.plan)
    ]
    return text_table("failed", columns, cells)


# ---------------------------------------------------------------- times


def difference(planned: datetime, flown: datetime | None) -> str:
    """``+14 s``, ``-1 min 30 s``: between the times as they are printed, so that the row adds up."""
    if flown is None:
        return NOT_RECORDED
    return words.signed_duration(words.between_s(planned, flown))


def _times(w: Words, rows: Iterable[TimeRow], flown: Flown) -> Table:
    columns = (
        Column("Moment, Z"),
        Column("Planned", "right"),
        Column("Told", "right"),
        Column("Flown", "right"),
        Column("From plan", "right"),
        Column("From told", "right"),
    )
    logged = any(row.key in flown.of(row.of).from_log for row in rows)
    cells = [_time_row(w, row, flown.of(row.of)) for row in rows]
    return text_table(
        "times", columns, cells, "* as the ground contact saw it, by the clock page's log" if logged else ""
    )


def _time_row(w: Words, row: TimeRow, flown: Flown) -> list[str | Cell]:
    clock = w.clocks[0]
    at = (
        NOT_RECORDED
        if row.flown is None
        else clock.bare(row.flown) + ("*" if row.key in flown.from_log else "")
    )
    moved = row.key in ("leave_hold", "true_time")
    told = (
        "-"
        if not moved
        else clock.bare(row.told)
        if row.told
        else "as planned"
        if flown.told_known
        else NOT_RECORDED
    )
    apart = (
        "-"
        if not moved
        else difference(row.told or row.planned, row.flown)
        if flown.told_known or row.told
        else NOT_RECORDED
    )
    return [
        Cell(f"{LABELS[row.key]}{f' ({row.name})' if row.name else ''}", strong=row.key == "true_time"),
        clock.bare(row.planned),
        told,
        at,
        difference(row.planned, row.flown),
        apart,
    ]


def _title_times(plan: Plan, rows: Iterable[TimeRow]) -> str:
    """Of the one T, without one of the take-off; of several passes how many were flown inside what is
    allowed."""
    if not plan.passes:
        return _how_flown("Take-off", next(row for row in rows if row.key == "takeoff"), None)
    overhead = _overhead(plan, rows)
    if len(overhead) == 1:
        ((pass_, row),) = overhead
        return _how_flown("T", row, pass_.tolerance_s)
    flown = [(pass_, row) for pass_, row in overhead if row.flown is not None]
    if not flown:
        return "No T as flown is recorded"
    inside = [_inside(row, pass_.tolerance_s) for pass_, row in flown]
    told = [
        f"{number} {said}"
        for number, said in (
            (inside.count(True), "within what is allowed"),
            (inside.count(False), "outside it"),
            (inside.count(None), "with no tolerance given"),
            (len(overhead) - len(flown), "not recorded"),
        )
        if number
    ]
    return f"Of {len(overhead)} passes T was flown: {words.listed(told)}"


def _overhead(plan: Plan, rows: Iterable[TimeRow]) -> list[tuple[EventPlan, TimeRow]]:
    found = {row.of: row for row in rows if row.key == "true_time"}
    return [(pass_, found[pass_.section.id]) for pass_ in plan.passes]


def _how_flown(what: str, row: TimeRow, tolerance: float | None) -> str:
    if row.flown is None:
        return f"{what} as flown is not recorded"
    title = f"{what} was flown {_late(row.planned, row.flown, 'plan')}"
    title += f" and {_late(row.told, row.flown, 'the time told')}" if row.told else ""
    inside = _inside(row, tolerance)
    if inside is None or tolerance is None:
        return title
    return f"{title}: {'within' if inside else 'outside'} the {words.duration(tolerance)} allowed"


def _inside(row: TimeRow, tolerance: float | None) -> bool | None:
    aim_s = row.against_told_s
    return None if tolerance is None or aim_s is None else abs(aim_s) <= tolerance


# ---------------------------------------------------------------- told


def _each(plan: Plan, flown: Flown) -> list[tuple[str, Flown]]:
    """What each pass is called where there are several, and what is recorded of it."""
    return [(name_of(pass_.section), flown.of(pass_.section.id)) for pass_ in plan.passes]


def _told(w: Words, plan: Plan, flown: Flown) -> Table:
    several = len(plan.passes) > 1
    columns = (
        *((Column("Pass"),) if several else ()),
        Column("Told at", "right"),
        Column("Old T", "right"),
        Column("New T", "right"),
        Column("Change", "right"),
        Column("Read back", "right"),
    )
    return text_table(
        "told",
        columns,
        [
            [
                *((name,) if several else ()),
                *(_z(w, t.at), _z(w, t.old), _z(w, t.new), _change(t), _read_back(w, t)),
            ]
            for name, own in _each(plan, flown)
            for t in own.told
        ],
    )


def _of_each(w: Words, plan: Plan, rows: Iterable[TimeRow], flown: Flown) -> Iterator[str]:
    """Of several passes how the T of each was flown, and what was told of it."""
    for (name, own), (pass_, row) in zip(_each(plan, flown), _overhead(plan, rows), strict=True):
        yield f"{name}: {_how_flown('T', row, pass_.tolerance_s)}. {_told_words(w, own)}"


def _told_words(w: Words, flown: Flown) -> str:
    if not flown.told:
        return (
            "No change of T was told"
            if flown.told_known
            else "Whether a change of T was told is not recorded"
        )
    each = [f"{_z(w, call.new)} {_back_word(call)}" for call in flown.told[-MOST_TOLD:]]
    earlier = len(flown.told) - len(each)
    return f"T told: {', '.join(each)}" + (f"; {earlier} before these" if earlier else "")


def _back_word(call: RecordedChange) -> str:
    return (
        "NOT read back"
        if call.read_back is False
        else "read back"
        if call.read_back
        else "read-back not recorded"
    )


def _change(call: RecordedChange) -> str:
    return NOT_RECORDED if call.change_s is None else words.signed_duration(call.change_s)


def _read_back(w: Words, call: RecordedChange) -> str:
    return "NO" if call.read_back is False else _z(w, call.read_back)


def _z(w: Words, at: datetime | None) -> str:
    return NOT_RECORDED if at is None else w.z(at)


def _calls(w: Words, plan: Plan, flown: Flown) -> Table:
    rows: list[list[str | Cell]] = [
        [w.z(at), sentence] for _, own in _each(plan, flown) for at, sentence in own.other_calls
    ]
    return text_table("calls", (Column("Said at", "right"), Column("Words that moved no time")), rows)


# ---------------------------------------------------------------- objectives


_MARKS = {True: "Met", False: "NOT met", None: "Not recorded"}


def _judged(plan: Plan, flown: Flown) -> list[tuple[str, bool | None]]:
    return [
        (line, flown.success.get(number)) for number, line in enumerate(plan.mission.file.sortie.success, 1)
    ]


def _objectives(plan: Plan, flown: Flown) -> Table:
    rows: list[list[str | Cell]] = [
        [line, Cell(_MARKS[met], strong=met is False)] for line, met in _judged(plan, flown)
    ]
    return text_table("objectives", (Column("Success"), Column("Judged")), rows)


def _setups(plan: Plan, flown: Flown) -> str | None:
    if not plan.trainings:
        return None
    told = []
    for block in plan.trainings:
        own = flown.of(block.id)
        count, valid = ("not recorded" if n is None else str(n) for n in (own.setups_flown, own.setups_valid))
        told.append(f"planned {block.setups_flown}, flown {count}, valid {valid}")
    first, *others = plan.trainings
    later = "".join(f"; {block.id}: {said}" for block, said in zip(others, told[1:], strict=True))
    return f"Set-ups{in_block(plan, first.id)}: {told[0]}{later}"


def _late(due: datetime, flown: datetime, of: str) -> str:
    apart_s = words.between_s(due, flown)
    if not apart_s:
        return f"to the second of {of}"
    return f"{words.duration(abs(apart_s))} {'before' if apart_s < 0 else 'after'} {of}"


# ---------------------------------------------------------------- cues


def _cues(w: Words, rows: tuple[CueRow, ...]) -> Table:
    columns = (
        Column("Cue or mark"),
        Column("Scheduled", "right"),
        Column("Heard", "right"),
        Column("Difference", "right"),
        Column("Longer than scheduled", "right"),
        Column("Spread of the length in the file", "right"),
    )
    longer = {(length.event, length.cue): length.longer_s for length in cue_lengths(rows)}
    cells: list[list[str | Cell]] = [
        [
            (row.id if not row.of else f"{row.id} of {row.of}") + (f" ({row.event})" if row.event else ""),
            w.z(row.scheduled),
            _z(w, row.heard),
            difference(row.scheduled, row.heard),
            _longer(row, longer),
            "-" if row.of else "not given" if row.spread_s is None else words.duration(row.spread_s),
        ]
        for row in rows
    ]
    return text_table("cues", columns, cells)


def _longer(row: CueRow, longer: Mapping[tuple[str, str], float | None]) -> str:
    if row.of:
        return "-"
    own = (row.event, row.id)
    if own not in longer:
        return NOT_RECORDED
    longer_s = longer[own]
    return "out of order" if longer_s is None else words.signed_seconds(longer_s, 0)


def _spread_words(rows: tuple[CueRow, ...], spread: Spread) -> str | None:
    if not rows:
        return None
    if spread.mean_s is None:
        why = "no two cues that follow each other are recorded as heard"
        if doubted := [row.id for row in rows if row.doubted]:
            why += f" in the script's order ({words.listed(doubted)} out of it)"
        return f"Spread of the cues' lengths {NOT_CHECKED}: {why}"
    first = (
        f"From cue to cue, heard less scheduled: mean {words.signed_seconds(spread.mean_s, 1)} of"
        f" {words.counted(spread.count, 'length')}"
    )
    if spread.deviation_s is None:
        return f"{first}; spread for next time {NOT_CHECKED}: at least {LEAST_LENGTHS} lengths are needed"
    return (
        f"{first}, standard deviation {words.seconds_exact(spread.deviation_s)} in this one ceremony: hold it"
        " against the spreads in the file, which are of these lengths"
    )


def plain_values(view: View) -> dict[str, Any]:
    """The view as plain data for machines."""
    tables = {
        name: {
            "columns": [c.head for c in t.columns],
            "rows": [[cell.text for cell in row] for row in t.rows],
        }
        for name, t in view.tables.items()
    }
    return {"values": dict(view.values), "tables": tables}
