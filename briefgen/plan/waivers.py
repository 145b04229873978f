"""Waivers: a recorded exception turns a FAIL of the gate it names into WAIVED, where it is valid on every day
that the gate judges, and stays visible with its reference.

The days of a gate are, by the clock of the event that it judges, else of the base, the date of the moment
that it judges; a gate that judges no one moment has every date from take-off to the last landing.

A waiver for a gate that no waiver is accepted for is refused; one that is out of date, or names no gate,
changes nothing.  None of this is silent: each is a diagnostic at its line.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from itertools import pairwise

from briefgen.airmath.clocks import local_date
from briefgen.core.diagnostics import Diagnostic, Severity
from briefgen.core.records import record
from briefgen.mission.read.tree import dotted
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.limits import Waiver
from briefgen.plan.model import Gate, GateIds
from briefgen.plan.sortie import Sortie
from briefgen.units.blank import names_nothing
from briefgen.units.grammar import listed
from briefgen.units.nearest import SHORT, nearest_words
from briefgen.units.people import HOW, crew_member

MOST_ALIKE = 6
# our own bounds: the share of letters that two words have in common, where they tell the matter and beside it
ALIKE, NEARLY = 0.8, 0.7


@record
class _Numbered:
    waiver: Waiver
    index: int

    def says(
        self, code: str, severity: Severity, message: str, *, why: str = "", help: str = "", key: str = "rule"
    ) -> Diagnostic:
        return Diagnostic(code, severity, message, why=why, help=help, cause=("waivers", self.index, key))


def apply_waivers(
    sortie: Sortie, gates: Sequence[Gate], known_ids: Sequence[GateIds]
) -> tuple[tuple[Gate, ...], list[Diagnostic]]:
    """The gates with the mission's waivers applied, and what there is to say about each waiver that does
    nothing.

    ``known_ids`` are the ids of every gate there can be, those of lists once.
    """
    found: list[Diagnostic] = []
    standing = {gate.id: gate for gate in gates}
    for i, written in enumerate(sortie.mission.file.waivers):
        waiver = _with_whole_id(written, gates)
        problem = _problem(sortie, _Numbered(waiver, i), standing, known_ids)
        if problem is not None:
            found.append(problem)
            standing = _kept_failing(standing, waiver, problem)
        else:
            gate = standing[waiver.rule]
            standing[waiver.rule] = replace(gate, verdict="WAIVED", waiver=waiver_words(waiver))
    return tuple(standing[gate.id] for gate in gates), found


def _with_whole_id(waiver: Waiver, gates: Sequence[Gate]) -> Waiver:
    """A waiver that names a rule which judged one piece alone is for that one."""
    named = named_by(waiver, gates)
    return waiver if named is None else waiver.model_copy(update={"rule": named.id})


def named_by(waiver: Waiver, gates: Sequence[Gate]) -> Gate | None:
    """The gate that a waiver is for: by its whole id, or by its rule where that judged one piece alone."""
    named = [gate for gate in gates if waiver.rule in (gate.id, gate.rule)]
    return named[0] if len(named) == 1 else None


def waiver_words(waiver: Waiver) -> str:
    """Reference, authority and validity as they are printed beside the gate."""
    return (
        f"waiver {waiver.reference}, {waiver.authority}, {waiver.valid.start.isoformat()} to"
        f" {waiver.valid.end.isoformat()}"
    )


def days_judged(sortie: Sortie, gate: Gate) -> tuple[date, ...]:
    """The days on each of which a waiver of the gate must be valid, in order."""
    mission, clock = sortie.mission, sortie.clock
    own = [p.event.zone for p in mission.passes if gate.rule_id and p.id == gate.piece]
    zone = own[0] if own else mission.base_zone
    one = gate.value if isinstance(gate.value, datetime) else None
    first, last = (local_date(one or moment, zone) for moment in (clock.takeoff, clock.last_landing))
    return tuple(first + timedelta(days=n) for n in range((last - first).days + 1))


def _problem(
    sortie: Sortie, row: _Numbered, standing: dict[str, Gate], known_ids: Sequence[GateIds]
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
    if gate.verdict != "FAIL":
        return _unused(row, gate)
    return _unsaid(row) or _own(sortie.mission, row) or _out_of_date(sortie, row, gate)


def unsaid_part(waiver: Waiver) -> str:
    """``reference`` or ``authority``, where that only keeps its place: TBD; empty where neither does."""
    return next((key for key in ("reference", "authority") if names_nothing(getattr(waiver, key))), "")


def _unsaid(row: _Numbered) -> Diagnostic | None:
    waiver, key = row.waiver, unsaid_part(row.waiver)
    if not key:
        return None
    return row.says(
        "waiver-unsaid",
        "caution",
        f"the waiver of {waiver.rule} doesn't say its {key}: {getattr(waiver, key)}",
        why=f"who has waived what is looked up by it; {waiver.rule} stays a FAIL",
        help=f"write the {key} of the waiver as it was issued, or take it out",
        key=key,
    )


def _out_of_date(sortie: Sortie, row: _Numbered, gate: Gate) -> Diagnostic | None:
    waiver = row.waiver
    days = days_judged(sortie, gate)
    lacking = [day.isoformat() for day in days if not waiver.valid.start <= day <= waiver.valid.end]
    if lacking:
        what = "the day" if len(days) == 1 else "one of the days" if len(lacking) == 1 else "days"
        message = (
            f"{waiver.reference} is not valid on {listed(lacking, 'and')}, {what} that {waiver.rule} judges"
        )
        return row.says(
            "waiver-out-of-date",
            "caution",
            message,
            why=f"{waiver.rule} stays a FAIL",
            help=f"have it renewed for {listed([day.isoformat() for day in days], 'and')}",
            key="valid",
        )
    return None


def _unused(row: _Numbered, gate: Gate) -> Diagnostic:
    """A waiver of a gate that doesn't fail."""
    waiver = row.waiver
    reads, help = f"{waiver.rule} reads {gate.verdict}", "take it out, so that it covers nothing later"
    if gate.verdict == "WAIVED":
        message, help = f"{waiver.rule} is waived already, by another waiver", "take one of them out"
        return row.says("waiver-unused", "note", message, help=help)
    if gate.verdict != "NOT CHECKED":
        return row.says("waiver-unused", "note", f"{reads}: {waiver.reference} isn't needed", help=help)
    message = f"{reads}: {waiver.reference} can't waive what isn't known"
    help = f"give {dotted(gate.settled_by)}, which settles it" if gate.settled_by else "settle it first"
    why = f"the waiver counts once {waiver.rule} reads FAIL"
    return row.says("waiver-unused", "note", message, why=why, help=help)


def by_crew(mission: Mission, waiver: Waiver) -> tuple[int, str] | None:
    """The (ship, name) of the crew that a waiver names as its authority; None where it is nobody of them, or
    the mission says by whose authority they may."""
    if mission.file.sortie.own_authority is not None:
        return None
    return crew_member(waiver.authority, mission.crew)


def _own(mission: Mission, row: _Numbered) -> Diagnostic | None:
    if (own := by_crew(mission, row.waiver)) is None:
        return None
    ship, member = own
    message = f"{row.waiver.authority} can't waive {row.waiver.rule}: {member} flies ship {ship}"
    help = (
        "name the authority that waives it; where the unit lets one authorise one's own flight, say so under"
        " `sortie:` with `self_authorised: {authority: ..., reason: ...}`"
    )
    why = f"who flies doesn't waive; names are {HOW}"
    return row.says("waiver-own-flight", "caution", message, why=why, help=help, key="authority")


def _no_such_gate(row: _Numbered, standing: dict[str, Gate], known_ids: Sequence[GateIds]) -> Diagnostic:
    rule = row.waiver.rule
    if any(rule in id.all() for id in known_ids):
        return row.says(
            "waiver-unused",
            "note",
            f"this mission has no gate {rule}: {row.waiver.reference} isn't needed",
            help="take it out",
        )
    failing = [id for id, gate in standing.items() if gate.verdict == "FAIL" and gate.waivable]
    titles = {id.name: "" for id in known_ids if not id.numbered} | {
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


def _meant(rule: str, titles: Mapping[str, str], remedies: Mapping[str, str]) -> list[str]:
    """The ids of the gates (with their titles) that a rule may mean: the one of those words, else those with
    a remedy (``remedies``, of what FAILs) in just these words, such as a night approval, else all that share
    the most words with it.

    A gate of another matter shares fewer words: one that is only spelt alike is never offered.
    """
    # take-off is takeoff
    asked, whole = (
        _words_of(rule) | {a + b for a, b in pairwise(_words(rule))},
        "".join(_words(rule)),
    )
    own = [id for id, title in titles.items() if whole in ("".join(_words(id)), "".join(_words(title)))]
    own = own or [
        id
        for id, remedy in remedies.items()
        if _words_of(rule)
        and not any(_words_of(rule) <= _words_of(other) for other in titles)
        and _words_of(rule) <= _words_of(remedy)
    ]
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
