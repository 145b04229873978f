"""A sortie as flown, read from the text of its actuals."""

from __future__ import annotations

from briefgen.debrief.flown import Flown
from briefgen.debrief.read import actuals_of
from briefgen.plan.sortie import Plan


def read(plan: Plan, text: str) -> Flown:
    """What a text without mistakes says."""
    flown, problems = actuals_of(text, "a.yaml", plan)
    assert flown is not None, [problem.message for problem in problems]
    return flown
