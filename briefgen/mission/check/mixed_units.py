"""Fuel that is more than the tanks hold, or typed in another unit than the rest: told once for each cause,
and the unit that is offered is one that then fits the tanks and the order of the tiers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import pairwise
from typing import NamedTuple

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker, values_in
from briefgen.mission.check.fuel_units import shown_as_typed, units_of
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.sortie import Aircraft
from briefgen.mission.schema.unread import given
from briefgen.units.values import VOLUMES, Fuel, FuelUnit

CODE = "mixed-units"
SHOWN: tuple[KeyPath, ...] = (("fuel", "round_up_to"),)  # in the unit that is shown, whatever the aircraft's
_SLIP = (
    "a pound is less than half a kilogram, a litre about a quarter of a US gallon: one of the two may be a"
    " slip (default, no authority)"
)


class Typed(NamedTuple):
    """A fuel of the file: its unit and its place."""

    unit: FuelUnit
    path: KeyPath
    value: object


def fuel_fits_the_tanks(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No ship starts with more than it can carry: told once for each type, of the tanks where that is every
    one of several ships."""
    for key, over in _overfilled(file).items():
        yield _too_much(check, file, over, ("aircraft", key, "fuel_capacity"))


def _overfilled(file: MissionFile) -> dict[str, list[Typed]]:
    """Of each type, what its ships start with, where that is more than its tanks hold."""
    found: dict[str, list[Typed]] = {}
    for i, ship in enumerate(file.flight):
        key, fuel = given(ship, "aircraft"), given(ship, "start_fuel")
        carried, most = (_lb(file.aircraft.get(key), one) for one in (fuel, _tanks(file, key)))
        if carried is not None and most is not None and carried > most + 0.5:
            found.setdefault(key, []).append(Typed(fuel.unit, ("flight", i, "start_fuel"), fuel))
    return found


def _too_much(check: Checker, file: MissionFile, over: list[Typed], tanks: KeyPath) -> Diagnostic:
    first, *others = over
    units = dict.fromkeys(row.unit for row in _typed(file, str(tanks[1])) if row.unit != first.unit)
    offer = next((offer for unit in units if (offer := _offer(file, first, unit))), None)
    same = tuple(("the same here", row.path) for row in others)
    if others and not offer and len(over) == sum(given(ship, "aircraft") == tanks[1] for ship in file.flight):
        where, message = tanks, f"all {len(over)} ships start with more fuel than these tanks hold"
        related = (("what a ship starts with", first.path), *same)
    else:
        where, message = first.path, f"ship {_ship(file, first)} starts with more fuel than its tanks hold"
        related = (("what the tanks hold", tanks), *same)
    help = (
        f"write {offer} if the unit is a slip" if offer else "check start_fuel, its unit, and fuel_capacity"
    )
    why = "that fuel isn't there to be burnt"
    return check.error("too-much-fuel", where, message, why=why, help=help, related=related)


def _ship(file: MissionFile, load: Typed) -> int:
    return file.flight[int(load.path[1])].ship


def _tanks(file: MissionFile, key: str) -> Fuel | None:
    tanks: Fuel | None = given(file.aircraft.get(key), "fuel_capacity")
    return tanks


def _lb(aircraft: Aircraft | None, fuel: Fuel | None) -> float | None:
    """Pounds; None for what is not given or has no weight."""
    density = given(aircraft, "fuel_density")
    return None if fuel is None or (fuel.unit in VOLUMES and density is None) else fuel.lb(density)


def fuel_has_one_unit(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The fuel of one aircraft is typed in one unit of mass and one of volume at the most, and no figure
    alone as the other of the two, but the tanks' and what is typed as it is shown. The fewer are doubted."""
    for key in file.aircraft:
        typed = _typed(file, key)
        for odd, usual in list(_of_another(typed)) or _alone(file, typed):
            message = f"{odd[0].unit} here, and {usual.unit} elsewhere in the same aircraft"
            yield _doubt(check, file, odd, message, (usual.unit, usual.path))


def _doubt(
    check: Checker, file: MissionFile, odd: list[Typed], message: str, usual: tuple[FuelUnit, KeyPath]
) -> Diagnostic:
    """One cause at its first place, with the others beside it, and the unit that would do."""
    (first, *others), (unit, where) = odd, usual
    offer, same = _offer(file, first, unit), _as_much(first.value, unit)
    return check.caution(
        CODE,
        first.path,
        f"{message}{same}",
        why=_SLIP,
        help=f"write {offer} if the unit is a slip" if offer else "check the figure and its unit",
        related=((f"{unit} here", where), *(("the same here", other.path) for other in others)),
    )


def _as_much(value: object, unit: FuelUnit) -> str:
    """``; 45 kg is 99.2 lb``: a mass in another unit of mass, a volume in another of volume; else nothing."""
    if not isinstance(value, Fuel) or (value.unit in VOLUMES) != (unit in VOLUMES):
        return ""
    amount = value.lb(1.0) / Fuel(1.0, unit).lb(1.0)
    return f"; {value.value:g} {value.unit} is {amount:.1f} {unit}"


def _offer(file: MissionFile, typed: Typed, unit: FuelUnit) -> str | None:
    """The figure in another unit, as it may be typed; None where it would not fit."""
    if not isinstance(typed.value, Fuel):
        return f"it in {unit}/h"
    fuel = Fuel(typed.value.value, unit)
    return f"{fuel.value:g} {unit}" if _fits(file, typed.path, fuel) else None


def _fits(file: MissionFile, path: KeyPath, fuel: Fuel) -> bool:
    """A fuel in the place of that at ``path`` is no more than the tanks hold, and leaves the tiers in their
    order."""
    own = path[1] if path[0] == "aircraft" else None
    ships = (file.flight[int(path[1])],) if path[0] == "flight" else file.flight
    keys = [own] if own else [given(ship, "aircraft") for ship in ships]
    return all(_fits_type(file, str(key), path, fuel) for key in keys if key in file.aircraft)


def _fits_type(file: MissionFile, key: str, path: KeyPath, fuel: Fuel) -> bool:
    aircraft, names = file.aircraft[key], ("emergency", "minimum", "normal_landing")

    def lb(at: KeyPath, known: Fuel | None) -> float | None:
        return _lb(aircraft, fuel if at == path else known)

    tanks: KeyPath = ("aircraft", key, "fuel_capacity")
    tiers = [lb(("aircraft", key, "tiers", name), given(aircraft, "tiers", name)) for name in names]
    loads = [given(ship, "start_fuel") for ship in file.flight if given(ship, "aircraft") == key]
    inside = [*tiers, *(_lb(aircraft, load) for load in loads if path == tanks), lb(path, None)]
    holds = lb(tanks, _tanks(file, key))
    return all(low <= high for low, high in pairwise(tier for tier in tiers if tier is not None)) and (
        holds is None or all(amount <= holds + 0.5 for amount in inside if amount is not None)
    )


def _typed(file: MissionFile, key: str) -> list[Typed]:
    """The fuels of an aircraft with their units, in the order of the file."""
    return [
        Typed(unit, path, value)
        for path, value in values_in(file.aircraft[key], ("aircraft", key))
        for unit in dict.fromkeys(units_of(value))
    ]


def _of_another(typed: list[Typed]) -> Iterator[tuple[list[Typed], Typed]]:
    """What is typed in another unit than most of the masses, or of the volumes: with one of these."""
    for volumes in (False, True):
        alike = [row for row in typed if (row.unit in VOLUMES) == volumes]
        by_unit = [
            [row for row in alike if row.unit == unit]
            for unit, _ in Counter(row.unit for row in alike).most_common()
        ]
        yield from ((odd, by_unit[0][0]) for odd in by_unit[1:])


def _weightless(file: MissionFile, unit: str, types: Iterable[str]) -> bool:
    """A volume that has no weight is told as one, and not doubted besides."""
    return unit in VOLUMES and any(given(file.aircraft[key], "fuel_density") is None for key in types)


def _alone(file: MissionFile, typed: list[Typed]) -> Iterator[tuple[list[Typed], Typed]]:
    """The one figure that is a mass among volumes, or a volume among masses: with one of these. Tanks are
    often told by volume alone; what is typed as it is shown is doubted only beside figures that are not."""
    counted = [row for row in typed if row.path[-1] not in ("fuel_capacity", "fuel_step")]
    few, many = sorted(
        ([row for row in counted if (row.unit in VOLUMES) == volume] for volume in (True, False)), key=len
    )
    beside = [row for row in many if few and row.path[:-1] == few[0].path[:-1]]
    doubted = len(few) == 1 < len(many) and not _weightless(file, few[0].unit, [str(few[0].path[1])])
    if doubted and (beside or few[0].unit != given(file, "fuel", "display")):
        yield few, (beside or many)[0]


def fuel_has_the_unit_of_its_aircraft(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Fuel outside ``aircraft`` is typed in the unit of mass or volume that the flight's types have, or where
    they have only the other, in the one that is shown; one cause is told once."""
    types = dict.fromkeys(key for ship in file.flight if (key := given(ship, "aircraft")) in file.aircraft)
    flown: dict[FuelUnit, KeyPath] = {}
    for typed in (_typed(file, key) for key in types):
        doubted = {row.path for odd, _ in (*_of_another(typed), *_alone(file, typed)) for row in odd}
        flown |= {row.unit: row.path for row in typed if row.path not in doubted}
    shown = given(shown_as_typed(file), "fuel", "display")
    # told there, whatever its unit
    too_much = {row.path for over in _overfilled(file).values() for row in over}
    places: dict[tuple[FuelUnit, FuelUnit], list[Typed]] = {}
    for path, value in check.values:
        if path[0] == "aircraft" or path in SHOWN or path in too_much or not isinstance(value, Fuel):
            continue
        alike = [unit for unit in flown if (unit in VOLUMES) == (value.unit in VOLUMES)]
        if flown and not alike and not _weightless(file, value.unit, types):  # they know the other kind alone
            alike = [shown if (shown in VOLUMES) == (value.unit in VOLUMES) else next(iter(flown))]
        if alike and value.unit not in alike:
            places.setdefault((value.unit, alike[0]), []).append(Typed(value.unit, path, value))
    for (unit, known), odd in places.items():
        where = flown.get(known, ("fuel", "display"))
        message = f"fuel in {unit}, and {known} " + ("in the aircraft" if known in flown else "is shown")
        yield _doubt(check, file, odd, message, (known, where))
