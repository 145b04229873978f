"""Where everything of a pass lies, on a plane about its centre: IP, fix and laps of the hold, run-in, egress,
crowd line and obstacles; and the map that shows all of it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import cos, hypot, radians, sin
from typing import TypeAlias

from briefgen.brief.figures.common import feet_msl
from briefgen.brief.figures.plane import PlaneMap, fit, plane_point
from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import near_of_files
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Point
from briefgen.plan.model import EventPlan, Leg
from briefgen.plan.model import Point as Place
from briefgen.plan.route.air import position
from briefgen.plan.sortie import Plan

Spot: TypeAlias = tuple[float, float]  # nm east and north of the centre

# of the way from hold to centre: the rest of the egress is on the route map; more of it in a sketch, in which
# arrow and strokes are as large as before
_EGRESS_SHARE, _EGRESS_SHARE_SMALL = 0.2, 0.35
# times the egress's sine: the share of the spare width given to its side, all of it from 50 degrees off north
# or south
_EGRESS_SIDE = 1.3
MOST_OBSTACLES = 12  # drawn: more can neither be read nor told apart, and the tables list them all


def ip_of(event: EventPlan) -> Spot:
    """The initial point."""
    return from_centre(event, event.ip)


def fix_of(event: EventPlan) -> Spot | None:
    """The fix of the hold; None without one."""
    return None if event.hold is None else from_centre(event, event.hold.fix)


def from_centre(event: EventPlan, place: Place) -> Spot:
    """A place, in nm from the centre of the pass."""
    found = plane_point(position(event.centre), position(place))
    return found.east_nm, found.north_nm


def track_point(event: EventPlan, to_go_nm: float) -> Spot:
    """Where the leader is so many miles from the centre: on the run-in, beyond the IP on the leg from the
    hold fix."""
    east, north = ip_of(event)
    run_in_nm, fix = event.run_in.distance_nm, fix_of(event)
    if to_go_nm <= run_in_nm or event.hold_to_ip is None or fix is None:
        return east * to_go_nm / run_in_nm, north * to_go_nm / run_in_nm
    share = (to_go_nm - run_in_nm) / event.hold_to_ip.distance_nm
    return east + (fix[0] - east) * share, north + (fix[1] - north) * share


def egress_of(event: EventPlan, *, small: bool) -> tuple[Leg, Spot] | None:
    """The egress, and where it ends as far as it is drawn."""
    leg = event.egress
    if leg is None:
        return None
    share = _EGRESS_SHARE_SMALL if small else _EGRESS_SHARE
    shown = min(leg.distance_nm, share * hypot(*(fix_of(event) or ip_of(event))))
    course = radians(leg.course_true_deg)
    return leg, (shown * sin(course), shown * cos(course))


def is_cut(egress: Leg, end: Spot) -> bool:
    """True when less of the egress is drawn than is flown."""
    return hypot(*end) < egress.distance_nm - 1e-6


def hold_path(event: EventPlan) -> list[Spot]:
    """The laps as flown; empty without a hold, or where no whole laps give the wait."""
    return [] if event.hold is None else _around_fix(event, event.hold.path)


def entry_path(event: EventPlan) -> list[Spot]:
    """The entry lap of an arrival that isn't direct; empty otherwise."""
    return [] if event.hold is None else _around_fix(event, event.hold.entry_path)


def _around_fix(event: EventPlan, path: Sequence[Spot]) -> list[Spot]:
    east, north = fix_of(event) or (0.0, 0.0)
    return [(east + e, north + n) for e, n in path]


def chart_of(event: EventPlan, box: Box, margin: float, small: bool) -> PlaneMap:
    """The map that shows all of it; what the box has to spare in width goes rather to the side of the egress,
    for its words."""
    spots = _extent(event, small)
    chart = fit(position(event.centre), spots, box, margin)
    if event.egress is None:
        return chart
    easts = [east for east, _ in spots]
    spare_nm = (box.width - 2 * margin) / chart.pt_per_nm - (max(easts) - min(easts))
    share = max(-1.0, min(1.0, _EGRESS_SIDE * sin(radians(event.egress.course_true_deg))))
    shift_nm = share * min(max(spare_nm, 0.0) / 2, 2 * margin / chart.pt_per_nm)
    return replace(chart, middle=(chart.middle[0] + shift_nm, chart.middle[1]))


def _extent(event: EventPlan, small: bool) -> list[Spot]:
    fix, egress = fix_of(event), egress_of(event, small=small)
    ends = [*([fix] if fix else ()), *([egress[1]] if egress else ())]
    return [(0.0, 0.0), ip_of(event), *hold_path(event), *entry_path(event), *ends, *crowd_ends(event)]


def listed_number(plan: Plan, event: EventPlan) -> int:
    """How many obstacles are typed with the pass, and in files near it."""
    return len(event.section.written.obstacles) + len(near_of_files(plan.mission, event))


def crowd_ends(event: EventPlan) -> list[Spot]:
    """The ends of the crowd line; empty where none is given."""
    line = event.section.written.crowd_line
    found = [plane_point(position(event.centre), end) for end in (line.from_, line.to)] if line else []
    return [(end.east_nm, end.north_nm) for end in found]


def obstacles_of(plan: Plan, event: EventPlan, chart: PlaneMap) -> list[tuple[Point, str, str]]:
    """Those inside the frame, with their names and tops; of very many those with the largest figures."""
    listed = [(o.top.feet, o.position, o.name, words.level(o.top)) for o in event.section.written.obstacles]
    listed += [(o.top_ft, o.position, o.name, feet_msl(o.top_ft)) for o in near_of_files(plan.mission, event)]
    listed.sort(key=lambda row: -row[0])
    spots = [(chart.place(position), name, top) for _, position, name, top in listed]
    inside = [spot for spot in spots if chart.box.grown(-12).holds(Box(*spot[0], *spot[0]))]
    return inside[:MOST_OBSTACLES]
