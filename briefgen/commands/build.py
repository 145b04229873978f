"""``briefgen build``: the products of a mission."""

from __future__ import annotations

from pathlib import Path

import click


@click.command("build", short_help="Write the slides, cards and sheets of a mission.")
@click.argument("file", type=click.Path(path_type=Path))
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
@click.option("--json", "as_json", is_flag=True, help="Print one JSON object for machines.")
def command(file: Path, out: Path | None, templates: Path | None, replace: bool, as_json: bool) -> int:
    """Check FILE and write its slides, cards and sheets.

    Products are written even when a gate FAILs; they are marked NOT APPROVED.
    """
    import sys

    from briefgen.build.build import build
    from briefgen.commands.report import build_errors, build_object, build_summary, print_json, print_lines
    from briefgen.console import complain, is_terminal

    built = build(file, out=out, templates=templates, replace_others=replace)
    if as_json:
        print_json(build_object(built))
        return built.exit_code
    for text in build_errors(built):
        complain(text)
    if is_terminal(sys.stdout):
        print_lines(build_summary(built))
    return built.exit_code
