"""How the pass is stopped: the words as large as they go, what is flown then, what happened as small pictures
with the answer that the unit gives, and the formation after each fall-out, its new leader numbered."""

from __future__ import annotations

from dataclasses import replace
from itertools import groupby
from typing import NamedTuple

from briefgen.brief.figures.common import count_words, short_of_words, width_pt, wrapped
from briefgen.brief.figures.formation import spots_of
from briefgen.brief.wording import format as words
from briefgen.brief.wording.lost_contact import NOT_BRIEFED, lost_contact_in_short
from briefgen.brief.wording.words import short_course, words_of
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.marks import cross, triangle
from briefgen.draw.scene.model import Arc, Canvas, Ellipse, FigureMaker, Line, Point, Rect, Scene, Shape, Text
from briefgen.mission.schema.event import Contingency
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan
from briefgen.units.blank import says_nothing

_WORDS = ("stop_huge", "stop_great", "stop_big", "stop_large", "red")  # the first that fits
_MOST_SHARE = 0.34  # of the height, for the words
# the style of the answers and the height of the pictures, the first that fits
_LOOKS = (("body", 84.0), ("body", 60.0), ("label", 60.0), ("label", 0.0))
_DRAWN = 54.0  # the height of a picture in which its measures are given
_FORMATION = 64.0  # the height of what flies on
_GAP = 14.0
_COLUMN_PT = 190.0  # the least width of a column
_MORE = "As in the backup"
_MOST_WORDS = 40  # beside those that stop it; a longer answer stands in the notes and the backup


@record
class Tile:
    """A picture's name, what is drawn, the figures that stand in it, and the answer."""

    head: str
    picture: str
    text: str
    figures: str = ""


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
    """The abort as flown; then what the unit answers to a lost wingman, cloud and no contact, the longest
    answers left to the backup."""
    tiles = _all_tiles(plan, event)
    others = [*(tile.head for tile in tiles), *(each.without for each in fall_outs_of(plan))]
    room = _MOST_WORDS - sum(map(count_words, others))
    texts = short_of_words([tile.text for tile in tiles], room, _MORE)
    return [replace(tile, text=text) for tile, text in zip(tiles, texts, strict=True)]


def _all_tiles(plan: Plan, event: EventPlan) -> list[Tile]:
    given, abort = plan.mission.file.contingencies, event.section.written.abort
    action = abort.action if abort is not None else None
    flown = NOT_BRIEFED if action is None or says_nothing(action) else action
    found = [Tile("Abort", "climb", flown, _flown(event))]
    if not plan.mission.alone:
        found.append(Tile("Lost wingman", "wingman", _answer(given.lost_wingman)))
    found.append(Tile("In cloud", "cloud", _answer(given.inadvertent_cloud)))
    if plan.mission.the_event.ground_contact is not None:
        found.append(Tile("No contact", "silence", lost_contact_in_short(words_of(plan)) or NOT_BRIEFED))
    return found


def _answer(given: Contingency | None) -> str:
    return NOT_BRIEFED if given is None or says_nothing(given.action) else given.action


def _flown(event: EventPlan) -> str:
    """``2000 ft MSL, 12 s, 041 M``, the course that of the egress."""
    abort = event.abort
    if abort is None or abort.altitude_ft is None:
        return "Level not given"
    climb = f"{words.height(abort.altitude_ft)} MSL"
    climb += "" if abort.climb_s is None else f", {words.duration(abort.climb_s)}"
    return climb if event.egress is None else f"{climb}, {short_course(event.egress)}"


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
    foot = canvas.height_pt - (_FORMATION + _GAP if fall_outs else 0.0)
    columns = max(min(len(tiles), int((canvas.width_pt + _GAP) / (_COLUMN_PT + _GAP))), 1)
    rows = -(-len(tiles) // columns)
    high, wide = (foot - top) / rows, (canvas.width_pt - (columns - 1) * _GAP) / columns
    look = _look(tiles, (wide, high - _GAP), canvas)
    for number, tile in enumerate(tiles):
        corner = ((number % columns) * (wide + _GAP), top + (number // columns) * high)
        shapes += _tile(tile, corner, (wide, high - _GAP), look, canvas)
    shapes += _fallen(fall_outs, canvas)
    return Scene(canvas, tuple(shapes), _alt(event, tiles, fall_outs))


def _stop_words(event: EventPlan, canvas: Canvas) -> tuple[list[Shape], float]:
    """The words in red on their wash, and where that ends."""
    said, room = event.abort.words if event.abort else "", canvas.width_pt - 24
    fitting = [
        (style, text)
        for style in _WORDS
        for text in (said, wrapped(said, canvas, room, style))
        if max(width_pt(line, canvas, style) for line in text.split("\n")) <= room
        and (text.count("\n") + 1) * canvas.pitch_pt(style) <= _MOST_SHARE * canvas.height_pt
    ]
    style, text = fitting[0] if fitting else (_WORDS[-1], wrapped(said, canvas, room, _WORDS[-1]))
    shout = Text((12, 4), text, style, "start", "top")
    foot = text_box(shout, canvas.medium).bottom + 4
    return [Rect(0, 0, canvas.width_pt, foot, "panel"), shout], foot + _GAP


def _look(tiles: list[Tile], size: tuple[float, float], canvas: Canvas) -> tuple[str, float]:
    """The style of the answers and the height of the pictures: the largest in which each has room."""
    for style, picture_pt in _LOOKS:
        if all(_needed_pt(tile, size[0], (style, picture_pt), canvas) <= size[1] for tile in tiles):
            return style, picture_pt
    return _LOOKS[-1]


def _needed_pt(tile: Tile, wide: float, look: tuple[str, float], canvas: Canvas) -> float:
    style, picture_pt = look
    texts = [wrapped(tile.text, canvas, wide, style), *_figures(tile, wide, style, canvas)]
    lines = sum(text.count("\n") + 1 for text in texts)
    return _above(picture_pt, canvas) + lines * canvas.pitch_pt(style)


def _figures(tile: Tile, wide: float, style: str, canvas: Canvas) -> list[str]:
    return [wrapped(tile.figures, canvas, wide, f"{style}_bold")] if tile.figures else []


def _above(picture_pt: float, canvas: Canvas) -> float:
    """From a tile's top to its answer."""
    return canvas.pitch_pt("body_bold") + 4 + (picture_pt + 6 if picture_pt else 0.0)


def _tile(
    tile: Tile, corner: Point, size: tuple[float, float], look: tuple[str, float], canvas: Canvas
) -> list[Shape]:
    """A picture between its name and the answer, below the figures of it; where the answer has no room, where
    it is."""
    (x, y), (wide, high), (style, picture_pt) = corner, size, look
    said = tile.text if _needed_pt(tile, wide, look, canvas) <= high else _MORE
    shapes: list[Shape] = [Text((x, y), tile.head, "body_bold", "start", "top")]
    if picture_pt:
        k, middle = picture_pt / _DRAWN, y + canvas.pitch_pt("body_bold") + 4 + picture_pt / 2
        shapes += _PICTURES[tile.picture]((x + 40 * k, middle), k)
    under = y + _above(picture_pt, canvas)
    for figures in _figures(tile, wide, style, canvas):
        shapes.append(Text((x, under), figures, f"{style}_bold", "start", "top"))
        under += (figures.count("\n") + 1) * canvas.pitch_pt(style)
    return [*shapes, Text((x, under), wrapped(said, canvas, wide, style), style, "start", "top")]


def _fallen(fall_outs: list[FallOut], canvas: Canvas) -> list[Shape]:
    """What flies on after each fall-out in a row at the foot, as many as its width holds."""
    shapes: list[Shape] = []
    x, middle = 0.0, canvas.height_pt - _FORMATION / 2
    for each in fall_outs:
        ships = _formation(each, (x, middle))
        said = each.without if ships else f"{each.without}\n{_lead_words(each)}"
        wide = _FORMATION + 16 + max(width_pt(line, canvas, "body") for line in said.split("\n"))
        if x + wide > canvas.width_pt:
            break
        shapes += [*ships, Text((x + _FORMATION + 16, middle), said, "body")]
        x += wide + 3 * _GAP
    return shapes


def _lead_words(fall_out: FallOut, ship: str = "") -> str:
    return f"{ship}{fall_out.leads} leads" if fall_out.leads else "nobody named to lead"


def _formation(fall_out: FallOut, at: Point) -> list[Shape]:
    """The ships that are left, flying up, in a square of a row's height, the number of who leads them at the
    first; nothing where the shape has no place for them or nobody is named to lead."""
    spots = _spots(fall_out, at) if fall_out.leads else []
    ships = [triangle(spot, 9, "track_solid" if n else "target_solid") for n, spot in enumerate(spots)]
    return [*ships, *(Text((x + 13, y - 4), str(fall_out.leads), "body_target") for x, y in spots[:1])]


def _spots(fall_out: FallOut, at: Point) -> list[Point]:
    x, y = at[0] + _FORMATION / 2, at[1]
    if len(fall_out.left) == 1:
        return [(x, y)]
    return spots_of(fall_out.formation, fall_out.left, Box(x, y, x, y).grown(_FORMATION / 2 - 9))


def _climb(at: Point, k: float) -> list[Shape]:
    x, y = at
    return [
        Line(((x - 40 * k, y + 20 * k), (x - 8 * k, y + 20 * k), (x + 36 * k, y - 20 * k)), "red", "end"),
        Line(((x - 8 * k, y + 20 * k), (x + 40 * k, y + 20 * k)), "track_dashed"),
    ]


def _wingman(at: Point, k: float) -> list[Shape]:
    """A leader, and where a wingman should be."""
    x, y = at
    gone = (x + 18 * k, y + 12 * k)
    return [
        triangle((x - 10 * k, y - 12 * k), 10 * k, "track_solid"),
        *(Arc(gone, 13 * k, start, start + 40, "leader") for start in range(0, 360, 60)),
        Text(gone, "?", "label_bold", "middle"),
    ]


def _cloud(at: Point, k: float) -> list[Shape]:
    x, y = at
    puffs = ((x - 20 * k, y + 4 * k, 17 * k), (x, y - 6 * k, 20 * k), (x + 20 * k, y + 4 * k, 17 * k))
    ship = triangle((x, y), 10 * k, "track_solid", 90)
    return [*(Ellipse((px, py), r, r, "cloud") for px, py, r in puffs), ship]


def _silence(at: Point, k: float) -> list[Shape]:
    """Waves that reach nobody."""
    x, y = at
    waves = [Arc((x - 26 * k, y), r * k, 55, 125, "line") for r in (12, 22, 32)]
    struck = [Line(((x + 14 * k, y - d * 8 * k), (x + 30 * k, y + d * 8 * k)), "red") for d in (1, -1)]
    return [*cross((x - 26 * k, y), 4 * k), *waves, *struck]


_PICTURES = {"climb": _climb, "wingman": _wingman, "cloud": _cloud, "silence": _silence}


def _alt(event: EventPlan, tiles: list[Tile], fall_outs: list[FallOut]) -> str:
    said = [f"{tile.head}: {', '.join(filter(None, (tile.figures, tile.text)))}" for tile in tiles]
    said += [
        f"{each.without}: {_lead_words(each, 'ship ')}, {each.formation or 'alone'}" for each in fall_outs
    ]
    return f"The pass is stopped with {event.abort.words if event.abort else ''}. {'. '.join(said)}."
