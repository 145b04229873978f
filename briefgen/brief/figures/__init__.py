"""Every figure by the name that slide templates, cards and pages use for it.

``make(plan)`` gives the maker that draws it for a canvas, or None when the mission lacks what it shows.
"""

from __future__ import annotations

from collections.abc import Callable

from briefgen.brief.figures import (
    clock_bar,
    contact_ladder,
    daylight,
    formation,
    fuel_clock,
    fuel_panels,
    ground_line,
    hold_laps,
    line_up,
    opening,
    pass_plan,
    pass_profile,
    push_ruler,
    route,
    slip_reach,
    stop_page,
    storyboard,
    training_area,
    training_end,
    weather_columns,
)
from briefgen.brief.figures.fuel_clock import fuel_chart
from briefgen.draw.scene.model import FigureMaker
from briefgen.plan.sortie import Plan

__all__ = ["FIGURES", "figure_makers", "fuel_chart"]

FIGURES: dict[str, Callable[[Plan], FigureMaker | None]] = {
    "opening": opening.make,
    "storyboard": storyboard.make,
    "clock_bar": clock_bar.make,
    "daylight": daylight.make,
    "weather_columns": weather_columns.make,
    "route": route.make,
    "ground_line": ground_line.make,
    "training_area": training_area.make,
    "pass_plan": pass_plan.make,
    "pass_profile": pass_profile.make,
    "push_ruler": push_ruler.make,
    "slip_reach": slip_reach.make,
    "contact_ladder": contact_ladder.make,
    "stop": stop_page.make,
    "formation": formation.make,
    "fuel_clock": fuel_clock.make,
    "fuel_panels": fuel_panels.make,
    "line_up": line_up.make,
    "training_end": training_end.make,
    "hold_laps": hold_laps.make,
}


def figure_makers(plan: Plan) -> dict[str, FigureMaker]:
    """The makers of the figures that this plan has, in the order of the table."""
    made = {name: make(plan) for name, make in FIGURES.items()}
    return {name: maker for name, maker in made.items() if maker is not None}
