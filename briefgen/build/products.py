"""The list of products, in the order in which they are made. A new product is one function and one row.

A product's function takes the brief (the plan, and what its products share) and the context and returns
``(files, diagnostics)``: file name → bytes, and what a reader must know. A diagnostic that is an error
means that the product must not be used: its files are dropped and a note ``FAILED-<name>.txt`` is written.
A function imports what it needs when it is called, so that ``check`` loads no part of any product.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from briefgen.core.context import Context
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record

if TYPE_CHECKING:
    from briefgen.brief.brief import Brief
    from briefgen.plan.sortie import Plan

Made = tuple[list[tuple[str, bytes]], list[Diagnostic]]


def _one(plan: Plan) -> tuple[str, ...]:
    return ("",)


@record
class Product:
    """``parts`` names the files that can fail one by one, such as the ships of the kneeboard cards; ``make``
    is called once for each."""

    name: str
    kind: str
    make: Callable[[Brief, Context], Made]
    parts: Callable[[Plan], tuple[str, ...]] = _one


def _plan_json(brief: Brief, context: Context) -> Made:
    from briefgen.brief.slides.view.view import printed_view
    from briefgen.export.plan_json import plan_json

    plan, stamp = brief.plan, context.stamp
    head = {
        "briefgen": stamp.briefgen_version,
        "tz_database": stamp.tz_database,
        "mission": stamp.mission,
        "fingerprint": {"full": stamp.fingerprint, "spoken": stamp.spoken},
        "caution": stamp.caution,
    }
    return [
        (
            "plan.json",
            plan_json(plan, head=head, typed=plan.mission.source.tree, printed=printed_view(brief.bare_view)),
        )
    ], []


def _deck(brief: Brief, context: Context) -> Made:
    from briefgen.brief.slides.frame import Frame
    from briefgen.brief.slides.pages import build_pages, read_templates
    from briefgen.render.pptx.deck import build_deck

    templates = read_templates([folder / "brief" for folder in context.templates])
    pages, found = build_pages(templates, brief.view)
    data, more = build_deck(pages, Frame(context.stamp, brief.plan.clock.takeoff))
    return [("deck.pptx", data)] if data is not None else [], [*found, *more]


def _kneeboard(brief: Brief, context: Context) -> Made:
    from briefgen.render.pdf.cards import kneeboard_pdf

    return kneeboard_pdf(brief, context)


def _ships(plan: Plan) -> tuple[str, ...]:
    return tuple(str(ship.ship) for ship in plan.mission.file.flight)


def _ground_contact(brief: Brief, context: Context) -> Made:
    from briefgen.render.pdf.cards import ground_contact_pdf

    return ground_contact_pdf(brief, context)


def _events(plan: Plan) -> tuple[str, ...]:
    """A file for each event, by its id where there are several."""
    ids = tuple(event.id for event in plan.mission.events) if plan.passes else ()
    return ids if len(ids) > 1 else ("",) * len(ids)


def _approval(brief: Brief, context: Context) -> Made:
    from briefgen.render.pdf.cards import approval_pdf

    return approval_pdf(brief, context)


def _ground_clock(brief: Brief, context: Context) -> Made:
    from briefgen.render.html.clock import ground_clock

    return ground_clock(brief.plan, context)


def _with_ground_contact(plan: Plan) -> tuple[str, ...]:
    """Only an event with a ground contact has someone to hold the clock."""
    held = [event.written.ground_contact is not None for event in plan.mission.events]
    return tuple(part for part, has in zip(_events(plan), held, strict=True) if has)


def _review(brief: Brief, context: Context) -> Made:
    from briefgen.render.html.review import review

    return review(brief, context)


PRODUCTS: tuple[Product, ...] = (
    Product("plan", "json", _plan_json),
    Product("deck", "pptx", _deck),
    Product("approval", "pdf", _approval),
    Product("ground-contact", "pdf", _ground_contact, _events),
    # after the two above: by then the second worker has worked out the what-ifs that these need too
    Product("kneeboard", "pdf", _kneeboard, _ships),
    Product("ground-clock", "html", _ground_clock, _with_ground_contact),
    Product("review", "html", _review),
)


def get_ready() -> None:
    """Loads what slides and pages are made with, for a worker who waits for the plan."""
    import pptx  # noqa: F401

    import briefgen.render.html.review
    import briefgen.render.pptx.deck  # noqa: F401 (loading it is the point)
    from briefgen.brief.slides.pages import read_templates
    from briefgen.brief.slides.render_text import compile_ahead
    from briefgen.core import resources
    from briefgen.render.html.base import load_ahead

    folder = resources.templates_folder()
    for template in read_templates([folder / "brief"]):
        compile_ahead(template.body)
    load_ahead(folder)
