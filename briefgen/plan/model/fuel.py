"""Fuel of every ship along the clock, in printed figures. Units and conventions: the package's docstring.

A printed figure is in the displayed unit, an int where it is whole, else the float nearest its decimals.
``plan/fuel/rounding.py`` alone makes them.
"""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.plan.model.legs import Point
from briefgen.units.values import FuelUnit


@record
class Scale:
    """How one ship's fuel is printed: the displayed unit and the pounds in one of it (by the ship's density
    where it is a volume); the step of its gauge and whether the file gives it; what joker and bingo of the
    flight are rounded up to. Steps are in the displayed unit."""

    unit: FuelUnit
    unit_lb: float
    step: float
    step_given: bool
    round_up_to: float


@record
class Addend:
    """One line of a sum, ``printed`` so that the lines make the printed total: within a step of ``exact_lb``,
    and never below it where it is kept (landing fuel, pad). ``basis`` words the product ("1900 lb/h x 7 min
    32 s x 1.04" or "given 80 lb x 1.04")."""

    label: str
    exact_lb: float
    printed: float
    basis: str
    cause: KeyPath


@record
class FuelSum:
    """``total`` is the exact sum, rounded up once to the ship's step, and what the printed addends make;
    ``figure`` is the total rounded up to ``round_up_to`` (joker, bingo). A reserve given as a weight is that
    weight as typed, unrounded."""

    title: str
    addends: tuple[Addend, ...]
    total: float
    figure: float
    exact_lb: float


@record
class FuelRow:
    """Fuel along the clock: ``burn`` in the phase, what remains at its end (the exact figure, rounded down
    once to the ship's step; the printed burns are what lies between two of them), and what is required there
    to go home (the total of that point's bingo, before it goes up to ``round_up_to``; None where not worked
    out)."""

    phase_id: str
    label: str
    start: datetime
    end: datetime
    burn: Addend
    remaining_exact_lb: float
    remaining_printed: float
    required_printed: float | None


@record
class Bingo:
    """Fuel to go home from one point. ``phase``: "training", "event" or "transit"; ``alternate``: the
    alternate is in it."""

    point: Point
    phase: Literal["training", "event", "transit"]
    alternate: bool
    distance_nm: float
    course_true_deg: float | None
    sum: FuelSum
    piece: str = ""


@record
class Tier:
    """A predicted-landing-fuel tier of the unit's own: ``printed`` is as typed, in display units; typed in
    another unit, up to the gauge's step; None where the file gives none."""

    id: Literal["normal_landing", "minimum", "emergency"]
    printed: float | None
    cause: KeyPath


@record
class HoldFuel:
    """What fuel allows one ship in the hold of a pass (``piece``): when it reaches the fuel to go home, and
    the longest hold."""

    piece: str
    go_home: datetime | None
    longest_s: float | None


@record
class BlockFuel:
    """One ship in a block of training (``piece``): joker, when its printed fuel comes down to it, the latest
    end of its training (the earlier of that and END BY), what is left at the end as planned, and the bingo of
    the area. None where nothing of the block is flown, or, of an instant, where it never comes."""

    piece: str
    joker: FuelSum | None
    joker_reached: datetime | None
    knock_off: datetime | None
    training_end_predicted: float | None
    bingo_training: Bingo | None


@record
class Onward:
    """What a ship needs at the end of the egress of a pass (``piece``) to fly all that is planned after it:
    the joker's lines from there, without pad."""

    piece: str
    sum: FuelSum


@record
class ShipFuel:
    """Everything printed about one ship's fuel, in display units unless the name says lb. ``base_required``:
    what ``landing_predicted`` has to reach so that the alternate, where required, can be flown from there:
    its lines and the landing fuel, up to the step. Joker and what goes with it are of the first block of
    training; ``blocks`` has those of each."""

    ship: int
    scale: Scale
    start_printed: float
    burn_factor: float
    rows: tuple[FuelRow, ...]
    joker: FuelSum | None
    bingo_training: Bingo | None
    bingo_event: Bingo | None
    bingos: tuple[Bingo, ...]
    reserve: FuelSum
    landing_required: float
    landing_required_because: str
    base_required: float
    landing_predicted: float
    landing_predicted_exact_lb: float
    training_end_predicted: float | None
    # latest end of this ship's training: the earlier of joker_reached and the clock's, END BY
    knock_off: datetime | None
    # when this ship's printed fuel comes down to its joker; None without training
    joker_reached: datetime | None
    go_home: datetime | None  # when this ship in the hold reaches the fuel to go home; None without a hold
    longest_hold_s: float | None
    tiers: tuple[Tier, ...]
    holds: tuple[HoldFuel, ...] = ()
    onward: tuple[Onward, ...] = ()  # of every pass but the last
    blocks: tuple[BlockFuel, ...] = ()


@record
class FuelPlan:
    """``unit`` of every printed figure; ``step``: the coarsest of the ships' steps. The flight's figures are
    those of the ship that needs most on its own gauge: in a volume, and with densities that differ, no ship
    needs more than the flight's figure by its own density."""

    unit: FuelUnit
    step: float
    round_up_to: float
    ships: tuple[ShipFuel, ...]
    thirstiest: int
    joker: float | None
    bingo_training: float | None
    bingo_event: float | None
    go_home: datetime | None
    lowest_landing: float
    lowest_landing_ship: int
    alternate_required: bool
    alternate_because: str
