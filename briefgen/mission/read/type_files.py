"""Aircraft types that stand in files of their own: ``petrel: {file: types/petrel.yaml}``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path, PurePath

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.mission.read.beside import named_here, printed_name, read_beside, refused
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import Source, Spans, TextTree

CODE = "type-file"


def include_type_files(source: Source, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    """The source with each reference replaced by what its file holds; the places inside it point into that
    file."""
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
        refused(
            CODE,
            f"`{key}` stands beside `file`",
            source.spans.keys.get((*path, key)),
            "either write the type here, or name its file",
        )
        for key in part
        if key != "file"
    ]
    if others or not isinstance(name, str):
        return _left_out(source, path), others or [
            refused(CODE, "`file` wants the name of a file", span, "for example types/petrel.yaml")
        ]
    data = read_beside(name, folder, (".yaml", ".yml"))
    if isinstance(data, str):
        return _left_out(source, path), [
            refused(
                CODE,
                data,
                span,
                "name a .yaml file below the folder of the mission, such as types/petrel.yaml",
            )
        ]
    inner, problems = read_source(data, printed_name(PurePath(source.name), name))
    used = named_here(problems, span)
    return _left_out(source, path) if inner is None else _graft(source, path, inner), used


def _left_out(source: Source, path: KeyPath) -> Source:
    """The source without the reference: what is wrong with it has been said."""
    return source.with_value(path, None)


def _graft(source: Source, path: KeyPath, inner: Source) -> Source:
    def moved(spans: Mapping[KeyPath, Span], own: Mapping[KeyPath, Span]) -> dict[KeyPath, Span]:
        kept = {key: span for key, span in own.items() if key[:-1] != path}
        return kept | {(*path, *key): span for key, span in spans.items()}

    spans = Spans(moved(inner.spans.keys, source.spans.keys), moved(inner.spans.values, source.spans.values))
    doubtful = source.doubtful | {(*path, *inside) for inside in inner.doubtful}
    grafted, texts = source.with_value(path, inner.tree), {**source.texts, **inner.texts}
    return replace(grafted, spans=spans, texts=texts, doubtful=doubtful)
