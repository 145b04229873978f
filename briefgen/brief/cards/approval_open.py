"""All that is open, as the approval sheet lists it: under what can come of it, the worst first, each with its
figure, what to do or what is missing, the key that settles it, and room for the reason.

Both pages of the sheet share the list. What it says is shortened step by step until they hold it; what even
then has no room is counted.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import groupby
from typing import Literal, get_args

from briefgen.brief.cards.common import first_clauses
from briefgen.brief.cards.model import Grid
from briefgen.brief.cards.room import WIDTH_MM, ends_mm, grid_mm
from briefgen.brief.wording.consequences import CONSEQUENCES
from briefgen.brief.wording.gates import OPEN, figures_words, id_words, sentences, what_to_do
from briefgen.brief.wording.open_limits import (
    NO_LIMIT_STAKE,
    WHY,
    counts_words,
    key_words,
    tally,
    titles_by_key,
    told_gates,
)
from briefgen.brief.wording.words import Words
from briefgen.core.records import record
from briefgen.plan.model import WORST_FIRST, Gate, Stake, Verdict

ORDER = WORST_FIRST[:-1]  # of what is open
Depth = Literal[
    "whole",  # what to do with every word that is not a list of places
    "cut",  # of long texts the first words
    "short",  # the first words of what to do, without keys and ids; names stay whole
    "gathered",  # and what does not FAIL as names beside what can come of it, where something does
    "named",  # and of long names too the first words
]
_DEPTHS: tuple[Depth, ...] = get_args(Depth)
_LETTERS: dict[Depth, int] = {"whole": 200, "cut": 100, "short": 60, "gathered": 60, "named": 60}
_WITH_KEYS: tuple[Depth, ...] = ("whole", "cut")
_SHARES = {True: ("1fr", "1.2fr", "44mm"), False: ("1.35fr", "1fr")}  # with room for a reason, without


@record
class Row:
    """Something open: its verdict, what is at stake with it (None: of several rows in one), the gate with its
    figure, and what to do. ``count``: how many it stands for."""

    verdict: Verdict
    stake: Stake | None
    gate: str
    said: str
    count: int = 1


@record
class Listed:
    """The list on both pages; either is None where nothing stands on it."""

    first: Grid | None
    second: Grid | None


def listed(w: Words, rooms_mm: Sequence[tuple[float, float]]) -> Listed:
    """The list, said as fully as one of the ``rooms_mm`` holds it: what the first and the second page have
    for it, the roomiest that costs nothing else first."""
    signs = to_sign(w)
    for depth in _DEPTHS:  # the worst always stands on the first page
        rows = rows_of(w, depth)
        for first, second in rooms_mm:
            here, there = _parted(rows, first, signs)
            if _mm(there, signs) <= second and (here or not rows):
                return _tables(here, there, (), signs, _said(depth))
    first, second = rooms_mm[-1]
    here, rest = _parted(rows_of(w, _DEPTHS[-1]), first, signs)
    there, more = _parted(rest, second - 5, signs)
    return _tables(here, there, more, signs, _said(_DEPTHS[-1]))


def to_sign(w: Words) -> bool:
    """Whether somebody may still write a reason beside each: nothing FAILs, and none is recorded."""
    return not tally(w.plan.gates)["FAIL"] and not w.reasons


# ---------------------------------------------------------------- the rows


def rows_of(w: Words, depth: Depth) -> list[Row]:
    """All that does not pass: by verdict, then by what is at stake."""
    open_gates = [gate for gate in w.plan.gates if gate.verdict not in ("PASS", "NOT CHECKED")]
    rows = [*(_row(gate, w, depth) for gate in open_gates), *_unjudged(w, depth)]
    stakes = (*get_args(Stake), None)
    rows.sort(key=lambda row: (ORDER.index(row.verdict), stakes.index(row.stake)))
    return _gathered(rows) if depth in ("gathered", "named") and tally(w.plan.gates)["FAIL"] else rows


def _row(gate: Gate, w: Words, depth: Depth) -> Row:
    key = key_words(gate)
    accepted = _accepted(gate, w)
    do = accepted or gate.waiver or what_to_do(gate, {})
    return Row(
        gate.verdict,
        gate.stake,
        _named(gate, w, depth) + _told(id_words(gate), depth),
        _cut(sentences(do), depth) + _told(key, depth),
    )


def _unjudged(w: Words, depth: Depth) -> Iterator[Row]:
    """What was not checked, gathered by what is missing, what is at stake and, once approved, by why that was
    accepted."""
    gathered: dict[tuple[str, Stake, str], list[Gate]] = {}
    for gate in w.plan.gates:
        if gate.verdict == "NOT CHECKED":
            limit = gate.lacks == "limit"
            said = (WHY if limit else gate.why, NO_LIMIT_STAKE if limit else gate.stake, _accepted(gate, w))
            gathered.setdefault(said, []).append(gate)
    for (why, stake, accepted), gates in gathered.items():
        yield _unjudged_row(gates, stake, accepted or sentences(why), w, depth)


def _unjudged_row(gates: list[Gate], stake: Stake, said: str, w: Words, depth: Depth) -> Row:
    """The key stands behind what is missing; where several gates ask for several keys, behind each. Those
    that lack nothing but a limit are counted: the second page names them."""
    keys = depth in _WITH_KEYS
    if stake == NO_LIMIT_STAKE:
        (one,) = told_gates(replace(gate, lacks="limit") for gate in gates)
        where = "the review page" if depth in ("gathered", "named") else "page 2"
        several = f"{len(gates)} figures without a limit, named on {where}"
        named = several if len(gates) > 1 else gates[0].title
        key = _told(key_words(one), depth)
        return Row("NOT CHECKED", stake, named + _told(id_words(one), depth), _cut(said, depth) + key)
    one_key = len({gate.settled_by for gate in gates}) == 1
    titles = titles_by_key(gates, keys=keys and not one_key, day=w.day)
    ids = " ".join(dict.fromkeys(map(id_words, gates)))
    key = key_words(gates[0]) if one_key else ""
    return Row(
        "NOT CHECKED",
        stake,
        (_cut(titles, depth) if depth == "named" else titles) + _told(ids, depth),
        _cut(said, depth) + _told(key, depth),
    )


def _named(gate: Gate, w: Words, depth: Depth) -> str:
    """The figure stands whole, however short its name; of what is gathered the names alone."""
    figures = figures_words(gate, day=w.day)
    if depth != "named":
        gathered = depth == "gathered" and gate.verdict != "FAIL" and tally(w.plan.gates)["FAIL"]
        return gate.title if gathered else f"{gate.title}: {figures}"
    return f"{first_clauses(gate.title, max(_LETTERS[depth] - len(figures), 30))}: {figures}"


def _accepted(gate: Gate, w: Words) -> str:
    accepted = gate.verdict in OPEN and gate.id in w.reasons
    return f"Accepted: {w.reasons[gate.id].rstrip('.')}." if accepted else ""


def _cut(text: str, depth: Depth) -> str:
    return first_clauses(text, _LETTERS[depth])


def _told(keys: str, depth: Depth) -> str:
    return f" {keys}" if keys and depth in _WITH_KEYS else ""


def _said(depth: Depth) -> str:
    """Where the rest stands."""
    what = "What ends in dots is whole on" if depth in _WITH_KEYS else "Keys, ids and whole texts:"
    return f"{what} the review page."


def _gathered(rows: list[Row]) -> list[Row]:
    """What FAILs row by row, the others a row for each verdict and consequence, which stands before their
    names."""
    found = [row for row in rows if row.verdict == "FAIL"]
    others = [row for row in rows if row.verdict != "FAIL"]
    for (verdict, stake), members in groupby(others, key=lambda row: (row.verdict, row.stake)):
        names = [row.gate for row in members]
        told = _lower(CONSEQUENCES[stake]) if stake is not None else ""
        found.append(Row(verdict, None, "; ".join(names), told, count=len(names)))
    return found


# ---------------------------------------------------------------- the tables


def _tables(here: list[Row], there: list[Row], more: Iterable[Row], signs: bool, said: str) -> Listed:
    left: Counter[Verdict] = Counter()
    for row in more:
        left[row.verdict] += row.count
    counts = ", ".join(counts_words(left))
    told = " ".join(filter(None, (f"{counts} more: the review page." if counts else "", said)))
    onward = "Continued on page 2." if there else told
    return Listed(
        _table("What is open", here, signs, onward), _table("What is open, continued", there, signs, told)
    )


def _table(title: str, rows: list[Row], signs: bool, note: str = "") -> Grid | None:
    if not rows:
        return None
    cells, heads = _cells(rows, signs)
    columns = ["Figure (limit)", "What to do or what is missing", "Accepted for this reason"]
    widths = _SHARES[signs]
    return Grid(
        title,
        tuple(columns[: len(widths)]),
        cells,
        widths,
        "l" * len(widths),
        shaded=heads,
        wide=tuple((place, 0) for place in heads),
        note=note,
    )


def _cells(rows: list[Row], signs: bool) -> tuple[tuple[tuple[str, ...], ...], tuple[int, ...]]:
    """The rows of a table, a line with verdict and consequence before each group; and which those lines
    are."""
    blank = ("",) if signs else ()
    cells: list[tuple[str, ...]] = []
    heads: list[int] = []
    for (verdict, stake), members in groupby(rows, key=lambda row: (row.verdict, row.stake)):
        heads.append(len(cells))
        told = "to be answered once nothing FAILs" if stake is None else _lower(CONSEQUENCES[stake])
        cells.append((f"{verdict}: {told}", "", *blank))
        cells += [(row.gate, row.said, *blank) for row in members]
    return tuple(cells), tuple(heads)


def _lower(text: str) -> str:
    return text[:1].lower() + text[1:]


def _mm(rows: list[Row], signs: bool) -> float:
    table = _table("What is open", rows, signs)
    return 0.0 if table is None else grid_mm(table, WIDTH_MM)


def _parted(rows: list[Row], room_mm: float, signs: bool) -> tuple[list[Row], list[Row]]:
    """So many of the rows as a page has room for, and the rest; a group's line never stands last."""
    table = _table("What is open", rows, signs, "Continued on page 2.")
    if table is None:
        return [], []
    count, heads = 0, 0
    for end, mm in enumerate(ends_mm(table, WIDTH_MM), 1):
        if mm > room_mm:
            break
        heads += end - 1 in table.shaded
        count = end - heads
    return rows[:count], rows[count:]
