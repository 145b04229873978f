"""In words, what can come of it when an open gate should have stopped the flight."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby

from briefgen.plan.model import Gate, Stake, worst_first

CONSEQUENCES: dict[Stake, str] = {
    "ground": "The flight hits what is there, or people on the ground are hurt",
    "spectators": "Spectators are hurt by what falls from a ship, or by a ship",
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


def grouped(gates: Iterable[Gate]) -> list[tuple[str, list[Gate]]]:
    """The gates by consequence, worst first; within a group in their own order."""
    return [(title, list(members)) for title, members in groupby(worst_first(gates), key=consequence)]
