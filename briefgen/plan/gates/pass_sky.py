"""Clouds over the pass, and over what an abort of it climbs to."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.plan.gates.sky import (
    Layer,
    above_report,
    by_what_is_near,
    clear_ft,
    judged,
    layers_at,
    leg_heights,
    near_leg,
    separation,
    sky_lacks,
    worst,
)
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import About, elevation_of, not_checked, words
from briefgen.plan.gates.weather import at_place, key_of
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.route.air import point_of
from briefgen.plan.sortie import Sortie

Rows = list[tuple[float, Layer]]


def pass_cloud(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The leader over the centre stays below the clouds there by the separation."""
    yield _below_cloud(s, p, text("pass-cloud"), p.run_in.altitude_ft)


def abort_cloud(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """So does the level that an abort climbs to, and wherever on the run-in and the egress that climb may be
    flown it stays clear of the layers forecast near there."""
    written = p.section.written.abort
    if p.abort is None or written is None:
        return  # "abort-briefed" asks for it
    about = text("abort-cloud")
    if p.abort.altitude_ft is not None:
        height = p.abort.altitude_ft
        yield _below_cloud(s, p, about, height, _beside(s, p, height))
    elif written.level is None:
        yield not_checked(about, "the abort's level isn't given")
    else:
        why = "the abort's level is above the ground, whose elevation under the pass isn't given"
        yield not_checked(about, why, key=elevation_of(p.centre.id))


def places_of_abort(s: Sortie, p: EventPlan) -> tuple[str, ...]:
    """The centre, and every other place whose weather counts for the run-in or the egress."""
    legs = [leg for leg in (p.run_in, p.egress) if leg is not None]
    return tuple(dict.fromkeys((p.centre.id, *(place for leg in legs for place in near_leg(s, leg)))))


def _beside(s: Sortie, p: EventPlan, height: float) -> Rows:
    """The layers of those others, against the heights from the run-in's to the abort's."""
    low_ft = min(leg_heights(s, p.run_in)[0], height)
    return [
        (clear_ft(layer, low_ft, height), layer)
        for place in places_of_abort(s, p)[1:]
        for layer in layers_at(s, place, point_of(s.mission, place)) or ()
    ]


def _below_cloud(s: Sortie, p: EventPlan, about: About, height: float, beside: Rows | None = None) -> Gate:
    """A height over the centre against the clouds there, and with them those ``beside`` that are nearer to
    it."""
    about = about.but(cause=at_place(p.centre.id))
    layers, limit = layers_at(s, p.centre.id, p.centre), separation(s)
    if layers is None:
        why, key = sky_lacks(s, p.centre.id)
        return not_checked(about, why, key=key)
    over = [(layer.base_ft - height, layer) for layer in layers]
    rows = [*over, *(beside or ())]
    gate = (
        judged(about, worst(rows, limit), limit) if rows else words(about, True, "no cloud", "clear of cloud")
    )
    if rows and worst(rows, limit) not in over:
        gate = by_what_is_near(gate)
    unseen = above_report(s, p.centre, height + (limit.value if limit is not None else 0.0))
    if unseen is not None and gate.verdict == "PASS":
        gate = not_checked(about, unseen, key=key_of(p.centre.id, "cloud"))
    return gate
