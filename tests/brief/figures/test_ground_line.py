"""The levels of the whole way over the ground of the tiles, on twin-fields with its made grid."""

import pytest

from briefgen.brief.figures import figure_makers
from briefgen.brief.figures.ground_line import stretches_of
from briefgen.draw.scene.geometry import shape_box, strays, text_box
from briefgen.draw.scene.model import Line, Polygon, Text
from briefgen.draw.scene.svg import svg
from tests.brief.figures.plans import CANVASES, plan_of, scene_of, shapes_of, twin_fields_ground

TWIN = "missions/twin-fields.yaml"
# missions/twin-fields.yaml and its book: the levels as typed, the field COLDWELL at 1040 ft
LEVELS = [3000, 2800, 2800, 2800, 3000, 3000, 2800, 2800, 2800, 3000, 3500]


def test_each_leg_has_its_level_and_the_highest_cell_beside_it():
    """Of each piece of two miles or less: the highest cell within a mile of its middle at the least, and
    within a mile of anything of it, its ships and a cell at the most."""
    stretches = stretches_of(plan_of(TWIN))
    assert [each.leg.altitude_ft for each in stretches] == LEVELS
    for stretch in stretches:
        start, end = stretch.leg.start, stretch.leg.end
        length = stretch.leg.distance_nm
        first = stretch.steps[0].begins_nm
        assert sum(step.ends_nm - step.begins_nm for step in stretch.steps) == pytest.approx(length)
        for step in stretch.steps:
            assert step.ends_nm - step.begins_nm <= 2.0 + 1e-9
            share = ((step.begins_nm + step.ends_nm) / 2 - first) / length
            away = twin_fields_ground(
                start.lat_deg + share * (end.lat_deg - start.lat_deg),
                start.lon_deg + share * (end.lon_deg - start.lon_deg),
            )
            least, most = (max(m for nm, m in away if nm <= within) for within in (0.95, 2.6))
            assert least / 0.3048 - 1 <= step.ground_ft <= most / 0.3048 + 1


def test_the_climb_out_begins_at_the_field_and_no_level_is_drawn_too_high():
    stretches = stretches_of(plan_of(TWIN))
    assert stretches[0].steps[0].levels_ft[0] == 1040
    for stretch, level in zip(stretches, LEVELS, strict=True):
        assert all(ft <= level for step in stretch.steps for ft in step.levels_ft)
        assert stretch.steps[-1].levels_ft[1] == level


def test_level_and_ground_lie_on_one_scale():
    scene = scene_of(TWIN, "ground_line")
    marks = [(t.at[1], float(t.text)) for t in shapes_of(scene, Text) if t.text.isdigit()]
    (y1, one), (y2, other) = marks[0], marks[-1]
    ft = lambda y: one + (y - y1) * (other - one) / (y2 - y1)  # noqa: E731
    tracks = [y for line in shapes_of(scene, Line, "track") for _, y in line.points]
    assert [round(ft(max(tracks))), round(ft(min(tracks)))] == [1040, 3500]
    highest = max(step.ground_ft for each in stretches_of(plan_of(TWIN)) for step in each.steps)
    tops = [y for shape in shapes_of(scene, Polygon, "ground") for _, y in shape.points]
    assert ft(min(tops)) == pytest.approx(highest)
    assert f"ground {highest:.0f} ft MSL" in {t.text for t in shapes_of(scene, Text)}


@pytest.mark.parametrize("canvas", sorted(CANVASES.keys() - {"card"}))
def test_no_words_stand_on_others_or_off_the_edge(canvas):
    scene = scene_of(TWIN, "ground_line", canvas)
    boxes = [text_box(text, scene.canvas.medium) for text in shapes_of(scene, Text)]
    assert not strays(scene)
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[:i])


def test_where_no_tile_lies_the_ground_is_not_known(tmp_path):
    """The grid cut off at 42.2 degrees north: what lies south of it isn't known, and isn't drawn as flat."""
    from tests.places import REPOSITORY
    from tests.planned import plan_at

    (tmp_path / "twin-fields").mkdir()
    for name in ("twin-fields.yaml", "twin-fields/obstacles.csv"):
        (tmp_path / name).write_text((REPOSITORY / "missions" / name).read_text())
    (tmp_path / "books").mkdir()
    book = REPOSITORY / "missions" / "books" / "displays.yaml"
    (tmp_path / "books" / "displays.yaml").write_text(book.read_text())
    lines = (REPOSITORY / "missions/twin-fields/ground.asc").read_text().splitlines()
    rows = lines[6:][:60]
    south = 41.98 + (129 - 60) * 0.004166666667
    head = [lines[0], "nrows 60", lines[2], f"yllcorner {south}", *lines[4:6]]
    (tmp_path / "twin-fields" / "ground.asc").write_text("\n".join([*head, *rows]) + "\n")
    plan = plan_at(tmp_path / "twin-fields.yaml")
    steps = [step for each in stretches_of(plan) for step in each.steps]
    assert {step.ground_ft is None for step in steps} == {True, False}
    scene = figure_makers(plan)["ground_line"](CANVASES["slide"])
    assert "?" in {t.text for t in shapes_of(scene, Text)}
    assert "not known" in scene.alt


def test_without_tiles_there_is_no_such_figure():
    assert "ground_line" not in figure_makers(plan_of("missions/regatta.yaml"))


def test_it_is_the_same_each_time_and_uses_its_room():
    scene = scene_of(TWIN, "ground_line")
    assert svg(scene) == svg(scene_of(TWIN, "ground_line"))
    boxes = [shape_box(shape, "deck") for shape in scene.shapes]
    assert max(b.right for b in boxes) - min(b.left for b in boxes) > 440
    assert max(b.bottom for b in boxes) - min(b.top for b in boxes) > 185
