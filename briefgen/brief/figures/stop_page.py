"""How the pass is stopped: the words as large as they go, what is flown then, what happened as small pictures
with the answer that the unit gives, and the formation after each fall-out."""

from __future__ import annotations

from itertools import groupby
from typing import NamedTuple

from briefgen.airmath.formation import NoFormation, place_ships
from briefgen.brief.figures.common import width_pt, wrapped
from briefgen.brief.wording import format as words
from briefgen.brief.wording.lost_contact import NOT_BRIEFED, lost_contact_does
from briefgen.brief.wording.words import short_course, words_of
from briefgen.core.records import record
from briefgen.draw.scene.geometry import text_box
from briefgen.draw.scene.marks import cross, triangle
from briefgen.draw.scene.model import Arc, Canvas, Ellipse, FigureMaker, Line, Point, Rect, Scene, Shape, Text
from briefgen.mission.schema.event import Contingency
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan
from briefgen.units.blank import says_nothing

_WORDS = ("stop_huge", "stop_great", "stop_big", "stop_large", "red")  # the first that fits
_MOST_SHARE = 0.34  # of the height, for the words
_PICTURE = 54.0  # the height of a picture
_GAP = 14.0
_COLUMN_PT = 190.0  # the least width of a column
_MORE = "As in the answers, in the backup"


@record
class Tile:
    """A picture's name, what is drawn, and the answer."""

    head: str
    picture: str
    text: str


class FallOut(NamedTuple):
    """Without which ships, who leads then (0: nobody is named), in which formation, and who is left of the
    first of them."""

    without: str
    leads: int
    formation: str | None
    left: tuple[int, ...]


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without words to stop the pass."""
    event = plan.event
    if event is None or event.abort is None:
        return None
    return lambda canvas: _draw(plan, event, canvas)


def tiles_of(plan: Plan, event: EventPlan) -> list[Tile]:
    """The abort as flown; then what the unit answers to a lost wingman, cloud and no contact."""
    given = plan.mission.file.contingencies
    found = [Tile("Abort", "climb", _flown(event))]
    if not plan.mission.alone:
        found.append(Tile("Lost wingman", "wingman", _answer(given.lost_wingman)))
    found.append(Tile("In cloud", "cloud", _answer(given.inadvertent_cloud)))
    if plan.mission.the_event.ground_contact is not None:
        found.append(Tile("No contact", "silence", lost_contact_does(words_of(plan)) or NOT_BRIEFED))
    return found


def _answer(given: Contingency | None) -> str:
    return NOT_BRIEFED if given is None or says_nothing(given.action) else given.action


def _flown(event: EventPlan) -> str:
    abort = event.abort
    if abort is None or abort.altitude_ft is None:
        return "Level not given"
    climb = f"Climb to {words.height(abort.altitude_ft)} MSL"
    climb += "" if abort.climb_s is None else f", {words.duration(abort.climb_s)}"
    return climb if event.egress is None else f"{climb}; egress {short_course(event.egress)}"


def fall_outs_of(plan: Plan) -> list[FallOut]:
    """What the unit answers to each, those alike together."""
    given = plan.mission.file.contingencies.fall_outs
    usual = plan.mission.the_event.pass_.run_in.formation
    answers = [
        (ship, answer.leads or (1 if ship != 1 else 0), answer.formation or usual)
        for ship, answer in sorted(given.items())
    ]
    found = []
    for (leads, formation), group in groupby(answers, key=lambda answer: answer[1:]):
        ships = [ship for ship, _, _ in group]
        left = [s.ship for s in plan.mission.file.flight if s.ship not in (ships[0], leads)]
        who = words.listed([str(ship) for ship in ships], "or")
        flying = (*([leads] if leads else []), *left)
        found.append(FallOut(f"Without {who}", leads, formation if len(flying) > 1 else None, flying))
    return found


# ---------------------------------------------------------------- drawing


def _draw(plan: Plan, event: EventPlan, canvas: Canvas) -> Scene:
    shapes, top = _stop_words(event, canvas)
    tiles, fall_outs = tiles_of(plan, event), fall_outs_of(plan)
    foot = canvas.height_pt - (_PICTURE + _GAP if fall_outs else 0.0)
    columns = max(min(len(tiles), int((canvas.width_pt + _GAP) / (_COLUMN_PT + _GAP))), 1)
    rows = -(-len(tiles) // columns)
    high = (foot - top) / rows
    for number, tile in enumerate(tiles):
        wide = (canvas.width_pt - (columns - 1) * _GAP) / columns
        corner = ((number % columns) * (wide + _GAP), top + (number // columns) * high)
        shapes += _tile(tile, corner, (wide, high - _GAP), canvas)
    shapes += _fallen(fall_outs, canvas)
    return Scene(canvas, tuple(shapes), _alt(event, tiles, fall_outs))


def _stop_words(event: EventPlan, canvas: Canvas) -> tuple[list[Shape], float]:
    """The words in red on their wash, who says them, and where that ends."""
    said, room = event.abort.words if event.abort else "", canvas.width_pt - 24
    given = event.section.written.abort
    fitting = [
        (style, text)
        for style in _WORDS
        for text in (said, wrapped(said, canvas, room, style))
        if max(width_pt(line, canvas, style) for line in text.split("\n")) <= room
        and (text.count("\n") + 1) * canvas.pitch_pt(style) <= _MOST_SHARE * canvas.height_pt
    ]
    style, text = fitting[0] if fitting else (_WORDS[-1], wrapped(said, canvas, room, _WORDS[-1]))
    shout = Text((12, 4), text, style, "start", "top")
    under = text_box(shout, canvas.medium).bottom
    said_by = given.said_by if given and given.said_by else NOT_BRIEFED
    who = Text((12, under), wrapped(f"Said by {said_by}", canvas, room), "label", "start", "top")
    foot = text_box(who, canvas.medium).bottom + 6
    return [Rect(0, 0, canvas.width_pt, foot, "panel"), shout, who], foot + _GAP


def _tile(tile: Tile, corner: Point, size: tuple[float, float], canvas: Canvas) -> list[Shape]:
    """A picture between its name and the answer; without room for both the answer alone, or where it is."""
    (x, y), (wide, high) = corner, size
    head = Text((x, y), tile.head, "label_bold", "start", "top")
    under, said = y + canvas.pitch_pt("label_bold") + 4, wrapped(tile.text, canvas, wide)
    needed = (said.count("\n") + 1) * canvas.pitch_pt("label")
    if under + _PICTURE + 4 + needed <= y + high:
        picture = _PICTURES[tile.picture]((x + 40, under + _PICTURE / 2))
        return [head, *picture, Text((x, under + _PICTURE + 4), said, "label", "start", "top")]
    said = said if under + needed <= y + high else wrapped(_MORE, canvas, wide)
    return [head, Text((x, under), said, "label", "start", "top")]


def _fallen(fall_outs: list[FallOut], canvas: Canvas) -> list[Shape]:
    """The formations after each fall-out in a row at the foot, as many as its width holds."""
    shapes: list[Shape] = []
    x, middle = 0.0, canvas.height_pt - _PICTURE / 2
    for each in fall_outs:
        said = f"{each.without}\n{', '.join(filter(None, (_lead_words(each), each.formation)))}"
        ships = _formation(each.formation, each.left, (x, middle))
        wide = _PICTURE + 16 + max(width_pt(line, canvas) for line in said.split("\n"))
        if x + wide > canvas.width_pt:
            break
        shapes += [*ships, Text((x + _PICTURE + 12, middle), said, "label")]
        x += wide + 2 * _GAP
    return shapes


def _lead_words(fall_out: FallOut, ship: str = "") -> str:
    return f"{ship}{fall_out.leads} leads" if fall_out.leads else "nobody named to lead"


def _formation(name: str | None, ships: tuple[int, ...], at: Point) -> list[Shape]:
    """The ships that are left, flying up, in a square of a picture's height; nothing where the shape has no
    place for them."""
    placed = place_ships(name or "", ships, spacing_ft=1.0, step_down_ft=0.0)
    if isinstance(placed, NoFormation):
        return []
    across, back = [p.right_ft for p in placed], [p.back_ft for p in placed]
    scale = (_PICTURE - 14) / max(max(across) - min(across), max(back) - min(back), 1.0)
    x = at[0] + _PICTURE / 2 - (max(across) + min(across)) / 2 * scale
    y = at[1] - (max(back) + min(back)) / 2 * scale
    spots = [(x + a * scale, y + b * scale) for a, b in zip(across, back, strict=True)]
    return [triangle(spot, 7, "track_solid" if n else "target_solid") for n, spot in enumerate(spots)]


def _climb(at: Point) -> list[Shape]:
    x, y = at
    return [
        Line(((x - 40, y + 20), (x - 8, y + 20), (x + 36, y - 20)), "red", "end"),
        Line(((x - 8, y + 20), (x + 40, y + 20)), "track_dashed"),
    ]


def _wingman(at: Point) -> list[Shape]:
    """A leader, and where a wingman should be."""
    x, y = at
    gone = (x + 18, y + 14)
    return [
        triangle((x - 10, y - 12), 10, "track_solid"),
        *(Arc(gone, 13, start, start + 40, "leader") for start in range(0, 360, 60)),
        Text(gone, "?", "label_bold", "middle"),
    ]


def _cloud(at: Point) -> list[Shape]:
    x, y = at
    puffs = ((x - 20, y + 4, 17), (x, y - 6, 20), (x + 20, y + 4, 17))
    ship = triangle((x, y), 10, "track_solid", 90)
    return [*(Ellipse((px, py), r, r, "cloud") for px, py, r in puffs), ship]


def _silence(at: Point) -> list[Shape]:
    """Waves that reach nobody."""
    x, y = at
    waves = [Arc((x - 26, y), r, 55, 125, "line") for r in (12, 22, 32)]
    struck = [Line(((x + 14, y - d * 8), (x + 30, y + d * 8)), "red") for d in (1, -1)]
    return [*cross((x - 26, y), 4), *waves, *struck]


_PICTURES = {"climb": _climb, "wingman": _wingman, "cloud": _cloud, "silence": _silence}


def _alt(event: EventPlan, tiles: list[Tile], fall_outs: list[FallOut]) -> str:
    said = [f"{tile.head}: {tile.text}" for tile in tiles]
    said += [
        f"{each.without}: {_lead_words(each, 'ship ')}, {each.formation or 'alone'}" for each in fall_outs
    ]
    return f"The pass is stopped with {event.abort.words if event.abort else ''}. {'. '.join(said)}."
