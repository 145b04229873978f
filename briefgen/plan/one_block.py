"""A sortie as one of its blocks of training sees it: what belongs to a block is judged and told for each
alike."""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from briefgen.plan.fuel.flight import fuel_of_block
from briefgen.plan.model import TrainingPlan
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import block_members

Seen = TypeVar("Seen", bound=Sortie)


def each_block(sortie: Seen) -> tuple[Seen, ...]:
    """The sortie as each of its blocks sees it, in flying order."""
    return tuple(seen_from_block(sortie, block) for block in sortie.trainings)


def seen_from_block(sortie: Seen, block: TrainingPlan) -> Seen:
    """The same sortie with one block alone, its training in the mission, and its instants, fuel and sun where
    the sortie has those of the first; phases, legs and passes stay those of the whole."""
    if len(sortie.trainings) == 1:
        return sortie
    own = next(clock for clock in sortie.clock.blocks if clock.id == block.id)
    return replace(
        sortie,
        mission=sortie.mission.seen_from_block(block.id),
        clock=replace(sortie.clock, **block_members(own)),
        trainings=(block,),
        fuel=sortie.fuel and fuel_of_block(sortie.fuel, block.id),
        suns=tuple(sun for sun in sortie.suns if sun.used_for != "training" or sun.piece == block.id),
    )
