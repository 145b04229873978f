"""How the fuel of each type of aircraft is printed: its gauge's step, and what joker and bingo are rounded up
to."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.fuel.rounding import (
    FINEST,
    STEPS,
    common_step,
    default_step,
    is_multiple,
    next_multiple,
    tidy,
    unit_lb,
)
from briefgen.plan.model import Scale
from briefgen.units.rounding import typed
from briefgen.units.values import VOLUMES, Fuel

ROUND_UP_TO: KeyPath = ("fuel", "round_up_to")


def scales_of(mission: Mission) -> dict[str, Scale]:
    """The scale of each type that flies, by its key in the file. Without ``round_up_to`` joker and bingo go
    up to the least that every gauge shows.

    Only for a mission without ``scale_errors``.
    """
    rules, steps = mission.file.fuel, _steps(mission)
    to = tidy(rules.round_up_to.value) if rules.round_up_to is not None else _common(mission)
    return {
        key: Scale(rules.display, unit_lb(rules.display, mission.file.aircraft[key].fuel_density), *step, to)
        for key, step in steps.items()
    }


def scale_errors(mission: Mission) -> list[Diagnostic]:
    """Steps that aren't in the displayed unit, are zero or finer than a hundredth, and a ``round_up_to``
    that is no whole multiple of every step."""
    file = mission.file
    given = {("aircraft", key, "fuel_step"): file.aircraft[key].fuel_step for key in _flown(mission)} | {
        ROUND_UP_TO: file.fuel.round_up_to
    }
    found = [
        problem for path, fuel in given.items() if fuel is not None for problem in _form(mission, path, fuel)
    ]
    return found or list(_multiple(mission))


def _form(mission: Mission, path: KeyPath, fuel: Fuel) -> Iterator[Diagnostic]:
    unit, key = mission.file.fuel.display, path[-1]
    remedy = f"write {key}: {typed(_instead(mission, path))} {unit}, or leave it out"
    if fuel.unit != unit:
        yield _error(
            path,
            f"{key} is in {fuel.unit}, but fuel is shown in {unit}",
            "it is a step of the figures as they are shown",
            remedy,
        )
    elif fuel.value == 0 or not is_multiple(fuel.value, FINEST):
        yield _error(
            path,
            f"{key}: {fuel.value:g} {unit} is no step",
            "figures are shown to a hundredth at the finest",
            remedy,
        )


def _instead(mission: Mission, path: KeyPath) -> float:
    """A step that the next run takes: at or above what was typed in another unit, the least multiple of every
    gauge's step, for a gauge the least that gauges have; what is no step at all gives the default."""
    if path != ROUND_UP_TO:
        return _gauge(mission, str(path[1]))
    common = common_step(_gauge(mission, key) for key in _flown(mission))
    meant = _shown(mission, mission.file.fuel.round_up_to, _flown(mission)[0])
    return common if meant is None else next_multiple(meant, common)


def _gauge(mission: Mission, key: str) -> float:
    """The step of a type's gauge, mended where it doesn't fit."""
    typed_step = mission.file.aircraft[key].fuel_step
    if typed_step is None or not (typed_step.value and is_multiple(typed_step.value, FINEST)):
        return _default(mission, key)
    if typed_step.unit == mission.file.fuel.display:
        return tidy(typed_step.value)
    meant = _shown(mission, typed_step, key)
    at_or_above = [step for step in STEPS if meant is not None and step >= meant]
    return at_or_above[-1] if at_or_above else _default(mission, key)


def _shown(mission: Mission, fuel: Fuel, key: str) -> float | None:
    """An amount in the displayed unit; None for a volume that has no density."""
    aircraft = mission.file.aircraft[key]
    if fuel.unit in VOLUMES and aircraft.fuel_density is None:
        return None
    return tidy(fuel.lb(aircraft.fuel_density) / unit_lb(mission.file.fuel.display, aircraft.fuel_density))


def _flown(mission: Mission) -> list[str]:
    """The types that fly, the leader's first."""
    return list(dict.fromkeys(ship.aircraft for ship in mission.file.flight))


def _multiple(mission: Mission) -> Iterator[Diagnostic]:
    to, common, unit = mission.file.fuel.round_up_to, _common(mission), mission.file.fuel.display
    if to is None or is_multiple(to.value, common):
        return
    steps = " and ".join(
        f"{typed(step)} {unit} ({key}{'' if given else ', a default by its tanks'})"
        for key, (step, given) in _steps(mission).items()
    )
    message = f"{typed(to.value)} {unit} is no whole multiple of what the gauges show: {steps}"
    help = (
        f"write round_up_to: {typed(next_multiple(to.value, common))} {unit}, or give the aircraft the"
        " fuel_step of its gauge"
    )
    yield _error(ROUND_UP_TO, message, "joker and bingo would be figures that a gauge can't show", help)


def _error(path: KeyPath, message: str, why: str, help: str) -> Diagnostic:
    return Diagnostic("fuel-step", "error", message, why=why, help=help, cause=path)


def _common(mission: Mission) -> float:
    return common_step(step for step, _ in _steps(mission).values())


def _steps(mission: Mission) -> dict[str, tuple[float, bool]]:
    """The step of each type that flies, in the displayed unit, and whether the file gives it."""
    return {key: _step(mission, key) for key in _flown(mission)}


def _step(mission: Mission, key: str) -> tuple[float, bool]:
    given = mission.file.aircraft[key].fuel_step
    return (_default(mission, key), False) if given is None else (tidy(given.value), True)


def _default(mission: Mission, key: str) -> float:
    """By the size of the tanks. Without the capacity, what a ship of the type carries stands for it."""
    aircraft, display = mission.file.aircraft[key], mission.file.fuel.display
    carried = [
        ship.start_fuel
        for ship in mission.file.flight
        if ship.aircraft == key and ship.start_fuel is not None
    ]
    tanks = [aircraft.fuel_capacity] if aircraft.fuel_capacity is not None else carried
    most_lb = max((mission.fuel_lb(fuel, aircraft) for fuel in tanks), default=0.0)
    return default_step(most_lb / unit_lb(display, aircraft.fuel_density))
