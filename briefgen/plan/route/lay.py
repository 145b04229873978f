"""Where everything is flown: the pieces of a sortie laid one after the other, without a clock.

Each piece begins where, how high and on which leg the one before it ended. What the file leaves out, a leg to
the hold or the way home, is taken direct, with a caution.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, takewhile

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.geodesy import distance_nm, inverse
from briefgen.core.diagnostics import Diagnostic, KeyPath, has_errors
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import BlockSection, PassSection, Section, WaySection
from briefgen.mission.schema.line_to_add import line_to_add
from briefgen.plan.event.hold import heading_at_end, hold_shape
from briefgen.plan.event.pass_chain import plan_pass_chain
from briefgen.plan.model import Height, Leg, LegKind, PassChain, Point
from briefgen.plan.model.laid import Block, Laid, LaidPass, Route, Way
from briefgen.plan.route import air as plan_air
from briefgen.plan.route.air import point_of, position
from briefgen.plan.route.legs import has_climb, leg_between, with_climb
from briefgen.plan.route.turning import BANK_DEG, COUNTED_DEG, with_turn
from briefgen.units.values import Speed

JOINED_NM = 0.1  # our own bound: where a way ends this near to what it leads to, no leg is missing


@record
class Here:
    """Where the flight is between two pieces, and the leg that it flew last, None before the first."""

    point: Point
    height: Height
    last: Leg | None = None

    def after(self, legs: tuple[Leg, ...]) -> Here:
        """Where it is after legs from here."""
        return Here(legs[-1].end, legs[-1].ends, legs[-1]) if legs else self


def lay(mission: Mission) -> tuple[Route | None, list[Diagnostic]]:
    """The route of the sortie; None with every error that keeps a leg of it from being flown."""
    base = point_of(mission, mission.file.ground_ops.base)
    here, laid = Here(base, Height(base.elevation_ft or 0.0)), list[Laid]()
    found: list[Diagnostic] = []
    for section, following in pairwise((*mission.flow, None)):
        if section is mission.flow[-1] and has_errors(found):
            break
        piece, more = _laid(mission, section, following, here)
        found += more
        if piece is not None:
            laid.append(piece)
            here = (
                Here(piece.exit, piece.exit_height, here.last)
                if isinstance(piece, Block)
                else here.after(piece.legs)
            )
    return (None if has_errors(found) else Route(tuple(laid))), found


def _laid(
    mission: Mission, section: Section | None, following: Section | None, here: Here
) -> tuple[Laid | None, list[Diagnostic]]:
    match section:
        case BlockSection():
            return _block(mission, section, here), []
        case PassSection():
            return _pass(mission, section, here)
        case WaySection(kind="recovery"):
            legs, found = home_from(mission, here)
            return Way(section, legs), found
        case WaySection():
            legs, found = _way(mission, section, following, here)
            return Way(section, legs), found
    return None, []


def _pass(mission: Mission, section: PassSection, here: Here) -> tuple[LaidPass | None, list[Diagnostic]]:
    chain, found = plan_pass_chain(mission, section)
    if chain is None:
        return None, found
    shape, more = hold_shape(mission, chain, here.last)
    return LaidPass(chain, shape), [*found, *more, *_turn_onto_run_in(mission, section, chain, here)]


def _turn_onto_run_in(
    mission: Mission, section: PassSection, chain: PassChain, here: Here
) -> Iterator[Diagnostic]:
    """A further pass without a hold begins on its run-in: a turn onto it at the IP is in no time."""
    if section.number == 1 or chain.leave_hold is not None or here.last is None:
        return
    off_deg = abs(turn_deg(heading_at_end(mission, here.last), chain.run_in.heading_true_deg))
    if off_deg > COUNTED_DEG:
        ip = chain.run_in.start.id
        message = f"the way to {ip} ends {off_deg:.0f} degrees off the run-in"
        why = "the turn at the IP would come out of the run-in, and T with it"
        help = f"end the way with a point before {ip}, in line with the run-in"
        yield Diagnostic("turn", "error", message, why=why, help=help, cause=section.key("run_in", "from"))


# ---------------------------------------------------------------- a block of training


def _block(mission: Mission, section: BlockSection, here: Here) -> Block:
    training, way_in_ft = section.written, here.last.flow_ft if here.last is not None else None
    exit_point = point_of(mission, training.leave.by) if training.leave is not None else here.point
    level = training.rejoin.level if training.rejoin is not None else None
    rejoin_ft = plan_air.altitude_ft(mission, exit_point, level) if level is not None else None
    height = here.height if rejoin_ft is None else Height(rejoin_ft, (*section.cause, "rejoin", "level"))
    first = section is mission.first_piece
    return Block(section, first, way_in_ft, here.point, exit_point, height)


# ---------------------------------------------------------------- a way


def _way(
    mission: Mission, section: WaySection, following: Section | None, here: Here
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    legs, found = _typed_legs(mission, section, here)
    if isinstance(following, PassSection) and following.number > 1 and not has_errors(found):
        legs, more = _with_turns(mission, following, legs, here)
        found += more
    if isinstance(following, PassSection) and not has_errors(found):
        before = takewhile(lambda s: s is not section, mission.flow)
        from_base = not legs and here.last is None and not any(isinstance(s, BlockSection) for s in before)
        kind: LegKind = "departure" if from_base else section.kind
        missing, more = _assumed_way_to_pass(mission, following, kind, here.after(legs))
        legs, found = (*legs, *missing), [*found, *more]
    if legs and legs[0].kind == "departure" and not has_errors(found):
        first, more = with_climb(mission, legs[0])
        legs, found = (first, *legs[1:]), [*found, *more]
    return legs, found


def _with_turns(
    mission: Mission, section: PassSection, legs: tuple[Leg, ...], here: Here
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    """The way back to a pass over the same event, with its turns."""
    hold, before = section.written.hold, here.last
    bank_deg = BANK_DEG if hold is None else hold.bank
    turned: list[Leg] = []
    found: list[Diagnostic] = []
    for leg in legs:
        own, more = (leg, []) if before is None else with_turn(mission, leg, before, bank_deg)
        turned.append(own)
        found += more
        before = own
    return tuple(turned), found


def _assumed_way_to_pass(
    mission: Mission, section: PassSection, kind: LegKind, here: Here
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    """Where the legs of the file end short of the hold (without one the IP): direct there at its level and
    speed, with a caution."""
    hold, run_in = section.written.hold, section.written.run_in
    fix_id, part = (hold.at, hold) if hold is not None else (run_in.from_, run_in)
    fix = point_of(mission, fix_id)
    gap_nm = distance_nm(position(here.point), position(fix))
    if gap_nm <= JOINED_NM:
        return (), []
    name, at = ("hold", "at") if hold is not None else ("run_in", "from")
    cause = section.key(name, at)
    leg, found = leg_between(
        mission,
        kind,
        here.point,
        fix,
        level=part.level,
        speed=part.speed,
        begins=here.height,
        cause=cause,
        level_key=section.key(name, "level"),
        climbed=kind == "departure" and has_climb(mission),
    )
    message = (
        f"no leg leads from {here.point.id} to {fix.id}, {gap_nm:.1f} nm: it is taken direct, at the level"
        " and speed flown there"
    )
    why, help = (
        "the time at the hold or the IP, and the fuel, hang on it",
        f"end `{kind}` with a leg to {fix.id}",
    )
    return ((leg,) if leg is not None else ()), [
        Diagnostic("no-leg", "caution", message, why=why, help=help, cause=cause),
        *found,
    ]


def _typed_legs(
    mission: Mission, section: WaySection, here: Here
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    legs: list[Leg] = []
    found: list[Diagnostic] = []
    at, height, climbs = here.point, here.height, section.kind == "departure" and has_climb(mission)
    for i, spec in enumerate(section.written):
        end = point_of(mission, spec.to)
        if inverse(position(at), position(end)).course_start_deg is None:
            found.append(_skipped(at, end, (*section.cause, i)))
            continue
        leg, more = leg_between(
            mission,
            section.kind,
            at,
            end,
            level=spec.level,
            speed=spec.speed,
            begins=height,
            cause=(*section.cause, i),
            climbed=climbs and not legs,
        )
        found += more
        at = end
        if leg is not None:
            legs.append(leg)
            height = leg.ends
    return tuple(legs), found


def _skipped(here: Point, end: Point, cause: KeyPath) -> Diagnostic:
    message = f"the leg {here.id} to {end.id} has no length, and is skipped: both ends are the same spot"
    return Diagnostic(
        "no-length",
        "caution",
        message,
        why="no time and no fuel is planned for it",
        help="leave the leg out, or mend a position",
        cause=cause,
    )


# ---------------------------------------------------------------- the way home


def home_from(mission: Mission, here: Here) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    """The way home: the recovery legs, without any direct as the leg flown last; none where the flight is at
    its base."""
    section = next(s for s in reversed(mission.flow) if isinstance(s, WaySection))
    legs, found = _typed_legs(mission, section, here)
    base = point_of(mission, mission.file.ground_ops.base)
    if not legs:
        at_base = here.last is None or distance_nm(position(here.point), position(base)) <= JOINED_NM
        if at_base or has_errors(found):
            return (), found
        return _assumed_way_home(mission, section, here.point, here.last)
    short_nm = distance_nm(position(legs[-1].end), position(base))
    if short_nm <= JOINED_NM:
        return legs, found
    message = (
        f"the recovery legs end at {legs[-1].end.id}, {short_nm:.1f} nm from {base.id}: the approach is"
        " counted from there"
    )
    why = "landing time and fuel are right only if the approach covers the rest"
    help = f"add a leg to {base.id}, or make sure of the approach's time and fuel"
    return legs, [*found, Diagnostic("no-leg", "caution", message, why=why, help=help, cause=legs[-1].cause)]


def _assumed_way_home(
    mission: Mission, section: WaySection, start: Point, last: Leg
) -> tuple[tuple[Leg, ...], list[Diagnostic]]:
    base = point_of(mission, mission.file.ground_ops.base)
    speed, cause = Speed(last.tas_kt, "KTAS"), section.cause[:1]
    leg, found = leg_between(
        mission,
        "recovery",
        start,
        base,
        level=last.level,
        speed=speed,
        begins=last.ends,
        cause=cause,
        level_key=last.level_key,
    )
    message = f"no recovery legs: home is taken direct from {start.id} at the last leg's level and speed"
    caution = Diagnostic(
        "no-recovery",
        "caution",
        message,
        why="landing time and fuel hang on it",
        help=line_to_add(
            mission.file, section.cause, f"[{{to: {base.id}, level: 5000 ft MSL, speed: 240 KTAS}}]"
        ),
        cause=cause,
    )
    return ((leg,) if leg is not None else ()), [caution, *found]
