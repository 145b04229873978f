"""What the pressure over the training area makes of levels that are typed by different ones: a flight level
beside an altitude, beside a cloud or over ground.

A flight level lies as high as the QNH of the spot below it puts it, and of every spot of the area that is
flown over the worst counts. Where no QNH is given near enough to all of it, any that weather has may be:
what some of them would not let pass is not checked; nor is it by QNHs that nobody says the source of.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

from briefgen.airmath.areas import inside_area
from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import KeyPath
from briefgen.mission.check.doubts import QNH_LEAST_HPA, QNH_MOST_HPA
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.plan.gates.valid import somebodys
from briefgen.plan.gates.verdicts import DEFAULT, About, not_checked
from briefgen.plan.model import WORST_FIRST, Gate, Point
from briefgen.plan.route.air import STANDARD_QNH_HPA, position, qnh_station, qnhs_along
from briefgen.plan.sortie import Sortie
from briefgen.units.values import Position


def over_area_worst(s: Sortie, about: About, judge: Callable[[float], Gate]) -> Gate:
    """The worst that a gate reads by the QNHs of the area."""
    mission = s.mission
    worst = min((judge(hpa) for hpa in _given(mission)), key=_how_bad)
    far, doubted = _far_corner(mission), somebodys(s, worst)
    if worst.verdict != "PASS" or (far is None and doubted is worst):
        return worst
    if all(judge(hpa).verdict == "PASS" for hpa in (QNH_LEAST_HPA, QNH_MOST_HPA)):
        return worst
    if far is None:
        return doubted
    near = f"within {WEATHER_NEAR_NM:.0f} nm ({DEFAULT.words})"
    why = f"no QNH is given {near} of all of the area, and how high its flight levels lie hangs on it"
    return not_checked(about, why, value=worst.value, key=_key(mission, far))


def _how_bad(gate: Gate) -> tuple[int, float]:
    amount = gate.margin if gate.margin is not None else gate.value
    return WORST_FIRST.index(gate.verdict), amount if isinstance(amount, (int, float)) else 0.0


def _boundary(mission: Mission) -> tuple[Position, ...]:
    training = mission.file.training
    return () if training is None else tuple(training.area.boundary)


def _given(mission: Mission) -> set[float]:
    """Every QNH that is the nearest one to some spot of the area; the standard one where none is given."""
    boundary = _boundary(mission)
    corners = [Point("", "", at.lat_deg, at.lon_deg, None) for at in (*boundary, *boundary[:1])]
    found = {hpa for start, end in pairwise(corners) for hpa in qnhs_along(mission, start, end)}
    for place, hpa in mission.qnh_hpa.items():
        if inside_area(mission.places[place].position, boundary):
            found.add(hpa)
    return found or {STANDARD_QNH_HPA}


def _far_corner(mission: Mission) -> Point | None:
    """A corner of the area without a QNH near enough."""
    for at in _boundary(mission):
        corner = Point("", "", at.lat_deg, at.lon_deg, None)
        station = qnh_station(mission, corner)
        if station is None or distance_nm(at, mission.places[station].position) > WEATHER_NEAR_NM:
            return corner
    return None


def _key(mission: Mission, corner: Point) -> KeyPath:
    """The QNH of the place nearest to a corner."""
    near = min(mission.places, key=lambda id: distance_nm(position(corner), mission.places[id].position))
    return ("weather", "at", near, "qnh")
