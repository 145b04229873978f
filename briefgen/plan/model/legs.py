"""Points, the air, and straight legs. Units and conventions: the package's docstring."""

from __future__ import annotations

from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import inner, record
from briefgen.units.values import Level, Speed

EGRESS_ID = "EGRESS"
END_OF_EGRESS = "End of egress"  # name of the point that the egress ends at


@record
class Point:
    """A place the sortie uses. ``elevation_ft`` is MSL, None when the file gives none."""

    id: str
    name: str
    lat_deg: float
    lon_deg: float
    elevation_ft: float | None = None
    is_egress_end: bool = inner(default=False)  # the one point that no file names

    @property
    def said(self) -> str:
        """Its id; the one point that no file names reads ``end of egress``."""
        return END_OF_EGRESS.lower() if self.is_egress_end else self.id


@record
class Height:
    """Feet MSL, and the key of the level that makes them; None on the ground, and where no key does."""

    ft: float
    key: KeyPath | None = None


@record
class Air:
    """The air at one level. ``extrapolated``: the level lies outside the forecast's levels. ``forecast``:
    False means that the mission gives no winds: calm and standard temperature are taken, and products say so.
    """

    altitude_ft: float
    pressure_altitude_ft: float
    wind_from_true_deg: float
    wind_kt: float
    temperature_c: float
    extrapolated: bool = False
    forecast: bool = True


LegKind = Literal["departure", "transit", "hold to IP", "run-in", "egress", "recovery"]


@record
class ClimbPart:
    """The first climb of the sortie, part of the first departure leg: time, still-air and ground distance."""

    time_s: float
    still_air_nm: float
    ground_nm: float
    wind_from_true_deg: float
    wind_kt: float


@record
class Leg:
    """A straight (geodesic) leg at one level and one speed.

    ``course_mid_true_deg`` is given for legs over 100 nm.  Magnetic values are None where the variation isn't
    known. ``gs_kt`` is the ground speed of the level part; a leg that changes speed has ``gs_start_kt``
    different from it. ``vertical_rate_ft_min`` is the mean signed rate that takes the leg from
    ``start_altitude_ft`` to ``altitude_ft`` over the whole of its time (without the climb part, which has its
    own time). ``speed`` is as typed.  ``between_levels``: its level changes by so much that it is flown
    through the air between; ``air``, ``tas_kt`` and the ground speed are then those at the mean of its two
    levels, ``cas_kt`` and ``mach`` those to hold once the level is reached. ``turn_s``: of its time so much
    is a turn over its start, which rolls out at ``straight_from``; course and heading are of what follows.
    """

    kind: LegKind
    start: Point
    end: Point
    distance_nm: float
    course_true_deg: float
    course_mid_true_deg: float | None
    variation_deg: float | None
    course_magnetic_deg: float | None
    level: Level
    start_altitude_ft: float
    altitude_ft: float
    air: Air
    tas_kt: float
    cas_kt: float
    mach: float
    gs_kt: float
    gs_start_kt: float
    heading_true_deg: float
    heading_magnetic_deg: float | None
    time_s: float
    climb: ClimbPart | None
    vertical_rate_ft_min: float
    cause: KeyPath
    speed: Speed
    between_levels: bool = False
    start_key: KeyPath | None = inner(default=None)
    level_key: KeyPath | None = inner(default=None)
    turn_s: float = inner(default=0.0)
    straight_from: Point | None = inner(default=None)

    @property
    def begins(self) -> Height:
        """The altitude at which it begins."""
        return Height(self.start_altitude_ft, self.start_key)

    @property
    def ends(self) -> Height:
        """The altitude at which it ends."""
        return Height(self.altitude_ft, self.level_key)

    @property
    def flow_ft(self) -> float:
        """Where flow tables are read on this leg: its level as typed (a flight level counts as its feet), AGL
        over the elevation of its end; the mean of its two levels where it is flown between them."""
        return (
            self.level.feet if self.level.datum != "AGL" and not self.between_levels else self.air.altitude_ft
        )

    @property
    def between(self) -> str:
        """``EXIT to HOLD``; the one point that no file names reads ``end of egress``."""
        return f"{self.start.said} to {self.end.said}"
