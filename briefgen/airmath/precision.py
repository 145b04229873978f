"""How exactly a position was typed: half of its last digit, for want of anything better. A default of this
program, no authority."""

from __future__ import annotations

import re
from math import hypot

from briefgen.airmath.geodesy import distance_nm
from briefgen.units.values import Position

_MINUTE, _SECOND = "'\u2019\u2032", '"\u201d\u2033'
_LETTERED = re.compile(r"^([^NS]*)[NS][\s,/]*([^EW]*)[EW]$", re.IGNORECASE)


def typed_uncertainty_nm(text: str, position: Position) -> float:
    """Half of the last typed digit of the latitude and of the longitude, as one distance on the Earth at the
    position."""
    north, east = (_half_digit_deg(half) for half in _halves(text))
    up = Position(min(position.lat_deg, 89.0), position.lon_deg)
    north_nm = distance_nm(up, Position(up.lat_deg + north, up.lon_deg))
    side = up.lon_deg - east if up.lon_deg > 0 else up.lon_deg + east
    return hypot(north_nm, distance_nm(up, Position(up.lat_deg, side)))


def _halves(text: str) -> tuple[str, str]:
    found = _LETTERED.match(text.strip())
    if found:
        return found[1], found[2]
    first, last = re.split(r"[\s,/]+", text.strip(), maxsplit=1)
    return first, last


def _half_digit_deg(half: str) -> float:
    numbers = re.findall(r"[0-9]+(?:\.[0-9]+)?", half)
    digits = len(numbers[-1].partition(".")[2])
    return 0.5 * 10.0**-digits * _unit_deg(half.strip(), numbers)


def _unit_deg(half: str, numbers: list[str]) -> float:
    """Degrees of one whole of the last number typed: degrees, minutes, or seconds; compact figures by how
    many they are."""
    if any(sign in half for sign in _SECOND) or len(numbers) == 3:
        return 1 / 3600
    if any(sign in half for sign in _MINUTE):
        return 1 / 60
    if "." in half and len(numbers[-1].partition(".")[0]) <= 3:
        return 1.0
    return 1 / 3600 if len(numbers[-1].partition(".")[0]) >= 6 else 1 / 60
