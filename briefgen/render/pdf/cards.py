"""The printed products: a plan's cards as PDF files."""

from __future__ import annotations

from briefgen.brief.brief import Brief
from briefgen.brief.cards import cards
from briefgen.brief.cards.model import Card
from briefgen.core.context import Context
from briefgen.core.diagnostics import Diagnostic
from briefgen.render.pdf.typst_driver import Typeset, typeset

Files = list[tuple[str, bytes]]
TEMPLATES = {"kneeboard": "kneeboard.typ", "approval": "approval.typ", "ground-contact": "ground-contact.typ"}


def kneeboard_pdf(brief: Brief, context: Context) -> tuple[Files, list[Diagnostic]]:
    """``kneeboard-<ship>.pdf`` of the ship that ``context.part`` names."""
    return _files(f"kneeboard-{context.part}.pdf", made(brief, context, "kneeboard"))


def approval_pdf(brief: Brief, context: Context) -> tuple[Files, list[Diagnostic]]:
    """``approval.pdf``."""
    return _files("approval.pdf", made(brief, context, "approval"))


def ground_contact_pdf(brief: Brief, context: Context) -> tuple[Files, list[Diagnostic]]:
    """``ground-contact.pdf``, with the id of the event that ``context.part`` names."""
    of_event = f"-{context.part}" if context.part else ""
    return _files(f"ground-contact{of_event}.pdf", made(brief, context, "ground-contact"))


def made(brief: Brief, context: Context, kind: str, *, ppi: int | None = None) -> Typeset:
    """One card, typeset; with ``ppi`` its pages as pictures too. ``kind``: a key of TEMPLATES."""
    return typeset(
        _card(brief, context, kind),
        TEMPLATES[kind],
        context,
        created_s=int(brief.plan.clock.takeoff.timestamp()),
        ppi=ppi,
    )


def _card(brief: Brief, context: Context, kind: str) -> Card:
    plan = brief.plan
    match kind:
        case "kneeboard":
            return cards.kneeboard(plan, int(context.part), brief.what_if)
        case "approval":
            return cards.approval(plan, context.stamp.decision, context.stamp.reasons)
    return cards.ground_contact(plan, context.part)


def _files(name: str, found: Typeset) -> tuple[Files, list[Diagnostic]]:
    return [(name, found.pdf)] if found.pdf is not None else [], list(found.diagnostics)
