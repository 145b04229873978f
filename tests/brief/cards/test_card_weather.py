"""The weather on the kneeboard card: the states when they are needed, what changes until the last landing,
and that it is the first to give way on a full side."""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.weather import weather
from briefgen.brief.wording.words import card_words
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.mission.mission_texts import changed, regatta
from tests.planned import plan_of
from tests.render.extremes import everything
from tests.render.pdf_cases import context, made

REGATTA = "missions/regatta.yaml"
TYPED = "{cloud: [SCT 4500 ft AGL], visibility: 10 km, wind: 200T/14kt, temperature: 22 C, qnh: 1017 hPa}"
ALTERNATE = "{cloud: [BKN 5000 ft AGL], visibility: 10 km, wind: 210T/10kt, temperature: 23 C, qnh: 1017 hPa}"
DIVERT = "{cloud: [SCT 5000 ft AGL], visibility: 10 km, wind: 210T/10kt, temperature: 23 C, qnh: 1017 hPa}"
# Forecast and times of the mission's file: down at 03:50:21 Z, T at 03:30:02 Z.
STATES = (
    ("NORTHBOURNE landing 03:50", "200T/14kt, 10 km, SCT 4500 ft AGL, 1017 hPa"),
    ("HARTWELL alternate 03:50", "210T/10kt, 10 km, BKN 5000 ft AGL, 1017 hPa"),
    ("PONTOON T 03:30", "190T/12kt, 10 km, SCT 4000 ft AGL, 1017 hPa"),
    ("area", "FEW 3000 ft MSL top 4500 ft MSL, 20 km visibility"),
)


def planned(*changes: tuple[str, str]):
    text = regatta()
    for old, new in changes:
        text = changed(text, old, new)
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None, found
    plan, found = make_plan(mission)
    assert plan is not None, found
    return plan


def rows(plan) -> tuple[tuple[str, str], ...]:
    found = weather(card_words(plan)).items
    return tuple((label, said.replace("\N{NO-BREAK SPACE}", " ")) for label, said in found)


def pasted(groups: str, more: str = "") -> tuple[str, str]:
    taf = f"TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045 {groups}"
    return f"NORTHBOURNE: {TYPED}", f'NORTHBOURNE: {{taf: "{taf}", temperature: 22 C{more}}}'


def test_typed_weather_shows_just_its_states():
    assert rows(plan_of(REGATTA)) == STATES


@pytest.mark.parametrize(
    ("groups", "landing", "after"),
    [
        (  # what prevails at the landing; what comes later is no change of this flight
            "FM300300 21010G20KT 6000 -RA BKN020 FM300500 18005KT 9999 NSC",
            "210T/10G20kt, 6 km -RA, BKN 2000 ft AGL",
            (("FM 03:00", "21010G20KT 6000 -RA BKN020"),),
        ),
        (  # temporary weather counts at a landing like what prevails; the minima are 1500 ft AGL and 5 km
            "TEMPO 3003/3006 3000 TSRA BKN012CB BECMG 3002/3003 19012KT",
            "190T/12kt, 10 km or more, SCT 4500 ft AGL, BELOW MINIMA",
            (
                ("BECMG 02:00 to 03:00", "19012KT"),
                ("TEMPO 03:00 to 06:00", "3000 TSRA BKN012CB"),
            ),
        ),
        (  # what is only likely is a caution there
            "PROB30 TEMPO 3003/3004 0800 FG",
            "200T/14kt, 10 km or more, SCT 4500 ft AGL",
            (("PROB30 TEMPO 03:00 to 04:00", "0800 FG"),),
        ),
    ],
)
def test_a_pasted_forecast_shows_the_state_and_each_change_with_its_time(groups, landing, after):
    found = rows(planned(pasted(groups)))
    assert found[0] == ("NORTHBOURNE landing 03:50", landing)
    assert found[1 : 1 + len(after)] == after and found[1 + len(after) :] == STATES[1:]


def test_what_is_no_change_of_the_weather_is_left_to_the_slides():
    """The highest and the lowest temperature stand behind the last group; shear is the group's."""
    found = rows(planned(pasted("TEMPO 3003/3006 RA WS010/24040KT XYZZY TX22/3004Z TN14/2920Z")))
    assert found[1] == ("TEMPO 03:00 to 06:00", "RA WS010/24040KT XYZZY")


def test_a_change_of_several_places_stands_once():
    """HARTWELL, the alternate, and EASTLEA, a divert, here 5 nm from it, have one forecast."""
    taf = "TAF XXHW 291700Z 2918/3024 21010KT 9999 BKN050 TEMPO 3003/3006 BKN020"
    plan = planned(
        (f"HARTWELL:    {ALTERNATE}", f'HARTWELL: {{taf: "{taf}", qnh: 1017 hPa}}'),
        (f"EASTLEA:     {DIVERT}", f'EASTLEA: {{taf: "{taf}"}}'),
        ("38°14.0'S 142°21.0'E", "37°48.0'S 142°10.0'E"),
    )
    found = rows(plan)
    state = "210T/10kt, 10 km or more, BKN 5000 ft AGL, 1017 hPa"
    assert found[1] == ("HARTWELL alternate 03:50", state) and found[3:] == STATES[2:]
    assert found[2] == ("EASTLEA and HARTWELL TEMPO 03:00 to 06:00", "BKN020")


@pytest.mark.parametrize(
    ("change", "label", "said"),
    [
        (  # the forecast ends before the landing
            ("to 2027-01-30 06:00 Z", "to 2027-01-30 03:00 Z"),
            "NORTHBOURNE landing 03:50",
            "200T/14kt, 10 km, SCT 4500 ft AGL, 1017 hPa, weather NOT CHECKED",
        ),
        (
            (f"    NORTHBOURNE: {TYPED}\n", ""),
            "NORTHBOURNE landing 03:50",
            "not given, weather NOT CHECKED",
        ),
        (
            (f"HARTWELL:    {ALTERNATE}", "HARTWELL: {cloud: []}"),
            "HARTWELL alternate 03:50",
            "wind not given, visibility not given, clear sky, weather NOT CHECKED",
        ),
        (
            (f"NORTHBOURNE: {TYPED}", 'NORTHBOURNE: {metar: "METAR XXNB 300150Z 20014KT CAVOK 21/12 Q1017"}'),
            "NORTHBOURNE landing 03:50",
            "not given: its METAR counts only until 30 0250Z, weather NOT CHECKED",
        ),
    ],
)  # fmt: skip
def test_what_is_missing_says_so(change, label, said):
    assert (label, said) in rows(planned(change))


def test_without_a_forecast_nothing_was_checked():
    plan = plan_of("tests/cases/ok-pass-only.yaml")
    assert plan.mission.file.weather is None
    assert rows(plan) == (("forecast", "not given, NOT CHECKED"),)


def test_it_gives_way_before_all_that_is_told_as_too_full_and_after_what_only_fills_room():
    made_in_order = cards.kneeboard(plan_of(REGATTA), 1).reductions[0]
    names = [(reduction.name, reduction.early) for reduction in made_in_order]
    first = names.index(("weather", False))
    assert all(early for _, early in names[:first]) and not any(early for _, early in names[first:])
    assert names[first : first + 4] == [("weather", False)] * 4 and made_in_order[first + 3].instead is None


def _many_changes():
    changes = "BECMG 3002/3004 9000 SCT040 PROB30 3003/3006 6000 SHRA BKN030 FM300355 21010KT 9999 SCT040"
    return planned(pasted(changes, ", qnh: 1017 hPa"))


# What is said on the card of what it left out; the fullest legal mission has no room for any of it.
@pytest.mark.parametrize(
    ("plan", "there", "told"),
    [
        (lambda: plan_of(REGATTA), "HARTWELL alternate 03:50", "weather of T and area."),
        (_many_changes, "NORTHBOURNE landing 03:50", "weather but for what prevails at the landing."),
        (everything, "", ", weather."),
    ],
    ids=["regatta", "regatta in changing weather", "fullest"],
)
def test_on_paper_it_is_told_how_much_of_it_has_no_room(plan, there, told):
    pymupdf = pytest.importorskip("pymupdf")
    found = made(plan(), context("1"), "kneeboard")
    assert found.pdf is not None
    pages = [" ".join(page.get_text().split()) for page in pymupdf.open(stream=found.pdf, filetype="pdf")]
    text, _, only = pages[0].partition("On the slides only:")
    assert there in text and ("WEATHER, Z" in text) == bool(there)
    assert told in only.replace("\N{NO-BREAK SPACE}", " ") and len(pages) == 2
