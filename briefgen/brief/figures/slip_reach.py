"""Can T still move, and until when: a bar for each slip over clock time, dark while the printed row holds,
pale while the hold still gives it with other laps, outlined while speed alone does; below them what speed
gives at each moment, to scale in seconds. Every end is the last moment to have it read back."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from briefgen.brief.figures import flags, heads
from briefgen.brief.figures.common import Scale, clock_step_s, clock_ticks, day_of_t, time_scale, width_pt
from briefgen.brief.wording import format as words
from briefgen.brief.wording.by_speed import told_spans, told_words
from briefgen.brief.wording.speed_span import reach_s
from briefgen.brief.wording.wait_limits import NO_CALL, later_ways, slip_spans, slip_words, span_end
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Polygon, Rect, Scene, Shape, Text
from briefgen.plan.event.speed_alone import authority, begins, told_then
from briefgen.plan.event.waits import hold_lost, lost, no_call
from briefgen.plan.model import Authority, EventPlan, Means, SlipRow
from briefgen.plan.sortie import Plan

_STYLES: dict[Means, str] = {
    "as printed": "track_solid",
    "worked again": "track_wash",
    "by speed": "target_wash",
}
_LEGEND: dict[Means, str] = {
    "as printed": "the row as printed",
    "worked again": "other laps, worked again",
    "by speed": "by speed alone",
}
_NAMES_SHARE = 0.45  # of the width, at most, for what stands before the bars
_BAR_SHARE = 0.62  # of a row's height
_AXIS = "Z, read back"
_GAP = 5.0  # points between a bar and the time beside it
_WEDGE_STEPS = 24
_SPEED_ROOM = 3.4  # pitches for what speed gives
_BEFORE_IP = timedelta(minutes=10)  # shown before a pass without a hold


@record
class Bar:
    """One slip: its name, the T it gives, and the stretches in which it can still be had; ``said`` instead of
    them: UNABLE, TOO LATE."""

    name: str
    true_time: datetime | None
    ways: tuple[tuple[Means, datetime], ...]
    said: str = ""
    planned: bool = False


@record
class Moment:
    """An upright line: when, what stands over it, and its ``kind`` of head."""

    at: datetime
    text: str
    kind: str


@record
class Reach:
    """What is drawn, whatever the room: ``begin`` of the clock, the rows, the lines across them, and what
    speed gives, moment by moment (empty where nobody knows)."""

    day: date
    true_time: datetime
    begin: datetime
    bars: tuple[Bar, ...]
    moments: tuple[Moment, ...]
    speed: tuple[Authority, ...]


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None where no change of T is known, or T moves with that of another pass."""
    event = plan.event
    if event is None or event.leader is not None:
        return None
    bars = bars_of(plan, event)
    if not bars:
        return None
    ends = [until for bar in bars for _, until in bar.ways]
    begin = event.hold.arrival if event.hold else min([*ends, event.ip_time]) - _BEFORE_IP
    shown = tuple(moment for moment in _moments(event) if moment.at >= begin)
    reach = Reach(day_of_t(plan), event.true_time, begin, tuple(bars), shown, _speed_left(plan, event))
    return lambda canvas: _draw(reach, canvas)


def bars_of(plan: Plan, event: EventPlan) -> list[Bar]:
    """The rows of the slip table; without a hold, the changes that speed can make."""
    if event.hold is not None:
        return [_bar(plan, row, last) for row, last in slip_spans(plan)]
    if not event.speeds_known:
        return []
    return [
        Bar(
            told_words(first, last),
            None,
            () if first.until is None else (("by speed", words.time_limit(first.until, "latest")),),
            first.said,
        )
        for first, last in told_spans(plan, event)
    ]


def _bar(plan: Plan, row: SlipRow, last: SlipRow) -> Bar:
    name = " ".join(filter(None, (slip_words(row), span_end(plan, row, last))))
    if no_call(plan, row.slip_s):
        return Bar(name, row.true_time, (), NO_CALL if row.slip_s else "", planned=row.slip_s == 0)
    said = lost(plan, row)[0]
    if said and not later_ways(plan, row):
        return Bar(name, None if last is not row else row.true_time, (), said)
    first: tuple[tuple[Means, datetime], ...] = (
        () if row.told_by is None else (("as printed", words.time_limit(row.told_by, "latest")),)
    )
    return Bar(name, row.true_time, (*first, *later_ways(plan, row)))


def _moments(event: EventPlan) -> Iterator[Moment]:
    """When each cue is expected, leave-hold, from when on only the abort words are said (one name for it on
    all slides), T."""
    yield from (Moment(cue.at, cue.id, "cue") for cue in event.cues)
    if event.chain.leave_hold is not None:
        yield Moment(event.chain.leave_hold, "Leave hold", "plain")
    if event.workload.seconds_until is not None:
        last = words.time_limit(event.workload.seconds_until, "latest")
        yield Moment(last, "Abort only", "stop")
    yield Moment(event.true_time, "T", "target")


def _moment_words(moment: Moment, day: date) -> str:
    return f"{moment.text} {words.clock_bare(moment.at, day=day)}"


def _speed_left(plan: Plan, event: EventPlan) -> tuple[Authority, ...]:
    """What speed gives until only the abort words are said; empty where nobody knows, and where no leave-hold
    is flown from which it could."""
    if not event.speeds_known or hold_lost(plan):
        return ()
    first, last = begins(event.chain), event.told_until(event.true_time, 0.0)
    whole_s = (last - first).total_seconds()
    return tuple(
        told_then(
            event.chain, authority(event.chain, first + timedelta(seconds=whole_s * n / _WEDGE_STEPS), "")
        )
        for n in range(_WEDGE_STEPS + 1)
    )


# ---------------------------------------------------------------- drawing


@record
class _Room:
    canvas: Canvas
    time: Scale
    rows: Box  # of the bars
    speed: Box | None  # of what speed gives
    row: float  # height of one
    tells_t: bool  # beside each slip the T it gives: not in a narrow canvas

    def x(self, at: datetime) -> float:
        return min(max(self.time.when(at), self.time.start), self.time.end)


def _draw(reach: Reach, canvas: Canvas) -> Scene:
    bars = reach.bars
    room, marks = _room(reach, canvas)
    shown = bars[: max(int(room.rows.height / room.row + 0.01), 0)]
    foot = (room.speed or room.rows).bottom
    shapes: list[Shape] = [
        *_stripes(shown, room),
        *_poles(reach, room, foot),
        *(shape for n, bar in enumerate(shown) for shape in _drawn_bar(bar, n, reach, room)),
        *_speed(reach.speed, room),
        *_axis(room, foot),
        *marks,
        *_legend(shown, canvas),
    ]
    return Scene(canvas, tuple(shapes), _alt(reach), tuple(b.name for b in bars[len(shown) :]))


def _room(reach: Reach, canvas: Canvas) -> tuple[_Room, list[Shape]]:
    """Where all stands, and what stands over the lines; in a low canvas what speed gives is left out, then
    the last rows."""
    pitch, bars = canvas.pitch_pt("label"), reach.bars
    left = max(width_pt(bar.name, canvas, "label_bold") for bar in bars) + 8
    dates = [words.clock_bare(bar.true_time, day=reach.day) for bar in bars if bar.true_time]
    beside = max((width_pt(text, canvas, "target") + 10 for text in dates), default=0.0)
    tells_t = left + beside < _NAMES_SHARE * canvas.width_pt
    left += beside if tells_t else 0.0
    ends = [until for bar in bars for _, until in bar.ways]
    right = canvas.width_pt - width_pt("00:00", canvas) / 2
    time = time_scale(reach.begin, max([reach.true_time, *ends]), left, right)
    top, marks = _marks(reach, time, canvas)
    bottom, most = canvas.height_pt - (len(_legend_rows(bars, canvas)) + 1.9) * pitch, 2.2 * pitch
    speed = None
    if reach.speed and (bottom - _SPEED_ROOM * pitch - top) / len(bars) >= pitch:
        bottom -= _SPEED_ROOM * pitch
        speed = Box(left, bottom + 4, right, bottom + _SPEED_ROOM * pitch)
    row = min(max((bottom - top) / len(bars), pitch), most)
    rows = Box(left, top, right, min(top + row * len(bars), bottom + 0.1))
    return _Room(canvas, time, rows, speed, row, tells_t), marks


def _marks(reach: Reach, time: Scale, canvas: Canvas) -> tuple[float, list[Shape]]:
    """Down to where, and what stands over the lines: in one row, where that has room for all."""
    row = heads.standing(
        [
            heads.Head(time.when(m.at), m.text, words.clock_bare(m.at, day=reach.day), m.kind)
            for m in reach.moments
        ],
        canvas,
    )
    if row is not None:
        top = heads.height_of(canvas)
        return top, heads.drawn(row, top, canvas)
    named = (
        flags.Flag(time.when(m.at), _moment_words(m, reach.day), heads.STYLES[m.kind][0])
        for m in reach.moments
    )
    stacked = flags.rows_of(named, canvas)
    top = flags.height_of(stacked, canvas) + 4
    return top, flags.drawn(stacked, top, canvas)


def _poles(reach: Reach, room: _Room, foot: float) -> list[Shape]:
    lines = [(room.time.when(moment.at), heads.STYLES[moment.kind][2]) for moment in reach.moments]
    return [Line(((x, room.rows.top), (x, foot)), style) for x, style in lines]


def _stripes(bars: Sequence[Bar], room: _Room) -> list[Shape]:
    """Every other row on a wash, so that the eye keeps to its own."""
    return [
        Rect(0, room.rows.top + n * room.row, room.canvas.width_pt, room.row, "panel")
        for n in range(len(bars))
        if n % 2
    ]


def _drawn_bar(bar: Bar, n: int, reach: Reach, room: _Room) -> list[Shape]:
    day, middle = reach.day, room.rows.top + (n + 0.5) * room.row
    shapes: list[Shape] = [Text((0, middle), bar.name, "label_bold")]
    if bar.true_time is not None and room.tells_t:
        at, style = room.rows.left - 8, "target" if bar.planned else "label_soft"
        shapes.append(Text((at, middle), words.clock_bare(bar.true_time, day=day), style, "end"))
    if bar.planned:
        return [*shapes, Line(((room.rows.left, middle), (room.x(reach.true_time), middle)), "track")]
    if bar.said:
        return [*shapes, Text((room.rows.left + 4, middle), bar.said, "label_bold")]
    start = room.rows.left
    half = room.row * _BAR_SHARE / 2
    for means, until in bar.ways:
        end = room.x(until)
        shapes.append(Rect(start, middle - half, max(end - start, 0.5), 2 * half, _STYLES[means]))
        start = end
    if bar.ways:
        said = words.clock_bare(bar.ways[-1][1], day=day)
        shapes.append(_beside(said, (room.rows.left, start), middle, room))
    return shapes


def _beside(said: str, span: tuple[float, float], middle: float, room: _Room) -> Text:
    """The end of a bar in figures, right of it, or where there is no room left of its end."""
    start, end = span
    if end + _GAP + width_pt(said, room.canvas, "label_bold") <= room.canvas.width_pt:
        return Text((end + _GAP, middle), said, "label_bold", halo=True)
    return Text((max(start, end - _GAP), middle), said, "label_bold", "end", halo=True)


# ---------------------------------------------------------------- by speed


def _speed(points: Sequence[Authority], room: _Room) -> list[Shape]:
    """Earlier above the line and later below it, to one scale; the most named, which is at the beginning."""
    box = room.speed
    if box is None:
        return []
    pitch, most = room.canvas.pitch_pt("label"), points[0]
    per_s = (box.height - 1.6 * pitch) / max(most.early_s + most.late_s, 1.0)
    line = box.top + 0.8 * pitch + most.early_s * per_s
    upper = [(room.x(each.at), line - each.early_s * per_s) for each in points]
    lower = [(room.x(each.at), line + each.late_s * per_s) for each in points]
    x, (early, late) = upper[0][0] - _GAP, reach_s(most)
    up, down = max(most.early_s * per_s / 2, 0.55 * pitch), max(most.late_s * per_s / 2, 0.55 * pitch)
    return [
        Polygon((*upper, *reversed(lower)), "target_wash"),
        Line(((box.left, line), (box.right, line)), "grid"),
        Text((0, line), "speed alone", "label_bold"),
        Text((x, line - up), f"{early} s earlier", "target", "end", halo=True),
        Text((x, line + down), f"{late} s later", "target", "end", halo=True),
    ]


def _axis(room: _Room, foot: float) -> list[Shape]:
    canvas = room.canvas
    step = clock_step_s(room.time, canvas, 1.6)
    y = foot + 4 + 0.5 * canvas.pitch_pt("label")
    shapes: list[Shape] = [Line(((room.time.start, foot), (room.time.end, foot)), "axis")]
    for at in clock_ticks(room.time, step):
        x = room.time.when(at)
        if x - width_pt("00:00", canvas) / 2 < width_pt(_AXIS, canvas) + _GAP:
            continue
        shown = words.clock_bare(at, seconds=step < 60)
        shapes += [Line(((x, foot), (x, foot + 4)), "axis"), Text((x, y), shown, "label_soft", "middle")]
    shapes.append(Text((0, y), _AXIS, "label_soft"))
    return shapes


def _legend(bars: Sequence[Bar], canvas: Canvas) -> list[Shape]:
    """What the fillings mean, at the foot."""
    pitch = canvas.pitch_pt("label")
    box = 1.6 * pitch
    rows = _legend_rows(bars, canvas)
    shapes: list[Shape] = []
    for n, row in enumerate(rows):
        x, y = 0.0, canvas.height_pt - (len(rows) - n - 0.5) * pitch
        for means in row:
            shapes.append(Rect(x, y - 0.35 * pitch, box, 0.7 * pitch, _STYLES[means]))
            shapes.append(Text((x + box + _GAP, y), _LEGEND[means]))
            x += _legend_pt(means, canvas)
    return shapes


def _legend_pt(means: Means, canvas: Canvas) -> float:
    pitch = canvas.pitch_pt("label")
    return 1.6 * pitch + _GAP + width_pt(_LEGEND[means], canvas) + 1.2 * pitch


def _legend_rows(bars: Sequence[Bar], canvas: Canvas) -> list[list[Means]]:
    """The fillings that are used, in as many rows as the width asks."""
    rows: list[list[Means]] = []
    room = 0.0
    for means in _STYLES:
        if not any(way[0] == means for bar in bars for way in bar.ways):
            continue
        needed = _legend_pt(means, canvas)
        if not rows or needed > room:
            rows.append([])
            room = canvas.width_pt + 1.2 * canvas.pitch_pt("label")
        rows[-1].append(means)
        room -= needed
    return rows


def _alt(reach: Reach) -> str:
    day = reach.day
    said = [
        f"{bar.name}: "
        + (
            bar.said
            or ", ".join(
                f"{_LEGEND[means]} until {words.clock_bare(until, day=day)}" for means, until in bar.ways
            )
        )
        for bar in reach.bars
        if not bar.planned
    ]
    marks = "; ".join(_moment_words(moment, day) for moment in reach.moments)
    speed = ""
    if reach.speed:
        early, late = reach_s(reach.speed[0])
        speed = f" Speed alone gives at most {early} s earlier and {late} s later."
    return f"Until when T can be moved, Z, read back. {'; '.join(said)}. {marks}.{speed}"
