"""Whose each figure is, what a gate is about and whether the forecast feeds it: typed, never read from the
words that are printed."""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.brief.cards.approval import approval
from briefgen.brief.slides.view.gates import gate_values
from briefgen.brief.wording.words import words_of
from briefgen.mission.load import load_mission, load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.gates.verdicts import UNIT, About, at_least
from tests.plan.gates.gate_reading import REPOSITORY, gates

BY_HAND = "{by: Maj R. Okafor-Lind, source: chart 12, date: 2027-01-20, lowest: 1200 ft}"
# Of the regatta's own file: limits gives the hold, the pass, the minima; no figure of it settles light,
# watches or the legs' heights. The regime icao gives the radius of the obstacles (SERA.5005). How near
# weather counts and the 500 ft of what was looked up by hand are this program's guesses.
BASES = [
    ("hold-minimum", (), ("unit",)),
    ("daylight-pass", (), ("default",)),
    ("time-hack", (), ("default",)),
    ("push-slack", (), ("common practice",)),
    ("joker", (), ("arithmetic",)),
    ("permission-from", (), ("permission",)),
    ("base-open", (), ("as given",)),
    ("clocks", (), ("rule",)),
    ("pass-height", (), ("unit", "published")),
    ("pass-height", (("limits.pass_minimum_height", ""),), ("published", "published")),
    ("legs-visibility", (), ("unit", "default")),
    ("terrain", (("terrain_checked", BY_HAND),), ("default",)),
]


@pytest.mark.parametrize(("id", "edits", "basis"), BASES)
def test_whose_a_figure_is(id, edits, basis):
    assert gates("regatta", edits)[id].basis == basis


@pytest.mark.parametrize("mission", ["regatta", "lantern-fair", "founders-day", "overcommitted", "start"])
def test_every_gate_says_whose_its_figures_are_and_what_it_is_about(mission):
    assert [gate.id for gate in gates(mission).values() if not gate.basis or gate.topic == "other"] == []


def test_the_gates_that_the_forecast_feeds():
    """Those with a minimum or a maximum for ceiling, visibility, cloud, wind or thin air at a place; not what
    is briefed for cloud, nor how old the forecast is."""
    places = [
        f"{place}-{what}"
        for place in ("takeoff", "landing", "alternate", "divert-1")
        for what in ("ceiling", "visibility")
    ]
    thin = ["density-altitude", "alternate-density-altitude"]
    winds = ["crosswind", "alternate-crosswind", "divert-1-crosswind"]
    others = [
        "area-visibility",
        "area-cloud",
        "legs-visibility",
        "legs-cloud",
        "event-ceiling",
        "event-visibility",
        "pass-cloud",
        "abort-cloud",
    ]
    assert sorted(gate.id for gate in gates("regatta").values() if gate.forecast) == sorted(
        [*places, *winds, *thin, *others]
    )


@pytest.mark.parametrize(
    ("source", "verdict"),
    [
        (UNIT, "CAUTION"),
        (replace(UNIT, basis=("published",)), "PASS"),
        (replace(UNIT, words="as the wing says"), "CAUTION"),
    ],
)
def test_a_limit_of_zero_is_doubted_where_it_is_the_units_whatever_it_is_called(source, verdict):
    assert at_least(About("x", "X", "ft", source, ()), 1.0, 0.0).verdict == verdict


def reworded(plan):
    return replace(plan, gates=tuple(replace(gate, source=f"words {n}") for n, gate in enumerate(plan.gates)))


def test_no_word_of_a_source_changes_what_the_sheet_and_the_slides_call_a_default():
    plan = make_plan(load_mission(REPOSITORY / "missions" / "founders-day.yaml")[0])[0]
    unusual, again = (approval(p).sides[0][1]["unusual"] for p in (plan, reworded(plan)))
    assert unusual == again and any(lead == "Judged by a default, no authority:" for lead, _ in unusual.items)
    defaults, others = (gate_values(words_of(p))["defaults"] for p in (plan, reworded(plan)))
    assert len(defaults) == len(others) > 3


def test_what_was_looked_up_by_hand_is_judged_by_a_default_and_the_sheet_says_so():
    text = (REPOSITORY / "missions" / "regatta.yaml").read_text(encoding="utf-8")
    added = f"\nterrain_checked: {BY_HAND}\n"
    counted = []
    for more in ("", added):
        plan = make_plan(load_mission_text(text + more, "regatta.yaml")[0])[0]
        told = dict(approval(plan).sides[0][1]["unusual"].items)["Judged by a default, no authority:"]
        counted.append(int(told.split(" ")[0]))
    assert counted[1] == counted[0] + 1
