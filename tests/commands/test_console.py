"""Words on a terminal: a diagnostic with its place, text that commands nothing, columns as the eye sees
them."""

from __future__ import annotations

import os
from types import SimpleNamespace

import pytest

from briefgen.console import columns, diagnostic_text, one_line, printable, table_text, width
from briefgen.core.diagnostics import Diagnostic, Related, Span

PLACE = Span("m.yaml", 2, 8, 2, 12)
TEXTS = {"m.yaml": "sortie:\n  name: four ships\n  wide: 漢字 four"}


@pytest.mark.parametrize(
    ("diagnostic", "expected"),
    [
        (
            Diagnostic("bad-name", "error", "this is wrong", PLACE, why="it matters", help="mend it"),
            [
                "m.yaml:2:8: error: this is wrong [bad-name]",
                "  2 |   name: four ships",
                "    |        ^^^^",
                "    why: it matters",
                "    help: mend it",
            ],
        ),
        (Diagnostic("a", "note", "no place"), ["note: no place [a]"]),
        (
            Diagnostic("a", "caution", "file gone", Span("other", 2, 1, 2, 2)),
            ["other:2:1: caution: file gone [a]"],
        ),
        (
            Diagnostic(
                "a", "error", "wide", Span("m.yaml", 3, 12, 3, 16)
            ),  # two characters before it take two columns each
            ["m.yaml:3:12: error: wide [a]", "  3 |   wide: 漢字 four", "    |              ^^^^"],
        ),
        (
            Diagnostic(
                "a", "error", "twice", PLACE, related=(Related("first here", Span("m.yaml", 1, 1, 1, 7)),)
            ),
            [
                "m.yaml:2:8: error: twice [a]",
                "  2 |   name: four ships",
                "    |        ^^^^",
                "    m.yaml:1:1: first here",
                "  1 | sortie:",
                "    | ^^^^^^",
            ],
        ),
    ],
)
def test_a_diagnostic_reads_like_a_good_compilers(diagnostic, expected):
    assert diagnostic_text(diagnostic, TEXTS).splitlines() == expected


@pytest.fixture
def narrow(monkeypatch):
    """Forty columns."""
    monkeypatch.setenv("COLUMNS", "40")


def test_a_terminal_that_does_not_know_its_width_is_not_taken_as_a_narrow_one(monkeypatch):
    """A new pseudo-terminal says 0 columns until somebody sets its size (ioctl TIOCGWINSZ)."""
    monkeypatch.delenv("COLUMNS", raising=False)
    monkeypatch.setattr("briefgen.console.is_terminal", lambda stream: True)
    monkeypatch.setattr("sys.stdout", SimpleNamespace(fileno=lambda: 1))
    for said, kept in ((0, None), (8, 20), (80, 80)):
        monkeypatch.setattr("os.get_terminal_size", lambda fd, said=said: os.terminal_size((said, 24)))
        assert columns() == kept


def test_lines_are_wrapped_at_words_and_a_place_is_never_broken(narrow):
    place = Span("a folder/with a mission file.yaml", 2, 8, 2, 12)
    found = diagnostic_text(
        Diagnostic(
            "bad-name",
            "error",
            "this is wrong here and there",
            place,
            why="it matters to all who read it in the air",
            help="mend it",
        ),
        {},
    )
    assert found.splitlines() == [
        "a folder/with a mission file.yaml:2:8:",  # 39 columns
        # 4 + 6 + 1 + 4 + 1 + 2 + 1 + 5 + 1 + 4 + 1 + 3 + 1 + 5 = 39
        "    error: this is wrong here and there",
        "    [bad-name]",
        "    why: it matters to all who read it",
        "        in the air",
        "    help: mend it",
    ]


def test_in_a_narrow_terminal_an_excerpt_is_cut_with_its_mark_in_view(narrow):
    text = "x" * 300 + "HERE" + "y" * 300
    _, shown, marks = diagnostic_text(
        Diagnostic("a", "error", "m", Span("f", 1, 301, 1, 400)), {"f": text}
    ).splitlines()
    assert len(shown) <= 40 and len(marks) <= 40
    assert shown[marks.index("^") :].startswith("HERE")


def test_a_table_is_wrapped_in_its_last_column_and_as_a_whole_where_that_has_no_room(narrow):
    assert table_text([["PASS", "one two three four five six seven eight nine"]]).splitlines() == [
        "  PASS  one two three four five six",
        "        seven eight nine",
    ]
    rows = [["CAUTION", "a title of many words that needs its room", "12 ft", "why it is so"]]
    assert table_text(rows).splitlines() == [
        "  CAUTION: a title of many words that",
        "    needs its room; 12 ft; why it is so",
    ]


def test_in_a_pipe_nothing_is_wrapped(monkeypatch):
    monkeypatch.delenv("COLUMNS", raising=False)
    assert table_text([["PASS", "word " * 100 + "end"]]).count("\n") == 0


def test_a_long_line_is_shown_around_the_place():
    text = "x" * 500 + "HERE" + "y" * 500
    lines = diagnostic_text(
        Diagnostic("a", "error", "m", Span("f", 1, 501, 1, 505)), {"f": text}
    ).splitlines()
    marked = [shown for shown, caret in zip(lines[1], lines[2], strict=False) if caret == "^"]
    assert "".join(marked) == "HERE"
    assert max(len(line) for line in lines) < 130


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("a\tb", "a b"),
        ("\x1b[31mred", "?[31mred"),
        ("a\u202eb", "a?b"),
        ("[/bold] :x: {0}", "[/bold] :x: {0}"),
        ("37°41.5'S ▲", "37°41.5'S ▲"),
        ("\x07\x08\x7f", "???"),
    ],
)
def test_user_text_cannot_command_the_terminal(text, expected):
    assert printable(text) == expected


def test_columns_are_aligned_by_what_the_eye_sees():
    rows = [["ab", "x"], ["漢", "y"], ["é", "z"]]
    lines = table_text(rows, indent=0).splitlines()
    assert [width(line[: line.index(mark)]) for line, mark in zip(lines, "xyz", strict=True)] == [4, 4, 4]


def test_a_file_name_stands_in_its_line_whatever_it_holds():
    assert one_line("a\nb\t\u6f22 c.yaml") == "a\\nb\\t\u6f22 c.yaml"
