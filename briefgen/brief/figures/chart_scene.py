"""A chart as a scene, for cards and pages; the deck has its own native chart of the same numbers."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.content.blocks import Axis, Chart, Reference, Series
from briefgen.draw.scene.geometry import Box, clip_line, text_box
from briefgen.draw.scene.model import Canvas, Ellipse, Line, Point, Scene, Shape, Text
from briefgen.draw.scene.ticks import ticks

_FORMATS = {
    "#,##0": lambda value: f"{value:,.0f}",
    "0": lambda value: f"{value:.0f}",
    "hh:mm": lambda value: f"{round(value * 1440) // 60 % 24:02d}:{round(value * 1440) % 60:02d}",
}


END_STYLE, END_GAP_PT = "label", 16.0  # of the labels at the lines' ends: between plot and label a leader
_END_SHARE = 0.32  # of the width, the most that they may take
# from the x axis to the top of its tick labels, in sizes: clear of the lowest label of the y axis
_DROP = 0.65


def chart_scene(chart: Chart, canvas: Canvas) -> Scene:
    """The chart drawn for a canvas: axes with ticks, one line a series with its name in the key above,
    reference lines with their labels."""
    plot = _plot_box(chart, canvas)
    place = _Scale(chart, plot)
    shapes: list[Shape] = [*_key(chart, canvas), *_axes(chart, canvas, place)]
    shapes += [
        Line(part, series.style)
        for series in chart.series
        for part in clip_line(place.line(series.points), plot)
    ]
    shapes += _references(chart, place, canvas)
    return Scene(canvas, tuple(shapes), chart.alt)


class _Scale:
    """From a chart's values to the canvas."""

    def __init__(self, chart: Chart, plot: Box) -> None:
        self.plot, self.x_axis, self.y_axis = plot, chart.x_axis, chart.y_axis

    def x(self, value: float) -> float:
        return self.plot.left + self.plot.width * (value - self.x_axis.minimum) / (
            self.x_axis.maximum - self.x_axis.minimum
        )

    def y(self, value: float) -> float:
        return self.plot.bottom - self.plot.height * (value - self.y_axis.minimum) / (
            self.y_axis.maximum - self.y_axis.minimum
        )

    def line(self, points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((self.x(x), self.y(y)) for x, y in points)


def tick_text(value: float, axis: Axis) -> str:
    """An axis value in words, by the axis's spreadsheet format. An unknown format is a bug and raises
    KeyError."""
    return _FORMATS[axis.number_format](value)


def _values(axis: Axis) -> list[float]:
    return [axis.minimum + offset for offset in ticks(0, axis.maximum - axis.minimum, axis.step)]


def _plot_box(chart: Chart, canvas: Canvas) -> Box:
    """What is left of the canvas beside the tick labels, the axis titles and the key."""
    pitch = canvas.pitch_pt("label")
    widest = max(
        text_box(Text((0, 0), tick_text(value, chart.y_axis)), canvas.medium).width
        for value in _values(chart.y_axis)
    )
    tick = text_box(Text((0, 0), tick_text(chart.x_axis.maximum, chart.x_axis)), canvas.medium).width / 2
    end = max(tick, end_room(chart, canvas) if _at_end(chart, canvas) else 0.0)
    rows = len(_key_rows(chart, canvas))
    left = widest + 6 + (pitch if chart.y_axis.title else 0)
    foot = pitch + _DROP * canvas.size_pt("label") + 1 + (pitch if chart.x_axis.title else 0)
    return Box(left, rows * pitch + 0.6 * pitch, canvas.width_pt - end - 2, canvas.height_pt - foot)


def _axes(chart: Chart, canvas: Canvas, place: _Scale) -> list[Shape]:
    plot, shapes = place.plot, []
    for value in _values(chart.y_axis):
        y = place.y(value)
        shapes += [
            Line(((plot.left, y), (plot.right, y)), "grid"),
            Text((plot.left - 4, y), tick_text(value, chart.y_axis), "label", "end"),
        ]
    drop = _DROP * canvas.size_pt("label")
    for value in _values(chart.x_axis):
        x = place.x(value)
        shapes.append(Line(((x, plot.bottom), (x, plot.bottom + 3)), "axis"))
        shapes.append(Text((x, plot.bottom + drop), tick_text(value, chart.x_axis), "label", "middle", "top"))
    shapes.append(Line(((plot.left, plot.top), (plot.left, plot.bottom), (plot.right, plot.bottom)), "axis"))
    if chart.x_axis.title:
        shapes.append(
            Text(
                ((plot.left + plot.right) / 2, canvas.height_pt),
                chart.x_axis.title,
                "label_soft",
                "middle",
                "bottom",
            )
        )
    if chart.y_axis.title:
        shapes.append(
            Text(
                (canvas.pitch_pt("label") / 2, (plot.top + plot.bottom) / 2),
                chart.y_axis.title,
                "label_soft",
                "middle",
                "middle",
                -90,
            )
        )
    return shapes


def _key_rows(chart: Chart, canvas: Canvas) -> list[list[tuple[float, Series]]]:
    """The series of each row of the key, with where each begins."""
    rows: list[list[tuple[float, Series]]] = [[]]
    left, size = 0.0, canvas.size_pt("label")
    for series in chart.series:
        width = 3.2 * size + text_box(Text((0, 0), series.label), canvas.medium).width + size
        if rows[-1] and left + width > canvas.width_pt:
            rows.append([])
            left = 0.0
        rows[-1].append((left, series))
        left += width
    return rows


def _key(chart: Chart, canvas: Canvas) -> list[Shape]:
    size, pitch, shapes = canvas.size_pt("label"), canvas.pitch_pt("label"), []
    for number, row in enumerate(_key_rows(chart, canvas)):
        y = (number + 0.5) * pitch
        for left, series in row:
            shapes += [
                Line(((left, y), (left + 2.6 * size, y)), series.style),
                Text((left + 3 * size, y), series.label),
            ]
    return shapes


def labels_below(chart: Chart, room: float) -> set[Reference]:
    """The level lines whose label stands below them: the lowest of lines closer together than ``room`` (in
    the axis's unit, a label's height), where there is room for it."""
    levels = sorted((r for r in chart.references if r.axis == "y"), key=lambda r: r.value)
    lows = [chart.y_axis.minimum - room, *(r.value for r in levels)]
    highs = [*(r.value for r in levels[1:]), float("inf")]
    return {
        r
        for r, low, high in zip(levels, lows, highs, strict=False)
        if high - r.value < room and r.value - low >= 2 * room
    }


def end_room(chart: Chart, canvas: Canvas) -> float:
    """The width that the labels of the level lines need right of the plot."""
    return (
        max(
            (
                text_box(Text((0, 0), r.label, END_STYLE), canvas.medium).width
                for r in chart.references
                if r.axis == "y"
            ),
            default=0.0,
        )
        + END_GAP_PT
    )


def _at_end(chart: Chart, canvas: Canvas) -> bool:
    """Whether the labels of the level lines stand right of the plot; on a telephone there is no room for
    them."""
    return end_room(chart, canvas) < _END_SHARE * canvas.width_pt


def end_values(chart: Chart, room: float) -> dict[str, float]:
    """At which value the label of each level line stands beside its line's end: as near to the line as labels
    ``room`` high (in the axis's unit) that don't touch can all be (least squares: neighbours that would touch
    are pooled), and none beyond the axis."""
    levels = sorted((r for r in chart.references if r.axis == "y"), key=lambda r: r.value)
    pools: list[list[float]] = []
    for number, reference in enumerate(levels):
        pools.append([reference.value - number * room])
        while len(pools) > 1 and _mean(pools[-2]) > _mean(pools[-1]):
            pools[-2:] = [pools[-2] + pools[-1]]
    wanted = [_mean(pool) for pool in pools for _ in pool]
    low, high = chart.y_axis.minimum + room / 2, chart.y_axis.maximum - (len(levels) - 0.5) * room
    return {
        r.label: max(min(value, high), low) + number * room
        for number, (r, value) in enumerate(zip(levels, wanted, strict=True))
    }


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)


def _references(chart: Chart, place: _Scale, canvas: Canvas) -> list[Shape]:
    """The lines with their labels: those of the level ones at their right end, where there is room for
    them."""
    if not _at_end(chart, canvas):
        return _labelled_within(chart, place, canvas)
    plot, shapes, labels = place.plot, [], []
    ends = end_values(
        chart, 1.02 * canvas.pitch_pt(END_STYLE) / plot.height * (chart.y_axis.maximum - chart.y_axis.minimum)
    )
    for reference in chart.references:
        if reference.axis == "x":
            shapes.append(_upright(reference, place))
            labels.append(_upright_label(reference, place))
            continue
        y, end = place.y(reference.value), place.y(ends[reference.label])
        shapes.append(
            Line(((plot.left, y), (plot.right, y), (plot.right + END_GAP_PT - 4, end)), reference.style)
        )
        labels.append(Text((plot.right + END_GAP_PT - 2, end), reference.label, END_STYLE))
        if reference.crossed:
            at = place.x(reference.crossed[0])
            r = 0.3 * canvas.size_pt(END_STYLE)
            labels += [
                Ellipse((at, y), r, r, "hollow"),
                Text((at - r, y + 2), reference.crossed[1], "label_bold", "end", "top", halo=True),
            ]
    return [*shapes, *labels]


def _upright(reference: Reference, place: _Scale) -> Line:
    x = place.x(reference.value)
    return Line(((x, place.plot.top), (x, place.plot.bottom)), reference.style)


def _upright_label(reference: Reference, place: _Scale) -> Text:
    return Text(
        (place.x(reference.value) + 4, place.plot.top + 2),
        reference.label,
        "target",
        "start",
        "top",
        halo=True,
    )


def _labelled_within(chart: Chart, place: _Scale, canvas: Canvas) -> list[Shape]:
    """The lines, and their labels at the left end, or as far right of it as keeps them off the labels before
    them."""
    plot, lines, labels, taken = place.plot, [], [], []
    below = labels_below(
        chart, canvas.pitch_pt(END_STYLE) / plot.height * (chart.y_axis.maximum - chart.y_axis.minimum)
    )
    for reference in sorted(chart.references, key=lambda r: (r.axis, -r.value)):
        if reference.axis == "y":
            y = place.y(reference.value)
            at, stand = (
                ((plot.left + 6, y + 2), "top") if reference in below else ((plot.left + 6, y - 2), "bottom")
            )
            label = _beside(Text(at, reference.label, END_STYLE, "start", stand, halo=True), taken, canvas)
            lines.append(Line(((plot.left, y), (plot.right, y)), reference.style))
        else:
            label = _upright_label(reference, place)
            lines.append(_upright(reference, place))
        labels.append(label)
        taken.append(text_box(label, canvas.medium))
    return [*lines, *labels]  # every halo over every line


def _beside(text: Text, taken: list[Box], canvas: Canvas) -> Text:
    """The text moved right past every box that it would touch."""
    hit = [box for box in taken if box.overlaps(text_box(text, canvas.medium))]
    return (
        text
        if not hit
        else _beside(replace(text, at=(max(box.right for box in hit) + 8, text.at[1])), taken, canvas)
    )
