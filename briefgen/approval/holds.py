"""Does an approval hold at a moment? What is printed says until when it does and never looks at a clock, so
that the same plan gives the same pages; the commands ask."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING, Literal

from briefgen.brief.wording.format import dated_z, time_limit
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record

if TYPE_CHECKING:
    from briefgen.approval.states import ApprovalState


@record
class Ended:
    """That it does not hold, or that nobody can tell, and why in words."""

    verdict: Literal["LAPSED", "NOT CHECKED"]
    words: str


def ended(at: datetime, lapses: datetime, now: datetime) -> Ended | None:
    """``at``: when it was approved. None: it holds."""
    clock = told_by_clock(now)
    if now < at:
        approved = f"before the approval of {dated_z(at)}"
        return Ended("NOT CHECKED", f"{clock}, {approved}: set the clock and ask again")
    if now > lapses:
        return Ended("LAPSED", f"the approval lapsed at {until(lapses)}; {clock}")
    return None


def until(lapses: datetime) -> str:
    """``30 Jan 2027 04:01:00 Z``"""
    return dated_z(time_limit(lapses, "latest"))


def told_by_clock(now: datetime) -> str:
    """This moment, as what is told of it begins."""
    return f"this machine's clock says {dated_z(now)}"


def told(state: ApprovalState, now: datetime) -> tuple[str, tuple[Diagnostic, ...]]:
    """The words for an approval at this moment, and the caution where it does not hold."""
    over = None
    if state.stands and state.at is not None and state.lapses is not None:
        over = ended(state.at, state.lapses, now)
    if over is None:
        return state.stamp, ()
    help = (
        "plan the sortie anew for a later take-off, or read a newer forecast into the mission file; then have"
        " it approved again with `briefgen approve`"
    )
    caution = Diagnostic(
        "approval-lapsed" if over.verdict == "LAPSED" else "approval-clock",
        "caution",
        over.words,
        why=f"the pages read {state.stamp}, whenever they are made",
        help=help if over.verdict == "LAPSED" else "",
    )
    return f"{over.verdict} ({state.stamp})", (caution,)
