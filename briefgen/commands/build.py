"""``briefgen build``: the products of a mission."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from briefgen.commands.several import built_file, files_argument, same_folders, tell_all


@click.command("build", short_help="Write the slides, cards and sheets of a mission.")
@files_argument
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for the products; it is replaced as a whole. [default: out/<name of FILE>]",
)
@click.option(
    "--templates",
    type=click.Path(path_type=Path, exists=True, file_okay=False),
    help="The unit's own templates; files named like shipped ones replace them.",
)
@click.option(
    "--replace", is_flag=True, help="Replace the products of another mission, if the folder holds such."
)
@click.option(
    "--json", "as_json", is_flag=True, help="Print one JSON object for machines, a list for several."
)
def command(
    files: tuple[Path, ...], out: Path | None, templates: Path | None, replace: bool, as_json: bool
) -> int:
    """Check each FILE and write its slides, cards and sheets.

    Products are written even when a gate FAILs; they are marked NOT APPROVED. Several files are built on all
    cores, each into a folder of its own name; the exit code is that of the worst.
    """
    import sys

    from briefgen.console import is_terminal

    if out is not None and len(files) > 1:
        raise click.UsageError(
            "--out names the folder of one mission; several go to out/NAME each: leave --out away"
        )
    for file in same_folders(files):
        raise click.UsageError(f"two of the files go to out/{file.stem}: build {file} by itself, with --out")
    job = partial(
        built_file, out=out, templates=templates, replace_others=replace, summary=is_terminal(sys.stdout)
    )
    return tell_all(files, job, as_json=as_json)
