"""The route map: azimuthal plane, to scale, north up."""

from __future__ import annotations


from briefgen.brief import format as words
from briefgen.brief.figures.common import course_words, leg_course, mission_of, name_of
from briefgen.brief.figures.plane import PlaneMap, fit, graticule, plane_point, scale_bar, stacked, strip
from briefgen.plan.air import point_of, position
from briefgen.plan.diverts import Divert, bearings_from
from briefgen.plan.model import Leg, Plan, Point
from briefgen.scene.geometry import Box, shape_box, text_box
from briefgen.scene.labels import Label, Obstacles, place_labels, segments_of
from briefgen.scene.marks import north_arrow, triangle
from briefgen.scene.model import Canvas, Ellipse, FigureMaker, Line, Polygon, Rect, Scene, Shape
from briefgen.units.values import Position

_LABELLED = ("departure", "transit", "recovery")  # the others are short here and have the pass's own drawing


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None when the sortie has no leg."""
    if not plan.legs:
        return None
    return lambda canvas: _draw(plan, canvas)


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    box, side = strip(canvas)
    places = _places(plan)
    chart = _chart(plan, box, canvas)
    lines, labels = graticule(chart, canvas, tuple(places))
    drawn = _tracks(plan, chart)
    marks = _marks(plan, chart, canvas)
    boxes = (*(text_box(t, canvas.medium) for t in labels), *(_around(m) for m in marks))
    named = place_labels(_labels(plan, chart, canvas), _inside(canvas, box), Obstacles(boxes, segments_of(s.points for s in drawn if isinstance(s, Line))))
    frame = Rect(box.left + 0.5, 0.5, box.width - 1, box.height - 1, "frame")
    shapes = (*lines, *drawn, *labels, *marks, frame, *named.shapes, *_side(plan, chart, side, canvas))
    return Scene(canvas, shapes, _alt(plan), named.unplaced)


# ---------------------------------------------------------------- what is shown


def _boundary(plan: Plan) -> tuple[Position, ...]:
    training = mission_of(plan).file.training
    return training.area.boundary if training else ()


def _origin(plan: Plan) -> Point:
    """Where bearings of diverts are taken from, and the plane's centre: the spot flown over, else the base."""
    return plan.event.centre if plan.event else point_of(mission_of(plan), mission_of(plan).file.ground_ops.base)


def _diverts(plan: Plan) -> list[Divert]:
    """The mission's diverts and alternate, nearest first, from the spot flown over (without an event: from the base)."""
    return sorted(bearings_from(mission_of(plan), _origin(plan)), key=lambda divert: divert.distance_nm)


def _course(plan: Plan, divert: Divert) -> str:
    return "" if divert.course_true_deg is None else course_words(mission_of(plan), divert.start, divert.course_true_deg)


def _places(plan: Plan) -> list[Position]:
    ends = [p for leg in plan.legs for p in (leg.start, leg.end)]
    base = point_of(mission_of(plan), mission_of(plan).file.ground_ops.base)
    return [position(p) for p in (*ends, base, *(d.place for d in _diverts(plan)))] + list(_boundary(plan))


def _chart(plan: Plan, box: Box, canvas: Canvas) -> PlaneMap:
    centre = position(_origin(plan))
    spots = [plane_point(centre, place) for place in _places(plan)]
    return fit(centre, [(s.east_nm, s.north_nm) for s in spots], box, 2.4 * canvas.size_pt("label"))


def _tracks(plan: Plan, chart: PlaneMap) -> list[Shape]:
    shapes: list[Shape] = []
    if _boundary(plan):
        shapes.append(Polygon(tuple(chart.place(p) for p in _boundary(plan)), "area"))
    for before, after in zip(plan.legs, plan.legs[1:], strict=False):
        if before.end.id != after.start.id:
            shapes.append(Line((chart.place(position(before.end)), chart.place(position(after.start))), "track_dashed"))
    home = chart.place(position(_origin(plan)))
    shapes += [Line((home, chart.place(position(d.place))), "divert") for d in _diverts(plan)]
    shapes += [Line((chart.place(position(leg.start)), chart.place(position(leg.end))), "track", "end") for leg in plan.legs]
    hold = plan.event.hold if plan.event else None
    if hold and hold.path:
        fix = plane_point(chart.centre, position(hold.fix))
        shapes.append(Line(tuple(chart.at(fix.east_nm + e, fix.north_nm + n) for e, n in hold.path), "track_thin"))
    return shapes


def _turning_points(plan: Plan) -> list[Point]:
    """Every place on the track once, in flying order, without base and the spot flown over; the IP only where no hold lies before it."""
    event = plan.event
    others = {mission_of(plan).file.ground_ops.base, "EGRESS", *((event.centre.id,) if event else ())}
    if event and event.hold:
        others.add(event.ip.id)
    found = {p.id: p for leg in plan.legs for p in (leg.start, leg.end) if p.id not in others}
    return list(found.values())


def _marks(plan: Plan, chart: PlaneMap, canvas: Canvas) -> list[Shape]:
    mission, r = mission_of(plan), 0.3 * canvas.size_pt("label")
    shapes: list[Shape] = [triangle(chart.place(position(p)), 1.2 * r, "hollow") for p in _turning_points(plan)]
    fields = [point_of(mission, mission.file.ground_ops.base), *(d.place for d in _diverts(plan))]
    shapes += [Ellipse(chart.place(position(p)), r, r, "hollow") for p in fields]
    if plan.event:
        shapes.append(Ellipse(chart.place(position(plan.event.centre)), r, r, "target_solid"))
    return shapes


def _around(mark: Shape) -> Box:
    return shape_box(mark, "page")


# ---------------------------------------------------------------- words


def _inside(canvas: Canvas, box: Box) -> Canvas:
    return Canvas(box.width - 2, canvas.height_pt - 2, canvas.medium)


def _labels(plan: Plan, chart: PlaneMap, canvas: Canvas) -> list[Label]:
    mission, clear = mission_of(plan), 0.4 * canvas.size_pt("label")
    labels: list[Label] = []
    if plan.event:
        t = f"T {words.clock_z(plan.event.true_time)}"
        labels.append(Label(chart.place(position(plan.event.centre)), f"{name_of(plan.event.centre)}\n{t}", "target", clear))
    base = point_of(mission, mission.file.ground_ops.base)
    labels.append(Label(chart.place(position(base)), name_of(base), "label_bold", clear, 0))
    for divert in _diverts(plan):
        if divert.place.id != base.id:
            text = f"{name_of(divert.place)}\n{_course(plan, divert)} {words.distance(divert.distance_nm)}"
            labels.append(Label(chart.place(position(divert.place)), text, "label", clear, 0))
    labels += [Label(chart.place(position(p)), name_of(p), "label_bold", clear, 180) for p in _turning_points(plan)]
    labels += [_leg_label(leg, chart) for leg in plan.legs if leg.kind in _LABELLED]
    if _boundary(plan):
        labels.append(_area_label(plan, chart))
    return labels


def _leg_label(leg: Leg, chart: PlaneMap) -> Label:
    (x1, y1), (x2, y2) = chart.place(position(leg.start)), chart.place(position(leg.end))
    text = f"{leg_course(leg)}  {words.distance(leg.distance_nm)}\n{words.duration(leg.time_s)}"
    return Label(((x1 + x2) / 2, (y1 + y2) / 2), text, "label", 1, (leg.course_true_deg + 90) % 360)


def _area_label(plan: Plan, chart: PlaneMap) -> Label:
    area = mission_of(plan).file.training.area
    xs, ys = zip(*(chart.place(p) for p in area.boundary), strict=True)
    text = f"{area.name}\n{words.level(area.floor)} to {words.level(area.top)}"
    return Label(((min(xs) + max(xs)) / 2, (min(ys) + max(ys)) / 2), text, "label_soft", 0, 0)


def _side(plan: Plan, chart: PlaneMap, side: Box, canvas: Canvas) -> list[Shape]:
    size = canvas.size_pt("label")
    arrow = north_arrow((side.left + 0.7 * size, 3.2 * size), 1.6 * size, canvas.medium)
    lines = [("Courses: M magnetic, T true", "label_soft")]
    diverts = _diverts(plan)
    if diverts:
        lines.append((f"Dotted: diverts, bearing and range from {name_of(_origin(plan))}", "label_soft"))
    if _boundary(plan):
        lines.append(("Dashed: in the area", "label_soft"))
    shapes, _ = stacked(lines, side, 3.8 * size, canvas)
    return [*arrow, *shapes, *scale_bar(chart, side, canvas)]


def _alt(plan: Plan) -> str:
    legs = "; ".join(f"{leg.start.id} to {leg.end.id} {leg_course(leg)} {words.distance(leg.distance_nm)} {words.duration(leg.time_s)}" for leg in plan.legs)
    away = "; ".join(f"{name_of(d.place)} {_course(plan, d)} {words.distance(d.distance_nm)}" for d in _diverts(plan))
    return f"Route map to scale, north up. Legs: {legs}." + (f" Diverts from {name_of(_origin(plan))}: {away}." if away else "")
