"""``briefgen debrief``: what was planned, told and flown."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from briefgen.commands import options

if TYPE_CHECKING:
    from briefgen.brief.slides.pages import View
    from briefgen.build.build import Planned
    from briefgen.core.context import Stamp
    from briefgen.core.diagnostics import Diagnostic
    from briefgen.plan.sortie import Plan


@click.command(
    "debrief", short_help="Planned, told and flown: a page and two slides from the actual times and fuels."
)
@click.argument("file", type=click.Path(path_type=Path))
@click.argument("actuals", type=click.Path(path_type=Path), required=False)
@click.option(
    "--new",
    "new",
    type=click.Path(path_type=Path),
    metavar="NAME",
    help="Write an empty file of actuals for FILE, to fill in, and stop.",
)
@click.option(
    "-o",
    "--out",
    type=click.Path(path_type=Path),
    help="Folder for page and slides; it is replaced as a whole. [default: out/<name of FILE>-debrief]",
)
@options.templates("; files named like shipped ones replace them.")
@options.replace
@options.json
def command(
    *,
    file: Path,
    actuals: Path | None,
    new: Path | None,
    out: Path | None,
    templates: Path | None,
    replace: bool,
    as_json: bool,
) -> int:
    """Compare what ACTUALS says was flown, told and heard with the plan of FILE.

    What ACTUALS does not say reads "not recorded". Exit codes: 2 a file is wrong, 3 page or slides could not
    be made, else 0: a gate of the plan that FAILs is not judged again.
    """
    from briefgen.build.build import check
    from briefgen.build.staging import mission_place

    target = actuals or new
    if target is None or (actuals is not None and new is not None):
        raise click.UsageError("give ACTUALS, or --new NAME to begin one")
    checked = check(file, templates=templates)
    planned = checked.sound
    if planned is None:
        return _tell(checked.diagnostics, checked.texts, as_json, exit_code=2)
    if actuals is None:
        return _write_blank(target, planned.plan)
    folder = out or Path("out") / f"{file.stem}-debrief"
    head = {"kind": "debrief", "mission_file": file.name, **mission_place(file, folder)}
    return _debrief(planned, actuals, (folder, templates, head, replace), as_json)


def _debrief(
    planned: Planned, actuals: Path, places: tuple[Path, Path | None, dict[str, Any], bool], as_json: bool
) -> int:
    from briefgen.build.build import context_of
    from briefgen.build.staging import write_products
    from briefgen.core.diagnostics import has_errors
    from briefgen.debrief.products import make_debrief
    from briefgen.debrief.read import read_actuals
    from briefgen.debrief.view import debrief_view

    flown, problems, texts = read_actuals(actuals, planned.plan, spoken=planned.fingerprint.spoken)
    if flown is None:
        return _tell(problems, texts, as_json, exit_code=2)
    out, templates, head, replace = places
    context, view = context_of(planned, templates=templates), debrief_view(planned.plan, flown)
    files, found = make_debrief(planned.plan, view, context)
    notes = (
        write_products(out, dict(files), head={**head, **_head(context.stamp)}, replace=replace)
        if files
        else []
    )
    failed = len(files) < 2 or has_errors([*found, *notes])
    return _tell(
        [*problems, *found, *notes],
        texts,
        as_json,
        exit_code=3 if failed else 0,
        view=view,
        written=[str(out / name) for name, _ in files if not has_errors(notes)],
    )


def _head(stamp: Stamp) -> dict[str, Any]:
    return {
        "mission": stamp.mission, "fingerprint": stamp.fingerprint, "spoken": stamp.spoken,
        "briefgen": stamp.briefgen_version, "tz_database": stamp.tz_database,
    }  # fmt: skip


def _tell(
    problems: Sequence[Diagnostic],
    texts: Mapping[str, str],
    as_json: bool,
    *,
    exit_code: int,
    view: View | None = None,
    written: list[str] | None = None,
) -> int:
    from briefgen.commands.report import diagnostic_object, print_json
    from briefgen.console import complain, diagnostic_text

    if as_json:
        from briefgen.debrief.view import plain_values

        found = {} if view is None else plain_values(view)
        print_json(
            {
                "exit_code": exit_code,
                "written": written or [],
                "diagnostics": [diagnostic_object(p) for p in problems],
                **found,
            }
        )
        return exit_code
    for problem in problems:
        if problem.severity != "note":
            complain(diagnostic_text(problem, texts))
    if view is not None:
        _print(view, written or [])
    return exit_code


def _print(view: View, written: list[str]) -> None:
    from briefgen.console import say, table_text

    for first in ("low_fuel", "failed"):
        if view.values[first]:
            say(view.values[first])
    say(view.values["title_times"])
    say(table_text([[cell.text for cell in row] for row in view.tables["times"].rows]))
    for told in view.values["each_pass"]:
        say(told)
    say(view.values["title_fuel"])
    if view.values["spread"]:
        say(view.values["spread"])
    for name in written:
        say(f"  made    {name}")


def _write_blank(target: Path, plan: Plan) -> int:
    from briefgen.console import complain, say
    from briefgen.debrief.blank import blank_actuals

    try:
        with open(target, "x", encoding="utf-8", newline="\n") as file:
            file.write(blank_actuals(plan))
    except FileExistsError:
        complain(f"{target} is there already; nothing was overwritten: choose another name")
        return 2
    except OSError as error:
        complain(f"{target} could not be written: {error.strerror}; choose another folder")
        return 2
    say(f"{target} is there to be filled in; then: briefgen debrief FILE {target}")
    return 0
