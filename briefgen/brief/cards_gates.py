"""The gates on the approval sheet: the worst first, the rest that does not pass, what was not judged and why, and what passes, by topic."""

from __future__ import annotations

from collections import Counter

from briefgen.brief import format as words
from briefgen.brief.card_model import Grid, Lines
from briefgen.brief.cards_common import Told, grid
from briefgen.brief.gate_words import figures_words, what_to_do
from briefgen.brief.open_limits import WHY, titles_by_key
from briefgen.plan.model import Gate, Verdict

ORDER: tuple[Verdict, ...] = ("FAIL", "CAUTION", "NOT CHECKED", "WAIVED")
MOST_WORST = 8  # rows that the first page shows; the second has the others
_WEATHER = ("ceiling", "visibility", "cloud", "crosswind")

# Each topic with the beginnings of its gates' ids, the first that fits counts. Within a verdict the topics stand in this order: what can hurt
# somebody before what only spoils the day (own choice, no source).
_TOPICS = (
    ("Heights, speeds", ("pass-", "obstacles", "height-", "over-again", "cold-air", "terrain", "egress-turn", "mach", "aircraft", "low-speed", "descent", "climb", "abort-clear")),
    ("Fuel", ("landing-fuel", "landing-emergency", "hold-fuel", "joker", "fuel-", "burn", "reserve", "alternate-fuel")),
    ("Formation", ("formation", "step-down", "standard", "blocks", "minimum-ships", "yardstick")),
    ("Crew", ("lead-", "second-", "first-time", "duty", "fall-outs")),
    ("Weather, day", ("forecast", "daylight", "legs-", "event-c", "event-v", "takeoff-", "area-v", "area-cloud", "convective", "alternate", "divert", "crosswind", "landing-", "base-")),
    ("Time", ("t-", "hold-", "cue", "authority", "push", "cap", "slip", "time-hack", "clocks")),
    ("Ground, others", ("permission", "airfield", "party", "traffic", "ground-contact", "radio")),
    ("Area", ("area", "set-ups", "aerobatics")),
    ("Briefed", ("contingency", "abort", "notices", "risk")),
)
_OTHER = "Other"


def is_weather(gate: Gate) -> bool:
    """A gate of the weather tables on the first page."""
    return gate.id.endswith(_WEATHER) and not gate.id.startswith("contingency")


def topic_of(gate: Gate) -> str:
    """One of the topics above; ``Other`` for a gate that none of them knows."""
    return next((name for name, starts in _TOPICS if gate.id.startswith(starts)), _OTHER)


def _open(told: Told) -> list[Gate]:
    """What does not pass, judged: the worst first."""
    topics = [name for name, _ in _TOPICS] + [_OTHER]
    gates = [gate for gate in told.plan.gates if gate.verdict not in ("PASS", "NOT CHECKED")]
    return sorted(gates, key=lambda gate: (ORDER.index(gate.verdict), topics.index(topic_of(gate))))


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
    rows = [(gate.verdict, f"{gate.title}: {figures_words(gate, day=told.day)}", gate.waiver or what_to_do(gate, told.reasons)) for gate in gates]
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
    return [gate for gate in told.plan.gates if gate.verdict == "PASS" and not is_weather(gate)]


def passed(told: Told) -> Lines | None:
    """What passes, by topic, each with its figure and limit."""
    return _by_topic(told, ": figure (limit)", lambda gate: f"{gate.title}: {figures_words(gate, day=told.day)}")


def passed_titles(told: Told) -> Lines | None:
    """The same without figures, for a page that is too full."""
    return _by_topic(told, "; figures on the review page", lambda gate: gate.title)


def passed_counts(told: Told) -> Lines | None:
    """How many pass in each topic, for a page that is fuller still."""
    tally = Counter(topic_of(gate) for gate in passing(told))
    named = ", ".join(f"{name} {tally[name]}" for name in (*(name for name, _ in _TOPICS), _OTHER) if tally[name])
    return Lines(f"{words.counted(tally.total(), 'gate')} that PASS, beside the weather on page 1; named on the review page", (("", f"{named}."),)) if tally else None


def _by_topic(told: Told, more: str, said) -> Lines | None:
    gates, topics = passing(told), {}
    for gate in gates:
        topics.setdefault(topic_of(gate), []).append(said(gate))
    order = [name for name, _ in _TOPICS] + [_OTHER]
    items = tuple((f"{name} ({len(topics[name])})", f"{'; '.join(topics[name])}.") for name in order if name in topics)
    return Lines(f"{words.counted(len(gates), 'gate')} that PASS, beside the weather on page 1{more}", items) if items else None
