"""Clouds on the way: how far every formation leg stays from the layers that are forecast."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import partial
from math import ceil

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.plan.gates.reports import convective, told
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import Stretch
from briefgen.plan.gates.valid import legs as formation_legs
from briefgen.plan.gates.verdicts import (
    DEFAULT,
    About,
    Limit,
    against,
    air_words,
    elevation_of,
    limit_of,
    no_limit,
    not_checked,
    words,
)
from briefgen.plan.gates.weather import at_place, forecast_at, key_of, lacks, visibility_gate
from briefgen.plan.heights.altimeter import column_at, true_altitude_ft, unknown_air
from briefgen.plan.model import Gate, Leg, Margin, Point, Source
from briefgen.plan.route.air import (
    altitude_ft,
    off_leg_nm,
    point_of,
    position,
)
from briefgen.plan.sortie import Sortie
from briefgen.units.grammar import listed
from briefgen.units.values import CloudLayer

FORMATION_LEGS = ("transit", "hold to IP", "run-in", "egress", "recovery")
SOLID = ("BKN", "OVC")
NEAR = Source(f"weather within {WEATHER_NEAR_NM:.0f} nm of the leg: {DEFAULT.words}", DEFAULT.basis)
BELOW_CLOUD = ("limits", "weather", "formation_legs", "below_cloud")


@record
class Layer:
    """A layer over a place, ft MSL; ``top_ft`` None: not forecast."""

    words: str
    amount: str
    base_ft: float
    top_ft: float | None
    cause: KeyPath


def layers_at(
    s: Sortie, place: str, point: Point, *, qnh_hpa: float | None = None
) -> tuple[Layer, ...] | None:
    """The layers forecast for a place (flight levels by the QNH there, or by ``qnh_hpa``); None without a
    forecast of cloud, or where a base above ground can't be placed."""
    weather = forecast_at(s, place)
    if weather is None or weather.cloud is None:
        return None
    found = [
        _layer(s, place, point, layer=layer, i=i, qnh_hpa=qnh_hpa) for i, layer in enumerate(weather.cloud)
    ]
    return None if None in found else tuple(found)


def _layer(
    s: Sortie, place: str, point: Point, *, layer: CloudLayer, i: int, qnh_hpa: float | None
) -> Layer | None:
    base, top = (
        None if level is None else altitude_ft(s.mission, point, level, qnh_hpa=qnh_hpa)
        for level in (layer.base, layer.top)
    )
    words = f"{layer.amount} {layer.base.feet:.0f} ft {layer.base.datum} at {place}"
    return None if base is None else Layer(words, layer.amount, base, top, (*at_place(place), "cloud", i))


def clear_ft(layer: Layer, low_ft: float, high_ft: float) -> float:
    """Feet between a band of heights and a layer; negative when the band reaches above the base of a layer
    that it isn't wholly above."""
    if layer.top_ft is not None and is_below(layer, low_ft):
        return low_ft - layer.top_ft
    return layer.base_ft - high_ft


def separation(s: Sortie) -> Limit | None:
    """How far below cloud the formation stays: the unit's figure, else the regime's."""
    minima = (
        s.mission.file.limits.weather.formation_legs if s.mission.file.limits.weather is not None else None
    )
    return limit_of(s, minima.below_cloud if minima is not None else None, "below_cloud_ft")


def judged(about: About, worst: tuple[float, Layer], limit: Limit | None) -> Gate:
    """Broken and overcast layers FAIL; few and scattered ones can be flown around, and read CAUTION."""
    value, layer = worst
    about = about.but(
        title=f"{about.title}: {layer.words}",
        cause=layer.cause,
        source=limit.source if limit is not None else about.source,
    )
    worse = "FAIL" if layer.amount in SOLID else "CAUTION"
    if value < 0:
        through = words(
            about.but(unit=""),
            False,
            f"through it by {ceil(-value)} ft",
            "clear of it" if limit is None else f"at least {limit.value:.0f} ft below it",
            worse=worse,
        )
        return replace(through, margin=value - (0.0 if limit is None else limit.value))
    return (
        no_limit(about, value, key=BELOW_CLOUD)
        if limit is None
        else against(about, value, limit, worse=worse)
    )


def sky_lacks(s: Sortie, place: str) -> tuple[str, KeyPath]:
    """What a place without layers lacks: its cloud, or the elevation that puts a base above ground into its
    height."""
    weather = forecast_at(s, place)
    if weather is None or weather.cloud is None:
        return lacks(weather, f"no cloud is forecast at {place}"), key_of(place, "cloud")
    return f"the cloud at {place} is given above the ground, whose elevation isn't given", elevation_of(place)


def worst(rows: list[tuple[float, Layer]], limit: Limit | None) -> tuple[float, Layer]:
    """The nearest layer; of those too near, a solid one comes first."""
    return min(
        rows, key=lambda row: (limit is None or row[0] >= limit.value or row[1].amount not in SOLID, row[0])
    )


# ---------------------------------------------------------------- the legs


def legs_cloud(s: Sortie) -> Iterator[Gate]:
    """Every leg flown in formation stays clear of the layers forecast near it; each that doesn't is named."""
    legs = _formation_legs(s)
    if not legs:
        return
    about = text("legs-cloud")
    limit, unknown = separation(s), _cloud_unknown(s, legs) or _air_unknown(s, legs)
    rows = [
        (clear_ft(layer, *heights), layer, leg)
        for leg in legs
        for heights in [leg_heights(s, leg)]
        for place in near_leg(s, leg)
        for layer in _layers(s, place) or ()
    ]
    if not rows:
        places = ", ".join(near_legs(s))
        yield (
            unknown(about)
            if unknown
            else words(about.but(source=NEAR), True, f"no cloud at {places}", "clear of cloud")
        )
        return
    value, layer = worst([row[:2] for row in rows], limit)
    leg = next(row[2] for row in rows if row[:2] == (value, layer))
    least_ft = 0.0 if limit is None else limit.value
    near: dict[str, float] = {}
    for away_ft, _, one in rows:
        if away_ft < least_ft:
            near[one.between] = min(away_ft - least_ft, near.get(one.between, 0.0))
    others = [between for between in near if between != leg.between]
    also = f" (so too {listed(others, 'and')})" if others else ""
    gate = judged(about.but(title=f"Formation leg {leg.between} below cloud{also}"), (value, layer), limit)
    gate = replace(gate, margins=tuple(Margin(name, margin) for name, margin in near.items()))
    yield unknown(about) if gate.verdict == "PASS" and unknown else by_what_is_near(gate)


def legs_visibility(s: Sortie) -> Iterator[Gate]:
    """The least visibility forecast near a formation leg."""
    legs = _formation_legs(s)
    if not legs:
        return
    minima = (
        s.mission.file.limits.weather.formation_legs if s.mission.file.limits.weather is not None else None
    )
    limit = limit_of(s, minima.visibility if minima is not None else None, "visibility_nm")
    about = text("legs-visibility")
    here = {place: forecast_at(s, place) for place in near_legs(s)}
    places = {place: None if weather is None else weather.visibility for place, weather in here.items()}
    worst = min(
        (place for place, seen in places.items() if seen is not None),
        key=lambda place: (places[place].nm, place),
        default=None,
    )
    unknown = _far_off(s, legs, "visibility") or next(
        (_unseen(place) for place, seen in places.items() if seen is None), None
    )
    if worst is None:
        yield unknown(about)
        return
    named = about.but(title=f"{about.title} at {worst}", cause=at_place(worst))
    gate = visibility_gate(s, named, worst, limit, ("limits", "weather", "formation_legs", "visibility"))
    yield unknown(about) if gate.verdict == "PASS" and unknown else by_what_is_near(gate)


def by_what_is_near(gate: Gate) -> Gate:
    """Beside its limit it rests on how near weather has to be to count."""
    return replace(gate, source=f"{gate.source}; {NEAR.words}", basis=(*gate.basis, *NEAR.basis))


def near_legs(s: Sortie) -> tuple[str, ...]:
    """Every place whose weather counts for a formation leg."""
    return tuple(dict.fromkeys(place for leg in _formation_legs(s) for place in near_leg(s, leg)))


def _formation_legs(s: Sortie) -> list[Leg]:
    return [leg for leg in s.legs if leg.kind in FORMATION_LEGS] if len(s.mission.file.flight) > 1 else []


def formation_time(s: Sortie) -> Stretch | None:
    """When legs are flown in formation."""
    return formation_legs(s, FORMATION_LEGS)


def leg_heights(s: Sortie, leg: Leg) -> tuple[float, float]:
    """The lowest of a leg, as high as it really is in cold air, and the highest as it is read, ft MSL."""
    read = ((leg.start, leg.start_altitude_ft), (leg.end, leg.altitude_ft))
    really = (true_altitude_ft(column_at(s.mission, point), feet) for point, feet in read)
    return min(really), max(feet for _, feet in read)


def _layers(s: Sortie, place: str) -> tuple[Layer, ...] | None:
    return layers_at(s, place, point_of(s.mission, place))


# ---------------- which weather counts for a leg, and what isn't known

Unknown = Callable[[About], Gate]


def near_leg(s: Sortie, leg: Leg) -> tuple[str, ...]:
    """Every place with a forecast within 25 nm of a leg, in the order of the file."""
    places = [place for place in s.mission.weather_places if place in s.mission.places]
    ends = (position(leg.start), position(leg.end))
    return tuple(
        place for place in places if off_leg_nm(*ends, s.mission.places[place].position) <= WEATHER_NEAR_NM
    )


def _cloud_unknown(s: Sortie, legs: list[Leg]) -> Unknown | None:
    """The first reason why clear legs are not known to be clear, as the gate that says so."""
    far = _far_off(s, legs, "cloud")
    if far is not None:
        return far
    near = [(leg, place) for leg in legs for place in near_leg(s, leg)]
    dark = next((place for _, place in near if _layers(s, place) is None), None)
    if dark is not None:
        return _unknown_at(*sky_lacks(s, dark))
    for leg, place in near:
        high_ft = max(leg.start_altitude_ft, leg.altitude_ft)
        unseen = above_report(s, point_of(s.mission, place), high_ft)
        if unseen is not None:
            return _unknown_at(unseen, key_of(place, "cloud"))
    return None


def _unknown_at(why: str, key: KeyPath) -> Unknown:
    return lambda about: not_checked(about, why, key=key)


def _air_unknown(s: Sortie, legs: list[Leg]) -> Unknown | None:
    """What isn't given of the air in which a leg is flown above a cloud: how much lower than it reads."""
    for leg in legs:
        low_ft, _ = leg_heights(s, leg)
        layers = [layer for place in near_leg(s, leg) for layer in _layers(s, place) or ()]
        if not any(is_below(layer, low_ft) for layer in layers):
            continue
        columns = [column_at(s.mission, end) for end in (leg.start, leg.end)]
        off_nm = partial(off_leg_nm, position(leg.start), position(leg.end))
        air = unknown_air(s.mission, columns, off_nm)
        if air is not None:
            return _unknown_at(f"{leg.between} is flown above cloud, and {air_words(air)}", air.key)
    return None


def is_below(layer: Layer, low_ft: float) -> bool:
    """Whether all of a layer lies below a height; of one without a top nobody knows."""
    return layer.top_ft is not None and low_ft >= layer.top_ft


def above_report(s: Sortie, point: Point, high_ft: float) -> str | None:
    """Why the cloud of a report says nothing of a height, ft MSL: it speaks of what is significant for its
    aerodrome alone. None where it does."""
    here = forecast_at(s, point.id)
    if here is None or here.cloud_up_to_ft is None:
        return None
    if high_ft <= (point.elevation_ft or 0.0) + here.cloud_up_to_ft:
        return None
    return f"the report at {point.id} speaks of cloud up to {here.cloud_up_to_ft:.0f} ft above it only"


def _far_off(s: Sortie, legs: list[Leg], key: str) -> Unknown | None:
    leg = next((leg for leg in legs if not near_leg(s, leg)), None)
    if leg is None:
        return None
    place = next(
        (point.id for point in (leg.end, leg.start) if point.id in s.mission.places), s.mission.base.id
    )
    near = f"within {WEATHER_NEAR_NM:.0f} nm ({DEFAULT.words})"
    why = f"no weather is forecast {near} of the formation leg {leg.between}"
    return _unknown_at(why, key_of(place, key))


def _unseen(place: str) -> Unknown:
    return _unknown_at(f"no visibility is forecast at {place}", key_of(place, "visibility"))


# ---------------------------------------------------------------- storms


def convective_cloud(s: Sortie) -> Iterator[Gate]:
    """Cumulonimbus and towering cumulus in the forecast, wherever they stand; without any there is no such
    gate."""
    weather = s.mission.file.weather
    found: list[tuple[KeyPath, str]] = [
        ((*at_place(place), "cloud", i), f"{layer.kind} at {place}")
        for place, here in (weather.at if weather is not None else {}).items()
        for i, layer in enumerate(here.cloud or ())
        if layer.kind is not None
    ]
    found += [(at_place(place), said) for place, said in told(s, convective, when=False)]
    if found:
        value = ", ".join(dict.fromkeys(said for _, said in found))
        about = text("convective-cloud").but(cause=found[0][0])
        yield words(about, False, value, "none forecast", worse="CAUTION")
