"""``briefgen check``: everything that is wrong with a mission file, and every gate."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from briefgen.commands.several import checked_file, files_argument, tell_all


@click.command("check", short_help="Print every diagnostic, the gates and the clock times of a mission.")
@files_argument
@click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object for machines, a list for several."
)
@click.option(
    "--templates",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="The unit's own templates; they count in the fingerprint.",
)
def command(files: tuple[Path, ...], as_json: bool, templates: Path | None) -> int:
    """Read and plan each FILE; print every diagnostic, the gates and the clock times.

    Several files are checked on all cores; the exit code is that of the worst.
    """
    return tell_all(files, partial(checked_file, templates=templates), as_json=as_json)
