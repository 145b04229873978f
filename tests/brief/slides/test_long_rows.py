"""What the program itself has to say of a gate goes on in a further row where a slide is too low for it:
nobody can shorten it in the mission."""

from __future__ import annotations

import pytest

from briefgen.brief.slides.tables.gates import MOST_CHARACTERS, continued, parts_of_text


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("", [""]),
        ("one; two", ["one; two"]),
        ("one two; three four", ["one two;", "three four"]),  # 12 characters: at the semicolon
        ("one two, three four", ["one two,", "three four"]),
        ("one two three four", ["one two", "three four"]),
        ("one abcdefghijklmnop two", ["one", "abcdefghijklmnop", "two"]),  # a long word stays whole
    ],
)
def test_a_text_is_parted_where_it_may_be(text, parts):
    assert parts_of_text(text, 12) == parts


def test_a_long_row_goes_on_in_others_that_say_what_they_continue():
    said = "; ".join(f"Figure {n} of many (limits.key_{n})" for n in range(60))
    rows = continued(["NOT CHECKED", "Figures without a limit", "60 figures", said])
    assert len(rows) > 1 and max(len(row[3]) for row in rows) <= MOST_CHARACTERS
    assert " ".join(row[3] for row in rows) == said
    assert {(row[0], row[1], row[2]) for row in rows[1:]} == {
        ("as above", "Figures without a limit (continued)", "as above")
    }


def test_a_short_row_stays_one():
    row = ["NOT CHECKED", "Notices read", "not known", "no notices are listed"]
    assert continued(row) == [row]
