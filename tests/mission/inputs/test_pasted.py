"""Reports pasted into a mission file: over lines, at the wrong place, beside what is typed."""

from __future__ import annotations

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import regatta

TYPED = "{cloud: [SCT 4500 ft AGL], visibility: 10 km, wind: 200T/14kt, temperature: 22 C, qnh: 1017 hPa}"
LINE = f"NORTHBOURNE: {TYPED}"
AREA = "AREA:        {cloud"
TAF = "TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045 TEMPO 3003/3006 3000 BKN008="


def load(new: str, old: str = LINE):
    text = regatta()
    assert old in text
    return load_mission_text(text.replace(old, new), "m.yaml")


@pytest.mark.parametrize(
    "written",
    [
        f'NORTHBOURNE: {{taf: "{TAF}"}}',
        f"NORTHBOURNE:\n      taf: {TAF}",
        "NORTHBOURNE:\n      taf: >\n        TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045\n"
        "          TEMPO 3003/3006 3000 BKN008=\n",
        "NORTHBOURNE:\n      taf: |\n        TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045\n\n"
        "          TEMPO 3003/3006 3000 BKN008=\n",
        'NORTHBOURNE:\n      taf: "TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045\n'
        '        TEMPO 3003/3006 3000 BKN008="\n',
    ],
)
def test_a_taf_is_pasted_on_one_line_or_on_several(written):
    mission, found = load(written)
    assert mission is not None, found
    weather = mission.file.weather
    assert weather is not None and weather.at["NORTHBOURNE"].taf is not None
    assert weather.at["NORTHBOURNE"].taf.raw == TAF


@pytest.mark.parametrize(
    ("written", "path", "message", "help"),
    [
        ('NORTHBOURNE: {taf: "METAR XXNB 300150Z 20014KT"}', ("taf",), "this is a METAR", "under metar:"),
        ('NORTHBOURNE: {metar: "TAF XXNB 2918/3024"}', ("metar",), "this is a TAF", "under taf:"),
        (f'NORTHBOURNE: {{taf: "{TAF} {TAF}"}}', ("taf",), "two reports stand here", "leave the one"),
        ('NORTHBOURNE: {taf: "TAF XXNB 20014KT"}', ("taf",), "no period such as 2912/3018", "one TAF whole"),
        ("NORTHBOURNE: {taf: [TAF]}", ("taf",), "wants a TAF", "TAF XXNB 291100Z"),
    ],
)  # fmt: skip
def test_what_is_no_report_is_told_with_its_place_and_remedy(written, path, message, help):
    mission, found = load(written)
    assert mission is None
    told = next(d for d in found if d.severity == "error")
    assert told.cause == ("weather", "at", "NORTHBOURNE", *path)
    assert told.span is not None and told.span.line == regatta().split(LINE)[0].count("\n") + 1
    assert message in told.message and help in told.help


def test_the_area_has_no_report():
    mission, found = load(f'AREA: {{taf: "{TAF}", cloud', AREA)
    assert mission is None
    assert [d.cause for d in found if d.severity == "error"] == [("weather", "at", "AREA", "taf")]


def test_what_is_typed_beside_a_report_wins_and_says_so():
    mission, found = load(f'NORTHBOURNE: {{taf: "{TAF}", visibility: 8 km, qnh: 1017 hPa}}')
    assert mission is not None
    notes = [(d.code, d.cause[-1]) for d in found if d.severity == "note"]
    assert notes == [("typed-wins", "visibility")]
    # of the QNH its report says nothing
    told = next(d.message for d in found if d.severity == "note")
    assert told.endswith(": visibility")


def test_qnh_and_temperature_of_the_reports_count_all_along():
    """The lowest QNH of 30.00 and 29.90 inHg; of 5, -2 and 12 C the coldest."""
    body = "20014KT P6SM SKC QNH3000INS BECMG 3002/3004 20014KT QNH2990INS TX12/3014Z TNM02/3003Z"
    metar = "METAR XXNB 300150Z 20014KT CAVOK 05/M07 A3002"
    mission, _ = load(f'NORTHBOURNE: {{taf: "TAF XXNB 2918/3024 {body}", metar: "{metar}"}}')
    assert mission is not None
    here = mission.weather_at("NORTHBOURNE")
    assert here is not None and here.qnh is not None
    assert (here.qnh.value, here.qnh.unit, here.temperature, here.warmest) == (29.90, "inHg", -2.0, 12.0)
    assert mission.qnh_hpa["NORTHBOURNE"] == pytest.approx(29.90 * 33.86389)


@pytest.mark.parametrize(
    ("qnh", "told"), [("Q1017", []), ("A3003", []), ("Q0951", []), ("Q0899", [("unlikely", "metar")])]
)
def test_a_qnh_of_a_report_is_doubted_like_a_typed_one(qnh, told):
    """Alone, with no neighbour that contradicts it."""
    text = regatta()
    for place in ("PONTOON", "EASTLEA", "HARTWELL"):
        begin = text.index(f"    {place}:", text.index("  at:"))
        end = text.index("\n", begin)
        text = text[:begin] + text[begin:end].replace(", qnh: 1017 hPa", "") + text[end:]
    metar = f"{{metar: METAR XXNB 300150Z 20014KT CAVOK 21/12 {qnh}}}"
    mission, found = load_mission_text(text.replace(LINE, f"NORTHBOURNE: {metar}"), "m.yaml")
    assert mission is not None
    assert [(d.code, d.cause[-1]) for d in found if d.code == "unlikely"] == told
