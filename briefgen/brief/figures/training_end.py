"""When training stops: the fuel of the ship that is at joker first (else of the one that burns most) on one
ladder with joker, bingo and END BY, each as large as it goes; the one that comes first in ochre."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise

from briefgen.brief.figures.common import Scale, clock_words, time_scale, width_pt
from briefgen.brief.figures.fuel_clock import fuel_line
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import end_by_name, joker_first
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, clip_line
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Rect, Scene, Shape, Text
from briefgen.plan.fuel.flight import first_at_joker
from briefgen.plan.model import FuelPlan, ShipFuel
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.training_end import training_end

_LEFT = 70.0  # points, for the fuel at the beginning
_PAST = 0.12  # of what is shown, behind the last instant
_FAR = 0.6  # of the training: a joker that lies further beyond END BY is not drawn to its instant


@record
class _Room:
    box: Box
    time: Scale
    level: Scale
    canvas: Canvas


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without a training that has joker and bingo."""
    fuel, clock = plan.fuel, plan.clock
    if fuel is None or fuel.joker is None or fuel.bingo_training is None:
        return None
    if clock.area_entry is None or clock.training_end is None or training_end(plan) is None:
        return None
    own = _ship(fuel)
    return (lambda canvas: _draw(plan, fuel, own, canvas)) if own.rows else None


def _ship(fuel: FuelPlan) -> ShipFuel:
    first = first_at_joker(fuel)
    return first or next(ship for ship in fuel.ships if ship.ship == fuel.thirstiest)


def _draw(plan: Plan, fuel: FuelPlan, own: ShipFuel, canvas: Canvas) -> Scene:
    at_joker, room = joker_first(plan), _room(plan, fuel, own, canvas)
    shapes = (
        *_levels(plan, fuel, room, at_joker=at_joker),
        *_end_by(plan, room, at_joker=at_joker),
        *_line(plan, own, room),
        *_joker_reached(plan, own, room, at_joker=at_joker),
        *_times(plan, own, room),
    )
    return Scene(canvas, shapes, _alt(plan, fuel, own), own_words=True)


def _room(plan: Plan, fuel: FuelPlan, own: ShipFuel, canvas: Canvas) -> _Room:
    """From the entry into the area to behind the last that ends training."""
    clock = plan.clock
    start, planned = clock.area_entry, clock.training_end
    assert start is not None and planned is not None
    ends = [planned, *([clock.knock_off] if clock.knock_off is not None else [])]
    if own.joker_reached is not None and own.joker_reached < max(ends) + _FAR * (planned - start):
        ends.append(own.joker_reached)
    last = max(ends) + _PAST * (max(ends) - start)
    figures = [_said(fuel, value) for value in (fuel.joker, fuel.bingo_training)]
    large = max(
        *(width_pt(said, canvas, "big") for said in figures),
        *(width_pt(said, canvas, "target") for said in _told(plan)),
    )
    top = canvas.pitch_pt("large") + canvas.pitch_pt("label") + 10
    box = Box(_LEFT, top, canvas.width_pt - large - 24, canvas.height_pt - canvas.pitch_pt("label") - 6)
    level = Scale(0.0, 1.05 * max(_left_at(own, start), float(fuel.joker or 0.0)), box.bottom, box.top)
    return _Room(box, time_scale(start, last, box.left, box.right), level, canvas)


def _left_at(own: ShipFuel, at: datetime) -> float:
    """What the ship's line has at an instant."""
    line = fuel_line(own)
    for (before, more), (after, less) in pairwise(line):
        if before <= at <= after and after > before:
            return more + (less - more) * ((at - before) / (after - before))
    return line[0][1]


def _said(fuel: FuelPlan, value: float | None) -> str:
    return words.fuel_figure(value, fuel.unit) if value is not None else ""


def _told(plan: Plan) -> tuple[str, str]:
    """What is done at joker and at bingo."""
    return "Joker: training ends", "Bingo: home" if plan.mission.alone else "Bingo: that ship home"


def _levels(plan: Plan, fuel: FuelPlan, room: _Room, *, at_joker: bool) -> list[Shape]:
    """Joker and bingo as lines, the figure and what it ends at the right end of each."""
    canvas, box = room.canvas, room.box
    block = canvas.pitch_pt("big") + canvas.pitch_pt("label")
    joker, bingo = (room.level.at(float(value or 0.0)) for value in (fuel.joker, fuel.bingo_training))
    high = max(min(joker - block / 2, box.bottom - 2 * block - 6), 0.0)
    low = min(max(bingo - block / 2, high + block + 6), canvas.height_pt - block)
    to_joker, to_bingo = _told(plan)
    told = (
        (joker, high, fuel.joker, to_joker, at_joker),
        (bingo, low, fuel.bingo_training, to_bingo, False),
    )
    shapes: list[Shape] = []
    for y, top, value, said, first in told:
        x = box.right + 14
        shapes += [
            Line(((box.left, y), (box.right, y), (x - 4, top + block / 2)), "target" if first else "limit"),
            Text((x, top), said, "target" if first else "label_bold", "start", "top"),
            Text(
                (x, top + canvas.pitch_pt("label")),
                _said(fuel, value),
                "big_target" if first else "big",
                "start",
                "top",
            ),
        ]
    return shapes


def _end_by(plan: Plan, room: _Room, *, at_joker: bool) -> list[Shape]:
    """END BY as an upright line, its time above."""
    at, box = plan.clock.knock_off, room.box
    if at is None:
        return []
    printed = words.time_limit(at, "latest")
    x, said = room.time.when(printed), clock_words(plan, printed)
    style = "large_soft" if at_joker else "large"
    half = width_pt(said, room.canvas, style) / 2
    middle = min(max(x, half), room.canvas.width_pt - half)
    return [
        Line(((x, box.top - 4), (x, box.bottom)), "limit" if at_joker else "target"),
        Text((middle, 0), end_by_name(plan), "label_bold" if at_joker else "target", "middle", "top"),
        Text((middle, room.canvas.pitch_pt("label")), said, style, "middle", "top"),
    ]


def _line(plan: Plan, own: ShipFuel, room: _Room) -> list[Shape]:
    """The ship's fuel to the end of training as planned; from there, as if it went on, dashed to joker."""
    planned = plan.clock.training_end
    assert planned is not None
    drawn = [(at, left) for at, left in fuel_line(own) if at < planned] + [(planned, _left_at(own, planned))]
    points = tuple((room.time.when(at), room.level.at(left)) for at, left in drawn)
    shapes: list[Shape] = [Line(part, "ship_least") for part in clip_line(points, room.box)]
    if own.joker is not None and own.joker_reached is not None and own.joker_reached > planned:
        reached = (room.time.when(own.joker_reached), room.level.at(own.joker.figure))
        shapes += [Line(part, "track_dashed") for part in clip_line((points[-1], reached), room.box)]
    return [*shapes, Ellipse(points[-1], 5, 5, "solid")]


def _joker_reached(plan: Plan, own: ShipFuel, room: _Room, *, at_joker: bool) -> list[Shape]:
    """When the ship is at its joker, where that is on the drawing."""
    at = own.joker_reached
    if at is None or own.joker is None or room.time.when(at) > room.box.right:
        return []
    x, y = room.time.when(at), room.level.at(own.joker.figure)
    printed = clock_words(plan, words.time_limit(at, "latest"))
    return [
        Ellipse((x, y), 6, 6, "hollow"),
        Text((x - 10, y + 6), printed, "head_target" if at_joker else "label_bold", "end", "top", halo=True),
    ]


def _times(plan: Plan, own: ShipFuel, room: _Room) -> list[Shape]:
    """The ship, what it comes with, and when its training is planned."""
    box, clock = room.box, plan.clock
    assert clock.area_entry is not None and clock.training_end is not None
    start, y = clock.area_entry, box.bottom + 4
    left, x = _left_at(own, start), room.time.when(clock.training_end)
    begin = Text((box.left, y), clock_words(plan, start), "label", "start", "top")
    said = f"planned end {clock_words(plan, clock.training_end)}"
    half = width_pt(said, room.canvas) / 2
    ended = Text((min(max(x, half), room.canvas.width_pt - half), y), said, "label", "middle", "top")
    apart = box.left + width_pt(begin.text, room.canvas) + 8 < ended.at[0] - half
    whose = "" if plan.mission.alone else f"Ship {own.ship}"
    return [
        Rect(box.left, box.bottom - 4, x - box.left, 4, "track_solid"),
        Line(((box.left, box.bottom), (box.right, box.bottom)), "axis"),
        *([Text((0, room.level.at(left)), whose, "label_bold")] if whose else ()),
        *([begin] if apart else ()),
        ended,
    ]


def _alt(plan: Plan, fuel: FuelPlan, own: ShipFuel) -> str:
    by = plan.clock.knock_off
    told = [f"joker {_said(fuel, fuel.joker)}", f"bingo {_said(fuel, fuel.bingo_training)}"]
    told += (
        [f"{end_by_name(plan)} {clock_words(plan, words.time_limit(by, 'latest'))}"] if by is not None else []
    )
    at = own.joker_reached
    if at is not None:
        told.append(f"ship {own.ship} at joker {clock_words(plan, words.time_limit(at, 'latest'))}")
    return f"When training stops: {', '.join(told)}."
