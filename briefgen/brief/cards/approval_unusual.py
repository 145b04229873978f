"""What a supervisor would not expect of a sortie, for the approval sheet."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.cards.common import crew_words
from briefgen.brief.cards.model import Lines
from briefgen.brief.wording import format as words
from briefgen.brief.wording.doubts import DOUBTS, doubts_words
from briefgen.brief.wording.words import Words
from briefgen.mission.schema.limits import Waiver
from briefgen.plan.model import Gate
from briefgen.plan.waivers import by_crew, named_by, unsaid_part, waiver_words


def unusual(w: Words, *, most: int | None = None) -> Lines:
    """What the check doubts, a first-time lead, waivers, how much is judged by a default, what was worked
    back. ``most``: so many doubts and so many waivers, those in force first, the others counted."""
    items = [
        *_doubts(w, most),
        *_first_time(w),
        *_waivers(w, most),
        *_guesses(w),
        *_difference(w),
    ]
    return Lines(
        "Unusual", tuple(items) or (("", "Nothing: no first-time lead, no waiver, no default in force."),)
    )


def _doubts(w: Words, most: int | None) -> Iterator[tuple[str, str]]:
    told = doubts_words(w.plan.doubts)
    yield from ((f"{DOUBTS}:", f"{doubt}.") for doubt in told[:most])
    if most is not None and len(told) > most:
        yield (
            f"{DOUBTS}:",
            f"{words.counted(len(told) - most, 'figure')} {'more ' * bool(most)}on the review page.",
        )


def _first_time(w: Words) -> Iterator[tuple[str, str]]:
    lead = w.mission.file.flight[0]
    if w.plan.event is None:
        return
    if lead.flypasts_led is None:
        yield (
            ("Crew:" if w.mission.alone else "Leader:"),
            f"{crew_words(lead)}: how many flypasts led is not given.",
        )
    elif lead.flypasts_led == 0:
        yield (
            ("First flypast:" if w.mission.alone else "First-time lead:"),
            f"{crew_words(lead)} {'flies' if w.mission.alone else 'leads'} a flypast for the first time.",
        )


def _waivers(w: Words, most: int | None = None) -> Iterator[tuple[str, str]]:
    """Those in force first, then those that are not used and why; ``most``: so many of them, the others
    counted."""
    named = [(waiver, named_by(waiver, w.plan.gates)) for waiver in w.mission.file.waivers]
    rows = [(waiver, gate, _why_unused(w, waiver, gate)) for waiver, gate in named]
    rows.sort(key=lambda row: bool(row[2]))
    for waiver, gate, unused in rows[:most]:
        state = f"; NOT USED: {unused}" if unused else ""
        valid = f"{words.day(waiver.valid.start)} to {words.day(waiver.valid.end)}"
        yield (
            f"Waiver {waiver.reference}:",
            f"{gate.title if gate else waiver.rule}, by {waiver.authority}, {valid}{state}.",
        )
    if most is not None and len(rows) > most:
        unused = sum(bool(why) for _, _, why in rows[most:])
        yield (
            "More waivers:" if most else "Waivers:",
            (
                f"{len(rows) - most - unused} in force, beside their gates on the review page; {unused} not"
                " used."
            ),
        )


def _why_unused(w: Words, waiver: Waiver, gate: Gate | None) -> str:
    """Empty for a waiver in force."""
    if gate is None:
        return "there is no such gate in this plan"
    if not gate.waivable:
        return "refused, this is never waived"
    if unsaid := unsaid_part(waiver):
        return f"refused, its {unsaid} says nothing"
    if (own := by_crew(w.mission, waiver)) is not None:
        return f"refused, {own[1]} flies ship {own[0]}"
    if gate.verdict == "WAIVED":
        return "" if gate.waiver == waiver_words(waiver) else "another waiver is in force"
    if gate.verdict == "NOT CHECKED":
        return "the gate reads NOT CHECKED: what isn't known can't be waived"
    return "not valid on the day" if gate.verdict == "FAIL" else f"not needed, the gate reads {gate.verdict}"


def _guesses(w: Words) -> Iterator[tuple[str, str]]:
    guessed = sum(_is_guess(gate) for gate in w.plan.gates)
    if guessed:
        yield (
            "Judged by a default, no authority:",
            f"{words.counted(guessed, 'figure')}, named on the review page.",
        )


def _is_guess(gate: Gate) -> bool:
    """A figure judged against a limit that nobody has published or given."""
    return gate.guessed and gate.verdict != "NOT CHECKED" and isinstance(gate.limit, (int, float))


def _difference(w: Words) -> Iterator[tuple[str, str]]:
    clock = w.plan.clock
    if clock.takeoff_solved:
        yield "Take-off:", f"worked back from the time over target, {w.z(clock.takeoff)}."
