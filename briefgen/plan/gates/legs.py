"""How high every leg, the hold and the area pass over what is known to stand there, and who comes over the
event again outside the pass."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from functools import partial
from math import inf
from typing import Literal, TypeAlias

from briefgen.airmath.geodesy import distance_nm, off_line
from briefgen.core.diagnostics import has_errors
from briefgen.core.records import record
from briefgen.plan.fuel.of_mission import ways_home
from briefgen.plan.gates.mends import raised
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import (
    DEFAULT,
    UNIT,
    About,
    Limit,
    against,
    air_words,
    limit_of,
    not_checked,
    of_piece,
    of_training,
    too_low,
    words,
)
from briefgen.plan.heights.altimeter import true_altitude_ft
from briefgen.plan.heights.legs import (
    Over,
    Spot,
    Way,
    leg_way,
    over_hold,
    over_way,
    read_at,
    spots_of,
)
from briefgen.plan.heights.over_area import over_area
from briefgen.plan.heights.pass_heights import WITHIN_NM, legs_minimum_ft, pass_legs_minimum_ft
from briefgen.plan.model import EventPlan, Gate, Height, Leg, LowOver, Point, Source, Verdict
from briefgen.plan.one_block import each_block
from briefgen.plan.regimes import regime
from briefgen.plan.route.air import position
from briefgen.plan.route.diverts import legs_to_diverts
from briefgen.plan.route.lay import JOINED_NM
from briefgen.plan.route.legs import point_from
from briefgen.plan.sortie import Sortie
from briefgen.units.grammar import listed
from briefgen.units.values import FT_PER_NM

OVER_AGAIN_FT = 3000.0
AHEAD_NM = 8.0  # an abort without an egress is followed so far straight ahead
OF_THE_PASS = ("height-run-in", "height-egress", "height-abort")
# of a row of gates: its part of the id, its title, the ways that it judges, and its pass, if it is of one
Row: TypeAlias = tuple[str, str, list[Way], EventPlan | None]
KINDS = {"hold to IP": "hold-to-ip", "run-in": "run-in", "egress": "egress"}


def minimum_of(s: Sortie) -> Limit:
    """The unit's least height over what is known within a mile of a leg, else our default."""
    return Limit(
        legs_minimum_ft(s.mission), DEFAULT if s.mission.file.limits.legs_minimum_height is None else UNIT
    )


def pass_minimum_of(s: Sortie) -> Limit:
    """The same over the legs of the pass, where the unit's own for the pass stands before our default."""
    least_ft, limits = pass_legs_minimum_ft(s.mission), s.mission.file.limits
    own = limits.legs_minimum_height is not None or limits.pass_minimum_height == least_ft
    return Limit(least_ft, UNIT if own else DEFAULT)


def _rule_of(s: Sortie) -> Limit | None:
    """The least height that a rule asks for within its radius of the track, or the unit's own in its place:
    but for the pass, which has its own."""
    return limit_of(s, s.mission.file.limits.legs_minimum_height, "legs_height_ft")


def _radius_nm(s: Sortie) -> float:
    figure = regime(s.mission.file.limits.regime).figure("legs_radius_ft")
    return 0.0 if figure is None else figure.value / FT_PER_NM


def leg_heights(s: Sortie) -> Iterator[Gate]:
    """Every leg, abort, way home and way to a divert, the hold and the area's floor stay above what is known
    within a mile; a row for each that has something known under it. What isn't known is the terrain's row."""
    spots = spots_of(s.mission)
    for part, title, ways, p in ways_of(s):
        limits = limits_of(s, part)
        found = [over for way in ways for over in over_way(s.mission, way, spots, limits.most_ft)]
        rows = judged_height(f"height-{part}", title, found, limits=limits, named=len(ways) > 1)
        yield from rows if p is None else (of_piece(s, p, gate) for gate in rows)
    yield from _holds_and_area(s, spots, limits_of(s, ""))


def limits_of(s: Sortie, part: str) -> Limits:
    """Which least heights hold over what is under a way of ``ways_of``."""
    of_pass = f"height-{part}" in OF_THE_PASS
    limit = pass_minimum_of(s) if of_pass else minimum_of(s)
    return Limits(limit, None if of_pass else _rule_of(s), _radius_nm(s))


@record
class Added:
    """What is added to what is known under a way, and whose it is."""

    ft: float
    whose: Source | None


NOTHING = Added(0.0, None)


@record
class Limits:
    """Which least height holds over a spot: within a mile of the track the unit's own, else our default;
    within the radius of a rule, unless it lies so near for a take-off or a landing, what that asks for."""

    mile: Limit
    rule: Limit | None
    radius_nm: float

    def over(self, over: Over) -> Limit:
        near = over.away_nm <= self.radius_nm and not over.lands
        return self.rule if self.rule is not None and near else self.mile

    @property
    def most_ft(self) -> float:
        return max(self.mile.value, 0.0 if self.rule is None else self.rule.value)

    def low(self, over: Over) -> bool:
        """Below its limit, or where the unit's own is looser than the rule's, below that."""
        limit = self.over(over)
        least_ft = limit.value if limit.published is None else limit.published
        return over.clearance_ft is not None and over.clearance_ft < least_ft

    def fails(self, over: Over) -> bool:
        """Too low by more than our guess."""
        limit, clear_ft = self.over(over), over.clearance_ft
        return clear_ft is not None and clear_ft < limit.value and too_low(limit, clear_ft) == "FAIL"


def _holds_and_area(s: Sortie, spots: tuple[Spot, ...], limits: Limits) -> Iterator[Gate]:
    for p in s.passes:
        if p.hold is not None:
            found = over_hold(s.mission, p.hold, p.ships, spots, limits.most_ft)
            rows = judged_height("height-hold", "Hold", found, limits=limits, named=False)
            yield from (of_piece(s, p, gate) for gate in rows)
    for seen in each_block(s):
        found = over_area(seen.mission, spots, limits.most_ft)
        rows = judged_height("height-area", "Area", found, limits=limits)
        yield from (of_training(seen, gate) for gate in rows)


def judged_height(
    id: str,
    title: str,
    found: Iterable[Over],
    *,
    limits: Limits,
    named: bool = True,
    added: Added = NOTHING,
) -> Iterator[Gate]:
    """The worst of a row, one that fails whatever isn't given before one that hangs on it; ``named``: its way
    by name, since the row has several. ``added``: what the heights are less than they would be over what is
    there as it is known; what is too low only by that is a CAUTION."""
    rows = list(found)
    worst = min(rows, key=partial(_how_bad, limits), default=None)
    if worst is None:
        return
    limit = limits.over(worst)
    lowest = min(
        (LowOver(over.way, over.spot.name, over.clearance_ft or 0.0) for over in rows if limits.low(over)),
        key=lambda low: low.clearance_ft,
        default=None,
    )
    who = "" if worst.ship is None else f", ship {worst.ship}"
    about = About(
        id,
        f"{title}{f', {worst.way}' if named else ''}: height over {worst.spot.name}{who}",
        "ft",
        limit.source.beside("ground", added.whose) if added.whose is not None else limit.source,
        worst.cause,
    )
    about = _mended(
        about, rows, so_far=", in standard air" if worst.air is not None and worst.air.standard else ""
    )
    if worst.clearance_ft is None or (worst.climb is not None and worst.climb.decides):
        key = worst.climb.key if worst.climb is not None else None
        gate = not_checked(about, about.remedy, value=worst.clearance_ft, key=key)
    elif worst.air is not None and worst.clearance_ft >= limit.value:
        gate = not_checked(about, air_words(worst.air), value=worst.clearance_ft, key=worst.air.key)
    elif worst.spot.unsaid is not None and worst.clearance_ft >= limit.value:
        why = f"nobody says where the top of {worst.spot.name} is from"
        gate = not_checked(about, why, value=worst.clearance_ft, key=worst.spot.unsaid)
    else:
        bare_ft = worst.clearance_ft + added.ft
        worse: Verdict = too_low(limit, bare_ft) if bare_ft < limit.value else "CAUTION"
        gate = against(about, worst.clearance_ft, limit, worse=worse)
    yield replace(gate, lowest=lowest)


def _how_bad(limits: Limits, over: Over) -> tuple[int, bool, float]:
    """What fails for certain first, then what hangs on a climb, then on air that isn't given, on a height
    that nobody says the source of, then by its height."""
    waits = over.climb is not None and over.climb.decides
    low = limits.low(over) or bool(over.raised) or over.no_level or over.climb is not None
    rank = 1 if waits else 0 if low else 2 if over.air is not None else 4 if over.spot.unsaid is None else 3
    return rank, not limits.fails(over), inf if over.clearance_ft is None else over.clearance_ft


def _mended(about: About, rows: Sequence[Over], *, so_far: str) -> About:
    """With what would do for all that is too low on it."""
    if any(over.no_level for over in rows):
        return about.but(remedy="no level alone does it: climb out steeper, or another way")
    climbs = [over.climb for over in rows if over.climb is not None]
    return raised(
        about,
        (level for over in rows for level in over.raised),
        climb=max(climbs, key=lambda climb: climb.ft_min or 0.0, default=None),
        so_far=so_far,
    )


def flown_names(s: Sortie) -> list[str]:
    """All that is flown, by name; legs that follow each other as one."""
    holds, areas = _holds_and_areas(s)
    legs = _chained(s.legs)
    return [*legs, *(f"the hold at {fix}" for fix in holds), *(f"the area {name}" for name in areas)]


def parts_of(s: Sortie) -> str:
    """``every leg, the hold and the area``: all that is flown."""
    holds, areas = _holds_and_areas(s)
    return listed(["every leg", *_all_of("hold", holds), *_all_of("area", areas)], "and")


def _holds_and_areas(s: Sortie) -> tuple[list[str], list[str]]:
    """The fix of each hold and the name of each area."""
    flown = {training.id for training in s.trainings}
    holds = dict.fromkeys(p.hold.fix.id for p in s.passes if p.hold is not None)
    areas = dict.fromkeys(block.written.area.name for block in s.mission.blocks if block.id in flown)
    return list(holds), list(areas)


def _all_of(what: str, names: Sequence[str]) -> list[str]:
    """``the hold`` or ``the holds``, nothing where there is none."""
    return [f"the {what}{'s' if len(names) > 1 else ''}"] if names else []


def _chained(legs: Iterable[Leg]) -> list[str]:
    """``EXIT to HOLD to IP``: legs that follow each other as one."""
    chains: list[str] = []
    last: Point | None = None
    for leg in legs:
        joined = last is not None and leg.start.id == last.id
        chains[-1:] = [f"{chains[-1]} to {leg.end.said}"] if joined else [*chains[-1:], leg.between]
        last = leg.end
    return chains


# ---------------------------------------------------------------- what is flown


def ways_of(s: Sortie) -> Iterator[Row]:
    """Each row with the pass that it is of, None for the others, in flying order."""
    yield from _numbered(s, "departure")
    yield from _numbered(s, "transit")
    for p in s.passes:
        for leg in p.chain.legs:
            title = leg.kind.capitalize() if leg.kind != "hold to IP" else "Hold to IP"
            yield KINDS[leg.kind], title, [leg_way(s.mission, leg, p.ships)], p
        yield "abort", "Abort", list(_abort_ways(s, p)), p
    yield from _numbered(s, "recovery")
    yield "home", "Direct home", [_down(s, leg) for leg in _homes(s)], None
    yield "divert", "To a divert", [_down(s, leg) for leg in _to_diverts(s)], None


def _numbered(s: Sortie, kind: Literal["departure", "transit", "recovery"]) -> Iterator[Row]:
    ships, legs = s.passes[0].ships if s.passes else (), s.route.of_kind(kind)
    for i, leg in enumerate(legs, 1):
        grounds = [point for point in (leg.start, leg.end) if point.id == s.mission.base.id]
        takes_off = kind == "departure" and i == 1
        yield (
            f"{kind}-{i}",
            f"{kind.capitalize()} {leg.between}" if len(legs) > 1 else kind.capitalize(),
            [leg_way(s.mission, leg, ships, grounds=grounds, takes_off=takes_off)],
            None,
        )


def _down(s: Sortie, leg: Leg) -> Way:
    """A direct way of one ship to where it lands."""
    return replace(leg_way(s.mission, leg, (), grounds=(leg.end,)), ships=())


def _homes(s: Sortie) -> Iterator[Leg]:
    if s.mission.file.recovery is None or not s.legs:
        return  # no leg says at which level and speed home is flown
    ways, found = ways_home(s.mission, s.clock, s.passes)
    if not has_errors(found):
        yield from (way.leg for way in ways if way.leg is not None)


def _to_diverts(s: Sortie) -> Iterator[Leg]:
    if not s.legs:
        return
    starts = [block.exit for block in s.route.blocks]
    for p in s.passes:
        starts += [*([p.hold.fix] if p.hold is not None else []), p.centre]
    for start in starts:
        yield from legs_to_diverts(s, start)


def _abort_ways(s: Sortie, p: EventPlan) -> Iterator[Way]:
    """Begun anywhere on the run-in, at the latest over the centre: never below the lower of the run-in's and
    the abort's level, then up to it straight along the egress, without one straight ahead."""
    if p.abort is None or p.abort.altitude_ft is None:
        return
    run_in, to = p.run_in, Height(p.abort.altitude_ft, (*p.abort.cause, "level"))
    before = replace(leg_way(s.mission, run_in, p.ships), begins=run_in.ends, ends=to, cause=p.abort.cause)
    yield replace(before, name="begun on the run-in", climb_ft_per_nm=0.0)
    end = p.egress.end if p.egress is not None else _ahead(run_in)
    yield replace(before, name="climbing away", start=run_in.end, end=end)


def _ahead(run_in: Leg) -> Point:
    return point_from(
        "AHEAD",
        "Straight ahead",
        run_in.end,
        course_true_deg=run_in.course_true_deg,
        distance_nm=AHEAD_NM,
    )


# ---------------------------------------------------------------- over the event again


def over_again(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """No other leg comes within a mile of the spot flown over and less than 3000 ft above it: the checks of a
    pass are not made for it. Asked once for each event."""
    if p.section.number > 1:
        return
    about = text("over-again")
    found = [
        leg
        for leg in s.legs
        if leg.kind not in ("run-in", "egress") and not _joins(leg, p.centre) and _over(s, p, leg)
    ]
    said = ", ".join(leg.between for leg in found)
    yield words(
        about if not found else about.but(cause=found[0].cause),
        not found,
        said or "none",
        f"none within {WITHIN_NM:.0f} nm and {OVER_AGAIN_FT:.0f} ft",
        worse="CAUTION",
    )


def _joins(leg: Leg, centre: Point) -> bool:
    """True for a leg that begins or ends at the spot itself: it belongs to the pass."""
    return min(distance_nm(position(end), position(centre)) for end in (leg.start, leg.end)) <= JOINED_NM


def _over(s: Sortie, p: EventPlan, leg: Leg) -> bool:
    off = off_line(position(leg.start), position(leg.end), position(p.centre))
    if off.distance_nm > WITHIN_NM:
        return False
    way = leg_way(s.mission, leg, ())
    read_ft = read_at(way, off.along_nm)
    low_ft = leg.start_altitude_ft if read_ft is None else read_ft
    return true_altitude_ft(way.columns[-1], low_ft) - (p.centre.elevation_ft or 0.0) < OVER_AGAIN_FT
