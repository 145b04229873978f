"""Waivers: a recorded exception turns a FAIL of the gate it names into WAIVED, on the day of the sortie, and
stays visible with its reference.

A waiver for a gate that no waiver is accepted for is refused; one that is out of date, or names no gate,
changes nothing.  None of this is silent: each is a diagnostic at its line.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from briefgen.core.diagnostics import Diagnostic, Severity
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.home import Waiver
from briefgen.plan.model import Gate
from briefgen.units.grammar import listed
from briefgen.units.nearest import SHORT, nearest_words

MOST_ALIKE = 6
ALIKE, NEARLY = (
    0.8,
    0.7,
    # our own bounds: the share of letters that two words have in common, where they tell the matter and beside it
)


@record
class _Numbered:
    waiver: Waiver
    index: int

    def says(
        self, code: str, severity: Severity, message: str, *, why: str = "", help: str = "", key: str = "rule"
    ) -> Diagnostic:
        return Diagnostic(code, severity, message, why=why, help=help, cause=("waivers", self.index, key))


def apply_waivers(
    mission: Mission, gates: Sequence[Gate], known_ids: Sequence[str]
) -> tuple[tuple[Gate, ...], list[Diagnostic]]:
    """The gates with the mission's waivers applied, and what there is to say about each waiver that does
    nothing.

    ``known_ids`` are the ids of every gate there can be, those of lists with N in the place of the number.
    """
    found: list[Diagnostic] = []
    standing = {gate.id: gate for gate in gates}
    for i, waiver in enumerate(mission.file.waivers):
        problem = _problem(mission, _Numbered(waiver, i), standing, known_ids)
        if problem is not None:
            found.append(problem)
            standing = _kept_failing(standing, waiver, problem)
        else:
            gate = standing[waiver.rule]
            standing[waiver.rule] = replace(gate, verdict="WAIVED", waiver=waiver_words(waiver))
    return tuple(standing[gate.id] for gate in gates), found


def waiver_words(waiver: Waiver) -> str:
    """Reference, authority and validity as they are printed beside the gate."""
    return (
        f"waiver {waiver.reference}, {waiver.authority}, {waiver.valid.start.isoformat()} to"
        f" {waiver.valid.end.isoformat()}"
    )


def _problem(
    mission: Mission, row: _Numbered, standing: dict[str, Gate], known_ids: Sequence[str]
) -> Diagnostic | None:
    """Why a waiver changes nothing; None when it waives."""
    waiver, gate = row.waiver, standing.get(row.waiver.rule)
    if gate is None:
        return _no_such_gate(row, standing, known_ids)
    if not gate.waivable:
        why = (
            "no authority can waive this: the plan itself doesn't hold"
            if gate.verdict == "FAIL"
            else "this gate takes no waiver"
        )
        return row.says(
            "waiver-refused",
            "caution",
            f"{waiver.rule} is never waived: {waiver.reference} is refused",
            why=why,
            help="change the plan, and take the waiver out",
        )
    if gate.verdict == "WAIVED":
        return row.says(
            "waiver-unused",
            "note",
            f"{waiver.rule} is waived already, by another waiver",
            help="take one of them out",
        )
    if gate.verdict != "FAIL":
        return row.says(
            "waiver-unused",
            "note",
            f"{waiver.rule} reads {gate.verdict}: {waiver.reference} isn't needed",
            help="take it out, so that it covers nothing later",
        )
    if not waiver.valid.start <= mission.date <= waiver.valid.end:
        message = f"{waiver.reference} is not valid on {mission.date.isoformat()}, the day of the sortie"
        return row.says(
            "waiver-out-of-date",
            "caution",
            message,
            why=f"{waiver.rule} stays a FAIL",
            help="have it renewed for that day",
            key="valid",
        )
    return None


def _no_such_gate(row: _Numbered, standing: dict[str, Gate], known_ids: Sequence[str]) -> Diagnostic:
    rule = row.waiver.rule
    if any(re.fullmatch(re.escape(id).replace("N", "[0-9]+"), rule) for id in known_ids):
        return row.says(
            "waiver-unused",
            "note",
            f"this mission has no gate {rule}: {row.waiver.reference} isn't needed",
            help="take it out",
        )
    failing = [id for id, gate in standing.items() if gate.verdict == "FAIL" and gate.waivable]
    titles = {id: "" for id in known_ids if not id.endswith("-N")} | {
        id: gate.title for id, gate in standing.items()
    }
    alike = _meant(rule, titles, {id: gate.why for id, gate in standing.items() if gate.verdict == "FAIL"})
    mean = f"did you mean {listed(alike)}?" if 0 < len(alike) <= MOST_ALIKE else ""
    now = f"those that FAIL now are {listed(failing)}" if failing else "none FAILs now"
    help = mean or f"a rule is the id of a gate; {now}"
    return row.says(
        "waiver-unknown",
        "caution",
        f"there is no gate {rule} to waive",
        why="the waiver covers nothing",
        help=help,
    )


def _meant(rule: str, titles: Mapping[str, str], mends: Mapping[str, str]) -> list[str]:
    """The ids of the gates (with their titles) that a rule may mean: the one of those words, else those with
    a mend (``mends``, of what FAILs) in just these words, such as a night approval, else all that share the
    most words with it.

    A gate of another matter shares fewer words: one that is only spelt alike is never offered.
    """
    asked, whole = (
        _words_of(rule) | {a + b for a, b in pairwise(_words(rule))},
        "".join(_words(rule)),
    )  # take-off is takeoff
    own = [id for id, title in titles.items() if whole in ("".join(_words(id)), "".join(_words(title)))]
    own = own or [id for id, mend in mends.items() if _words_of(rule) and not any(_words_of(rule) <= _words_of(other) for other in titles)
                  and _words_of(rule) <= _words_of(mend)]  # fmt: skip
    for words in (
        ({id: _words_of(id) for id in titles}, {id: _words_of(title) for id, title in titles.items()})
        if not own
        else ()
    ):
        shared = {id: sum(any(_alike(word, one) for one in asked) for word in words[id]) for id in titles}
        most = max(shared.values(), default=0)
        own = own or _nearest(rule, [id for id in titles if shared[id] == most > 0], asked, words)
    return own


def _nearest(rule: str, ids: list[str], asked: set[str], words: Mapping[str, set[str]]) -> list[str]:
    """Of gates that share as many words, those whose other words are nearly the rule's other words; all,
    where none is."""
    from difflib import SequenceMatcher

    def rest(id: str) -> float:
        open_ = [one for one in asked if not any(_alike(word, one) for word in words[id])]
        return max(
            (
                SequenceMatcher(None, one, word).ratio()
                for one in open_
                for word in words[id]
                if word not in asked
            ),
            default=0.0,
        )

    best = max(map(rest, ids), default=0.0)
    return (
        ids if best < NEARLY else nearest_words(rule, near := [id for id in ids if rest(id) == best]) or near
    )


def _words(text: str) -> list[str]:
    return re.findall("[a-z0-9]+", text.lower())


def _words_of(text: str) -> set[str]:
    """The words that tell one matter from another."""
    return {word for word in _words(text) if len(word) > 2 or word.isdigit()}


def _alike(word: str, other: str) -> bool:
    """The same word, or a longer one with a slip in it."""
    from difflib import SequenceMatcher

    return word == other or (
        min(len(word), len(other)) > SHORT and SequenceMatcher(None, word, other).ratio() >= ALIKE
    )


def _kept_failing(standing: dict[str, Gate], waiver: Waiver, problem: Diagnostic) -> dict[str, Gate]:
    """A gate that FAILs although a waiver was meant for it says so itself."""
    gate = standing.get(waiver.rule)
    if gate is None or gate.verdict != "FAIL" or problem.severity == "note":
        return standing
    return {
        **standing,
        gate.id: replace(gate, why="; ".join(part for part in (gate.why, problem.message) if part)),
    }
