"""What a sortie flies, laid out over the ground: everything that no clock time and no number of set-ups
changes."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from typing import TypeAlias

from briefgen.core.records import record
from briefgen.mission.resolve.sections import BlockSection, WaySection
from briefgen.plan.model.chain import HoldShape, PassChain
from briefgen.plan.model.legs import Height, Leg, LegKind, Point


@record
class Way:
    """Legs one after the other, as the file says in ``section``, with what it leaves out."""

    section: WaySection
    legs: tuple[Leg, ...]


@record
class Block:
    """Training in an area; ``first``: no other block and no pass is flown before it. ``way_in_ft`` is how
    high the flight comes in (and waits for its last ship in the first), None where no leg leads there;
    ``entry`` where it comes in, ``exit`` where it leaves, ``exit_height`` how high then."""

    section: BlockSection
    first: bool
    way_in_ft: float | None
    entry: Point
    exit: Point
    exit_height: Height


@record
class LaidPass:
    """A pass, and the racetrack before it where it has one."""

    chain: PassChain
    shape: HoldShape | None

    @property
    def legs(self) -> tuple[Leg, ...]:
        """Those of its chain."""
        return self.chain.legs


Laid: TypeAlias = Way | Block | LaidPass


@record
class Stretch:
    """What is flown from take-off (or the last egress) on up to a pass; ``to`` None: up to the way home."""

    pieces: tuple[Way | Block, ...]
    to: LaidPass | None

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The training on the way."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Block))


@record
class Route:
    """The pieces in flying order; the last of them is the way home."""

    pieces: tuple[Laid, ...]

    @cached_property
    def legs(self) -> tuple[Leg, ...]:
        """All legs, in flying order."""
        return tuple(leg for piece in self.pieces if not isinstance(piece, Block) for leg in piece.legs)

    def of_kind(self, kind: LegKind) -> tuple[Leg, ...]:
        """The legs of one kind."""
        return tuple(leg for leg in self.legs if leg.kind == kind)

    @property
    def blocks(self) -> tuple[Block, ...]:
        """The training, in flying order."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Block))

    @property
    def passes(self) -> tuple[LaidPass, ...]:
        """The passes, in flying order."""
        return tuple(piece for piece in self.pieces if isinstance(piece, LaidPass))

    @cached_property
    def stretches(self) -> tuple[Stretch, ...]:
        """The sortie cut at its passes: one stretch up to each, and what follows the last without the way
        home."""
        return tuple(self._cut())

    def _cut(self) -> Iterator[Stretch]:
        since: list[Way | Block] = []
        for piece in self.pieces[:-1]:
            if isinstance(piece, LaidPass):
                yield Stretch(tuple(since), piece)
                since = []
            else:
                since.append(piece)
        yield Stretch(tuple(since), None)

    @property
    def home(self) -> tuple[Leg, ...]:
        """The legs of the way home."""
        last = self.pieces[-1]
        return last.legs if isinstance(last, Way) else ()

    def up_to_first_pass(self, home: tuple[Leg, ...]) -> Route:
        """The same without any pass, and home by other legs from where the first one's hold would begin."""
        first = self.stretches[0].pieces
        last = self.pieces[-1]
        return Route((*first, *((Way(last.section, home),) if isinstance(last, Way) else ())))
