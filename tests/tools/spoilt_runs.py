"""Runs tests on a program that is spoilt in memory: pytest loads the program and the tests once, and each
spoilt program is a fork of that process, which ends with the first test that fails.

First every test runs once on the program as it is, which tells how long it takes and which lines of the room
it runs. That is done in a fork too: nothing that the program as it is has worked out is kept when it is
spoilt, and no thread that a library has begun is missing.
"""

from __future__ import annotations

import ast
import inspect
import os
import pickle
import signal
import sys
import time
import traceback
import types
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import ceil
from pathlib import Path
from typing import Any

import pytest
from coverage import Coverage

PATIENCE = 3.0  # so many times the seconds of computing that the tests take on the program as it is
LEAST_PATIENCE_S, LONGEST_S = 20.0, 900
MOST_BYTES = 4 * 2**30
NEAR_S, MOST_S = 15.0, 30.0  # what the tests of a line, and then the others, may take on it
LEAST_S = 0.001
SURVIVED, KILLED = 0, 1
HOLDERS = (staticmethod, classmethod, property, cached_property)


@dataclass(frozen=True)
class Reach:
    """What the tests do on the program as it is: the seconds of computing of each, and which of them run a
    line of a file. A plan that several tests look at is made once, so a line may belong to more tests than
    stand here: others are tried after these."""

    seconds: Mapping[str, float]
    tests: Mapping[str, Mapping[int, Sequence[str]]]

    def asked(self, file: str, line: int) -> list[str]:
        """The tests to ask about a line, in this order."""
        near = self.near(file, line)
        return [*near, *(test for test in self.far(file) if test not in near)]

    def near(self, file: str, line: int) -> list[str]:
        """The tests of a line, or of the nearest line above it that any test runs, the quickest first."""
        lines = self.tests.get(file, {})
        line = next((above for above in range(line, 0, -1) if lines.get(above)), 0)
        tests = self.seconds.keys() & lines.get(line, ())
        return within(NEAR_S, sorted((self.seconds[test], test) for test in tests))

    def far(self, file: str) -> list[str]:
        """Other tests, first the files of which many tests, for the seconds they take, run a file."""
        mine = {test for tests in self.tests.get(file, {}).values() for test in tests}
        touched = Counter(map(file_of, mine))
        took: dict[str, float] = defaultdict(float)
        for test, seconds in self.seconds.items():
            took[file_of(test)] += seconds
        order = sorted(took, key=lambda name: (-touched[name] / took[name], name))
        chosen = within(MOST_S, [(took[name], name) for name in order])
        return [test for name in chosen for test in self.seconds if file_of(test) == name]


def file_of(test: str) -> str:
    """``tests/x.py::test[1]`` → ``tests/x.py``."""
    return test.partition("::")[0]


def within(most_s: float, tests: Sequence[tuple[float, str]]) -> list[str]:
    """As many of them as these seconds have room for, one at least."""
    sums = accumulate(seconds for seconds, _ in tests)
    fit = sum(so_far <= most_s for so_far in sums)
    return [name for _, name in tests[: max(fit, 1)]]


class SpoiltRuns:
    """A plug-in of pytest. Once the tests are loaded it walks them, and ``work`` is called with it."""

    def __init__(self, room: Path, work: Callable[[SpoiltRuns], None]) -> None:
        self.room, self.work = room, work
        self.items: dict[str, pytest.Item] = {}
        self.reach = Reach({}, {})
        self.forked = False

    def pytest_runtestloop(self, session: pytest.Session) -> bool:
        """In place of the usual loop."""
        session.config.pluginmanager.unregister(name="terminalreporter")
        self.items = {item.nodeid: item for item in session.items}
        self.reach = in_fork(self.walk)
        if self.kills(as_it_is := next(self.room.rglob("*.py")), 1, as_it_is.read_text(encoding="utf-8")):
            raise RuntimeError("tests fail when they run again, on the program as it is")
        self.work(self)
        return True

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        """A fork ends with the first test that fails; on the program as it is none may."""
        if report.failed and self.forked:
            os._exit(KILLED)
        if report.failed:
            raise RuntimeError(f"fails already: {report.nodeid}")

    def walk(self) -> Reach:
        """Every test once, on the program as it is."""
        watch = Coverage(data_file=None, source=[str(self.room)], config_file=False, messages=False)
        seconds: dict[str, float] = {}
        watch.start()
        for test in self.run(self.items):
            watch.switch_context(test)
            seconds[test] = time.process_time()
        watch.stop()
        ends = [*list(seconds.values())[1:], time.process_time()]
        took = {test: max(end - seconds[test], LEAST_S) for test, end in zip(seconds, ends, strict=True)}
        data = watch.get_data()
        lines = {path: dict(data.contexts_by_lineno(path)) for path in data.measured_files()}
        return Reach(took, lines)

    def run(self, tests: Iterable[str]) -> Iterator[str]:
        """Runs tests one after the other, the next of which is told before it begins."""
        items = [self.items[test] for test in tests]
        for item, following in zip(items, [*items[1:], None], strict=True):
            yield item.nodeid
            item._initrequest()  # type: ignore[attr-defined]  # it may have run before
            item.ihook.pytest_runtest_protocol(item=item, nextitem=following)

    def kills(self, file: Path, line: int, spoilt: str) -> bool:
        """Whether a test notices that a file of the room reads so, with a change on that line."""
        tests = self.reach.asked(str(file), line)
        took = sum(self.reach.seconds[test] for test in tests)
        child = os.fork()
        if child == 0:
            try:
                self.forked = True
                keep_small(ceil(LEAST_PATIENCE_S + PATIENCE * took))
                spoil(file, spoilt)
                for _ in self.run(tests):
                    pass
                os._exit(SURVIVED)
            finally:
                os._exit(KILLED)
        return os.waitpid(child, 0)[1] != SURVIVED


def in_fork(function: Callable[[], Reach]) -> Reach:
    """What a function gives, without anything else that it leaves behind."""
    got, put = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(got)
            with os.fdopen(put, "wb") as pipe:
                pickle.dump(function(), pipe)
            os._exit(SURVIVED)
        finally:
            traceback.print_exc()
            os._exit(KILLED)
    os.close(put)
    with os.fdopen(got, "rb") as pipe:
        told = pipe.read()
    os.waitpid(child, 0)
    if not told:
        raise RuntimeError("the tests fail already")
    reach: Reach = pickle.loads(told)
    return reach


def keep_small(seconds: int) -> None:
    """This process computes no longer, takes no more memory than tests of the program need, and prints
    nothing. Not on Windows."""
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))
    signal.alarm(LONGEST_S)
    nowhere = os.open(os.devnull, os.O_WRONLY)
    for stream in (1, 2):
        os.dup2(nowhere, stream)


def forget(module: str) -> None:
    """What the functions of a module have kept since it was loaded is gone."""
    for value in list(vars(sys.modules[module]).values()):
        if callable(clear := getattr(value, "cache_clear", None)):
            clear()


def spoil(file: Path, spoilt: str) -> None:
    """The loaded module of a file, as if it read so: its functions do what they do there, whoever holds them;
    its other values are put in place of what any module knows by that name."""
    module = next(m for m in sys.modules.values() if getattr(m, "__file__", None) == str(file))
    new = types.ModuleType(module.__name__)
    new.__dict__.update(__file__=str(file), __package__=module.__package__)
    exec(compile(spoilt, str(file), "exec"), new.__dict__)
    forget(module.__name__)
    renew(module.__dict__, new.__dict__, module.__name__)
    if outside_functions(spoilt) != outside_functions(file.read_text(encoding="utf-8")):
        for name, value in new.__dict__.items():
            if not name.startswith("__") and function_of(value) is None:
                put(name, module.__dict__[name], value)


def outside_functions(source: str) -> str:
    """What a module reads without what its functions do."""
    tree = ast.parse(source)
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            node.body = [ast.Pass()]
    return ast.dump(tree)


def renew(old: Mapping[str, object], new: Mapping[str, object], module: str) -> None:
    """The functions of a module or class do what the new ones do."""
    for name, value in new.items():
        was = old.get(name)
        function, other = function_of(was), function_of(value)
        if function and other and other.__module__ == module:
            function.__code__ = other.__code__
            function.__defaults__, function.__kwdefaults__ = other.__defaults__, other.__kwdefaults__
        elif isinstance(was, type) and isinstance(value, type) and value.__module__ == module:
            renew(vars(was), vars(value), module)


def function_of(value: Any) -> types.FunctionType | None:
    """The function inside a method, a property or a cache."""
    for name in ("__func__", "fget", "func"):
        value = getattr(value, name, value) if isinstance(value, HOLDERS) else value
    value = inspect.unwrap(value) if callable(value) and not isinstance(value, type) else value
    return value if isinstance(value, types.FunctionType) else None


def put(name: str, was: object, value: object) -> None:
    """A value in place of the one that modules know by a name."""
    for module in list(sys.modules.values()):
        if getattr(module, "__dict__", {}).get(name, module) is was:
            setattr(module, name, value)
