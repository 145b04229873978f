"""Keys whose indent puts them into another section than the one that knows them: said where they belong, with
the line, and read as if they stood there, so that nothing that only follows from it is told.

Looked for only beside errors. The text is taken line by line, since a wrong indent may leave no tree at all.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from typing import NamedTuple

from briefgen.core.diagnostics import Diagnostic, KeyPath, Related, Span
from briefgen.mission.read.tree import where_in
from briefgen.mission.schema.base import Part
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.models import extra_model, field_of, holds_ids, part_in

_KEY = re.compile(
    r"(?P<indent> *)(?P<item>- +)?(?P<key>[A-Za-z0-9_]+(?: [A-Za-z0-9_]+)?):"
    r"(?: +(?P<value>[^ #].*))?(?: *#.*)?$"
)
_STEP = 2  # columns from a section to its keys where it has none yet


class _Section(NamedTuple):
    """A line that may have keys below it: its column, its path, what stands there, the column of its keys."""

    column: int
    path: KeyPath
    model: type[Part] | None
    ids: bool  # names of one's own stand below it
    whole: bool  # its value stands on its own line

    def takes_names(self, found: re.Match[str]) -> bool:
        """Whether names of one's own may stand below it, with such a value."""
        if self.ids and self.model is None:
            return True
        own = found["key"][0].isalpha() and extra_model(self.model) is not None
        return (self.ids or own) and not _plain(found)


class _Moved(NamedTuple):
    line: int
    key: str
    section: KeyPath
    typed: int
    column: int


_TOP = _Section(-1, (), MissionFile, ids=False, whole=False)


def in_their_places(text: str, name: str) -> tuple[str, list[Diagnostic]]:
    """The text with its misplaced keys in their columns, and an error for each, for neighbours that are off
    together one."""
    lines = text.split("\n")
    first = _Walk({})
    for number, line in enumerate(lines):
        first.line(number, line)
    walk = _Walk(first.found)
    placed = [walk.line(number, line) for number, line in enumerate(lines)]
    return "\n".join(placed), [_told(group, lines, name) for group in _together(walk.moved)]


class _Walk:
    """Down the lines of a file, with the sections that are open."""

    def __init__(self, columns: Mapping[KeyPath, list[int]]) -> None:
        """``columns``: where the keys of each section stand, as an earlier walk found."""
        self.columns = columns
        self.open, self.moved = [_TOP], list[_Moved]()
        self.found: dict[KeyPath, list[int]] = {}
        self.seen, self.entries = set[KeyPath](), Counter[KeyPath]()
        self.brackets = 0
        self.text_below: int | None = None

    def line(self, number: int, line: str) -> str:
        """The line in its column."""
        found, column = _KEY.match(line), len(line) - len(line.lstrip(" "))
        inside = self.brackets > 0 or (self.text_below is not None and column > self.text_below)
        self._count(line)
        if not line.strip() or line.lstrip().startswith("#") or inside:
            return line
        self.text_below = None
        if found is not None and found["item"]:
            self._item(found, column)
        elif found is not None:
            placed = self._placed(number, found, column)
            self._enter(found, placed, column)
            return " " * placed + line[column:]
        return line

    def _count(self, line: str) -> None:
        bare = re.sub(r"\"[^\"]*\"|(?<=[ \[{,])'[^']*'|(?:^| )#.*", "", line)
        self.brackets = max(0, self.brackets + sum(map(bare.count, "[{")) - sum(map(bare.count, "]}")))

    def _item(self, found: re.Match[str], column: int) -> None:
        """An entry of a list: its first key stands behind the hyphen."""
        self._close(column + 1)
        if self.open[-1].column == column and isinstance(self.open[-1].path[-1], int):
            self.open.pop()  # the entry before; a list may stand in the column of its key
        above = self.open[-1]
        self.entries[above.path] += 1
        self.open.append(above._replace(column=column, path=(*above.path, self.entries[above.path] - 1)))
        keys = column + len(found["item"])
        self._enter(found, keys, keys)

    def _close(self, column: int) -> None:
        while len(self.open) > 1 and self.open[-1].column >= column:
            self.open.pop()

    def _placed(self, number: int, found: re.Match[str], column: int) -> int:
        """The column where the key belongs: that of its section's other keys, of the one that is open and
        knows it where its own does not; as it stands where none does."""
        before = list(self.open)
        self._close(column)
        if self._takes(self.open[-1], found, before):
            section, placed = self.open[-1], column
            if section.path in self.columns:
                placed = self._column(section)
        else:
            fitting = [one for one in before if self._knows(one, found)] or [
                one for one in before if self._may_be_named(one, found)
            ]
            if not fitting:
                return column
            section = min(reversed(fitting), key=lambda one: abs(self._column(one) - column))
            self.open = before[: before.index(section) + 1]
            placed = self._column(section)
        if placed != column:
            self.moved.append(_Moved(number, found["key"], section.path, column, placed))
        return placed

    def _column(self, section: _Section) -> int:
        """The column of most keys of a section; of two that are as many the nearer to the margin."""
        known = self.columns.get(section.path) or self.found.get(section.path, [])
        below = [column for column in known if column > section.column]
        return max(sorted(set(below)), key=below.count, default=section.column + _STEP)

    def _takes(self, section: _Section, found: re.Match[str], others: list[_Section]) -> bool:
        """Whether a key may stand in a section: known there, or a name of one's own that no other open
        section knows."""
        if section.whole or self._knows(section, found) or (section.model is None and not section.ids):
            return not section.whole
        known = any(self._knows(other, found) for other in others if other is not section)
        return not known and section.takes_names(found)

    def _knows(self, section: _Section, found: re.Match[str]) -> bool:
        """Whether it is a key of the section's own that has not stood there yet, with a value of its kind."""
        field = None if section.ids or section.whole else field_of(section.model, found["key"])
        if field is None or (*section.path, found["key"]) in self.seen:
            return False
        return part_in(field.annotation) is None or not _plain(found)

    def _may_be_named(self, section: _Section, found: re.Match[str]) -> bool:
        """A name of one's own in capitals or digits, or the first below its section: small letters may as
        well be a misspelt key."""
        plain = not any(letter.islower() for letter in found["key"]) or section.path not in self.found
        return plain and section.ids and not section.whole and section.takes_names(found)

    def _enter(self, found: re.Match[str], column: int, typed: int) -> None:
        above, value = self.open[-1], found["value"]
        path = (*above.path, found["key"])
        self.seen.add(path)
        self.found.setdefault(above.path, []).append(typed)
        model, ids, values = _below(above, found["key"])
        whole = value is not None or values
        self.open.append(_Section(column, path, model, ids, whole))
        if value is not None and value[0] in ">|":
            self.text_below = column


def _plain(found: re.Match[str]) -> bool:
    """A value that has no keys of its own stands behind the colon."""
    return found["value"] is not None and found["value"][0] not in "{[&*"


def _below(section: _Section, key: str) -> tuple[type[Part] | None, bool, bool]:
    """What stands below a key: its model, whether names of one's own come first, whether values alone."""
    if section.ids:
        return section.model, False, section.model is None
    field = field_of(section.model, key)
    if field is None:
        return extra_model(section.model), False, False
    model, ids = part_in(field.annotation), holds_ids(field.annotation)
    return model, ids, model is None and not ids


def _together(moved: list[_Moved]) -> list[list[_Moved]]:
    groups: list[list[_Moved]] = []
    for one in moved:
        last = groups[-1][-1] if groups else None
        if (
            last is not None
            and one.line == last.line + 1
            and one.column - one.typed == last.column - last.typed
        ):
            groups[-1].append(one)
        else:
            groups.append([one])
    return groups


def _told(group: list[_Moved], lines: list[str], name: str) -> Diagnostic:
    (first, *others), section = group, where_in(group[0].section)
    spaces = f"with {first.column} spaces before it" if first.column else "at the beginning of its line"
    span, *spans = [
        Span(name, one.line + 1, one.typed + 1, one.line + 1, one.typed + 1 + len(one.key)) for one in group
    ]
    return Diagnostic(
        "misplaced-key",
        "error",
        f"`{first.key}` belongs {section}, whose keys stand {first.column} columns in; here {first.typed}",
        span,
        "the indent says to which section a key belongs",
        f"write it {spaces}: {lines[first.line].strip()}" + ("; the next lines likewise" if others else ""),
        tuple(Related("the same here", other) for other in spans),
        (*first.section, first.key),
    )
