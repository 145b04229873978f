"""``briefgen check --fix``: the difference shown, then the mended file in the place of the old one."""

from __future__ import annotations

import contextlib
import difflib
import os
import stat
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from briefgen.console import say, wrapped
from briefgen.core.folders import new_beside
from briefgen.core.folders import replace as replace_file
from briefgen.core.records import record
from briefgen.mission.edit.mends import Change, Mended, mended
from briefgen.mission.read.characters import MAXIMUM_BYTES, read_file


@record
class Fixed:
    """What was mended in a file, None where it could not be read; ``written``: it was put in its place;
    ``problem``: why not."""

    mended: Mended | None
    difference: tuple[str, ...] = ()
    written: bool = False
    problem: str = ""


def fix(path: Path, *, dry_run: bool, as_json: bool) -> Fixed:
    """Mend a file, or with ``dry_run`` only show what that would change. The difference is printed before
    anything is written: where it can't be, nothing is."""
    try:
        data = read_file(path)
        text = data.decode("utf-8")
    except (OSError, UnicodeDecodeError):  # the check tells it
        return Fixed(None)
    found = mended(text, str(path), path.parent) if len(data) <= MAXIMUM_BYTES else None
    if found is None:
        return Fixed(None)
    difference = tuple(_difference(text, found.text, str(path)))
    for line in () if as_json else difference:
        say(line)
    problem = _put(path, data, found.text.encode("utf-8")) if found.made and not dry_run else ""
    fixed = Fixed(found, difference, bool(found.made) and not dry_run and not problem, problem)
    for line in () if as_json else _lines(path, fixed):
        say(wrapped(line))
    return fixed


def fixed_object(fixed: Fixed) -> dict[str, Any]:
    """The same for machines."""
    found = fixed.mended
    return {
        "written": fixed.written,
        "problem": fixed.problem,
        "difference": list(fixed.difference),
        "mended": [_object(change) for change in found.made] if found else [],
        "left": [_object(change) for change in found.left] if found else [],
    }


def _object(change: Change) -> dict[str, Any]:
    place = {"file": change.span.file, "line": change.span.line, "column": change.span.column}
    return {"place": place, "old": change.mend.old, "new": change.mend.new, "why": change.why}


def _difference(old: str, new: str, name: str) -> Iterator[str]:
    return difflib.unified_diff(old.splitlines(), new.splitlines(), name, f"{name}, mended", lineterm="")


def _lines(path: Path, fixed: Fixed) -> Iterator[str]:
    """What was mended and what was not, as numbers, the mends that were not made each with its reason."""
    found = fixed.mended
    if found is None:
        return
    for change in found.left:
        yield f"{change.span}: `{change.mend.old}` is left, not made `{change.mend.new}`: {change.why}"
    if fixed.problem:
        yield f"{path}: not written: {fixed.problem}"
    number = f"{len(found.made)} place{'' if len(found.made) == 1 else 's'}"
    done = f"{number} mended" if fixed.written else f"{number} can be mended, nothing is written"
    rest = f"{found.errors} error{'' if found.errors == 1 else 's'} left to a person" if found.errors else ""
    yield f"{path}: {'; '.join(filter(None, (done if found.made else 'nothing is mended', rest)))}"
    yield ""


def _put(path: Path, old: bytes, new: bytes) -> str:
    """Put the new file in the place of the old one, in one step; why not, where it can't be."""
    try:
        target = path.resolve(strict=True)
        if not target.is_relative_to(path.parent.resolve(strict=True)):
            return f"it is a link that leads out of its folder; name the file itself, {target}"
        if not os.access(target, os.W_OK):
            return "the file is read-only"
        was = target.stat()
        with new_beside(target, new) as fresh:
            os.chmod(fresh, stat.S_IMODE(was.st_mode))
            if hasattr(os, "chown"):
                with contextlib.suppress(OSError):
                    os.chown(fresh, was.st_uid, was.st_gid)
            if read_file(target) != old:
                return "the file was changed meanwhile; do it again"
            replace_file(fresh, target)
    except OSError as problem:
        return problem.strerror or "the system refused it"
    return ""
