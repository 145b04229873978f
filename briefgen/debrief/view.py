"""The comparison as words and tables, for the two slides and the page."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.slides.pages import View
from briefgen.brief.slides.view.fuel import ship_of
from briefgen.brief.wording import format as words
from briefgen.brief.wording.gates import limit_words, value_words
from briefgen.brief.wording.words import NOT_CHECKED, Words, words_of
from briefgen.debrief.flown import Flown, RecordedChange
from briefgen.debrief.sums import (
    LABELS,
    LEAST_LENGTHS,
    Burn,
    CueRow,
    FuelPoint,
    ShipSheet,
    Spread,
    TimeRow,
    cue_lengths,
    cue_rows,
    ship_sheets,
    spread_of,
    time_rows,
)
from briefgen.plan.fuel.flight import landing_floor
from briefgen.plan.fuel.rounding import as_typed, printed_down, printed_near, tidy
from briefgen.plan.model import Gate, Scale
from briefgen.plan.sortie import Plan

NOT_RECORDED = "not recorded"
MOST_ROWS = 9  # ships and cues together on a slide; more cues stand on the page alone
MOST_TOLD = 3  # on the slide; the page has them all
MOST_FAILED = 3  # the same of the gates that failed
MOST_LOW = 3  # and of the ships that landed with too little
POINT_WORDS = {
    "start": "start",
    "end_of_training": "end of training",
    "hold": "hold entered",
    "landing": "landing",
}


def debrief_view(plan: Plan, flown: Flown) -> View:
    """What the templates of debrief/ and the page may use."""
    w = words_of(plan)
    times, sheets, cues = time_rows(plan, flown), ship_sheets(plan, flown), cue_rows(plan, flown)
    tables = [
        _times(w, times, flown),
        _objectives(plan, flown),
        _told(w, flown),
        _factors(w, sheets),
        *_fuel(w, sheets),
        _cues(w, cues),
        _calls(w, flown),
        _failed(w),
    ]
    values = {
        "low_fuel": _low_fuel(w, sheets),
        "failed": _failed_words(plan, flown),
        "title_times": _title_times(plan, times),
        "title_fuel": _title_fuel(sheets),
        "told": _told_words(w, flown) if plan.event is not None else None,
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
    logged = any(row.key in flown.from_log for row in rows)
    cells = [_time_row(w, row, flown) for row in rows]
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
        if flown.told_known
        else NOT_RECORDED
    )
    return [
        Cell(LABELS[row.key], strong=row.key == "true_time"),
        clock.bare(row.planned),
        told,
        at,
        difference(row.planned, row.flown),
        apart,
    ]


def _title_times(plan: Plan, rows: Iterable[TimeRow]) -> str:
    row = next((row for row in rows if row.key == ("true_time" if plan.event else "takeoff")), None)
    what = "T" if plan.event else "Take-off"
    if row is None or row.flown is None:
        return f"{what} as flown is not recorded"
    title = f"{what} was flown {_late(row.planned, row.flown, 'plan')}"
    title += f" and {_late(row.told, row.flown, 'the time told')}" if row.told else ""
    tolerance = plan.event.tolerance_s if plan.event else None
    aim_s = row.against_told_s
    if tolerance is None or aim_s is None:
        return title
    return (
        f"{title}: {'within' if abs(aim_s) <= tolerance else 'outside'} the {words.duration(tolerance)}"
        " allowed"
    )


# ---------------------------------------------------------------- told


def _told(w: Words, flown: Flown) -> Table:
    columns = (
        Column("Told at", "right"),
        Column("Old T", "right"),
        Column("New T", "right"),
        Column("Change", "right"),
        Column("Read back", "right"),
    )
    return text_table(
        "told",
        columns,
        [[_z(w, t.at), _z(w, t.old), _z(w, t.new), _change(t), _read_back(w, t)] for t in flown.told],
    )


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


def _calls(w: Words, flown: Flown) -> Table:
    rows: list[list[str | Cell]] = [[w.z(at), sentence] for at, sentence in flown.other_calls]
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
    if plan.training is None:
        return None
    count, valid = ("not recorded" if n is None else str(n) for n in (flown.setups_flown, flown.setups_valid))
    return f"Set-ups: planned {plan.training.setups_flown}, flown {count}, valid {valid}"


def _late(due: datetime, flown: datetime, of: str) -> str:
    apart_s = words.between_s(due, flown)
    if not apart_s:
        return f"to the second of {of}"
    return f"{words.duration(abs(apart_s))} {'before' if apart_s < 0 else 'after'} {of}"


# ---------------------------------------------------------------- fuel


def _factors(w: Words, sheets: tuple[ShipSheet, ...]) -> Table:
    burns = sheets[0].burns if sheets else ()
    heads = [f"{POINT_WORDS[burn.first]} to {POINT_WORDS[burn.last]}" for burn in burns]
    columns = (
        Column("Ship", "right"),
        Column("Factor planned", "right"),
        *(Column(head.capitalize(), "right") for head in heads),
        Column("Whole sortie", "right"),
        Column("Landed with", "right"),
    )
    rows: list[list[str | Cell]] = [
        [
            str(sheet.ship),
            words.factor(sheet.planned_factor),
            *(_factor(burn) for burn in sheet.burns),
            Cell(_factor(sheet.whole), strong=True),
            _gauge(w, sheet),
        ]
        for sheet in sheets
    ]
    return text_table(
        "factors", columns, rows, "Burn factor flown. Landed with: in brackets against the plan."
    )


def _factor(burn: Burn, *, why: bool = False) -> str:
    if burn.flown_lb is None:
        return NOT_RECORDED
    if burn.factor is None:
        return f"can't be told: {burn.lacks}" if why else "can't be told"
    return words.factor(burn.factor)


def _gauge(w: Words, sheet: ShipSheet) -> str:
    point, scale = sheet.points[-1], ship_of(w, sheet.ship).scale
    if point.flown_lb is None:
        return NOT_RECORDED
    return (
        f"{_fuel_words(scale, as_typed(point.flown_lb, scale))}"
        f" ({words.signed_fuel(_against_plan(point, point.flown_lb, scale))})"
    )


def _low_fuel(w: Words, sheets: tuple[ShipSheet, ...]) -> str | None:
    """``Ship 4 landed with 690 lb, below its emergency fuel of 700 lb``: every ship that landed with less
    than must be left, the gravest first; None without any."""
    found = sorted(low for sheet in sheets if (low := _landed_below(w, sheet)) is not None)
    each = [
        f"ship {ship} {'with' if number else 'landed with'} {landed}, below {bound}"
        for number, (_, _, ship, landed, bound) in enumerate(found)
    ]
    told = "; ".join([*each[:MOST_LOW], *([f"{len(each) - MOST_LOW} more"] if len(each) > MOST_LOW else [])])
    return told[:1].upper() + told[1:] or None


def _landed_below(w: Words, sheet: ShipSheet) -> tuple[int, float, int, str, str] | None:
    """(how grave, margin, ship, what it landed with, the gravest bound that is more); None above all of them
    and where the landing is not recorded."""
    ship, lb = ship_of(w, sheet.ship), sheet.points[-1].flown_lb
    if lb is None:
        return None
    tiers = {tier.id: tier.printed for tier in ship.tiers}
    floor, landed = landing_floor(ship), as_typed(lb, ship.scale)
    bounds = (
        (tiers["emergency"], "its emergency fuel of {}"),
        (tiers["minimum"], "its minimum fuel of {}"),
        (floor, "the {} that were required"),
    )
    for grave, (bound, said) in enumerate(bounds):
        if bound is not None and landed < bound:
            told = said.format(_fuel_words(ship.scale, bound))
            return grave, landed - bound, ship.ship, _fuel_words(ship.scale, landed), told
    return None


def _fuel_words(scale: Scale, amount: float) -> str:
    return words.fuel_figure(amount, scale.unit)


def _against_plan(point: FuelPoint, flown_lb: float, scale: Scale) -> float:
    """What the gauge showed against what the card had at that point."""
    return tidy(as_typed(flown_lb, scale) - printed_down(point.planned_lb, scale))


def _fuel(w: Words, sheets: tuple[ShipSheet, ...]) -> Iterable[Table]:
    """Fuel at the points, and the sums behind each factor."""
    points = (
        Column("Ship", "right"),
        Column("At"),
        Column("Planned", "right"),
        Column("Flown", "right"),
        Column("From plan", "right"),
    )
    yield text_table(
        "fuel_points", points, [_point_row(w, sheet, point) for sheet in sheets for point in sheet.points]
    )
    burns = (
        Column("Ship", "right"),
        Column("Stretch"),
        Column("Burnt", "right"),
        Column("Of it on the ground", "right"),
        Column("Airborne at factor 1", "right"),
        Column("Factor", "right"),
    )
    rows = [_burn_row(w, sheet, burn) for sheet in sheets for burn in (*sheet.burns, sheet.whole)]
    yield text_table(
        "fuel_burns",
        burns,
        rows,
        "The ground's fuel as planned; set-ups and hold as flown where they are recorded, else as planned.",
    )


def _point_row(w: Words, sheet: ShipSheet, point: FuelPoint) -> list[str | Cell]:
    scale = ship_of(w, sheet.ship).scale
    row: list[str | Cell] = [
        str(sheet.ship),
        POINT_WORDS[point.point],
        _fuel_words(scale, printed_down(point.planned_lb, scale)),
    ]
    if point.flown_lb is None:
        return [*row, NOT_RECORDED, NOT_RECORDED]
    margin = f"{words.signed_fuel(_against_plan(point, point.flown_lb, scale))} {scale.unit}"
    return [*row, _fuel_words(scale, as_typed(point.flown_lb, scale)), margin]


def _burn_row(w: Words, sheet: ShipSheet, burn: Burn) -> list[str | Cell]:
    scale = ship_of(w, sheet.ship).scale
    burnt = NOT_RECORDED if burn.flown_lb is None else _fuel_words(scale, as_typed(burn.flown_lb, scale))
    near = (_fuel_words(scale, printed_near(lb, scale)) for lb in (burn.ground_lb, burn.plain_lb))
    return [
        str(sheet.ship),
        f"{POINT_WORDS[burn.first]} to {POINT_WORDS[burn.last]}",
        burnt,
        *near,
        _factor(burn, why=True),
    ]


def _title_fuel(sheets: tuple[ShipSheet, ...]) -> str:
    known = [(sheet, factor) for sheet in sheets if (factor := sheet.whole.factor) is not None]
    if not known:
        recorded = any(sheet.whole.flown_lb is not None for sheet in sheets)
        return (
            "What the ships burnt over the sortie can't be"
            f" told{'' if recorded else ': fuels are not recorded'}"
        )
    most, factor = max(known, key=lambda one: one[1] / one[0].planned_factor)
    among = (
        "Ship" if len(known) == len(sheets) else f"Of the {words.counted(len(known), 'ship')} recorded, ship"
    )
    return (
        f"{among} {most.ship} burnt most against its plan: factor {words.factor(factor)}, planned"
        f" {words.factor(most.planned_factor)}"
    )


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
    longer = {length.cue: length.longer_s for length in cue_lengths(rows)}
    cells: list[list[str | Cell]] = [
        [
            row.id if not row.of else f"{row.id} of {row.of}",
            w.z(row.scheduled),
            _z(w, row.heard),
            difference(row.scheduled, row.heard),
            _longer(row, longer),
            "-" if row.of else "not given" if row.spread_s is None else words.duration(row.spread_s),
        ]
        for row in rows
    ]
    return text_table("cues", columns, cells)


def _longer(row: CueRow, longer: Mapping[str, float]) -> str:
    if row.of:
        return "-"
    return words.signed_seconds(longer[row.id], 0) if row.id in longer else NOT_RECORDED


def _spread_words(rows: tuple[CueRow, ...], spread: Spread) -> str | None:
    if not rows:
        return None
    if spread.mean_s is None:
        why = "no two cues that follow each other are recorded as heard"
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
