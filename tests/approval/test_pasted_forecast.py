"""How far a pasted report or pasted winds may move inside an approval: by hand, a unit inside and outside."""

from __future__ import annotations

import pytest

from briefgen.approval.forecast import moved_too_far
from briefgen.compare.tree import Typed
from briefgen.core.diagnostics import KeyPath

AT = ("weather", "at", "NORTHBOURNE")


def metar(temperature: str, qnh: str) -> str:
    return f"METAR XXNB 300150Z 20014KT CAVOK {temperature} {qnh}"


def taf(body: str) -> str:
    return f"TAF XXNB 291700Z 2918/3024 20014KT 9999 {body}"


@pytest.mark.parametrize(
    ("path", "old", "new", "asked"),
    [
        ((*AT, "metar"), metar("21/12", "Q1017"), metar("21/12", "Q1012"), ""),
        ((*AT, "metar"), metar("21/12", "Q1017"), metar("21/12", "Q1011"), "that is 6 hPa"),
        # 29.92 inHg is 1013.2 hPa
        ((*AT, "metar"), metar("21/12", "Q1017"), metar("21/12", "A2992"), ""),
        ((*AT, "metar"), metar("21/12", "Q1017"), metar("11/M02", "Q1017"), ""),
        ((*AT, "metar"), metar("21/12", "Q1017"), metar("10/M02", "Q1017"), "that is 11 C"),
        ((*AT, "metar"), metar("21/12", "Q1017"), metar("21/12", "Q////"), "can't be compared"),
        ((*AT, "metar"), metar("21/12", "Q1017"), None, "was planned with it"),
        ((*AT, "taf"), taf("SCT030"), taf("BKN010"), ""),  # cloud is for its gates
        ((*AT, "taf"), taf("TN05/3003Z"), taf("TN05/3003Z TNM06/3006Z"), "that is 11 C"),
        ((*AT, "taf"), taf("QNH3000INS"), taf("QNH2980INS"), "that is 6.8 hPa"),  # 0.2 x 33.864 hPa
        # 20 kt from west to 20 kt from 300: a chord of 30 deg, 2 x 20 x sin 15 = 10.4 kt
        (("weather", "winds_text"), "FL100 270/20", "FL100 300/20", ""),
        (("weather", "winds_text"), "FL100 270/20", "FL100 270/36", "that is 16 kt"),
        (("weather", "winds_text"), "FL100 270/20", "FL120 270/20", "can't be compared"),
    ],
)
def test_a_pasted_text_may_move_as_far_as_what_is_typed(path: KeyPath, old, new, asked):
    told = [why for _, why in moved_too_far([Typed(path, ".".join(map(str, path)), old, new)])]
    assert len(told) == (1 if asked else 0)
    assert asked in "".join(told)
