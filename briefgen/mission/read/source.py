"""Text to tree: one pass of the pure YAML parser, every scalar taken as its text, nothing resolved.

What YAML does quietly and a mission must not (repeated keys, anchors, cut texts, joined lines) is refused,
with its place: what lies between the brackets in ``brackets.py``, all else in ``composer.py``. All problems
of a file are found in one run: after a syntax error reading goes on at the next section; here stands what of
them is told.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span, has_errors
from briefgen.mission.read.characters import MAXIMUM_BYTES, check_characters, check_look_alikes, decode
from briefgen.mission.read.composer import Composer, causes
from briefgen.mission.read.damage import take_out
from briefgen.mission.read.tree import Source, Spans

_ECHOES = ("several-lines", "no-value", "duplicate-key", "key", "syntax")
_OF_A_BRACKET = (*_ECHOES[:-1], "cut-text")  # behind one left open


def read_source(
    data: bytes | str,
    name: str,
    *,
    blocks: frozenset[KeyPath] = frozenset(),
    is_list: Callable[[KeyPath], bool] = lambda path: False,
    is_pasted: Callable[[KeyPath], bool] = lambda path: False,
    is_key: Callable[[KeyPath], bool] = lambda path: False,
    lists: bool = False,
) -> tuple[Source | None, list[Diagnostic]]:
    """The text tree of a file, or None where none came out of it.  ``name`` is printed in every message.

    ``blocks``: the key paths at which a text of several lines may stand after ``|``, each line kept as it is.
    ``is_list``: whether a list is wanted at a key path, for the remedy of one without its brackets.
    ``is_pasted``: whether a text is pasted there whole: it may run over lines, quoted or after ``|`` or
    ``>``, and its words are read with one space between them.
    ``is_key``: whether a key of that name is known there, for one without its colon or the comma before it.
    ``lists``: the file may be a list, which then stands in the tree at ``ENTRIES``.

    Beside errors the tree holds what can still be trusted: None for a value that cannot, and no section whose
    structure is broken; ``Source.doubtful`` says where something is lost.
    """
    text, problems = decode(data, name) if isinstance(data, bytes) else (data.removeprefix("\ufeff"), [])
    if text is None:
        return None, problems
    if len(text) > MAXIMUM_BYTES:
        return None, decode(text.encode("utf-8", errors="replace"), name)[1]
    clean, found = check_characters(text, name)
    problems += found + check_look_alikes(re.split(r"\r\n|\r|\n", clean), name)
    composer = Composer(clean, name, blocks, is_list, is_pasted, is_key, lists)
    composer.run(problems)
    problems += composer.problems
    spans = Spans(composer.keys, composer.values)
    lost = {path for problem in problems for path in take_out(problem, composer.tree, spans)}
    problems = sorted(_without_echoes(problems, clean.split("\n")), key=_place)
    if has_errors(problems) and not composer.tree:
        return None, problems
    return Source(name, composer.tree, spans, {name: clean}, frozenset(composer.doubtful | lost)), problems


def _without_echoes(problems: list[Diagnostic], lines: list[str]) -> list[Diagnostic]:
    """Without what only follows from a slip that is reported on the same lines: a cut text, a false sign, a
    bracket left open, a text without its key."""
    slips = causes(problems, lines)
    broken = [d for d in problems if d.code == "syntax" and d.span]
    open_until = [
        (d.span.line, d.related[0].span.line if d.related else d.span.line) for d in broken if d.span
    ]
    told = [d for d in problems if not _is_echo(d, slips, open_until)]
    joined = {
        d: [s for s in broken if not s.related and _within(s, d)] for d in told if d.code == "several-lines"
    }
    follows = {s for found in joined.values() for s in found}
    return [_without_its_key(d, lines) if joined.get(d) else d for d in told if d not in follows]


def _within(inner: Diagnostic, outer: Diagnostic) -> bool:
    one, other = inner.span, outer.span
    return one is not None and other is not None and other.line <= one.line <= other.end_line


def _without_its_key(joined: Diagnostic, lines: list[str]) -> Diagnostic:
    """Lines that the parser joined until a colon could not stand where it does: the first is the slip."""
    at = joined.span
    if at is None or lines[at.line - 1][at.column - 1] in "\"'":
        return joined
    if lines[at.line - 1][: at.column - 1].lstrip().lstrip("-").strip():
        help = "delete the text, or the keys below it; a key has a colon and a space behind it"
        return replace(joined, message="a text stands here, and keys below it", help=help)
    message = "this line is neither a key with a colon nor part of a list"
    return replace(
        joined, message=message, help="write `key: value`, with a space after the colon, or delete the line"
    )


def _is_echo(problem: Diagnostic, slips: list[Span], open_until: list[tuple[int, int]]) -> bool:
    if problem.code not in (*_ECHOES, *_OF_A_BRACKET) or problem.span is None:
        return False
    first, last = problem.span.line, max(problem.span.end_line, problem.span.line)
    if problem.code in _OF_A_BRACKET and any(begin <= first <= end for begin, end in open_until):
        return True
    if problem.code in ("no-value", "cut-text"):  # the next line may have been taken for something else
        last += 1
        if any(first <= begin <= last for begin, _ in open_until):
            return True
    return problem.code in _ECHOES and any(first <= slip.line <= last for slip in slips)


def _place(diagnostic: Diagnostic) -> tuple[int, int]:
    return (diagnostic.span.line, diagnostic.span.column) if diagnostic.span else (0, 0)
