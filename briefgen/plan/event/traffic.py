"""The flight against others who fly there: from when to when it is there itself, and how far apart in
height."""

from __future__ import annotations

from datetime import datetime

from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.speed_alone import begins
from briefgen.plan.model import EventPlan
from briefgen.plan.route.air import altitude_ft
from briefgen.units.values import LevelBand


def flight_there(event: EventPlan) -> tuple[datetime, datetime]:
    """From leave-hold (without a hold: the IP) to the end of the egress."""
    return begins(event.chain), event.chain.ends


def apart_ft(mission: Mission, event: EventPlan, band: LevelBand) -> float | None:
    """Feet between the legs of the pass, each ship's step-down included, and a band of heights over its
    centre; 0 or less: they share some. None where the elevation there isn't given."""
    low, high = (altitude_ft(mission, event.centre, level) for level in (band.low, band.high))
    if low is None or high is None:
        return None
    legs = event.chain.legs
    top = max(max(leg.start_altitude_ft, leg.altitude_ft) for leg in legs)
    deepest = max((ship.down_ft for ship in event.ships), default=0.0)
    bottom = min(min(leg.start_altitude_ft, leg.altitude_ft) for leg in legs) - deepest
    return max(bottom - high, low - top)
