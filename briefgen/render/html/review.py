"""The review page: the whole brief in one file for a screen. A summary for a telephone first, then the same
pages as the deck, of each the figure, the rest folded."""

from __future__ import annotations

from markupsafe import Markup

from briefgen.brief.brief import Brief
from briefgen.brief.cards.cards import kneeboard
from briefgen.brief.cards.common import crew_words
from briefgen.brief.cards.model import Large, Side
from briefgen.brief.slides.pages import View, build_pages, read_templates
from briefgen.core.context import Context, Stamp
from briefgen.core.diagnostics import Diagnostic
from briefgen.plan.model import WORST_FIRST
from briefgen.render.bound import bound_block
from briefgen.render.html.base import css_string, render_page
from briefgen.render.html.blocks import Data, pages_data, status_data, table_data

NAME = "review.html"
GATE_TABLES = ("open_at_stake", "gates_passed")


def review(brief: Brief, context: Context) -> tuple[list[tuple[str, bytes]], list[Diagnostic]]:
    """The page of a plan. A slide template with mistakes leaves its page out, and each mistake is told."""
    view = brief.view
    pages, found = build_pages(read_templates([folder / "brief" for folder in context.templates]), view)
    data, more = pages_data(pages)
    values = {
        "stamp": context.stamp,
        "values": view.values,
        "pages": data,
        "gates": gates_data(view),
        "ships": ships_data(brief),
        "print_foot": print_foot(context.stamp),
    }
    page, wrong = render_page(NAME, values, folders=context.templates, fonts=context.fonts)
    return [(NAME, page)] if page is not None else [], [*found, *more, *wrong]


def gates_data(view: View) -> Data:
    """What the page says first: ``doubts`` of the check, ``sentence``, ``passed`` (how many), ``counts`` (a
    verdict with how many, also none), ``open`` (what is to be settled, a line each) and ``tables`` of every
    gate, the worst first."""
    values = view.values["gates"]
    counts = [
        {**status_data(verdict), "count": values[verdict.lower().replace(" ", "_")]}
        for verdict in WORST_FIRST
    ]
    tables = [
        table_data(bound_block(view.tables[name]))
        for name in GATE_TABLES
        if name in view.tables and view.tables[name].rows
    ]
    return {
        "doubts": values["doubts"],
        "sentence": values["sentence"],
        "passed": values["pass"],
        "counts": counts,
        "open": [{**status_data(row["verdict"]), "words": row["words"]} for row in values["open_rows"]],
        "tables": tables,
    }


def ships_data(brief: Brief) -> list[Data]:
    """Of each ship who flies it, and what is large on its kneeboard card, side by side of the card."""
    plan = brief.plan
    return [
        {
            "name": f"{ship.ship} {crew_words(ship)}",
            "sides": [
                {"name": name, "items": [_box(*item) for section in _large(side) for item in section.items]}
                for name, side in kneeboard(plan, ship.ship, brief.what_if).sides
            ],
        }
        for ship in plan.mission.file.flight
    ]


def _large(side: Side) -> list[Large]:
    return [section for section in side.values() if isinstance(section, Large)]


def _box(label: str, value: str, detail: str) -> Data:
    return {"label": label, "value": value, "detail": detail, "status": None, "stop": False}


def print_foot(stamp: Stamp) -> dict[str, Markup]:
    """The head and foot of each printed sheet as strings for the style."""
    head = " · ".join(part for part in (stamp.marking, stamp.mission, stamp.state) if part)
    return {
        "head": css_string(head),
        "foot": css_string(f"Plan {stamp.fingerprint}; cards read {stamp.spoken}"),
        "caution": css_string(stamp.caution),
    }
