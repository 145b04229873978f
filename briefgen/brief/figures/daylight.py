"""The local day at the event (else the base) as a bar: night, civil twilight, day, the sun's height, and the
sortie on it."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from briefgen.airmath.clocks import clock_changes
from briefgen.airmath.sun import Light, SunDay, day_events, elevation_deg, light_at
from briefgen.brief.figures.common import (
    Scale,
    clock_step_s,
    name_of,
    time_scale,
    width_pt,
    with_sides,
    wrapped,
)
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import on_the_way
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, clip_line, text_box
from briefgen.draw.scene.labels import Label, Obstacles, place_labels, segments_of
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Rect, Scene, Shape, Text
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.plan.model import Point
from briefgen.plan.route.air import point_of
from briefgen.plan.sortie import Plan
from briefgen.units.rounding import decimals

_STYLE: dict[Light, str] = {"day": "day", "civil twilight": "twilight", "night": "night"}
_WORDS: dict[Light, str] = {"day": "Day", "civil twilight": "Twilight", "night": "Night"}
_CLEAR = timedelta(hours=3)  # between the sortie and the ends of the local day
_SAMPLE = timedelta(minutes=20)
_BESIDE_T = 5.0  # points between the line of T and a text


@record
class Day:
    """The place, its clock, its sun events, the stretches of light of the day, and T."""

    point: Point
    zone: ZoneInfo
    sun: SunDay
    bands: tuple[tuple[datetime, datetime, Light], ...]
    t: datetime | None


def make(plan: Plan) -> FigureMaker:
    """The maker; every sortie has a day."""
    day = day_of(plan)
    curve = _curve(day)
    return lambda canvas: _draw(plan, day, curve, canvas)


def day_of(plan: Plan) -> Day:
    """The day at the spot flown over on the sortie's date; without an event at the base. A sortie near
    midnight has the day from noon to noon."""
    mission = plan.mission
    point = plan.event.centre if plan.event else point_of(mission, mission.file.ground_ops.base)
    sun = _shown(
        plan,
        day_events(point.lat_deg, point.lon_deg, mission.date, mission.home_zone),
        point,
        mission.home_zone,
    )
    edges = [sun.start, *(e.instant for e in sun.events), sun.end]
    bands = tuple((a, b, light_at(point.lat_deg, point.lon_deg, a + (b - a) / 2)) for a, b in pairwise(edges))
    return Day(point, mission.home_zone, sun, bands, plan.clock.true_time)


def _shown(plan: Plan, sun: SunDay, point: Point, zone: ZoneInfo) -> SunDay:
    """The local day, or the one from noon to noon where the sortie comes near its ends, with the sun's events
    in it."""
    if sun.start + _CLEAR <= plan.clock.takeoff and plan.clock.last_landing <= sun.end - _CLEAR:
        return sun
    middle = (plan.clock.takeoff + (plan.clock.last_landing - plan.clock.takeoff) / 2).astimezone(zone)
    noon = (middle if middle.hour >= 12 else middle - timedelta(days=1)).replace(
        hour=12, minute=0, second=0, microsecond=0
    )
    start, end = noon.astimezone(UTC), (noon + timedelta(days=1)).astimezone(UTC)
    near = {
        e.instant: e
        for days in (-1, 0, 1)
        for e in day_events(point.lat_deg, point.lon_deg, sun.day + timedelta(days=days), zone).events
    }
    return replace(
        sun, start=start, end=end, events=tuple(near[at] for at in sorted(near) if start < at < end)
    )


def _curve(day: Day) -> tuple[tuple[datetime, float], ...]:
    count = round((day.sun.end - day.sun.start) / _SAMPLE)
    instants = [day.sun.start + (day.sun.end - day.sun.start) * i / count for i in range(count + 1)]
    return tuple((at, elevation_deg(day.point.lat_deg, day.point.lon_deg, at)) for at in instants)


@record
class Panels:
    """The picture of the sky, the bar of light below it, and the scales."""

    canvas: Canvas
    sky: Box
    bar: Box
    time: Scale
    height: Scale

    def x(self, at: datetime) -> float:
        """Where an instant stands."""
        return self.time.when(at)


def _panels(day: Day, canvas: Canvas) -> Panels:
    size, pitch = canvas.size_pt("label"), canvas.pitch_pt("label")
    left, right = width_pt("-60", canvas) + 5, canvas.width_pt - width_pt("00:00", canvas) / 2 - 2
    bottom = canvas.height_pt - (1.6 + _caption(day, canvas).count("\n") + 1) * pitch
    bar = Box(left, bottom - 1.2 * size, right, bottom)
    time = time_scale(day.sun.start, day.sun.end, left, right)
    lines = max((text.text.count("\n") + 1 for text in event_texts(day, time, bar.top, canvas)), default=1)
    sky = Box(left, 1.5 * pitch, right, bar.top - (max(lines, 2) + 0.9) * pitch)
    low, high = min(day.sun.lowest_deg, -12.0), max(day.sun.highest_deg, 6.0)
    return Panels(canvas, sky, bar, time, Scale(max(low, -18.0), high * 1.1, sky.bottom, sky.top))


def _draw(plan: Plan, day: Day, curve: tuple[tuple[datetime, float], ...], canvas: Canvas) -> Scene:
    panels = _panels(day, canvas)
    lines = _lines(plan, day, curve, panels)
    fixed = [*_axis_texts(day, panels), *event_texts(day, panels.time, panels.bar.top, canvas)]
    boxes = (*(with_sides(t, canvas) for t in fixed), panels.bar)
    keep_off = Obstacles((*boxes, *_beside_t(lines)), segments_of(s.points for s in lines))
    sortie = _over_sortie(plan, day, panels, keep_off)
    wanted = [*_t_label(plan, day, panels), *([] if sortie else [_sortie_label(plan, day, panels)])]
    named = place_labels(
        wanted, canvas, Obstacles((*boxes, *(with_sides(t, canvas) for t in sortie)), keep_off.segments)
    )
    shapes = (
        *bands(day, panels.time, panels.bar, canvas),
        *_sortie(plan, panels),
        *lines,
        *fixed,
        *sortie,
        *named.shapes,
    )
    return Scene(canvas, shapes, _alt(plan, day), named.unplaced, own_words=True)


def bands(day: Day, time: Scale, bar: Box, canvas: Canvas, *, named: bool = True) -> list[Shape]:
    """The bar of light: night, twilight and day; ``named``: each with its name where there is room."""
    found: list[Shape] = []
    names: list[Shape] = []
    for start, end, light in day.bands:
        left, right = time.when(start), time.when(end)
        found.append(Rect(left, bar.top, right - left, bar.height, _STYLE[light]))
        if named and width_pt(_WORDS[light], canvas, "on_dark") + 6 < right - left:
            spot = (left + (0.2 if light == "day" else 0.5) * (right - left), (bar.top + bar.bottom) / 2)
            names.append(Text(spot, _WORDS[light], "on_dark" if light == "night" else "label", "middle"))
    return [*found, *names, Rect(bar.left, bar.top, bar.width, bar.height, "thin")]


def _sortie(plan: Plan, panels: Panels) -> list[Shape]:
    start, end, y = _sortie_line(plan, panels)
    return [Line(((start, y), (end, y)), "heavy")] if end > start else []


def _lines(plan: Plan, day: Day, curve: tuple[tuple[datetime, float], ...], panels: Panels) -> list[Line]:
    points = tuple((panels.x(at), panels.height.at(height)) for at, height in curve)
    lines = [Line(part, "track") for part in clip_line(points, panels.sky)]
    horizon = panels.height.at(0.0)
    lines.append(Line(((panels.sky.left, horizon), (panels.sky.right, horizon)), "axis"))
    true_time = plan.clock.true_time
    if true_time and day.sun.start <= true_time <= day.sun.end:
        lines.append(
            Line(((panels.x(true_time), panels.sky.top), (panels.x(true_time), panels.bar.bottom)), "target")
        )
    return lines


def _axis_texts(day: Day, panels: Panels) -> list[Text]:
    canvas, size = panels.canvas, panels.canvas.size_pt("label")
    heights = _height_ticks(panels, 1.1 * size)
    texts = [Text((panels.sky.left - 4, panels.height.at(v)), decimals(v), "label", "end") for v in heights]
    step = clock_step_s(panels.time, canvas)
    span = panels.time.high - panels.time.low
    for offset in range(0, int(span) + 1, step):
        at = day.sun.start + timedelta(seconds=offset)
        texts.append(
            Text(
                (panels.x(at), panels.bar.bottom + 0.5 * size), _tick_words(at, day), "label", "middle", "top"
            )
        )
    texts.append(Text((0, canvas.height_pt), _caption(day, canvas), "label_soft", "start", "bottom"))
    texts.append(Text((panels.sky.left, 0), "Sun's height, deg", "label_soft", "start", "top"))
    return texts


def _caption(day: Day, canvas: Canvas) -> str:
    """The place, the dates, the clock, and what the sun does not do; on a telephone on more lines than
    one."""
    said = f": {words.listed(day.sun.words)}" if day.sun.words else ""
    text = f"{name_of(day.point)}, {_dates(day)}, {on_the_way(day.sun.start, day.sun.end, day.zone)}{said}"
    return wrapped(text, canvas, canvas.width_pt - 2, "label_soft")


def _tick_words(at: datetime, day: Day) -> str:
    """The local clock; where a day begins between the ends of the axis, its date."""
    local = at.astimezone(day.zone)
    begins = (local.hour, local.minute) == (0, 0) and day.sun.start < at < day.sun.end
    return words.day(local.date(), year=False) if begins else words.clock_bare(at, day.zone, seconds=False)


def _dates(day: Day) -> str:
    """The date of the axis, or both."""
    first, last = (
        at.astimezone(day.zone).date() for at in (day.sun.start, day.sun.end - timedelta(seconds=1))
    )
    return (
        words.day(first)
        if first == last
        else f"{words.day(first, year=False)} to {words.day(last, year=False)}"
    )


def _clock(at: datetime, day: Day) -> str:
    """``14:30`` on the day's clock; with its date on another day, with its letters where the clocks change on
    this one."""
    shown = words.clock_bare(at, day.zone, day=day.sun.day, seconds=False)
    return (
        f"{shown} {words.zone_letters(at, day.zone)}"
        if clock_changes(day.sun.start, day.sun.end, day.zone)
        else shown
    )


def _height_ticks(panels: Panels, apart_pt: float) -> list[float]:
    """Round heights whose figures don't touch, the horizon first."""
    wanted = ticks(
        max(panels.height.low, -12.0),
        panels.height.high,
        nice_step(panels.height.high - panels.height.low, 4),
    )
    kept: list[float] = []
    for height in sorted(wanted, key=abs):
        if all(abs(panels.height.at(height) - panels.height.at(other)) >= apart_pt for other in kept):
            kept.append(height)
    return kept


def _t_label(plan: Plan, day: Day, panels: Panels) -> list[Label]:
    true_time = plan.clock.true_time
    if not true_time:
        return []
    height = elevation_deg(day.point.lat_deg, day.point.lon_deg, true_time)
    return [
        Label(
            (panels.x(true_time), panels.sky.top),
            f"T {words.clock_local(true_time, day.zone)}, sun {words.sun_height(height)}",
            "target",
            0,
            0,
        )
    ]


def _sortie_words(plan: Plan, day: Day) -> str:
    return f"Sortie {_clock(plan.clock.takeoff, day)}\nto {_clock(plan.clock.last_landing, day)}"


def _beside_t(lines: list[Line]) -> list[Box]:
    """The strip along the line of T that no text touches."""
    return [
        Box(
            line.points[0][0] - _BESIDE_T, line.points[0][1], line.points[1][0] + _BESIDE_T, line.points[1][1]
        )
        for line in lines
        if line.style == "target"
    ]


def _over_sortie(plan: Plan, day: Day, panels: Panels, keep_off: Obstacles) -> list[Text]:
    """The sortie's words right above its line: over its middle, on one side of T, or at one of its ends,
    wherever they are clear; else nothing."""
    start, end, y = _sortie_line(plan, panels)
    t = [panels.x(day.t)] if day.t and start < panels.x(day.t) < end else []
    spots = [
        ((start + end) / 2, "middle"),
        *((x - _BESIDE_T - 1, "end") for x in t),
        *((x + _BESIDE_T + 1, "start") for x in t),
        (start, "start"),
        (end, "end"),
    ]
    for x, anchor in spots:
        text = Text(
            (x, y - 0.2 * panels.canvas.size_pt("label") - 4),
            _sortie_words(plan, day),
            "label_bold",
            anchor,
            "bottom",
            halo=True,
        )
        box = text_box(text, panels.canvas.medium)
        if box.left >= 0 and box.right <= panels.canvas.width_pt and not keep_off.hit_by(box):
            return [text]
    return []


def _sortie_label(plan: Plan, day: Day, panels: Panels) -> Label:
    """The same words wherever there is room near the line."""
    start, end, y = _sortie_line(plan, panels)
    return Label(
        ((start + end) / 2, y),
        _sortie_words(plan, day),
        "label_bold",
        0.2 * panels.canvas.size_pt("label"),
        0,
    )


def _sortie_line(plan: Plan, panels: Panels) -> tuple[float, float, float]:
    """From where to where the sortie's line runs, and its height."""
    start, end = (
        min(max(panels.x(at), panels.bar.left), panels.bar.right)
        for at in (plan.clock.takeoff, plan.clock.last_landing)
    )
    return start, end, panels.bar.top - 0.55 * panels.canvas.size_pt("label")


def event_texts(
    day: Day, time: Scale, bar_top: float, canvas: Canvas, *, twilight: bool = True
) -> list[Text]:
    """The sun's events above the bar, each over its edge of light; those too near each other one below the
    other in one block. ``twilight``: with civil dawn and dusk."""
    blocks: list[Text] = []
    groups: list[list] = []
    for event in (e for e in day.sun.events if twilight or e.kind in ("sunrise", "sunset")):
        groups.append([event])
        blocks.append(_block(groups[-1], day, time, bar_top, canvas))
        while len(blocks) > 1 and with_sides(blocks[-1], canvas).overlaps(
            text_box(blocks[-2], canvas.medium)
        ):
            groups[-2:] = [groups[-2] + groups[-1]]
            blocks[-2:] = [_block(groups[-1], day, time, bar_top, canvas)]
    return blocks


def _block(events: list, day: Day, time: Scale, bar_top: float, canvas: Canvas) -> Text:
    text = "\n".join(f"{event.kind.capitalize()} {_clock(event.instant, day)}" for event in events)
    half, middle = (
        width_pt(text, canvas) / 2,
        sum(time.when(event.instant) for event in events) / len(events),
    )
    x = min(max(middle, half + 1), canvas.width_pt - half - 1)
    t_x = time.when(day.t) if day.t else -1e9
    if abs(x - t_x) < half + 4:  # beside the line of T
        x = t_x + half + _BESIDE_T if middle >= t_x else t_x - half - _BESIDE_T
    return Text((x, bar_top - 1.05 * canvas.size_pt("label")), text, "label", "middle", "bottom")


def _alt(plan: Plan, day: Day) -> str:
    events = [f"{e.kind} {words.clock_local(e.instant, day.zone, seconds=False)}" for e in day.sun.events]
    said = words.listed([*events, *day.sun.words]) or "no sun event"
    start, end = (
        words.clock_local(at, day.zone, day=day.sun.day, seconds=False)
        for at in (plan.clock.takeoff, plan.clock.last_landing)
    )
    text = f"Daylight at {name_of(day.point)} on {words.day(day.sun.day)}: {said}. Sortie {start} to {end}."
    if plan.clock.true_time:
        height = elevation_deg(day.point.lat_deg, day.point.lon_deg, plan.clock.true_time)
        text += (
            f" T {words.clock_local(plan.clock.true_time, day.zone)}, sun {words.sun_height(height)} high."
        )
    return text
