"""What an approval and its withdrawal have in common: what was typed, the refusal, and the record put in
place of an older one."""

from __future__ import annotations

import shutil
from collections.abc import Mapping, Sequence
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from briefgen.core.records import record

if TYPE_CHECKING:
    from briefgen.core.diagnostics import Diagnostic

EXIT_REFUSED, EXIT_NOT_WRITTEN, EXIT_WRONG = 1, 3, 2


@record
class Asked:
    """What was typed, and when."""

    file: Path
    name: str
    role: str
    acting_for: str
    not_crew: str
    at: datetime
    reasons: Path | None
    landing: str | None
    as_json: bool


def refuse(
    asked: Asked, problems: Sequence[Diagnostic], texts: Mapping[str, str], code: int, *, state: str = ""
) -> int:
    """Tells why nothing was written; ``state``: how the mission stands now, in words."""
    from briefgen.commands.report import diagnostic_object, print_json
    from briefgen.console import complain, diagnostic_text, one_line

    if asked.as_json:
        print_json(
            {
                "file": str(asked.file),
                "exit_code": code,
                "written": None,
                "diagnostics": [diagnostic_object(problem) for problem in problems],
            }
        )
        return code
    for problem in problems:
        complain(diagnostic_text(problem, texts))
    complain(f"briefgen: {one_line(str(asked.file))} {state or 'is not approved; no record was written'}")
    return code


def put(path: Path, data: bytes) -> tuple[Path | None, Diagnostic | None]:
    """Write the record in one step; an older one is kept under a name with its own time. That name, or None;
    and why it could not be written."""
    try:
        return _put(path, data), None
    except OSError as error:
        from briefgen.core.diagnostics import Diagnostic

        return None, Diagnostic(
            "approval-not-written",
            "error",
            f"{path} could not be written: {error.strerror}",
            help="free some space, or mend the folder's rights",
        )


def _put(path: Path, data: bytes) -> Path | None:
    from briefgen.core.folders import new_beside
    from briefgen.core.folders import replace as replace_file

    with new_beside(path, data) as new:
        older = _set_aside(path)
        replace_file(new, path)
    return older


def _set_aside(path: Path) -> Path | None:
    from briefgen.approval.record import kept_path, read_record

    if not path.exists():
        return None
    record, _ = read_record(path)
    older = kept_path(path, None if record is None else record.at)
    shutil.copyfile(path, older)  # the old record stands until the new one replaces it
    return older
