"""A cue that is known too late: what is proposed makes it known in time, or says what would go wrong.

The positions moved are worked out with geographiclib, the figure is read off the gate.
"""

import re
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from geographiclib.geodesic import Geodesic

from briefgen.mission.load import mission_of
from briefgen.mission.read.source import read_source
from briefgen.plan.event.hold import is_direct, turned_the_other_way
from tests.flow_texts import hill_without_hold, south_of_centre
from tests.places import REPOSITORY
from tests.plan.event.test_slip_reach import HORN, planned
from tests.plan.gates.gate_reading import gates, sortie, source_of
from tests.planned import plan_of_text

NM = 1852.0


def moved(name, ids, over, by_nm):
    """Edits that move places so much nearer to ``over``, along the course from the last of them."""
    mission, _ = mission_of(source_of(name))
    spots = {id: mission.places[id].position for id in (*ids, over)}
    ip, centre = spots[ids[-1]], spots[over]
    course = Geodesic.WGS84.Inverse(ip.lat_deg, ip.lon_deg, centre.lat_deg, centre.lon_deg)["azi1"]
    for id in ids:
        at = Geodesic.WGS84.Direct(spots[id].lat_deg, spots[id].lon_deg, course, by_nm * NM)
        yield f"places.{id}.position", typed(at["lat2"], "NS", 2) + " " + typed(at["lon2"], "EW", 3)


def typed(deg, letters, digits):
    return f"{int(abs(deg)):0{digits}d}°{abs(deg) % 1 * 60:07.4f}'{letters[deg < 0]}"


@pytest.mark.parametrize("relay", ["15 s", "25 s"])
def test_hold_and_ip_moved_as_proposed_make_the_cue_known_in_time(relay):
    late = (("event.relay_time", relay),)
    gate = gates("regatta", late)["cue-first"]
    by_nm = float(re.search(r"move both the hold and the IP (\d+\.\d) nm nearer", gate.why)[1])
    after = gates("regatta", (*late, *moved("regatta", ("HOLD", "IP"), "PONTOON", by_nm)))

    assert gate.verdict == "FAIL" and by_nm > 0
    assert after["cue-first"].verdict == "PASS" and after["t-reachable"].verdict == "PASS"


def test_of_several_heights_for_one_level_the_highest_is_offered_everywhere():
    """The terminal at 900 ft MSL wants 1900 ft of the lowest ship, 30 ft below its leader: 1930 ft; the legs
    of the pass would do with 500 ft over it, which fails the pass."""
    edits = (("event.pass.obstacles.1.top", "900 ft MSL"), ("event.pass.run_in.level", "1400 ft MSL"))
    key = ("event", "pass", "run_in", "level")
    asking = {
        id: gate for id, gate in gates("regatta", edits).items() if any(m.key == key for m in gate.mends)
    }
    assert {"pass-height", "pass-minimum", "height-run-in"} <= asking.keys()
    assert {mend.written for gate in asking.values() for mend in gate.mends if mend.key == key} == {
        "1930 ft MSL"
    }
    assert all("run-in at 1930 ft MSL" in gate.why for gate in asking.values())
    after = gates("regatta", (*edits[:1], ("event.pass.run_in.level", "1930 ft MSL")))
    assert all(after[id].verdict == "PASS" for id in asking)


AREA = ("area-entry", "area-exit")
LOWEST = ("event.permission.lowest", "1000 m AGL")
OF_HEIGHT = ("pass-minimum", "permission-lowest", "climb-rate", "descent-rate")


# The hold of the regatta is 21 s before the IP, and 2500 ft/min are 885 ft in it: from 2000 ft MSL up to 3330
# is too much. The lantern fair's is at 1500 ft MSL, and so is its egress.
@pytest.mark.parametrize(
    ("name", "with_run_in"),
    [
        ("regatta", "run-in, hold and transit leg 1"),
        ("lantern-fair", "run-in, hold, egress and transit leg 1"),
        ("start", "run-in"),
    ],
)
def test_a_run_in_is_raised_with_what_it_is_climbed_to_from(name, with_run_in):
    asking = gates(name, (LOWEST,))["permission-lowest"]
    (ft,) = {mend.ft for mend in asking.mends}
    assert asking.verdict == "FAIL" and asking.why.startswith(f"{with_run_in} at {ft:.0f} ft MSL would do")
    edits = [
        (".".join(str(k + 1) if isinstance(k, int) else k for k in m.key), m.written) for m in asking.mends
    ]
    after = gates(name, (LOWEST, *edits))
    assert [after[id].verdict for id in OF_HEIGHT] == ["PASS"] * len(OF_HEIGHT)


def test_a_move_that_leaves_no_room_for_the_push_up_says_so():
    """The run-in of the regatta is 8 nm at 300 kt, and a relay of 14 s is in time: 26 s more are 2.2 nm, and
    the push-up begins 6.9 nm out."""
    gate = gates("regatta", (("event.relay_time", "40 s"),))["cue-first"]

    assert gate.why.startswith("waive it, knowing that after it speed alone can arrive ")
    assert gate.why.endswith(
        " (both the hold and the IP 2.2 nm nearer would not help: the run-in is too short to make up the late"
        " bias: the push needs 6.9 nm)"
    )


def test_an_ip_nearer_with_a_typed_take_off_is_proposed_with_another_take_off():
    """The horn is known at 19:57:40 Z, 49.52 s after the IP at 19:56:50.48: 95 / 3600 x 49.52 is 1.31 nm, up
    to 1.4. The way from the bridge is then longer, but not by the 53 s that the run-in is shorter."""
    name = "tests/cases/slip-without-hold.yaml"
    mission, _ = mission_of(read_source((REPOSITORY / name).read_text(encoding="utf-8"), name)[0])
    typed_takeoff = ("ground_ops.takeoff", "19:43:25 Z")
    gate = {gate.id: gate for gate in planned(name, *HORN, typed_takeoff).gates}["cue-first"]
    assert gate.why.startswith("move the IP 1.4 nm nearer and take off 25 s later, or waive it")

    start, over = mission.places["IP"].position, mission.places["KITES"].position
    course = Geodesic.WGS84.Inverse(start.lat_deg, start.lon_deg, over.lat_deg, over.lon_deg)["azi1"]
    at = Geodesic.WGS84.Direct(start.lat_deg, start.lon_deg, course, 1.4 * NM)
    spot = ("places.IP.position", f"{typed(at['lat2'], 'NS', 2)} {typed(at['lon2'], 'EW', 3)}")
    only = {gate.id: gate for gate in planned(name, *HORN, typed_takeoff, spot).gates}
    assert (only["cue-first"].verdict, only["t-reachable"].verdict) == ("PASS", "FAIL")
    both = planned(name, *HORN, ("ground_ops.takeoff", "19:43:50 Z"), spot)
    assert [gate.id for gate in both.gates if gate.verdict == "FAIL"] == []


def test_an_ip_nearer_that_makes_something_else_fail_says_so():
    """A relay of 25 s: of the 1.1 nm from the IP to the push-up, 8.0 - 6.9, 0.9 nm leave less than 10 s at
    300 KGS, 0.83 nm."""
    plan = planned("missions/regatta.yaml", ("event.relay_time", "25 s"))
    gate = {gate.id: gate for gate in plan.gates}["cue-first"]
    assert "0.9 nm nearer would not help: Push-up clear of the IP fails then" in gate.why


@pytest.mark.parametrize(
    ("name", "edits"), [("lantern-fair", ()), ("lantern-fair", (("event.pass.hold.turns", "right"),))]
)
def test_the_other_turn_is_proposed_only_where_it_is_entered_directly(name, edits):
    """112 degrees off the inbound course: beyond 70 against the turns, and beyond 110 with them (ICAO Doc
    8168)."""
    gate = gates(name, edits)["hold-entry"]

    assert gate.verdict == "CAUTION" and "in the hold" not in gate.why


def test_the_other_turn_is_proposed_where_it_does():
    """Arriving 90 degrees off against the turns is 90 degrees off with the other turns, less than 110."""
    event = sortie("lantern-fair").the_pass
    shape = event.shape
    heading = shape.track.inbound_course_true_deg
    across = [replace(shape, arrival_heading_true_deg=(heading + off) % 360) for off in (90.0, -90.0)]

    assert sorted(is_direct(turned_the_other_way(one, event.hold)) for one in across) == [False, True]


# Regatta comes to its hold 50 degrees off the inbound course: the first turn is 130 or 230 degrees, 48 s
# apart at 2.1 deg/s, which moves the hole of 31 s. Start comes to it 93 degrees off, so that to the right it
# is a parallel entry, with two laps at least.
@pytest.mark.parametrize(
    ("name", "turns", "slip", "instead"),
    [
        ("regatta", "left", "{early: 120 s, late: 60 s}", "right"),
        ("start", "right", "{early: 60 s, late: 300 s}", "left"),
        ("start", "left", "{early: 120 s, late: 60 s}", ""),  # to the right an entry
        ("lantern-fair", "left", "{early: 60 s, late: 300 s}", ""),  # as many holes to the right
    ],
)
def test_the_other_turn_is_proposed_where_it_leaves_no_hole(name, turns, slip, instead):
    edits = (("event.pass.hold.turns", turns), ("event.accept_slip", slip))
    gate = gates(name, edits)["slip-holes"]
    assert gate.verdict == "CAUTION"
    assert [mend.written for mend in gate.mends] == ([instead] if instead else [])
    assert gate.why.startswith(f"turn {instead} in the hold, or" if instead else "accept less slip")
    if instead:
        after = gates(name, (*edits, ("event.pass.hold.turns", instead)))
        assert after["slip-holes"].verdict == "PASS"


LATE = (("ground_ops.takeoff", "12:45:00 base"),)  # the regatta's is 12:37


@pytest.mark.parametrize(
    ("name", "edits", "was"), [("overcommitted", (), "13:13"), ("regatta", LATE, "12:45")]
)
def test_a_hold_too_short_offers_one_take_off_that_makes_it_long_enough(name, edits, was):
    """Ending training so much earlier is nothing that a file can say."""
    gate = gates(name, edits)["hold-minimum"]
    found = re.fullmatch(r"take off (\d+) min (\d+) s earlier", gate.why)
    assert gate.verdict == "FAIL" and found is not None, gate.why
    at = datetime.strptime(was, "%H:%M") - timedelta(minutes=int(found[1]), seconds=int(found[2]))
    after = gates(name, (("ground_ops.takeoff", f"{at:%H:%M:%S} base"),))
    assert after["hold-minimum"].verdict == "PASS" and after["t-reachable"].verdict == "PASS"


# ---------------------------------------------------------------- levels

# each pass is flown on the QNH of its event, its way home on that of its base: some 500 ft apart
AIRS = {
    "as given": lambda event: (),
    "cold": lambda event: (("weather.winds", "[{level: 0 ft MSL, wind: 240T/10kt, temperature: -35 C}]"),),
    "no climb rate": lambda event: (("limits.formation_climb_rate", ""),),
    "low pressure": lambda event: ((f"weather.at.{event}.qnh", "999 hPa"),),
}
RUN_IN, EGRESS = ("event.pass.run_in.level", "900 ft MSL"), ("event.pass.egress.level", "850 ft MSL")
LOW = {
    "everything": (
        RUN_IN,
        EGRESS,
        ("transit.1.level", "800 ft MSL"),
        ("recovery.legs.1.level", "700 ft MSL"),
    ),
    "an egress that sinks": (EGRESS,),
    "a run-in": (RUN_IN,),
    "an abort that sinks": (
        ("event.pass.abort.level", "850 ft MSL"),
        ("event.pass.run_in.level", "1000 ft MSL"),
    ),
    "a departure": (("departure.1.level", "700 ft MSL"),),
    "a hold": (("places.HOLD.elevation", "3300 ft MSL"),),
    "under an obstacle": (("event.pass.obstacles.1.top", "4400 ft MSL"),),
    "an area": (("training.area.highest_ground", "4900 ft MSL"), ("training.area.top", "FL260")),
    "a permission": (("event.permission.lowest", "4400 ft MSL"),),
}
OF_LEVELS = ("pass-height", "pass-minimum", "obstacles-near", "permission-lowest")


def applied(mends):
    """The mends as edits; a block is given up to a level far above it."""
    for mend in mends:
        path = ".".join(str(step + 1) if isinstance(step, int) else step for step in mend.key)
        yield path, f"{mend.written} to FL260" if mend.key[1] == "blocks" else mend.written


@pytest.mark.parametrize("air", AIRS)
@pytest.mark.parametrize("low", LOW)
@pytest.mark.parametrize(
    ("name", "event"), [("regatta", "PONTOON"), ("lantern-fair", "SQUARE"), ("founders-day", "STADIUM")]
)
def test_levels_written_as_proposed_are_high_enough(name, event, low, air):
    """What the next run says of the same row: it passes, or waits for a climb that nobody has given, or in a
    wide area for where in it the highest ground stands."""
    edits, tried = (*LOW[low], *AIRS[air](event)), 0
    for id, gate in gates(name, edits).items():
        waits = gate.settled_by == ("limits", "formation_climb_rate")
        if (waits or gate.verdict in ("FAIL", "CAUTION")) and (id.startswith("height-") or id in OF_LEVELS):
            tried += 1
            assert gate.mends and all(mend.written in gate.why for mend in gate.mends), (id, gate.why)
            after = gates(name, (*edits, *applied(gate.mends))).get(id)
            passes = after.verdict == "PASS" or (low == "an area" and after.settled_by == ("places",))
            assert passes, (id, gate.why, after.verdict, after.value, after.why)
    assert tried or (name, low) == ("founders-day", "an area")  # which has no training


def test_a_pass_without_its_own_qnh_says_whose_it_is_flown_on():
    """Eastlea is the nearest that has one: 6.8' north and 44.4' east of the pontoon, x cos 38.3, 35.5 nm."""
    gate = gates("regatta", (("weather.at.PONTOON.qnh", ""),))["pass-minimum"]

    assert gate.source.endswith("by the QNH of Eastlea airport, 36 nm away: Finish pontoon has none")
    assert "QNH" not in gates("regatta", ())["pass-minimum"].source


# The regatta is in its area from 02:15:33 Z to 03:07:18 Z, as its gates say; its base is at +10:30, its event
# at +11:00 (IANA tz database, January).
@pytest.mark.parametrize(
    ("typed", "offers"),
    [
        ("12:40 to 13:50 Z", "12:40:00 base to 13:50:00 base"),
        ("13:10 to 14:20 base", "13:10:00 event to 14:20:00 event"),
        ("02:10 to 03:20 base", "02:10:00 Z to 03:20:00 Z"),
        ("12:00 to 13:00 base", ""),  # by no clock
    ],
)
def test_a_reservation_by_another_clock_is_told_with_what_holds(typed, offers):
    key = "training.area.reserved"
    failing = [
        gate
        for id, gate in gates("regatta", ((key, typed),)).items()
        if id in AREA and gate.verdict == "FAIL"
    ]
    assert failing and all(gate.why.startswith(f"write {offers} if" if offers else "l") for gate in failing)
    if offers:
        after = gates("regatta", ((key, offers),))
        assert {after[id].verdict for id in AREA} == {"PASS"}


WIND = (
    "[{{level: 0 ft MSL, wind: {0}, temperature: 15 C}},"
    " {{level: 20000 ft MSL, wind: {0}, temperature: -24 C}}]"
)
SLOW_HOLD = (
    ("event.pass.hold.speed", "60 KTAS"),
    ("event.pass.hold.bank", "15 deg"),
    ("event.pass.run_in.speed", "60 KGS"),
    ("event.pass.run_in.minimum_speed", "40 KGS"),
    ("event.pass.push_up_to", "90 KGS"),
)


@pytest.mark.parametrize(
    ("wind", "offered"),
    [
        # Turning at 1092.2067 tan 15 / 60 = 4.878 deg/s, half a circle takes 36.9 s. 25 kt carry two of them
        # 0.5125 nm past the fix, which outbound at 35 KGS take 52.7 s.
        ("000T/25kt", "53 s"),
        ("180T/25kt", None),
    ],
)
def test_a_leg_that_wind_does_not_allow(wind, offered):
    """Inbound to the south; a northerly carries the turns past the fix."""
    edits = (*SLOW_HOLD, ("event.pass.hold.leg", "30 s"), ("weather.winds", WIND.format(wind)))
    gate = by_hand(edits)["hold-leg"]
    assert gate.verdict == ("PASS" if offered is None else "CAUTION")
    assert [mend.written for mend in gate.mends] == ([] if offered is None else [offered])
    if offered is not None:
        assert by_hand((*edits, ("event.pass.hold.leg", offered)))["hold-leg"].verdict == "PASS"


def test_no_leg_at_all_is_said_so():
    edits = (*SLOW_HOLD, ("weather.winds", WIND.format("315T/40kt")))
    gate = by_hand(edits)["hold-leg"]
    assert (gate.verdict, gate.value) == (
        "CAUTION",
        "1 min typed, and no leg up to 2 min can be flown in this wind",
    )


def by_hand(edits):
    return {gate.id: gate for gate in planned("tests/cases/ok-by-hand.yaml", *edits).gates}


def test_a_pass_without_a_hold_that_is_too_early_is_offered_a_longer_way():
    """HILL 3 min later than its 15 nm from the second egress take at 300 kt: 15 nm more. Over a point abeam
    of their middle, 12.99 nm off, two legs of 15 nm lead there."""
    early = hill_without_hold().replace("14:23:55", "14:26:55")
    gate = of_hill(early)
    offered = "a T 3 min earlier would do, or a way to its IP 15.0 nm longer at 300 KGS, or a hold before it"
    assert (gate.verdict, gate.why) == ("FAIL", offered)

    (lat, lon) = (float(part[:-1]) for part in south_of_centre(17.5).split())
    off = Geodesic.WGS84.Direct(lat, -lon, 90.0, (15.0**2 - 7.5**2) ** 0.5 * NM)
    place = f'  ABEAM: {{position: "{off["lat2"]:.6f}N {-off["lon2"]:.6f}W", variation: 0.0 E}}\naircraft:\n'
    leg = "{to: %s, level: 2000 ft MSL, speed: 300 KTAS}"
    longer = early.replace("aircraft:\n", place, 1)
    longer = longer.replace(f"[{leg % 'HILLIP'}]", f"[{leg % 'ABEAM'}, {leg % 'HILLIP'}]")
    assert of_hill(longer).verdict == "PASS"


def of_hill(text):
    return next(gate for gate in plan_of_text(text).gates if gate.id == "HILL/t-reachable")
