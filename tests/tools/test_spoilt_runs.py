"""A program is spoilt in memory as it would be in its file, and the tests that are asked are those that can
notice."""

from __future__ import annotations

import sys
from importlib.util import module_from_spec, spec_from_file_location

import pytest

from tests.tools.spoilt_runs import Reach, spoil, within

SOURCE = """
from functools import cache, cached_property

MOST = 5
ROWS = {"a": (MOST, 1)}

def late(a, b=2):
    return [a - b for _ in range(1)][0]

@cache
def kept(a):
    return a + MOST

class Ship:
    weight: int = 7

    @property
    def fuel(self):
        return 2 * self.weight

    @cached_property
    def left(self):
        return 3

    @staticmethod
    def sign(a):
        return -a if a > 1 else a

HELD = late, kept, Ship.sign
"""


@pytest.fixture
def loaded(tmp_path, monkeypatch):
    """A module, and one that knows some of its names."""
    path = tmp_path / "room.py"
    path.write_text(SOURCE, encoding="utf-8")
    for name in ("briefgen.first", "briefgen.other"):
        module = module_from_spec(spec_from_file_location(name, path))
        monkeypatch.setitem(sys.modules, name, module)
    first, other = sys.modules["briefgen.first"], sys.modules["briefgen.other"]
    first.__spec__.loader.exec_module(first)
    other.__file__ = "other.py"
    other.MOST, other.Ship, other.mine = first.MOST, first.Ship, first.late
    return path, first, other


CHANGES = [
    # what is changed; how it is asked; what it gives then
    ("a - b", "a + b", lambda m, o: (m.late(5), o.mine(5), m.HELD[0](5)), (7, 7, 7)),
    ("b=2", "b=3", lambda m, o: (m.late(5), o.mine(5)), (2, 2)),
    ("a + MOST", "a - MOST", lambda m, o: (m.kept(1), m.HELD[1](2)), (-4, -3)),
    ("2 * self", "4 * self", lambda m, o: (m.Ship().fuel, o.Ship().fuel), (28, 28)),
    ("return 3", "return 4", lambda m, o: m.Ship().left, 4),
    ("-a if", "+a if", lambda m, o: (m.Ship.sign(5), m.HELD[2](5)), (5, 5)),
    ("= 5", "= 6", lambda m, o: (m.kept(1), m.ROWS["a"], o.MOST), (7, (6, 1), 6)),
    ("int = 7", "int = 8", lambda m, o: (m.Ship().fuel, o.Ship().weight), (16, 8)),
    ("", "", lambda m, o: (m.late(5), m.kept(1), m.Ship().fuel, m.Ship().left, o.MOST), (3, 6, 14, 3, 5)),
]


@pytest.mark.parametrize(("old", "new", "asked", "gives"), CHANGES, ids=[row[1] or "-" for row in CHANGES])
def test_a_module_is_spoilt_whoever_holds_what_it_has(loaded, old, new, asked, gives):
    path, module, other = loaded
    module.kept(1)  # what was worked out before is forgotten
    spoil(path, SOURCE.replace(old, new, 1))
    assert asked(module, other) == gives


def test_a_module_that_does_not_load_is_noticed(loaded):
    with pytest.raises(TypeError):
        spoil(loaded[0], SOURCE.replace("MOST = 5", "MOST = 5 - 'x'"))


REACH = Reach(
    {"a.py::slow": 12.0, "a.py::quick": 1.0, "b.py::one": 15.0, "c.py::one": 25.0},
    {"room/x.py": {1: [""], 3: ["a.py::quick", "a.py::slow", "b.py::one"]}},
)


def test_first_the_tests_of_a_line_the_quickest_first():
    assert REACH.near("room/x.py", 3) == [
        "a.py::quick",
        "a.py::slow",
    ]  # 13 s of 15; b would make it 28
    assert REACH.near("room/x.py", 4) == ["a.py::quick", "a.py::slow"]  # a later line of the same statement
    assert REACH.near("room/x.py", 1) == []


def test_then_the_files_that_run_most_of_the_module_for_their_time():
    """2 in 13 s, 1 in 15 s, none in 25 s: there is time for 30."""
    assert REACH.far("room/x.py") == ["a.py::slow", "a.py::quick", "b.py::one"]
    assert REACH.asked("room/x.py", 3) == ["a.py::quick", "a.py::slow", "b.py::one"]


def test_as_many_tests_as_there_is_time_for_and_one_at_least():
    tests = [(1.0, "a"), (2.0, "b"), (4.0, "c")]
    assert within(3.0, tests) == ["a", "b"]
    assert within(0.5, tests) == ["a"]
    assert within(0.5, []) == []
