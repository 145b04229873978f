"""A native line chart: axes of given range, one line a series, reference lines with their label written at them."""

from __future__ import annotations

from briefgen.brief.blocks import Axis, Chart, Reference
from briefgen.brief.chart_scene import labels_below
from briefgen.render.pptx.xml import THEME_COLOURS, emu
from briefgen.scene.geometry import Box
from briefgen.scene.palette import COLOURS, LINE_PITCH, STYLES, text_size_pt

_LABEL_PT = text_size_pt("label")
_LABELS_ALONG, _LABEL_UP = (0.12, 0.32, 0.52, 0.72), 0.95  # where along a reference line its label may stand
_PLOT_SHARE = 0.72  # of the chart's height: the rest is key, tick labels and axis title
_LABEL_ROOM_PT = 2 * LINE_PITCH * _LABEL_PT / _PLOT_SHARE  # two lines: LibreOffice breaks a label at a fifth of the chart


def add_chart(slide, chart: Chart, box: Box) -> None:
    """Adds a chart to a python-pptx slide; numbers stay editable in its own small workbook."""
    from pptx.enum.chart import XL_CHART_TYPE, XL_LEGEND_POSITION

    place = (emu(box.left), emu(box.top), emu(box.width), emu(box.height))
    frame = slide.shapes.add_chart(XL_CHART_TYPE.XY_SCATTER_LINES_NO_MARKERS, *place, _data(chart, box.height))
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
    lines, below = list(native.plots[0].series), below_lines(chart, box.height)
    for drawn, style in zip(lines, [s.style for s in chart.series] + [r.style for r in chart.references]):
        _line(drawn, style)
    for drawn, reference in zip(lines[len(chart.series) :], chart.references):
        _label(drawn, reference, below=reference.label in below)
    _leave_out_of_legend(native, range(len(chart.series), len(lines)))


def _data(chart: Chart, height_pt: float):
    from pptx.chart.data import XyChartData

    data = XyChartData()
    longest = max((len(series.points) for series in chart.series), default=0)
    for series in chart.series:  # LibreOffice leaves out a first line that has fewer points than another
        _add(data, series.label, series.points + series.points[-1:] * (longest - len(series.points)))
    along = labels_along(chart, height_pt)
    for reference in chart.references:
        _add(data, reference.label, reference_points(chart, reference, along.get(reference.label, _LABELS_ALONG[0])))
    return data


def below_lines(chart: Chart, height_pt: float) -> set[str]:
    """The labels that stand below their line."""
    return labels_below(chart, _LABEL_ROOM_PT / 2 / height_pt * (chart.y_axis.maximum - chart.y_axis.minimum))


def labels_along(chart: Chart, height_pt: float) -> dict[str, float]:
    """Where along its level line each label stands, so that labels of lines close to each other stand side by side."""
    room = _LABEL_ROOM_PT / height_pt * (chart.y_axis.maximum - chart.y_axis.minimum)
    below = below_lines(chart, height_pt)
    taken: dict[float, float] = {}  # place along the line: the lowest value that a label there covers
    found: dict[str, float] = {}
    for reference in sorted((r for r in chart.references if r.axis == "y"), key=lambda r: -r.value):
        low, high = (-room, 0.0) if reference.label in below else (0.0, room)
        free = [along for along in _LABELS_ALONG if taken.get(along, float("inf")) >= reference.value + high]
        along = free[0] if free else max(_LABELS_ALONG, key=lambda spot: taken[spot])
        taken[along], found[reference.label] = reference.value + low, along
    return found


def reference_points(chart: Chart, reference: Reference, along: float = _LABELS_ALONG[0]) -> tuple[tuple[float, float], ...]:
    """A reference line from edge to edge of the chart, with the point between them at which its label stands."""
    x, y = chart.x_axis, chart.y_axis
    if reference.axis == "y":
        stand = x.minimum + along * (x.maximum - x.minimum)
        return (x.minimum, reference.value), (stand, reference.value), (x.maximum, reference.value)
    stand = y.minimum + _LABEL_UP * (y.maximum - y.minimum)
    return (reference.value, y.minimum), (reference.value, stand), (reference.value, y.maximum)


def _add(data, label: str, points: tuple[tuple[float, float], ...]) -> None:
    series = data.add_series(label)
    for x, y in points:
        series.add_data_point(x, y)


def _axis(axis, wanted: Axis, *, grid: bool) -> None:
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


def _line(series, style_name: str) -> None:
    from pptx.enum.dml import MSO_LINE

    dashes = {"": MSO_LINE.SOLID, "dash": MSO_LINE.DASH, "dot": MSO_LINE.ROUND_DOT, "long": MSO_LINE.LONG_DASH}
    style = STYLES[style_name]
    series.smooth = False
    line = series.format.line
    _colour(line.color, style.stroke)
    line.width, line.dash_style = _pt(style.width_pt), dashes[style.dash]


def _label(series, reference: Reference, *, below: bool) -> None:
    """The label above a level line near its left end, or below it; to the right of an upright one near its top."""
    from pptx.enum.chart import XL_LABEL_POSITION

    label = series.points[1].data_label
    label.text_frame.text = reference.label
    font = label.text_frame.paragraphs[0].runs[0].font
    font.size, font.bold, font.name = _pt(_LABEL_PT), True, "Arial"
    _colour(font.color, STYLES[reference.style].stroke)
    _paper_behind(label)
    level = XL_LABEL_POSITION.BELOW if below else XL_LABEL_POSITION.ABOVE
    label.position = level if reference.axis == "y" else XL_LABEL_POSITION.RIGHT


def _paper_behind(label) -> None:
    """The label covers lines that pass behind it."""
    from pptx.oxml import parse_xml

    spaces = 'xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/chart" xmlns:a="http://schemas.openxmlformats.org/drawingml/2006/main"'
    fill = f'<c:spPr {spaces}><a:solidFill><a:schemeClr val="bg1"/></a:solidFill></c:spPr>'
    label._dLbl.find("{*}tx").addnext(parse_xml(fill))


def _leave_out_of_legend(native, indexes: range) -> None:
    """Reference lines carry their label themselves."""
    from pptx.oxml import parse_xml

    legend = native.legend._element
    spot = list(legend).index(legend.find("{*}legendPos")) + 1
    for index in reversed(indexes):
        entry = '<c:legendEntry xmlns:c="http://schemas.openxmlformats.org/drawingml/2006/chart"><c:idx val="%d"/><c:delete val="1"/></c:legendEntry>'
        legend.insert(spot, parse_xml(entry % index))


def _pt(points: float):
    from pptx.util import Emu

    return Emu(emu(points))


def _colour(native, colour: str) -> None:
    from pptx.dml.color import RGBColor
    from pptx.enum.dml import MSO_THEME_COLOR

    if colour in THEME_COLOURS:
        native.theme_color = MSO_THEME_COLOR.from_xml(THEME_COLOURS[colour])
    else:
        native.rgb = RGBColor.from_string(COLOURS[colour])
