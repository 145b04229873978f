"""How fast: the unit's cap over the centre, Mach 1, the aircraft's own limits, and the cap below 10 000
ft."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import (
    PASS,
    About,
    against,
    at_least,
    at_most,
    limit_of,
    no_limit,
    not_checked,
    words,
)
from briefgen.plan.model import EventPlan, Gate, Leg
from briefgen.plan.route.air import Speeds, air_at, speeds_on_course
from briefgen.plan.sortie import Sortie
from briefgen.units.blank import named
from briefgen.units.values import Speed, SpeedKind

LOW_FT = 10000.0


@record
class Flown:
    """One speed of the sortie in every way it can be limited. ``lowest_ft``: the lowest altitude MSL at which
    it is flown."""

    what: str
    kinds: dict[SpeedKind, float]
    lowest_ft: float
    cause: KeyPath


def speeds_flown(s: Sortie) -> list[Flown]:
    """Every leg, the hold and the speed over the centre. The climb after take-off has no speed in the file,
    and is not among them."""
    found = [speed for leg in s.legs for speed in _of_leg(s, leg)]
    for p in s.passes:
        if p.hold is not None:
            kinds: dict[SpeedKind, float] = {"KCAS": p.hold.cas_kt, "KTAS": p.hold.tas_kt}
            found.append(Flown(f"the hold at {p.hold.fix.id}", kinds, p.hold.altitude_ft, p.hold.cause))
        reached = p.push.reached_kt if p.push is not None else p.run_in_kt
        kinds = {"KCAS": p.pass_cas_kt, "MACH": p.pass_mach, "KGS": reached}
        key = p.section.key("push_up_to")
        found.append(Flown(f"over {p.centre.id}", kinds, p.run_in.altitude_ft, key))
    return found


def _of_leg(s: Sortie, leg: Leg) -> Iterator[Flown]:
    """One speed, and where the leg is flown between two levels those at both ends too: a true airspeed is the
    fastest calibrated one at the bottom."""
    lowest = leg.altitude_ft if leg.climb is not None else min(leg.start_altitude_ft, leg.altitude_ft)
    yield Flown(leg.between, _kinds(leg), lowest, leg.cause)
    for feet in (leg.start_altitude_ft, leg.altitude_ft) if leg.between_levels else ():
        speeds = speeds_on_course(air_at(s.mission, leg.end, feet), leg.course_true_deg, leg.speed)
        if not isinstance(speeds, str):
            yield Flown(leg.between, _kinds(speeds), feet, leg.cause)


def _kinds(flown: Leg | Speeds) -> dict[SpeedKind, float]:
    return {"KCAS": flown.cas_kt, "KTAS": flown.tas_kt, "MACH": flown.mach, "KGS": flown.gs_kt}


def pass_speed(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """Speed over the centre against the unit's cap: as pushed up, and where the push-up can't be flown as it
    is planned in the file."""
    cap, run_in, reached = (
        s.mission.file.limits.pass_maximum_speed,
        p.run_in,
        _planned_over_centre_kt(p),
    )
    about = text("pass-speed")
    planned = speeds_on_course(run_in.air, run_in.course_true_deg, Speed(reached, "KGS"))
    if isinstance(planned, str):
        yield not_checked(about, planned, key=(*PASS, "push_up_to"))
    elif cap is None:
        yield no_limit(about, planned.cas_kt)
    else:
        unit, value = _as_capped(cap.kind, planned)
        yield at_most(about.but(unit=unit), value, cap.value)


def _planned_over_centre_kt(p: EventPlan) -> float:
    if p.push is not None:
        return p.push.reached_kt
    return p.push_up_to_kt if p.late_bias_s > 0 else p.run_in_kt


def _as_capped(kind: str, planned: Speeds) -> tuple[str, float]:
    """Unit and value in the kind of speed that the cap was typed in."""
    match kind:
        case "MACH":
            return "Mach", planned.mach
        case "KTAS":
            return "KTAS", planned.tas_kt
        case "KGS":
            return "kt over the ground", planned.gs_kt
    return "KCAS", planned.cas_kt


def mach(s: Sortie) -> Iterator[Gate]:
    """Nothing is planned at or above the speed of sound."""
    flown = [speed for speed in speeds_flown(s) if "MACH" in speed.kinds]
    if not flown:
        return
    fastest = max(flown, key=lambda speed: speed.kinds["MACH"])
    value = fastest.kinds["MACH"]
    about = text("mach", what=fastest.what).but(cause=fastest.cause)
    yield words(about, value < 1.0, f"{value:.2f}", "below 1")


def aircraft_fast(s: Sortie) -> Iterator[Gate]:
    """No planned speed above the maximum of any type in the flight."""
    about = text("aircraft-fast")
    limits = [
        (a.name, a.speed_limits.maximum.kind, a.speed_limits.maximum.value)
        for a in s.mission.types_in_flight()
        if _has(a, "maximum")
    ]
    limits += [
        (a.name, "MACH", a.speed_limits.maximum_mach)
        for a in s.mission.types_in_flight()
        if _has(a, "maximum_mach")
    ]
    yield _tightest(s, about, limits, key="maximum")


def aircraft_slow(s: Sortie) -> Iterator[Gate]:
    """No planned speed below the minimum of any type in the flight."""
    about = text("aircraft-slow")
    limits = [
        (a.name, a.speed_limits.minimum.kind, a.speed_limits.minimum.value)
        for a in s.mission.types_in_flight()
        if _has(a, "minimum")
    ]
    yield _tightest(s, about, limits, key="minimum")


def _has(aircraft, key: str) -> bool:
    return aircraft.speed_limits is not None and getattr(aircraft.speed_limits, key) is not None


def _tightest(s: Sortie, about: About, limits: list[tuple[str, str, float]], *, key: str) -> Gate:
    """The pair of speed and limit with the least margin, as a part of the limit. ``key``: which of the
    aircraft's limits."""
    sign = 1.0 if key == "maximum" else -1.0
    rows = [
        (sign * (limit - f.kinds[kind]) / limit, kind, f, name, limit)
        for name, kind, limit in limits
        for f in speeds_flown(s)
        if kind in f.kinds
    ]
    missing = [
        a.name for a in s.mission.types_in_flight() if not any(name == a.name for name, _, _ in limits)
    ]
    worst = min(rows, key=lambda row: row[0], default=None)
    if worst is None or (missing and worst[0] >= 0):
        type_id = next(
            (id for id, a in s.mission.file.aircraft.items() if a.name in missing),
            s.mission.file.flight[0].aircraft,
        )
        why = (
            f"the {missing[0]} has no such limit given" if missing else "nothing is flown that it could limit"
        )
        return not_checked(about, why, key=("aircraft", type_id, "speed_limits", key))
    _, kind, flown, name, limit = worst
    about = about.but(
        title=f"{about.title}: {flown.what}, {name}",
        unit="Mach" if kind == "MACH" else kind,
        cause=flown.cause,
    )
    compare = at_most if sign > 0 else at_least
    return compare(about, flown.kinds[kind], limit)


def low_speed(s: Sortie) -> Iterator[Gate]:
    """Below 10 000 ft nothing is faster than the regime's cap, egress included, without an authority for
    it."""
    flown = [speed for speed in speeds_flown(s) if speed.lowest_ft < LOW_FT]
    if not flown:
        return
    fastest = max(flown, key=lambda speed: speed.kinds["KCAS"])
    authority, value = named(s.mission.file.limits.speed_authority), fastest.kinds["KCAS"]
    own = s.mission.file.limits.speed_below_10000_ft
    limit = limit_of(s, own.value if own is not None else None, "speed_below_10000_kt", most=True)
    about = text("low-speed", what=fastest.what).but(cause=fastest.cause)
    if limit is None:
        yield no_limit(about, value, key=("limits", "speed_below_10000_ft"))
    elif authority and value > limit.value:
        yield words(
            about.but(
                source=limit.source.also(f"authority: {authority}", "permission"),
                cause=("limits", "speed_authority"),
            ),
            True,
            f"{value:.0f}",
            f"{limit.value:.0f} without authority",
        )
    else:
        yield against(about.but(source=limit.source), value, limit)
