"""What the products say of a sun that sets twice on one date, or not at all: from the mission file to the
printed words.

The sun's events come from ephem (XEphem's library), not from the program under test.
"""

from __future__ import annotations

import json
import math
import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from functools import lru_cache

import ephem
import pytest

from briefgen.brief.cards import cards
from briefgen.brief.figures import figure_makers, pass_plan
from briefgen.brief.slides.pages import build_pages, read_templates
from briefgen.brief.slides.tables.air import sun as sun_table
from briefgen.brief.slides.view.air import sun_values
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import card_words
from briefgen.build.products import PRODUCTS
from briefgen.core.context import Context, Stamp
from briefgen.core.resources import fonts_folder, templates_folder
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Canvas, Ellipse, Text
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.one_pass import each_pass
from tests.places import TESTS
from tests.planned import brief_of, plan_of

CASE = TESTS / "cases" / "ok-midnight.yaml"
QUAY = ("69:40", "18:57")
STAMP = Stamp("TEST", "Test", "K7QH-49AC-XXTM-3PWJ", "K7QH", "0", "2026f")
CONTEXT = Context(STAMP, (templates_folder(),), fonts_folder())
# midnight sun and polar night at 69 deg 40 min north; the date of the file has two sunsets
SUMMER, WINTER = (
    "2027-06-20",
    "2027-12-20",
)
OSLO = timedelta(hours=2)


@lru_cache
def planned(*edits: tuple[str, str]):
    text = CASE.read_text(encoding="utf-8")
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    mission, found = load_mission_text(text, "m.yaml")
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    assert plan is not None, [d.message for d in found]
    return plan


def on(date: str):
    """The mission moved to another date; the night after it too, and winter's clock where it is that."""
    after = f"{datetime.fromisoformat(date) + timedelta(days=1):%Y-%m-%d}"
    return planned(("2027-07-29", after), ("2027-07-28", date))


def of_the_date(which: str) -> list[datetime]:
    """Every sunset or sunrise of 28 July 2027 at +02:00."""
    return between(which, "2027/7/27 22:00:00", "2027/7/28 22:00:00")


def between(which: str, start: str, stop: str) -> list[datetime]:
    """Every sunset or sunrise between two instants in Zulu: the centre 50 minutes of arc down, as the
    almanacs have it."""
    here = ephem.Observer()
    here.lat, here.lon, here.pressure, here.horizon = *QUAY, 0, "-0:50"
    here.date, end = ephem.Date(start), ephem.Date(stop)
    found = []
    while True:
        here.date = (here.next_setting if which == "sunset" else here.next_rising)(
            ephem.Sun(), use_center=True
        )
        if here.date >= end:
            return found
        found.append(here.date.datetime().replace(tzinfo=UTC))
        here.date += ephem.minute


def words_of(value) -> str:
    """Every word of nested data of a card, a table or a page."""
    if isinstance(value, str):
        return value
    if isinstance(value, dict):
        return " ".join(words_of(v) for v in value.values())
    if isinstance(value, (list, tuple)):
        return " ".join(words_of(v) for v in value)
    return words_of([getattr(value, name) for name in getattr(value, "__dataclass_fields__", ())])


def deck_words(plan) -> str:
    pages, found = build_pages(read_templates([templates_folder() / "brief"]), brief_of(plan, STAMP).view)
    assert found == []
    return words_of(pages)


def product(plan, name: str) -> str:
    made = next(p for p in PRODUCTS if p.name == name).make(brief_of(plan, STAMP), CONTEXT)
    return re.sub(r"</?span[^>]*>", "", made[0][0][1].decode("utf-8")).replace("\u00a0", " ")


def figure_words(plan) -> tuple[list[str], str]:
    scene = figure_makers(plan)["daylight"](Canvas(880, 370))
    return [shape.text for shape in flat(scene.shapes) if isinstance(shape, Text)], scene.alt


def test_the_date_of_the_file_has_two_sunsets():
    first, second = of_the_date("sunset")
    assert (first.date().day, second.date().day) == (27, 28) and len(of_the_date("sunrise")) == 1


def test_the_plan_holds_both():
    sun = next(sun for sun in planned().suns if sun.used_for == "the pass")
    for kind in ("sunrise", "sunset"):
        known = of_the_date(kind)
        assert len(sun.all_of(kind)) == len(known)
        assert all(abs(a - b) < timedelta(seconds=15) for a, b in zip(sun.all_of(kind), known, strict=True))


def test_the_deck_and_the_review_page_print_both_with_their_dates():
    plan, (first, second) = planned(), of_the_date("sunset")
    table = f"{first:%-d %b %H:%M} and {second:%-d %b %H:%M}"
    assert table == "27 Jul 22:03 and 28 Jul 21:51"  # to the minute both libraries agree on this date
    assert table in deck_words(plan)
    assert re.search(
        rf"sunsets {first:%-d %b %H:%M}:\d\d Z and {second:%-d %b %H:%M}:\d\d Z", deck_words(plan)
    )
    assert "civil twilight all night" in deck_words(plan)
    page = product(plan, "review")
    assert table in page and "civil twilight all night" in page


def test_the_bar_of_the_day_shows_the_night_of_the_sortie_from_noon_to_noon():
    texts, alt = figure_words(planned())
    noons = "2027/7/28 10:00:00", "2027/7/29 10:00:00"
    (down,), (up,) = (between(which, *noons) for which in ("sunset", "sunrise"))
    assert f"Sunset {down + OSLO:%H:%M}\nSunrise {up + OSLO:%-d %b %H:%M}" in texts
    assert f"sunset {down + OSLO:%H:%M} CEST (+02:00)" in alt
    assert any("civil twilight all night" in text for text in texts)


def test_the_data_hold_every_event_with_its_kind():
    suns = json.loads(product(planned(), "plan"))["plan"]["suns"]
    (quay,) = [sun for sun in suns if sun["used_for"] == "the pass"]
    found = [
        datetime.fromisoformat(event["instant"]) for event in quay["events"] if event["kind"] == "sunset"
    ]
    assert all(abs(a - b) < timedelta(seconds=15) for a, b in zip(found, of_the_date("sunset"), strict=True))


def test_the_event_waits_for_the_second_sunset_not_the_first():
    plan, second = planned(), of_the_date("sunset")[1]
    rows = [row for row in cards.ground_contact(plan).sides[0][1]["wait"].rows if "sunset" in row[2]]
    (said,) = [datetime.fromisoformat(f"2027-07-28T{row[0]}+00:00") for row in rows]
    assert abs(said - second) < timedelta(seconds=15)


@pytest.mark.parametrize(
    ("minutes", "verdict"), [(5, "PASS"), (7, "FAIL")]
)  # T 21:45:00 Z; the second sunset comes 6 min 6 s later
def test_the_pass_is_judged_by_the_sunset_that_ends_its_daylight(minutes, verdict):
    plan = planned(("late: 5 min", f"late: {minutes} min"))
    gate = next(gate for gate in plan.gates if gate.id == "daylight-pass")
    assert gate.verdict == verdict
    assert abs(gate.limit - of_the_date("sunset")[1]) < timedelta(seconds=15)
    assert f"not after {gate.limit:%H:%M:%S} Z" in words_of(cards.approval(plan).data())


def test_a_noon_between_two_sunsets_is_daylight():
    """The first sunset of the date lies thirteen hours before this pass, and has nothing to say about it."""
    noon = (
        ("time: 23:38:00 event", "time: 13:38:00 event"),
        ("time: 23:43:00 event", "time: 13:43:00 event"),
        ("takeoff: 23:00 base", "takeoff: 13:00 base"),
    )
    gates = {gate.id: gate for gate in planned(*noon).gates}
    assert [gates[id].verdict for id in ("daylight-takeoff", "daylight-pass", "daylight-landing")] == [
        "PASS"
    ] * 3


@pytest.mark.parametrize(
    ("date", "words", "verdict"),
    # height of the sun at noon and midnight = +-(90 - 69.7) + declination, which is 23.4 on 20 June and -23.4
    # on 20 December
    [
        (SUMMER, "up all day", "PASS"),  # lowest +3.1
        (WINTER, "down all day", "FAIL"),  # highest -3.1, so there is a civil dawn still
    ],
)
def test_a_sun_that_neither_rises_nor_sets_is_said_in_words_in_every_product(date, words, verdict):
    plan = on(date)
    gates = [
        gate for gate in plan.gates if gate.id in ("daylight-pass", "daylight-takeoff", "daylight-landing")
    ]
    assert {(gate.verdict, gate.value) for gate in gates} == {(verdict, f"the sun is {words}")}
    texts, alt = figure_words(plan)
    assert any(words in text for text in texts) and words in alt
    assert f"There is no sunset on this day: {words}" in deck_words(plan)
    assert f"There is no sunset on this day: {words}" in product(plan, "review")
    # a sheet gives what passes a line a topic
    assert f"the sun is {words}" in words_of(cards.approval(plan).data()) or verdict == "PASS"
    assert {sun["words"] for sun in json.loads(product(plan, "plan"))["plan"]["suns"]} == {words}
    assert not [row for row in cards.ground_contact(plan).sides[0][1]["wait"].rows if "sunset" in row[2]]


# ---------------------------------------------------------------- several passes

# T: MARCH begins 14:57:20 at +01:00 and lasts 160 s, 15 min later again; ANTHEM 16:27:20 at +02:00 and 160 s;
# 16:44:00 at +02:00. By ephem, without refraction: 238.91/66.04, 244.19/63.41, 249.57/59.92, 254.16/56.76.
HARBOURS = [
    ("SALTMERE", ("37:04.8", "-8:15.0"), "14:00:00"),
    ("SALTMERE pass 2", ("37:04.8", "-8:15.0"), "14:15:00"),
    ("CORBROOK", ("37:11.5", "-7:18.0"), "14:30:00"),
    ("DUNWATER", ("36:59.5", "-6:33.0"), "14:44:00"),
]


def degrees_of_sun(place: tuple[str, str], at: str) -> tuple[float, float]:
    """Azimuth and elevation on 5 June 2027, by ephem, without refraction."""
    here = ephem.Observer()
    here.lat, here.lon, here.pressure, here.date = *place, 0, f"2027/6/5 {at}"
    body = ephem.Sun(here)
    return math.degrees(body.az), math.degrees(body.alt)


@pytest.mark.parametrize("n", range(4))
def test_each_of_several_passes_has_its_own_sun(n):
    """The sketch on the card says it by magnetic north, which lies within one degree of true here."""
    name, place, at = HARBOURS[n]
    azimuth, elevation = degrees_of_sun(place, at)
    plan = plan_of("missions/three-harbours.yaml")
    seen = each_pass(plan)[n]
    assert [sun.at for sun in seen.suns if sun.used_for == "the pass"] == [seen.passes[0].true_time]
    sketch = pass_plan.make(seen)(Canvas(198, 112, "card"))
    (said,) = [s.text for s in flat(sketch.shapes) if isinstance(s, Text) and s.text.startswith("Sun")]
    course, height = map(int, re.findall(r"\d+", said))
    assert abs(course - azimuth) < 1.5 and height == round(elevation)
    then = f"{elevation:.0f} deg above the horizon, on {azimuth:.0f} T"
    assert f"At {name} the sun stands {then}" in deck_words(plan)
    (row,) = [row for row in brief_of(plan).view.tables["sun"].rows if row[0].text == name]
    assert row[-1].text == f"{elevation:.0f} deg, on {azimuth:.0f} T"


# by the almanacs the sun is up until its centre is 50 minutes of arc down, -0.833 deg: the gate's definition
@pytest.mark.parametrize(
    ("height_deg", "title", "beside", "in_table", "disc"),
    [
        (12.4, "12 deg above the horizon,", "12 deg high", "12 deg,", True),
        (0.56, "0.6 deg above the horizon,", "0.6 deg high", "0.6 deg,", True),
        (-0.56, "on the horizon (-0.6 deg),", "on the horizon (-0.6 deg)", "-0.6 deg,", True),
        (-0.83, "on the horizon (-0.8 deg),", "on the horizon (-0.8 deg)", "-0.8 deg,", True),
        (-0.84, "0.8 deg below the horizon,", "below the horizon", "-0.8 deg,", False),
        (-1.2, "1 deg below the horizon,", "below the horizon", "-1 deg,", False),
    ],
)
def test_the_sun_is_below_the_horizon_only_once_it_has_set(height_deg, title, beside, in_table, disc):
    plan = plan_of("missions/regatta.yaml")
    at_t = plan.sun_for("the pass")
    low = replace(
        plan, suns=tuple(replace(s, elevation_deg=height_deg) if s is at_t else s for s in plan.suns)
    )
    scene = figure_makers(low)["pass_plan"](Canvas(880, 370))
    shown = " ".join(t.text for t in flat(scene.shapes) if isinstance(t, Text)).replace("\n", " ")
    assert ("Sun at T: below the horizon" in shown) == (not disc) and beside in shown
    assert any(isinstance(s, Ellipse) and s.style == "target_wash" for s in flat(scene.shapes)) == disc
    w = card_words(low)
    assert f"the sun stands {title}" in sun_values(w)["main"]
    (row,) = [row for row in sun_table(w).rows if row[0].text == "The pass"]
    assert row[-1].text.startswith(in_table)


def test_the_daylight_picture_has_a_decimal_near_the_horizon():
    assert [words.sun_height(deg) for deg in (-7.4, -0.9, -0.04, 1.0, 1.6)] == [
        "-7 deg",
        "-0.9 deg",
        "0.0 deg",
        "1.0 deg",
        "2 deg",
    ]
