"""The answer of ``briefgen retime`` as lines for people; ``data.py`` has it for machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from briefgen.airmath.script import HEARD_ERROR_S
from briefgen.brief.wording.format import (
    clock_local,
    clock_z,
    counted,
    duration,
    fuel_figure,
    listed,
    signed_duration,
    speed_kt,
    time_limit,
)
from briefgen.brief.wording.gates import figures_words
from briefgen.brief.wording.lost_contact import FROM_HOLD, given_up_words, no_cue_words
from briefgen.brief.wording.passes import pass_name
from briefgen.brief.wording.speed_span import span_words
from briefgen.brief.wording.spoken import left_words, off_words, silent_fact
from briefgen.core.context import refusal_words
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.lost_contact import wait_end
from briefgen.plan.model import Gate, Party
from briefgen.plan.sortie import Plan
from briefgen.retime.answer import NewTimes, Retimed
from briefgen.retime.later import LaterBlock, LaterPass
from briefgen.units.rounding import down, up

Rows = list[list[str]]
HEADLINES = {
    "no call": "NO CALL NEEDED: the change is below the dead-band.",
    "new time": "CAN BE MET by the hold.",
    "fast": "CAN BE MET by speed.",
    "slow": "CAN BE MET by speed.",
    "unable": "UNABLE: {reason}.",
    "ask": "ASK THE FLIGHT: {reason}.",
    "over": "THE TRUE TIME HAS PASSED.",
    "wait": "WAIT FOR THE CUE: {reason}.",
    "not started": "{fact}: no time and no speed is proposed on a {what} that nobody has heard.",
    "abort only": "TOO LATE TO TELL A TIME: ABORT only if the pass must be stopped.",
}

LAPS = {
    "as printed": "as the printed slip row",
    "worked again": "worked again from the moment told: the printed slip row no longer holds",
    "worked out": "worked out by the flight: no row is printed for it",
    None: "",
}

IN_TWO = "CAN BE MET in two calls: the laps first, the rest by speed."

# beside the words for a flight of a plan that fails
NO_GO = ", only for a flight that is up all the same: no leave to go"

# as card, slide and clock page say it
MEANS = {
    "new time": "Worked again",
    "fast": "By speed",
    "slow": "By speed",
}


def headline(answer: Retimed) -> str:
    """The first line: that the plan is not to be flown, whether the change can be met, and which later passes
    it takes."""
    refusal, lost = (
        refusal_words(len(answer.plan_failing)),
        [later.name for later in answer.later if later.lost],
    )
    found = ". ".join(filter(None, (refusal, _met(answer))))
    return f"{found} UNABLE {listed(lost)}." if lost else found


def _met(answer: Retimed) -> str:
    if answer.kind == "no call" and not answer.limit[0] and (late := _no_call_yet(answer)):
        return f"NO CALL YET: {late}"
    what = "mark" if answer.predicted is not None and answer.predicted.mark else "cue"
    found = HEADLINES[answer.kind].format(reason=answer.reason, fact=_fact(answer), what=what)
    if answer.short_s and answer.kind != "wait":
        found = f"{found[:-1]}, {off_words(answer.change_s, answer.short_s)}."
    if answer.rest_s:
        found = IN_TWO
    if not answer.limit[0]:
        return found
    if answer.kind == "not started":
        return f"{found} T CANNOT BE HELD."
    if answer.kind == "unable":
        return ", ".join(dict.fromkeys((answer.limit[0], found)))
    return (
        "T CANNOT BE HELD: ask the flight."
        if answer.kind == "no call"
        else f"{answer.limit[0]}: ask first.{'' if answer.kind == 'wait' else f' {found}'}"
    )


def _no_call_yet(answer: Retimed) -> str:
    """What is late, or asked about, though the change needs no call: as the clock page has it."""
    found = answer.predicted
    if found is None or not (found.awaited or found.asked):
        return ""
    return f"{found.awaited[0]} IS LATE." if found.awaited else f"WAS {found.asked[0]} HEARD?"


def _fact(answer: Retimed) -> str:
    found = answer.predicted
    return silent_fact(found.overdue[0], mark=found.mark) if found is not None and found.overdue else ""


def lines(answer: Retimed, plan: Plan) -> Iterator[tuple[str, Rows]]:
    """(section title, rows) in the order of reading; the first section has no title."""
    yield "", list(_verdict(answer, plan))
    if answer.times is not None:
        yield "New times", list(_times(answer, answer.times, plan))
        yield (
            f"Fuel at landing{', ' if answer.fuel_basis else ''}{answer.fuel_basis}",
            list(_fuel(answer, plan)),
        )
    yield "What it does to every later pass", [_later(later, plan) for later in answer.later]
    yield "What it does to later training", [_training(later, plan) for later in answer.later_training]
    yield "Other parties", [_party(party, plan) for party in answer.parties]
    yield "Gates that fail at the new time, and not as planned", _gates(answer.failing, plan)
    refusal = refusal_words(len(answer.plan_failing))
    yield f"{refusal} (the plan's own gates, with the figures as planned)", _gates(answer.plan_failing, plan)
    airborne = NO_GO if refusal else ""
    if answer.ask_first.say:
        yield f"Words to ask first{airborne}", [["Say", answer.ask_first.say]]
    if answer.call.say:
        read_back = [["Read back", answer.call.read_back]] if answer.call.read_back else []
        yield (
            f"Words{', once the flight has accepted it' if answer.ask_first.say else ''}{airborne}",
            [["Say", answer.call.say], *read_back],
        )


def _gates(gates: Sequence[Gate], plan: Plan) -> Rows:
    day = plan.clock.takeoff.date()
    return [[gate.verdict, gate.title, figures_words(gate, day=day), gate.why] for gate in gates]


def _later(later: LaterPass, plan: Plan) -> list[str]:
    """A pass behind the one that is moved: its T, its hold, and until when it may stay there."""
    at = _z(later.true_time, plan)
    moved = f"moves with it to {at}" if later.moves else f"T kept, {at}"
    if later.lost and later.short_s:
        kept = f"UNABLE: its shortest hold is gone, by {duration(up(later.short_s, 1.0))}"
    elif later.lost:
        kept = f"UNABLE: {', '.join(str(gate.value) for gate in later.unmet)}"
    else:
        kept = f"{moved}, NOT MET as planned either" if later.unmet else moved
    hold = (
        "no hold"
        if later.hold_s is None
        else f"hold {_held(later.hold_s)} (was {_held(later.hold_before_s)})"
    )
    home = (
        "" if later.go_home is None else f"go home from it by {_z(time_limit(later.go_home, 'latest'), plan)}"
    )
    return [later.name, kept, hold, home]


def _training(later: LaterBlock, plan: Plan) -> list[str]:
    """A block of training behind the pass that is moved."""
    few = ", fewer than are worth flying" if later.short else ""
    count = f"{counted(later.setups, 'set-up')}{few} (was {later.setups_before})"
    end = "" if later.end is None else f"ends {_z(later.end, plan)}"
    end += "" if later.end_before is None else f" (was {_z(later.end_before, plan)})"
    by = "" if later.end_by is None else f"END BY {_z(time_limit(later.end_by, 'latest'), plan)}"
    return [later.id, count, end, by]


def _held(seconds: float | None) -> str:
    """A wait as it is flown; none where the flight comes too late to it."""
    return "none" if seconds is None or seconds < 0 else duration(seconds)


def _of_several(plan: Plan) -> Iterator[list[str]]:
    """Which pass it is about, and what is taken of those before it."""
    section = plan.passes[0].section
    if section.among > 1:
        yield ["Pass", f"{pass_name(section)}, {section.place} of {section.among}"]
    if section.place > 1:
        yield ["Before it", "the passes before it flown as planned"]


def _verdict(answer: Retimed, plan: Plan) -> Iterator[list[str]]:
    yield from _of_several(plan)
    yield from _heard(answer, plan)
    yield from _earlier(answer, plan)
    if answer.new_true is not None:
        yield ["Change", _change(answer, plan)]
    if answer.rest_s:
        yield ["In two calls", _in_two(answer, plan)]
    yield [
        "Told",
        (
            f"before {'the hold is entered' if plan.the_pass.hold is not None else 'the IP'}"
            if answer.told is None
            else f"read back at {_z(answer.told, plan)}"
        ),
    ]
    if answer.met and answer.reason:
        yield ["How", answer.reason]
    if answer.kind == "abort only" and plan.the_pass.abort is not None:
        yield ["Only to stop the pass", plan.the_pass.abort.words]
    yield from _until(answer, plan)
    if answer.authority_s is not None:
        early, late = (down(reach_s, 0.1) for reach_s in answer.authority_s)
        once = f", once {answer.once}, so early or late, is heard" if answer.once else ""
        given = f"{early:.1f} s earlier to {late:.1f} s later, {span_words(plan.event)}{once}"
        yield [
            "Speed alone gives",
            f"{given}, if it has held one speed since it was told" if answer.kind == "ask" else given,
        ]
    elif answer.kind == "ask" and not (_holding(answer) or _has_left(answer)):
        yield ["Speed alone gives", "not known"]
    if answer.kind == "unable" and answer.one_more_lap_s is not None:
        said, because = answer.lap_limit
        yield [
            "One more lap costs",
            duration(answer.one_more_lap_s) + (f": {said}, {because}" if said else ""),
        ]
    if answer.limit[0] and answer.kind == "not started":
        yield [answer.limit[0], f"{_still_unheard(answer, plan)}, {answer.limit[1]}"]
    elif answer.limit[0] and answer.kind == "unable":
        yield [*answer.limit]
    elif answer.limit[0]:
        yield [
            answer.limit[0],
            (
                f"{answer.limit[1]}: the flight must be asked"
                f" {'whether it can hold T' if answer.kind == 'no call' else 'before it is told'}"
            ),
        ]
        if answer.kind == "wait":
            yield ["Once accepted", answer.reason]
    if answer.within_accepted is False:
        yield ["CAUTION", "outside what is accepted or approved: the supervisor must be asked"]


def _earlier(answer: Retimed, plan: Plan) -> Iterator[list[str]]:
    """What was told before, and that the flight has no true time since."""
    for call in answer.earlier:
        at = _z(call.read_back, plan)
        if call.left:
            yield ["Left the hold", at]
            continue
        words = "HOLD" if call.change_s is None else signed_duration(call.change_s)
        yield ["Told before", f"{words}, read back at {at}"]
    if _has_left(answer):
        yield ["Condition", left_words(_z(answer.earlier[-1].read_back, plan))]


def _change(answer: Retimed, plan: Plan) -> str:
    whole = answer.change_s == int(answer.change_s)
    change = signed_duration(answer.change_s) if whole else f"{answer.change_s:+.1f} s"
    if not answer.earlier:
        return change
    held = "held until it was told to hold" if _holding(answer) else "holds"
    return f"{change} of {_z(answer.old_true, plan)}, which the flight {held}"


def _in_two(answer: Retimed, plan: Plan) -> str:
    """``the laps first; then slow 10 s for T 12:41:55 Z, once ANTHEM is heard``."""
    parts = script_parts(plan.mission.passes[0])
    when = f", once {parts[-1].cue} is heard" if parts else ", after leave-hold"
    whole = answer.old_true + timedelta(seconds=answer.change_s + answer.rest_s)
    size = f"{'fast' if answer.rest_s < 0 else 'slow'} {duration(abs(answer.rest_s))}"
    return f"the laps first; then {size} for T {_z(whole, plan)}{when}"


def _holding(answer: Retimed) -> bool:
    """Whether the last thing told was to hold."""
    return bool(answer.earlier) and answer.earlier[-1].change_s is None and not _has_left(answer)


def _has_left(answer: Retimed) -> bool:
    """Whether a flight that was told to hold has left the hold without a true time."""
    return bool(answer.earlier) and answer.earlier[-1].left


def _heard(answer: Retimed, plan: Plan) -> Iterator[list[str]]:
    """What the script says of T, or which cue is overdue."""
    found = answer.predicted
    if found is None:
        return
    if found.overdue:
        due = dict(found.expected)
        yield ["Overdue", ", ".join(f"{cue}, expected {_z(due[cue], plan)}" for cue in found.overdue)]
        yield ["If it was heard", f"add --heard {found.overdue[0]} TIME"]
        return
    if found.own:
        return
    spread = (
        f", give or take {max(found.deviation_s, HEARD_ERROR_S):.0f} s (one standard deviation)"
        if found.deviation_s is not None
        else ""
    )
    yield ["Predicted true time", f"{_z(found.true_time, plan)}{spread}"]
    asked = None if answer.told is None else answer.told - _relay(plan)
    coming = [(name, at) for name, at in found.expected if asked is None or at > asked]
    if found.asked:
        yield ["Is it still running", f"add --heard {found.asked[0]} TIME, or --unheard {found.asked[0]}"]
    if missed := [one for one in found.expected if one not in coming]:
        yield ["Not heard", ", ".join(f"{name}, expected {_z(at, plan)}" for name, at in missed)]
    if coming:
        yield ["Expected next", f"{coming[0][0]}, {_z(coming[0][1], plan)}"]


def _relay(plan: Plan) -> timedelta:
    return timedelta(seconds=plan.mission.events[0].relay_s)


def _still_unheard(answer: Retimed, plan: Plan) -> str:
    """``SPEECH not heard by 10:54:24 Z: T 11:02:04 Z at the earliest``: what a limit is held against while a
    cue is overdue, whatever T somebody asks for."""
    found = answer.predicted
    by = "" if answer.told is None else f" by {_z(answer.told - _relay(plan), plan)}"
    at_least = time_limit(found.true_time + timedelta(seconds=found.late_s), "earliest")
    return f"{found.overdue[0]} not heard{by}: T {_z(at_least, plan)} at the earliest"


def _until(answer: Retimed, plan: Plan) -> Iterator[list[str]]:
    if answer.kind == "not started":
        yield from _silence(answer, plan)
    if answer.kind in ("no call", "abort only", "ask", "over", "not started", "wait"):
        return
    if answer.soonest is not None:
        soonest = _z(time_limit(answer.soonest, "earliest"), plan)
        yield ["No T before", f"{soonest}, by the laps that the hold still allows, then by speed"]
    elif answer.until is None and not answer.earlier:
        yield ["Can be met until", "never, as planned"]
    elif answer.until is not None:
        row_until = answer.times.row_until if answer.times is not None else None
        if row_until is not None:
            yield ["As printed until", _by(row_until, answer, plan)]
        if row_until is None or time_limit(row_until, "latest") < time_limit(answer.until, "latest"):
            yield [f"{_way(answer)} until", _by(answer.until, answer, plan)]


def _way(answer: Retimed) -> str:
    out = answer.times is not None and answer.times.laps == "worked out"
    return "Worked out" if out else MEANS.get(answer.kind, "Could be met")


def _by(until: datetime, answer: Retimed, plan: Plan) -> str:
    relay = answer.until - answer.say_by
    return (
        f"{_z(time_limit(until, 'latest'), plan)}, read-back complete; say by"
        f" {_z(time_limit(until - relay, 'latest'), plan)}"
    )


def _silence(answer: Retimed, plan: Plan) -> Iterator[list[str]]:
    """Until when the flight can still stay in the hold for it, else what the unit has briefed."""
    if answer.until is not None:
        yield [
            "Say by",
            (
                f"{_z(time_limit(answer.say_by, 'latest'), plan)}:"
                f" {'leave-hold' if plan.the_pass.hold is not None else 'IP'}"
                f" {_z(answer.until, plan)}"  # the event itself, as everywhere
            ),
        ]
    if not _holding(answer):  # it has not left
        left = "leave-hold" if plan.the_pass.hold is not None else "the IP"
        yield [
            f"Briefed for it after {left}",
            given_up_words(plan) if answer.gives_up else no_cue_words(plan),
        ]
    elif (end := wait_end(plan)) is not None:
        yield [FROM_HOLD[end.then], _z(time_limit(end.at, "latest"), plan)]


def _times(answer: Retimed, times: NewTimes, plan: Plan) -> Iterator[list[str]]:
    yield ["True time", _all_clocks(times.true_time, plan), f"was {_z(answer.old_true, plan)}"]
    yield ["Set time", _all_clocks(times.set_time, plan), f"was {_z(answer.old_set, plan)}"]
    for lap, turn in enumerate(times.inbound_turns, 1):
        yield [f"START INBOUND TURN, lap {lap} of {len(times.inbound_turns)}", _all_clocks(turn, plan), ""]
    if answer.kind == "new time":
        yield ["Laps", counted(len(times.inbound_turns), "lap"), LAPS[times.laps]]
    by_hold = answer.kind == "new time"
    ip_kept = (
        "unchanged" if _z(times.ip, plan) == _z(times.ip_before, plan) else f"was {_z(times.ip_before, plan)}"
    )
    for label, at, kept in (
        ("Leave-hold", times.leave_hold, "unchanged"),
        ("IP", times.ip, ip_kept),
        ("Push-up", times.push_up, ""),
    ):
        if at is not None:
            yield [label, _all_clocks(at, plan), "" if by_hold else kept]
    if times.abort_only is not None:
        before = times.abort_only - (times.true_time - answer.old_true)
        was = f"was {_z(time_limit(before, 'latest'), plan)}"
        yield ["Abort only after", _all_clocks(time_limit(times.abort_only, "latest"), plan), was]
    if times.speed_kt is not None:
        yield [
            "Ground speed",
            speed_kt(times.speed_kt, "KGS"),
            f"{_speed_from(answer, times, plan)}, hold it to the centre, no push-up",
        ]


def _speed_from(answer: Retimed, times: NewTimes, plan: Plan) -> str:
    """``change to it from leave-hold on, 14:20:56 Z``: no speed is changed in the hold, nor before the IP of
    a pass that has none."""
    begins, where = (
        (times.ip_before, "the IP") if times.leave_hold is None else (times.leave_hold, "leave-hold")
    )
    at_once = answer.told is not None and answer.told > begins
    return "change to it at once" if at_once else f"change to it from {where} on, {_z(begins, plan)}"


def _fuel(answer: Retimed, plan: Plan) -> Iterator[list[str]]:
    if not answer.ships:
        yield ["NOT CHECKED", "the mission does not give what fuel needs"]
    for ship in answer.ships:
        was = f"was {fuel_figure(ship.landing_before, plan.fuel.unit)}"
        if ship.landing is None:
            yield [
                f"Ship {ship.ship}",
                f"NOT CHECKED ({was})",
                f"must land with {fuel_figure(ship.required, plan.fuel.unit)}",
                "",
            ]
            continue
        short = "" if ship.enough else "TOO LITTLE"
        go_home = (
            f"go home from the hold by {_z(time_limit(ship.go_home, 'latest'), plan)}"
            if ship.go_home is not None
            else ""
        )
        figure = f"{fuel_figure(ship.landing, plan.fuel.unit)} ({was})"
        yield [
            f"Ship {ship.ship}",
            figure,
            f"must land with {fuel_figure(ship.required, plan.fuel.unit)}",
            "; ".join(filter(None, (short, go_home))),
        ]


def _party(party: Party, plan: Plan) -> list[str]:
    span = " to ".join(_z(at, plan) for at in (party.start, party.end) if at is not None)
    return [
        party.who,
        party.what,
        span or "no time given",
        "holds this time" if party.acknowledged else "NOT ACKNOWLEDGED",
        party.contact,
    ]


def _z(at: datetime, plan: Plan) -> str:
    return clock_z(at, day=plan.the_pass.true_time.date())


def _all_clocks(at: datetime, plan: Plan) -> str:
    """Zulu, event and base; one local clock where both show the same."""
    mission, day = plan.mission, plan.the_pass.true_time.date()
    locals_ = [clock_local(at, zone, day=mission.date) for zone in (mission.event_zone, mission.base_zone)]
    named = (
        [f"{locals_[0]} event", f"{locals_[1]} base"]
        if locals_[0] != locals_[1]
        else [f"{locals_[0]} event and base"]
    )
    return ", ".join([clock_z(at, day=day), *named])
