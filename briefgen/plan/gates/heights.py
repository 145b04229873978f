"""How high the pass is over what stands there: listed obstacles, the ground, and what nobody has looked at."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.geodesy import OffLine, beside_line_nm, off_line
from briefgen.diagnostics import KeyPath
from briefgen.plan.air import altitude_ft, position
from briefgen.plan.gates.by_hand import checked_by_hand
from briefgen.plan.gates.formation import places_key
from briefgen.plan.gates.precision import typed_uncertainty_nm
from briefgen.plan.gates.verdicts import DEFAULT, SUMS, UNIT, About, Limit, against, at_least, at_most, elevation_of, limit_of, no_limit, not_checked, words
from briefgen.plan.model import Gate, Leg, ShipOver
from briefgen.plan.pass_chain import PASS
from briefgen.plan.sortie import Sortie
from briefgen.records import record
from briefgen.units.values import FT_PER_NM

WITHIN_NM = 1.0  # obstacles further than this from every ship's track are left alone
OBSTACLES_AGE_DAYS = 28.0
TURN_DEG = 5.0  # a smaller change of course at the centre needs no turn that leaves the track
RADIUS_DEFAULT_FT = 2000.0
CHECKED = (*PASS, "obstacles_checked")


@record
class Near:
    """A listed obstacle and one ship: how near its track comes (the typed position's own uncertainty already taken off), how far above."""

    name: str
    ship: int
    away_nm: float
    clearance_ft: float
    index: int


def near_obstacles(s: Sortie) -> tuple[Near, ...]:
    """Every pair of listed obstacle and ship, for the run-in and the egress."""
    found, widest_nm = [], max((abs(ship.right_ft) for ship in s.event.ships), default=0.0) / FT_PER_NM
    for i, obstacle in enumerate(s.mission.file.event.pass_.obstacles):
        doubt_nm = typed_uncertainty_nm(str(s.mission.source.at((*PASS, "obstacles", i, "position"))), obstacle.position)
        top_ft = altitude_ft(s.mission, s.event.centre, obstacle.top)
        for leg in _legs(s):
            off = off_line(position(leg.start), position(leg.end), obstacle.position)
            if top_ft is not None and off.distance_nm <= WITHIN_NM + widest_nm + doubt_nm:
                found += [_near(obstacle.name, i, ship, leg, off=off, doubt_nm=doubt_nm, top_ft=top_ft) for ship in s.event.ships]
    return tuple(found)


def _near(name: str, index: int, ship: ShipOver, leg: Leg, *, off: OffLine, doubt_nm: float, top_ft: float) -> Near:
    away_nm = beside_line_nm(off, leg.distance_nm, ship.right_ft / FT_PER_NM)
    return Near(name, ship.ship, max(away_nm - doubt_nm, 0.0), lowest_on(leg) - ship.down_ft - top_ft, index)


def _legs(s: Sortie) -> list[Leg]:
    return [leg for leg in (s.event.run_in, s.event.egress) if leg is not None]


def lowest_on(leg: Leg) -> float:
    """The leader's lowest altitude MSL on a leg: of its two ends, since where on the leg it climbs is the pilot's choice."""
    return min(leg.start_altitude_ft, leg.altitude_ft)


def radius_of(s: Sortie) -> Limit:
    """The regime's radius around the track in nm."""
    limit = limit_of(s, None, "obstacle_radius_ft") or Limit(RADIUS_DEFAULT_FT, DEFAULT)
    return Limit(limit.value / FT_PER_NM, limit.source)


def least_clearance(s: Sortie) -> tuple[float, str] | None:
    """The least height in ft of a ship over what is listed within a mile of its track, or over the ground at the centre, and the name of what
    is under it (empty: the ground). None when neither an obstacle nor the ground's elevation is known. It asks for mission and event only."""
    rows = [(row.clearance_ft, row.name) for row in near_obstacles(s) if row.away_nm <= WITHIN_NM]
    if s.event.centre.elevation_ft is not None:
        rows.append((s.event.lowest_altitude_ft - s.event.centre.elevation_ft, ""))
    return min(rows, default=None)


# ---------------------------------------------------------------- the gates


def obstacles(s: Sortie) -> Iterator[Gate]:
    """The height over what is listed, inside the regime's radius of some ship's track and between it and a mile."""
    if s.event is None:
        return
    near = near_obstacles(s)
    yield _pass_height(s, near)
    yield _obstacles_near(s, near)


def _pass_height(s: Sortie, near: tuple[Near, ...]) -> Gate:
    """Inside the regime's radius of its track every ship is higher than the highest listed obstacle and the ground by the minimum height."""
    limit, radius = limit_of(s, s.mission.file.limits.pass_minimum_height, "assembly_height_ft"), radius_of(s)
    about = About("pass-height", "Lowest ship above what is listed under it", "ft", UNIT, ("limits", "pass_minimum_height"), "fly the pass higher")
    worst = _worst_inside(s, near, radius.value)
    if worst is None:
        return not_checked(about, "no listed obstacle is near, and the elevation under the pass isn't given", key=elevation_of(s.event.centre.id))
    clearance, ship, over = worst
    what = f"ship {ship} over {over or f'the ground at {s.event.centre.name}'}"
    source = f"{limit.source}; radius: {radius.source}" if limit is not None and limit.source != radius.source else radius.source
    about = about.but(title=f"{about.title}: {what} (listed obstacles only)", source=source)
    return replace(_pass_judged(s, about, clearance, limit), ship=ship, over=over or "the ground")


def _pass_judged(s: Sortie, about: About, clearance: float, limit: Limit | None) -> Gate:
    radius_nm = radius_of(s).value
    doubt = _doubt(s, radius_nm)
    if limit is None:
        return no_limit(about, clearance)
    if doubt and clearance >= limit.value:
        return not_checked(about, doubt, value=clearance, key=_doubt_key(s, radius_nm))
    return against(about, clearance, limit)


def _worst_inside(s: Sortie, near: tuple[Near, ...], radius_nm: float) -> tuple[float, int, str] | None:
    """The least clearance, whose and over what (empty: the ground at the centre); None when nothing is known."""
    rows = [(row.clearance_ft, row.ship, row.name) for row in near if row.away_nm <= radius_nm]
    if s.event.centre.elevation_ft is not None:
        lowest = min(s.event.ships, key=lambda ship: ship.altitude_ft)
        rows.append((lowest.altitude_ft - s.event.centre.elevation_ft, lowest.ship, ""))
    return min(rows, default=None)


def _doubt(s: Sortie, within_nm: float) -> str:
    """Why a good figure must not read PASS; empty when it may."""
    checked, missing = s.mission.file.event.pass_.obstacles_checked, _ships_without_a_place(s)
    if checked is None:
        return "nobody says that the list of obstacles is complete"
    if checked.within < within_nm:
        return f"obstacles were looked for within {checked.within:.2f} nm of the track only, not within {within_nm:.2f} nm"
    if checked.date is None:
        return "nobody has said when the obstacles were looked for"
    if (age := _age_days(s)) > OBSTACLES_AGE_DAYS:
        return f"the obstacles were checked {age:.0f} days before the sortie"
    return f"the place of ship {missing[0]} in the formation isn't known" if missing else ""


def _doubt_key(s: Sortie, within_nm: float) -> KeyPath:
    """What settles that doubt."""
    checked = s.mission.file.event.pass_.obstacles_checked
    if checked is None:
        return CHECKED
    if checked.within < within_nm:
        return (*CHECKED, "within")
    return (*CHECKED, "date") if checked.date is None or _age_days(s) > OBSTACLES_AGE_DAYS else places_key(s)


def _age_days(s: Sortie) -> float:
    return float((s.mission.date - s.mission.file.event.pass_.obstacles_checked.date).days)


def _ships_without_a_place(s: Sortie) -> list[int]:
    known = {ship.ship for ship in s.event.ships}
    return [ship.ship for ship in s.mission.file.flight if ship.ship not in known]


def _obstacles_near(s: Sortie, near: tuple[Near, ...]) -> Gate:
    """Between the radius and a mile of some ship's track no listed obstacle comes nearer below than the minimum height: a CAUTION, not a FAIL."""
    limit, radius = limit_of(s, s.mission.file.limits.pass_minimum_height, "assembly_height_ft"), radius_of(s)
    mend = "look where the flight goes when it is off its track, or fly higher"
    about = About(
        "obstacles-near", f"Listed obstacles {radius.value:.2f} to {WITHIN_NM:.0f} nm from a ship's track", "ft", DEFAULT, (*PASS, "obstacles"), mend
    )
    rows = [row for row in near if radius.value < row.away_nm <= WITHIN_NM]
    worst = min(rows, key=lambda row: row.clearance_ft, default=None)
    doubt, value = _doubt(s, WITHIN_NM), worst.clearance_ft if worst is not None else None
    if worst is not None:
        about = about.but(
            title=f"{about.title}: ship {worst.ship} above {worst.name} (listed obstacles only)", cause=(*PASS, "obstacles", worst.index)
        )
    if limit is not None and value is not None and value < limit.value:
        return at_least(about, value, limit.value, worse="CAUTION")
    if doubt:
        return not_checked(about, doubt, value=value, key=_doubt_key(s, WITHIN_NM))
    if value is None:
        return words(about, True, "none listed", "listed obstacles only")
    return no_limit(about, value) if limit is None else at_least(about, value, limit.value)


def obstacles_age(s: Sortie) -> Iterator[Gate]:
    """The obstacles were looked for not too long before the sortie."""
    if s.event is None:
        return
    checked = s.mission.file.event.pass_.obstacles_checked
    about = About("obstacles-age", "Days since the obstacles were checked", "days", DEFAULT, CHECKED, "look again, and write the new date")
    if checked is None or checked.date is None:
        key = CHECKED if checked is None else (*CHECKED, "date")
        yield not_checked(about, "nobody has said when the obstacles were looked for", key=key)
    else:
        yield at_most(about, _age_days(s), OBSTACLES_AGE_DAYS, worse="CAUTION")


def terrain(s: Sortie) -> Iterator[Gate]:
    """The program knows no terrain: it is checked by hand, or not at all."""
    if s.event is None:
        return
    under = "the run-in and the egress" if s.event.egress is not None else "the run-in"
    about = About("terrain", f"Terrain under {under}", "", SUMS, (*PASS, "run_in"))
    checked, key = s.mission.file.terrain_checked, ("terrain_checked",)
    why = "no terrain data are used: read it off the chart along every ship's track"
    yield not_checked(about, why, key=key) if checked is None else checked_by_hand(s, about, checked, key)


def egress_turn(s: Sortie) -> Iterator[Gate]:
    """The way from the run-in's course to the egress course is not drawn: what stands under that turn is not looked at."""
    if s.event is None:
        return
    about = About("egress-turn", "Turn after the pass", "deg", SUMS, (*PASS, "egress"), "")
    if s.event.egress is None:
        yield not_checked(about, "no egress is given: nothing is checked after the centre")
        return
    angle = abs(turn_deg(s.event.run_in.course_true_deg, s.event.egress.course_true_deg))
    checked, key = s.mission.file.event.pass_.egress.turn_checked, (*PASS, "egress", "turn_checked")
    if angle > TURN_DEG and checked is not None:
        yield checked_by_hand(s, about, checked, key)
    elif angle > TURN_DEG:
        yield not_checked(about, "the path of this turn is not worked out: look at the obstacles under it on the chart", value=angle, key=key)
    else:
        yield at_most(about, angle, TURN_DEG)


def permission_lowest(s: Sortie) -> Iterator[Gate]:
    """The lowest ship stays above the lowest height that was permitted."""
    if s.event is None:
        return
    permission = s.mission.file.event.permission
    about = About(
        "permission-lowest",
        "Lowest ship against the lowest height permitted",
        "ft MSL",
        "the permission",
        ("event", "permission", "lowest"),
        "fly higher",
    )
    if permission is None or permission.lowest is None:
        key = ("event", "permission") if permission is None else ("event", "permission", "lowest")
        yield not_checked(about, "no lowest height of a permission is given", value=s.event.lowest_altitude_ft, key=key)
        return
    limit = altitude_ft(s.mission, s.event.centre, permission.lowest)
    if limit is None:
        why = "it is above the ground, and the elevation under the pass isn't given"
        yield not_checked(about, why, value=s.event.lowest_altitude_ft, key=elevation_of(s.event.centre.id))
        return
    yield at_least(about, s.event.lowest_altitude_ft, limit)
