"""What is drawn to scale is to scale: distances, seconds, heights, feet. Expected values are plain arithmetic
or a geodesic library's."""

from datetime import timedelta
from math import hypot

import pytest
from geographiclib.geodesic import Geodesic

from briefgen.brief.figures import figure_makers, fuel_chart
from briefgen.brief.figures.inbound import approach_of
from briefgen.brief.figures.profile_data import height_at, profile_of
from briefgen.brief.figures.push_ruler import tick_words
from briefgen.brief.wording import format as f
from briefgen.brief.wording.heights import least_read
from briefgen.draw.scene.geometry import clip_line, text_box
from briefgen.draw.scene.model import Canvas, Ellipse, Line, Polygon, Rect, Text
from tests.brief.figures.plans import plan_of, scene_of, shapes_of, twin_fields_ground

REGATTA = "missions/regatta.yaml"
MISSIONS = [REGATTA, "missions/lantern-fair.yaml", "missions/founders-day.yaml"]


def bar_of(scene):
    """(points, nm) of a map's scale bar: the only heavy line's left end to the right end of the line under
    it, and its words."""
    heavy = shapes_of(scene, Line, "heavy")[-1]
    whole = max(
        (s for s in shapes_of(scene, Line, "line") if s.points[0] == heavy.points[0]),
        key=lambda s: s.points[1][0],
    )
    words = [
        t.text for t in shapes_of(scene, Text) if t.text.endswith(" nm") and t.at[0] == heavy.points[0][0]
    ]
    return whole.points[1][0] - whole.points[0][0], float(words[0].removesuffix(" nm"))


def apart(a, b):
    return hypot(a[0] - b[0], a[1] - b[1])


# ---------------------------------------------------------------- maps


def test_a_divert_lies_as_far_from_the_pontoon_as_the_scale_bar_says():
    # Positions of missions/regatta.yaml: pontoon 38 20.8 S 141 36.6 E, Eastlea 38 14.0 S 142 21.0 E; Karney's
    # geodesic, 1852 m to the nm.
    nm = (
        Geodesic.WGS84.Inverse(-(38 + 20.8 / 60), 141 + 36.6 / 60, -(38 + 14 / 60), 142 + 21 / 60)["s12"]
        / 1852
    )
    scene = scene_of(REGATTA, "route")
    points, bar_nm = bar_of(scene)
    dotted = shapes_of(scene, Line, "divert")
    lengths = [apart(*line.points) for line in dotted]
    assert min(lengths) / points * bar_nm == pytest.approx(nm, rel=1e-6)  # Eastlea is the nearer of the two


def test_north_is_up_and_east_is_right_on_the_route_map():
    # Northbourne 37 41.5 S 140 51.0 E lies north and west of the pontoon; the recovery ends there.
    scene = scene_of(REGATTA, "route")
    pontoon = next(s.centre for s in shapes_of(scene, Ellipse, "target_solid"))
    home = shapes_of(scene, Line, "track")[-1].points[-1]
    assert home[0] < pontoon[0] and home[1] < pontoon[1]


@pytest.mark.parametrize("mission", MISSIONS)
@pytest.mark.parametrize("canvas", ["slide", "card"])
def test_the_run_in_is_as_long_as_the_scale_bar_says(mission, canvas):
    event = plan_of(mission).event
    a, b = event.ip, event.centre
    nm = Geodesic.WGS84.Inverse(a.lat_deg, a.lon_deg, b.lat_deg, b.lon_deg)["s12"] / 1852
    scene = scene_of(mission, "pass_plan", canvas)
    points, bar_nm = bar_of(scene)
    centre = next(s.centre for s in shapes_of(scene, Ellipse, "target_solid"))
    ip = next(s.centre for s in shapes_of(scene, Ellipse, "hollow"))
    assert apart(ip, centre) / points * bar_nm == pytest.approx(nm, rel=1e-6)


@pytest.mark.parametrize("mission", MISSIONS)
def test_an_egress_drawn_shorter_than_it_is_has_a_break_and_says_so(mission):
    scene, nm = scene_of(mission, "pass_plan"), plan_of(mission).event.egress.distance_nm
    points, bar_nm = bar_of(scene)
    (line,) = shapes_of(scene, Line, "track_dashed")
    assert apart(*line.points) / points * bar_nm < nm - 1  # all three missions' are cut short
    assert len(shapes_of(scene, Line, "track_thin")) == 2  # the two strokes of the break
    assert [t.text for t in shapes_of(scene, Text) if "not to scale" in t.text] == ["Egress not to scale"]


# ---------------------------------------------------------------- ten-second ticks


# The regatta's run-in: 300 kt, push-up 6.916667 nm and 68 s before T, 2.5 kt/s to 390 kt in 36 s over 3.45
# nm, then 390 kt to the pontoon.
#  30 s to go: 30 s at 390 kt                                               = 3.25 nm
#  50 s to go: 18 s after the push: 300*18/3600 + 2.5*18*18/2/3600 = 1.6125   6.916667 - 1.6125 = 5.304167 nm
#  60 s to go: 8 s after it: 0.666667 + 0.022222                              6.916667 - 0.688889 = 6.227778
#  80 s to go: 12 s before it at 300 kt                                       6.916667 + 1 = 7.916667 nm
TICKS = [(10, 13 / 12), (30, 3.25), (50, 5.304167), (60, 6.227778), (80, 7.916667)]


@pytest.mark.parametrize(("to_go_s", "to_go_nm"), TICKS)
def test_a_tick_stands_where_the_flight_is_so_many_seconds_before_t(to_go_s, to_go_nm):
    scene = scene_of(REGATTA, "pass_plan")
    points, bar_nm = bar_of(scene)
    centre = next(s.centre for s in shapes_of(scene, Ellipse, "target_solid"))
    strokes = [s.points for s in shapes_of(scene, Line, "line") if len(s.points) == 2]
    away = [apart(((a[0] + b[0]) / 2, (a[1] + b[1]) / 2), centre) / points * bar_nm for a, b in strokes]
    assert min(abs(nm - to_go_nm) for nm in away) < 1e-4


def test_as_many_ticks_as_tens_of_seconds():
    # Leave-hold 03:28:20.6, T 03:30:02: 101 s, so ten ticks at 10 to 100 s.
    assert approach_of(plan_of(REGATTA)).ticks_s() == [100, 90, 80, 70, 60, 50, 40, 30, 20, 10]


@pytest.mark.parametrize("mission", MISSIONS)
def test_the_drawn_motion_is_overhead_at_t(mission):
    assert approach_of(plan_of(mission)).overhead_to_go_s == pytest.approx(0.0, abs=1e-3)


# ---------------------------------------------------------------- profile


@pytest.mark.parametrize(
    ("to_go_s", "feet"),
    [
        (0, 1500),
        (60, 1500),
        (80, 1500),
        (-36.923, 1750),
    ],  # egress 8 nm at 390 kt = 73.846 s up to 2000 ft: half way at half of it
)
def test_heights_of_the_profile(to_go_s, feet):
    plan = plan_of(REGATTA)
    assert height_at(plan.event, approach_of(plan), to_go_s) == pytest.approx(feet, abs=0.1)


def test_the_minimum_is_the_limit_above_the_highest_obstacle():
    plan = plan_of(REGATTA)
    # 330 ft MSL + 1000 ft; the permission asks 1010
    assert least_read(plan.mission, plan.event) == (
        1330.0,
        "1000 ft above Grain terminal",
    )


def test_the_ground_of_the_profile_is_that_of_the_grid_along_the_pass():
    """Twin fields: of each piece the highest cell of the made grid within a mile of its middle at the
    least, and two miles at the most."""
    plan = plan_of("missions/twin-fields.yaml")
    run_in, profile = plan.event.run_in, profile_of(plan)
    whole = Geodesic.WGS84.InverseLine(
        run_in.start.lat_deg, run_in.start.lon_deg, run_in.end.lat_deg, run_in.end.lon_deg
    )
    on_run_in = [one for one in profile.ground if 0 < one[0] < 100]
    assert len(on_run_in) > 20
    for to_go_s, ft in on_run_in[::7]:
        spot = whole.Position(whole.s13 - to_go_s * run_in.gs_kt * 1852 / 3600)
        away = twin_fields_ground(spot["lat2"], spot["lon2"])
        least, most = (max(m for nm, m in away if nm <= within) for within in (0.6, 2.0))
        assert least / 0.3048 - 1 <= ft <= most / 0.3048 + 1


def axes_of(scene):
    """Of the height's and the speed's axis, two figures and where they stand."""
    marks = [(t.at[1], t.text) for t in shapes_of(scene, Text) if t.anchor == "end" and t.text.isdigit()]
    upright = [s.points for s in shapes_of(scene, Line, "axis") if len(s.points) == 3]
    return [
        [(y, float(text)) for y, text in sorted(marks) if top <= y <= foot][-2:]
        for (_, top), (_, foot), _ in upright
    ]


def test_speeds_of_the_profile_lie_on_their_axis():
    scene = scene_of(REGATTA, "pass_profile")
    _, ((y_high, high), (y_low, low)) = axes_of(scene)
    flown = next(line.points for line in shapes_of(scene, Line, "track") if len(line.points) > 2)
    kt_per_pt = (high - low) / (y_low - y_high)
    assert low + (y_low - flown[-1][1]) * kt_per_pt == pytest.approx(390, abs=0.01)
    assert min(low + (y_low - y) * kt_per_pt for _, y in flown) == pytest.approx(
        plan_of(REGATTA).event.hold.inbound_gs_kt, abs=0.01
    )


def test_ground_obstacle_and_ships_stand_at_their_heights():
    # missions/founders-day.yaml: stadium 760 ft MSL, mast 1180 ft MSL, leader 2500 ft MSL, ship 6 50 ft
    # below; two ticks give the axis.
    scene = scene_of("missions/founders-day.yaml", "pass_profile")
    ((y_high, high), (y_low, low)), _ = axes_of(scene)

    def at(y: float) -> float:
        return low + (y_low - y) * (high - low) / (y_low - y_high)

    (ground,), (mast,) = shapes_of(scene, Rect, "ground"), shapes_of(scene, Rect, "obstacle")
    leader, lowest = shapes_of(scene, Line, "track_thin")[0], shapes_of(scene, Line, "track_dashed")[0]
    assert [at(ground.y), at(mast.y), at(mast.y + mast.height)] == pytest.approx([760, 1180, 760])
    assert [max(at(y) for _, y in lowest.points), min(at(y) for _, y in leader.points)] == pytest.approx(
        [2450, 2500]
    )
    assert lowest.points[0][1] - leader.points[1][1] > 1.6  # points: the two can be told apart


@pytest.mark.parametrize("mission", [*MISSIONS, "missions/overcommitted.yaml"])
def test_no_words_of_the_profile_are_cut_by_its_upright_lines(mission):
    scene = scene_of(mission, "pass_profile")
    upright = [
        s.points
        for s in shapes_of(scene, Line)
        if s.style in ("thin", "target", "leader") and s.points[0][0] == s.points[1][0]
    ]
    texts = [(t.text, text_box(t, "deck")) for t in shapes_of(scene, Text)]
    assert upright and [said for said, box in texts for a, b in upright if clip_line((a, b), box)] == []


# ---------------------------------------------------------------- clock bar


def test_blocks_of_the_clock_bar_are_as_wide_as_they_last():
    # 45 s until the last ship is in, warm-up 4 min and four set-ups of 11 min: 48.75 min; leave 3 min and
    # rejoin 4 min: 7 min.
    scene = scene_of(REGATTA, "clock_bar")
    training = shapes_of(scene, Rect, "area")[0]
    rejoin = next(
        r for r in shapes_of(scene, Rect, "track_wash") if r.x == pytest.approx(training.x + training.width)
    )
    assert rejoin.width / training.width == pytest.approx(7 / 48.75)


@pytest.mark.parametrize(("event_clock", "zulu"), [("14:00", "03:00"), ("13:30", "02:30")])  # AEDT is UTC+11
def test_the_clocks_below_the_bar_agree(event_clock, zulu):
    texts = shapes_of(scene_of(REGATTA, "clock_bar"), Text)
    base = {"03:00": "13:30", "02:30": "13:00"}[zulu]  # ACDT is UTC+10:30
    x = next(t.at[0] for t in texts if t.text == zulu)
    column = {t.text for t in texts if t.at[0] == x}
    assert {event_clock, zulu, base} <= column


# ---------------------------------------------------------------- heights, formation, daylight, fuel


def test_height_blocks_are_to_scale():
    scene = scene_of(REGATTA, "training_area")
    red, blue = shapes_of(scene, Rect, "red_wash")[0], shapes_of(scene, Rect, "blue_wash")[0]
    assert red.height == pytest.approx(blue.height)  # both 4000 ft
    assert (blue.y - (red.y + red.height)) / blue.height == pytest.approx(1000 / 4000)


def test_ships_stand_as_far_apart_as_the_bar_says():
    # Finger four with 30 ft spacing: number 4 flies 60 ft right and 60 ft back of the leader.
    scene = scene_of(REGATTA, "formation")
    words = next(t for t in shapes_of(scene, Text) if t.text.endswith(" ft") and t.anchor == "end")
    bar = next(s for s in shapes_of(scene, Line, "line") if s.points[0][1] == s.points[1][1])
    ft_per_pt = float(words.text.removesuffix(" ft")) / (bar.points[1][0] - bar.points[0][0])
    tips = [p.points[0] for p in shapes_of(scene, Polygon, "track_wash")]
    assert (tips[3][0] - tips[0][0]) * ft_per_pt == pytest.approx(60)
    assert (tips[3][1] - tips[0][1]) * ft_per_pt == pytest.approx(60)


@pytest.mark.parametrize(
    ("mission", "share"),
    [
        (REGATTA, (14 + 30 / 60 + 2 / 3600) / 24),
        ("tests/cases/ok-midnight.yaml", (11 + 45 / 60) / 24),  # 23:45 on a day drawn from noon to noon
        (
            "missions/founders-day.yaml",
            (13 + 18 / 60 + 15 / 3600) / 23,
        ),  # 14:18:15 EDT on the day of 23 hours on which the clocks go forward
    ],
)
def test_t_stands_on_the_day_where_the_local_clock_says(mission, share):
    scene = scene_of(mission, "daylight")
    bar = shapes_of(scene, Rect, "thin")[0]
    t = shapes_of(scene, Line, "target")[0]
    assert (t.points[0][0] - bar.x) / bar.width == pytest.approx(share, abs=1e-6)


def test_a_sortie_past_midnight_is_drawn_whole_and_the_new_day_dated():
    # tests/cases/ok-midnight.yaml: take-off 23:00 CEST, last landing about 00:02:32 on 29 Jul; the page says
    # 22:02:32 Z.
    plan, scene = (
        plan_of("tests/cases/ok-midnight.yaml"),
        scene_of("tests/cases/ok-midnight.yaml", "daylight"),
    )
    bar, (sortie,) = shapes_of(scene, Rect, "thin")[0], shapes_of(scene, Line, "heavy")
    hours = (plan.clock.last_landing - plan.clock.takeoff).total_seconds() / 3600
    assert (sortie.points[1][0] - sortie.points[0][0]) / bar.width == pytest.approx(hours / 24)
    (date,) = (t for t in shapes_of(scene, Text) if t.text == "29 Jul")
    assert (date.at[0] - bar.x) / bar.width == pytest.approx(0.5)


@pytest.mark.parametrize(
    "mission", [*MISSIONS, "missions/overcommitted.yaml", "tests/cases/ok-midnight.yaml"]
)
def test_no_words_of_the_daylight_lie_on_its_lines(mission):
    scene = scene_of(mission, "daylight")
    lines = [s.points for s in shapes_of(scene, Line) if s.style in ("track", "target", "leader")]
    texts = [(t.text, text_box(t, "deck")) for t in shapes_of(scene, Text)]
    assert lines and [said for said, box in texts for line in lines if clip_line(line, box)] == []


@pytest.mark.parametrize("mission", MISSIONS)
def test_the_lines_of_the_fuel_chart_run_from_start_to_landing_fuel(mission):
    plan = plan_of(mission)
    for ship, line in zip(plan.fuel.ships, fuel_chart(plan).series, strict=True):
        assert line.points[-1][1] == ship.landing_predicted
        assert line.points[0][1] == ship.start_printed
        assert all(
            later[1] <= earlier[1] for earlier, later in zip(line.points, line.points[1:], strict=False)
        )


def test_the_lines_across_the_fuel_chart_are_the_printed_figures():
    plan = plan_of(REGATTA)
    said = {r.value: r.label for r in fuel_chart(plan).references if r.axis == "y"}
    # tiers of missions/regatta.yaml
    assert said[float(plan.fuel.joker)].startswith("Joker") and said[700.0] == "Emergency 700 lb"
    assert said[800.0] == "Minimum 800 lb" and said[900.0] == "Landing 900 lb"


@pytest.mark.parametrize("mission", MISSIONS)
def test_the_ship_that_lands_with_least_has_the_strong_line(mission):
    plan = plan_of(mission)
    least = min(plan.fuel.ships, key=lambda ship: ship.landing_predicted)
    assert [s.label for s in fuel_chart(plan).series if s.style == "ship_least"] == [
        f"Ship {least.ship}: lands with least"
    ]


def test_joker_is_said_where_that_ship_comes_down_to_it():
    chart = fuel_chart(plan_of(REGATTA))
    (at,) = (r.crossed[0] for r in chart.references if r.crossed)
    points = next(s.points for s in chart.series if s.style == "ship_least")
    before, after = [p for p in points if p[0] < at][-1], next(p for p in points if p[0] >= at)
    slope = (after[1] - before[1]) / (after[0] - before[0])
    assert before[1] + slope * (at - before[0]) == pytest.approx(plan_of(REGATTA).fuel.joker)


@pytest.mark.parametrize("mission", [*MISSIONS, "missions/overcommitted.yaml"])
def test_the_clock_bar_ends_at_the_last_landing(mission):
    plan, scene = plan_of(mission), scene_of(mission, "clock_bar")
    blocks = [
        r
        for style in ("track_wash", "area", "target_wash")
        for r in shapes_of(scene, Rect, style)
        if r.height > 30
    ]
    left, right = min(r.x for r in blocks), max(r.x + r.width for r in blocks)
    t = next(s.points[0][0] for s in shapes_of(scene, Line, "target"))
    flown = (plan.clock.last_landing - plan.clock.takeoff).total_seconds()
    assert (t - left) / (right - left) == pytest.approx(
        (plan.clock.true_time - plan.clock.takeoff).total_seconds() / flown, abs=1e-6
    )


def test_spare_time_in_the_hold_has_its_name_in_its_box():
    scene = figure_makers(plan_of("missions/founders-day.yaml"))["clock_bar"](Canvas(1000, 560))
    (box,), (said,) = (
        shapes_of(scene, Rect, "hollow"),
        [t for t in shapes_of(scene, Text) if t.text == "spare"],
    )
    inside = text_box(said, "deck")
    assert box.x <= inside.left and inside.right <= box.x + box.width


def test_the_times_of_the_whole_duty_are_never_later_than_those_of_the_cards():
    """missions/three-harbours.yaml works its take-off back from T, to the second; step is 50 min, start 30
    and taxi 15 min before it, and none of them lands on a whole minute."""
    mission = "missions/three-harbours.yaml"
    at = plan_of(mission).clock.takeoff
    printed = [t.text for t in shapes_of(scene_of(mission, "clock_bar", "page"), Text)]
    assert round(at.timestamp()) % 60
    for name, minutes in (("Step", 50), ("Start", 30), ("Taxi", 15), ("Take-off", 0)):
        assert f"{name} {f.clock_z(at - timedelta(minutes=minutes))}" in printed


@pytest.mark.parametrize(
    ("nm", "step", "said"), [(1.5, 0.5, "1.5"), (1.0, 0.5, "1.0"), (3.0, 1.0, "3"), (0.25, 0.25, "0.25")]
)
def test_the_ruler_of_the_push_names_each_tick_as_it_is(nm, step, said):
    """Half miles rounded to whole ones had read 4, 3, 3, 2, 2."""
    assert tick_words(nm, step) == said


@pytest.mark.parametrize("mission", ["missions/lantern-fair.yaml", "missions/regatta.yaml"])
def test_the_figures_along_the_ruler_stand_at_their_distance(mission):
    """Every figure along the scale against its place: equal distances in nm are equal on the drawing."""
    scene = scene_of(mission, "push_ruler")
    found = [
        (float(text.text), text.at[0])
        for text in shapes_of(scene, Text, "label_soft")
        if text.text.replace(".", "").isdigit()
    ]
    (nm1, x1), *_, (nm2, x2) = found
    per_nm = (x2 - x1) / (nm2 - nm1)
    assert len(found) > 2
    assert all(x == pytest.approx(x1 + (nm - nm1) * per_nm, abs=0.01) for nm, x in found)


def seconds_of(clock):
    """``03:28:20`` or ``03:28`` as seconds of the day."""
    return sum(int(part) * unit for part, unit in zip(clock.split(":"), (3600, 60, 1), strict=False))


def test_a_lap_alone_takes_the_whole_width():
    """Overcommitted's hold of one lap."""
    scene = scene_of("missions/overcommitted.yaml", "hold_laps")
    across = [x for line in shapes_of(scene, Line, "hold") for x, _ in line.points]
    assert max(across) - min(across) == pytest.approx(scene.canvas.width_pt, abs=1)


@pytest.mark.parametrize("mission", MISSIONS)
def test_the_lines_over_the_slips_are_named_in_one_row_apart(mission):
    """Cues, leave-hold, abort only and T, however near they stand to each other."""
    names = [
        text
        for style in ("target", "label_bold", "red")
        for text in shapes_of(scene_of(mission, "slip_reach"), Text, style)
        if text.anchor == "middle"
    ]
    assert {"T", "Leave hold", "Abort only"} < {text.text for text in names}
    assert len({text.at[1] for text in names}) == 1


@pytest.mark.parametrize("mission", MISSIONS)
def test_each_bar_of_the_slips_ends_at_the_time_beside_it(mission):
    """By the figures of the drawing's own axis, which are whole minutes."""
    scene = scene_of(mission, "slip_reach")
    axis = [(seconds_of(t.text), t.at[0]) for t in shapes_of(scene, Text, "label_soft") if len(t.text) == 5]
    (s1, x1), *_, (s2, x2) = axis
    ends = [t for t in shapes_of(scene, Text, "label_bold") if len(t.text) == 8 and t.text[2] == ":"]
    bars = [r for r in shapes_of(scene, Rect) if r.style in ("track_solid", "track_wash", "target_wash")]
    assert len(ends) > 3
    for text in ends:
        last = max(bar.x + bar.width for bar in bars if bar.y < text.at[1] < bar.y + bar.height)
        assert last == pytest.approx(x1 + (seconds_of(text.text) - s1) * (x2 - x1) / (s2 - s1), abs=0.6)
