"""Fuel along the clock for every ship, with joker, bingo and the tiers of landing fuel as lines."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

from briefgen.brief.content.blocks import Axis, Chart, Reference, Series
from briefgen.brief.figures.chart_scene import chart_scene
from briefgen.brief.wording import format as words
from briefgen.draw.scene.model import FigureMaker
from briefgen.draw.scene.ticks import nice_step, nice_time_step_s
from briefgen.plan.fuel.flight import fuel_of_block
from briefgen.plan.fuel.rows import printed_before
from briefgen.plan.model import FuelPlan, ShipFuel
from briefgen.plan.sortie import Plan

_DAY_S = 86400.0
_MOST_SHIPS = 8  # of ship styles in the palette, beside the strong one
_LEAST = "ship_least"
_TIER_WORDS = {"normal_landing": "Landing", "minimum": "Minimum", "emergency": "Emergency"}


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None where the fuel isn't known."""
    chart = fuel_chart(plan)
    return None if chart is None else lambda canvas: chart_scene(chart, canvas)


def fuel_chart(plan: Plan) -> Chart | None:
    """Fuel remaining in display units against Zulu time (in days, as spreadsheets count); None where the fuel
    isn't known."""
    fuel = plan.fuel
    if fuel is None or not any(ship.rows for ship in fuel.ships):
        return None
    # a spreadsheet's clock can't be negative, so no later day will do
    first = min(ship.rows[0].start for ship in fuel.ships if ship.rows)
    origin = first.astimezone(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    series = tuple(
        _series(ship, origin, least=ship.ship == fuel.lowest_landing_ship) for ship in fuel.ships if ship.rows
    )
    return Chart(
        "fuel_clock",
        _time_axis(series, origin),
        _fuel_axis(fuel, series),
        series,
        _alt(plan),
        _references(plan, origin, series),
    )


def _days(at: datetime, origin: datetime) -> float:
    return (at - origin).total_seconds() / _DAY_S


def _series(ship: ShipFuel, origin: datetime, *, least: bool) -> Series:
    """Its line, strong for the ship that lands with least."""
    points = tuple((_days(at, origin), left) for at, left in fuel_line(ship))
    if least:
        return Series(f"Ship {ship.ship}: lands with least", points, _LEAST)
    return Series(f"Ship {ship.ship}", points, f"ship_{(ship.ship - 1) % _MOST_SHIPS + 1}")


def fuel_line(ship: ShipFuel) -> list[tuple[datetime, float]]:
    """What its column shows, from where the first row begins to the end of the last."""
    first = ship.rows[0]
    ends = [(row.end, float(row.remaining_printed)) for row in ship.rows]
    return [(first.start, float(printed_before(first))), *ends]


def _time_axis(series: tuple[Series, ...], origin: datetime) -> Axis:
    """Its title has the dates when the sortie crosses midnight."""
    low = min(s.points[0][0] for s in series) * _DAY_S
    high = max(s.points[-1][0] for s in series) * _DAY_S
    step = nice_time_step_s(high - low, 8)
    last = origin + timedelta(seconds=high)
    title = (
        "Zulu"
        if last.date() == origin.date()
        else f"Zulu, from {words.day(origin.date())} into {words.day(last.date())}"
    )
    return Axis(title, low // step * step / _DAY_S, -(-high // step) * step / _DAY_S, step / _DAY_S, "hh:mm")


def _fuel_axis(fuel: FuelPlan, series: tuple[Series, ...]) -> Axis:
    most = max(value for s in series for _, value in s.points)
    step = nice_step(most, 6)
    return Axis(f"Fuel, {fuel.unit}", 0.0, -(-most // step) * step, step)


def _references(plan: Plan, origin: datetime, series: tuple[Series, ...]) -> tuple[Reference, ...]:
    fuel, named, several = plan.fuel, {}, len(plan.passes) > 1
    limits = _jokers_and_bingos(plan)
    if fuel.bingo_training == _bingo_event(plan) and len(plan.trainings) < 2:
        limits = [("Joker", fuel.joker), ("Bingo", fuel.bingo_training)]
    for label, value in (*limits, *_tiers(fuel)):
        if value is not None:
            named.setdefault(value, []).append(label)
    # of several blocks each joker counts in its own alone
    joker = _crossing(series, fuel.joker) if len(plan.trainings) < 2 else None
    lines = [
        Reference(
            f"{words.listed(labels)} {words.fuel_figure(value, fuel.unit)}",
            float(value),
            style="fuel_limit",
            crossed=joker if value == fuel.joker else None,
        )
        for value, labels in named.items()
    ]
    times = (
        Reference(f"T{n if several else ''}", _days(each.true_time, origin), "x", "target")
        for n, each in enumerate(plan.passes, 1)
    )
    return (*lines, *times)


def _bingo_event(plan: Plan) -> float | None:
    """None where there are several passes: each has its own, and its own drawing."""
    return plan.fuel.bingo_event if plan.fuel is not None and len(plan.passes) == 1 else None


def _jokers_and_bingos(plan: Plan) -> list[tuple[str, float | None]]:
    """Those of the training, by the ids of its blocks where there are several, and of the event."""
    fuel, event = plan.fuel, ("Bingo event", _bingo_event(plan))
    if len(plan.trainings) > 1:
        own = [(block.id, fuel_of_block(fuel, block.id)) for block in plan.trainings]
        jokers = [(f"Joker {id}", of_block.joker) for id, of_block in own]
        return [*jokers, *((f"Bingo {id}", of_block.bingo_training) for id, of_block in own), event]
    return [("Joker", fuel.joker), ("Bingo training", fuel.bingo_training), event]


def _crossing(series: tuple[Series, ...], joker: float | None) -> tuple[float, str] | None:
    """Where the ship that lands with least comes down to joker on its drawn line; None when it lands with
    more or starts with less."""
    for points in (s.points for s in series if s.style == _LEAST and joker is not None):
        for (x1, above), (x2, below) in pairwise(points):
            if above > joker >= below:
                return x1 + (x2 - x1) * (above - joker) / (above - below), "Joker"
    return None


def _tiers(fuel: FuelPlan) -> list[tuple[str, float | None]]:
    """The highest of each tier in the flight: mixed types have several."""
    found: dict[str, float] = {}
    for tier in (t for ship in fuel.ships for t in ship.tiers):
        if tier.printed is not None:
            found[tier.id] = max(found.get(tier.id, 0), tier.printed)
    return [(_TIER_WORDS[name], found.get(name)) for name in ("normal_landing", "minimum", "emergency")]


def _alt(plan: Plan) -> str:
    fuel = plan.fuel
    said = [
        f"{label[0].lower()}{label[1:]} {words.fuel_figure(value, fuel.unit)}"
        for label, value in _jokers_and_bingos(plan)
        if value is not None
    ]
    lowest = (
        f"lowest landing fuel {words.fuel_figure(fuel.lowest_landing, fuel.unit)}, ship"
        f" {fuel.lowest_landing_ship}"
    )
    return (
        f"Fuel along the clock for {words.counted(len(fuel.ships), 'ship')}. {words.listed([*said, lowest])}."
    )
