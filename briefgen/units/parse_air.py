"""Directions, winds, speeds, temperatures, pressures and rates from text."""

from __future__ import annotations

import re

from briefgen.units.grammar import GAP, NUM, SIGNED, Grammar, Near, any_case, within
from briefgen.units.values import Direction, Pressure, Speed, Wind

HOTTEST_C = 60  # our own bound: nothing hotter has been measured in the open air

_KT = any_case("kt")
_DEG = f"(?:{GAP}°)?{GAP}"
_NO_REFERENCE = "true and magnetic differ by the variation, often more than ten degrees"
# knots in one of a unit, by its spellings: exact, a nautical mile is 1852 m and a statute mile 1609.344 m
_KT_IN = {
    ("m/s", "mps"): 3600 / 1852,
    ("km/h", "kmh", "kph"): 1000 / 1852,
    ("mph", "mi/h"): 1609.344 / 1852,
}
_OTHER_SPEEDS = "|".join(spelling for spellings in _KT_IN for spelling in spellings)
_IN_KT = "1 m/s is 1.944 kt, 1 km/h is 0.540 kt, 1 mph is 0.869 kt"
_WIND_IN_KT = f"the wind is in knots ({_IN_KT})"
_NO_KIND = "calibrated, true and ground speed differ by tens of knots"


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


def _in_kt(figure: str, unit: str, decimals: int = 0) -> str:
    """Knots, whole ones."""
    kt = float(figure) * next(kt for name, kt in _KT_IN.items() if unit.lower() in name)
    return f"{kt:.{decimals}f}"


def _other_speed(why: str, *kinds: str) -> Near:
    """A speed in another unit: in whole knots of each kind, or of the one that is typed, with the knots
    themselves."""
    return Near(
        rf"(?P<n>{NUM}) *(?P<unit>{_OTHER_SPEEDS})(?: *K?(?P<k>TAS|CAS|GS))?",
        why,
        lambda f: [f"{_in_kt(f['n'], f['unit'])} {kind}" for kind in _typed_kind(f["k"]) or kinds],
        lambda f: f"{f['n']} {f['unit']} is {_in_kt(f['n'], f['unit'], 1)} kt",
    )


def _typed_kind(typed: str | None) -> list[str]:
    return [f"K{typed.upper()}"] if typed else []


def _wind_in_kt(found: re.Match[str]) -> list[str]:
    gust = f"G{_in_kt(found['g'], found['unit'])}" if found["g"] else ""
    speed = f"{_in_kt(found['n'], found['unit'])}{gust}kt"
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
            rf"(?: *(?:G|gusting|gusts) *(?P<g>{NUM}))? *(?P<unit>{_OTHER_SPEEDS})",
            _WIND_IN_KT,
            _wind_in_kt,
        ),
        Near(
            f".*(?:{_OTHER_SPEEDS})",
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

_INDICATED = (
    "the program computes with calibrated airspeed; the aircraft's own position error turns the indicated one"
    " into it, and may be several knots"
)
_KINDS = ("{n} KCAS", "{n} KTAS", "{n} KGS")
_SPEED_NEAR = (
    Near(rf"(?P<n>{NUM})(?: *kt)?", "it lacks its kind: " + _NO_KIND, _KINDS),
    Near(
        rf"(?P<n>{NUM}) *(?:KIAS|IAS|kt *IAS)",
        _INDICATED,
        ("{n} KCAS",),
        "use the figure from the manual's correction table if there is one",
    ),
    Near(
        rf"(?P<n>{NUM}) *(?:kt)? *(?P<k>CAS|TAS|GS)",
        "the kind is written with its K",
        lambda f: [f"{f['n']} K{f['k'].upper()}"],
    ),
    Near(
        rf"(?P<n>{NUM}) *KEAS",
        "equivalent airspeed is not taken; it differs from calibrated by compressibility",
        advice="convert it to KCAS",
    ),
    _other_speed(f"speeds are in knots ({_IN_KT}), and {_NO_KIND}", "KCAS", "KTAS", "KGS"),
)
_MACH_NEAR = (
    Near(
        r"(?:M|Mach)? *(?P<n>\.[0-9]+)(?: *(?:M|Mach))?",
        "a Mach number begins with M and has a digit before its point",
        ("M0{n}",),
    ),
    Near(r"(?:M|Mach) *(?P<n>0?[0-9]{2})", "the point is missing", lambda f: [f"M0.{f['n'][-2:]}"]),
    Near(r"(?:Mach)? *(?P<n>0\.[0-9]+)(?: *(?:M|Mach))?", "a Mach number begins with M", ("M{n}",)),
)
SPEED = Grammar(
    "speed",
    "a speed with its kind",
    rf"(?:(?P<kt>{NUM}){GAP}(?P<kind>{any_case('KCAS', 'KTAS', 'KGS')})"
    rf"|(?:M|Mach|MACH){GAP}(?P<mach>[0-9]\.[0-9]{{1,4}}))",
    ("360 KTAS", "250 KCAS", "300 KGS", "M0.80"),
    _NO_KIND,
    near=(*_MACH_NEAR, *_SPEED_NEAR),
    words=("KCAS", "KTAS", "KGS", "M", "Mach"),
)

GROUND_SPEED = Grammar(
    "ground-speed",
    "a ground speed",
    rf"(?P<kt>{NUM}){GAP}{any_case('KGS')}",
    ("300 KGS",),
    "the pass is timed over the ground, and an airspeed leaves the wind out",
    near=(
        Near(rf"(?P<n>{NUM})(?: *kt)?(?: *GS)?", "it lacks its kind", ("{n} KGS",)),
        Near(
            rf"(?P<n>{NUM}) *(?:kt|{_OTHER_SPEEDS})? *(?:KTAS|KCAS|KIAS|TAS|CAS|IAS)|M.*",
            "the pass is timed over the ground, and an airspeed leaves the wind out",
            advice="write the ground speed wanted, in KGS",
        ),
        _other_speed(f"speeds are in knots ({_IN_KT})", "KGS"),
    ),
    words=("KGS",),
)

MACH = Grammar(
    "mach",
    "a Mach number",
    rf"(?:(?:M|Mach|MACH){GAP})?(?P<mach>[0-9]\.[0-9]{{1,4}})",
    ("0.80", "M0.80"),
    "a Mach number is a plain decimal",
    near=(
        Near(r"(?:M|Mach)? *(?P<n>\.[0-9]+)", "a number has a digit before its point", ("0{n}",)),
        Near("(?P<n>[5-9][0-9])", "the point is missing", ("0.{n}",)),
        _MACH_NEAR[1],
    ),
    also=("number",),
)

WIND_SPEED = Grammar(
    "wind-speed",
    "a wind speed in knots",
    f"(?P<kt>{NUM}){GAP}{_KT}",
    ("20 kt",),
    "a figure without its unit may be knots or metres per second",
    near=(
        Near(rf"(?P<n>{NUM})", "it lacks its unit", ("{n} kt",)),
        _other_speed(_WIND_IN_KT, "kt"),
    ),
    words=("kt",),
)


def _celsius(found: re.Match[str]) -> list[str]:
    return [f"{(float(found['n']) - 32) / 1.8:.0f} C"]


TEMPERATURE = Grammar(
    "temperature",
    "a temperature",
    f"(?P<c>{SIGNED}){GAP}°?C",
    ("-16 C", "21 C"),
    "a figure without its unit may be Celsius or Fahrenheit",
    near=(
        Near(
            r"PS(?P<n>[0-9]{1,2})(?: *C)?",
            "a temperature above zero has no sign",
            lambda f: [f"{int(f['n'])} C"],
        ),
        Near(rf"minus *(?P<n>{NUM}) *(?:°? *C)?", "a minus sign is typed", ("-{n} C",)),
        Near(rf"(?P<n>{SIGNED}) *°? *F", "temperatures are in degrees Celsius", _celsius),
        Near(
            rf"(?P<n>{SIGNED}) *K",
            "temperatures are in degrees Celsius",
            lambda f: [f"{float(f['n']) - 273.15:.0f} C"],
        ),
        Near(r"M(?P<n>[0-9]{1,2})(?: *C)?", "a minus sign is typed", lambda f: [f"-{int(f['n'])} C"]),
        Near(
            rf"(?P<n>{SIGNED})(?: *(?:deg|°))?",
            "it lacks its unit",
            lambda f: [
                *([f"{f['n']} C"] if float(f["n"]) <= HOTTEST_C else []),
                *(_celsius(f) if float(f["n"]) >= 40 else []),
            ],
        ),
        Near(rf"(?P<n>{SIGNED}) *deg *C", "the unit is written C", ("{n} C",)),
        Near(
            r"ISA.*",
            "the temperature itself is wanted, not its difference from the standard atmosphere",
            advice="write it in C",
        ),
    ),
    words=("C",),
)

PRESSURE = Grammar(
    "pressure",
    "a pressure",
    f"(?P<value>{NUM}){GAP}(?P<unit>{any_case('hPa')}|{any_case('inHg')})",
    ("1017 hPa", "30.05 inHg"),
    "a wrong setting is 27 ft for each hPa",
    near=(
        Near(
            r"(?P<n>[0-9]{3,4}(?:\.[0-9]+)?)",
            "it lacks its unit",
            lambda f: [
                f"{f['n'][:2]}.{f['n'][2:]} inHg" if 2700 <= float(f["n"]) <= 3200 else f"{f['n']} hPa"
            ],
        ),
        Near(r"(?P<n>(?:2[7-9]|3[01])\.[0-9]{2})", "it lacks its unit", ("{n} inHg",)),
        Near(
            r"Q(?:NH)? *(?P<n>[0-9]{4})(?: *hPa)?",
            "the unit is written out",
            lambda f: [f"{int(f['n'])} hPa"],
        ),
        Near(r"A(?P<n>[0-9]{2})(?P<m>[0-9]{2})", "the unit is written out", ("{n}.{m} inHg",)),
        Near(rf"(?P<n>{NUM}) *(?:in|in *Hg|inches)", "the unit is written inHg", ("{n} inHg",)),
        Near(
            rf"(?P<n>{NUM}) *kPa",
            "pressures are in hPa or inHg (1 kPa is 10 hPa)",
            lambda f: [f"{float(f['n']) * 10:g} hPa"],
        ),
        Near(
            rf"(?P<n>{NUM}) *mmHg",
            "pressures are in hPa or inHg (1 mmHg is 1.3332 hPa)",
            lambda f: [f"{float(f['n']) * 1.333224:.0f} hPa"],
        ),
    ),
    words=("hPa", "inHg"),
)

ACCELERATION = Grammar(
    "acceleration",
    "an acceleration",
    f"(?P<value>{NUM}){GAP}{_KT}/s",
    ("2.5 kt/s",),
    "the unit must be there",
    near=(
        Near(rf"(?P<n>{NUM})", "it lacks its unit", ("{n} kt/s",)),
        Near(
            rf"(?P<n>{NUM}) *kt */ *(?:min|m)",
            "it is per second",
            lambda f: [f"{float(f['n']) / 60:.3g} kt/s"],
        ),
        Near(rf"(?P<n>{NUM}) *(?:kt|kt */? *s\.?)", "it is a change of speed per second", ("{n} kt/s",)),
        Near(
            rf"(?P<n>{NUM}) *g",
            "it is in knots per second (1 g is 19.06 kt/s)",
            lambda f: [f"{float(f['n']) * 9.80665 * 3600 / 1852:.2f} kt/s"],
        ),
        Near(
            rf"(?P<n>{NUM}) *m/s(?:2|\^2)",
            "it is in knots per second (1 m/s2 is 1.944 kt/s)",
            lambda f: [f"{float(f['n']) * 3600 / 1852:.2f} kt/s"],
        ),
    ),
    words=("kt", "s"),
)

VERTICAL_RATE = Grammar(
    "vertical-rate",
    "a rate of climb or descent",
    f"(?P<value>{NUM}){GAP}{any_case('ft')}/{any_case('min')}",
    ("2000 ft/min",),
    "the unit must be there",
    near=(
        Near(
            rf"(?P<n>{NUM})(?: *(?:ft|fpm|ft */ *m|ft *per *min))?",
            "the unit is written ft/min",
            ("{n} ft/min",),
        ),
        Near(
            rf"(?P<n>{NUM}) *(?:m/s|mps)",
            "it is in feet per minute (1 m/s is 196.85 ft/min)",
            lambda f: [f"{float(f['n']) * 60 / 0.3048:.0f} ft/min"],
        ),
    ),
    words=("ft", "min"),
)

BANK = Grammar(
    "bank",
    "an angle of bank",
    f"(?P<value>{NUM}){GAP}(?:deg|°)",
    ("30 deg",),
    "the unit must be there",
    near=(
        Near(rf"(?P<n>{NUM})", "it lacks its unit", ("{n} deg",)),
        Near(
            rf"(?P<n>{NUM}) *g", "the bank is wanted, not the load", advice="write the angle, such as 30 deg"
        ),
    ),
    words=("deg",),
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


def parse_speed(text: object) -> Speed:
    """Knots with their kind, or a Mach number: ``360 KTAS``, ``250 KCAS``, ``300 KGS``, ``M0.80``. Mach 1 and
    above is left to the gates."""
    found = SPEED.read(text)
    if found["mach"]:
        return Speed(within(SPEED, text, float(found["mach"]), (0.05, 5), "Mach"), "MACH")
    kind = found["kind"].upper()
    return Speed(
        within(SPEED, text, float(found["kt"]), (1, 2000), "kt"),
        "KCAS" if kind == "KCAS" else "KTAS" if kind == "KTAS" else "KGS",
    )


def parse_ground_speed(text: object) -> Speed:
    """Knots over the ground only: ``300 KGS``."""
    return Speed(within(GROUND_SPEED, text, float(GROUND_SPEED.read(text)["kt"]), (1, 2000), "kt"), "KGS")


def parse_mach(text: object) -> float:
    """A Mach number: ``0.80`` or ``M0.80``."""
    return within(MACH, text, float(MACH.read(text)["mach"]), (0.05, 5), "Mach")


def parse_wind_speed_kt(text: object) -> float:
    """Knots of wind: ``20 kt``."""
    return within(WIND_SPEED, text, float(WIND_SPEED.read(text)["kt"]), (0, 300), "kt")


def parse_temperature_c(text: object) -> float:
    """Degrees Celsius: ``-16 C``."""
    return within(TEMPERATURE, text, float(TEMPERATURE.read(text)["c"]), (-100, HOTTEST_C), "C")


def _pressure_meant(pressure: Pressure) -> str:
    """A QNH whose point was left out or whose unit is the other one; empty where it is neither."""
    if pressure.unit == "hPa":
        return f"{pressure.value:g} inHg" if 27 <= pressure.value <= 32 else ""
    if 2700 <= pressure.value <= 3200:
        return f"{pressure.value / 100:.2f} inHg"
    return f"{pressure.value:g} hPa" if 850 <= pressure.value <= 1100 else ""


def parse_pressure(text: object) -> Pressure:
    """A pressure as typed: ``1017 hPa``, ``30.05 inHg``."""
    found = PRESSURE.read(text)
    pressure = Pressure(float(found["value"]), "inHg" if found["unit"].lower() == "inhg" else "hPa")
    if not 850 <= pressure.hpa <= 1100 and (meant := _pressure_meant(pressure)):
        raise PRESSURE.because(str(text), "no QNH has that figure in that unit", (meant,))
    within(PRESSURE, text, pressure.hpa, (850, 1100), "hPa")
    return pressure


def parse_acceleration_kt_s(text: object) -> float:
    """Knots per second: ``2.5 kt/s``; not zero."""
    return within(ACCELERATION, text, float(ACCELERATION.read(text)["value"]), (0.01, 100), "kt/s")


def parse_vertical_rate_ft_min(text: object) -> float:
    """Feet per minute: ``2000 ft/min``; not zero."""
    return within(VERTICAL_RATE, text, float(VERTICAL_RATE.read(text)["value"]), (1, 60_000), "ft/min")


def parse_bank_deg(text: object) -> float:
    """Degrees of bank: ``30 deg``."""
    return within(BANK, text, float(BANK.read(text)["value"]), (1, 85), "deg")


def _direction(degrees: str, reference: str, grammar: Grammar, text: str) -> Direction:
    if not 0 <= float(degrees) <= 360:
        raise grammar.because(text, "a direction lies between 000 and 360")
    return Direction(float(degrees) % 360, "T" if reference == "T" else "M")
