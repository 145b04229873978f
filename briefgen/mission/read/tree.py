"""The text tree of a file: mappings, lists and the text of every scalar, each with its place in the file."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import field, replace
from pathlib import PurePath
from typing import TYPE_CHECKING

from briefgen.core.diagnostics import Diagnostic, KeyPath, Related, Span
from briefgen.core.records import record

if TYPE_CHECKING:
    from briefgen.mission.inputs.ground import GroundFiles

TextTree = dict[str, "TextTree"] | list["TextTree"] | str | None  # None: a key with nothing behind its colon


@record
class Spans:
    """Where each key and each value of a tree stands."""

    keys: Mapping[KeyPath, Span]
    values: Mapping[KeyPath, Span]

    def value(self, path: KeyPath) -> Span | None:
        """The place of the value at ``path``, else of the nearest thing around it."""
        for stop in range(len(path), -1, -1):
            if span := self.values.get(path[:stop]):
                return span
        return None

    def key(self, path: KeyPath) -> Span | None:
        """The place of the key at ``path``; a list's element has none, so its value's place."""
        return self.keys.get(path) or self.value(path)

    def locate(self, diagnostic: Diagnostic) -> Diagnostic:
        """The diagnostic with its ``cause`` turned into a place; as it was where it has a place already."""
        if diagnostic.span is not None or not self.values:
            return diagnostic
        return replace(diagnostic, span=self.value(diagnostic.cause))


@record
class Source:
    """One file, read: its text, its tree and the places in it. ``texts`` holds every file that took part, by
    name.

    ``doubtful``: where the tree does not hold all that the file says, because its text has errors there: a
    value given twice, a mapping in which a key was lost. A value that was lost whole is None in the tree.
    ``replaced``: where a value stands, and where the unit's book says otherwise; ``books``: the names of the
    books that took part; ``book_mark``: four characters of the first one's fingerprint.
    ``ground``: what was read of the files on the ground, which are too large for the tree.
    """

    name: str
    tree: dict[str, TextTree]
    spans: Spans
    texts: Mapping[str, str]
    doubtful: frozenset[KeyPath] = frozenset()
    replaced: Mapping[Span, Span] = field(default_factory=dict)
    ground: GroundFiles | None = None
    books: tuple[str, ...] = ()
    book_mark: str = ""

    def at(self, path: KeyPath) -> TextTree:
        """The part of the tree at ``path``, None where there is none."""
        return look_up(self.tree, path)

    def with_value(self, path: KeyPath, value: TextTree) -> Source:
        """With another value at a path that is there; what lies beside the path is shared."""
        if not path:
            assert isinstance(value, dict), "a file is a mapping"
            return replace(self, tree=value)
        section = str(path[0])
        return replace(self, tree={**self.tree, section: _with(self.tree[section], path[1:], value)})

    def told_where(self, diagnostic: Diagnostic) -> Diagnostic:
        """With its place, and but for a note where the unit's book says otherwise than the value there."""
        placed = self.spans.locate(diagnostic)
        other = self.replaced.get(placed.span) if placed.span is not None else None
        if other is None or placed.severity == "note":
            return placed
        return replace(
            placed, related=(*placed.related, Related("it wins over what the book says here", other))
        )

    def from_here(self, file: str) -> str:
        """The way to another file that took part from the mission's folder: ``../book.yaml``."""
        path, folder = PurePath(file), PurePath(self.name).parent
        return path.relative_to(folder).as_posix() if path.is_relative_to(folder) else file

    def elsewhere(self) -> dict[str, list[KeyPath]]:
        """What stands in other files, by their names: the key paths, each with all that is below it, in the
        order of the tree; what of it stands in yet another file has a path of its own."""
        found: dict[str, list[KeyPath]] = {}
        waiting: list[tuple[KeyPath, TextTree, str]] = [((), self.tree, self.name)]
        while waiting:
            path, tree, around = waiting.pop()
            span = self.spans.values.get(path) or self.spans.keys.get(path)
            file = around if span is None else span.file
            if file != around:
                found.setdefault(file, []).append(path)
            waiting += [((*path, key), part, file) for key, part in reversed(list(parts_of(tree)))]
        return found

    def canonical(self) -> str:
        """The tree as text that does not change with comments, line ends, quotes or the order of keys."""
        return json.dumps(self.tree, ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def look_up(tree: TextTree, path: KeyPath) -> TextTree:
    """The part of ``tree`` at ``path``, None where there is none."""
    for step in path:
        if isinstance(tree, dict):
            tree = tree.get(str(step))
        elif isinstance(tree, list) and isinstance(step, int) and 0 <= step < len(tree):
            tree = tree[step]
        else:
            return None
    return tree


def _with(tree: TextTree, path: KeyPath, value: TextTree) -> TextTree:
    match tree, path[:1]:
        case dict(), (str() as key,):
            return {**tree, key: _with(tree[key], path[1:], value)}
        case list(), (int() as i,):
            return [*tree[:i], _with(tree[i], path[1:], value), *tree[i + 1 :]]
    return value


def scalars(tree: TextTree, path: KeyPath = ()) -> Iterator[tuple[KeyPath, str]]:
    """Every scalar with its key path, in the order of the file."""
    match tree:
        case dict():
            for key, value in tree.items():
                yield from scalars(value, (*path, key))
        case list():
            for position, value in enumerate(tree):
                yield from scalars(value, (*path, position))
        case str():
            yield path, tree


def parts_of(tree: TextTree) -> Iterator[tuple[str | int, TextTree]]:
    """What stands directly below, each with its key or position."""
    if isinstance(tree, dict):
        yield from tree.items()
    elif isinstance(tree, list):
        yield from enumerate(tree)


def dotted(path: KeyPath) -> str:
    """A key path as a person writes it: ``flight[3].start_fuel``; list positions count from 1."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else str(step)
    return text or "the file"


def where_in(section: KeyPath) -> str:
    """In which section a key stands, in words: ``in `event.pass` ``, ``at the top of the file``."""
    return f"in `{dotted(section)}`" if section else "at the top of the file"
