"""Clouds on the way: how far every formation leg, the pass and the heights of the area stay from the layers that are forecast."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from briefgen.airmath.geodesy import distance_nm
from briefgen.diagnostics import KeyPath
from briefgen.plan.air import altitude_ft, point_of, position
from briefgen.plan.gates.verdicts import COMMON, UNIT, About, Limit, against, at_least, limit_of, no_limit, not_checked, words
from briefgen.plan.gates.weather import at_place, forecast_at, own_limit, visibility_gate
from briefgen.plan.model import Gate, Leg, Point
from briefgen.plan.sortie import Sortie
from briefgen.records import record
from briefgen.units.values import CloudLayer, Position

FORMATION_LEGS = ("transit", "hold to IP", "run-in", "egress", "recovery")
SOLID = ("BKN", "OVC")


@record
class Layer:
    """A layer over a place, ft MSL; ``top_ft`` None: not forecast."""

    words: str
    amount: str
    base_ft: float
    top_ft: float | None
    cause: KeyPath


def layers_at(s: Sortie, place: str, point: Point) -> tuple[Layer, ...] | None:
    """The layers forecast for a place; None without a forecast of cloud, or where a base above ground can't be placed."""
    weather = forecast_at(s, place)
    if weather is None or weather.cloud is None:
        return None
    found = [_layer(s, place, point, layer, i) for i, layer in enumerate(weather.cloud)]
    return None if None in found else tuple(found)


def _layer(s: Sortie, place: str, point: Point, layer: CloudLayer, i: int) -> Layer | None:
    base = altitude_ft(s.mission, point, layer.base)
    top = altitude_ft(s.mission, point, layer.top) if layer.top is not None else None
    words = f"{layer.amount} {layer.base.feet:.0f} ft {layer.base.datum} at {place}"
    return None if base is None else Layer(words, layer.amount, base, top, (*at_place(place), "cloud", i))


def clear_ft(layer: Layer, low_ft: float, high_ft: float) -> float:
    """Feet between a band of heights and a layer; negative when the band reaches above the base of a layer that it isn't wholly above."""
    if layer.top_ft is not None and low_ft >= layer.top_ft:
        return low_ft - layer.top_ft
    return layer.base_ft - high_ft


def separation(s: Sortie) -> Limit | None:
    """How far below cloud the formation stays: the unit's figure, else the regime's."""
    minima = s.mission.file.limits.weather.formation_legs if s.mission.file.limits.weather is not None else None
    return limit_of(s, minima.below_cloud if minima is not None else None, "below_cloud_ft")


def _judged(about: About, worst: tuple[float, Layer], limit: Limit | None) -> Gate:
    """Broken and overcast layers FAIL; few and scattered ones can be flown around, and read CAUTION."""
    value, layer = worst
    about = about.but(title=f"{about.title}: {layer.words}", cause=layer.cause, source=limit.source if limit is not None else about.source)
    worse = "FAIL" if layer.amount in SOLID else "CAUTION"
    if value < 0:
        return words(about.but(unit=""), False, "through it", "clear of it" if limit is None else f"at least {limit.value:.0f} ft below it", worse=worse)
    return no_limit(about, value) if limit is None else against(about, value, limit, worse=worse)


def _worst(rows: list[tuple[float, Layer]], limit: Limit | None) -> tuple[float, Layer]:
    """The nearest layer; of those too near, a solid one comes first."""
    return min(rows, key=lambda row: (limit is None or row[0] >= limit.value or row[1].amount not in SOLID, row[0]))


# ---------------------------------------------------------------- the gates


def pass_cloud(s: Sortie) -> Iterator[Gate]:
    """The leader over the centre stays below the clouds there by the separation."""
    if s.event is None:
        return
    about = About("pass-cloud", "Pass below cloud", "ft", UNIT, at_place(s.event.centre.id), "a lower pass if the obstacles allow it, or cancel it")
    layers, limit = layers_at(s, s.event.centre.id, s.event.centre), separation(s)
    if layers is None:
        yield not_checked(about, "no cloud is forecast at the event, or its elevation isn't given")
    elif not layers:
        yield words(about, True, "no cloud", "clear of cloud")
    else:
        height = s.event.run_in.altitude_ft
        yield _judged(about, _worst([(layer.base_ft - height, layer) for layer in layers], limit), limit)


def legs_cloud(s: Sortie) -> Iterator[Gate]:
    """Every leg flown in formation stays clear of the layers at the nearest forecast place of each of its ends."""
    legs = _formation_legs(s)
    if not legs:
        return
    about = About(
        "legs-cloud",
        "Formation legs below cloud",
        "ft",
        UNIT,
        ("weather", "at"),
        "another level, another way, or split the formation before the cloud",
    )
    limit, rows, missing = separation(s), [], False
    for leg in legs:
        for place, layers in _skies(s, leg):
            missing = missing or layers is None
            low, high = sorted((leg.start_altitude_ft, leg.altitude_ft))
            rows += [(clear_ft(layer, low, high), layer, leg) for layer in layers or ()]
    if not rows:
        yield (
            not_checked(about, "no cloud is forecast near the legs")
            if missing or not _places(s)
            else words(about, True, "no cloud", "clear of cloud")
        )
        return
    value, layer = _worst([row[:2] for row in rows], limit)
    leg = next(row[2] for row in rows if row[:2] == (value, layer))
    gate = _judged(about.but(title=f"Formation leg {leg.between} below cloud"), (value, layer), limit)
    good = gate.verdict == "PASS" and missing
    yield not_checked(about, "the base of a layer above ground can't be placed: a place has no elevation", value=value) if good else gate


def legs_visibility(s: Sortie) -> Iterator[Gate]:
    """The least visibility forecast near a formation leg."""
    legs = _formation_legs(s)
    if not legs:
        return
    minima = s.mission.file.limits.weather.formation_legs if s.mission.file.limits.weather is not None else None
    limit = limit_of(s, None, "visibility_nm") if minima is None or minima.visibility is None else own_limit(minima.visibility)
    about = About("legs-visibility", "Formation legs: visibility", "km", UNIT, ("weather", "at"), "another way, or split the formation")
    known = {place: forecast_at(s, place) for place in sorted({place for leg in legs for place in _near(s, leg)})}
    missing = [place for place, weather in known.items() if weather.visibility is None]
    worst = min((p for p in known if p not in missing), key=lambda p: known[p].visibility, default=None)
    gate = visibility_gate(
        about.but(title=f"{about.title} at {worst}", cause=at_place(worst)) if worst is not None else about, known.get(worst), limit
    )
    hidden = gate.verdict == "PASS" and missing
    yield not_checked(about, f"no visibility is forecast at {missing[0]}", value=gate.value) if hidden else gate


def _formation_legs(s: Sortie) -> list[Leg]:
    return [leg for leg in s.legs if leg.kind in FORMATION_LEGS] if len(s.mission.file.flight) > 1 else []


def _places(s: Sortie) -> list[str]:
    weather = s.mission.file.weather
    return [place for place in (weather.at if weather is not None else ()) if place in s.mission.places]


def _near(s: Sortie, leg: Leg) -> tuple[str, ...]:
    """The forecast places nearest to the start and to the end of a leg."""
    places = _places(s)
    ends = (position(leg.start), position(leg.end))
    nearest = [min(places, key=lambda p: (_apart_nm(s.mission.places[p].position, end), p)) for end in ends] if places else []
    return tuple(dict.fromkeys(nearest))


@lru_cache(maxsize=256)
def _apart_nm(one: Position, other: Position) -> float:
    """The legs share their ends, and two gates ask about each."""
    return distance_nm(one, other)


def _skies(s: Sortie, leg: Leg) -> list[tuple[str, tuple[Layer, ...] | None]]:
    return [(place, layers_at(s, place, point_of(s.mission, place))) for place in _near(s, leg)]


def area_cloud(s: Sortie) -> Iterator[Gate]:
    """The heights that the training uses (its blocks, else the whole area) stay clear of the clouds in the area."""
    training = s.mission.file.training
    if training is None:
        return
    minima = s.mission.file.limits.weather.area if s.mission.file.limits.weather is not None else None
    about = About("area-cloud", "Training clear of cloud", "ft", UNIT, at_place("AREA"), "other blocks, or do not train in this weather")
    bands = [(band.low, band.high) for band in training.blocks.values()] or [(training.area.floor, training.area.top)]
    centre = Point("AREA", training.area.name, training.area.boundary[0].lat_deg, training.area.boundary[0].lon_deg)
    heights = [tuple(altitude_ft(s.mission, centre, level) for level in band) for band in bands]
    layers = layers_at(s, "AREA", centre)
    if layers is None or any(None in band for band in heights):
        yield not_checked(about, "no cloud with heights above the sea is forecast for the area")
        return
    if not layers:
        yield words(about, True, "no cloud", "clear of cloud")
        return
    worst = min(((clear_ft(layer, low, high), layer) for layer in layers for low, high in heights), key=lambda row: row[0])
    about = about.but(title=f"{about.title}: {worst[1].words}", cause=worst[1].cause)
    limit = minima.clear_of_cloud if minima is not None else None
    if worst[0] < 0 and worst[1].top_ft is None:
        yield not_checked(about, "the top of this layer isn't forecast", value=worst[0])
    else:
        yield no_limit(about, worst[0]) if limit is None else at_least(about, worst[0], limit)


def convective_cloud(s: Sortie) -> Iterator[Gate]:
    """Cumulonimbus and towering cumulus in the forecast, wherever they stand; without any there is no such gate."""
    forecast = s.mission.file.weather.at if s.mission.file.weather is not None else {}
    found = [(place, layer.kind, i) for place, weather in forecast.items() for i, layer in enumerate(weather.cloud or ()) if layer.kind is not None]
    if found:
        value = ", ".join(dict.fromkeys(f"{kind} at {place}" for place, kind, _ in found))
        cause = (*at_place(found[0][0]), "cloud", found[0][2])
        mend = "hail, turbulence, lightning and gusts reach beyond the cloud: say how far away the flight stays, and where it goes instead"
        about = About("convective-cloud", "Cumulonimbus or towering cumulus", "", COMMON, cause, mend)
        yield words(about, False, value, "none forecast", worse="CAUTION")
