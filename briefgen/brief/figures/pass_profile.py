"""Height and speed of the pass against the seconds to go: two panels over one another with one scale of
time."""

from __future__ import annotations

from itertools import pairwise

from briefgen.airmath.geodesy import off_line
from briefgen.brief.figures.common import Scale, feet_msl, placed, width_pt, wrapped
from briefgen.brief.figures.flags import Flag, Row, drawn, height_of, rows_of
from briefgen.brief.figures.inbound import Approach, approach_of
from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import floor_words
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, clip_line, text_box
from briefgen.draw.scene.labels import Label, Obstacles, segments_of
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Point, Rect, Scene, Shape, Text
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.plan.heights.altimeter import READ_TO_FT, Column, column_at, reading_ft
from briefgen.plan.heights.pass_heights import WITHIN_NM, near_obstacles
from briefgen.plan.model import EventPlan
from briefgen.plan.route.air import altitude_ft, position
from briefgen.plan.sortie import Plan
from briefgen.units.rounding import decimals

_AFTER_S = 20.0  # of the egress
_UNDER_GROUND_PT = 7.0  # of ground are drawn
_UPPER_SHARE = 0.66  # of the height of both panels


@record
class Obstacle:
    """A listed obstacle near the track: when the leader is abeam it (seconds to T) and its top in ft MSL.
    ``read_ft`` is what an altimeter reads at its top: there it is drawn, since the ships' levels are readings
    too."""

    name: str
    to_go_s: float
    top_ft: float
    read_ft: float


@record
class Profile:
    """What is drawn, whatever the size of the drawing."""

    event: EventPlan
    approach: Approach
    obstacles: tuple[Obstacle, ...]
    minimum: tuple[float, str] | None
    clouds: tuple[tuple[float, float | None, str], ...]


@record
class Panels:
    """The two panels, the scale of time and the scales of height and speed."""

    canvas: Canvas
    upper: Box
    lower: Box
    time: Scale
    height: Scale
    speed: Scale


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without an event."""
    approach = approach_of(plan)
    if plan.event is None or approach is None:
        return None
    profile = Profile(
        plan.event,
        approach,
        tuple(obstacles_near(plan, approach)),
        minimum_height(plan),
        tuple(clouds_at_centre(plan)),
    )
    return lambda canvas: _draw(profile, canvas)


def _draw(profile: Profile, canvas: Canvas) -> Scene:
    panels = _panels(profile, canvas)
    lines = [
        *_height_lines(profile, panels),
        *_speed_lines(profile, panels),
        *_moments(profile.event, panels),
    ]
    solids = [
        *_clouds(profile, panels),
        *_ground(profile.event, panels),
        *(bars := _obstacle_bars(profile, panels)),
    ]
    fixed = [
        *_axis_texts(panels),
        *_cap_texts(profile.event, panels),
        *_level_texts(profile, panels),
        *_cloud_above(profile, panels),
    ]
    boxes = [text_box(t, canvas.medium) for t in fixed] + [
        Box(s.x, s.y, s.x + s.width, s.y + s.height) for s in bars
    ]
    segments = segments_of([*(s.points for s in lines), *_beside_moments(profile.event, panels)])
    rows = _moment_flags(profile.event, panels.time, canvas)
    head = Box(0, 0, canvas.width_pt, panels.upper.top - 1)
    named = placed(
        _height_labels(profile, panels), canvas, Obstacles((*boxes, head, panels.lower.grown(3)), segments)
    )
    above = Box(0, 0, canvas.width_pt, panels.lower.top - 1)
    more = placed(_speed_labels(profile.event, panels), canvas, Obstacles((*boxes, above), segments))
    shapes = (
        *_grid(panels),
        *solids,
        *lines,
        *fixed,
        *drawn(rows, panels.upper.top, canvas),
        *named.shapes,
        *more.shapes,
    )
    return Scene(canvas, shapes, _alt(profile), (*named.unplaced, *more.unplaced))


# ---------------------------------------------------------------- heights


def height_at(event: EventPlan, approach: Approach, to_go_s: float) -> float:
    """The leader's height in ft MSL: at a constant rate from the hold's level to the run-in's by the IP,
    level, then the egress climb."""
    ip_s = (event.true_time - event.ip_time).total_seconds()
    leg = event.hold_to_ip
    if leg is not None and to_go_s > ip_s:
        share = min((to_go_s - ip_s) / leg.time_s, 1.0)
        return leg.altitude_ft + (leg.start_altitude_ft - leg.altitude_ft) * share
    if to_go_s < 0 and event.egress is not None:
        return event.run_in.altitude_ft + (event.egress.altitude_ft - event.run_in.altitude_ft) * min(
            -to_go_s / event.egress.time_s, 1.0
        )
    return event.run_in.altitude_ft


def obstacles_near(plan: Plan, approach: Approach) -> list[Obstacle]:
    """The listed obstacles that the height gates look at and that lie along the drawn part of the run-in."""
    leg, found = plan.event.run_in, []
    listed, column = plan.mission.file.event.pass_.obstacles, column_at(plan.mission, leg.end)
    for index, top_ft in _tops(plan, WITHIN_NM).items():
        off = off_line(position(leg.start), position(leg.end), listed[index].position)
        to_go_nm = leg.distance_nm - off.along_nm
        beyond_kt = plan.event.push.reached_kt if plan.event.push else plan.event.run_in_kt
        to_go_s = approach.seconds_to_go(to_go_nm) if to_go_nm >= 0 else to_go_nm / beyond_kt * 3600
        if to_go_nm <= leg.distance_nm and to_go_s >= -_AFTER_S:
            found.append(Obstacle(listed[index].name, to_go_s, top_ft, _drawn_ft(column, top_ft)))
    return found


def _drawn_ft(column: Column, top_ft: float) -> float:
    """What an altimeter reads at a top, where the cold adds as much as can be read off one."""
    read_ft = reading_ft(column, top_ft)
    return read_ft if read_ft - top_ft >= READ_TO_FT else top_ft


def _tops(plan: Plan, within_nm: float) -> dict[int, float]:
    """Top in ft MSL of each listed obstacle near some ship's track, by the gates' own measure."""
    event = plan.event
    near = near_obstacles(plan.mission, event.chain, event.ships)
    return {
        row.index: row.top_ft for row in sorted(near, key=lambda row: row.index) if row.away_nm <= within_nm
    }


def minimum_height(plan: Plan) -> tuple[float, str] | None:
    """What no altimeter must read less than over the pass, and what makes it; None where it isn't known."""
    heights = plan.event.heights
    if heights.minimum_ft is None:
        return None
    return heights.minimum_ft, floor_words(heights)


def clouds_at_centre(plan: Plan) -> list[tuple[float, float | None, str]]:
    """Base and top in ft MSL, and the words, of each forecast layer over the centre; empty when none is
    forecast or known."""
    mission, centre = plan.mission, plan.event.centre
    weather = mission.file.weather.at.get(centre.id) if mission.file.weather else None
    found = []
    for layer in (weather.cloud or ()) if weather else ():
        base = altitude_ft(mission, centre, layer.base)
        if base is not None:
            found.append(
                (base, altitude_ft(mission, centre, layer.top) if layer.top else None, words.cloud(layer))
            )
    return found


# ---------------------------------------------------------------- scales


def _panels(profile: Profile, canvas: Canvas) -> Panels:
    event, approach, pitch = profile.event, profile.approach, canvas.pitch_pt("label")
    left = width_pt("10000", canvas) + 6 + pitch
    right, bottom = canvas.width_pt - width_pt("0:00", canvas) / 2 - 2, canvas.height_pt - 2.5 * pitch
    begin = max(approach.starts_to_go_s, (event.true_time - event.ip_time).total_seconds() + 5)
    time = Scale(begin, -_AFTER_S if event.egress else -0.02 * begin, left, right)
    top, gap = height_of(_moment_flags(event, time, canvas), canvas) + 2, 0.9 * pitch
    middle = top + (bottom - top - gap) * _UPPER_SHARE
    lines = _level_words(profile, time, canvas)[0][2].count("\n") + 1
    upper, lower = Box(left, top, right, middle), Box(left, middle + gap, right, bottom)
    return Panels(
        canvas,
        upper,
        lower,
        time,
        _height_scale(profile, upper, (lines + 0.4) * pitch),
        _speed_scale(event, approach, lower, 1.25 * pitch),
    )


def _height_scale(profile: Profile, box: Box, margin: float) -> Scale:
    """From a little under the ground (where that isn't known: from MSL) to what the run-in, the minimum and
    the obstacles need, and room for words above them: the hold and the cloud may lie above the drawing, so
    that the ships' levels are told apart."""
    event, approach, minimum = profile.event, profile.approach, profile.minimum
    heights = [height_at(event, approach, s) for s in (0.0, -_AFTER_S)]
    top = max([*heights, *([minimum[0]] if minimum else []), *(o.read_ft for o in profile.obstacles)])
    ground = min(
        [event.centre.elevation_ft or 0.0, event.lowest_altitude_ft, *(o.read_ft for o in profile.obstacles)]
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
    if event.centre.elevation_ft is not None:
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


@record
class Moment:
    """An upright line that both panels share: seconds to T, its words; T itself stands out."""

    to_go_s: float
    text: str
    is_t: bool


def moments(event: EventPlan) -> list[Moment]:
    """Leave-hold, IP, push-up, T."""
    found = [(event.hold.leave, "Leave hold")] if event.hold else []
    found += (
        [(event.ip_time, "IP")]
        + ([(event.push.at, "Push-up")] if event.push else [])
        + [(event.true_time, "T")]
    )
    day = words.rounded_instant(event.true_time).date()
    return [
        Moment(
            (event.true_time - at).total_seconds(),
            f"{label} {words.clock_z(at, day=day)}",
            at == event.true_time,
        )
        for at, label in found
    ]


def _moments(event: EventPlan, panels: Panels) -> list[Line]:
    return [
        Line(
            (
                (panels.time.at(moment.to_go_s), panels.upper.top),
                (panels.time.at(moment.to_go_s), panels.lower.bottom),
            ),
            "target" if moment.is_t else "thin",
        )
        for moment in moments(event)
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


def _ground(event: EventPlan, panels: Panels) -> list[Rect]:
    """The ground at the elevation of the spot flown over; none where that isn't known."""
    if event.centre.elevation_ft is None:
        return []
    y, box = panels.height.at(event.centre.elevation_ft), panels.upper
    return [Rect(box.left, y, box.width, box.bottom - y, "ground")]


def _obstacle_bars(profile: Profile, panels: Panels) -> list[Rect]:
    """Each from its top down to the ground at the spot flown over, or to the foot of the drawing where that
    is higher or isn't known."""
    width = 0.3 * panels.canvas.size_pt("label")
    tops = [(panels.time.at(o.to_go_s), panels.height.at(o.read_ft)) for o in profile.obstacles]
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


# ---------------------------------------------------------------- words


def _axis_texts(panels: Panels) -> list[Text]:
    canvas, texts = panels.canvas, []
    for box, scale, parts in ((panels.upper, panels.height, 4), (panels.lower, panels.speed, 3)):
        for value in ticks(scale.low, scale.high, nice_step(scale.high - scale.low, parts)):
            if scale.at(value) > box.top + 0.6 * canvas.size_pt("label"):  # the flags' words begin there
                texts.append(Text((box.left - 4, scale.at(value)), decimals(value), "label", "end"))
    step = next(
        (
            s
            for s in (10, 20, 30, 60)
            if abs(panels.time.at(s) - panels.time.at(0)) > 1.4 * width_pt("0:00", canvas)
        ),
        120,
    )
    foot = panels.lower.bottom + 0.55 * canvas.size_pt("label")
    for seconds in range(0, int(panels.time.low) + 1, step):
        texts.append(
            Text((panels.time.at(seconds), foot), words.duration_clock(seconds), "label", "middle", "top")
        )
    texts.append(Text((canvas.width_pt, canvas.height_pt), "min:s to go to T", "label_soft", "end", "bottom"))
    for box, title in ((panels.upper, "Height, ft MSL"), (panels.lower, "Speed, KGS")):
        texts.append(
            Text(
                (canvas.pitch_pt("label") / 2, (box.top + box.bottom) / 2),
                title,
                "label_soft",
                "middle",
                turn_deg=-90,
            )
        )
    return texts


def _moment_flags(event: EventPlan, time: Scale, canvas: Canvas) -> list[Row]:
    flags = [
        Flag(time.at(moment.to_go_s), moment.text, "target" if moment.is_t else "label_bold")
        for moment in moments(event)
    ]
    return rows_of(flags, canvas)


def _between(event: EventPlan, time: Scale) -> tuple[float, float]:
    """The widest stretch between two of the upright lines: words that stand there are cut by none."""
    xs = sorted({time.start, *(time.at(moment.to_go_s) for moment in moments(event)), time.end})
    return max(pairwise(xs), key=lambda pair: pair[1] - pair[0])


def _beside_moments(event: EventPlan, panels: Panels) -> list[tuple[Point, Point]]:
    """On either side of each upright line, so that words there don't touch it."""
    xs = [panels.time.at(moment.to_go_s) + off for moment in moments(event) for off in (-3.0, 3.0)]
    return [((x, panels.upper.top), (x, panels.lower.bottom)) for x in xs]


def _level_words(profile: Profile, time: Scale, canvas: Canvas) -> list[tuple[float, float, str, str]]:
    """The run-in's levels and the minimum, the higher one first: its highest and lowest height, its words and
    their style."""
    event, minimum, (left, right) = profile.event, profile.minimum, _between(profile.event, time)
    text = f"{'Leader ' if len(event.ships) > 1 else ''}{feet_msl(event.run_in.altitude_ft)}"
    if event.lowest_altitude_ft < event.run_in.altitude_ft:
        lowest = min(event.ships, key=lambda s: s.altitude_ft)
        text += f"\nDashed: ship {lowest.ship}, {words.height(lowest.altitude_ft)}"
    found = [(event.run_in.altitude_ft, event.lowest_altitude_ft, text, "track")]
    if minimum:
        found.append((minimum[0], minimum[0], f"Minimum {words.height(minimum[0])}: {minimum[1]}", "target"))
    found = [
        (
            *heights,
            "\n".join(wrapped(line, canvas, right - left - 10, style) for line in said.split("\n")),
            style,
        )
        for *heights, said, style in found
    ]
    return sorted(found, key=lambda level: -level[0])


def _level_texts(profile: Profile, panels: Panels) -> list[Text]:
    """The words of the run-in's level and of the minimum: the higher one's above its line, the lower one's
    below."""
    middle, found = sum(_between(profile.event, panels.time)) / 2, []
    for number, (top_ft, foot_ft, said, style) in enumerate(
        _level_words(profile, panels.time, panels.canvas)
    ):
        y, stand = (
            (panels.height.at(top_ft) - 3, "bottom")
            if number == 0
            else (panels.height.at(foot_ft) + 3, "top")
        )
        found.append(Text((middle, y), said, style, "middle", stand, halo=True))
    return found + _from_hold(profile, panels)


def _from_hold(profile: Profile, panels: Panels) -> list[Text]:
    """From which height the leader comes, where that is above the drawing and there is room below its line
    before the IP."""
    start_ft = height_at(profile.event, profile.approach, profile.approach.starts_to_go_s)
    text, pitch = f"From {feet_msl(start_ft)}", panels.canvas.pitch_pt("track")
    before_ip = (
        panels.time.at((profile.event.true_time - profile.event.ip_time).total_seconds()) - panels.upper.left
    )
    if start_ft <= panels.height.high or width_pt(text, panels.canvas, "track") + 16 > before_ip:
        return []
    foot, least = (
        panels.height.at(profile.event.run_in.altitude_ft) + 0.5 * pitch,
        panels.height.at(profile.minimum[0]) if profile.minimum else 1e9,
    )
    return [
        Text(
            (
                panels.upper.left + 6,
                foot if foot < least - 2 or foot - pitch > least + 2 else least + 1.1 * pitch,
            ),
            text,
            "track",
            "start",
            "bottom",
            halo=True,
        )
    ]


def _height_labels(profile: Profile, panels: Panels) -> list[Label]:
    event, labels, (_, right) = profile.event, [], _between(profile.event, panels.time)
    if event.centre.elevation_ft is not None:
        text = f"Ground {feet_msl(event.centre.elevation_ft)}"
        x = panels.upper.left + width_pt(text, panels.canvas) / 2 + 8
        labels.append(Label((x, panels.height.at(event.centre.elevation_ft)), text, "label_soft", 1, 0))
    labels += [
        Label(
            (panels.time.at(o.to_go_s), panels.height.at(o.read_ft)),
            f"{o.name} {feet_msl(o.top_ft)}",
            "label",
            1,
            270,
        )
        for o in profile.obstacles
    ]
    labels += [
        Label((right, panels.height.at(base)), text, "label_soft", 5, 292.5)
        for base, _, text in profile.clouds
        if base < panels.height.high
    ]
    return labels


def _cloud_above(profile: Profile, panels: Panels) -> list[Text]:
    """The lowest cloud whose base is above the drawing, said at its foot."""
    above = sorted((base, text) for base, _, text in profile.clouds if base >= panels.height.high)
    said = [f"Cloud above: {above[0][1]}{' and higher' if len(above) > 1 else ''}"] if above else []
    return [Text((0, panels.canvas.height_pt), text, "label_soft", "start", "bottom") for text in said]


def _cap_texts(event: EventPlan, panels: Panels) -> list[Text]:
    """Above the most and below the least, between the upright lines: never nearer to another line."""
    texts, (left, right) = [], _between(event, panels.time)
    if event.maximum_gs_kt is not None:
        short = f"Most {words.speed_kt(event.maximum_gs_kt, 'KGS')}"
        full = f"{short}: {event.maximum_because}"
        text = full if left + width_pt(full, panels.canvas) + 12 < right else short
        texts.append(
            Text(
                (left + 6, panels.speed.at(event.maximum_gs_kt) - 1),
                text,
                "label",
                "start",
                "bottom",
                halo=True,
            )
        )
    if event.minimum_gs_kt is not None:
        text = f"Least {words.speed_kt(event.minimum_gs_kt, 'KGS')}"
        texts.append(
            Text(
                (left + 6, panels.speed.at(event.minimum_gs_kt) + 1), text, "label", "start", "top", halo=True
            )
        )
    return texts


def _speed_labels(event: EventPlan, panels: Panels) -> list[Label]:
    ip_s = (event.true_time - event.ip_time).total_seconds()
    until_s = (event.true_time - event.push.at).total_seconds() if event.push else 0.0
    labels = [
        Label(
            (panels.time.at((ip_s + until_s) / 2), panels.speed.at(event.run_in_kt)),
            words.speed_kt(event.run_in_kt, "KGS"),
            "track",
            1,
            0,
        )
    ]
    if event.push:
        at = (panels.time.at(0.0), panels.speed.at(event.push.reached_kt))
        labels.append(Label(at, words.speed_kt(event.push.reached_kt, "KGS"), "track", 1, 315))
    return labels


def _alt(profile: Profile) -> str:
    event, minimum = profile.event, profile.minimum
    parts = [f"Run-in at {feet_msl(event.run_in.altitude_ft)} and {words.speed_kt(event.run_in_kt, 'KGS')}"]
    if event.push:
        parts.append(
            f"push-up {words.duration(words.between_s(event.push.at, event.true_time))} before T to"
            f" {words.speed_kt(event.push.reached_kt, 'KGS')}"
        )
    parts.append(
        f"{'lowest ship' if len(event.ships) > 1 else 'over the centre'} {feet_msl(event.lowest_altitude_ft)}"
    )
    parts.append(f"minimum {feet_msl(minimum[0])} ({minimum[1]})" if minimum else "no minimum height given")
    if event.maximum_gs_kt is not None:
        parts.append(f"most {words.speed_kt(event.maximum_gs_kt, 'KGS')}, {event.maximum_because}")
    clouds = [text for _, _, text in profile.clouds]
    parts.append(f"cloud {words.listed(clouds)}" if clouds else "no cloud layer forecast or known")
    return f"Height and speed of the pass against seconds to go. {'; '.join(parts)}."
