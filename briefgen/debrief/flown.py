"""What was flown, told and heard, resolved: instants in UTC, fuels in lb."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime
from typing import Literal

from briefgen.core.records import record

POINTS = ("start", "end_of_training", "hold", "landing")  # the four points of a ship's fuel, in flying order
TIMES = ("takeoff", "area", "training_end", "hold", "leave_hold", "true_time", "landing")


@record
class RecordedChange:
    """A change of the true time that was told. ``read_back``: when, False: it was not, None: not recorded.
    ``at``: None likewise. ``by_speed``: told as seconds fast or slow, which leaves the hold as it is; a new
    time is met in it."""

    at: datetime | None
    old: datetime | None
    new: datetime
    read_back: datetime | Literal[False] | None
    by_speed: bool

    @property
    def change_s(self) -> float | None:
        """Later is plus; None where the old time is not recorded."""
        return None if self.old is None else (self.new - self.old).total_seconds()


@record
class Flown:
    """What is not in a mapping, or None, is not recorded. ``times``: see TIMES; ``from_log``: those of them
    that only the log tells. ``fuel_lb``: ship, then point (see POINTS). ``told_known``: the file or a log
    says what was told, so that no change means none. ``other_calls``: sentences of the log that gave no time.

    Of several passes what is of each stands in ``passes``, by its id, of several blocks of training in
    ``blocks``, and here what is of the whole sortie.
    """

    times: Mapping[str, datetime] = field(default_factory=dict)
    from_log: frozenset[str] = frozenset()
    setups_flown: int | None = None
    setups_valid: int | None = None
    fuel_lb: Mapping[int, Mapping[str, float]] = field(default_factory=dict)
    told: tuple[RecordedChange, ...] = ()
    told_known: bool = False
    other_calls: tuple[tuple[datetime, str], ...] = ()
    heard: Mapping[str, datetime] = field(default_factory=dict)
    success: Mapping[int, bool] = field(default_factory=dict)
    passes: Mapping[str, Flown] = field(default_factory=dict)
    blocks: Mapping[str, Flown] = field(default_factory=dict)

    def of(self, piece: str) -> Flown:
        """What is recorded of a pass or a block, by its id: where there is one alone, this."""
        return {**self.passes, **self.blocks}.get(piece, self)

    @property
    def recorded(self) -> bool:
        """Whether anything of the flight itself is recorded, so that it was flown."""
        own = self.times or self.fuel_lb or self.setups_flown
        return bool(own) or any(flown.recorded for flown in (*self.passes.values(), *self.blocks.values()))
