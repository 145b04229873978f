"""``briefgen whatif``: what becomes of the sortie when one thing changes."""

from __future__ import annotations

from pathlib import Path

import click

from briefgen.commands import options


@click.command(
    "whatif", short_help="What becomes of the sortie when one thing changes; or a change of your own."
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--set",
    "edits",
    multiple=True,
    metavar="KEY=VALUE",
    help='A change of the file, such as ground_ops.takeoff="12:53:00 base"; may be repeated.',
)
@options.json
def command(file: Path, edits: tuple[str, ...], as_json: bool) -> int:
    """Plan FILE again with each change of the list, told in one line each, and say how far take-off and T can
    move.

    With --set the file's own text is changed, passes the same checks as the file, and is told as a difference
    to the file as written. The file itself is never touched. Exit code 1: a gate fails (with --set: of the
    changed plan).
    """
    from briefgen.commands.whatif_run import listed, with_edits

    return with_edits(file, edits, as_json=as_json) if edits else listed(file, as_json=as_json)
