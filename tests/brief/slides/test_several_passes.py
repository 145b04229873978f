"""Slides of several passes: nothing of one of them on those of the whole sortie."""

from __future__ import annotations

from briefgen.brief.content.blocks import Bullets, plain
from briefgen.brief.slides.pages import build_pages, read_templates
from briefgen.brief.slides.view.gates import key_gates
from briefgen.brief.wording.words import words_of
from briefgen.core import resources
from tests.planned import brief_of, plan_of

HARBOURS = plan_of("missions/three-harbours.yaml")


def test_each_pass_has_its_own_bingo_and_the_sortie_none():
    view = brief_of(HARBOURS).view
    assert "bingo_event" not in view.tables and view.values["fuel"]["bingo_event"] is None
    assert all(own.tables["bingo_event"].rows and own.values["fuel"]["bingo_event"] for _, own in view.passes)


def test_the_figures_that_decide_are_those_of_each_pass():
    """A pass that fails is not lost behind the one flown after it."""
    heights = [gate.id for gate in key_gates(words_of(HARBOURS)) if gate.rule == "pass-height"]
    assert heights == [
        f"{pass_}/pass-height" for pass_ in ("SALTMERE", "SALTMERE/pass-2", "CORBROOK", "DUNWATER")
    ]


def test_the_airspace_has_what_each_event_has_typed():
    """The clocks of the file less one hour at SALTMERE and two at the others; parties from T-5 min to T+20
    min and from T-10 min to T+5 min, traffic until T-10 min, of the first T of each: 14:00, 14:30, 14:44."""
    view = brief_of(HARBOURS).view
    rows = [[cell.text for cell in row] for row in view.tables["airspace"].rows]
    assert [(row[0], row[2]) for row in rows] == [
        ("Breakwater, training area", "13:05:00 to 13:50:00 Z"),
        ("Permission for SALTMERE", "13:50:00 to 14:30:00 Z"),
        ("SALTMERE: Saltmere port control: harbour mouth closed", "13:55:00 to 14:20:00 Z"),
        ("Permission for CORBROOK", "14:15:00 to 14:45:00 Z"),
        ("CORBROOK: Corbrook harbour master: no drones", "14:20:00 to 14:35:00 Z"),
        ("CORBROOK: Television helicopter", "until 14:20:00 Z"),
        ("Permission for DUNWATER", "14:30:00 to 15:00:00 Z"),
        ("DUNWATER: Pier keeper: no drones", "14:34:00 to 14:49:00 Z"),
    ]
    assert [row[3].split(",")[0] for row in rows if row[0].startswith("Permission")] == [
        "SHD-27-041",
        "CR-2027-12",
        "DP-100",
    ]
    permitted = view.values["airspace"]["permission"]
    assert permitted.startswith("SALTMERE is permitted from 13:50:00") and permitted.count("permitted") == 3


def test_the_fuel_of_each_ship_and_the_chart_have_no_bingo_of_one_pass():
    view = brief_of(HARBOURS).view
    heads = [column.head for column in view.tables["fuel_ships"].columns]
    assert "Bingo training" in heads and not {"Bingo event", "Go home by fuel"} & set(heads)
    named = [line.label for line in view.charts["fuel"].references]
    assert [label for label in named if label.startswith("T")] == ["T1", "T2", "T3", "T4"]
    assert not [label for label in named if "event" in label] and "bingo event" not in view.charts["fuel"].alt


def test_the_list_of_obstacles_of_each_event_is_named():
    page = next(
        page
        for page in build_pages(
            read_templates([resources.templates_folder() / "brief"]), brief_of(HARBOURS).view
        )[0]
        if page.name == "airspace"
    )
    items = [item for block in page.blocks if isinstance(block, Bullets) for item in block.items]
    told = [text for item in items if "looked for" in (text := plain(item.runs))]
    events = ("SALTMERE", "CORBROOK", "DUNWATER")
    assert [text.partition(" looked for")[0] for text in told] == [f"List of {event}" for event in events]


def test_a_pass_that_moves_with_another_has_no_slips_of_its_own_on_slides():
    """SALTMERE's second, 15 min after the first; not DUNWATER, at a cue of its own."""
    own = dict(brief_of(HARBOURS).view.passes)
    assert {"slips", "speed_fixes"} <= set(own["DUNWATER"].tables) and own["DUNWATER"].values["slips"]
    second = own["SALTMERE pass 2"]
    assert not {"slips", "speed_fixes", "updates"} & set(second.tables)
    assert "slip_reach" in own["DUNWATER"].figures and "slip_reach" not in second.figures
    assert second.values["slips"] is None and second.values["ceremony"]["say"] == ""
    assert second.values["event"]["hangs_on"].startswith("15 min after SALTMERE, moves with it")
