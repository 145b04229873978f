"""Every NOT CHECKED gate names the key of the mission file that settles it, and a value there makes it
answer."""

from __future__ import annotations

import pytest

from briefgen.brief.wording.open_limits import settling_key
from briefgen.plan.model import Gate
from tests.plan.gates.gate_reading import REPOSITORY, gates, judged
from tests.plan.gates.gate_rows import MISSING
from tests.plan.gates.test_every_gate import CASES, ROWS, row_id

MISSIONS = ("regatta", "lantern-fair", "founders-day", "overcommitted", "start")
MOST_KEYS = 4  # a gate that lacks several things names one after the other

# What a flight lead would write, by key; list positions count from 1, as on the command line.
CONTINGENCY = "{trigger: Seen by anyone, who: Anyone, action: Turn away and call}"
ABORT = "{words: GANNET ABORT ABORT, said_by: Lead, level: 2000 ft MSL, action: Climb straight ahead}"
OFFSETS = (
    "[{ship: 2, right: -30 ft, back: 30 ft, down: 10 ft}, {ship: 3, right: 30 ft, back: 30 ft, down: 20 ft},"
    " {ship: 4, right: 60 ft, back: 60 ft, down: 30 ft}]"
)
BY_HAND = "{by: Maj R. Okafor-Lind, source: chart 12, date: 2027-01-20, lowest: 1200 ft}"
VALUES = {
    "departure": "[{to: ENTRY, level: 16000 ft MSL, speed: 360 KTAS}]",
    "ground_ops.takeoff_interval": "15 s",
    "aircraft.petrel.fuel_flow.ground": "600 lb/h",
    "aircraft.petrel.climb": "{time: 5 min, distance: 26 nm}",
    "weather.at.PONTOON": "{cloud: [SCT 4000 ft AGL], visibility: 10 km, wind: 190T/12kt, temperature: 20 C,"
    " qnh: 1017 hPa}",
    "weather.at.NORTHBOURNE.qnh": "1017 hPa",
    "weather.at.PONTOON.qnh": "1017 hPa",
    "weather.at.ENTRY.qnh": "1017 hPa",
    "weather.at.NORTHBOURNE.temperature": "22 C",
    "weather.at.PONTOON.temperature": "12 C",
    "event.pass.hold.minimum": "4 min",
    "event.pass.hold.maximum": "20 min",
    "event.pass.time": "end of ANTHEM",
    "event.pass.tolerance": "5 s",
    "event.pass.push_up_to": "390 KGS",
    "event.pass.minimum_ships": "2",
    "event.pass.obstacles_checked": "{source: chart, date: 2027-01-20, within: 1 nm}",
    "event.pass.obstacles_checked.within": "1 nm",
    "event.pass.obstacles_checked.date": "2027-01-20",
    "event.pass.egress": "{course: 052 T, distance: 8 nm, level: 2000 ft MSL, speed: 390 KGS}",
    "event.pass.egress.turn_checked": BY_HAND,
    "terrain_checked": BY_HAND,
    "terrain_checked.by": "Capt T. Wessel",
    "terrain_checked.source": "chart 12",
    "event.pass.obstacles_checked.source": "chart 12",
    "event.pass.abort_only_after": "T-30 s",
    "event.pass.crowd_line": "{from: 38°20.4'S 141°36.0'E, to: 38°20.0'S 141°36.8'E}",
    "event.pass.abort": ABORT,
    "event.pass.abort.said_by": "Lead",
    "event.pass.abort.level": "2000 ft MSL",
    "event.pass.run_in.spacing": "30 ft",
    "event.pass.run_in.step_down": "10 ft",
    "event.pass.run_in.offsets": OFFSETS,
    "event.pass.run_in.formation_acceleration": "2.5 kt/s",
    "event.pass.run_in.minimum_speed": "270 KGS",
    "event.script": "{ANTHEM: {says: First note, time: 14:28:06 event, lasts: 116 s, spread: 4 s}}",
    "event.script.ANTHEM.spread": "4 s",
    "event.relay_time": "10 s",
    "event.permission": (
        "{reference: R 1, valid: 14:15 to 14:50 event, lowest: 1000 ft AGL, requested: 2026-11-20}"
    ),
    "event.permission.reference": "REG-27-014",
    "event.permission.authority": "Regional aviation authority",
    "event.ground_contact.name": "Sgt P. Ellery",
    "event.parties.1.who": "Harbour tower",
    "event.parties.1.contact": "118.705",
    "event.other_traffic.1.who": "Television helicopter",
    "event.pass.obstacles.1.source": "survey 2026",
    "ground_ops.time_hack.source": "GPS",
    "flight.1.crew": "[Maj R. Okafor-Lind]",
    "flight.3.crew": "[Capt L. Aune]",
    "notices.read_by": "Capt T. Wessel",
    "event.permission.valid": "14:15 to 14:50 event",
    "event.permission.lowest": "1000 ft AGL",
    "event.permission.requested": "2026-11-20",
    "event.parties.1.acknowledged": "14:30:02 event",
    "event.other_traffic.1.level": "0 to 400 ft AGL",
    "event.ground_contact": "{callsign: PIER, primary: 8, backup: 340.800 MHz, radio_check: 14:05 event}",
    "event.ground_contact.backup": "340.800 MHz",
    "event.ground_contact.radio_check": "14:05 event",
    "ground_ops.time_hack": "{when: at the brief, to: 1 s}",
    "ground_ops.takeoff": "12:37:00 base",
    "ground_ops.time_hack.to": "1 s",
    "ground_ops.report": "09:30 base",
    "recovery.alternate": "{place: HARTWELL, required: by weather}",
    "recovery.debrief": "1 h",
    "recovery.climb_fuel": "110 lb",
    "recovery.diverts": "[EASTLEA]",
    "recovery.approach": "{time: 8 min, fuel: 230 lb}",
    "recovery.legs": "[{to: NORTHBOURNE, level: 12000 ft MSL, speed: 360 KTAS}]",
    "fuel.reserve": "30 min",
    "flight.1.can_lead": "yes",
    "flight.3.can_lead": "yes",
    "flight.2.can_lead": "no",
    "flight.4.can_lead": "no",
    "flight.1.flypasts_led": "2",
    "flight.2.start_fuel": "5500 lb",
    "flight.3.burn_factor": "1.02",
    "aircraft.petrel.speed_limits.maximum": "450 KCAS",
    "aircraft.petrel.speed_limits.minimum": "160 KCAS",
    "aircraft.petrel.tiers.minimum": "800 lb",
    "aircraft.petrel.tiers.emergency": "700 lb",
    "aircraft.petrel.fuel_flow.recovery": "1700 lb/h",
    "training.area.reserved": "12:40 to 13:50 base",
    "training.area.highest_ground": "900 ft MSL",
    "training.setups.minimum": "2",
    "training.blocks": "{blue: 10000 to 14000 ft MSL, red: 15000 to 19000 ft MSL}",
    "training.blocks.red": "15000 to 19000 ft MSL",
    "training.block_buffer": "1000 ft",
    "training.aerobatic": "yes",
    "training.yardstick": "{1: 29Y, 2: 92Y, 3: 31Y, 4: 94Y}",
    "training.yardstick.4": "94Y",
    "weather": "{winds: [{level: 0 ft MSL, wind: 200T/12kt, temperature: 21 C}], at: {"
    "PONTOON: {qnh: 1017 hPa, temperature: 20 C}, NORTHBOURNE: {qnh: 1017 hPa, temperature: 22 C}}}",
    "weather.winds": "[{level: 5000 ft MSL, wind: 000T/0kt}]",
    "weather.valid": "2027-01-30 00:00 Z to 2027-01-30 06:00 Z",
    "weather.issued": "2027-01-29 22:00 Z",
    "weather.source": "Area forecast",
    "weather.at.AREA.cloud.1": "FEW 3000 ft MSL top 4500 ft MSL",
    **{
        f"weather.at.{place}.cloud": "[SCT 4000 ft MSL top 5000 ft MSL]"
        for place in ("NORTHBOURNE", "HARTWELL", "EASTLEA", "PONTOON", "HOLD", "EXIT", "AREA")
    },
    **{
        f"weather.at.{place}.visibility": "10 km"
        for place in ("NORTHBOURNE", "HARTWELL", "EASTLEA", "PONTOON", "HOLD", "EXIT", "AREA")
    },
    **{f"weather.at.{place}.wind": "200T/10kt" for place in ("NORTHBOURNE", "HARTWELL", "EASTLEA")},
    **{f"places.{place}.open": "06:00 to 20:00 base" for place in ("NORTHBOURNE", "HARTWELL", "EASTLEA")},
    **{f"places.{place}.runways.1.direction": "180 T" for place in ("NORTHBOURNE", "HARTWELL", "EASTLEA")},
    "places.NORTHBOURNE.runways": "[{name: 18, direction: 180 T}]",
    "places.NORTHBOURNE.elevation": "230 ft MSL",
    "places.PONTOON.elevation": "10 ft MSL",
    "limits.pass_maximum_speed": "400 KCAS",
    "limits.speed_below_10000_ft": "400 KCAS",
    "limits.formation_descent_rate": "2000 ft/min",
    "limits.formation_climb_rate": "2500 ft/min",
    "limits.formation_size": "4",
    "limits.formation_across": "500 ft",
    "limits.formation_vertical": "100 ft",
    "limits.request_days": "30",
    "limits.aerobatics_floor": "3000 ft",
    "limits.reserve_by_day": "30 min",
    "limits.reserve_by_night": "45 min",
    "limits.land_before_sunset": "30 min",
    "limits.forecast_age": "6 h",
    "limits.crosswind": "20 kt",
    "limits.density_altitude": "9000 ft",
    **{f"weather.at.{place}.temperature": "20 C" for place in ("NORTHBOURNE", "HARTWELL")},
    **{f"weather.at.{place}.qnh": "1013 hPa" for place in ("NORTHBOURNE", "HARTWELL")},
    "places.HARTWELL.elevation": "780 ft MSL",
    "limits.duty_period": "12 h",
    "limits.event_ceiling_minimum": "2500 ft AGL",
    "limits.event_visibility_minimum": "5 km",
    "limits.weather.takeoff.ceiling": "1500 ft AGL",
    "limits.weather.takeoff.visibility": "5 km",
    "places.NORTHBOURNE.approach": "yes",
    "limits.weather.alternate.ceiling": "1500 ft AGL",
    "limits.weather.alternate.visibility": "5 km",
    "limits.weather.landing.ceiling": "1500 ft AGL",
    "limits.weather.landing.visibility": "5 km",
    "limits.weather.area.visibility": "8 km",
    "limits.weather.area.clear_of_cloud": "1000 ft",
    "limits.weather.formation_legs.visibility": "5 km",
    "limits.weather.formation_legs.below_cloud": "500 ft",
    "contingencies.fall_outs.1.leads": "3",
    "contingencies.fall_outs": (
        "{1: {leads: 3}, 2: {formation: vic}, 3: {formation: vic}, 4: {formation: vic}}"
    ),
    **{
        f"contingencies.{key}": CONTINGENCY
        for key in (
            "lost_wingman",
            "lost_communications",
            "knock_it_off",
            "inadvertent_cloud",
            "no_ground_contact",
        )
    },
    "contingencies.no_ground_contact.then": "go home",
    "event.pass.no_cue": "go home",
    "event.pass.return_turn": "right",
    "sortie.supervisor": "{name: Lt Col S. Varga}",
    "sortie.supervisor.name": "Lt Col S. Varga",
    "contingencies.no_ground_contact.after": "60 s before leave-hold",
    "notices": "[{reference: C1/27, says: A crane, read: 2027-01-29}]",
    "risk": "[{hazard: Fixation, before: {likelihood: 2, severity: 4}, accepted_by: Lt Col S. Varga}]",
    "risk.1.accepted_by": "Lt Col S. Varga",
}

# More ways in which a gate can lack something, beside those of the rows of every gate.
R, P, NO_MINIMA = "regatta", "event.pass", ("limits.weather", "")
MORE = [
    ("pass-height", R, [("places.PONTOON.elevation", ""), (f"{P}.obstacles", "")]),
    ("obstacles-age", R, [(f"{P}.obstacles_checked", "")]),
    ("pass-height", R, [(f"{P}.obstacles_checked.source", "TBD")]),
    ("egress-turn", R, [(f"{P}.egress", "")]),
    ("permission-lowest", R, [("event.permission", "")]),
    ("permission-lowest", R, [("places.PONTOON.elevation", "")]),
    ("cue-first", R, [("event.script", ""), (f"{P}.time", "14:30:02 event")]),
    ("authority-late", R, [("event.script.ANTHEM.spread", "")]),
    (
        "authority-late",
        R,
        [(f"{P}.run_in.formation_acceleration", ""), (f"{P}.late_bias", ""), (f"{P}.push_up_to", "")],
    ),
    ("authority-early", R, [(f"{P}.run_in.minimum_speed", ""), ("aircraft.petrel.speed_limits.minimum", "")]),
    ("permission-requested", R, [("event.permission", "")]),
    ("permission-requested", R, []),
    ("traffic-1", R, [("event.other_traffic.1.until", "T+5 min"), ("places.PONTOON.elevation", "")]),
    ("radio-check", R, [("event.ground_contact", "")]),
    ("time-hack", R, [("ground_ops.time_hack.to", "")]),
    (
        "formation-spacing",
        R,
        [(f"{P}.run_in.formation", ""), (f"{P}.run_in.spacing", ""), (f"{P}.run_in.step_down", "")],
    ),
    ("step-down", R, [(f"{P}.run_in.spacing", "")]),
    ("second-leader", R, [("flight.3.can_lead", ""), ("contingencies.fall_outs.1", "")]),
    ("fall-outs", R, [("contingencies.fall_outs.1.leads", "")]),
    ("aerobatics-floor", R, []),
    ("blocks-overlap", R, [("training.blocks.red", "3000 to 8000 ft AGL")]),
    ("fuel-order", R, [("aircraft.petrel.tiers", ""), ("recovery.approach", "")]),
    ("fuel-order", R, [("aircraft.petrel.fuel_flow.recovery", "")]),
    ("landing-fuel", R, [("flight.2.start_fuel", "")]),
    ("landing-fuel", R, [("aircraft.petrel.tiers.normal_landing", ""), ("fuel.reserve", "")]),
    ("reserve-time", R, [("fuel.reserve", "")]),
    ("reserve-time", R, []),
    ("takeoff-ceiling", R, [NO_MINIMA]),
    (
        "takeoff-ceiling",
        R,
        [("places.NORTHBOURNE.elevation", ""), ("weather.at.NORTHBOURNE.cloud", "[BKN 4000 ft MSL]")],
    ),
    ("takeoff-visibility", R, [NO_MINIMA]),
    ("alternate-ceiling", R, [NO_MINIMA]),
    ("divert-1-visibility", R, [NO_MINIMA]),
    ("event-ceiling", R, [("limits.event_ceiling_minimum", "")]),
    ("event-visibility", R, [("limits.event_visibility_minimum", "")]),
    ("area-visibility", R, [NO_MINIMA]),
    ("area-cloud", R, [NO_MINIMA]),
    ("area-cloud", R, [("training.blocks", ""), ("training.area.floor", "5000 ft AGL")]),
    ("legs-visibility", R, [NO_MINIMA]),
    (
        "legs-cloud",
        R,
        [
            NO_MINIMA,
            ("weather.at.PONTOON.cloud", "[OVC 30000 ft MSL]"),
            *((f"weather.at.{place}.cloud", "[]") for place in ("NORTHBOURNE", "EASTLEA", "HARTWELL")),
        ],
    ),
    ("legs-visibility", R, [("weather.at.PONTOON", ""), ("weather.at.EASTLEA", "")]),
    ("alternate-fuel", R, [("places.NORTHBOURNE.approach", "")]),
    ("alternate-fuel", R, [("weather.valid", "")]),
    ("alternate-fuel", R, [("recovery.alternate", ""), ("places.NORTHBOURNE.approach", "no")]),
    ("crosswind", R, [("limits.crosswind", "")]),
    ("crosswind", R, [("places.NORTHBOURNE.runways", ""), ("ground_ops.runway", "")]),
    ("forecast-age", R, [("limits.forecast_age", "")]),
    ("duty-period", R, [("limits.duty_period", "")]),
    ("duty-period", R, [("recovery.debrief", "")]),
    ("abort-briefed", R, [(f"{P}.abort", "")]),
    ("abort-clear", R, [(f"{P}.abort", "")]),
    ("abort-clear", R, [(f"{P}.abort_only_after", "")]),
    ("abort-clear", R, [(f"{P}.abort.level", "2000 ft AGL"), ("places.PONTOON.elevation", "")]),
]
ROWS_OF_KEYS = [*((id, mission, edits) for id, mission, edits, verdict in ROWS if verdict == MISSING), *MORE]


# gates of a pasted report: where what it lacks is typed, nothing rests on it any more
GONE = ("report-place", "report-observed")


def typed_path(gate: Gate) -> str:
    """The key as an edit names it: ``flight.1.can_lead``."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in gate.settled_by)


@pytest.mark.parametrize("row", ROWS_OF_KEYS, ids=lambda row: row_id((*row, "")))
def test_a_value_for_the_key_makes_the_gate_answer(row):
    id, mission, edits = row
    edits, named = tuple(edits), []
    assert gates(mission, edits)[id].verdict == MISSING
    for _ in range(MOST_KEYS):
        found = gates(mission, edits)
        if named and id in GONE and id not in found:
            return
        gate = found[id]
        if gate.verdict != MISSING:
            return
        named.append(typed_path(gate))
        assert named.count(named[-1]) == 1, f"{named[-1]} was given, and is asked for again: {gate.why}"
        offered = [mend.written for mend in gate.mends if mend.key == gate.settled_by and mend.written]
        edits += ((named[-1], *(offered or [VALUES[named[-1]]])),)
    raise AssertionError(f"still not checked after {named}")


C, GROUND = "contingencies.no_ground_contact", "training.area.highest_ground"
TOGETHER = [
    # what is left out, and the keys that are named at once
    (
        "contingency-no-ground-contact",
        [(C, ""), (f"{P}.return_turn", "")],
        [C, f"{C}.after", f"{C}.then", f"{P}.return_turn"],
    ),
    (
        "contingency-no-ground-contact",
        [(f"{C}.after", ""), (f"{P}.no_cue", "")],
        [f"{C}.after", f"{P}.no_cue"],
    ),
    (
        "aerobatics-floor",
        [("limits.aerobatics_floor", ""), (GROUND, "")],
        ["limits.aerobatics_floor", GROUND],
    ),
    (
        "aerobatics-floor",
        [("limits.aerobatics_floor", ""), ("training.area.floor", "5000 ft AGL")],
        ["limits.aerobatics_floor"],
    ),
]


@pytest.mark.parametrize(("id", "edits", "keys"), TOGETHER)
def test_all_keys_that_a_gate_lacks_are_named_at_once(id, edits, keys):
    gate = gates(R, tuple(edits))[id]
    assert [".".join(map(str, key)) for key in (gate.settled_by, *gate.also)] == keys
    assert all(key in settling_key(gate) for key in keys)


@pytest.mark.parametrize("script", [(), (("event.script", ""),)], ids=["with a script", "without one"])
def test_a_t_that_hangs_on_no_cue_is_told_once(script):
    """A plain clock time has no cue whose spread could be held against what speed gives: one row says that
    nobody hears how the ceremony runs."""
    found = gates("regatta", (*script, (f"{P}.time", "14:30:02 event")))
    told = [id for id in ("cue-first", "authority-early", "authority-late") if id in found]
    assert told == ["cue-first"] and found["cue-first"].verdict == MISSING
    assert found["cue-first"].settled_by == (("event", "script") if script else ("event", "pass", "time"))
    assert "clock time" in found["cue-first"].why and "tolerance" not in found["cue-first"].why


FILES = [
    *(REPOSITORY / "missions" / f"{name}.yaml" for name in MISSIONS),
    *(REPOSITORY / "tests" / "cases" / f"{name}.yaml" for name in CASES),
]


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_what_is_not_checked_names_its_key_and_what_it_lacks(path):
    for gate in judged(path):
        open_ = gate.verdict == MISSING
        assert (gate.lacks != "", gate.settled_by is not None) == (open_, open_), gate
        assert gate.lacks != "limit" or gate.value is not None, (
            "without a figure it isn't a limit that is missing"
        )


def test_what_is_checked_by_hand_says_by_whom_and_never_reads_as_worked_out():
    edits = (
        ("event.pass.egress.course", "090 T"),
        ("terrain_checked", BY_HAND),
        ("event.pass.egress.turn_checked", BY_HAND),
    )
    found = gates("regatta", edits)
    for id in ("terrain", "egress-turn"):
        assert (found[id].verdict, found[id].value) == ("PASS", 1200.0)
        assert found[id].title.endswith(": checked by hand by Maj R. Okafor-Lind on 2027-01-20")
        assert found[id].source.startswith(
            "checked by hand by Maj R. Okafor-Lind on 2027-01-20 from chart 12"
        )
