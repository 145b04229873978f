"""How high the whole way lies over the ground: the level of every leg, in flying order, above the highest
ground of its corridor, where the mission names tiles.

The levels are what the altimeter reads, a climb or descent as the gates judge it: at the lower of its two
levels until it has climbed. Holds and areas, which lead nowhere, have no length here; what is listed as an
obstacle is not ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby, pairwise

from briefgen.airmath.geodesy import points_along
from briefgen.brief.figures.common import Scale, feet_msl, width_pt
from briefgen.brief.figures.profile_data import drawn_ft
from briefgen.brief.wording import format as words
from briefgen.core.records import kept, record
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Point, Polygon, Scene, Shape, Text
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.plan.heights.ground import highest_along, is_read
from briefgen.plan.heights.legs import Way, leg_way, read_at
from briefgen.plan.model import Leg
from briefgen.plan.route.air import position
from briefgen.plan.sortie import Plan
from briefgen.units.rounding import decimals

PIECE_NM = 2.0  # of a leg, over which its highest ground is one
_ABOVE_PITCHES = 1.6  # of room above the highest level, for its words
_BELOW_PITCHES = 2.0  # of ground drawn below the lowest
_UNKNOWN = "?"


@record
class Step:
    """A piece of a leg, from so far along the whole way to so far: what the altimeter reads at both ends, and
    what it would read on the highest ground of its corridor (None: no tile holds all of it)."""

    begins_nm: float
    ends_nm: float
    levels_ft: tuple[float | None, float | None]
    ground_ft: float | None


@record
class Stretch:
    """A leg and its pieces."""

    leg: Leg
    steps: tuple[Step, ...]


@record
class Panel:
    """Where the drawing lies and its scales of the way flown and of height."""

    canvas: Canvas
    box: Box
    along: Scale
    height: Scale


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None where no tile is read or nothing of the way lies on one."""
    stretches = stretches_of(plan)
    return (lambda canvas: _draw(stretches, canvas)) if highest(stretches) is not None else None


@kept
def stretches_of(plan: Plan) -> tuple[Stretch, ...]:
    """Every leg of the whole way, in flying order; none where the mission names no tiles."""
    if not is_read(plan.mission):
        return ()
    ships = plan.passes[0].ships if plan.passes else ()
    found, flown_nm = [], 0.0
    for n, leg in enumerate(plan.legs):
        way = leg_way(plan.mission, leg, ships, takes_off=n == 0 and leg.kind == "departure")
        found.append(Stretch(leg, _steps(plan, leg, way, flown_nm)))
        flown_nm += leg.distance_nm
    return tuple(found)


def _steps(plan: Plan, leg: Leg, way: Way, flown_nm: float) -> tuple[Step, ...]:
    points = points_along(position(way.start), position(way.end), PIECE_NM)
    grounds = highest_along(plan.mission, points, way.ships)
    edges = [leg.distance_nm * n / len(points[1:]) for n in range(len(points))] if grounds else []
    return tuple(
        Step(
            flown_nm + begins,
            flown_nm + ends,
            (read_at(way, begins), read_at(way, ends)),
            None if ground is None else max(drawn_ft(column, ground) for column in way.columns),
        )
        for (begins, ends), ground in zip(pairwise(edges), grounds, strict=True)
    )


def highest(stretches: tuple[Stretch, ...]) -> tuple[float, Leg] | None:
    """The highest ground of all corridors, and the leg that it lies under; None where none is known."""
    known = [
        (step.ground_ft, stretch.leg)
        for stretch in stretches
        for step in stretch.steps
        if step.ground_ft is not None
    ]
    return max(known, key=lambda each: each[0], default=None)


def _draw(stretches: tuple[Stretch, ...], canvas: Canvas) -> Scene:
    panel = _panel(stretches, canvas)
    grounds = [shape for stretch in stretches for shape in _ground(stretch, panel)]
    shapes = (
        *_grid(panel),
        *grounds,
        *_uprights(stretches, panel),
        *(Line(points, "track") for points in _levels(stretches, panel)),
        *_apart([*_level_words(stretches, panel), *_ground_words(stretches, panel)], canvas),
        *_apart(_place_words(stretches, panel), canvas),
    )
    return Scene(canvas, shapes, alt(stretches))


def _panel(stretches: tuple[Stretch, ...], canvas: Canvas) -> Panel:
    pitch, steps = canvas.pitch_pt("label"), [step for each in stretches for step in each.steps]
    box = Box(
        width_pt("10000", canvas) + 6 + pitch,
        0.5 * pitch,
        canvas.width_pt - 0.5 * pitch,
        canvas.height_pt - 1.6 * pitch,
    )
    levels = [ft for step in steps for ft in step.levels_ft if ft is not None]
    grounds = [step.ground_ft for step in steps if step.ground_ft is not None]
    low, high = min(*grounds, *levels), max(*grounds, *levels)
    ft_per_pt = (high - low) / max(box.height - (_ABOVE_PITCHES + _BELOW_PITCHES) * pitch, 1.0)
    below, above = (pitches * pitch * ft_per_pt for pitches in (_BELOW_PITCHES, _ABOVE_PITCHES))
    along = Scale(0.0, max(step.ends_nm for step in steps), box.left, box.right)
    return Panel(canvas, box, along, Scale(low - below, high + above, box.bottom, box.top))


def _grid(panel: Panel) -> list[Shape]:
    box, height, shapes = panel.box, panel.height, list[Shape]()
    for value in ticks(height.low, height.high, nice_step(height.high - height.low, 5)):
        y = height.at(value)
        shapes.append(Line(((box.left, y), (box.right, y)), "grid"))
        shapes.append(Text((box.left - 4, y), decimals(value), "label", "end"))
    middle = (panel.canvas.pitch_pt("label") / 2, (box.top + box.bottom) / 2)
    return [*shapes, Text(middle, "ft MSL", "label_soft", "middle", turn_deg=-90)]


def _ground(stretch: Stretch, panel: Panel) -> list[Shape]:
    """Its top piece by piece; where that isn't known nothing but a question mark."""
    bottom, shapes = panel.box.bottom, list[Shape]()
    for known, steps in groupby(stretch.steps, lambda step: step.ground_ft is not None):
        run = list(steps)
        left, right = panel.along.at(run[0].begins_nm), panel.along.at(run[-1].ends_nm)
        if known:
            top = tuple(_top(run, panel))
            shapes += [Polygon(((left, bottom), *top, (right, bottom)), "ground"), Line(top, "line")]
        else:
            at = ((left + right) / 2, bottom - 0.7 * panel.canvas.pitch_pt("label"))
            shapes.append(Text(at, _UNKNOWN, "label_bold", "middle"))
    return shapes


def _top(steps: Sequence[Step], panel: Panel) -> Iterator[Point]:
    for step in steps:
        for nm in (step.begins_nm, step.ends_nm):
            yield panel.along.at(nm), panel.height.at(step.ground_ft or 0.0)


def _uprights(stretches: tuple[Stretch, ...], panel: Panel) -> list[Shape]:
    """Where one leg ends and the next begins."""
    return [Line(((x, panel.box.top), (x, panel.box.bottom)), "grid") for x, _ in _ends(stretches, panel)]


def _ends(stretches: tuple[Stretch, ...], panel: Panel) -> list[tuple[float, str]]:
    """Where each leg begins, and the last ends, with the name of the place."""
    steps = [(stretch.leg, stretch.steps) for stretch in stretches if stretch.steps]
    found = [(panel.along.at(of_leg[0].begins_nm), leg.start.id) for leg, of_leg in steps]
    last, of_last = steps[-1]
    return [*found, (panel.along.at(of_last[-1].ends_nm), last.end.id)]


def _levels(stretches: tuple[Stretch, ...], panel: Panel) -> list[tuple[Point, ...]]:
    """What the altimeter reads along the way, as lines without a gap."""
    lines: list[list[Point]] = [[]]
    for step in (step for each in stretches for step in each.steps):
        begins_ft, ends_ft = step.levels_ft
        if begins_ft is None or ends_ft is None:
            lines.append([])
        else:
            lines[-1] += [
                (panel.along.at(nm), panel.height.at(ft))
                for nm, ft in ((step.begins_nm, begins_ft), (step.ends_nm, ends_ft))
            ]
    return [tuple(line) for line in lines if line]


def _level_words(stretches: tuple[Stretch, ...], panel: Panel) -> list[Text]:
    """Each new level above its leg, where the leg is as long as its words."""
    found, before, canvas = list[Text](), -1.0, panel.canvas
    for leg, steps in ((each.leg, each.steps) for each in stretches if each.steps):
        said = words.height(leg.altitude_ft)
        x1, x2 = panel.along.at(steps[0].begins_nm), panel.along.at(steps[-1].ends_nm)
        if leg.altitude_ft != before and width_pt(said, canvas, "label_bold") <= x2 - x1:
            y = panel.height.at(leg.altitude_ft) - 0.3 * canvas.pitch_pt("label")
            found.append(Text(((x1 + x2) / 2, y), said, "label_bold", "middle", "bottom"))
            before = leg.altitude_ft
    return found


def _ground_words(stretches: tuple[Stretch, ...], panel: Panel) -> list[Text]:
    """The highest ground, below its top."""
    top, canvas = highest(stretches), panel.canvas
    assert top is not None, "nothing is drawn without"
    step = next(s for each in stretches for s in each.steps if s.ground_ft == top[0])
    said = f"ground {feet_msl(top[0])}"
    half = width_pt(said, canvas) / 2 + 2
    x = panel.along.at((step.begins_nm + step.ends_nm) / 2)
    x = min(max(x, panel.box.left + half), panel.box.right - half)
    return [Text((x, panel.height.at(top[0]) + 3), said, "label", "middle", "top")]


def _place_words(stretches: tuple[Stretch, ...], panel: Panel) -> list[Text]:
    """Below where the legs meet: the first and the last, then as many as have room between."""
    ends, foot = _ends(stretches, panel), panel.box.bottom + 3
    texts = []
    for wanted, name in (ends[0], ends[-1], *ends[1:-1]):
        half = width_pt(name, panel.canvas) / 2
        x = min(max(wanted, half), panel.canvas.width_pt - half)
        texts.append(Text((x, foot), name, "label", "middle", "top"))
    return texts


def _apart(texts: list[Text], canvas: Canvas) -> list[Text]:
    """Those of them, the first before the later, that stand on none of the others."""
    kept: list[Text] = []
    for text in texts:
        box = text_box(text, canvas.medium).grown(3)
        if not any(box.overlaps(text_box(other, canvas.medium)) for other in kept):
            kept.append(text)
    return kept


def alt(stretches: tuple[Stretch, ...]) -> str:
    """The drawing in words: each leg's level and the highest ground of its corridor."""
    said = []
    for leg, steps in ((each.leg, each.steps) for each in stretches if each.steps):
        known = [step.ground_ft for step in steps if step.ground_ft is not None]
        open_nm = sum(step.ends_nm - step.begins_nm for step in steps if step.ground_ft is None)
        ground = f"ground up to {feet_msl(max(known))}" if known else "ground not known"
        part = f", not known for {words.distance(open_nm)} of it" if known and open_nm else ""
        said.append(f"{leg.between} at {feet_msl(leg.altitude_ft)}, {ground}{part}")
    return f"Levels of the legs over the highest ground beside them: {'; '.join(said)}."
