"""What moves the arrival, gathered from a finished plan: the chain, the hold's shape and the wait as it is
flown. For whoever changes T."""

from __future__ import annotations

from datetime import datetime

from briefgen.airmath.hold_wait import HoldPlan as FlownWait
from briefgen.airmath.hold_wait import plan_wait
from briefgen.core.records import record
from briefgen.plan.event.slips import begins
from briefgen.plan.model import HoldPlan, HoldShape, PassChain
from briefgen.plan.sortie import Sortie


@record
class Motion:
    """``hold``, ``shape`` and ``flown`` are None without a hold, ``flown`` also when no number of laps gives
    the wait.

    ``origin`` is the instant from which seconds of the hold are counted: first passing the fix, without a
    hold the IP.
    """

    chain: PassChain
    hold: HoldPlan | None
    shape: HoldShape | None
    flown: FlownWait | None
    origin: datetime

    def seconds(self, instant: datetime) -> float:
        """Seconds after ``origin``."""
        return (instant - self.origin).total_seconds()


def as_flown(chain: PassChain, hold: HoldPlan, shape: HoldShape) -> Motion:
    """The motion with a hold."""
    flown = plan_wait(
        shape.track, hold.wait_s, arrival_heading_true_deg=shape.arrival_heading_true_deg, leg_s=shape.leg_s
    )
    return Motion(chain, hold, shape, flown if isinstance(flown, FlownWait) else None, hold.arrival)


def motion_of(sortie: Sortie) -> Motion:
    """The motion of a sortie that has an event."""
    assert sortie.chain is not None and sortie.event is not None
    hold = sortie.event.hold
    if hold is None or sortie.shape is None:
        return Motion(sortie.chain, None, None, None, begins(sortie.chain))
    return as_flown(sortie.chain, hold, sortie.shape)
