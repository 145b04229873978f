"""``briefgen check``: everything that is wrong with a mission file, and every gate."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("check", short_help="Print every diagnostic, the gates and the clock times of a mission.")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object for machines.")
@click.option(
    "--templates",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="The unit's own templates; they count in the fingerprint.",
)
def command(file: Path, as_json: bool, templates: Path | None) -> int:
    """Read and plan FILE; print every diagnostic, the gates and the clock times."""
    from briefgen.build.build import check
    from briefgen.commands.report import check_lines, check_object, print_json, print_lines

    checked = check(file, templates=templates)
    if as_json:
        print_json(check_object(checked))
    else:
        print_lines(check_lines(checked))
    return checked.exit_code
