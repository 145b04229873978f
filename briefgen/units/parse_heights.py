"""Levels, level bands, height differences and cloud layers from text.

Metres are taken wherever the text says ``m`` and are converted exactly; a figure without a unit is never
taken for either.
"""

from __future__ import annotations

import re
from typing import cast

from briefgen.units.grammar import GAP, NEED, NUM, SIGNED, Grammar, Near, any_case, within
from briefgen.units.values import FT_PER_M, CloudAmount, CloudKind, CloudLayer, Level, LevelBand

# our own bound against slips of the keyboard, not a limit of any aircraft; the atmosphere's formulas end at
# 65,617 ft
HIGHEST_FT = 60_000
LOWEST_FL_FT = 3_000  # no flight level below it is offered: our own bound, a usual lowest transition altitude
# the shore of the Dead Sea, the lowest dry land, is near -1 412 ft (figure from memory)
LOWEST_MSL_FT = -1_500

_FT = any_case("ft")
_UNIT = f"(?:{_FT}|m)"
_DATUM = any_case("MSL", "AGL")
_WITHOUT_DATUM = "a height without its datum may be hundreds of feet off"


def _level_pattern(tag: str) -> str:
    feet = f"(?P<value{tag}>{SIGNED}){GAP}(?P<unit{tag}>{_UNIT}){NEED}(?P<datum{tag}>{_DATUM})"
    return f"{feet}|{any_case('FL')}{GAP}(?P<fl{tag}>[0-9]{{3}})"


def _in_feet(found: re.Match[str]) -> list[str]:
    n = found["n"]
    level = (
        [f"FL{int(n) // 100:03d}"]
        if n.isdigit() and int(n) % 100 == 0 and LOWEST_FL_FT <= int(n) <= HIGHEST_FT
        else []
    )
    return [f"{n} ft MSL", f"{n} ft AGL", *level]


def _bare_level(found: re.Match[str]) -> list[str]:
    n = found["n"]
    return [
        *_in_feet(found),
        *([f"FL{n}"] if n.isdigit() and len(n) == 3 and int(n) * 100 >= LOWEST_FL_FT else []),
    ]


def _wide_flight_level(found: re.Match[str]) -> list[str]:
    """Of one or two digits a zero may be missing at either end: FL16 is FL160, or 1600 ft."""
    n = int(found["n"])
    levels = [n if n < 1000 else n // 100] + ([n * 10] if len(found["n"]) <= 2 else [])
    return [
        f"FL{level:03d}" if level * 100 >= LOWEST_FL_FT else f"{level * 100} ft MSL"
        for level in sorted(levels, reverse=True)
    ]


LEVEL = Grammar(
    "level",
    "a level with its datum",
    _level_pattern(""),
    ("1500 ft MSL", "1000 ft AGL", "FL240"),
    _WITHOUT_DATUM,
    near=(
        Near(
            rf"(?P<n>{SIGNED})", "it lacks its unit and datum, and may be hundreds of feet off", _bare_level
        ),
        Near(rf"(?P<n>{SIGNED}) *ft", _WITHOUT_DATUM, _in_feet),
        Near(rf"(?P<n>{SIGNED}) *m", _WITHOUT_DATUM, ("{n} m MSL", "{n} m AGL")),
        Near(
            rf"(?P<n>{SIGNED}) *(?P<d>MSL|AGL)",
            "it lacks its unit: feet or metres",
            ("{n} ft {d}", "{n} m {d}"),
        ),
        Near(rf"(?P<d>MSL|AGL) *(?P<n>{SIGNED}) *ft", "the datum stands after the unit", ("{n} ft {d}",)),
        Near(
            r"FL *(?P<n>[0-9]{1,5})(?: *ft)?",
            "a flight level has three digits: hundreds of feet",
            _wide_flight_level,
        ),
        Near(
            r"A(?P<n>[0-9]{3})",
            "an altitude is written in feet with its datum",
            lambda f: [f"{int(f['n']) * 100} ft MSL"],
        ),
        Near(rf"(?P<n>{NUM}) *(?:ft)? *(?:QNH|alt|altitude)", "the datum is written MSL", ("{n} ft MSL",)),
        Near(
            rf"(?P<n>{NUM}) *(?:ft)? *(?:QFE|height|above ground)",
            "the datum is written AGL",
            ("{n} ft AGL",),
        ),
        Near(r"(?:sfc|surface|gnd|ground)", "the ground is a height too", ("0 ft AGL",)),
        Near(
            rf"(?P<n>{NUM}) *k(?: *ft)?(?: *(?P<d>MSL|AGL))?",
            "thousands are written out, with the datum",
            lambda f: [
                f"{float(f['n']) * 1000:g} ft {d}" for d in ([f["d"].upper()] if f["d"] else ["MSL", "AGL"])
            ],
        ),
    ),
    words=("ft", "m", "MSL", "AGL", "FL"),
)

_AGL = Near(
    rf"{SIGNED} *(?:ft|m)? *AGL",
    "the ground below is not the same everywhere",
    advice="write it above the sea, MSL: the elevation of the ground there and this height, added",
)

ELEVATION = Grammar(
    "elevation",
    "a height above the sea",
    f"(?P<value>{SIGNED}){GAP}(?P<unit>{_UNIT}){NEED}{any_case('MSL')}",
    ("230 ft MSL", "70 m MSL"),
    "another datum would hang on the height of the ground or on the pressure of the day",
    near=(
        Near(rf"(?P<n>{SIGNED}) *' *MSL", "a foot is written ft", ("{n} ft MSL",)),
        Near(rf"(?P<n>{SIGNED})(?: *MSL)?", "it lacks its unit: feet or metres", ("{n} ft MSL", "{n} m MSL")),
        Near(
            rf"(?P<n>{SIGNED}) *(?P<u>ft|m)",
            "what stands on the ground is measured from the sea; say so",
            ("{n} {u} MSL",),
        ),
        Near(rf"MSL *(?P<n>{SIGNED}) *(?P<u>ft|m)", "the datum stands after the unit", ("{n} {u} MSL",)),
        Near(
            r"FL *[0-9]{1,5}(?: *ft)?",
            "a flight level moves with the pressure of the day",
            advice="write it above the sea, MSL, in feet or metres",
        ),
        _AGL,
    ),
    words=("ft", "m", "MSL"),
)

ALOFT = Grammar(
    "level-aloft",
    "a level above the sea, or a flight level",
    f"(?P<value>{SIGNED}){GAP}(?P<unit>{_UNIT}){NEED}{any_case('MSL')}|{any_case('FL')}{GAP}(?P<fl>[0-9]{{3}})",
    ("5000 ft MSL", "FL240"),
    "the ground below is not the same everywhere",
    near=(
        Near(
            rf"(?P<n>{SIGNED}) *ft",
            "it lacks its datum",
            lambda f: [r for r in _in_feet(f) if not r.endswith("AGL")],
        ),
        Near(
            rf"(?P<n>{SIGNED})",
            "it lacks its unit and datum",
            lambda f: [r for r in _bare_level(f) if not r.endswith("AGL")],
        ),
        Near(
            r"(?:sfc|surface|gnd|ground)",
            "the ground is not at the same height everywhere",
            advice=(
                "write the height of the place above the sea, such as 230 ft MSL; the wind at a place itself"
                " belongs to weather.at"
            ),
        ),
        Near(
            r"FL *(?P<n>[0-9]{1,5})(?: *ft)?",
            "a flight level has three digits: hundreds of feet",
            _wide_flight_level,
        ),
        _AGL,
    ),
    words=("ft", "m", "MSL", "FL"),
)

HEIGHT = Grammar(
    "height",
    "a difference of height or a length",
    f"(?P<value>{NUM}){GAP}(?P<unit>{_UNIT})",
    ("1000 ft", "30 ft", "300 m"),
    "a figure without its unit may be feet or metres, a factor of three",
    near=(
        Near(rf"(?P<n>{NUM})", "it lacks its unit: feet or metres", ("{n} ft", "{n} m")),
        Near(
            rf"(?P<n>{NUM}) *(?P<u>ft|m) *(?:MSL|AGL)",
            "this is a difference of two heights, which has no datum",
            ("{n} {u}",),
        ),
        Near(
            rf"(?P<n>{NUM}) *(?:nm|km|SM|mi|miles?)",
            "this is measured in feet or metres",
            advice="write the figure in ft or m",
        ),
    ),
    words=("ft", "m"),
)

BAND = Grammar(
    "level-band",
    "a band of levels with their datum",
    f"(?:(?P<bare>{SIGNED})|{_level_pattern('1')}){NEED}to{NEED}(?:{_level_pattern('2')})",
    ("10000 to 14000 ft MSL", "0 to 500 ft AGL", "5000 ft MSL to FL260"),
    _WITHOUT_DATUM,
    near=(
        Near(
            rf"(?P<a>{NUM}) *(?:to|-) *(?P<b>{NUM})(?: *ft)?",
            _WITHOUT_DATUM,
            ("{a} to {b} ft MSL", "{a} to {b} ft AGL"),
        ),
        Near(
            rf"(?P<a>{NUM}) *- *(?P<b>{NUM}) *ft *(?P<d>MSL|AGL)",
            "a hyphen may be a minus sign",
            ("{a} to {b} ft {d}",),
        ),
        Near(
            r"FL *(?P<a>[3-9][0-9]) *(?:to|-) *(?:FL)? *(?P<b>[0-9]{2,3})",
            "a flight level has three digits: hundreds of feet",
            lambda f: [f"FL{int(f['a']):03d} to FL{int(f['b']):03d}"],
        ),
        Near(
            r"FL *(?P<a>[0-9]{3}) *(?:to|-) *(?:FL)? *(?P<b>[0-9]{3})",
            "each flight level is written out",
            ("FL{a} to FL{b}",),
        ),
        Near(
            rf"(?:sfc|surface|gnd|ground) *(?:to|-) *(?P<b>{NUM}) *ft *(?P<d>MSL|AGL)",
            "the ground is a height too",
            ("0 ft AGL to {b} ft {d}",),
        ),
        Near(
            r"(?:sfc|surface|gnd|ground) *(?:to|-) *FL *(?P<b>[0-9]{3})",
            "the ground is a height too",
            ("0 ft AGL to FL{b}",),
        ),
        Near(
            r".* *(?:to|-) *(?:unl|unlimited)",
            "a band without a top can own any height",
            advice="write the highest level the band may use",
        ),
    ),
    words=("ft", "m", "MSL", "AGL", "FL", "to"),
)

_NO_CLOUD_BELOW = "it only says that no cloud stands below {} ft above the aerodrome"
_ABOVE = (
    "write the layers that are forecast above that, or leave the cloud out (NOT CHECKED); an empty list is a"
    " clear sky, all the way up"
)
_TWO_LAYERS = "for example cloud: [SCT 4500 ft AGL, BKN 10000 ft AGL]"
CLOUD = Grammar(
    "cloud",
    "a cloud layer",
    f"(?P<amount>FEW|SCT|BKN|OVC){NEED}(?:{_level_pattern('1')})(?:{NEED}(?P<kind>CB|TCU))?(?:{NEED}top{NEED}(?:{_level_pattern('2')}))?",
    ("SCT 4500 ft AGL", "FEW 3000 ft MSL top 4500 ft MSL", "BKN 2000 ft AGL CB"),
    "a layer without its datum may be hundreds of feet off",
    near=(
        Near(
            r"(?P<a>FEW|SCT|BKN|OVC)(?P<rest>[0-9].*(?:ft|m) *(?:MSL|AGL))",
            "a space parts the amount from the height",
            lambda f: [f"{f['a'].upper()} {f['rest']}"],
        ),
        Near(
            r"(?P<a>scattered|broken|overcast)(?P<rest> .*)",
            "amounts are written FEW, SCT, BKN or OVC",
            lambda f: [{"s": "SCT", "b": "BKN", "o": "OVC"}[f["a"][0].lower()] + f["rest"]],
        ),
        Near(
            rf"(?P<l>{NUM} *(?:ft|m) *(?:MSL|AGL))",
            "it does not say how much of the sky is covered",
            ("FEW {l}", "SCT {l}", "BKN {l}", "OVC {l}"),
        ),
        Near(
            r"(?:(?:FEW|SCT|BKN|OVC)[0-9]{3}(?:CB|TCU|///)? *){2,}",
            "each layer is an entry of its own",
            advice="part them by a comma, " + _TWO_LAYERS,
        ),
        Near(
            r"(?P<a>FEW|SCT|BKN|OVC) *(?P<n>[0-9]{3}) *(?P<k>CB|TCU)?(?:///)?",
            "reports give hundreds of feet above the aerodrome",
            lambda f: [
                f"{f['a'].upper()} {int(f['n']) * 100} ft AGL" + (f" {f['k'].upper()}" if f["k"] else "")
            ],
        ),
        Near(
            rf"(?P<a>FEW|SCT|BKN|OVC) *(?P<k>CB|TCU) *(?P<n>{NUM}) *ft *(?P<d>MSL|AGL)",
            "the kind of cloud stands behind its base",
            lambda f: [f"{f['a'].upper()} {f['n']} ft {f['d'].upper()} {f['k'].upper()}"],
        ),
        Near(
            rf"(?P<a>FEW|SCT|BKN|OVC) *(?P<n>{NUM})(?: *ft)?",
            _WITHOUT_DATUM,
            lambda f: [f"{f['a'].upper()} {f['n']} ft {datum}" for datum in ("AGL", "MSL")],
        ),
        Near(
            r"(?:SKC|clear|none|no cloud)",
            "no cloud is an empty list",
            advice="write cloud: []",
        ),
        Near(
            r"(?:CAVOK|NSC)",
            f"{_NO_CLOUD_BELOW.format(5000)} or below the highest sector's minimum altitude",
            advice=_ABOVE,
        ),
        Near(r"CLR", f"in reports of an automatic station {_NO_CLOUD_BELOW.format(12000)}", advice=_ABOVE),
        Near(r"NCD", "an automatic station has found none, which is not a clear sky", advice=_ABOVE),
        Near(
            r"(?P<a>few|sct|bkn|ovc)(?P<rest> .*)",
            "the amount is written in capitals",
            lambda f: [f["a"].upper() + f["rest"]],
        ),
    ),
    words=("FEW", "SCT", "BKN", "OVC", "ft", "m", "MSL", "AGL", "FL", "CB", "TCU", "top"),
)


def parse_level(text: object) -> Level:
    """A level: ``1500 ft MSL``, ``1000 ft AGL``, ``500 m MSL`` (converted exactly) or ``FL240``."""
    return _checked(_level(LEVEL.read(text), ""), LEVEL, str(text))


def parse_elevation(text: object) -> Level:
    """A height of the ground or of what stands on it, above the sea: ``230 ft MSL``, ``70 m MSL``."""
    found = ELEVATION.read(text)
    return _checked(Level(_feet(found["value"], found["unit"]), "MSL"), ELEVATION, str(text))


def parse_level_aloft(text: object) -> Level:
    """A level of the air that does not hang on the ground: ``5000 ft MSL``, ``FL240``."""
    found = ALOFT.read(text)
    level = (
        Level(int(found["fl"]) * 100.0, "FL")
        if found["fl"]
        else Level(_feet(found["value"], found["unit"]), "MSL")
    )
    return _checked(level, ALOFT, str(text))


def parse_level_band(text: object) -> LevelBand:
    """A band: ``10000 to 14000 ft MSL`` (one unit for both), ``5000 ft MSL to FL260``. Upside down is refused
    where both share a datum."""
    found = BAND.read(text)
    high = _level(found, "2")
    if found["bare"] is None:
        low = _level(found, "1")
    elif found["fl2"]:
        raise BAND.because(
            str(text),
            "the lower figure lacks its unit and datum",
            tuple(f"{found['bare']} ft {d} to FL{found['fl2']}" for d in ("MSL", "AGL")),
        )
    else:
        low = Level(_feet(found["bare"], found["unit2"]), high.datum)
    _checked(low, BAND, str(text))
    _checked(high, BAND, str(text))
    if low.datum == high.datum and low.feet >= high.feet:
        raise BAND.because(
            str(text), "its lower level is not below its upper one", advice="write the lower level first"
        )
    return LevelBand(low, high)


def parse_height(text: object) -> float:
    """Feet, from a difference of two heights, a spacing or another short length: ``1000 ft``, ``300 m``."""
    found = HEIGHT.read(text)
    return within(HEIGHT, text, _feet(found["value"], found["unit"]), (0, HIGHEST_FT), "ft")


def parse_cloud(text: object) -> CloudLayer:
    """A layer: ``SCT 4500 ft AGL``, ``FEW 3000 ft MSL top 4500 ft MSL``."""
    found = CLOUD.read(text)
    base = _checked(_level(found, "1"), CLOUD, str(text))
    amount, kind = cast(CloudAmount, found["amount"]), cast(CloudKind | None, found["kind"])
    if found["value2"] is None and found["fl2"] is None:
        return CloudLayer(amount, base, kind=kind)
    top = _checked(_level(found, "2"), CLOUD, str(text))
    if top.datum == base.datum and top.feet <= base.feet:
        raise CLOUD.because(
            str(text), "its top is not above its base", advice="write the base first, then the top"
        )
    return CloudLayer(amount, base, top, kind)


def _level(found: re.Match[str], tag: str) -> Level:
    if found[f"fl{tag}"]:
        return Level(int(found[f"fl{tag}"]) * 100.0, "FL")
    return Level(
        _feet(found[f"value{tag}"], found[f"unit{tag}"]),
        "AGL" if found[f"datum{tag}"].upper() == "AGL" else "MSL",
    )


def _feet(number: str, unit: str) -> float:
    return float(number) * (FT_PER_M if unit == "m" else 1.0)


def _checked(level: Level, grammar: Grammar, text: str) -> Level:
    within(grammar, text, level.feet, (LOWEST_MSL_FT if level.datum == "MSL" else 0, HIGHEST_FT), "ft")
    return level
