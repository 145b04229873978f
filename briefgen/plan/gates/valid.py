"""A forecast speaks of its own hours only: what is judged by it at any other instant is not checked."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from datetime import datetime

from briefgen.core.diagnostics import KeyPath
from briefgen.plan.fuel.alternate import arrivals
from briefgen.plan.fuel.of_mission import from_base_s
from briefgen.plan.gates.verdicts import NOBODYS, landing_late_s
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later
from briefgen.units.blank import only_keeps_place

VALID: KeyPath = ("weather", "valid")
SOURCE: KeyPath = ("weather", "source")


# the time over which a forecast has to hold
Stretch = tuple[datetime, datetime]


def within_forecast(s: Sortie, gate: Gate, used: Stretch | None) -> Gate:
    """The gate, NOT CHECKED where the forecast that it was judged by isn't valid over all of a stretch, or
    nobody says whose it is. What FAILs all the same stays so, and what lacks something already is asked for
    that first."""
    if used is None or gate.verdict in ("FAIL", "NOT CHECKED"):
        return gate
    valid, (first, last) = s.mission.times.weather_valid, used
    if valid is None:
        return _unknown(gate, "the forecast's validity isn't given", VALID)
    if valid.end < last:
        return _unknown(gate, "the forecast ends before this is flown, slip included", VALID)
    if first < valid.start:
        return _unknown(gate, "the forecast begins after this is flown", VALID)
    return somebodys(s, gate)


def somebodys(s: Sortie, gate: Gate) -> Gate:
    """The gate, NOT CHECKED where it would pass by a forecast whose source only keeps its place."""
    weather = s.mission.file.weather
    if weather is None or gate.verdict in ("FAIL", "NOT CHECKED") or not only_keeps_place(weather.source):
        return gate
    return _unknown(gate, NOBODYS, SOURCE)


def _unknown(gate: Gate, why: str, key: KeyPath) -> Gate:
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


def judged_over(
    stretch: Callable[[Sortie], Stretch | None], judge: Callable[[Sortie], Iterable[Gate]]
) -> Callable[[Sortie], Iterator[Gate]]:
    """A function whose gates are judged by the forecast over a stretch of the sortie."""
    return lambda s: (within_forecast(s, gate, stretch(s)) for gate in judge(s))


def judged_at_pass(
    judge: Callable[[Sortie, EventPlan], Iterable[Gate]],
) -> Callable[[Sortie, EventPlan], Iterator[Gate]]:
    """The same of a pass, from the earliest to the latest T that is accepted."""
    return lambda s, p: (within_forecast(s, gate, _pass(p)) for gate in judge(s, p))


def _pass(p: EventPlan) -> Stretch:
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


def training(s: Sortie) -> Stretch | None:
    """From entering the area until it is left; None where no training is flown."""
    own = [p for p in s.clock.phases if s.training is not None and p.piece == s.training.id]
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


def at_airfield(s: Sortie, place: str, gate: Gate) -> Gate:
    """The gate of an airfield beside the base, over the arrivals there: from the base, slips included."""
    more_s = from_base_s(s.mission, s.clock, place)
    if more_s is not None:
        return within_forecast(s, gate, arrivals(s.mission, s.clock, more_s))
    if gate.verdict in ("FAIL", "NOT CHECKED"):
        return gate
    return _unknown(gate, "how long the way there takes can't be worked out", way_key(s))


def way_key(s: Sortie) -> KeyPath:
    """What the way to a divert lacks."""
    recovery = s.mission.file.recovery
    return ("recovery", "approach") if recovery is None or recovery.approach is None else ("recovery", "legs")
