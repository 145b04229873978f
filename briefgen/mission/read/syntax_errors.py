"""What the YAML parser says, in plain words and at the place where the slip is."""

from __future__ import annotations

import re
from collections.abc import Callable

from yaml.error import Mark, MarkedYAMLError

from briefgen.core.diagnostics import Diagnostic, Related, Span

_INDENT = "keys of one section begin in the same column; a value deeper than its key needs a colon above it"
_QUOTE = 'put the text in double quotes (")'

# (what the parser's problem holds, where the slip is: "problem" or "context", plain words, help)
_WORDS = (
    (
        "scanning a directive",
        "context",
        "a line cannot begin with %",
        "delete the sign, or put the word in quotes if it belongs to it",
    ),
    (
        "mapping values are not allowed",
        "problem",
        "a colon and a space cannot stand here",
        f"{_QUOTE} if the colon belongs to it, else check the indent: {_INDENT}",
    ),
    (
        "could not find expected ':'",
        "context",
        "this line is neither a key with a colon nor part of a list",
        "write `key: value`, with a space after the colon",
    ),
    (
        "found unexpected end of stream",
        "context",
        "this quote is not closed",
        "close it with the same quote at the end of the text",
    ),
    (
        "found unexpected document separator",
        "context",
        "this quote is not closed",
        "close it with the same quote at the end of the text",
    ),
    (
        "expected ',' or ']'",
        "context",
        "this [ is not closed, or a comma is missing after it",
        "close it with ], and put a comma and a space between values",
    ),
    (
        "expected ',' or '}'",
        "context",
        "this { is not closed, or a comma is missing after it",
        "close it with }, and put a comma and a space between values",
    ),
    (
        "expected the node content, but found '-'",
        "problem",
        "a hyphen cannot begin a list inside [ or {",
        "close the bracket above it, or take it out",
    ),
    (
        "expected the node content",
        "problem",
        "a value is missing before this",
        "write the value, or delete the sign",
    ),
    (
        "expected <block end>, but found '<block mapping start>'",
        "problem",
        "this key's indent fits no key above it",
        _INDENT,
    ),
    (
        "expected <block end>, but found '-'",
        "problem",
        "this list item's indent fits no item above it",
        "the hyphens of one list stand in one column",
    ),
    (
        "expected <block end>, but found '<scalar>'",
        "problem",
        "text follows a value that has already ended",
        f'delete it, or {_QUOTE}, with \\" for a quote inside it',
    ),
    (
        "expected <block end>",
        "problem",
        "this does not fit what stands above it",
        f"check the indent and the brackets: {_INDENT}",
    ),
    (
        "found character '\\t'",
        "problem",
        "a tab stands here",
        "indent with spaces, and put a space after a colon",
    ),
    ("that cannot start any token", "problem", "a value cannot begin with this sign", _QUOTE),
    (
        "found unknown escape character",
        "problem",
        "this backslash begins no escape",
        "double it (\\\\), or use single quotes",
    ),
    ("hexadecimal", "problem", "this escape lacks hexadecimal digits", "type the character itself"),
    (
        "sequence entries are not allowed",
        "problem",
        "a list item cannot stand here",
        "begin a list on the line below its key",
    ),
    ("mapping keys are not allowed", "problem", "a key cannot stand here", _QUOTE),
    ("alphabetic or numeric character", "context", "a value cannot begin with & or *", _QUOTE),
    (
        "expected '<document start>'",
        "problem",
        "something follows the end of the mission",
        "delete what follows, or mend the indent above it",
    ),
    ("expected URI", "context", "a value cannot begin with !", _QUOTE),
    ("undefined tag handle", "problem", "a value cannot begin with !", _QUOTE),
    (
        "found incompatible YAML document",
        "problem",
        "directives are not read",
        "delete the lines that begin with %",
    ),
    (
        "chomping or indentation",
        "problem",
        "only a line end may follow > or | here",
        f"{_QUOTE}, or put the text below, indented",
    ),
    ("a comment", "problem", "only a comment may stand here", "put the text below, indented"),
)


def in_plain_words(
    error: MarkedYAMLError, text: str, name: str, is_key: Callable[[str], bool]
) -> tuple[Diagnostic, int]:
    """The diagnostic for a parser's error, and the line (from 0) after which reading may go on: that of the
    slip, never of the block around it, which would be read twice. ``is_key``: whether a word is a key of the
    section that was read."""
    said = f"{error.problem or ''}"
    if no_comma := _no_comma(error, text, name, is_key):
        return no_comma
    scanned = f"{said}, {error.context or ''}"
    where, message, help = next(
        ((w, m, h) for part, w, m, h in _WORDS if part in scanned),
        ("problem", f"this is not understood ({said})", _INDENT),
    )
    marks = [mark for mark in (error.problem_mark, error.context_mark) if mark is not None]
    problem, context = marks[0], marks[-1]
    if "found character" in said and where == "problem" and "cannot start" in said:
        message = f"{message}: {_character(text, problem.index)}" if "tab" not in message else message
    mark, other = (problem, context) if where == "problem" else (context, problem)
    if where == "context" and (spaces := _text_above(text, mark.line)):
        help = f"indent it by {spaces} spaces, as the text above it, if it belongs to that; else {help}"
    if figure := _more_than(text, problem.line):
        message, help = (
            "a value cannot begin with this sign: >",
            f"write {figure}; more than that isn't written",
        )
    related: tuple[Related, ...] = ()
    if where == "context" and other.line != mark.line:
        related = (Related("it was noticed here", _span(other, name)),)
    return Diagnostic(
        "syntax", "error", message, _span(mark, name), "the file cannot be read here", help, related
    ), mark.line


_RUN_ON = re.compile(r"(?P<value>[^\s,{\[][^,{\[]*?) +(?P<key>[a-z_0-9]+) *$")


def _no_comma(
    error: MarkedYAMLError, text: str, name: str, is_key: Callable[[str], bool]
) -> tuple[Diagnostic, int] | None:
    """A value inside {} behind which the next key follows without a comma."""
    mark = error.problem_mark
    if mark is None or "expected ',' or '}'" not in f"{error.problem}":
        return None
    before = text.split("\n")[mark.line][: mark.column]
    found = _RUN_ON.search(before)
    if found is None or not is_key(found["key"]):
        return None
    column = found.start("key") + 1
    span = Span(name, mark.line + 1, column, mark.line + 1, column + len(found["key"]))
    rest = re.match(r" *[^,}\]#\n]*", text[mark.index + 1 :])
    help = f"write {found['value']}, {found['key']}: {rest[0].strip() if rest else ''}"
    said = f"a comma is missing before the key `{found['key']}`"
    return Diagnostic("syntax", "error", said, span, "the file cannot be read here", help), mark.line


def _text_above(text: str, line: int) -> int:
    """How far a text is indented that begins with ``>`` or ``|`` and reaches down to this line (from 0),
    which stands less far in; 0 where there is none."""
    lines = text.split("\n")
    own, spaces = _indent(lines[line]), 0
    for above in reversed(lines[:line]):
        if _OPENS_A_TEXT.search(above):
            return spaces or _indent(above) + 2
        if above.strip() and _indent(above) <= own:
            return 0
        spaces = _indent(above) if above.strip() else spaces
    return 0


def _indent(line: str) -> int:
    return len(line) - len(line.lstrip(" "))


_OPENS_A_TEXT = re.compile(r": *[>|][-+0-9]{0,2} *(?:#.*)?$")


def _more_than(text: str, line: int) -> str:
    """``10 km`` of a line with ``>10 km`` as a value, empty without one."""
    typed = "".join(text.split("\n")[line : line + 1])
    found = re.search(r": *> *=? *([0-9][^,}\]#]*)", typed)
    return found[1].rstrip() if found else ""


def _character(text: str, index: int) -> str:
    return text[index] if index < len(text) else "end of file"


def _span(mark: Mark, name: str) -> Span:
    line, column = mark.line + 1, mark.column + 1
    return Span(name, line, column, line, column + 1)
