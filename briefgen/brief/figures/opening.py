"""What the brief opens with: each T and SET as large as they go, over a faint map of the sortie."""

from __future__ import annotations

from briefgen.brief.figures.clock_bar import rulers_of
from briefgen.brief.figures.coast import coast_of
from briefgen.brief.figures.common import clock_words, width_pt
from briefgen.brief.figures.route import areas_of, chart_of
from briefgen.brief.wording import format as words
from briefgen.brief.wording.passes import pass_name
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Polygon, Scene, Shape, Text
from briefgen.draw.scene.palette import BASELINE
from briefgen.plan.model import EventPlan
from briefgen.plan.route.air import position
from briefgen.plan.sortie import Plan

_LEFT = 12.0
_NEXT_TO = 24.0  # points between a name, its T and its SET
# of T, of SET beside or below it, of the words: the first that fits is taken
_SIZES = (
    ("huge", "large_soft", "body"),
    ("huge", "head", "body"),
    ("large", "head", "body"),
    ("head", "head", "label"),
)


@record
class Row:
    """The words of one pass."""

    name: str
    true_time: str
    set_time: str
    below: str
    below_set: str


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without a pass."""
    return (lambda canvas: _draw(plan, canvas)) if plan.passes and plan.legs else None


def rows_of(plan: Plan) -> list[Row]:
    """A row for each pass; of one alone with its clocks and without its name."""
    alone = len(plan.passes) == 1
    return [
        Row(
            "T" if alone else f"T {pass_name(each.section)}",
            clock_words(plan, each.true_time),
            f"SET {clock_words(plan, each.set_time)}" if each.late_bias_s else "",
            _local(plan, each) if alone else "",
            f"in the aircraft only:\nT + {words.duration(each.late_bias_s)}" if alone else "",
        )
        for each in plan.passes
    ]


def _local(plan: Plan, event: EventPlan) -> str:
    """``14:00:02 base ACDT (+10:30)``, then the event's, on a line each."""
    return "\n".join(
        f"{words.clock_bare(event.true_time, ruler.zones[0])} {ruler.name}"
        for ruler in rulers_of(plan)[1:]
        if ruler.shows(event.true_time) is not None
    )


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    box, rows = Box(0, 0, canvas.width_pt, canvas.height_pt), rows_of(plan)
    texts: list[Text] = []
    for styles in _SIZES:
        texts = _texts(rows, styles, canvas)
        boxes = [text_box(text, canvas.medium) for text in texts]
        if all(box.holds(own) for own in boxes):
            break
    return Scene(canvas, (*_map(plan, box, canvas), *texts), _alt(rows))


def _texts(rows: list[Row], styles: tuple[str, str, str], canvas: Canvas) -> list[Text]:
    """The rows from the top; SET beside its T where all have the room for it, else below it."""
    large, other, small = styles
    names = _LEFT + max(width_pt(row.name, canvas, "head") for row in rows) + _NEXT_TO
    times = max(width_pt(row.true_time, canvas, large) for row in rows) + _NEXT_TO
    sets = max(width_pt(row.set_time, canvas, other) for row in rows)
    beside = names + times + sets <= canvas.width_pt
    below = max(width_pt(line, canvas, small) for row in rows for line in row.below.split("\n"))
    roomy = any(row.below_set for row in rows) and below + _NEXT_TO <= times
    texts: list[Text] = []
    y = 0.0
    for row in rows:
        base = y + BASELINE * canvas.size_pt(large)
        texts.append(Text((_LEFT, base), row.name, "head", "start", "baseline"))
        texts.append(Text((names, base), row.true_time, large, "start", "baseline"))
        y += canvas.pitch_pt(large)
        if row.set_time and beside:
            texts.append(Text((names + times, base), row.set_time, other, "start", "baseline"))
            texts += [Text((names + times, y + 4), row.below_set, small, "start", "top")] if roomy else []
        elif row.set_time:
            texts.append(Text((names, y), row.set_time, other, "start", "top"))
            y += canvas.pitch_pt(other)
        if row.below:
            texts.append(Text((names, y + 4), row.below, small, "start", "top"))
            y = text_box(texts[-1], canvas.medium).bottom
    return texts


def _map(plan: Plan, box: Box, canvas: Canvas) -> list[Shape]:
    """Coast, areas, tracks and the spots flown over, all faint."""
    chart = chart_of(plan, box, canvas)
    coast = coast_of(chart)
    tracks = [(chart.place(position(leg.start)), chart.place(position(leg.end))) for leg in plan.legs]
    spots = dict.fromkeys(chart.place(position(each.centre)) for each in plan.passes)
    return [
        *coast.fills,
        *(Line(line.points, "faint") for line in coast.lines),
        *(Polygon(tuple(chart.place(p) for p in area.boundary), "faint_dashed") for area in areas_of(plan)),
        *(Line(track, "faint_track") for track in tracks),
        *(Ellipse(spot, 6, 6, "faint_track") for spot in spots),
    ]


def _alt(rows: list[Row]) -> str:
    said = [
        ", ".join(filter(None, (f"{row.name} {row.true_time}", row.set_time, *row.below.split("\n"))))
        for row in rows
    ]
    return f"Over a faint map of the sortie: {'; '.join(said)}."
