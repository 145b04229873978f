"""A text that only keeps the place of what is still to be written."""

from __future__ import annotations

import pytest

from briefgen.units.blank import names_nothing, says_nothing

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
        "as briefed",
        "As discussed.",
        "standard",
        "see brief",
        "",
        "\u2026",
    ],
    False: [
        "S. Varga",
        "Lt Noname",
        "chart 12",
        "W-27-003",
        "7",
        "no later than T",
        "Abort as briefed, on the egress course",
    ],
}


@pytest.mark.parametrize(("empty", "text"), [(empty, text) for empty in TEXTS for text in TEXTS[empty]])
def test_what_keeps_a_place_says_nothing(empty, text):
    assert says_nothing(text) == empty


# in a sentence ("while the cue is pending") these mean something, as a whole name or reference they don't
@pytest.mark.parametrize("text", ["pending", "Pending", "N.N.", "(N. N.)", "TBD", ""])
def test_what_keeps_the_place_of_a_name_names_nothing(text):
    assert names_nothing(text) and says_nothing(text) == (text in ("TBD", ""))


@pytest.mark.parametrize("text", ["N. Ncube", "REG-27-014", "Pending Hill tower"])
def test_a_name_is_one(text):
    assert not names_nothing(text)
