"""Limits, approval, contingencies, risk."""

from __future__ import annotations

from collections import Counter
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.doubts import doubts_words
from briefgen.brief.wording.fails import first_fails, low_words
from briefgen.brief.wording.gates import OPEN, figures_words
from briefgen.brief.wording.lost_contact import NOT_BRIEFED, briefings, not_briefed
from briefgen.brief.wording.open_limits import counts_words, told_gates
from briefgen.brief.wording.open_limits import tally as tally_of
from briefgen.brief.wording.words import Words
from briefgen.plan.gates.contingencies import unsaid_parts
from briefgen.plan.model import WORST_FIRST, Gate, Verdict, worst_first

KEY_GATES = (
    "cue-first",
    "hold-minimum",
    "pass-height",
    "pass-speed",
    "authority-early",
    "authority-late",
    "joker",
    "landing-fuel",
    "area-exit",
    "daylight-landing",
    "duty-period",
)


def sorted_gates(w: Words) -> list[Gate]:
    """The worst verdict first, within it the worst at stake: on slides and review page alike."""
    return sorted(worst_first(told_gates(w.plan.gates)), key=lambda gate: WORST_FIRST.index(gate.verdict))


def gate_values(w: Words) -> dict[str, Any]:
    """``gates``: how many of each verdict, a sentence that says it, the failing ones that decide
    (``first_fails``) and those that nobody may waive (``hard``), the least height that is too low (``low``),
    what the check of the file doubts."""
    tally, low = tally_of(w.plan.gates), low_words(w.plan.gates)
    counts = {verdict.lower().replace(" ", "_"): str(tally[verdict]) for verdict in WORST_FIRST}
    return {
        **counts,
        "total": str(tally.total()),
        "key_sentence": key_sentence(w),
        "open_counts": words.listed(counts_words(tally, ("FAIL", "CAUTION", "WAIVED"))) or "none",
        "tally": [
            {"count": str(tally[verdict]), "verdict": verdict} for verdict in WORST_FIRST if tally[verdict]
        ],
        "counts": words.listed(counts_words(tally)) or "no gates",
        "sentence": "; ".join(filter(None, (_sentence(tally), low))),
        "low": low or None,
        "any_open": any(tally[verdict] for verdict in WORST_FIRST[:-1]),
        "fails": bool(tally["FAIL"]),
        "first_fails": first_fails(w.plan.gates, day=w.day) or None,
        "hard": (
            words.listed(gate.title for gate in w.plan.gates if gate.verdict == "FAIL" and not gate.waivable)
            or None
        ),
        "defaults": [f"{gate.title}: {gate.source}" for gate in w.plan.gates if gate.by_default],
        "doubts": doubts_words(w.plan.doubts),
        "open_rows": [
            {"verdict": gate.verdict, "words": f"{gate.title}: {figures_words(gate, day=w.day)}"}
            for gate in sorted_gates(w)
            if gate.verdict in ("FAIL", *OPEN)
        ],
        "lines": [
            f"{gate.verdict}: {gate.title}, {figures_words(gate, day=w.day)}; {gate.source}"
            for gate in sorted_gates(w)
        ],
    }


def key_gates(w: Words) -> list[Gate]:
    """The gates whose figures decide, those that this sortie has, of each pass and block; those that only
    lack a limit as one."""
    return list(told_gates(gate for rule in KEY_GATES for gate in w.plan.gates if gate.rule == rule))


def key_sentence(w: Words) -> str:
    """``The 11 figures that decide: 8 PASS, 0 FAIL, 3 NOT CHECKED; elsewhere 2 CAUTION``: what is open
    beside them is told with them, or all of them within their limits would read as leave to go."""
    found = key_gates(w)
    tally = Counter(gate.verdict for gate in found)
    told = [v for v in ("PASS", *WORST_FIRST[:-1]) if v in {"PASS", "FAIL"} or tally[v]]
    beside = tally_of(w.plan.gates) - tally
    more = words.listed(counts_words(beside, WORST_FIRST[:-1]))
    return (
        f"The {len(found)} figures that decide:"
        f" {', '.join(f'{tally[verdict]} {verdict}' for verdict in told)}"
        f"{f'; elsewhere {more}' if more else ''}"
    )


def _sentence(tally: Counter[Verdict]) -> str:
    total = sum(tally.values())
    if tally["FAIL"]:
        return f"{words.counted(tally['FAIL'], 'gate fails', 'gates fail')} of {total}"
    open_count = tally["CAUTION"] + tally["NOT CHECKED"]
    if open_count:
        return f"0 of {total} gates fail, {words.counted(open_count, 'wants', 'want')} an answer"
    return f"No gate fails of {total}" + (
        f"; {tally['WAIVED']} waived" if tally["WAIVED"] else " and none is open"
    )


def contingency_values(w: Words) -> dict[str, Any]:
    """``contingencies``: how many are agreed and how many only keep their place, and what becomes of the
    flight without a ship."""
    file = w.mission.file
    fall_outs = file.contingencies.fall_outs
    event = file.event
    minimum = event.pass_.minimum_ships if event else None
    given = briefings(w)
    unsaid = sum(bool(unsaid_parts(one.given)) for one in given)
    open_count = unsaid + len(not_briefed(w))
    agreed = f"{words.counted(len(given) - unsaid, 'answer')} agreed"
    return {
        "count": f"{agreed}, {open_count} {NOT_BRIEFED}" if open_count else agreed,
        "fall_outs": words.counted(len(fall_outs), "fall-out"),
        "next_lead": _next_lead(w),
        "minimum_ships": None if minimum is None else words.counted(minimum, "ship"),
    }


def _next_lead(w: Words) -> str | None:
    """Who leads when the leader is out; None where nobody is named."""
    answer = w.mission.file.contingencies.fall_outs.get(1)
    return (
        f"ship {answer.leads} leads without ship 1"
        if answer is not None and answer.leads is not None
        else None
    )


def risk_values(w: Words) -> dict[str, Any]:
    """``risk``: the highest single item before and after its control; the mission's scale is likelihood times
    severity, 1 to 5 each."""
    items = w.mission.file.risk
    left = [(risk.after or risk.before, risk) for risk in items]
    if not left:
        return {"count": "no risk", "highest": None}
    rating, worst = max(left, key=lambda pair: pair[0].likelihood * pair[0].severity)
    return {
        "count": words.counted(len(items), "risk"),
        "highest": (
            f"{worst.hazard}, {rating.likelihood} x {rating.severity} = {rating.likelihood * rating.severity}"
            " of 25"
        ),
        "accepted_by": worst.accepted_by,
    }
