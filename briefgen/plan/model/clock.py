"""The clock of the sortie: phases, named instants. Units and conventions: the package's docstring."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import inner, record
from briefgen.plan.model.legs import Leg

PhaseKind = Literal[
    "ground",
    "departure",
    "gather",
    "warm-up",
    "set-up",
    "leave",
    "rejoin",
    "transit",
    "hold",
    "hold to IP",
    "run-in",
    "push-up",
    "egress",
    "recovery",
    "approach",
    "training",
    "climb",
]


@record
class Phase:
    """One row of the clock: a stretch of time with one use of fuel.

    ``id`` is stable and unique ("departure-1-climb", "departure-1", "set-up-3", "transit-1", "hold", "run-in"
    ...). ``flow`` names the key of the aircraft's fuel_flow that applies; ``given_fuel_lb`` is the mission's
    own figure for the phase (before the burn factor), which wins over flow x time.  ``altitude_ft`` is where
    flow tables are read: the level as typed; in the training block the middle of the leader's block, while
    every ship burns at the middle of its own. ``leg`` is the leg flown, or None. ``piece``: the id of the
    block or pass that it is part of, empty on a way. ``early_s``: by how much a flight without a hold reaches
    the IP of this run-in before it may begin: nobody has planned how that is flown, and it burns at the
    run-in's flow.
    """

    id: str
    kind: PhaseKind
    label: str
    start: datetime
    end: datetime
    flow: str | None
    given_fuel_lb: float | None
    altitude_ft: float | None
    leg: Leg | None
    cause: KeyPath
    piece: str = ""
    early_s: float = inner(default=0.0)

    @property
    def seconds(self) -> float:
        """Length of the phase."""
        return (self.end - self.start).total_seconds()


@record
class ClockEvent:
    """A named instant before take-off, in the air or after landing: "Brief", "Step", "T", "Landing ship 4"
    ... ``kind``: which, whatever pass it is of, as ``id`` says it too."""

    id: str
    label: str
    at: datetime
    cause: KeyPath
    kind: str


@record
class BlockClock:
    """When a block of training begins and ends: the leader's entry into the area, the warm-up's beginning
    when the last ship is in, the end of training, rejoined; the latest end (END BY), and what is lost later
    than that. None where nothing is flown there, or nothing bounds it."""

    id: str
    entry: datetime | None
    start: datetime | None
    end: datetime | None
    rejoined: datetime | None
    end_by: datetime | None
    end_by_because: str


@record
class Clock:
    """The whole sortie in time order.

    ``events`` holds every named instant (report ... debrief end), in time order; ``phases`` the airborne rows
    in flying order, take-off to the leader's touchdown.  ``takeoff_solved``: the file left it out.
    ``lead_landing`` and ``last_landing`` are touchdowns.  Members that the mission has no use for are None.
    ``hold_difference_s`` is the hold that is left minus the hold that was planned (None without a hold or
    with a solved take-off).
    """

    takeoff: datetime
    takeoff_solved: bool
    last_takeoff: datetime
    report: datetime | None
    area_entry: datetime | None
    training_start: datetime | None
    # knock-it-off of the last set-up: the block ends here, then leave and rejoin
    training_end: datetime | None
    rejoined: datetime | None
    hold_arrival: datetime | None
    leave_hold: datetime | None
    ip: datetime | None
    push_up: datetime | None
    true_time: datetime | None
    set_time: datetime | None
    lead_landing: datetime
    last_landing: datetime
    shut_down: datetime | None
    duty_end: datetime | None
    knock_off: (
        datetime | None
        # latest end of training that leaves the area in its reservation, and the shortest flyable hold of at
        # least the minimum
    )
    hold_difference_s: float | None
    events: tuple[ClockEvent, ...]
    phases: tuple[Phase, ...]
    knock_off_because: str = ""  # what is lost later than that
    blocks: tuple[BlockClock, ...] = ()
