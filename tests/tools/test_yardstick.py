"""The limits of time are tight enough to catch a reader that goes back to the beginning at every word, and
wide enough for a machine that is busy."""

from __future__ import annotations

import pytest

from briefgen.mission.load import read_mission
from briefgen.mission.read.brackets import Loader
from tests.commands.test_hostile import MOST_YARDS, SIZES
from tests.yardstick import TRIES, processor_seconds, yards


@pytest.fixture
def two_thousand(tmp_path):
    path = tmp_path / "m.yaml"
    path.write_bytes(SIZES["two thousand obstacles"][0])
    return path


def test_a_reader_that_counts_lines_from_the_beginning_is_over_the_limit(two_thousand, monkeypatch):
    """The usual slip that makes reading quadratic: at every word the line's number is counted anew."""
    scan = Loader.scan_to_next_token

    def counting(self):
        len(self._text[: self.index].splitlines())
        scan(self)

    def spent() -> float:
        return yards(lambda: processor_seconds(lambda: read_mission(two_thousand)), MOST_YARDS)

    assert spent() < MOST_YARDS
    monkeypatch.setattr(Loader, "scan_to_next_token", counting)
    assert spent() > MOST_YARDS


def test_a_slow_machine_changes_no_yards():
    """Three times the time for everything is the same count of yards; one slow moment is made up by another
    try."""
    assert yards(lambda: 3 * 0.2, 0.0, one=lambda: 3 * 0.1) == pytest.approx(2.0)
    turns = iter([9.0, 0.2])
    assert yards(lambda: next(turns), 5.0, one=lambda: 0.1) == pytest.approx(2.0)
    turns = iter([9.0] * TRIES)
    assert yards(lambda: next(turns), 5.0, one=lambda: 0.1) == pytest.approx(90.0)
