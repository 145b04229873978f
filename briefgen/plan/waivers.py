"""Waivers: a recorded exception turns a FAIL of the gate it names into WAIVED, on the day of the sortie, and stays visible with its reference.

A waiver for a gate that no waiver is accepted for is refused; one that is out of date, or names no gate, changes nothing.  None of this
is silent: each is a diagnostic at its line.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from briefgen.diagnostics import Diagnostic, Severity
from briefgen.mission.resolve import Mission
from briefgen.mission.schema_base import did_you_mean
from briefgen.mission.schema_home import Waiver
from briefgen.plan.model import Gate
from briefgen.records import record
from briefgen.units.grammar import listed


MOST_ALIKE = 4


@record
class _Numbered:
    waiver: Waiver
    index: int

    def says(self, code: str, severity: Severity, message: str, *, why: str = "", help: str = "", key: str = "rule") -> Diagnostic:
        return Diagnostic(code, severity, message, why=why, help=help, cause=("waivers", self.index, key))


def apply_waivers(mission: Mission, gates: Sequence[Gate], known_ids: Sequence[str]) -> tuple[tuple[Gate, ...], list[Diagnostic]]:
    """The gates with the mission's waivers applied, and what there is to say about each waiver that does nothing.

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
    return f"waiver {waiver.reference}, {waiver.authority}, {waiver.valid.start.isoformat()} to {waiver.valid.end.isoformat()}"


def _problem(mission: Mission, row: _Numbered, standing: dict[str, Gate], known_ids: Sequence[str]) -> Diagnostic | None:
    """Why a waiver changes nothing; None when it waives."""
    waiver, gate = row.waiver, standing.get(row.waiver.rule)
    if gate is None:
        return _no_such_gate(row, standing, known_ids)
    if not gate.waivable:
        why = "no authority can waive this: the plan itself doesn't hold" if gate.verdict == "FAIL" else "this gate takes no waiver"
        return row.says(
            "waiver-refused",
            "caution",
            f"{waiver.rule} is never waived: {waiver.reference} is refused",
            why=why,
            help="change the plan, and take the waiver out",
        )
    if gate.verdict == "WAIVED":
        return row.says("waiver-unused", "note", f"{waiver.rule} is waived already, by another waiver", help="take one of them out")
    if gate.verdict != "FAIL":
        return row.says(
            "waiver-unused",
            "note",
            f"{waiver.rule} reads {gate.verdict}: {waiver.reference} isn't needed",
            help="take it out, so that it covers nothing later",
        )
    if not waiver.valid.start <= mission.date <= waiver.valid.end:
        message = f"{waiver.reference} is not valid on {mission.date.isoformat()}, the day of the sortie"
        return row.says("waiver-out-of-date", "caution", message, why=f"{waiver.rule} stays a FAIL", help="have it renewed for that day", key="valid")
    return None


def _no_such_gate(row: _Numbered, standing: dict[str, Gate], known_ids: Sequence[str]) -> Diagnostic:
    rule = row.waiver.rule
    if any(re.fullmatch(re.escape(id).replace("N", "[0-9]+"), rule) for id in known_ids):
        return row.says("waiver-unused", "note", f"this mission has no gate {rule}: {row.waiver.reference} isn't needed", help="take it out")
    failing = [id for id, gate in standing.items() if gate.verdict == "FAIL" and gate.waivable]
    alike = [id for id in dict.fromkeys([*standing, *known_ids]) if _words_of(id) & _words_of(rule)]
    mean = did_you_mean(rule, alike).removeprefix("; ") or (f"did you mean {listed(alike)}?" if 0 < len(alike) <= MOST_ALIKE else "")
    now = f"those that FAIL now are {listed(failing)}" if failing else "none FAILs now"
    help = mean or f"a rule is the id of a gate; {now}"
    return row.says("waiver-unknown", "caution", f"there is no gate {rule} to waive", why="the waiver covers nothing", help=help)


def _words_of(id: str) -> set[str]:
    """A gate of another topic shares no word: one that is only spelt alike is never offered."""
    return {word for word in re.split("[-_ ]", id.lower()) if len(word) > 3 or word.isdigit()}


def _kept_failing(standing: dict[str, Gate], waiver: Waiver, problem: Diagnostic) -> dict[str, Gate]:
    """A gate that FAILs although a waiver was meant for it says so itself."""
    gate = standing.get(waiver.rule)
    if gate is None or gate.verdict != "FAIL" or problem.severity == "note":
        return standing
    return {**standing, gate.id: replace(gate, why="; ".join(part for part in (gate.why, problem.message) if part))}
