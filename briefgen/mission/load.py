"""Reading a mission as one function: text, tree, models, instants. Errors are returned, never raised."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path, PurePath
from typing import TYPE_CHECKING

from briefgen.airmath.clocks import missing_data
from briefgen.core.diagnostics import Diagnostic, Span, has_errors, in_file_order, told_once
from briefgen.mission.files import BOOK_VERSION, book_of, is_book, read_text, with_book, with_files
from briefgen.mission.inputs.terrain_files import read_terrain
from briefgen.mission.read.characters import read_file
from briefgen.mission.read.flow import FLOW, read_flow
from briefgen.mission.read.merge import open_ended
from briefgen.mission.read.tree import Source
from briefgen.mission.resolve.flow import mission_of_flow, of_the_whole
from briefgen.mission.resolve.mission import Mission, resolve

if TYPE_CHECKING:
    from zoneinfo import ZoneInfo

    from briefgen.mission.schema.mission_file import MissionFile

MOST_LINES = 3000  # our own bound: a longer file is damaged, or no mission, and must be refused soon


def load_mission(
    path: Path | str, edits: Sequence[tuple[str, str]] = ()
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a file, or None with every error that could be found.

    ``edits`` are changes of the text tree, as in ``("ground_ops.takeoff", "12:53:00 base")``; see
    ``edit_tree``.
    """
    path = Path(path)
    source, problems = read_mission(path)
    return mission_from(source, problems, path.parent, edits)


def read_mission(path: Path) -> tuple[Source | None, list[Diagnostic]]:
    """The text tree of a file, as ``read_source`` makes it; what makes a mission of it is
    ``mission_from``."""
    try:
        data = read_file(path)
    except OSError as problem:
        return None, [_unreadable(path, problem)]
    return read_text(data, str(path))


def load_mission_text(
    text: str | bytes, name: str, *, folder: Path | None = None, edits: Sequence[tuple[str, str]] = ()
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a text. ``name`` stands in every message; without a ``folder`` no file may be referred
    to."""
    source, problems = read_text(text, name)
    return mission_from(source, problems, folder, edits)


def diagnostics_from(
    source: Source | None, problems: list[Diagnostic], folder: Path | None
) -> list[Diagnostic]:
    """Everything found in a mission, or in a unit's book by itself."""
    if source is None or not is_book(source):
        return mission_from(source, problems, folder)[1]
    path = PurePath(source.name)
    own = ((folder / path.name).resolve(),) if folder is not None else ()
    book, found = book_of(source, path.name, folder, own)
    book, unreadable = read_terrain(open_ended(book))
    file, more = _file_of(book, {}, whole=False)
    _, told = resolve(file, book, [*problems, *found, *unreadable, *more], {})
    return told_once(in_file_order([book.told_where(d) for d in told], source.name))


def _no_mission(source: Source) -> Diagnostic:
    why, help = "a book says what several missions share", "name it in a mission: `unit: ../book.yaml`"
    span = source.spans.key((BOOK_VERSION,))
    return Diagnostic("unit-book", "error", "this is a unit's book, not a mission", span, why, help)


def mission_from(
    source: Source | None,
    problems: list[Diagnostic],
    folder: Path | None,
    edits: Sequence[tuple[str, str]] = (),
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a text tree and what was found while it was read; None with every error otherwise."""
    if why := missing_data():
        return None, [*problems, _no_zones(why, source)]
    if source is not None and is_book(source):
        return None, [_no_mission(source), *diagnostics_from(source, problems, folder)]
    included, found = (None, []) if source is None else with_book(source, folder)
    if included is not None and edits:
        included, more = _edited(included, edits, folder)
        found = found + more
    if included is not None:
        included, more = read_terrain(included)
        found = found + more
    problems = [_of_a_key_without_value(problem) for problem in problems]
    if source is None or included is None:
        return None, told_once(problems + found)
    mission, told = mission_of(included, problems + found)
    if mission is None and not edits and (again := _in_their_places(source, told)):
        included, found = with_book(again[0], folder)
        return None, mission_of(included, again[1] + found)[1]
    return mission, told


def _edited(
    source: Source, edits: Sequence[tuple[str, str]], folder: Path | None
) -> tuple[Source | None, list[Diagnostic]]:
    """The source with its edits, which also reach what stands in files, and may name further ones."""
    from briefgen.mission.edit.edits import edit_tree

    edited, problems = edit_tree(source, edits)
    if edited is None:
        return None, problems
    included, found = with_files(edited, folder)
    return included, problems + found


def _of_a_key_without_value(problem: Diagnostic) -> Diagnostic:
    """That it may be left out is told only of a key that may, and of none that has its value in it."""
    if problem.code != "no-value" or not problem.cause:
        return problem
    from briefgen.mission.schema.asked import needed_value, without_colon

    if meant := without_colon(problem.cause):
        message = f"`{problem.cause[-1]}` lacks a colon and a space behind its first word"
        return replace(problem, message=message, why="what stands here is not read", help=f"write {meant}")
    return replace(problem, help=needed_value(problem.cause) or problem.help)


def _in_their_places(source: Source, told: list[Diagnostic]) -> tuple[Source, list[Diagnostic]] | None:
    """A file with errors read anew, with its misplaced keys where they belong, and what is found in its text;
    None where there are none, or more would be told then."""
    from briefgen.mission.schema.misplaced import in_their_places

    text = source.texts[source.name]
    if text.count("\n") > MOST_LINES:
        return None
    text, moved = in_their_places(text, source.name)
    again, found = read_text(text, source.name) if moved else (None, [])
    if again is None or len([*moved, *found]) > len([d for d in told if d.severity == "error"]):
        return None
    return replace(again, texts=source.texts), [*moved, *found]


def mission_of(
    source: Source, known: list[Diagnostic] | None = None
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a text tree, and everything found, in the order of the file. ``known``: what was found
    in its text before."""
    known = known or []
    if FLOW in source.tree:
        flow, problems = read_flow(source)
        known = known if isinstance(source.tree[FLOW], list) else _without_twice_in(source, known)
        mission, more = (None, []) if flow is None else mission_of_flow(flow, source, _one_pass)
        problems = [*known, *problems, *more]
    else:
        mission, problems = _one_pass(source, known, {})
    if mission is not None and not has_errors(problems):
        problems = [*problems, *of_the_whole(mission)]
    mission = None if has_errors(problems) else mission
    return mission, told_once(in_file_order([source.told_where(d) for d in problems], source.name))


def _without_twice_in(source: Source, known: Sequence[Diagnostic]) -> list[Diagnostic]:
    """Without the keys that stand twice in a flow that is no list: in a list they may."""
    around = source.spans.value((FLOW,))
    return [
        problem
        for problem in known
        if problem.code != "duplicate-key"
        or problem.span is None
        or around is None
        or not around.line <= problem.span.line <= around.end_line
    ]


def _one_pass(
    source: Source, known: Sequence[Diagnostic], events: Mapping[str, ZoneInfo]
) -> tuple[Mission | None, list[Diagnostic]]:
    file, found = _file_of(source, events, whole=not has_errors(known))
    return resolve(file, source, [*known, *found], events)


def _file_of(
    source: Source, events: Mapping[str, ZoneInfo], *, whole: bool
) -> tuple[MissionFile, list[Diagnostic]]:
    """What was written; beside errors, of the schema or of the text (not ``whole``), as far as it could be
    read."""
    from pydantic import ValidationError

    from briefgen.mission.check.fuel_units import shown_as_typed
    from briefgen.mission.schema.mission_file import MissionFile

    found: list[Diagnostic] = []
    try:
        file = MissionFile.model_validate(source.tree)
        if whole:
            return shown_as_typed(file), []
    except ValidationError as error:
        from briefgen.mission.check.offers import Offers
        from briefgen.mission.schema.errors import diagnostics_of

        found = diagnostics_of(error, source, offer=Offers.of(source, events).mended)
    from briefgen.mission.schema.partly import read_partly

    return read_partly(MissionFile, source), found


def _no_zones(why: str, source: Source | None) -> Diagnostic:
    help = "install it with `python -m pip install tzdata`, or briefgen again"
    span = Span(source.name, 1, 1, 1, 1) if source is not None else None
    return Diagnostic(
        "zone-data",
        "error",
        f"the package tzdata, the database of time zones, can't be used here ({why})",
        span,
        "no local time can be read without it",
        help,
    )


def _unreadable(path: Path, problem: OSError) -> Diagnostic:
    reason = (
        "there is no such file"
        if isinstance(problem, FileNotFoundError)
        else "it is a folder"
        if isinstance(problem, IsADirectoryError)
        else problem.strerror
    )
    return Diagnostic(
        "file",
        "error",
        f"{path} cannot be read: {reason}",
        Span(str(path), 1, 1, 1, 1),
        "",
        "check the name and the folder",
    )
