"""The text of a mission with what has exactly one mend mended: what ``briefgen check --fix`` writes.

A mend is the ``Mend`` of a diagnostic: a key under its right name, or a value with its unit as it is written
here. All else stays as it is, letter for letter, and the tree of the mended text must be the old one with
those changes and no other. No mend is made after which the file would have an error that it has not now: then
the key was perhaps not the one that was meant, or its value needs a person first.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from pathlib import Path

from briefgen.core.diagnostics import Diagnostic, KeyPath, Mend, Span
from briefgen.core.records import record
from briefgen.mission.files import read_text
from briefgen.mission.load import diagnostics_from
from briefgen.mission.read.tree import Source, TextTree

MOST_MENDS = 100  # in one run, our own bound: each that is doubted is tried by itself
_LINE = re.compile(r"[^\r\n]*(?:\r\n|\r|\n|$)")
_BYTE_ORDER_MARK = "\ufeff"


@record
class Change:
    """A mend at its place; ``why`` it was not made."""

    span: Span
    mend: Mend
    why: str = ""


@record
class Mended:
    """``text`` is the one that was given where nothing was mended. ``errors``: how many it has still,
    ``left``: the mends among them that were not made."""

    text: str
    made: tuple[Change, ...]
    left: tuple[Change, ...]
    errors: int


def mended(text: str, name: str, folder: Path | None) -> Mended:
    """The text of a mission, called ``name``, with every mend that can be made. What stands in other files,
    which lie in ``folder``, is left: other missions may name them too."""
    now = _State.of(text, name, folder)
    elsewhere = [c for c in now.changes() if c.span.file != name]
    left = [replace(c, why=f"{c.span.file} may be another mission's too: mend it there") for c in elsewhere]
    own = [change for change in now.changes() if change not in elsewhere]
    made: list[Change] = []
    together = _tried(now, own)
    # from the end on, so that those before stay where they are
    for group in [own] if isinstance(together, _Tried) else [[change] for change in reversed(own)]:
        tried = together if isinstance(together, _Tried) else _tried(now, group)
        if isinstance(tried, _Tried):
            now, made = tried.state, [*tried.made, *made]
        else:
            left = [replace(group[0], why=tried), *left]
    return Mended(now.text, tuple(made), tuple(left), len(now.errors))


# ---------------------------------------------------------------- one text after the other

_Kinds = Counter[tuple[str, str]]


@record
class _State:
    """A text, and what is wrong with it."""

    text: str
    name: str
    folder: Path | None
    parsed: Source | None
    errors: tuple[Diagnostic, ...]

    @classmethod
    def of(cls, text: str, name: str, folder: Path | None) -> _State:
        source, problems = read_text(text, name)
        told = diagnostics_from(source, problems, folder)
        return cls(text, name, folder, source, tuple(d for d in told if d.severity == "error"))

    @property
    def kinds(self) -> _Kinds:
        """What is told, and how often: without places, as one cause is told at its first alone."""
        return Counter((error.code, error.message) for error in self.errors)

    def changes(self, kinds: Iterable[tuple[str, str]] | None = None) -> list[Change]:
        """The mends of the errors, of some kinds alone where these are given; each place once. None of two
        that would give one section the same key: which of them is meant?"""
        errors = [e for e in self.errors if kinds is None or (e.code, e.message) in kinds]
        found = dict.fromkeys(Change(e.span, e.mend) for e in errors if e.span and e.mend)
        keys = self.keys
        meant = {c: (keys[c.span][:-1], c.mend.new) for c in found if c.span in keys}
        often = Counter[object](meant.values())
        return [change for change in found if often[meant.get(change)] < 2][:MOST_MENDS]

    @property
    def keys(self) -> dict[Span, KeyPath]:
        """Which key stands where."""
        return {} if self.parsed is None else {span: path for path, span in self.parsed.spans.keys.items()}

    def after(self, changes: Sequence[Change]) -> _State | None:
        """The text with the changes; None where its tree would not be the old one with them alone."""
        text = _written(self.text, changes)
        if text is None or self.parsed is None or (tree := _with_changes(self.parsed, changes)) is None:
            return None
        then = _State.of(text, self.name, self.folder)
        return then if then.parsed is not None and then.parsed.tree == tree else None


@record
class _Tried:
    """The state that changes lead to, with those that only they brought to light."""

    state: _State
    made: tuple[Change, ...]


def _tried(state: _State, changes: Sequence[Change]) -> _Tried | str:
    """The state after the changes and what they bring to light, or why they are not made."""
    now, made = state, tuple[Change, ...]()
    while changes:
        then = now.after(changes)
        if then is None:
            return "it stands there otherwise than it was read"
        now, made = then, (*made, *changes)
        changes = [c for c in now.changes(now.kinds - state.kinds) if c.span.file == now.name]
    for _, message in now.kinds - state.kinds:
        return f"it would then read: {message}"
    return _Tried(now, made)


# ---------------------------------------------------------------- the text, and its tree


def _written(text: str, changes: Sequence[Change]) -> str | None:
    """The text with each change at its place; None where one does not stand there as it was told."""
    body = text.removeprefix(_BYTE_ORDER_MARK)
    starts = [0, *accumulate(len(line) for line in _LINE.findall(body))]
    places = []
    for change in changes:
        span, old = change.span, change.mend.old
        begin, end = starts[span.line - 1] + span.column - 1, starts[span.end_line - 1] + span.end_column - 1
        if body[begin:end] in (f'"{old}"', f"'{old}'"):
            begin, end = begin + 1, end - 1
        if body[begin:end] != old:
            return None
        places.append((begin, end, change.mend.new))
    for begin, end, new in sorted(places, reverse=True):
        body = body[:begin] + new + body[end:]
    return text[: len(text) - len(text.removeprefix(_BYTE_ORDER_MARK))] + body


def _with_changes(source: Source, changes: Sequence[Change]) -> TextTree:
    """The tree with the changes; None where at one place there is no such key and no such value."""
    keys = {span: path for path, span in source.spans.keys.items()}
    values = {span: path for path, span in source.spans.values.items()}
    renamed = {keys[c.span]: c.mend.new for c in changes if keys.get(c.span, ())[-1:] == (c.mend.old,)}
    respelt = {
        values[c.span]: c.mend.new
        for c in changes
        if c.span in values and source.at(values[c.span]) == c.mend.old
    }
    if len(renamed) + len(respelt) < len(changes):
        return None
    return _changed(source.tree, renamed, respelt)


def _changed(
    tree: TextTree, renamed: Mapping[KeyPath, str], respelt: Mapping[KeyPath, str], path: KeyPath = ()
) -> TextTree:
    match tree:
        case dict():
            return {
                renamed.get((*path, key), key): _changed(value, renamed, respelt, (*path, key))
                for key, value in tree.items()
            }
        case list():
            return [_changed(value, renamed, respelt, (*path, i)) for i, value in enumerate(tree)]
        case str():
            return respelt.get(path, tree)
    return tree
