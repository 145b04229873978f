"""Does the fast tier still take no longer than a person waits between two changes? ::

    python -m tests.tools.fast_tier              runs ``pytest -m fast`` and says what it took
    python -m tests.tools.fast_tier --files      and what each of its files took

The tier is every file of tests/ that tests/data/not_fast.txt does not name, without the tests marked slow,
office or browser; a new file is in it. Exit code 1 where it fails or takes more than it may: then the files
that take the most are named, and one of them goes into that list. Each room keeps a file in the tier.

What it may take is counted in yards (tests/yardstick.py): 20 s of computing where a yard takes 0.1 s.
"""

from __future__ import annotations

import os
import sys
from collections import Counter

import pytest

from tests.places import TESTS
from tests.yardstick import yard

MOST_YARDS = 200
TOLD = 12


class Watch:
    """What each file takes, in seconds of computing of this process and of those that it has waited for."""

    def __init__(self) -> None:
        self.files: Counter[str] = Counter()

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_protocol(self, item: pytest.Item) -> object:
        began = computed()
        try:
            return (yield)
        finally:
            self.files[item.path.relative_to(TESTS).as_posix()] += computed() - began


def computed() -> float:
    """Seconds of computing of this process, its start included, and of those that it has waited for."""
    return sum(os.times()[:4])


def main(every: bool) -> int:
    """Run the tier and print what it took; its exit code, or 1 where it took too much."""
    watch, first = Watch(), yard()
    code = int(pytest.main(["-m", "fast", "-n", "0"], plugins=[watch]))
    spent = computed() - first
    yards = spent * 2 / (first + yard())
    print(f"{spent:.1f} s of computing, {yards:.0f} yards; it may take {MOST_YARDS}")
    if every or yards > MOST_YARDS:
        for file, seconds in watch.files.most_common(None if every else TOLD):
            print(f"  {seconds:6.2f} s  {file}")
    return code or int(yards > MOST_YARDS)


if __name__ == "__main__":
    sys.exit(main("--files" in sys.argv[1:]))
