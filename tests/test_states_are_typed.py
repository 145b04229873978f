"""A state is compared only where its type says that it is one.

``test_words_decide_nothing.py`` lets a member of a ``Literal`` be compared, whatever it is compared with: a
sentence that reads ``NOT CHECKED`` would pass too. Here the other side of such a comparison must be a name
whose annotation, somewhere in the package, is a Literal with that very member: a field, a parameter, what a
function returns, or a variable that says so. mypy holds what is put into it to that type.
"""

from __future__ import annotations

import ast
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise

import pytest

from tests.test_words_decide_nothing import PACKAGE, STATES, direct, literals, sources
from tests.trees import nodes_in, tree_of

Members = dict[str, set[str]]
# what a person typed is read there, sign by sign, and becomes a type
GRAMMARS = ("parse_heights", "parse_words", "elements", "read_report", "winds_text")


def _name(node: ast.expr) -> str:
    """What a thing is called last: ``gate.verdict`` verdict, ``verdicts[id]`` verdicts, ``kind()`` kind."""
    match node:
        case ast.Attribute(attr=name) | ast.Name(id=name):
            return name
        case ast.Subscript(value=inner) | ast.Call(func=inner) | ast.Starred(value=inner):
            return _name(inner)
    return ""


def _parts(annotation: ast.expr) -> Iterator[ast.AST]:
    """An annotation and all in it, also of one that is written as text."""
    for node in ast.walk(annotation):
        yield node
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and node.value.isidentifier():
            yield ast.Name(node.value)


def members_in(annotation: ast.expr, aliases: Members) -> set[str]:
    """The members of every Literal in it, of those that have a name too."""
    found: set[str] = set()
    for node in _parts(annotation):
        if isinstance(node, ast.Subscript) and _name(node.value) == "Literal":
            found |= set(literals(node.slice))
        elif isinstance(node, (ast.Name, ast.Attribute)):
            found |= aliases.get(_name(node), set())
    return found


def annotated(tree: ast.AST) -> Iterator[tuple[str, ast.expr]]:
    """Every name with its annotation: fields and variables, parameters, what a function returns."""
    for node in nodes_in(tree):
        match node:
            case ast.AnnAssign(target=target, annotation=annotation):
                yield _name(target), annotation
            case ast.arg(arg=name, annotation=ast.expr() as annotation):
                yield name, annotation
            case ast.FunctionDef(name=name, returns=ast.expr() as annotation):
                yield name, annotation


def aliases_of(trees: list[ast.Module]) -> Members:
    """``Verdict = Literal[...]`` and what is made of it, such as ``Shown = Verdict | None``."""
    found: Members = defaultdict(set)
    for _ in range(3):  # an alias may stand on one that is read later
        for node in (node for tree in trees for node in tree.body):
            match node:
                case ast.Assign(targets=[ast.Name(id=name)], value=ast.Subscript() | ast.BinOp() as value):
                    found[name] |= members_in(value, found)
    return found


def typed_names(trees: list[ast.Module]) -> Members:
    """name → the members of the Literals that it is annotated with anywhere."""
    aliases, found = aliases_of(trees), defaultdict(set)
    for tree in trees:
        for name, annotation in annotated(tree):
            found[name] |= members_in(annotation, aliases)
    return found


def values_of(tree: ast.AST) -> dict[str, list[ast.expr]]:
    """name → what it is taken from, where it has no annotation: the thing that is gone through, the members
    that a comprehension makes, what is assigned."""
    found: dict[str, list[ast.expr]] = defaultdict(list)
    for node in nodes_in(tree):
        match node:
            case ast.comprehension(target=target, iter=value) | ast.For(target=target, iter=value):
                taken = (
                    [value.args[0]]
                    if isinstance(value, ast.Call) and _name(value.func) == "enumerate"
                    else [value]
                )
            case ast.Assign(targets=[target], value=ast.ListComp(elt=value) | ast.SetComp(elt=value)):
                taken = list(value.elts) if isinstance(value, ast.Tuple) else [value]
            case ast.Assign(targets=[target], value=ast.Attribute() | ast.Call() | ast.Subscript() as value):
                taken = [value]
            case _:
                continue
        for inner in ast.walk(target):
            if isinstance(inner, ast.Name):
                found[inner.id] += taken
    return found


def complaints(tree: ast.AST, names: Members) -> list[str]:
    """Line, the state, and what it is compared with that is no state."""
    values = values_of(tree)
    return [
        f"{node.lineno}: {text!r} compared with {ast.unparse(other)}"
        for node in nodes_in(tree)
        if isinstance(node, ast.Compare)
        for one, other in _both_ways([node.left, *node.comparators])
        for text in direct(one)
        if text in STATES and _reads_as_words(text)
        if not any(text in names.get(name, ()) for name in _names(other, values))
    ]


def _both_ways(operands: list[ast.expr]) -> Iterator[tuple[ast.expr, ast.expr]]:
    for left, right in pairwise(operands):
        yield left, right
        yield right, left


def _names(node: ast.expr, values: dict[str, list[ast.expr]], *, steps: int = 4) -> Iterator[str]:
    """What an operand, or one of its members, is called, and what it was taken from."""
    for member in node.elts if isinstance(node, (ast.Tuple, ast.List, ast.Set)) else [node]:
        name = _name(member)
        yield name
        for value in values.get(name, ()) if steps and isinstance(member, (ast.Name, ast.Starred)) else ():
            yield from _names(value, values, steps=steps - 1)


def _reads_as_words(text: str) -> bool:
    return " " in text or any(sign.isupper() for sign in text)


def test_a_state_is_compared_with_a_state():
    names = typed_names([tree_of(path) for path in sorted(PACKAGE.rglob("*.py"))])
    found = [
        f"{path.relative_to(PACKAGE)}:{line}"
        for path in sources()
        if path.stem not in GRAMMARS
        for line in complaints(tree_of(path), names)
    ]
    assert found == []


DECLARED = """
State = Literal["NOT CHECKED", "at most"]
class Gate:
    verdict: State
def told(words: str, state: State | None): pass
"""


@pytest.mark.parametrize(
    ("source", "caught"),
    [
        ('x = words == "NOT CHECKED"', True),
        ('x = row[0] == "NOT CHECKED"', True),
        ('x = "at most" in limit_words(gate)', True),
        ('said = gate.title()\nx = said == "NOT CHECKED"', True),
        ('verdicts = {gate.verdict for gate in gates}\nx = "NOT CHECKED" in verdicts', False),
        ('x = [i for i, (verdict, *_) in enumerate(rows) if verdict == "NOT CHECKED"]', False),
        ('x = gate.verdict == "NOT CHECKED"', False),
        ('x = state == "at most"', False),
        ('x = gate.verdict in ("NOT CHECKED", "at most")', False),
    ],
)
def test_what_only_reads_like_a_state_is_found(source, caught):
    names = typed_names([ast.parse(DECLARED)])
    assert bool(complaints(ast.parse(source), names)) is caught
