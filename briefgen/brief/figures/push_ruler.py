"""Where to push, early or late: of each row of the push table the run-in from the IP to the centre, in nm to
go, pale before the push and dark after it."""

from __future__ import annotations

from briefgen.brief.figures.common import Scale, width_pt
from briefgen.brief.wording import format as words
from briefgen.brief.wording.speed_span import late_words
from briefgen.core.records import record
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Rect, Scene, Shape, Text
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.plan.event.waits import hold_lost
from briefgen.plan.model import EventPlan, PushRow
from briefgen.plan.sortie import Plan
from briefgen.units.rounding import decimals

_BAR_SHARE = 0.62  # of a row's height
_AXIS = "nm to go to T"
_GAP = 6.0  # points between a bar and the words beside it


@record
class _Room:
    canvas: Canvas
    ruler: Scale
    top: float
    row: float
    style: str


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without a push-up, and behind a hold that can't be flown."""
    event = plan.event
    if event is None or event.push is None or not event.push_table or hold_lost(plan):
        return None
    return lambda canvas: _draw(event, canvas)


def push_words(row: PushRow) -> str:
    """``3.3 nm``; ``at the IP, still 2.1 s late``; ``no push``, since even without one it is early."""
    if row.to_go_nm is None:
        return f"at the IP, still {words.seconds_exact(row.left_s)} late"
    return words.distance(row.to_go_nm) if row.to_go_nm else "no push"


def _draw(event: EventPlan, canvas: Canvas) -> Scene:
    room = _room(event, canvas)
    shapes: list[Shape] = [
        shape for n, row in enumerate(event.push_table) for shape in _row(event, row, n, room)
    ]
    return Scene(canvas, (*shapes, *_scale(room, len(event.push_table))), _alt(event), own_words=True)


def _room(event: EventPlan, canvas: Canvas) -> _Room:
    """In the larger type where its rows have the height."""
    pitch, count = canvas.pitch_pt("label"), len(event.push_table)
    height = canvas.height_pt - 2.6 * pitch
    style = "body_bold" if height / count >= 1.3 * canvas.pitch_pt("body_bold") else "label_bold"
    left = max(width_pt(late_words(row), canvas, style) for row in event.push_table) + 12
    row = min(height / count, 2.2 * canvas.pitch_pt(style))
    return _Room(canvas, Scale(event.run_in.distance_nm, 0.0, left, canvas.width_pt - 4), 0.0, row, style)


def _row(event: EventPlan, row: PushRow, n: int, room: _Room) -> list[Shape]:
    ruler, middle, half = room.ruler, room.top + (n + 0.5) * room.row, room.row * _BAR_SHARE / 2
    at = ruler.start if row.to_go_nm is None else ruler.at(row.to_go_nm)
    planned = row.late_s == 0
    shapes: list[Shape] = [
        Text((0, middle), late_words(row), room.style),
        Rect(ruler.start, middle - half, ruler.end - ruler.start, 2 * half, "track_wash"),
    ]
    if at < ruler.end:
        shapes.append(
            Rect(at, middle - half, ruler.end - at, 2 * half, "target_solid" if planned else "track_solid")
        )
    said, inside = push_words(row), ruler.end - at
    if width_pt(said, room.canvas, "on_dark") + 2 * _GAP < inside:
        return [*shapes, Text((at + _GAP, middle), said, "on_dark")]
    return [*shapes, Text((at - _GAP, middle), said, "label_bold", "end")]


def tick_words(nm: float, step: float) -> str:
    """``1.5`` of half miles, ``3`` of whole ones: with as many decimals as the step has."""
    return decimals(nm, 0 if step == int(step) else 2 if step * 10 != int(step * 10) else 1)


def _scale(room: _Room, rows: int) -> list[Shape]:
    canvas, ruler, y = room.canvas, room.ruler, room.top + rows * room.row
    under = y + 6 + 0.5 * canvas.pitch_pt("label")
    shapes: list[Shape] = [Line(((ruler.start, y), (ruler.end, y)), "axis")]
    first = ruler.start + width_pt("IP", canvas, "label_bold") + 2 * _GAP
    last = ruler.end - width_pt(_AXIS, canvas) - 2 * _GAP
    step = nice_step(ruler.low, 8)
    for nm in ticks(0.0, ruler.low, step):
        x = ruler.at(nm)
        shapes.append(Line(((x, y), (x, y + 4)), "axis"))
        if first < x < last:
            shapes.append(Text((x, under), tick_words(nm, step), "label_soft", "middle"))
    shapes.append(Text((ruler.start, under), "IP", "label_bold"))
    return [*shapes, Text((ruler.end, under), _AXIS, "label_soft", "end")]


def _alt(event: EventPlan) -> str:
    told = [f"{late_words(row)}: {push_words(row)}" for row in event.push_table]
    reached = words.speed_kt(event.push_up_to_kt, "KGS")
    return f"Where to push to {reached}, in nm to go from the centre. {'; '.join(told)}."
