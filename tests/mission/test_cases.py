"""Missions that must fail, or must be read: each file of tests/cases says itself what is expected of it, and
where.

A line ``# expect error[code] LINE:COLUMN words`` is one diagnostic: its place exactly, its words as a part of
the message. A file without such a line must be read without a diagnostic.
"""

import re
from functools import cache
from pathlib import Path

import pytest

from briefgen.mission.load import load_mission
from tests.places import TESTS

CASES = TESTS / "cases"
FILES = sorted(CASES.glob("*.yaml"))
read = cache(load_mission)
EXPECT = re.compile(r"^# expect (error|caution|note)\[([a-z-]+)\] (\d+):(\d+) (.+?)\s*$", re.MULTILINE)


def expectations(path: Path) -> list[tuple[str, str, int, int, str]]:
    """What the file says of itself."""
    data = path.read_bytes()
    text = (
        data.decode("utf-16")
        if data[:2] in (b"\xff\xfe", b"\xfe\xff")
        else data.decode("utf-8", errors="replace")
    )
    return sorted(
        (found[1], found[2], int(found[3]), int(found[4]), found[5]) for found in EXPECT.finditer(text)
    )


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_file_has_the_diagnostics_that_it_expects(path):
    mission, diagnostics = read(path)

    expected = expectations(path)
    found = sorted((d.severity, d.code, d.span.line, d.span.column, d.message) for d in diagnostics)
    assert [row[:4] for row in found] == [row[:4] for row in expected]
    for (*_, words), (*_, message) in zip(expected, found, strict=True):
        assert words in message
    assert (mission is None) == any(severity == "error" for severity, *_ in expected)


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_message_names_no_class_and_every_error_points_into_the_file(path):
    _, diagnostics = read(path)

    words = {
        "MissionFile",
        "GroundOps",
        "Aircraft",
        "RunIn",
        "pydantic",
        "validator",
        "Input should",
        "NoneType",
        "model_type",
        "dict_type",
        "ValueError",
    }
    for diagnostic in diagnostics:
        text = " ".join((diagnostic.message, diagnostic.why, diagnostic.help))
        assert not words & set(re.findall(r"\w+", text)) and "Input should" not in text
        assert diagnostic.span is not None and diagnostic.span.file == str(path)


def test_there_are_enough_broken_files():
    broken = [path for path in FILES if any(severity == "error" for severity, *_ in expectations(path))]

    assert len(broken) >= 30
    assert {path.stem for path in FILES} >= {"ok-pass-only", "ok-training-only"}


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_error_says_why_it_matters_and_how_to_mend_it(path):
    _, diagnostics = read(path)

    assert [(d.code, d.message) for d in diagnostics if not (d.why and d.help)] == []
