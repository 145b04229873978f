"""Plan to View: every value that a template may print, worded; every table, figure and chart by its name.

``values`` holds these groups, each a mapping described where it is made; a group is None when the mission has
nothing to say in it: ``sortie clock duty ground radio debrief`` (view_sortie), ``weather sun airspace route``
(view_air), ``training`` (view_training), ``fuel`` (view_fuel), ``event hold abort recovery`` (view_event),
``push slips authority ceremony`` (view_timing), ``gates contingencies risk`` (view_gates), ``what_if`` (given
from outside).  ``passes`` and ``several``: see view_passes. Of several passes the groups of a pass are None,
and its tables and figures absent, but on the slides of that pass; so is what is of a block of training where
``several_blocks``: see view_blocks, also for ``blocks``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from briefgen.brief.content.blocks import Chart, Table
from briefgen.brief.slides.pages import View
from briefgen.brief.slides.tables.event import OF_A_PASS as EVENT_TABLES
from briefgen.brief.slides.tables.tables import make_tables
from briefgen.brief.slides.view import (
    air as view_air,
)
from briefgen.brief.slides.view import (
    event as view_event,
)
from briefgen.brief.slides.view import (
    fuel as view_fuel,
)
from briefgen.brief.slides.view import (
    gates as view_gates,
)
from briefgen.brief.slides.view import (
    sortie as view_sortie,
)
from briefgen.brief.slides.view import (
    timing as view_timing,
)
from briefgen.brief.slides.view import (
    training as view_training,
)
from briefgen.brief.slides.view.blocks import blocks_values
from briefgen.brief.slides.view.passes import passes_values
from briefgen.brief.wording import format as words
from briefgen.brief.wording.open_limits import tally
from briefgen.brief.wording.passes import pass_name
from briefgen.brief.wording.words import Words, words_of
from briefgen.core.context import Stamp
from briefgen.draw.scene.marks import STATUS_SIGN
from briefgen.plan.one_block import each_block
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan

if TYPE_CHECKING:
    from briefgen.brief.wording.whatif import WhatIfLine

WHAT_IF = "what_if"
TABLES_OF_A_BLOCK = ("joker_first", "joker_rest", "bingo_training", "block_ships")
GROUPS_OF_A_PASS = ("event", "hold", "push", "slips", "authority", "ceremony", "abort")
# what is told of the passes and of the blocks together, and what a pass is called
TOGETHER = ("passes", "several", "blocks", "several_blocks", "name")
TABLES_OF_A_PASS = (*EVENT_TABLES, "bingo_event")
FIGURES_OF_A_BLOCK = ("training_area", "training_end")
FIGURES_OF_A_PASS = (
    "daylight",
    "pass_plan",
    "pass_profile",
    "push_ruler",
    "slip_reach",
    "hold_laps",
    "contact_ladder",
    "stop",
    "formation",
)


def make_view(plan: Plan, stamp: Stamp) -> View:
    """Everything that the slides and pages of a plan may show, but what a change of it would do."""
    w = words_of(plan, stamp.reasons)
    worded = view_values(w, stamp)
    whole = _of_passes(w, stamp, worded)
    seen = [replace(w, plan=each) for each in each_block(plan)]
    of_each = [_of_block(each, worded if each.plan is plan else _own_values(each)) for each in seen]
    told = blocks_values(w, of_each)
    several = len(seen) > 1
    blocks = tuple(
        (own.id, _shown(each, {**whole.values, **told, **values}))
        for own, each, values in zip(plan.trainings if several else (), seen, of_each, strict=several)
    )
    passes = tuple((name, _with_blocks(own, told)) for name, own in whole.passes)
    return replace(_with_blocks(whole, told), passes=passes, blocks=blocks)


def _with_blocks(view: View, told: Mapping[str, Any]) -> View:
    """A view that also tells of the blocks of training; of several it has nothing of one of them."""
    if not told["several_blocks"]:
        return replace(view, values={**view.values, **told})
    values = _untold(view.values, ("training",), view_sortie.OF_A_BLOCK, view_fuel.OF_A_BLOCK)
    values["ground"] = {**values["ground"], "rejoin": None}
    return replace(_without(view, TABLES_OF_A_BLOCK, FIGURES_OF_A_BLOCK), values={**values, **told})


def with_what_if(view: View, plan: Plan, what_if: Sequence[WhatIfLine]) -> View:
    """The same with the changes to tell, a line each; without any that slide is left out."""
    if not what_if:
        return view
    from briefgen.brief.wording.whatif import whatif_table

    return replace(
        view,
        values={**view.values, WHAT_IF: what_if_values(what_if, plan)},
        tables={**view.tables, WHAT_IF: whatif_table(what_if, WHAT_IF)},
    )


def _of_block(w: Words, values: Mapping[str, Any]) -> dict[str, Any]:
    """What a block of training has of its own: its group, its fuel, its instants, and when the flight is
    together again."""
    own = {group: values[group] for group in ("training", "fuel", "clock")}
    return {**own, "rejoin": view_sortie.rejoin(w)}


def _own_values(w: Words) -> dict[str, Any]:
    """The groups that a block of several has of its own."""
    return {
        "training": view_training.training_values(w),
        "fuel": view_fuel.fuel_values(w),
        "clock": view_sortie.clock_values(w),
    }


def _of_passes(w: Words, stamp: Stamp, values: Mapping[str, Any]) -> View:
    """The same with what is of a pass apart, where there are several."""
    plan, whole = w.plan, _shown(w, values)
    if len(plan.passes) < 2:
        passes = [{"name": each.section.event.id, **values} for each in plan.passes]
        told = passes_values(w, passes, several=False)
        return replace(whole, values={**values, **told})
    own = [replace(w, plan=seen) for seen in each_pass(plan)]
    of_each = [{"name": pass_name(each.plan.passes[0].section), **view_values(each, stamp)} for each in own]
    told = passes_values(w, of_each, several=True)
    views = tuple(
        (worded["name"], _shown(each, {**worded, **told})) for worded, each in zip(of_each, own, strict=True)
    )
    values = _untold(values, GROUPS_OF_A_PASS, view_sortie.OF_A_PASS, view_fuel.OF_A_PASS)
    left = _without(whole, TABLES_OF_A_PASS, FIGURES_OF_A_PASS)
    return replace(left, values={**values, **told}, passes=views)


def _shown(w: Words, values: Mapping[str, Any]) -> View:
    """These values, with every table, figure and chart of a plan or of what sees it."""
    from briefgen.brief.figures import figure_makers

    return View(values, make_tables(w), figure_makers(w.plan), _charts(w.plan))


def _untold(
    values: Mapping[str, Any], groups: Sequence[str], clock: Sequence[str], fuel: Sequence[str]
) -> dict[str, Any]:
    """The values of a sortie with several of a kind, which are nothing of one of them: without these groups
    and these members of its clock and of its fuel."""
    instants = {**values["clock"], **dict.fromkeys(clock)}
    amounts = values["fuel"] and {**values["fuel"], **dict.fromkeys(fuel)}
    return {**values, **dict.fromkeys(groups), "clock": instants, "fuel": amounts}


def _without(view: View, tables: Sequence[str], figures: Sequence[str]) -> View:
    return replace(
        view,
        tables={name: table for name, table in view.tables.items() if name not in tables},
        figures={name: figure for name, figure in view.figures.items() if name not in figures},
    )


def view_values(w: Words, stamp: Stamp) -> dict[str, Any]:
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
        WHAT_IF: None,  # see with_what_if
        "contingencies": view_gates.contingency_values(w),
        "radio": view_sortie.radio_values(w),
        "gates": view_gates.gate_values(w),
        "risk": view_gates.risk_values(w),
        "debrief": view_sortie.debrief_values(w),
    }


def what_if_values(what_if: Sequence[WhatIfLine], plan: Plan) -> dict[str, Any]:
    """``what_if``: how many changes there are, and in a sentence how many lose the pass, fail a gate that the
    plan doesn't, have no pass at all, or aren't known, and how many the plan itself fails."""
    from briefgen.brief.wording.whatif import sentence

    return {
        "count": words.counted(len(what_if), "change"),
        "sentence": sentence(what_if, with_pass=plan.event is not None, plan_fails=tally(plan.gates)["FAIL"]),
    }


def _charts(plan: Plan) -> dict[str, Chart]:
    if plan.fuel is None:
        return {}
    from briefgen.brief.figures import fuel_chart

    return {"fuel": fuel_chart(plan)}


def printed_view(view: View) -> dict[str, Any]:
    """The same values and tables as plain text, for plan.json: rows of cells, a verdict as ``▲ CAUTION``; of
    several passes each with its ``name`` and its own."""
    return {**_printed(view), "passes": [{"name": name, **_printed(own)} for name, own in view.passes]}


def _printed(view: View) -> dict[str, Any]:
    return {
        "values": {key: value for key, value in view.values.items() if key not in TOGETHER},
        "tables": {name: plain_table(table) for name, table in view.tables.items()},
    }


def plain_table(table: Table) -> Mapping[str, Any]:
    """A table as text: heads, rows, caption."""
    rows = [[_cell_text(cell.text, cell.status) for cell in row] for row in table.rows]
    return {"columns": [column.head for column in table.columns], "rows": rows, "caption": table.caption}


def _cell_text(text: str, status: str | None) -> str:
    return " ".join(part for part in (STATUS_SIGN[status] if status else "", status or "", text) if part)
