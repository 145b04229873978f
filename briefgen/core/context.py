"""What a product needs to know beside the plan: who it belongs to, and where the unit's templates lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from pathlib import Path
from typing import Literal

from briefgen.core.paper import A5, Paper
from briefgen.core.records import record

CAUTION = (
    "Planning aid only; check against the flight manual, unit orders, NOTAMs and air traffic control; the"
    " approving authority decides."
)
FAILED = "FAILED-"  # the names of notes in place of a product begin so
# labels of a decision's lines
DecisionLabel = Literal[
    "Approved by",
    "An older plan was approved by",
    "Approval withdrawn by",
    "Self-authorised",
    "Lapses",
    "Not covered",
    "Changed",
]
NOT_COVERED: DecisionLabel = "Not covered"
CHANGED: DecisionLabel = "Changed"
Standing = Literal["fails", "open", "approved"]


def refusal_words(failing: int) -> str:
    """``3 FAIL: NOT TO BE FLOWN``; empty while no gate fails."""
    return f"{failing} FAIL: NOT TO BE FLOWN" if failing else ""


@record
class Stamp:
    """What every page carries. ``approval`` is NOT APPROVED until a supervisor has approved this very plan;
    ``decision`` tells more about it in (label, words): by whom, until when, what changed since; ``approved``:
    it covers this plan. ``reasons``: why each open gate was accepted, by its id, while the decision stands.
    ``failing``: how many gates of the plan FAIL."""

    marking: str
    mission: str
    fingerprint: str
    spoken: str
    briefgen_version: str
    tz_database: str
    approval: str = "NOT APPROVED"
    decision: tuple[tuple[DecisionLabel, str], ...] = ()
    reasons: Mapping[str, str] = field(default_factory=dict)
    approved: bool = False
    failing: int = 0
    caution: str = CAUTION

    @property
    def refusal(self) -> str:
        """``3 FAIL: NOT TO BE FLOWN``, which every page of a failing plan says; empty while no gate fails."""
        return refusal_words(self.failing)

    @property
    def standing(self) -> Standing:
        """How a page is to look. A failing gate outweighs any approval."""
        return "fails" if self.failing else "approved" if self.approved else "open"

    @property
    def state(self) -> str:
        """The words of the state bar: the refusal, if there is one, and the approval."""
        return " · ".join(part for part in (self.refusal, self.approval) if part)


@record
class Context:
    """``templates``: the folders to look in, the unit's own after the shipped ones, so that a file of the
    same name replaces the shipped one. ``part``: which of its files a product is to make (a ship's number),
    empty for products of one file. ``knee``: the paper of the kneeboard cards."""

    stamp: Stamp
    templates: tuple[Path, ...]
    fonts: Path
    part: str = ""
    knee: Paper = A5
