"""How high the pass is over what stands there. Units and conventions: the package's docstring."""

from __future__ import annotations

from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record


@record
class Floor:
    """What the pass must not undercut: a true altitude in ft MSL, and what makes it. ``name`` is the
    obstacle's or the place's, ``top_ft`` MSL what stands there, ``over_ft`` the least height over it; both
    None for the lowest height of the permission. ``default``: that height is neither the unit's nor the
    regime's."""

    true_altitude_ft: float
    made_by: Literal["obstacle", "ground", "permission"]
    name: str
    top_ft: float | None
    over_ft: float | None
    default: bool = False


@record
class UnknownAir:
    """What is not given of the air that an altimeter is read in: standard air is taken for it, and nothing
    found with it reads PASS; of what is given ``source`` alone, where that only keeps its place: the figures
    are taken as they stand, and nothing found with them reads PASS either. ``key``: of the file, that gives
    the first of them. ``far_nm``: how far away the only QNH is that could be set, where it is given too far
    away to count; ``anywhere``: from the farthest part of the area, since nobody knows where in it the ground
    stands."""

    lacks: tuple[Literal["QNH", "temperature", "source"], ...]
    key: KeyPath
    far_nm: float | None
    anywhere: bool = False

    @property
    def standard(self) -> bool:
        """Standard air is taken, at least in part."""
        return "source" not in self.lacks


@record
class LeastClearance:
    """The least true height of a ship over what is known under its track: over an obstacle, or over the
    ground of a place."""

    ship: int
    over: Literal["obstacle", "ground"]
    name: str
    clearance_ft: float


@record
class PassHeights:
    """The least heights of the pass. ``minimum_ft`` and ``lead_ft`` are altimeter readings, the same for
    every ship: the floor, and for whoever leads the floor and ``step_ft``, the largest step-down of every
    planned or fall-out formation; each corrected for cold air from the station whose QNH is set (``station``,
    a place id; ``station_c`` its temperature), up to the next 10 ft; ``cold_ft`` is what the cold adds to the
    floor before that. None where it isn't known, which is so without a QNH or a temperature too (``air``).
    ``under`` None: nothing under the track is known."""

    floor: Floor | None
    step_ft: float | None
    minimum_ft: float | None
    lead_ft: float | None
    cold_ft: float
    under: LeastClearance | None
    station: str | None
    station_c: float | None
    air: UnknownAir | None
