"""Parts of a mission that stand in files of their own: ``petrel: {file: types/petrel.yaml}``, ``radio: {file:
radio.yaml}``. Any section and any entry may; a file that is named so names no further one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path, PurePath

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.mission.read.beside import named_here, printed_name, read_beside, refused
from briefgen.mission.read.composer import ENTRIES
from briefgen.mission.read.tree import Source, Spans, TextTree, parts_of

CODE = "part-file"
FILE = "file"
MOST_PARTS = 40  # our own bound
SUFFIXES = (".yaml", ".yml")
OUTLINE: KeyPath = ("training", "area", "boundary")  # whose file is no text: place_files.py
# the text of a file, its name, and the key path at which it will stand
ReadPart = Callable[[bytes, str, KeyPath], tuple[Source | None, list[Diagnostic]]]


def include_parts(source: Source, folder: Path | None, read: ReadPart) -> tuple[Source, list[Diagnostic]]:
    """The source with each reference replaced by what its file holds; the places inside it point into that
    file."""
    problems: list[Diagnostic] = []
    for number, path in enumerate(list(_references(source.tree, ())), 1):
        if number > MOST_PARTS:
            message, help = f"more than {MOST_PARTS} parts stand in files", "write some of them here"
            problems.append(refused(CODE, message, source.spans.value((*path, FILE)), help))
            return _left_out(source, path), problems
        source, found = _include(source, path, folder, read)
        problems += found
    return source, problems


def _references(tree: TextTree, path: KeyPath) -> Iterator[KeyPath]:
    """The key path of every mapping that names a file; an entry of that name with keys of its own is none."""
    if path[-1:] == OUTLINE[-1:]:  # also in a section whose own name is misspelt
        return
    if isinstance(tree, dict) and path and FILE in tree and not isinstance(tree[FILE], dict):
        yield path
        return
    for key, part in parts_of(tree):
        yield from _references(part, (*path, key))


def _include(
    source: Source, path: KeyPath, folder: Path | None, read: ReadPart
) -> tuple[Source, list[Diagnostic]]:
    part = source.at(path)
    assert isinstance(part, dict)
    span, name = source.spans.values.get((*path, FILE)), part[FILE]
    beside = [source.spans.keys.get((*path, key)) for key in part if key != FILE]
    if beside:
        keys = [key for key in part if key != FILE]
        help = "either write the part here, or name its file"
        return _left_out(source, path), [
            refused(CODE, f"`{key}` stands beside `file`", at, help)
            for key, at in zip(keys, beside, strict=True)
        ]
    if not isinstance(name, str):
        told = refused(CODE, "`file` wants the name of a file", span, "for example types/petrel.yaml")
        return _left_out(source, path), [] if name is None else [told]
    data = read_beside(name, folder, SUFFIXES)
    if isinstance(data, str):
        help = "name a .yaml file below this folder, such as types/petrel.yaml"
        return _left_out(source, path), [refused(CODE, data, span, help)]
    inner, problems = read(data, printed_name(PurePath(source.name), name), path)
    used = named_here(problems, span)
    return _left_out(source, path) if inner is None else _graft(source, path, inner), used


def _left_out(source: Source, path: KeyPath) -> Source:
    """The source without the reference: what is wrong with it has been said."""
    return source.with_value(path, None)


def _graft(source: Source, path: KeyPath, inner: Source) -> Source:
    def stand(inside: KeyPath) -> KeyPath:
        return (*path, *(inside[1:] if inside[:1] == (ENTRIES,) else inside))

    def moved(spans: Mapping[KeyPath, Span], own: Mapping[KeyPath, Span]) -> dict[KeyPath, Span]:
        kept = {key: span for key, span in own.items() if key[:-1] != path}
        return kept | {stand(key): span for key, span in spans.items()}

    spans = Spans(moved(inner.spans.keys, source.spans.keys), moved(inner.spans.values, source.spans.values))
    doubtful = source.doubtful | {stand(inside) for inside in inner.doubtful}
    value = inner.tree.get(ENTRIES, inner.tree)
    return replace(
        source.with_value(path, value),
        spans=spans,
        texts={**source.texts, **inner.texts},
        doubtful=doubtful,
    )
