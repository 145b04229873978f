"""How high everything that is flown is over the ground of the mission's tiles: a row for each way, and
what they leave open for the one row of the terrain."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from briefgen.airmath.angles import turn_deg
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.mission.schema.ground import PRODUCTS, TerrainFiles
from briefgen.plan.gates.by_hand import checked_by_hand
from briefgen.plan.gates.legs import (
    Added,
    Limits,
    flown_names,
    judged_height,
    limits_of,
    minimum_of,
    parts_of,
    ways_of,
)
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import DEFAULT, not_checked, of_piece, of_training
from briefgen.plan.heights.ground import (
    FAR_QNH_FT,
    Answer,
    Margins,
    ground_under_area,
    ground_under_hold,
    ground_under_way,
    is_read,
    lowered,
    margins_of,
    turn_radius_nm,
)
from briefgen.plan.heights.legs import Way
from briefgen.plan.model import EventPlan, Gate, Source
from briefgen.plan.one_block import each_block
from briefgen.plan.sortie import Sortie
from briefgen.units.grammar import listed

FAR_QNH = f"{FAR_QNH_FT:.0f} ft less where no QNH is given within {WEATHER_NEAR_NM:.0f} nm ({DEFAULT.words})"
DIRECT = ("home", "divert")  # whose course at its beginning is any


@record
class Asked:
    """A row: what the tiles answer of it, and the limits that hold there. ``named``: it has several ways, and
    each is named. ``seen``: the pass or the sortie as a block sees it."""

    part: str
    title: str
    answers: tuple[Answer, ...]
    limits: Limits
    named: bool
    seen: EventPlan | Sortie | None = None


def over_ground(s: Sortie) -> Iterator[Gate]:
    """Every way, hold and area over the ground: a row for each, as far as the tiles say how high it is, and
    one of the terrain for what they leave open."""
    terrain = s.mission.file.terrain
    if terrain is None or not is_read(s.mission):
        yield from _terrain(
            s, flown_names(s), ["no terrain data are used"], ["the direct ways home and to diverts"]
        )
        return
    rows = list(asked(s))
    yield from _heights(s, rows, terrain)
    yield from _terrain(s, *_left_open(rows), [])


def _heights(s: Sortie, rows: Sequence[Asked], terrain: TerrainFiles) -> Iterator[Gate]:
    margins = margins_of(terrain)
    source = _source(terrain, margins)
    for row in rows:
        found = [over for answer in row.answers for over in answer.overs]
        overs = [lowered(over, margins, row.limits.most_ft) for over in found]
        far = any(before.air != after.air for before, after in zip(found, overs, strict=True))
        added = Added(margins.both_ft, source.also(FAR_QNH, "default") if far else source)
        id = f"ground-{row.part}"
        gates = judged_height(id, row.title, overs, limits=row.limits, named=row.named, added=added)
        for gate in gates:
            if isinstance(row.seen, EventPlan):
                yield of_piece(s, row.seen, gate)
            else:
                yield gate if row.seen is None else of_training(row.seen, gate)


def _source(terrain: TerrainFiles, margins: Margins) -> Source:
    """Whose heights they are, of what, and what is added to them."""
    product = PRODUCTS.get(terrain.product or "")
    surface = product is not None if terrain.surface is None else terrain.surface
    whose = terrain.product or f"heights above {terrain.vertical_datum}"
    off = product.source if product is not None and terrain.error is None else "as given"
    guesses = [
        f"{said} ({DEFAULT.words})" if typed is None else said
        for typed, said in (
            (terrain.unlisted, f"{margins.unlisted_ft:.0f} ft for what is not listed"),
            (terrain.corridor, f"{margins.corridor_nm:g} nm to each side"),
        )
    ]
    error = f"with {margins.error_ft:.0f} ft of error ({off}) and {guesses[0]} added, {guesses[1]}"
    return Source(f"{whose}{', treetops and roofs included' if surface else ''}, {error}", ("as given",))


def asked(s: Sortie) -> Iterator[Asked]:
    """What the tiles are asked."""
    turns = _turns(s)
    for part, title, ways, p in ways_of(s):
        limits = limits_of(s, part)
        answers = tuple(
            ground_under_way(s.mission, way, _turn_nm(part, way, turns), limits.most_ft) for way in ways
        )
        yield Asked(part, title, answers, limits, len(ways) > 1, p)
    limits = limits_of(s, "")
    for p in s.passes:
        if p.hold is not None:
            answer = ground_under_hold(s.mission, p.hold, p.ships, limits.most_ft)
            yield Asked("hold", "Hold", (answer,), limits, named=False, seen=p)
    for seen in each_block(s):
        answer = ground_under_area(seen.mission, limits.most_ft)
        yield Asked("area", "Area", (answer,), limits, named=True, seen=seen)


def _turn_nm(part: str, way: Way, turns: Mapping[KeyPath, float]) -> float:
    return turn_radius_nm(way.gs_kt) if part in DIRECT else turns.get(way.cause, 0.0)


def _turns(s: Sortie) -> dict[KeyPath, float]:
    """How far the turn onto each leg leads to its outside, by the leg's key."""
    found = {}
    for before, after in pairwise(s.legs):
        if before.end.id == after.start.id:
            angle = turn_deg(before.course_true_deg, after.course_true_deg)
            found[after.cause] = turn_radius_nm(max(before.gs_kt, after.gs_kt), angle)
    return found


def _left_open(rows: Sequence[Asked]) -> tuple[list[str], list[str]]:
    """What the tiles do not answer for: the names of the ways, and why; none where they answer for all."""
    answers = [answer for row in rows for answer in row.answers]
    names = [answer.name for answer in answers if answer.voids or answer.missing]
    missing = sorted({square for answer in answers for square in answer.missing})
    voids = sorted({tile for answer in answers for tile in answer.voids})
    why = [f"no tile holds all of {square}" for square in missing]
    return list(dict.fromkeys(names)), [*why, *(f"{tile} has a void there" for tile in voids)]


def _terrain(s: Sortie, names: list[str], why: list[str], besides: list[str]) -> Iterator[Gate]:
    """The ground that no tile answers for: it is checked by hand, or not at all. One row, which names all
    that it stands for; none where the tiles answer for everything. ``besides``: what is to be read off the
    chart too."""
    about, checked = text("terrain", parts=parts_of(s)), s.mission.file.terrain_checked
    if checked is not None:
        yield checked_by_hand(s, about, checked, limit=minimum_of(s), cause=about.cause)
    elif names:
        said = f"{listed(why, 'and')}: read it off the chart along {listed([*names, *besides], 'and')}"
        yield replace(not_checked(about, said), concerns=tuple(names))
