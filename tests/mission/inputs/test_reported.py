"""What a report says of an instant, by hand: dates over the ends of months and years, what replaces what, and
from when to when."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from briefgen.mission.inputs.read_report import read_report
from briefgen.mission.inputs.report import Report
from briefgen.mission.inputs.reported import DatedReport, dated, instants, states
from tests.mission.inputs.test_read_report import said


def at(text: str) -> datetime:
    """``2027-01-30 0245`` in Z."""
    return datetime.strptime(text, "%Y-%m-%d %H%M").replace(tzinfo=UTC)


def with_dates(text: str, near: str = "2027-01-30 1200", kind: str = "TAF") -> DatedReport | None:
    report = read_report(text, kind)
    assert isinstance(report, Report), report
    return dated(report, at(near))


@pytest.mark.parametrize(
    ("period", "near", "start", "end"),
    [
        ("2918/3024", "2027-01-30 1200", "2027-01-29 1800", "2027-01-31 0000"),
        ("3118/0118", "2027-02-01 1200", "2027-01-31 1800", "2027-02-01 1800"),
        ("3118/0124", "2027-01-31 1200", "2027-01-31 1800", "2027-02-02 0000"),
        ("3118/0118", "2027-01-01 1200", "2026-12-31 1800", "2027-01-01 1800"),
        ("0100/0106", "2026-12-31 1200", "2027-01-01 0000", "2027-01-01 0600"),
        ("2818/0118", "2027-03-01 1200", "2027-02-28 1800", "2027-03-01 1800"),  # no 29th in 2027
        ("2918/0118", "2028-03-01 1200", "2028-02-29 1800", "2028-03-01 1800"),
        ("1512/1612", "2027-01-01 0000", "2027-01-15 1200", "2027-01-16 1200"),  # 14.5 days on, 16.5 back
    ],
)
def test_month_and_year_are_those_of_the_day_nearest(period, near, start, end):
    found = with_dates(f"TAF XXNB {period} 20010KT", near)
    assert found is not None and (found.start, found.end) == (at(start), at(end))


def test_a_period_longer_than_any_once_its_month_is_known_says_nothing():
    # in January the 28th at 18 Z to the 1st at 12 Z is 3 days and 18 h
    assert with_dates("TAF XXNB 2818/0112 20010KT", "2027-01-30 1200") is None


@pytest.mark.parametrize("text", ["TAF XXNB 291700Z NIL", "TAF XXNB 291700Z 2918/3024 CNL"])
def test_a_report_that_says_nothing_has_no_dates(text):
    assert with_dates(text) is None


TAF = (
    "TAF XXNB 291700Z 2918/3024 20010KT 8000 BKN030"
    " BECMG 2920/2922 BKN010 TEMPO 2921/3001 2000 SHRA"
    " BECMG 2923/3001 9999 SCT040 PROB30 3002/3004 0500 FG VV001"
    " FM300500 VRB03KT CAVOK"
    " PROB40 TEMPO 3006/3008 25020G35KT TSRA BKN020CB"
)


@pytest.mark.parametrize(
    ("instant", "expected"),
    [
        ("2027-01-29 1759", []),
        ("2027-01-29 1800", ["200/10 8000m BKN3000"]),
        ("2027-01-29 1959", ["200/10 8000m BKN3000"]),
        # both while it is under way: the lower ceiling from its beginning
        ("2027-01-29 2000", ["200/10 8000m BKN3000", "200/10 8000m BKN1000"]),
        (
            "2027-01-29 2100",
            [
                "200/10 8000m BKN3000",
                "200/10 8000m BKN1000",
                "TEMPO: 200/10 2000m SHRA BKN3000",
                "TEMPO: 200/10 2000m SHRA BKN1000",
            ],
        ),
        ("2027-01-29 2200", ["200/10 8000m BKN1000", "TEMPO: 200/10 2000m SHRA BKN1000"]),
        # the better one from its end
        (
            "2027-01-29 2300",
            [
                "200/10 8000m BKN1000",
                "200/10 10km+ SCT4000",
                "TEMPO: 200/10 2000m SHRA BKN1000",
                "TEMPO: 200/10 2000m SHRA SCT4000",
            ],
        ),
        ("2027-01-30 0100", ["200/10 10km+ SCT4000", "TEMPO: 200/10 2000m SHRA SCT4000"]),
        ("2027-01-30 0101", ["200/10 10km+ SCT4000"]),
        ("2027-01-30 0200", ["200/10 10km+ SCT4000", "PROB: 200/10 500m FG OVC100"]),
        ("2027-01-30 0459", ["200/10 10km+ SCT4000"]),
        ("2027-01-30 0500", ["VRB/3 10km+ NSW no cloud low"]),
        ("2027-01-30 0600", ["VRB/3 10km+ NSW no cloud low", "PROB: 250/20G35 10km+ TSRA BKN2000CB"]),
        ("2027-01-31 0000", ["VRB/3 10km+ NSW no cloud low"]),
        ("2027-01-31 0001", []),
    ],
)
def test_what_counts_at_an_instant(instant, expected):
    found = with_dates(TAF)
    assert found is not None
    told = states(found, at(instant))
    prefixes = {"prevailing": "", "TEMPO": "TEMPO: ", "PROB": "PROB: "}
    assert [prefixes[state.how] + said(state.elements) for state in told] == expected


def test_a_group_that_passes_is_named_as_it_is_written():
    found = with_dates(TAF)
    assert found is not None
    told = [state.words for state in states(found, at("2027-01-30 0600"))]
    assert told == ["", "PROB40 TEMPO 3006/3008"]


@pytest.mark.parametrize(
    ("text", "instant", "expected"),
    [
        # times without a day, as they were written before 2008: each after the one before
        ("TAF XXNB 291212 9999 FM20 8000 FM0100 5000", "2027-01-29 1959", ["10km+"]),
        ("TAF XXNB 291212 9999 FM20 8000 FM0100 5000", "2027-01-29 2000", ["8000m"]),
        ("TAF XXNB 291212 9999 FM20 8000 FM0100 5000", "2027-01-30 0100", ["5000m"]),
        ("TAF XXNB 291212 9999 TEMPO 2303 3000", "2027-01-30 0200", ["10km+", "3000m"]),
        ("TAF XXNB 291212 9999 TEMPO 2303 3000", "2027-01-30 0301", ["10km+"]),
        # what can't be timed counts all along, beside what was before it
        ("TAF XXNB 2912/3012 9999 PROB40 1000", "2027-01-29 1200", ["10km+", "1000m"]),
        ("TAF XXNB 2912/3012 9999 FM299900 1000", "2027-01-29 1200", ["10km+", "1000m"]),
        ("TAF XXNB 2912/3012 9999 TEMPO 2912/2999 1000", "2027-01-30 1200", ["10km+", "1000m"]),
        ("TAF XXNB 2912/3012 9999 BECMG 1000", "2027-01-30 1200", ["10km+", "1000m"]),
        # a group over the end of a day
        ("TAF XXNB 2912/3012 9999 TEMPO 2922/2924 1000", "2027-01-29 2359", ["10km+", "1000m"]),
        ("TAF XXNB 2912/3012 9999 FM292400 1000", "2027-01-30 0000", ["1000m"]),
    ],
)
def test_periods_without_a_day_and_those_that_are_not_understood(text, instant, expected):
    found = with_dates(text)
    assert found is not None
    assert [said(state.elements) for state in states(found, at(instant))] == expected


@pytest.mark.parametrize(
    ("instant", "expected"),
    [
        ("2027-01-30 0149", []),
        ("2027-01-30 0150", ["200/12 10km+ SCT4000 1017hPa", "200/12 3000m SHRA SCT4000 1017hPa"]),
        ("2027-01-30 0250", ["200/12 10km+ SCT4000 1017hPa", "200/12 3000m SHRA SCT4000 1017hPa"]),
        ("2027-01-30 0251", []),
    ],
)
def test_an_observation_counts_for_an_hour(instant, expected):
    found = with_dates("METAR XXNB 300150Z 20012KT 9999 SCT040 Q1017 TEMPO 3000 SHRA", kind="METAR")
    assert found is not None
    assert [said(state.elements) for state in states(found, at(instant))] == expected


def test_every_instant_at_which_it_changes_is_known():
    """Between two of them the states stay the same, looked at minute by minute."""
    found = with_dates(TAF)
    assert found is not None
    first, last = at("2027-01-29 1700"), at("2027-01-31 0100")
    moments = sorted({first, *instants(found, first, last)})
    minutes = [
        datetime.fromtimestamp(s, UTC) for s in range(int(first.timestamp()), int(last.timestamp()), 60)
    ]
    for minute in minutes:
        before = max(moment for moment in moments if moment <= minute)
        assert states(found, minute) == states(found, before), minute
