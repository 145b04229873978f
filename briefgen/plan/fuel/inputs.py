"""What the fuel plan is made from: plain figures in lb, lb/h, ft, s, with the place in the file that gave
them.

These records stand between the mission and the arithmetic, so that the arithmetic can be worked by hand.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.schema.flows import FlowTable
from briefgen.plan.model import Leg, Point, Scale


@record
class Given:
    """A weight of fuel that the file gives. ``converted``: it was typed in another unit than the displayed
    one."""

    lb: float
    cause: KeyPath = ()
    converted: bool = False


@record
class ShipInput:
    """One ship. ``place`` is its position in the landing order, 0 for the first to land. ``tiers`` lacks what
    isn't given.

    ``flows`` has the keys of the file: ground, climb, cruise, transit, hold, training, run_in, push_up,
    recovery. ``blocks_ft``: of each training, by its id, the middle of the ship's own block of heights, where
    it burns from the warm-up until it has left; not in it: as the flight's rows say. ``gather_share``: of the
    wait for the last ship in the area, how much this ship flies: all of it the first, none the last."""

    ship: int
    place: int
    start: Given
    burn_factor: float
    aircraft: str
    flows: Mapping[str, FlowTable]
    tiers: Mapping[str, Given]
    scale: Scale
    cause: KeyPath = ()
    density_kg_per_l: float | None = None
    blocks_ft: Mapping[str, float] = field(default_factory=dict)
    gather_share: float = 1.0


@record
class Reserve:
    """Either a time at the hold flow (``seconds``) or a weight (``lb``); the other is None. ``converted``: as
    of ``Given``."""

    seconds: float | None
    lb: float | None
    cause: KeyPath = ()
    converted: bool = False


@record
class Line:
    """One line of a sum before it is printed, see ``Addend``."""

    label: str
    exact_lb: float
    basis: str
    cause: KeyPath


@record
class Alternate:
    """Is the alternate's fuel carried, why, and the leg from home to it (None when it isn't carried)."""

    required: bool
    because: str
    leg: Leg | None = None
    cause: KeyPath = ()


@record
class WayHome:
    """A point from which a ship may have to go home, and the direct leg (None when the point is home
    itself). ``piece``: the pass or the training that it is of."""

    point: Point
    phase: Literal["training", "event", "transit"]
    leg: Leg | None
    piece: str = ""


@record
class Wait:
    """Where slips of a pass are waited out: its hold, else its run-in. ``piece`` and ``event`` are ids;
    ``planned_s`` is 0 without a planned hold, ``least_s`` the shortest that is allowed. ``follows``: its T is
    so long after the pass before it, and slips with that one. ``home``: from where the pass ends, None where
    no other pass follows."""

    piece: str
    event: str
    planned_s: float
    least_s: float
    early_s: float
    late_s: float
    follows: bool = False
    planned_cause: KeyPath = ()
    slip_cause: KeyPath = ()
    home: WayHome | None = None


@record
class FuelInputs:
    """Everything about the flight's fuel that the clock doesn't hold.

    ``start_s``: engine start to the leader's take-off; every other ship waits ``takeoff_interval_s`` more on
    the ground for each that takes off before it.  ``climb``: the extra fuel of the climb to the recovery's
    level.  ``waits``: of each pass, in flying order.  ``reserve_altitude_ft`` is where the reserve is flown
    (only flow tables need it; None: the greatest flow of the table).  ``add_reserve``: the line that gives
    a reserve.
    """

    ships: tuple[ShipInput, ...]
    reserve: Reserve | None
    add_reserve: str
    pad: Given
    start_to_takeoff: Given | None
    start_s: float | None
    climb: Given | None
    takeoff_interval_s: float
    landing_interval_s: float
    waits: tuple[Wait, ...]
    reserve_altitude_ft: float | None
    alternate: Alternate
    ground_cause: KeyPath = ()
    landing_interval_cause: KeyPath = ()
