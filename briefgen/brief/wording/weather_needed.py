"""The weather where and when it is needed: each place at the instant at which it counts, what it is
besides over the stretch that is judged, and how it is judged."""

from __future__ import annotations

from datetime import datetime

from briefgen.brief.wording import format as words
from briefgen.core.records import kept, record
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.mission.schema.limits import TakeoffMinima, WeatherMinima
from briefgen.plan.gates.valid import Stretch, arriving, landing, overhead, takeoff
from briefgen.plan.gates.weather import above_ground_ft, elsewhere
from briefgen.plan.model import Gate, Point
from briefgen.plan.route.air import point_of
from briefgen.plan.route.reported import Spell, prevailing, spells
from briefgen.plan.sortie import Plan
from briefgen.units.values import Level


@record
class Place:
    """The place, what it is needed for and when, its weather then, and how it is judged. Over the stretch
    that is judged, each with its name: ``changing``, a change under way (``BECMG``), or one that comes or has
    come (``from 03:55``, ``until 03:45``); ``passing``, what is temporary (``TEMPO``), only likely
    (``PROB``) or was observed (``METAR``)."""

    point: Point
    what: str
    at: datetime
    weather: WeatherAt | None
    changing: tuple[tuple[str, WeatherAt], ...]
    passing: tuple[tuple[str, WeatherAt], ...]
    least_ft: float | None
    ceiling: Gate | None
    sight: Gate | None


@kept
def places_of(plan: Plan) -> tuple[Place, ...]:
    """Take-off, each spot flown over, landing, alternate and diverts, each when it is needed."""
    base = point_of(plan.mission, plan.mission.file.ground_ops.base)
    down, limits = plan.clock.last_landing, plan.mission.file.limits
    least = limits.weather or WeatherMinima()

    def place(
        point: Point, what: str, at: datetime, rule: str, *, used: Stretch, own: Level | None, number: int = 0
    ) -> Place:
        ceiling, sight = (_gate(plan, f"{rule}-{figure}", number) for figure in ("ceiling", "visibility"))
        least_ft = None if own is None else above_ground_ft(plan, point, own)
        then = prevailing(plan.mission, point.id, at)
        over = spells(plan.mission, point.id, min(at, used[0]), used[1])
        found = [each for each in over if each.weather != then and each.end > used[0]]
        changing = tuple((_when(each, at), each.weather) for each in found if _changes(each))
        passing = tuple((_name(each), each.weather) for each in found if not _changes(each))
        return Place(point, what, at, then, changing, passing, least_ft, ceiling, sight)

    up = plan.clock.takeoff
    found = [place(base, "take-off", up, "takeoff", used=takeoff(plan), own=_ceiling(least.takeoff))]
    lowest = limits.event_ceiling_minimum
    found += [
        place(each.centre, "T", each.true_time, "event", used=overhead(each), own=lowest, number=number)
        for number, each in enumerate(plan.passes)
        if each.centre not in [earlier.centre for earlier in plan.passes[:number]]
    ]
    found.append(place(base, "landing", down, "landing", used=landing(plan), own=_ceiling(least.landing)))
    for airfield in elsewhere(plan):
        what = "alternate" if airfield.n is None else "divert"
        rule = what if airfield.n is None else f"divert-{airfield.n}"
        own = _ceiling(least.alternate if airfield.n is None else least.landing)
        there, used = point_of(plan.mission, airfield.place), arriving(plan, airfield.place)
        found.append(place(there, what, down, rule, used=used, own=own))
    return tuple(found)


def _changes(each: Spell) -> bool:
    return each.how == "prevailing" and not each.observed


def _name(each: Spell) -> str:
    return "METAR" if each.how == "prevailing" else each.how


def _when(each: Spell, at: datetime) -> str:
    """What to call a state that doesn't prevail at ``at``, or does so beside another."""
    if each.start > at:
        return f"from {words.clock_bare(each.start, seconds=False)}"
    return "BECMG" if each.end > at else f"until {words.clock_bare(each.end, seconds=False)}"


def _ceiling(minima: TakeoffMinima | None) -> Level | None:
    return None if minima is None else minima.ceiling


def _gate(plan: Plan, rule: str, number: int) -> Gate | None:
    """The gate of a rule, of several passes that of the one with this number."""
    found = [gate for gate in plan.gates if gate.rule == rule]
    return found[number] if number < len(found) else None
