"""Files of the repository that comments, docstrings and documents name are there: a reader who follows one
finds it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.places import REPOSITORY

NAMED = re.compile(r"(?<![\w/.*<\\-])((?:[a-z][\w-]*/)*[a-z][\w-]+\.(?:py|md|js|typ))(?![\w*])")
KINDS = (".py", ".md", ".js", ".typ", ".yaml", ".txt", ".toml")
ROOMS = ("briefgen", "tests", "templates", "missions")
# Not of this repository, or made up by a test; names of one letter are made up everywhere.
ELSEWHERE = {
    "secret.md",
    "gone.md",
    "geographiclib/test/test_geodesic.py",
    "rules.md",
    "x.py",
    "cards/ship.typ",
    "cards/ours.typ",
    "other.py",
}
ELSEWHERE |= {"tests/here.py", "gone/here.py"}


@pytest.fixture(scope="module")
def paths() -> list[Path]:
    """What the repository holds, without what programs left in it."""
    inside = [path for room in ROOMS for path in (REPOSITORY / room).rglob("*") if path.is_file()]
    return [
        *(path for path in inside if "__pycache__" not in path.parts),
        *(path for path in REPOSITORY.iterdir() if path.is_file()),
    ]


def endings(path: Path) -> list[str]:
    """Every way to name a file: its path in the repository and each end of it."""
    parts = path.relative_to(REPOSITORY).parts
    return ["/".join(parts[start:]) for start in range(len(parts))]


def gone(text: str, there: set[str]) -> list[str]:
    """The files that a text names and that are not there."""
    return [name for name in NAMED.findall(text) if name not in there]


def test_every_file_that_is_named_is_there(paths):
    there = ELSEWHERE.union(*map(endings, paths))
    missing = [
        f"{path.relative_to(REPOSITORY)}: {name}"
        for path in paths
        if path.suffix in KINDS
        for name in gone(path.read_text(encoding="utf-8", errors="replace"), there)
    ]
    assert not missing, "\n".join(missing)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("judged as rules.md says.", ["rules.md"]),
        ("(`tests/here.py`), not brief/view_*.py, plan.json", []),
        ("worked out in gone/here.py:5", ["gone/here.py"]),
    ],
)
def test_what_counts_as_a_name(text, expected):
    assert gone(text, {"tests/here.py"}) == expected
