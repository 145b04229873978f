"""``briefgen retime``: a new time over target, a slip, or a cue as it was heard."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from briefgen.commands import options

if TYPE_CHECKING:
    from briefgen.build.build import Checked, Planned
    from briefgen.core.diagnostics import Diagnostic
    from briefgen.plan.sortie import Plan
    from briefgen.retime.answer import Retimed
    from briefgen.retime.typed import Typed


@click.command(
    "retime", short_help="A new time, a slip, or a cue as heard: what can be met, until when, in which words."
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--pass",
    "of",
    metavar="ID",
    help="Which of several passes is moved, such as HILL; one that follows another moves with it.",
)
@click.option(
    "--to", metavar="TIME", help='The new true time with its clock, such as "14:32:00 event" or "03:32:00 Z".'
)
@click.option(
    "--slip",
    metavar="SECONDS",
    help="How much later (+) or earlier (-) the true time is than the one the flight holds.",
)
@click.option(
    "--heard",
    nargs=2,
    multiple=True,
    metavar="CUE TIME",
    help=(
        "A cue or mark as it was heard; may be repeated. With --to or --slip: heard, but the time is your own"
        " judgement."
    ),
)
@click.option(
    "--now",
    metavar="TIME",
    help=(
        "When the call is made; the relay time is added for the read-back. With --heard: the last time heard."
    ),
)
@click.option(
    "--phase",
    type=click.Choice(["holding", "inbound", "running-in"]),
    help=(
        "Where the flight is, instead of --now: just in the hold, just out of it, at the IP; not before the"
        " last cue heard."
    ),
)
@click.option(
    "--told",
    nargs=2,
    multiple=True,
    metavar="SECONDS TIME",
    help=(
        "A change told earlier, or hold, and when it was read back; left, and when the flight left that hold"
        " all the same. May be repeated, the earliest first."
    ),
)
@click.option(
    "--sure",
    multiple=True,
    metavar="CUE",
    help="A cue that was heard when --heard says so, though that is asked about; may be repeated.",
)
@click.option(
    "--unheard",
    multiple=True,
    metavar="CUE",
    help="A cue that was listened for and has not been heard; may be repeated.",
)
@options.json
def command(file: Path, of: str | None, as_json: bool, **typed: Any) -> int:
    """Print what a change of the true time means for FILE's flight: new times, laps, fuel, later passes,
    other parties, and the sentence to read.

    Without --now and --phase the change is told before the hold is entered. Exit code 1: the time can't be
    met, or a gate fails at it or in the plan itself.
    """
    from briefgen.build.build import check
    from briefgen.commands.report import print_json
    from briefgen.plan.one_pass import seen_from
    from briefgen.retime.typed import Typed
    from briefgen.retime.which import pass_asked

    checked = check(file)
    planned = checked.sound
    if planned is None:
        return _wrong(checked, checked.diagnostics, as_json)
    if not planned.plan.passes:
        return _wrong(checked, [_no_event()], as_json)
    asked = Typed(**typed)
    pass_, problems = pass_asked(planned.plan, of, asked)
    if pass_ is None:
        return _wrong(checked, problems, as_json)
    seen = seen_from(planned.plan, pass_)
    answer, problems = _answer(planned.plan, seen, asked)
    if answer is None:
        return _wrong(checked, problems, as_json)
    if as_json:
        print_json(_object(answer, seen, planned))
    else:
        _print(answer, seen, planned)
    return 0 if answer.clear else 1


def _answer(plan: Plan, seen: Plan, typed: Typed) -> tuple[Retimed | None, list[Diagnostic]]:
    from briefgen.retime.answer import retime
    from briefgen.retime.typed import wanted

    asked, problems = wanted(seen, typed)
    return (None, problems) if asked is None else retime(plan, asked, seen.passes[0])


def _no_event() -> Diagnostic:
    from briefgen.core.diagnostics import Diagnostic

    return Diagnostic(
        "no-event",
        "error",
        "the mission has no event, so there is no time over target to move",
        help="give the mission an event with a pass",
    )


def _wrong(checked: Checked, problems: Sequence[Diagnostic], as_json: bool) -> int:
    from briefgen.commands.report import diagnostic_object, print_json
    from briefgen.console import complain, diagnostic_text

    if as_json:
        print_json(
            {
                "file": str(checked.path),
                "exit_code": 2,
                "diagnostics": [diagnostic_object(problem) for problem in problems],
            }
        )
    else:
        for problem in problems:
            complain(diagnostic_text(problem, checked.texts))
    return 2


def _object(answer: Retimed, seen: Plan, planned: Planned) -> dict[str, Any]:
    from briefgen.retime.data import retime_object

    own = {
        "file": str(planned.path),
        "exit_code": 0 if answer.clear else 1,
        "fingerprint": planned.fingerprint.full,
    }
    return {**own, **retime_object(answer, seen)}


def _print(answer: Retimed, seen: Plan, planned: Planned) -> None:
    from briefgen.console import one_line, say, table_text
    from briefgen.retime.report import headline, lines

    say(headline(answer))
    for title, rows in lines(answer, seen):
        if rows:
            say(f"\n{title}" if title else "")
            say(table_text(rows))
    say(
        f"\n{one_line(str(planned.path))}: planning aid only; the cards read"
        f" {planned.fingerprint.spoken} and still print the old time."
    )
