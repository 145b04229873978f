"""Nothing decides by words: a fact that decides is a field with a type, never a sentence searched for a phrase.

Read from the source with ``ast``. In the rooms that word and draw, no comparison and no text method looks for a literal with a space or a capital in
it: such a literal is somebody's wording, and the decision breaks when it is reworded. The Literals of a typed state (a verdict, a standing) are no wording
and may be compared. Nothing branches on what only names a thing for readers: ``.title``, ``.label``, ``.action``.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

import pytest

import briefgen

PACKAGE = Path(briefgen.__file__).parent
ROOMS = ("brief", "render", "approval")
SEARCHING = {"startswith", "endswith", "strip", "lstrip", "rstrip", "removeprefix", "removesuffix", "split", "rsplit", "partition", "rpartition", "replace"}
PATTERNS = {"compile", "search", "match", "fullmatch", "findall", "finditer", "sub", "subn", "split"}
NAMES_FOR_READERS = {"title", "label", "action"}


def typed_states() -> frozenset[str]:
    """Every text of every ``Literal[...]`` in the package: the members of a type, which is checked where a value enters."""
    trees = (ast.parse(path.read_text(encoding="utf-8")) for path in PACKAGE.rglob("*.py"))
    nodes = (node for tree in trees for node in ast.walk(tree))
    return frozenset(text for node in nodes if isinstance(node, ast.Subscript) and _name(node.value) == "Literal" for text in literals(node.slice))


def _name(node: ast.expr) -> str:
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def literals(node: ast.AST) -> Iterator[str]:
    for inner in ast.walk(node):
        if isinstance(inner, ast.Constant) and isinstance(inner.value, str):
            yield inner.value


STATES = typed_states()


def is_wording(text: str) -> bool:
    """A literal of a sentence or a name: a space or a capital in it. A space alone parts words and is none; nor is markup, or a typed state."""
    markup = text.startswith("<") or '="' in text
    return text not in STATES and not markup and (" " in text.strip(" ") or text != text.strip(" ") != "" or any(sign.isupper() for sign in text))


def direct(node: ast.expr) -> Iterator[str]:
    """The literals that an operand is: itself, or the members of a tuple, list or set."""
    members = node.elts if isinstance(node, (ast.Tuple, ast.List, ast.Set)) else [node]
    for member in members:
        if isinstance(member, ast.Constant) and isinstance(member.value, str):
            yield member.value
        elif isinstance(member, ast.JoinedStr):
            yield "".join(part.value for part in member.values if isinstance(part, ast.Constant))


def complaints(source: str) -> list[str]:
    """Line and what decides by words there."""
    return [f"{line}: {what}" for line, what in sorted({(_line(node), what) for node in ast.walk(ast.parse(source)) for what in _decides(node)})]


def _line(node: ast.AST) -> int:
    return node.target.lineno if isinstance(node, ast.comprehension) else node.lineno


def _decides(node: ast.AST) -> Iterator[str]:
    match node:
        case ast.Compare():
            yield from _compared(node)
        case ast.Call(func=ast.Attribute(attr=method, value=ast.Name(id="re"))) if method in PATTERNS and node.args:
            yield from (f"re.{method}({text!r})" for text in direct(node.args[0]) if is_wording(_plain(text)))
        case ast.Call(func=ast.Attribute(attr=method)) if method in SEARCHING and node.args:
            yield from (f".{method}({text!r})" for text in direct(node.args[0]) if is_wording(text))
        case ast.If() | ast.IfExp() | ast.While():
            yield from _branched(node.test)
        case ast.comprehension():
            for condition in node.ifs:
                yield from _branched(condition)
        case ast.Match():
            yield from _branched(node.subject)


def _compared(node: ast.Compare) -> Iterator[str]:
    operands = [node.left, *node.comparators]
    for operand in operands:
        yield from (f"compared with {text!r}" for text in direct(operand) if is_wording(text))
        if isinstance(operand, ast.Attribute) and operand.attr in NAMES_FOR_READERS:
            yield f".{operand.attr} compared"


def _branched(test: ast.expr) -> Iterator[str]:
    """A test for being there at all (``if leg.label``) decides nothing by its words; a look into them does."""
    for inner in ast.walk(test):
        if isinstance(inner, ast.Call) and isinstance(inner.func, ast.Attribute) and isinstance(inner.func.value, ast.Attribute):
            if inner.func.value.attr in NAMES_FOR_READERS:
                yield f".{inner.func.value.attr}.{inner.func.attr}() decides"


def _plain(pattern: str) -> str:
    """A pattern without its classes and escapes: ``[A-Z]`` and ``\\S`` are no wording."""
    import re

    return re.sub(r"\\.|\[[^]]*\]|\(\?[^)]*?>|\{[^}]*\}", "", pattern)


def sources() -> list[Path]:
    return [path for room in ROOMS for path in sorted((PACKAGE / room).rglob("*.py"))]


def test_nothing_decides_by_words():
    found = [f"{path.relative_to(PACKAGE)}:{line}" for path in sources() for line in complaints(path.read_text(encoding="utf-8"))]
    assert found == []


def test_the_states_are_members_of_types():
    """The words of a sentence are not among them."""
    assert {"PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED", "APPROVED"} <= STATES
    assert not {"Take-off", "second pass", "Landing ship"} & STATES


# what must be found, each a way in which this program once decided by words
CAUGHT = [
    'x = "second pass" in action',
    'x = event.label.startswith("Landing ship")',
    'x = [e for e in events if e.label in KEY]',
    'x = gate.title.removesuffix(" (listed obstacles only)")',
    'x = text.partition(": ship ")',
    'x = re.compile("before leaving the hold")',
    'x = row.use == "Flight"',
    'x = cell == "TBD" or cell in ("To be briefed",)',
    'x = 1 if gate.label == name else 2',
    'y = words.duration(s) == "0 s"',
    'x = told.split(" before ")',
    'if leg.title.lower(): pass',
]
# what is no decision by words
PASSED = [
    'x = gate.verdict == "NOT CHECKED"',
    'x = gate.verdict in ("FAIL", "CAUTION")',
    'x = f"{gate.title}: {value}"',
    'x = (gate.title, row.label) if row.label else ()',
    'x = kind == "recovery"',
    'x = path.name.removesuffix(".md")',
    'x = re.compile(r"[A-Z]{4}-\\\\d")',
    'x = text.split(" ")',
    'x = text.replace("\\n", " ")',
    'x = {"A B": 1}["A B"]',
    'x = text.replace("<p:txBody>", markup)',
    'x = element.find("{*}txStyles")',
]


@pytest.mark.parametrize("source", CAUGHT)
def test_a_decision_by_words_is_found(source):
    assert complaints(source) != []


@pytest.mark.parametrize("source", PASSED)
def test_what_is_none_is_left_alone(source):
    assert complaints(source) == []
