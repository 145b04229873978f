"""The formation: how many, how far apart, how steep, and who leads when ship 1 has fallen out."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from briefgen.airmath.formation import apart_ft
from briefgen.core.diagnostics import KeyPath
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import (
    PASS,
    UNIT,
    About,
    against,
    at_least,
    at_most,
    limit_of,
    no_limit,
    not_checked,
    words,
)
from briefgen.plan.model import EventPlan, Gate
from briefgen.plan.sortie import Sortie

RUN_IN = (*PASS, "run_in")
LEAST_APART_FT = 20.0  # between the middles of two aircraft: less is a slip of the pen, whatever the type


def _ships(s: Sortie) -> int:
    return len(s.mission.file.flight)


def formation_size(s: Sortie) -> Iterator[Gate]:
    """No more ships over the event than the unit or its regime allows."""
    if not s.passes or _ships(s) < 2:
        return
    limit = limit_of(s, s.mission.file.limits.formation_size, "formation_size", most=True)
    about = text("formation-size").but(source=limit.source if limit is not None else UNIT)
    ships = float(_ships(s))
    yield (
        no_limit(about, ships, key=("limits", "formation_size"))
        if limit is None
        else against(about, ships, limit)
    )


def places_key(p: EventPlan) -> KeyPath:
    """What gives the ships their places: a named formation lacks its spacing, else each ship its offsets."""
    run_in = p.section.written.run_in
    return (
        (*RUN_IN, "spacing")
        if run_in.formation is not None and run_in.spacing is None
        else (*RUN_IN, "offsets")
    )


def formation_spacing(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Every ship has a place of its own in the formation, and no two are in one spot."""
    if _ships(s) < 2:
        return
    about = text("formation-spacing")
    known = {ship.ship for ship in p.ships}
    missing = [ship.ship for ship in s.mission.file.flight if ship.ship not in known]
    if missing:
        yield not_checked(
            about,
            f"the place of ship {missing[0]} isn't known: give a formation with its spacing, or offsets",
            key=places_key(p),
        )
        return
    pairs = [((apart_ft(a, b)), a.ship, b.ship) for a, b in combinations(p.ships, 2)]
    apart, one, other = min(pairs)
    yield at_least(about.but(title=f"{about.title}: {one} and {other}"), apart, LEAST_APART_FT)


def step_down(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """No wingman above the leader, and a step between one ship and the next."""
    if _ships(s) < 2:
        return
    run_in, wingmen = p.section.written.run_in, [ship for ship in p.ships if ship.ship != 1]
    about = text("step-down")
    if not wingmen or (run_in.step_down is None and not run_in.offsets):
        why = "nobody has said how far each wingman flies below the leader"
        yield not_checked(about, why, key=(*RUN_IN, "step_down") if wingmen else places_key(p))
        return
    highest = min(wingmen, key=lambda ship: ship.down_ft)
    level = highest.down_ft == 0.0
    about = about.but(title=f"{about.title}: ship {highest.ship}")
    yield (
        words(about, False, "level with the leader", "below the leader", worse="CAUTION")
        if level
        else at_least(about, highest.down_ft, 0.0)
    )


def standard_formation(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Every wingman within the distances of a standard formation; beyond them it takes an authority (a waiver
    of this gate)."""
    if _ships(s) < 2:
        return
    for key, reach in (
        ("across", lambda ship: max(abs(ship.right_ft), abs(ship.back_ft))),
        ("vertical", lambda ship: abs(ship.down_ft)),
    ):
        limit = limit_of(
            s, getattr(s.mission.file.limits, f"formation_{key}"), f"standard_{key}_ft", most=True
        )
        about = text(f"standard-{key}").but(source=limit.source if limit is not None else UNIT)
        if len(p.ships) < _ships(s):
            yield not_checked(about, "the places of the ships aren't known", key=places_key(p))
            continue
        farthest = max(p.ships, key=reach)
        about = about.but(title=f"{about.title}: ship {farthest.ship}")
        yield (
            no_limit(about, reach(farthest), key=("limits", f"formation_{key}"))
            if limit is None
            else against(about, reach(farthest), limit)
        )


def vertical_rates(s: Sortie) -> Iterator[Gate]:
    """Every leg from the rejoin to the recovery descends and climbs no faster than the formation may."""
    limits = s.mission.file.limits
    legs = (
        *s.route.of_kind("transit"),
        *(leg for leg in s.legs if leg.kind in ("hold to IP", "run-in", "egress", "recovery")),
    )
    if not legs or _ships(s) < 2:
        return
    for way, limit, sign in (
        ("descent", limits.formation_descent_rate, -1.0),
        ("climb", limits.formation_climb_rate, 1.0),
    ):
        worst = max(legs, key=lambda leg: sign * leg.vertical_rate_ft_min)
        value = max(0.0, sign * worst.vertical_rate_ft_min)
        about = text(f"{way}-rate", between=worst.between).but(cause=worst.cause)
        yield (
            no_limit(about, value, key=("limits", f"formation_{way}_rate"))
            if limit is None
            else at_most(about, value, limit)
        )


# ---------------------------------------------------------------- who


def minimum_ships(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """How few ships still fly the pass is said, and the flight has as many."""
    if _ships(s) < 2:
        return
    about = text("minimum-ships")
    least = p.section.written.minimum_ships
    yield (
        no_limit(about, float(_ships(s)))
        if least is None
        else at_least(about, float(_ships(s)), float(least))
    )


def _unknown_lead(s: Sortie, about: About, ship: Ship, why: str = "") -> Gate:
    """Of a ship of which nobody has said whether it may lead, or who flies it."""
    at = ("flight", s.mission.file.flight.index(ship))
    if ship.captain is None:
        return not_checked(about, f"who flies ship {ship.ship} is still to be named", key=(*at, "crew"))
    return not_checked(about, why, key=(*at, "can_lead"))


def second_leader(s: Sortie) -> Iterator[Gate]:
    """Somebody beside ship 1 can lead, and where the fall-out of ship 1 names somebody, that ship can;
    whether one is named is asked by ``fall_outs``."""
    flight, fall_out = s.mission.file.flight, s.mission.file.contingencies.fall_outs.get(1)
    if len(flight) < 2:
        return
    about = text("second-leader")
    others = {ship.ship: ship for ship in flight if ship.ship != 1}
    named = fall_out.leads if fall_out is not None else None
    if named is not None:
        about = about.but(cause=("contingencies", "fall_outs", "1"))
        able = others[named].may_lead
        if able is None:
            yield _unknown_lead(s, about, others[named], f"nobody has said whether ship {named} may lead")
        else:
            said = f"ship {named} {'may lead' if able else 'may not lead'}"
            yield words(about, able, said, "one who may lead")
    elif second := next((ship for ship in others.values() if ship.may_lead), None):
        yield words(about, True, f"ship {second.ship} may lead", "one more")
    elif silent := next((ship for ship in others.values() if ship.may_lead is None), None):
        yield _unknown_lead(s, about, silent, "nobody has said of every ship whether it may lead")
    else:
        yield words(about, False, "only ship 1 may lead", "one more")


def first_time_lead(s: Sortie) -> Iterator[Gate]:
    """A leader who has never led a flypast is allowed, and must be seen."""
    if not s.passes:
        return
    lead = s.mission.file.flight[0]
    about = text("first-time-lead", leader=_name(lead))
    if lead.captain is None:
        yield _unknown_lead(s, about, lead)
    elif lead.flypasts_led is None:
        yield not_checked(about, f"nobody has said how many flypasts {lead.captain} has led")
    else:
        yield at_least(about, float(lead.flypasts_led), 1.0, worse="CAUTION")


def lead_can_lead(s: Sortie) -> Iterator[Gate]:
    """The leader may lead."""
    lead = s.mission.file.flight[0]
    if len(s.mission.file.flight) < 2:
        return
    about = text("lead-qualified", leader=_name(lead))
    if lead.may_lead is None:
        yield _unknown_lead(s, about, lead, f"nobody has said whether {lead.captain} may lead")
    else:
        yield words(about, lead.may_lead, "yes" if lead.may_lead else "no", "yes")


def _name(ship: Ship) -> str:
    return ship.captain or f"Captain of ship {ship.ship}"
