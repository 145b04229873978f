"""Fuel of every ship along the clock, in printed figures. Units and conventions: the package's docstring."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from briefgen.diagnostics import KeyPath
from briefgen.plan.model.legs import Point
from briefgen.records import record


@record
class Addend:
    """One line of a sum. ``printed`` is in display units, rounded up to the display step; ``basis`` words the product
    ("1900 lb/h x 7 min 32 s x 1.04" or "given 80 lb x 1.04")."""

    label: str
    exact_lb: float
    printed: int
    basis: str
    cause: KeyPath


@record
class FuelSum:
    """``total`` is the sum of the printed addends; ``figure`` is the total rounded up to ``round_up_to``. The figure of a reserve given as a
    weight is that weight as typed, unrounded."""

    title: str
    addends: tuple[Addend, ...]
    total: int
    figure: float
    exact_lb: float


@record
class FuelRow:
    """Fuel along the clock: ``burn`` in the phase, what remains at its end, and what is required there to go home
    (the unrounded bingo of that point, None where not worked out)."""

    phase_id: str
    label: str
    start: datetime
    end: datetime
    burn: Addend
    remaining_exact_lb: float
    remaining_printed: int
    required_printed: int | None


@record
class Bingo:
    """Fuel to go home from one point. ``phase``: "training", "event" or "transit"; ``alternate``: the alternate is in it."""

    point: Point
    phase: Literal["training", "event", "transit"]
    alternate: bool
    distance_nm: float
    course_true_deg: float | None
    sum: FuelSum


@record
class Tier:
    """A predicted-landing-fuel tier of the unit's own: ``printed`` is as typed, in display units, not rounded up to any step; None where the
    file gives none."""

    id: Literal["normal_landing", "minimum", "emergency"]
    printed: float | None
    cause: KeyPath


@record
class ShipFuel:
    """Everything printed about one ship's fuel, in display units unless the name says lb."""

    ship: int
    start_printed: int
    burn_factor: float
    rows: tuple[FuelRow, ...]
    joker: FuelSum | None
    bingo_training: Bingo | None
    bingo_event: Bingo | None
    bingos: tuple[Bingo, ...]
    reserve: FuelSum
    landing_required: int
    landing_required_because: str
    landing_predicted: int
    landing_predicted_exact_lb: float
    training_end_predicted: int | None
    knock_off: datetime | None  # latest end of this ship's training: the earlier of joker_reached and the clock's, END BY
    joker_reached: datetime | None  # when this ship's printed fuel comes down to its joker; None without training
    go_home: datetime | None  # when this ship in the hold reaches the fuel to go home; None without a hold
    longest_hold_s: float | None
    tiers: tuple[Tier, ...]


@record
class FuelPlan:
    """``unit`` and ``step`` of every printed figure. The flight's figures are those of the ship that needs most."""

    unit: Literal["lb", "kg"]
    step: int
    round_up_to: int
    ships: tuple[ShipFuel, ...]
    thirstiest: int
    joker: int | None
    bingo_training: int | None
    bingo_event: int | None
    go_home: datetime | None
    lowest_landing: int
    lowest_landing_ship: int
    alternate_required: bool
    alternate_because: str
