"""What gates say of a forecast that is pasted: its validity and age, what they name, and several places at
once. Regatta: take-off 02:07:00 Z, T 03:30:02 Z, landing 03:50:21 Z, 04:00:21 Z with the slip."""

from __future__ import annotations

import pytest

from briefgen.brief.wording.gates import value_words
from tests.plan.gates.gate_reading import gates

TAF = "TAF XXNB 291700Z 2918/3024 20014KT 9999 SCT045"
CEILINGS = ("takeoff-ceiling", "landing-ceiling")


def only(*texts: str) -> tuple[tuple[str, str], ...]:
    """A mission whose whole forecast is TAFs, the first of the base."""
    places = ("NORTHBOURNE", "EASTLEA")
    at = ", ".join(f'{place}: {{taf: "{taf}"}}' for place, taf in zip(places, texts, strict=False))
    return (("weather", f"{{at: {{{at}}}}}"),)


@pytest.mark.parametrize(
    ("texts", "verdicts", "age_s"),
    [
        # issued at 17 Z on the 29th: 10 h 40 min 2 s before the latest pass, 03:40:02 Z
        ((TAF,), ("PASS", "PASS"), 38402.0),
        (
            (TAF, "TAF XXEA 291600Z 3003/3024 20014KT 9999 NSC"),
            ("FAIL", "PASS"),
            42002.0,  # the oldest, an hour older
        ),
        ((TAF.replace("2918/3024", "2918/3003"),), ("PASS", "FAIL"), 38402.0),
        ((TAF.replace("291700Z ", ""),), ("PASS", "PASS"), None),
    ],
)
def test_validity_and_age_are_those_of_the_reports_where_nothing_is_typed(texts, verdicts, age_s):
    found = gates("regatta", only(*texts))
    assert (found["forecast-from"].verdict, found["forecast-until"].verdict) == verdicts
    age = found["forecast-age"].value
    assert age is None if age_s is None else age == pytest.approx(age_s)


@pytest.mark.parametrize(
    ("taf", "why"),
    [
        ("TAF XXNB 291700Z NIL", "its TAF is NIL"),
        ("TAF XXNB 291700Z 2918/3024 CNL", "its TAF is cancelled"),
        ("TAF XXNB 2818/0112 20014KT CAVOK", "its TAF has no period that there can be in that month"),
        ("TAF XXNB 2918/3003 20014KT CAVOK", "its TAF counts only until 30 0300Z"),
        ("TAF XXNB 3005/3012 20014KT CAVOK", "its TAF counts only from 30 0500Z on"),
        ("TAF XXNB 2918/3024 20014KT CAVOK FM300300 20014KT 9999", "its report doesn't say it"),
    ],
)
def test_a_ceiling_that_is_not_known_says_why(taf, why):
    edits = (("weather.at.NORTHBOURNE", f'{{taf: "{taf}", temperature: 22 C, qnh: 1017 hPa}}'),)
    gate = gates("regatta", edits)["landing-ceiling"]
    assert (gate.verdict, gate.why) == ("NOT CHECKED", why)


@pytest.mark.parametrize(
    ("observed", "forecast", "typed", "key"),
    [
        ("21/12 Q1017", "", "temperature: 22 C", "qnh"),
        ("21/12 Q1017", " QNH3003INS", "temperature: 22 C", None),  # forecast too: no observation alone
        ("21/12", "", "temperature: 22 C", None),  # neither gives a QNH
        ("21/12 Q1017", " QNH3003INS", "", "temperature"),  # which a TAF doesn't say
        ("21/12", "", "", "temperature"),
        ("21/12 Q1017", "", "", "qnh"),
        ("21/12 Q1017", "", "temperature: 22 C, qnh: 1017 hPa", None),
    ],
)
def test_what_an_observation_alone_gives_wants_to_be_typed_after_its_hour(observed, forecast, typed, key):
    """Observed at 02:00 Z, it counts until 03:00 Z."""
    reports = f'metar: "METAR XXNB 300200Z 20014KT CAVOK {observed}", taf: "{TAF}{forecast}"'
    found = gates("regatta", (("weather.at.NORTHBOURNE", f"{{{reports}{typed and ', '}{typed}}}"),))
    gate = found.get("report-observed")
    settled = None if gate is None else (gate.verdict, gate.settled_by)
    assert settled == (key and ("NOT CHECKED", ("weather", "at", "NORTHBOURNE", key)))


def test_a_gate_names_the_group_that_it_fails_by():
    typed = "temperature: 22 C, qnh: 1017 hPa"
    taf = ("weather.at.NORTHBOURNE", f'{{taf: "{TAF} TEMPO 3003/3006 0500 FG BKN002", {typed}}}')
    found = gates("regatta", (taf,))
    assert found["landing-ceiling"].title == "Landing: ceiling (TEMPO 3003/3006)"
    assert found["takeoff-ceiling"].title == "Take-off: ceiling"
    assert found["report-fog"].value == "FG at NORTHBOURNE (TEMPO 3003/3006)"
    # less than a kilometre never reads as one
    assert value_words(found["landing-visibility"]) == "0.5 km"


@pytest.mark.parametrize(("minimum", "verdict"), [("1500 ft AGL", "PASS"), (None, "NOT CHECKED")])
def test_a_ceiling_that_is_only_temporary_is_told_also_where_it_is_within_the_limit(minimum, verdict):
    """The lowest that there may be decides, and no ceiling is above any."""
    typed = "temperature: 22 C, qnh: 1017 hPa"
    taf = ("weather.at.NORTHBOURNE", f'{{taf: "{TAF} TEMPO 3002/3006 BKN016", {typed}}}')
    limits = tuple(
        (
            f"limits.weather.{which}",
            f"{{ceiling: {minimum}, visibility: 5 km}}" if minimum else "{visibility: 5 km}",
        )
        for which in ("takeoff", "landing")
    )
    found = gates("regatta", (taf, *limits))
    told = {id: (found[id].title, found[id].value, found[id].verdict) for id in found if id in CEILINGS}
    assert told == {
        "takeoff-ceiling": ("Take-off: ceiling (TEMPO 3002/3006)", 1600.0, verdict),
        "landing-ceiling": ("Landing: ceiling (TEMPO 3002/3006)", 1600.0, verdict),
    }


@pytest.mark.parametrize(
    ("base", "alternate", "failing"),
    [
        ("NSC", "NSC", set()),
        ("BKN014", "NSC", {"landing-ceiling", "takeoff-ceiling"}),
        ("NSC", "BKN004", {"alternate-ceiling"}),
        ("BKN014", "BKN004", {"landing-ceiling", "takeoff-ceiling", "alternate-ceiling"}),
        # the one gets worse while the other gets better: each is judged by its own worst
        ("BKN014 FM300400 20014KT 9999 NSC", "NSC BECMG 3003/3005 BKN004", {
            "landing-ceiling", "takeoff-ceiling", "alternate-ceiling",
        }),
    ],
)  # fmt: skip
def test_each_place_is_judged_by_its_own_report(base, alternate, failing):
    typed = "temperature: 22 C, qnh: 1017 hPa"
    edits = tuple(
        (f"weather.at.{place}", f'{{taf: "TAF {ident} 2918/3024 20014KT 9999 {body}", {typed}}}')
        for place, ident, body in (("NORTHBOURNE", "XXNB", base), ("HARTWELL", "XXHW", alternate))
    )
    found = gates("regatta", edits)
    asked = ("landing-ceiling", "takeoff-ceiling", "alternate-ceiling")
    assert {id for id in asked if found[id].verdict == "FAIL"} == failing
