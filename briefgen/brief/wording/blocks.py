"""What a block of training is called where there are several, and its END BY."""

from __future__ import annotations

from briefgen.plan.sortie import Plan, Sortie
from briefgen.plan.timing.training_end import training_end


def block_name(sortie: Sortie, id: str) -> str:
    """``MOOR`` where the sortie has several blocks, empty where it has one."""
    return id if len(sortie.route.blocks) > 1 else ""


def in_block(sortie: Sortie, id: str) -> str:
    """`` (MOOR)``, empty likewise."""
    return f" ({id})" if block_name(sortie, id) else ""


def end_by_name(seen: Plan) -> str:
    """``END BY MOOR`` of the block that the plan is seen from. Where a ship is predicted at joker before it
    says so: the later of the two times is not the one to train to."""
    names = [block_name(seen, block.id) for block in seen.trainings[:1]]
    return " ".join(filter(None, ("END BY", *names, "or joker" if joker_first(seen) else "")))


def joker_first(seen: Plan) -> bool:
    end = training_end(seen)
    return end is not None and end.ship is not None
