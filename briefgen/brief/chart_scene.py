"""A chart as a scene, for cards and pages; the deck has its own native chart of the same numbers."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.blocks import Axis, Chart, Series
from briefgen.scene.geometry import Box, clip_line, text_box
from briefgen.scene.model import Canvas, Line, Point, Scene, Shape, Text
from briefgen.scene.ticks import ticks

_FORMATS = {
    "#,##0": lambda value: f"{value:,.0f}",
    "0": lambda value: f"{value:.0f}",
    "hh:mm": lambda value: f"{round(value * 1440) // 60 % 24:02d}:{round(value * 1440) % 60:02d}",
}


_DROP = 0.65  # from the x axis to the top of its tick labels, in sizes: clear of the lowest label of the y axis


def chart_scene(chart: Chart, canvas: Canvas) -> Scene:
    """The chart drawn for a canvas: axes with ticks, one line a series with its name in the key above, reference lines with their labels."""
    plot = _plot_box(chart, canvas)
    place = _Scale(chart, plot)
    shapes: list[Shape] = [*_key(chart, canvas), *_axes(chart, canvas, place)]
    shapes += [Line(part, series.style) for series in chart.series for part in clip_line(place.line(series.points), plot)]
    shapes += _references(chart, place, canvas)
    return Scene(canvas, tuple(shapes), chart.alt)


class _Scale:
    """From a chart's values to the canvas."""

    def __init__(self, chart: Chart, plot: Box) -> None:
        self.plot, self.x_axis, self.y_axis = plot, chart.x_axis, chart.y_axis

    def x(self, value: float) -> float:
        return self.plot.left + self.plot.width * (value - self.x_axis.minimum) / (self.x_axis.maximum - self.x_axis.minimum)

    def y(self, value: float) -> float:
        return self.plot.bottom - self.plot.height * (value - self.y_axis.minimum) / (self.y_axis.maximum - self.y_axis.minimum)

    def line(self, points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple((self.x(x), self.y(y)) for x, y in points)


def tick_text(value: float, axis: Axis) -> str:
    """An axis value in words, by the axis's spreadsheet format. An unknown format is a bug and raises KeyError."""
    return _FORMATS[axis.number_format](value)


def _values(axis: Axis) -> list[float]:
    return [axis.minimum + offset for offset in ticks(0, axis.maximum - axis.minimum, axis.step)]


def _plot_box(chart: Chart, canvas: Canvas) -> Box:
    """What is left of the canvas beside the tick labels, the axis titles and the key."""
    pitch = canvas.pitch_pt("label")
    widest = max(text_box(Text((0, 0), tick_text(value, chart.y_axis)), canvas.medium).width for value in _values(chart.y_axis))
    end = text_box(Text((0, 0), tick_text(chart.x_axis.maximum, chart.x_axis)), canvas.medium).width / 2
    rows = len(_key_rows(chart, canvas))
    left = widest + 6 + (pitch if chart.y_axis.title else 0)
    foot = pitch + _DROP * canvas.size_pt("label") + 1 + (pitch if chart.x_axis.title else 0)
    return Box(left, rows * pitch + 0.6 * pitch, canvas.width_pt - end - 2, canvas.height_pt - foot)


def _axes(chart: Chart, canvas: Canvas, place: _Scale) -> list[Shape]:
    plot, shapes = place.plot, []
    for value in _values(chart.y_axis):
        y = place.y(value)
        shapes += [Line(((plot.left, y), (plot.right, y)), "grid"), Text((plot.left - 4, y), tick_text(value, chart.y_axis), "label", "end")]
    drop = _DROP * canvas.size_pt("label")
    for value in _values(chart.x_axis):
        x = place.x(value)
        shapes.append(Line(((x, plot.bottom), (x, plot.bottom + 3)), "axis"))
        shapes.append(Text((x, plot.bottom + drop), tick_text(value, chart.x_axis), "label", "middle", "top"))
    shapes.append(Line(((plot.left, plot.top), (plot.left, plot.bottom), (plot.right, plot.bottom)), "axis"))
    if chart.x_axis.title:
        shapes.append(Text(((plot.left + plot.right) / 2, canvas.height_pt), chart.x_axis.title, "label_soft", "middle", "bottom"))
    if chart.y_axis.title:
        shapes.append(Text((canvas.pitch_pt("label") / 2, (plot.top + plot.bottom) / 2), chart.y_axis.title, "label_soft", "middle", "middle", -90))
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
            shapes += [Line(((left, y), (left + 2.6 * size, y)), series.style), Text((left + 3 * size, y), series.label)]
    return shapes


def labels_below(chart: Chart, room: float) -> set[str]:
    """The level lines whose label stands below them: the lowest of lines closer together than ``room`` (in the axis's unit, a label's height),
    where there is room for it."""
    levels = sorted((r for r in chart.references if r.axis == "y"), key=lambda r: r.value)
    lows = [chart.y_axis.minimum - room, *(r.value for r in levels)]
    highs = [*(r.value for r in levels[1:]), float("inf")]
    return {r.label for r, low, high in zip(levels, lows, highs) if high - r.value < room and r.value - low >= 2 * room}


def _references(chart: Chart, place: _Scale, canvas: Canvas) -> list[Shape]:
    """The lines, and their labels at the left end, or as far right of it as keeps them off the labels before them."""
    plot, lines, labels, taken = place.plot, [], [], []
    below = labels_below(chart, canvas.pitch_pt("target") / plot.height * (chart.y_axis.maximum - chart.y_axis.minimum))
    for reference in sorted(chart.references, key=lambda r: (r.axis, -r.value)):
        if reference.axis == "y":
            y = place.y(reference.value)
            at, stand = ((plot.left + 6, y + 2), "top") if reference.label in below else ((plot.left + 6, y - 2), "bottom")
            label = _beside(Text(at, reference.label, "target", "start", stand, halo=True), taken, canvas)
            lines.append(Line(((plot.left, y), (plot.right, y)), reference.style))
        else:
            x = place.x(reference.value)
            label = Text((x + 4, plot.top + 2), reference.label, "target", "start", "top", halo=True)
            lines.append(Line(((x, plot.top), (x, plot.bottom)), reference.style))
        labels.append(label)
        taken.append(text_box(label, canvas.medium))
    return [*lines, *labels]  # every halo over every line


def _beside(text: Text, taken: list[Box], canvas: Canvas) -> Text:
    """The text moved right past every box that it would touch."""
    hit = [box for box in taken if box.overlaps(text_box(text, canvas.medium))]
    return text if not hit else _beside(replace(text, at=(max(box.right for box in hit) + 8, text.at[1])), taken, canvas)
