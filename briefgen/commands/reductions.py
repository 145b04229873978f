"""What gave way on full cards, told once a mission: ships of one flight say the same on the same side."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.build.build import Outcome
from briefgen.core.diagnostics import Diagnostic

REDUCED = "card-reduced"


def reduced_once(outcomes: Iterable[Outcome]) -> list[Diagnostic]:
    """What every product has to tell, the cards that were reduced by one diagnostic at the end: what gave way
    on which of them, and the help of the first."""
    others: list[Diagnostic] = []
    first: dict[str, Diagnostic] = {}
    told: dict[str, list[str]] = {}
    for outcome in outcomes:
        for found in outcome.diagnostics:
            if found.code == REDUCED:
                first.setdefault(found.message, found)
                told.setdefault(found.message, []).append(outcome.name)
            else:
                others.append(found)
    if not told:
        return others
    lines = [f"    {', '.join(names)}, {said}; {first[said].help}" for said, names in told.items()]
    why = next(iter(first.values())).why
    message = "\n".join(["what had no room on a card even at the smallest size gave way:", *lines])
    return [*others, Diagnostic(REDUCED, "caution", message, why=why)]
