"""``briefgen check``: everything that is wrong with a mission file, and every gate."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from briefgen.commands import options
from briefgen.commands.several import FileReport, tell_all


@click.command("check", short_help="Print every diagnostic, the gates and the clock times of a mission.")
@options.files
@options.json_or_list
@options.templates(": tried with the mission, but for the debrief's; they count in the fingerprint.")
def command(files: tuple[Path, ...], as_json: bool, templates: Path | None) -> int:
    """Read and plan each FILE; print every diagnostic, the gates and the clock times.

    Several files are checked on all cores; the exit code is that of the worst.
    """
    return tell_all(files, partial(checked_file, templates=templates), as_json=as_json)


def checked_file(file: Path, *, templates: Path | None, as_json: bool) -> FileReport:
    """What ``briefgen check`` has to say of a file."""
    from briefgen.build.build import check, with_templates_tried
    from briefgen.commands.report import check_lines, check_object, verdict_line

    checked = with_templates_tried(check(file, templates=templates), templates)
    lines = () if as_json else tuple(check_lines(checked))
    document = check_object(checked) if as_json else {}
    return FileReport(checked.exit_code, lines, (), document, verdict_line(checked))
