"""How an aircraft moves, from text: speeds and Mach numbers, acceleration, rates of climb, bank."""

from __future__ import annotations

from briefgen.units.grammar import GAP, NUM, Grammar, Near, any_case, within
from briefgen.units.values import Speed

# knots in one of a unit, by its spellings: exact, a nautical mile is 1852 m and a statute mile 1609.344 m
_KT_IN = {
    ("m/s", "mps"): 3600 / 1852,
    ("km/h", "kmh", "kph"): 1000 / 1852,
    ("mph", "mi/h"): 1609.344 / 1852,
}
OTHER_SPEEDS = "|".join(spelling for spellings in _KT_IN for spelling in spellings)
IN_KT = "1 m/s is 1.944 kt, 1 km/h is 0.540 kt, 1 mph is 0.869 kt"
_NO_KIND = "calibrated, true and ground speed differ by tens of knots"


def in_kt(figure: str, unit: str, decimals: int = 0) -> str:
    """Knots, whole ones."""
    kt = float(figure) * next(kt for name, kt in _KT_IN.items() if unit.lower() in name)
    return f"{kt:.{decimals}f}"


def other_speed(why: str, *kinds: str) -> Near:
    """A speed in another unit: in whole knots of each kind, or of the one that is typed, with the knots
    themselves."""
    return Near(
        rf"(?P<n>{NUM}) *(?P<unit>{OTHER_SPEEDS})(?: *K?(?P<k>TAS|CAS|GS))?",
        why,
        lambda f: [f"{in_kt(f['n'], f['unit'])} {kind}" for kind in _typed_kind(f["k"]) or kinds],
        lambda f: f"{f['n']} {f['unit']} is {in_kt(f['n'], f['unit'], 1)} kt",
    )


def _typed_kind(typed: str | None) -> list[str]:
    return [f"K{typed.upper()}"] if typed else []


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
    other_speed(f"speeds are in knots ({IN_KT}), and {_NO_KIND}", "KCAS", "KTAS", "KGS"),
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
            rf"(?P<n>{NUM}) *(?:kt|{OTHER_SPEEDS})? *(?:KTAS|KCAS|KIAS|TAS|CAS|IAS)|M.*",
            "the pass is timed over the ground, and an airspeed leaves the wind out",
            advice="write the ground speed wanted, in KGS",
        ),
        other_speed(f"speeds are in knots ({IN_KT})", "KGS"),
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

ACCELERATION = Grammar(
    "acceleration",
    "an acceleration",
    f"(?P<value>{NUM}){GAP}{any_case('kt')}/s",
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


def parse_speed(text: object) -> Speed:
    """Knots with their kind, or a Mach number: ``360 KTAS``, ``250 KCAS``, ``300 KGS``, ``M0.80``. Mach 1 and
    above is left to the gates."""
    found = SPEED.read(text)
    if found["mach"]:
        return Speed(within(SPEED, text, float(found["mach"]), (0.05, 5), "Mach"), "MACH")
    kind = found["kind"].upper()
    return Speed(
        _knots(SPEED, text, float(found["kt"])),
        "KCAS" if kind == "KCAS" else "KTAS" if kind == "KTAS" else "KGS",
    )


def parse_ground_speed(text: object) -> Speed:
    """Knots over the ground only: ``300 KGS``."""
    return Speed(_knots(GROUND_SPEED, text, float(GROUND_SPEED.read(text)["kt"])), "KGS")


def _knots(grammar: Grammar, text: object, value: float) -> float:
    """Of what can hover too: every second of the plan is flown at some speed."""
    if value == 0.0:
        kind = "KGS" if grammar is GROUND_SPEED else "KCAS"
        raise grammar.because(
            str(text),
            "nothing is timed at a standstill, also of what can hover",
            advice=f"write the slowest speed at which it flies here, such as 40 {kind} for a helicopter",
        )
    return within(grammar, text, value, (1, 2000), "kt")


def parse_mach(text: object) -> float:
    """A Mach number: ``0.80`` or ``M0.80``."""
    return within(MACH, text, float(MACH.read(text)["mach"]), (0.05, 5), "Mach")


def parse_acceleration_kt_s(text: object) -> float:
    """Knots per second: ``2.5 kt/s``; not zero."""
    return within(ACCELERATION, text, float(ACCELERATION.read(text)["value"]), (0.01, 100), "kt/s")


def parse_vertical_rate_ft_min(text: object) -> float:
    """Feet per minute: ``2000 ft/min``; not zero."""
    return within(VERTICAL_RATE, text, float(VERTICAL_RATE.read(text)["value"]), (1, 60_000), "ft/min")


def parse_bank_deg(text: object) -> float:
    """Degrees of bank: ``30 deg``."""
    return within(BANK, text, float(BANK.read(text)["value"]), (1, 85), "deg")
