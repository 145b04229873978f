"""Where the alternate is required, what a ship must land with is said with it: on the slide and on the sheet.

Regatta: ship 4 lands with 1410 lb. 900 at landing, (100 + 230) x 1.06 and the leg of 62.7 nm, 9 min 58 s at
1700 lb/h x 1.06 or 299.5 lb, make 1549.3, up to 1550."""

from __future__ import annotations

from briefgen.brief.cards import cards
from briefgen.brief.slides.view.view import make_view
from briefgen.plan.build import make_plan
from tests.brief.cards.reading import figures_of
from tests.planned import NO_STAMP, REPOSITORY, load_mission, plan_of

REQUIRED = (("recovery.alternate.required", "yes"),)


def test_the_landing_fuel_that_is_short_of_the_alternate_is_said():
    mission, _ = load_mission(REPOSITORY / "missions" / "regatta.yaml", REQUIRED)
    plan, _ = make_plan(mission)
    view = make_view(plan, NO_STAMP)
    assert view.values["fuel"]["short_of"] == "1550 lb, the alternate included"
    assert figures_of(cards.approval(plan))["LOWEST LANDING FUEL"].endswith(
        "required 1550 lb, the alternate included"
    )


def test_without_it_normal_landing_is_enough():
    view = make_view(plan_of("missions/regatta.yaml"), NO_STAMP)
    assert view.values["fuel"]["short_of"] is None
