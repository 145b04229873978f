"""The training area: plan with entry and exit, to scale, and its heights: floor, top, blocks, buffer,
cloud."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from briefgen.brief.figures.common import Scale, day_of_t, name_of, width_pt, wrapped
from briefgen.brief.figures.plane import PlaneMap, fit, is_narrow, plane_point, scale_bar
from briefgen.brief.wording import format as words
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, shape_box, text_box
from briefgen.draw.scene.labels import Label, Obstacles, place_labels, segments_of
from briefgen.draw.scene.marks import north_arrow, triangle
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Polygon, Rect, Scene, Shape, Text
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.plan.model import Point
from briefgen.plan.model.laid import Block, Way
from briefgen.plan.route.air import altitude_ft, point_of, position
from briefgen.plan.sortie import Plan
from briefgen.units.rounding import decimals
from briefgen.units.values import Level, Position

_CLOUD_SHARE = 0.22  # of the width, for the bands of cloud


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without training."""
    if plan.mission.file.training is None:
        return None
    return lambda canvas: _draw(plan, canvas)


@record
class Band:
    """A stretch of heights in ft MSL and its words; ``owner``: whose block it is, else empty."""

    low_ft: float
    high_ft: float
    words: str
    owner: str = ""

    @property
    def side(self) -> str:
        """``blue`` or ``red``, which have looks of their own, or empty."""
        return self.owner if self.owner in ("blue", "red") else ""


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    first, second, rule = _halves(canvas)
    shapes, unplaced = _plan_view(plan, first, canvas)
    more = _elevation(plan, second, canvas)
    return Scene(canvas, (*shapes, rule, *more), _alt(plan), unplaced)


def _halves(canvas: Canvas) -> tuple[Box, Box, Line]:
    """The room of the plan view and of the heights: side by side, on a telephone one below the other; and the
    rule between them."""
    width, height = canvas.width_pt, canvas.height_pt
    if is_narrow(canvas):
        cut = 0.48 * height
        return (
            Box(0, 0, width, cut - 6),
            Box(0, cut + 6, width, height),
            Line(((0, cut), (width, cut)), "frame"),
        )
    split = 0.5 * width
    return (
        Box(0, 0, split - 8, height),
        Box(split + 8, 0, width, height),
        Line(((split, 0), (split, height)), "frame"),
    )


# ---------------------------------------------------------------- plan view


def _gates(plan: Plan) -> list[tuple[str, Point]]:
    """Entry and exit: where the last leg before the block ends, and the place by which the flight leaves."""
    mission, pieces = plan.mission, plan.route.pieces
    own = plan.trainings[0].id
    here = next(i for i, piece in enumerate(pieces) if isinstance(piece, Block) and piece.section.id == own)
    before = pieces[here - 1] if here else None
    found = [("Entry", leg.end) for leg in before.legs[-1:]] if isinstance(before, Way) else []
    leave = mission.the_training.leave
    return found + ([("Exit", point_of(mission, leave.by))] if leave else [])


def _gate_words(what: str, point: Point) -> str:
    name = name_of(point)
    return what if name.lower() == what.lower() else f"{what} {name}"


def _plan_view(plan: Plan, box: Box, canvas: Canvas) -> tuple[list[Shape], tuple[str, ...]]:
    size, pitch = canvas.size_pt("label"), canvas.pitch_pt("label")
    area = plan.mission.the_training.area
    inner = Box(box.left, box.top + 0.4 * size, box.right, box.bottom - 1.9 * pitch)
    chart = _chart(plan, inner, size)
    outline = tuple(chart.place(p) for p in area.boundary)
    marks = [triangle(chart.place(position(p)), 0.45 * size, "track_solid") for _, p in _gates(plan)]
    arrow = north_arrow((box.right - size, box.bottom - 0.3 * size), 1.1 * size, canvas.medium)
    bar = scale_bar(chart, Box(box.left + 2, box.top, box.left + box.width * 0.6, box.bottom), canvas)
    named = place_labels(
        _labels(plan, chart, outline, canvas),
        Canvas(box.width, inner.bottom, canvas.medium),
        _kept_off(marks, outline, canvas),
    )
    return [Polygon(outline, "area"), *marks, *arrow, *bar, *named.shapes], named.unplaced


def _kept_off(marks: list[Polygon], outline: tuple, canvas: Canvas) -> Obstacles:
    return Obstacles(
        tuple(shape_box(m, canvas.medium) for m in marks),
        segments_of([(*line, line[0]) for line in (outline, _inset(outline, 0.3 * canvas.size_pt("label")))]),
    )


def _inset(outline: tuple, by_pt: float) -> tuple:
    """The boundary drawn towards its middle, at its corners by this much in each direction: words that keep
    off it don't touch the boundary."""
    x0, y0 = sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline)
    return tuple(
        (
            x + math.copysign(min(by_pt, abs(x0 - x)), x0 - x),
            y + math.copysign(min(by_pt, abs(y0 - y)), y0 - y),
        )
        for x, y in outline
    )


def _chart(plan: Plan, box: Box, size: float) -> PlaneMap:
    boundary = plan.mission.the_training.area.boundary
    centre = Position(sum(p.lat_deg for p in boundary) / len(boundary), boundary[0].lon_deg)
    spots = [plane_point(centre, p) for p in (*boundary, *(position(p) for _, p in _gates(plan)))]
    return fit(centre, [(s.east_nm, s.north_nm) for s in spots], box, 1.4 * size)


def _labels(plan: Plan, chart: PlaneMap, outline: tuple, canvas: Canvas) -> list[Label]:
    training, size = plan.mission.the_training, canvas.size_pt("label")
    labels = [
        Label(chart.place(position(p)), _gate_words(what, p), "label_bold", 0.5 * size, 270)
        for what, p in _gates(plan)
    ]
    middle = (sum(x for x, _ in outline) / len(outline), sum(y for _, y in outline) / len(outline))
    reserved = plan.mission.times.reserved
    text = wrapped(training.area.name, canvas, 0.8 * chart.box.width, "label_bold") + (
        f"\nreserved\n{words.hours_z(reserved.start, reserved.end, day=day_of_t(plan))}" if reserved else ""
    )
    return [Label(middle, text, "label_bold", -0.5 * size, 0), *labels]


# ---------------------------------------------------------------- heights


def _msl(plan: Plan, level: Level) -> float | None:
    """Feet MSL over the area; a height above the ground counts from the base's elevation, None where that
    isn't given."""
    mission = plan.mission
    return altitude_ft(mission, point_of(mission, mission.file.ground_ops.base), level)


def floor_top_ft(plan: Plan) -> tuple[float, float] | None:
    """Floor and top of the area in ft MSL."""
    area = plan.mission.the_training.area
    low, high = _msl(plan, area.floor), _msl(plan, area.top)
    return None if low is None or high is None or high <= low else (low, high)


def blocks_of(plan: Plan) -> list[Band]:
    """The height blocks, lowest first."""
    found = []
    for owner, band in plan.mission.the_training.blocks.items():
        low, high = _msl(plan, band.low), _msl(plan, band.high)
        if low is not None and high is not None:
            found.append(Band(low, high, f"{owner.capitalize()}: {words.level_band(band)}", owner))
    return sorted(found, key=lambda b: b.low_ft)


def clouds_of(plan: Plan) -> list[Band]:
    """The cloud forecast in the area, with its top or up to the area's top."""
    mission, bounds = plan.mission, floor_top_ft(plan)
    weather = mission.file.weather.at.get("AREA") if mission.file.weather else None
    found = []
    for layer in (weather.cloud or ()) if weather else ():
        base, top = _msl(plan, layer.base), _msl(plan, layer.top) if layer.top else None
        if base is not None and bounds:
            found.append(Band(base, top if top is not None else bounds[1], words.cloud(layer)))
    return found


def _elevation(plan: Plan, box: Box, canvas: Canvas) -> list[Shape]:
    size, bounds, area = canvas.size_pt("label"), floor_top_ft(plan), plan.mission.the_training.area
    if bounds is None:
        return [
            Text(
                (box.left, box.top),
                f"Heights not drawn:\n{words.level(area.floor)} to {words.level(area.top)}",
                "label",
                "start",
                "top",
            )
        ]
    pitch = canvas.pitch_pt("label")
    lowest = min([bounds[0], *(c.low_ft for c in clouds_of(plan))])
    span = bounds[1] - bounds[0]
    high = max(
        [bounds[1] + 0.1 * span, *(c.high_ft for c in clouds_of(plan) if c.high_ft <= bounds[1] + 0.6 * span)]
    )
    low = max(min(lowest, bounds[0]) - 0.22 * span, 0.0)
    left = box.left + width_pt("00000", canvas) + 6
    scale = Scale(low, high, box.bottom - 0.6 * pitch, box.top + 1.7 * pitch)
    inner = Box(left, scale.end, box.right - 2, scale.start)
    shapes: list[Shape] = [
        Text((box.left, box.top), "Heights to scale, ft MSL", "label_soft", "start", "top")
    ]
    for value in ticks(low, high, nice_step(high - low, max(min(int(inner.height / (2.2 * size)), 7), 2))):
        shapes += [
            Line(((left, scale.at(value)), (inner.right, scale.at(value))), "grid"),
            Text((left - 4, scale.at(value)), decimals(value), "label", "end"),
        ]
    shapes.append(
        Rect(left, scale.at(bounds[1]), inner.width, scale.at(bounds[0]) - scale.at(bounds[1]), "area")
    )
    return [*shapes, *_bands(plan, inner, scale, canvas), *_limits(plan, inner, scale, canvas)]


def _bands(plan: Plan, inner: Box, scale: Scale, canvas: Canvas) -> list[Shape]:
    shapes: list[Shape] = []
    for cloud in clouds_of(plan):
        low, high = max(cloud.low_ft, scale.low), min(cloud.high_ft, scale.high)
        if high > low:
            width = inner.width * _CLOUD_SHARE
            shapes.append(
                Rect(inner.right - width, scale.at(high), width, scale.at(low) - scale.at(high), "water")
            )
    for block in blocks_of(plan):
        style = f"{block.side}_wash" if block.side else "track_wash"
        y1, y2 = scale.at(block.high_ft), scale.at(block.low_ft)
        gap = next(
            (
                f"\n{b.words}"
                for b in buffers_of(plan)
                if b.high_ft == block.low_ft and not _roomy(b, scale, canvas)
            ),
            "",
        )
        shapes.append(Rect(inner.left + 4, y1, inner.width - 8, y2 - y1, style))
        voice = block.side or "label_bold"
        said = wrapped(block.words, canvas, inner.width - 8, voice) + gap
        shapes.append(Text(((inner.left + inner.right) / 2, (y1 + y2) / 2), said, voice, "middle"))
    return shapes


def buffers_of(plan: Plan) -> list[Band]:
    """The free heights between neighbouring blocks."""
    blocks = blocks_of(plan)
    return [
        Band(
            below.high_ft,
            above.low_ft,
            f"{words.height(above.low_ft - below.high_ft)} above {below.owner.lower()}",
        )
        for below, above in pairwise(blocks)
        if above.low_ft > below.high_ft
    ]


def _roomy(band: Band, scale: Scale, canvas: Canvas) -> bool:
    """Whether a line of words stands between the edges of a band without touching them; else the block above
    it says them."""
    return scale.at(band.low_ft) - scale.at(band.high_ft) >= 1.1 * canvas.pitch_pt("label")


def _limits(plan: Plan, inner: Box, scale: Scale, canvas: Canvas) -> list[Shape]:
    """Words for floor, top, buffer and cloud, each where there is room."""
    area, bounds, size = plan.mission.the_training.area, floor_top_ft(plan), canvas.size_pt("label")
    x = (inner.left + inner.right) / 2
    wanted = [
        Text(
            (inner.left + 6, scale.at(bounds[1]) - 2),
            f"Top {words.level(area.top)}",
            "label_bold",
            "start",
            "bottom",
            halo=True,
        ),
        Text(
            (inner.left + 6, scale.at(bounds[0]) + 2),
            f"Floor {words.level(area.floor)}",
            "label_bold",
            "start",
            "top",
            halo=True,
        ),
    ]
    wanted += [
        Text((x, scale.at((b.low_ft + b.high_ft) / 2)), b.words, "label", "middle", halo=True)
        for b in buffers_of(plan)
        if _roomy(b, scale, canvas)
    ]
    wanted += [_cloud_text(cloud, bounds, (inner, scale), canvas) for cloud in clouds_of(plan)]
    return list(_without_overlap(wanted, inner, size, canvas))


def _cloud_text(cloud: Band, bounds: tuple[float, float], at: tuple[Box, Scale], canvas: Canvas) -> Text:
    """A cloud's words: beside its band where it lies clear of the area, else below its base."""
    inner, scale = at
    low, high = (min(max(value, scale.low), scale.high) for value in (cloud.low_ft, cloud.high_ft))
    above = ", above this drawing" if cloud.low_ft > scale.high else ""
    if high > low and (cloud.low_ft >= bounds[1] or cloud.high_ft <= bounds[0]):
        right = inner.right - _CLOUD_SHARE * inner.width - 4
        text = wrapped(cloud.words, canvas, right - inner.left - 4, "label_soft")
        return Text((right, scale.at((low + high) / 2)), text, "label_soft", "end", halo=True)
    return Text(
        (inner.right - 4, scale.at(low) + 2),
        wrapped(cloud.words + above, canvas, inner.width - 8, "label_soft"),
        "label_soft",
        "end",
        "top",
        halo=True,
    )


def _without_overlap(texts: list[Text], inner: Box, size: float, canvas: Canvas) -> list[Text]:
    """Those texts moved down by half lines until they touch none before them."""
    kept: list[Text] = []
    for text in texts:
        for step in (0, 1, 2, 3, -1, -2, -3, 4, 5):
            moved = replace(text, at=(text.at[0], text.at[1] + step * 0.6 * size))
            box = text_box(moved, canvas.medium)
            if box.bottom <= canvas.height_pt and not any(
                box.overlaps(text_box(other, canvas.medium)) for other in kept
            ):
                kept.append(moved)
                break
    return kept


def _alt(plan: Plan) -> str:
    area = plan.mission.the_training.area
    parts = [f"Training area {area.name}, {words.level(area.floor)} to {words.level(area.top)}"]
    parts += [b.words for b in blocks_of(plan)] + [b.words for b in buffers_of(plan)]
    parts += [_gate_words(what, p) for what, p in _gates(plan)] + [
        f"cloud {c.words}" for c in clouds_of(plan)
    ]
    return f"{'; '.join(parts)}."
