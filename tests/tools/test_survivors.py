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
    Draw,
    Run,
    Survivor,
    Survivors,
    read,
    written,
)

COMMITTED_LIST = read(COMMITTED.read_text(encoding="utf-8"))
ROOMS = {"airmath", "approval", "plan", "retime"} | {
    f"plan/{one}" for one in ("event", "fuel", "gates", "heights", "timing")
}
FILE = "briefgen/airmath/angles.py"


def survivor(words: str, judged: str = NOT_JUDGED, why: str = "", drawn: tuple[Draw, ...] = ()) -> Survivor:
    return Survivor(FILE, "from __future__ import annotations", 5, words, drawn, judged, why)


RUN = Run("airmath", 1, 40, 2400, 30, "2026-11-30")
FIRST, SECOND, THIRD = (("airmath", seed) for seed in (1, 2, 3))
SAME = survivor("1 -> 2", EQUIVALENT, "at 1: the same", (FIRST,))
MISSED = survivor("Lt -> LtE", REAL, "a row is missing", (FIRST, SECOND))
LIST = Survivors((RUN,), (SAME, MISSED))


def test_it_is_read_as_it_is_written():
    assert written(COMMITTED_LIST) == COMMITTED.read_text(encoding="utf-8")
    assert read(written(LIST)) == LIST
    assert [(one.drawn, one.judged, one.why) for one in read(written(LIST)).all] == [
        ((FIRST,), EQUIVALENT, "at 1: the same"),
        ((FIRST, SECOND), REAL, "a row is missing"),
    ]


@pytest.mark.parametrize("spoilt", [f"{RUN} or so", f"{RUN}\n\n{SAME}?\n   more", f"{RUN}\n\n{FILE}"])
def test_a_block_that_is_none_is_told(spoilt):
    with pytest.raises(ValueError, match="no "):
        read(spoilt)


@pytest.mark.parametrize("one", COMMITTED_LIST.all, ids=lambda one: f"{one.file} {one.words}")
def test_each_line_stands_in_the_program_and_is_judged(one):
    assert one.is_there(), "gone, or written otherwise: python -m tests.tools.survivors takes it out"
    assert one.judged in (EQUIVALENT, REAL) and one.why, "say what it is, and why"
    assert {run.draw for run in COMMITTED_LIST.runs} >= set(one.drawn)


def test_every_room_that_counts_has_been_tried():
    assert {run.room for run in COMMITTED_LIST.runs} >= ROOMS


@pytest.mark.parametrize("run", COMMITTED_LIST.runs, ids=str)
def test_nine_of_ten_real_changes_are_noticed(run):
    assert COMMITTED_LIST.rate(run) >= LEAST
    assert run.tried - run.killed == len(COMMITTED_LIST.drawn_by(run))


def test_what_is_equivalent_is_neither_killed_nor_tried():
    assert LIST.rate(RUN) == 100 * 30 / 39


def test_a_line_that_reads_otherwise_is_not_there(tmp_path):
    assert SAME.is_there()
    assert not SAME.is_there(tmp_path)
    assert not Survivor(FILE, "from __future__ import nothing", 5, "1 -> 2").is_there()


def test_a_new_run_keeps_what_was_judged_and_drops_what_it_killed():
    new, again = survivor("Eq -> NotEq"), survivor(SAME.words)
    after = LIST.after(Run("airmath", 3, 40, 2400, 38, "2026-12-01"), [MISSED], [again, new])
    assert [(one.words, one.drawn, one.judged) for one in after.all] == [
        ("1 -> 2", (FIRST, THIRD), EQUIVALENT),
        ("Eq -> NotEq", (THIRD,), NOT_JUDGED),
    ]
    assert [(run.seed, run.killed) for run in after.runs] == [(1, 31), (3, 38)]


def test_a_second_run_from_a_seed_takes_the_place_of_the_first():
    after = LIST.after(Run("airmath", 1, 30, 2500, 30, "2026-12-01"), [], [])
    assert [(one.words, one.drawn) for one in after.all] == [("Lt -> LtE", (SECOND,))]
    assert [run.tried for run in after.runs] == [30]


def test_what_stands_in_the_program_no_more_was_never_tried():
    gone = Survivor(FILE, "from __future__ import nothing", 5, "1 -> 2", (FIRST,))
    after = Survivors((RUN,), (SAME, gone)).as_it_is()
    assert after.all == (SAME,)
    assert [(run.tried, run.killed) for run in after.runs] == [(39, 30)]


def test_a_new_row_that_kills_counts_in_each_run_that_had_drawn_it():
    runs = (RUN, Run("airmath", 2, 40, 2400, 39, "2026-11-30"))
    after = Survivors(runs, LIST.all).without([MISSED])
    assert [(run.seed, run.killed) for run in after.runs] == [(1, 31), (2, 40)]
    assert after.all == (SAME,)


def test_a_folder_of_a_room_is_drawn_by_itself():
    """Seed 1 of plan and seed 1 of plan/fuel are two samples, and a row that kills a line counts in both."""
    line = Survivor("briefgen/plan/fuel/sums.py", "a = 0", 4, "0 -> 1", (("plan", 1), ("plan/fuel", 1)))
    runs = tuple(Run(room, 1, 25, 800, 24, "2026-12-01") for room in ("plan", "plan/fuel", "plan/gates"))
    listed = Survivors(runs, (line,))
    assert [listed.of(room) for room in ("plan", "plan/fuel", "plan/gates")] == [[line], [line], []]
    assert [run.killed for run in listed.without([line]).runs] == [25, 25, 24]
    assert read(written(listed)).all[0].drawn == line.drawn
