"""Where things lie, for tests in any folder."""

from __future__ import annotations

from pathlib import Path

TESTS = Path(__file__).resolve().parent
REPOSITORY = TESTS.parent
# the files that the fast tier leaves out: tests/tools/fast_tier.py says why
NOT_FAST = frozenset((TESTS / "data" / "not_fast.txt").read_text(encoding="ascii").split())
# the demonstrations that every command takes: not those of several passes, which only `check` knows so far
OF_ONE_PASS = tuple(
    path
    for path in sorted((REPOSITORY / "missions").glob("*.yaml"))
    if "\nflow:" not in path.read_text(encoding="utf-8")
)
