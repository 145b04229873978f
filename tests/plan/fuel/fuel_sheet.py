"""A spreadsheet of a sortie's times and fuel: plain arithmetic on figures read by fuel_read, none of the
program's own code.

Distances and courses come from pyproj (another library than the program's).  A sortie has one departure leg,
a block, one transit leg, a hold, a run-in, with or without a push-up and an egress by ground speed, legs
home.  Times are seconds after midnight Z, fuels in the unit of the mission's cards.
"""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import ceil, cos, floor, radians, sin, sqrt

from pyproj import Geod

EARTH = Geod(ellps="WGS84")


def line(a: tuple[float, float], b: tuple[float, float]) -> tuple[float, float]:
    """(nm, initial course) from a to b, each (lat, lon)."""
    course, _, metres = EARTH.inv(a[1], a[0], b[1], b[0])
    return metres / 1852, course % 360


def onward(a: tuple[float, float], course: float, nm: float) -> tuple[float, float]:
    lon, lat, _ = EARTH.fwd(a[1], a[0], course, nm * 1852)
    return lat, lon


def wind_at(levels: list[tuple[float, float, float]], ft: float) -> tuple[float, float]:
    """(north, east) components in kt of where the wind blows from, linear between levels (ft, from, kt)."""
    parts = [(h, kt * cos(radians(d)), kt * sin(radians(d))) for h, d, kt in levels]
    for (h0, n0, e0), (h1, n1, e1) in pairwise(parts):
        if h0 <= ft <= h1:
            f = (ft - h0) / (h1 - h0)
            return n0 + f * (n1 - n0), e0 + f * (e1 - e0)
    return parts[0][1:] if ft < parts[0][0] else parts[-1][1:]


def mean_wind(levels, low: float, high: float) -> tuple[float, float]:
    """Mean over a band, from a thousand slices."""
    slices = [wind_at(levels, low + (high - low) * (i + 0.5) / 1000) for i in range(1000)]
    return sum(s[0] for s in slices) / 1000, sum(s[1] for s in slices) / 1000


def ground_speed(tas: float, course: float, wind: tuple[float, float]) -> float:
    """Along the course, with the heading that keeps it: head and cross component of the wind."""
    c = radians(course)
    head, cross = wind[0] * cos(c) + wind[1] * sin(c), wind[1] * cos(c) - wind[0] * sin(c)
    return sqrt(tas**2 - cross**2) - head


def fly(nm: float, kt: float) -> float:
    return nm / kt * 3600


def air_ft(start_ft: float, level_ft: float) -> float:
    """The height whose air a leg is flown through: half way where its level changes by more than 3000 ft."""
    return (start_ft + level_ft) / 2 if abs(level_ft - start_ft) > 3000 else level_ft


def durations(m: dict) -> dict[str, float]:
    """Seconds of each row, the hold being what is left between the chain from take-off and the chain from
    T."""
    p, w = m["places"], m["winds"]
    row: dict[str, float] = {}
    nm, course = line(p["base"], p["entry"])
    ft, tas = m["departure"]
    climb_s, climb_nm = m["climb"]
    climbed = (
        ground_speed(climb_nm / climb_s * 3600, course, mean_wind(w, m["elevation"], ft)) * climb_s / 3600
    )
    row["climb"] = climb_s
    row["departure"] = fly(nm - climbed, ground_speed(tas, course, wind_at(w, ft)))
    row |= {
        "gather": m["gather"],
        "warm-up": m["warm_up"],
        "set-ups": m["each"] * m["setups"],
        "leave": m["leave"],
        "rejoin": m["rejoin"],
    }
    nm, course = line(p["exit"], p["hold"])
    ft, tas = m["transit"]
    row["transit"] = fly(nm, ground_speed(tas, course, wind_at(w, air_ft(m["rejoin_ft"], ft))))

    v0, a = m["run_in_kt"], m["acceleration"]
    nm, course = line(p["hold"], p["ip"])
    u = ground_speed(m["hold_kt"], course, wind_at(w, m["hold_ft"]))
    rate = a if v0 > u else m["deceleration"]
    changing_s, changing_nm = abs(v0 - u) / rate, abs(v0**2 - u**2) / (7200 * rate)
    row["hold to IP"] = changing_s + fly(nm - changing_nm, v0)
    run_nm, _ = line(p["ip"], p["centre"])
    push_nm = push_up(m, row) if m["push_up_kt"] else 0.0
    row["run-in"] = fly(run_nm - push_nm, v0)
    if m["egress"]:
        course, nm, kt = m["egress"]
        row["egress"] = fly(nm, kt)
        p["out"] = onward(p["centre"], course, nm)
    at = p.get("out", p["centre"])
    for i, (end, _, tas) in enumerate(m["home"]):
        nm, course = line(at, end)
        row[f"home {i}"], at = fly(nm, ground_speed(tas, course, wind_at(w, home_ft(m, i)))), end
    row["approach"] = m["approach"]
    before = sum(
        row[k] for k in ("climb", "departure", "gather", "warm-up", "set-ups", "leave", "rejoin", "transit")
    )
    after = sum(row.get(k, 0.0) for k in ("hold to IP", "run-in", "push-up"))
    if m["takeoff"] is None:  # worked back so that the planned hold results, down to a whole second
        m["takeoff"] = floor(m["T"] - after - m["hold_planned"] - before)
    row["hold"] = (m["T"] - after) - (m["takeoff"] + before)
    return row


def push_up(m: dict, row: dict[str, float]) -> float:
    """How far before the centre the flight accelerates to make up the late bias; how long that takes becomes
    a row."""
    v0, v1, a = m["run_in_kt"], m["push_up_kt"], m["acceleration"]
    t_a, s_a = (v1 - v0) / a, (v1**2 - v0**2) / (7200 * a)
    gained = 3600 * s_a / v0 - t_a
    push_nm = s_a + (m["late_bias"] - gained) / (3600 * (1 / v0 - 1 / v1))
    row["push-up"] = t_a + fly(push_nm - s_a, v1)
    return push_nm


def home_ft(m: dict, i: int) -> float:
    """The height whose air a leg home is flown through: from the egress (without one the run-in) or the leg
    before it."""
    return air_ft(m["home"][i - 1][1] if i else m["egress_ft"] or m["run_in_ft"], m["home"][i][1])


def way_home_s(m: dict, spot: tuple[float, float], from_ft: float) -> float:
    """Direct at the recovery's level and speed, from the height flown there."""
    nm, course = line(spot, m["places"]["base"])
    ft, tas = m["recovery"]
    return fly(nm, ground_speed(tas, course, wind_at(m["winds"], air_ft(from_ft, ft))))


def flow(value, ft: float | None) -> float:
    """A flow an hour: a number, or rows (ft, flow) read in between; the greatest where no height is known."""
    if not isinstance(value, list):
        return value
    if ft is None:
        return max(f for _, f in value)
    (h0, f0), (h1, f1) = value
    return f0 + (f1 - f0) * min(max((ft - h0) / (h1 - h0), 0), 1)


def burns(m: dict, ship: dict) -> list[tuple[str, float]]:
    """(row, exact fuel) of one ship, burn factor included, set-ups one by one, without the ground and the
    wait to land."""
    s, f, flows = durations(m), ship["factor"], ship["flows"]

    def flown(row: str, key: str, ft: float | None) -> tuple[str, float]:
        # a hold that is reached too late gives nothing back
        return (
            row,
            flow(flows[key], ft) * max(s[row], 0.0) / 3600 * f,
        )

    def given_or(row: str, key: str, ft: float | None) -> tuple[str, float]:
        fuel = m["given"].get(row)
        return flown(row, key, ft) if fuel is None else (row, fuel * f)

    def gathered(ship: dict) -> tuple[str, float]:
        """Till the last ship is in the area: each ship waits for those that took off after it."""
        later = (len(m["ships"]) - 1 - ship["place"]) / (len(m["ships"]) - 1)
        return "gather", flow(flows["cruise"], area_ft) * m["gather"] * later / 3600 * f

    area_ft = m["departure"][0]
    return [
        flown("climb", "climb", None),
        flown("departure", "cruise", area_ft),
        *([gathered(ship)] if m["gather"] else []),
        *([given_or("warm-up", "training", m["block_ft"])] if m["warm_up"] else []),
        *[("set-up", m["given"]["set-up"] * f)] * m["setups"],
        given_or("leave", "cruise", m["block_ft"]),
        given_or("rejoin", "cruise", m["rejoin_ft"]),
        flown("transit", "transit", air_ft(m["rejoin_ft"], m["transit"][0])),
        flown("hold", "hold", m["hold_ft"]),
        flown("hold to IP", "run_in", m["run_in_ft"]),
        flown("run-in", "run_in", m["run_in_ft"]),
        *([flown("push-up", "push_up", m["run_in_ft"])] if "push-up" in s else []),
        *([flown("egress", "recovery", m["egress_ft"])] if m["egress"] else []),
        ("climb home", m["given"]["climb home"] * f),
        *(flown(f"home {i}", "recovery", home_ft(m, i)) for i in range(len(m["home"]))),
        given_or("approach", "recovery", None),
    ]


def up(fuel: float, step: float) -> float:
    """To the next step above, in decimals: 0.6 is three steps of 0.2."""
    return float(ceil(Fraction(repr(round(fuel, 6))) / Fraction(repr(step))) * Fraction(repr(step)))


def down(fuel: float, step: float) -> float:
    return float(floor(Fraction(repr(round(fuel, 6))) / Fraction(repr(step))) * Fraction(repr(step)))


def sheet(m: dict, ship: dict) -> dict:
    """Everything about one ship, exactly, nothing rounded: burns and what is left after each, reserve,
    landing fuel, joker, bingos."""
    f = ship["factor"]
    rows = burns(m, ship)
    hold_flow = flow(ship["flows"]["hold"], m["hold_ft"])
    wait = flow(ship["flows"]["recovery"], None) * ship["place"] * m["landing_interval"] / 3600 * f
    reserve = hold_flow * m["reserve"] / 3600 * f
    landing = max(reserve, ship["normal_landing"]) + wait
    tail = dict(rows[[row for row, _ in rows].index("leave") :])
    longer_hold = hold_flow * max(durations(m)["hold"], m["hold_planned"]) / 3600 * f
    slip = hold_flow * m["slip_late"] / 3600 * f
    begins = {
        "hold": m["hold_ft"],
        "ip": m["run_in_ft"],
        "centre": m["run_in_ft"],
        "out": m["egress_ft"],
        "area": m["block_ft"],
    }
    home = {
        name: way_home_s(m, m["places"][name], begins[name])
        for name in ("hold", "ip", "centre", "out")
        if name in m["places"]
    }
    home["area"] = max(way_home_s(m, corner, begins["area"]) for corner in m["area"])
    way = {
        k: flow(ship["flows"]["recovery"], air_ft(begins[k], m["recovery"][0])) * s / 3600 * f
        for k, s in home.items()
    }
    # engines running, each ship waits on the ground for those that take off before it
    ground = m["ground"] + flow(ship["flows"]["ground"], None) * ship["place"] * m["takeoff_interval"] / 3600
    left, all_left = ship["start"] - ground, []
    for _, fuel in rows:
        left -= fuel
        all_left.append(left)
    return {
        "burns": [fuel for _, fuel in rows],
        "left": all_left,
        "before block": ship["start"] - ground - rows[0][1] - rows[1][1],
        "reserve": reserve,
        "landing": landing,
        "joker": sum(tail.values()) - tail["hold"] + longer_hold + slip + landing + m["pad"],
        "bingo": {k: tail["climb home"] + fuel + tail["approach"] + landing for k, fuel in way.items()},
        "landing predicted": left - wait,
        "seconds": durations(m),
        "start": ship["start"],
        "wait": wait,
    }
