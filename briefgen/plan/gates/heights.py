"""How high the pass is over what stands there: listed obstacles, the ground, and what nobody has looked
at."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date

from briefgen.airmath.angles import turn_deg
from briefgen.airmath.geodesy import distance_nm
from briefgen.core.diagnostics import KeyPath
from briefgen.plan.gates.by_hand import checked_by_hand
from briefgen.plan.gates.formation import places_key
from briefgen.plan.gates.legs import pass_minimum_of
from briefgen.plan.gates.mends import raised
from briefgen.plan.gates.permission import if_given
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import somebodys
from briefgen.plan.gates.verdicts import (
    AFTER_THE_SORTIE,
    DEFAULT,
    SUMS,
    About,
    Limit,
    against,
    air_words,
    at_least,
    at_most,
    elevation_of,
    if_named,
    limit_of,
    not_checked,
    too_low,
    words,
)
from briefgen.plan.heights.altimeter import column_at, reading_up_ft
from briefgen.plan.heights.legs import widest_nm
from briefgen.plan.heights.listed import SECTION, Stretch, line_of, no_answer
from briefgen.plan.heights.pass_heights import (
    MINIMUM_DEFAULT_FT,
    RADIUS_DEFAULT_FT,
    WITHIN_NM,
    Near,
    near_obstacles,
    pass_legs,
)
from briefgen.plan.model import EventPlan, Gate, Height, Leg
from briefgen.plan.route.air import altitude_ft, least_altitude_ft, point_of, position, qnh_station
from briefgen.plan.sortie import Sortie
from briefgen.units.blank import names_nothing
from briefgen.units.values import FT_PER_NM

OBSTACLES_AGE_DAYS = 28.0
UNDATED = "nobody has said when the obstacles were looked for"
TURN_DEG = 5.0  # a smaller change of course at the centre needs no turn that leaves the track


def radius_of(s: Sortie) -> Limit:
    """The regime's radius around the track in nm."""
    limit = limit_of(s, None, "obstacle_radius_ft") or Limit(RADIUS_DEFAULT_FT, DEFAULT)
    return Limit(limit.value / FT_PER_NM, limit.source)


def _minimum_of(s: Sortie) -> Limit:
    return limit_of(s, s.mission.file.limits.pass_minimum_height, "assembly_height_ft") or Limit(
        MINIMUM_DEFAULT_FT, DEFAULT
    )


def _levels(s: Sortie, p: EventPlan, legs: Iterable[Leg], *, also_ft: float = 0.0) -> Iterator[Height]:
    """The levels of some legs of the pass that keep not everybody above the floor, and above a true altitude
    of ``also_ft``, and the leader's reading that does: an egress that sinks is too low by its own level, one
    that climbs by the run-in's."""
    floor, step_ft, column = p.heights.floor, p.heights.step_ft, column_at(s.mission, p.centre)
    if floor is None or step_ft is None or p.heights.air is not None:
        return
    least_ft = max(floor.true_altitude_ft, also_ft)
    for leg in legs:
        sag_ft = leg.altitude_ft - least_altitude_ft(s.mission, leg, leg.altitude_ft)
        needed_ft = reading_up_ft(column, least_ft + step_ft + sag_ft)
        yield from (Height(needed_ft, at.key) for at in (leg.begins, leg.ends) if at.ft < needed_ft)


# ---------------------------------------------------------------- the gates


def obstacles(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The height over what is listed, inside the regime's radius of some ship's track and between it and a
    mile."""
    near = near_obstacles(s.mission, p.chain, p.ships)
    yield _pass_height(s, p, near)
    yield _obstacles_near(s, p, near)


def pass_minimum(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """No altimeter reads less over the centre than the card allows: every ship its MINIMUM, the leader LEAD
    NOT BELOW. What must not be undercut is not planned to be, whoever's figure makes it."""
    heights, lowest_ft, lead_ft = p.heights, p.lowest_altitude_ft, p.run_in.altitude_ft
    away = _ships_without_a_place(s, p)
    about = text("pass-minimum", lowest=_lowest(s)).but(
        source=DEFAULT if heights.floor is not None and heights.floor.default else SUMS
    )
    about = _with_station(s, p, raised(about, _levels(s, p, (p.run_in,))))
    if heights.minimum_ft is None:
        why, key = _no_minimum(p)
        yield not_checked(about, why, value=lowest_ft, key=key)
    elif lowest_ft < heights.minimum_ft or s.mission.alone:
        yield at_least(about, lowest_ft, heights.minimum_ft)
    elif heights.lead_ft is not None and (lead_ft < heights.lead_ft or not away):
        yield at_least(about.but(title="Leader: altimeter against LEAD NOT BELOW"), lead_ft, heights.lead_ft)
    else:
        whose = f"the place of ship {away[0]}" if away else "how far below its leader the lowest ship flies"
        why = f"{whose} in the formation isn't known"
        yield not_checked(about, why, value=lowest_ft, key=places_key(p))


def _with_station(s: Sortie, p: EventPlan, about: About) -> About:
    """Whose QNH the altimeters are set to, where none is given at the pass itself."""
    station = qnh_station(s.mission, p.centre)
    if station is None or station == p.centre.id:
        return about
    at = point_of(s.mission, station)
    away_nm = distance_nm(position(at), position(p.centre))
    said = f"by the QNH of {at.name}, {away_nm:.0f} nm away: {p.centre.name} has none"
    return about.but(source=about.source.also(said, "as given"))


def _no_minimum(p: EventPlan) -> tuple[str, KeyPath]:
    """Why the card has no MINIMUM, and the key that settles it."""
    if p.heights.floor is None:
        return "nothing under the pass is known", elevation_of(p.centre.id)
    return air_words(p.heights.air), p.heights.air.key


def _lowest(s: Sortie) -> str:
    return "Height" if s.mission.alone else "Lowest ship"


def _pass_height(s: Sortie, p: EventPlan, near: tuple[Near, ...]) -> Gate:
    """Inside the regime's radius of its track every ship is higher than the highest listed obstacle and the
    ground by the minimum height."""
    limit, radius = _minimum_of(s), radius_of(s)
    about = raised(text("pass-height", lowest=_lowest(s)), _levels(s, p, pass_legs(p.chain)))
    worst = _worst_inside(p, near, radius.value)
    if worst is None:
        return not_checked(
            about,
            "no listed obstacle is near, and the elevation under the pass isn't given",
            key=elevation_of(p.centre.id),
        )
    clearance, what = worst
    about = about.but(
        title=f"{about.title}: {what} (listed obstacles only)",
        source=limit.source.beside("radius", radius.source),
    )
    doubt = _doubt(s, p, near, radius.value)
    if doubt is not None and clearance >= limit.value:
        return not_checked(about, doubt[0], value=clearance, key=doubt[1])
    return against(about, clearance, limit, worse=too_low(limit, clearance))


def _worst_inside(p: EventPlan, near: tuple[Near, ...], radius_nm: float) -> tuple[float, str] | None:
    """The least clearance and over what; None when nothing is known."""
    rows = [
        (row.clearance_ft, f"ship {row.ship} over {row.said}") for row in near if row.away_nm <= radius_nm
    ]
    if p.centre.elevation_ft is not None:
        lowest = min(p.ships, key=lambda ship: ship.true_altitude_ft)
        rows.append(
            (
                lowest.true_altitude_ft - p.centre.elevation_ft,
                f"ship {lowest.ship} over the ground at {p.centre.name}",
            )
        )
    return min(rows, default=None)


def _doubt(s: Sortie, p: EventPlan, near: Iterable[Near], within_nm: float) -> tuple[str, KeyPath] | None:
    """Why a good figure must not read PASS, and the key that settles it; None when it may."""
    missing = _ships_without_a_place(s, p)
    if p.heights.air is not None:
        return air_words(p.heights.air), p.heights.air.key
    if (incomplete := _incomplete(s, p, within_nm)) is not None:
        return incomplete
    if (old := why_too_old(_age_days(s, p))) is not None:
        return old, (*_looked_up(s, p)[2], "date")
    for row in near:
        if row.away_nm <= within_nm and row.unsaid is not None:
            return f"nobody says where the top of {row.said} is from", row.unsaid
    return (
        (f"the place of ship {missing[0]} in the formation isn't known", places_key(p)) if missing else None
    )


def _incomplete(s: Sortie, p: EventPlan, within_nm: float) -> tuple[str, KeyPath] | None:
    """Why more may stand so near the tracks than is listed, and the key that settles it: what somebody has
    looked for counts, else what the files of obstacles cover."""
    checked, key = p.section.written.obstacles_checked, p.section.key
    if checked is None and s.mission.file.obstacles is not None:
        reach_nm = within_nm + widest_nm(p.ships)
        flown = [Stretch(leg.between, line_of(leg), reach_nm) for leg in pass_legs(p.chain)]
        return no_answer(s.mission, flown)
    if checked is None:
        return "nobody says that the list of obstacles is complete", key("obstacles_checked")
    if names_nothing(checked.source):
        return "nobody says where the obstacles were looked up", key("obstacles_checked", "source")
    if checked.within < within_nm:
        looked = f"obstacles were looked for within {checked.within:.2f} nm of the track only"
        return f"{looked}, not within {within_nm:.2f} nm", key("obstacles_checked", "within")
    return None


def _looked_up(s: Sortie, p: EventPlan) -> tuple[date | None, str | None, KeyPath]:
    """When and in what the obstacles of a pass were looked up, by hand or by the files, and the key of it."""
    checked, files = p.section.written.obstacles_checked, s.mission.file.obstacles
    if checked is None and files is not None:
        return files.date, files.source, SECTION
    key = p.section.key("obstacles_checked")
    return (None, None, key) if checked is None else (checked.date, checked.source, key)


def why_too_old(age_days: float | None) -> str | None:
    """What is wrong with the day on which the obstacles were looked for."""
    if age_days is None:
        return UNDATED
    if age_days < 0:
        return AFTER_THE_SORTIE
    old = f"the obstacles were checked {age_days:.0f} days before the sortie"
    return old if age_days > OBSTACLES_AGE_DAYS else None


def _age_days(s: Sortie, p: EventPlan) -> float | None:
    """Days from when the obstacles were looked for to the sortie; None where that isn't said."""
    return days_old(s, _looked_up(s, p)[0])


def days_old(s: Sortie, looked: date | None) -> float | None:
    """Days from a date on which something was looked for to the sortie; None where there is none."""
    return None if looked is None else float((s.mission.date - looked).days)


def _ships_without_a_place(s: Sortie, p: EventPlan) -> list[int]:
    known = {ship.ship for ship in p.ships}
    return [ship.ship for ship in s.mission.file.flight if ship.ship not in known]


def _obstacles_near(s: Sortie, p: EventPlan, near: tuple[Near, ...]) -> Gate:
    """Between the radius and a mile of some ship's track no listed obstacle comes nearer below than the
    minimum height: a CAUTION, not a FAIL."""
    limit, radius = _minimum_of(s), radius_of(s)
    about = text("obstacles-near", near=radius.value, far=WITHIN_NM)
    rows = [row for row in near if radius.value < row.away_nm <= WITHIN_NM]
    worst = min(rows, key=lambda row: row.clearance_ft, default=None)
    doubt, value = _doubt(s, p, near, WITHIN_NM), worst.clearance_ft if worst is not None else None
    if worst is not None:
        about = raised(
            about.but(
                title=f"{about.title}: ship {worst.ship} above {worst.said} (listed obstacles only)",
                cause=worst.cause,
            ),
            _levels(s, p, pass_legs(p.chain), also_ft=max(row.top_ft for row in rows) + limit.value),
        )
        about = about.but(remedy=f"look where the flight goes when it is off its track, or {about.remedy}")
    if value is not None and value < limit.value:
        return at_least(about, value, limit.value, worse="CAUTION")
    if doubt is not None:
        return not_checked(about, doubt[0], value=value, key=doubt[1])
    if value is None:
        return words(about, True, "none listed", "listed obstacles only")
    return at_least(about, value, limit.value)


def obstacles_age(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The obstacles were looked for not too long before the sortie."""
    about, age_days = text("obstacles-age"), _age_days(s, p)
    _, source, key = _looked_up(s, p)
    if age_days is None:
        yield not_checked(about, UNDATED, key=key if source is None else (*key, "date"))
    elif age_days < 0:
        yield not_checked(about, AFTER_THE_SORTIE, key=(*key, "date"))
    else:
        gate = at_most(about, age_days, OBSTACLES_AGE_DAYS, worse="CAUTION")
        yield if_named(about, gate, source or "", (*key, "source"))


def cold_air(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Below 0 C aloft the heights of the pass want the temperature where its QNH comes from: the forecast
    aloft alone may be too warm."""
    column = column_at(s.mission, p.centre)
    station = column.station.id or p.centre.id
    about = text("cold-air", station=station).but(cause=("weather", "at", station, "temperature"))
    aloft_c = p.run_in.air.temperature_c
    if column.station.temperature_c is None and not column.levels:
        yield not_checked(
            about, "no temperature is forecast, there or aloft: the air of the standard atmosphere is taken"
        )
    elif column.station.temperature_c is None:
        given = words(
            about,
            aloft_c >= 0.0,
            f"none, {aloft_c:.0f} C aloft",
            "given, or 0 C and more aloft",
            worse="CAUTION",
        )
        yield somebodys(s, given)
    else:
        given = words(about, True, f"{column.station.temperature_c:.0f} C", "given, or 0 C and more aloft")
        yield somebodys(s, given)


def egress_turn(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The way from the run-in's course to the egress course is not drawn: what stands under that turn is not
    looked at."""
    about = text("egress-turn")
    if p.egress is None:
        yield not_checked(about, "no egress is given: nothing is checked after the centre")
        return
    angle = abs(turn_deg(p.run_in.course_true_deg, p.egress.course_true_deg))
    checked, key = p.section.written.egress.turn_checked, p.section.key("egress", "turn_checked")
    if angle > TURN_DEG and checked is not None:
        yield checked_by_hand(s, about, checked, limit=pass_minimum_of(s), cause=key)
    elif angle > TURN_DEG:
        yield not_checked(
            about,
            "the path of this turn is not worked out: look at the obstacles under it on the chart",
            value=angle,
            key=key,
        )
    else:
        yield at_most(about, angle, TURN_DEG)


def permission_lowest(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The lowest ship stays truly above the lowest height that was permitted: cold air brings it nearer, warm
    air counts for nothing."""
    permission = p.section.event.written.permission
    about = raised(text("permission-lowest", lowest=_lowest(s)), _levels(s, p, (p.run_in,)))
    if permission is None or permission.lowest is None:
        key = ("event", "permission") if permission is None else ("event", "permission", "lowest")
        yield not_checked(
            about, "no lowest height of a permission is given", value=p.lowest_true_altitude_ft, key=key
        )
        return
    limit = altitude_ft(s.mission, p.centre, permission.lowest)
    if limit is None:
        why = "it is above the ground, and the elevation under the pass isn't given"
        yield not_checked(about, why, value=p.lowest_true_altitude_ft, key=elevation_of(p.centre.id))
        return
    air, value = p.heights.air, p.lowest_true_altitude_ft
    if air is not None and value >= limit:
        yield not_checked(about, air_words(air), value=value, key=air.key)
    else:
        yield if_given(p, about, at_least(about, value, limit))
