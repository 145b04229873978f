"""The blocks of training of a sortie together, whether one or several."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import block_name
from briefgen.brief.wording.passes import name_of
from briefgen.brief.wording.words import Words
from briefgen.plan.model.laid import Block, LaidPass


def blocks_values(w: Words, of_each: Sequence[Mapping[str, Any]]) -> dict[str, Any]:
    """``several_blocks``: whether there is more than one block. ``blocks``: the order in which they and the
    passes are flown (``order``), whether that has to be said, since it is another than one block before all
    passes (``in_order``), and as ``list`` of each its ``name``, empty where there is one, and its groups
    ``training``, ``fuel`` and ``clock`` with its own figures."""
    own = (block_name(w.plan, block.id) for block in w.plan.trainings)
    return {
        "several_blocks": len(w.plan.trainings) > 1,
        "blocks": {
            "order": words.listed(_order(w)),
            "in_order": len(w.plan.route.blocks) > len(w.plan.route.stretches[0].blocks[:1]),
            "list": [{"name": name, **values} for name, values in zip(own, of_each, strict=True)],
        },
    }


def _order(w: Words) -> list[str]:
    flown = (piece for piece in w.plan.route.pieces if isinstance(piece, Block | LaidPass))
    return [
        (block_name(w.plan, piece.section.id) or "training")
        if isinstance(piece, Block)
        else (name_of(piece.chain.section) or "one pass")
        for piece in flown
    ]
