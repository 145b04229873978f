"""One ship, two, no hold, no event: each shape of a sortie has just its gates, and each of them is judged as
for four ships.

The rows are those of gate_rows.py, which stand on the regatta: four ships, training, hold and pass. Here the
same mission is cut to each shape; of every gate one row that must not pass is flown there again.
"""

from __future__ import annotations

import pytest

from briefgen.plan.regimes import regime
from tests.plan.gates.gate_reading import Edits, gates
from tests.plan.gates.gate_rows import BARE_SPEEDS, CAUTION, FAIL, MISSING, PASS, P, R
from tests.plan.gates.test_every_gate import KEY_OR_LONG_SECONDS, ROWS, _catalogue, names, spoken
from tests.plan.gates.test_one_ship import ALONE, OF_A_FORMATION

NO_FASTEST = [("limits.pass_maximum_speed", ""), *BARE_SPEEDS]
SHAPES: dict[str, Edits] = {
    "four ships": (),
    "one ship": ALONE,
    "two ships": (
        (
            "flight",
            "[{ship: 1, crew: [Maj R. Okafor-Lind], aircraft: petrel, start_fuel: 5500 lb, side: blue,"
            " can_lead: yes, flypasts_led: 0}, {ship: 2, crew: [Capt T. Wessel], aircraft: petrel,"
            " start_fuel: 5500 lb, side: red, burn_factor: 1.04, can_lead: yes, flypasts_led: 2}]",
        ),
        ("contingencies.fall_outs", "{1: {leads: 2}, 2: {}}"),
        ("training.yardstick", "{1: 29Y, 2: 92Y}"),
        (f"{P}.run_in.formation", "echelon right"),
        ("radio.4.listens", "[1, 2]"),
    ),
    "no hold": (
        (f"{P}.hold", ""),
        (f"{P}.no_cue", "go home"),
        (f"{P}.after_leaving_hold", ""),
        ("contingencies.no_ground_contact.then", "go home"),
        ("contingencies.no_ground_contact.after", "60 s before IP"),
    ),
    "no event": (
        ("event", ""),
        ("contingencies.no_ground_contact", ""),
        ("places.EASTLEA.open", "09:00 to 18:30 base"),
        ("places.HARTWELL.open", "09:00 to 18:30 base"),
    ),
}
# What the regatta has no cause for, in any shape: MSL heights that nobody knows the ground under, a regime
# without the rule, a forecast without such cloud, no pasted report, no list of obstacles, no
# tiles.
NOT_OF_THE_REGATTA = {
    "cues-in-hold",  # its T hangs on a cue
    "slip-next",
    "slip-next-early",
    "height-transit-N",
    "height-hold",
    "height-hold-to-ip",
    "height-area",
    "airfield-from-crowd",
    "convective-cloud",
    *(f"report-{id}" for id in ("thunderstorm", "icing", "fog", "vertical-visibility", "shear")),
    *("report-words", "report-place", "report-observed", "obstacles-listed"),
    *(f"ground-{leg}-N" for leg in ("departure", "transit", "recovery")),
    *(
        f"ground-{way}"
        for way in ("hold", "hold-to-ip", "run-in", "egress", "abort", "home", "divert", "area")
    ),
}
OF_A_HOLD = {"hold-entry", "hold-leg", "hold-fuel", "hold-maximum", "hold-minimum", "slip-holes"}
OF_AN_EVENT = OF_A_HOLD | {
    *("t-reachable", "cue-first", "authority-early", "authority-late", "push-slack", "cap-margin"),
    *(
        "slip-late",
        "slip-early",
        "slip-spread-early",
        "slip-spread-late",
        "pass-height",
        "pass-minimum",
        "obstacles-near",
        "obstacles-age",
        "over-again",
    ),
    *(
        "height-run-in",
        "height-egress",
        "height-abort",
        "egress-turn",
        "cold-air",
        "pass-speed",
        "pass-cloud",
        "abort-cloud",
    ),
    *("permission-from", "permission-until", "permission-requested", "permission-lowest", "crowd-distance"),
    *("party-N", "party-N-from", "party-N-until", "traffic-N", "ground-contact", "radio-check", "time-hack"),
    *("formation-size", "formation-spacing", "step-down", "standard-across", "standard-vertical"),
    *("minimum-ships", "first-time-lead", "aerobatics-place", "event-ceiling", "event-visibility"),
    *("daylight-pass", "abort-briefed", "abort-clear", "climb-home"),
    *("contingency-inadvertent-cloud", "contingency-no-ground-contact"),
}
MISSING_FROM: dict[str, set[str]] = {
    "four ships": set(),
    "one ship": OF_A_FORMATION,
    "two ships": set(),
    "no hold": OF_A_HOLD,
    "no event": OF_AN_EVENT,
}


@pytest.mark.parametrize("regime", ["icao", "usa", "uk", "australia"])
@pytest.mark.parametrize("shape", SHAPES)
def test_each_shape_has_just_its_gates(shape, regime):
    """Whatever the regime but for its own rule: the UK's distance of an airfield from a crowd."""
    found = {_catalogue(id) for id in gates(R, (*SHAPES[shape], ("limits.regime", regime)))}
    own = {"airfield-from-crowd"} if regime == "uk" and shape != "no event" else set()
    assert found == (set(names()) - NOT_OF_THE_REGATTA - MISSING_FROM[shape]) | own


def level(key: str, feet: int) -> list[tuple[str, str]]:
    return [(key, f"{feet} ft MSL")]


# Where the shape moves the figure. Each ship less steps the lowest up by 10 ft: the leader flies 30 ft above
# the lowest of four, 10 ft above that of two, and without an event nobody is stepped down; direct home is
# then flown from the area, over nothing higher than Northbourne at 230 ft. Each ship less is at the hold 15 s
# sooner: it waits 512.8 s for four, 542.8 s for two, 557.8 s alone; the shortest hold is 240 s, two laps last
# at least 422.9 s.
INSTEAD: dict[tuple[str, str], tuple[list[tuple[str, str]], str] | None] = {
    ("one ship", "slip-early"): ([("event.accept_slip.early", "318 s")], FAIL),
    ("two ships", "slip-early"): ([("event.accept_slip.early", "303 s")], FAIL),
    ("one ship", "slip-holes"): ([("event.accept_slip.early", "135 s")], CAUTION),
    ("two ships", "slip-holes"): ([("event.accept_slip.early", "120 s")], CAUTION),
    ("one ship", "pass-minimum"): (level(f"{P}.obstacles.1.top", 501), FAIL),
    ("one ship", "height-run-in"): (level(f"{P}.obstacles.1.top", 1001), CAUTION),
    ("two ships", "height-run-in"): (level(f"{P}.obstacles.1.top", 991), CAUTION),
    ("one ship", "height-egress"): (level(f"{P}.egress.level", 829), CAUTION),
    ("two ships", "height-egress"): (level(f"{P}.egress.level", 839), CAUTION),
    ("one ship", "height-abort"): (level(f"{P}.abort.level", 829), CAUTION),
    ("two ships", "height-abort"): (level(f"{P}.abort.level", 839), CAUTION),
    ("one ship", "height-recovery-1"): (level("recovery.legs.1.level", 729), CAUTION),
    ("two ships", "height-recovery-1"): (level("recovery.legs.1.level", 739), CAUTION),
    ("no event", "height-recovery-1"): (level("recovery.legs.1.level", 729), CAUTION),
    ("no event", "height-home"): (level("recovery.legs.1.level", 729), CAUTION),
    ("two ships", "second-leader"): ([("flight.2.can_lead", "")], MISSING),
    ("two ships", "burn-factor"): ([("flight.2.burn_factor", "")], MISSING),
    ("no hold", "slip-late"): (NO_FASTEST, MISSING),
    ("no hold", "t-reachable"): ([("departure", "")], FAIL),  # nothing takes up what it comes too early
    ("no event", "clocks"): None,  # one clock only
    ("no event", "daylight-takeoff"): None,  # without T a take-off is typed
}


def rows_of(shape: str) -> list[tuple[str, list[tuple[str, str]], str]]:
    """A row that does not pass for each gate: with its data missing, else outside its limit; none that
    changes an event which the shape does not have."""
    not_there = "event." if shape == "no event" else ()
    chosen: dict[str, tuple[list[tuple[str, str]], str]] = {}
    for id, mission, edits, verdict in sorted(ROWS, key=lambda row: row[3] != MISSING):
        if mission != R or verdict == PASS or _catalogue(id) in MISSING_FROM[shape]:
            continue
        if not any(path.startswith(not_there) for path, _ in edits):
            chosen.setdefault(id, (edits, verdict))
    chosen |= {id: row for (of, id), row in INSTEAD.items() if of == shape}
    return [(id, *row) for id, row in chosen.items() if row is not None and (id in gates(R, SHAPES[shape]))]


@pytest.mark.slow
@pytest.mark.parametrize("shape", [shape for shape in SHAPES if shape != "four ships"])
def test_each_gate_of_a_shape_is_judged_there_too(shape):
    rows = rows_of(shape)
    assert len(rows) > {"no event": 50}.get(shape, 80)
    for id, edits, verdict in rows:
        gate = gates(R, (*SHAPES[shape], *edits))[id]
        assert gate.verdict == verdict, (id, edits, gate)
        assert gate.why and gate.source and gate.title and gate.cause, id
        assert (verdict == MISSING) == bool(gate.settled_by) == (gate.limit is None), id
        assert not any(KEY_OR_LONG_SECONDS.search(said) for said in spoken(gate)), id


@pytest.mark.parametrize(
    ("id", "key", "without"),
    [
        # the whole of a place's minima is left out elsewhere; one of the two is a limit, the other is missing
        ("legs-visibility", "formation_legs", "{below_cloud: 500 ft}"),
        ("takeoff-visibility", "takeoff", "{ceiling: 1500 ft AGL}"),
        ("landing-visibility", "landing", "{ceiling: 1500 ft AGL}"),
        ("alternate-visibility", "alternate", "{ceiling: 1500 ft AGL}"),
        ("takeoff-ceiling", "takeoff", "{visibility: 5 km}"),
        ("landing-ceiling", "landing", "{visibility: 5 km}"),
        ("alternate-ceiling", "alternate", "{visibility: 5 km}"),
    ],
)
def test_half_of_the_minima_is_no_limit_for_the_other_half(id, key, without):
    gate = gates(R, ((f"limits.weather.{key}", without),))[id]
    assert (gate.verdict, gate.lacks) == (MISSING, "limit")
    assert gate.settled_by == ("limits", "weather", key, id.rpartition("-")[2])


def test_a_regime_with_a_visibility_of_its_own_settles_the_legs():
    """14 CFR 91.155 below 10 000 ft: 3 statute miles, 4.8 km; 10 km are forecast."""
    half = ("limits.weather.formation_legs", "{below_cloud: 500 ft}")
    gate = gates(R, (half, ("limits.regime", "usa")))["legs-visibility"]
    assert gate.verdict == PASS and gate.limit == pytest.approx(3 * 1.609344)


def test_an_alternate_that_is_carried_has_its_gate_for_every_number_of_ships():
    """Climb 100, the leg of 62.6 nm and approach 230 lb, times 1.06, 1 and 1.04, and 900 at landing: ship 4
    has 1410 lb at base, the leader alone 1650, ship 2 of two 1500."""
    for shape, verdict in (("four ships", FAIL), ("one ship", PASS), ("two ships", FAIL)):
        gate = gates(R, (*SHAPES[shape], ("recovery.alternate.required", "yes")))["alternate-fuel"]
        assert (gate.verdict, gate.unit, gate.sense) == (verdict, "lb", "at least"), shape
        # normal landing, climb and approach; the leg of 62.6 nm comes to it
        assert gate.limit > 900 + 100 + 230, shape


# CAR 1988 reg 157: 1000 ft above an assembly of people, 600 m to the side, of which the larger of the two
# radii in use, 2000 ft; reg 156: a flypast needs a permission.
def test_australia_s_figures_are_those_of_its_regulations():
    found = gates(R, (("limits.regime", "australia"), ("limits.pass_minimum_height", "")))
    assert (found["pass-height"].limit, found["pass-height"].verdict) == (1000.0, PASS)
    assert "CAR 1988 reg 157" in found["pass-height"].source
    figures = regime("australia")
    assert (figures.figure("obstacle_radius_ft").value, figures.figure("permission_needed").value) == (
        2000.0,
        1.0,
    )
