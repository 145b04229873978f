"""The differences of two text trees, key by key, with the old and the new text as typed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any, TypeAlias

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.read.flow import FLOW, KINDS

# an entry of a list is the same entry as long as it keeps its name, wherever it stands in the list
NAMES = ("ship", "preset", "who", "name", "reference", "rule", "hazard", "level", "to")
SHORTEST = 60  # of a whole branch that came or went, so many characters are told


Files: TypeAlias = "Mapping[KeyPath, Elsewhere | None]"  # None: back in the mission's


@record
class Elsewhere:
    """Another file than the mission's, by its way from there; whether it is a unit's book."""

    file: str
    book: bool


@record
class Typed:
    """One key whose text differs. ``old`` is None where the key is new, ``new`` where it is gone. ``where``
    is the path in a reader's words; ``path`` names lists by position in the newer tree, or in the older one
    where the entry is gone. ``stands``: in which other file than the mission's it stands, or stood."""

    path: KeyPath
    where: str
    old: str | None
    new: str | None
    stands: Elsewhere | None = None

    @property
    def place(self) -> str:
        """``the file``, ``the unit's book ../book.yaml``, ``types/petrel.yaml``."""
        if self.stands is None:
            return "the file"
        return f"the unit's book {self.stands.file}" if self.stands.book else self.stands.file

    def told(self) -> str:
        """Its words, with the file where that is not the mission's."""
        return self.words() if self.stands is None else f"in {self.place}: {self.words()}"

    def words(self) -> str:
        """``flight[ship 3].tail: 0480, was 0479``."""
        if self.old is None:
            return f"{self.where}: {self.new}, was not given"
        return (
            f"{self.where}: gone, was {self.old}"
            if self.new is None
            else f"{self.where}: {self.new}, was {self.old}"
        )


def typed_changes(old: Any, new: Any, files: Sequence[Files] = ({}, {})) -> list[Typed]:
    """Every difference, in the order of the newer tree; what is gone comes where it stood among its
    neighbours' keys. ``files``: which parts of the old and of the new tree stand in other files."""
    return [
        replace(change, stands=_file_of(change.path, files[0 if change.new is None else 1]))
        for change in _changes(old, new, (), "")
    ]


def _file_of(path: KeyPath, files: Files) -> Elsewhere | None:
    """The file of the nearest part around a key."""
    return next((files[path[:stop]] for stop in range(len(path), -1, -1) if path[:stop] in files), None)


def _changes(old: Any, new: Any, path: KeyPath, where: str) -> Iterator[Typed]:
    if old == new:
        return
    if isinstance(old, dict) and isinstance(new, dict):
        yield from _keyed(old, new, path, where)
    elif isinstance(old, list) and isinstance(new, list):
        yield from _listed(old, new, path, where)
    else:
        yield Typed(path, where or "the file", _text(old), _text(new))


def _keyed(old: dict[str, Any], new: dict[str, Any], path: KeyPath, where: str) -> Iterator[Typed]:
    for key in [*new, *(key for key in old if key not in new)]:
        yield from _changes(old.get(key), new.get(key), (*path, key), f"{where}.{key}" if where else key)


def _listed(old: list[Any], new: list[Any], path: KeyPath, where: str) -> Iterator[Typed]:
    names = _names(old, new, path)
    before, after = (
        {name: (i, entry) for i, (name, entry) in enumerate(zip(own, entries, strict=True))}
        for own, entries in zip(names, (old, new), strict=True)
    )
    for label in [*after, *(label for label in before if label not in after)]:
        place = (after.get(label) or before[label])[0]
        yield from _changes(
            before.get(label, (0, None))[1],
            after.get(label, (0, None))[1],
            (*path, place),
            f"{where}[{label}]",
        )


def _names(old: list[Any], new: list[Any], path: KeyPath) -> tuple[list[str], ...]:
    """What the entries of both lists are called, each differently."""
    if path == (FLOW,):
        pieces = tuple(_names_of_flow(entries) for entries in (old, new))
        if all(len(set(names)) == len(names) for names in pieces):
            return pieces
    key = _naming_key(old, new)
    return tuple([_name(entry, key, i) for i, entry in enumerate(entries)] for entries in (old, new))


def _names_of_flow(entries: list[Any]) -> list[str]:
    """An event and a block by its id, a way by what it leads to: a neighbour that comes or goes changes no
    other's."""
    names: list[str] = []
    for entry in reversed(entries):
        kind = next((kind for kind in KINDS if isinstance(entry, dict) and kind in entry), "")
        section = entry[kind] if kind else None
        id = section.get("id") if isinstance(section, dict) else None
        names.append(f"to {names[-1]}" if kind == "transit" and names else str(id or kind))
    return names[::-1]


def _naming_key(old: list[Any], new: list[Any]) -> str | None:
    """The key that names the entries of both lists, each differently; None: they go by position."""
    for key in NAMES:
        texts = [
            [entry.get(key) if isinstance(entry, dict) else None for entry in entries]
            for entries in (old, new)
        ]
        if all(isinstance(text, str) for side in texts for text in side) and all(
            len(set(side)) == len(side) for side in texts
        ):
            return key
    return None


def _name(entry: Any, key: str | None, position: int) -> str:
    return str(position + 1) if key is None else f"{key} {entry[key]}"


def _text(value: Any) -> str | None:
    if value is None or isinstance(value, str):
        return value
    text = _flow(value)
    return text if len(text) <= SHORTEST else f"{text[: SHORTEST - 4]} ..."


def _flow(value: Any) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key}: {_flow(part)}" for key, part in value.items()) + "}"
    return "[" + ", ".join(_flow(part) for part in value) + "]" if isinstance(value, list) else str(value)
