"""A sortie of one ship: every product is made, and none speaks of a formation, of wingmen or of who leads
whom."""

import re
import subprocess
from functools import cache

import pytest
from pptx import Presentation

from briefgen.brief.figures import figure_makers
from briefgen.build.build import build
from briefgen.draw.scene.model import Canvas
from briefgen.mission.load import load_mission
from briefgen.plan.build import make_plan
from tests.planned import REPOSITORY

GIVEN_UP = (  # what the regatta says of a formation, in its own lines
    r"\n  - \{ship: [234],[^\n]*",
    r"\n  takeoff_interval:[^\n]*",
    r"\n  yardstick:[^\n]*",
    r"\n      (?:formation|spacing|step_down):[^\n]*",
    r"\n    minimum_ships:[^\n]*",
    r"\n  landing_interval:[^\n]*",
    r"\n  lost_wingman:(?:\n    [^\n]*)*",
    r"\n  fall_outs:(?:\n    [^\n]*)*",
    r", listens: \[[^]]*\]",
)
FORMATION = re.compile(
    r"wingm[ae]n|step-down|second leader|\bthe leader\b|\bleads?\b (?!a )|thirstiest|lowest ship|last"
    r" ship|every ship, when|\ba ship\b \(|rejoin|take-off interval"
    r"|formation(?!_| of cloud)|may lead|ship 2|\d ships\b|number 1\b|fly the formation|fall-out",
    re.IGNORECASE,
)
# what the unit has written in its own words, and what belongs to the abort: anybody on the ground knows the
# flight's first voice as Lead
OWN_WORDS = (
    "Lead, ground contact, tower",
    "| Lead |",
    "(Lead)",
    "not in the flight",
    "a ship's track",
    "every ship's track",
)


@pytest.fixture(scope="module")
def alone(tmp_path_factory):
    """The regatta with ship 1 only, its text, and the folder of its products."""
    text = (REPOSITORY / "missions" / "regatta.yaml").read_text(encoding="utf-8")
    for pattern in GIVEN_UP:
        text, count = re.subn(pattern, "", text)
        assert count, pattern
    folder = tmp_path_factory.mktemp("alone")
    (folder / "alone.yaml").write_text(text, encoding="utf-8")
    made = build(folder / "alone.yaml", out=folder / "out")
    assert made.written and not [outcome.name for outcome in made.outcomes if outcome.failure]
    return folder


def said(line: str) -> str:
    for own in OWN_WORDS:
        line = line.replace(own, "")
    return line


def spoken_of(texts) -> list[str]:
    return [line.strip() for text in texts for line in text.splitlines() if FORMATION.search(said(line))]


def slide_texts(folder):
    for slide in Presentation(str(folder / "out" / "deck.pptx")).slides:
        for shape in slide.shapes:
            if shape.has_text_frame:
                yield shape.text_frame.text
            elif getattr(shape, "has_table", False) and shape.has_table:
                yield "\n".join(
                    " | ".join(cell.text_frame.text for cell in row.cells) for row in shape.table.rows
                )
            elif shape.shape_type == 6:
                yield from (inner.text_frame.text for inner in shape.shapes if inner.has_text_frame)


def test_no_slide_speaks_of_a_formation(alone):
    assert spoken_of(slide_texts(alone)) == []


def card_text(alone, card: str) -> str:
    """What a card says, by lines."""
    return subprocess.run(
        ["pdftotext", "-layout", str(alone / "out" / f"{card}.pdf"), "-"],
        capture_output=True,
        check=True,
        text=True,
    ).stdout


@pytest.mark.parametrize("card", ["kneeboard-1", "approval", "ground-contact"])
def test_no_card_speaks_of_a_formation(alone, card):
    assert spoken_of([card_text(alone, card)]) == []


SEVERAL = re.compile(r"ships? \d|\(1\)|\(ship\)|\(own\)|this ship|\bred\b|\bleader\b|GANNET 1|of 1\b")


@pytest.mark.parametrize("card", ["kneeboard-1", "ground-contact"])
def test_no_card_tells_the_one_ship_from_others(alone, card):
    """Blue is its own side; red's block is nobody's. ``1 ship`` is what the ground contact hears of."""
    text = card_text(alone, card)
    assert [line.strip() for line in text.splitlines() if SEVERAL.search(line)] == []
    assert "10000 to 14000 ft MSL" in text or card == "ground-contact"


WITHOUT = [
    (),
    (("training", ""), ("weather.at.AREA", "")),
    (("event.pass.hold", ""), ("event.pass.no_cue", ""), ("contingencies.no_ground_contact", "")),
    (("training.leave", ""), ("training.rejoin", "")),
    (("transit", ""),),
    (("recovery", ""),),
    (("departure", ""),),
    (("event.pass.egress", ""),),
    (("event.pass.late_bias", ""), ("event.pass.push_up_to", "")),
    (("ground_ops.takeoff", ""),),
]


@pytest.fixture(scope="module")
def makers_without(alone):
    """The figures of the one ship's mission without some of its keys, planned once for every medium."""

    @cache
    def makers(edits):
        mission, found = load_mission(alone / "alone.yaml", edits)
        assert mission is not None, [d.message for d in found]
        plan, found = make_plan(mission)
        assert plan is not None, [d.message for d in found]
        return figure_makers(plan)

    return makers


@pytest.mark.parametrize("edits", WITHOUT, ids=lambda edits: edits[0][0] if edits else "whole")
@pytest.mark.parametrize("medium", ["deck", "card", "page"])
def test_every_figure_of_one_ship_is_drawn_with_all_its_labels(makers_without, edits, medium):
    width, height = {"deck": (864.0, 374.0), "card": (380.0, 200.0), "page": (700.0, 300.0)}[medium]
    makers = makers_without(edits)
    assert "clock_bar" in makers
    assert {
        name: scene.unplaced
        for name, maker in makers.items()
        if not (name == "contact_ladder" and medium == "card")  # a row for each call: no card has it
        and (scene := maker(Canvas(width, height, medium))).unplaced
    } == {}


def test_the_scan_can_fail():
    assert (
        spoken_of(
            [
                "Acceleration 2.5 kt/s: what the wingmen can follow",
                "Lowest ship 1500 ft MSL",
                "Ship 3 leads, vic",
            ]
        )
        != []
    )
    assert spoken_of(["Said by Lead, ground contact, tower"]) == []


def test_no_product_prints_the_program_s_own_name_for_the_end_of_the_egress(alone):
    """No file names that point; readers know it as the end of the egress. A mission's own place of that name
    would stand with its leg's course."""
    assert [text for text in slide_texts(alone) if "EGRESS to" in text or "EGRESS direct" in text] == []
