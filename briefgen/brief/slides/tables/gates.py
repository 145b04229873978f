"""Gates, contingencies and risk as tables."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.slides.view.gates import key_gates, sorted_gates
from briefgen.brief.wording import format as words
from briefgen.brief.wording.consequences import consequence
from briefgen.brief.wording.gates import (
    bare_words,
    figures_words,
    limit_words,
    named,
    value_words,
    what_to_do,
)
from briefgen.brief.wording.lost_contact import (
    NOT_BRIEFED,
    Briefing,
    briefings,
    does_words,
    key_words,
    lost_contact_by,
    not_briefed,
)
from briefgen.brief.wording.open_limits import by_reason, each_words, many_words, with_key, with_limits
from briefgen.brief.wording.words import NOT_GIVEN, NOT_KNOWN, Words, text_or
from briefgen.mission.schema.limits import RiskRating
from briefgen.plan.model import Gate
from briefgen.units.blank import says_nothing

MOST_CHARACTERS = 700  # of one cell: its row is lower than a slide at every size of type
AS_ASKED = "as asked"
ABOVE = "as above"
NO_CHANGE = "as before"


def gates_open(w: Words) -> Table:
    """What was judged and does not pass: FAIL, CAUTION, WAIVED."""
    columns = (
        Column("Verdict", share=0.12),
        Column("Gate", share=0.3),
        Column("Value", share=0.12),
        Column("Limit", share=0.13),
        Column("What to do", share=0.33),
    )
    rows = [
        part
        for gate in sorted_gates(w)
        if gate.verdict in ("FAIL", "CAUTION", "WAIVED")
        for part in continued(_open_row(w, gate))
    ]
    return text_table("gates_open", columns, rows)


def continued(row: list[Any]) -> list[list[str | Cell]]:
    """A row whose last cell is longer than a slide may be high, as several: parted at a semicolon, a comma or
    a space, the later ones named as what they continue."""
    *head, last = row
    first, *more = parts_of_text(last, MOST_CHARACTERS)
    title = f"{head[1]} (continued)"
    return [[*head, first], *([ABOVE, title, *[ABOVE] * (len(head) - 2), part] for part in more)]


def parts_of_text(text: str, most: int) -> list[str]:
    """A text in parts of so many characters at the most, each as long as it may be; a longer word stays
    whole."""
    parts = []
    while len(text) > most:
        marks = (("; ", most // 2), (", ", most // 2), (" ", 1))
        at = next((cut + 1 for mark, least in marks if (cut := text.rfind(mark, least, most)) > 0), 0)
        if not at:
            at = text.find(" ", most) + 1 or len(text)
        parts.append(text[:at].rstrip())
        text = text[at:].lstrip()
    return [*parts, text] if text or not parts else parts


def _open_row(w: Words, gate: Gate) -> list[str | Cell]:
    to_do = with_key(text_or(what_to_do(gate, w.reasons), gate.source), gate)
    return [
        Cell("", gate.verdict),
        gate.title,
        value_words(gate, day=w.day),
        limit_words(gate, day=w.day),
        to_do,
    ]


def gates_not_checked(w: Words) -> Table:
    """What nobody knows yet, and what is missing for it."""
    columns = (
        Column("Verdict", share=0.16),
        Column("Gate", share=0.25),
        Column("Value", "right", share=0.12),
        Column("What is missing, and the key that settles it", share=0.47),
    )
    reasons = with_limits(w.plan.gates, w.reasons)
    lacking = [gate for gate in sorted_gates(w) if gate.verdict == "NOT CHECKED"]
    rows = [part for group in by_reason(lacking) for part in continued(_lacking_row(w, group, reasons))]
    return text_table("gates_not_checked", columns, rows)


def _lacking_row(w: Words, group: list[Gate], reasons: Mapping[str, str]) -> list[str | Cell]:
    gate, missing = group[0], with_key(_what_to_do(group, reasons), group[0])
    if len(group) > 1:
        titles = ", ".join(gate.title for gate in group)
        return [Cell("", gate.verdict), many_words(group), NOT_KNOWN, f"{missing}: {titles}"]
    return [Cell("", gate.verdict), gate.title, value_words(gate, day=w.day), missing]


def _what_to_do(group: Sequence[Gate], reasons: Mapping[str, str]) -> str:
    """What is missing, and each reason for which it was accepted, once."""
    return "; ".join(dict.fromkeys(what_to_do(gate, reasons) for gate in group))


def open_at_stake(w: Words) -> Table:
    """All that is open, the worst first, with what comes of it when it should have stopped the flight: for a
    page that has no end."""
    columns = (
        Column("Verdict"),
        Column("Gate"),
        Column("Figure (limit)"),
        Column("What to do, or what is missing"),
        Column("At stake"),
    )
    reasons = with_limits(w.plan.gates, w.reasons)
    still = [gate for gate in sorted_gates(w) if gate.verdict != "PASS"]
    rows: list[list[str | Cell]] = [
        [
            Cell("", group[0].verdict),
            named(group[0]) if len(group) == 1 else f"{many_words(group)}: {each_words(group, w.day)}",
            figures_words(group[0], day=w.day) if len(group) == 1 else NOT_KNOWN,
            with_key(text_or(_what_to_do(group, reasons), group[0].source), group[0]),
            "; ".join(dict.fromkeys(map(consequence, group))),
        ]
        for group in by_reason(still)
    ]
    return text_table("open_at_stake", columns, rows)


def limits(w: Words) -> Table:
    """The figures that decide, whatever their verdict."""
    columns = (
        Column("What", share=0.39),
        Column("As planned", "right", share=0.16),
        Column("Limit", share=0.27),
        Column("Verdict", share=0.18),
    )
    rows: list[list[str | Cell]] = [
        [
            gate.title,
            Cell(value_words(gate, day=w.day), strong=True),
            _limit_or_why_none(w, gate),
            Cell("", gate.verdict),
        ]
        for gate in key_gates(w)
    ]
    return text_table("limits", columns, rows)


def _limit_or_why_none(w: Words, gate: Gate) -> str:
    """The limit; for what can't be judged the reason that the slide of open gates gives."""
    return (
        gate.why
        if gate.verdict == "NOT CHECKED" and gate.limit is None and gate.why
        else _limit_or_as_asked(w, gate)
    )


def _limit_or_as_asked(w: Words, gate: Gate) -> str:
    """The limit; a fact that is as it should be has none that could say more."""
    limit = limit_words(gate, day=w.day)
    return AS_ASKED if limit == bare_words(gate, day=w.day) else limit


def gates_passed(w: Words) -> Table:
    """What passes, with its margin to the limit where it has one."""
    columns = (Column("Verdict"), Column("Gate"), Column("Value", "right"), Column("Limit"), Column("Source"))
    rows: list[list[str | Cell]] = [
        [
            Cell("", gate.verdict),
            gate.title,
            value_words(gate, day=w.day),
            _limit_or_as_asked(w, gate),
            gate.source,
        ]
        for gate in w.plan.gates
        if gate.verdict == "PASS"
    ]
    return text_table("gates_passed", columns, rows)


def contingencies(w: Words) -> Table:
    """What is done when something goes wrong."""
    rows: list[list[str | Cell]] = [
        [
            Cell(one.name, strong=True),
            _when(w, one),
            one.given.who,
            NOT_BRIEFED if says_nothing(one.given.action) else does_words(w, one, one.given.action),
        ]
        for one in briefings(w)
    ]
    if rows:  # with none at all there is no slide of them: the gates tell it
        rows += [[Cell(key_words(key), strong=True), "–", "–", NOT_BRIEFED] for key in not_briefed(w)]
    return text_table("contingencies", (Column("If"), Column("When"), Column("Who"), Column("Does")), rows)


def _when(w: Words, one: Briefing) -> str:
    by = lost_contact_by(w, one)
    return f"{one.given.trigger} by {by}" if by else one.given.trigger


def fall_outs(w: Words) -> Table:
    """What becomes of the flight without one ship."""
    rows: list[list[str | Cell]] = []
    for ship, answer in sorted(w.mission.file.contingencies.fall_outs.items()):
        leads = f"ship {answer.leads}" if answer.leads is not None else ("ship 1" if ship != 1 else NOT_GIVEN)
        rows.append([f"Ship {ship}", leads, text_or(answer.formation, NO_CHANGE)])
    event = w.mission.file.event
    least = event.pass_.minimum_ships if event else None
    caption = "" if least is None else f"The pass needs {words.counted(least, 'ship')} or more."
    return text_table("fall_outs", (Column("Without"), Column("Leads"), Column("Formation")), rows, caption)


def risk(w: Words) -> Table:
    """Hazards before and after their control."""
    columns = (
        Column("Hazard"),
        Column("Before", "right"),
        Column("Control"),
        Column("After", "right"),
        Column("Who accepts it"),
    )
    rows: list[list[str | Cell]] = [
        [
            Cell(item.hazard, strong=True),
            rating(item.before),
            text_or(item.control),
            rating(item.after) if item.after else NOT_GIVEN,
            text_or(item.accepted_by),
        ]
        for item in w.mission.file.risk
    ]
    return text_table("risk", columns, rows, "Likelihood x severity, 1 (least) to 5 each.")


def rating(given: RiskRating) -> str:
    """``3 x 4 = 12``."""
    return f"{given.likelihood} x {given.severity} = {given.likelihood * given.severity}"


TABLES: dict[str, Callable[[Words], Table | None]] = {
    "contingencies": contingencies,
    "fall_outs": fall_outs,
    "limits": limits,
    "gates_open": gates_open,
    "gates_not_checked": gates_not_checked,
    "gates_passed": gates_passed,
    "open_at_stake": open_at_stake,
    "risk": risk,
}
