"""The fuel of each ship in a small panel: its line over time down to what it lands with, against what it must
land with; which figures stand where is written in the first panel."""

from __future__ import annotations

from briefgen.brief.figures.common import Scale, clock_words, time_scale
from briefgen.brief.figures.fuel_clock import fuel_line
from briefgen.brief.wording import format as words
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Scene, Shape, Text
from briefgen.plan.model import FuelPlan, ShipFuel
from briefgen.plan.sortie import Plan

_A_ROW = 4
_GAP = 22.0  # points between two panels
_LEAST_PT = 190.0  # the least width of a panel


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None where the fuel isn't known."""
    fuel = plan.fuel
    if fuel is None or not any(ship.rows for ship in fuel.ships):
        return None
    return lambda canvas: _draw(plan, fuel, canvas)


def _draw(plan: Plan, fuel: FuelPlan, canvas: Canvas) -> Scene:
    ships = [ship for ship in fuel.ships if ship.rows]
    most = max(min(_A_ROW, int((canvas.width_pt + _GAP) / (_LEAST_PT + _GAP))), 1)
    rows = -(-len(ships) // most)
    columns = -(-len(ships) // rows)
    wide = (canvas.width_pt - (columns - 1) * _GAP) / columns
    high = (canvas.height_pt - (rows - 1) * _GAP) / rows
    first, last = min(s.rows[0].start for s in ships), max(s.rows[-1].end for s in ships)
    top = max(float(ship.start_printed) for ship in ships)
    shapes: list[Shape] = []
    for n, ship in enumerate(ships):
        left, above = n % columns * (wide + _GAP), n // columns * (high + _GAP)
        box = Box(left, above, left + wide, above + high)
        body = box._replace(
            top=above + canvas.pitch_pt("head") + 2 * canvas.pitch_pt("label") + 4,
            bottom=box.bottom - canvas.pitch_pt("label") - 4,
        )
        time = time_scale(first, last, body.left, body.right)
        level = Scale(0.0, top, body.bottom, body.top)
        shapes += _panel(plan, ship, box, (body, time, level), canvas, named=n == 0)
    return Scene(canvas, tuple(shapes), _alt(fuel, ships))


def _panel(
    plan: Plan, ship: ShipFuel, box: Box, room: tuple[Box, Scale, Scale], canvas: Canvas, *, named: bool
) -> list[Shape]:
    """``named``: with what its figures are in words."""
    body, time, level = room
    line = fuel_line(ship)
    points = tuple((time.when(at), level.at(left)) for at, left in line)
    begins, ends = (clock_words(plan, at, seconds=False) for at, _ in (line[0], line[-1]))
    short = ship.landing_predicted < ship.base_required
    must = level.at(ship.base_required)
    under = box.top + canvas.pitch_pt("head")
    lands, needs = _said(ship, ship.landing_predicted), _said(ship, ship.base_required)
    shapes: list[Shape] = [
        Text((box.left, box.top), f"Ship {ship.ship}", "head", "start", "top"),
        Text((box.right, box.top), lands, "head_red" if short else "head", "end", "top"),
        Line(((body.left, body.bottom), (body.right, body.bottom)), "axis"),
        Line(((body.left, must), (body.right, must)), "minimum"),
        Line(points, "ship_least"),
        Text((points[0][0], points[0][1] - 4), _said(ship, ship.start_printed), "label", "start", "bottom"),
        Text(
            (body.left, must - 3), f"must land with {needs}" if named else needs, "target", "start", "bottom"
        ),
        Text((body.left, body.bottom + 4), begins, "label", "start", "top"),
        Text((body.right, body.bottom + 4), ends, "label", "end", "top"),
    ]
    if named or short:
        said = "short" if short else "lands with"
        shapes.append(Text((box.right, under), said, "red" if short else "label", "end", "top"))
    return shapes


def _said(ship: ShipFuel, value: float) -> str:
    return words.fuel_figure(value, ship.scale.unit)


def _alt(fuel: FuelPlan, ships: list[ShipFuel]) -> str:
    told = [
        f"ship {ship.ship} from {_said(ship, ship.start_printed)} lands with"
        f" {_said(ship, ship.landing_predicted)}, must land with {_said(ship, ship.base_required)}"
        for ship in ships
    ]
    return f"The fuel of {words.counted(len(fuel.ships), 'ship')}: {'; '.join(told)}."
