"""The pass against the seconds to go, on one scale of time: seen from above, its height and its speed, with
the moments that count as upright lines through all three."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

from briefgen.brief.figures import flags, heads, pass_strip
from briefgen.brief.figures.common import Scale, panel, placed, poor, width_pt
from briefgen.brief.figures.inbound import Approach
from briefgen.brief.figures.profile_data import AFTER_S, Panels, Profile, height_at, moments, profile_of
from briefgen.brief.figures.profile_words import (
    alt,
    beside_moments,
    fixed_texts,
    height_labels,
    level_words,
    moment_flags,
    moment_heads,
    speed_labels,
)
from briefgen.draw.scene.geometry import Box, clip_line, shape_box, text_box
from briefgen.draw.scene.labels import Label, Obstacles, Placed, segments_of
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Point, Polygon, Rect, Scene, Shape
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan

_UNDER_GROUND_PT = 7.0  # of ground are drawn
_UPPER_SHARE = 0.7  # of the height of both panels
_LEAST_SPEED_PITCHES = 4.0  # with a line of words above the most and below the least
_CLOUD_PITCHES = 1.06  # above the panel of height, for the cloud that lies higher


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without an event."""
    profile = profile_of(plan)
    return None if profile is None else lambda canvas: _draw(profile, canvas)


def _draw(profile: Profile, canvas: Canvas) -> Scene:
    panels, row = _panels(profile, canvas)
    upright = _moments(profile.event, panels)
    lines = [*_height_lines(profile, panels), *_speed_lines(profile, panels), *upright]
    solids = [
        *([panel(panels.plan)] if panels.plan else ()),
        *_clouds(profile, panels),
        *_ground(profile, panels),
        *(bars := _obstacle_bars(profile, panels)),
    ]
    fixed = fixed_texts(profile, panels)
    boxes = [text_box(t, canvas.medium) for t in fixed] + [
        Box(s.x, s.y, s.x + s.width, s.y + s.height) for s in bars
    ]
    segments = segments_of([*(s.points for s in lines), *beside_moments(profile.event, panels)])
    head = Box(0, 0, canvas.width_pt, panels.upper.top - 1)
    named = _fullest(
        (height_labels(profile, panels, names=full) for full in (True, False)),
        canvas,
        Obstacles((*boxes, head, panels.lower.grown(3)), segments),
    )
    above = Box(0, 0, canvas.width_pt, panels.lower.top - 1)
    more = placed(speed_labels(profile.event, panels), canvas, Obstacles((*boxes, above), segments))
    from_above, lost = _from_above(profile, panels)
    shapes = (
        *_grid(panels),
        *solids,
        *lines,
        *fixed,
        *row,
        *from_above,
        *named.shapes,
        *more.shapes,
    )
    return Scene(canvas, shapes, alt(profile), (*named.unplaced, *more.unplaced, *lost))


def _fullest(tries: Iterable[list[Label]], canvas: Canvas, obstacles: Obstacles) -> Placed:
    """The first of some ways to word the labels in which each finds a place that no line cuts, else the
    last."""
    found = Placed((), ())
    for labels in tries:
        found = placed(labels, canvas, obstacles)
        if not poor(found, canvas, obstacles):
            break
    return found


def _from_above(profile: Profile, panels: Panels) -> tuple[list[Shape], tuple[str, ...]]:
    """The strip with its words, and what found no place."""
    strip = pass_strip.strip_of(profile, panels)
    if strip is None:
        return [], ()
    canvas = panels.canvas
    clear = pass_strip.clear_stretch(strip, width_pt(pass_strip.ships_words(strip), canvas))
    tracks, marks = pass_strip.tracks(strip), pass_strip.marks(strip, profile, clear)
    fixed = pass_strip.fixed_words(strip, clear)
    taken = [shape_box(shape, canvas.medium).grown(2) for shape in (*marks, *fixed)]
    beyond = [
        Box(0, 0, canvas.width_pt, strip.box.top),
        Box(0, strip.box.bottom, canvas.width_pt, canvas.height_pt),
    ]
    segments = segments_of([*(s.points for s in tracks), *beside_moments(profile.event, panels)])
    obstacles = Obstacles((*taken, *beyond), segments)
    named = _fullest(
        (pass_strip.labels(strip, profile, crowd_line=full) for full in (True, False)), canvas, obstacles
    )
    return [*tracks, *marks, *fixed, *named.shapes], named.unplaced


# ---------------------------------------------------------------- scales


def _panels(profile: Profile, canvas: Canvas) -> tuple[Panels, list[Shape]]:
    """The panels, and the words above their upright lines: in one row where there is room for it, else one
    above the other."""
    event, approach, pitch = profile.event, profile.approach, canvas.pitch_pt("label")
    left = width_pt("10000", canvas) + 6 + pitch
    right, bottom = canvas.width_pt - width_pt("0:00", canvas) / 2 - 2, canvas.height_pt - 1.7 * pitch
    begin = max(approach.starts_to_go_s, (event.true_time - event.ip_time).total_seconds() + 5)
    time = Scale(begin, -AFTER_S if event.egress else -0.02 * begin, left, right)
    row = heads.standing(moment_heads(event, time), canvas)
    stacked = moment_flags(event, time, canvas)
    top = heads.height_of(canvas) if row else flags.height_of(stacked, canvas) + 2
    words_above = heads.drawn(row, top, canvas) if row else flags.drawn(stacked, top, canvas)
    seen, upper, lower = _boxes(Box(left, top, right, bottom), canvas)
    lines = level_words(profile, time, canvas)[0][2].count("\n") + 1
    panels = Panels(
        canvas,
        seen,
        upper,
        lower,
        time,
        _height_scale(profile, upper, (lines + 0.25) * pitch),
        _speed_scale(event, approach, lower, 1.2 * pitch),
    )
    return panels, words_above


def _boxes(room: Box, canvas: Canvas) -> tuple[Box | None, Box, Box]:
    """The strip from above where there is room for it, the panel of height and that of speed."""
    pitch = canvas.pitch_pt("label")
    seen = None
    if pass_strip.has_room(canvas.height_pt / pitch):
        seen = room._replace(bottom=room.top + pass_strip.SHARE * room.height)
        room = room._replace(top=seen.bottom)
    room, gap = room._replace(top=room.top + _CLOUD_PITCHES * pitch), 0.45 * pitch
    lower = max((1 - _UPPER_SHARE) * room.height, min(_LEAST_SPEED_PITCHES * pitch, 0.45 * room.height))
    return (
        seen,
        room._replace(bottom=room.bottom - lower - gap),
        room._replace(top=room.bottom - lower),
    )


def _height_scale(profile: Profile, box: Box, margin: float) -> Scale:
    """From a little under the ground (where that isn't known: from MSL) to what the run-in, the minimum and
    the obstacles need, and room for words above them: the hold and the cloud may lie above the drawing, so
    that the ships' levels are told apart."""
    event, approach, minimum = profile.event, profile.approach, profile.minimum
    heights = [height_at(event, approach, s) for s in (0.0, -AFTER_S)]
    top = max([*heights, *([minimum[0]] if minimum else []), *(o.read_ft for o in profile.obstacles)])
    ground = min(
        [
            event.centre.elevation_ft or 0.0,
            event.lowest_altitude_ft,
            *(o.read_ft for o in profile.obstacles),
            *(ft for _, ft in profile.ground),
        ]
    )
    ft_per_pt = max(top - ground, 100.0) / max(box.height - margin - _UNDER_GROUND_PT, 1.0)
    return Scale(ground - _UNDER_GROUND_PT * ft_per_pt, top + margin * ft_per_pt, box.bottom, box.top)


def _speed_scale(event: EventPlan, approach: Approach, box: Box, margin: float) -> Scale:
    """With a line of words above the most and below the least."""
    speeds = [
        approach.motion.hold_kt,
        event.run_in_kt,
        event.push.reached_kt if event.push else event.run_in_kt,
    ]
    speeds += [v for v in (event.maximum_gs_kt, event.minimum_gs_kt) if v is not None]
    span = max(max(speeds) - min(speeds), 20.0)
    beyond = span * margin / max(box.height - 2 * margin, 1.0)
    return Scale(min(speeds) - beyond, min(speeds) + span + beyond, box.bottom, box.top)


# ---------------------------------------------------------------- lines and solids


def _sampled(approach: Approach, panels: Panels) -> list[float]:
    """Seconds to go, every second of the drawing and its corners, in flying order."""
    begin, end = approach.starts_to_go_s, max(approach.overhead_to_go_s, panels.time.high)
    count = max(int(begin - end), 1)
    return [begin + (end - begin) * i / count for i in range(count + 1)]


def _height_lines(profile: Profile, panels: Panels) -> list[Line]:
    event, approach, minimum = profile.event, profile.approach, profile.minimum
    corners = [approach.starts_to_go_s, (event.true_time - event.ip_time).total_seconds(), 0.0]
    corners += [panels.time.high] if event.egress else []
    points = tuple((panels.time.at(s), panels.height.at(height_at(event, approach, s))) for s in corners)
    lines = [Line(part, "track_thin") for part in clip_line(points, panels.upper)]
    if event.lowest_altitude_ft < event.run_in.altitude_ft:
        y = panels.height.at(event.lowest_altitude_ft)
        lines.append(Line(((panels.time.at(corners[1]), y), (panels.time.at(0.0), y)), "track_dashed"))
    if profile.ground:
        lines.append(Line(_ground_steps(profile, panels), "line"))
    elif event.centre.elevation_ft is not None:
        y = panels.height.at(event.centre.elevation_ft)
        lines.append(Line(((panels.upper.left, y), (panels.upper.right, y)), "line"))
    if minimum:
        y = panels.height.at(minimum[0])
        lines.append(Line(((panels.upper.left, y), (panels.upper.right, y)), "minimum"))
    return lines


def _speed_lines(profile: Profile, panels: Panels) -> list[Line]:
    event, approach = profile.event, profile.approach
    points = [
        (panels.time.at(s), panels.speed.at(approach.state(s).speed_kt))
        for s in _sampled(approach, panels)
        if s >= approach.overhead_to_go_s
    ]
    lines = [Line(tuple(points), "track")]
    for value in (event.maximum_gs_kt, event.minimum_gs_kt):
        if value is not None:
            y = panels.speed.at(value)
            lines.append(Line(((panels.lower.left, y), (panels.lower.right, y)), "limit"))
    return lines


def _moments(event: EventPlan, panels: Panels) -> list[Line]:
    """The upright lines, through the strip from above and through the other panels."""
    spans = [(panels.upper.top, panels.lower.bottom)]
    spans += [(panels.plan.top, panels.plan.bottom)] if panels.plan else []
    return [
        Line(((panels.time.at(m.to_go_s), top), (panels.time.at(m.to_go_s), foot)), heads.STYLES[m.kind][2])
        for top, foot in spans
        for m in moments(event)
    ]


def _clouds(profile: Profile, panels: Panels) -> list[Rect]:
    rects = []
    for base, top, _ in profile.clouds:
        y, y_top = panels.height.at(base), panels.height.at(top) if top else panels.upper.top
        if y > panels.upper.top:
            rects.append(
                Rect(
                    panels.upper.left,
                    max(y_top, panels.upper.top),
                    panels.upper.width,
                    y - max(y_top, panels.upper.top),
                    "water",
                )
            )
    return rects


def _ground_steps(profile: Profile, panels: Panels) -> tuple[Point, ...]:
    """The top of the ground, piece by piece, inside the panel."""
    box = panels.upper
    steps = [
        (panels.time.at(seconds), panels.height.at(ft))
        for (begin, ft), (end, _) in pairwise(profile.ground)
        for seconds in (begin, end)
    ]
    return tuple((min(max(x, box.left), box.right), min(max(y, box.top), box.bottom)) for x, y in steps)


def _ground(profile: Profile, panels: Panels) -> list[Shape]:
    """The highest ground along the pass by the mission's tiles, else that at the spot flown over; none where
    neither is known."""
    box, elevation_ft = panels.upper, profile.event.centre.elevation_ft
    if profile.ground:
        steps = _ground_steps(profile, panels)
        return [Polygon(((steps[0][0], box.bottom), *steps, (steps[-1][0], box.bottom)), "ground")]
    if elevation_ft is None:
        return []
    y = panels.height.at(elevation_ft)
    return [Rect(box.left, y, box.width, box.bottom - y, "ground")]


def _obstacle_bars(profile: Profile, panels: Panels) -> list[Rect]:
    """Each from its top down to the ground at the spot flown over, or to the foot of the drawing where that
    is higher or isn't known."""
    width = 0.3 * panels.canvas.size_pt("label")
    tops = [(panels.time.at(o.abeam.to_go_s), panels.height.at(o.read_ft)) for o in profile.obstacles]
    ground_ft = profile.event.centre.elevation_ft
    foot = panels.upper.bottom if ground_ft is None else panels.height.at(ground_ft)
    return [
        Rect(x - width / 2, y, width, (foot if foot > y else panels.upper.bottom) - y, "obstacle")
        for x, y in tops
    ]


def _grid(panels: Panels) -> list[Shape]:
    shapes: list[Shape] = []
    for box, scale, parts in ((panels.upper, panels.height, 4), (panels.lower, panels.speed, 3)):
        for value in ticks(scale.low, scale.high, nice_step(scale.high - scale.low, parts)):
            shapes.append(Line(((box.left, scale.at(value)), (box.right, scale.at(value))), "grid"))
        shapes.append(Line(((box.left, box.top), (box.left, box.bottom), (box.right, box.bottom)), "axis"))
    for seconds in range(0, int(panels.time.low) + 1, 10):
        x = panels.time.at(seconds)
        shapes.append(Line(((x, panels.lower.bottom), (x, panels.lower.bottom + 3)), "axis"))
    return shapes
