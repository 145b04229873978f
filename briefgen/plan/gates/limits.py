"""Height, speed, area, fuel, light and duty against their limits."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from briefgen.airmath.geodesy import off_line
from briefgen.plan.air import position
from briefgen.plan.fuel_flight import landing_floor
from briefgen.plan.gates.verdicts import DEFAULT, UNIT, About, at_least, at_most, no_limit, not_after, not_before, not_checked, words
from briefgen.plan.model import Gate
from briefgen.plan.pass_chain import PASS
from briefgen.plan.sortie import Sortie

OBSTACLES_WITHIN_NM = 1.0


def pass_height(s: Sortie) -> Iterator[Gate]:
    """The lowest ship clears the highest listed obstacle near the run-in and the egress by the minimum height."""
    if s.event is None:
        return
    pass_, limit = s.mission.file.event.pass_, s.mission.file.limits.pass_minimum_height
    about = About("pass-height", "Lowest ship above the highest listed obstacle", "ft", UNIT, ("limits", "pass_minimum_height"), "fly the pass higher")
    tops = _near_obstacles_ft(s)
    if pass_.obstacles_checked is None:
        yield not_checked(about, "obstacles_checked is missing: nobody says that the list of obstacles is complete", value=_clearance(s, tops))
        return
    clearance = _clearance(s, tops)
    if clearance is None:
        yield not_checked(about, "no listed obstacle is near, and the elevation under the pass isn't given")
    elif limit is None:
        yield no_limit(about, clearance)
    else:
        yield at_least(About(about.id, f"{about.title} (listed obstacles only)", "ft", UNIT, about.cause, about.mend), clearance, limit)


def _near_obstacles_ft(s: Sortie) -> list[float]:
    legs = [leg for leg in (s.event.run_in, s.event.egress) if leg is not None]
    found = []
    for obstacle in s.mission.file.event.pass_.obstacles:
        away = min(off_line(position(leg.start), position(leg.end), obstacle.position).distance_nm for leg in legs)
        if away <= OBSTACLES_WITHIN_NM:
            found.append(obstacle.top.feet)
    return found


def _clearance(s: Sortie, tops: list[float]) -> float | None:
    ground = s.event.centre.elevation_ft
    heights = [*tops, *([ground] if ground is not None else [])]
    return s.event.lowest_altitude_ft - max(heights) if heights else None


def pass_speed(s: Sortie) -> Iterator[Gate]:
    """Speed over the centre against the unit's cap, and never at Mach 1."""
    if s.event is None:
        return
    cap = s.mission.file.limits.pass_maximum_speed
    about = About("pass-speed", "Speed over the centre", "KCAS", UNIT, ("limits", "pass_maximum_speed"), "a lower push-up speed")
    if cap is None:
        yield no_limit(about, s.event.pass_cas_kt)
    elif cap.kind != "KCAS":
        about = About("pass-speed", "Speed over the centre", "kt over the ground", UNIT, about.cause, about.mend)
        reached = s.event.push.reached_kt if s.event.push is not None else s.event.run_in_kt
        yield at_most(about, reached, s.event.maximum_gs_kt) if s.event.maximum_gs_kt is not None else no_limit(about, reached)
    else:
        yield at_most(about, s.event.pass_cas_kt, cap.value)
    mach = About("pass-mach", "Subsonic over the centre", "Mach", "14 CFR 91.817 (from memory, verify)", (*PASS, "push_up_to"), "a lower push-up speed", never_waived=True)
    fastest = max([s.event.pass_mach, *(leg.mach for leg in s.legs)])
    yield words(mach, fastest < 1.0, f"{fastest:.2f}", "below 1")


def area_reserved(s: Sortie) -> Iterator[Gate]:
    """Every minute in the area lies inside its reservation."""
    training, reserved = s.mission.file.training, s.mission.times.reserved
    if training is None or s.clock.area_entry is None:
        return
    cause = ("training", "area", "reserved")
    about = About("area-reserved", "Training inside the area's reservation", "instant", "the reservation", cause)
    leave = next((p.end for p in s.clock.phases if p.kind == "leave"), s.clock.training_end)
    if reserved is None:
        yield not_checked(about, "the area's reservation is not given")
        return
    first = About("area-entry", "Area entered after its reservation begins", "instant", about.source, cause, "enter later, or have the area earlier")
    last = About("area-exit", "Area left before its reservation ends", "instant", about.source, cause, "leave earlier, or have the area longer")
    yield not_before(first, s.clock.area_entry, reserved.start)
    yield not_after(last, leave, reserved.end)


# ---------------------------------------------------------------- fuel


def fuel_order(s: Sortie) -> Iterator[Gate]:
    """emergency < minimum <= normal landing <= bingo < joker, for every ship, as printed."""
    about = About("fuel-order", "Fuel figures in their order", "", "computation of this plan; the unit's tiers", ("fuel",), "", never_waived=True)
    if s.fuel is None:
        yield not_checked(about, "fuel can't be worked out: the notes say what is missing")
        return
    known, problems = False, []
    for ship in s.fuel.ships:
        ladder = _ladder(ship)
        known = known or len(ladder) > 1
        problems += [
            f"ship {ship.ship}: {low} {a} must be {'below' if strict else 'at most'} {high} {b}"
            for (low, a, _), (high, b, strict) in zip(ladder, ladder[1:], strict=False)
            if a > b or (strict and a == b)
        ]
    if not known:
        yield not_checked(about, "no tiers are given")
        return
    mended = About(about.id, about.title, "", about.source, about.cause, "; ".join(problems[:3]), never_waived=True)
    yield words(mended, not problems, "in order" if not problems else "out of order", "in order")


def _ladder(ship) -> list[tuple[str, int, bool]]:
    """(name, printed figure, must it be strictly above the one before)."""
    tiers = {tier.id: tier.printed for tier in ship.tiers}
    bingos = [b.sum.figure for b in (ship.bingo_training, ship.bingo_event) if b is not None]
    rows = [
        ("emergency", tiers.get("emergency"), False),
        ("minimum", tiers.get("minimum"), True),
        ("normal landing", tiers.get("normal_landing"), False),
        ("bingo", min(bingos, default=None), False),
        ("joker", ship.joker.figure if ship.joker is not None else None, True),
    ]
    return [row for row in rows if row[1] is not None]


def landing_fuel(s: Sortie) -> Iterator[Gate]:
    """Every ship lands with at least what is required; below the emergency figure no waiver helps."""
    if s.fuel is None:
        about = About("landing-fuel", "Landing fuel of every ship", "", UNIT, ("fuel",))
        yield not_checked(about, "fuel can't be worked out: the notes say what is missing")
        return
    unit, lowest = s.fuel.unit, min(s.fuel.ships, key=lambda ship: ship.landing_predicted)
    nearest = min(s.fuel.ships, key=lambda ship: ship.landing_predicted - landing_floor(ship))
    mend = "more fuel, a shorter hold or fewer set-ups"
    about = About("landing-fuel", f"Landing fuel against what is required (ship {nearest.ship})", unit, "reserve and normal landing, as computed", ("fuel", "reserve"), mend)
    yield at_least(about, nearest.landing_predicted, landing_floor(nearest))
    emergency = max((t.printed for ship in s.fuel.ships for t in ship.tiers if t.id == "emergency" and t.printed is not None), default=None)
    last = About("landing-emergency", f"Lowest landing fuel (ship {lowest.ship}) above emergency fuel", unit, UNIT, ("aircraft",), "more fuel", never_waived=True)
    yield no_limit(last, lowest.landing_predicted) if emergency is None else at_least(last, lowest.landing_predicted, emergency)


def joker_kept(s: Sortie) -> Iterator[Gate]:
    """Every ship ends the training at or above its joker."""
    if s.training is None or s.fuel is None:
        return
    rows = [(ship.training_end_predicted - ship.joker.figure, ship) for ship in s.fuel.ships if ship.joker and ship.training_end_predicted is not None]
    about = About("joker", "Fuel at the end of training against joker", s.fuel.unit, "computation of this plan", ("training", "setups"), "fewer set-ups or more fuel")
    if not rows:
        yield not_checked(about, "joker can't be worked out")
        return
    _, worst = min(rows, key=lambda row: row[0])
    named = About(about.id, f"{about.title} (ship {worst.ship})", about.unit, about.source, about.cause, about.mend)
    yield at_least(named, worst.training_end_predicted, worst.joker.figure)


def setups_enough(s: Sortie) -> Iterator[Gate]:
    """At least the set-ups that make the training worth flying."""
    if s.training is None:
        return
    about = About("set-ups", "Set-ups flown", "set-ups", UNIT, ("training", "setups", "minimum"), "take off earlier, or carry more fuel")
    if s.mission.file.training.setups.minimum is None:
        yield no_limit(about, s.training.setups_flown)
        return
    yield at_least(about, s.training.setups_flown, s.training.setups_minimum)


# ---------------------------------------------------------------- light and duty


def daylight_pass(s: Sortie) -> Iterator[Gate]:
    """The sun is up at the pass, over the whole accepted slip."""
    sun = next((sun for sun in s.suns if sun.used_for == "the pass"), None)
    if sun is None:
        return
    slip = s.mission.file.event.accept_slip
    latest = s.event.true_time + timedelta(seconds=slip.late if slip is not None else 0.0)
    about = About("daylight-pass", "Pass in daylight, slip included", "instant", DEFAULT, (*PASS, "time"), "an earlier time, or a night approval")
    yield from _in_daylight(about, sun, latest, 0.0)


def daylight_landing(s: Sortie) -> Iterator[Gate]:
    """The last ship lands so long before sunset as the unit asks."""
    sun = next((sun for sun in s.suns if sun.used_for == "last landing"), None)
    if sun is None:
        return
    before = s.mission.file.limits.land_before_sunset
    about = About("daylight-landing", "Last landing before sunset", "instant", UNIT, ("limits", "land_before_sunset"), "an earlier take-off, or less training")
    if before is None:
        yield no_limit(about, s.clock.last_landing)
        return
    yield from _in_daylight(about, sun, s.clock.last_landing, before)


def _in_daylight(about: About, sun, at, before_s: float) -> Iterator[Gate]:
    if sun.sunset is None:
        up = "up all day" in sun.words
        yield words(about, up, f"the sun is {sun.words}", "daylight")
    elif sun.sunrise is not None and at < sun.sunrise < sun.sunset:
        yield not_before(about, at, sun.sunrise)
    else:
        limit = sun.sunset - timedelta(seconds=before_s)
        yield not_after(about, at, limit)


def duty_period(s: Sortie) -> Iterator[Gate]:
    """From the report to the end of the debrief."""
    limit = s.mission.file.limits.duty_period
    about = About("duty-period", "Duty period", "s", UNIT, ("limits", "duty_period"), "a later report, or a shorter day")
    if s.clock.report is None or s.clock.duty_end is None:
        yield not_checked(about, "needs ground_ops.report and recovery.debrief")
        return
    slip = s.mission.file.event.accept_slip if s.mission.file.event is not None else None
    length = (s.clock.duty_end - s.clock.report).total_seconds() + (slip.late if slip is not None else 0.0)
    yield no_limit(about, length) if limit is None else at_most(about, length, limit)
