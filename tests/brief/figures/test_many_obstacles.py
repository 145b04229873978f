"""Two hundred obstacles are legal: the drawings name the highest twelve and say so, or their labels would
look for places for minutes."""

from __future__ import annotations

from briefgen.brief.figures import pass_plan
from briefgen.brief.figures.profile_data import profile_of
from briefgen.brief.figures.profile_words import alt
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Canvas, Text
from tests.planned import REPOSITORY, plan_of_text

# two hundred on a meridian beside the regatta's run-in, from the south, 1 ft higher each; the last within a
# mile of the track is number 51
MASTS = "\n".join(
    f"      - {{name: Mast {n}, position: 38°{22.0 - n * 0.018:.3f}'S 141°34.0'E, top: {100 + n} ft MSL}}"
    for n in range(200)
)


def test_of_very_many_obstacles_the_highest_are_drawn_and_the_drawing_says_so():
    text = (REPOSITORY / "missions/regatta.yaml").read_text(encoding="utf-8")
    head, tail = text.split("    obstacles:", 1)
    rest = tail[tail.index("\n    obstacles_checked") :]
    plan = plan_of_text(f"{head}    obstacles:\n{MASTS}{rest}")
    profile = profile_of(plan)
    assert [obstacle.name for obstacle in profile.obstacles] == [f"Mast {n}" for n in range(40, 52)]
    assert "of 200 obstacles the 12 highest near the track at most" in alt(profile)
    scene = pass_plan.make(plan)(Canvas(1100.0, 480.0))
    words = [shape.text for shape in flat(scene.shapes) if isinstance(shape, Text)]
    assert "At most 12 of 200 obstacles drawn" in words
