"""One word of a report, or a few that belong together, and what it says: an ordered table of rules.

A rule's pattern is matched whole. What no rule matches is NOT UNDERSTOOD: nothing is guessed.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from functools import cache

from briefgen.core.records import record
from briefgen.mission.inputs.report import (
    DayTime,
    Elements,
    Extreme,
    ExtremeKind,
    ReportedCloud,
    ReportedVisibility,
    ReportedWind,
    ReportKind,
    Role,
)
from briefgen.units.parse_air import LEAST_HPA, MOST_HPA
from briefgen.units.values import CloudAmount, CloudKind, CloudLayer, Level, Pressure, Visibility

KT_IN = {"KT": 1.0, "MPS": 3600 / 1852, "KMH": 1000 / 1852}  # exact: a nautical mile is 1852 m
# cloud of operational significance: below 5000 ft, WMO-No. 306 FM 15, 15.9; an automatic station's CLR:
# none below 12000 ft, FAA AIM 7-1-28
SIGNIFICANT_FT, CLEAR_BELOW_FT = 5000.0, 12000.0
TEN_KM = ReportedVisibility(Visibility(10.0, "km"), or_more=True)


class Building:
    """What was read of a group so far. Layers of cloud and weather add up; of two visibilities the lesser
    counts; of any other element the first, and a second is not understood. ``whole_sky``: its report tells
    every layer, however high."""

    def __init__(self, whole_sky: bool = False) -> None:
        self.whole_sky = whole_sky
        self.wind: ReportedWind | None = None
        self.seen: ReportedVisibility | None = None
        self.weather: list[str] | None = None
        self.cloud: ReportedCloud | None = None
        self.temperature_c: float | None = None
        self.qnh: Pressure | None = None
        self.shear: list[str] = []
        self.icing: list[str] = []
        self.turbulence: list[str] = []
        self.extremes: list[tuple[ExtremeKind, Extreme]] = []

    def done(self) -> Elements:
        """The elements."""
        return Elements(
            self.wind,
            self.seen,
            None if self.weather is None else tuple(self.weather),
            self.cloud,
            self.temperature_c,
            self.qnh,
            tuple(self.shear) or None,
            tuple(self.icing) or None,
            tuple(self.turbulence) or None,
        )


Take = Callable[[Building, re.Match[str]], bool]


@record
class Rule:
    """``take`` says False where the figures are none that there can be: then it is not understood."""

    role: Role
    pattern: str
    take: Take
    of: tuple[ReportKind, ...] = ("TAF", "METAR")


# ---------------------------------------------------------------- wind


def _wind(to: Building, found: re.Match[str]) -> bool:
    scale, direction = KT_IN[found["unit"]], found["from"]
    if to.wind is not None or (direction != "VRB" and int(direction) > 360):
        return False
    kt, gust = int(found["n"]) * scale, found["gust"]
    from_deg = None if direction == "VRB" else float(int(direction) % 360)
    to.wind = ReportedWind(from_deg, kt, int(gust) * scale if gust else None)
    return True


def _sector(to: Building, found: re.Match[str]) -> bool:
    low, high = int(found["a"]), int(found["b"])
    if to.wind is None or max(low, high) > 360:
        return False
    to.wind = ReportedWind(to.wind.from_deg, to.wind.kt, to.wind.gust_kt, (low % 360.0, high % 360.0))
    return True


# ---------------------------------------------------------------- visibility


def _see(to: Building, seen: ReportedVisibility) -> bool:
    if to.seen is None or seen.seen.nm < to.seen.seen.nm:
        to.seen = seen
    return True


def _metres(to: Building, found: re.Match[str]) -> bool:
    if found["m"] == "9999":
        return _see(to, TEN_KM)
    return _see(to, ReportedVisibility(Visibility(float(found["m"]), "m")))


def _miles(to: Building, found: re.Match[str]) -> bool:
    """``1 1/2SM``; M1/4SM is less than that, and counts as nothing."""
    whole, part = found["whole"], found["part"]
    if part and part.endswith("/0"):
        return False
    miles = Fraction(int(whole or 0)) + (Fraction(part) if part else 0)
    value = 0.0 if found["sign"] == "M" else float(miles)
    return _see(to, ReportedVisibility(Visibility(value, "SM"), or_more=found["sign"] == "P"))


def _kilometres(to: Building, found: re.Match[str]) -> bool:
    return _see(to, ReportedVisibility(Visibility(float(found["n"]), "km"), or_more=bool(found["p"])))


def _cavok(to: Building, found: re.Match[str]) -> bool:
    to.cloud, to.weather = ReportedCloud((), SIGNIFICANT_FT), []
    to.seen = TEN_KM
    return True


# ---------------------------------------------------------------- weather and cloud

_PHENOMENA = "DZ|RA|SN|SG|IC|PL|PE|GR|GS|UP|BR|FG|FU|VA|DU|SA|HZ|PY|PO|SQ|FC|SS|DS"
WEATHER = (
    rf"(?:VC|[+-])?(?:(?:MI|PR|BC|DR|BL|SH|TS|FZ){{1,2}}(?:{_PHENOMENA}){{0,3}}|(?:{_PHENOMENA}){{1,3}})"
)


def _weather(to: Building, found: re.Match[str]) -> bool:
    to.weather = [*(to.weather or []), found[0]]
    return True


def _no_weather(to: Building, found: re.Match[str]) -> bool:
    to.weather = []
    return True


AMOUNTS: dict[str, CloudAmount] = {"FEW": "FEW", "SCT": "SCT", "BKN": "BKN", "OVC": "OVC"}
KINDS: dict[str, CloudKind] = {"CB": "CB", "TCU": "TCU"}


def _layer(to: Building, found: re.Match[str]) -> bool:
    """BKN020CB; ``///`` for what isn't told: then the layers as a whole aren't known."""
    amount, base = AMOUNTS.get(found["amount"]), found["base"]
    kind = KINDS.get(found["kind"] or "")
    before = to.cloud or ReportedCloud((), None if to.whole_sky else SIGNIFICANT_FT)
    kinds = (*before.kinds, kind) if kind is not None else before.kinds
    layers = before.layers
    if amount is None or "/" in base:
        layers = None
    elif layers is not None:
        layers = (*layers, CloudLayer(amount, Level(int(base) * 100.0, "AGL"), None, kind))
    highest = max((layer.base.feet for layer in layers or ()), default=0.0)
    up_to = None if before.up_to_ft is None else max(before.up_to_ft, highest)
    to.cloud = ReportedCloud(layers, up_to, before.vertical, kinds)
    return True


def _vertical(to: Building, found: re.Match[str]) -> bool:
    before = to.cloud or ReportedCloud((), None)
    layers = before.layers
    if "/" in found["n"] or layers is None:
        layers = None
    else:
        layers = (*layers, CloudLayer("OVC", Level(int(found["n"]) * 100.0, "AGL")))
    to.cloud = ReportedCloud(layers, None, vertical=True, kinds=before.kinds)
    return True


def _clear(up_to_ft: float | None) -> Take:
    def take(to: Building, found: re.Match[str]) -> bool:
        to.cloud = ReportedCloud((), up_to_ft)
        return True

    return take


# ---------------------------------------------------------------- temperature and pressure


def celsius(text: str) -> float:
    """``M05`` is -5; ``-05`` stands in older texts."""
    return -float(text[1:]) if text[0] in "M-" else float(text)


def _temperature(to: Building, found: re.Match[str]) -> bool:
    if to.temperature_c is not None:
        return False
    to.temperature_c = celsius(found["t"])
    return True


def _extreme(to: Building, found: re.Match[str]) -> bool:
    at = DayTime(int(found["day"]) if found["day"] else None, int(found["hour"]))
    if at.hour > 24 or (at.day is not None and not 1 <= at.day <= 31):
        return False
    which: ExtremeKind = "TN" if found["which"] == "TN" else "TX"
    to.extremes.append((which, Extreme(celsius(found["t"]), at)))
    return True


def _hpa(to: Building, found: re.Match[str]) -> bool:
    return _pressure(to, Pressure(float(found["n"]), "hPa"))


def _inches(to: Building, found: re.Match[str]) -> bool:
    return _pressure(to, Pressure(int(found["n"]) / 100, "inHg"))


def _pressure(to: Building, read: Pressure) -> bool:
    """Of two, in two units, the lower counts."""
    if not LEAST_HPA <= read.hpa <= MOST_HPA:
        return False
    if to.qnh is None or read.hpa < to.qnh.hpa:
        to.qnh = read
    return True


# ---------------------------------------------------------------- what is shown as it stands


def _shear(to: Building, found: re.Match[str]) -> bool:
    to.shear.append(found[0])
    return True


def _icing(to: Building, found: re.Match[str]) -> bool:
    if found["type"] != "0":  # none is expected
        (to.icing if found["what"] == "6" else to.turbulence).append(found[0])
    return True


def _shown(to: Building, found: re.Match[str]) -> bool:
    return True


_DIGITS_OF_SIGHT = r"(?P<m>[0-9]{4})(?:NDV|N|NE|E|SE|S|SW|W|NW)?"
_UNIT = "(?P<unit>KT|MPS|KMH)"
METAR_ONLY: tuple[ReportKind, ...] = ("METAR",)
TAF_ONLY: tuple[ReportKind, ...] = ("TAF",)
_RUNWAY = r"R[0-9]{2}[LCR]?"
_SPEED = rf"P?(?P<n>[0-9]{{2,3}})(?:GP?(?P<gust>[0-9]{{2,3}}))?{_UNIT}"
_PARTS = r"(?P<whole>[0-9]{1,2} (?=[0-9]/))?(?P<part>[0-9]/[0-9]{1,2})"
_STATE_OF_RUNWAY = r"(?:[0-9/]{6}|CLRD(?:[0-9]{2}|//)|////)"
_COLOUR = r"(?:BLACK)?(?:BLU|WHT|GRN|YLO|YLO1|YLO2|AMB|RED)"

# a pattern may span words, one space between them; the longest of several words is tried first
RULES: tuple[Rule, ...] = (
    Rule("shear", rf"WS[0-9]{{3}}/[0-9]{{5,6}}{_UNIT}", _shear),
    Rule("shear", r"WS (?:ALL RWY|(?:TKOF |LDG )?RWY ?[0-9]{2}[LCR]?|R[0-9]{2}[LCR]?)", _shear),
    Rule("shear", "WSCONDS", _shear, TAF_ONLY),
    Rule("wind", rf"(?P<from>[0-9]{{3}}|VRB){_SPEED}", _wind),
    Rule("wind", rf"/{{3,5}}[0-9]*/*{_UNIT}", _shown),
    Rule("wind", r"(?P<a>[0-9]{3})V(?P<b>[0-9]{3})", _sector),
    Rule("visibility", "CAVOK", _cavok),
    Rule("visibility", rf"(?P<sign>[PM])?{_PARTS}SM", _miles),
    Rule("visibility", r"(?P<sign>[PM])?(?P<whole>[0-9]{1,2})(?P<part>)SM", _miles),
    Rule("visibility", r"(?P<p>P)?(?P<n>[0-9]{1,2})KM", _kilometres),
    Rule("visibility", _DIGITS_OF_SIGHT, _metres),
    Rule("visibility", "////", _shown),
    Rule("runway", rf"{_RUNWAY}/[PM]?[0-9]{{4}}(?:V[PM]?[0-9]{{4}})?(?:FT)?/?[NDU]?", _shown, METAR_ONLY),
    Rule("runway", rf"{_RUNWAY}/{_STATE_OF_RUNWAY}|R/SNOCLO|SNOCLO", _shown, METAR_ONLY),
    Rule("weather", WEATHER, _weather),
    Rule("weather", "NSW", _no_weather),
    Rule("weather", "//", _shown, METAR_ONLY),
    Rule("weather", rf"RE(?:{WEATHER})", _shown, METAR_ONLY),
    Rule("cloud", r"(?P<amount>FEW|SCT|BKN|OVC|///)(?P<base>[0-9]{3}|///)(?P<kind>CB|TCU|///)?", _layer),
    Rule("cloud", r"VV(?P<n>[0-9]{3}|///)", _vertical),
    Rule("cloud", "SKC", _clear(None)),
    Rule("cloud", "CLR", _clear(CLEAR_BELOW_FT)),
    Rule("cloud", "NSC|NCD", _clear(SIGNIFICANT_FT)),
    Rule("temperature", r"(?P<t>M?[0-9]{2})/(?:M?[0-9]{2}|//)?", _temperature, METAR_ONLY),
    Rule("temperature", "/////", _shown, METAR_ONLY),
    Rule(
        "temperature",
        r"(?P<which>TX|TN)(?P<t>[M-]?[0-9]{2})/(?P<day>[0-9]{2})?(?P<hour>[0-9]{2})Z?",
        _extreme,
        TAF_ONLY,
    ),
    Rule("pressure", r"Q(?P<n>[0-9]{4})", _hpa),
    Rule("pressure", r"A(?P<n>[0-9]{4})", _inches, METAR_ONLY),
    Rule("pressure", r"QNH(?P<n>[0-9]{4})INS", _inches),
    Rule("pressure", "Q////|A////", _shown, METAR_ONLY),
    Rule("icing or turbulence", r"(?P<what>[56])(?P<type>[0-9])[0-9]{4}", _icing, TAF_ONLY),
    Rule("runway", r"W(?:M?[0-9]{2}|//)/(?:S[0-9/]|H[0-9/]{1,3})", _shown, METAR_ONLY),
    Rule("notice", rf"{_COLOUR}(?:[+/]{_COLOUR})?\+?", _shown, METAR_ONLY),
    Rule("notice", r"NOSIG|\$|AUTO", _shown, METAR_ONLY),
    Rule("notice", r"AMD NOT SKED(?: (?:AFT|TIL) [0-9]{4,6}Z?| [0-9]{4}/[0-9]{4})*", _shown, TAF_ONLY),
    Rule("notice", r"LAST NO AMDS AFT [0-9]{4}(?: NEXT [0-9]{4})?|NO AMDS?|AMD ?[0-9]{4}", _shown, TAF_ONLY),
)  # fmt: skip
MOST_WORDS = 7


@cache
def _compiled() -> tuple[tuple[Rule, re.Pattern[str]], ...]:
    """When the first report is read: most missions have none, and forty patterns take a while."""
    return tuple((rule, re.compile(rule.pattern)) for rule in RULES)


def take_next(to: Building, words: list[str], kind: ReportKind) -> tuple[int, Role]:
    """How many of the next words belong together and as what they were taken; the longest match counts."""
    for count in range(min(MOST_WORDS, len(words)), 0, -1):
        text = " ".join(words[:count])
        for rule, pattern in _compiled():
            found = pattern.fullmatch(text) if kind in rule.of else None
            if found is not None and rule.take(to, found):
                return count, rule.role
    return 1, "not understood"
