"""Every printed card of a plan: one for each ship, one for the approving authority, one for the ground
contact."""

from __future__ import annotations

from briefgen.brief.cards.approval import approval
from briefgen.brief.cards.ground import ground_contact
from briefgen.brief.cards.kneeboard import kneeboard
from briefgen.brief.cards.model import Card
from briefgen.plan.sortie import Plan
from briefgen.whatif.answers import what_if_of

__all__ = ["approval", "ground_contact", "kneeboard", "kneeboard_with_what_ifs"]


def kneeboard_with_what_ifs(plan: Plan, number: int) -> Card:
    """The card of one ship with the what-ifs that all products of a plan share."""
    return kneeboard(plan, number, what_if_of(plan))
