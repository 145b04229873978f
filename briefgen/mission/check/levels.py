"""Levels and their datum: flight levels below the transition altitude, heights over ground that nobody has
given."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.airmath.atmosphere import altitude_from_pressure_altitude_ft
from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.mission.schema.weather import Weather
from briefgen.units.rounding import down
from briefgen.units.values import Level, LevelBand, Position

_PASS = ("event", "pass")
_EGRESS = (*_PASS, "egress", "level")
# what is flown at or in (a star stands for any step); a forecast, a flow and a cloud may be of any pressure
# level
_FLOWN: tuple[tuple[str, ...], ...] = (
    ("departure", "*", "level"),
    ("transit", "*", "level"),
    ("recovery", "legs", "*", "level"),
    ("training", "area", "floor"),
    ("training", "area", "top"),
    ("training", "blocks", "*"),
    ("training", "rejoin", "level"),
    (*_PASS, "hold", "level"),
    (*_PASS, "run_in", "level"),
    (*_PASS, "egress", "level"),
    (*_PASS, "abort", "level"),
)
NEAR_NM = 25.0  # our own bounds: how far known ground says something of the ground,
MINIMUM_FT = 500.0  # and how high above it is not doubted
WHY = (
    "below the transition altitude altimeters are set to the QNH (ICAO Doc 8168): how high a flight level is"
    " hangs on the pressure of the day"
)


def flight_levels_lie_above_the_transition_altitude(
    check: Checker, file: MissionFile
) -> Iterator[Diagnostic]:
    """No level that is flown is a flight level below ``weather.transition_altitude``; one that the day's QNH
    brings below it is a caution."""
    weather, transition = given(file, "weather"), given(file, "weather", "transition_altitude")
    if transition is None:
        return
    qnh = _qnh(weather)
    for path, value in check.at(*_FLOWN):
        for level in (value.low, value.high) if isinstance(value, LevelBand) else (value,):
            yield from _below_transition(check, (path, level), transition.feet, qnh)


def _below_transition(
    check: Checker, flown: tuple[KeyPath, Level], transition_ft: float, qnh: float | None
) -> Iterator[Diagnostic]:
    path, level = flown
    if level.datum != "FL":
        return
    really_ft = level.feet if qnh is None else altitude_from_pressure_altitude_ft(level.feet, qnh)
    related = (("the transition altitude", ("weather", "transition_altitude")),)
    name, day = (
        f"FL{level.feet / 100:03.0f}",
        "" if qnh is None else f", {really_ft:.0f} ft MSL on {down(qnh):.0f} hPa",
    )
    help = f"write a level in ft MSL, such as {level.feet:.0f} ft MSL" + (
        "" if qnh is None else f", or {really_ft:.0f} ft MSL if that height is meant"
    )
    if level.feet < transition_ft:
        message = f"{name} is below the transition altitude of {transition_ft:.0f} ft{day}"
        yield check.error("flight-level", path, message, why=WHY, help=help, related=related)
    elif really_ft < transition_ft:
        message = f"{name} is below the transition altitude of {transition_ft:.0f} ft on this day{day}"
        yield check.caution("flight-level", path, message, why=WHY, help=help, related=related)


def _qnh(weather: Weather) -> float | None:
    """The lowest QNH of the forecast in hPa: how low a flight level may be; None where none is given."""
    return min(
        (qnh.hpa for at in weather.at.values() if (qnh := given(at, "qnh")) is not None),
        default=None,
    )


def heights_above_ground_have_their_ground(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A leg that is flown so high above the ground ends at a place with its elevation; coming from a hold
    the flight is at the run-in's level at the IP already. The egress ends at no place: the sum over the
    ground of the pass is offered."""
    lacking: dict[KeyPath, list[str]] = {}
    for path, level, id in (*_ends(file), *_from_the_hold(file)):
        place = file.places.get(str(id))
        if level is None or level.datum != "AGL" or place is None:
            continue
        if path == _EGRESS:
            yield check.error(
                "no-elevation",
                path,
                "this level is above the ground, and the ground at the end of the egress is given nowhere",
                why="nobody can say how high it is",
                help=_in_msl(level.feet, given(place, "elevation"), str(id)),
            )
        elif place.elevation is None:
            lacking.setdefault(path, []).append(str(id))
    for path, ids in lacking.items():
        places = " and ".join(dict.fromkeys(ids))
        yield check.error(
            "no-elevation",
            path,
            f"this level is above the ground, but {places} {'have' if ids[1:] else 'has'} no elevation",
            why="nobody can say how high it is",
            help=f"write it in ft MSL, or give {places} {'their' if ids[1:] else 'its'} `elevation`",
        )


def _from_the_hold(file: MissionFile) -> Iterator[tuple[KeyPath, Level | None, str | None]]:
    """The level at which a flight comes from its hold to the IP, with that place."""
    run_in = given(file, "event", "pass_", "run_in")
    if given(file, "event", "pass_", "hold") is not None:
        yield (*_PASS, "run_in", "level"), given(run_in, "level"), given(run_in, "from_")


def _in_msl(above_ft: float, ground: Level | None, over: str) -> str:
    if ground is None:
        return "write it in ft MSL"
    return f"write {ground.feet + above_ft:.0f} ft MSL if it counts from the ground at {over}"


def levels_of_the_pass_lie_above_its_ground(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No level of the pass is below the ground that is flown over: either it counts from there, or one of the
    two is wrong. Told once, before any height is judged by it."""
    below = []
    for path, level, id in _ends(file):
        ground = given(file.places.get(str(id)), "elevation")
        if _over_the_pass(path) and level is not None and ground is not None and level.datum == "MSL":
            below += [(path, level.feet, ground.feet, str(id))] if level.feet < ground.feet else []
    if not below:
        return
    path, level_ft, ground_ft, over = below[0]
    ends = [id for other, _, id in (*_ends(file), *_from_the_hold(file)) if other == path]
    known = path != _EGRESS and all(given(file.places.get(str(id)), "elevation") for id in ends)
    counted = _in_msl(level_ft, given(file.places.get(over), "elevation"), over)
    agl = f"write {level_ft:.0f} ft AGL if it counts from the ground" if known else counted
    yield check.error(
        "below-ground",
        path,
        f"{level_ft:.0f} ft MSL is below the ground at {over}, {ground_ft:.0f} ft MSL",
        why="nobody flies it: one of the two is wrong, and every height over the event hangs on them",
        help=f"{agl}, else check both figures",
        related=(
            (f"the elevation of {over}", ("places", over, "elevation")),
            *((f"{feet:.0f} ft MSL, below it too", other) for other, feet, _, _ in below[1:]),
        ),
    )


def levels_lie_above_what_is_known_near_them(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No level that is flown away from any known ground lies below the known ground nearest to it, less than
    the least height of legs above it where no chart was read for it, or below all known ground."""
    known = list(_known(file))
    if not known:
        return
    over_ft = 0.0 if file.terrain_checked is not None else file.limits.legs_minimum_height or MINIMUM_FT
    for path, level, where in _away_from_ground(file):
        away_nm, ground_ft, id = min(
            (min(distance_nm(at, position) for at in where), ground_ft, id)
            for position, ground_ft, id in known
        )
        flown_ft = 0.0 if path[-1] == "floor" else over_ft
        lowest_ft, lowest = min((ground_ft, id) for _, ground_ft, id in known)
        if away_nm <= NEAR_NM and level.feet < ground_ft + flown_ft:
            message = (
                f"{level.feet:.0f} ft MSL, and {id}, {away_nm:.0f} nm away, is at {ground_ft:.0f} ft MSL"
            )
            yield _too_low(check, path, message, ("places", id, "elevation"))
        elif level.feet < lowest_ft:
            ground = f"{lowest_ft:.0f} ft MSL at {lowest}"
            message = f"{level.feet:.0f} ft MSL is below all ground that is given, {ground}"
            yield _too_low(check, path, message, ("places", lowest, "elevation"))


def _too_low(check: Checker, path: KeyPath, message: str, ground: KeyPath) -> Diagnostic:
    return check.caution(
        "low-level",
        path,
        message,
        why="no height over the ground below it is judged, which isn't known (default, no authority)",
        help="check the figure and its unit, and read the ground there off the chart",
        related=(("the known ground", ground),),
    )


def _known(file: MissionFile) -> Iterator[tuple[Position, float, str]]:
    for id, place in file.places.items():
        position, elevation = given(place, "position"), given(place, "elevation")
        if position is not None and elevation is not None:
            yield position, elevation.feet, id


def _away_from_ground(file: MissionFile) -> Iterator[tuple[KeyPath, Level, tuple[Position, ...]]]:
    """Each level above the sea that is flown where no ground is known, with where: what begins or ends over
    known ground has its own height judged there."""
    boundary = tuple(given(file, "training", "area", "boundary") or ())
    levels: list[tuple[KeyPath, Level | None, tuple[Position, ...]]] = []
    if given(file, "training", "area", "highest_ground") is None:
        levels.append((("training", "area", "floor"), given(file, "training", "area", "floor"), boundary))
        levels += [
            (("training", "blocks", name), band.low, boundary)
            for name, band in (given(file, "training", "blocks") or {}).items()
            if band is not None
        ]
    levels.append((("training", "rejoin", "level"), given(file, "training", "rejoin", "level"), boundary))
    places = {id: (given(place, "position"), given(place, "elevation")) for id, place in file.places.items()}
    for path, level, id in _ends(file):
        position, elevation = places.get(str(id), (None, None))
        if position is not None and elevation is None and not _over_the_pass(path):
            levels.append((path, level, (position,)))
    for path, level, where in levels:
        if level is not None and level.datum == "MSL" and where:
            yield path, level, where


def _over_the_pass(path: KeyPath) -> bool:
    """Whether a level is flown over the ground of the pass, which has rows of its own: its hold is not."""
    return path[:2] == _PASS and "hold" not in path


def _ends(file: MissionFile) -> Iterator[tuple[KeyPath, Level | None, str | None]]:
    """Each level that is flown with the place whose ground it counts from."""
    for path, legs in (
        (("departure",), given(file, "departure")),
        (("transit",), given(file, "transit")),
        (("recovery", "legs"), given(file, "recovery", "legs")),
    ):
        yield from (
            ((*path, i, "level"), given(leg, "level"), given(leg, "to")) for i, leg in enumerate(legs or ())
        )
    flypast = given(file, "event", "pass_")
    yield (*_PASS, "hold", "level"), given(flypast, "hold", "level"), given(flypast, "hold", "at")
    yield from (
        ((*_PASS, key, "level"), given(flypast, key, "level"), given(flypast, "over"))
        for key in ("run_in", "egress")
    )
