"""Reading a mission as one function: text, tree, models, instants. Errors are returned, never raised."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from briefgen.diagnostics import Diagnostic, Span, has_errors
from briefgen.mission.characters import MAXIMUM_BYTES
from briefgen.mission.resolve import Mission, resolve
from briefgen.mission.source import read_source
from briefgen.mission.tree import Source
from briefgen.mission.type_files import include_type_files


def load_mission(path: Path | str, edits: Sequence[tuple[str, str]] = ()) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a file, or None with every error that could be found.

    ``edits`` are changes of the text tree, as in ``("ground_ops.takeoff", "12:53:00 base")``; see ``edit_tree``.
    """
    path = Path(path)
    try:
        with path.open("rb") as stream:
            data = stream.read(MAXIMUM_BYTES + 1)
    except OSError as problem:
        return None, [_unreadable(path, problem)]
    return load_mission_text(data, str(path), folder=path.parent, edits=edits)


def load_mission_text(
    text: str | bytes, name: str, *, folder: Path | None = None, edits: Sequence[tuple[str, str]] = ()
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a text. ``name`` stands in every message; without a ``folder`` no file may be referred to."""
    source, problems = read_source(text, name)
    return _from_source(source, problems, folder, edits)


def _from_source(
    source: Source | None, problems: list[Diagnostic], folder: Path | None, edits: Sequence[tuple[str, str]]
) -> tuple[Mission | None, list[Diagnostic]]:
    if source is not None and edits:
        from briefgen.mission.edit import edit_tree

        source, found = edit_tree(source, edits)
        problems = problems + found
    if source is None:
        return None, problems
    source, found = include_type_files(source, folder)
    problems = problems + found
    mission, found = mission_of(source, stop=has_errors(problems))
    return mission, problems + found


def mission_of(source: Source, *, stop: bool = False) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a text tree. ``stop``: earlier errors are known, so that only those of the schema are still wanted."""
    from pydantic import ValidationError

    from briefgen.mission.schema import MissionFile

    try:
        file = MissionFile.model_validate(source.tree)
    except ValidationError as error:
        from briefgen.mission.schema_errors import diagnostics_of

        return None, diagnostics_of(error, source)
    return (None, []) if stop else resolve(file, source)


def _unreadable(path: Path, problem: OSError) -> Diagnostic:
    reason = (
        "there is no such file"
        if isinstance(problem, FileNotFoundError)
        else "it is a folder"
        if isinstance(problem, IsADirectoryError)
        else problem.strerror
    )
    return Diagnostic("file", "error", f"{path} cannot be read: {reason}", Span(str(path), 1, 1, 1, 1), "", "check the name and the folder")
