"""What is said on the radio, word by word: which time changes, old, new, every digit, Zulu, and what is to be
read back.

No phraseology for this is published; ours follows one rule: nothing is said that could be taken for another
time. The ground contact's page (briefgen/render/html/clock_words.js) says the same sentences.
"""

from __future__ import annotations

from datetime import datetime

from briefgen.brief.wording.format import (
    change_read_back,
    change_said,
    clock_spoken,
    digits_spoken,
    seconds_read_back,
    seconds_said,
)
from briefgen.brief.wording.silence import not_started_said
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.event import NoCue
from briefgen.plan.event.judge import Added

GROUND = "ground contact"


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
    """The flight's callsign and the ground contact's."""
    contact = mission.file.event.ground_contact
    return Callers(mission.file.sortie.callsign, contact.callsign if contact is not None else GROUND)


def new_time(who: Callers, old: datetime, new: datetime) -> Call:
    """A new true time, before leave-hold. The set time is never said: only the flight adds its bias."""
    said = clock_spoken(new)
    return Call(
        change_said(who.flight, who.ground, old=clock_spoken(old), new=said),
        change_read_back(who.flight, new=said),
    )


def seconds(who: Callers, change_s: float) -> Call:
    """After leave-hold: sooner is fast, later is slow; no clock time is said any more."""
    words = _seconds(change_s).format("")
    return Call(
        seconds_said(who.flight, who.ground, words=words),
        seconds_read_back(who.flight, words=words),
    )


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


def unable(who: Callers, change_s: float, price_s: float | None) -> Call:
    """The change can't be met: said as such, with the price of one more lap, never with the nearest value."""
    late = "late" if change_s > 0 else "early"
    price = f" One more lap costs {spoken_length(price_s)}." if price_s is not None else ""
    return Call(
        f"{who.flight}, {who.ground}. Ceremony {spoken_length(change_s)} {late}. UNABLE to meet it as"
        f" planned.{price} Say intentions."
    )


def ask_first(who: Callers, held: datetime, change_s: float) -> Call:
    """Of a true time beyond a limit, before it is told; of the one that is held where nothing changes. No
    clock time but the held one is in it: nothing can be taken for a change. As the clock page asks it."""
    if not change_s:
        asks = f"Can you hold true time {clock_spoken(held)} Zulu? Say intentions."
    else:
        late = "late" if change_s > 0 else "early"
        asks = (
            f"Question only, true time stands. Ceremony {spoken_length(change_s)} {late}. Can you accept it?"
        )
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


def not_started(who: Callers, cue: str, added: Added, no_cue: NoCue | None) -> Call:
    """The fact alone, a lap with it, or what the unit has briefed for it; no time in it, since nobody has
    heard the cue."""
    return Call(*not_started_said(who.flight, cue, added, no_cue))
