"""Spoilt texts and files, with a fixed seed: none of them stops the program, hides a word or an unprintable
sign."""

from __future__ import annotations

import pytest

from tests.mission.inputs import spoilt

COUNT = 3000


@pytest.mark.slow
def test_no_text_and_no_file_stops_the_program(tmp_path):
    """500 for each reader: some are read, some refused, none raises."""
    reached, faults = spoilt.search(COUNT, 1, tmp_path)

    assert not faults, next(iter(faults.values()))
    assert sum(reached.values()) == COUNT
    for reader in spoilt.READERS:
        assert reached[reader.__name__, "read"] > 5 and reached[reader.__name__, "refused"] > 100


def test_a_fault_would_be_found(tmp_path, monkeypatch):
    def faulty(_folder: object, _chance: object) -> str:
        raise RecursionError

    monkeypatch.setattr(spoilt, "READERS", (faulty,))

    reached, faults = spoilt.search(3, 1, tmp_path)

    assert sum(reached.values()) == 3 and [seed for seed, _ in faults.values()] == [1]


def test_it_spoils(tmp_path):
    found = {spoilt.spoilt("id,lat,lon", spoilt.random.Random(seed)) for seed in range(50)}

    assert len(found) > 45
