"""The ground contact's card, two sides for each pass over the event. Every time on it is true time: only the
flight adds its bias, and no set time stands here."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.brief.cards.by_speed import TITLE, by_speed
from briefgen.brief.cards.common import abort_words, filled_by, grid, large_time, last_begin_t, under_line
from briefgen.brief.cards.ground_rows import LATER_MARK, is_heard_later, is_told
from briefgen.brief.cards.ground_stops import stop_words
from briefgen.brief.cards.ground_words import change_words, fewer_changes, fewer_others, fewer_words, others
from briefgen.brief.cards.model import Card, Grid, Large, Lines, Pairs, Reduction, Side
from briefgen.brief.wording import format as words
from briefgen.brief.wording.lacks import lacks_words, unchecked_words
from briefgen.brief.wording.lost_contact import (
    NOT_BRIEFED,
    backup_words,
    lost_contact_does,
    lost_contact_words,
    radio_rows,
)
from briefgen.brief.wording.passes import after_hold, hangs_on, moved_words, name_of, pass_name
from briefgen.brief.wording.wait_limits import (
    by_speed_until,
    go_home_words,
    hold_lost_words,
    holes_words,
    latest_in_short,
    loses_words,
    lost_words,
    short_of,
    slip_spans,
    slip_words,
    span_end,
    then_words,
    too_early_note,
)
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, UNREACHABLE, Words, beginning, card_words
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.lost_contact import shared_mhz
from briefgen.plan.event.schedule import schedule
from briefgen.plan.event.wait_limits import WaitLimit
from briefgen.plan.event.waits import (
    IN_TWO,
    latest_t,
    lost,
    no_call,
    speed_unknown,
    unknown_limits,
    wait_limits,
)
from briefgen.plan.model import Cue, EventPlan, HoldPlan, SlipRow
from briefgen.plan.one_pass import passes_over
from briefgen.plan.sortie import Plan

LEAST_PT = 9.0
_FEW, _FEWEST = 6, 3  # of what a card too full keeps of a long list
PLANNED_LOST = "Planned T cannot be flown: tell the flight now."


def ground_contact(plan: Plan, event: str = "") -> Card:
    """The card of whoever stands at an event with a radio, two sides for each pass over it. ``event``: its
    id, needed where there are several."""
    w = card_words(plan)
    own = [replace(w, plan=seen) for seen in passes_over(plan, event)]
    ground = own[0].mission.file.event.ground_contact
    sides, reductions = [], []
    for each in own:
        pass_ = each.plan.passes[0]
        name = f", {name_of(pass_.section)}" if name_of(pass_.section) else ""
        sides += [
            (f"ground contact{name}", {**_front(each, pass_), **change_words(each, pass_)}),
            (f"schedule and others{name}", {**_schedule_side(each, pass_), **others(each, pass_)}),
        ]
        reductions += [_front_reductions(each, pass_), _back_reductions(each, pass_)]
    heading = ground.callsign if ground else "GROUND CONTACT"
    options = {"least": LEAST_PT, "table": LEAST_PT}
    return Card(
        heading,
        under_line(own[0]),
        tuple(sides),
        options,
        tuple(reductions),
        lacks_words(plan),
        unchecked_words(plan),
    )


def _front_reductions(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    """What gives way on a first side that is too full."""
    return (
        *fewer_changes(w, event),
        Reduction("wait", "of what limits T only the earliest", _wait(w, event, most=1)),
        Reduction("slips", "the reasons beside the slips left out", _slips(w, event, reasons=False)),
        *fewer_words(w, event),
    )


def _back_reductions(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    """What gives way on a second side that is too full: the cues that are heard first, since T hangs on the
    last."""
    return (
        Reduction(
            "schedule", f"of the contact schedule only the last {_FEW}", _schedule(w, event, last=_FEW)
        ),
        Reduction("script", f"of the script only the last {_FEW} cues to T", _script(w, event, last=_FEW)),
        Reduction("script", "of the script only the cue of T", _script(w, event, last=1)),
        Reduction(
            "schedule",
            f"of the contact schedule only the last {_FEWEST}",
            _schedule(w, event, last=_FEWEST),
        ),
        *fewer_others(w, event),
    )


def _front(w: Words, event: EventPlan) -> Side:
    return {
        "times": _times(w, event),
        "who": _who(w),
        "slips": _slips(w, event),
        "wait": _wait(w, event),
        "stop": abort_words(event),
        "abort": _abort(w, event),
    }


def _schedule_side(w: Words, event: EventPlan) -> Side:
    return {
        "lost_contact": _lost_contact(w),
        "schedule": _schedule(w, event),
        "script": _script(w, event),
        "stops": stop_words(w, event) if event.leader is None else None,
    }


def _times(w: Words, event: EventPlan) -> Large:
    true = large_time(
        w,
        "TRUE TIME OVER TARGET  T",
        event.true_time,
        f"{_local(w, event.true_time)} over {event.centre.name}",
    )
    if event.leader is not None:
        with_it = f"MOVES WITH {pass_name(event.leader)}, T"
        return Large(
            "Times", (true, large_time(w, with_it, event.leader.true_time, moved_words(event))), "huge"
        )
    last, gaps = latest_t(w.plan), unknown_limits(w.plan)
    if last is None:
        why = (
            "without a hold speed alone moves T, and what it gives is not known"
            if speed_unknown(w.plan)
            else "nothing in the plan limits it"
        )
        return Large("Times", (true, ("CANNOT WAIT LATER THAN", NOT_CHECKED, why)), "huge")
    at = words.time_limit(last.latest_t, "latest")
    detail = f"{_local(w, at)}; {last.because}"
    if last.latest_t < event.true_time:
        detail = f"EARLIER THAN T. {detail}"
    detail += f". {words.listed(gaps).capitalize()} {NOT_CHECKED}" if gaps else ""
    return Large("Times", (true, large_time(w, "CANNOT WAIT LATER THAN", at, detail)), "huge")


def _local(w: Words, at: datetime) -> str:
    """``14:30:02 AEDT (+11:00)``, with its date where that isn't the card's."""
    return words.clock_local(at, w.mission.home_zone, day=w.mission.date)


def _who(w: Words) -> Pairs:
    file, times = w.mission.file, w.mission.times
    ground = file.event.ground_contact
    rows = [("Flight", f"{w.callsign}, {words.counted(len(file.flight), 'ship')}")]
    if ground is not None:
        rows = [("You", f"{ground.callsign}" + (f", {ground.name}" if ground.name else "")), *rows]
        rows += radio_rows(w)
    rows += [("In place by", _both(w, times.in_place))] if times.in_place else []
    rows += [("Radio check", _both(w, times.radio_check))] if times.radio_check else []
    hack = file.ground_ops.time_hack
    rows += [("Time hack", _hack_words(hack))] if hack else []
    return Pairs("Before", tuple(rows))


def _lost_contact(w: Words) -> Lines:
    """In the order in which it is tried; last what the flight does meanwhile by itself."""
    supervisor = w.mission.file.sortie.supervisor
    by_phone = (
        f"{supervisor.name}, supervisor, {supervisor.phone or 'telephone not given'}"
        if supervisor
        else f"supervisor {NOT_GIVEN}"
    )
    more = "; then the other parties" if w.plan.event.parties else ""
    does, lead = lost_contact_words(w), "The flight by itself:"
    if lost_contact_does(w) is None:
        lead, does = f"{lead} {NOT_BRIEFED}", "nobody has said what it does"
    items = (
        (
            "Backup:",
            f"{backup_words(w)}{'' if shared_mhz(w.mission) is None else ', no second way by radio'}.",
        ),
        ("Telephone:", f"{by_phone}{more}."),
        (lead, f"{does}. {_home(w)}."),
    )
    return Lines("If you can't reach the flight", items)


def _home(w: Words) -> str:
    """Until when it can wait, where it has a hold to wait in, and until when there can be a pass."""
    if w.plan.event is None or w.plan.event.hold is None:
        return beginning(latest_in_short(w.plan, w.by, because=False))
    home = go_home_words(w.plan, w.by)
    return f"Go-home time {NOT_CHECKED}" if home is None else f"{home[0]} {': '.join(home[1:])}"


def _hack_words(hack) -> str:
    parts = [
        hack.when,
        f"from {hack.source}" if hack.source else "",
        f"to {words.duration(hack.to)}" if hack.to is not None else "",
    ]
    return ", ".join(part for part in parts if part) + "; again at the radio check"


def _both(w: Words, at: datetime) -> str:
    named = "" if w.event_clock_moved(at) else f" {w.event_zone_letters(at)}"
    return f"{w.z(at)}  ·  {w.at_event(at)}{named}"


def _schedule(w: Words, event: EventPlan, *, last: int = 0) -> Grid | None:
    shown = schedule(w.plan)[-last:]
    rows = [
        (
            "",
            *(_by_columns(w, c.at) if c.deadline else _columns(w, c.at)),
            c.label,
            c.say,
            "",
        )
        for c in shown
    ]
    columns = [
        ("", "5mm", "b"),
        ("Z", "auto", "r"),
        (_clock_head(w, event), "auto", "r"),
        ("", "auto", "l"),
        ("Do or say", "1fr", "l"),
        ("Heard, told", "22mm", "l"),
    ]
    return grid("Contact schedule", columns, rows, note=w.column_days(c.at for c in shown))


def _columns(w: Words, at: datetime) -> tuple[str, str]:
    """By Zulu and by the event's clock, without dates."""
    return w.column(at), w.event_column(at)


def _by_columns(w: Words, at: datetime) -> tuple[str, str]:
    """The same of a last moment."""
    return w.by_column(at), w.by_event_column(at)


def _clock_head(w: Words, event: EventPlan) -> str:
    return w.event_zone_letters(event.true_time)


def _script(w: Words, event: EventPlan, *, last: int = 0) -> Grid | None:
    columns = [
        ("Z", "auto", "r"),
        (_clock_head(w, event), "auto", "r"),
        ("Cue", "auto", "l"),
        ("What is heard", "1fr", "l"),
        ("Lasts", "auto", "r"),
        ("Heard at", "20mm", "l"),
    ]
    cues = event.cues if not last else [cue for cue in event.cues if cue.at <= event.true_time][-last:]
    days = w.column_days(at for cue in cues for at in (cue.at, *(mark for _, mark in cue.marks)))
    note = " ".join(filter(None, (days, _hangs_on(w))))
    table = grid("Script", columns, _script_rows(w, cues), note=note)
    return filled_by(table, [((*cue.cause, "says"), cue.says) for cue in cues])


def _script_rows(w: Words, cues: Sequence[Cue]) -> Iterator[tuple[str, ...]]:
    for cue in cues:
        yield *_columns(w, cue.at), cue.id, cue.says, _lasts(cue.lasts_s, cue.spread_s), ""
        for mark, at in cue.marks:
            yield (
                *_columns(w, at),
                f"· {mark}",
                f"{words.duration(words.between_s(cue.at, at))} into {cue.id}",
                "",
                "",
            )


def _lasts(lasts_s: float | None, spread_s: float | None) -> str:
    if lasts_s is None:
        return ""
    return words.duration(lasts_s) + (f" ± {words.duration(spread_s)}" if spread_s else "")


_LATE_MARK = "A mark heard late moves T by more than that: the rest is taken to run as slow."


def _hangs_on(w: Words) -> str:
    section, pass_ = w.plan.passes[0].section, w.mission.file.event.pass_
    parts = [f"T is {hangs_on(w.plan.passes[0])}."]
    paced = any(part.marks and part.spread_s for part in script_parts(section))
    parts += [_LATE_MARK] if paced else []
    parts += [f"Less than {words.duration(pass_.deadband)} off: NO CALL NEEDED."] if pass_.deadband else []
    return " ".join(parts)


def _slips(w: Words, event: EventPlan, *, reasons: bool = True) -> Grid | Lines | None:
    if event.leader is not None:
        return Lines(TITLE, (("T is", f"{hangs_on(event)}."),))
    if event.hold is None:
        return by_speed(w, event)
    columns = [
        ("Ceremony", "auto", "r"),
        ("SAY BY, Z", "auto", "r"),
        (_clock_head(w, event), "auto", "r"),
        ("New T, Z", "auto", "r"),
        (_clock_head(w, event), "auto", "r"),
        ("then still, Z", "1fr", "l"),
    ]
    spans = slip_spans(w.plan)
    planned = next((row for row, _ in spans if row.slip_s == 0), None)
    told_now = PLANNED_LOST if planned and lost(w.plan, planned)[0] else ""
    days = w.column_days(at for row in event.slips for at in (row.say_by, row.true_time) if at)
    nothing = hold_lost_words(w.plan)
    said = (
        "SAY BY: begin to read it out then at the latest; it is flown as on the cards. Then the flight works"
        f" its laps again{'' if nothing else ', or flies fast or slow'}. After that {lost_words(w.plan)}."
    )
    told = [_before_told_by(event), said] if any(is_told(w, row) for row, _ in spans) else []
    nothing = f"{beginning(nothing)}." if nothing else ""
    note = " ".join(filter(None, (days, told_now, nothing, too_early_note(w.plan), *told)))
    return grid(
        TITLE,
        columns,
        [_slip_row(w, event, span, reasons=reasons) for span in spans],
        strong=tuple(i for i, (row, _) in enumerate(spans) if row is planned),
        note=note,
    )


def _before_told_by(event: EventPlan) -> str:
    """Why these times are not those of the flight's cards."""
    relay_s = event.section.event.relay_s
    if event.section.event.written.relay_time is None:
        return "No relay time is given and none is counted: say it earlier by as long as the relay takes."
    if not relay_s:
        return ""
    return (
        f"SAY BY and all times in the last column are {words.duration(relay_s)} before those of the flight's"
        " cards, which are for the read-back."
    )


def _slip_row(w: Words, event: EventPlan, span: tuple[SlipRow, SlipRow], *, reasons: bool) -> tuple[str, ...]:
    """The verdict stands under the second clock of SAY BY, what it is of and why beside it."""
    (row, last), relay_s = span, event.section.event.relay_s
    head = (slip_words(row) if row.slip_s else "on time") + (LATER_MARK if is_heard_later(w, row) else "")
    quiet, (said, because) = no_call(w.plan, row.slip_s), lost(w.plan, row)
    at = event.true_time if quiet else row.true_time
    new = _columns(w, at)
    then = then_words(w.plan, row, w.column, relay_s=relay_s)
    if said:
        if said == IN_TWO:
            return (head, _laps_by(w, row, relay_s), said, *new, because)
        why = "tell the flight now" if not row.slip_s else because if reasons else ""
        if end := span_end(w.plan, row, last):
            return (head, end, said, "", "", why)
        return (head, "", said, *new, then or why)
    if quiet:
        return (head, "", "", *new, "NO CALL NEEDED")
    if (until := by_speed_until(w.plan, row, relay_s=relay_s)) is not None:
        alone = ", ".join(filter(None, (loses_words(w.plan, row), short_of(row), "flown by speed alone")))
        return (head, *_columns(w, until), *new, alone)
    by = ("", "") if row.say_by is None else _by_columns(w, row.say_by)
    beside = ", ".join(filter(None, (loses_words(w.plan, row), then)))
    return (head, *by, *new, beside or "nothing")


def _laps_by(w: Words, row: SlipRow, relay_s: float) -> str:
    """SAY BY of the first of two calls."""
    assert row.first_until is not None, "laps that are flown have a last moment"
    return w.column(words.time_limit(row.first_until - timedelta(seconds=relay_s), "latest"))


def _wait(w: Words, event: EventPlan, *, most: int | None = None) -> Grid | None:
    """The earliest first. The note has the date of T, a row its own where it is another."""
    limits, last, true_time = list(wait_limits(w.plan)), latest_t(w.plan), event.true_time
    if last is not None and last not in limits:
        limits = [last, *limits]
    rows = [(*_by_columns(w, limit.latest_t), _because(w, limit, true_time)) for limit in limits[:most]]
    head = w.event_zone_letters(true_time)
    columns = [("Z", "auto", "r"), (head, "auto", "r"), ("because", "1fr", "l")]
    note = " ".join(filter(None, (w.column_days((true_time,)), holes_words(w.plan, w.bare))))
    title = "T cannot be later than"
    if event.leader is not None:
        title = f"T, as {pass_name(event.leader)} moves it, cannot be later than"
    return grid(title, columns, rows, note=note)


def _because(w: Words, limit: WaitLimit, true_time: datetime) -> str:
    date = w.other_date(words.time_limit(limit.latest_t, "latest"), true_time)
    return ", ".join(filter(None, (limit.because, date)))


def _leave(w: Words, hold: HoldPlan) -> str:
    return _both(w, hold.leave) if hold.reached else UNREACHABLE


def _abort(w: Words, event: EventPlan) -> Pairs | None:
    given = w.mission.the_event.pass_
    rows: list[tuple[str, str]] = []
    if event.abort is not None and event.abort.last_begin:
        last = _both(w, words.time_limit(event.abort.last_begin, "latest"))
        rows.append(("Only the abort words", f"after {last_begin_t(event)}: {last}"))
    after = after_hold(given, event)
    rows += [("After leave-hold", after)] if after else []
    rows += [("Leave-hold planned", _leave(w, event.hold))] if event.hold else []
    return Pairs("Until when", tuple(rows)) if rows else None
