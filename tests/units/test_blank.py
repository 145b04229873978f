"""A text that only keeps the place of what is still to be written."""

from __future__ import annotations

import pytest

from briefgen.units.blank import says_nothing

TEXTS = {
    True: [
        "TBD",
        "tbc",
        " T.B.D. ",
        "?",
        "???",
        "...",
        "-",
        "n/a",
        "N.A.",
        "none",
        "unknown",
        "(TBD)",
        "",
        "\u2026",
    ],
    False: ["S. Varga", "Lt Noname", "chart 12", "W-27-003", "7", "no later than T"],
}


@pytest.mark.parametrize(("empty", "text"), [(empty, text) for empty in TEXTS for text in TEXTS[empty]])
def test_what_keeps_a_place_says_nothing(empty, text):
    assert says_nothing(text) == empty
