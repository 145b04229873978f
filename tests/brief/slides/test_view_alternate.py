"""Where the alternate is required, what a ship must land with is said with it: on the slide and on the sheet.

Regatta: ship 4 lands with 1410 lb. 900 at landing, (100 + 230) x 1.06 and the leg of 62.7 nm, 9 min 58 s at
1700 lb/h x 1.06 or 299.5 lb, make 1549.3, up to 1550."""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.figures import figure_makers
from briefgen.brief.slides.view.view import make_view
from briefgen.draw.scene.model import Text
from briefgen.plan.build import make_plan
from tests.brief.cards.reading import figures_of
from tests.brief.figures.plans import CANVASES, shapes_of
from tests.planned import NO_STAMP, REPOSITORY, load_mission, plan_of

REQUIRED = (("recovery.alternate.required", "yes"),)


def test_the_landing_fuel_that_is_short_of_the_alternate_is_said():
    mission, _ = load_mission(REPOSITORY / "missions" / "regatta.yaml", REQUIRED)
    plan, _ = make_plan(mission)
    view = make_view(plan, NO_STAMP)
    assert view.values["fuel"]["short_of"] == "1550 lb, the alternate included"
    assert figures_of(cards.approval(plan))["LOWEST LANDING FUEL"].endswith(
        "must land with 1550 lb, the alternate included"
    )


def test_without_it_normal_landing_is_enough():
    view = make_view(plan_of("missions/regatta.yaml"), NO_STAMP)
    assert view.values["fuel"]["short_of"] is None


# One meaning and one figure wherever "must land with" is printed: the alternate with it (1550), without 900,
# though the wait to land adds 50 lb to what joker and bingo keep for landing.
@pytest.mark.parametrize(
    ("changes", "figure"), [((), "900 lb"), (REQUIRED, "1550 lb, the alternate included")]
)
def test_must_land_with_is_one_figure_everywhere(changes, figure):
    plan, _ = make_plan(load_mission(REPOSITORY / "missions" / "regatta.yaml", changes)[0])
    drawn = [text.text for text in shapes_of(figure_makers(plan)["storyboard"](CANVASES["slide"]), Text)]
    table = make_view(plan, NO_STAMP).tables["fuel_ships"]
    column = [head.head for head in table.columns].index("Must land with")
    assert f"must land with {figure}" in drawn
    assert figures_of(cards.approval(plan))["LOWEST LANDING FUEL"].endswith(f"must land with {figure}")
    assert table.rows[-1][column].text == figure.split()[0]
