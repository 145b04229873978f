"""The gates on the approval sheet: the worst first, the rest that does not pass, what was not judged and why, and what passes, by topic."""

from __future__ import annotations

from collections import Counter

from briefgen.brief import format as words
from briefgen.brief.card_model import Grid, Lines
from briefgen.brief.cards_common import Told, grid
from briefgen.brief.gate_words import figures_words, what_to_do
from briefgen.brief.open_limits import WHY, key_words, titles_by_key
from briefgen.plan.model import Gate, Topic, Verdict

ORDER: tuple[Verdict, ...] = ("FAIL", "CAUTION", "NOT CHECKED", "WAIVED")
MOST_WORST = 8  # rows that the first page shows; the second has the others

# Within a verdict the topics stand in this order: what can hurt somebody before what only spoils the day (own choice, no source).
_TOPICS: dict[Topic, str] = {
    "heights": "Heights, speeds",
    "fuel": "Fuel",
    "formation": "Formation",
    "crew": "Crew",
    "weather": "Weather, day",
    "time": "Time",
    "ground": "Ground, others",
    "area": "Area",
    "briefed": "Briefed",
    "other": "Other",
}


def _open(told: Told) -> list[Gate]:
    """What does not pass, judged: the worst first."""
    topics = tuple(_TOPICS)
    gates = [gate for gate in told.plan.gates if gate.verdict not in ("PASS", "NOT CHECKED")]
    return sorted(gates, key=lambda gate: (ORDER.index(gate.verdict), topics.index(gate.topic)))


def worst(told: Told) -> Grid | None:
    """The first rows of what does not pass."""
    gates = _open(told)
    more = Counter(gate.verdict for gate in gates[MOST_WORST:])
    counts = [f"{more[verdict]} {verdict}" for verdict in ORDER if more[verdict]]
    note = f"{', '.join((counts[0].replace(' ', ' more ', 1), *counts[1:]))}: page 2." if counts else ""
    return _gates("The worst" if more else "Gates that do not pass", gates[:MOST_WORST], told, note=note)


def other_open(told: Told) -> Grid | None:
    """The rows after those."""
    return _gates("More gates that do not pass", _open(told)[MOST_WORST:], told)


def _gates(title: str, gates: list[Gate], told: Told, *, note: str = "") -> Grid | None:
    rows = [(gate.verdict, f"{gate.title}: {figures_words(gate, day=told.day)}", gate.waiver or what_to_do(gate, told.reasons) + key_words(gate)) for gate in gates]
    columns = [("", "auto", "l"), ("Gate: figure (limit)", "1.25fr", "l"), ("What to do, or why", "1fr", "l")]
    return grid(title, columns, rows, strong=tuple(i for i, gate in enumerate(gates) if gate.verdict == "FAIL"), note=note)


def unjudged(told: Told, *, keys: bool = True) -> Lines | None:
    """What was not checked, gathered by what is missing and, once approved, by why that was accepted; with the keys of the file that settle it."""
    gathered: dict[tuple[str, str], list[Gate]] = {}
    for gate in told.plan.gates:
        if gate.verdict == "NOT CHECKED":
            why = WHY if gate.lacks == "limit" else gate.why
            gathered.setdefault((why, told.reasons.get(gate.id, "")), []).append(gate)
    items = tuple(
        (f"{why[:1].upper()}{why[1:]}:", f"{titles_by_key(gates, keys=keys, day=told.day)}.{_accepted(reason)}") for (why, reason), gates in gathered.items()
    )
    return Lines("NOT CHECKED, by reason", items) if items else None


def _accepted(reason: str) -> str:
    return f" Accepted: {reason.rstrip('.')}." if reason else ""


def passing(told: Told) -> list[Gate]:
    """Every gate that passes and is not in the weather tables."""
    return [gate for gate in told.plan.gates if gate.verdict == "PASS" and not gate.forecast]


def passed(told: Told) -> Lines | None:
    """What passes, by topic, each with its figure and limit."""
    return _by_topic(told, ": figure (limit)", lambda gate: f"{gate.title}: {figures_words(gate, day=told.day)}")


def passed_titles(told: Told) -> Lines | None:
    """The same without figures, for a page that is too full."""
    return _by_topic(told, "; figures on the review page", lambda gate: gate.title)


def passed_counts(told: Told) -> Lines | None:
    """How many pass in each topic, for a page that is fuller still."""
    tally = Counter(gate.topic for gate in passing(told))
    named = ", ".join(f"{name} {tally[topic]}" for topic, name in _TOPICS.items() if tally[topic])
    return Lines(f"{words.counted(tally.total(), 'gate')} that PASS, beside the weather on page 1; named on the review page", (("", f"{named}."),)) if tally else None


def _by_topic(told: Told, more: str, said) -> Lines | None:
    gates, topics = passing(told), {}
    for gate in gates:
        topics.setdefault(gate.topic, []).append(said(gate))
    items = tuple((f"{name} ({len(topics[topic])})", f"{'; '.join(topics[topic])}.") for topic, name in _TOPICS.items() if topic in topics)
    return Lines(f"{words.counted(len(gates), 'gate')} that PASS, beside the weather on page 1{more}", items) if items else None
