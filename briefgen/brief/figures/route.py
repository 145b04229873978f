"""The route map: azimuthal plane, to scale, north up."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain, product

from briefgen.brief.figures.coast import Coast, coast_of
from briefgen.brief.figures.common import clock_words, name_of, placed, wrapped
from briefgen.brief.figures.graticule import graticule
from briefgen.brief.figures.plane import (
    PlaneMap,
    edges,
    fit,
    foot,
    is_narrow,
    plane_point,
    scale_bar,
    stacked,
    strip,
)
from briefgen.brief.wording import format as words
from briefgen.brief.wording.diverts import divert_course
from briefgen.brief.wording.words import short_course
from briefgen.draw.scene.geometry import Box, distance_to_segment, shape_box, text_box
from briefgen.draw.scene.labels import Label, Obstacles, place_labels, segments_of
from briefgen.draw.scene.marks import north_arrow, triangle
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Polygon, Rect, Scene, Shape, Text
from briefgen.mission.schema.training import Area
from briefgen.plan.model import Leg, Point
from briefgen.plan.route.air import point_of, position
from briefgen.plan.route.diverts import Divert, bearings_from
from briefgen.plan.sortie import Plan
from briefgen.units.values import Position

_LABELLED = ("departure", "transit", "recovery")  # the others are short here and have the pass's own drawing
# of the area's width and height: where its words may stand, tried in turn
_WITHIN = (
    0.5,
    0.35,
    0.65,
    0.2,
    0.8,
)
# where on a leg its number may stand, tried in turn
_ALONG = (
    0.5,
    0.42,
    0.58,
    0.34,
    0.66,
    0.26,
    0.74,
    0.18,
    0.82,
    0.1,
    0.9,
)


_SHARES = (0.25, 0.3, 0.35, 0.4)  # of the width, for the strip beside the map
_LIST_TOP = 3.8  # times the size of a label, below the arrow to the north


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None when the sortie has no leg."""
    if not plan.legs:
        return None
    return lambda canvas: _draw(plan, canvas)


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    """Numbers on the legs and their figures in a list: beside the legs they would cover each other where the
    sortie is short or turns back. On a printed sheet the tracks and names alone."""
    if canvas.medium == "card":
        return _small(plan, canvas)
    side, chart, coast = _divided(plan, canvas)
    box = chart.box
    drawn, marks = _tracks(plan, chart), _marks(plan, chart, canvas)
    segments = segments_of(_outlines(drawn))
    lines, texts = graticule(chart, canvas, Obstacles(tuple(_around(m) for m in marks), segments))
    taken = [*(text_box(t, canvas.medium).grown(3) for t in texts), *(_around(m) for m in marks)]
    numbers = _numbers(plan, chart, canvas, taken)
    discs = [_around(shape) for shape in numbers if isinstance(shape, Ellipse)]
    # a short leg may have no other place for its number
    texts = [t for t in texts if not any(text_box(t, canvas.medium).overlaps(disc) for disc in discs)]
    taken += discs
    obstacles = Obstacles((*taken, *edges(box)), segments)
    named_areas: list[Shape] = []
    unplaced: list[str] = []
    for area in areas_of(plan):
        shapes_of, lost = _area_words(area, chart, canvas, obstacles)
        words_of_area = tuple(text_box(s, canvas.medium).grown(2) for s in shapes_of if isinstance(s, Text))
        leaders = segments_of(s.points for s in shapes_of if isinstance(s, Line))
        obstacles = Obstacles((*obstacles.boxes, *words_of_area), (*obstacles.segments, *leaders))
        named_areas += shapes_of
        unplaced += lost
    named = placed(_labels(plan, chart, canvas), _inside(canvas, box), obstacles)
    frame = Rect(box.left + 0.5, 0.5, box.width - 1, box.height - 1, "frame")
    shapes = (
        *coast.fills,
        *lines,
        *coast.lines,
        *drawn,
        *texts,
        *marks,
        frame,
        *numbers,
        *named.shapes,
        *named_areas,
        *_side(plan, chart, side, canvas, coast.source),
    )
    return Scene(canvas, shapes, _alt(plan), (*named.unplaced, *unplaced))


def _divided(plan: Plan, canvas: Canvas) -> tuple[Box, PlaneMap, Coast]:
    """The room for the list, and the map with its coast: on a telephone the list below; else beside, as broad
    as it must be to end above the words of the scale, if any of the shares gives that."""
    if is_narrow(canvas):
        box, side = foot(canvas, 1.22 * len(listed_legs(plan)) + 9)
        chart = chart_of(plan, box, canvas)
        return side, chart, coast_of(chart)
    for share in _SHARES:
        box, side = strip(canvas, share)
        chart = chart_of(plan, box, canvas)
        coast = coast_of(chart)
        _, ends = stacked(_said(plan, coast.source), side, _LIST_TOP * canvas.size_pt("label"), canvas)
        if ends <= side.bottom - 2 * canvas.pitch_pt("label"):
            break
    return side, chart, coast


def _small(plan: Plan, canvas: Canvas) -> Scene:
    """A map of a few centimetres: what is flown over and base first, then where training is and the
    diverts by their ids; the figures of the legs stand on the cards."""
    box = Box(0, 0, canvas.width_pt, canvas.height_pt)
    chart, size = chart_of(plan, box, canvas), canvas.size_pt("label")
    drawn, marks = _tracks(plan, chart), _marks(plan, chart, canvas)
    drawn = [
        Line(s.points, "track_thin", s.arrow) if isinstance(s, Line) and s.style == "track" else s
        for s in drawn
    ]
    scale = Box(5, box.bottom - 2 * size, 0.3 * box.width, box.bottom - 3)
    north = Box(box.right - 2 * size, 2, box.right - 2, 3 * size)
    segments = segments_of(_outlines(drawn))
    taken = Obstacles((scale, north, *(_around(m) for m in marks), *edges(box)), segments)
    named = place_labels(_small_labels(plan, chart, canvas), _inside(canvas, box), taken)
    shapes = (
        *drawn,
        *marks,
        Rect(0.5, 0.5, box.width - 1, box.height - 1, "frame"),
        *named.shapes,
        *north_arrow((box.right - 1.1 * size, 2.6 * size), 1.4 * size, canvas.medium),
        *scale_bar(chart, scale, canvas),
    )
    return Scene(canvas, shapes, _alt(plan), named.unplaced)


def _small_labels(plan: Plan, chart: PlaneMap, canvas: Canvas) -> list[Label]:
    clear = 0.4 * canvas.size_pt("label")
    base = point_of(plan.mission, plan.mission.file.ground_ops.base)
    over = list(dict.fromkeys(each.centre for each in plan.passes))
    areas = [(area.name, *chart.middle_of(area.boundary)) for area in areas_of(plan)]
    return [
        *(Label(chart.place(position(p)), name_of(p), "target", clear) for p in over),
        Label(chart.place(position(base)), name_of(base), "label_bold", clear, 0),
        *(Label((x, y), name, "label", clear) for name, x, y in areas),
        *(
            Label(chart.place(position(d.place)), d.place.id, "label", clear, 0)
            for d in _diverts(plan)
            if d.place.id != base.id
        ),
    ]


# ---------------------------------------------------------------- what is shown


def areas_of(plan: Plan) -> list[Area]:
    """Where the flight trains, each area once."""
    areas = [block.written.area for block in plan.mission.blocks]
    return [area for i, area in enumerate(areas) if area not in areas[:i]]


def _origin(plan: Plan) -> Point:
    """Where bearings of diverts are taken from, and the plane's centre: the spot flown over, else the
    base."""
    return plan.event.centre if plan.event else point_of(plan.mission, plan.mission.file.ground_ops.base)


def _diverts(plan: Plan) -> list[Divert]:
    """The mission's diverts and alternate, nearest first, from the spot flown over (without an event: from
    the base)."""
    return sorted(bearings_from(plan.mission, _origin(plan)), key=lambda divert: divert.distance_nm)


def _places(plan: Plan) -> list[Position]:
    ends = [p for leg in plan.legs for p in (leg.start, leg.end)]
    base = point_of(plan.mission, plan.mission.file.ground_ops.base)
    places = [position(p) for p in (*ends, base, *(d.place for d in _diverts(plan)))]
    return [*places, *chain(*(area.boundary for area in areas_of(plan)))]


def chart_of(plan: Plan, box: Box, canvas: Canvas) -> PlaneMap:
    centre = position(_origin(plan))
    spots = [plane_point(centre, place) for place in _places(plan)]
    return fit(
        centre,
        [*((s.east_nm, s.north_nm) for s in spots), *chain(*_racetracks(plan, centre))],
        box,
        2.4 * canvas.size_pt("label"),
    )


def _racetracks(plan: Plan, centre: Position) -> Iterator[list[tuple[float, float]]]:
    """The holds as they are flown, nm east and north of the centre of the map."""
    for hold in (each.hold for each in plan.passes):
        if hold is not None and hold.path:
            fix = plane_point(centre, position(hold.fix))
            yield [(fix.east_nm + east, fix.north_nm + north) for east, north in hold.path]


def _tracks(plan: Plan, chart: PlaneMap) -> list[Shape]:
    shapes: list[Shape] = [
        Polygon(tuple(chart.place(p) for p in area.boundary), "area_outline") for area in areas_of(plan)
    ]
    for before, after in zip(plan.legs, plan.legs[1:], strict=False):
        if before.end.id != after.start.id:
            shapes.append(
                Line((chart.place(position(before.end)), chart.place(position(after.start))), "track_dashed")
            )
    home = chart.place(position(_origin(plan)))
    shapes += [Line((home, chart.place(position(d.place))), "divert") for d in _diverts(plan)]
    shapes += [
        Line((chart.place(position(leg.start)), chart.place(position(leg.end))), "track", "end")
        for leg in plan.legs
    ]
    shapes += [
        Line(tuple(chart.at(*spot) for spot in path), "track_thin")
        for path in _racetracks(plan, chart.centre)
    ]
    return shapes


def _outlines(drawn: list[Shape]) -> Iterator[tuple[tuple[float, float], ...]]:
    for shape in drawn:
        if isinstance(shape, Polygon):
            yield (*shape.points, shape.points[0])
        elif isinstance(shape, Line):
            yield shape.points


def _turning_points(plan: Plan) -> list[Point]:
    """Every place on the track once, in flying order, without base and the spots flown over; an IP only where
    no hold lies before it."""
    others = {plan.mission.file.ground_ops.base, *(each.centre.id for each in plan.passes)}
    others |= {each.ip.id for each in plan.passes if each.hold is not None}
    ends = [end for leg in plan.legs for end in (leg.start, leg.end) if not end.is_egress_end]
    return list({end.id: end for end in ends if end.id not in others}.values())


def _marks(plan: Plan, chart: PlaneMap, canvas: Canvas) -> list[Shape]:
    mission, r = plan.mission, 0.3 * canvas.size_pt("label")
    shapes: list[Shape] = [
        triangle(chart.place(position(p)), 1.2 * r, "hollow") for p in _turning_points(plan)
    ]
    fields = [point_of(mission, mission.file.ground_ops.base), *(d.place for d in _diverts(plan))]
    shapes += [Ellipse(chart.place(position(p)), r, r, "hollow") for p in fields]
    centres = dict.fromkeys(chart.place(position(each.centre)) for each in plan.passes)
    return shapes + [Ellipse(spot, r, r, "target_solid") for spot in centres]


def _around(mark: Shape) -> Box:
    return shape_box(mark, "page")


# ---------------------------------------------------------------- words


def _inside(canvas: Canvas, box: Box) -> Canvas:
    return Canvas(box.width - 2, box.height - 2, canvas.medium)


def _labels(plan: Plan, chart: PlaneMap, canvas: Canvas) -> list[Label]:
    mission, clear = plan.mission, 0.4 * canvas.size_pt("label")
    labels: list[Label] = []
    for centre in dict.fromkeys(each.centre for each in plan.passes):
        times = [f"T {clock_words(plan, each.true_time)}" for each in plan.passes if each.centre == centre]
        text = "\n".join([name_of(centre), *times])
        labels.append(Label(chart.place(position(centre)), text, "target", clear))
    base = point_of(mission, mission.file.ground_ops.base)
    labels.append(Label(chart.place(position(base)), name_of(base), "label_bold", clear, 0))
    for divert in _diverts(plan):
        if divert.place.id != base.id:
            course = divert_course(plan.mission, divert)
            text = f"{name_of(divert.place)}\n{course} {words.distance(divert.distance_nm)}"
            labels.append(Label(chart.place(position(divert.place)), text, "label", clear, 0))
    labels += [
        Label(chart.place(position(p)), name_of(p), "label_bold", clear, 180) for p in _turning_points(plan)
    ]
    return labels


def listed_legs(plan: Plan) -> list[Leg]:
    """The legs whose figures are given: the others are short here and have the pass's own drawing."""
    return [leg for leg in plan.legs if leg.kind in _LABELLED]


def _leg_words(leg: Leg) -> str:
    return f"{short_course(leg)}, {words.distance(leg.distance_nm)}, {words.duration(leg.time_s)}"


def _numbers(plan: Plan, chart: PlaneMap, canvas: Canvas, taken: list[Box]) -> list[Shape]:
    """A disc with a number on each leg, near its middle, clear of the other legs where that can be."""
    ends = [(chart.place(position(leg.start)), chart.place(position(leg.end))) for leg in plan.legs]
    r, shapes, taken = 0.75 * canvas.size_pt("label"), [], list(taken)
    for number, leg in enumerate(listed_legs(plan), 1):
        start, end = own = ends[plan.legs.index(leg)]
        others = [other for other in ends if other != own]
        spots = [
            (start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1]))
            for share in _ALONG
        ]
        free = [spot for spot in spots if _is_clear(spot, r, taken, others)] or [
            spot for spot in spots if _is_clear(spot, r, taken, [])
        ]
        x, y = next(iter(free), spots[0])
        taken.append(Box(x - r, y - r, x + r, y + r))
        shapes += [Ellipse((x, y), r, r, "hollow"), Text((x, y), str(number), "label_bold", "middle")]
    return shapes


def _is_clear(spot: tuple[float, float], r: float, taken: list[Box], others: list) -> bool:
    own = Box(spot[0] - r, spot[1] - r, spot[0] + r, spot[1] + r)
    return not any(own.overlaps(box) for box in taken) and all(
        distance_to_segment(spot, *other) > r + 2 for other in others
    )


def _area_words(
    area: Area, chart: PlaneMap, canvas: Canvas, keep_off: Obstacles
) -> tuple[tuple[Shape, ...], tuple[str, ...]]:
    """The area's name and heights, written inside it where that can be, else beside it with a leader; and
    what found no place."""
    xs, ys = zip(*(chart.place(p) for p in area.boundary), strict=True)
    box = Box(min(xs), min(ys), max(xs), max(ys))
    name, heights = area.name, f"{words.level(area.floor)} to {words.level(area.top)}"
    widths = (max(box.width - 10, 0.15 * canvas.width_pt), max(0.6 * box.width, 0.15 * canvas.width_pt))
    texts = [
        "\n".join(wrapped(line, canvas, width, "label_soft") for line in (name, heights)) for width in widths
    ]
    for text, down, right in product(texts, _WITHIN, _WITHIN):
        spot = Text((box.left + right * box.width, box.top + down * box.height), text, "label_soft", "middle")
        own = text_box(spot, canvas.medium).grown(2)
        if box.holds(own) and not keep_off.hit_by(own):
            return (spot,), ()
    middle = ((box.left + box.right) / 2, (box.top + box.bottom) / 2)
    named = place_labels([Label(middle, texts[0], "label_soft", 0, 0)], _inside(canvas, chart.box), keep_off)
    return named.shapes, named.unplaced


def _side(plan: Plan, chart: PlaneMap, side: Box, canvas: Canvas, source: str) -> list[Shape]:
    """North, scale, the numbered legs, and what the lines mean: beside the map, on a telephone below it."""
    size, lines = canvas.size_pt("label"), _said(plan, source)
    if is_narrow(canvas):
        arrow = north_arrow((side.right - size, side.top + 3 * size), 1.6 * size, canvas.medium)
        shapes, _ = stacked(
            lines, side._replace(right=side.right - 2.5 * size), side.top + 0.2 * size, canvas
        )
        return [*arrow, *shapes, *scale_bar(chart, side._replace(right=side.left + 0.6 * side.width), canvas)]
    arrow = north_arrow((side.left + 0.7 * size, 3.2 * size), 1.6 * size, canvas.medium)
    shapes, _ = stacked(lines, side, _LIST_TOP * size, canvas)
    return [*arrow, *shapes, *scale_bar(chart, side, canvas)]


def _said(plan: Plan, source: str) -> list[tuple[str, str]]:
    """The numbered legs and what the lines mean, each with its style. ``source``: of coast and borders, empty
    where none are drawn."""
    lines = [(f"{number}: {_leg_words(leg)}", "label") for number, leg in enumerate(listed_legs(plan), 1)]
    lines.append(("Courses: M magnetic, T true", "label_soft"))
    if _diverts(plan):
        lines.append((f"Dotted: diverts from {name_of(_origin(plan))}", "label_soft"))
    return [*lines, (source, "label_soft")] if source else lines


def _alt(plan: Plan) -> str:
    legs = "; ".join(
        f"{leg.start.said} to {leg.end.said} {short_course(leg)} {words.distance(leg.distance_nm)}"
        f" {words.duration(leg.time_s)}"
        for leg in plan.legs
    )
    away = "; ".join(
        f"{name_of(d.place)} {divert_course(plan.mission, d)} {words.distance(d.distance_nm)}"
        for d in _diverts(plan)
    )
    return f"Route map to scale, north up. Legs: {legs}." + (
        f" Diverts from {name_of(_origin(plan))}: {away}." if away else ""
    )
