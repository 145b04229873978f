"""Clouds in the training area: how far the heights that are flown there stay from them."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.plan.gates.area import area_columns, area_feet, area_point, if_temperature
from briefgen.plan.gates.pressures_of_area import over_area_worst
from briefgen.plan.gates.sky import Layer, clear_ft, is_below, layers_at
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import About, at_least, no_limit, not_checked, words
from briefgen.plan.gates.weather import forecast_at, key_of
from briefgen.plan.heights.altimeter import true_altitude_ft
from briefgen.plan.model import Gate
from briefgen.plan.route.air import STANDARD_QNH_HPA
from briefgen.plan.sortie import Sortie


def area_cloud(s: Sortie) -> Iterator[Gate]:
    """The heights that the training uses (its blocks, else the whole area) stay clear of the clouds in the
    area.

    From a cloud below, the low end counts as high as it really is in cold air. Inside cloud it FAILs against
    the unit's distance, without one it reads CAUTION. A layer without a top reaches from its base up through
    whatever is asked; where its base lies below the heights of the training, it may end below them too, and
    that reads NOT CHECKED.
    """
    training = s.mission.file.training
    if training is None:
        return
    minima = s.mission.file.limits.weather.area if s.mission.file.limits.weather is not None else None
    about = text("area-cloud")
    if not training.blocks:
        about = about.but(remedy="another height in the area, or do not train in this weather")
    bands, layers = _training_heights(s, STANDARD_QNH_HPA), layers_at(s, "AREA", area_point(s))
    if layers is None or any(None in band for band in bands):
        here = forecast_at(s, "AREA")
        if here is None or here.cloud is None:
            yield not_checked(about, "no cloud is forecast for the area", key=key_of("AREA", "cloud"))
        else:
            what = "the cloud" if layers is None else "the training"
            why = f"{what} is given above the ground, and the highest ground of the area isn't given"
            yield not_checked(about, why, key=("training", "area", "highest_ground"))
        return
    if not layers:
        yield words(about, True, "no cloud", "clear of cloud")
        return
    limit = minima.clear_of_cloud if minima is not None else None
    gate = over_area_worst(
        s,
        about,
        lambda hpa: _in_the_area(
            about,
            [
                (layer, band)
                for layer in layers_at(s, "AREA", area_point(s), qnh_hpa=hpa) or ()
                for low_ft, high_ft in _training_heights(s, hpa)
                if low_ft is not None and high_ft is not None
                for band in [(_really_ft(s, low_ft), high_ft)]
            ],
            limit,
        ),
    )
    above = any(is_below(layer, low_ft) for layer in layers for low_ft, _ in bands if low_ft is not None)
    yield if_temperature(s, about, gate) if above else gate


def _training_heights(s: Sortie, qnh_hpa: float) -> list[tuple[float | None, float | None]]:
    training = s.mission.the_training
    bands = [(band.low, band.high) for band in training.blocks.values()] or [
        (training.area.floor, training.area.top)
    ]
    return [tuple(area_feet(s, level, qnh_hpa) for level in band) for band in bands]


def _really_ft(s: Sortie, low_ft: float) -> float:
    """How high the flight really is where its altimeter reads the low end of the training: in the coldest air
    over a corner of the area, nearer to a cloud below than it reads. Above it counts as it is read."""
    return min(true_altitude_ft(column, low_ft) for column in area_columns(s))


def _in_the_area(about: About, pairs: list[tuple[Layer, tuple[float, float]]], limit: float | None) -> Gate:
    """What is certain comes first; a layer that may end below the training only where nothing certain is
    wrong."""
    open_above = [layer for layer, band in pairs if _may_end_below(layer, band)]
    rows = [(clear_ft(layer, *band), layer) for layer, band in pairs if not _may_end_below(layer, band)]
    gate = _clear_of(about, min(rows, key=lambda row: row[0]), limit) if rows else None
    if open_above and (gate is None or gate.verdict in ("PASS", "NOT CHECKED")):
        layer = open_above[0]
        about = about.but(title=f"{about.title}: {layer.words}", cause=layer.cause)
        return not_checked(about, "its base lies below the training, and how high it reaches isn't forecast")
    return gate


def _may_end_below(layer: Layer, band: tuple[float, float]) -> bool:
    return layer.top_ft is None and layer.base_ft < band[0]


def _clear_of(about: About, worst: tuple[float, Layer], limit: float | None) -> Gate:
    value, layer = worst
    about = about.but(title=f"{about.title}: {layer.words}", cause=layer.cause)
    if value < 0:
        kept = "clear of it" if limit is None else f"at least {limit:.0f} ft clear of it"
        return words(
            about.but(unit=""), False, "inside it", kept, worse="CAUTION" if limit is None else "FAIL"
        )
    return (
        no_limit(about, value, key=("limits", "weather", "area", "clear_of_cloud"))
        if limit is None
        else at_least(about, value, limit)
    )
