"""The sides of a ship's kneeboard card after the first: one for each pass, or the way home where there is
none."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.cards.common import first_clauses, grid, large_time, last_begin_t
from briefgen.brief.cards.headings import headings
from briefgen.brief.cards.model import Grid, Large, Lines, Pairs, Reduction, Run, Section, Side, Sketch
from briefgen.brief.cards.watch import watch
from briefgen.brief.wording import format as words
from briefgen.brief.wording.by_speed import Told, told_spans
from briefgen.brief.wording.diverts import divert_course, open_words, weather_words
from briefgen.brief.wording.heights import flown_level, height_boxes
from briefgen.brief.wording.hold import row_heading, row_laps
from briefgen.brief.wording.lost_contact import no_cue_rows, radio_rows
from briefgen.brief.wording.speed_span import allowed_beyond, span_words
from briefgen.brief.wording.wait_limits import (
    BY_SPEED,
    all_too_late,
    by_speed_until,
    go_home_why,
    later_ways,
    lost_words,
    slip_spans,
    slip_words,
    span_end,
    told_by_words,
    too_late_note,
)
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, Words
from briefgen.core.records import kept
from briefgen.draw.scene.model import Canvas, Scene
from briefgen.draw.scene.svg import svg
from briefgen.mission.schema.event import Pass
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.event.lost_contact import HoldEnd
from briefgen.plan.event.slips import turned_off
from briefgen.plan.event.speed_alone import read_back_s
from briefgen.plan.event.waits import UNABLE, lost
from briefgen.plan.model import Abort, EventPlan, Means, PushRow, ShipFuel, SlipRow
from briefgen.plan.route.diverts import Divert, divert_start, nearest_first
from briefgen.plan.sortie import Plan

SKETCH_PT = Canvas(198.0, 112.0, "card")  # half of an A5 page
NARROW_SKETCH_PT = Canvas(180.0, 100.0, "card")  # so that the words beside it break less
# the least: in less, the wind has no words and the lines to the names cross other names
SMALL_SKETCH_PT = Canvas(198.0, 80.0, "card")
FEW_DIVERTS = 3
_HOME_BY = "HOME FROM HOLD"
NO_WAIT = "NO WAIT"
MINUTE_S = 60


def back_side(w: Words, ship: Ship) -> Side:
    """The sections of one such side by the names that the template uses."""
    event = w.plan.event
    return {
        "times": _times(w, event) if event else None,
        "minima": _minima(w, ship, event) if event else _bingo_home(w, ship),
        "slips": _changes(w, event),
        "sketch": sketch(w, SKETCH_PT),
        "push": _push(event) if event else None,
        "abort": _abort(w, event) if event else None,
        "headings": headings(w),
        "diverts": _diverts(w, ship),
        "watch": watch(w),
        "reach": _reach(w),
    }


def back_reductions(w: Words, ship: Ship) -> tuple[Reduction, ...]:
    """What such a side gives up when it is too full, in this order, first what stands on it only where there
    is room (deck and sheet have it): never T, set time, heights, bingo, slips, push-up or the words of an
    abort."""
    event, small = w.plan.event, sketch(w, SMALL_SKETCH_PT)
    return (
        Reduction("watch", ""),
        Reduction("sketch", "", sketch(w, NARROW_SKETCH_PT)),
        Reduction("sketch", "", small),
        Reduction("sketch", "", small, also={"reach": _reach_in_a_run(w)}),
        Reduction("slips", "", _changes(w, event, each=False)),
        Reduction("diverts", "runways and hours of the diverts left out", _diverts(w, ship, short=True)),
        Reduction("sketch", "the sketch left out"),
        Reduction("reach", "", _reach_in_a_run(w)),
        Reduction(
            "abort", "what an abort does cut short", _abort(w, event, shortened=True) if event else None
        ),
        Reduction(
            "diverts",
            f"only the {FEW_DIVERTS} nearest diverts",
            _diverts(w, ship, short=True, most=FEW_DIVERTS),
        ),
        Reduction("reach", "whom to reach left out"),
        Reduction("headings", "headings of the way home left out", headings(w, home=False)),
        Reduction("diverts", "only the nearest divert", _diverts(w, ship, short=True, most=1)),
    )


# ---------------------------------------------------------------- the largest figures


def _times(w: Words, event: EventPlan) -> Large:
    bias = (
        f"true time {words.signed_seconds(event.late_bias_s)}"
        if event.late_bias_s
        else "no bias: the same as true time"
    )
    local = words.clock_local(event.true_time, w.mission.home_zone)
    said, because = next((lost(w.plan, row) for row in event.slips if row.slip_s == 0), ("", ""))
    under = f"{said}: {because}. {local}" if said else f"{local} over {event.centre.name}"
    true = large_time(w, "TRUE TIME  T", event.true_time, under)
    bias += f"; at {event.ip.id} {w.column(event.ip_time)}"
    return Large(
        "True and set time", (true, large_time(w, "SET TIME, in the aircraft", event.set_time, bias)), "huge"
    )


def _minima(w: Words, ship: Ship, event: EventPlan) -> Large:
    """The three heights, bingo and the go-home time in one row; what makes each stands below it, since five
    boxes have no room for it."""
    fuel, own = w.plan.fuel, w.ship_fuel(ship.ship)
    rows = [*height_boxes(w.mission, event, ship.ship), *_bingo_boxes(w, own)]
    boxes = [(label, figure, "") for label, figure, _ in rows]
    if (home := _home_by(w, own)) is not None:
        end, why = home
        rows.append((_HOME_BY, "", f"on reaching the hold; {why}" if end.on_arrival else why))
        at = words.time_limit(end.at, "latest")
        boxes.append((_HOME_BY, NO_WAIT, "") if end.on_arrival else large_time(w, _HOME_BY, at))
    note = " ".join(f"{label}: {detail}." for label, _, detail in rows if detail)
    named = "Heights, bingo, go-home time" if fuel is not None else "Heights, bingo"
    return Large(named, tuple(boxes), note=note)


def _home_by(w: Words, own: ShipFuel | None) -> tuple[HoldEnd, str] | None:
    fuel = w.plan.fuel
    known = fuel is not None and own is not None and fuel.bingo_event is not None
    return go_home_why(w.plan, w.by) if known else None


def _bingo_boxes(w: Words, own: ShipFuel | None) -> Iterator[tuple[str, str, str]]:
    fuel = w.plan.fuel
    if fuel is None or own is None or fuel.bingo_event is None:
        yield "EVENT BINGO", NOT_CHECKED, "the fuel cannot be worked out"
        return
    yield "EVENT BINGO", w.fuel(fuel.bingo_event), ""


def _bingo_home(w: Words, ship: Ship) -> Large | None:
    fuel, own = w.plan.fuel, w.ship_fuel(ship.ship)
    if fuel is None or own is None:
        return Large("Bingo", (("BINGO", NOT_CHECKED, "the fuel cannot be worked out"),))
    items = [("LANDING FUEL REQUIRED", w.fuel(own.landing_required), own.landing_required_because)]
    if fuel.bingo_training is not None:
        items.insert(
            0,
            (
                "BINGO",
                w.fuel(fuel.bingo_training),
                f"from {own.bingo_training.point.name}" if own.bingo_training else "",
            ),
        )
    return Large("Bingo", tuple(items), "huge")


# ---------------------------------------------------------------- tables of the pass


def _push(event: EventPlan) -> Section | None:
    if event.push is None:
        return Lines("Push-up", (("", event.push_problem),)) if event.push_problem else None
    rows = [(_late(row.late_s), _push_words(row)) for row in event.push_table]
    beyond = "At IP: speed alone can't. " if any(row.to_go_nm is None for row in event.push_table) else ""
    more = allowed_beyond(event)
    note = (
        f"{beyond}To {words.speed_kt(event.push_up_to_kt, 'KGS')} at"
        f" {words.acceleration(event.push.acceleration_kt_s)}{f'; {more}' if more else ''}."
    )
    strong = tuple(i for i, row in enumerate(event.push_table) if row.late_s == 0)
    title = "Push-up, by the SET time"
    return grid(title, [("If", "auto", "l"), ("nm to go", "1fr", "r")], rows, strong=strong, note=note)


def _late(seconds: float) -> str:
    if seconds == 0:
        return "on time"
    return f"{words.seconds_exact(abs(seconds), 0)} {'late' if seconds > 0 else 'early'}"


def _push_words(row: PushRow) -> str:
    """Where to push: at the IP where speed alone is not enough, and nowhere where it would be over the
    centre."""
    if row.to_go_nm is None:
        return f"at IP, {words.seconds_exact(row.left_s)} late"
    return words.distance_bare(row.to_go_nm) if row.to_go_nm > 0 else "no push"


def _changes(w: Words, event: EventPlan | None, *, each: bool = True) -> Grid | None:
    """What can be told of a ceremony that slips: by the hold, or where there is none by speed."""
    if event is None:
        return None
    return _speeds(w, event) if event.hold is None else _slips(w, event, each=each)


def _slips(w: Words, event: EventPlan, *, each: bool = True) -> Grid | None:
    """``each``: until when every slip still goes once its row is lost, else until when at least."""
    columns = [
        ("Slip", "1fr", "r"),
        ("True", "auto", "r"),
        ("Set", "auto", "r"),
        ("Leave", "auto", "r"),
        ("Last laps", "auto", "r"),
        ("Turn in", "auto", "r"),
        ("Told by", "auto", "r"),
    ]
    # what is too late from some slip on stands in the note, with its reason
    spans = [span for span in slip_spans(w.plan) if not all_too_late(w.plan, *span)]
    rows = [_slip_row(w, first, last) for first, last in spans]
    shown = [
        at
        for r in event.slips
        for at in (r.true_time, r.set_time, r.leave_hold, r.last_inbound_turn, r.told_by)
        if at is not None
    ]
    notes = [
        f"All {w.days(shown)}. Turn in: of the last lap{_slip_headings(w, event)}.",
        _later(w.plan, event, each=each),
        _unable([span for span in spans if lost(w.plan, span[0])[0] == UNABLE]),
        too_late_note(w.plan),
    ]
    note = " ".join(filter(None, notes))
    return grid(
        "Slip, changed in the hold",
        columns,
        rows,
        strong=tuple(i for i, (row, _) in enumerate(spans) if row.slip_s == 0),
        note=note,
    )


def _speeds(w: Words, event: EventPlan) -> Grid | None:
    """Without a hold: the ground speed from the IP to the centre for so many seconds fast or slow, and until
    when each can still be told, read back; None where the mission lacks what speed is judged by."""
    speeds = {fix.seconds: fix.gs_kt for fix in event.speed_fixes}

    def told(first: Told, last: Told) -> tuple[str, ...]:
        head = first.words if first is last else f"{first.words} to {words.duration(abs(last.slip_s))}"
        speed = speeds.get(first.slip_s)
        if first.until is None or speed is None:
            return (head, "", first.said or UNABLE)
        return (head, words.knots_bare(speed), w.by_column(first.until))

    spans = told_spans(w.plan, event)
    said = [first.until for first, _ in spans if first.until is not None]
    days = f"All {w.days(said)}. " if said else ""
    columns = [("Told", "1fr", "l"), ("GS", "auto", "r"), ("Told by, Z", "auto", "r")]
    return grid(
        "Fast or slow",
        columns,
        [told(*span) for span in spans] if speeds else [],
        note=f"{days}No hold: speed alone moves T, {span_words(event)}. {_speeds_from(event)}",
    )


def _speeds_from(event: EventPlan) -> str:
    """From where the ground speed of each row is held to the centre."""
    cue = event.section.cue_of_t
    if cue is None or all(read_back_s(event.chain, fix.seconds) <= 0.0 for fix in event.speed_fixes):
        return "GS: from the IP. Told by: read back; after the IP it takes more."
    return (
        f"GS: from the IP, or once {cue}, that early or late, is heard and told. Told by: read back; later it"
        " takes more."
    )


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


def _slip_row(w: Words, row: SlipRow, last: SlipRow) -> tuple[str, ...]:
    said, _ = lost(w.plan, row)
    if end := span_end(w.plan, row, last):
        return (_slip_short(row), end, "", "", "", "", said)
    head = (_slip_short(row), words.clock_bare(row.true_time), words.clock_bare(row.set_time))
    if (until := by_speed_until(w.plan, row)) is not None:
        return (*head, w.column(w.plan.clock.leave_hold), BY_SPEED, "", w.column(until))
    if said:
        return (*head, "", "", "", said)
    return (
        *head,
        w.column(row.leave_hold),
        row_laps(w.plan.event.hold, row, words.duration_clock),
        w.column(row.last_inbound_turn),
        told_by_words(w.plan, row, row.told_by, w.column),
    )


def _slip_short(row: SlipRow) -> str:
    """``+1 min``, and ``+11:38`` instead of ``+11 min 38 s``, for which the column has no room."""
    if row.slip_s and abs(row.slip_s) > MINUTE_S and row.slip_s % MINUTE_S:
        return ("+" if row.slip_s > 0 else "") + words.duration_clock(row.slip_s)
    return slip_words(row)


def _later(plan: Plan, event: EventPlan, *, each: bool) -> str:
    """What can still be done with each slip whose row is lost, until when, and what after that."""
    still: dict[Means, dict[str, list[str]]] = {}
    for row in event.slips:
        for means, until in later_ways(plan, row) if row.met else ():
            still.setdefault(means, {}).setdefault(words.clock_bare(until), []).append(slip_words(row))
    ways = [
        f"{means} to {', '.join(f'{at} ({words.listed(rows)})' for at, rows in ends.items())}"
        for means, ends in still.items()
    ]
    least = [f"{means} to {min(ends)}{' at least' if len(ends) > 1 else ''}" for means, ends in still.items()]
    later = f"Told later: {', '.join(ways if each else least)}. " if ways else ""
    return f"Told by: read back. {later}Then {lost_words(plan)}."


def _slip_headings(w: Words, event: EventPlan) -> str:
    """``; the last out on 203 M at -1 min, 206 M at +1 min``: the rows with another outbound heading than
    planned; empty where all are near it."""
    flown = [row for row in event.slips if row.met and row.slip_s and not lost(w.plan, row)[0]]
    others = [
        f"{row_heading(w.mission, event, row)} at {slip_words(row)}"
        for row in flown
        if turned_off(event.hold, row)
    ]
    return f"; the last out on {', '.join(others)}" if others else ""


def _abort(w: Words, event: EventPlan, *, shortened: bool = False) -> Section | None:
    if event.abort is None:
        return Pairs("Abort", (("Words", NOT_GIVEN), *no_cue_rows(w, event)))
    given, abort = w.mission.file.event.pass_, event.section.written.abort
    rows = [("Words", event.abort.words)]
    rows += [("Said by", abort.said_by)] if abort and abort.said_by else []
    rows += [("Then", _after_abort(given, event.abort, shortened=shortened))]
    after = given.after_leaving_hold if event.hold is not None else None
    rows += [("After hold", first_clauses(after) if shortened else after)] if after else []
    rows += no_cue_rows(w, event)
    last = event.abort.last_begin
    rows += [(f"After {last_begin_t(event)}", f"{w.by(last)}: abort words only")] if last else []
    return Pairs("Abort", tuple(rows))


def _after_abort(given: Pass, planned: Abort, *, shortened: bool) -> str:
    """``GO HOME, 2000 ft MSL: wings level, climb straight ahead``."""
    abort = given.abort
    to = ["GO HOME"] if given.then == "home" else []
    to += [flown_level(abort.level, planned.altitude_ft)] if abort and abort.level else []
    how = abort.action if abort and abort.action else ""
    return ": ".join(filter(None, (", ".join(to), first_clauses(how) if shortened else how)))


# ---------------------------------------------------------------- elsewhere


def _diverts(w: Words, ship: Ship, *, short: bool = False, most: int | None = None) -> Grid | None:
    """The nearest first. ``short``: without runways and hours; ``most``: so many of them."""
    rows = [_divert_row(w, ship, divert)[: 4 if short else None] for divert in nearest_first(w.plan)[:most]]
    where = f"Diverts from {divert_start(w.plan).name}, fuel to leave with"
    where += "" if w.mission.alone else f", ship {ship.ship}"
    columns = [
        ("To", "1fr", "l"),
        ("Bearing", "auto", "r"),
        ("Distance", "auto", "r"),
        ("Fuel", "auto", "r"),
        ("Runway", "1fr", "l"),
        ("Open, Z", "auto", "r"),
    ]
    return grid(where, columns[: 4 if short else None], rows) if w.mission.file.recovery else None


def _divert_row(w: Words, ship: Ship, divert: Divert) -> tuple[str, ...]:
    place = w.mission.places[divert.place.id]
    fuel = divert.fuel.get(ship.ship) if divert.fuel else None
    opening = open_words(w.plan, divert.place.id, w.day) or NOT_CHECKED
    weather = weather_words(w.plan, divert.place.id)
    runways = ", ".join(r.name + (f" {words.height(r.length)}" if r.length else "") for r in place.runways)
    return (
        divert.place.name + (f", {weather}" if weather else ""),
        divert_course(w.mission, divert),
        words.distance(divert.distance_nm),
        w.fuel(fuel.figure) if fuel else NOT_CHECKED,
        runways,
        opening,
    )


def _reach(w: Words) -> Pairs | None:
    rows = tuple(_reach_rows(w))
    return Pairs("To reach", rows) if rows else None


def _reach_in_a_run(w: Words) -> Run | None:
    """The same in one paragraph over the whole width, beside nothing."""
    rows = tuple((label.strip(), value) for label, value in _reach_rows(w))
    return Run("", rows) if rows else None


def _reach_rows(w: Words) -> Iterator[tuple[str, str]]:
    """What the mission lacks reads so beside a pass: nobody is to wonder whether it was forgotten."""
    event = w.mission.file.event
    ground = event.ground_contact if event else None
    if ground is not None:
        (_, first), (_, backup) = radio_rows(w)
        yield ground.callsign, first
        yield "  backup", backup
    elif event is not None:
        yield "Ground contact", NOT_GIVEN
    supervisor = w.mission.file.sortie.supervisor
    if supervisor is not None:
        recall = f"recall {supervisor.recall_word}" if supervisor.recall_word else ""
        by_air = words.frequency(supervisor.frequency) if supervisor.frequency else supervisor.phone
        yield supervisor.name, "; ".join(filter(None, (by_air, recall))) or NOT_GIVEN
    elif event is not None:
        yield "Supervisor", NOT_GIVEN


def sketch(w: Words, canvas: Canvas) -> Sketch | None:
    """The pass from above; None without an event."""
    return _sketches(w.plan).get(canvas)


@kept
def _sketches(plan: Plan) -> dict[Canvas, Sketch]:
    """In each size, drawn once: it is the same on the card of every ship."""
    from briefgen.brief.figures.pass_plan import make

    maker = make(plan)
    if maker is None:
        return {}
    return {
        canvas: _sketch(maker(canvas), canvas) for canvas in (SKETCH_PT, NARROW_SKETCH_PT, SMALL_SKETCH_PT)
    }


def _sketch(scene: Scene, canvas: Canvas) -> Sketch:
    lost = ", ".join(" ".join(text.split()) for text in scene.unplaced)
    note = f"Not named: {lost}" if lost else ""
    return Sketch("The pass from above, north up", svg(scene), canvas.width_pt, canvas.height_pt, note)
