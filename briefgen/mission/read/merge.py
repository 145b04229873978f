"""A mission on its unit's book: one text tree, whose nodes know their file and line.

What the mission says wins: mappings are merged key by key; lists and single values are replaced whole, but
for ships and presets, whose entries are known by their number, so that one of the mission adds to the book's
or changes it. ``{drop: yes}`` takes an entry of the book away, a ship with what the book says of it. What
the book says of ``training`` and ``event`` counts where the mission has them, in a ``flow`` for each of them.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.mission.read.flow import FLOW, KINDS
from briefgen.mission.read.parts import OUTLINE
from briefgen.mission.read.tree import Source, Spans, TextTree, dotted, parts_of
from briefgen.units.nearest import nearest_words

UNIT, DROP = "unit", "drop"
# what names the entries of a list, in which they otherwise have none
NAMED: Mapping[KeyPath, str] = {("flight",): "ship", ("radio",): "preset"}
IF_FLOWN = ("training", "event")
FLIGHT: KeyPath = ("flight",)
# what is said of a ship under its number, and lists in which a ship's number, or an entry of it, stands
BY_SHIP: tuple[KeyPath, ...] = (("training", "yardstick"), ("contingencies", "fall_outs"))
OFFSETS: KeyPath = ("event", "pass", "run_in", "offsets")
LISTENS = "listens"  # of a preset
# what these say is of the files that stand beside it: a mission with files of its own takes none of it
ABOUT_FILES: tuple[KeyPath, ...] = (("obstacles",), ("terrain",))


def merged(book: Source, mission: Source) -> tuple[Source, list[Diagnostic]]:
    """The mission with what its book says beside it, and a note for each list that takes the place of the
    book's. An entry that is dropped and that the book has not is left as it is: ``without_drops`` tells
    it."""
    merge = _Merge(book, mission)
    top = merge.mapping((), (), ())
    spans = Spans(merge.keys, merge.values)
    doubtful = frozenset(merge.doubtful)
    whole = replace(
        mission,
        tree=top,
        spans=spans,
        texts={**mission.texts, **book.texts},
        doubtful=doubtful,
        books=(book.name, *book.books),
        book_mark=book.book_mark,
        replaced={**book.replaced, **mission.replaced, **merge.replaced},
        ground=mission.ground.over(book.ground) if mission.ground else book.ground,
    )
    return whole, merge.notes


class _Merge:
    """Walks both trees at once, and notes where each node of the merged one stands."""

    def __init__(self, book: Source, mission: Source) -> None:
        self.book, self.mission = book, mission
        self.keys: dict[KeyPath, Span] = {}
        self.values: dict[KeyPath, Span] = {}
        self.doubtful: set[KeyPath] = set()
        self.replaced: dict[Span, Span] = {}
        self.notes: list[Diagnostic] = []
        self.gone = _ships_dropped(mission)

    def mapping(self, old_at: KeyPath, new_at: KeyPath, path: KeyPath) -> dict[str, TextTree]:
        """The mappings at two key paths, of the book and of the mission, as one."""
        self._stands(self.mission, new_at, path)
        if old_at in self.book.doubtful:
            self.doubtful.add(path)
        old, new = self.book.at(old_at), self.mission.at(new_at)
        assert isinstance(old, dict) and isinstance(new, dict)
        tree: dict[str, TextTree] = {}
        for key in (*old, *(key for key in new if key not in old)):
            below = (*path, key)
            if key in new and key in old:
                if not dropped(new[key], below):
                    tree[key] = self._both((*old_at, key), (*new_at, key), below)
            elif key in new:
                tree[key] = self._taken(self.mission, (*new_at, key), below)
            elif self._of_a_ship_gone(key, path):
                continue
            elif path or not (key in IF_FLOWN or (key in KINDS and FLOW in new)):
                tree[key] = self._taken(self.book, (*old_at, key), below)
        return tree

    def _both(self, old_at: KeyPath, new_at: KeyPath, path: KeyPath) -> TextTree:
        old, new = self.book.at(old_at), self.mission.at(new_at)
        of_other_files = path in ABOUT_FILES and isinstance(new, dict) and "files" in new
        if isinstance(old, dict) and isinstance(new, dict) and not of_other_files:
            return self.mapping(old_at, new_at, path)
        if path in NAMED and isinstance(old, list) and isinstance(new, list):
            return self._entries(old, new, path)
        ours, theirs = self.mission.spans.value(new_at), self.book.spans.value(old_at)
        if ours is not None and theirs is not None and old != new:
            self.replaced[ours] = theirs
            if isinstance(old, list) and old and isinstance(new, list):
                self.notes += _in_place_of(len(old), path, ours)
        return self._taken(self.mission, new_at, path)

    def _entries(self, old: list[TextTree], new: list[TextTree], path: KeyPath) -> TextTree:
        """The entries of both by their numbers, each of the book with what the mission says of it."""
        self._stands(self.mission, path, path)
        if path in self.book.doubtful:
            self.doubtful.add(path)
        whose: list[tuple[str, int | None, int | None]] = []
        left = {j: _name(entry, path) for j, entry in enumerate(new)}
        for i, entry in enumerate(old):
            name = _name(entry, path)
            j = next((j for j, other in left.items() if name == other != ""), None)
            if j is not None:
                del left[j]
            if j is None or not dropped(new[j], (*path, j)):
                whose.append((name, i, j))
        whose += [(name, None, j) for j, name in left.items()]
        if all(name.isdecimal() for name, *_ in whose):
            whose.sort(key=lambda entry: int(entry[0]))
        return [self._entry(path, i, j, (*path, k)) for k, (_, i, j) in enumerate(whose)]

    def _entry(self, around: KeyPath, i: int | None, j: int | None, path: KeyPath) -> TextTree:
        if i is not None and j is not None:
            return self._both((*around, i), (*around, j), path)
        source, at = (self.mission, j) if i is None else (self.book, i)
        assert at is not None, "an entry is of one of the two"
        return self._taken(source, (*around, at), path)

    def _taken(self, source: Source, at: KeyPath, path: KeyPath) -> TextTree:
        """What stands in one of the two alone; in a flow of the mission each section with what the book says
        of its kind."""
        self._stands(source, at, path)
        tree = source.at(at)
        if source is self.mission and len(path) == 3 and path[0] == FLOW:
            kind = path[-1:]
            if path[-1] in KINDS and isinstance(tree, dict) and isinstance(self.book.at(kind), dict):
                return self.mapping(kind, at, path)
        kept = [
            (step, part)
            for step, part in parts_of(tree)
            if source is self.mission
            or not self._of_a_ship_gone(part if isinstance(tree, list) else step, path)
        ]
        if isinstance(tree, dict):
            return {str(key): self._taken(source, (*at, key), (*path, key)) for key, _ in kept}
        if isinstance(tree, list):
            return [self._taken(source, (*at, i), (*path, k)) for k, (i, _) in enumerate(kept)]
        return tree

    def _of_a_ship_gone(self, said: TextTree | int, path: KeyPath) -> bool:
        """Whether what the book says at a key path, by a key or as an entry, is of a ship that the mission
        drops."""
        section = path[2:] if path[:1] == (FLOW,) else path
        if section == OFFSETS and isinstance(said, dict):
            said = said.get(NAMED[FLIGHT])
        listens = section[:1] == ("radio",) and section[-1:] == (LISTENS,)
        return said in self.gone and (section in (*BY_SHIP, OFFSETS) or listens)

    def _stands(self, source: Source, at: KeyPath, path: KeyPath) -> None:
        if span := source.spans.keys.get(at):
            self.keys[path] = span
        if span := source.spans.values.get(at):
            self.values[path] = span
        if at in source.doubtful:
            self.doubtful.add(path)


def _in_place_of(number: int, path: KeyPath, here: Span) -> list[Diagnostic]:
    """A note of one line: what was meant to stand beside the book's entries would take their place. Nobody
    adds corners to another outline."""
    if path[-len(OUTLINE) :] == OUTLINE:
        return []
    entries = "1 entry" if number == 1 else f"{number} entries"
    message = (
        f"`{dotted(path)}` takes the place of the {entries} of the unit's book: a list is replaced whole"
    )
    return [Diagnostic("book-list", "note", message, here, cause=path)]


def _ships_dropped(mission: Source) -> tuple[str, ...]:
    """The numbers of the ships that a mission takes out of its book's flight."""
    flight = mission.at(FLIGHT)
    entries = flight if isinstance(flight, list) else []
    return tuple(_name(entry, FLIGHT) for entry in entries if dropped(entry, (*FLIGHT, 0)))


def _name(entry: TextTree, path: KeyPath) -> str:
    name = entry.get(NAMED[path]) if isinstance(entry, dict) else None
    return name if isinstance(name, str) else ""


def dropped(tree: TextTree, path: KeyPath) -> bool:
    """Whether it stands there to take the book's entry away: ``{drop: yes}``, of a ship or preset ``{ship: 3,
    drop: yes}``."""
    return isinstance(tree, dict) and tree.get(DROP) == "yes" and tree.keys() <= {DROP, NAMED.get(path[:-1])}


def without_drops(source: Source, why_none: str) -> tuple[Source, list[Diagnostic]]:
    """The source without the drops that took nothing away, and an error for each. ``why_none``: why there is
    nothing to take away."""
    problems = []
    for path in list(_drops(source.tree, ())):
        around, entry = source.at(path[:-1]), source.at(path)
        what = f"`{dotted(path)}`"
        help = "take it out"
        if isinstance(around, dict):
            others = {key: part for key, part in around.items() if key != path[-1]}
            near = nearest_words(str(path[-1]), others)
            help = f"did you mean {near[0]}?" if near else help
            source = source.with_value(path[:-1], others)
        else:
            key = NAMED.get(path[:-1])
            what = f"{key} {entry[key]}" if isinstance(entry, dict) and key in entry else what
            source = source.with_value(path, None)
        message, why = (
            f"{what} is dropped, and {why_none}",
            "what is meant to go may have another name, and stay",
        )
        problems.append(Diagnostic("drop", "error", message, source.spans.key(path), why, help, cause=path))
    return source, problems


def _drops(tree: TextTree, path: KeyPath) -> Iterator[KeyPath]:
    if path and dropped(tree, path):
        yield path
        return
    for key, part in parts_of(tree):
        yield from _drops(part, (*path, key))


def open_ended(source: Source) -> Source:
    """The source as one of which parts may stand elsewhere: what is missing in it is no mistake."""
    every = {
        path
        for path, tree in _mappings(source.tree, ())
        if (isinstance(tree, dict) or path in NAMED) and path[:1] != (UNIT,)
    }
    return replace(source, doubtful=source.doubtful | every)


def _mappings(tree: TextTree, path: KeyPath) -> Iterator[tuple[KeyPath, TextTree]]:
    yield path, tree
    for key, part in parts_of(tree):
        yield from _mappings(part, (*path, key))
