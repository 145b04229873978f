"""``briefgen compare``: what two missions, or two versions of one, differ in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from briefgen.commands import options

if TYPE_CHECKING:
    from briefgen.build.build import Checked, Planned
    from briefgen.compare.figures import Difference
    from briefgen.compare.tree import Typed


@click.command(
    "compare", short_help="What changed between two missions, and what that did to clock, fuel and gates."
)
@click.argument("old", metavar="A", type=click.Path(path_type=Path))
@click.argument("new", metavar="B", type=click.Path(path_type=Path))
@options.json
def command(old: Path, new: Path, as_json: bool) -> int:
    """Print what was typed differently in B than in A, with both texts, and which times, fuels and gates
    differ.

    Exit code 0 also where they differ; 2 when one of the files is wrong.
    """
    from briefgen.build.build import check
    from briefgen.commands.report import print_json
    from briefgen.compare.report import compare, compare_object, document_of

    checked = [check(old), check(new)]
    sides = [planned for side in checked if (planned := side.sound) is not None]
    if len(sides) < len(checked):
        return _wrong(checked, as_json)
    typed, found = compare(*(document_of(side.plan) for side in sides))
    if as_json:
        marks = {name: side.fingerprint.full for name, side in zip(("a", "b"), sides, strict=True)}
        print_json({"exit_code": 0, "fingerprints": marks, **compare_object(typed, found)})
    else:
        _print(sides, typed, found)
    return 0


def _print(sides: list[Planned], typed: list[Typed], found: list[Difference]) -> None:
    from briefgen.compare.report import compare_lines
    from briefgen.console import say, table_text

    for title, rows in compare_lines(typed, found):
        if rows:
            say(title)
            say(table_text(rows))
            say()
    marks = [side.fingerprint.spoken for side in sides]
    if not typed and not found:
        say("Nothing differs in the files nor in times, fuel and gates.")
    say(f"Cards of {sides[0].path} read {marks[0]}, those of {sides[1].path} read {marks[1]}.")


def _wrong(sides: list[Checked], as_json: bool) -> int:
    from briefgen.commands.report import diagnostic_object, print_json
    from briefgen.console import complain, diagnostic_text

    found = [(problem, side.texts) for side in sides for problem in side.diagnostics if side.sound is None]
    if as_json:
        print_json({"exit_code": 2, "diagnostics": [diagnostic_object(problem) for problem, _ in found]})
    else:
        for problem, texts in found:
            complain(diagnostic_text(problem, texts))
    return 2
