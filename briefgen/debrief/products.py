"""The page and the deck of a debrief, from the same two slides."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.slides.frame import Frame
from briefgen.brief.slides.pages import View, build_pages, read_templates
from briefgen.core.context import Context
from briefgen.core.diagnostics import Diagnostic
from briefgen.plan.sortie import Plan
from briefgen.render.html.base import render_page
from briefgen.render.html.blocks import pages_data, table_data
from briefgen.render.html.review import print_foot
from briefgen.render.pptx.deck import build_deck

PAGE, DECK = "debrief.html", "debrief.pptx"
FOLDER = "debrief"
DETAILS = {
    "failed": "Gates of the plan that FAIL",
    "cues": "Cues against the script",
    "told": "Changes of the true time",
    "calls": "Other words said to the flight",
    "fuel_points": "Fuel at four points",
    "fuel_burns": "The sums behind the burn factors",
}


def make_debrief(
    plan: Plan, view: View, context: Context
) -> tuple[list[tuple[str, bytes]], list[Diagnostic]]:
    """Both files; one that could not be made is left out and told."""
    pages, found = build_pages(read_templates([folder / FOLDER for folder in context.templates]), view)
    stamp = context.stamp
    deck, more = build_deck(pages, Frame(replace(stamp, approval="DEBRIEF"), plan.clock.takeoff))
    data, undrawn = pages_data(pages)
    details = [
        {"id": f"part-{name.replace('_', '-')}", "title": title, "table": table_data(view.tables[name])}
        for name, title in DETAILS.items()
        if name in view.tables and not _on_slide(name, view)
    ]
    values = {"stamp": stamp, "pages": data, "details": details, "print_foot": print_foot(stamp)}
    page, wrong = render_page(PAGE, values, folders=context.templates, fonts=context.fonts)
    made = [(name, content) for name, content in ((PAGE, page), (DECK, deck)) if content is not None]
    return made, [*found, *more, *undrawn, *wrong]


def _on_slide(name: str, view: View) -> bool:
    return name == "cues" and view.values["cues_fit"]
