"""The formation over the centre: seen from above and from behind, distances to scale, aircraft as signs."""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from briefgen.airmath.formation import NoFormation, place_ships
from briefgen.brief.figures.common import feet_msl, width_pt
from briefgen.brief.wording import format as words
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.labels import Label, Obstacles, Placed, place_labels
from briefgen.draw.scene.marks import triangle
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Point, Polygon, Scene, Shape, Text
from briefgen.draw.scene.ticks import nice_step
from briefgen.plan.model import ShipOver
from briefgen.plan.sortie import Plan


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without a pass or with a single ship."""
    if plan.event is None or len(plan.event.ships) < 2:
        return None
    return lambda canvas: _draw(plan, canvas)


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    pitch = canvas.pitch_pt("label")
    split = canvas.width_pt * 0.52
    above = Box(0, 1.3 * pitch, split - 6, canvas.height_pt)
    behind = Box(split + 6, 1.3 * pitch, canvas.width_pt, canvas.height_pt - 1.3 * pitch)
    texts: list[Shape] = [
        Text((0, 0), "From above", "label_soft", "start", "top"),
        Text((split + 6, 0), "From behind", "label_soft", "start", "top"),
    ]
    shapes, unplaced = _from_above(plan, above, canvas)
    more, missing = _from_behind(plan, behind, canvas)
    note = Text(
        (split + 6, canvas.height_pt), "Distances to scale, aircraft not", "label_soft", "start", "bottom"
    )
    rule = Line(((split, 0), (split, canvas.height_pt)), "frame")
    return Scene(canvas, (*texts, rule, *shapes, *more, note), _alt(plan), (*unplaced, *missing))


def _spots(ships: tuple[ShipOver, ...], box: Box, pair: tuple[str, str]) -> tuple[list[Point], float]:
    """Where the ships stand in a box, and the points per foot; ``pair`` names the offsets across and down the
    page."""
    across, down = ([getattr(s, name) for s in ships] for name in pair)
    return _spread(across, down, box)


def spots_of(formation: str | None, ships: Sequence[int], box: Box, most: float = inf) -> list[Point]:
    """Where the ships of a formation stand in a box, seen from above, one step at most ``most`` points; none
    where the shape has no place for them."""
    placed = place_ships(formation or "", tuple(ships), spacing_ft=1.0, step_down_ft=0.0)
    if isinstance(placed, NoFormation):
        return []
    return _spread([p.right_ft for p in placed], [p.back_ft for p in placed], box, most)[0]


def _spread(
    across: Sequence[float], down: Sequence[float], box: Box, most: float = inf
) -> tuple[list[Point], float]:
    """The offsets in the middle of a box, as large as it holds them, and their scale."""
    wide, high = max(across) - min(across), max(down) - min(down)
    scale = min(box.width / max(wide, 1.0), box.height / max(high, 1.0), most)
    x0 = (box.left + box.right) / 2 - (max(across) + min(across)) / 2 * scale
    y0 = (box.top + box.bottom) / 2 - (max(down) + min(down)) / 2 * scale
    return [(x0 + a * scale, y0 + d * scale) for a, d in zip(across, down, strict=True)], scale


def _bar(scale: float, right: float, canvas: Canvas) -> tuple[list[Shape], Box]:
    """A bar of a round number of feet in the upper right corner, and the box that it fills."""
    size = canvas.size_pt("label")
    feet = nice_step(3 * size / scale, 1)
    left, y = right - 2 - feet * scale, 1.4 * size
    ends = [Line(((x, y - 3), (x, y + 3)), "line") for x in (left, right - 2)]
    text = Text((right - 2, y - 2), words.height(feet), "label", "end", "bottom")
    own = text_box(text, canvas.medium)
    return [Line(((left, y), (right - 2, y)), "line"), *ends, text], Box(
        min(left, own.left) - 2, 0, right, y + 4
    )


def _from_above(plan: Plan, box: Box, canvas: Canvas) -> tuple[list[Shape], tuple[str, ...]]:
    ships, size = plan.the_pass.ships, canvas.size_pt("label")
    names = {s.ship: _name(plan, s.ship) for s in ships}
    widest = (
        max(width_pt(f"{number}  {name}", canvas, "label_bold") for number, name in names.items()) + 2 * size
    )
    for share in (0.36, 0.22, 0.12):
        side = min(widest, share * box.width)
        shapes, unplaced = _labelled(
            plan, {n: f"{n}  {name}" for n, name in names.items()}, box, side, canvas
        )
        if not unplaced and _plain_whose(plan, shapes):
            return shapes, unplaced
    return _listed(plan, names, box, canvas)


def _plain_whose(plan: Plan, shapes: list[Shape]) -> bool:
    """True when every name stands on its ship's outer side, without a leader: nobody can read it as another
    ship's."""
    if any(isinstance(shape, Line) and shape.style == "leader" for shape in shapes):
        return False
    spots = [_middle(shape) for shape in shapes if isinstance(shape, Polygon)]
    names = [shape for shape in shapes if isinstance(shape, Text) and shape.style == "label_bold"]
    outer = {
        0: lambda text, spot: text.at[1] < spot[1],
        90: lambda text, spot: text.anchor == "start",
        270: lambda text, spot: text.anchor == "end",
    }
    return all(
        outer[_outside(ship)](text, spot)
        for ship, text, spot in zip(plan.the_pass.ships, names, spots, strict=True)
    )


def _middle(shape: Polygon) -> Point:
    return sum(x for x, _ in shape.points) / len(shape.points), sum(y for _, y in shape.points) / len(
        shape.points
    )


def _listed(
    plan: Plan, names: dict[int, str], box: Box, canvas: Canvas
) -> tuple[list[Shape], tuple[str, ...]]:
    """Numbers at the ships and the names in a list, for names too long to stand beside their ships without a
    doubt whose they are.

    The list stands left of the ships or below them; where it fits neither way the numbers alone remain, which
    the line-up explains.
    """
    size = canvas.size_pt("label")
    text = "\n".join(f"{n}  {name}" for n, name in names.items())
    block = Text((box.left, canvas.height_pt), text, "label_bold", "start", "bottom")
    own = text_box(block, canvas.medium)
    rooms = (
        Box(own.right + size, box.top, box.right, box.bottom),
        Box(box.left, box.top, box.right, own.top),
    )
    free = [
        room for room in rooms if own.top >= box.top and room.width >= 12 * size and room.height >= 7 * size
    ]
    shapes, unplaced = _labelled(plan, {n: str(n) for n in names}, free[0] if free else box, 2 * size, canvas)
    return [*shapes, *([block] if free else [])], unplaced


def _labelled(
    plan: Plan, texts: dict[int, str], box: Box, side: float, canvas: Canvas
) -> tuple[list[Shape], tuple[str, ...]]:
    """The ships with so much room left on both sides for their words."""
    ships, size = plan.the_pass.ships, canvas.size_pt("label")
    spots, scale = _spots(
        ships,
        Box(box.left + side, box.top + 1.8 * size, box.right - side, box.bottom - 1.8 * size),
        ("right_ft", "back_ft"),
    )
    marks = [_aircraft(at, 0.75 * size) for at in spots]
    boxes = tuple(Box(x - 0.8 * size, y - 0.8 * size, x + 0.8 * size, y + 0.8 * size) for x, y in spots)
    labels = [
        Label(at, texts[s.ship], "label_bold", 0.85 * size, _outside(s))
        for s, at in zip(ships, spots, strict=True)
    ]
    bar, bar_box = _bar(scale, box.right, canvas)
    named = place_labels(
        labels,
        Canvas(box.right, box.bottom, canvas.medium),
        Obstacles((*boxes, Box(0, 0, box.right, box.top - 2), bar_box)),
    )
    return [*marks, *named.shapes, *bar], named.unplaced


def _outside(ship: ShipOver) -> float:
    """The side of a ship on which its name doesn't lie between the ships."""
    return 0 if ship.right_ft == 0 else 90 if ship.right_ft > 0 else 270


def _from_behind(plan: Plan, box: Box, canvas: Canvas) -> tuple[list[Shape], tuple[str, ...]]:
    ships, size = plan.the_pass.ships, canvas.size_pt("label")
    lowest = min(ships, key=lambda s: s.altitude_ft)
    inner = Box(box.left + 2.2 * size, box.top + 1.6 * size, box.right - 2.2 * size, box.bottom - 3.0 * size)
    spots, scale = _spots(ships, inner, ("right_ft", "down_ft"))
    r = 0.32 * size
    shapes: list[Shape] = []
    for ship, (x, y) in zip(ships, spots, strict=True):
        shapes += [
            Line(((x - 1.1 * size, y), (x + 1.1 * size, y)), "line"),
            Ellipse((x, y), r, r, "target_solid" if ship is lowest else "solid"),
        ]
    bar, bar_box = _bar(scale, box.right, canvas)
    limits = (
        Box(0, 0, box.left, canvas.height_pt),
        Box(0, 0, canvas.width_pt, box.top - 2),
        Box(0, box.bottom, canvas.width_pt, canvas.height_pt),
        bar_box,
    )
    marks = tuple(Box(x - 1.2 * size, y - 0.4 * size, x + 1.2 * size, y + 0.4 * size) for x, y in spots)
    named = _heights(list(zip(ships, spots, strict=True)), lowest, Obstacles((*marks, *limits)), canvas)
    return [*shapes, *named.shapes, *bar], named.unplaced


def _heights(
    ships: list[tuple[ShipOver, Point]], lowest: ShipOver, obstacles: Obstacles, canvas: Canvas
) -> Placed:
    """Number and step-down above each ship; the numbers alone where the words would stand elsewhere and could
    be read as a neighbour's."""
    clear = 0.45 * canvas.size_pt("label")
    for say in (_behind_words, _behind_number):
        labels = [
            Label(at, say(s, lowest), "target" if s is lowest else "label", clear, 180 if s is lowest else 0)
            for s, at in ships
        ]
        labels.sort(key=lambda label: label.style != "target")
        named = place_labels(labels, canvas, obstacles)
        texts = [shape for shape in named.shapes if isinstance(shape, Text)]
        if len(texts) == len(named.shapes) == len(labels) and all(
            text.at[1] < label.at[1] for text, label in zip(texts[1:], labels[1:], strict=True)
        ):
            break
    return named


def _behind_number(ship: ShipOver, lowest: ShipOver) -> str:
    return _behind_words(ship, lowest) if ship is lowest else str(ship.ship)


def _behind_words(ship: ShipOver, lowest: ShipOver) -> str:
    if ship is lowest:
        return f"{ship.ship} lowest {feet_msl(ship.altitude_ft)}"
    return str(ship.ship) if ship.down_ft == 0 else f"{ship.ship}  {words.height(ship.down_ft)} down"


def _aircraft(at: Point, size: float) -> Shape:
    return triangle(at, size, "track_wash")


def _name(plan: Plan, ship: int) -> str:
    """The first of the crew."""
    return plan.mission.ship(ship).crew[0]


def _alt(plan: Plan) -> str:
    event = plan.the_pass
    lowest = min(event.ships, key=lambda s: s.altitude_ft)
    ships = "; ".join(f"{s.ship} {_name(plan, s.ship)} {_offsets(s)}" for s in event.ships)
    return (
        f"Formation over the centre. {ships}. Lowest: ship {lowest.ship} at {feet_msl(lowest.altitude_ft)}."
    )


def _offsets(ship: ShipOver) -> str:
    side = "left" if ship.right_ft < 0 else "right"
    parts = [(abs(ship.right_ft), side), (ship.back_ft, "back"), (ship.down_ft, "down")]
    said = [f"{words.height(value)} {name}" for value, name in parts if value]
    return words.listed(said) if said else "leads"
