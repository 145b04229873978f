"""What can come of it when a gate that reads CAUTION or NOT CHECKED should have stopped the flight: the order in which a supervisor thinks.

The groups are this program's own; no rule asks for them.
"""

from __future__ import annotations

from collections.abc import Iterable
from fnmatch import fnmatchcase

from briefgen.plan.model import Gate

GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("The flight hits what is there, or the spectators are hurt", (
        "pass-height", "height-*", "over-again", "cold-air", "obstacles-*", "terrain", "egress-turn", "permission-lowest", "airfield-from-crowd", "abort-*", "aerobatics-*", "notices",
    )),
    ("Two aircraft meet", (
        "party-*", "traffic-*", "formation-s*", "step-down", "standard-*", "descent-rate", "climb-rate", "blocks-*", "yardstick-*",
    )),
    ("A ship runs short of fuel", (
        "joker", "fuel-order", "landing-fuel", "landing-emergency", "hold-fuel", "burn-factor", "reserve-time", "alternate-fuel", "divert-given",
    )),
    ("The flight meets cloud, wind or the dark", (
        "*-ceiling", "*-visibility", "*-cloud", "*crosswind", "forecast-*", "daylight-*",
    )),
    ("An aircraft is flown outside its limits", ("mach", "aircraft-*", "pass-speed", "low-speed", "cap-margin")),
    ("The people are not able, rested or told", (
        "lead-qualified", "second-leader", "first-time-lead", "minimum-ships", "duty-period", "contingency-*", "fall-outs", "risk-*", "set-ups",
    )),
    ("Nobody has said how much is allowed", ("limits-not-given",)),
    ("It is not allowed there or then", ("permission-*", "area-entry", "area-exit", "*-open", "standard-*")),
    ("The second is missed", (
        "t-reachable", "hold-m*", "hold-entry", "hold-entry", "cue-first", "authority-*", "push-slack", "slip-*", "ground-contact", "radio-check", "time-hack", "clocks",
    )),
)  # fmt: skip
OTHER = "Other"


def consequence(gate_id: str) -> str:
    """The first group whose pattern fits; ``Other`` where none does."""
    return next((title for title, patterns in GROUPS if any(fnmatchcase(gate_id, pattern) for pattern in patterns)), OTHER)


def grouped(gates: Iterable[Gate]) -> list[tuple[str, list[Gate]]]:
    """The gates by consequence, worst first; within a group in their own order. Groups without a gate are left out."""
    found: dict[str, list[Gate]] = {title: [] for title in (*(title for title, _ in GROUPS), OTHER)}
    for gate in gates:
        found[consequence(gate.id)].append(gate)
    return [(title, members) for title, members in found.items() if members]
