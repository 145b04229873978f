"""What a plan is made of: frozen records, built once, in the order in which the sortie flies.

Units: ft, nm, kt, s, lb, degrees true (0 <= x < 360), hPa, Celsius; instants are aware datetimes in UTC.
``cause`` is the key path of the mission file that a figure came from.  ``None`` means "not known" or "does
not apply", and the docstring says which.  Nothing here rounds, except fuel, whose printed figures are what
the sums are made of.
"""

from __future__ import annotations

from briefgen.plan.model.chain import Cap, HoldShape, PassChain, PushUp
from briefgen.plan.model.clock import BlockClock, Clock, ClockEvent, Phase, PhaseKind
from briefgen.plan.model.event import (
    Abort,
    Authority,
    Contact,
    CrowdLine,
    Cue,
    CueCheck,
    EventPlan,
    LastUpdate,
    Means,
    NextFixed,
    Party,
    PushRow,
    ShipOver,
    SlipRow,
    SpeedFix,
    Workload,
)
from briefgen.plan.model.fuel import (
    Addend,
    Bingo,
    BlockFuel,
    FuelPlan,
    FuelRow,
    FuelSum,
    HoldFuel,
    Onward,
    Scale,
    ShipFuel,
    Tier,
)
from briefgen.plan.model.heights import Floor, LeastClearance, PassHeights, UnknownAir
from briefgen.plan.model.hold import HoldPlan, Lap
from briefgen.plan.model.judged import (
    WORST_FIRST,
    Basis,
    Gate,
    GateIds,
    LowOver,
    Margin,
    Mend,
    Source,
    Stake,
    SunAt,
    SunFor,
    Topic,
    Verdict,
    worst_first,
)
from briefgen.plan.model.legs import Air, ClimbPart, Height, Leg, LegKind, Point
from briefgen.plan.model.training import TrainingPlan

__all__ = [
    "WORST_FIRST",
    "Abort",
    "Addend",
    "Air",
    "Authority",
    "Basis",
    "Bingo",
    "BlockClock",
    "BlockFuel",
    "Cap",
    "ClimbPart",
    "Clock",
    "ClockEvent",
    "Contact",
    "CrowdLine",
    "Cue",
    "CueCheck",
    "EventPlan",
    "Floor",
    "FuelPlan",
    "FuelRow",
    "FuelSum",
    "Gate",
    "GateIds",
    "Height",
    "HoldFuel",
    "HoldPlan",
    "HoldShape",
    "Lap",
    "LastUpdate",
    "LeastClearance",
    "Leg",
    "LegKind",
    "LowOver",
    "Margin",
    "Means",
    "Mend",
    "NextFixed",
    "Onward",
    "Party",
    "PassChain",
    "PassHeights",
    "Phase",
    "PhaseKind",
    "Point",
    "PushRow",
    "PushUp",
    "Scale",
    "ShipFuel",
    "ShipOver",
    "SlipRow",
    "Source",
    "SpeedFix",
    "Stake",
    "SunAt",
    "SunFor",
    "Tier",
    "Topic",
    "TrainingPlan",
    "UnknownAir",
    "Verdict",
    "Workload",
    "worst_first",
]
