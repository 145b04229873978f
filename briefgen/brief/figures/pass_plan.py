"""The pass seen from above, to scale, north up: racetrack as flown, IP, push-up, run-in with ten-second
ticks, crowd line, egress."""

from __future__ import annotations

from itertools import pairwise
from math import hypot

from briefgen.brief.figures.common import clock_words, name_of, placed, width_pt
from briefgen.brief.figures.inbound import Approach, approach_of
from briefgen.brief.figures.pass_places import (
    MOST_OBSTACLES,
    Spot,
    chart_of,
    crowd_ends,
    egress_of,
    entry_path,
    fix_of,
    from_centre,
    hold_path,
    ip_of,
    is_cut,
    listed_number,
    obstacles_of,
    track_point,
)
from briefgen.brief.figures.plane import PlaneMap, edges, scale_bar, stacked, strip
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import course_words, short_course
from briefgen.draw.scene.geometry import Box, compass_point, shape_box, text_box
from briefgen.draw.scene.labels import Label, Obstacles, segments_of
from briefgen.draw.scene.marks import triangle
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Point, Rect, Scene, Shape, Text
from briefgen.plan.model import EventPlan, Leg
from briefgen.plan.sortie import Plan
from briefgen.units.values import Direction, Level, Wind

# narrower than this it is a sketch on a kneeboard: the times stand in the tables beside it, the labels are
# short
_SMALL_PT = 260.0
_TICKS_APART_PT = 4.5  # nearer to each other they run together
_BREAK_AT = 0.5  # along the drawn part of an egress that is cut short


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without an event."""
    event, approach = plan.event, approach_of(plan)
    if event is None or approach is None:
        return None
    return lambda canvas: _draw(plan, event, approach, canvas)


def _draw(plan: Plan, event: EventPlan, approach: Approach, canvas: Canvas) -> Scene:
    box, side = strip(canvas)
    small = _small(canvas)
    chart = chart_of(event, box, 2.3 * canvas.size_pt("label"), small)
    drawn, marks = _tracks(event, chart, small), _marks(plan, event, chart, canvas)
    mark_boxes = tuple(shape_box(m, canvas.medium).grown(1) for m in marks)
    spots = {s: chart.at(*track_point(event, approach.state(s).to_go_nm)) for s in approach.ticks_s()}
    step = tick_step(list(spots.values()))
    ticks, tick_texts = _ticks(
        event,
        {seconds: at for seconds, at in spots.items() if seconds % step == 0},
        step,
        canvas,
        Obstacles((*mark_boxes, *edges(box)), segments_of(s.points for s in drawn)),
    )
    boxes = (*(text_box(t, canvas.medium).grown(3) for t in tick_texts), *mark_boxes, *edges(box))
    obstacles = Obstacles(boxes, segments_of(s.points for s in (*drawn, *ticks)))
    named = placed(
        _labels(plan, event, chart, canvas), Canvas(box.width - 2, box.height - 2, canvas.medium), obstacles
    )
    frame = Rect(0.5, 0.5, box.width - 1, box.height - 1, "frame")
    shapes = (
        frame,
        *drawn,
        *ticks,
        *tick_texts,
        *marks,
        *named.shapes,
        *_side(plan, event, chart, side, canvas, ticks_s=step),
    )
    return Scene(canvas, shapes, _alt(plan, event), named.unplaced)


def _small(canvas: Canvas) -> bool:
    return canvas.width_pt < _SMALL_PT


# ---------------------------------------------------------------- shapes


def _tracks(event: EventPlan, chart: PlaneMap, small: bool) -> list[Line]:
    """In a sketch the arrow heads of racetrack and egress say which way; a third at T would hide it."""
    lines: list[Line] = []
    path = hold_path(event)
    if path:
        lines += _racetrack([chart.at(*p) for p in path])
    if entry_path(event):
        lines.append(Line(tuple(chart.at(*p) for p in entry_path(event)), "hold_entry"))
    fix = fix_of(event)
    if fix is not None:
        lines.append(Line((chart.at(*fix), chart.at(*ip_of(event))), "track"))
    push_nm = event.push.to_go_nm if event.push else 0.0
    lines.append(Line((chart.at(*ip_of(event)), chart.at(*track_point(event, push_nm))), "track"))
    if push_nm:
        last = (chart.at(*track_point(event, push_nm)), chart.at(0, 0))
        lines.append(Line(last, "track", "" if small else "end"))
    drawn = egress_of(event, small=small)
    if drawn is not None:
        leg, end = drawn
        lines += [
            Line((chart.at(0, 0), chart.at(*end)), "track_thin" if small else "track_dashed", "end"),
            *(_break(leg, chart, end, 3.5 if small else 7) if is_cut(leg, end) else ()),
        ]
    if crowd := crowd_ends(event):
        lines.append(Line(tuple(chart.at(*end) for end in crowd), "crowd"))
    return lines


def _break(egress: Leg, chart: PlaneMap, end: Spot, half: float) -> list[Line]:
    """Two slanted strokes across the egress: from there on it is not to scale."""
    course, (x, y) = egress.course_true_deg, chart.at(_BREAK_AT * end[0], _BREAK_AT * end[1])
    along = [compass_point((x, y), off, course) for off in (-2.5, 2.5)]
    return [
        Line((compass_point(at, half, course + 60), compass_point(at, half, course + 240)), "track_thin")
        for at in along
    ]


def _racetrack(points: list[Point]) -> list[Line]:
    """The lap, with an arrow head half way along its longest straight before the inbound leg: which way round
    it is flown."""
    lengths = [hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairwise(points[:-1])]
    cut = lengths.index(max(lengths))
    (x1, y1), (x2, y2) = points[cut], points[cut + 1]
    half = ((x1 + x2) / 2, (y1 + y2) / 2)
    return [Line((*points[: cut + 1], half), "hold", "end"), Line((half, *points[cut + 1 :]), "hold")]


def _marks(plan: Plan, event: EventPlan, chart: PlaneMap, canvas: Canvas) -> list[Shape]:
    r = 0.35 * canvas.size_pt("label")
    marks: list[Shape] = [
        Ellipse(chart.at(*ip_of(event)), r, r, "hollow"),
        Ellipse(chart.at(0, 0), r, r, "target_solid"),
    ]
    if fix := fix_of(event):
        marks.append(triangle(chart.at(*fix), 1.3 * r, "hollow"))
    if event.push:
        x, y = chart.at(*track_point(event, event.push.to_go_nm))
        marks.append(Rect(x - 0.8 * r, y - 0.8 * r, 1.6 * r, 1.6 * r, "target_wash"))
    marks += [triangle(at, 1.1 * r, "obstacle") for at, _, _ in obstacles_of(plan, event, chart)]
    return marks


def _ticks(
    event: EventPlan, spots: dict[int, Point], step: int, canvas: Canvas, keep_off: Obstacles
) -> tuple[list[Line], list[Text]]:
    """A tick across the track at each of ``spots``, ``step`` seconds apart; its words where there is room,
    else every thirty or sixty seconds: right of the track, left of it where something else is drawn there,
    and none where both sides are taken."""
    size = canvas.size_pt("label")
    across = event.run_in.course_true_deg + 90
    lines: list[Line] = []
    texts: list[Text] = []
    named = _label_step(list(spots.values()), step, canvas)
    for seconds, at in spots.items():
        half = 0.5 * size if seconds % 30 == 0 else 0.3 * size
        lines.append(Line((compass_point(at, half, across), compass_point(at, half, across + 180)), "line"))
        if seconds % named == 0:
            beside = [
                compass_point(at, off * size, side)
                for off, side in ((1.35, across), (1.9, across), (1.35, across + 180))
            ]
            sides = [
                Text(spot, words.duration_clock(seconds), "label", "middle", halo=True) for spot in beside
            ]
            texts += [text for text in sides if not keep_off.hit_by(text_box(text, canvas.medium))][:1]
    return lines, texts


def _least_apart(spots: list[Point]) -> float:
    return min((hypot(a[0] - b[0], a[1] - b[1]) for a, b in pairwise(spots)), default=1e9)


def tick_step(spots: list[Point]) -> int:
    """Seconds from one tick to the next, of places ten seconds apart."""
    apart = _least_apart(spots)
    return next((step for step in (10, 30) if apart * step / 10 >= _TICKS_APART_PT), 60)


def _label_step(spots: list[Point], step: int, canvas: Canvas) -> int:
    apart = _least_apart(spots)
    need = width_pt("0:00", canvas) * 1.15
    return next((found for found in (10, 20, 30, 60) if apart * found / step >= need), 120)


# ---------------------------------------------------------------- words


def _labels(plan: Plan, event: EventPlan, chart: PlaneMap, canvas: Canvas) -> list[Label]:
    if _small(canvas):
        return _short_labels(plan, event, chart, canvas)
    clear = 0.5 * canvas.size_pt("label")
    left = event.run_in.course_true_deg - 90
    labels = [
        Label(
            chart.at(0, 0),
            f"{name_of(event.centre)}\nT {clock_words(plan, event.true_time)}",
            "target",
            clear,
            (left + 180) % 360,
        )
    ]
    drawn = egress_of(event, small=False)
    if drawn is not None:
        leg, end = drawn
        text = f"Egress {short_course(leg)}\n{words.distance(leg.distance_nm)}"
        labels.append(Label(chart.at(*end), text, "label", 1, (leg.course_true_deg - 90) % 360))
    # in the thick of it: they choose early
    labels += [
        Label(at, f"{name}\n{top}", "label", clear, 90) for at, name, top in obstacles_of(plan, event, chart)
    ]
    labels.append(
        Label(
            chart.at(*ip_of(event)), f"IP {clock_words(plan, event.ip_time)}", "label_bold", clear, left % 360
        )
    )
    if event.push:
        at = chart.at(*track_point(event, event.push.to_go_nm))
        text = f"Push-up {clock_words(plan, event.push.at)}\n{words.distance(event.push.to_go_nm)} to go"
        labels.append(Label(at, text, "label_bold", clear, left % 360))
    if event.hold is not None:
        text = f"Hold fix, leave {clock_words(plan, event.hold.leave)}"
        at = chart.at(*from_centre(event, event.hold.fix))
        labels.append(Label(at, text, "label_bold", clear, left % 360))
    return [*labels, *_crowd_label(event, chart, "Crowd line", clear, left)]


def _crowd_label(
    event: EventPlan, chart: PlaneMap, text: str, clear: float, towards_deg: float
) -> list[Label]:
    """Beside the middle of the crowd line, where one is given."""
    crowd = crowd_ends(event)
    if not crowd:
        return []
    x, y = (sum(ends) / 2 for ends in zip(*crowd, strict=True))
    return [Label(chart.at(x, y), text, "label", clear, towards_deg % 360)]


def _short_labels(plan: Plan, event: EventPlan, chart: PlaneMap, canvas: Canvas) -> list[Label]:
    clear = 0.4 * canvas.size_pt("label")
    left = (event.run_in.course_true_deg - 90) % 360
    labels = [
        Label(chart.at(0, 0), "T", "target", clear, (left + 180) % 360),
        Label(chart.at(*ip_of(event)), "IP", "label_bold", clear, (left + 180) % 360),
    ]
    if event.push:
        text = f"Push {words.distance(event.push.to_go_nm)}"
        labels.append(
            Label(chart.at(*track_point(event, event.push.to_go_nm)), text, "label_bold", clear, left)
        )
    labels += [Label(at, f"Top {top}", "label", clear, 90) for at, _, top in obstacles_of(plan, event, chart)]
    if fix := fix_of(event):
        labels.append(Label(chart.at(*fix), "Hold", "label_bold", clear, left))
    drawn = egress_of(event, small=True)
    if drawn is not None:
        leg, (x, y) = drawn
        beside = (leg.course_true_deg - 90) % 360
        labels.append(Label(chart.at(0.7 * x, 0.7 * y), "Egress", "label", clear, beside))
    return [*labels, *_crowd_label(event, chart, "Crowd", clear, left)]


def _side(
    plan: Plan, event: EventPlan, chart: PlaneMap, side: Box, canvas: Canvas, *, ticks_s: int
) -> list[Shape]:
    size = canvas.size_pt("label")
    radius = min(2.0 * size, side.width * 0.28)
    centre = (side.left + side.width / 2, 1.6 * size + radius)
    worded = _short_side_words if _small(canvas) else _side_words
    texts, _ = stacked(worded(plan, event, ticks_s), side, centre[1] + radius + 0.9 * size, canvas)
    # what would run into the scale bar is left out: the tables beside it have it
    texts = [text for text in texts if text_box(text, canvas.medium).bottom < side.bottom - 2 * size]
    return [*_rose(plan, event, centre, radius, size), *texts, *scale_bar(chart, side, canvas)]


def _rose(plan: Plan, event: EventPlan, centre: Point, radius: float, size: float) -> list[Shape]:
    """A small compass: north on top, the sun's disc on the side where it stands, the wind as an arrow
    across."""
    sun, air = plan.sun_for("the pass"), event.run_in.air
    shapes: list[Shape] = [
        Ellipse(centre, radius, radius, "thin"),
        Line((compass_point(centre, radius * 0.75, 0), compass_point(centre, radius, 0)), "line"),
        Text(compass_point(centre, radius + 0.65 * size, 0), "N", "label_bold", "middle"),
    ]
    if air.forecast and air.wind_kt >= 0.5:
        blows_from = air.wind_from_true_deg
        shapes.append(
            Line(
                (
                    compass_point(centre, radius * 0.8, blows_from),
                    compass_point(centre, radius * 0.6, blows_from + 180),
                ),
                "line",
                "end",
            )
        )
    if sun is not None and sun.up:
        at = compass_point(centre, radius, sun.azimuth_true_deg)
        shapes.append(Ellipse(at, 0.4 * size, 0.4 * size, "target_wash"))
    return shapes


def _side_words(plan: Plan, event: EventPlan, ticks_s: int) -> list[tuple[str, str]]:
    """The most needed first: what has no room is left out."""
    length = f"{short_course(event.run_in)} {words.distance(event.run_in.distance_nm)}"
    lines = [
        (_sun_words(plan, event), "label"),
        (_wind_words(event), "label"),
        (f"Run-in {length}, {words.speed_kt(event.run_in_kt, 'KGS')}", "label"),
    ]
    drawn = egress_of(event, small=False)
    if event.hold and not event.hold.path:
        lines.append(("Hold not drawn: no whole laps give this wait", "label_bold"))
    listed = listed_number(plan, event)
    if not listed:
        lines.append(("No obstacle listed", "label_soft"))
    if listed > MOST_OBSTACLES:
        lines.append((f"At most {MOST_OBSTACLES} of {listed} obstacles drawn", "label_bold"))
    if drawn is not None and is_cut(*drawn):
        lines.append(("Egress not to scale", "label_soft"))
    if event.hold and event.hold.entry_path:
        lines.append((f"Dashed at the fix: {event.hold.entry} entry, about", "label_soft"))
    return [*lines, (f"Ticks {ticks_s} s; min:s to T", "label_soft")]


def _short_side_words(plan: Plan, event: EventPlan, ticks_s: int) -> list[tuple[str, str]]:
    """The most needed first: what has no room is left out."""
    sun = plan.sun_for("the pass")
    lines = [("Hold not drawn", "label_bold")] if event.hold and not event.hold.path else []
    air = event.run_in.air
    wind = (
        words.wind(Wind(Direction(air.wind_from_true_deg, "T"), air.wind_kt))
        if air.forecast
        else "no forecast"
    )
    lines.append((f"Wind {wind}", "label"))
    if sun is not None and sun.up:
        course = course_words(plan.mission, event.centre, sun.azimuth_true_deg)
        lines.append((f"Sun {course}, {words.sun_height(sun.elevation_deg)}", "label"))
    return [*lines, (f"Tick {ticks_s} s", "label")]


def _sun_words(plan: Plan, event: EventPlan) -> str:
    sun = plan.sun_for("the pass")
    if sun is None:
        return "Sun at T: not known"
    if not sun.up:
        return "Sun at T: below the horizon"
    height = words.sun_height(sun.elevation_deg)
    return (
        f"Sun (disc) at T: {course_words(plan.mission, event.centre, sun.azimuth_true_deg)},"
        f" {f'on the horizon ({height})' if sun.elevation_deg < 0 else f'{height} high'}"
    )


def _wind_words(event: EventPlan) -> str:
    air = event.run_in.air
    if not air.forecast:
        return "Wind: no forecast"
    wind = words.wind(Wind(Direction(air.wind_from_true_deg, "T"), air.wind_kt))
    return f"Wind (arrow) at {words.level(Level(air.altitude_ft, 'MSL'))}: {wind}"


def _alt(plan: Plan, event: EventPlan) -> str:
    parts = [
        f"Plan of the pass to scale, north up. Run-in {short_course(event.run_in)},"
        f" {words.distance(event.run_in.distance_nm)} from the IP"
    ]
    parts.append(f"IP at {clock_words(plan, event.ip_time)}")
    if event.hold:
        parts.append(f"hold left at {clock_words(plan, event.hold.leave)}, {event.hold.turns} turns")
    if event.push:
        parts.append(
            f"push-up {words.distance(event.push.to_go_nm)} to go at {clock_words(plan, event.push.at)}"
        )
    parts.append(f"overhead {name_of(event.centre)} at {clock_words(plan, event.true_time)}")
    return f"{', '.join(parts)}. {_sun_words(plan, event)}. {_wind_words(event)}."
