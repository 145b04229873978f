"""The first gates that FAIL, for the first lines of a page: of each thing at stake one, the worst first."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from briefgen.brief.wording.gates import figures_words
from briefgen.plan.model import Gate, worst_first

MOST_NAMED = 3


def first_fails(gates: Iterable[Gate], *, day: date, most: int = MOST_NAMED) -> str:
    """``Lowest ship above what is listed under it: 896 ft (at least 1000 ft); 23 more``; empty while no gate
    fails."""
    failing = worst_first(gate for gate in gates if gate.verdict == "FAIL")
    stakes = [gate.stake for gate in failing]
    firsts = [gate for place, gate in enumerate(failing) if gate.stake not in stakes[:place]]
    chosen = [*firsts, *(gate for gate in failing if gate not in firsts)][:most]
    more = len(failing) - len(chosen)
    named = [f"{gate.title}: {figures_words(gate, day=day)}" for gate in worst_first(chosen)]
    return "; ".join([*named, *([f"{more} more"] if more else [])])
