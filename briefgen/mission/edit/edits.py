"""Changes of the text tree before it is checked: ``ground_ops.takeoff="12:53:00 base"``."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import dataclass, replace

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span, has_errors
from briefgen.mission.read.flow import AGAIN, FLOW, KINDS, entries_of
from briefgen.mission.read.merge import UNIT
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import Source, Spans, TextTree, look_up
from briefgen.mission.schema.base import did_you_mean
from briefgen.mission.schema.mission_file import MissionFile

REMOVED = ""
SECTIONS = frozenset(MissionFile.model_fields)


def edit_tree(source: Source, edits: Sequence[tuple[str, str]]) -> tuple[Source | None, list[Diagnostic]]:
    """The source with changed values, which then pass the same checks as the file.

    An edit is a key path with dots (positions in a list count from 1: ``flight.4.start_fuel``) and the new
    value as it would be typed in the file; an empty value takes the key out.  Keys on the way that are not
    there are made, except in a list.  A message about a changed value points into the text of the edit.
    """
    spans = source.spans
    draft = _Draft(copy.deepcopy(source.tree), dict(spans.keys), dict(spans.values), dict(source.texts))
    problems = [problem for path, value in edits for problem in draft.apply(path, value)]
    changed = replace(source, tree=draft.tree, spans=Spans(draft.keys, draft.values), texts=draft.texts)
    return (None if has_errors(problems) else changed), problems


@dataclass
class _Draft:
    tree: dict[str, TextTree]
    keys: dict[KeyPath, Span]
    values: dict[KeyPath, Span]
    texts: dict[str, str]

    def apply(self, dotted: str, value: str) -> list[Diagnostic]:
        name = f"--set {dotted}"
        text = f"value: {value}\n"
        whole = Span(name, 1, 1, 1, 1 + len(text.strip()))
        self.texts[name] = text
        path = self._path(dotted)
        if isinstance(path, str):
            return [
                Diagnostic(
                    "edit",
                    "error",
                    path,
                    whole,
                    "",
                    "write the keys with dots between them, such as ground_ops.takeoff or"
                    " flight.4.start_fuel",
                )
            ]
        if value == REMOVED:
            self._drop(path)
            return []
        part, problems = read_source(text, name)
        if part is None or has_errors(problems):
            return problems
        self._put(path, part)
        return problems

    def _path(self, dotted: str) -> KeyPath | str:
        """The key path, or why there is none."""
        path: KeyPath = ()
        if dotted.partition(".")[0] == UNIT:
            return (
                "the unit's book is named in the file alone; its sections are changed as if they stood there"
            )
        for step in dotted.split("."):
            here = look_up(self.tree, path)
            if astray := self._no_such_piece(path, step):
                return astray
            if isinstance(here, list):
                if not step.isdigit() or not 1 <= int(step) <= len(here):
                    return (
                        f'"{step}" is no position in this list, which has {len(here)} entries; the first is 1'
                    )
                path = (*path, int(step) - 1)
            elif isinstance(here, str):
                return f'"{step}" cannot stand below a value'
            elif (
                not path
                and isinstance(here, dict)
                and step not in here
                and step not in SECTIONS
                and (word := self._meant(step, dotted))
            ):
                return f'there is no section "{step}"{word}'
            elif not step:
                return "a key is missing between two dots"
            else:
                path = (*path, step)
        return path

    def _no_such_piece(self, path: KeyPath, step: str) -> str:
        """Why a section of the flow is not where it is looked for, and where it is; empty where it is there,
        and in a file without one."""
        if FLOW not in self.tree:
            return ""
        if path == () and step in KINDS and step not in self.tree:
            return f'"{step}" stands in the flow: {self._pieces()}'
        own = look_up(self.tree, path) if len(path) == 2 and path[0] == FLOW else None
        if path == (FLOW,) and not step.isdigit():
            return f'"{step}" is no position in the flow: {self._pieces()}'
        if isinstance(own, dict) and step not in own and not (step == AGAIN and "event" in own):
            return f'there is no "{step}" at that place of the flow: {self._pieces()}'
        return ""

    def _pieces(self) -> str:
        """``flow.1.departure, flow.4.event (HILL)``: what can be written."""
        named = (
            (f"{FLOW}.{i}.{kind}", section.get("id") if isinstance(section, dict) else None)
            for i, entry in enumerate(entries_of(self.tree[FLOW]), 1)
            for kind, section in entry.items()
            if kind in KINDS
        )
        return "write " + ", ".join(f"{path} ({id})" if id else path for path, id in named)

    def _meant(self, section: str, dotted: str) -> str:
        """The path from the top where a key stands below another section, or the section that was meant;
        empty where neither is known."""
        whole = next((path for path in self.keys if path[-1:] == (section,)), None)
        if whole is None:
            return did_you_mean(section, list(self.tree))
        start = ".".join(str(step + 1) if isinstance(step, int) else step for step in whole)
        rest = dotted.removeprefix(section).split(".")[1:]
        if rest[:1] == ["0"] and isinstance(look_up(self.tree, whole), list):
            rest[0] = "1"
            return f"; it stands further down, its first entry is 1: write {'.'.join((start, *rest))}"
        return f"; it stands further down: write {'.'.join((start, *rest))}"

    def _drop(self, path: KeyPath) -> None:
        self._forget(path)
        match look_up(self.tree, path[:-1]), path[-1]:
            case dict() as around, str() as key:
                around.pop(key, None)
            case list() as entries, int() as position:
                del entries[position]
                self._move_up(path[:-1], position)

    def _move_up(self, around: KeyPath, gone: int) -> None:
        """What stood behind a dropped entry of a list stands one position earlier."""
        depth = len(around)
        for table in (self.keys, self.values):
            behind = [
                (step, key)
                for key in table
                if key[:depth] == around
                and len(key) > depth
                and isinstance(step := key[depth], int)
                and step > gone
            ]
            for step, key in sorted(behind, key=lambda entry: entry[0]):
                table[(*around, step - 1, *key[depth + 1 :])] = table.pop(key)

    def _put(self, path: KeyPath, part: Source) -> None:
        for stop in range(1, len(path)):
            if not isinstance(look_up(self.tree, path[:stop]), (dict, list)):
                self._set(path[:stop], {})
        self._set(path, part.at(("value",)))
        self._forget(path)
        for own, moved in ((self.keys, part.spans.keys), (self.values, part.spans.values)):
            own.update({(*path, *key[1:]): span for key, span in moved.items() if key})

    def _set(self, path: KeyPath, value: TextTree) -> None:
        match look_up(self.tree, path[:-1]), path[-1]:
            case dict() as around, str() as key:
                around[key] = value
            case list() as entries, int() as position:
                entries[position] = value

    def _forget(self, path: KeyPath) -> None:
        for table in (self.keys, self.values):
            for key in [key for key in table if key[: len(path)] == path]:
                del table[key]
