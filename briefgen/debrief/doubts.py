"""What is asked about of the cues that were written down as heard."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.debrief.flown import Flown
from briefgen.debrief.schema import LOG
from briefgen.debrief.sums import CueRow, cue_rows, turned_round
from briefgen.mission.read.tree import Source
from briefgen.plan.sortie import Plan


def doubted_cues(plan: Plan, flown: Flown, source: Source) -> Iterator[Diagnostic]:
    """Cues and marks heard in another order than the script's: of the two the one that lies further from the
    script is asked about, where it stands."""
    for before, after in turned_round(cue_rows(plan, flown)):
        first, second = sorted((before, after), key=lambda row: abs(row.late_s or 0.0))
        path = _where(plan, flown, source, second)
        yield Diagnostic(
            "heard-order",
            "caution",
            f"{before.id} is written as heard after {after.id}, and the script has it before",
            source.spans.value(path),
            "no length of the script is counted from either",
            f"check the time of {second.id}, which lies further from the script; else that of {first.id}",
            cause=path,
        )


def _where(plan: Plan, flown: Flown, source: Source, row: CueRow) -> KeyPath:
    """The key of the file that says when it was heard: its own, else the log."""
    ids = [pass_.section.id for pass_ in plan.passes if row.event in ("", pass_.section.event.id)]
    heard_by = [id for id in ids if row.id in flown.of(id).heard]
    tops: list[KeyPath] = [("passes", id) if len(plan.passes) > 1 else () for id in heard_by]
    paths: list[KeyPath] = [(*top, "heard", row.id) for top in tops]
    typed = (path for path in paths if source.at(path) is not None)
    return next(typed, (*tops[-1], *LOG))
