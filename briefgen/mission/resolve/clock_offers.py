"""What may be written instead of a clock time or a range that is refused: only what the next run takes, and
takes for what was meant."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import TypeVar

from briefgen.airmath.clocks import offset_at, offset_label
from briefgen.airmath.times import Candidate, ClockContext, Refusal, TimeSpan
from briefgen.core.records import record
from briefgen.units.grammar import Refusal as Unreadable
from briefgen.units.grammar import listed
from briefgen.units.nearest import nearest_words
from briefgen.units.parse_clock import swapped
from briefgen.units.values import ClockRange, ClockTime

_BARE_L = re.compile(" ?(?<![A-Za-z])L(?![A-Za-z])")
_CLOCK_OF = {"base": " base", "event": " event", "UTC+11": " +1100"}  # how each reading of a bare L is typed
_DATED = ("tie", "twice on that date", "not on that date")  # refusals that a date may settle
Taken = Callable[[str, Candidate], bool]  # whether a text would be taken for that instant, or that range
Typed = TypeVar("Typed", ClockTime, ClockRange)


@record
class Asked:
    """A value that was refused: as it was read, the mission's clocks, what would be ``taken`` in its place,
    and its ``text`` where a bare L stands in it."""

    typed: ClockTime | ClockRange
    context: ClockContext
    taken: Taken
    text: str = ""


def whether_taken(parse: Callable[[str], Typed], resolved: Callable[[Typed], object]) -> Taken:
    """Whether a text is read, and resolved to what the candidate is."""

    def taken(offer: str, meant: Candidate) -> bool:
        try:
            answer = resolved(parse(offer))
        except Unreadable:
            return False
        wanted = meant.instant if meant.until is None else TimeSpan(meant.instant, meant.until)
        return wanted in answer if isinstance(answer, tuple) else answer == wanted

    return taken


def advice(refusal: Refusal, asked: Asked) -> str:
    """What may be written instead: each candidate as the whole value with one meaning, in the first form that
    is taken for it; where none is, what is wanted."""
    if refusal.reason == "no event":
        return "write Z or base"
    if refusal.reason == "no such event":
        return _of_other_events(asked)
    dated = refusal.reason in _DATED
    if refusal.reason == "tie" and (whole := _the_other_way_round(refusal, asked)):
        return f"write {whole} if the two times are swapped, else type the dates of both"
    found = [_offer(candidate, asked, dated=dated) for candidate in refusal.candidates]
    offers = [offer for offer in dict.fromkeys(found) if offer]
    return f"write {' or '.join(offers)}" if offers else "check the date and the time"


def _the_other_way_round(refusal: Refusal, asked: Asked) -> str:
    """A range between whose two readings the sortie lies, from its end to its start: where both fall on the
    day of the sortie and that would be taken for the time between the readings; else empty."""
    before, after = refusal.candidates
    typed, day = asked.typed, asked.context.sortie_date
    if not isinstance(typed, ClockRange) or before.until is None:
        return ""
    ends = ((before.until, typed.end), (after.instant, typed.start))
    whole = swapped(asked.text)
    same_day = all(date_there(instant, end, asked.context) == day for instant, end in ends)
    return (
        whole if same_day and asked.taken(whole, replace(after, instant=ends[0][0], until=ends[1][0])) else ""
    )


def _of_other_events(asked: Asked) -> str:
    """The value by the clock of each event whose id is near the typed one, else of each; where no event has
    an id, by the words."""
    ends = (asked.typed.start, asked.typed.end) if isinstance(asked.typed, ClockRange) else (asked.typed,)
    known = ("Z", "L", "offset", *asked.context.zones, *asked.context.events)
    wrong = next(end.clock for end in ends if end.clock not in known)
    near = nearest_words(wrong, [*asked.context.events, *asked.context.zones])
    words = near or list(asked.context.events) or ["Z", *asked.context.zones]
    offers = [by_clock(asked.text, wrong, word) for word in words]
    return f"write {listed(offers)}; of a zone its offset from UTC, for example +0200"


def by_clock(text: str, word: str, other: str) -> str:
    """A time or range by another clock than that of a word in it, ``event`` or an id, or of a bare L."""
    return _BARE_L.sub(f" {other}", re.sub(rf"\b{word}\b", other, text))


def _offer(candidate: Candidate, asked: Asked, *, dated: bool) -> str:
    """A candidate as it would be typed, with its Zulu time; "before the change" and the like where that is
    why it stands there.  Empty where it is taken in no form."""
    clock = _CLOCK_OF.get(candidate.reading)
    wholes = [_BARE_L.sub(clock, asked.text)] if clock else []
    wholes += [whole for with_date in (dated, not dated) for whole in _wholes(candidate, asked, with_date)]
    offer = next((whole for whole in wholes if asked.taken(whole, candidate)), "")
    zulu = _zulu(candidate, dated)
    notes = [
        *([] if zulu in offer else [zulu]),
        *([] if clock and offer == wholes[0] else [candidate.reading]),
    ]
    return f"{offer} ({', '.join(notes)})" if offer and notes else offer


def first_form(candidate: Candidate, typed: ClockTime, context: ClockContext, taken: Taken) -> str:
    """An instant in the first form that is taken for it, dated only where it must be; empty where none is."""
    dated = (form for day in (False, True) for form in _forms(candidate.instant, typed, context, day))
    return next((form for form in dated if taken(form, candidate)), "")


def _zulu(candidate: Candidate, dated: bool) -> str:
    form = "%Y-%m-%d %H:%M:%S Z" if dated else "%H:%M:%S Z"
    return " to ".join(f"{instant:{form}}" for instant in (candidate.instant, candidate.until) if instant)


def _wholes(candidate: Candidate, asked: Asked, dated: bool) -> list[str]:
    """A candidate as the whole value, of a range with both its ends: with the offsets of the typed clocks,
    then in Zulu."""
    typed, context = asked.typed, asked.context
    if isinstance(typed, ClockTime):
        return _forms(candidate.instant, typed, context, dated)
    if candidate.until is None:
        return []
    starts = _forms(candidate.instant, typed.start, context, dated)
    ends = _forms(candidate.until, typed.end, context, dated)
    return [f"{start} to {end}" for start, end in zip(starts, ends, strict=True)]


def _forms(instant: datetime, typed: ClockTime, context: ClockContext, dated: bool) -> list[str]:
    """An instant with the offset of the typed clock, then in Zulu."""
    form = "%Y-%m-%d %H:%M:%S" if dated else "%H:%M:%S"
    offset_s = _offset_s(instant, typed, context)
    local = (instant + timedelta(seconds=offset_s)).strftime(form)
    zulu = f"{instant.strftime(form)} Z"
    is_local = context.zone(typed.clock) or offset_s
    return [f"{local} {offset_label(offset_s).replace(':', '')}" if is_local else zulu, zulu]


def _offset_s(instant: datetime, typed: ClockTime, context: ClockContext) -> int:
    """What the typed clock is east of UTC then."""
    zone = context.zone(typed.clock)
    return offset_at(instant, zone) if zone else typed.offset_s


def clock_words(typed: ClockTime) -> str:
    """A clock time as it would be typed, to the second."""
    clock = offset_label(typed.offset_s).replace(":", "") if typed.clock == "offset" else typed.clock
    time = f"{typed.hour:02d}:{typed.minute:02d}:{typed.second:02d} {clock}"
    return f"{typed.date} {time}" if typed.date else time


def date_there(instant: datetime, typed: ClockTime, context: ClockContext) -> date:
    """The date that the typed clock shows then."""
    return (instant + timedelta(seconds=_offset_s(instant, typed, context))).date()


def with_offset(text: str, offset: str) -> str:
    """A time or range with another offset from UTC, such as +10:30, in the place of its own."""
    return re.sub("(?<= )[-+][0-9]{2}:?[0-9]{2}(?![0-9])", offset.replace(":", ""), text)
