"""What moves the arrival, gathered from a finished plan: the chain, the hold's shape and the wait as it is
flown. For whoever changes T."""

from __future__ import annotations

from datetime import datetime

from briefgen.airmath.hold_wait import HoldPlan as FlownWait
from briefgen.airmath.hold_wait import plan_wait
from briefgen.core.records import record
from briefgen.plan.event.speed_alone import begins
from briefgen.plan.model import EventPlan, HoldPlan, HoldShape, PassChain


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


def motion(chain: PassChain, hold: HoldPlan | None, shape: HoldShape | None) -> Motion:
    """The motion with a hold, or without."""
    if hold is None or shape is None:
        return Motion(chain, None, None, None, begins(chain))
    return as_flown(chain, hold, shape)


def motion_of(pass_: EventPlan) -> Motion:
    """The motion of a planned pass."""
    return motion(pass_.chain, pass_.hold, pass_.shape)
