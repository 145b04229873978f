"""What the profile of the pass shows, whatever its size: heights, obstacles, cloud and moments; and the
panels that it is drawn in."""

from __future__ import annotations

from datetime import datetime

from briefgen.airmath.geodesy import off_line, point_along
from briefgen.brief.figures.common import Scale
from briefgen.brief.figures.inbound import Approach, approach_of
from briefgen.brief.figures.pass_places import MOST_OBSTACLES, listed_number
from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import least_read, near_track
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Canvas
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.heights.altimeter import READ_TO_FT, Column, column_at, reading_ft
from briefgen.plan.heights.ground import highest_along
from briefgen.plan.model import EventPlan
from briefgen.plan.route.air import altitude_ft, position
from briefgen.plan.route.reported import prevailing
from briefgen.plan.sortie import Plan
from briefgen.units.values import Position

AFTER_S = 20.0  # of the egress
_PIECES = 60  # of the ground along the pass


@record
class Abeam:
    """Where a place lies beside the run-in: the leader's way to go when abeam it and its seconds to T, both
    negative beyond the centre, and how far right of the track it is."""

    to_go_nm: float
    to_go_s: float
    right_nm: float


@record
class Obstacle:
    """A listed obstacle near the track: where it lies beside it, and its top in ft MSL. ``read_ft`` is what
    an altimeter reads at its top: there it is drawn, since the ships' levels are readings too."""

    name: str
    abeam: Abeam
    top_ft: float
    read_ft: float


@record
class Profile:
    """What is drawn, whatever the size of the drawing. ``listed``: how many obstacles are typed with the
    pass, or stand in files near it, of which those drawn are the highest. ``ground``: seconds
    to T and the highest ground of the corridor from there to the next, as an altimeter reads on it; empty
    where the mission names no tiles."""

    event: EventPlan
    approach: Approach
    obstacles: tuple[Obstacle, ...]
    listed: int
    minimum: tuple[float, str] | None
    clouds: tuple[tuple[float, float | None, str], ...]
    ground: tuple[tuple[float, float], ...]


@record
class Panels:
    """The panels, the one seen from above where there is room for it, the scale of time and the scales of
    height and speed."""

    canvas: Canvas
    plan: Box | None
    upper: Box
    lower: Box
    time: Scale
    height: Scale
    speed: Scale


@record
class Moment:
    """An upright line that all panels share: seconds to T, its name and its clock time. T itself stands out,
    and so does the moment from which on only the abort words are said; ``kind`` is a key of heads.STYLES."""

    to_go_s: float
    name: str
    time: str
    kind: str = "plain"


def moments(event: EventPlan) -> list[Moment]:
    """Leave-hold, IP, push-up, the last moment for all but the abort words, T; in the order of time."""
    last = event.abort.last_begin if event.abort else None
    wanted: list[tuple[datetime | None, str, str]] = [
        (event.hold.leave if event.hold else None, "Leave hold", "plain"),
        (event.ip_time, "IP", "plain"),
        (event.push.at if event.push else None, "Push-up", "plain"),
        (last, "Abort only", "stop"),
        (event.true_time, "T", "target"),
    ]
    day = words.rounded_instant(event.true_time).date()
    found = [
        Moment((event.true_time - at).total_seconds(), name, words.clock_z(at, day=day), kind)
        for at, name, kind in wanted
        if at is not None
    ]
    return sorted(found, key=lambda moment: -moment.to_go_s)


def profile_of(plan: Plan) -> Profile | None:
    """None without an event."""
    approach = approach_of(plan)
    if plan.event is None or approach is None:
        return None
    return Profile(
        plan.event,
        approach,
        tuple(obstacles_near(plan, approach)),
        listed_number(plan, plan.event),
        least_read(plan.mission, plan.the_pass),
        tuple(clouds_at_centre(plan)),
        ground_along(plan.mission, plan.event, approach),
    )


def ground_along(mission: Mission, event: EventPlan, approach: Approach) -> tuple[tuple[float, float], ...]:
    """The ground from leave-hold to the end of the drawing, in pieces of equal length; none unless the tiles
    hold all of it."""
    leg, before = event.run_in, event.hold_to_ip
    begins_nm = leg.distance_nm + (before.distance_nm if before is not None else 0.0)
    ends_nm = -AFTER_S * beyond_kt(event) / 3600
    to_go = [begins_nm + (ends_nm - begins_nm) * i / _PIECES for i in range(_PIECES + 1)]
    points = [_at_to_go(event, nm) for nm in to_go]
    heights = highest_along(mission, points, event.ships)
    column = column_at(mission, event.run_in.end)
    known = [drawn_ft(column, ft) for ft in heights if ft is not None]
    if len(known) < _PIECES:
        return ()
    seconds = [_to_go_s(event, approach, nm) for nm in to_go]
    return (*zip(seconds[:-1], known, strict=True), (seconds[-1], known[-1]))


def _at_to_go(event: EventPlan, to_go_nm: float) -> Position:
    """The place of the leader so far before the spot flown over."""
    leg, before = event.run_in, event.hold_to_ip
    if before is not None and to_go_nm > leg.distance_nm:
        along_nm = before.distance_nm - (to_go_nm - leg.distance_nm)
        return point_along(position(before.start), position(before.end), along_nm).position
    return point_along(position(leg.start), position(leg.end), leg.distance_nm - to_go_nm).position


def beyond_kt(event: EventPlan) -> float:
    """The ground speed over the spot and beyond it."""
    return event.push.reached_kt if event.push else event.run_in_kt


def abeam_of(event: EventPlan, approach: Approach, where: Position) -> Abeam:
    """Where a place lies beside the run-in."""
    leg = event.run_in
    off = off_line(position(leg.start), position(leg.end), where)
    to_go_nm = leg.distance_nm - off.along_nm
    return Abeam(to_go_nm, _to_go_s(event, approach, to_go_nm), off.cross_right_nm)


def _to_go_s(event: EventPlan, approach: Approach, to_go_nm: float) -> float:
    """The leader's seconds to T with so far to go, negative beyond the spot flown over."""
    return approach.seconds_to_go(to_go_nm) if to_go_nm >= 0 else to_go_nm / beyond_kt(event) * 3600


def height_at(event: EventPlan, approach: Approach, to_go_s: float) -> float:
    """The leader's height in ft MSL: at a constant rate from the hold's level to the run-in's by the IP,
    level, then the egress climb."""
    ip_s = (event.true_time - event.ip_time).total_seconds()
    leg = event.hold_to_ip
    if leg is not None and to_go_s > ip_s:
        share = min((to_go_s - ip_s) / leg.time_s, 1.0)
        return leg.altitude_ft + (leg.start_altitude_ft - leg.altitude_ft) * share
    if to_go_s < 0 and event.egress is not None:
        return event.run_in.altitude_ft + (event.egress.altitude_ft - event.run_in.altitude_ft) * min(
            -to_go_s / event.egress.time_s, 1.0
        )
    return event.run_in.altitude_ft


def obstacles_near(plan: Plan, approach: Approach) -> list[Obstacle]:
    """The listed obstacles that the height gates look at and that lie along the drawn part of the run-in; of
    very many the highest."""
    leg, found = plan.the_pass.run_in, []
    column = column_at(plan.mission, leg.end)
    near = near_track(plan.mission, plan.the_pass)
    for name, place, top_ft in dict.fromkeys((row.name, row.position, row.top_ft) for row in near):
        abeam = abeam_of(plan.the_pass, approach, place)
        if abeam.to_go_nm <= leg.distance_nm and abeam.to_go_s >= -AFTER_S:
            found.append(Obstacle(name, abeam, top_ft, drawn_ft(column, top_ft)))
    highest = sorted(found, key=lambda obstacle: -obstacle.top_ft)[:MOST_OBSTACLES]
    return [obstacle for obstacle in found if obstacle in highest]


def drawn_ft(column: Column, top_ft: float) -> float:
    """What an altimeter reads at a top, where the cold adds as much as can be read off one."""
    read_ft = reading_ft(column, top_ft)
    return read_ft if read_ft - top_ft >= READ_TO_FT else top_ft


def clouds_at_centre(plan: Plan) -> list[tuple[float, float | None, str]]:
    """Base and top in ft MSL, and the words, of each forecast layer over the centre; empty when none is
    forecast or known."""
    mission, centre = plan.mission, plan.the_pass.centre
    weather = prevailing(mission, centre.id, plan.the_pass.true_time)
    found = []
    for layer in (weather.cloud or ()) if weather else ():
        base = altitude_ft(mission, centre, layer.base)
        if base is not None:
            found.append(
                (base, altitude_ft(mission, centre, layer.top) if layer.top else None, words.cloud(layer))
            )
    return found
