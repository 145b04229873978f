"""Would the tests notice? Spoils one line of a room at a time and runs its tests on each spoilt copy::

    python -m tests.tools.mutants briefgen/plan/gates tests/plan/gates          every mutant of the room
    python -m tests.tools.mutants briefgen/retime tests --most 40 --seed 3      forty of them, drawn by the
    seed

A mutant is one comparison turned round or moved by its edge, one sum, product or sign changed, one number a
little off, one condition, ``and`` or ``or`` turned. It is killed when a test fails, when the module does not
load, or when the tests take five times as long. Every survivor is printed with its line: either a row is
missing, or the change makes no difference to anybody; which of the two, a person says.
"""

from __future__ import annotations

import argparse
import ast
import copy
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

from tests.places import REPOSITORY

COPIED = ("briefgen", "templates", "missions", "tests", "pyproject.toml", "README.md", "DEVELOPERS.md")
PATIENCE = 5.0
LEAST_PATIENCE_S = 60.0

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


def mutants(source: str) -> Iterator[tuple[int, str, str]]:
    """Line, what was changed, and the spoilt source, for every place of a module that can be spoilt."""
    tree = ast.parse(source)
    for number, node in enumerate(ast.walk(tree)):
        for words, change in changes(node):
            spoilt = copy.deepcopy(tree)
            change(next(twin for place, twin in enumerate(ast.walk(spoilt)) if place == number))
            yield node.lineno, words, ast.unparse(ast.fix_missing_locations(spoilt))


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
    """Prints each survivor and the count; 0 when every mutant was killed."""
    parser = argparse.ArgumentParser(
        prog="python -m tests.tools.mutants", description="Which changes of a room do its tests not notice?"
    )
    parser.add_argument("room", help="a module or folder of briefgen/")
    parser.add_argument("tests", nargs="+", help="the files or folders of tests that should notice")
    parser.add_argument("--most", type=int, default=10_000, help="try so many of the mutants")
    parser.add_argument("--seed", type=int, default=1, help="which ones, where not all are tried")
    options = parser.parse_args(arguments)
    with tempfile.TemporaryDirectory() as room:
        tree = Path(room) / "tree"
        for name in COPIED:
            copy_of(REPOSITORY / name, tree / name)
        seconds = passes(tree, options.tests, 3600.0)
        if seconds is None:
            print("mutants: the tests fail already")
            return 2
        return judge(tree, options, max(LEAST_PATIENCE_S, PATIENCE * seconds))


def copy_of(source: Path, target: Path) -> None:
    """A file or folder, without what programs left in it."""
    if source.is_dir():
        shutil.copytree(source, target, ignore=shutil.ignore_patterns("__pycache__"))
    else:
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copy(source, target)


def judge(tree: Path, options: argparse.Namespace, patience_s: float) -> int:
    """Each mutant in turn."""
    place = tree / options.room
    files = sorted(place.rglob("*.py")) if place.is_dir() else [place]
    texts = {path: path.read_text(encoding="utf-8") for path in files}
    known = [(path, *mutant) for path, text in texts.items() for mutant in mutants(text)]
    chosen = sorted(random.Random(options.seed).sample(range(len(known)), min(options.most, len(known))))
    survivors = 0
    for path, line, words, spoilt in (known[number] for number in chosen):
        path.write_text(spoilt, encoding="utf-8")
        if passes(tree, options.tests, patience_s) is not None:
            survivors += 1
            print(
                f"{path.relative_to(tree)}:{line}: {words}: {texts[path].splitlines()[line - 1].strip()}",
                flush=True,
            )
        path.write_text(texts[path], encoding="utf-8")
    print(
        f"{len(chosen)} of {len(known)} mutants tried, {len(chosen) - survivors} killed, {survivors} survived"
    )
    return 1 if survivors else 0


def passes(tree: Path, tests: list[str], patience_s: float) -> float | None:
    """Seconds that the tests take; None where they fail or take too long."""
    command = [sys.executable, "-m", "pytest", "-q", "-x", "-n0", "-p", "no:cacheprovider", *tests]
    started = time.monotonic()
    try:
        done = subprocess.run(command, cwd=tree, capture_output=True, timeout=patience_s, check=False)
    except subprocess.TimeoutExpired:
        return None
    return time.monotonic() - started if done.returncode == 0 else None


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
