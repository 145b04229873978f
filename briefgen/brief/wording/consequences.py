"""What can come of it when a gate that reads CAUTION or NOT CHECKED should have stopped the flight: the order
in which a supervisor thinks.

The groups are this program's own; no rule asks for them.
"""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.plan.model import Gate, Stake

CONSEQUENCES: dict[Stake, str] = {
    "ground": "The flight hits what is there, or people on the ground are hurt",
    "meeting": "Two aircraft meet",
    "fuel": "A ship runs short of fuel",
    "weather": "The flight meets cloud, wind or the dark",
    "aircraft": "An aircraft is flown outside its limits",
    "people": "The people are not able, rested or told",
    "no limit": "Nobody has said how much is allowed",
    "not allowed": "It is not allowed there or then",
    "the second": "The second is missed",
    "other": "Other",
}


def consequence(gate: Gate) -> str:
    """What comes of it, in words."""
    return CONSEQUENCES[gate.stake]


def worst_first(gates: Iterable[Gate]) -> list[Gate]:
    """The gates in the order of what is at stake; those with the same in their own order."""
    order = tuple(CONSEQUENCES)
    return sorted(gates, key=lambda gate: order.index(gate.stake))


def grouped(gates: Iterable[Gate]) -> list[tuple[str, list[Gate]]]:
    """The gates by consequence, worst first; within a group in their own order. Groups without a gate are
    left out."""
    found: dict[str, list[Gate]] = {title: [] for title in CONSEQUENCES.values()}
    for gate in gates:
        found[consequence(gate)].append(gate)
    return [(title, members) for title, members in found.items() if members]
