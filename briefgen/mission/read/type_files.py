"""Aircraft types that stand in files of their own: ``petrel: {file: types/petrel.yaml}``."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path, PurePath

from briefgen.core.diagnostics import Diagnostic, KeyPath, Related, Span
from briefgen.mission.read.characters import read_file
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import Source, Spans, TextTree

_SAFE = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_.-]*(?:/[A-Za-z0-9_][A-Za-z0-9_.-]*){0,7}\.ya?ml")


def include_type_files(source: Source, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    """The source with each reference replaced by what its file holds; the places inside it point into that
    file.

    A name must be relative and lie below the mission's folder, links included.
    """
    aircraft = source.at(("aircraft",))
    problems: list[Diagnostic] = []
    for key, part in aircraft.items() if isinstance(aircraft, dict) else ():
        if isinstance(part, dict) and "file" in part:
            source, found = _include(source, ("aircraft", key), part, folder)
            problems += found
    return source, problems


def _include(
    source: Source, path: KeyPath, part: dict[str, TextTree], folder: Path | None
) -> tuple[Source, list[Diagnostic]]:
    span = source.spans.values.get((*path, "file"))
    name = part["file"]
    others = [
        _error(
            f"`{key}` stands beside `file`",
            source.spans.keys.get((*path, key)),
            "either write the type here, or name its file",
        )
        for key in part
        if key != "file"
    ]
    if others or not isinstance(name, str):
        return _left_out(source, path), others or [
            _error("`file` wants the name of a file", span, "for example types/petrel.yaml")
        ]
    data = _read(name, folder)
    if isinstance(data, str):
        return _left_out(source, path), [
            _error(data, span, "name a .yaml file below the folder of the mission, such as types/petrel.yaml")
        ]
    inner, problems = read_source(data, printed_name(PurePath(source.name), name))
    used = [
        replace(problem, related=(*problem.related, Related("the mission names this file here", span)))
        if span
        else problem
        for problem in problems
    ]
    return _left_out(source, path) if inner is None else _graft(source, path, inner), used


def _left_out(source: Source, path: KeyPath) -> Source:
    """The source without the reference: what is wrong with it has been said."""
    return source.with_value(path, None)


def _read(name: str, folder: Path | None) -> bytes | str:
    """The file's bytes, or why it is not read."""
    if not _SAFE.fullmatch(name) or ".." in name:
        return f'"{name}" is not the name of a file below the mission\'s folder'
    if folder is None:
        return "this mission has no folder, so it cannot name a file"
    try:
        target = (folder / name).resolve(strict=True)
        if not target.is_relative_to(folder.resolve()):
            return f'"{name}" leads out of the mission\'s folder'
        return read_file(target)
    except FileNotFoundError:
        return f'there is no file "{name}" beside the mission'
    except OSError as problem:
        return f'"{name}" cannot be read: {problem.strerror}'


def printed_name(mission: PurePath, name: str) -> str:
    """A file beside the mission's, named as the mission is: as the system writes paths."""
    return str(mission.parent / name)


def _graft(source: Source, path: KeyPath, inner: Source) -> Source:
    def moved(spans: Mapping[KeyPath, Span], own: Mapping[KeyPath, Span]) -> dict[KeyPath, Span]:
        kept = {key: span for key, span in own.items() if key[:-1] != path}
        return kept | {(*path, *key): span for key, span in spans.items()}

    spans = Spans(moved(inner.spans.keys, source.spans.keys), moved(inner.spans.values, source.spans.values))
    doubtful = source.doubtful | {(*path, *inside) for inside in inner.doubtful}
    grafted, texts = source.with_value(path, inner.tree), {**source.texts, **inner.texts}
    return replace(grafted, spans=spans, texts=texts, doubtful=doubtful)


def _error(message: str, span: Span | None, help: str) -> Diagnostic:
    return Diagnostic("type-file", "error", message, span, "a mission may read only what lies with it", help)
