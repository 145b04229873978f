"""Risk before and after control. The scale is likelihood times severity, each 1 to 5: a default, no
authority; the unit's own words stay as given.

A total can hide one large hazard, so the highest single item stands beside it.
"""

from __future__ import annotations

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.limits import Risk
from briefgen.units.blank import named, said


@record
class RiskItem:
    """One hazard. ``after`` is the score that remains; None where the file gives none, and then the risk
    remains as it was. ``control`` and ``accepted_by`` are None too where their text says nothing."""

    hazard: str
    before: int
    after: int | None
    control: str | None
    accepted_by: str | None
    cause: KeyPath

    @property
    def remains(self) -> int:
        """What is left to accept."""
        return self.before if self.after is None else self.after

    @property
    def lowered(self) -> bool:
        """The control has brought it down."""
        return self.remains < self.before


@record
class RiskView:
    """Every item in the order of the file; ``crew`` is everybody who flies. Highest items are None without
    any item."""

    items: tuple[RiskItem, ...]
    crew: tuple[str, ...]
    highest_before: RiskItem | None
    highest_after: RiskItem | None
    total_before: int
    total_after: int


def risk_view(mission: Mission) -> RiskView:
    """The risks of a mission; the first of several equal ones is the highest."""
    items = tuple(_item(risk, i) for i, risk in enumerate(mission.file.risk))
    return RiskView(
        items=items,
        crew=tuple(name for _, name in mission.crew),
        highest_before=max(items, key=lambda item: item.before, default=None),
        highest_after=max(items, key=lambda item: item.remains, default=None),
        total_before=sum(item.before for item in items),
        total_after=sum(item.remains for item in items),
    )


def _item(risk: Risk, i: int) -> RiskItem:
    after = risk.after.likelihood * risk.after.severity if risk.after is not None else None
    return RiskItem(
        risk.hazard,
        risk.before.likelihood * risk.before.severity,
        after,
        said(risk.control) or None,
        named(risk.accepted_by) or None,
        ("risk", i),
    )
