"""The ordered list of gates."""

from __future__ import annotations

from collections.abc import Callable, Iterable

from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie

GateFunction = Callable[[Sortie], Iterable[Gate]]

GATES: tuple[GateFunction, ...] = ()


def judge(sortie: Sortie) -> tuple[Gate, ...]:
    """Every gate's verdict, in the order of the list."""
    return tuple(gate for function in GATES for gate in function(sortie))
