"""A mission's text with all that stands in files of its own: parts, places, and the unit's book."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path, PurePath

from briefgen.core.diagnostics import Diagnostic, KeyPath, Mend, has_errors
from briefgen.core.fingerprint import fingerprint
from briefgen.mission.inputs.obstacle_files import include_obstacle_files
from briefgen.mission.inputs.place_files import include_place_files
from briefgen.mission.inputs.report import is_pasted
from briefgen.mission.inputs.terrain_files import find_terrain_files
from briefgen.mission.read.beside import find_beside, named_here, printed_name, read_found
from briefgen.mission.read.characters import MAXIMUM_BYTES, FileKind
from briefgen.mission.read.flow import FLOW
from briefgen.mission.read.merge import UNIT, merged, open_ended, without_drops
from briefgen.mission.read.parts import SUFFIXES, include_parts
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import Source, Spans, TextTree
from briefgen.units.nearest import surely_meant

VERSION, BOOK_VERSION, FORMAT = "briefgen", "briefgen_unit", "1"
HEAD = ("owner", "date")  # what a book says of itself
MOST_BOOKS = 2  # a squadron's and its wing's
KIND = FileKind("book", MAXIMUM_BYTES, "a unit's book has 20 kB; is this the right file?")
_WHY = "what it says would be missing from the mission"
_LIKE = "write its way from here, such as `unit: ../book.yaml`"


def read_text(data: bytes | str, name: str) -> tuple[Source | None, list[Diagnostic]]:
    """The text tree of a mission or a book, as ``read_source`` makes it."""
    return read_source(data, name, is_list=_is_list, is_pasted=is_pasted, is_key=_is_key)


def _is_list(path: KeyPath) -> bool:
    from briefgen.mission.schema.asked import wants_list

    return wants_list(path)


def _is_key(path: KeyPath) -> bool:
    from briefgen.mission.schema.asked import is_known

    return is_known(path)


def _read_part(data: bytes, name: str, at: KeyPath) -> tuple[Source | None, list[Diagnostic]]:
    def stand(inside: KeyPath) -> KeyPath:
        return (*at, *inside)

    return read_source(
        data,
        name,
        is_list=lambda p: _is_list(stand(p)),
        is_pasted=lambda p: is_pasted(stand(p)),
        is_key=lambda p: _is_key(stand(p)),
        lists=True,
    )


def with_files(source: Source, folder: Path | None) -> tuple[Source, list[Diagnostic]]:
    """The source with its parts, places and obstacles that stand in files, and what is wrong with these."""
    source, problems = include_parts(source, folder, _read_part)
    for include in (include_place_files, include_obstacle_files, find_terrain_files):
        source, found = include(source, folder)
        problems += found
    return source, problems


def with_book(
    source: Source, folder: Path | None, above: tuple[Path, ...] = ()
) -> tuple[Source, list[Diagnostic]]:
    """The source with its files, on the unit's book where it names one. ``above``: the books that have led
    here, this one the last."""
    source, problems = with_files(source, folder)
    if UNIT not in source.tree:
        source, found = without_drops(source, "no unit's book is named here")
        return source, problems + found
    alone = replace(source, tree={key: part for key, part in source.tree.items() if key != UNIT})
    span, name = source.spans.value((UNIT,)), source.tree[UNIT]
    if name is None:  # told already
        return open_ended(alone), problems
    book, found = _book_at(name, folder, source, above)
    problems += named_here(found, span)
    if book is None:
        return open_ended(alone), problems
    whole, notes = merged(book, alone)
    whole, found = without_drops(whole, "the unit's book has no such entry")
    return (open_ended(whole) if has_errors(problems) else whole), [*problems, *notes, *found]


def _book_at(
    name: TextTree, folder: Path | None, mission: Source, above: tuple[Path, ...]
) -> tuple[Source | None, list[Diagnostic]]:
    """The book that a mission, or a book, names; None where it is not read, with the reason."""
    span = mission.spans.value((UNIT,))
    if not isinstance(name, str):
        return None, [
            Diagnostic("unit-book", "error", "`unit` wants the name of one file", span, _WHY, _LIKE)
        ]
    target = find_beside(name, folder, SUFFIXES, above=True)
    if isinstance(target, str):
        why = "a book lies with the mission or above it; nothing else there is read"
        return None, [Diagnostic("unit-book", "error", target, span, why, _LIKE)]
    if target in above or len(above) >= MOST_BOOKS:
        message = "a mission's book may name one more, and that one none"
        message = "the unit's books name each other in a ring" if target in above else message
        why, help = "nobody could say which one counts", "write into this book what is needed of the other"
        return None, [Diagnostic("unit-book", "error", message, span, why, help)]
    data = read_found(target, name, KIND)
    if isinstance(data, str):
        return None, [Diagnostic("unit-book", "error", data, span, _WHY, _LIKE)]
    book, problems = read_text(data, printed_name(PurePath(mission.name), name))
    if book is None or not is_book(book):
        # nothing is told of what stands in a file that is not meant to be read
        is_mission = book is not None and VERSION in book.tree
        message = f"{name} is a mission, no unit's book" if is_mission else f"{name} is no unit's book"
        help = f"begin the book with `{BOOK_VERSION}: {FORMAT}`, or name another file"
        return None, [Diagnostic("unit-book", "error", message, span, _WHY, help)]
    book, found = book_of(book, name, target.parent, (*above, target))
    return book, problems + found


def is_book(source: Source) -> bool:
    """Whether a text is a unit's book, by its first key."""
    return BOOK_VERSION in source.tree


def book_of(
    book: Source, name: str, folder: Path | None, above: tuple[Path, ...]
) -> tuple[Source, list[Diagnostic]]:
    """A book as the sections that a mission takes from it, with its own files and its own book; what it says
    of itself stands below ``unit``."""
    problems = _not_of_a_book(book)
    book, found = _with_its_head(book)
    problems += found
    left = {key: part for key, part in book.tree.items() if key not in (BOOK_VERSION, VERSION, FLOW)}
    whole, found = with_book(replace(book, tree=left), folder, above)
    told = {key: whole.tree[key] for key in (*HEAD, UNIT) if key in whole.tree}
    sections = {key: part for key, part in whole.tree.items() if key not in told}
    keys, values = (
        {(UNIT, *at) if at[:1] and at[0] in told else at: span for at, span in spans.items()}
        for spans in (whole.spans.keys, whole.spans.values)
    )
    top = book.spans.values[()]
    values |= {(UNIT,): top, (UNIT, "book"): top}
    keys[(UNIT,)] = top
    tree = {**sections, UNIT: {"book": name, **told}}
    mark = fingerprint(text_tree=whole.canonical(), plan=None, files={}, versions={}).spoken
    return replace(whole, tree=tree, spans=Spans(keys, values), book_mark=mark), problems + found


def _with_its_head(book: Source) -> tuple[Source, list[Diagnostic]]:
    """The book with what it says of itself under its own key where that is mistyped, and what is told of
    that."""
    lacks = [key for key in HEAD if key not in book.tree]
    meant = {key: near for key in book.tree if (near := surely_meant(key, lacks))}
    why, found = "what is not known is not read", []
    for key, near in meant.items():
        message, span = f"there is no key `{key}` at the top of a book", book.spans.key((key,))
        told = Diagnostic("unknown-key", "error", message, span, why, f"did you mean {near}?", cause=(key,))
        found.append(replace(told, mend=Mend(key, near)))
    tree = {meant.get(key, key): part for key, part in book.tree.items()}
    keys, values = (
        {(meant.get(str(at[0]), at[0]), *at[1:]) if at else at: span for at, span in spans.items()}
        for spans in (book.spans.keys, book.spans.values)
    )
    return replace(book, tree=tree, spans=Spans(keys, values)), found


def _not_of_a_book(book: Source) -> list[Diagnostic]:
    found = []
    if book.tree[BOOK_VERSION] not in (FORMAT, None):
        message, help = "this is no version of the format of a book", f"write `{BOOK_VERSION}: {FORMAT}`"
        span = book.spans.value((BOOK_VERSION,))
        found.append(Diagnostic("unit-book", "error", message, span, "it would be read wrongly", help))
    for key, help in (
        (VERSION, f"a book begins with `{BOOK_VERSION}: {FORMAT}` alone: take this line out"),
        (FLOW, "write it in the mission; a book may say what is the same of each `event` and `training`"),
    ):
        if key in book.tree:
            message, why = f"`{key}` has no place in a unit's book", "it belongs to one mission"
            found.append(Diagnostic("unit-book", "error", message, book.spans.key((key,)), why, help))
    return found
