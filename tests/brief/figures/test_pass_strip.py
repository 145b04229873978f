"""The pass on one axis: the strip from above, the row of words over it, against plain arithmetic."""

import pytest

from briefgen.brief.figures import figure_makers, heads
from briefgen.brief.figures.inbound import approach_of
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.model import Canvas, Ellipse, Line, Polygon, Rect, Text
from tests.brief.figures.plans import plan_of, scene_of, shapes_of

REGATTA = "missions/regatta.yaml"


# Three things 40 wide with 10 between them, wanted at 100, 110 and 300: the first two are pooled about 105,
# at 80 and 130; at 5 and 10 the edge at 0 holds them to 20 and 70.
@pytest.mark.parametrize(
    ("wanted", "found"),
    [([100, 110, 300], [80, 130, 300]), ([5, 10, 300], [20, 70, 300]), ([395, 396, 399], [280, 330, 380])],
)
def test_words_in_a_row_keep_apart_and_near_to_their_places(wanted, found):
    assert heads.spread(wanted, [40, 40, 40], 10, 400) == pytest.approx(found)


def test_a_row_without_room_is_none():
    assert heads.spread([10, 20, 30], [40, 40, 40], 10, 139) is None  # 3 x 40 + 2 x 10 = 140


def test_the_moments_stand_above_in_the_order_of_time():
    """Regatta: abort-only 30 s before T, as its file says; the others beside push-slack in gate_rows.py."""
    scene = scene_of(REGATTA, "pass_profile")
    times = {
        "Leave hold": "03:28:21 Z",
        "IP": "03:28:41 Z",
        "Push-up": "03:28:54 Z",
        "Abort only": "03:29:32 Z",
        "T": "03:30:02 Z",
    }
    texts = {text.text: text for text in shapes_of(scene, Text)}
    middles = [texts[name].at[0] for name in times]
    assert middles == sorted(middles)
    assert [texts[name].at[0] == texts[time].at[0] for name, time in times.items()] == [True] * 5
    assert texts["Abort only"].style == "red" and texts["T"].style == "target"


def test_right_of_the_track_is_below_it_as_the_flight_goes_to_the_right():
    """Founders' day: the mast lies right of the run-in 075 M by 0.6 nm; regatta's terminal lies left."""
    for mission, right in (("missions/founders-day.yaml", True), (REGATTA, False)):
        scene = scene_of(mission, "pass_profile")
        strip = shapes_of(scene, Rect, "panel")[0]
        (centre,) = (e.centre for e in shapes_of(scene, Ellipse, "target_solid"))
        mast = shapes_of(scene, Polygon, "obstacle")[0]
        middle = sum(y for _, y in mast.points) / 3
        assert centre[1] == pytest.approx(strip.y + strip.height / 2)
        assert (middle > centre[1]) is right


@pytest.mark.parametrize(
    ("mission", "ships"),
    [(REGATTA, 4), ("missions/founders-day.yaml", 6), ("tests/cases/ok-pass-only.yaml", 1)],
)
def test_each_ship_has_a_sign_its_leader_on_the_track(mission, ships):
    scene = scene_of(mission, "pass_profile")
    strip = shapes_of(scene, Rect, "panel")[0]
    signs = shapes_of(scene, Polygon, "track_solid")
    middles = [sum(y for _, y in sign.points) / 3 for sign in signs]
    assert len(signs) == ships and middles[0] == pytest.approx(strip.y + strip.height / 2)


def test_the_hold_turns_to_the_side_on_which_its_lap_is_drawn():
    """Regatta holds with left turns: flown to the right, the lap lies above the track out of it."""
    scene = scene_of(REGATTA, "pass_profile")
    (lap,) = shapes_of(scene, Line, "hold")
    assert min(y for _, y in lap.points) < lap.points[0][1] - 10 and max(y for _, y in lap.points) <= (
        lap.points[0][1] + 1
    )


def test_the_strip_has_the_time_scale_of_the_others():
    scene = scene_of(REGATTA, "pass_profile")
    approach = approach_of(plan_of(REGATTA))
    run_in = next(line for line in shapes_of(scene, Line, "track") if line.arrow == "end")
    zero = next(t for t in shapes_of(scene, Text) if t.text == "0:00")
    minute = next(t for t in shapes_of(scene, Text) if t.text == "1:00")
    per_s = (zero.at[0] - minute.at[0]) / 60
    ip_s = (plan_of(REGATTA).event.true_time - plan_of(REGATTA).event.ip_time).total_seconds()
    assert run_in.points[-1][0] == pytest.approx(zero.at[0])
    assert (run_in.points[-1][0] - run_in.points[0][0]) / per_s == pytest.approx(ip_s)
    assert approach.overhead_to_go_s == pytest.approx(0, abs=1e-3)


def test_a_low_drawing_leaves_the_strip_out():
    scene = scene_of(REGATTA, "pass_profile")
    low = figure_makers(plan_of(REGATTA))["pass_profile"](Canvas(864, 300))
    assert shapes_of(scene, Rect, "panel") and not shapes_of(low, Rect, "panel")


def test_no_word_of_the_strip_leaves_it():
    scene = scene_of("missions/founders-day.yaml", "pass_profile")
    strip = shapes_of(scene, Rect, "panel")[0]
    box = Box(0, strip.y - 1, 864, strip.y + strip.height + 1)
    for said in ("Crowd line", "0.6 nm right"):
        (text,) = (t for t in shapes_of(scene, Text) if t.text == said)
        assert box.holds(text_box(text, "deck"))
