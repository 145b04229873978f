"""Missions written as a flow: a usual one with its sections in a list, and more passes behind the first."""

from __future__ import annotations

import re

from geographiclib.geodesic import Geodesic

from tests.places import TESTS

BY_HAND = (TESTS / "cases" / "ok-by-hand.yaml").read_text(encoding="utf-8")
KINDS = ("departure", "training", "transit", "event", "recovery")
NM_M = 1852.0
CENTRE = (40.667141, -100.0)


def sections_of(text: str) -> dict[str, str]:
    """The sections of a mission by their names, each from its key on."""
    parts = re.split(r"(?m)^(?=[a-z_]+:)", text)[1:]
    return {part.partition(":")[0]: part for part in parts}


def entry(section: str) -> str:
    """A section as an element of the flow."""
    lines = section.rstrip("\n").split("\n")
    return (
        "\n".join([f"  - {lines[0]}", *(f"    {line}" if line.strip() else line for line in lines[1:])])
        + "\n"
    )


def as_flow(text: str, *, event: str | None = None, more: str = "") -> str:
    """The same mission with a flow; ``event`` in place of its own, ``more`` between it and the recovery."""
    found = sections_of(text)
    common = "".join(part for name, part in found.items() if name not in KINDS)
    own = {**found, **({"event": event} if event is not None else {})}
    entries = [entry(own[kind]) for kind in KINDS if kind in own]
    return f"{common}flow:\n{''.join(entries[:-1])}{more}{entries[-1]}"


def south_of_centre(nm: float) -> str:
    """A position on the meridian of the case worked by hand, by geographiclib."""
    spot = Geodesic.WGS84.Direct(*CENTRE, 180.0, nm * NM_M)
    return f"{spot['lat2']:.6f}N 100.000000W"


ZONE = "time_zone: America/Chicago"
HILL = f"""
  HILL: {{position: "{south_of_centre(35)}", elevation: 0 ft MSL, {ZONE}, variation: 0.0 E}}
  HILLIP: {{position: "{south_of_centre(25)}", variation: 0.0 E}}
  HILLHOLD: {{position: "{south_of_centre(23)}", variation: 0.0 E}}
aircraft:
"""
AGAIN = """    again:
      - after: 20 min
        way: [{to: HOLD, level: 2000 ft MSL, speed: 300 KTAS}]
        hold: {at: HOLD}
        then: next pass
"""
TO_HILL = "  - transit: [{to: HILLHOLD, level: 2000 ft MSL, speed: 300 KTAS}]\n"


def three_passes() -> str:
    """Twice over CENTRE, 20 min apart, then over HILL, 35 nm further on."""
    text = BY_HAND.replace("\naircraft:\n", HILL, 1)
    event = sections_of(text)["event"]
    slips = "  relay_time: 10 s\n  accept_slip: {early: 60 s, late: %s}"
    first = event.replace("  relay_time: 10 s", "  id: PARK\n" + slips % "10 min")
    first = first.replace("    late_bias:", "    then: next pass\n    late_bias:")
    second = event.replace("  relay_time: 10 s", "  id: HILL\n" + slips % "2 min").replace(
        "over: CENTRE", "over: HILL"
    )
    second = (
        second.replace("from: IP", "from: HILLIP")
        .replace("at: HOLD", "at: HILLHOLD")
        .replace("13:57:30", "14:37:30")
    )
    return as_flow(text, event=first, more=AGAIN + TO_HILL + entry(second))


def hill_without_hold() -> str:
    """The same with HILL straight from its IP: 15 nm at 300 kt to it from the second egress, 14:21:40, and
    105 s from there."""
    text = three_passes().replace("14:37:30", "14:23:55").replace("to: HILLHOLD", "to: HILLIP")
    head, hill = text.split("      id: HILL\n", 1)
    hill, held = re.subn(r"\n +hold: .*", "", hill)
    assert held == 1
    return f"{head}      id: HILL\n{hill}"


def hill_between_laps(accepted: str = "10 min", own: str = "", later: str = "") -> str:
    """The same with a hold of HILL turned with 20 degrees of bank: what PARK accepts late, and what stands
    beside the ids of PARK and HILL."""
    head, hill = three_passes().split("      id: HILL\n", 1)
    head = head.replace("late: 10 min", f"late: {accepted}").replace("  id: PARK", f"  id: PARK{own}")
    return f"{head}      id: HILL{later}\n{hill.replace('bank: 30 deg', 'bank: 20 deg')}"


PLACE = f'\n  MOORIN: {{position: "{south_of_centre(20)}", variation: 0.0 E}}\naircraft:\n'
MOOR = """training:
  id: MOOR
  area:
    name: Moor
    boundary: ["40.10N 100.05W", "40.10N 99.95W", "40.33N 99.95W", "40.33N 100.05W"]
    floor: 6000 ft MSL
    top: 16000 ft MSL
    reserved: 1400 to 1420 Z
  warm_up: {time: 2 min, fuel: 100 lb}
  setups: {minimum: 1, each: 5 min, fuel_each: 200 lb}
  leave: {by: MOORIN, time: 2 min, fuel: 60 lb}
"""
TO_MOOR = "  - transit: [{to: MOORIN, level: 10000 ft MSL, speed: 360 KTAS}]\n"


def blocks_flow(*pieces: str) -> str:
    """The mission worked by hand with these pieces; FEN is its own training."""
    text = BY_HAND.replace("\naircraft:\n", PLACE, 1).replace("training:\n", "training:\n  id: FEN\n")
    found = sections_of(text)
    own = {kind: found.pop(kind) for kind in ("departure", "training", "transit", "event", "recovery")}
    entries = {kind: entry(section) for kind, section in own.items()} | {"MOOR": entry(MOOR), "to": TO_MOOR}
    return f"{''.join(found.values())}flow:\n{''.join(entries[piece] for piece in pieces)}"


AROUND = blocks_flow("departure", "training", "transit", "event", "to", "MOOR", "recovery")
