"""Would the tests notice? Spoils one line of a room at a time and runs its tests on each copy::

    python -m tests.tools.mutants retime                 forty of its mutants, drawn by seed 1
    python -m tests.tools.mutants plan --most 60 --seed 2 --write           another sixty; keeps the list
    python -m tests.tools.mutants retime --again --write tests/retime/test_which.py
                                                         what the list names, with these tests alone

A mutant is one comparison turned round or moved by its edge, one sum, product or sign changed, one number a
little off, one condition, ``and`` or ``or`` turned. It is killed when a test fails, when the module does not
load, or when the tests compute three times as long as on the program as it is, or need 4 GB. First the tests
that run its line are tried, the quickest first; what is left then meets others of the room, as many as MOST_S
allows: all seconds are of computing, so that a busy machine kills nothing.

Every survivor is printed with its line: either a row is missing, or the change makes no difference to
anybody; which of the two, a person writes into tests/data/surviving_mutants.txt (``survivors.py`` reads it).
"""

from __future__ import annotations

import argparse
import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import accumulate
from math import ceil
from pathlib import Path

from coverage import CoverageData

from tests.places import REPOSITORY
from tests.tools.survivors import COMMITTED, EQUIVALENT, Run, Survivor, Survivors, read, written

COPIED = ("briefgen", "templates", "missions", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md")
BY_HAND = tuple(f"tests/test_{name}_by_hand.py" for name in ("worked", "flow", "blocks"))
RUN = "not slow and not office and not browser"
PATIENCE = 3.0  # so many times the seconds of computing that the tests take on the program as it is
LEAST_PATIENCE_S = 30.0
NEAR_S, MOST_S = 15.0, 30.0  # what the tests of a line, and then the others, may take on it
HOUR_S = 3600.0
MOST_BYTES = 4 * 2**30
LEAST_S = 0.001  # pytest tells no less
_TOOK = re.compile(r"([\d.]+)s (?:setup|call|teardown) +(\S.*)")

TURNED: dict[type, tuple[type, ...]] = {
    ast.Lt: (ast.LtE, ast.GtE),
    ast.LtE: (ast.Lt, ast.Gt),
    ast.Gt: (ast.GtE, ast.LtE),
    ast.GtE: (ast.Gt, ast.Lt),
    ast.Eq: (ast.NotEq,),
    ast.NotEq: (ast.Eq,),
    ast.Is: (ast.IsNot,),
    ast.IsNot: (ast.Is,),
    ast.In: (ast.NotIn,),
    ast.NotIn: (ast.In,),
    ast.Add: (ast.Sub,),
    ast.Sub: (ast.Add,),
    ast.Mult: (ast.Div,),
    ast.Div: (ast.Mult,),
    ast.And: (ast.Or,),
    ast.Or: (ast.And,),
}


@dataclass(frozen=True)
class Mutant:
    """One change of one file: the line and column where it is, what it is, and where in the tree."""

    path: Path
    line: int
    column: int
    words: str
    node: int
    way: int

    def spoilt(self, source: str) -> str:
        """The source with this change."""
        tree = ast.parse(source)
        node = next(node for place, node in enumerate(ast.walk(tree)) if place == self.node)
        list(changes(node))[self.way][1](node)
        return ast.unparse(ast.fix_missing_locations(tree))


def mutants(source: str, path: Path = Path("")) -> Iterator[Mutant]:
    """Every place of a module that can be spoilt, each way."""
    for number, node in enumerate(ast.walk(ast.parse(source))):
        for way, (words, _) in enumerate(changes(node)):
            yield Mutant(path, node.lineno, node.col_offset, words, number, way)


def changes(node: ast.AST) -> Iterator[tuple[str, Callable[[ast.AST], None]]]:
    """Each way to spoil a node, in words and as a function that does it to a copy."""
    match node:
        case ast.Compare(ops=[operator]):
            yield from (
                (told(operator, other), setter("ops", [other()])) for other in TURNED.get(type(operator), ())
            )
        case ast.BinOp(op=operator) | ast.BoolOp(op=operator) | ast.AugAssign(op=operator):
            yield from (
                (told(operator, other), setter("op", other())) for other in TURNED.get(type(operator), ())
            )
        case ast.UnaryOp(op=ast.Not() | ast.USub()):
            yield (
                f"without {type(node.op).__name__}",
                setter("op", ast.UAdd() if isinstance(node.op, ast.USub) else None),
            )
        case ast.Constant(value=bool() as value):
            yield f"{value} -> {not value}", setter("value", not value)
        case ast.Constant(value=int() | float() as value):
            yield f"{value} -> {value + 1}", setter("value", value + 1)
        case ast.IfExp():
            yield "the other branch", swap_branches


def told(operator: ast.AST, other: type) -> str:
    """``Lt -> LtE``."""
    return f"{type(operator).__name__} -> {other.__name__}"


def setter(name: str, value: object) -> Callable[[ast.AST], None]:
    """Sets a field of the copy; a ``not`` that is taken away is doubled instead, which says the same."""

    def change(node: ast.AST) -> None:
        if value is None:
            node.operand = ast.UnaryOp(ast.Not(), node.operand)  # type: ignore[attr-defined]
        else:
            setattr(node, name, value)

    return change


def swap_branches(node: ast.AST) -> None:
    """``a if c else b`` becomes ``b if c else a``."""
    assert isinstance(node, ast.IfExp)
    node.body, node.orelse = node.orelse, node.body


def main(arguments: list[str]) -> int:
    """Prints each survivor and the rate; 0 when every survivor of the room is known to be equivalent."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.tools.mutants", description="Which changes of a room do its tests not notice?"
    )
    parser.add_argument("room", help="a folder of briefgen/")
    parser.add_argument("tests", nargs="*", help="the tests that should notice, where not all of the room")
    parser.add_argument("--most", type=int, default=40, help="try so many of the mutants")
    parser.add_argument("--seed", type=int, default=1, help="which ones")
    parser.add_argument("--again", action="store_true", help="only those that the list names")
    parser.add_argument("--write", action="store_true", help="keep what came out in the list")
    options = parser.parse_args(arguments)
    before = read(COMMITTED.read_text(encoding="utf-8"))
    with tempfile.TemporaryDirectory() as folder:
        tree = Tree(Path(folder) / "tree", options.room, options.tests)
        listed = again(tree, before) if options.again else sample(tree, before, options.most, options.seed)
    if options.write:
        COMMITTED.write_text(written(listed), encoding="utf-8")
    return int(any(one.judged != EQUIVALENT for one in listed.of(options.room)))


def sample(tree: Tree, before: Survivors, most: int, seed: int) -> Survivors:
    """So many mutants of the room, and the list after it."""
    known = tree.mutants()
    chosen = sorted(random.Random(seed).sample(range(len(known)), min(most, len(known))))
    killed, survived = tried(tree, [known[number] for number in chosen])
    run = Run(tree.room, seed, len(chosen), len(known), len(killed), date.today().isoformat())
    after = before.after(run, killed, survived)
    print(f"{run}: {after.rate(run):.0f} % of those that are not known to be equivalent")
    return after


def again(tree: Tree, before: Survivors) -> Survivors:
    """What the list names of the room, and the list after it."""
    listed = set(before.of(tree.room))
    killed, survived = tried(tree, [mutant for mutant in tree.mutants() if tree.named(mutant) in listed])
    print(f"{len(killed)} killed, {len(survived)} survived")
    return before.without(killed)


def tried(tree: Tree, chosen: Sequence[Mutant]) -> tuple[list[Survivor], list[Survivor]]:
    """The mutants that the tests killed, and those that survived, each printed."""
    killed: list[Survivor] = []
    survived: list[Survivor] = []
    for mutant in chosen:
        one = tree.named(mutant)
        if tree.kills(mutant):
            killed.append(one)
        else:
            survived.append(one)
            print(f"line {mutant.line}: {one}", flush=True)
    return killed, survived


class Tree:
    """A copy of the repository in which one file after the other is spoilt, and the tests that should
    notice."""

    def __init__(self, place: Path, room: str, tests: Sequence[str]) -> None:
        self.place, self.room = place, room
        for name in COPIED:
            copy_of(REPOSITORY / name, place / name)
        files = sorted((place / "briefgen" / room).rglob("*.py"))
        self.texts = {path: path.read_text(encoding="utf-8") for path in files}
        self.chosen = tuple(tests)
        self.reach = reach_of(place, room, tests or [f"tests/{room}", *BY_HAND])

    def mutants(self) -> list[Mutant]:
        """All of the room."""
        return [mutant for path, text in self.texts.items() for mutant in mutants(text, path)]

    def named(self, mutant: Mutant) -> Survivor:
        """A mutant as the list names it."""
        line = self.texts[mutant.path].splitlines()[mutant.line - 1]
        file = mutant.path.relative_to(self.place).as_posix()
        return Survivor(file, line.strip(), mutant.column - (len(line) - len(line.lstrip())), mutant.words)

    def kills(self, mutant: Mutant) -> bool:
        """Whether a test notices it."""
        mutant.path.write_text(mutant.spoilt(self.texts[mutant.path]), encoding="utf-8")
        where = mutant.path.relative_to(self.place).as_posix(), mutant.line
        asked = [self.chosen] if self.chosen else [self.reach.near(*where), self.reach.far(where[0])]
        try:
            return not all(self.passes(tests) for tests in asked)
        finally:
            mutant.path.write_text(self.texts[mutant.path], encoding="utf-8")

    def passes(self, tests: Sequence[str]) -> bool:
        """Whether these tests pass, and in time."""
        patience_s = LEAST_PATIENCE_S + PATIENCE * self.reach.took(tests)
        return not tests or run_tests(self.place, tests, patience_s) is not None


@dataclass(frozen=True)
class Reach:
    """What the tests do on the program as it is: the seconds of computing of each, and which of them run a
    line of a file. A plan that several tests look at is made once, so a line may belong to more tests than
    stand here: others are tried after these."""

    seconds: Mapping[str, float]
    tests: Mapping[str, Mapping[int, Sequence[str]]]

    def took(self, tests: Iterable[str]) -> float:
        """Seconds of computing of tests, of whole files or of folders of them."""
        places = tuple(tests)
        return sum(seconds for test, seconds in self.seconds.items() if test.startswith(places))

    def near(self, file: str, line: int) -> list[str]:
        """The tests of a line, or of the nearest line above it that any test runs, the quickest first."""
        lines = self.tests.get(file, {})
        line = next((above for above in range(line, 0, -1) if lines.get(above)), 0)
        return within(NEAR_S, sorted((self.seconds[test], test) for test in lines.get(line, ())))

    def far(self, file: str) -> list[str]:
        """Files of tests, first those of which many tests, for the seconds they take, run a file."""
        mine = {test for tests in self.tests.get(file, {}).values() for test in tests}
        touched = Counter(test.partition("::")[0] for test in mine)
        took = {name: self.took([name + "::"]) for name in {test.partition("::")[0] for test in self.seconds}}
        order = sorted(took, key=lambda name: (-touched[name] / took[name], name))
        return within(MOST_S, [(took[name], name) for name in order])


def within(most_s: float, tests: Sequence[tuple[float, str]]) -> list[str]:
    """As many of them as these seconds have room for, one at least."""
    sums = accumulate(seconds for seconds, _ in tests)
    return [
        test for (_, test), so_far in zip(tests, sums, strict=True) if so_far <= most_s or test == tests[0][1]
    ]


def reach_of(tree: Path, room: str, tests: Sequence[str]) -> Reach:
    """Runs the tests once with every line of the room that they run. RuntimeError where they fail."""
    rules, told = tree / "lines.toml", tree / "lines.data"
    rules.write_text(
        f'[tool.coverage.run]\nsource = ["briefgen/{room}"]\ndata_file = "{told}"\n', encoding="utf-8"
    )
    asked = "--cov", f"--cov-config={rules}", "--cov-context=test", "--cov-report="
    watch = "--durations=0", "--durations-min=0"
    before = computed()
    printed = run_tests(tree, tests, HOUR_S, *asked, *watch)
    if printed is None:
        raise RuntimeError("mutants: the tests fail already")
    seconds = seconds_of(printed, computed() - before)
    data = CoverageData(str(told))
    data.read()
    lines: dict[str, dict[int, list[str]]] = {}
    for path in data.measured_files():
        lines[Path(path).relative_to(tree).as_posix()] = {
            line: sorted({name.rpartition("|")[0] for name in names} & seconds.keys())
            for line, names in data.contexts_by_lineno(path).items()
        }
    return Reach(seconds, lines)


def computed() -> float:
    """Seconds of computing of all processes that this one has waited for."""
    return sum(os.times()[2:4])


def seconds_of(printed: str, spent_s: float) -> dict[str, float]:
    """Its share of the computing for each test: what pytest tells is longer while others use the machine."""
    told: dict[str, float] = defaultdict(float)
    for took, test in _TOOK.findall(printed):
        told[test] += float(took)
    return {test: max(LEAST_S, took * spent_s / sum(told.values())) for test, took in told.items()}


def kept_small(seconds: int) -> None:
    """A process that computes no longer, and takes no more memory than tests of the program need; not on
    Windows."""
    import resource

    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    resource.setrlimit(resource.RLIMIT_AS, (MOST_BYTES, MOST_BYTES))


def run_tests(tree: Path, tests: Sequence[str], patience_s: float, *more: str) -> str | None:
    """What pytest prints of these tests; None where they fail or compute too long."""
    listed = tree / "tests.txt"
    listed.write_text("\n".join(tests), encoding="utf-8")
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-n0", "-p", "no:cacheprovider", *more]
    done = subprocess.run(
        [*command, "-m", RUN, f"@{listed}"],
        cwd=tree,
        env={**os.environ, "PYTHONPATH": str(tree)},
        preexec_fn=partial(kept_small, ceil(patience_s)),
        capture_output=True,
        text=True,
        check=False,
    )
    return done.stdout if done.returncode == 0 else None


def copy_of(source: Path, target: Path) -> None:
    """A file or folder, without what programs left in it."""
    if source.is_dir():
        shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
    else:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(source, target)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
