"""The QNH of neighbouring places differ by no more than weather does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from itertools import permutations

from briefgen.airmath.geodesy import distance_nm
from briefgen.core.records import record
from briefgen.units.values import Position

# a gradient of 8 hPa in 100 nm is a geostrophic wind of 60 kt at 55 degrees (density 1.2 kg/m3); 3 hPa for
# rounding, and for what is local
APART_HPA, APART_HPA_NM = 3.0, 0.08
OFF_BY_30 = "each hPa that is wrong is about 30 ft of height"


@record
class Apart:
    """A place whose QNH is unlike that of another, and what would be believed over that distance."""

    odd: str
    other: str
    odd_hpa: float
    other_hpa: float
    most_hpa: float
    away_nm: float


def pressures_apart(found: Mapping[str, tuple[Position, float]]) -> Iterator[Apart]:
    """Each odd one out, once, the oddest first, with the place that it is most unlike."""
    left = dict(found)
    while apart := _too_far_apart(left):
        odd, others = max(apart.items(), key=lambda row: (len(row[1]), sum(row[1].values())))
        other = max(others, key=lambda id: others[id])
        (here, a), (there, b) = left.pop(odd), left[other]
        yield Apart(odd, other, a, b, _most_hpa(here, there), distance_nm(here, there))


def _too_far_apart(found: Mapping[str, tuple[Position, float]]) -> dict[str, dict[str, float]]:
    """For each place the others from whose QNH its own differs by more than the bound, with by how much."""
    apart: dict[str, dict[str, float]] = {}
    for (one, (here, a)), (other, (there, b)) in permutations(found.items(), 2):
        excess = abs(a - b) - _most_hpa(here, there)
        if excess > 0:
            apart.setdefault(one, {})[other] = excess
    return apart


def _most_hpa(here: Position, there: Position) -> float:
    return APART_HPA + APART_HPA_NM * distance_nm(here, there)
