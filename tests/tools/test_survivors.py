"""The list of changes that the tests do not notice is read as it is written, speaks of the program as it is,
and leaves no room with too many."""

from __future__ import annotations

import pytest

from tests.tools.survivors import (
    COMMITTED,
    EQUIVALENT,
    LEAST,
    NOT_JUDGED,
    REAL,
    Run,
    Survivor,
    Survivors,
    read,
    written,
)

COMMITTED_LIST = read(COMMITTED.read_text(encoding="utf-8"))
ROOMS = ("airmath", "approval", "plan", "retime")
FILE = "briefgen/airmath/angles.py"


def survivor(words: str, judged: str = NOT_JUDGED, why: str = "", seeds: tuple[int, ...] = ()) -> Survivor:
    return Survivor(FILE, "from __future__ import annotations", 5, words, seeds, judged, why)


RUN = Run("airmath", 1, 40, 2400, 30, "2026-11-30")
SAME = survivor("1 -> 2", EQUIVALENT, "at 1: the same", (1,))
MISSED = survivor("Lt -> LtE", REAL, "a row is missing", (1, 2))
LIST = Survivors((RUN,), (SAME, MISSED))


def test_it_is_read_as_it_is_written():
    assert written(COMMITTED_LIST) == COMMITTED.read_text(encoding="utf-8")
    assert read(written(LIST)) == LIST
    assert [(one.seeds, one.judged, one.why) for one in read(written(LIST)).all] == [
        ((1,), EQUIVALENT, "at 1: the same"),
        ((1, 2), REAL, "a row is missing"),
    ]


@pytest.mark.parametrize("spoilt", [f"{RUN} or so", f"{RUN}\n\n{SAME}?\n   more", f"{RUN}\n\n{FILE}"])
def test_a_block_that_is_none_is_told(spoilt):
    with pytest.raises(ValueError, match="no "):
        read(spoilt)


@pytest.mark.parametrize("one", COMMITTED_LIST.all, ids=lambda one: f"{one.file} {one.words}")
def test_each_line_stands_in_the_program_and_is_judged(one):
    assert one.is_there(), "gone, or written otherwise: python -m tests.tools.survivors takes it out"
    assert one.judged in (EQUIVALENT, REAL) and one.why, "say what it is, and why"
    assert any(run.room == one.room and run.seed in one.seeds for run in COMMITTED_LIST.runs)


@pytest.mark.parametrize("room", ROOMS)
def test_nine_of_ten_real_changes_are_noticed(room):
    runs = [run for run in COMMITTED_LIST.runs if run.room == room]
    assert runs, f"run tests.tools.mutants {room} --write"
    for run in runs:
        assert COMMITTED_LIST.rate(run) >= LEAST, run
        listed = sum(run.seed in one.seeds for one in COMMITTED_LIST.of(room))
        assert run.tried - run.killed == listed, run


def test_what_is_equivalent_is_neither_killed_nor_tried():
    assert LIST.rate(RUN) == 100 * 30 / 39


def test_a_line_that_reads_otherwise_is_not_there(tmp_path):
    assert SAME.is_there()
    assert not SAME.is_there(tmp_path)
    assert not Survivor(FILE, "from __future__ import nothing", 5, "1 -> 2").is_there()


def test_a_new_run_keeps_what_was_judged_and_drops_what_it_killed():
    new, again = survivor("Eq -> NotEq"), survivor(SAME.words)
    after = LIST.after(Run("airmath", 3, 40, 2400, 38, "2026-12-01"), [MISSED], [again, new])
    assert [(one.words, one.seeds, one.judged) for one in after.all] == [
        ("1 -> 2", (1, 3), EQUIVALENT),
        ("Eq -> NotEq", (3,), NOT_JUDGED),
    ]
    assert [(run.seed, run.killed) for run in after.runs] == [(1, 31), (3, 38)]


def test_a_second_run_from_a_seed_takes_the_place_of_the_first():
    after = LIST.after(Run("airmath", 1, 30, 2500, 30, "2026-12-01"), [], [])
    assert [(one.words, one.seeds) for one in after.all] == [("Lt -> LtE", (2,))]
    assert [run.tried for run in after.runs] == [30]


def test_what_stands_in_the_program_no_more_was_never_tried():
    gone = Survivor(FILE, "from __future__ import nothing", 5, "1 -> 2", (1,))
    after = Survivors((RUN,), (SAME, gone)).as_it_is()
    assert after.all == (SAME,)
    assert [(run.tried, run.killed) for run in after.runs] == [(39, 30)]


def test_a_new_row_that_kills_counts_in_each_run_that_had_drawn_it():
    runs = (RUN, Run("airmath", 2, 40, 2400, 39, "2026-11-30"))
    after = Survivors(runs, LIST.all).without([MISSED])
    assert [(run.seed, run.killed) for run in after.runs] == [(1, 31), (2, 40)]
    assert after.all == (SAME,)
