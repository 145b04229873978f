"""The answer of ``briefgen retime`` as an object for machines."""

from __future__ import annotations

from typing import Any

from briefgen.core.plain import to_plain
from briefgen.plan.sortie import Plan
from briefgen.retime.answer import Retimed

# of the answer, as its record has them
KEYS = (
    "kind",
    "change_s",
    "old_true",
    "old_set",
    "new_true",
    "told",
    "until",
    "say_by",
    "reason",
    "one_more_lap_s",
    "authority_s",
    "times",
    "ships",
    "fuel_basis",
    "parties",
    "within_accepted",
    "ask_first",
    "call",
    "predicted",
    "earlier",
    "limit",
    "lap_limit",
    "short_s",
    "rest_s",
    "soonest",
    "question",
    "once",
)


def retime_object(answer: Retimed, plan: Plan) -> dict[str, Any]:
    """``briefgen retime --json``: the records as they are, instants in UTC, seconds unrounded."""
    return {
        "pass": plan.passes[0].section.id,
        "met": answer.met,
        **{key: to_plain(getattr(answer, key)) for key in KEYS},
        "failing": [gate.id for gate in answer.failing],
        "plan_failing": [gate.id for gate in answer.plan_failing],
        "later": [
            {**to_plain(later), "unmet": [gate.id for gate in later.unmet], "lost": later.lost}
            for later in answer.later
        ],
        "later_training": [to_plain(later) for later in answer.later_training],
    }
