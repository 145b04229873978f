"""The air itself, from text: temperatures and pressures."""

from __future__ import annotations

import re

from briefgen.units.grammar import GAP, NUM, SIGNED, Grammar, Near, any_case, within
from briefgen.units.values import Pressure

LEAST_HPA, MOST_HPA = 850, 1100  # our own bounds: nothing beyond them was measured
HOTTEST_C = 60  # our own bound: nothing hotter has been measured in the open air


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


def parse_temperature_c(text: object) -> float:
    """Degrees Celsius: ``-16 C``."""
    return within(TEMPERATURE, text, float(TEMPERATURE.read(text)["c"]), (-100, HOTTEST_C), "C")


def _pressure_meant(pressure: Pressure) -> str:
    """A QNH whose point was left out or whose unit is the other one; empty where it is neither."""
    if pressure.unit == "hPa":
        return f"{pressure.value:g} inHg" if 27 <= pressure.value <= 32 else ""
    if 2700 <= pressure.value <= 3200:
        return f"{pressure.value / 100:.2f} inHg"
    return f"{pressure.value:g} hPa" if LEAST_HPA <= pressure.value <= MOST_HPA else ""


def parse_pressure(text: object) -> Pressure:
    """A pressure as typed: ``1017 hPa``, ``30.05 inHg``."""
    found = PRESSURE.read(text)
    pressure = Pressure(float(found["value"]), "inHg" if found["unit"].lower() == "inhg" else "hPa")
    if not LEAST_HPA <= pressure.hpa <= MOST_HPA and (meant := _pressure_meant(pressure)):
        raise PRESSURE.because(str(text), "no QNH has that figure in that unit", (meant,))
    within(PRESSURE, text, pressure.hpa, (LEAST_HPA, MOST_HPA), "hPa")
    return pressure
