"""The sortie as a storyboard: its pieces as small pictures on one bar of time, below it the fuel of the ship
that lands with least, and the clocks; END BY, leave-hold and T as upright lines."""

from __future__ import annotations

from datetime import datetime

from briefgen.brief.figures import heads
from briefgen.brief.figures.clock_bar import (
    Block,
    alt,
    block_words,
    blocks_of,
    end_of,
    ends_by,
    ruler_rows,
    rulers_of,
    setups,
    sortie_scale,
)
from briefgen.brief.figures.common import Scale, clock_words, width_pt
from briefgen.brief.figures.fuel_clock import fuel_line
from briefgen.brief.figures.pieces import HEIGHT, WIDTH, Piece, picture
from briefgen.brief.wording import format as words
from briefgen.brief.wording.tiers import base_words
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, clip_line, text_box
from briefgen.draw.scene.labels import Label, Obstacles, place_labels, segments_of
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Point, Rect, Scene, Shape, Text
from briefgen.plan.model import FuelPlan, ShipFuel
from briefgen.plan.sortie import Plan

_BAR_PITCHES, _BAR_ALONE_PITCHES = 1.45, 6.0  # the bar's height, above the fuel and without it
_LEAD_PT = 12.0  # from the bar to the pictures below it
_LEAST_FUEL_PITCHES = 4.0
_GAP_PT = 8.0  # between two pictures
_PASSING: tuple[Piece, ...] = ("transit", "run-in")


@record
class _Room:
    """Where the parts of the drawing stand."""

    canvas: Canvas
    time: Scale
    bar: Box
    pictures: tuple[tuple[Block, float], ...]  # with the middle of each
    named: bool
    fuel: Box

    def x(self, at: datetime) -> float:
        return self.time.when(at)


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None for a clock without a phase."""
    return (lambda canvas: _draw(plan, canvas)) if plan.clock.phases else None


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    pitch, rulers = canvas.pitch_pt("label"), rulers_of(plan)
    time = sortie_scale(plan, rulers, canvas)
    row = heads.standing(_heads(plan, time), canvas)
    top = heads.height_of(canvas) if row else 0.0
    bar = Box(time.start, top, time.end, top + (_BAR_PITCHES if plan.fuel else _BAR_ALONE_PITCHES) * pitch)
    pictures, named = _pictures(blocks_of(plan), time, canvas)
    under = bar.bottom + (_LEAD_PT + HEIGHT + (pitch if named else 0.0) + 4 if pictures else 4)
    foot = canvas.height_pt - (len(rulers) + 0.3) * pitch - 4
    foot = max(foot, under) if plan.fuel else under
    room = _Room(canvas, time, bar, pictures, named, Box(time.start, under, time.end, foot))
    fuel, lost = _fuel(plan, room)
    shapes = (
        *_bar(plan, room),
        *(heads.drawn(row, top, canvas) if row else ()),
        *_pictured(room),
        *fuel,
        *ruler_rows(rulers, room.fuel, time, canvas),
    )
    return Scene(canvas, shapes, _alt(plan), lost)


def _heads(plan: Plan, time: Scale) -> list[heads.Head]:
    """END BY of each block, leave-hold (of several passes their T alone), each T."""
    several = len(plan.passes) > 1
    found = [(at, name, "plain") for at, name in ends_by(plan)]
    found += [(each.hold.leave, "Leave hold", "plain") for each in plan.passes if each.hold and not several]
    found += [(each.true_time, "T", "target") for each in plan.passes]
    return [
        heads.Head(time.when(at), name, clock_words(plan, at), kind)
        for at, name, kind in found
        if plan.clock.takeoff <= at <= end_of(plan)
    ]


# ---------------------------------------------------------------- the bar and its pictures


def _bar(plan: Plan, room: _Room) -> list[Shape]:
    bar = room.bar
    shapes: list[Shape] = [
        Rect(room.x(block.start), bar.top, room.x(block.end) - room.x(block.start), bar.height, block.style)
        for block in blocks_of(plan)
    ]
    moments = _moments(plan, room, bar)
    shapes += [*setups(plan, bar, room.time), *moments]
    for block in blocks_of(plan):
        said, wide = block_words(block)[1], room.x(block.end) - room.x(block.start)
        middle = ((room.x(block.start) + room.x(block.end)) / 2, (bar.top + bar.bottom) / 2)
        text = Text(middle, said, "label", "middle", halo=True)
        own = text_box(text, room.canvas.medium).grown(1)
        cut = any(own.left < line.points[0][0] < own.right for line in moments)
        shapes += [text] if own.width + 2 < wide and not cut else []
    return shapes


def _moments(plan: Plan, room: _Room, box: Box) -> list[Line]:
    return [
        Line(((head.x, box.top), (head.x, box.bottom)), heads.STYLES[head.kind][2])
        for head in _heads(plan, room.time)
    ]


def _pictures(
    blocks: list[Block], time: Scale, canvas: Canvas
) -> tuple[tuple[tuple[Block, float], ...], bool]:
    """Where the picture of each piece stands, and whether with its name: as much as the row has room for. Of
    many pieces those of the ways and the runs to T, which are marked, have none."""
    few = [block for block in blocks if block.piece not in _PASSING]
    for shown, named in ((blocks, True), (blocks, False), (few, True), (few, False)):
        widths = [max(WIDTH, width_pt(b.words if named else "", canvas)) for b in shown]
        wanted = [(time.when(b.start) + time.when(b.end)) / 2 for b in shown]
        middles = heads.spread(wanted, widths, _GAP_PT, canvas.width_pt)
        if middles is not None:
            return tuple(zip(shown, middles, strict=True)), named
    return (), False


def _pictured(room: _Room) -> list[Shape]:
    """Each picture, its name below it, and a line from its piece of the bar."""
    top = room.bar.bottom
    shapes: list[Shape] = []
    for block, middle in room.pictures:
        x = (room.x(block.start) + room.x(block.end)) / 2
        shapes.append(Line(((x, top), (middle, top + _LEAD_PT - 2)), "leader"))
        shapes += picture(block.piece, (middle, top + _LEAD_PT + HEIGHT / 2))
        if room.named:
            under = top + _LEAD_PT + HEIGHT + 2
            shapes.append(Text((middle, under), block.words, "label", "middle", "top"))
    return shapes


# ---------------------------------------------------------------- fuel


def _fuel(plan: Plan, room: _Room) -> tuple[list[Shape], tuple[str, ...]]:
    """The fuel of the ship that lands with least, with its joker and what it must land with; nothing where
    the fuel isn't known or has no room."""
    fuel, box, canvas = plan.fuel, room.fuel, room.canvas
    least = _thirstiest(fuel) if fuel else None
    if fuel is None or least is None or box.height < _LEAST_FUEL_PITCHES * canvas.pitch_pt("label"):
        return [], ()
    level = Scale(0.0, least.start_printed, box.bottom, box.top + 0.3 * canvas.pitch_pt("label"))
    points = tuple((room.x(at), level.at(left)) for at, left in fuel_line(least))
    line = [Line(part, "ship_least") for part in clip_line(points, box)]
    must = level.at(least.base_required)
    grid: list[Shape] = [
        Line(((box.left, box.bottom), (box.right, box.bottom)), "axis"),
        Line(((box.left, must), (box.right, must)), "minimum"),
        *_moments(plan, room, box),
    ]
    labels = [
        Label((box.left + 10, must), f"must land with {base_words(fuel, least)}", "target", 2, 45),
    ]
    marks: list[Shape] = []
    if fuel.joker is not None and least.joker_reached is not None:
        at = (room.x(least.joker_reached), level.at(float(fuel.joker)))
        if box.holds(Box(*at, *at)):
            marks.append(Ellipse(at, 5, 5, "hollow"))
            labels.insert(0, Label(at, f"Joker {_said(fuel, fuel.joker)}", "label_bold", 6, 45))
    landing = _over_the_line(points, _lands(fuel, least), canvas)
    edge = (
        Box(0, 0, canvas.width_pt, box.top),
        Box(0, box.bottom, canvas.width_pt, canvas.height_pt),
        text_box(landing, canvas.medium),
    )
    segments = segments_of(s.points for s in (*line, *grid) if isinstance(s, Line))
    named = place_labels(labels, canvas, Obstacles(edge, segments))
    head = Text(
        (0, box.top), f"Ship {least.ship}\nfrom {_said(fuel, least.start_printed)}", "label", "start", "top"
    )
    return [*grid, *line, *marks, head, landing, *named.shapes], named.unplaced


def _over_the_line(points: tuple[Point, ...], said: str, canvas: Canvas) -> Text:
    """Above the line's end, over all of its width: the line falls, and never runs through the words."""
    right = points[-1][0]
    left = right - width_pt(said, canvas, "label_bold")
    _, top = max((point for point in points if point[0] <= left), default=points[0])
    return Text((right, top - 0.6 * canvas.pitch_pt("label")), said, "label_bold", "end", halo=True)


def _thirstiest(fuel: FuelPlan) -> ShipFuel | None:
    return next((s for s in fuel.ships if s.ship == fuel.lowest_landing_ship and s.rows), None)


def _said(fuel: FuelPlan, value: float) -> str:
    return words.fuel_figure(value, fuel.unit)


def _lands(fuel: FuelPlan, ship: ShipFuel) -> str:
    return f"lands with {_said(fuel, ship.landing_predicted)}"


def _alt(plan: Plan) -> str:
    least = _thirstiest(plan.fuel) if plan.fuel else None
    if plan.fuel is None or least is None:
        return alt(plan)
    return f"{alt(plan)} Fuel of ship {least.ship}, which {_lands(plan.fuel, least)}."
