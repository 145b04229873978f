"""Directions and winds from text."""

from __future__ import annotations

import re

from briefgen.units.grammar import GAP, NUM, Grammar, Near, any_case, within
from briefgen.units.parse_motion import IN_KT, OTHER_SPEEDS, in_kt, other_speed
from briefgen.units.values import Direction, Wind

_KT = any_case("kt")
_DEG = f"(?:{GAP}°)?{GAP}"
_NO_REFERENCE = "true and magnetic differ by the variation, often more than ten degrees"
_WIND_IN_KT = f"the wind is in knots ({IN_KT})"


def _three(found: re.Match[str]) -> str:
    return (
        f"{float(found['d']):03.0f}"
        if float(found["d"]) == int(float(found["d"]))
        else f"{float(found['d']):05.1f}"
    )


def _both_references(found: re.Match[str]) -> list[str]:
    return [f"{_three(found)} T", f"{_three(found)} M"]


DIRECTION = Grammar(
    "direction",
    "a direction with its reference",
    rf"(?P<deg>[0-9]{{3}}(?:\.[0-9]{{1,6}})?){_DEG}(?P<ref>[TM])",
    ("052 T", "180 M"),
    _NO_REFERENCE,
    near=(
        Near(
            r"(?P<d>0?[1-9]|[12][0-9]|3[0-6])[LRC]?",
            "a direction has three digits; two are a runway's number, ten degrees wide",
            advice="write three digits and T or M, for example 258 M",
        ),
        Near(
            r"(?P<d>[0-9]{3}(?:\.[0-9]+)?) *[A-LN-SU-Z]",
            "the letter is T for true or M for magnetic: " + _NO_REFERENCE,
            _both_references,
        ),
        Near(
            r"(?P<d>[0-9]{1,3}(?:\.[0-9]+)?) *(?:°|deg)?",
            "it lacks its reference: " + _NO_REFERENCE,
            _both_references,
        ),
        Near(
            r"(?P<d>[0-9]{1,3}(?:\.[0-9]+)?) *(?:°|deg)? *(?P<r>[tm])(?:rue|ag|agnetic)?\.?",
            "a direction has three digits and a capital T or M",
            lambda f: [f"{_three(f)} {f['r'].upper()}"],
        ),
        Near(
            r"-.*", "a direction has no minus sign", advice="write three digits from 000 to 359, and T or M"
        ),
        Near(
            r"(?:north|south|east|west|[NSEW]{1,3})",
            "a compass word has no reference",
            advice="write three digits and T or M",
        ),
    ),
)


def _wind_readings(found: re.Match[str]) -> list[str]:
    reference, gust = (found["r"] or "").upper(), found.groupdict().get("g")
    speed = f"{found['n']}G{gust}kt" if gust else f"{found['n']}kt"
    return [f"{int(found['d']):03d}{r}/{speed}" for r in ([reference] if reference else ["T", "M"])]


def _reported(found: re.Match[str]) -> list[str]:
    """A wind as reports write it, ``23012G22KT``: true; five zeros are calm."""
    if not int(found["n"]):
        return ["calm"]
    gust = f"G{int(found['g'])}" if found["g"] else ""
    return [f"{found['d']}T/{int(found['n'])}{gust}kt"]


def _wind_in_kt(found: re.Match[str]) -> list[str]:
    gust = f"G{in_kt(found['g'], found['unit'])}" if found["g"] else ""
    speed = f"{in_kt(found['n'], found['unit'])}{gust}kt"
    kinds = [found["r"].upper()] if found["r"] else ["T", "M"]
    return [f"{int(found['d']):03d}{r}/{speed}" for r in kinds]


WIND = Grammar(
    "wind",
    "a wind",
    rf"(?:(?P<deg>[0-9]{{3}}){_DEG}(?P<ref>[TM]){GAP}/{GAP}(?P<kt>{NUM})(?:{GAP}G{GAP}(?P<gust>{NUM}))?{GAP}{_KT}|calm)",
    ("230T/20kt", "230T/12G22kt", "260 T/45 kt", "calm"),
    "a wind is where it blows from, true or magnetic, and its knots",
    near=(
        Near(r"calm|0+(?:/0+)?(?: *kt)?|[0-9]{3}°?[TM]? */ *0+(?: *kt)?", "no wind is one word", ("calm",)),
        Near(
            rf"(?P<d>[0-9]{{3}})(?P<r>[TM])(?P<n>{NUM})(?:G(?P<g>{NUM}))? *kt",
            "a stroke parts the direction from the knots",
            _wind_readings,
        ),
        Near(
            r"(?:from )?(?:north|south|east|west|[NSEW]{1,3})[a-z-]*[ ,].*",
            "a compass word has no reference",
            advice="write three digits, T or M, and the knots, for example 230T/12kt",
        ),
        Near(
            r"(?P<d>[0-9]{3})(?P<n>[0-9]{2,3})(?:G(?P<g>[0-9]{2,3}))?kt",
            "written reports and forecasts are true; say so",
            _reported,
        ),
        Near(
            rf"{NUM} *(?:kt *)?(?:G *{NUM} *)?kt",
            "it does not say where the wind blows from",
            advice=(
                "write three digits, T or M, and the knots, for example 230T/12kt or 230T/12G22kt; calm where"
                " there is none"
            ),
        ),
        Near(
            rf"(?P<d>[0-9]{{1,3}}) *°? *(?P<r>[TM]) *[/@-]? *(?P<n>{NUM})(?: *kt)? *(?:G|gusting|gusts)(?:"
            rf" *to)? *(?P<g>{NUM})(?: *kt)?",
            "a wind with gusts is three digits, T or M, then 12G22kt",
            _wind_readings,
        ),
        Near(
            rf"(?P<d>[0-9]{{1,3}}) *°?(?P<r>) *[/@-] *(?P<n>{NUM})(?: *kt)? *(?:G|gusting|gusts)(?: *to)?"
            rf" *(?P<g>{NUM})(?: *kt)?",
            "it lacks its reference: forecasts and reports are true, a tower's spoken wind is magnetic",
            _wind_readings,
        ),
        Near(
            rf"(?P<d>[0-9]{{1,3}}) *°? *(?P<r>[TM]) *(?:/|@|at| ) *(?P<n>{NUM})(?: *kt)?",
            "a wind is three digits, T or M, and its knots",
            _wind_readings,
        ),
        Near(
            rf"(?P<d>[0-9]{{1,3}}) *°?(?P<r>) *(?:/|@|at) *(?P<n>{NUM})(?: *kt)?",
            "it lacks its reference: forecasts and reports are true, a tower's spoken wind is magnetic",
            _wind_readings,
        ),
        Near(
            r"VRB.*|variable.*",
            "a variable wind has no direction to compute with",
            advice="write the direction that is worst for the plan, such as 230T/5kt, or calm",
        ),
        Near(
            rf"(?P<d>[0-9]{{1,3}}) *°? *(?P<r>[TM]?) *(?:/|@|at| ) *(?P<n>{NUM})"
            rf"(?: *(?:G|gusting|gusts) *(?P<g>{NUM}))? *(?P<unit>{OTHER_SPEEDS})",
            _WIND_IN_KT,
            _wind_in_kt,
        ),
        Near(
            f".*(?:{OTHER_SPEEDS})",
            _WIND_IN_KT,
            advice="convert it to kt, and write where it blows from, for example 230T/20kt",
        ),
        Near(
            r"light(?: and variable)?",
            "a light wind is still one with a direction",
            advice="write the direction that is worst for the plan, such as 230T/5kt",
        ),
    ),
    words=("T", "M", "kt", "calm"),
)

WIND_SPEED = Grammar(
    "wind-speed",
    "a wind speed in knots",
    f"(?P<kt>{NUM}){GAP}{_KT}",
    ("20 kt",),
    "a figure without its unit may be knots or metres per second",
    near=(
        Near(rf"(?P<n>{NUM})", "it lacks its unit", ("{n} kt",)),
        other_speed(_WIND_IN_KT, "kt"),
    ),
    words=("kt",),
)


def parse_direction(text: object) -> Direction:
    """Three digits with T or M: ``052 T``, ``180M``, ``052.5° T``. 360 is kept as 0."""
    found = DIRECTION.read(text)
    return _direction(found["deg"], found["ref"], DIRECTION, str(text))


def parse_wind(text: object) -> Wind:
    """Where it blows from, and knots: ``230T/20kt``, ``230T/12G22kt``; ``calm`` is 0 kt from 000 T."""
    found = WIND.read(text)
    if found["deg"] is None:
        return Wind(Direction(0.0, "T"), 0.0)
    kt = within(WIND, text, float(found["kt"]), (0, 300), "kt")
    gust_kt = None if found["gust"] is None else within(WIND, text, float(found["gust"]), (0, 300), "kt")
    if gust_kt is not None and gust_kt <= kt:
        raise WIND.because(
            str(text), "its gusts are not above its mean speed", advice="check the two figures"
        )
    return Wind(_direction(found["deg"], found["ref"], WIND, str(text)), kt, gust_kt)


def parse_wind_speed_kt(text: object) -> float:
    """Knots of wind: ``20 kt``."""
    return within(WIND_SPEED, text, float(WIND_SPEED.read(text)["kt"]), (0, 300), "kt")


def _direction(degrees: str, reference: str, grammar: Grammar, text: str) -> Direction:
    if not 0 <= float(degrees) <= 360:
        raise grammar.because(text, "a direction lies between 000 and 360")
    return Direction(float(degrees) % 360, "T" if reference == "T" else "M")
