"""Files that a mission names: what may be read, and what is said of what may not."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path, PurePath

from briefgen.core.diagnostics import Diagnostic, Related, Span
from briefgen.mission.read.characters import MISSION, FileKind, read_file

_SAFE = re.compile(r"[A-Za-z0-9_][A-Za-z0-9_.-]*(?:/[A-Za-z0-9_][A-Za-z0-9_.-]*){0,7}")


def read_beside(
    name: str, folder: Path | None, suffixes: tuple[str, ...], kind: FileKind = MISSION
) -> bytes | str:
    """The bytes of a file that a mission names, or why it is not read: a name must be relative, end in one of
    ``suffixes`` and lie below the mission's folder, links included."""
    if not _SAFE.fullmatch(name) or ".." in name or PurePath(name).suffix not in suffixes:
        return f'"{name}" is not the name of a file below the mission\'s folder'
    if folder is None:
        return "this mission has no folder, so it cannot name a file"
    try:
        target = (folder / name).resolve(strict=True)
        if not target.is_relative_to(folder.resolve()):
            return f'"{name}" leads out of the mission\'s folder'
        return read_file(target, kind.most_bytes)
    except FileNotFoundError:
        return f'there is no file "{name}" beside the mission'
    except OSError as problem:
        return f'"{name}" cannot be read: {problem.strerror}'


def printed_name(mission: PurePath, name: str) -> str:
    """A file beside the mission's, named as the mission is: as the system writes paths."""
    return str(mission.parent / name)


def named_here(problems: Iterable[Diagnostic], span: Span | None) -> list[Diagnostic]:
    """What is wrong in a file, with the place where the mission names it."""
    if span is None:
        return list(problems)
    here = Related("the mission names this file here", span)
    return [replace(problem, related=(*problem.related, here)) for problem in problems]


def refused(code: str, message: str, span: Span | None, help: str) -> Diagnostic:
    """That a file is not read, at the place where the mission names it."""
    return Diagnostic(code, "error", message, span, "a mission may read only what lies with it", help)
