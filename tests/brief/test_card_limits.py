"""What a card says of the height under the flight and of times that can no longer be flown, against the mission's own text."""

from __future__ import annotations

import pytest

from briefgen.brief import cards
from tests.render.pdf_cases import changed, plan_of

FOUNDERS, OVERCOMMITTED = "missions/founders-day.yaml", "missions/overcommitted.yaml"


def section(card, side: int, name: str):
    return card.sides[side][1][name]


# The run-in's level less the step-down of the lowest ship, then less the obstacle's top or the elevation, all of the mission's file.
@pytest.mark.parametrize(
    ("mission", "lowest_ft", "under"),
    [
        (FOUNDERS, 2500 - 5 * 10, f"{2450 - 1180} ft over Radio mast"),  # ship 6 is five steps down; the ground is 1690 ft below
        (OVERCOMMITTED, 1200 - 3 * 10, f"{1170 - 560} ft over Power station chimney"),  # the nearer mast is 270 ft, the ground 900 ft below
        ("tests/cases/ok-midnight.yaml", 1500 - 10, f"{1490 - 10} ft over the ground, no obstacle listed"),
        ("tests/cases/ok-pass-only.yaml", 1000, f"{1000 - 5} ft over the ground, no obstacle listed"),
    ],
)
def test_the_least_height_over_what_is_listed_near_the_track_is_named(mission, lowest_ft, under):
    label, figure, detail = section(cards.kneeboard(plan_of(mission), 1), 1, "minima").items[0]
    assert (label, figure) == ("LOWEST SHIP, NOT BELOW", f"{lowest_ft} ft")
    assert detail.endswith(f"; {under}")


def test_without_obstacle_and_elevation_no_height_is_told(tmp_path):
    plan = changed(tmp_path, "tests/cases/ok-pass-only.yaml", (", elevation: 5 ft MSL", ""))
    assert section(cards.kneeboard(plan, 1), 1, "minima").items[0][2].endswith("; height over ground NOT CHECKED")
