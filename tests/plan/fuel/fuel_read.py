"""Figures for the spreadsheet (fuel_sheet), read from a mission file by a plain YAML reader and a few regular
expressions.

Made for the shape of the demonstration missions; the clocks' offsets from Z are given by hand.  Fuel comes
out exactly, in the unit of the mission's cards, times of the day in seconds after midnight Z of the date at
the event.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime
from pathlib import Path

import yaml

KG_PER_LB = 0.45359237


def number(text: str) -> float:
    return float(re.match(r"-?[\d.]+", text)[0])


def middle(band: str) -> float:
    """Of a block such as 10000 to 14000 ft MSL."""
    low, high = re.findall(r"\d+", band)
    return (int(low) + int(high)) / 2


def seconds(text: str) -> float:
    return sum(
        float(n) * {"h": 3600, "min": 60, "s": 1}[unit]
        for n, unit in re.findall(r"([\d.]+) (h|min|s)\b", text)
    )


def spot(text: str) -> tuple[float, float]:
    """Degrees and minutes, as in 37°41.5'S 140°51.0'E, or degrees, as in 40.5N 100.0W."""
    if "°" not in text:
        (lat, ns), (lon, ew) = re.findall(r"([\d.]+) ?([NSEW])", text)
        return float(lat) * (1 if ns == "N" else -1), float(lon) * (1 if ew == "E" else -1)
    (d, m, ns), (e, f, ew) = re.findall(r"(\d+)°([\d.]+)'([NSEW])", text)
    return (int(d) + float(m) / 60) * (1 if ns == "N" else -1), (int(e) + float(f) / 60) * (
        1 if ew == "E" else -1
    )


def wind(row: dict) -> tuple[float, float, float]:
    direction, kt = re.match(r"(\d+)T/(\d+)kt", row["wind"]).groups()
    return number(row["level"]), float(direction), float(kt)


def default_step(tanks: float) -> float:
    """The largest usual step that is at most a 500th of the tanks."""
    return max(step for step in (0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100) if step * 500 <= tanks + 1e-9)


def read(path: Path, *, base_h: float, event_h: float) -> dict:
    """The figures of a mission. ``base_h`` and ``event_h``: hours that the clocks of base and event are ahead
    of Z."""
    m = yaml.load(path.read_text(encoding="utf-8"), getattr(yaml, "CBaseLoader", yaml.BaseLoader))
    card = m["fuel"]["display"]

    def fuel(text: str, density: float | None = None) -> float:
        amount, unit = number(text), text.split("/h", maxsplit=1)[0].rsplit(maxsplit=1)[-1]
        lb = amount if unit == "lb" else amount / KG_PER_LB if unit == "kg" else amount * density / KG_PER_LB
        return lb if card == "lb" else lb * KG_PER_LB

    def clock(text: str) -> float:
        time, whose = text.split()
        h, mi, s = re.match(r"(\d\d):?(\d\d):?(\d\d)?", time).groups()
        hours = {"base": base_h, "event": event_h, "Z": 0}.get(whose)
        return (
            int(h) * 3600 + int(mi) * 60 + int(s or 0) - (int(whose[:3]) if hours is None else hours) * 3600
        )

    place = {id: spot(p["position"]) for id, p in m["places"].items()}
    passing, training, home = m["event"]["pass"], m["training"], m["recovery"]
    hold, run_in, egress = passing["hold"], passing["run_in"], passing.get("egress")
    departure, transit, recovery = m["departure"][0], m["transit"][0], home["legs"][-1]
    cue = (
        m["event"]
        .get("script", {})
        .get(passing["time"].removeprefix("end of "), {"time": passing["time"], "lasts": "0 s"})
    )
    t = clock(cue["time"]) + seconds(cue["lasts"])
    takeoff = clock(m["ground_ops"]["takeoff"]) if "takeoff" in m["ground_ops"] else None
    types = {}
    for key, a in m["aircraft"].items():
        density = number(a["fuel_density"]) if "fuel_density" in a else None
        flows = {
            k: (
                [(number(ft), fuel(f, density)) for ft, f in v.items()]
                if isinstance(v, dict)
                else fuel(v, density)
            )
            for k, v in a["fuel_flow"].items()
        }
        types[key] = (
            flows,
            density,
            fuel(a["tiers"]["normal_landing"], density),
            (seconds(a["climb"]["time"]), number(a["climb"]["distance"])),
        )
    # the leader's
    block_ft = (
        middle(training["blocks"][m["flight"][0]["side"]])
        if "blocks" in training
        else number(departure["level"])
    )
    flown = [s["aircraft"] for s in m["flight"]]
    density = types[flown[0]][1]
    given = {
        "warm-up": training.get("warm_up", {}).get("fuel"),
        "set-up": training["setups"]["fuel_each"],
        "leave": training["leave"].get("fuel"),
        "rejoin": training["rejoin"].get("fuel"),
        "climb home": home["climb_fuel"],
        "approach": home["approach"].get("fuel"),
    }
    return {
        "file": path.name,
        "lb": 1.0 if card == "lb" else 1 / KG_PER_LB,
        "round_up_to": fuel(m["fuel"]["round_up_to"]),
        "midnight": datetime.fromisoformat(m["sortie"]["date"]).replace(tzinfo=UTC),
        "places": {
            "base": place[m["ground_ops"]["base"]],
            "entry": place[departure["to"]],
            "exit": place[training["leave"]["by"]],
            "hold": place[hold["at"]],
            "ip": place[run_in["from"]],
            "centre": place[passing["over"]],
        },
        "centre id": passing["over"],
        "elevation": number(m["places"][m["ground_ops"]["base"]]["elevation"]),
        "winds": [wind(row) for row in m["weather"]["winds"] if "MSL" in row["level"]],
        "area": [spot(p) for p in training["area"]["boundary"]],
        "takeoff": None if takeoff is None else t - (t - takeoff) % 86400,
        "T": t,
        "departure": (number(departure["level"]), number(departure["speed"])),
        "climb": max(types[a][3] for a in flown),
        "rejoin_ft": number(training["rejoin"]["level"]),
        "block_ft": block_ft,
        "gather": seconds(m["ground_ops"].get("takeoff_interval", "0 s")) * (len(m["flight"]) - 1),
        "takeoff_interval": seconds(m["ground_ops"].get("takeoff_interval", "0 s")),
        "warm_up": seconds(training.get("warm_up", {}).get("time", "0 s")),
        "each": seconds(training["setups"]["each"]),
        "setups": int(training["setups"]["planned"]),
        "leave": seconds(training["leave"]["time"]),
        "rejoin": seconds(training["rejoin"]["time"]),
        "transit": (number(transit["level"]), number(transit["speed"])),
        "hold_ft": number(hold["level"]),
        "hold_kt": number(hold["speed"]),
        "hold_planned": seconds(hold.get("planned", "0 s")),
        "slip_late": seconds(m["event"].get("accept_slip", {}).get("late", "0 s")),
        "run_in_ft": number(run_in["level"]),
        "run_in_kt": number(run_in["speed"]),
        "push_up_kt": number(passing["push_up_to"]) if "push_up_to" in passing else None,
        "acceleration": number(run_in["formation_acceleration"]),
        "deceleration": number(run_in["formation_deceleration"]),
        "late_bias": seconds(passing.get("late_bias", "0 s")),
        "egress": (number(egress["course"]), number(egress["distance"]), number(egress["speed"]))
        if egress
        else None,
        "egress_ft": number(egress["level"]) if egress else None,
        "home": [(place[leg["to"]], number(leg["level"]), number(leg["speed"])) for leg in home["legs"]],
        "recovery": (number(recovery["level"]), number(recovery["speed"])),
        "approach": seconds(home["approach"]["time"]),
        "landing_interval": seconds(home["landing_interval"]),
        "given": {k: None if v is None else fuel(v, density) for k, v in given.items()},
        "ground": fuel(m["ground_ops"]["start_to_takeoff_fuel"], density),
        "reserve": seconds(m["fuel"]["reserve"]),
        "pad": fuel(m["fuel"]["joker_pad"], density),
        "ships": [
            {
                "place": i,
                "step": default_step(
                    fuel(m["aircraft"][s["aircraft"]]["fuel_capacity"], types[s["aircraft"]][1])
                ),
                "factor": number(s.get("burn_factor", "1.0")),
                "flows": types[s["aircraft"]][0],
                "start": fuel(s["start_fuel"], types[s["aircraft"]][1]),
                "normal_landing": types[s["aircraft"]][2],
            }
            for i, s in enumerate(m["flight"])
        ],
    }
