"""The numbers of mypy's errors, a room each: what counts, and what is told of a change."""

from __future__ import annotations

import re

import pytest

from tests.places import REPOSITORY
from tests.tools import type_errors

# In the form that mypy's documentation shows: file, line, severity, message, code in brackets.
TOLD = """\
briefgen/plan/build.py:12: error: Item "None" has no attribute "hold"  [union-attr]
briefgen/plan/build.py:12: note: it may be None
briefgen/plan/event/hold.py:7: error: Unsupported operand types  [operator]
briefgen/cli.py:3: error: Missing type arguments  [type-arg]
Found 3 errors in 3 files (checked 340 source files)
"""


def test_errors_count_for_their_room_and_notes_do_not() -> None:
    assert type_errors.counted(TOLD) == {"plan": 2, "briefgen": 1}


@pytest.mark.parametrize(
    ("before", "code", "said"),
    [
        ("briefgen 1\nplan 2\n", 0, ""),
        ("briefgen 1\nplan 1\n", 1, "more errors than before in plan"),
        ("plan 2\n", 1, "more errors than before in briefgen"),  # a room that is not named has none
        ("briefgen 1\nplan 3\n", 0, "fewer than before in plan: lower the numbers"),
        ("briefgen 1\nplan 2\nwhatif 1\n", 0, "fewer than before in whatif: lower the numbers"),
        ("briefgen 2\nplan 1\n", 1, "more errors than before in plan"),  # whatever fell elsewhere
    ],
)
def test_a_number_never_rises(before, code, said, tmp_path, monkeypatch, capsys) -> None:
    committed = tmp_path / "type_errors.txt"
    committed.write_text(before, encoding="ascii")
    monkeypatch.setattr(type_errors, "COMMITTED", committed)
    monkeypatch.setattr(type_errors, "mypy", lambda: TOLD)
    assert type_errors.main(lower=False) == code
    printed = capsys.readouterr().out
    assert said in printed
    assert ("lower the numbers" in printed) == ("lower the numbers" in said)
    assert committed.read_text(encoding="ascii") == before  # only when asked to


def test_each_error_that_is_passed_over_says_why_on_its_line() -> None:
    told = re.compile(r"# type: ignore\[[a-z-]+\] # \w")
    lines = [
        f"{path.name}:{number}"
        for path in (REPOSITORY / "briefgen").rglob("*.py")
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if "# type: ignore" in line and not told.search(line)
    ]
    assert lines == []


def test_a_number_that_fell_is_written_when_asked_for(tmp_path, monkeypatch) -> None:
    committed = tmp_path / "type_errors.txt"
    committed.write_text("briefgen 1\nplan 3\n", encoding="ascii")
    monkeypatch.setattr(type_errors, "COMMITTED", committed)
    monkeypatch.setattr(type_errors, "mypy", lambda: TOLD)
    assert type_errors.main(lower=True) == 0
    assert committed.read_text(encoding="ascii") == "briefgen 1\nplan 2\n"
