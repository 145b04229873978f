"""Is this plan approved? A plan and the record of a decision in, one of four words out, with everything that
changed in between."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime
from typing import Literal

from briefgen.approval.bounds import Bounds, Change, changed, lapse_of, only_time, outside
from briefgen.approval.record import Record
from briefgen.approval.templates import other_templates
from briefgen.brief.wording.format import clock_z, counted, dated_z, day, time_limit
from briefgen.compare.report import compare, document_of
from briefgen.core.context import CHANGED as CHANGED_LABEL
from briefgen.core.context import NOT_COVERED, DecisionLabel
from briefgen.core.fingerprint import TemplateMarks
from briefgen.core.records import record
from briefgen.plan.sortie import ApprovedTimes, Plan

State = Literal["NOT APPROVED", "APPROVED", "UPDATED WITHIN APPROVED BOUNDS", "CHANGED: APPROVE AGAIN"]
NOT_APPROVED: State = "NOT APPROVED"
APPROVED: State = "APPROVED"
UPDATED: State = "UPDATED WITHIN APPROVED BOUNDS"
CHANGED: State = "CHANGED: APPROVE AGAIN"
SAME_FIGURES = (
    "the program, the zone database or the templates are of another version; every figure is the approved one"
)


@record
class ApprovalState:
    """``words``: a sentence for readers. ``changes``: what differs from the approved plan, times first;
    ``outside``: why a new decision is needed. ``lapses``: when the approval ends by itself, whatever the
    clock says now (``holds.py`` asks it). ``reasons``: gate id → why it was accepted; none when
    the decision does not cover this plan. ``who``: the approver, with role and for whom; ``self_authorised``:
    by whose authority a supervisor who flies approved; ``no_supervisor``: the mission named none;
    ``withdrawn``: who took the approval back, and why. ``times``: the true times of each pass that the
    decision covers; none where it covers no plan, or there is no pass."""

    state: State
    words: str
    changes: tuple[Change, ...] = ()
    outside: tuple[Change, ...] = ()
    who: str = ""
    self_authorised: str = ""
    no_supervisor: bool = False
    withdrawn: str = ""
    at: datetime | None = None
    lapses: datetime | None = None
    lapses_because: str = ""
    reasons: Mapping[str, str] = field(default_factory=dict)
    times: tuple[ApprovedTimes, ...] = ()

    @property
    def stands(self) -> bool:
        """The decision covers this plan, as long as it has not lapsed."""
        return self.state in (APPROVED, UPDATED)

    @property
    def stamp(self) -> str:
        """What every page prints: the state, and until when it holds."""
        return (
            f"{self.state} UNTIL {_short(self.lapses)}"
            if self.stands and self.lapses is not None
            else self.state
        )

    def lines(self) -> tuple[tuple[DecisionLabel, str], ...]:
        """(label, words) for sheet and slides; empty without a record."""
        if self.withdrawn:
            return (("Approval withdrawn by", self.withdrawn),)
        if self.at is None:
            return ()
        unnamed = "; the mission named no supervisor" if self.no_supervisor else ""
        who = f"{self.who}, {dated_z(self.at)}{unnamed}"
        own = (("Self-authorised", self.self_authorised),) if self.self_authorised else ()
        until = (
            ()
            if self.lapses is None
            else (
                (
                    "Lapses",
                    (
                        f"{day(self.lapses.date())}"
                        f" {clock_z(time_limit(self.lapses, 'latest', seconds=False), seconds=False)},"
                        f" {self.lapses_because}"
                    ),
                ),
            )
        )
        return (
            ("Approved by" if self.stands else "An older plan was approved by", who),
            *own,
            *(until if self.stands else ()),
            *self._changed(),
        )

    def _changed(self) -> tuple[tuple[DecisionLabel, str], ...]:
        told = [change.typed for change in self.outside if change.typed is not None]
        rest = [change for change in self.changes if change.typed not in told]
        return (
            *((NOT_COVERED, change.words) for change in self.outside),
            *((CHANGED_LABEL, change.words) for change in rest),
        )


def approval_state(
    plan: Plan, fingerprint: str, record: Record | None, templates: TemplateMarks | None = None
) -> ApprovalState:
    """The state of a plan. ``fingerprint``: the plan's own, in full; ``templates``: with which it is told,
    None where nothing is made of it. Pure: whether the approval has lapsed is asked in ``holds.py``.

    A plan whose true time alone was moved, inside the accepted slip, is still APPROVED; its changes are told
    nevertheless. Other templates hang on no verdict and no bound, and may say other words: they are told.
    """
    if record is None:
        return ApprovalState(NOT_APPROVED, "Nobody has approved this plan.")
    if record.withdrawn is not None:
        taken = record.withdrawn.words()
        return ApprovalState(NOT_APPROVED, f"The approval was withdrawn by {taken}", withdrawn=taken)
    if fingerprint == record.fingerprint:
        return _state(APPROVED, plan, record, (), ())
    typed, found = compare(record.document, document_of(plan))
    breaks = tuple(outside(plan, record.document["plan"], record.bounds, typed))
    others = () if templates is None else tuple(other_templates(record.templates, templates))
    changes = (*changed(plan, typed, found), *others) or (Change(SAME_FIGURES),)
    if breaks:
        return _state(CHANGED, plan, record, changes, breaks)
    return _state(APPROVED if only_time(typed) and not others else UPDATED, plan, record, changes, ())


def _state(
    state: State, plan: Plan, record: Record, changes: tuple[Change, ...], breaks: tuple[Change, ...]
) -> ApprovalState:
    lapses, because = _lapse(plan, record)
    reasons = {} if breaks else record.reasons
    return ApprovalState(
        state,
        _words(state, record, changes, breaks),
        changes,
        breaks,
        record.who,
        record.self_authorised,
        record.no_supervisor,
        at=record.at,
        lapses=lapses,
        lapses_because=because,
        reasons=reasons,
        times=() if breaks else _times(record.bounds),
    )


def _times(bounds: Bounds) -> tuple[ApprovedTimes, ...]:
    return tuple(ApprovedTimes(each.piece, each.earliest, each.latest) for each in bounds.passes)


def _lapse(plan: Plan, record: Record) -> tuple[datetime, str]:
    """The earlier of what was approved and what this plan would be given now: a later take-off or a newer
    forecast doesn't prolong a decision."""
    approved = record.bounds.lapses, record.bounds.lapses_because
    return min(approved, lapse_of(plan))


def _words(state: State, record: Record, changes: tuple[Change, ...], breaks: tuple[Change, ...]) -> str:
    who = record.who
    if state == CHANGED:
        return f"{who} approved another plan: {counted(len(breaks), 'change')} outside the approved bounds."
    if not changes:
        return f"{who} approved this very plan."
    how = (
        "only the true time or its slip was changed, inside what was accepted"
        if state == APPROVED
        else "what changed since keeps the approved bounds"
    )
    return f"{who} approved it; {how}."


def _short(at: datetime) -> str:
    return f"{day(at.date(), year=False)} {clock_z(at, seconds=False)}".upper()
