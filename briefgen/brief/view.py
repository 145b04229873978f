"""Plan to View: every value that a template may print, worded; every table, figure and chart by its name.

``values`` holds these groups, each a mapping described where it is made; a group is None when the mission has nothing to say in it:
``sortie clock duty ground radio debrief`` (view_sortie), ``weather sun airspace route`` (view_air), ``training`` (view_training),
``fuel`` (view_fuel), ``event hold abort recovery`` (view_event), ``push slips authority ceremony`` (view_timing),
``gates contingencies risk`` (view_gates), ``what_if`` (given from outside).
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from briefgen.brief import view_air, view_event, view_fuel, view_gates, view_sortie, view_timing, view_training
from briefgen.brief import format as words
from briefgen.brief.blocks import Chart, Table
from briefgen.brief.pages import View
from briefgen.brief.tables import make_tables
from briefgen.brief.view_words import NOT_CHECKED, Words, words_of
from briefgen.context import Stamp
from briefgen.plan.model import Plan
from briefgen.scene.marks import STATUS_SIGN

WHAT_IF = "what_if"
_LATEST: list[Any] = []  # plan, stamp and view of the plan that was shown last


def make_view(plan: Plan, stamp: Stamp, what_if: Table | None = None) -> View:
    """Everything that the slides and pages of a plan may show. ``what_if`` is a finished table of changes, a line each; without it that slide is left out."""
    from briefgen.brief.figures import figure_makers

    w = words_of(plan, stamp.reasons)
    tables = make_tables(w)
    if what_if is not None and what_if.rows:
        tables[WHAT_IF] = what_if
    return View(view_values(w, stamp, what_if), tables, figure_makers(plan), _charts(plan))


def full_view(plan: Plan, stamp: Stamp) -> View:
    """The view of a plan with its what-ifs. The deck and the review page, made one after the other, share it."""
    if _LATEST and _LATEST[0] is plan and _LATEST[1] == stamp:
        return _LATEST[2]
    from briefgen.brief.whatif_words import slide_lines, whatif_lines, whatif_table

    _LATEST[:] = [plan, stamp, make_view(plan, stamp, whatif_table(slide_lines(whatif_lines(plan)), WHAT_IF))]
    return _LATEST[2]


def view_values(w: Words, stamp: Stamp, what_if: Table | None = None) -> dict[str, Any]:
    """The worded values by group."""
    return {
        "sortie": view_sortie.sortie_values(w, stamp),
        "clock": view_sortie.clock_values(w),
        "duty": view_sortie.duty_values(w),
        "ground": view_sortie.ground_values(w),
        "weather": view_air.weather_values(w),
        "sun": view_air.sun_values(w),
        "airspace": view_air.airspace_values(w),
        "route": view_air.route_values(w),
        "training": view_training.training_values(w),
        "fuel": view_fuel.fuel_values(w),
        "event": view_event.event_values(w),
        "hold": view_event.hold_values(w),
        "push": view_timing.push_values(w),
        "slips": view_timing.slip_values(w),
        "authority": view_timing.authority_values(w),
        "ceremony": view_timing.ceremony_values(w),
        "abort": view_event.abort_values(w),
        "recovery": view_event.recovery_values(w),
        WHAT_IF: what_if_values(what_if, with_pass=w.plan.event is not None) if what_if is not None and what_if.rows else None,
        "contingencies": view_gates.contingency_values(w),
        "radio": view_sortie.radio_values(w),
        "gates": view_gates.gate_values(w),
        "risk": view_gates.risk_values(w),
        "debrief": view_sortie.debrief_values(w),
    }


def what_if_values(table: Table, *, with_pass: bool) -> dict[str, Any]:
    """``what_if``: how many changes there are, how many of them (set in bold) lose the pass, can't be flown or fail a gate that the plan doesn't, and how many aren't known."""
    count = len(table.rows)
    unknown = sum(row[1].text.startswith(NOT_CHECKED) for row in table.rows)
    worse = sum(any(cell.strong for cell in row) for row in table.rows) - unknown
    fails, bad = ("fails one more gate" if worse < 2 else "fail one more gate"), ("loses the pass or " if worse < 2 else "lose the pass or ") if with_pass else ""
    more = f"; {unknown} {'is' if unknown == 1 else 'are'} {NOT_CHECKED}" if unknown else ""
    return {"count": words.counted(count, "change"), "sentence": f"{worse or 'None'} of {words.counted(count, 'what-if')} {bad}{fails}{more}"}


def _charts(plan: Plan) -> dict[str, Chart]:
    if plan.fuel is None:
        return {}
    from briefgen.brief.figures import fuel_chart

    return {"fuel": fuel_chart(plan)}


def printed_view(plan: Plan, stamp: Stamp) -> dict[str, Any]:
    """The same values and tables as plain text, for plan.json: rows of cells, a verdict as ``▲ CAUTION``."""
    w = words_of(plan, stamp.reasons)
    return {"values": view_values(w, stamp), "tables": {name: plain_table(table) for name, table in make_tables(w).items()}}


def plain_table(table: Table) -> Mapping[str, Any]:
    """A table as text: heads, rows, caption."""
    rows = [[_cell_text(cell.text, cell.status) for cell in row] for row in table.rows]
    return {"columns": [column.head for column in table.columns], "rows": rows, "caption": table.caption}


def _cell_text(text: str, status: str | None) -> str:
    return " ".join(part for part in (STATUS_SIGN[status] if status else "", status or "", text) if part)
