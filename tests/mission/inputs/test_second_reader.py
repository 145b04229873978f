"""The published reports by a second reader, metar-taf-parser-mivek 1.13, where it is right: wind, cloud and
temperature of each group that both know.

It drops what it doesn't know without a word and reads KMH as knots; what it gets wrong is listed with the
reason, and a row that it gets right after all is taken off the list.
"""

from __future__ import annotations

import pytest

from briefgen.mission.inputs.read_report import read_report
from briefgen.mission.inputs.report import Elements, Report
from tests.mission.inputs.published_reports import REPORTS

pytest.importorskip("metar_taf_parser", reason="the second reader is in the extra of the tests")

KT = {"KT": 1.0, "MPS": 3600 / 1852}
# the first words of each text that it can't read, or reads otherwise, and what is wrong
OLD = "times as they were written before 2008"
WRONG = {
    "TAF KPIT 091730Z 091818 ": OLD,
    "KNSE 200909 00000KT 0800": OLD,
    "KNSE TAF 260909 28004KT ": OLD,
    "KLCH TAF 032240Z 032323 ": OLD,
    "KSHV TAF 032240Z 032323 ": OLD,
    "KLCH TAF 032323 01012KT ": OLD,
    "EKYT 250510Z 251206 2300": OLD,
    "TAF KPIR 111130Z 1112/12": "a FM without its day ends in a ValueError",
}


def _second(kind: str, text: str):
    """It asks for the leading word of a TAF and refuses that of a METAR."""
    from metar_taf_parser.parser.parser import MetarParser, TAFParser

    words = text.replace("=", " ").split()
    plain = " ".join(word for word in words if word not in ("TAF", "METAR", "SPECI"))
    return TAFParser().parse(f"TAF {plain}") if kind == "TAF" else MetarParser().parse(plain)


def _theirs(part) -> tuple:
    wind = part.wind
    told = None
    if wind is not None:
        told = (
            wind.degrees and wind.degrees % 360,
            round(wind.speed * KT[wind.unit], 3),
            wind.gust and round(wind.gust * KT[wind.unit], 3),
        )
    clouds = tuple((cloud.quantity.name, cloud.height) for cloud in part.clouds if cloud.height is not None)
    return told, clouds


def _ours(elements: Elements) -> tuple:
    wind = elements.wind
    told = None
    if wind is not None:
        degrees = None if wind.from_deg is None else int(wind.from_deg)
        told = (degrees, round(wind.kt, 3), wind.gust_kt and round(wind.gust_kt, 3))
    cloud = elements.cloud
    layers = () if cloud is None or cloud.layers is None or cloud.vertical else cloud.layers
    return told, tuple((layer.amount, int(layer.base.feet)) for layer in layers)


def _agree(kind: str, text: str, report: Report) -> bool:
    try:
        second = _second(kind, text)
    except Exception:
        return False
    theirs = [_theirs(second), *(_theirs(trend) for trend in second.trends)]
    return theirs == [_ours(group.elements) for group in report.groups]


@pytest.mark.parametrize("row", REPORTS, ids=lambda row: f"{row[0]}: {row[2][:28]}")
def test_both_readers_agree_where_the_second_is_right(row):
    _, kind, text, _, _ = row
    report = read_report(text, kind)
    assert isinstance(report, Report)
    assert _agree(kind, text, report) == (text[:24] not in WRONG)
