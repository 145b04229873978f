"""Positions, distances, lengths, visibilities and variations from text."""

from __future__ import annotations

import re
from fractions import Fraction
from math import hypot

from briefgen.units.grammar import GAP, NEED, NUM, Grammar, Near, any_case, within
from briefgen.units.values import FT_PER_M, M_PER_STATUTE_MILE, NM_PER_M, Position, Visibility

# --- positions: latitude first, in one of four ways
_LAT_DEG, _LON_DEG = r"-?[0-9]{1,2}\.[0-9]{1,9}", r"-?[0-9]{1,3}\.[0-9]{1,9}"
_FRACTION = r"(?:\.[0-9]{1,6})?"
_MIN, _SEC = "['\u2019\u2032]", "(?:[\"\u201d\u2033]|''|\u2019\u2019|\u2032\u2032)"
_BETWEEN = f"(?:{GAP},{GAP}|{NEED})"


def _sexagesimal(digits: str, hemisphere: str) -> str:
    whole = f"[0-5]?[0-9]{_MIN}{GAP}[0-5]?[0-9]{_FRACTION}{_SEC}"
    return rf"{digits}[\u00b0\u00ba]{GAP}(?:{whole}|[0-5]?[0-9]{_FRACTION}{_MIN}){GAP}[{hemisphere}]"


def _compact(digits: str, hemisphere: str) -> str:
    return f"{digits}[0-5][0-9](?:[0-5][0-9])?{_FRACTION}[{hemisphere}]"


_FORMS = (
    (_sexagesimal("[0-9]{1,2}", "NS"), _sexagesimal("[0-9]{1,3}", "EW"), f"(?:{_BETWEEN}|)"),
    (
        rf"[0-9]{{1,2}}\.[0-9]{{1,9}}\u00b0?{GAP}[NS]",
        rf"[0-9]{{1,3}}\.[0-9]{{1,9}}\u00b0?{GAP}[EW]",
        _BETWEEN,
    ),
    (_LAT_DEG, _LON_DEG, _BETWEEN),
    (_compact("[0-9]{2}", "NS"), _compact("[0-9]{3}", "EW"), f"(?:{_BETWEEN}|/|)"),
)
_POSITION = "|".join(
    f"(?P<lat{i}>{lat}){between}(?P<lon{i}>{lon})" for i, (lat, lon, between) in enumerate(_FORMS)
)

_ANY_HALF = r"[0-9][0-9.\u00b0\u00ba'\u2019\u2032\"\u201d\u2033 :]*"


def _suffixed(found: re.Match[str]) -> list[str]:
    return [f"{_spelt(found['a'])}{found['p'].upper()} {_spelt(found['b'])}{found['q'].upper()}"]


def _spelt(half: str) -> str:
    """Degrees, minutes and seconds with their signs, from numbers parted by colons, spaces or signs."""
    parts: list[str] = re.findall(r"[0-9]+(?:\.[0-9]+)?", half)
    if len(parts) == 1:
        return parts[0]
    return "".join(number + sign for number, sign in zip(parts[:3], "\u00b0'\"", strict=False))


def _signed_colons(found: re.Match[str]) -> list[str]:
    lat, lon = found["a"], found["b"]
    return [f"{_spelt(lat)}{'S' if lat[0] == '-' else 'N'} {_spelt(lon)}{'W' if lon[0] == '-' else 'E'}"]


POSITION = Grammar(
    "position",
    "a position, latitude first",
    _POSITION,
    (
        "37°41.5'S 140°51.0'E",
        "37°41'30\"S 140°51'00\"E",
        "-37.6917 140.8500",
        "37.6917S 140.8500E",
        "3744.7S14047.1E",
    ),
    "degrees and minutes mistaken for decimal degrees may be up to 40 nm off",
    near=(
        Near(
            rf".*[6-9][0-9](?:\.[0-9]*)?(?:{_MIN}|{_SEC}).*",
            "a degree has 60 minutes and a minute 60 seconds",
            advice="minutes and seconds go to 59",
        ),
        Near(
            r"(?P<a>-?(?:0[0-9]{2}|1[0-7][0-9]|180)\.[0-9]+)(?P<s>[ ,]+)(?P<b>-?[0-9]{1,2}\.[0-9]+)",
            "the latitude stands first, and goes to 90",
            ("{b} {a}",),
        ),
        Near(
            r"-?[0-9]{3,}\.[0-9]+[ ,]+-?[0-9]+\.[0-9]+",
            "the first figure is the latitude, and none is as large",
            advice="check the latitude: it goes to 90, north or south",
        ),
        Near(
            r"-?[0-9]{1,2}\.[0-9]+[ ,]+-?[0-9]{4,}\.[0-9]+",
            "the second figure is the longitude, and none is as large",
            advice="check the longitude: it goes to 180, east or west",
        ),
        Near(
            rf"(?P<b>{_ANY_HALF}) *(?P<q>[EW]) *,? *(?P<a>{_ANY_HALF}) *(?P<p>[NS])",
            "the latitude stands first",
            _suffixed,
        ),
        Near(
            rf"(?P<p>[NS]) *(?P<a>{_ANY_HALF}?) *,? *(?P<q>[EW]) *(?P<b>{_ANY_HALF})",
            "the hemisphere's letter stands after its figure",
            _suffixed,
        ),
        Near(
            rf"(?P<a>{_ANY_HALF}) *(?P<p>[NS]) *,? *(?P<b>{_ANY_HALF}) *(?P<q>[EW])",
            "degrees, minutes and seconds carry their signs",
            _suffixed,
        ),
        Near(
            r"(?P<a>-?[0-9]{1,2}:[0-9]{2}(?::[0-9.]+)?)[ ,]+(?P<b>-?[0-9]{1,3}:[0-9]{2}(?::[0-9.]+)?)",
            "with colons and a minus it may be taken for a time or a number",
            _signed_colons,
        ),
        Near(
            r"(?P<a>-?[0-9]{1,2})[ ,]+(?P<b>-?[0-9]{1,3})",
            "a whole degree is up to 60 nm wide",
            advice="write the minutes, or decimals of a degree",
        ),
        Near(
            r"(?P<a>-?[0-9]{1,2})[.,](?P<b>[0-9]+)°? *[;,]? +(?P<c>-?[0-9]{1,3})[.,](?P<d>[0-9]+)°?",
            "decimal degrees have a point and no signs behind them",
            ("{a}.{b} {c}.{d}",),
        ),
        Near(
            r"lat[a-z]*[:= ]*(?P<a>-?[0-9]{1,2}\.[0-9]+)[ ,;]+lon[a-z]*[:= ]*(?P<b>-?[0-9]{1,3}\.[0-9]+)",
            "the latitude stands first, without words",
            ("{a} {b}",),
        ),
        Near(
            r"(?P<a>[0-9]{1,2})-(?P<b>[0-9.]+)(?P<p>[NS])[ ,]+(?P<c>[0-9]{1,3})-(?P<d>[0-9.]+)(?P<q>[EW])",
            "degrees and minutes carry their signs",
            lambda f: [f"{f['a']}°{f['b']}'{f['p'].upper()} {f['c']}°{f['d']}'{f['q'].upper()}"],
        ),
        Near(
            rf"{_ANY_HALF}[NSEW]",
            "a position has a latitude and a longitude",
            advice="write both, the latitude first",
        ),
        Near(
            r"[-0-9.]+", "a position has a latitude and a longitude", advice="write both, the latitude first"
        ),
        Near(
            r"[0-9]{1,2} *[A-Z] *[A-Z]{2}[ 0-9]+",
            "grid references are not read",
            advice="write latitude and longitude",
        ),
    ),
)

# --- distances
_UNITS_M = {"nm": 1852.0, "km": 1000.0, "m": 1.0, "ft": 0.3048, "sm": M_PER_STATUTE_MILE}
_NO_UNIT = "it lacks its unit"
_MILE = Near(
    rf"(?P<n>{NUM}) *(?:mi|miles?|statute miles?|nautical miles?)",
    "a mile is nautical (1852 m) or statute (1609 m)",
    ("{n} nm", "{n} SM"),
)
_CAPITAL_M = Near(
    rf"(?P<n>{NUM}) *(?-i:M)",
    "a capital M is magnetic or Mach; metres are m, nautical miles nm",
    ("{n} m", "{n} nm"),
)

DISTANCE = Grammar(
    "distance",
    "a distance",
    f"(?P<value>{NUM}){GAP}(?P<unit>{any_case('nm', 'km', 'ft', 'SM')}|m)",
    ("8 nm", "10 km", "2500 m", "8200 ft", "5 SM"),
    "a figure without its unit may be nautical miles or kilometres",
    near=(
        Near(rf"(?P<n>{NUM})", _NO_UNIT, ("{n} nm", "{n} km", "{n} m", "{n} ft")),
        _MILE,
        _CAPITAL_M,
        Near(
            rf"(?P<n>{NUM}) *cables?",
            "a cable is a tenth of a nautical mile",
            lambda f: [f"{float(f['n']) / 10:g} nm"],
        ),
    ),
    words=("nm", "km", "m", "ft", "SM"),
)

LENGTH = Grammar(
    "length",
    "a length",
    f"(?P<value>{NUM}){GAP}(?P<unit>{any_case('ft')}|m)",
    ("8200 ft", "2500 m"),
    "a figure without its unit may be feet or metres, a factor of three",
    near=(
        Near(rf"(?P<n>{NUM})", _NO_UNIT, ("{n} ft", "{n} m")),
        _CAPITAL_M,
        Near(
            rf"(?P<n>{NUM}) *km", "a length is in feet or metres", lambda f: [f"{float(f['n']) * 1000:g} m"]
        ),
    ),
    words=("ft", "m"),
)

VISIBILITY = Grammar(
    "visibility",
    "a visibility",
    f"(?P<value>{NUM}){GAP}(?P<unit>{any_case('km', 'nm', 'SM')}|m)",
    ("10 km", "8000 m", "5 SM"),
    "a figure without its unit may be metres, kilometres or miles",
    near=(
        Near(r"9999|CAVOK", "reports mean 10 km or more by it", ("10 km",)),
        Near(r"(?P<n>[0-9]{4})", "it lacks its unit; reports give metres", ("{n} m",)),
        Near(rf"(?P<n>{NUM})", _NO_UNIT, ("{n} km", "{n} SM", "{n} m")),
        Near(
            r"(?P<n>[0-9.]+) *(?P<u>km|m|SM|nm) *(?:or|and) *(?:more|better|above)",
            "the least that it is will do",
            ("{n} {u}",),
        ),
        Near(
            r"P(?P<n>[0-9]+) *SM|(?P<m>[0-9.]+) *SM *\+",
            "the least that it is will do",
            lambda f: [f"{f['n'] or f['m']} SM"],
        ),
        Near(
            r"(?:> ?|over |more than )?(?P<n>[0-9.]+) *(?P<u>km|m|SM|nm) *\+?",
            "the least that it is will do",
            ("{n} {u}",),
        ),
        _MILE,
        _CAPITAL_M,
        Near(
            r"(?P<a>[0-9]) (?P<b>[0-9])/(?P<c>[0-9]) *SM",
            "fractions are written as decimals",
            lambda f: [f"{int(f['a']) + int(f['b']) / max(int(f['c']), 1):g} SM"],
        ),
        Near(
            r"(?P<b>[0-9])/(?P<c>[0-9]) *SM",
            "fractions are written as decimals",
            lambda f: [f"{int(f['b']) / max(int(f['c']), 1):g} SM"],
        ),
    ),
    words=("km", "nm", "SM", "m"),
)

VARIATION = Grammar(
    "variation",
    "a magnetic variation",
    f"(?P<value>{NUM}){GAP}°?{GAP}(?P<side>[EW])",
    ("10.0 E", "3.5 W"),
    "east and west turn the compass opposite ways",
    near=(
        Near(rf"[-+]?(?P<n>{NUM})", "it does not say east or west", ("{n} E", "{n} W")),
        Near(
            rf"(?P<s>[EW]) *(?P<n>{NUM})|(?P<m>{NUM}) *(?:deg|°)? *(?P<t>[EW])(?:ast|est)?",
            "the letter stands after the figure",
            lambda f: [f"{f['n'] or f['m']} {(f['s'] or f['t']).upper()}"],
        ),
    ),
)


def parse_position(text: object) -> Position:
    """WGS-84, latitude first: degrees and minutes, with seconds, decimal degrees (signed or lettered), or
    compact ``3744.7S14047.1E``."""
    found = POSITION.read(text)
    form = next(i for i in range(len(_FORMS)) if found[f"lat{i}"])
    lat, lon = (_degrees(found[f"{half}{form}"], compact=form == 3) for half in ("lat", "lon"))
    if abs(lat) > 90:
        swapped = (f"{found['lon2']} {found['lat2']}",) if form == 2 and abs(lon) <= 90 else ()
        raise POSITION.because(
            str(text),
            f"no latitude is {abs(lat):g}"
            + ("; latitude and longitude may be the wrong way round" if swapped else ""),
            swapped,
        )
    if abs(lon) > 180:
        raise POSITION.because(
            str(text), f"no longitude is {abs(lon):g}", advice="longitudes go to 180, east or west"
        )
    return Position(lat, lon)


_QUICK_DECIMAL = re.compile(r"(-?[0-9]{1,2}\.([0-9]{1,9})) (-?[0-9]{1,3}\.([0-9]{1,9}))")
_QUICK_MINUTES = re.compile(
    r"([0-9]{2})°([0-9]{2})\.([0-9]{1,6})'([NS]) ([0-9]{3})°([0-9]{2})\.([0-9]{1,6})'([EW])"
)
_HALF_DEGREE_NM, _HALF_MINUTE_NM = 30.0, 0.5  # of a great circle: of a longitude it is never more


def quick_position(text: str) -> tuple[float, float, float] | None:
    """Latitude, longitude and how exactly they are typed, in nm, of the two commonest spellings, as
    ``parse_position`` reads them in ten times the time: for lists of thousands; None for others."""
    if found := _QUICK_DECIMAL.fullmatch(text):
        lat, lon = float(found[1]), float(found[3])
        half = _HALF_DEGREE_NM * hypot(10.0 ** -len(found[2]), 10.0 ** -len(found[4]))
    elif found := _QUICK_MINUTES.fullmatch(text):
        minutes = float(f"{found[2]}.{found[3]}"), float(f"{found[6]}.{found[7]}")
        if max(minutes) >= 60:
            return None
        lat, lon = int(found[1]) + minutes[0] / 60, int(found[5]) + minutes[1] / 60
        lat, lon = -lat if found[4] == "S" else lat, -lon if found[8] == "W" else lon
        half = _HALF_MINUTE_NM * hypot(10.0 ** -len(found[3]), 10.0 ** -len(found[7]))
    else:
        return None
    return (lat, lon, half) if abs(lat) <= 90 and abs(lon) <= 180 else None


def parse_distance_nm(text: object) -> float:
    """Nautical miles, from nm, km, m, ft or SM."""
    found = DISTANCE.read(text)
    return within(
        DISTANCE, text, float(found["value"]) * _UNITS_M[found["unit"].lower()] * NM_PER_M, (0, 12_000), "nm"
    )


def parse_length_ft(text: object) -> float:
    """Feet, from ft or m: a runway."""
    found = LENGTH.read(text)
    return within(
        LENGTH, text, float(found["value"]) * (FT_PER_M if found["unit"] == "m" else 1.0), (1, 100_000), "ft"
    )


def parse_visibility(text: object) -> Visibility:
    """A visibility as typed: ``10 km``, ``1500 m``, ``5 SM``, ``6 nm``."""
    found = VISIBILITY.read(text)
    typed = found["unit"].lower()
    visibility = Visibility(float(found["value"]), "SM" if typed == "sm" else typed)  # type: ignore[arg-type] # the grammar knows no other
    within(VISIBILITY, text, visibility.nm, (0, 200), "nm")
    return visibility


def parse_visibility_nm(text: object) -> float:
    """Nautical miles, from km, m, SM or nm: a limit."""
    return parse_visibility(text).nm


def parse_variation_deg(text: object) -> float:
    """Degrees, east positive: ``10.0 E``."""
    found = VARIATION.read(text)
    value = within(VARIATION, text, float(found["value"]), (0, 180), "degrees")
    return -value if found["side"] == "W" and value else value


def _degrees(half: str, *, compact: bool) -> float:
    negative = half[0] == "-" or half[-1] in "SW"
    numbers = _compact_parts(half) if compact else re.findall(r"[0-9]+(?:\.[0-9]+)?", half)
    # exact fractions, so that 41'30" and 41.5' give the very same float
    value = float(
        sum(Fraction(number) / scale for number, scale in zip(numbers, (1, 60, 3600), strict=False))
    )
    return -value if negative and value else value


def _compact_parts(half: str) -> list[str]:
    digits, wide = half[:-1], 2 if half[-1] in "NS" else 3
    whole = digits.split(".")[0]
    if len(whole) == wide + 2:
        return [digits[:wide], digits[wide:]]
    return [digits[:wide], digits[wide : wide + 2], digits[wide + 2 :]]
