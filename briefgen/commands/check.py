"""``briefgen check``: everything that is wrong with a mission file, and every gate."""

from __future__ import annotations

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from briefgen.commands import options
from briefgen.commands.several import FileReport, tell_all

if TYPE_CHECKING:
    from briefgen.commands.check_fix import Fixed


@click.command("check", short_help="Print every diagnostic, the gates and the clock times of a mission.")
@options.files
@options.json_or_list
@options.templates(": tried with the mission, but for the debrief's; they count in the fingerprint.")
@click.option(
    "--fix",
    is_flag=True,
    help="First mend in each FILE the misspelt keys, and units and words in another spelling, that can mean"
    " one thing only, and show the difference. No figure, datum or clock is changed, and none added.",
)
@click.option("--dry-run", is_flag=True, help="Show what --fix would change, and write nothing.")
def command(files: tuple[Path, ...], as_json: bool, templates: Path | None, fix: bool, dry_run: bool) -> int:
    """Read and plan each FILE; print every diagnostic, the gates and the clock times.

    A unit's book is checked by itself.
    Several files are checked on all cores; the exit code is that of the worst.
    """
    fixed: dict[Path, Fixed] = {}
    if fix or dry_run:
        from briefgen.commands.check_fix import fix as fix_file

        fixed = {file: fix_file(file, dry_run=dry_run, as_json=as_json) for file in dict.fromkeys(files)}
    return tell_all(files, partial(checked_file, templates=templates, fixed=fixed), as_json=as_json)


def checked_file(
    file: Path, *, templates: Path | None, as_json: bool, fixed: Mapping[Path, Fixed] | None = None
) -> FileReport:
    """What ``briefgen check`` has to say of a file; ``fixed``: what was mended in it before."""
    from briefgen.build.build import check, with_templates_tried
    from briefgen.commands.report import check_lines, check_object, verdict_line

    checked = with_templates_tried(check(file, templates=templates, books=True), templates)
    lines = () if as_json else tuple(check_lines(checked))
    document = check_object(checked) if as_json else {}
    if as_json and fixed and file in fixed:
        from briefgen.commands.check_fix import fixed_object

        document["fix"] = fixed_object(fixed[file])
    return FileReport(checked.exit_code, lines, (), document, verdict_line(checked))
