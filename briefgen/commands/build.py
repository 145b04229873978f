"""``briefgen build``: the products of a mission."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from pathlib import Path

import click

from briefgen.commands import options
from briefgen.commands.several import FileReport, tell_all
from briefgen.core.paper import LEAST_MM, MOST_MM, Paper, paper_of


def _paper(context: click.Context, parameter: click.Parameter, text: str) -> Paper:
    if (found := paper_of(text)) is None:
        raise click.BadParameter(
            f"{text!r} is no paper of a kneeboard card: write a5, half-letter, or a size such as"
            f" '140 x 200 mm', from {LEAST_MM:.0f} mm wide to {MOST_MM:.0f} mm high"
        )
    return found


@click.command("build", short_help="Write the slides, cards and sheets of a mission.")
@options.files
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for the products; it is replaced as a whole. [default: out/<name of FILE>]",
)
@options.templates("; files named like shipped ones replace them.")
@click.option(
    "--paper",
    "knee",
    default="a5",
    callback=_paper,
    help="Of the kneeboard cards: a5, half-letter, or a size such as '140 x 200 mm'. [default: a5]",
)
@options.replace
@options.json_or_list
def command(
    files: tuple[Path, ...],
    *,
    out: Path | None,
    templates: Path | None,
    knee: Paper,
    replace: bool,
    as_json: bool,
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
        built_file,
        out=out,
        templates=templates,
        knee=knee,
        replace_others=replace,
        summary=is_terminal(sys.stdout),
    )
    return tell_all(files, job, as_json=as_json)


def same_folders(files: Sequence[Path]) -> list[Path]:
    """The files whose products would go where those of an earlier one go."""
    names = [file.stem.casefold() for file in files]
    return [file for number, file in enumerate(files) if names[number] in names[:number]]


def built_file(
    file: Path,
    *,
    out: Path | None,
    templates: Path | None,
    knee: Paper,
    replace_others: bool,
    summary: bool,
    as_json: bool,
) -> FileReport:
    """What ``briefgen build`` has to say of a file, its products written."""
    from briefgen.build.build import build
    from briefgen.commands.report import build_errors, build_object, build_summary, verdict_line

    built = build(file, out=out, templates=templates, replace_others=replace_others, knee=knee)
    lines = tuple(build_summary(built)) if summary else ()
    last = f"{verdict_line(built.checked)}" + (
        f"; {built.folder} written" if built.written else "; nothing written"
    )
    document = build_object(built) if as_json else {}
    return FileReport(built.exit_code, lines, tuple(build_errors(built)), document, last)
