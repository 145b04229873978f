"""What is said on the radio, word by word: which time changes, old, new, every digit, Zulu, and what is to be
read back.

No phraseology for this is published; ours follows one rule: nothing is said that could be taken for another
time. Cards, slides and ``briefgen retime`` ask here; the ground contact's page (render/html/clock_words.js)
says the same sentences.
"""

from __future__ import annotations

from datetime import UTC, datetime, tzinfo

from briefgen.brief.wording.format import clock_bare
from briefgen.brief.wording.passes import pass_name
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.event import NoCue
from briefgen.plan.event.judge import Added
from briefgen.plan.model import EventPlan
from briefgen.units.rounding import up

GROUND = "ground contact"
_SPOKEN = dict(
    zip(
        "0123456789",
        ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
        strict=True,
    )
) | {".": "decimal"}
_THEN = {
    "hold lap": ("HOLD.", "HOLD."),
    "hold": ("Return to the hold.", "returning to the hold."),
    "go home": ("Go home.", "going home."),
    "next pass": ("Go on to {to}.", "going on to {to}."),
}


@record
class Call:
    """What is said, and what must come back (empty: nothing)."""

    say: str
    read_back: str = ""


@record
class Callers:
    """Who is called, and who calls."""

    flight: str
    ground: str


def callers(mission: Mission) -> Callers:
    """The flight's callsign and the ground contact's, who of several passes says which one is meant."""
    event = mission.file.event
    contact = event.ground_contact if event is not None else None
    ground = contact.callsign if contact is not None else GROUND
    if mission.among > 1:
        ground += f". {pass_name(mission.passes[0])}"
    return Callers(mission.file.sortie.callsign, ground)


def digits_spoken(text: str) -> str:
    """``zero three three zero zero two``: digits one by one, a point as "decimal" (ICAO Doc 9432, from
    memory); colons and spaces fall away."""
    return " ".join(_SPOKEN.get(c, c) for c in text if c not in (":", " "))


def clock_spoken(instant: datetime, zone: tzinfo = UTC) -> str:
    """The hour, minute and second digit by digit, without the clock's name."""
    return digits_spoken(clock_bare(instant, zone))


def new_time(who: Callers, old: datetime, new: datetime | str) -> Call:
    """A new true time, before leave-hold; ``new`` may be a place to write it. The set time is never said:
    only the flight adds its bias."""
    said = new if isinstance(new, str) else clock_spoken(new)
    return Call(
        f"{who.flight}, {who.ground}. Change of true time. Old true time: {clock_spoken(old)} Zulu. New true"
        f" time: {said} Zulu. Read back true time.",
        f"{who.flight}, true time {said} Zulu.",
    )


def seconds(who: Callers, change: float | str) -> Call:
    """After leave-hold: sooner is fast, later is slow; no clock time is said any more. ``change``: seconds,
    later positive, or a place to write them."""
    said = change if isinstance(change, str) else _seconds(change).format("")
    return Call(
        f"{who.flight}, {who.ground}. {said.capitalize()}. I say again: {said}. Read back.",
        f"{who.flight}, {said}.",
    )


NEW_DIGITS = "(six digits)"
NEW_SECONDS = "slow [fast] … seconds"


def blank_change(who: Callers, event: EventPlan) -> Call:
    """A new time, without a hold so many seconds, with a place to write them."""
    return seconds(who, NEW_SECONDS) if event.hold is None else new_time(who, event.true_time, NEW_DIGITS)


def _seconds(change_s: float) -> str:
    whole = int(abs(change_s) + 0.5)
    return (
        f"{'fast' if change_s < 0 else 'slow'}{{}} {digits_spoken(str(whole))}"
        f" second{'' if whole == 1 else 's'}"
    )


def spoken_length(seconds: float) -> str:
    """``four minutes one zero seconds``: digit by digit, to the nearest second."""
    minutes, rest = divmod(int(abs(seconds) + 0.5), 60)
    parts = [
        f"{digits_spoken(str(n))} {unit}{'' if n == 1 else 's'}"
        for n, unit in ((minutes, "minute"), (rest, "second"))
        if n
    ]
    return " ".join(parts) or "zero seconds"


def _off(change_s: float) -> str:
    if abs(change_s) < 0.5:
        return "on time"
    return f"{spoken_length(change_s)} {'late' if change_s > 0 else 'early'}"


def off_words(change_s: float, short_s: float) -> str:
    """``late by 0.2 s, inside the tolerance``: what speed falls short of a change leaves the flight late
    where it had to be sooner. Printed, not said; as the clock page prints it."""
    return f"{'late' if change_s < 0 else 'early'} by {up(short_s, 0.1):.1f} s, inside the tolerance"


def unable(who: Callers, change: float | str, price_s: float | None = None) -> Call:
    """The change can't be met: said as such, with the price of one more lap, never with the nearest value.
    ``change``: seconds, later positive, or a place to write them."""
    said = change if isinstance(change, str) else _off(change)
    price = f" One more lap costs {spoken_length(price_s)}." if price_s is not None else ""
    return Call(
        f"{who.flight}, {who.ground}. Ceremony {said}. UNABLE to meet it as planned.{price} Say intentions."
    )


def ask_first(who: Callers, held: datetime, change_s: float) -> Call:
    """Of a true time beyond a limit, before it is told; of the one that is held where nothing changes. No
    clock time but the held one is in it: nothing can be taken for a change. As the clock page asks it."""
    if not change_s:
        asks = f"Can you hold true time {clock_spoken(held)} Zulu? Say intentions."
    else:
        asks = f"Question only, true time stands. Ceremony {_off(change_s)}. Can you accept it?"
    return Call(f"{who.flight}, {who.ground}. {asks}")


def ask(who: Callers, change_s: float, *, further: bool) -> Call:
    """Only the flight knows what it can do; ``further``: after an earlier change of speed."""
    words = _seconds(change_s).format(" a further" if further else "")
    return Call(f"{who.flight}, {who.ground}. Can you accept {words}?", f"{who.flight}, {words}, or unable.")


def ask_time(who: Callers, old: datetime, new: datetime) -> Call:
    """Of a flight that was told to hold: only it knows what its laps can give. The time that it held before
    is no change."""
    said = clock_spoken(new)
    asked = (
        f"Can you accept true time {said} Zulu?"
        if clock_spoken(old) == said
        else f"Can you accept a change of true time? Old true time: {clock_spoken(old)} Zulu. New true time:"
        f" {said} Zulu."
    )
    words = f"{asked} Read back true time, or say unable."
    return Call(f"{who.flight}, {who.ground}. {words}", f"{who.flight}, true time {said} Zulu, or unable.")


def ask_which(who: Callers, made: datetime) -> Call:
    """Of a flight that left the hold in which it was told to stay: which true time it flies. The one that its
    leaving time would make is no more than a question."""
    said = clock_spoken(made)
    return Call(
        f"{who.flight}, {who.ground}. Which true time do you fly? Question only: true time {said} Zulu?",
        f"{who.flight}, true time {said} Zulu, or the one that it flies.",
    )


def left_words(at: str) -> str:
    """Printed, not said; as the clock page prints it."""
    return f"TOLD TO HOLD, LEFT AT {at}: it has no true time"


def silent_fact(name: str, *, mark: bool) -> str:
    """A cue that has not begun; a mark inside a part that has."""
    return f"{name} {'NOT HEARD' if mark else 'NOT STARTED'}"


@record
class Briefed:
    """What the unit has briefed for a cue that is not heard; ``to``: the next pass by name, empty after the
    last."""

    no_cue: NoCue | None
    to: str = ""


def not_started(who: Callers, cue: str, added: Added, briefed: Briefed, *, mark: bool = False) -> Call:
    """Of a cue that nobody has heard: the fact alone, a lap with it, what the unit has briefed for it, the
    way home or on where a return to the hold leads to no T, or the wish for intentions where no lap can be
    had; no time in it. ``mark``: it is a mark."""
    order, answer = _order(added, briefed)
    said = f"{who.flight}, {silent_fact(cue, mark=mark)}. {order}".rstrip()
    return Call(said, f"{who.flight}, {answer}") if answer else Call(said)


def order_words(added: Added, briefed: Briefed) -> str:
    """What is said after the fact; empty where it is said alone."""
    return _order(added, briefed)[0]


def _order(added: Added, briefed: Briefed) -> tuple[str, str]:
    """And how it is read back; empty where it isn't."""
    if added == "intentions":
        return "Say intentions.", ""
    then = {"hold": "hold lap", "no cue": briefed.no_cue}.get(added, added)
    say, back = _THEN.get(then or "", ("", ""))
    return say.format(to=briefed.to), back.format(to=briefed.to)
