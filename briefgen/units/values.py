"""Values that are dangerous to mix, each a frozen type that carries its datum, reference or clock.

Canonical units inside the program: ft, nm, kt, s, lb, degrees true, hPa, degrees Celsius, UTC. ``parse.py``
(and the ``parse_*.py`` behind it) makes these from the text of a mission file;
``briefgen.brief.wording.format`` alone words them for a reader.
"""

from __future__ import annotations

from datetime import date
from typing import Literal, final

from briefgen.core.records import record

LB_PER_KG = 1 / 0.45359237  # international avoirdupois pound, exact
FT_PER_M = 1 / 0.3048  # international foot, exact
NM_PER_M = 1 / 1852  # international nautical mile, exact
FT_PER_NM = 1852 / 0.3048
L_PER_US_GAL = 3.785411784  # 231 cubic inches, exact

HeightDatum = Literal["MSL", "AGL", "FL"]
AngleReference = Literal["T", "M"]
SpeedKind = Literal["KCAS", "KTAS", "KGS", "MACH"]
FuelUnit = Literal["lb", "kg", "L", "US gal"]
VOLUMES: tuple[FuelUnit, ...] = ("L", "US gal")  # the others are masses
PressureUnit = Literal["hPa", "inHg"]
VisibilityUnit = Literal["km", "m", "SM", "nm"]
HPA_PER_INHG = 33.86389  # conventional inch of mercury at 0 C, NIST SP 811 appendix B.8 (figure from memory)
M_PER_STATUTE_MILE = 1609.344  # international mile, exact
_M_OF_VISIBILITY = {"km": 1000.0, "m": 1.0, "SM": M_PER_STATUTE_MILE, "nm": 1852.0}


@record
class Level:
    """A height with its datum. ``feet`` is feet MSL, feet AGL, or the flight level times 100."""

    feet: float
    datum: HeightDatum


@record
class LevelBand:
    """From ``low`` to ``high``."""

    low: Level
    high: Level


@record
class Direction:
    """Degrees, 0 <= deg < 360, with its reference: T true or M magnetic."""

    deg: float
    reference: AngleReference


@record
class Wind:
    """The wind blows FROM ``direction``, at ``kt`` knots; ``gust_kt`` None: no gusts are given."""

    direction: Direction
    kt: float
    gust_kt: float | None = None

    @property
    def strongest_kt(self) -> float:
        """The gusts where there are any, else the mean speed: what a crosswind is judged by."""
        return self.kt if self.gust_kt is None else self.gust_kt


@record
class Speed:
    """Knots calibrated, true or over the ground; or a Mach number."""

    value: float
    kind: SpeedKind


@record
class Position:
    """WGS-84 degrees, north and east positive; -90 <= lat <= 90, -180 <= lon <= 180."""

    lat_deg: float
    lon_deg: float


@record
class Pressure:
    """A QNH as typed: it is set in the unit in which it was given."""

    value: float
    unit: PressureUnit

    @property
    def hpa(self) -> float:
        """Hectopascals."""
        return self.value * (HPA_PER_INHG if self.unit == "inHg" else 1.0)


@record
class Visibility:
    """A visibility as typed."""

    value: float
    unit: VisibilityUnit

    @property
    def nm(self) -> float:
        """Nautical miles."""
        return self.value * _M_OF_VISIBILITY[self.unit] * NM_PER_M


@record
class Fuel:
    """An amount as typed. A volume becomes a mass only with a density."""

    value: float
    unit: FuelUnit

    def lb(self, density_kg_per_l: float | None = None) -> float:
        """Pounds. Raises ValueError for a volume without a density: the reader must have refused that
        already."""
        match self.unit:
            case "lb":
                return self.value
            case "kg":
                return self.value * LB_PER_KG
        if density_kg_per_l is None:
            raise ValueError("a volume of fuel needs a density")
        litres = self.value * (L_PER_US_GAL if self.unit == "US gal" else 1.0)
        return litres * density_kg_per_l * LB_PER_KG


@record
class FuelFlow:
    """``amount`` per hour."""

    amount: Fuel

    def lb_h(self, density_kg_per_l: float | None = None) -> float:
        """Pounds per hour; see Fuel.lb."""
        return self.amount.lb(density_kg_per_l)


@record
class ClockTime:
    """A clock time as typed: whose clock it is stays with it until the mission is resolved.

    ``clock``: "Z", "base", "event", "L" (bare local), "offset" with ``offset_s`` seconds east of UTC, or an
    event's id in capitals, whose clock it then is.
    ``date`` is ISO text such as "2027-01-30" when one was typed.
    """

    hour: int
    minute: int
    second: int
    clock: Literal["Z", "base", "event", "L", "offset"] | str
    offset_s: int = 0
    date: str | None = None


@final
@record
class ClockRange:
    """From ``start`` to ``end``; the end is the first such time after the start."""

    start: ClockTime
    end: ClockTime


@record
class DailyHours:
    """Opening hours of every day; ``hours`` None: round the clock. An end at hour 24 is the end of a day,
    whatever the clock does at midnight."""

    hours: ClockRange | None


@record
class DateRange:
    """Both days included."""

    start: date
    end: date


@record
class Duration:
    """Seconds, never negative; a type of its own only where a text may also be something else (a reserve in
    minutes or as a weight)."""

    seconds: float


@record
class TOffset:
    """Seconds from the true time over target: "T-30 s" is -30."""

    seconds: float


LeftPoint = Literal["leave-hold", "IP"]


@record
class BeforePoint:
    """ "60 s before leave-hold": seconds counted back from passing that point."""

    seconds: float
    point: LeftPoint


@record
class EndOfCue:
    """ "end of ANTHEM": the pass hangs on the end of that cue."""

    cue: str


CloudAmount = Literal["FEW", "SCT", "BKN", "OVC"]
CloudKind = Literal["CB", "TCU"]


@record
class CloudLayer:
    """Amount FEW, SCT, BKN or OVC, with its base and, where given, its top and its kind: CB (cumulonimbus) or
    TCU (towering cumulus)."""

    amount: CloudAmount
    base: Level
    top: Level | None = None
    kind: CloudKind | None = None


@record
class Frequency:
    """Kept as typed ("123.450"), three decimals at the least; ``mhz`` for comparison."""

    text: str
    mhz: float


@record
class Channel:
    """An air-to-air TACAN channel, 1 to 126, band X or Y."""

    number: int
    band: Literal["X", "Y"]
