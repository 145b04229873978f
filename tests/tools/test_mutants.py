"""The tool that spoils a room changes one thing at a time, and each change that matters is noticed."""

from __future__ import annotations

import pytest

from tests.tools.mutants import Reach, mutants, seconds_of, within

SOURCE = "def late(a, b):\n    return a - b if a > b and not a == 0 else -1\n"
SPOILT = {
    # what is changed          called late(5, 3), where the source gives 2
    "Gt -> GtE": 2,
    "Gt -> LtE": -1,
    "Eq -> NotEq": -1,
    "And -> Or": 2,
    "Sub -> Add": 8,
    "without Not": -1,
    "without USub": 2,
    "0 -> 1": 2,
    "1 -> 2": 2,
    "the other branch": -1,
}


def called(source: str, *arguments: int) -> int:
    names: dict[str, object] = {}
    exec(source, names)
    return names["late"](*arguments)  # type: ignore[operator]


def test_every_place_is_spoilt_once():
    assert sorted(mutant.words for mutant in mutants(SOURCE)) == sorted(SPOILT)
    assert {mutant.line for mutant in mutants(SOURCE)} == {2}


@pytest.mark.parametrize("words", SPOILT)
def test_a_spoilt_source_does_what_its_words_say(words):
    (mutant,) = [one for one in mutants(SOURCE) if one.words == words]
    assert called(SOURCE, 5, 3) == 2
    assert called(mutant.spoilt(SOURCE), 5, 3) == SPOILT[words]


def test_a_test_has_its_share_of_the_computing():
    printed = "0.30s call     a.py::x[1-a b]\n0.10s setup    a.py::x[1-a b]\n1.20s call     b.py::y\n"
    shares = seconds_of(printed, 0.8)  # half of the 1.6 s that the clock on the wall counted
    assert {test: round(share, 9) for test, share in shares.items()} == {
        "a.py::x[1-a b]": 0.2,
        "b.py::y": 0.6,
    }


REACH = Reach(
    {"a.py::slow": 12.0, "a.py::quick": 1.0, "b.py::one": 15.0, "c.py::one": 25.0},
    {"room/x.py": {1: [], 3: ["a.py::quick", "a.py::slow", "b.py::one"]}},
)


def test_first_the_tests_of_a_line_the_quickest_first():
    assert REACH.near("room/x.py", 3) == [
        "a.py::quick",
        "a.py::slow",
    ]  # 13 s; the third would make it 28 of 15
    assert REACH.near("room/x.py", 4) == ["a.py::quick", "a.py::slow"]  # a later line of the same statement
    assert REACH.near("room/x.py", 1) == []


def test_then_the_files_that_run_most_of_the_module_for_their_time():
    assert REACH.far("room/x.py") == ["a.py", "b.py"]  # 2 in 13 s, 1 in 15 s, none in 25 s: 53 of 30 s


def test_as_many_tests_as_there_is_time_for_and_one_at_least():
    tests = [(1.0, "a"), (2.0, "b"), (4.0, "c")]
    assert within(3.0, tests) == ["a", "b"]
    assert within(0.5, tests) == ["a"]
    assert within(0.5, []) == []
