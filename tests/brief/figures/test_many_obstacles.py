"""Two hundred obstacles are legal: the drawings name the highest twelve and say so, or their labels would
look for places for minutes."""

from __future__ import annotations

from briefgen.brief.figures import pass_plan
from briefgen.brief.figures.profile_data import profile_of
from briefgen.brief.figures.profile_words import alt
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Canvas, Text
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
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


def test_those_of_files_near_the_track_count_too(tmp_path):
    """Numbers 36 to 79 of them stand in a file: within a mile of the track are those up to 48 (the tenth of a
    minute to which the others' longitude is typed is no doubt here), and the one that the regatta types."""
    rows = [
        f"M{n},Mast {n},{-38 - (22.0 - n * 0.018) / 60:.5f},141.56667,{100 + n},ft MSL" for n in range(36, 80)
    ]
    (tmp_path / "o.csv").write_text("\n".join(("id,name,lat,lon,top,unit", *rows)), encoding="utf-8")
    text = (REPOSITORY / "missions/regatta.yaml").read_text(encoding="utf-8")
    mission, _ = load_mission_text(f"{text}\nobstacles: {{files: [o.csv]}}\n", "m.yaml", folder=tmp_path)
    plan, _ = make_plan(mission)
    assert "of 14 obstacles the 12 highest near the track at most" in alt(profile_of(plan))
