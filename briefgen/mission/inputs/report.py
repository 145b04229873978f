"""What a TAF or METAR says, as it was read: every word of it has its place here.

Times are a day of the month and a time of day in Z, as they are written; which month and year they are of
says ``reported.py``. Sources: WMO-No. 306, FM 15 (METAR), FM 16 (SPECI) and FM 51 (TAF); FAA AIM chapter 7;
groups of United States military forecasts after CNATRA P-304.
"""

from __future__ import annotations

from dataclasses import fields, replace
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.units.values import CloudKind, CloudLayer, Level, Pressure, Visibility, Wind

EXAMPLE = {
    "TAF": "TAF XXNB 291100Z 2912/3018 20012KT 9999 SCT040",
    "METAR": "METAR XXNB 300150Z 20012KT 9999 SCT040 21/12 Q1017",
}
WINDS_EXAMPLES = ("FL050 260/25 M02; FL100 270/35 M12", "FT 3000 6000 9000 XXN 2619 2728+01 2635-05")
LONGEST_H = 36  # a TAF is for 30 h at the most: WMO-No. 306, FM 51; some states have given 36
REPORT_KEYS = ("taf", "metar")  # of a place, each for its kind
WINDS_TEXT: KeyPath = ("weather", "winds_text")
ReportKind = Literal["TAF", "METAR"]
# what a report is beside a usual one: amended, corrected, cancelled, without content
Status = Literal["", "AMD", "COR", "CNL", "NIL"]
ExtremeKind = Literal["TX", "TN"]
Change = Literal["", "FM", "BECMG", "TEMPO", "PROB"]
# how a word was understood
Role = Literal[
    "head", "time", "change", "wind", "visibility", "weather", "cloud", "temperature", "pressure", "shear",
    "runway", "icing or turbulence", "notice", "remark", "end", "not understood",
]  # fmt: skip


@record
class Token:
    """Words of the text that were taken together, and as what."""

    text: str
    role: Role


@record
class DayTime:
    """A time in Z; ``day`` of a month, None where only the hour is written. Hour 24 is the day's end."""

    day: int | None
    hour: int
    minute: int = 0


@record
class Period:
    """From ``start`` to ``end``; None: as long as the group before says."""

    start: DayTime
    end: DayTime | None = None


@record
class ReportedWind:
    """Degrees true; ``from_deg`` None: from anywhere. ``sector``: between which two it varies, clockwise."""

    from_deg: float | None
    kt: float
    gust_kt: float | None = None
    sector: tuple[float, float] | None = None


@record
class ReportedVisibility:
    """``or_more``: at least this (9999, P6SM, CAVOK)."""

    seen: Visibility
    or_more: bool = False


@record
class ReportedCloud:
    """``layers`` above the ground, None where an amount or a height isn't told. ``up_to_ft``: how high above
    the ground the report speaks of cloud at all; None: of the whole sky. ``vertical``: the sky is obscured.
    ``kinds``: CB and TCU."""

    layers: tuple[CloudLayer, ...] | None
    up_to_ft: float | None
    vertical: bool = False
    kinds: tuple[CloudKind, ...] = ()


@record
class Extreme:
    """A highest or lowest temperature, and when it is expected."""

    celsius: float
    at: DayTime


@record
class Elements:
    """What a group names; None: nothing of it. ``weather`` () is its end (NSW)."""

    wind: ReportedWind | None = None
    visibility: ReportedVisibility | None = None
    weather: tuple[str, ...] | None = None
    cloud: ReportedCloud | None = None
    temperature_c: float | None = None
    qnh: Pressure | None = None
    shear: tuple[str, ...] | None = None
    icing: tuple[str, ...] | None = None
    turbulence: tuple[str, ...] | None = None

    def under(self, other: Elements) -> Elements:
        """These, with what the other names in its place."""
        named = {f.name: value for f in fields(other) if (value := getattr(other, f.name)) is not None}
        return replace(self, **named) if named else self


@record
class Group:
    """A part of a report and what it changes; the first has no ``change``. ``head``: the change and its
    period as they are written, ``name``: the change alone; ``brings``: the rest, without what is of the whole
    report, its highest and lowest temperature."""

    change: Change
    period: Period | None
    elements: Elements
    text: str
    head: str = ""
    name: str = ""
    brings: str = ""


@record
class Report:
    """One TAF or METAR. ``raw``: as it was pasted, one space between words. ``at``: when it was issued or
    observed. ``tokens``: every word, in order."""

    kind: ReportKind
    raw: str
    station: str
    status: Status
    at: DayTime | None
    valid: Period | None
    groups: tuple[Group, ...]
    extremes: tuple[tuple[ExtremeKind, Extreme], ...]
    tokens: tuple[Token, ...]

    @property
    def not_understood(self) -> tuple[str, ...]:
        """The words that no rule knows."""
        return tuple(token.text for token in self.tokens if token.role == "not understood")


@record
class Unusable:
    """Why a text can't be taken as a report at all: what, why it matters, how to mend it."""

    message: str
    why: str
    help: str


@record
class AloftRow:
    """One level; ``temperature`` None: not given."""

    level: Level
    wind: Wind
    temperature: float | None


@record
class WindsText:
    """The rows of a pasted text, as they stand. ``use``: for which hours they are, around ``valid``; None:
    not said."""

    raw: str
    rows: tuple[AloftRow, ...]
    valid: DayTime | None
    use: Period | None
    tokens: tuple[Token, ...]

    @property
    def not_understood(self) -> tuple[str, ...]:
        """The words that no rule knows."""
        return tuple(token.text for token in self.tokens if token.role == "not understood")


def is_pasted(path: KeyPath) -> bool:
    """Whether a text is pasted at a key path of the mission file."""
    if path == WINDS_TEXT:
        return True
    return len(path) == 4 and path[:2] == ("weather", "at") and path[3] in REPORT_KEYS


def phenomena(code: str) -> tuple[str, ...]:
    """The pairs of letters of a present weather: ``-TSRA`` has TS and RA, ``VCFG`` has FG."""
    letters = code.lstrip("+-").removeprefix("VC")
    return tuple(letters[i : i + 2] for i in range(0, len(letters), 2))
