"""The fingerprint changes with everything that a flight could notice, and with nothing else."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.core.diagnostics import Span
from briefgen.core.fingerprint import ALPHABET, fingerprint, read_folder

TREE = {"sortie": {"name": "Harbour", "date": "2027-01-30"}, "flight": [{"ship": "1", "tail": "0471"}]}


@dataclass(frozen=True)
class Small:
    t: datetime
    burn_lb: float
    span: Span


PLAN = Small(datetime(2027, 1, 30, 3, 30, 2, tzinfo=UTC), 412.5, Span("a.yaml", 4, 2, 4, 9))
BASE = {
    "text_tree": TREE,
    "plan": PLAN,
    "files": {"brief/10-a.md": b"# A\nb\n", "logo.png": b"\r\n1"},
    "versions": {"briefgen": "0.1", "tz": "2026f"},
}


def mark(**changes: object) -> str:
    return fingerprint(**{**BASE, **changes}).full


SAME = {
    "files in another order": {"files": dict(reversed(BASE["files"].items()))},
    "a template with Windows line ends": {"files": {**BASE["files"], "brief/10-a.md": b"# A\r\nb\r\n"}},
    "a comment above, which moves the lines": {"plan": replace(PLAN, span=Span("b.yaml", 9, 2, 9, 9))},
    "the last bit of a float": {"plan": replace(PLAN, burn_lb=412.5 + 1e-12)},
    "half a microsecond": {"plan": replace(PLAN, t=PLAN.t + timedelta(microseconds=1))},
}
OTHER = {
    "a value as typed": {"text_tree": {**TREE, "flight": [{"ship": "1", "tail": "471"}]}},
    "two ships swapped": {"text_tree": {**TREE, "flight": [{"tail": "0471", "ship": "1"}, {}]}},
    "a second later": {"plan": replace(PLAN, t=PLAN.t + timedelta(seconds=1))},
    "a pound more": {"plan": replace(PLAN, burn_lb=413.5)},
    "a word in a template": {"files": {**BASE["files"], "brief/10-a.md": b"# A\nc\n"}},
    "a template more": {"files": {**BASE["files"], "brief/20-b.md": b""}},
    "a picture's bytes that look like line ends": {"files": {**BASE["files"], "logo.png": b"\n1"}},
    "the program": {"versions": {"briefgen": "0.2", "tz": "2026f"}},
    "the time zone database": {"versions": {"briefgen": "0.1", "tz": "2026g"}},
}


@pytest.mark.parametrize("changes", SAME.values(), ids=SAME)
def test_what_nobody_could_notice_keeps_the_fingerprint(changes):
    assert mark(**changes) == mark()


@pytest.mark.parametrize("changes", OTHER.values(), ids=OTHER)
def test_what_somebody_could_notice_changes_it(changes):
    assert mark(**changes) != mark()


def test_all_the_changed_ones_differ_from_each_other():
    assert len({mark(**changes) for changes in OTHER.values()}) == len(OTHER)


# common practice in printed codes, no source
LOOK_ALIKE = [
    "0O",
    "0D",
    "0Q",
    "1I",
    "1L",
    "IL",
    "2Z",
    "5S",
    "6G",
    "8B",
    "UV",
    "OQ",
    "B3",
    "S8",
]


@pytest.mark.parametrize("pair", LOOK_ALIKE)
def test_no_two_characters_that_look_alike(pair):
    assert not set(pair) <= set(ALPHABET)


def test_the_form_is_four_groups_of_four_and_the_first_is_spoken():
    result = fingerprint(**BASE)
    groups = result.full.split("-")
    assert [len(group) for group in groups] == [4, 4, 4, 4]
    assert set("".join(groups)) <= set(ALPHABET)
    assert result.spoken == groups[0]


def test_every_character_of_the_alphabet_turns_up_about_equally_often():
    """1,000 fingerprints of 16 characters, 21 letters: 762 of each expected, standard deviation 27; six
    deviations are 162."""
    text = "".join(mark(versions={"n": str(n)}).replace("-", "") for n in range(1000))
    counts = [text.count(letter) for letter in ALPHABET]
    assert min(counts) > 762 - 162 and max(counts) < 762 + 162


def test_a_folder_is_read_by_its_named_parts_and_hidden_files_are_left_out(tmp_path):
    for name, text in {
        "brief/10-a.md": "a",
        "brief/.10-a.md.swp": "x",
        "cards/ship.typ": "c",
        "notes.txt": "n",
    }.items():
        path = tmp_path / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)
    assert read_folder(tmp_path) == {"brief/10-a.md": b"a", "cards/ship.typ": b"c"}


def test_the_parts_cannot_run_into_each_other():
    """The same text in another part is another fingerprint."""
    parts = [
        {"files": {"a": b"b"}},
        {"versions": {"a": "b"}},
        {"text_tree": {"a": "b"}},
        {"plan": {"a": "b"}},
    ]
    empty = {"files": {}, "versions": {}, "text_tree": {}, "plan": {}}
    marks = [fingerprint(**{**empty, **part}).full for part in parts]
    assert all(a != b for a, b in itertools.combinations(marks, 2))
