"""Winds aloft as text: published tables read by hand, rows, and texts that are none."""

from __future__ import annotations

import random
import re
from datetime import UTC, datetime

import pytest

from briefgen.mission.inputs.report import Unusable, WindsText
from briefgen.mission.inputs.winds_text import read_winds, used_over
from briefgen.mission.inputs.words import normal_words
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.mission.mission_texts import changed, regatta

# Wikipedia, Winds aloft: the head; the cells are those of its text and of AC 00-45 (731960, 7799, 9900)
HEAD = "FBUS31 KWNO 190440 DATA BASED ON 190000Z DATA VALID 190600Z FOR USE 0600-1200Z. TEMPS NEG ABV 24000 "
LEVELS = "FT 3000 6000 9000 12000 18000 24000 30000 34000 39000 "


def rows(text: str) -> list[tuple[str, float, float, float, float | None]]:
    found = read_winds(text)
    assert isinstance(found, WindsText), found
    return [
        (row.level.datum, row.level.feet, row.wind.direction.deg, row.wind.kt, row.temperature)
        for row in found.rows
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # pilotfriend.com, a sample FD of Houston
        (
            "FD KSJC 161640 VALID 161800Z FOR USE 1700 -2100Z TEMPS NEG ABV 24000"
            " FT 3000 6000 9000 12000 18000 24000 HOU 2619 2728+01 2635-05 2641-09 2654-21 2665-32",
            [
                ("MSL", 3000, 260, 19, None),
                ("MSL", 6000, 270, 28, 1),
                ("MSL", 9000, 260, 35, -5),
                ("MSL", 12000, 260, 41, -9),
                ("FL", 18000, 260, 54, -21),
                ("FL", 24000, 260, 65, -32),
            ],
        ),
        # 731960: 230 deg at 119 kt and -60 C; 7799: 270 deg at 199 kt or more; 9900: light and variable
        (HEAD + "FT 3000 34000 39000 ABR 9900 731960 7799", [
            ("MSL", 3000, 0, 0, None), ("FL", 34000, 230, 119, -60), ("FL", 39000, 270, 199, None),
        ]),
        # humbleaviation.com: 750456 is 250 deg at 104 kt; levels near the ground are left out
        (HEAD + LEVELS + "ABI 2024+06 2331-10 2335-22 234037 234547 750456", [
            ("MSL", 12000, 200, 24, 6), ("FL", 18000, 230, 31, -10), ("FL", 24000, 230, 35, -22),
            ("FL", 30000, 230, 40, -37), ("FL", 34000, 230, 45, -47), ("FL", 39000, 250, 104, -56),
        ]),
        ("FL100 270/35 M05", [("FL", 10000, 270, 35, -5)]),
        ("FL100 270/35 M05; FL050 360/08KT -02\nFL240 265/120", [
            ("FL", 10000, 270, 35, -5), ("FL", 5000, 0, 8, -2), ("FL", 24000, 265, 120, None),
        ]),
        ("5000FT 270/35 12 2000 FT 000/00 P15", [
            ("MSL", 5000, 270, 35, 12), ("MSL", 2000, 0, 0, 15),
        ]),
    ],
)  # fmt: skip
def test_winds_are_read_as_they_are_published(text, expected):
    assert rows(text) == expected


@pytest.mark.parametrize(
    ("text", "odd"),
    [
        ("FL100 270/35 M05 XYZZY", "XYZZY"),
        ("FL100 270/35 M05 FL120 370/35", "FL120 370/35"),
        ("FL100 270/35 M05 PETERBOROUGH 2728+01", "PETERBOROUGH 2728+01"),
        ("FT 6000 ABC 4728+01 FL100 270/35", "ABC 4728+01"),  # 470 deg
        ("FD KSJC 161640 VALID 16180Z FL100 270/35", "VALID 16180Z"),
    ],
)
def test_what_no_rule_knows_is_not_understood(text, odd):
    found = read_winds(text)
    assert isinstance(found, WindsText) and " ".join(found.not_understood) == odd


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "no text"),
        ("TAF XXNB 291700Z 2918/3024 20010KT", "no wind stands"),
        ("FT 6000 HOU 2728+01 JOT 2736+01", "the winds of HOU, JOT"),
        ("FL100 270/35 FL100 280/35", "a level stands twice"),
    ],
)
def test_a_text_without_the_winds_of_one_place_says_why(text, why):
    found = read_winds(text)
    assert isinstance(found, Unusable) and why in found.message and found.help


def test_the_hours_of_use_are_dated_by_the_hour_of_validity():
    found = read_winds("VALID 010000Z FOR USE 2100-0600Z FL100 270/35")
    assert isinstance(found, WindsText)
    over = used_over(found, datetime(2027, 1, 31, 12, tzinfo=UTC))
    assert over == (datetime(2027, 1, 31, 21, tzinfo=UTC), datetime(2027, 2, 1, 6, tzinfo=UTC))


def test_broken_texts_lose_no_word_and_break_nothing():
    rng = random.Random(7)
    for _ in range(1500):
        text = HEAD + LEVELS + "ABI 2024+06 2331-10 2335-22 234037 FL100 270/35 M05"
        for _ in range(rng.randint(1, 8)):
            at = rng.randrange(len(text) + 1)
            put = rng.choice(["", "", " ", "/", "9", "FL", "FT", "X", "=", "-"])
            text = text[:at] + put + text[at + rng.randint(0, 2) :]
        found = read_winds(text)
        if isinstance(found, WindsText):
            assert " ".join(token.text for token in found.tokens).split() == normal_words(text)


ROWS = """    - {level: 0 ft MSL,     wind: 200T/12kt, temperature: 21 C}
    - {level: 5000 ft MSL,  wind: 230T/20kt, temperature: 12 C}
    - {level: 18000 ft MSL, wind: 260T/45kt, temperature: -16 C}
    - {level: FL240,        wind: 265T/55kt, temperature: -28 C}
"""
PASTED = "0FT 200/12 21 5000FT 230/20 12 18000FT 260/45 M16 FL240 265/55 M28"


def test_pasted_winds_are_flown_like_typed_ones():
    typed, _ = load_mission_text(regatta(), "m.yaml")
    text = changed(regatta(), "  winds:\n" + ROWS, f"  winds_text: >\n    {PASTED}\n")
    pasted, found = load_mission_text(text, "m.yaml")
    assert typed is not None and pasted is not None, found
    plans = [make_plan(mission)[0] for mission in (typed, pasted)]
    assert plans[0] is not None and plans[1] is not None
    assert plans[0].clock == plans[1].clock and plans[0].fuel == plans[1].fuel
    gates = [{gate.id: gate for gate in plan.gates} for plan in plans if plan is not None]
    assert gates[0]["winds-aloft"] == gates[1]["winds-aloft"]
    assert gates[1]["report-words"].verdict == "PASS"


@pytest.mark.parametrize(
    ("use", "verdict"), [("0200-0700", "PASS"), ("0210-0700", "NOT CHECKED"), ("2200-0400", "NOT CHECKED")]
)
def test_winds_for_other_hours_are_not_checked(use, verdict):
    """Take-off 02:07 Z, the last landing with the slip 04:00:21 Z."""
    text = changed(regatta(), "  winds:\n" + ROWS, f"  winds_text: VALID 300300Z FOR USE {use}Z {PASTED}\n")
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None, found
    plan, _ = make_plan(mission)
    assert plan is not None
    assert next(gate.verdict for gate in plan.gates if gate.id == "winds-aloft") == verdict


@pytest.mark.parametrize("ground", ["SFC", "GND"])
def test_a_row_that_names_no_height_is_told_with_the_forms_that_do(ground):
    """Each row that the remedy shows is read, with the height that it names."""
    pasted = PASTED.replace("0FT 200/12 21", f"{ground} 200/12 21", 1)
    text = changed(regatta(), "  winds:\n" + ROWS, f"  winds_text: {pasted}\n")
    mission, _ = load_mission_text(text, "m.yaml")
    assert mission is not None
    gate = next(gate for gate in make_plan(mission)[0].gates if gate.id == "report-words")
    assert gate.verdict == "CAUTION" and f"winds aloft: {ground} 200/12 21" in str(gate)
    shown = re.findall("(?:[0-9]{4}FT|FL[0-9]{3}) [^ ]+ [MP][0-9]{2}", gate.why)
    assert [read_winds(row).rows[0].level.feet for row in shown] == [2000, 5000]


def test_typed_winds_win_and_say_so():
    text = changed(regatta(), "  winds:\n" + ROWS, f"  winds_text: {PASTED}\n  winds:\n" + ROWS)
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None
    assert [d.code for d in found if d.cause == ("weather", "winds_text")] == ["typed-wins"]
