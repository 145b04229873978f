"""What stands on every slide of a deck."""

from __future__ import annotations

from datetime import datetime

from briefgen.core.context import Stamp
from briefgen.core.records import record


@record
class Frame:
    """The stamp of every page; ``created`` is an aware instant taken from the plan, never from a clock, so
    that the same input gives the same bytes."""

    stamp: Stamp
    created: datetime
