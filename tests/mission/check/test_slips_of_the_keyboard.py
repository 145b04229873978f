"""Slips of the keyboard: just inside each bound nothing is said, just outside a diagnostic at the place. A
minute of latitude is 1 nm to 0.6 %."""

from __future__ import annotations

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import PASS_ONLY, changed

RUN_IN = "run_in: {from: IP, level: 1000 ft MSL, speed: 300 KGS}"
HOLD = "hold: {at: HOLD, level: 2000 ft MSL, speed: 280 KTAS, turns: left, leg: LEG, bank: 30 deg}"
OBSTACLE = "obstacles: [{name: Mast, position: POS, top: TOP}]"
HERE = "59°54.5'N 010°43.0'E"


def said(text: str, *edits: tuple[str, str]) -> list[tuple[str, str, str]]:
    """Severity, code and key path of everything said of a mission."""
    _, found = load_mission_text(text, "m.yaml", edits=edits)
    return [(d.severity, d.code, ".".join(map(str, d.cause))) for d in found]


def with_pass(*lines: str) -> str:
    """The small mission with more lines in its pass."""
    return changed(PASS_ONLY, f"    {RUN_IN}\n", "".join(f"    {line}\n" for line in (RUN_IN, *lines)))


def crowd(start: str, end: str) -> str:
    """A crowd line; QUAY, which is flown over, lies at 59°54.0'N 010°43.0'E."""
    return with_pass(f"crowd_line: {{from: {start}, to: {end}}}")


def run_in(more: str) -> str:
    return changed(PASS_ONLY, RUN_IN, RUN_IN.replace("}", f", {more}}}"))


TOO_MUCH = "out-of-proportion"
ERRORS = [
    # inside, outside, key path
    # 4.9 and 5.1 nm
    (
        crowd("59°52.0'N 010°43.0'E", "59°56.9'N 010°43.0'E"),
        crowd("59°51.0'N 010°43.0'E", "59°56.1'N 010°43.0'E"),
        "event.pass.crowd_line",
    ),
    (
        crowd("59°58.9'N 010°43.0'E", "59°58.0'N 010°43.0'E"),
        crowd("59°59.1'N 010°43.0'E", "59°58.0'N 010°43.0'E"),
        "event.pass.crowd_line.from",
    ),
    (
        crowd("59°58.0'N 010°43.0'E", "59°58.9'N 010°43.0'E"),
        crowd("59°58.0'N 010°43.0'E", "59°59.1'N 010°43.0'E"),
        "event.pass.crowd_line.to",
    ),
    (
        with_pass("egress: {course: 052 T, distance: 50 nm, level: 2000 ft MSL, speed: 390 KGS}"),
        with_pass("egress: {course: 052 T, distance: 51 nm, level: 2000 ft MSL, speed: 390 KGS}"),
        "event.pass.egress.distance",
    ),
    (
        with_pass("obstacles_checked: {source: chart, within: 50 nm}"),
        with_pass("obstacles_checked: {source: chart, within: 51 nm}"),
        "event.pass.obstacles_checked.within",
    ),
    (run_in("spacing: 12000 ft"), run_in("spacing: 12001 ft"), "event.pass.run_in.spacing"),
    (run_in("step_down: 1000 ft"), run_in("step_down: 1001 ft"), "event.pass.run_in.step_down"),
    (
        run_in("offsets: [{ship: 2, right: -12000 ft, back: 30000 ft, down: 3000 ft}]"),
        run_in("offsets: [{ship: 2, right: -12001 ft}]"),
        "event.pass.run_in.offsets.0.right",
    ),
    (
        run_in("offsets: [{ship: 2, back: 30000 ft}]"),
        run_in("offsets: [{ship: 2, back: 30001 ft}]"),
        "event.pass.run_in.offsets.0.back",
    ),
    (
        run_in("offsets: [{ship: 2, down: 3000 ft}]"),
        run_in("offsets: [{ship: 2, down: -3001 ft}]"),
        "event.pass.run_in.offsets.0.down",
    ),
    (with_pass("tolerance: 300 s"), with_pass("tolerance: 301 s"), "event.pass.tolerance"),
    (with_pass("deadband: 300 s"), with_pass("deadband: 301 s"), "event.pass.deadband"),
    (PASS_ONLY + "  relay_time: 300 s\n", PASS_ONLY + "  relay_time: 301 s\n", "event.relay_time"),
    (
        changed(PASS_ONLY, "IP: {position: 59°44.0'N", "IP: {position: 59°04.5'N"),
        changed(PASS_ONLY, "IP: {position: 59°44.0'N", "IP: {position: 59°03.5'N"),
        "event.pass.run_in.from",
    ),
    (
        changed(
            with_pass(HOLD.replace("LEG", "60 s")), "HOLD: {position: 59°40.0'N", "HOLD: {position: 58°54.5'N"
        ),
        changed(
            with_pass(HOLD.replace("LEG", "60 s")), "HOLD: {position: 59°40.0'N", "HOLD: {position: 58°53.5'N"
        ),
        "event.pass.hold.at",
    ),
]


@pytest.mark.parametrize(("inside", "outside", "path"), ERRORS, ids=[f"{row[2]}" for row in ERRORS])
def test_what_no_flypast_needs_is_refused(inside, outside, path):
    assert [row for row in said(inside) if row[1] == TOO_MUCH] == []
    assert ("error", TOO_MUCH, path) in said(outside)


def mast(position: str, top: str) -> str:
    return with_pass(OBSTACLE.replace("POS", position).replace("TOP", top))


def test_an_obstacle_beside_a_leg_is_no_slip():
    """The legs are judged against the obstacles of the pass, which is where one beside them is listed. BASE
    lies at 60°12'N 011°05'E: 2.7 nm from this one, which is 23.3 nm from QUAY; the reach is 21.2 nm."""
    assert [row for row in said(mast("60°13.0'N 011°10.0'E", "900 ft MSL")) if row[1] == TOO_MUCH] == []


CAUTIONS = [
    # the run-in is 11.2 nm: 10' of latitude and 5 nm of longitude; 10 nm more is the reach. QUAY lies at 5 ft
    (
        mast("60°15.0'N 010°43.0'E", "300 ft MSL"),
        mast("60°15.5'N 010°43.0'E", "300 ft MSL"),
        TOO_MUCH,
        "event.pass.obstacles.0.position",
    ),
    (mast(HERE, "3005 ft MSL"), mast(HERE, "3006 ft MSL"), TOO_MUCH, "event.pass.obstacles.0.top"),
    (mast(HERE, "-495 ft MSL"), mast(HERE, "-496 ft MSL"), TOO_MUCH, "event.pass.obstacles.0.top"),
    (
        with_pass(HOLD.replace("LEG", "20 s")),
        with_pass(HOLD.replace("LEG", "19 s")),
        "hold-leg",
        "event.pass.hold.leg",
    ),
    (
        with_pass(HOLD.replace("LEG", "2 min")),
        with_pass(HOLD.replace("LEG", "121 s")),
        "hold-leg",
        "event.pass.hold.leg",
    ),
    # BASE lies at 60°12'N: 1500 nm north is 85 degrees 12 minutes (a degree is 60.2 nm there on the
    # ellipsoid), south is near 35 degrees
    (
        changed(PASS_ONLY, "HOLD: {position: 59°40.0'N", "HOLD: {position: 35°40.0'N"),
        changed(PASS_ONLY, "HOLD: {position: 59°40.0'N", "HOLD: {position: 34°40.0'N"),
        TOO_MUCH,
        "places.HOLD.position",
    ),
]


@pytest.mark.parametrize(
    ("inside", "outside", "code", "path"), CAUTIONS, ids=[f"{row[3]}-{i}" for i, row in enumerate(CAUTIONS)]
)
def test_what_a_rare_mission_may_have_is_a_caution(inside, outside, code, path):
    assert [row for row in said(inside) if row[1] == code] == []
    assert ("caution", code, path) in said(outside)


def test_the_message_names_the_figure_the_bound_and_whose_it_is():
    _, found = load_mission_text(crowd("59°24.0'N 010°43.0'E", "60°24.0'N 010°43.0'E"), "m.yaml")
    (line,) = [d for d in found if d.cause == ("event", "pass", "crowd_line")]
    # a degree of latitude there is 111.4 km (WGS-84: 111.41 km at 60 N) = 60.2 nm
    assert line.message == "a crowd line of 60.2 nm"
    assert "5 nm" in line.why and "default, no authority" in line.why and "positions" in line.help


@pytest.mark.parametrize(
    ("typed", "length"),
    [  # T is 13:01 at the event; the end is the first such time after the start
        ("12:50 to 13:30 event", None),
        ("20:05 to 16:00 event", None),  # 19 h 55 min
        ("20:00 to 16:00 event", "20 h 0 min"),
        ("14:50 to 14:15 event", "23 h 25 min"),
        ("2027-05-03 14:50 event to 2027-05-04 14:15 event", None),  # the dates say that it is meant
    ],
)
def test_a_range_that_may_be_swapped(typed, length):
    text = PASS_ONLY + f"  permission: {{reference: P-1, valid: {typed}}}\n"
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None
    assert [(d.severity, d.code, d.message) for d in found] == (
        [("caution", "range-swapped", f'"{typed}" is a range of {length}, over midnight')] if length else []
    )


@pytest.mark.parametrize(
    ("typed", "help"),
    [  # T is 13:01 at the event
        ("13:10 to 12:30 event", "write 12:30 to 13:10 event if they are swapped"),
        ("13:10 to 12:59 event", "write 12:59 to 13:10 event if they are swapped"),
        ("00:15 to 23:40 event", None),  # it holds at T
        ("15:00 to 17:00 event", None),  # the other way round it would be 22 h
    ],
)
def test_a_swapped_permission_is_offered_the_other_way_round(typed, help):
    found = load_mission_text(PASS_ONLY + f"  permission: {{reference: P-1, valid: {typed}}}\n", "m.yaml")[1]
    assert [d.help.partition(";")[0] for d in found] == ([help] if help else [])


def test_a_range_of_most_of_a_day_that_leaves_out_the_pass_may_be_swapped():
    """The pass at 00:06 lies in the 35 minutes that 00:15 to 23:40 leaves out."""
    text = changed(
        changed(PASS_ONLY, "time: 13:00:00 event", "time: 00:05:00 event"), "12:10 base", "23:05 base"
    )
    (found,) = load_mission_text(
        f"{text}  permission: {{reference: P-1, valid: 00:15 to 23:40 event}}\n", "m.yaml"
    )[1]
    assert found.message == '"00:15 to 23:40 event" is a range of 23 h 25 min'
    assert found.help.startswith("write 23:40 to 00:15 event if")


@pytest.mark.parametrize(
    ("hours", "swapped"),
    [("06:00 to 22:00 base", False), ("16:00 to 08:00 base", False), ("08:00 to 07:00 base", True)],
)
def test_daily_hours_that_may_be_swapped(hours, swapped):
    text = changed(PASS_ONLY, "elevation: 680 ft MSL", f"elevation: 680 ft MSL, open: {hours}")
    assert said(text) == ([("caution", "range-swapped", "places.BASE.open")] if swapped else [])


@pytest.mark.parametrize(
    ("start", "end", "codes"),
    [
        ("12:50 event", "13:10 event", []),
        ("13:10 event", "12:50 event", ["order"]),
        ("T-5 min", "12:50 event", ["order"]),  # T is 13:01 at the event
        ("12:50 event", "T-5 min", []),
        ("23:50 event", "2027-05-05 00:10 event", []),
    ],
)
def test_what_ends_before_it_begins(start, end, codes):
    text = PASS_ONLY + f"  parties: [{{who: Tower, what: closed, from: {start}, to: {end}}}]\n"
    assert [row[1] for row in said(text)] == codes
    text = PASS_ONLY + f"  other_traffic: [{{who: Balloon, from: {start}, until: {end}}}]\n"
    assert [row[1] for row in said(text)] == codes


# the hold's least, planned and longest time in minutes, and the help
HOLDS = [
    ((4, 10, 20), None),
    ((20, 10, 4), "swapped? write minimum: 4 min, maximum: 20 min"),
    ((10, 4, 20), "swapped? write minimum: 4 min, planned: 10 min"),
    ((4, 20, 10), "swapped? write planned: 10 min, maximum: 20 min"),
    ((20, 4, 10), "check the times of the hold"),  # no two of them explain it
]


@pytest.mark.parametrize(("minutes", "help"), HOLDS)
def test_times_of_the_hold_out_of_order_are_told_once(minutes, help):
    times = ", ".join(
        f"{k}: {m} min" for k, m in zip(("minimum", "planned", "maximum"), minutes, strict=True)
    )
    hold = "at: HOLD, level: 2000 ft MSL, speed: 280 KTAS, turns: left, leg: 60 s, bank: 30 deg"
    found = load_mission_text(f"{PASS_ONLY}    hold: {{{hold}, {times}}}\n", "m.yaml")[1]
    assert [d.help for d in found if d.code == "order"] == ([help] if help else [])
