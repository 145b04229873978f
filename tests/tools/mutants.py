"""Would the tests notice? Spoils one line of a room at a time and runs its tests on each copy::

    python -m tests.tools.mutants retime                 forty of its mutants, drawn by seed 1
    python -m tests.tools.mutants plan --most 60 --seed 2 --write           another sixty; keeps the list
    python -m tests.tools.mutants retime --again --write tests/retime/test_doubts.py
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
import random
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from importlib import import_module
from pathlib import Path

import pytest

from tests.places import REPOSITORY
from tests.tools.spoilt_runs import SpoiltRuns
from tests.tools.survivors import COMMITTED, EQUIVALENT, Run, Survivor, Survivors, read, written

BY_HAND = tuple(f"tests/test_{name}_by_hand.py" for name in ("worked", "flow", "blocks"))
RUN = "not slow and not office and not browser"

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
    parser.add_argument("room", help="a folder of briefgen/, or one in it: plan/fuel")
    parser.add_argument("tests", nargs="*", help="the tests that should notice, where not all of the room")
    parser.add_argument("--most", type=int, default=40, help="try so many of the mutants")
    parser.add_argument("--seed", type=int, default=1, help="which ones")
    parser.add_argument("--again", action="store_true", help="only those that the list names")
    parser.add_argument("--write", action="store_true", help="keep what came out in the list")
    options = parser.parse_intermixed_args(arguments)
    room = REPOSITORY / "briefgen" / options.room
    known, before = of_room(room), read(COMMITTED.read_text(encoding="utf-8"))
    listed: list[Survivors] = []

    def work(runs: SpoiltRuns) -> None:
        if options.again:
            listed.append(again(runs, known, before, before.of(options.room)))
        else:
            chosen = random.Random(options.seed).sample(known, min(options.most, len(known)))
            killed, survived = tried(runs, sorted(chosen, key=known.index))
            today = date.today().isoformat()
            run = Run(options.room, options.seed, len(chosen), len(known), len(killed), today)
            listed.append(before.after(run, killed, survived))
            say(f"{run}: {listed[0].rate(run):.0f} % of those that are not known to be equivalent")

    tests = options.tests or [f"tests/{options.room}", *BY_HAND]
    asked = "-q", "-n0", "-p", "no:cacheprovider", "-m", RUN
    pytest.main([*asked, *tests], plugins=[SpoiltRuns(room, work)])
    if listed and options.write:
        COMMITTED.write_text(written(listed[0]), encoding="utf-8")
    return int(any(one.judged != EQUIVALENT for one in listed[0].of(options.room))) if listed else 2


def of_room(room: Path) -> list[Mutant]:
    """Every mutant of the modules of a room, which are all loaded."""
    found = []
    for path in sorted(room.rglob("*.py")):
        import_module(".".join(path.relative_to(REPOSITORY).with_suffix("").parts))
        found += mutants(path.read_text(encoding="utf-8"), path)
    return found


def again(runs: SpoiltRuns, known: list[Mutant], before: Survivors, listed: list[Survivor]) -> Survivors:
    """The list without what the tests kill of some of it."""
    killed, survived = tried(runs, [mutant for mutant in known if named(mutant) in listed])
    say(f"{len(killed)} killed, {len(survived)} survived")
    return before.without(killed)


def tried(runs: SpoiltRuns, chosen: Sequence[Mutant]) -> tuple[list[Survivor], list[Survivor]]:
    """The mutants that the tests killed, and those that survived, each printed."""
    killed: list[Survivor] = []
    survived: list[Survivor] = []
    for mutant in chosen:
        spoilt = mutant.spoilt(mutant.path.read_text(encoding="utf-8"))
        one = named(mutant)
        if runs.kills(mutant.path, mutant.line, spoilt):
            killed.append(one)
        else:
            survived.append(one)
            say(f"line {mutant.line}: {one}")
    return killed, survived


def say(words: str) -> None:
    """On the terminal, whatever pytest does with what its tests print."""
    print(words, file=sys.__stderr__, flush=True)


def named(mutant: Mutant) -> Survivor:
    """A mutant as the list names it."""
    line = mutant.path.read_text(encoding="utf-8").splitlines()[mutant.line - 1]
    file = mutant.path.relative_to(REPOSITORY).as_posix()
    return Survivor(file, line.strip(), mutant.column - (len(line) - len(line.lstrip())), mutant.words)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
