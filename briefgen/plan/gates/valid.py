"""A forecast speaks of its own hours only: what is judged by it at any other instant is not checked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import datetime
from typing import Literal

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.schema.base import RESERVED_ID
from briefgen.plan.fuel.alternate import arrivals
from briefgen.plan.fuel.of_mission import from_base_s
from briefgen.plan.gates.verdicts import NOBODYS, landing_late_s
from briefgen.plan.model import WORST_FIRST, EventPlan, Gate
from briefgen.plan.route.reported import Seen, in_each_state
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later
from briefgen.units.blank import only_keeps_place

VALID: KeyPath = ("weather", "valid")
SOURCE: KeyPath = ("weather", "source")


# the time over which a forecast has to hold
Stretch = tuple[datetime, datetime]
# how a state that is only temporary counts: like what prevails (landing and alternate), or as a caution
Temporary = Literal["prevails", "caution"]
Judge = Callable[[Sortie], Iterable[Gate]]


@record
class Rests:
    """What some gates rest on: the forecast over a stretch of time at some places. None: all of them."""

    used: Stretch | None
    places: tuple[str, ...] | None
    temporary: Temporary = "caution"


def in_every_state(s: Sortie, rests: Rests, judge: Judge) -> Iterator[Gate]:
    """Every gate by the worst state of the forecast that it rests on; NOT CHECKED where what it was judged by
    doesn't count over all of the stretch."""
    worst: dict[str, Gate] = {}
    alone = (Seen(s.mission, "prevailing", ""),)
    for seen in alone if rests.used is None else in_each_state(s.mission, *rests.used):
        view = s if seen.mission is s.mission else replace(s, mission=seen.mission)
        for gate in judge(view):
            found = gate if seen.how == "prevailing" else _temporary(s, gate, seen, rests.temporary)
            if gate.id not in worst or _worse(found, worst[gate.id]):
                worst[gate.id] = found
    yield from (_within_forecast(s, gate, rests) for gate in worst.values())


def _temporary(s: Sortie, gate: Gate, seen: Seen, temporary: Temporary) -> Gate:
    """A gate in a state that is only temporary (TEMPO) or likely (PROB), named by it."""
    minima = s.mission.file.limits.weather
    whole = minima is not None and minima.temporary_counts is True
    counts = whole or (seen.how == "TEMPO" and temporary == "prevails")
    verdict = "CAUTION" if gate.verdict == "FAIL" and not counts else gate.verdict
    return replace(gate, verdict=verdict, title=f"{gate.title} ({seen.words})" if seen.words else gate.title)


def _worse(gate: Gate, than: Gate) -> bool:
    order, other = WORST_FIRST.index(gate.verdict), WORST_FIRST.index(than.verdict)
    if order != other:
        return order < other
    if gate.margin is not None and than.margin is not None:
        return gate.margin < than.margin
    # what is said in words and harms nothing, such as no ceiling, is further from a limit than any figure
    harmless = gate.verdict == "PASS" or gate.lacks == than.lacks == "limit"
    return harmless and isinstance(than.value, str) and not isinstance(gate.value, str)


def _within_forecast(s: Sortie, gate: Gate, rests: Rests) -> Gate:
    """The gate, NOT CHECKED where the forecast that was typed isn't valid over all of the stretch, or nobody
    says whose it is; reports speak for themselves. What FAILs all the same stays so, and what lacks something
    already is asked for that first."""
    if rests.used is None or gate.verdict in ("FAIL", "NOT CHECKED") or not _typed(s, rests.places):
        return gate
    valid, (first, last) = s.mission.times.weather_valid, rests.used
    if valid is None:
        return unknown_by(gate, "the forecast's validity isn't given", VALID)
    if valid.end < last:
        return unknown_by(gate, "the forecast ends before this is flown, slip included", VALID)
    if first < valid.start:
        return unknown_by(gate, "the forecast begins after this is flown", VALID)
    return somebodys(s, gate)


def _typed(s: Sortie, places: tuple[str, ...] | None) -> bool:
    """Whether weather that is typed is known of one of the places, beside their reports."""
    weather, reports = s.mission.file.weather, s.mission.reports
    typed = [
        here
        for id, here in (weather.at if weather is not None else {}).items()
        if (places is None or id in places) and (id not in reports or here.typed)
    ]
    return bool(typed) or not set(places or reports) & set(reports)


def somebodys(s: Sortie, gate: Gate) -> Gate:
    """The gate, NOT CHECKED where it would pass by a forecast whose source only keeps its place."""
    weather = s.mission.file.weather
    if weather is None or gate.verdict in ("FAIL", "NOT CHECKED") or not only_keeps_place(weather.source):
        return gate
    return unknown_by(gate, NOBODYS, SOURCE)


def unknown_by(gate: Gate, why: str, key: KeyPath) -> Gate:
    """A gate that was judged by what can't be relied on: its figure stays, its limit decides nothing."""
    return replace(
        gate,
        verdict="NOT CHECKED",
        limit=None,
        margin=None,
        sense="",
        why=why,
        lacks="data",
        settled_by=key,
        mends=(),
    )


# ---------------------------------------------------------------- when what is judged happens


Places = Callable[[Sortie], tuple[str, ...] | None]


def judged_over(stretch: Callable[[Sortie], Stretch | None], places: Places, judge: Judge) -> Judge:
    """A function whose gates are judged by the forecast for some places over a stretch of the sortie."""
    return lambda s: in_every_state(s, Rests(stretch(s), places(s)), judge)


def at_centre(_: Sortie, p: EventPlan) -> tuple[str, ...]:
    """The spot that is flown over."""
    return (p.centre.id,)


def judged_at_pass(
    judge: Callable[[Sortie, EventPlan], Iterable[Gate]],
    places: Callable[[Sortie, EventPlan], tuple[str, ...]] = at_centre,
) -> Callable[[Sortie, EventPlan], Iterator[Gate]]:
    """The same of a pass at its centre or at more ``places``, from the earliest to the latest T that is
    accepted."""
    return lambda s, p: in_every_state(s, Rests(overhead(p), places(s, p)), lambda seen: judge(seen, p))


def base(s: Sortie) -> tuple[str, ...]:
    """The base alone."""
    return (s.mission.base.id,)


def area(s: Sortie) -> tuple[str, ...]:
    """The training area alone."""
    return (RESERVED_ID,)


def everywhere(s: Sortie) -> None:
    """Every place with weather."""


def overhead(p: EventPlan) -> Stretch:
    """From the earliest to the latest T that is accepted."""
    event = p.section.event
    return later(p.true_time, -event.early_s), later(p.true_time, event.late_s)


def takeoff(s: Sortie) -> Stretch:
    """From the first take-off to the last."""
    return s.clock.takeoff, s.clock.last_takeoff


def at_base(s: Sortie) -> Stretch:
    """From the first take-off to the last landing, slip included."""
    return s.clock.takeoff, landing(s)[1]


def landing(s: Sortie) -> Stretch:
    """From the earliest landing to the latest, slips included."""
    return arrivals(s.mission, s.clock)


def arriving(s: Sortie, place: str) -> Stretch:
    """From the earliest to the latest arrival at an airfield beside the base, slips included; where nobody
    knows how long the way there takes, at the base."""
    return arrivals(s.mission, s.clock, from_base_s(s.mission, s.clock, place) or 0.0)


def training(s: Sortie) -> Stretch | None:
    """From entering the area until it is left; None where no training is flown."""
    own = [p for p in s.clock.phases if s.trainings and p.piece == s.the_block.id]
    if s.clock.area_entry is None or not own:
        return None
    last = next((p.end for p in own if p.kind == "leave"), own[-1].end)
    return s.clock.area_entry, last


def legs(s: Sortie, kinds: tuple[str, ...]) -> Stretch | None:
    """From the first to the last leg of these kinds, slip included; None where none is flown."""
    flown = [p for p in s.clock.phases if p.leg is not None and p.leg.kind in kinds]
    if not flown:
        return None
    return flown[0].start, later(flown[-1].end, landing_late_s(s))


def at_airfield(s: Sortie, place: str, judge: Judge, *, temporary: Temporary = "prevails") -> Iterator[Gate]:
    """The gates of an airfield beside the base, over the arrivals there: from the base, slips included."""
    rests = Rests(arriving(s, place), (place,), temporary)
    if from_base_s(s.mission, s.clock, place) is not None:
        yield from in_every_state(s, rests, judge)
        return
    for gate in in_every_state(s, rests, judge):
        known = gate.verdict in ("FAIL", "NOT CHECKED")
        why = "how long the way there takes can't be worked out"
        yield gate if known else unknown_by(gate, why, way_key(s))


def way_key(s: Sortie) -> KeyPath:
    """What the way to a divert lacks."""
    recovery = s.mission.file.recovery
    return ("recovery", "approach") if recovery is None or recovery.approach is None else ("recovery", "legs")
