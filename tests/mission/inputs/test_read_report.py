"""TAF and METAR text: published examples read by hand, words in the places where other readers drop them, and
texts that are broken on purpose."""

from __future__ import annotations

import random

import pytest

from briefgen.mission.inputs.read_report import read_report
from briefgen.mission.inputs.report import Elements, Report, Unusable
from briefgen.mission.inputs.words import normal_words
from tests.mission.inputs.published_reports import REPORTS


def said(elements: Elements) -> str:
    """In the words of the table."""
    return " ".join(
        [
            *_wind(elements),
            *_sight(elements),
            *(("NSW",) if elements.weather == () else elements.weather or ()),
            *_cloud(elements),
            *([] if elements.temperature_c is None else [f"{elements.temperature_c:g}C"]),
            *([] if elements.qnh is None else [f"{elements.qnh.value:g}{elements.qnh.unit}"]),
        ]
    )


def _wind(elements: Elements) -> list[str]:
    wind = elements.wind
    if wind is None:
        return []
    if not wind.kt:
        return ["calm"]
    begin = "VRB" if wind.from_deg is None else f"{wind.from_deg:g}"
    gust = "" if wind.gust_kt is None else f"G{round(wind.gust_kt, 1):g}"
    sector = "" if wind.sector is None else f"v{wind.sector[0]:g}-{wind.sector[1]:g}"
    return [f"{begin}/{round(wind.kt, 1):g}{gust}{sector}"]


def _sight(elements: Elements) -> list[str]:
    seen = elements.visibility
    if seen is None:
        return []
    at_least = {"SM": "P{}SM", "km": "{}km+"}.get(seen.seen.unit, "{}m+")
    return [
        at_least.format(f"{seen.seen.value:g}") if seen.or_more else f"{seen.seen.value:g}{seen.seen.unit}"
    ]


def _cloud(elements: Elements) -> list[str]:
    cloud = elements.cloud
    if cloud is None:
        return []
    if cloud.layers is None:
        return ["cloud?"]
    if not cloud.layers:
        return ["clear" if cloud.up_to_ft is None else "no cloud low"]
    return [f"{layer.amount}{layer.base.feet:g}{layer.kind or ''}" for layer in cloud.layers]


def report(text: str, kind: str = "TAF") -> Report:
    found = read_report(text, kind)
    assert isinstance(found, Report), found
    return found


@pytest.mark.parametrize("row", REPORTS, ids=lambda row: f"{row[0]}: {row[2][:28]}")
def test_a_published_report_says_what_it_says(row):
    _, kind, text, groups, odd = row
    found = report(text, kind)
    assert [said(group.elements) for group in found.groups] == [group.strip() for group in groups.split("|")]
    assert " ".join(found.not_understood) == odd


def test_there_are_published_examples_enough():
    assert len(REPORTS) >= 40


HEAD = "TAF XXNB 291700Z 2918/3024 "
SEEN = "METAR XXNB 300150Z "


@pytest.mark.parametrize(
    ("kind", "text", "expected"),
    [
        # 40 km/h is 21.6 kt, 10 m/s 19.4 kt
        ("TAF", HEAD + "24040KMH 9999", "240/21.6 10km+"),
        ("TAF", HEAD + "24010MPS 9999", "240/19.4 10km+"),
        ("TAF", HEAD + "240P99KT 9999", "240/99 10km+"),
        ("TAF", HEAD + "00000KT 0000", "calm 0m"),
        ("TAF", HEAD + "10KM", "10km"),
        ("TAF", HEAD + "M1/4SM", "0SM"),  # less than a quarter of a mile: no figure is known to be kept
        ("TAF", HEAD + "2 3/4SM", "2.75SM"),
        ("TAF", HEAD + "NSW NSC", "NSW no cloud low"),
        ("METAR", SEEN + "NCD", "no cloud low"),
        ("METAR", SEEN + "//////CB", "cloud?"),
        ("METAR", SEEN + "///030", "cloud?"),
        ("METAR", SEEN + "BKN///", "cloud?"),
        ("METAR", SEEN + "FEW020/// SCT030", "FEW2000 SCT3000"),
        ("METAR", SEEN + "VV///", "cloud?"),
        ("METAR", SEEN + "///// //// // ////// 00/M00 Q////", "cloud? 0C"),
        ("METAR", SEEN + "/////KT 9999", "10km+"),
        ("METAR", SEEN + "M05/M07 Q0998", "-5C 998hPa"),
        ("METAR", SEEN + "05/// A2992", "5C 29.92inHg"),
        ("METAR", SEEN + "Q1017 A3001", "30.01inHg"),  # 30.01 x 33.86 = 1016.2 hPa, the lower
        ("METAR", SEEN + "3000 SW", "3000m"),
        ("METAR", SEEN + "VCSH VCTS +FC FZFG MIFG BLSN", "VCSH VCTS +FC FZFG MIFG BLSN"),
        ("METAR", SEEN + "WS ALL RWY WS R24 BLU RERA W15/S2 R24/CLRD70 SNOCLO", ""),
    ],
)
def test_words_that_other_readers_drop_or_take_wrongly(kind, text, expected):
    assert said(report(text, kind).groups[0].elements) == expected


@pytest.mark.parametrize(
    ("kind", "text", "odd"),
    [
        ("TAF", HEAD + "24010KT XYZZY 9999", "XYZZY"),
        ("TAF", HEAD + "37010KT", "37010KT"),
        ("TAF", HEAD + "CB020", "CB020"),
        ("TAF", HEAD + "21/4SM 1 SM", "21/4SM 1 SM"),
        ("TAF", HEAD + "20010KT 21010KT", "21010KT"),
        ("TAF", HEAD + "9999 TEMPO 2922/2920 3000", "2922/2920"),
        ("TAF", HEAD + "9999 FM299900 3000", "FM299900"),
        ("TAF", HEAD + "9999 2920/2922 3000", "2920/2922"),
        ("TAF", HEAD + "TX99/99Z", "TX99/99Z"),
        ("TAF", HEAD + "A2992", "A2992"),
        ("METAR", SEEN + "A9999 Q2017", "A9999 Q2017"),
        ("METAR", SEEN + "20010KT= 21010KT", "21010KT"),
        ("TAF", HEAD + "\uff19\uff19\uff19\uff19", "\uff19\uff19\uff19\uff19"),
    ],
)
def test_what_no_rule_knows_is_not_understood(kind, text, odd):
    assert " ".join(report(text, kind).not_understood) == odd


@pytest.mark.parametrize(
    ("kind", "text", "why"),
    [
        ("TAF", "", "no text"),
        ("TAF", "   \n ", "no text"),
        ("TAF", "METAR XXNB 300150Z 20010KT", "this is a METAR"),
        ("METAR", "TAF XXNB 291700Z 2918/3024", "this is a TAF"),
        ("TAF", "TAF 291700Z 2918/3024 20010KT", "no aerodrome"),
        ("TAF", "TAF XXNB 291700Z 20010KT", "no period"),
        ("METAR", "METAR XXNB 20010KT", "no time"),
        ("TAF", "TAF XXNB 311200Z 3112/3224 20010KT", "no period that"),
        ("TAF", "TAF XXNB 301700Z 3018/2912 20010KT", "no period that"),
        ("TAF", "TAF XXNB 291700Z 2918/2918 20010KT", "no period that"),
        ("TAF", "TAF XXNB 291700Z 2900/3024 20010KT", "no period that"),  # 48 h
        ("TAF", HEAD + "20010KT TAF XXNA 291700Z 2918/3024 9999", "two reports"),
        ("TAF", HEAD + "20010KT= TAF XXNA 291700Z 2918/3024 9999=", "two reports"),
        ("METAR", SEEN + "METAR XXNA 300150Z", "two reports"),
        ("TAF", "TAF XXNB 991700Z 2918/3024", "no day and time"),
        ("TAF", "X " * 700, "700 words"),
    ],
)
def test_a_text_that_is_no_report_says_why(kind, text, why):
    found = read_report(text, kind)
    assert isinstance(found, Unusable) and why in found.message
    assert found.why and found.help


@pytest.mark.parametrize(
    ("text", "status"),
    [
        ("TAF AMD XXNB 291700Z 2918/3024 20010KT", "AMD"),
        ("TAF COR XXNB 291700Z 2918/3024 20010KT", "COR"),
        ("COR TAF XXNB 291700Z 2918/3024 20010KT", "COR"),
        ("TAF TAF XXNB 291700Z NIL=", "NIL"),
        ("TAF XXNB 291700Z 2918/3024 CNL", "CNL"),
        ("FTXX31 XXNB 291700 AAA taf xxnb 291700z 2918/3024 20010kt", ""),
    ],
)
def test_heads_as_they_are_sent(text, status):
    found = report(text)
    assert (found.station, found.status, found.not_understood) == ("XXNB", status, ())


def test_remarks_are_cut_off_and_kept():
    found = report(SEEN + "20010KT RMK AO2 BKN003 SLP117=", "METAR")
    assert found.groups[0].elements.cloud is None
    assert [token.text for token in found.tokens if token.role == "remark"] == ["RMK AO2 BKN003 SLP117"]


@pytest.mark.parametrize(
    ("text", "up_to_ft"),
    [
        (HEAD + "9999 SCT030", 5000.0),  # what is significant for the aerodrome alone: WMO-No. 306, 15.9
        (HEAD + "9999 SCT030 BKN100", 10000.0),
        (HEAD + "CAVOK", 5000.0),
        (HEAD + "NSC", 5000.0),
        (HEAD + "P6SM SCT030", None),  # every layer is told
        (HEAD + "9999 SCT030 QNH2992INS", None),
        (HEAD + "SKC", None),
        (HEAD + "10SM CLR", 12000.0),
        (HEAD + "VV002", None),
    ],
)
def test_how_high_a_report_speaks_of_cloud(text, up_to_ft):
    cloud = report(text).groups[0].elements.cloud
    assert cloud is not None and cloud.up_to_ft == up_to_ft


def _mutated(rng: random.Random, text: str) -> str:
    """A few letters, words or spaces of a text lost, doubled, moved or replaced."""
    for _ in range(rng.randint(1, 6)):
        at = rng.randrange(len(text) + 1)
        match rng.randrange(6):
            case 0:
                text = text[:at] + text[at + 1 :]
            case 1:
                text = text[:at] + rng.choice("0123456789ABCTXZ/ =+-PM\nß\u00e9\uff19\t\"'") + text[at:]
            case 2:
                words = text.split()
                if len(words) > 4:  # behind the head
                    n = rng.randrange(4, len(words))
                    words[n - 1], words[n] = words[n], words[n - 1]
                text = " ".join(words)
            case 3:
                words = text.split()
                if words:
                    words.insert(rng.randrange(len(words)), rng.choice(WORDS))
                text = " ".join(words)
            case 4:
                text = text[:at] + text[at : at + 9] + text[at:]
            case 5:
                text = text[: rng.randrange(len(text) // 2, len(text) + 1)]
    return text


WORDS = [
    "TEMPO",
    "BECMG",
    "PROB30",
    "FM",
    "RMK",
    "=",
    "TAF",
    "METAR",
    "NIL",
    "CNL",
    "AMD",
    "1",
    "WS",
    "//",
    "2918/3024",
]


def test_5000_broken_texts_lose_no_word_and_break_nothing():
    rng = random.Random(20270130)
    texts = [(kind, text) for _, kind, text, _, _ in REPORTS]
    read = 0
    for _ in range(5000):
        kind, text = rng.choice(texts)
        text = _mutated(rng, text)
        found = read_report(text, kind)
        if isinstance(found, Unusable):
            assert found.message and found.help
            continue
        read += 1
        told = " ".join(token.text for token in found.tokens).split()
        assert told == normal_words(text)
    assert read > 2000
