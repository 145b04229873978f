"""Every printed card of a plan: one for each ship, one for the approving authority, one for the ground
contact."""

from __future__ import annotations

from briefgen.brief.cards.approval import approval
from briefgen.brief.cards.ground import ground_contact
from briefgen.brief.cards.kneeboard import kneeboard

__all__ = ["approval", "ground_contact", "kneeboard"]
