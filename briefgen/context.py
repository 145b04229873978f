"""What a product needs to know beside the plan: who it belongs to, and where the unit's templates lie."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from pathlib import Path

from briefgen.records import record

CAUTION = (
    "Planning aid only; check against the flight manual, unit orders, NOTAMs and air traffic control; the approving authority decides."
)
NOT_COVERED, CHANGED = "Not covered", "Changed"  # labels of a decision's lines


@record
class Stamp:
    """What every page carries. ``approval`` is NOT APPROVED until a supervisor has approved this very plan; ``decision`` tells more about it
    in (label, words): by whom, until when, what changed since; ``approved``: it covers this plan. ``reasons``: why each open gate was accepted, by its id, while the decision stands."""

    marking: str
    mission: str
    fingerprint: str
    spoken: str
    briefgen_version: str
    tz_database: str
    approval: str = "NOT APPROVED"
    decision: tuple[tuple[str, str], ...] = ()
    reasons: Mapping[str, str] = field(default_factory=dict)
    approved: bool = False
    caution: str = CAUTION


@record
class Context:
    """``templates``: the folders to look in, the unit's own after the shipped ones, so that a file of the same name replaces the shipped one.
    ``part``: which of its files a product is to make (a ship's number), empty for products of one file."""

    stamp: Stamp
    templates: tuple[Path, ...]
    fonts: Path
    part: str = ""
