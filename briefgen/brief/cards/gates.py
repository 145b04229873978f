"""The gates on the approval sheet: the worst first, the rest that does not pass, what was not judged and why,
and what passes, by topic."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from itertools import pairwise

from briefgen.brief.cards.common import first_clauses, grid
from briefgen.brief.cards.model import Grid, Lines
from briefgen.brief.wording import format as words
from briefgen.brief.wording.gates import OPEN, at_stake, figures_words, id_words, sentences, what_to_do
from briefgen.brief.wording.open_limits import NO_LIMIT_STAKE, WHY, key_words, titles_by_key, told_gates
from briefgen.brief.wording.words import Words
from briefgen.plan.model import WORST_FIRST, Gate, Topic, Verdict

ORDER = WORST_FIRST[:-1]  # of what is open
Row = tuple[Verdict, str, str]  # verdict, gate with its figure, what to do
_LONG = 120  # letters of a text on a page that is too full
MOST_WORST = 10  # rows that the first page shows
LIST_PAGE = 3  # where all of them stand, when they are more or longer than that
_MOST_LINES = 32  # that the first page has room for, keys and reasons included
_MOST_PAGES = 3  # of the list; what is still more is counted there and stands on the review page
_LIST_MM, _LINE_MM, _ROW_MM = 300.0, 3.5, 2.0  # room of a page, a line and the air of a row, at 8 pt

# Within a verdict the topics stand in this order: what can hurt somebody before what only spoils the day (own
# choice, no source).
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


def _open(w: Words) -> list[Gate]:
    """What does not pass, judged: the worst first."""
    topics = tuple(_TOPICS)
    gates = [gate for gate in w.plan.gates if gate.verdict not in ("PASS", "NOT CHECKED")]
    return sorted(gates, key=lambda gate: (ORDER.index(gate.verdict), topics.index(gate.topic)))


def worst(w: Words, *, keys: bool = True, unchecked: Mapping[str, str] | None = None) -> Grid | None:
    """The first rows of all that is open, in the order of the verdicts. ``keys``: with those of the file that
    settle it, and the ids by which waivers and reasons name a gate; ``unchecked``: other words for the
    reasons for which what is NOT CHECKED was accepted."""
    return _worst(_rows(w, w.reasons if unchecked is None else unchecked, keys=keys))


def worst_in_short(w: Words) -> Grid | None:
    """The same without keys and reasons, of long texts the first words."""
    return _worst(_in_short(w))


def _worst(rows: list[Row]) -> Grid | None:
    note = _more(rows[MOST_WORST:], f"page {LIST_PAGE}")
    return _table("The worst of what is open" if note else "What is open", rows[:MOST_WORST], note=note)


def all_open(w: Words, *, keys: bool = True, short: bool = False) -> list[Grid]:
    """All that is open, with its keys and reasons, a table a page; none where the first page holds it.
    ``short``: of long texts the first words."""
    rows = _rows(w, w.reasons, keys=keys)
    if short:
        rows = list(map(_cut, rows))
    pages = _pages(_rows(w, w.reasons, keys=True))
    parted = [rows[first:end] for first, end in pages]
    last = pages[-1][1] if pages else 0
    notes = [""] * (len(pages) - 1) + [_more(rows[last:], "the review page")]
    tables = [_table("All that is open", part, note=note) for part, note in zip(parted, notes, strict=False)]
    return [table for table in tables if table is not None]


def _pages(rows: list[Row]) -> list[tuple[int, int]]:
    """From which to which row each page of the list goes."""
    if len(rows) <= MOST_WORST and sum(map(_lines, rows)) <= _MOST_LINES:
        return []
    ends, height = [0], 0.0
    for place, row in enumerate(rows):
        taken = _LINE_MM * _lines(row) + _ROW_MM
        if height and height + taken > _LIST_MM:
            ends, height = [*ends, place], 0.0
        height += taken
    return list(pairwise([*ends, len(rows)]))[:_MOST_PAGES]


def _lines(row: Row) -> int:
    """About so many lines of a table's row at the smallest size."""
    return max(-(-len(row[1]) // 50), -(-len(row[2]) // 62))


def _in_short(w: Words) -> list[Row]:
    return list(map(_cut, _rows(replace(w, reasons={}), {}, keys=False)))


def _cut(row: Row) -> Row:
    verdict, gates, said = row
    return verdict, first_clauses(gates, _LONG), first_clauses(said, _LONG)


def _more(rows: list[Row], where: str) -> str:
    """``3 more FAIL, 2 CAUTION: page 2.``; empty where there are no more."""
    more = Counter(verdict for verdict, *_ in rows)
    first, *others = [verdict for verdict in ORDER if more[verdict]] or [""]
    counts = [f"{more[first]} more {first}", *(f"{more[verdict]} {verdict}" for verdict in others)]
    return f"{', '.join(counts)}: {where}." if first else ""


def _rows(w: Words, unchecked: Mapping[str, str], *, keys: bool) -> list[Row]:
    """All that does not pass: FAIL, CAUTION, NOT CHECKED, WAIVED; within each the topics in order."""
    rows = [*(_row(gate, w, keys=keys) for gate in _open(w)), *_unjudged(w, unchecked, keys=keys)]
    return sorted(rows, key=lambda row: ORDER.index(row[0]))


def _table(title: str, rows: list[Row], *, note: str = "") -> Grid | None:
    columns = [
        ("", "auto", "l"),
        ("Gate: figure (limit)", "1fr", "l"),
        ("What to do or what is missing; what is at stake", "1.25fr", "l"),
    ]
    strong = tuple(i for i, (verdict, *_) in enumerate(rows) if verdict == "FAIL")
    return grid(title, columns, rows, strong=strong, note=note)


def _row(gate: Gate, w: Words, *, keys: bool) -> Row:
    said = sentences(gate.waiver) or sentences(
        what_to_do(gate, {}), at_stake(gate), _accepted(gate, w.reasons)
    ) + (f" {key}" if keys and (key := key_words(gate)) else "")
    return (
        gate.verdict,
        f"{gate.title}: {figures_words(gate, day=w.day)}{f' {id_words(gate)}' if keys else ''}",
        said,
    )


def _unjudged(w: Words, reasons: Mapping[str, str], *, keys: bool) -> list[Row]:
    """What was not checked, gathered by what is missing, what is at stake and, once approved, by why that was
    accepted."""
    gathered: dict[tuple[str, str, str], list[Gate]] = {}
    for gate in w.plan.gates:
        if gate.verdict == "NOT CHECKED":
            limit = gate.lacks == "limit"
            said = (
                WHY if limit else gate.why,
                at_stake(replace(gate, stake=NO_LIMIT_STAKE) if limit else gate),
                _accepted(gate, reasons),
            )
            gathered.setdefault(said, []).append(gate)
    return [_unjudged_row(gates, said, w, keys=keys) for said, gates in gathered.items()]


def _unjudged_row(gates: list[Gate], said: tuple[str, str, str], w: Words, *, keys: bool) -> Row:
    """The key stands behind what is missing; where several gates ask for several keys, behind each."""
    one = len({gate.settled_by for gate in gates}) == 1
    key = f" {said_key}" if keys and one and (said_key := key_words(gates[0])) else ""
    ids = f" {' '.join(dict.fromkeys(map(id_words, told_gates(gates))))}" if keys else ""
    return (
        "NOT CHECKED",
        titles_by_key(gates, keys=keys and not one, day=w.day) + ids,
        sentences(*said) + key,
    )


def _accepted(gate: Gate, reasons: Mapping[str, str]) -> str:
    return f"Accepted: {reasons[gate.id].rstrip('.')}" if gate.verdict in OPEN and gate.id in reasons else ""


def passing(w: Words) -> list[Gate]:
    """Every gate that passes and is not in the weather tables."""
    return [gate for gate in w.plan.gates if gate.verdict == "PASS" and not gate.forecast]


def passed(w: Words) -> Lines | None:
    """What passes, by topic, each with its figure and limit."""
    return _by_topic(w, ": figure (limit)", lambda gate: f"{gate.title}: {figures_words(gate, day=w.day)}")


def passed_titles(w: Words) -> Lines | None:
    """The same without figures, for a page that is too full."""
    return _by_topic(w, "; figures on the review page", lambda gate: gate.title)


def passed_counts(w: Words) -> Lines | None:
    """How many pass in each topic, for a page that is fuller still."""
    tally = Counter(gate.topic for gate in passing(w))
    named = ", ".join(f"{name} {tally[topic]}" for topic, name in _TOPICS.items() if tally[topic])
    return (
        Lines(
            f"{words.counted(tally.total(), 'gate')} that PASS, beside the weather on page 1; named on the"
            " review page",
            (("", f"{named}."),),
        )
        if tally
        else None
    )


def _by_topic(w: Words, more: str, said) -> Lines | None:
    gates, topics = passing(w), {}
    for gate in gates:
        topics.setdefault(gate.topic, []).append(said(gate))
    items = tuple(
        (f"{name} ({len(topics[topic])})", f"{'; '.join(topics[topic])}.")
        for topic, name in _TOPICS.items()
        if topic in topics
    )
    return (
        Lines(f"{words.counted(len(gates), 'gate')} that PASS, beside the weather on page 1{more}", items)
        if items
        else None
    )
