"""The flight, its fuel, its clock, its levels and its training."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker, fits, values_in
from briefgen.mission.check.fuel_units import DENSITY_EXAMPLE, approach_example, units_of
from briefgen.mission.schema.flows import FlowTable
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import as_far_as_read, given
from briefgen.units.blank import names_nothing
from briefgen.units.people import names_nobody
from briefgen.units.values import VOLUMES, Level, Speed

STEPS = (("fuel", "round_up_to"), ("aircraft", "*", "fuel_step"))  # of what is shown, whatever it weighs


def ships_are_numbered(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """1 to n, each once, in that order: the leader stands first, and the others land in the order of the
    list."""
    numbers = [given(ship, "ship") for ship in file.flight]
    first: dict[int, int] = {}
    for i, number in ((i, number) for i, number in enumerate(numbers) if number is not None):
        if number in first:
            related = (("the first stands here", ("flight", first[number], "ship")),)
            yield check.error(
                "duplicate-ship",
                ("flight", i, "ship"),
                f"ship {number} is given twice",
                why="each ship has its own card",
                help=_number_of(i, numbers),
                related=related,
            )
        elif number > len(numbers):
            why = "cards and fall-outs go by the number in the formation"
            yield check.error(
                "ship-number",
                ("flight", i, "ship"),
                f"ship {number} of a flight of {len(numbers)}",
                why=why,
                help=_number_of(i, numbers),
            )
        first.setdefault(number, i)
    if None not in numbers and sorted(numbers) == list(range(1, len(numbers) + 1)) != numbers:
        i = next(i for i, number in enumerate(numbers) if number != i + 1)
        why = "places in the formation and waits to land go by the order of the list"
        yield check.error(
            "ship-order",
            ("flight", i, "ship"),
            f"ship {numbers[i]} stands where ship {i + 1} should",
            why=why,
            help="list them from 1 on",
        )


def _number_of(i: int, numbers: list[int | None]) -> str:
    """The number that is free for the ship in that place of the list; in words where it would not do
    alone."""
    missing = [number for number in range(1, len(numbers) + 1) if number not in numbers]
    return (
        f"write {i + 1}"
        if missing == [i + 1]
        else f"number the ships 1 to {len(numbers)}, each once; 1 is the leader"
    )


def nobody_flies_twice(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A name or a tail stands in one ship only; of those still to come there may be several."""
    seen: dict[tuple[bool, str], KeyPath] = {}
    for path, text in check.at(("flight", "*", "tail"), ("flight", "*", "crew", "*")):
        is_tail = path[2] == "tail"
        if names_nothing(text) if is_tail else names_nobody(text):
            continue
        if (is_tail, text) in seen:
            code, what = (
                ("duplicate-tail", f"tail {text} is given twice")
                if is_tail
                else ("duplicate-crew", f"{text} flies twice")
            )
            related = (("the first stands here", seen[is_tail, text]),)
            yield check.error(
                code,
                path,
                what,
                why="it may be a line that was copied",
                help="change one of the two",
                related=related,
            )
        seen.setdefault((is_tail, text), path)


def volumes_have_density(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Fuel given as a volume needs the density of its aircraft; outside ``aircraft`` one that the whole
    flight shares.

    What lacks for one reason is told once, at its first line, with the others beside it.
    """
    places: dict[Diagnostic, list[KeyPath]] = {}
    for path, value in check.values:
        if (unit := _volume_unit(value)) and not any(fits(path, step) for step in STEPS):
            for problem in as_far_as_read(_density_is_known(check, file, path, unit)):
                places.setdefault(replace(problem, span=None, cause=()), []).append(path)
    for problem, (first, *others) in places.items():
        also = tuple(("the same here", path) for path in others)
        yield check.error(
            problem.code, first, problem.message, why=problem.why, help=problem.help, related=also
        )


def display_has_density(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Fuel shown as a volume needs the density of every type that flies."""
    display = given(file, "fuel", "display")
    if display not in VOLUMES:
        return
    flown = dict.fromkeys(given(ship, "aircraft") for ship in file.flight)
    lacking = [
        key
        for key in flown
        if key in file.aircraft
        and file.aircraft[key].fuel_density is None
        and not any(_volume_unit(value) for _, value in values_in(file.aircraft[key]))  # told there
    ]
    if lacking:
        keys = " and ".join(f"aircraft.{key}.fuel_density" for key in lacking)
        why, help = (
            "the plan adds up weights",
            f"add the density to each, for example {DENSITY_EXAMPLE}, or show lb or kg",
        )
        yield check.error(
            "no-density",
            ("fuel", "display"),
            f"fuel can't be shown in {display} without {keys}",
            why=why,
            help=help,
        )


def _density_is_known(check: Checker, file: MissionFile, path: KeyPath, unit: str) -> Iterator[Diagnostic]:
    types = {
        ship.aircraft: file.aircraft[ship.aircraft] for ship in file.flight if ship.aircraft in file.aircraft
    }
    own = (
        file.aircraft.get(str(path[1]))
        if path[0] == "aircraft"
        else types.get(file.flight[int(path[1])].aircraft)
        if path[0] == "flight"
        else None
    )
    shared = {own.fuel_density} if own is not None else {aircraft.fuel_density for aircraft in types.values()}
    if None in shared:
        lacking = [
            key
            for key, aircraft in file.aircraft.items()
            if (aircraft is own if own is not None else key in types) and aircraft.fuel_density is None
        ]
        help = (
            f"add the density to {' and '.join(f'aircraft.{key}' for key in lacking)}, for example"
            f" {DENSITY_EXAMPLE}, or write lb or kg"
        )
        yield check.error(
            "no-density",
            path,
            f"fuel in {unit} has no weight without a density",
            why="the plan adds up weights",
            help=help,
        )
    elif len(shared) > 1:
        message = f"fuel in {unit} weighs different amounts in this flight's types"
        yield check.error("no-density", path, message, why="the plan adds up weights", help="write lb or kg")


def _volume_unit(value: object) -> str | None:
    """The unit of a volume of fuel, None for everything else."""
    return next((unit for unit in units_of(value) if unit in VOLUMES), None)


def flows_are_not_zero(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every airborne flow burns something; on the ground an engine may be off."""
    for path, value in check.values:
        if (
            isinstance(value, FlowTable)
            and path[-1] != "ground"
            and any(row.flow.amount.value == 0 for row in value.rows)
        ):
            why = (
                "this part of the flight would burn nothing, and every remaining fuel after it would be too"
                " high"
            )
            help = "give the flow, or leave the key out: then the fuel reads NOT CHECKED"
            yield check.error("zero", path, f"a flow of zero for `{path[-1]}`", why=why, help=help)


def setups_take_time(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A set-up takes time."""
    if given(file, "training", "setups", "each") == 0:
        why = "time and fuel would allow any number of them"
        yield check.error(
            "zero",
            ("training", "setups", "each"),
            "a set-up that takes no time",
            why=why,
            help="for example 11 min",
        )


def approach_takes_something(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """An approach takes time and fuel."""
    for key, what in (("time", "takes no time"), ("fuel", "burns nothing")):
        amount = given(file, "recovery", "approach", key)
        if amount == 0 or getattr(amount, "value", None) == 0:
            why, help = (
                "bingo, joker and the fuel at landing would be too low by it",
                f"give what it takes your type, overhead to runway, for example {approach_example(file)}",
            )
            yield check.error(
                "zero", ("recovery", "approach", key), f"an approach that {what}", why=why, help=help
            )


def speed_limits_in_order(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """An aircraft's minimum speed is below its maximum."""
    for key, aircraft in file.aircraft.items():
        low, high = given(aircraft, "speed_limits", "minimum"), given(aircraft, "speed_limits", "maximum")
        if low and high and _same_kind_above(low, high):
            path: KeyPath = ("aircraft", key, "speed_limits")
            yield check.error(
                "order",
                (*path, "minimum"),
                "the minimum speed is not below the maximum",
                why="no speed could be flown",
                help="check the two speeds",
                related=(("the maximum", (*path, "maximum")),),
            )


def _same_kind_above(low: Speed, high: Speed) -> bool:
    return low.kind == high.kind and low.value >= high.value


def lands_at_the_base(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The way home does not end at another airfield, whose approach and hours nobody would judge."""
    legs, base = given(file, "recovery", "legs"), given(file, "ground_ops", "base")
    end = given(legs[-1], "to") if legs else None
    if end is None or end == base or base not in file.places:
        return
    if not given(file.places.get(end), "runways"):
        return
    yield check.error(
        "lands-elsewhere",
        ("recovery", "legs", len(legs) - 1, "to"),
        f"the way home ends at {end}, an airfield that is not the base",
        why=f"the landing is planned, fuelled and judged at {base} alone",
        help=f"add a leg to {base} behind it; another airfield may be its alternate or a divert",
    )


def something_fixes_the_clock(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """There is training or an event, and a take-off or a time over target."""
    if file.training is None and file.event is None:
        help = "add `training:`, `event:` or both"
        yield check.at_key(
            "nothing-to-do",
            ("sortie",),
            "the mission has neither training nor an event",
            why="there is nothing to plan",
            help=help,
        )
    elif file.event is None and file.ground_ops.takeoff is None:
        why = "without an event nothing else fixes the clock"
        yield check.at_key(
            "no-takeoff",
            ("ground_ops",),
            "`ground_ops` has no `takeoff`",
            why=why,
            help="add it, for example `takeoff: 12:37:00 base`",
        )


def ground_times_in_order(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Brief, step, start and taxi follow each other (each is a time before take-off)."""
    times = [
        (key, seconds)
        for key in ("brief", "step", "start", "taxi")
        if (seconds := given(file, "ground_ops", key)) is not None
    ]
    for (key, earlier_s), (next_key, later_s) in pairwise(times):
        if earlier_s < later_s:
            related = ((f"`{next_key}`", ("ground_ops", next_key)),)
            message = f"`{key}` comes after `{next_key}`"
            yield check.error(
                "order",
                ("ground_ops", key),
                message,
                why="both are times before take-off",
                help="check the two times",
                related=related,
            )


def gusts_are_of_a_place(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The winds aloft have no gusts: nothing there is worked out with them."""
    for i, row in enumerate(given(file, "weather", "winds") or ()):
        wind = given(row, "wind")
        if wind and wind.gust_kt is not None:
            mean = f"{wind.direction.deg:03.0f}{wind.direction.reference}/{wind.kt:g}kt"
            why, help = (
                "the legs are flown in the mean wind; gusts count in the crosswind at a place",
                f"write {mean} here, and the gusts under weather.at",
            )
            yield check.error(
                "gust-aloft", ("weather", "winds", i, "wind"), "a wind aloft with gusts", why=why, help=help
            )


def forecast_levels_differ(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No two rows of the winds are for the same level."""
    seen: dict[Level, int] = {}
    for i, level in (
        (i, level)
        for i, row in enumerate(given(file, "weather", "winds") or ())
        if (level := given(row, "level"))
    ):
        if level in seen:
            related = (("the first stands here", ("weather", "winds", seen[level], "level")),)
            where: KeyPath = ("weather", "winds", i, "level")
            why, help = "only one wind can hold there", "delete one of the two"
            yield check.error(
                "duplicate-level", where, "this level is given twice", why=why, help=help, related=related
            )
        seen.setdefault(level, i)


def area_has_height(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The floor of the area is below its top."""
    floor, top, path = (
        given(file, "training", "area", "floor"),
        given(file, "training", "area", "top"),
        ("training", "area"),
    )
    if (
        floor
        and top
        and (floor.datum == top.datum or "AGL" not in (floor.datum, top.datum))
        and floor.feet >= top.feet
    ):
        why, help, related = (
            "there is no room between them",
            "check the two heights",
            (("the top", (*path, "top")),),
        )
        yield check.error(
            "order", (*path, "floor"), "the floor is not below the top", why=why, help=help, related=related
        )


def area_is_an_area(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Corners differ, and the boundary does not cross itself."""
    path: KeyPath = ("training", "area", "boundary")
    corners = given(file, "training", "area", "boundary")
    if corners is None:
        return
    for i, (a, b) in enumerate(zip(corners, (*corners[1:], corners[0]), strict=True)):
        if a == b:
            why, help = "a side without length has no direction", "delete one; the boundary closes itself"
            yield check.error(
                "same-place", (*path, i), "this corner stands twice in a row", why=why, help=help
            )
            return
    from briefgen.airmath.areas import boundary_crosses_itself

    if boundary_crosses_itself(corners):
        why, help = (
            "inside and outside are then not what was meant",
            "list the corners in the order in which one would walk round",
        )
        yield check.error("boundary", path, "two sides of the boundary cross", why=why, help=help)


def rejoin_has_a_place(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The rejoin is flown over the place by which the flight leaves."""
    if file.training and file.training.rejoin and file.training.leave is None:
        message = "there is a rejoin, but no `leave` that says over which place"
        yield check.at_key(
            "no-leave",
            ("training", "rejoin"),
            message,
            why="the transit begins there",
            help="add it to `training`, for example `leave: {by: EXIT, time: 3 min}`",
        )
