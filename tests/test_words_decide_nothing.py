"""Nothing decides by words: a fact that decides is a field with a type, never a sentence searched for a
phrase.

Read from the source with ``ast``. In the rooms that word and draw, no comparison and no text method looks for
a literal with a space or a capital in it: such a literal is somebody's wording, and the decision breaks when
it is reworded. The Literals of a typed state (a verdict, a standing) are no wording and may be compared.
Nothing branches on what only names a thing for readers: ``.title``, ``.label``, ``.action``, ``.source``, nor
does a text method look into it. A literal that hides behind a name of its module is the same literal. An id
is a name: it is compared whole, and nothing looks at its beginning or its ending, nor for a pattern in it.
The gates are held to the same, as they choose the sources. Modules that read text for a living are named in
``READERS``.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import briefgen
from tests.trees import nodes_of, tree_of

PACKAGE = Path(briefgen.__file__).parent
ROOMS = (
    "approval",
    "brief",
    "commands",
    "compare",
    "debrief",
    "export",
    "mission",
    "plan",
    "render",
    "retime",
    "units",
    "whatif",
)
# modules whose very job is to read what somebody or something wrote: there a text is looked into, once, and
# what is found is a type to everybody else
READERS = {
    "commands/new.py": "the first line of a shipped mission, which names the schema for an editor",
    "debrief/log.py": "the log that the clock page copies out, line by line",
    "mission/check/offers.py": "a value as typed, offered again in a form that is taken",
    "mission/check/spelling.py": "a fact in a sentence that has a key of its own: the line to write is told",
    "mission/edit/on_book.py": "the lines of the shipped mission, written anew for another book",
    "mission/inputs/elements.py": "a word of a TAF or METAR",
    "mission/inputs/placed.py": "the datum of a file of places",
    "mission/inputs/places_geojson.py": "the kinds of GeoJSON",
    "mission/inputs/terrain_readers.py": "names of tiles and heads of grids",
    "mission/inputs/places_xml.py": "the elements of GPX and KML",
    "mission/inputs/read_report.py": "the text of a TAF or METAR",
    "mission/inputs/report.py": "the code of a present weather",
    "mission/inputs/winds_text.py": "the text of winds aloft",
    "mission/read/characters.py": "the signs of a file, by their Unicode categories",
    "mission/read/brackets.py": "the text of a file, sign by sign",
    "mission/read/syntax_errors.py": "the parser's messages, which have no code",
    "mission/resolve/clock_offers.py": "clock times in the forms of other programs",
    "mission/resolve/clock_remedies.py": "clock times in the forms of other programs",
    "mission/schema/misplaced.py": "the lines of a file around a misplaced key",
    "units/grammar.py": "quantities as typed",
    "units/parse_places.py": "positions as typed",
}
SEARCHING = {
    "startswith",
    "endswith",
    "strip",
    "lstrip",
    "rstrip",
    "removeprefix",
    "removesuffix",
    "split",
    "rsplit",
    "partition",
    "rpartition",
    "replace",
}
PATTERNS = {"compile", "search", "match", "fullmatch", "findall", "finditer", "sub", "subn", "split"}
NAMES_FOR_READERS = {"title", "label", "action", "source", "why"}
IDS = {"id", "gate_id"}
# constants that are no wording of this program: marks of the template's language, names inside a .pptx, the
# words that keep the place of an answer, ids of the mission file, the beginning of a file's name
NO_WORDING = {
    "LISTED",
    "NOTES_LINE",
    "_CORE",
    "_TITLE_ONLY",
    "_TITLES",
    "BLANKS",
    "RESERVED_ID",
    "FAILED",
    "UNNAMED_EVENT",
    "UNNAMED_BLOCK",
    "NAMES_OF_CLOCKS",
}
GLOBS = {"fnmatch", "fnmatchcase", "filter", "translate"}
AFFIXES = {
    "startswith",
    "endswith",
    "removeprefix",
    "removesuffix",
    "split",
    "rsplit",
    "partition",
    "rpartition",
}


def typed_states() -> frozenset[str]:
    """Every text of every ``Literal[...]`` in the package: the members of a type, which is checked where a
    value enters."""
    nodes = (node for path in PACKAGE.rglob("*.py") for node in nodes_of(path))
    return frozenset(
        text
        for node in nodes
        if isinstance(node, ast.Subscript) and _name(node.value) == "Literal"
        for text in literals(node.slice)
    )


def _name(node: ast.expr) -> str:
    return node.attr if isinstance(node, ast.Attribute) else getattr(node, "id", "")


def literals(node: ast.AST) -> Iterator[str]:
    for inner in ast.walk(node):
        if isinstance(inner, ast.Constant) and isinstance(inner.value, str):
            yield inner.value


STATES = typed_states()


def is_wording(text: str) -> bool:
    """A literal of a sentence or a name: a space or a capital in it. A space alone parts words and is none;
    nor is markup, or a typed state."""
    markup = text.startswith("<") or '="' in text
    return (
        text not in STATES
        and not markup
        and (" " in text.strip(" ") or text != text.strip(" ") != "" or any(sign.isupper() for sign in text))
    )


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
    tree = ast.parse(source)
    named = _Named(tree)
    nodes = [node for part in tree.body for node in named.nodes_in(part) if isinstance(node, DECIDING)]
    return [
        f"{line}: {what}"
        for line, what in sorted({(_line(node), what) for node in nodes for what in _decides(node)})
    ]


class _Named(ast.NodeTransformer):
    """Puts a constant, a text or several of this module or of one that it imports from, in the place of its
    name."""

    def __init__(self, tree: ast.Module) -> None:
        imports = [
            (node.module, alias)
            for node in tree.body
            if isinstance(node, ast.ImportFrom)
            for alias in node.names
        ]
        theirs = {
            alias.asname or alias.name: constants_of(module).get(alias.name)
            for module, alias in imports
            if module and module.startswith("briefgen.")
        }
        self.constants = {
            name: ast.unparse(value)
            for name, value in {**theirs, **constants_in(tree)}.items()
            if value is not None and name not in NO_WORDING
        }

    def nodes_in(self, part: ast.stmt) -> list[ast.AST]:
        """What a statement holds, with the constants in it; most hold none, and stay as they are."""
        nodes = [*ast.walk(part)]
        has_some = any(isinstance(node, ast.Name) and node.id in self.constants for node in nodes)
        return [*ast.walk(self.visit(part))] if has_some else nodes

    def visit_Name(self, node: ast.Name) -> ast.expr:
        value = self.constants.get(node.id) if isinstance(node.ctx, ast.Load) else None
        return node if value is None else ast.copy_location(ast.parse(value, mode="eval").body, node)


def constants_in(tree: ast.Module) -> dict[str, ast.expr]:
    assigned = [
        (target, node.value) for node in tree.body if isinstance(node, ast.Assign) for target in node.targets
    ]
    assigned += [
        (node.target, node.value)
        for node in tree.body
        if isinstance(node, ast.AnnAssign) and node.value is not None
    ]
    return {
        name: value
        for target, value in assigned
        for name, value in _pairs(target, value)
        if list(direct(value))
    }


@cache
def constants_of(module: str) -> dict[str, ast.expr]:
    path = PACKAGE.joinpath(*module.split(".")[1:])
    file = path.with_suffix(".py") if path.with_suffix(".py").exists() else path / "__init__.py"
    return constants_in(tree_of(file)) if file.exists() else {}


def _pairs(target: ast.expr, value: ast.expr) -> Iterator[tuple[str, ast.expr]]:
    """``A, B = "x", "y"`` name by name."""
    if isinstance(target, ast.Name):
        yield target.id, value
    elif isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple):
        for one, other in zip(target.elts, value.elts, strict=False):
            yield from _pairs(one, other)


def _line(node: ast.AST) -> int:
    return node.target.lineno if isinstance(node, ast.comprehension) else node.lineno


DECIDING = (ast.Compare, ast.Call, ast.If, ast.IfExp, ast.While, ast.comprehension, ast.Match)


def _decides(node: ast.AST) -> Iterator[str]:
    match node:
        case ast.Compare():
            yield from _compared(node)
        case ast.Call(
            func=ast.Name(id=name) | ast.Attribute(attr=name, value=ast.Name(id="fnmatch" | "re"))
        ) if _over_ids(name, node):
            yield f"{name}() looks for a pattern in an id"
        case ast.Call(func=ast.Attribute(attr=method, value=ast.Name(id="re"))) if (
            method in PATTERNS and node.args
        ):
            yield from (f"re.{method}({text!r})" for text in direct(node.args[0]) if is_wording(_plain(text)))
        case ast.Call(func=ast.Attribute(attr=method, value=value)) if method in SEARCHING and node.args:
            yield from (f".{method}({text!r})" for text in direct(node.args[0]) if is_wording(text))
            if method in AFFIXES and _name(value) in IDS | (
                NAMES_FOR_READERS if isinstance(value, ast.Attribute) else set()
            ):
                yield f".{_name(value)}.{method}() decides"
            if (
                method in ("startswith", "endswith")
                and isinstance(node.args[0], ast.Name)
                and not node.args[0].id.isupper()
            ):
                yield f".{method}({node.args[0].id}) holds one sentence against another"
        case ast.If() | ast.IfExp() | ast.While():
            yield from _branched(node.test)
        case ast.comprehension():
            for condition in node.ifs:
                yield from _branched(condition)
        case ast.Match():
            yield from _branched(node.subject)


def _over_ids(name: str, node: ast.Call) -> bool:
    """A pattern that is held against an id: ``fnmatchcase(gate.id, "height-*")``, ``re.match("party-",
    gate_id)``."""
    return name in GLOBS | PATTERNS and any(
        _name(inner) in IDS
        for arg in node.args
        for inner in ast.walk(arg)
        if isinstance(inner, (ast.Name, ast.Attribute))
    )


def _compared(node: ast.Compare) -> Iterator[str]:
    operands = [node.left, *node.comparators]
    for operand in operands:
        yield from (f"compared with {text!r}" for text in direct(operand) if is_wording(text))
        if isinstance(operand, ast.Attribute) and operand.attr in NAMES_FOR_READERS:
            yield f".{operand.attr} compared"


def _branched(test: ast.expr) -> Iterator[str]:
    """A test for being there at all (``if leg.label``) decides nothing by its words; a look into them
    does."""
    for inner in ast.walk(test):
        match inner:
            case ast.Call(func=ast.Attribute(attr=method, value=ast.Attribute(attr=name))):
                if name in NAMES_FOR_READERS:
                    yield f".{name}.{method}() decides"


def _plain(pattern: str) -> str:
    """A pattern without its classes and escapes, and without letters that stand alone: ``[A-Z]``, ``\\S`` and
    the T of an instant are no wording."""
    plain = re.sub(r"\\.|\[[^]]*\]|\(\?[^)]*?>|\{[^}]*\}", "-", pattern)
    return re.sub(r"(?<![A-Za-z])[A-Z](?![A-Za-z])", "", plain)


def sources() -> list[Path]:
    found = [path for room in ROOMS for path in sorted((PACKAGE / room).rglob("*.py"))]
    return [path for path in found if path.relative_to(PACKAGE).as_posix() not in READERS]


def test_nothing_decides_by_words():
    found = [
        f"{path.relative_to(PACKAGE)}:{line}"
        for path in sources()
        for line in complaints(path.read_text(encoding="utf-8"))
    ]
    assert found == []


@pytest.mark.parametrize("name", sorted(READERS))
def test_a_reader_is_there_and_reads(name):
    """Whoever looks into no text any more goes from the list."""
    assert complaints((PACKAGE / name).read_text(encoding="utf-8")) != []


LOOKS_INTO = re.compile(r"\.(?:includes|indexOf|startsWith|endsWith|match|search|split)\([\"'`]\W*\w")


@pytest.mark.parametrize("path", sorted(PACKAGE.rglob("*.js")), ids=lambda path: path.name)
def test_no_page_looks_into_a_sentence(path):
    """Nor do the scripts of the pages: what is so is known by its entry, not by its line."""
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if LOOKS_INTO.search(line)] == []


def test_the_states_are_members_of_types():
    """The words of a sentence are not among them."""
    assert {"PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED", "APPROVED"} <= STATES
    assert not {"Take-off", "second pass", "Landing ship"} & STATES


# what must be found, each a way in which this program once decided by words
CAUGHT = [
    'x = "second pass" in action',
    'x = event.label.startswith("Landing ship")',
    "x = [e for e in events if e.label in KEY]",
    'x = gate.title.removesuffix(" (listed obstacles only)")',
    'x = text.partition(": ship ")',
    'x = re.compile("before leaving the hold")',
    'x = row.use == "Flight"',
    'x = cell == "TBD" or cell in ("To be briefed",)',
    "x = 1 if gate.label == name else 2",
    'y = words.duration(s) == "0 s"',
    'x = told.split(" before ")',
    "if leg.title.lower(): pass",
    'GUESSED = ("default", "common practice")\nx = gate.source.startswith(GUESSED)',
    'UNIT = "the unit\'s own"\nx = text.startswith(UNIT)',
    'GUESSED: str = "A guess"\nx = told == GUESSED',
    "from briefgen.brief.wording.lost_contact import NOT_BRIEFED\nx = does == NOT_BRIEFED",
    'x = [g.title for g in gates if "default" in g.source]',
    "x = 1 if gate.source.endswith(near) else 2",
    "x = limit.source == UNIT",
    "x = gate.id.endswith(WEATHER)",
    'x = gate.id.endswith("-cloud") and 1',
    'x = line.id.split("-")[2]',
    'x = any(told.startswith(text.removeprefix("in the file: ")) for told in outside)',
    "x = any(told.startswith(text) for told in self.outside)",
    'x = [g for g in gates if not g.id.startswith("party-")]',
    (
        "x = next(title for title, patterns in groups if any(fnmatchcase(gate_id, pattern) for pattern in"
        " patterns))"
    ),
    "x = fnmatch.fnmatch(gate.id, pattern)",
    'x = re.match(r"party-\\d", gate.id)',
    'if re.compile(r"a-z").search(x) or re.fullmatch(pattern, gate_id): pass',
    "x = now.why == then.why",
]
# what is no decision by words
PASSED = [
    'x = gate.verdict == "NOT CHECKED"',
    'x = gate.verdict in ("FAIL", "CAUTION")',
    'x = f"{gate.title}: {value}"',
    "x = (gate.title, row.label) if row.label else ()",
    'x = kind == "recovery"',
    'x = path.name.removesuffix(".md")',
    'x = re.compile(r"[A-Z]{4}-\\\\d")',
    'x = text.split(" ")',
    'x = text.replace("\\n", " ")',
    'x = {"A B": 1}["A B"]',
    'x = text.replace("<p:txBody>", markup)',
    'x = element.find("{*}txStyles")',
    'x = gate.id == "joker"',
    'KINDS = ("climb", "hold")\nx = phase.kind in KINDS',
    'x = re.compile(r"\\d{4}-\\d\\dT\\d\\dZ")',
    'x = name.startswith(".")',
    "x = fnmatchcase(name, KEPT)",
    "x = gate.why or gate.waiver",
]


@pytest.mark.parametrize("source", CAUGHT)
def test_a_decision_by_words_is_found(source):
    assert complaints(source) != []


@pytest.mark.parametrize("source", PASSED)
def test_what_is_none_is_left_alone(source):
    assert complaints(source) == []
