"""Fuel amounts, flows, densities and reserves from text. A bare gallon is refused: it is one of two sizes."""

from __future__ import annotations

import re

from briefgen.units.grammar import GAP, NUM, Grammar, Near, any_case, within
from briefgen.units.parse_time import DURATION, parse_duration_s
from briefgen.units.values import L_PER_US_GAL, LB_PER_KG, Duration, Fuel, FuelFlow, FuelUnit

L_PER_IMPERIAL_GAL = 4.54609  # exact, UK Weights and Measures Act 1985

_UNIT = f"{any_case('lb')}|{any_case('kg')}|L|{any_case('US')}{GAP}{any_case('gal')}"
_NO_UNIT = "a pound is less than half a kilogram"


def _bare_gallons(pattern: str, tail: str = "") -> Near:
    """Gallons of either size: as US gallons, or litres of each; a file takes those of its own unit."""

    def litres(found: re.Match[str]) -> tuple[str, str]:
        us, imperial = (float(found["n"]) * size for size in (L_PER_US_GAL, L_PER_IMPERIAL_GAL))
        return f"{us:.1f} L{tail}", f"{imperial:.1f} L{tail}"

    return Near(
        rf"(?P<n>{NUM}) *(?:{pattern})",
        "a US gallon is 3.785 L, an imperial one 4.546 L; an imperial gallon is written in L",
        lambda f: [f"{f['n']} US gal{tail}", *litres(f)],
        lambda f: "{} US gal{} is {}, imperial {}".format(f["n"], tail, *litres(f)),
    )


FUEL = Grammar(
    "fuel",
    "an amount of fuel",
    f"(?P<value>{NUM}){GAP}(?P<unit>{_UNIT})",
    ("5500 lb", "300 kg", "120 L", "40 US gal"),
    _NO_UNIT,
    near=(
        Near(rf"(?P<n>{NUM})", "it lacks its unit: " + _NO_UNIT, ("{n} lb", "{n} kg", "{n} L", "{n} US gal")),
        _bare_gallons("gal|g"),
        Near(
            rf"(?P<n>{NUM}) *(?:imp(?:erial)?|UK)\.? *gal",
            "imperial gallons are written in litres",
            lambda f: [f"{float(f['n']) * L_PER_IMPERIAL_GAL:.1f} L"],
        ),
        Near(rf"(?P<n>{NUM}) *(?:USG|U\.S\. *gal)", "the unit is written US gal", ("{n} US gal",)),
        Near(
            rf"(?P<n>{NUM}) *k(?: *lb)?",
            "thousands are written out, with the unit",
            lambda f: [f"{float(f['n']) * 1000:g} {u}" for u in ("lb", "kg")],
        ),
        Near(
            rf"(?P<n>{NUM}) *(?:t|tonnes?)",
            "a ton may be metric, short or long",
            lambda f: [f"{float(f['n']) * 1000:g} kg"],
        ),
        Near(
            rf"(?P<n>{NUM}) *%", "an amount is wanted, not a share", advice="write it in lb, kg, L or US gal"
        ),
        Near(
            rf"(?P<n>{NUM}) *(?:lb|kg|L)/h", "an amount is wanted, not a flow", advice="write it without /h"
        ),
    ),
    words=("lb", "kg", "L", "US", "gal"),
)

FLOW = Grammar(
    "fuel-flow",
    "a fuel flow",
    f"(?P<value>{NUM}){GAP}(?P<unit>{_UNIT})/(?P<per>h|{any_case('min')})",
    ("600 lb/h", "300 kg/h", "40 US gal/h", "5 kg/min"),
    "a flow without its unit may be wrong by a factor of two, or sixty",
    near=(
        Near(rf"(?P<n>{NUM})", "it lacks its unit", ("{n} lb/h", "{n} kg/h", "{n} L/h", "{n} US gal/h")),
        Near(
            rf"(?P<n>{NUM}) *(?P<u>lb|kg|L|US gal)(?: *(?:ph|/ *H))?",
            "a flow is an amount per hour or per minute",
            ("{n} {u}/h",),
        ),
        Near(rf"(?P<n>{NUM}) *(?:pph|lb *ph)", "the unit is written lb/h", ("{n} lb/h",)),
        Near(rf"(?P<n>{NUM}) *kgh", "the unit is written kg/h", ("{n} kg/h",)),
        _bare_gallons("gph|gal/h", "/h"),
    ),
    words=("lb", "kg", "L", "US", "gal", "h", "min"),
)

DENSITY_KG_L = (0.6, 1.0)  # wider than any aviation fuel: our own bounds
_POUNDS, _A, _A_GALLON = "(?:lbs?|pounds?)", "(?:/|per)", "a US gallon is 3.785 L, an imperial one 4.546 L"


def _kg_l(lb_per_gal: float, l_per_gal: float) -> str:
    return f"{lb_per_gal / LB_PER_KG / l_per_gal:.3f} kg/L"


def _per_gallon(found: re.Match[str]) -> list[str]:
    """Pounds per a gallon of either size, as far as a fuel weighs it."""
    both = [(size, float(found["n"]) / LB_PER_KG / size) for size in (L_PER_US_GAL, L_PER_IMPERIAL_GAL)]
    likely = [size for size, kg_l in both if DENSITY_KG_L[0] <= kg_l <= DENSITY_KG_L[1]]
    return [_kg_l(float(found["n"]), size) for size in likely or [L_PER_US_GAL]]


DENSITY = Grammar(
    "density",
    "a fuel density",
    f"(?P<value>{NUM}){GAP}{any_case('kg')}/L",
    ("0.80 kg/L", "0.72 kg/L"),
    "a density without its unit may be of the other system; jet fuel weighs about 0.80, avgas 0.72 kg/L",
    near=(
        Near(r"(?P<n>0\.[0-9]+)", "it lacks its unit", ("{n} kg/L",)),
        Near(
            rf"(?P<n>{NUM}) *(?:kg */ *m(?:3|\^3)|g/L)",
            "it is in kilograms per litre",
            lambda f: [f"{float(f['n']) / 1000:.3f} kg/L"],
        ),
        Near(
            rf"(?P<n>{NUM}) *{_POUNDS} *{_A} *(?:imp(?:erial)?|UK)\.? *gal(?:lons?)?",
            "it is in kilograms per litre",
            lambda f: [_kg_l(float(f["n"]), L_PER_IMPERIAL_GAL)],
        ),
        Near(
            rf"(?P<n>{NUM}) *{_POUNDS} *{_A} *gal(?:lons?)?",
            f"it is in kilograms per litre; {_A_GALLON}",
            _per_gallon,
        ),
        Near(
            rf"(?P<n>{NUM})(?: *{_POUNDS} *{_A} *(?:USG|(?:US|U\.S\.) *gal(?:lons?)?))?",
            "it is in kilograms per litre",
            lambda f: [
                f"{float(f['n']) / 1000:.3f} kg/L"
                if float(f["n"]) > 100
                else _kg_l(float(f["n"]), L_PER_US_GAL)
            ],
        ),
    ),
    words=("kg", "L"),
)

RESERVE = Grammar(
    "reserve",
    "a reserve as time or as fuel",
    f"(?:{re.sub('[?]P<[a-z]+>', '?:', DURATION.pattern)})|(?:{re.sub('[?]P<[a-z]+>', '?:', FUEL.pattern)})",
    ("30 min", "900 lb"),
    "the unit must be there",
    near=(Near(rf"(?P<n>{NUM})", "it lacks its unit", ("{n} min", "{n} lb", "{n} kg")), *FUEL.near[1:]),
    words=(*DURATION.words, *FUEL.words),
)


def parse_fuel(text: object) -> Fuel:
    """An amount as typed: ``5500 lb``, ``300 kg``, ``120 L``, ``40 US gal``. A volume needs a density to
    become a mass."""
    found = FUEL.read(text)
    return Fuel(
        within(FUEL, text, float(found["value"]), (0, 1_000_000), found["unit"]), _unit(found["unit"])
    )


def parse_fuel_flow(text: object) -> FuelFlow:
    """An amount per hour: ``600 lb/h``; ``/min`` is turned into hours."""
    found = FLOW.read(text)
    hours = 60 if found["per"].lower() == "min" else 1
    return FuelFlow(
        Fuel(
            within(FLOW, text, float(found["value"]) * hours, (0, 1_000_000), found["unit"] + "/h"),
            _unit(found["unit"]),
        )
    )


def parse_density_kg_l(text: object) -> float:
    """Kilograms per litre: ``0.80 kg/L``; within ``DENSITY_KG_L``."""
    return within(DENSITY, text, float(DENSITY.read(text)["value"]), DENSITY_KG_L, "kg/L")


def parse_reserve(text: object) -> Fuel | Duration:
    """A reserve in minutes or as a weight: ``30 min``, ``900 lb``."""
    typed = RESERVE.read(text)[0]
    return Duration(parse_duration_s(typed)) if DURATION.match(typed) else parse_fuel(typed)


def _unit(typed: str) -> FuelUnit:
    match typed.lower():
        case "lb":
            return "lb"
        case "kg":
            return "kg"
        case "l":
            return "L"
    return "US gal"
