"""Who flies: the formation from above with the ships' numbers, beside it each with its people, tail and fuel,
and who may lead; below, the times from the brief to take-off."""

from __future__ import annotations

from briefgen.brief.figures.common import clock_words, width_pt, wrapped
from briefgen.brief.figures.formation import spots_of
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_GIVEN, text_or
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Point, Rect, Scene, Shape, Text
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.sortie import Plan

_FORMATION_SHARE = 0.27  # of the width
_LEAST_FORMATION_PT = 120.0  # narrower than this the rows have the room
_DISC, _MOST_ROW = 15.0, 84.0  # points
_STRIP_PITCHES = 3.6
_BEFORE = ("brief", "step", "start", "check_in", "taxi", "takeoff")
# a square for red, a disc for the others: told apart in grey too
_SIDES = {"blue": "blue_solid", "red": "red_solid"}


def make(plan: Plan) -> FigureMaker:
    """The maker; every sortie has a flight."""
    return lambda canvas: _draw(plan, canvas)


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    strip = _strip(plan, canvas)
    foot = canvas.height_pt - (_STRIP_PITCHES * canvas.pitch_pt("label") if strip else 0.0)
    spots = _spots(plan, Box(20, 30, _FORMATION_SHARE * canvas.width_pt - 20, foot - 20))
    left = _FORMATION_SHARE * canvas.width_pt + 16 if spots else 0.0
    shapes = [
        shape for spot, ship in zip(spots, _ships(plan), strict=False) for shape in _numbered(ship, spot)
    ]
    return Scene(
        canvas, (*shapes, *_rows(plan, Box(left, 0, canvas.width_pt, foot), canvas), *strip), _alt(plan)
    )


def _ships(plan: Plan) -> tuple[Ship, ...]:
    return tuple(plan.mission.file.flight)


def _spots(plan: Plan, box: Box) -> list[Point]:
    """Where each ship flies, as over the event (without one as in the fuel's order: none)."""
    ships = _ships(plan)
    if plan.mission.alone or not plan.passes or box.width < _LEAST_FORMATION_PT:
        return []
    formation = plan.passes[0].section.written.run_in.formation
    return spots_of(formation, [ship.ship for ship in ships], box, 5.0 * _DISC / 0.7)


def _numbered(ship: Ship, at: Point) -> list[Shape]:
    """A ship's number on its side's sign."""
    (x, y), r, style = at, _DISC, _SIDES.get(ship.side or "", "track_solid")
    sign: Shape = (
        Rect(x - r, y - r, 2 * r, 2 * r, style) if ship.side == "red" else Ellipse((x, y), r, r, style)
    )
    return [sign, Text((x, y), str(ship.ship), "on_dark", "middle")]


def _rows(plan: Plan, box: Box, canvas: Canvas) -> list[Shape]:
    """A row for each ship: number, people, tail, fuel, and whether it may lead."""
    ships, head = _ships(plan), canvas.pitch_pt("label")
    cells = [(text_or(ship.tail), _fuel(plan, ship), _lead(plan, ship)) for ship in ships]
    heads = ("Tail", "Fuel", "")
    wide = [
        max(
            width_pt(heads[n], canvas, "label_soft"),
            *(width_pt(row[n], canvas, "body_bold") for row in cells),
        )
        for n in range(3)
    ]
    right = [box.right - wide[2] - wide[1] - 40, box.right - wide[2] - 20, box.right]
    names = box.left + 2 * _DISC + 14
    room = right[0] - wide[0] - 16 - names
    pitch = min((box.height - head) / len(ships), _MOST_ROW)
    shapes: list[Shape] = [
        Text((x, box.top), said, "label_soft", "end", "top")
        for x, said in zip(right, heads, strict=True)
        if said
    ]
    for n, (ship, row) in enumerate(zip(ships, cells, strict=True)):
        y = box.top + head + (n + 0.5) * pitch
        crew, style = _crew(ship, room, pitch, canvas)
        shapes += [
            Line(((box.left, y - pitch / 2), (box.right, y - pitch / 2)), "grid"),
            *_numbered(ship, (box.left + _DISC, y)),
            Text((names, y), crew, style),
            Text((right[0], y), row[0], "body", "end"),
            Text((right[1], y), row[1], "body_bold", "end"),
            *([Text((right[2], y), row[2], "track", "end")] if row[2] else ()),
        ]
    return shapes


def _crew(ship: Ship, room: float, pitch: float, canvas: Canvas) -> tuple[str, str]:
    """The people, in the larger type where they have the room for it; with room for neither the first, and
    how many more, who stand in the backup."""
    for style in ("body_bold", "label_bold"):
        said = wrapped(", ".join(ship.crew), canvas, room, style)
        if (said.count("\n") + 1) * canvas.pitch_pt(style) <= pitch:
            return said, style
    more = f" +{len(ship.crew) - 1}" if len(ship.crew) > 1 else ""
    line, _, rest = wrapped(ship.crew[0], canvas, room - 40, "label_bold").partition("\n")
    return f"{line}{'…' if rest else ''}{more}", "label_bold"


def _fuel(plan: Plan, ship: Ship) -> str:
    own = next((each for each in (plan.fuel.ships if plan.fuel else ()) if each.ship == ship.ship), None)
    if own is None or plan.fuel is None:
        return NOT_GIVEN
    return words.fuel_figure(own.start_printed, own.scale.unit)


def _lead(plan: Plan, ship: Ship) -> str:
    if plan.mission.alone:
        return ""
    return "leads" if ship.ship == 1 else "may lead" if ship.may_lead else ""


def _strip(plan: Plan, canvas: Canvas) -> list[Shape]:
    """The times before take-off side by side, as far as they are given."""
    events = [event for event in plan.clock.events if event.kind in _BEFORE]
    pitch, each = canvas.pitch_pt("label"), canvas.width_pt / max(len(events), 1)
    top = canvas.height_pt - (_STRIP_PITCHES - 0.6) * pitch
    said = [(event.label, clock_words(plan, event.at)) for event in events]
    if len(events) < 2 or max(width_pt(at, canvas, "label_bold") for _, at in said) + 8 > each:
        return []
    shapes: list[Shape] = [Rect(0, top, canvas.width_pt, canvas.height_pt - top, "panel")]
    for n, (label, at) in enumerate(said):
        x = n * each + 10
        shapes += [
            Text((x, top + 4), label, "label", "start", "top"),
            Text((x, top + 4 + pitch), at, "label_bold", "start", "top"),
        ]
    return shapes


def _alt(plan: Plan) -> str:
    rows = [
        f"ship {ship.ship} {', '.join(ship.crew)}, tail {text_or(ship.tail)}, {_fuel(plan, ship)}"
        f"{f', {_lead(plan, ship)}' if _lead(plan, ship) else ''}"
        for ship in _ships(plan)
    ]
    times = [
        f"{event.label} {clock_words(plan, event.at)}" for event in plan.clock.events if event.kind in _BEFORE
    ]
    return f"Who flies: {'; '.join(rows)}. {', '.join(times)}."
