"""Every figure of every mission on every kind of canvas: nothing off the edge, no text on a text, no label
left out."""

import pytest

from briefgen.brief.figures import figure_makers
from briefgen.draw.scene.geometry import Box, clip_line, shape_box, strays, text_box
from briefgen.draw.scene.model import Canvas, Line, Rect, Text
from briefgen.draw.scene.svg import svg
from tests.brief.figures.plans import ALL, CANVASES, MISSIONS, plan_of, scene_of, shapes_of

REGATTA = "missions/regatta.yaml"
ON_CARDS = {"pass_plan"}
# a row for each slip or call wants the height of a slide or of a page
WHOLE = {"slip_reach", "contact_ladder", "weather_columns", "line_up", "fuel_panels", "training_end"}
WITHOUT_TILES = ALL - {"ground_line"}
# one ship, no training, no fuel flows
PASS_ONLY = {
    "opening",
    "line_up",
    "storyboard",
    "clock_bar",
    "daylight",
    "route",
    "pass_plan",
    "pass_profile",
}


@pytest.mark.parametrize("canvas", CANVASES)
@pytest.mark.parametrize("mission", MISSIONS)
def test_all_of_it_is_drawn_and_nothing_collides(mission, canvas):
    makers = figure_makers(plan_of(mission))
    wanted = ON_CARDS if canvas == "card" else ALL - WHOLE if canvas == "half slide" else ALL
    for name in makers.keys() & wanted:
        scene = makers[name](CANVASES[canvas])
        texts = [(text.text, text_box(text, scene.canvas.medium)) for text in shapes_of(scene, Text)]
        collisions = [
            (a, b) for i, (a, one) in enumerate(texts) for b, other in texts[:i] if one.overlaps(other)
        ]
        assert (name, scene.unplaced, strays(scene), collisions) == (name, (), [], [])


def test_the_collision_check_can_fail():
    texts = [Text((10, 10), "one"), Text((12, 12), "two")]
    assert text_box(texts[0], "deck").overlaps(text_box(texts[1], "deck"))


@pytest.mark.parametrize(
    ("mission", "figures"),
    [
        (REGATTA, WITHOUT_TILES),
        ("missions/lantern-fair.yaml", WITHOUT_TILES),
        ("missions/founders-day.yaml", WITHOUT_TILES),
        ("tests/cases/ok-pass-only.yaml", PASS_ONLY),
    ],
)
def test_a_mission_has_the_figures_that_it_has_data_for(mission, figures):
    assert set(figure_makers(plan_of(mission))) == figures


# Read off missions/regatta.yaml, or worked out beside push-slack in tests/plan/gates/gate_rows.py: IP and
# push-up from T = 03:30:02 Z, 8.0 nm at 300 kt and 15 s of bias.
@pytest.mark.parametrize(
    ("figure", "said"),
    [
        ("route", ["NORTHBOURNE to ENTRY", "Eastlea airport", "Hartwell airport", "35.6 nm"]),
        ("pass_plan", ["03:30:02 Z", "6.9 nm to go", "03:28:54 Z", "left turns"]),
        (
            "pass_profile",
            [
                "1500 ft MSL",
                "300 KGS",
                "390 KGS",
                "1470 ft MSL",
                "1330 ft MSL",
                "Grain terminal",
                "SCT 4000 ft AGL",
            ],
        ),
        (
            "contact_ladder",
            ["02:45:00 Z In place", "PARADE: Parade halts", "Leave hold: then fast or slow only"],
        ),
        (
            "stop",
            [
                "GANNET ABORT ABORT",
                "Abort: 2000 ft MSL, 12 s, 041 M, Wings level",
                "Lost wingman: Turn away 30 deg",
                "Without 1: ship 3",
            ],
        ),
        ("opening", ["T 03:30:02 Z", "SET 03:30:17 Z", "14:30:02 Event AEDT (+11:00)"]),
        ("storyboard", ["training 48 min", "03:30:02 Z", "ship 4, which lands with 1410 lb"]),
        ("clock_bar", ["training 48 min", "03:30:02 Z", "Last landing"]),
        (
            "training_area",
            [
                "Sandpiper",
                "5000 ft MSL to FL260",
                "10000 to 14000 ft MSL",
                "15000 to 19000 ft MSL",
                "1000 ft above blue",
            ],
        ),
        ("formation", ["4 Lt J. Quigley 60 ft right, 60 ft back and 30 ft down", "ship 4 at 1470 ft MSL"]),
        (
            "line_up",
            ["ship 1 Maj R. Okafor-Lind, tail 0471, 5500 lb, leads", "ship 3", "Take-off 02:07:00 Z"],
        ),
        ("fuel_panels", ["ship 4 from 5500 lb lands with 1410 lb, must land with 900 lb"]),
        (
            "training_end",
            ["joker 2800 lb", "bingo 1750 lb", "END BY or joker 03:08:50 Z", "ship 4 at joker"],
        ),
        ("fuel_clock", ["4 ships", "joker", "bingo training", "lowest landing fuel"]),
        # 03:28:20: a second before leave-hold at 03:28:21, the last that a whole lap can be added
        (
            "slip_reach",
            ["+5 min: the row as printed until 03:28:20", "ANTHEM 03:28:06", "TOO LATE", "27 s later"],
        ),
        ("hold_laps", ["lap 2: out 217 M, start inbound turn 03:26:21 Z, fix 03:28:21 Z", "left"]),
        (
            "weather_columns",
            ["Finish pontoon, T 03:30:02 Z: SCT 4000 ft AGL, 10 km; ceiling PASS", "alternate 03:50:04 Z"],
        ),
        ("daylight", ["14:30:02 AEDT (+11:00)", "sunrise", "sunset", "30 Jan 2027"]),
    ],
)
def test_the_words_for_those_who_cannot_see_it_hold_the_numbers(figure, said):
    alt = scene_of(REGATTA, figure).alt
    assert [words for words in said if words not in alt] == []


@pytest.mark.parametrize("figure", sorted(WITHOUT_TILES))
def test_the_same_plan_gives_the_same_drawing(figure):
    assert svg(scene_of(REGATTA, figure)) == svg(scene_of(REGATTA, figure))


@pytest.mark.parametrize("figure", sorted(WITHOUT_TILES))
def test_the_drawing_uses_its_room(figure):
    """Half of the width and of the height at the least."""
    scene = scene_of(REGATTA, figure)
    boxes = [shape_box(shape, "deck") for shape in scene.shapes]
    assert max(b.right for b in boxes) - min(b.left for b in boxes) > 440
    assert max(b.bottom for b in boxes) - min(b.top for b in boxes) > 185


@pytest.mark.parametrize("figure", ["route", "pass_plan"])
@pytest.mark.parametrize(
    "mission",
    [
        "missions/regatta.yaml",
        "missions/lantern-fair.yaml",
        "missions/founders-day.yaml",
        "missions/overcommitted.yaml",
    ],
)
def test_no_words_of_a_slide_s_map_lie_on_a_track_or_on_its_border(mission, figure):
    # the room that a slide with nothing else on it has
    scene = figure_makers(plan_of(mission))[figure](Canvas(864, 400.64))
    (frame,) = shapes_of(scene, Rect, "frame")
    tracks = [
        line.points for line in shapes_of(scene, Line) if line.style in ("track", "track_dashed", "hold")
    ]
    # a leg's number stands on its leg
    texts = [(t.text, text_box(t, "deck")) for t in shapes_of(scene, Text) if not t.text.isdigit()]
    assert [said for said, box in texts for line in tracks if clip_line(line, box)] == []
    border = Box(frame.x, frame.y, frame.x + frame.width, frame.y + frame.height)
    inside = [(said, box) for said, box in texts if box.left < border.right]
    assert inside and [said for said, box in inside if not border.grown(-1).holds(box)] == []


def test_the_ends_of_the_egresses_of_several_passes_are_no_turning_points():
    """Three harbours as its file has them: the legs' ends, without base and the three centres; the IPs lie
    behind a hold."""
    texts = shapes_of(scene_of("missions/three-harbours.yaml", "route"), Text, "label_bold")
    named = [text.text for text in texts if not text.text.isdigit()]
    turning = ["SEAGATE", "CAPE", "MOLEHOLD", "OFFING", "QUAYHOLD", "PIERHOLD"]
    assert named == ["Alderstone airfield", *turning, "N"]


@pytest.mark.parametrize("mission", ["missions/three-harbours.yaml", "missions/twin-fields.yaml"])
def test_a_long_list_of_legs_has_its_room_beside_the_map_of_a_slide(mission):
    """Seven and six numbered legs: the list grows in breadth and ends above the words of the scale."""
    scene = figure_makers(plan_of(mission))["route"](Canvas(864, 398))
    (frame,) = shapes_of(scene, Rect, "frame")
    beside = [text_box(t, "deck") for t in shapes_of(scene, Text) if t.at[0] > frame.x + frame.width]
    assert strays(scene) == [] and scene.unplaced == ()
    assert [1 for i, one in enumerate(beside) for other in beside[:i] if one.overlaps(other)] == []
