"""A native line chart: axes of given range, one line a series, reference lines with their label written at
them."""

from __future__ import annotations

from typing import Any

from briefgen.brief.content.blocks import Axis, Chart, Reference
from briefgen.brief.figures.chart_scene import end_room, end_values
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.model import Canvas, Text
from briefgen.draw.scene.palette import COLOURS, LINE_PITCH, STYLES, text_size_pt
from briefgen.render.pptx.xml import THEME_COLOURS, emu

_LABEL_PT = text_size_pt("label")
# where on an upright line its label stands; the part of a level one that leads to its label
_LABEL_UP, _LEADER_SHARE = 0.95, 0.015
_INSIDE = 1e-4  # LibreOffice leaves out the label of a point that rounding puts beyond the axis
_PITCH_PT = LINE_PITCH * _LABEL_PT
# tick labels and the axis's title; the stroke beside a name of the key
_FOOT_PT, _SAMPLE_PT = 3 * _PITCH_PT, 4 * _LABEL_PT


def add_chart(slide: Any, chart: Chart, box: Box) -> None:
    """Adds a chart to a python-pptx slide; numbers stay editable in its own small workbook."""
    from pptx.enum.chart import XL_CHART_TYPE, XL_LEGEND_POSITION

    place = (emu(box.left), emu(box.top), emu(box.width), emu(box.height))
    frame = slide.shapes.add_chart(XL_CHART_TYPE.XY_SCATTER_LINES_NO_MARKERS, *place, _data(chart, box))
    frame.name = f"Chart {chart.name}"
    frame._element.nvGraphicFramePr.cNvPr.set("descr", chart.alt)
    native = frame.chart
    native.font.size, native.font.name = _pt(_LABEL_PT), "Arial"
    _colour(native.font.color, "ink")
    native.has_title = False
    native.has_legend = True
    native.legend.position, native.legend.include_in_layout = XL_LEGEND_POSITION.TOP, False
    _axis(native.category_axis, chart.x_axis, grid=False)
    _axis(native.value_axis, chart.y_axis, grid=True)
    _lay_out(native, _plot_box(chart, box), box)
    lines = list(native.plots[0].series)
    for drawn, style in zip(
        lines, [s.style for s in chart.series] + [r.style for r in chart.references], strict=True
    ):
        _line(drawn, style)
    for drawn, reference in zip(lines[len(chart.series) :], chart.references, strict=True):
        _label(drawn, reference)
    _leave_out_of_legend(native, range(len(chart.series), len(lines)))


def _plot_box(chart: Chart, box: Box) -> Box:
    """Between the axes, in points from the chart's corner: right of it is room for the labels of the level
    lines."""
    canvas = Canvas(box.width, box.height)
    numbers = text_box(Text((0, 0), f"{chart.y_axis.maximum:,.0f}"), "deck").width
    right = max(end_room(chart, canvas), 2 * _LABEL_PT)
    entry = (
        max((text_box(Text((0, 0), s.label), "deck").width for s in chart.series), default=0.0) + _SAMPLE_PT
    )
    # columns of the key are all as wide as the widest
    rows = -(-len(chart.series) // max(int(0.9 * box.width / entry), 1))
    return Box(numbers + 2 * _PITCH_PT, (rows + 0.8) * _PITCH_PT, box.width - right, box.height - _FOOT_PT)


def _lay_out(native: Any, plot: Box, box: Box) -> None:
    """The place of the plot, as shares of the chart."""
    from pptx.oxml import parse_xml

    shares = (
        ("x", plot.left / box.width),
        ("y", plot.top / box.height),
        ("w", plot.width / box.width),
        ("h", plot.height / box.height),
    )
    edges = "".join(f'<c:{name}Mode val="edge"/>' for name in "xy") + "".join(
        f'<c:{name} val="{share:.5f}"/>' for name, share in shares
    )
    layout = (
        "<c:layout"
        ' xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/chart"><c:manualLayout><c:layoutTarget'
        f' val="inner"/>{edges}</c:manualLayout></c:layout>'
    )
    area = native._chartSpace.chart.plotArea
    for old in area.findall("{*}layout"):
        area.remove(old)
    area.insert(0, parse_xml(layout))


def _data(chart: Chart, box: Box) -> Any:
    from pptx.chart.data import XyChartData

    data = XyChartData()  # type: ignore[no-untyped-call] # python-pptx gives its charts no types
    longest = max((len(series.points) for series in chart.series), default=0)
    for series in chart.series:  # LibreOffice leaves out a first line that has fewer points than another
        _add(data, series.label, series.points + series.points[-1:] * (longest - len(series.points)))
    plot, span = _plot_box(chart, box), chart.y_axis.maximum - chart.y_axis.minimum
    ends = end_values(chart, _PITCH_PT / plot.height * span)
    for reference in chart.references:
        _add(
            data,
            reference.label,
            (
                _level_points(chart, reference, ends[reference.label], plot)
                if reference.axis == "y"
                else _upright_points(chart, reference)
            ),
        )
    return data


def _level_points(
    chart: Chart, reference: Reference, end: float, plot: Box
) -> tuple[tuple[float, float], ...]:
    """A level line from the left edge nearly to the right one, from there to the height of its label; between
    them the place of the words where it is crossed, which end at the crossing."""
    x = chart.x_axis
    span = x.maximum - x.minimum
    between: tuple[float, ...] = ()
    if reference.crossed:
        at, said = reference.crossed
        between = (at - text_box(Text((0, 0), said, "label_bold"), "deck").width / 2 / plot.width * span,)
    level = (x.minimum, *between, x.maximum - _LEADER_SHARE * span)
    return (*((spot, reference.value) for spot in level), (x.maximum - _INSIDE * span, end))


def _upright_points(chart: Chart, reference: Reference) -> tuple[tuple[float, float], ...]:
    """An upright line from edge to edge, with the point between them at which its label stands."""
    y = chart.y_axis
    return tuple(
        (reference.value, spot)
        for spot in (y.minimum, y.minimum + _LABEL_UP * (y.maximum - y.minimum), y.maximum)
    )


def _add(data: Any, label: str, points: tuple[tuple[float, float], ...]) -> None:
    series = data.add_series(label)
    for x, y in points:
        series.add_data_point(x, y)


def _axis(axis: Any, wanted: Axis, *, grid: bool) -> None:
    from pptx.enum.chart import XL_TICK_LABEL_POSITION

    axis.minimum_scale, axis.maximum_scale, axis.major_unit = wanted.minimum, wanted.maximum, wanted.step
    axis.has_major_gridlines = grid
    if grid:
        _colour(axis.major_gridlines.format.line.color, "rule")
        axis.major_gridlines.format.line.width = _pt(0.75)
    _colour(axis.format.line.color, "soft")
    axis.tick_label_position = XL_TICK_LABEL_POSITION.LOW
    axis.tick_labels.number_format, axis.tick_labels.number_format_is_linked = wanted.number_format, False
    axis.has_title = bool(wanted.title)
    if wanted.title:
        axis.axis_title.text_frame.text = wanted.title
        font = axis.axis_title.text_frame.paragraphs[0].runs[0].font
        font.size, font.bold, font.name = _pt(_LABEL_PT), False, "Arial"
        _colour(font.color, "soft")


def _line(series: Any, style_name: str) -> None:
    from pptx.enum.dml import MSO_LINE

    dashes = {
        "": MSO_LINE.SOLID,
        "dash": MSO_LINE.DASH,
        "dot": MSO_LINE.ROUND_DOT,
        "long": MSO_LINE.LONG_DASH,
    }
    style = STYLES[style_name]
    series.smooth = False
    line = series.format.line
    _colour(line.color, style.stroke)
    line.width, line.dash_style = _pt(style.width_pt), dashes[style.dash]


def _label(series: Any, reference: Reference) -> None:
    """The label right of a level line's end, right of an upright one near its top; and the words where a
    level line is crossed."""
    from pptx.enum.chart import XL_LABEL_POSITION

    level = reference.axis == "y"
    last = len(list(series.values)) - 1
    _words(
        series.points[last if level else 1],
        (reference.label, XL_LABEL_POSITION.RIGHT),
        "ink" if level else STYLES[reference.style].stroke,
        bold=not level,
    )
    if reference.crossed:
        _words(series.points[1], (reference.crossed[1], XL_LABEL_POSITION.BELOW), "ink", bold=True)


def _words(point: Any, said: tuple[str, Any], colour: str, *, bold: bool) -> None:
    label = point.data_label
    label.text_frame.text, label.text_frame.word_wrap = said[0], False
    font = label.text_frame.paragraphs[0].runs[0].font
    font.size, font.bold, font.name = _pt(_LABEL_PT), bold, "Arial"
    _colour(font.color, colour)
    _paper_behind(label)
    label.position = said[1]


def _paper_behind(label: Any) -> None:
    """The label covers lines that pass behind it."""
    from pptx.oxml import parse_xml

    spaces = (
        'xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/chart"'
        ' xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main"'
    )
    fill = f'<c:spPr {spaces}><a:solidFill><a:schemeClr val="bg1"/></a:solidFill></c:spPr>'
    label._dLbl.find("{*}tx").addnext(parse_xml(fill))


def _leave_out_of_legend(native: Any, indexes: range) -> None:
    """Reference lines carry their label themselves."""
    from pptx.oxml import parse_xml

    legend = native.legend._element
    spot = list(legend).index(legend.find("{*}legendPos")) + 1
    for index in reversed(indexes):
        entry = (
            '<c:legendEntry xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/chart"><c:idx'
            ' val="%d"/><c:delete val="1"/></c:legendEntry>'
        )
        legend.insert(spot, parse_xml(entry % index))


def _pt(points: float) -> Any:
    from pptx.util import Emu

    return Emu(emu(points))


def _colour(native: Any, colour: str) -> None:
    from pptx.dml.color import RGBColor
    from pptx.enum.dml import MSO_THEME_COLOR

    if colour in THEME_COLOURS:
        native.theme_color = MSO_THEME_COLOR.from_xml(THEME_COLOURS[colour])
    else:
        native.rgb = RGBColor.from_string(COLOURS[colour])  # type: ignore[no-untyped-call] # python-pptx
