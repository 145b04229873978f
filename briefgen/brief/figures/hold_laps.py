"""The laps of a hold side by side: headings and legs inside each, the time at its corners outside, when to
start the inbound turn the largest. Not to scale; the way it turns is true."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from briefgen.brief.figures.common import day_of_t, width_pt
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import course_words
from briefgen.core.records import record
from briefgen.draw.scene.geometry import arc_points
from briefgen.draw.scene.model import Arc, Canvas, FigureMaker, Line, Scene, Shape, Text
from briefgen.plan.model import HoldPlan, Lap
from briefgen.plan.sortie import Plan

_MOST = 6  # laps drawn; of more the first and the last ones
_A_ROW = 3
_GAP = 20.0  # points between two laps
_HIGHEST = 150.0  # of a racetrack


@record
class _Cell:
    """The room of one racetrack: its left and right end, its upper and lower line, what is beside it."""

    left: float
    right: float
    top: float
    bottom: float
    style: str  # of the times outside it

    @property
    def radius(self) -> float:
        return (self.bottom - self.top) / 2

    @property
    def ends(self) -> tuple[float, float]:
        """Where the straight legs begin and end."""
        return self.left + self.radius, self.right - self.radius


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without a lap."""
    hold = plan.event.hold if plan.event is not None else None
    if hold is None or not hold.laps:
        return None
    return lambda canvas: _draw(plan, hold, canvas)


def _draw(plan: Plan, hold: HoldPlan, canvas: Canvas) -> Scene:
    laps = list(enumerate(hold.laps, 1))
    laps = laps if len(laps) <= _MOST else [*laps[: _MOST // 2], *laps[-_MOST // 2 :]]
    left_out = len(hold.laps) - len(laps)
    cells = _cells(plan, hold, laps, canvas)
    shapes = [
        shape
        for lap, cell in zip(laps[-len(cells) :], cells, strict=True)
        for shape in _lap(plan, hold, lap, cell, canvas)
    ]
    if left_out and len(cells) == len(laps):
        first = laps[_MOST // 2 - 1][0] + 1
        note = f"Laps {first} to {first + left_out - 1} are flown like lap {first - 1}"
        shapes.append(Text((0, canvas.height_pt), note, "label_soft", stand="bottom"))
    return Scene(canvas, tuple(shapes), _alt(plan, hold), own_words=True)


def _cells(plan: Plan, hold: HoldPlan, laps: Sequence[tuple[int, Lap]], canvas: Canvas) -> list[_Cell]:
    """The rooms of the racetracks, in the larger type if that leaves them high enough; where not even the
    smaller one does, of the last laps only."""
    enough = 3.4 * canvas.pitch_pt("label")
    tries = [(len(laps), "head"), *((count, "label_bold") for count in range(len(laps), 0, -1))]
    for count, style in tries:
        least_pt = max(
            max(width_pt(_turn_in(plan, lap), canvas, style), width_pt(_name(n, hold), canvas, "label_bold"))
            for n, lap in laps
        )
        cells = _cells_of(count, least_pt, style, canvas)
        if cells[0].bottom - cells[0].top >= enough:
            break
    return cells


def _cells_of(count: int, least_pt: float, style: str, canvas: Canvas) -> list[_Cell]:
    """The rooms of so many racetracks, each at least so wide where the canvas is."""
    fitting = max(1, min(_A_ROW, int((canvas.width_pt + _GAP) / (least_pt + _GAP))))
    columns = min(fitting, 2 if count == 4 else count)
    rows = -(-count // columns)
    width = (canvas.width_pt - (columns - 1) * _GAP) / columns
    height = (canvas.height_pt - canvas.pitch_pt("label")) / rows
    beyond = 1.3 * canvas.pitch_pt(style)
    above = 1.2 * canvas.pitch_pt("label") + beyond
    high = min(height - above - beyond, _HIGHEST, 0.4 * width)
    found = []
    for n in range(count):
        left, top = n % columns * (width + _GAP), n // columns * height + above
        found.append(_Cell(left, left + width, top, top + high, style))
    return found


def _lap(plan: Plan, hold: HoldPlan, lap: tuple[int, Lap], cell: _Cell, canvas: Canvas) -> list[Shape]:
    number, flown = lap
    left_turns, last = hold.turns == "left", number == len(hold.laps)
    out_y, in_y = (cell.top, cell.bottom) if left_turns else (cell.bottom, cell.top)
    (x1, x2), middle, pitch = cell.ends, (cell.top + cell.bottom) / 2, canvas.pitch_pt("label")
    style = "hold_entry" if flown.entry else "hold"
    inside = 0.85 * pitch if left_turns else -0.85 * pitch
    heading = course_words(plan.mission, hold.fix, flown.outbound_heading_true_deg)
    leg = words.duration(words.between_s(flown.outbound, flown.inbound_turn))
    inbound = course_words(plan.mission, hold.fix, hold.inbound_course_true_deg)
    first = number == 1  # which says in words what the figures in all of them are
    out = f"{_clock(plan, flown.outbound)} {'out ' if first else ''}{heading} {leg}"
    back = f"{_clock(plan, flown.inbound)} {'in ' if first else ''}{inbound}"
    centre = (x1 + x2) / 2
    # the first turn ends on the outbound leg, the second on the inbound one
    second_turn, first_turn = _turn(x1, cell, "left"), _turn(x2, cell, "right")
    return [
        Text(
            (cell.left, cell.top - 1.3 * canvas.pitch_pt(cell.style)),
            _name(number, hold),
            "label_bold",
            stand="bottom",
        ),
        Line(second_turn, style),
        Line(first_turn, style),
        Line(((x2, out_y), (x1, out_y)), style, "end"),
        Line(((x1, in_y), (x2, in_y)), style, "end"),
        Text((centre, out_y + inside), out, "label", "middle", halo=True),
        Text((centre, in_y - inside), back, "label", "middle", halo=True),
        *([Text((centre, middle), f"turn {hold.turns}", "label_soft", "middle")] if first else ()),
        *_corners(plan, flown, cell, (out_y, in_y), canvas, last=last),
    ]


def _name(number: int, hold: HoldPlan) -> str:
    entry = hold.laps[number - 1].entry
    return f"Lap {number}, {entry} entry, about" if entry else f"Lap {number}"


def _turn(x: float, cell: _Cell, side: str) -> tuple[tuple[float, float], ...]:
    start = 0.0 if side == "right" else 180.0
    return arc_points(Arc((x, (cell.top + cell.bottom) / 2), cell.radius, start, start + 180.0))


def _corners(
    plan: Plan, lap: Lap, cell: _Cell, lines: tuple[float, float], canvas: Canvas, *, last: bool
) -> list[Shape]:
    """Beyond the outbound line, at its end, when to turn in; beyond the inbound line, at its end, the fix."""
    out_y, in_y = lines
    up, beyond = -1.0 if out_y < in_y else 1.0, 0.65 * canvas.pitch_pt(cell.style)
    fix = f"{'LEAVE' if last else 'fix'} {_clock(plan, lap.fix)}"
    return [
        Text((cell.left, out_y + up * beyond), _turn_in(plan, lap), cell.style),
        Text((cell.right, in_y - up * beyond), fix, cell.style if last else "label_bold", "end"),
    ]


def _turn_in(plan: Plan, lap: Lap) -> str:
    return f"TURN IN {_clock(plan, lap.inbound_turn)}"


def _clock(plan: Plan, at: datetime) -> str:
    return words.clock_bare(at, day=day_of_t(plan))


def _alt(plan: Plan, hold: HoldPlan) -> str:
    day = day_of_t(plan)
    inbound = course_words(plan.mission, hold.fix, hold.inbound_course_true_deg)
    told = [
        f"lap {n}{f', {lap.entry} entry' if lap.entry else ''}: out"
        f" {course_words(plan.mission, hold.fix, lap.outbound_heading_true_deg)}, start inbound turn"
        f" {words.clock_z(lap.inbound_turn, day=day)}, fix {words.clock_z(lap.fix, day=day)}"
        for n, lap in enumerate(hold.laps, 1)
    ]
    return f"The hold at {hold.fix.id}, {hold.turns} turns, inbound {inbound}; {'; '.join(told)}"
