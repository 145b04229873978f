"""Figures and positions that no flypast needs: more likely a slip of the keyboard. Every bound is our own
default, no authority.

A figure beyond its bound is an error: the plan would fly it, and gates only compare what is near. What a rare
mission may have after all is a caution.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from briefgen.airmath.areas import edges, inside_area
from briefgen.airmath.geodesy import distance_nm, off_line
from briefgen.airmath.hold_open import LEG_MAX_S, LEG_MIN_S
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker, fits
from briefgen.mission.check.mirrored import image_beside, mirror_images, written
from briefgen.mission.schema.event import CrowdLine, Obstacle
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import as_far_as_read, given
from briefgen.units.values import Position

_PASS = ("event", "pass")
_RUN_IN = (*_PASS, "run_in")

# key path (a star stands for any step), the greatest size, its unit, what it is
_MOST: tuple[tuple[tuple[str, ...], float, str, str], ...] = (
    ((*_PASS, "egress", "distance"), 50.0, "nm", "an egress"),
    ((*_PASS, "obstacles_checked", "within"), 50.0, "nm", "a look for obstacles"),
    ((*_RUN_IN, "spacing"), 12_000.0, "ft", "a spacing"),
    ((*_RUN_IN, "step_down"), 1_000.0, "ft", "a step-down from ship to ship"),
    ((*_RUN_IN, "offsets", "*", "right"), 12_000.0, "ft", "an offset to the side"),
    ((*_RUN_IN, "offsets", "*", "back"), 30_000.0, "ft", "an offset behind the leader"),
    ((*_RUN_IN, "offsets", "*", "down"), 3_000.0, "ft", "an offset in height"),
    ((*_PASS, "late_bias"), 120.0, "s", "a late bias"),
    ((*_PASS, "tolerance"), 300.0, "s", "a tolerance of the time over target"),
    ((*_PASS, "deadband"), 300.0, "s", "a slip that gets no call"),
    (("event", "relay_time"), 300.0, "s", "a time from a cue heard to a time read back"),
    (("aircraft", "*", "climb", "distance"), 300.0, "nm", "a climb"),
    (("training", "block_buffer"), 10_000.0, "ft", "a buffer between blocks"),
    (("limits", "pass_minimum_height"), 10_000.0, "ft", "a minimum height of the pass"),
    (("limits", "legs_minimum_height"), 10_000.0, "ft", "a minimum height of the legs"),
    (("limits", "crowd_distance"), 10_000.0, "ft", "a distance from the spectators"),
)
LINE_NM = 5.0  # a crowd line, and from its ends to the spot flown over
RUN_NM = 50.0  # run-in, and hold fix to IP
BASE_NM = 1500.0  # from the base to any place or corner
NEAR_NM = 10.0  # an obstacle beside or beyond run-in and egress
HIGH_FT, LOW_FT = 3000.0, 500.0  # an obstacle's top above and below the spot flown over


def figures_are_no_slips(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No single figure is beyond what any flypast needs."""
    for path, value in check.values:
        for form, most, unit, what in _MOST if isinstance(value, (int, float)) else ():
            if abs(value) > most and fits(path, form):
                yield _too_much(check, path, f"{what} of {value:.0f} {unit}", f"{most:.0f} {unit}")


def _too_much(
    check: Checker,
    path: KeyPath,
    what: str,
    most: str,
    *,
    help: str = "check the figure and its unit",
    caution: bool = False,
) -> Diagnostic:
    say = check.caution if caution else check.error
    return say(
        "out-of-proportion",
        path,
        what,
        why=f"beyond {most} a slip of the keyboard is likelier (default, no authority)",
        help=help,
    )


def the_pass_is_of_one_place(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Crowd line, spot flown over, IP and hold fix lie as near to each other as at any flypast."""
    if file.event is None or file.event.pass_.over not in file.places:
        return
    flypast, help, mirrored = (
        file.event.pass_,
        "check the positions, their degrees and minutes",
        mirror_images(file),
    )
    centre = file.places[flypast.over].position
    if flypast.crowd_line is not None and flypast.over not in mirrored:
        yield from _crowd_line(check, flypast.crowd_line, (flypast.over, centre))
    ids: list[tuple[str, KeyPath, str]] = (
        [(flypast.hold.at, (*_PASS, "hold", "at"), "from the hold fix to the IP")]
        if flypast.hold is not None
        else []
    )
    ids += [(flypast.run_in.from_, (*_RUN_IN, "from"), "of run-in"), (flypast.over, (*_PASS, "over"), "")]
    for (one, path, what), (other, _, _) in pairwise(ids):
        if (
            not {one, other} & mirrored.keys()
            and one in file.places
            and other in file.places
            and (long := distance_nm(file.places[one].position, file.places[other].position)) > RUN_NM
        ):
            yield _too_much(
                check, path, f"{long:.1f} nm {what}, {one} to {other}", f"{RUN_NM:.0f} nm", help=help
            )


def _crowd_line(check: Checker, line: CrowdLine, over: tuple[str, Position]) -> Iterator[Diagnostic]:
    """Both ends lie near the spot flown over, and near each other; one cause is told once."""
    id, centre = over
    help, most = "check the positions, their degrees and minutes", f"{LINE_NM:.0f} nm"
    away = {key: distance_nm(end, centre) for key, end in (("from", line.from_), ("to", line.to))}
    far = [key for key, nm in away.items() if nm > LINE_NM]
    long = distance_nm(line.from_, line.to)
    if len(far) == 2 and long <= LINE_NM:
        yield _too_much(
            check,
            (*_PASS, "crowd_line"),
            f"the crowd line is {min(away.values()):.1f} nm from {id}, which is flown over",
            most,
            help=help,
        )
    elif len(far) == 1:
        what = f"this end of the crowd line is {away[far[0]]:.1f} nm from {id}, which is flown over"
        image = image_beside(line.from_ if far[0] == "from" else line.to, centre)
        yield _too_much(
            check,
            (*_PASS, "crowd_line", far[0]),
            what,
            most,
            help=f"write {written(image)} if it lies there" if image else help,
        )
    elif long > LINE_NM:
        yield _too_much(check, (*_PASS, "crowd_line"), f"a crowd line of {long:.1f} nm", most, help=help)


def obstacles_belong_to_the_pass(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """An obstacle is somewhere near the pass, and as high as something that stands there: a mistyped one
    would be judged as harmless."""
    if file.event is None or file.event.pass_.over not in file.places or not file.event.pass_.obstacles:
        return
    if mirror_images(file).keys() & {file.event.pass_.over, file.event.pass_.run_in.from_}:
        return
    flypast, centre = file.event.pass_, file.places[file.event.pass_.over]
    start = file.places.get(flypast.run_in.from_, centre)
    reach_nm = (
        max(distance_nm(start.position, centre.position), flypast.egress.distance if flypast.egress else 0.0)
        + NEAR_NM
    )
    for i, obstacle in enumerate(flypast.obstacles):
        yield from as_far_as_read(
            _obstacle(check, file, (*_PASS, "obstacles", i), obstacle, (flypast.over, reach_nm))
        )


def _obstacle(
    check: Checker, file: MissionFile, path: KeyPath, obstacle: Obstacle, within: tuple[str, float]
) -> Iterator[Diagnostic]:
    """``within``: the id of the spot flown over, and how far from it the pass comes. The legs are judged
    against these obstacles too: one beside the way is no slip."""
    over, reach_nm = within
    centre = file.places[over]
    away = distance_nm(obstacle.position, centre.position)
    if away > reach_nm and not _beside_the_way(file, obstacle.position):
        what = (
            f"{obstacle.name} is {away:.1f} nm from {over}: no part of the pass or of the way comes near it"
        )
        yield _too_much(
            check, (*path, "position"), what, f"{reach_nm:.0f} nm", help="check its position", caution=True
        )
    if centre.elevation is None or obstacle.top.datum != "MSL" or away > reach_nm:
        return
    above_ft = obstacle.top.feet - centre.elevation.feet
    if not -LOW_FT <= above_ft <= HIGH_FT:
        what = (
            f"the top of {obstacle.name} is {abs(above_ft):.0f} ft {'above' if above_ft > 0 else 'below'}"
            f" {over}"
        )
        yield _too_much(
            check,
            (*path, "top"),
            what,
            f"{HIGH_FT if above_ft > 0 else LOW_FT:.0f} ft",
            help="check its height, unit and datum",
            caution=True,
        )


def _beside_the_way(file: MissionFile, spot: Position) -> bool:
    """Whether a spot lies within ``NEAR_NM`` of the straight way from place to place, of a divert or of the
    training area."""
    flypast, home = given(file, "event", "pass_"), given(file, "recovery")
    base, hold = given(file, "ground_ops", "base"), given(flypast, "hold", "at")
    legs = [given(leg, "to") for part in (file.departure, file.transit) for leg in part]
    ids = [base, *legs, hold, given(flypast, "run_in", "from_"), given(flypast, "over")]
    ids += [given(leg, "to") for leg in given(home, "legs") or ()] + [base]
    way = [file.places[id].position for id in ids if id is not None and id in file.places]
    diverts = [file.places[id].position for id in given(home, "diverts") or () if id in file.places]
    sides = [*pairwise(way), *((way[-1], divert) for divert in diverts)]
    corners = given(file, "training", "area", "boundary")
    if corners:
        sides += edges(corners)
        if inside_area(spot, corners):
            return True
    return any(off_line(one, other, spot).distance_nm <= NEAR_NM for one, other in sides)


def the_leg_of_the_hold_can_be_flown(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The laps of the hold have outbound legs of 20 s to 2 min; a wish beyond that is not what is flown."""
    hold = file.event.pass_.hold if file.event is not None else None
    if hold is not None and hold.leg and not LEG_MIN_S <= hold.leg <= LEG_MAX_S:
        why = (
            "outbound legs are chosen from 20 s to 2 min (default, no authority), as near to this as they get"
        )
        yield check.caution(
            "hold-leg",
            (*_PASS, "hold", "leg"),
            f"an outbound leg of {hold.leg:.0f} s is not flown",
            why=why,
            help="write 60 s, or what the hold is flown with",
        )


def places_lie_within_reach(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No place and no corner of the area lies in another part of the world than the base."""
    base, mirrored = given(file.places.get(file.ground_ops.base), "position"), mirror_images(file)
    if base is None or file.ground_ops.base in mirrored:
        return
    spots: list[tuple[KeyPath, Position]] = [
        (("places", id, "position"), given(place, "position"))
        for id, place in file.places.items()
        if id not in mirrored
    ]
    spots += check.at(("training", "area", "boundary", "*"))
    help, most = "check the degrees and the letters N, S, E and W", f"{BASE_NM:.0f} nm"
    far = [
        (path, away)
        for path, spot in spots
        if spot is not None and (away := distance_nm(base, spot)) > BASE_NM
    ]
    if 2 * len(far) > len(spots):
        where: KeyPath = ("places", file.ground_ops.base, "position")
        what = (
            f"the base is {min(away for _, away in far):.0f} nm or more from {len(far)} of the places and"
            " corners"
        )
        yield _too_much(check, where, what, most, help=help, caution=True)
        return
    for path, away in far:
        yield _too_much(
            check, path, f"this spot is {away:.0f} nm from the base", most, help=help, caution=True
        )
