"""Who, when, where: the overview, the line-up, the clock, ground operations, the debrief."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import zip_longest
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, Words, place_of, text_or
from briefgen.core.context import CHANGED, NOT_COVERED, Stamp
from briefgen.plan.model import Phase
from briefgen.plan.timing.training_end import training_end
from briefgen.units.rounding import nearest

MOST_CHANGES = 6


def _on_each_clock(*names: str) -> tuple[str, ...]:
    """The keys of instants: in Zulu, in every clock, in the base's."""
    return tuple(name + clock for name in names for clock in ("", "_both", "_local"))


# which keys of the clock are those of a block of training alone, and of a pass
OF_A_BLOCK = (
    *_on_each_clock("area_entry", "training_end", "rejoined", "knock_off"),
    *("knock_off_because", "knock_off_first", "training_ends", "training_ends_in_short"),
)
OF_A_PASS = (
    *_on_each_clock("hold_arrival", "leave_hold", "ip", "push_up", "true_time", "set_time"),
    *("true_time_lines", "hold_difference"),
)


def sortie_values(w: Words, stamp: Stamp) -> dict[str, Any]:
    """``sortie``: name, callsign, dates, objectives, the people in charge, the state of approval."""
    sortie = w.mission.file.sortie
    objectives = sortie.objectives
    return {
        "name": sortie.name,
        "callsign": sortie.callsign,
        "date": words.weekday(sortie.date),
        "dates": w.dates(),
        "ships": words.counted(len(w.mission.file.flight), "ship"),
        "alone": w.mission.alone,
        "fly": f"{words.counted(len(w.mission.file.flight), 'ship')} {'flies' if w.mission.alone else 'fly'}",
        "ship_count": str(len(w.mission.file.flight)),
        "types": words.listed(aircraft.name for aircraft in w.mission.types_in_flight()),
        "lead": words.listed(w.mission.file.flight[0].crew),
        "base": w.mission.base.name,
        "primary": objectives.primary if objectives else None,
        "secondary": objectives.secondary if objectives else None,
        "success": list(sortie.success),
        "supervisor": _supervisor(w),
        "state": stamp.approval,
        "refusal": stamp.refusal or None,
        "approved": stamp.approved,
        "decision": _decision(stamp),
        "spoken": stamp.spoken,
        "clocks": (
            words.listed(
                f"{clock.events or clock.whose} {words.zone_words(w.reference, clock.zone)}"
                for clock in w.locals
            )
            or "every clock is Zulu"
        ),
        "notes": list(w.plan.notes),
    }


def _decision(stamp: Stamp) -> dict[str, Any] | None:
    """``lines`` (label, words) of who and until when, ``changes`` that fit a slide, how many there are
    (``count``) and are ``more``; None before any approval."""
    if not stamp.decision:
        return None
    changes = [
        f"{label}: {text}" if label == NOT_COVERED else text
        for label, text in stamp.decision
        if label in (NOT_COVERED, CHANGED)
    ]
    more = len(changes) - MOST_CHANGES
    return {
        "lines": [
            {"label": label, "words": text}
            for label, text in stamp.decision
            if label not in (NOT_COVERED, CHANGED)
        ],
        "changes": changes[:MOST_CHANGES],
        "count": words.counted(len(changes), "change"),
        "more": f"{more} more: on the approval sheet" if more > 0 else None,
    }


def _supervisor(w: Words) -> dict[str, str] | None:
    person = w.mission.file.sortie.supervisor
    if person is None:
        return None
    return {
        "name": person.name,
        "phone": text_or(person.phone),
        "frequency": words.frequency(person.frequency) if person.frequency else NOT_GIVEN,
        "recall_word": text_or(person.recall_word),
    }


def clock_values(w: Words) -> dict[str, Any]:
    """``clock``: every named instant of the sortie in Zulu, and the same names with ``_both`` in every clock;
    None where there is none."""
    clock = w.plan.clock
    names = (
        "takeoff",
        "last_takeoff",
        "report",
        "area_entry",
        "training_end",
        "rejoined",
        "hold_arrival",
        "leave_hold",
        "ip",
        "push_up",
        "true_time",
        "set_time",
        "lead_landing",
        "last_landing",
        "shut_down",
        "duty_end",
        "knock_off",
    )
    instants = {name: getattr(clock, name) for name in names}
    if clock.knock_off is not None:
        instants["knock_off"] = words.time_limit(clock.knock_off, "latest")
    values: dict[str, Any] = {name: None if at is None else w.z(at) for name, at in instants.items()}
    values |= {f"{name}_both": None if at is None else w.both(at) for name, at in instants.items()}
    values |= {f"{name}_local": None if at is None else w.local(at) for name, at in instants.items()}
    values["true_time_lines"] = None if clock.true_time is None else w.local(clock.true_time, between=",\n")
    values["knock_off_because"] = clock.knock_off_because or None
    end = training_end(w.plan)
    values["training_ends"] = None if end is None else w.training_end(end)
    values["training_ends_in_short"] = None if end is None else w.training_end_in_short(end)
    values["knock_off_first"] = end is not None and end.ship is None
    values["airborne"] = words.duration_minutes((clock.last_landing - clock.takeoff).total_seconds())
    values["takeoff_solved"] = clock.takeoff_solved
    values["hold_difference"] = (
        None if clock.hold_difference_s is None else _hold_difference(clock.hold_difference_s)
    )
    values["events"] = [f"{event.label}: {w.both(event.at)}" for event in clock.events]
    values["phases"] = list(_phase_lines(w, [phase for phase in clock.phases if phase.seconds > 0]))
    return values


def _phase_lines(w: Words, phases: Sequence[Phase]) -> Iterator[str]:
    """A line for each, and one where a pass is reached too early or too late for the next to begin with its
    end, so that the lengths add up."""
    for phase, after in zip_longest(phases, phases[1:]):
        length = words.duration(words.between_s(phase.start, phase.end))
        yield f"{phase.label}: {w.span(phase.start, phase.end)}, {length}"
        off_s = 0.0 if after is None else words.between_s(phase.end, after.start)
        if off_s:
            there = "its end" if phase.leg is None else phase.leg.end.name
            early = f"{there} reached too early: {w.span(phase.end, after.start)}"
            late = f"{there} reached too late: {w.z(phase.end)}, not {w.z(after.start)}"
            yield f"{early if off_s > 0 else late}, {words.duration(off_s)}"


def _hold_difference(seconds: float) -> str:
    if not nearest(seconds):
        return "the hold is as long as it was meant to be"
    return (
        f"the hold is {words.duration(abs(seconds))} {'longer' if seconds > 0 else 'shorter'} than the"
        " mission asks"
    )


def ground_values(w: Words) -> dict[str, Any]:
    """``ground``: take-off, hack and rejoin."""
    ground, clock = w.mission.file.ground_ops, w.plan.clock
    hack = ground.time_hack
    interval = ground.takeoff_interval
    ships = len(w.mission.file.flight)
    return {
        "base": place_of(w.mission, ground.base),
        "runway": text_or(ground.runway),
        "interval": None if ships == 1 else words.duration(interval) if interval is not None else NOT_GIVEN,
        "rolling": _rolling(w, ships),
        "first_event": clock.events[0].label if clock.events else None,
        "hack": (
            None
            if hack is None
            else (
                f"{hack.when}, from {text_or(hack.source)}, to"
                f" {words.duration(hack.to) if hack.to else NOT_GIVEN}"
            )
        ),
        "start_fuel": _start_fuel(w),
        "departure": [_leg_line(leg) for leg in w.plan.legs if leg.kind == "departure"],
        "rejoin": rejoin(w),
        "solved": "worked back from the time over target" if clock.takeoff_solved else "given in the mission",
    }


def _rolling(w: Words, ships: int) -> str:
    if ships == 1:
        return f"The ship rolls at {w.z(w.plan.clock.takeoff)}"
    return f"Ship 1 rolls at {w.z(w.plan.clock.takeoff)}, ship {ships} at {w.z(w.plan.clock.last_takeoff)}"


def _start_fuel(w: Words) -> str:
    fuel = w.plan.fuel
    if fuel is None or not fuel.ships[0].rows:
        return f"Start to take-off: {NOT_CHECKED}"
    burn = fuel.ships[0].rows[0].burn
    return f"Start to take-off: {w.fuel(burn.printed)}{'' if w.mission.alone else ' a ship'} ({burn.basis})"


def _leg_line(leg) -> str:
    return (
        f"{leg.start.said} to {leg.end.said}: {words.level(leg.level)}, {words.speed_kt(leg.tas_kt, 'KTAS')},"
        f" {words.duration(leg.time_s)}"
    )


def rejoin(w: Words) -> str | None:
    """By when the flight is together again, of the first block (of a plan seen from a block: of that)."""
    training, clock = w.mission.file.training, w.plan.clock
    if training is None or training.rejoin is None or clock.rejoined is None:
        return None
    again, leave = training.rejoin, training.leave
    where = f" over {leave.by}" if leave else ""
    level = f" at {words.level(again.level)}" if again.level else ""
    return (
        f"{'Fuel check' if w.mission.alone else 'Rejoin'}{where}{level}: complete by {w.z(clock.rejoined)},"
        f" {words.duration(again.time)} allowed"
    )


def duty_values(w: Words) -> dict[str, str] | None:
    """``duty``: the duty period in words, None where report or debrief is not given."""
    clock = w.plan.clock
    if clock.report is None or clock.duty_end is None:
        return None
    return {
        "length": words.duration(words.between_s(clock.report, clock.duty_end)),
        "from": w.both(clock.report),
        "to": w.both(clock.duty_end),
    }


def radio_values(w: Words) -> dict[str, Any]:
    """``radio``: how many presets there are."""
    return {
        "count": words.counted(len(w.mission.file.radio), "preset"),
        "flight": _frequency_for(w, "Flight"),
        "any": bool(w.mission.file.radio),
    }


def _frequency_for(w: Words, use: str) -> str | None:
    return next((words.frequency(row.frequency) for row in w.mission.file.radio if row.use == use), None)


def debrief_values(w: Words) -> dict[str, Any]:
    """``debrief``: what is asked at the end."""
    questions, success = list(_questions(w)), w.mission.file.sortie.success
    return {
        "questions": questions,
        "count": words.counted(len(questions), "question"),
        "criteria": words.counted(len(success), "criterion decides", "criteria decide"),
        "end": None if w.plan.clock.duty_end is None else w.both(w.plan.clock.duty_end),
    }


def _questions(w: Words) -> Iterator[str]:
    """Questions that a listener must be able to answer; their answers are all on earlier slides."""
    event = w.plan.event
    if w.plan.fuel is not None and w.plan.fuel.joker is not None:
        yield "At what fuel does the training end, and at what time at the latest?"
    if event is not None:
        yield (
            "Which time do we speak on the radio, and which do we set?"
            if event.late_bias_s
            else "At which second are we overhead?"
        )
    if event is not None and event.abort is not None:
        yield "Who may call the abort, with which words, and what do we fly then?"
    if w.plan.fuel is not None:
        yield "With which fuel do you go home, and from where?"
    yield "What is the spoken check of the card in your hand?"
