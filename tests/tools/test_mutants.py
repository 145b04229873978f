"""The tool that spoils a room changes one thing at a time, and each change that matters is noticed."""

from __future__ import annotations

import pytest

from tests.tools.mutants import mutants

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
