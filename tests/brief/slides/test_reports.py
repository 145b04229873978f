"""The weather of pasted reports as the slides have it: what prevails when it is needed, the raw text, what of
it changes until the last landing (04:00:21 Z with the slip), what is not understood."""

from __future__ import annotations

import pytest

from briefgen.brief.slides.tables.air import reports, weather
from briefgen.brief.wording.words import Words, words_of
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.mission.mission_texts import changed, regatta

TYPED = "{cloud: [SCT 4500 ft AGL], visibility: 10 km, wind: 200T/14kt, temperature: 22 C, qnh: 1017 hPa}"


def seen(northbourne: str) -> Words:
    text = changed(regatta(), f"NORTHBOURNE: {TYPED}", f"NORTHBOURNE: {northbourne}")
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None, found
    plan, found = make_plan(mission)
    assert plan is not None, found
    return words_of(plan)


def row(w: Words) -> list[str]:
    table = weather(w)
    assert table is not None
    return [cell.text.replace("\N{NO-BREAK SPACE}", " ") for cell in table.rows[0]][1:]


@pytest.mark.parametrize(
    ("taf", "typed", "expected"),
    [
        ("20014KT CAVOK", "", ["no cloud up to 5000 ft AGL", "10 km or more", "200T/14kt"]),
        ("VRB05KT P6SM SKC", "", ["clear sky", "6 SM or more", "variable, 5 kt"]),
        ("20014G25KT 4000 BKN010CB", "", ["BKN 1000 ft AGL CB", "4000 m", "200T/14G25kt"]),
        ("20014KT 4000 -RA BR BKN010", "", ["BKN 1000 ft AGL", "4000 m -RA BR", "200T/14kt"]),
        ("20014KT 9999 BKN///", "", ["not given", "10 km or more", "200T/14kt"]),
        # take-off is at 02:07 Z: a TEMPO is no part of what prevails, a FM before it is
        ("20014KT 9999 NSC FM300207 21010KT 5000 OVC012 TEMPO 3002/3004 0500", "", [
            "OVC 1200 ft AGL", "5 km", "210T/10kt",
        ]),
        ("20014KT 9999 BKN010", ", visibility: 8 km, cloud: []", ["clear sky", "8 km", "200T/14kt"]),
    ],
)  # fmt: skip
def test_what_prevails_when_it_is_needed(taf, typed, expected):
    w = seen(f'{{taf: "TAF XXNB 291700Z 2918/3024 {taf}", temperature: 22 C, qnh: 1017 hPa{typed}}}')
    assert row(w) == [*expected, "22 C", "1017 hPa"]


def test_the_raw_text_stands_beside_what_changes_and_what_is_not_understood():
    taf = (
        "TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045 XYZZY TEMPO 2920/2922 3000"
        " BECMG 3003/3005 BKN020 PROB30 3004/3006 0500 FG TEMPO 3006/3008 1000"
    )
    metar = "METAR XXNB 300150Z 20014KT CAVOK 21/12 Q1017"
    table = reports(seen(f'{{taf: "{taf}", metar: "{metar}"}}'))
    assert table is not None
    rows = [[cell.text.replace("\N{NO-BREAK SPACE}", " ") for cell in row] for row in table.rows]
    assert [row[1:] for row in rows] == [
        [taf, "BECMG 03:00 to 05:00: BKN020; PROB30 04:00 to 06:00: 0500 FG", "XYZZY"],
        [metar, "counts until 02:50:00 only", "nothing"],
    ]


# Take-off at 02:07 Z; at HARTWELL, the alternate, the latest landing is some minutes later than 04:00:21 Z.
@pytest.mark.parametrize(
    ("groups", "expected"),
    [
        ("FM300100 21010KT 9999 SCT040 FM300207 21010KT 9000 SCT030", "no change"),
        ("FM300208 21010KT 9000 SCT030", "FM 02:08: 21010KT 9000 SCT030"),
        ("BECMG 3000/3002 SCT030", "no change"),
        ("BECMG 3000/3003 SCT030", "BECMG 00:00 to 03:00: SCT030"),
        ("TEMPO 2922/3006 3000 RA", "TEMPO 29 Jan 22:00 Z to 30 Jan 06:00: 3000 RA"),
        ("PROB40 TEMPO 3002/3004 0800 FG", "PROB40 TEMPO 02:00 to 04:00: 0800 FG"),
        ("BECMG3003/3005 SCT030 XYZZY", "BECMG 03:00 to 05:00: SCT030 XYZZY"),
        ("BECMG 3099/3005 BKN005", "all along: BECMG 3099/3005 BKN005"),
        ("PROB30 3009/3011 3000 BECMG 3003/3004 NSC", "BECMG 03:00 to 04:00: NSC"),
    ],
)
def test_what_changes_from_take_off_to_the_last_landing(groups, expected):
    table = reports(seen(f'{{taf: "TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045 {groups}"}}'))
    assert table is not None
    assert table.rows[0][2].text.replace("\N{NO-BREAK SPACE}", " ") == expected


def test_a_mission_without_pasted_texts_has_no_such_slide():
    mission, _ = load_mission_text(regatta(), "m.yaml")
    assert mission is not None
    plan, _ = make_plan(mission)
    assert plan is not None
    table = reports(words_of(plan))
    assert table is not None and not table.rows
