"""What an error of single signs leaves of the tree: the value it stands in is taken out, or the section whose
structure it may have changed."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.mission.read.tree import Spans, TextTree, look_up

_CHARACTERS = ("character", "encoding")


def take_out(problem: Diagnostic, tree: dict[str, TextTree], spans: Spans) -> Iterator[KeyPath]:
    """Takes out of the tree what the problem makes untrue; yields the mappings in which keys are lost by
    that.

    A wrong character spoils the text it stands in (none, in a comment), a comma or # that cuts a text the {}
    or [] around it, and what the parser can't read the section that it stands in or behind.
    """
    at = problem.span
    if (
        at is None
        or problem.severity != "error"
        or problem.code not in (*_CHARACTERS, "cut-text", "look-alike", "syntax")
    ):
        return
    if (problem.code in _CHARACTERS and (path := _smallest(spans, tree, at, str))) or (
        problem.code == "cut-text"
        and (path := _smallest(spans, tree, at, (dict, list)))
        and spans.values[path].line == spans.values[path].end_line
    ):
        _lose(tree, path)
    elif problem.code not in _CHARACTERS or any(_holds(span, at) for span in spans.keys.values()):
        tree.pop(_section(spans, at), None)
        yield ()


def _smallest(spans: Spans, tree: TextTree, at: Span, kind: type | tuple[type, ...]) -> KeyPath | None:
    """The innermost value of a kind around a place."""
    around = [
        path
        for path, span in spans.values.items()
        if path and _holds(span, at) and isinstance(look_up(tree, path), kind)
    ]
    return max(around, key=len, default=None)


def _holds(span: Span, at: Span) -> bool:
    return (span.line, span.column) <= (at.line, at.column) < (span.end_line, span.end_column)


def _section(spans: Spans, at: Span) -> str:
    """The section that begins at or last before a place, empty where none does."""
    before = [
        (span.line, path[0]) for path, span in spans.keys.items() if len(path) == 1 and span.line <= at.line
    ]
    return str(max(before, default=(0, ""))[1])


def _lose(tree: TextTree, path: KeyPath) -> None:
    look_up(tree, path[:-1])[path[-1]] = None  # type: ignore[index] # where a key stands, a mapping does
