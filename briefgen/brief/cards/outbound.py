"""Which side of a kneeboard card shows what is flown up to a pass: the first all of it, up to a second block
of training; each further block, and one that is flown after a pass, a side of its own."""

from __future__ import annotations

from itertools import takewhile

from briefgen.core.records import record
from briefgen.plan.model import EventPlan, Phase
from briefgen.plan.model.laid import Block, LaidPass
from briefgen.plan.sortie import Plan


@record
class Outbound:
    """``block``: the id of the block that is flown on the way, empty without one; ``first``: from take-off
    on. ``to``: the pass that follows, None where another block does, or none."""

    block: str
    first: bool
    phases: tuple[Phase, ...]
    to: EventPlan | None

    @property
    def trains(self) -> bool:
        """Whether a block is flown on the way."""
        return bool(self.block)


def sides_of(plan: Plan) -> list[Outbound | EventPlan]:
    """What the sides of a card show, in flying order: the way out first, then passes and blocks as they
    come."""
    pieces = [piece for piece in plan.route.pieces if isinstance(piece, Block | LaidPass)]
    by_id = {each.section.id: each for each in plan.passes}
    order = [piece.section.id if isinstance(piece, Block) else piece.chain.section.id for piece in pieces]
    leads = bool(pieces) and isinstance(pieces[0], Block)
    found: list[Outbound | EventPlan] = []
    left = list(plan.clock.phases)
    for place, id in enumerate(order if leads else ["", *order]):
        if id in by_id:
            left = _after(left, id)
            found.append(by_id[id])
            continue
        later = order[place + 1 :] if leads else order[place:]
        to = by_id.get(later[0]) if later else None
        own = left[: len(left) - len(_after(left, id))] if later and to is None else _up_to(left, to)
        found.append(Outbound(id, place == 0, tuple(own), to))
        left = left[len(own) :]
    return found


def _up_to(phases: list[Phase], to: EventPlan | None) -> list[Phase]:
    """What is flown up to the end of the wait of a pass; all of it without one."""
    id = None if to is None else to.section.id
    return list(takewhile(lambda phase: phase.piece != id or phase.kind == "hold", phases))


def _after(phases: list[Phase], piece: str) -> list[Phase]:
    """What is flown after the last phase of a block or pass."""
    last = max((i for i, phase in enumerate(phases) if phase.piece == piece), default=-1)
    return phases[last + 1 :]
