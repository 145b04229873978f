"""What a block of training is called where there are several."""

from __future__ import annotations

from briefgen.plan.sortie import Sortie


def block_name(sortie: Sortie, id: str) -> str:
    """``MOOR`` where the sortie has several blocks, empty where it has one."""
    return id if len(sortie.route.blocks) > 1 else ""


def in_block(sortie: Sortie, id: str) -> str:
    """`` (MOOR)``, empty likewise."""
    return f" ({id})" if block_name(sortie, id) else ""
