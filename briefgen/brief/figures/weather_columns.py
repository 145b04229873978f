"""The weather where and when it is needed, each place a column: cloud to scale against the least ceiling,
sight against the least, what is only temporary or likely named so; below them the light of the day."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.figures.common import Scale, clock_words, name_of, time_scale, width_pt, wrapped
from briefgen.brief.figures.daylight import bands, day_of, event_texts
from briefgen.brief.wording import format as words
from briefgen.brief.wording.weather import cloud_words, sight_words
from briefgen.brief.wording.weather_needed import Place, places_of
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.marks import status_mark
from briefgen.draw.scene.model import Anchor, Canvas, FigureMaker, Line, Rect, Scene, Shape, Text
from briefgen.draw.scene.ticks import nice_step, ticks
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.plan.gates.weather import above_ground_ft
from briefgen.plan.model import WORST_FIRST, Gate
from briefgen.plan.sortie import Plan
from briefgen.units.rounding import decimals
from briefgen.units.values import CloudLayer

_AMOUNT = {"FEW": 0.25, "SCT": 0.5, "BKN": 0.8, "OVC": 1.0}  # of the column's width, so much of the sky
_THICK_PT = 9.0  # of a layer, whose top nobody drew
_LEAST_PT = 113.0  # the width of a column
_LOWEST_TOP_FT, _HIGHEST_TOP_FT = 3000.0, 8000.0
_STRIP_PITCHES = 4.2  # the light of the day


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without a forecast."""
    return (lambda canvas: _draw(plan, canvas)) if plan.mission.file.weather is not None else None


# ---------------------------------------------------------------- drawing


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    """As many columns in a row as have the width for their words, in as many rows as that asks."""
    places, pitch = places_of(plan), canvas.pitch_pt("label")
    axis = width_pt("ft AGL", canvas) + 8
    words_pt = max(width_pt(_worst(place) or "", canvas, "label_bold") for place in places)
    most = max(int((canvas.width_pt - axis) / max(_LEAST_PT, words_pt + 30)), 1)
    rows = -(-len(places) // most)
    each = -(-len(places) // rows)
    foot = canvas.height_pt - _STRIP_PITCHES * pitch
    shapes: list[Shape] = []
    for number in range(rows):
        box = Box(axis, number * foot / rows, canvas.width_pt, (number + 1) * foot / rows)
        shapes += _row(plan, places[number * each : (number + 1) * each], box, canvas)
    shapes += _light(plan, Box(0, foot, canvas.width_pt, canvas.height_pt), canvas)
    return Scene(canvas, tuple(shapes), _alt(plan, places))


def _row(plan: Plan, places: tuple[Place, ...], room: Box, canvas: Canvas) -> Iterator[Shape]:
    """Columns side by side on one scale of heights."""
    pitch, wide = canvas.pitch_pt("label"), room.width / len(places)
    heads = [_head(plan, place, wide - 12, canvas) for place in places]
    top = room.top + (max(name.count("\n") + when.count("\n") for name, when in heads) + 2) * pitch + 4
    sights = max(_sight(place, wide - 12, canvas).count("\n") for place in places)
    scale = Scale(0.0, _top_ft(plan, places), room.bottom - (2.9 + sights) * pitch, top)
    step = nice_step(scale.high, 4)
    for value in ticks(0.0, scale.high, step):
        y = scale.at(value)
        yield Line(((room.left, y), (room.right, y)), "grid")
        yield Text((room.left - 6, y), decimals(value), "label", "end")
    if scale.at(0.0) - scale.at(step) > 2.2 * pitch:
        yield Text((0, (scale.at(0.0) + scale.at(step)) / 2), "ft AGL", "label_soft")
    for number, (place, head) in enumerate(zip(places, heads, strict=True)):
        corner = (room.left + number * wide, room.top)
        yield from _column(plan, place, head, (corner, wide - 12), scale=scale, canvas=canvas)


def _head(plan: Plan, place: Place, wide: float, canvas: Canvas) -> tuple[str, str]:
    """The name, and below it for what and when; both broken to the column's width."""
    when = f"{place.what} {clock_words(plan, place.at)}"
    return wrapped(name_of(place.point), canvas, wide, "label_bold"), wrapped(when, canvas, wide)


def _top_ft(plan: Plan, places: tuple[Place, ...]) -> float:
    """As high as the lowest layers and the least ceilings ask."""
    asked = [_LOWEST_TOP_FT]
    for place in places:
        asked += [1.25 * base for _, base, _ in _layers(plan, place)[:1]]
        asked += [1.5 * place.least_ft] if place.least_ft is not None else []
    return min(max(asked), _HIGHEST_TOP_FT)


def _layers(plan: Plan, place: Place) -> list[tuple[str, float, str]]:
    """Amount and base above the ground of each layer whose height is known, the lowest first, and for one
    that doesn't prevail then what it is, such as ``TEMPO``."""
    lasting = place.weather.cloud or () if place.weather is not None else ()
    layers: dict[CloudLayer, str] = dict.fromkeys(lasting, "")
    for how, weather in (*place.changing, *place.passing):
        for layer in weather.cloud or ():
            layers.setdefault(layer, how)
    found = (
        (layer.amount, above_ground_ft(plan, place.point, layer.base), how) for layer, how in layers.items()
    )
    known = ((amount, base, how) for amount, base, how in found if base is not None)
    return sorted(known, key=lambda each: each[1])


def _column(
    plan: Plan,
    place: Place,
    head: tuple[str, str],
    at: tuple[tuple[float, float], float],
    *,
    scale: Scale,
    canvas: Canvas,
) -> Iterator[Shape]:
    ((left, above), wide), pitch = at, canvas.pitch_pt("label")
    top, bottom, (name, when) = scale.end, scale.start, head
    yield Text((left, above), name, "label_bold", "start", "top")
    yield Text((left, above + (name.count("\n") + 1) * pitch), when, "label", "start", "top")
    yield Rect(left, top, wide, bottom - top, "panel")
    yield Line(((left, bottom), (left + wide, bottom)), "heavy")
    yield from _clouds(plan, place, (left, wide), scale=scale, canvas=canvas)
    yield from _judged(place, (left, bottom + 0.5 * pitch), wide, canvas)


def _clouds(
    plan: Plan, place: Place, across: tuple[float, float], *, scale: Scale, canvas: Canvas
) -> Iterator[Shape]:
    """The least ceiling as a line, and each layer as wide as it covers the sky, with their words where they
    touch nothing; what lies higher than the drawing stands at its top."""
    (left, wide), layers = across, _layers(plan, place)
    wanted: list[tuple[float, float, str, str]] = []  # the words' line from above and below, words, style
    taken: list[Box] = []
    for amount, base, how in layers:
        y, part = max(scale.at(base), scale.end + _THICK_PT), _AMOUNT.get(amount, 1.0) * wide
        middle = left + wide / 2
        taken.append(Box(middle - part / 2, y - _THICK_PT, middle + part / 2, y))
        yield Rect(middle - part / 2, y - _THICK_PT, part, _THICK_PT, "cloud_at_times" if how else "cloud")
        wanted.append((y - _THICK_PT, y, f"{how} {amount} {decimals(base)}".lstrip(), "label"))
        if base > scale.high:
            break
    if place.least_ft is not None:
        y = scale.at(place.least_ft)
        yield Line(((left, y), (left + wide, y)), "minimum")
        taken.append(Box(left, y - 1, left + wide, y + 1))
        wanted.insert(0, (y, y, f"min {decimals(place.least_ft)}", "target"))
    for above, below, said, style in wanted:
        below_it = Text((left + 4, below + 2), said, style, "start", "top")
        above_it = Text((left + 4, above - 2), said, style, "start", "bottom")
        for text in (below_it, above_it):
            own = text_box(text, canvas.medium)
            if scale.end - 0.5 <= own.top and own.bottom <= scale.start and not any(map(own.overlaps, taken)):
                taken.append(own)
                yield text
                break
    if not layers:
        said = wrapped(cloud_words(place.weather or WeatherAt()), canvas, wide - 8)
        yield Text((left + 4, scale.end + 2), said, "label", "start", "top")


def _judged(place: Place, at: tuple[float, float], wide: float, canvas: Canvas) -> Iterator[Shape]:
    """Sight and its minimum, and the worse of both verdicts in sign and word."""
    (x, y), said = at, _sight(place, wide, canvas)
    yield Text((x, y), said, "label", "start", "top")
    if worst := _worst(place):
        size = 0.6 * canvas.size_pt("label")
        line = y + (said.count("\n") + 1.62) * canvas.pitch_pt("label")
        yield status_mark(worst, (x + size / 2 + 1, line), size)
        yield Text((x + 1.8 * size, line), worst, "label_bold")


def _sight(place: Place, wide: float, canvas: Canvas) -> str:
    said = sight_words(place.weather or WeatherAt())
    said += f"{_state_words(place.changing)}{_less_sight(place)}{_least_sight(place.sight)}"
    return wrapped(said, canvas, wide)


def _less_sight(place: Place) -> str:
    """``; TEMPO 3 km``: the least that is seen for a while; empty where nothing hides more."""
    lasting = place.weather.visibility if place.weather is not None else None
    seen = [(at.visibility.nm, how, at) for how, at in place.passing if at.visibility is not None]
    less = [
        (how, at)
        for nm, how, at in sorted(seen, key=lambda each: each[0])
        if lasting is None or nm < lasting.nm
    ]
    return "".join(f"; {how} {sight_words(at)}" for how, at in less[:1])


def _worst(place: Place) -> str | None:
    verdicts = [gate.verdict for gate in (place.ceiling, place.sight) if gate is not None]
    return next((verdict for verdict in WORST_FIRST if verdict in verdicts), None)


def _least_sight(gate: Gate | None) -> str:
    if gate is None or not isinstance(gate.limit, int | float):
        return ""
    return f" (min {decimals(gate.limit)} {gate.unit})"


def _light(plan: Plan, box: Box, canvas: Canvas) -> list[Shape]:
    """The day's light, the sortie as a line over it, T."""
    day = day_of(plan)
    bar = Box(box.left + 1, box.bottom - 1.3 * canvas.pitch_pt("label"), box.right - 1, box.bottom - 1)
    time = time_scale(day.sun.start, day.sun.end, bar.left, bar.right)
    start, end = time.when(plan.clock.takeoff), time.when(plan.clock.last_landing)
    y = bar.top - 4
    flown = [Line(((start, y), (end, y)), "track")]
    marks = [
        Line(((x, bar.top - 8), (x, bar.bottom)), "target")
        for x in (time.when(each.true_time) for each in plan.passes)
    ]
    events = event_texts(day, time, bar.top, canvas, twilight=False)
    zone = _zone(words.zone_words(day.sun.start, day.zone), events, bar, canvas)
    return [*bands(day, time, bar, canvas, named=False), *flown, *marks, *events, *zone]


def _zone(said: str, events: list[Text], bar: Box, canvas: Canvas) -> list[Text]:
    """Whose clock the sun's times are, where they leave room for it."""
    y, taken = bar.top - 10, [text_box(text, canvas.medium).grown(6) for text in events]
    places: tuple[tuple[float, Anchor], ...] = (
        (bar.left, "start"),
        (bar.right, "end"),
        ((bar.left + bar.right) / 2, "middle"),
    )
    tried = [Text((x, y), said, "label_soft", anchor, "bottom") for x, anchor in places]
    return [text for text in tried if not any(map(text_box(text, canvas.medium).overlaps, taken))][:1]


def _state_words(states: tuple[tuple[str, WeatherAt], ...]) -> str:
    """``; TEMPO BKN 1600 ft AGL, 3 km``: each once."""
    return "".join(dict.fromkeys(f"; {how} {cloud_words(at)}, {sight_words(at)}" for how, at in states))


def _alt(plan: Plan, places: tuple[Place, ...]) -> str:
    said = []
    for place in places:
        weather = place.weather or WeatherAt()
        verdicts = ", ".join(
            f"{name} {gate.verdict}"
            for name, gate in (("ceiling", place.ceiling), ("visibility", place.sight))
            if gate is not None
        )
        said.append(
            f"{name_of(place.point)}, {place.what} {clock_words(plan, place.at)}: {cloud_words(weather)},"
            f" {sight_words(weather)}{_state_words((*place.changing, *place.passing))};"
            f" {verdicts or 'not judged'}"
        )
    return f"The weather where and when it is needed. {'. '.join(said)}."
