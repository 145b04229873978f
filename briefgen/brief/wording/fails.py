"""What the first lines of a page say of the gates: the first that FAIL, of each thing at stake one, the worst
first; and the least height that is too low, whatever that makes of it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from briefgen.brief.wording import format as words
from briefgen.brief.wording.gates import figures_words
from briefgen.plan.gates.legs import OF_THE_PASS
from briefgen.plan.model import Gate, LowOver, worst_first

MOST_NAMED = 3


def lowest_low(gates: Iterable[Gate]) -> LowOver | None:
    """The least height over what is known under any way but the pass, where it is below its limit, be that a
    rule's or our guess; None where none is."""
    low = (gate.lowest for gate in gates if gate.lowest is not None and gate.rule not in OF_THE_PASS)
    return min(low, key=lambda found: found.clearance_ft, default=None)


def low_words(gates: Iterable[Gate]) -> str:
    """``lowest outside the pass: 70 ft over MAST, the hold at HOLD``; empty where nothing is too low."""
    low = lowest_low(gates)
    if low is None:
        return ""
    return f"lowest outside the pass: {words.height(low.clearance_ft)} over {low.name}, {low.way}"


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
