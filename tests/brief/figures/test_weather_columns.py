"""Each place a column at the time at which its weather is needed, against the minima."""

import pytest

from briefgen.brief.figures import weather_columns
from briefgen.brief.wording.weather_needed import places_of
from briefgen.draw.scene.model import Line, Rect, Text
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.brief.figures.plans import CANVASES, plan_of, scene_of, shapes_of
from tests.mission.mission_texts import changed, regatta

REGATTA, OVERCOMMITTED = "missions/regatta.yaml", "missions/overcommitted.yaml"


# Times, forecast and minima of the missions' files; heights there are above the ground.
@pytest.mark.parametrize(
    ("mission", "found"),
    [
        (
            REGATTA,
            [
                ("NORTHBOURNE", "take-off", "02:07", 1500, "PASS"),
                ("PONTOON", "T", "03:30", 2500, "PASS"),
                ("NORTHBOURNE", "landing", "03:50", 1500, "PASS"),
                ("HARTWELL", "alternate", "03:50", 1500, "PASS"),
                ("EASTLEA", "divert", "03:50", 1500, "PASS"),
            ],
        ),
        (
            OVERCOMMITTED,
            [
                ("STRATHWICK", "take-off", "12:13", 1500, "PASS"),
                ("LIGHT", "T", "13:31", 2500, "PASS"),
                ("STRATHWICK", "landing", "13:53", 1500, "PASS"),
                ("CAIRNMOOR", "alternate", "13:53", 1500, "FAIL"),
                ("INVERDON", "divert", "13:53", 1500, "NOT CHECKED"),
            ],
        ),
    ],
)
def test_each_place_stands_at_its_time_with_its_minimum_and_verdict(mission, found):
    places = places_of(plan_of(mission))
    shown = [(p.point.id, p.what, f"{p.at:%H:%M}", p.least_ft, p.ceiling.verdict) for p in places]
    assert shown == found


def test_each_column_of_a_place_has_the_weather_of_its_own_time():
    """Regatta takes off at 02:07 Z and is down at 03:50 Z; the change counts from 03:00 Z on."""
    plan = _with_taf("FM300300 21010KT 4000 OVC012")
    own = [p for p in places_of(plan) if p.point.id == "NORTHBOURNE"]
    shown = [(p.what, [(c.amount, c.base.feet) for c in p.weather.cloud]) for p in own]
    assert shown == [("take-off", [("SCT", 4500)]), ("landing", [("OVC", 1200)])]


def test_what_is_only_temporary_is_drawn_and_named_so():
    """Down at 03:50 Z; at take-off, 02:07 Z, the TEMPO doesn't count yet."""
    plan = _with_taf("TEMPO 3003/3006 4000 BKN016")
    scene = weather_columns.make(plan)(CANVASES["slide"])
    said = [text.text.replace("\n", " ") for text in shapes_of(scene, Text)]
    assert len(shapes_of(scene, Rect, "cloud_at_times")) == 1 and "TEMPO BKN 1600" in said
    assert "10 km or more; TEMPO 4000 m (min 5 km)" in said
    assert "TEMPO BKN 1600 ft AGL, 4000 m; ceiling PASS, visibility FAIL" in scene.alt


# Down as planned at 03:50:21 Z, a minute early or ten late: the leader is down at 03:47:34 Z at the earliest.
@pytest.mark.parametrize(
    ("change", "then", "beside"),
    [
        ("FM300355 21010KT 4000 OVC012", 4500, ("from 03:55", 1200)),
        ("FM300349 21010KT 4000 OVC012", 1200, ("until 03:49", 4500)),
        ("BECMG 3003/3005 4000 OVC012", 4500, ("BECMG", 1200)),
        ("BECMG 3003/3004 4000 OVC012", 4500, ("BECMG", 1200)),
        ("BECMG 3002/3003 4000 OVC012", 1200, None),  # over before
        ("FM300401 21010KT 4000 OVC012", 4500, None),  # after the latest
    ],
)
def test_a_change_in_the_stretch_of_the_landing_is_drawn_and_named(change, then, beside):
    plan = _with_taf(change)
    landing = next(p for p in places_of(plan) if p.what == "landing")
    assert [layer.base.feet for layer in landing.weather.cloud] == [then]
    assert [(how, *(c.base.feet for c in at.cloud)) for how, at in landing.changing] == (
        [beside] if beside else []
    )
    scene = weather_columns.make(plan)(CANVASES["slide"])
    said = [text.text.replace("\n", " ") for text in shapes_of(scene, Text)]
    if beside:
        how, base = beside
        seen = "10 km or more" if base == 4500 else "4000 m"
        words = f"{how} {'SCT' if base == 4500 else 'OVC'} {base} ft AGL, {seen}"
        assert any(f"; {words} (min 5 km)" in text for text in said) and f"; {words}; ceiling" in scene.alt


def test_a_change_before_the_arrival_at_the_alternate_has_its_own_time():
    """The flight is there some minutes after 03:55 Z; the column is of 03:50:21 Z, when it would be home."""
    typed = "{cloud: [BKN 5000 ft AGL], visibility: 10 km, wind: 210T/10kt, temperature: 23 C, qnh: 1017 hPa}"
    taf = "TAF XXHW 291700Z 2918/3024 20014KT 9999 SCT045 FM300352 21010KT 4000 OVC012"
    plan = _planned((f"HARTWELL:    {typed}", f'HARTWELL: {{taf: "{taf}", qnh: 1017 hPa}}'))
    alternate = next(p for p in places_of(plan) if p.what == "alternate")
    assert [how for how, _ in alternate.changing] == ["from 03:52"]


def test_what_is_temporary_at_one_place_is_told_of_no_other():
    typed = "{cloud: [BKN 5000 ft AGL], visibility: 10 km, wind: 210T/10kt, temperature: 23 C, qnh: 1017 hPa}"
    base = _given("FM300355 21010KT 4000 OVC012")
    taf = "TAF XXHW 291700Z 2918/3024 20014KT 9999 SCT045 TEMPO 3003/3006 3000"
    plan = _planned(base, (f"HARTWELL:    {typed}", f'HARTWELL: {{taf: "{taf}", qnh: 1017 hPa}}'))
    found = {p.what: ([how for how, _ in p.changing], [how for how, _ in p.passing]) for p in places_of(plan)}
    assert found["landing"] == (["from 03:55"], []) and found["alternate"] == ([], ["TEMPO"])


def _with_taf(groups):
    return _planned(_given(groups))


def _given(groups):
    typed = "{cloud: [SCT 4500 ft AGL], visibility: 10 km, wind: 200T/14kt, temperature: 22 C, qnh: 1017 hPa}"
    taf = f"TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045 {groups}"
    given = f'{{taf: "{taf}", temperature: 22 C, qnh: 1017 hPa}}'
    return f"NORTHBOURNE: {typed}", f"NORTHBOURNE: {given}"


def _planned(*changes):
    text = regatta()
    for old, new in changes:
        text = changed(text, old, new)
    mission, found = load_mission_text(text, "m")
    assert mission is not None, found
    plan, found = make_plan(mission)
    assert plan is not None, found
    return plan


def test_cloud_and_minimum_stand_at_their_heights():
    """Overcommitted: SCT 2200 and BKN 4500 over the light, its least ceiling 2500 ft, on the axis's scale."""
    scene = scene_of(OVERCOMMITTED, "weather_columns")
    ys = {t.text: t.at[1] for t in shapes_of(scene, Text) if t.anchor == "end" and t.text in ("0", "2000")}
    per_ft = (ys["0"] - ys["2000"]) / 2000
    clouds = {round((ys["0"] - (r.y + r.height)) / per_ft) for r in shapes_of(scene, Rect, "cloud")}
    minima = {round((ys["0"] - line.points[0][1]) / per_ft) for line in shapes_of(scene, Line, "minimum")}
    assert {2200, 3500, 1200} <= clouds and minima == {1500, 2500}


def test_the_more_of_the_sky_it_covers_the_wider_a_layer_is():
    scene = scene_of(OVERCOMMITTED, "weather_columns")
    column = shapes_of(scene, Rect, "panel")[1]
    inside = [r for r in shapes_of(scene, Rect, "cloud") if column.x <= r.x <= column.x + column.width]
    assert sorted(round(r.width / column.width, 2) for r in inside) == [0.5, 0.8]  # SCT, BKN


def test_the_words_of_a_verdict_stand_beside_its_sign():
    said = [text.text for text in shapes_of(scene_of(OVERCOMMITTED, "weather_columns"), Text)]
    assert said.count("PASS") == 3 and "FAIL" in said and "NOT CHECKED" in said
