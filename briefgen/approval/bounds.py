"""What an approval allows to change: the bounds that are approved with a plan, and whether a later plan keeps
them.

Four things may move after an approval. The true time of each pass, inside the slip that was accepted. The
forecast, as long as every gate that it feeds reads as it did or better, against the same minima, and what is
measured keeps the bounds of ``forecast.py``. The fuel, as
long as nobody is predicted to land with less than was approved. How people are reached, and what the sortie
is for, as no verdict and no bound hangs on it. Whatever else is typed differently (crew, route, heights,
limits, waivers, words to say) is another plan and needs another decision. So does a figure that was accepted
although it reads CAUTION or WAIVED, once it is worse; a time moved inside the accepted slip was accepted with
what it does to them. What the check of the file doubts is accepted with it; a doubt that was not there then
needs another decision.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Any, Literal

from briefgen.airmath.times import TimeSpan
from briefgen.approval.forecast import moved_too_far
from briefgen.brief.wording.doubts import DOUBTS, doubt_words
from briefgen.brief.wording.format import clock_z, fuel_figure, time_limit
from briefgen.brief.wording.gates import limit_words, value_words
from briefgen.brief.wording.passes import of_pass
from briefgen.compare.figures import Difference, gates_of
from briefgen.compare.tree import Typed
from briefgen.core.diagnostics import KeyPath
from briefgen.core.plain import to_plain
from briefgen.core.records import record
from briefgen.mission.read.flow import FLOW
from briefgen.mission.resolve.sections import long_id
from briefgen.plan.event.waits import latest_t
from briefgen.plan.fuel.flight import landing_floor
from briefgen.plan.gates.verdicts import landing_late_s
from briefgen.plan.model import EventPlan, FuelPlan, Gate
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import later
from briefgen.units.values import FuelUnit

LAPSES_AFTER = timedelta(hours=24)  # after take-off
ANY = "*"
SLIP: KeyPath = ("event", "accept_slip")
# what may be typed differently, because a bound judges it; an entry of the flow is looked at by itself
TIME_KEYS: tuple[KeyPath, ...] = (
    ("event", "pass", "time"),
    ("again", ANY, "time"),
    ("again", ANY, "after"),
    ("event", "script", ANY, "time"),
    ("event", "parties", ANY, "acknowledged"),
    SLIP,
)
OTHER_KEYS: tuple[KeyPath, ...] = (
    ("weather",),
    ("flight", ANY, "tail"),
    ("flight", ANY, "start_fuel"),
    ("flight", ANY, "burn_factor"),
)
# what may be typed differently, because no verdict and no bound hangs on it
FREE_KEYS: tuple[KeyPath, ...] = (
    ("unit",),
    ("sortie", "supervisor", "phone"),
    ("sortie", "supervisor", "frequency"),
    ("sortie", "objectives"),
    ("sortie", "success"),
    ("radio", ANY, "frequency"),
    ("event", "ground_contact", "phone"),
    ("event", "ground_contact", "primary"),
    ("event", "ground_contact", "backup"),
    ("event", "parties", ANY, "contact"),
)


@record
class Change:
    """A sentence on what is not as it was approved. ``typed``: the key of the file that was typed
    differently; None for what was computed."""

    words: str
    typed: Typed | None = None


@record
class PassBounds:
    """``earliest`` to ``latest`` true time of a pass (``piece``), with the slip that is accepted. What was
    approved with it, None where a record of before or the plan does not know it: its ``true_time``, the
    latest that can be flown, what the lowest ship's altimeter reads in it, and its bingo."""

    piece: str
    earliest: datetime
    latest: datetime
    true_time: datetime | None = None
    latest_flown: datetime | None = None
    lowest_altitude_ft: float | None = None
    bingo: float | None = None


@record
class Doubt:
    """What the check doubted of a plan when it was approved: code, key path and message of the caution."""

    code: str
    cause: KeyPath
    message: str


@record
class Bounds:
    """Those of each pass in flying order; the least predicted landing fuel of any ship, in ``fuel_unit``
    (None where the fuel can't be worked out); ``lapses``: when the approval ends by itself, and why;
    ``doubts``: what the check doubted, none in a record from before they were written down."""

    passes: tuple[PassBounds, ...]
    landing_fuel: float | None
    fuel_unit: FuelUnit | Literal[""]
    weather_minima: tuple[tuple[str, str], ...]
    lapses: datetime
    lapses_because: str
    doubts: tuple[Doubt, ...] = ()


def bounds_of(plan: Plan, *, landing_fuel: float | None = None) -> Bounds:
    """The bounds that come with a plan. ``landing_fuel``: what the approver allows instead of the plan's own
    required landing fuel."""
    fuel = plan.fuel
    least = None if fuel is None else least_landing(fuel) if landing_fuel is None else landing_fuel
    minima = tuple(
        (gate.id, limit_words(gate)) for gate in plan.gates if gate.forecast and gate.limit is not None
    )
    return Bounds(
        _passes(plan),
        least,
        fuel.unit if fuel is not None else "",
        minima,
        *lapse_of(plan),
        tuple(Doubt(doubt.code, doubt.cause, doubt.message) for doubt in plan.doubts),
    )


def plain_bounds(bounds: Bounds) -> dict[str, Any]:
    """Bounds as data: ``passes``, and of a single one its ``earliest`` and ``latest`` as before there could
    be several, which are null otherwise."""
    only = bounds.passes[0] if len(bounds.passes) == 1 else None
    alone = {"earliest": only and only.earliest, "latest": only and only.latest}
    return {**to_plain(alone), **to_plain(bounds)}


def _passes(plan: Plan) -> tuple[PassBounds, ...]:
    """By the slip alone: what an earlier approval allowed is no bound of this one."""
    return tuple(_of_pass(each, each.passes[0]) for each in each_pass(replace(plan, approved=())))


def _of_pass(plan: Plan, pass_: EventPlan) -> PassBounds:
    last = latest_t(plan)
    return PassBounds(
        pass_.section.id,
        *_accepted(pass_),
        pass_.true_time,
        None if last is None else last.latest_t,
        pass_.lowest_altitude_ft,
        None if plan.fuel is None else plan.fuel.bingo_event,
    )


def _accepted(pass_: EventPlan) -> tuple[datetime, datetime]:
    event = pass_.section.event
    return later(pass_.true_time, -event.early_s), later(pass_.true_time, event.late_s)


def least_landing(fuel: FuelPlan) -> float:
    """What every ship lands with at the least: its reserve and normal landing, and the way to the alternate
    where that is required and the plan carries it."""
    floor = max(landing_floor(ship) for ship in fuel.ships)
    with_alternate = max(ship.base_required for ship in fuel.ships)
    carried = fuel.alternate_required and with_alternate <= fuel.lowest_landing
    return max(floor, with_alternate) if carried else floor


def lapse_of(plan: Plan) -> tuple[datetime, str]:
    """When an approval of this plan ends by itself, and why. The latest landing is the last ship's, with the
    accepted slip."""
    landing = plan.clock.last_landing + timedelta(seconds=landing_late_s(plan))
    return lapse(plan.mission.times.weather_valid, plan.clock.takeoff, landing)


def lapse(forecast: TimeSpan | None, takeoff: datetime, landing: datetime) -> tuple[datetime, str]:
    """The earliest of the end of the forecast, 24 h after take-off and the latest landing, as the whole
    minute that every page prints: down, but the landing up, since a landing that was approved is made on an
    approval that stands. ``forecast``: its span, or None."""
    up = time_limit(landing, "earliest", seconds=False)
    whose = (
        "the latest landing" if up == landing else f"the minute after the latest landing, {clock_z(landing)}"
    )
    ends = [
        (time_limit(takeoff + LAPSES_AFTER, "latest", seconds=False), "24 h after take-off"),
        (up, whose),
    ]
    if forecast is not None:
        ends.append((time_limit(forecast.end, "latest", seconds=False), "end of the forecast"))
    return min(ends)


def fits(path: KeyPath, patterns: tuple[KeyPath, ...]) -> bool:
    """A path at or below one of the patterns, in the section or in an entry of the flow."""
    path = path[2:] if path[:1] == (FLOW,) else path
    return any(
        len(path) >= len(p) and all(want in (ANY, step) for want, step in zip(p, path, strict=False))
        for p in patterns
    )


def only_time(typed: list[Typed]) -> bool:
    """Something was typed differently, and all of it is the time over target and what others were told of
    it."""
    return bool(typed) and all(fits(change.path, TIME_KEYS) for change in typed)


def outside(plan: Plan, approved: Mapping[str, Any], bounds: Bounds, typed: list[Typed]) -> list[Change]:
    """Why the plan is outside the bounds, one sentence each; empty when it keeps them. ``approved``: the
    ``plan`` of the recorded document."""
    computed = [
        *_time(plan, bounds, typed),
        *_fuel(plan, bounds),
        *_gates(plan, approved, retimed=only_time(typed)),
    ]
    doubted = _doubted(plan, bounds, retimed=only_time(typed))
    return [*_typed(typed), *(Change(words) for words in (*doubted, *computed))]


def _doubted(plan: Plan, bounds: Bounds, *, retimed: bool) -> Iterator[str]:
    """What was not doubted when approved. Of a time moved alone the doubts about what was typed: what it does
    to the rest was accepted with the slip."""
    accepted = {(doubt.code, doubt.cause) for doubt in bounds.doubts}
    for doubt in plan.doubts:
        if (doubt.code, doubt.cause) not in accepted and not (retimed and not fits(doubt.cause, TIME_KEYS)):
            yield f"{DOUBTS} {doubt_words(doubt)}; it did not when this was approved"


def _typed(typed: list[Typed]) -> Iterator[Change]:
    for change, why in moved_too_far(typed):
        yield Change(f"{change.told()}: {why}", change)
    for change in typed:
        if not fits(change.path, (*TIME_KEYS, *OTHER_KEYS, *FREE_KEYS)):
            yield Change(f"{change.told()}: no bound was approved for this", change)


def _time(plan: Plan, bounds: Bounds, typed: list[Typed]) -> Iterator[str]:
    approved = {each.piece: each for each in bounds.passes}
    for pass_ in plan.passes:
        of = of_pass(pass_.section)
        if pass_.section.id in approved:
            yield from _time_of_pass(pass_, approved[pass_.section.id], typed, of)
        else:
            yield f"True time over target{of} {clock_z(pass_.true_time)}: none was approved for this pass"


def _time_of_pass(pass_: EventPlan, approved: PassBounds, typed: list[Typed], of: str) -> Iterator[str]:
    day = pass_.true_time.date()  # another day's times carry their dates
    allowed = window(approved.earliest, approved.latest, day)
    if not approved.earliest <= pass_.true_time <= approved.latest:
        yield f"True time over target{of} {clock_z(pass_.true_time)}: approved was {allowed}"
    slip = pass_.section.event.key("accept_slip")
    if all(change.path[: len(slip)] != slip for change in typed):
        return
    earliest, latest = _accepted(pass_)
    if earliest < approved.earliest or latest > approved.latest:
        reaches = window(earliest, latest, day)
        yield f"The accepted slip{of} reaches from {reaches}: approved was {allowed}"


def window(earliest: datetime, latest: datetime, day: date) -> str:
    """``18:17:15 Z to 18:26:15 Z``: each end as a limit is printed, dated where it is not of the day."""
    return (
        f"{clock_z(time_limit(earliest, 'earliest'), day=day)} to"
        f" {clock_z(time_limit(latest, 'latest'), day=day)}"
    )


def _fuel(plan: Plan, bounds: Bounds) -> Iterator[str]:
    if bounds.landing_fuel is None:
        return
    if plan.fuel is None:
        yield "The fuel can't be worked out any more"
        return
    least = plan.fuel.lowest_landing
    if plan.fuel.unit != bounds.fuel_unit:
        yield f"The fuel is told in {plan.fuel.unit}, approved in {bounds.fuel_unit}"
    elif least < bounds.landing_fuel:
        approved = fuel_figure(bounds.landing_fuel, bounds.fuel_unit)
        yield (
            f"Lowest landing fuel {fuel_figure(least, plan.fuel.unit)}, ship {plan.fuel.lowest_landing_ship}:"
            f" approved down to {approved}"
        )


def _gates(plan: Plan, approved: Mapping[str, Any], *, retimed: bool) -> Iterator[str]:
    before = gates_of(approved)
    for gate in plan.gates:
        old = before.get(gate.id)
        if gate.verdict != "PASS" and (old is None or old.verdict != gate.verdict):
            yield (
                f"{gate.title}: {gate.verdict}, was {old.verdict if old is not None else 'not asked'} when"
                " approved"
            )
        elif gate.verdict == "FAIL":
            yield f"{gate.title}: FAIL"
        elif gate.verdict in ("CAUTION", "WAIVED") and not retimed and (old is None or worse(gate, old)):
            yield (
                f"{gate.title}: the figure behind this {gate.verdict} is worse than the one that was accepted"
            )
        elif (
            gate.forecast
            and old is not None
            and old.limit is not None
            and limit_words(gate) != limit_words(old)
        ):
            yield f"{gate.title}: the limit is {limit_words(gate)}, approved was {limit_words(old)}"


def worse(now: Gate, then: Gate) -> bool:
    """A gate's figure is worse than it was, as far as it is printed; where no margin says so, any other
    figure counts as worse. So does, of several that are judged together, another that misses the limit, or
    one that misses it by more."""
    accepted = {each.name: each.margin for each in then.margins}
    if accepted and any(
        each.name not in accepted or round(each.margin) < round(accepted[each.name]) for each in now.margins
    ):
        return True
    if (value_words(now), limit_words(now)) == (value_words(then), limit_words(then)):
        return False
    return now.margin is None or then.margin is None or now.margin < then.margin


def changed(plan: Plan, typed: list[Typed], found: list[Difference]) -> tuple[Change, ...]:
    """What changed: each T and what is dialled first, then times, fuel, gates (PASS as before left out),
    then the keys of the file."""
    figures = [difference for difference in found if not difference.passes]
    every: list[Typed | Difference] = [*figures, *typed]
    times = [long_id(each.section.id, "true-time") for each in plan.passes]
    order = sorted(every, key=lambda one: not _first_told(one, times))
    return tuple(
        Change(f"in {one.place}: {one.words()}", one) if isinstance(one, Typed) else Change(one.words())
        for one in order
    )


def _first_told(one: Typed | Difference, times: list[str]) -> bool:
    """What a reader has to change at once on what he holds; ``times``: the ids of each T."""
    if isinstance(one, Difference):
        return one.id in times
    return fits(one.path, (("radio",), ("event", "ground_contact")))
