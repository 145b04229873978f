"""Every gate just inside, just outside and with its data missing: the rows are in gate_rows.py and
gate_rows_more.py."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from briefgen.plan.build import fly
from briefgen.plan.gates import judge, known_ids
from briefgen.plan.gates.speeds import mach
from tests.plan.gates.gate_reading import REPOSITORY, gates, judged, sortie
from tests.plan.gates.gate_rows import CAUTION, FAIL, MISSING, PASS, ROWS_OF_THE_SORTIE
from tests.plan.gates.gate_rows_more import ROWS_OF_THE_DAY
from tests.planned import load_mission

KEY_OR_LONG_SECONDS = re.compile(r"[a-z]_[a-z]|\[\]|limits\.|contingencies has|[0-9]{3,} s\b")
ROWS = [*ROWS_OF_THE_SORTIE, *ROWS_OF_THE_DAY]

# What no row can show, and why.
NEVER = {
    **{
        (
            f"height-{part}",
            MISSING,
        ): "where nothing is known under it there is no such row: it is the terrain's"
        for part in (
            "transit-N",
            "hold",
            "hold-to-ip",
            "recovery-N",
            "area",
        )
    },
    **{
        ("obstacles-listed", verdict): "the rows of this table name no files of obstacles"
        for verdict in (PASS, FAIL, MISSING)
    },
    **{
        (f"ground-{part}", verdict): "the rows of this table name no tiles"
        for part in (
            *("departure-N", "transit-N", "hold", "hold-to-ip", "run-in", "egress", "abort", "recovery-N"),
            *("home", "divert", "area"),
        )
        for verdict in (PASS, FAIL, MISSING)
    },
    ("over-again", MISSING): "every leg has its positions and levels",
    **{
        (id, MISSING): "test_what_is_timed_from_takeoff_needs_the_way_to_the_area"
        for id in ("t-reachable", "end-by")
    },
    (
        "hold-leg",
        FAIL,
    ): "what is flown instead is longer, no less; CAUTION: test_a_leg_that_wind_does_not_allow",
    ("hold-leg", MISSING): "the schema gives every hold a leg",
    ("hold-entry", MISSING): "the heading on which the hold is reached is always worked out",
    **{
        (id, verdict): "one pass has no next one; a flow worked by hand shows it"
        for id in ("slip-next", "slip-next-early")
        for verdict in (PASS, FAIL, MISSING)
    },
    **{
        (id, FAIL): "given or not: nothing of it can be too much or too little"
        for id in ("winds-aloft", "way-out", "takeoff-wait", "climb-out", "climb-home")
    },
    ("convective-cloud", PASS): "without such a cloud there is no such gate",
    **{
        (f"report-{id}", verdict): "there is such a gate only where a report has it, and then it is a CAUTION"
        for id in ("thunderstorm", "icing", "fog", "vertical-visibility", "shear")
        for verdict in (PASS, MISSING)
    },
    ("report-words", MISSING): "without a report there is no such gate",
    ("report-place", PASS): "of a report of its own aerodrome there is no such gate",
    ("report-observed", FAIL): "an observation that has ended says nothing: NOT CHECKED",
    ("mach", PASS): "test_mach",
    ("mach", FAIL): "a leg at Mach 1 is refused when it is worked out; test_mach",
    ("mach", MISSING): "every leg has its Mach number",
    ("airfield-from-crowd", MISSING): "a regime without the rule has no such gate",
    ("area-points", MISSING): "the area always has its boundary, and its points their positions",
    ("clocks", MISSING): "both zones are always known",
    ("minimum-ships", FAIL): "the reader refuses a pass that asks for more ships than fly",
    ("aerobatics-place", MISSING): "the area and the event always have their positions",
    ("yardstick-pairs", MISSING): "yardstick-own says that channels are missing",
    ("divert-given", FAIL): "there is one, or nobody says so",
    ("daylight-pass", MISSING): "the sun is always known",
    ("daylight-takeoff", PASS): "test_takeoff_at_sunrise",
    ("daylight-takeoff", FAIL): "test_takeoff_at_sunrise",
    ("daylight-pass", PASS): "test_the_latest_accepted_pass_at_sunset",
    ("daylight-pass", FAIL): "test_the_latest_accepted_pass_at_sunset",
}


def row_id(row: tuple) -> str:
    changes = ", ".join(f"{path}={value or 'left out'}" for path, value in row[2])
    return f"{row[0]} {row[3]} {changes}"[:120]


@pytest.mark.parametrize("row", ROWS, ids=row_id)
def test_a_gate_just_inside_just_outside_or_without_its_data(row):
    id, mission, edits, verdict = row
    gate = gates(mission, tuple(edits))[id]
    assert gate.verdict == verdict, gate
    assert gate.why if verdict != PASS else gate.why == ""
    assert gate.source and gate.title and gate.cause
    if verdict == MISSING:
        assert gate.limit is None
    assert not any(KEY_OR_LONG_SECONDS.search(said) for said in spoken(gate)), (
        "these words stand on a wall, before people who never see the file"
    )


def spoken(gate) -> list[str]:
    return [gate.title, gate.why, *(figure for figure in (gate.value, gate.limit) if isinstance(figure, str))]


def names() -> list[str]:
    return [id.name for id in known_ids()]


def _catalogue(id: str) -> str:
    return re.sub(
        r"^(party|traffic|divert|height-departure|height-transit|height-recovery)-[0-9]+", r"\1-N", id
    )


def test_every_gate_has_its_rows():
    shown = {(_catalogue(id), FAIL if verdict == CAUTION else verdict) for id, _, _, verdict in ROWS}
    wanted = {(id, verdict) for id in names() for verdict in (PASS, FAIL, MISSING)}
    assert wanted - shown == set(NEVER)


@pytest.mark.parametrize("mission", ["regatta", "lantern-fair", "founders-day", "overcommitted"])
def test_every_gate_that_comes_out_stands_in_the_list(mission):
    assert {_catalogue(id) for id in gates(mission)} <= set(names())


CASES = sorted(path.stem for path in (REPOSITORY / "tests" / "cases").glob("*.yaml"))


@pytest.mark.parametrize("case", CASES)
def test_every_gate_that_a_case_can_give_stands_in_the_list(case):
    """A case that is refused gives no gates; those that can be flown must have no gate without rows."""
    found = judged(REPOSITORY / "tests" / "cases" / f"{case}.yaml")
    assert found or not case.startswith(("ok-", "accident-"))
    assert {_catalogue(gate.id) for gate in found} <= set(names())


def test_what_is_said_to_be_shown_by_another_test_is():
    """A reason that names a test names one that there is."""
    text = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    named = {name for why in NEVER.values() for name in re.findall(r"test_\w+", why)}
    assert named and named <= set(re.findall(r"^def (test_\w+)", text, re.MULTILINE))


@pytest.mark.parametrize("mission", ["regatta", "lantern-fair", "founders-day", "overcommitted", "start"])
def test_no_gate_speaks_of_a_point_that_no_file_names(mission):
    assert [
        gate.id for gate in gates(mission).values() if "EGRESS" in f"{gate.title} {gate.why} {gate.value}"
    ] == []


def test_without_an_egress_only_its_own_gate_speaks_of_one():
    found = gates("regatta", (("event.pass.egress", ""),))
    assert [gate.id for gate in found.values() if "egress" in f"{gate.title} {gate.why}"] == ["egress-turn"]
    assert found["egress-turn"].why.startswith("no egress is given")


def test_no_id_stands_twice_in_the_list():
    assert len(names()) == len(set(names()))


@pytest.mark.parametrize("number, verdict", [(0.999, PASS), (1.0, FAIL)])
def test_mach(number, verdict):
    flown = sortie("regatta")
    legs = (replace(flown.legs[0], mach=number), *flown.legs[1:])
    (gate,) = mach(replace(flown, legs=legs))
    assert (gate.verdict, gate.waivable) == (verdict, False)


def test_the_never_waivable_are_those_of_the_design():
    """Fuel ladder, landing below emergency fuel, overlapping blocks, Mach 1, T that cannot be reached."""
    fixed = {gate.id for gate in judge(sortie("regatta")) if not gate.waivable}
    assert fixed == {"t-reachable", "mach", "blocks-overlap", "fuel-order", "landing-emergency"}


@pytest.mark.parametrize(
    ("id", "mission", "edits", "said"),
    [
        (
            "contingency-no-ground-contact",
            "regatta",
            (("contingencies.no_ground_contact", ""),),
            "nobody has said what to do without ground contact: who does what, and when",
        ),
        (
            "fall-outs",
            "regatta",
            (("contingencies.fall_outs", ""),),
            "nobody has said what becomes of the flight without one of its ships",
        ),
        (
            "lead-qualified",
            "regatta",
            (("flight.1.can_lead", ""),),
            "nobody has said whether Maj R. Okafor-Lind may lead",
        ),
    ],
)
def test_what_is_missing_is_told_to_people(id, mission, edits, said):
    assert gates(mission, edits)[id].why == said


def test_a_cue_too_late_is_told_in_clock_times():
    """overcommitted.yaml: heard at 13:30:00 Z, relayed 10 s later; T 13:31:30 Z less the way from the hold is
    13:29:26 Z."""
    gate = gates("overcommitted")["cue-first"]
    assert (gate.verdict, f"{gate.value:%H:%M:%S}", f"{gate.limit:%H:%M:%S}", gate.sense) == (
        FAIL,
        "13:30:10",
        "13:29:26",
        "at most",
    )


def test_an_early_arrival_is_told_in_minutes():
    """ok-pass-only.yaml: 2537 s are 42 x 60 + 17."""
    mission, _ = load_mission(REPOSITORY / "tests" / "cases" / "ok-pass-only.yaml")
    gate = next(gate for gate in judge(fly(mission)[0]) if gate.id == "t-reachable")
    assert (gate.value, gate.why) == ("the IP is reached 42 min 17 s too early", "take off 42 min 17 s later")


def test_after_a_landing_that_t_fixes_less_training_is_no_help():
    mission, _ = load_mission(REPOSITORY / "tests" / "cases" / "ok-midnight.yaml")
    gate = next(gate for gate in judge(fly(mission)[0]) if gate.id == "daylight-landing")
    why = "an earlier T, a shorter way home, or enter a night approval as a waiver"
    assert (gate.verdict, gate.why) == (FAIL, why)


@pytest.mark.parametrize("case", ["ok-midnight", "ok-training-only"])
def test_the_area_s_floor_keeps_its_datum(case):
    """Both files say 5000 ft MSL, and not whether the training is aerobatic."""
    mission, _ = load_mission(REPOSITORY / "tests" / "cases" / f"{case}.yaml")
    gate = next(gate for gate in judge(fly(mission)[0]) if gate.id == "aerobatics-floor")
    assert (gate.value, gate.unit) == (5000.0, "ft MSL")
