"""What the ground contact's card has to say and to write: the words for a change, where changes are written,
who else is told, and whom to call. Every time on it is true time."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import Literal

from briefgen.brief.cards.common import filled_by, grid, traffic_rows, window_words
from briefgen.brief.cards.ground_rows import row_words
from briefgen.brief.cards.ground_stops import steps_words, stop_hint
from briefgen.brief.cards.model import Grid, Lines, Pairs, Reduction, Side
from briefgen.brief.wording import format as words
from briefgen.brief.wording.lost_contact import event_phone_rows, no_cue_words, supervisor_rows
from briefgen.brief.wording.passes import next_name
from briefgen.brief.wording.spoken import (
    Call,
    Callers,
    callers,
    new_time,
    seconds,
    unable,
)
from briefgen.brief.wording.words import Words
from briefgen.plan.event.judge import Added
from briefgen.plan.event.lost_contact import home_before_leave
from briefgen.plan.event.silence import Step, cues_to_t, silence_steps
from briefgen.plan.model import EventPlan, Party

# of the cues between the first and the last: each step's words, only what follows the fact, or nothing
Middle = Literal["whole", "short", "none"]
CHANGES = 5  # rows to write changes in
_FEW, _FEWEST = 6, 3  # of what a card too full keeps of a long list
FAST_OR_SLOW = "fast [slow] ____ ____ seconds"  # a place to write the change of a flight that has no hold
_SIX_DIGITS = (
    "all six digits, one by one, the word Zulu and the words true time."
    " Never add anything to it: the flight adds its own."
)
_DIGITS = "every digit one by one, and never a clock time. Early is fast, late is slow."


def change_words(w: Words, event: EventPlan) -> Side:
    """What stands beside the slips: the words, and where a change is written; nothing for a pass that moves
    with another."""
    own = event.leader is None
    return {"say": _say(w, event) if own else None, "changes": _changes(event, CHANGES) if own else None}


def fewer_changes(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    """Fewer lines to write on, where the words take their room, and then fewer words."""
    if event.leader is not None:
        return ()
    short = "of the cues between first and last the words after NOT STARTED only"
    ends = "of the cues only the first and the last"
    return (
        Reduction("changes", "", _changes(event, _FEWEST)),
        Reduction("changes", "", _changes(event, 1)),
        *(
            [
                Reduction("say", short, _say(w, event, middle="short")),
                Reduction("say", ends, _say(w, event, middle="none")),
            ]
            if len(cues_to_t(w.plan)) > 2
            else ()
        ),
    )


def fewer_words(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    """The last that a full side gives up: what the clock page answers too."""
    if event.leader is not None or event.hold is None:
        return ()
    few = _say(w, event, middle="none", rows=False)
    return (Reduction("say", "what to do between two rows left out", few),)


def others(w: Words, event: EventPlan) -> Side:
    """Who else is told, who else is about, and whom to call."""
    return {"parties": _parties(w, event), "traffic": _traffic(w), "phones": _phones(w)}


def fewer_others(w: Words, event: EventPlan) -> tuple[Reduction, ...]:
    """Of the long lists their ends."""
    return (
        Reduction("traffic", f"only the first {_FEW} of the other traffic", _traffic(w, most=_FEW)),
        Reduction("parties", f"only the first {_FEW} parties", _parties(w, event, most=_FEW)),
        Reduction("traffic", f"only the first {_FEWEST} of the other traffic", _traffic(w, most=_FEWEST)),
        Reduction("parties", f"only the first {_FEWEST} parties", _parties(w, event, most=_FEWEST)),
    )


def _say(w: Words, event: EventPlan, *, middle: Middle = "whole", rows: bool = True) -> Lines:
    zone = w.mission.home_zone
    who = callers(w.mission)
    call, always = _change(who, event)
    return Lines(
        "Words for a change",
        (
            ("Say:", call.say),
            ("Always", always),
            ("Read-back expected:", f"{call.read_back} Wrong or none: say it again. Write it below."),
            *(row_words(w) if rows and event.hold is not None else ()),
            *_in_hold(w, event),
            *_silence(w, event, middle=middle),
            *stop_hint(event),
            ("Too late for it:", unable(who, "____ late").say),
            (
                "Clock:",
                (
                    f"Zulu is {words.zone_words(event.true_time, zone)} less its offset: T"
                    f" {words.clock_both(event.true_time, zone)}."
                ),
            ),
        ),
    )


def _change(who: Callers, event: EventPlan) -> tuple[Call, str]:
    """What is said of a change, and what always holds: a new time, of a flight without a hold so many
    seconds, which are all that it takes in."""
    if event.hold is None:
        return seconds(who, FAST_OR_SLOW), _DIGITS
    return new_time(who, event.true_time, " ".join(("____",) * 6)), _SIX_DIGITS


def _silence(w: Words, event: EventPlan, *, middle: Middle) -> Iterator[tuple[str, str]]:
    """No time and no seconds on a cue that nobody has heard: what is said instead from which second on, as
    the clock page has it, a line for each cue."""
    if event.cue_check is None:
        return
    *before, last = ((cue, silence_steps(w.plan, cue)) for cue in cues_to_t(w.plan))
    if not last[1]:
        return
    left = "after leave-hold" if event.hold is not None else "after the IP"
    unsaid = event.section.no_cue is None
    briefed = f" Briefed for it {left}: {no_cue_words(w.plan)}." if unsaid else ""
    for n, (cue, steps) in enumerate(before[:1] if middle == "none" else before):
        yield (
            f"{cue} not heard, Z:",
            steps_words(w, cue, steps, in_short=middle == "short" and n > 0) + briefed,
        )
    moved = "No time and no seconds on a cue that you have not heard."
    if before:
        moved += _if_late(w, [steps for _, steps in (*before, last)])
    yield f"{last[0]} not heard, Z:", f"{steps_words(w, *last)}{briefed} {moved}"


_BY_LIMIT: dict[Added, str] = {"go home": "Go home", "next pass": "Go on"}


def _if_late(w: Words, each: Sequence[tuple[Step, ...]]) -> str:
    """What a cue that came late does to the times of a later one, and which line counts. What a limit begins
    does not move with T."""
    added = {step.added for step in each[-1]}
    by_limit = [words_ for then, words_ in _BY_LIMIT.items() if {"no cue", then} <= added]
    if any((a.added, b.added) == ("hold", "intentions") for s in each[1:] for a, b in pairwise(s)):
        by_limit.append("Say intentions")
    but = f", but not to {' and '.join(by_limit)}" if by_limit else ""
    last = w.bare(each[-1][-1].until)  # of the T that is held
    return (
        f" If an earlier cue came late, add as much to these times{but}; to the last, {last}, only once that"
        " T is told. Only one line counts: of the first cue after the last that you heard."
    )


def _in_hold(w: Words, event: EventPlan) -> Iterator[tuple[str, str]]:
    """What a flight in the hold does that has heard nothing of its cue."""
    if event.hold is not None and not event.hold.reached:
        at = w.z(event.hold.arrival)
        yield "The hold:", f"reached only at {at}, too late for T; the flight has no T until it is told one."
    elif event.hold is not None and (home := home_before_leave(w.plan)) is not None:
        when = "on reaching it" if home.on_arrival else f"at {w.by(home.at)}"
        where = "home" if home.then == "go home" else f"on to {next_name(w.plan)}"
        yield (
            "Still in the hold:",
            f"the flight goes {where} {when}, before leave-hold {w.z(event.hold.leave)}, unless it has"
            f" accepted an earlier T ({home.short}).",
        )
    elif event.hold is not None and event.cue_check is not None:
        yield (
            "Still in the hold:",
            (
                f"the flight leaves it at {w.z(event.hold.leave)}, cue or no cue, unless it is told HOLD;"
                " then it has no T until it has accepted one."
            ),
        )


def _changes(event: EventPlan, count: int) -> Grid:
    """Without a hold no clock time is told, only seconds."""
    told = (
        [("Which time", "1fr", "l"), ("Old, Z", "23mm", "l"), ("New, Z", "23mm", "l")]
        if event.hold is not None
        else [("FAST, seconds", "1fr", "l"), ("SLOW, seconds", "1fr", "l")]
    )
    columns = [
        ("", "auto", "r"),
        *told,
        ("Reason", "1.6fr", "l"),
        ("Said at, Z", "23mm", "l"),
        ("Read back at, Z", "25mm", "l"),
    ]
    heads, widths, align = zip(*columns, strict=True)
    rows = tuple((str(n), *("",) * (len(columns) - 1)) for n in range(1, count + 1))
    return Grid("Changes", heads, rows, widths, "".join(align), tall=True)


def _parties(w: Words, event: EventPlan, *, most: int | None = None) -> Grid | None:
    columns = [
        ("Who", "1fr", "l"),
        ("What", "1.3fr", "l"),
        ("From, to (Z)", "auto", "l"),
        ("Contact", "auto", "l"),
        ("Holds T", "1.2fr", "l"),
        ("Told new T", "22mm", "l"),
    ]
    shown = event.parties[:most]
    table = grid("Other parties: their times move with T", columns, [_party_row(w, party) for party in shown])
    texts = [
        ((*party.cause, name), text)
        for party in shown
        for name, text in (("who", party.who), ("what", party.what), ("contact", party.contact))
    ]
    return filled_by(table, texts)


def _party_row(w: Words, party: Party) -> tuple[str, ...]:
    state = (
        w.bare(party.held)
        if party.acknowledged
        else "NOT ACKNOWLEDGED" + (f", holds {w.bare(party.held)}" if party.held else "")
    )
    return (party.who, party.what, window_words(w, party.start, party.end), party.contact, state, "")


def _traffic(w: Words, *, most: int | None = None) -> Grid | None:
    columns = [("Who", "1fr", "l"), ("Level", "1fr", "l"), ("From, to (Z)", "auto", "l")]
    return grid("Other traffic", columns, traffic_rows(w)[:most])


def _phones(w: Words) -> Pairs | None:
    """Each with what it is for."""
    supervisor, permission = w.mission.file.sortie.supervisor, w.mission.file.event.permission
    recall = f", recalls it by {supervisor.recall_word}" if supervisor and supervisor.recall_word else ""
    rows = [(label, f"{reach}: passes word to the flight{recall}") for label, reach in supervisor_rows(w)]
    rows += [(label, f"{reach}: you are called back there") for label, reach in event_phone_rows(w)]
    rows += (
        [("Permission", permission.reference + (f", {permission.authority}" if permission.authority else ""))]
        if permission
        else []
    )
    return Pairs("Phones", tuple(rows)) if rows else None
