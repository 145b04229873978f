"""The turns between a pass and its repeat: a leg that begins with one takes its time, and is straight from
where the turn rolls out."""

from __future__ import annotations

from dataclasses import replace

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.geodesy import from_plane, to_plane
from briefgen.airmath.turn_to import turn_to
from briefgen.airmath.wind import NoSolution
from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.hold import heading_at_end
from briefgen.plan.model import Leg, Point
from briefgen.plan.route import air as plan_air
from briefgen.plan.route.air import position
from briefgen.plan.route.legs import leg_between

COUNTED_DEG = 30.0  # our own bound: a smaller turn takes no time
BANK_DEG = 30.0  # a default of this program, where the pass has no hold with a bank of its own


def with_turn(mission: Mission, leg: Leg, before: Leg, bank_deg: float) -> tuple[Leg, list[Diagnostic]]:
    """The leg with the turn onto it from the one before, flown over its start; as it is where it turns by no
    more than ``COUNTED_DEG``. An error where no turn leads to its end."""
    heading = heading_at_end(mission, before)
    if abs(turn_deg(heading, leg.heading_true_deg)) <= COUNTED_DEG:
        return leg, []
    there = to_plane(position(leg.start), position(leg.end))
    turn = turn_to(
        heading,
        east_nm=there.east_nm,
        north_nm=there.north_nm,
        tas_kt=leg.tas_kt,
        bank_deg=bank_deg,
        wind=plan_air.wind_of(leg.air),
    )
    if isinstance(turn, NoSolution):
        message = f"the turn from {leg.start.id} to {leg.end.id} can't be flown: {turn.reason}"
        help = "put the next point of the way further out, or fly it slower"
        return leg, [Diagnostic("turn", "error", message, help=help, cause=leg.cause)]
    spot = from_plane(position(leg.start), turn.east_nm, turn.north_nm)
    out = Point(leg.start.id, leg.start.name, spot.lat_deg, spot.lon_deg, leg.start.elevation_ft)
    straight, found = leg_between(
        mission,
        leg.kind,
        out,
        leg.end,
        level=leg.level,
        speed=leg.speed,
        begins=leg.begins,
        cause=leg.cause,
        level_key=leg.level_key,
    )
    if straight is None:
        return leg, found
    whole = replace(
        straight,
        start=leg.start,
        distance_nm=straight.distance_nm + turn.ground_nm,
        time_s=straight.time_s + turn.seconds,
        turn_s=turn.seconds,
        straight_from=out,
    )
    return whole, found
