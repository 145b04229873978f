"""The reasons of an approval, asked for one by one at a terminal."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from briefgen.plan.model import Gate
    from briefgen.plan.sortie import Plan

LEFT_OPEN = "-"


def asked_for(plan: Plan, given: dict[str, str], earlier: dict[str, str]) -> dict[str, str]:
    """The reasons with those that are typed now, one gate after the other. After Ctrl-C or the end of the
    input those that were answered stay."""
    from briefgen.approval.reasons import WANTED, missing_reasons
    from briefgen.brief.wording.consequences import grouped
    from briefgen.brief.wording.open_limits import spread

    missing = missing_reasons(plan, given)
    if missing:
        click.echo(f"Each reason in {WANTED}.")
    try:
        number, told = 0, dict[str, str]()  # the title of the gate that a reason was first typed for
        for title, gates in grouped(missing):
            click.echo(f"\n{title}")
            for gate in gates:
                number += 1
                _show(gate, plan)
                count = f"  {number} of {len(missing)}"
                if answer := _answer(count, earlier.get(gate.id, ""), gate.title, told):
                    given = spread(plan.gates, {**given, gate.id: answer})
    except (click.Abort, KeyboardInterrupt, EOFError):
        click.echo("\nStopped; what was answered is kept, and offered on the next run.")
    return given


def _show(gate: Gate, plan: Plan) -> None:
    from briefgen.brief.wording.gates import figures_words

    click.echo(
        f"  {gate.verdict}: {gate.title}, {figures_words(gate, day=plan.clock.takeoff.date())}"
        + (f"; {gate.why}" if gate.why else "")
    )


def _answer(count: str, earlier: str, title: str, told: dict[str, str]) -> str:
    """A reason that can stand; the earlier one for an empty answer; empty where the gate is left open. One
    that was ``told`` for another gate is asked for once more, and then stands for any."""
    from briefgen.approval.reasons import compared, reason_problem

    how = f"empty: as before, {earlier!r}; {LEFT_OPEN}: leave it open" if earlier else "empty: leave it open"
    while True:
        text = click.prompt(f"{count}, accepted because ({how})", default="", show_default=False).strip()
        if text in ("", LEFT_OPEN):
            return "" if text else earlier
        wrong = reason_problem(text, title=title)
        if wrong is not None:
            click.echo(f"  That has {wrong[0]}: {wrong[1]}.")
        elif other := told.get(compared(text)):
            told[compared(text)] = ""
            click.echo(f"  That is the reason for: {other}. If it holds here too, give it again.")
        else:
            told.setdefault(compared(text), title)
            return text
