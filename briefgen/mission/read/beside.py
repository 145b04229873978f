"""Files that a mission names: what may be read, and what is said of what may not."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path, PurePath

from briefgen.core.diagnostics import Diagnostic, Related, Span
from briefgen.mission.read.characters import MISSION, FileKind, read_file

_NAME = "[A-Za-z0-9_][A-Za-z0-9_.-]*"
_SAFE = re.compile(rf"(?P<up>(?:\.\./){{0,8}}){_NAME}(?:/{_NAME}){{0,7}}")


def find_beside(
    name: str, folder: Path | None, suffixes: tuple[str, ...], *, above: bool = False
) -> Path | str:
    """Where a file lies that another one names, or why it is not read: a name must be relative, end in one of
    ``suffixes`` and lie below the folder of the file that names it, links included; ``above``: or below a
    folder above that, to which its ``../`` lead."""
    found = _SAFE.fullmatch(name)
    up = found["up"] if found is not None else ""
    below = name[len(up) :]
    if up and not above:
        return f'"{name}" lies above this folder, where only a unit\'s book is read: copy it into the folder'
    if found is None or ".." in below or PurePath(name).suffix not in suffixes:
        return f'"{name}" is not the name of a file below the folder of the file that names it'
    if folder is None:
        return "this mission has no folder, so it cannot name a file"
    try:
        root = folder.resolve()
        for _ in range(len(up) // len("../")):
            root = root.parent
        target = (root / below).resolve(strict=True)
    except FileNotFoundError:
        return f'there is no file "{name}" beside the file that names it'
    except (OSError, RuntimeError) as problem:  # a ring of links is one or the other
        return f'"{name}" cannot be read: {getattr(problem, "strerror", None) or problem}'
    return target if target.is_relative_to(root) else f'"{name}" leads out of the folder in which it is named'


def read_beside(
    name: str, folder: Path | None, suffixes: tuple[str, ...], kind: FileKind = MISSION
) -> bytes | str:
    """The bytes of a file that another one names, or why it is not read; see ``find_beside``."""
    target = find_beside(name, folder, suffixes)
    return target if isinstance(target, str) else read_found(target, name, kind)


def read_found(target: Path, name: str, kind: FileKind = MISSION) -> bytes | str:
    """The bytes of a file that was found, or why it cannot be read."""
    try:
        return read_file(target, kind.most_bytes)
    except OSError as problem:
        return f'"{name}" cannot be read: {problem.strerror}'


def printed_name(mission: PurePath, name: str) -> str:
    """A file beside the mission's, named as the mission is: as the system writes paths."""
    return str(mission.parent / name)


def named_here(problems: Iterable[Diagnostic], span: Span | None) -> list[Diagnostic]:
    """What is wrong in a file, with the place where the mission names it."""
    if span is None:
        return list(problems)
    here = Related("this file is named here", span)
    return [p if p.span == span else replace(p, related=(*p.related, here)) for p in problems]


def refused(code: str, message: str, span: Span | None, help: str) -> Diagnostic:
    """That a file is not read, at the place where the mission names it."""
    return Diagnostic(
        code, "error", message, span, "only what lies with the file that names it is read", help
    )
