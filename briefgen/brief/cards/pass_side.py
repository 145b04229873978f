"""The sides of a ship's kneeboard card after the first: one for each pass, or the way home where there is
none.

What stands on such a side, the first row first: T and SET; MINIMUM, LEAD NOT BELOW for whoever may lead, and
YOU; the words of an abort; leave, IP, push-up and abort-only as boxes of clock time; the slips, the push-up,
bingo and going home; what is done without the cue; the headings; whom to call. The sketch, and what to look
out for, stand there only where there is room.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from math import floor

from briefgen.airmath.run_in import most_late_s
from briefgen.brief.cards.common import abort_words, first_clauses, grid, large_time, last_begin_t, sketch
from briefgen.brief.cards.diverts import diverts, fewer_diverts
from briefgen.brief.cards.fuel_box import EVENT_BINGO, and_whose
from briefgen.brief.cards.headings import headings, headings_run
from briefgen.brief.cards.model import Large, Lines, Reduction, Run, Section, Side, Sketch
from briefgen.brief.cards.slip_table import changes, changes_note, told_speeds
from briefgen.brief.cards.watch import watch
from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import flown_level, height_boxes
from briefgen.brief.wording.lost_contact import FROM_HOLD, contact_words, no_cue_rows, radio_rows
from briefgen.brief.wording.passes import after_hold
from briefgen.brief.wording.speed_span import allowed_beyond
from briefgen.brief.wording.wait_limits import go_home_why, hold_lost_words
from briefgen.brief.wording.words import NONE, NOT_CHECKED, NOT_GIVEN, UNREACHABLE, Words, magnetic_or_true
from briefgen.core.records import kept
from briefgen.draw.scene.model import Canvas
from briefgen.mission.schema.event import Pass
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.event.lost_contact import HoldEnd, home_before_leave
from briefgen.plan.event.silence import cues_to_t
from briefgen.plan.event.waits import hold_lost, lost
from briefgen.plan.model import Abort, EventPlan, Leg, PushRow, ShipFuel
from briefgen.plan.sortie import Plan

SKETCH_PT = Canvas(304.0, 100.0, "card")
NO_WAIT = "NO WAIT"
_PUSH_AT = "push,\nnm to go"
Box = tuple[str, str, str]


def back_side(w: Words, ship: Ship, *, diverts_too: bool) -> Side:
    """The sections of one such side by the names that the template uses. ``diverts_too``: they stand on no
    other side."""
    event = w.plan.event
    return {
        "times": _times(w, event) if event else None,
        "minima": _heights(w, ship, event) if event else _bingo_home(w, ship),
        "abort": _abort(w, event) if event else None,
        "cues": _cues(w, event) if event else None,
        "slips": changes(w, event),
        "push": _push(w, event, beside=True) if event else None,
        "push_below": _push(w, event, beside=False) if event else None,
        "notes": _notes(w, event) if event else None,
        "speeds": told_speeds(w, event) if event else None,
        "home": _home(w, ship) if event else None,
        "silence": _silence(w, event) if event else None,
        "headings": headings(w),
        "reach": _reach(w),
        "diverts": diverts(w, ship) if diverts_too else None,
        "watch": watch(w),
        "sketch": _sketch(w.plan),
    }


def back_reductions(w: Words, ship: Ship, *, diverts_too: bool) -> tuple[Reduction, ...]:
    """What such a side gives up when it is too full, in this order, first what stands on it only where there
    is room (deck and sheet have it), the headings last of all: never T, set time, heights, bingo, slips,
    push-up or the words of an abort."""
    event = w.plan.event
    return (
        Reduction("sketch", "", early=True, only="sketch"),
        Reduction("watch", "", early=True, only="look out for"),
        Reduction("headings", "", headings(w, to_ip=False)),
        Reduction(
            "notes", "", _notes(w, event, each=False) if event else None, only="last moment of each slip"
        ),
        *_low(w, ship, event),
        Reduction("headings", "", headings_run(w)),
        *(() if event is None else _less_speeds(w, event)),
        *(_less_diverts(w, ship) if diverts_too else ()),
        Reduction("reach", "the other parties' frequencies left out", _reach(w, parties=False)),
        *(() if event is None else _cut_short(w, event)),
        *((fewer_diverts(w, ship, most=1),) if diverts_too else ()),
        Reduction("reach", "only the first to call", _reach(w, contact_only=True)),
        *(() if event is None else _less_notes(w, event)),
        Reduction("headings", "headings of the way home left out", headings_run(w, home=False)),
        Reduction("headings", "headings only up to the run-in", headings_run(w, home=False, egress=False)),
        Reduction("headings", "headings left out"),
    )


def _less_speeds(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    return (
        Reduction("speeds", "", told_speeds(w, event, until=False), only="until when speed is told"),
        Reduction("speeds", "", only="told speeds"),
    )


def _less_notes(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    said = "what is done once a slip's row is lost left out"
    return (
        (Reduction("notes", said, _notes(w, event, each=False, later=False)),)
        if event.hold is not None and event.leader is None
        else ()
    )


def _less_diverts(w: Words, ship: Ship) -> tuple[Reduction, ...]:
    return (
        Reduction("diverts", "hours of the diverts left out", diverts(w, ship, hours=False)),
        fewer_diverts(w, ship, most=2),
    )


def _cut_short(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    abort = replace(_abort(w, event, shortened=True), beside=True)
    return (
        Reduction("abort", "abort cut short", abort),
        Reduction("silence", "after the hold cut short", _silence(w, event, shortened=True)),
    )


def _low(w: Words, ship: Ship, event: EventPlan | None) -> tuple[Reduction, ...]:
    """Rows of boxes that are lower, with the labels beside the figures."""
    if event is None:
        return ()
    boxes = {"minima": _heights(w, ship, event), "abort": _abort(w, event), "home": _home(w, ship)}
    return tuple(Reduction(name, "", replace(large, beside=True)) for name, large in boxes.items())


# ---------------------------------------------------------------- the largest figures


def _times(w: Words, event: EventPlan) -> Large:
    bias = (
        f"T {words.signed_seconds(event.late_bias_s)}{', for the push-up' if event.push else ''}"
        if event.late_bias_s
        else "no bias: the same as T"
    )
    local = words.clock_local(event.true_time, w.mission.home_zone, day=w.mission.date)
    said, because = next((lost(w.plan, row) for row in event.slips if row.slip_s == 0), ("", ""))
    under = f"{said}: {because}. {local}" if said else local
    under += "; no cue: fly T" if event.leader is None and not cues_to_t(w.plan) else ""
    true = large_time(w, "TRUE TIME  T", event.true_time, under)
    return Large(
        "T and SET", (true, large_time(w, "SET IN THE AIRCRAFT", event.set_time, bias)), "huge", dark=(1,)
    )


def _heights(w: Words, ship: Ship, event: EventPlan) -> Large:
    """MINIMUM and YOU, between them what a ship that may lead must not go below."""
    boxes = height_boxes(w.mission, event, ship.ship, lead=_may_lead(w, ship))
    return Large("Heights", tuple(boxes))


def _may_lead(w: Words, ship: Ship) -> bool:
    falls = w.mission.file.contingencies.fall_outs.values()
    return ship.ship == 1 or bool(ship.can_lead) or any(fall.leads == ship.ship for fall in falls)


def _cues(w: Words, event: EventPlan) -> Large:
    """The moments of the run-in in the order of the clock, each with what is flown from there."""
    boxes = sorted(_cue_boxes(w, event), key=lambda timed: timed[0])
    return Large("The run-in by the clock", tuple(box for _, box in boxes))


def _cue_boxes(w: Words, event: EventPlan) -> Iterator[tuple[datetime, Box]]:
    if event.hold is not None:
        at = w.column(event.hold.leave) if event.hold.reached else NONE
        then = _flown(event.hold_to_ip) if event.hold_to_ip is not None else ""
        yield event.hold.leave, ("LEAVE HOLD", at, then if event.hold.reached else UNREACHABLE)
    ip = " ".join(dict.fromkeys(("IP", event.ip.id)))
    yield event.ip_time, (ip, w.column(event.ip_time), _flown(event.run_in))
    if event.push is not None:
        to = words.speed_kt(event.push_up_to_kt, "KGS")
        said = f"{words.distance(event.push.to_go_nm)}, to {to}"
        yield event.push.at, ("PUSH", w.column(event.push.at), said)
    if event.abort is not None and event.abort.last_begin is not None:
        last = event.abort.last_begin
        yield last, ("ABORT ONLY", w.by_column(last), last_begin_t(event))


def _flown(leg: Leg) -> str:
    heading = magnetic_or_true(leg.heading_magnetic_deg, leg.heading_true_deg)
    return f"{heading}, {flown_level(leg.level, leg.altitude_ft)}"


def _home(w: Words, ship: Ship) -> Large:
    """Bingo of the pass, and when a flight still in the hold goes home, or on."""
    fuel, own = w.plan.fuel, w.ship_fuel(ship.ship)
    if fuel is None or own is None or fuel.bingo_event is None:
        return Large("Bingo", ((EVENT_BINGO, NOT_CHECKED, "the fuel cannot be worked out"),))
    when = "in hold" if w.plan.the_pass.hold is not None else "at the IP"
    boxes = [(EVENT_BINGO, w.fuel(fuel.bingo_event), and_whose(w, f"set {when}"))]
    if (found := _home_by(w, own)) is not None:
        end, why = found
        sooner = f"BEFORE LEAVE HOLD: this counts; {why}" if home_before_leave(w.plan) else why
        at = words.time_limit(end.at, "latest")
        boxes.append(
            (FROM_HOLD[end.then], NO_WAIT, f"on reaching the hold; {why}")
            if end.on_arrival
            else large_time(w, FROM_HOLD[end.then], at, sooner)
        )
    return Large("Bingo and going home", tuple(boxes))


def _home_by(w: Words, own: ShipFuel | None) -> tuple[HoldEnd, str] | None:
    fuel = w.plan.fuel
    known = fuel is not None and own is not None and fuel.bingo_event is not None
    return go_home_why(w.plan, w.by) if known else None


def _bingo_home(w: Words, ship: Ship) -> Large | None:
    fuel, own = w.plan.fuel, w.ship_fuel(ship.ship)
    if fuel is None or own is None:
        return Large("Bingo", (("BINGO", NOT_CHECKED, "the fuel cannot be worked out"),))
    more = "the alternate included" if fuel.alternate_required else ""
    items = [("MUST LAND WITH", w.fuel(own.base_required), more)]
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


# ---------------------------------------------------------------- push-up, abort, what is not heard


def _push(w: Words, event: EventPlan, *, beside: bool) -> Section | None:
    """Where to push against the SET time, with the seconds that are left where speed alone is not enough: a
    row a deviation ``beside`` the slips, else a column; in its place that nothing is offered by speed."""
    if nothing := hold_lost_words(w.plan):
        return Lines("", (("Push-up", nothing),))
    if event.push is None:
        return Lines("", (("Push-up", event.push_problem),)) if event.push_problem else None
    rows = [(_late(row.late_s), _push_words(row)) for row in _in_reach(event)]
    rows += [(f"over {_most_late(event)}", "at IP")]
    if beside:
        on_time = tuple(i for i, row in enumerate(_in_reach(event)) if row.late_s == 0)
        columns = [("Seconds\noff SET", "auto", "l"), (_PUSH_AT, "1fr", "r")]
        return grid("", columns, rows, dark=on_time, name="Push-up")
    columns = [("Seconds off SET", "auto", "l"), *((late, "1fr", "r") for late, _ in rows)]
    return grid("", columns, [("push, nm to go", *(at for _, at in rows))], name="Push-up")


def _in_reach(event: EventPlan) -> list[PushRow]:
    """The rows that a push no earlier than at the IP makes up."""
    return [row for row in event.push_table if row.to_go_nm is not None]


def _most_late(event: EventPlan) -> str:
    """Seconds late that a push at the IP makes up: what a pilot may count on, so never rounded up."""
    settings = event.chain.push_settings
    return "" if settings is None else words.seconds_bare(floor(10.0 * most_late_s(settings)) / 10.0, 1)


def _push_note(w: Words, event: EventPlan) -> str:
    """What the push-up is flown with, and what to do beyond its rows; empty without them."""
    if event.push is None or hold_lost(w.plan):
        return ""
    more = allowed_beyond(event)
    return (
        f"Push at {words.acceleration(event.push.acceleration_kt_s)}{f'; {more}' if more else ''}."
        f" By itself over {_most_late(event)} s late: at IP, rest stays late."
    )


def _notes(w: Words, event: EventPlan, *, each: bool = True, later: bool = True) -> Lines | None:
    """Under slips and push-up: what holds of their rows. ``later``: what is done with a slip whose row is
    lost, ``each``: until when with every one."""
    noted = changes_note(w, event, each=each, later=later)
    said = " ".join(filter(None, (noted, _push_note(w, event))))
    return Lines("", (("", said),)) if said else None


def _late(seconds: float) -> str:
    if seconds == 0:
        return "on time"
    return f"{words.seconds_bare(abs(seconds))} {'late' if seconds > 0 else 'early'}"


def _push_words(row: PushRow) -> str:
    """Where to push; nowhere where it would be over the centre."""
    return words.distance_bare(row.to_go_nm) if row.to_go_nm else "none"


def _abort(w: Words, event: EventPlan, *, shortened: bool = False) -> Large:
    """The words, and what is flown then."""
    planned, given = event.abort, w.mission.the_event.pass_
    return abort_words(event, "" if planned is None else _after_abort(given, planned, shortened=shortened))


def _after_abort(given: Pass, planned: Abort, *, shortened: bool) -> str:
    """``GO HOME, 2000 ft MSL: wings level, climb straight ahead``."""
    abort = given.abort
    to = ["GO HOME"] if given.then == "home" else []
    to += [flown_level(abort.level, planned.altitude_ft)] if abort and abort.level else []
    how = abort.action if abort and abort.action else ""
    return ": ".join(filter(None, (", ".join(to), first_clauses(how) if shortened else how)))


def _silence(w: Words, event: EventPlan, *, shortened: bool = False) -> Run | None:
    """What is flown while the cue is not heard, and what may still be told after the hold."""
    after = after_hold(w.mission.the_event.pass_, event)
    rows = [(f"{label}:", said) for label, said in no_cue_rows(w, event)]
    rows += [("After the hold:", first_clauses(after) if shortened else after)] if after else []
    return Run("", tuple(rows), told=True) if rows else None


# ---------------------------------------------------------------- whom to call


def _reach(w: Words, *, parties: bool = True, contact_only: bool = False) -> Run | None:
    """What the mission lacks reads so beside a pass: nobody is to wonder whether it was forgotten."""
    rows = _first_contact(w) if contact_only else tuple(_reach_rows(w, parties))
    return Run("CALL", rows) if rows else None


def _first_contact(w: Words) -> tuple[tuple[str, str], ...]:
    """Whoever the flight calls first, in one short line: the ground contact, without one the supervisor."""
    event, first = w.mission.file.event, tuple(_reach_rows(w, parties=False))
    ground = event.ground_contact if event else None
    return first[-1:] if ground is None else ((ground.callsign, contact_words(w, ground.primary)),)


def _reach_rows(w: Words, parties: bool) -> Iterator[tuple[str, str]]:
    event = w.mission.file.event
    ground = event.ground_contact if event else None
    if ground is not None:
        (_, first), (_, backup) = radio_rows(w)
        yield ground.callsign, f"{first}; backup {backup}"
    elif event is not None:
        yield "Ground contact", NOT_GIVEN
    for party in event.parties if event is not None and parties else ():
        if party.frequency:
            yield party.who, words.frequency(party.frequency)
    supervisor = w.mission.file.sortie.supervisor
    if supervisor is not None:
        recall = f"recall {supervisor.recall_word}" if supervisor.recall_word else ""
        by_air = words.frequency(supervisor.frequency) if supervisor.frequency else supervisor.phone
        yield supervisor.name, "; ".join(filter(None, (by_air, recall))) or NOT_GIVEN
    elif event is not None:
        yield "Supervisor", NOT_GIVEN


@kept
def _sketch(plan: Plan) -> Sketch | None:
    """The pass from above, drawn once: it is the same on the card of every ship. None without an event."""
    from briefgen.brief.figures.pass_plan import make

    maker = make(plan)
    if maker is None:
        return None
    scene = maker(SKETCH_PT)
    lost = ", ".join(" ".join(text.split()) for text in scene.unplaced)
    note = f"Not named: {lost}" if lost else ""
    return sketch("The pass from above, north up", scene, note)
