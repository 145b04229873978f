"""Push, slips, script, contacts, the ships over the centre, diverts: the tables of the pass."""

from __future__ import annotations

from collections.abc import Callable

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.wording import format as words
from briefgen.brief.wording.by_speed import Told, told_pairs
from briefgen.brief.wording.diverts import open_words, weather_words
from briefgen.brief.wording.hold import row_heading, row_laps
from briefgen.brief.wording.passes import pass_name
from briefgen.brief.wording.speed_span import (
    allowed_beyond,
    fix_words,
    late_words,
    push_bound,
    span_words,
)
from briefgen.brief.wording.wait_limits import (
    BY_SPEED,
    NO_CALL,
    by_speed_until,
    in_two_by,
    later_ways,
    loses_words,
    lost_words,
    short_of,
    slip_spans,
    slip_words,
    span_end,
    told_by_words,
    too_late_note,
    way_words,
)
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, Words, beginning
from briefgen.plan.event.schedule import schedule
from briefgen.plan.event.waits import IN_TWO, UNABLE, hold_lost, lost, no_call
from briefgen.plan.model import Cue, EventPlan, PushRow, SlipRow, SpeedFix
from briefgen.plan.route.diverts import Divert, divert_start, nearest_first
from briefgen.units.rounding import nearest

Rows = list[list[str | Cell]]
NONE = "–"  # beside a verdict: a blank cell would leave a reader in doubt


def push(w: Words) -> Table | None:
    """The cockpit's table: late or early against the SET time, and where to push."""
    event = w.plan.event
    if event is None or event.push is None or hold_lost(w.plan):
        return None
    rows: Rows = [
        [Cell(_late(row), strong=row.late_s == 0), Cell(_push_at(row), strong=row.late_s == 0)]
        for row in event.push_table
    ]
    columns = (
        Column("Against the SET time"),
        Column(f"Push to {words.speed_kt(event.push_up_to_kt, 'KGS')} at", "right"),
    )
    return text_table(
        "push", columns, rows, f"{beginning(beyond)}." if (beyond := allowed_beyond(event)) else ""
    )


def _late(row: PushRow) -> str:
    return late_words(row) if row.late_s else "0 s, as planned"


def _push_at(row: PushRow) -> str:
    if row.to_go_nm is None:
        return f"the IP, speed alone can't: {words.seconds_exact(row.left_s)} late"
    return "no push" if row.to_go_nm == 0 else f"{words.distance(row.to_go_nm)} to go"


def passes(w: Words) -> Table | None:
    """Every pass of several: where, when, and what is set."""
    if len(w.plan.passes) < 2:
        return None
    heads = (
        Column("Pass"),
        Column("Over"),
        Column("T, true time", "right"),
        Column("On the wall there", "right"),
    )
    columns = (*heads, Column("SET time", "right"), Column("Leave hold", "right"))
    rows: Rows = []
    for each in w.plan.passes:
        leave, zone = each.chain.leave_hold, each.section.event.zone
        wall = words.clock_local(each.true_time, zone, day=each.true_time.astimezone(zone).date())
        rows.append(
            [
                Cell(pass_name(each.section), strong=True),
                each.centre.name,
                Cell(w.z(each.true_time), strong=True),
                wall,
                w.z(each.set_time),
                "no hold" if leave is None else w.z(leave),
            ]
        )
    return text_table("passes", columns, rows)


def slips(w: Words) -> Table | None:
    """Changes of the hold only; told-by is read-back complete. None of a pass that moves with another."""
    event = w.plan.event
    if event is None or event.leader is not None:
        return None
    columns = (
        Column("Slip", "right"),
        Column("True time", "right"),
        Column("SET time", "right"),
        Column("Leave hold", "right"),
        Column("Last laps: fly out", "right"),
        Column("Heading out", "right"),
        Column("START INBOUND TURN", "right"),
        Column("Told by", "right"),
        Column("Worked again to", "right"),
    )
    caption = (
        (
            "All times Zulu. Laps before the last ones, whose leg is given, stay as planned."
            " Told by: read-back complete. A row is lost after its time; "
            f"then it goes to the time in the last column, after that {lost_words(w.plan)};"
            " never the nearest row."
        )
        if event.slips
        else ""
    )
    late = too_late_note(w.plan)
    caption += f" {late}" if late else ""
    return text_table(
        "slips", columns, [_slip_row(w, first, last) for first, last in slip_spans(w.plan)], caption
    )


def _slip_row(w: Words, row: SlipRow, last: SlipRow) -> list[str | Cell]:
    def clock(at) -> str:
        return UNABLE if at is None else words.clock_bare(at, day=w.day)

    said, _ = lost(w.plan, row)
    if end := span_end(w.plan, row, last):
        return [Cell(f"{slip_words(row)} {end}", strong=True), *[NONE] * 6, said, NONE]
    own = row.slip_s == 0
    head: list[str | Cell] = [
        Cell(slip_words(row), strong=True),
        Cell(clock(row.true_time), strong=own),
        Cell(clock(row.set_time), strong=own),
    ]
    then = ", ".join(
        clock(until) if means == "worked again" else way_words(row, means, clock(until))
        for means, until in later_ways(w.plan, row)
    )
    loses = loses_words(w.plan, row)
    if (until := by_speed_until(w.plan, row)) is not None:
        beside = ", ".join(filter(None, (loses, short_of(row))))
        return [*head, clock(w.plan.clock.leave_hold), BY_SPEED, NONE, NONE, clock(until), beside or NONE]
    if said:
        return [*head, *[NONE] * 4, said, in_two_by(row, clock) if said == IN_TWO else NONE]
    legs = row_laps(w.plan.the_pass.hold, row, words.duration_clock) or "straight through"
    out = "as planned" if own else row_heading(w.mission, w.plan.event, row)
    turn = clock(row.last_inbound_turn) if row.last_inbound_turn else "none"
    return [
        *head,
        clock(row.leave_hold),
        legs,
        out or "none",
        turn,
        told_by_words(w.plan, row, row.told_by, clock) or NOT_GIVEN,
        ", ".join(filter(None, (loses, then))) or _none_left(w, row),
    ]


def _none_left(w: Words, row: SlipRow) -> str:
    return NO_CALL if no_call(w.plan, row.slip_s) else "nothing"


_SECOND_SPEED = "Of two speeds the second is for a call at the last moment."


def speed_fixes(w: Words) -> Table | None:
    """After leave-hold: told at the fix, the ground speed to hold to the centre, and to which it grows until
    its last moment."""
    event = w.plan.event
    if event is None or event.leader is not None or hold_lost(w.plan):
        return None
    rows: Rows = []
    said = {told.slip_s: told.said for pair in told_pairs(w.plan, event) for told in pair}
    for fix in event.speed_fixes:
        told = f"{words.duration(abs(fix.seconds))} {'earlier' if fix.seconds < 0 else 'later'}"
        rows.append([told, said.get(fix.seconds) or _fix_speed(fix)])
    columns = (
        Column(f"{_told_when(event)} to be"),
        Column("Fly to the centre", "right"),
    )
    return text_table(
        "speed_fixes",
        columns,
        rows,
        f"{beginning('; '.join(filter(None, (span_words(event), push_bound(event)))))}. {_SECOND_SPEED}",
    )


def _fix_speed(fix: SpeedFix) -> str:
    return f"{fix_words(fix)} KGS" if fix.gs_kt is not None else UNABLE


def _told_when(event: EventPlan) -> str:
    if event.hold is not None:
        return "Told at leave-hold"
    cue = event.section.cue_of_t
    return f"Told at the IP, or when {cue} is heard," if cue else "Told at the IP"


def updates(w: Words) -> Table | None:
    """The last moment at which speed alone can still make a change."""
    event = w.plan.event
    if event is None or event.leader is not None or hold_lost(w.plan):
        return None
    if event.push is None and event.minimum_gs_kt is None:
        return None
    rows: Rows = [
        [words.duration(late.slip_s), _last(w, early), _last(w, late)]
        for early, late in told_pairs(w.plan, event)
    ]
    columns = (
        Column("Change", "right"),
        Column("Earlier until, Z", "right"),
        Column("Later until, Z", "right"),
    )
    return text_table("updates", columns, rows, f"{beginning(span_words(event))}.")


def _last(w: Words, told: Told) -> str:
    if told.until is None:
        return told.said
    at = words.clock_bare(words.time_limit(told.until, "latest"), day=w.day)
    return ", ".join(filter(None, (at, told.short)))


def script(w: Words) -> Table | None:
    """What the ground contact hears, and when."""
    event = w.plan.event
    if event is None:
        return None
    columns = (
        Column("Cue"),
        Column("What is heard"),
        *(Column(clock.head, "right") for clock in w.clocks if clock.whose != "base"),
        Column("Lasts", "right"),
        Column("Spread", "right"),
    )
    return text_table("script", columns, [row for cue in event.cues for row in _cue_rows(w, cue)])


def _cue_rows(w: Words, cue: Cue) -> Rows:
    clocks = [clock for clock in w.clocks if clock.whose != "base"]
    lasts = words.duration(cue.lasts_s) if cue.lasts_s is not None else NOT_GIVEN
    spread = f"± {words.duration(cue.spread_s)}" if cue.spread_s is not None else NOT_GIVEN
    own: Rows = [
        [Cell(cue.id, strong=True), cue.says, *(clock.bare(cue.at) for clock in clocks), lasts, spread]
    ]
    marks: Rows = [
        [f"  {id}", f"mark in {cue.id}", *(clock.bare(at) for clock in clocks), "an instant", "as its cue"]
        for id, at in cue.marks
    ]
    return own + marks


def contacts(w: Words) -> Table | None:
    """When the flight and the ground contact speak, and what is said."""
    event = w.plan.event
    if event is None:
        return None
    clocks = [clock for clock in w.clocks if clock.whose != "base"]
    columns = (
        Column("Call"),
        *(Column(clock.head, "right") for clock in clocks),
        Column("What is said or done"),
    )
    rows: Rows = [
        [
            Cell(row.label, strong=True),
            *(clock.bare(words.time_limit(row.at, "latest") if row.deadline else row.at) for clock in clocks),
            row.say,
        ]
        for row in schedule(w.plan)
    ]
    return text_table("contacts", columns, rows)


def ships_over(w: Words) -> Table | None:
    """Each ship's place in the formation and its time over the centre."""
    event = w.plan.event
    if event is None or len(event.ships) < 2:
        return None
    heads = ("Ship", "Beside the leader", "Behind", "Below", "Height MSL", "Over the centre")
    rows: Rows = []
    for ship in event.ships:
        behind_s = (ship.at - event.true_time).total_seconds()
        after = f"T {words.signed_seconds(behind_s, 1)}" if nearest(behind_s, 0.1) else "T"
        offsets = (_beside(ship.right_ft), words.height(ship.back_ft), words.height(ship.down_ft))
        rows.append([str(ship.ship), *offsets, words.height(ship.altitude_ft), after])
    return text_table("ships_over", tuple(Column(head, "right") for head in heads), rows)


def _beside(right_ft: float) -> str:
    side = " right" if right_ft > 0 else " left" if right_ft < 0 else ""
    return f"{words.height(abs(right_ft))}{side}"


def diverts(w: Words) -> Table | None:
    """Where else to land, the nearest first, with the fuel of the ship that needs most."""
    columns = (
        Column("Divert"),
        Column(f"From {divert_start(w.plan).name}", "right"),
        Column("Distance", "right"),
        Column("Fuel to leave with", "right"),
        Column("Runways"),
        Column("Elevation", "right"),
        Column("Open, Z"),
    )
    rows = [_divert_row(w, divert) for divert in nearest_first(w.plan)]
    return text_table(
        "diverts",
        columns,
        rows,
        "" if w.mission.alone else "Fuel: the highest of the flight; each card has its own ship's.",
    )


def _divert_row(w: Words, divert: Divert) -> list[str | Cell]:
    place = divert.place
    bearing = (
        w.course(divert.start, divert.course_true_deg) if divert.course_true_deg is not None else "same spot"
    )
    fuel = w.fuel(max(total.figure for total in divert.fuel.values())) if divert.fuel else NOT_CHECKED
    weather = weather_words(w.plan, place.id)
    runways = words.listed(_runway(r) for r in w.mission.places[place.id].runways) or NOT_GIVEN
    elevation = words.height(place.elevation_ft) if place.elevation_ft is not None else NOT_GIVEN
    return [
        Cell(place.name + (f", {weather}" if weather else ""), strong=True),
        bearing,
        words.distance(divert.distance_nm),
        fuel,
        runways,
        elevation,
        open_words(w.plan, place.id, w.day) or NOT_GIVEN,
    ]


def _runway(runway) -> str:
    return f"{runway.name}, {words.height(runway.length)}" if runway.length else runway.name


TABLES: dict[str, Callable[[Words], Table | None]] = {
    "passes": passes,
    "push": push,
    "slips": slips,
    "speed_fixes": speed_fixes,
    "updates": updates,
    "script": script,
    "contacts": contacts,
    "ships_over": ships_over,
    "diverts": diverts,
}
OF_A_PASS = tuple(name for name in TABLES if name not in ("passes", "diverts"))
