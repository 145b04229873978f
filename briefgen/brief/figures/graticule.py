"""Parallels and meridians of a map, and their labels.

What a map shows is read off its own box, so neither the 180th meridian nor a pole needs care from whoever
draws it: longitudes are counted from the map's centre, east positive, and the meridians of a map that shows a
pole go all round.
"""

from __future__ import annotations

from math import ceil, inf

from briefgen.airmath.geodesy import from_plane
from briefgen.brief.figures.plane import PlaneMap
from briefgen.brief.wording import format as words
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, clip_line, text_box
from briefgen.draw.scene.labels import Obstacles
from briefgen.draw.scene.model import Canvas, Line, Point, Shape, Text
from briefgen.draw.scene.ticks import nice_arc_step_min, ticks
from briefgen.units.values import Position

_MOST = 4  # spaces between lines across the box
# between the meridians of a map that shows a pole: closer ones run into each other there
_AROUND_POLE_DEG = 30.0
_CHORD_DEG = 7.5  # of longitude between two corners of a parallel at the most
_SPOTS = tuple(i / 8 for i in range(9))  # along each side of the box


@record
class Seen:
    """What a map's box shows: latitudes and longitudes from low to high (degrees; longitudes counted on from
    the centre's, so that they never jump), the longitudes from its left to its right edge halfway up, and
    whether a pole lies in it."""

    lats: tuple[float, float]
    lons: tuple[float, float]
    wide_deg: float
    pole: bool


def graticule(chart: PlaneMap, canvas: Canvas, keep_off: Obstacles) -> tuple[list[Shape], list[Text]]:
    """Parallels and meridians over the box, and their labels beside them along its left and lower edge, or at
    their other end or side where those are not clear; what has no clear place has no label."""
    seen = seen_by(chart)
    parallels = [
        (lat, part) for lat in _latitudes(chart, seen) for part in _drawn(chart, _parallel(lat, seen))
    ]
    meridians = [(lon, part) for lon in _longitudes(seen) for part in _drawn(chart, _meridian(lon, seen))]
    labels = [_beside_parallel(lat, part, chart.box, seen.pole) for lat, part in parallels] + [
        _beside_meridian(lon, part, chart.box) for lon, part in meridians
    ]
    return [Line(part, "grid") for _, part in (*parallels, *meridians)], _apart(
        labels, chart.box, canvas, keep_off
    )


# ---------------------------------------------------------------- what the box shows


def seen_by(chart: PlaneMap) -> Seen:
    """What the box of a map shows of the Earth, and a little more."""
    rim = [_on_earth(chart, along, side) for side in (0.0, 1.0) for along in _SPOTS] + [
        _on_earth(chart, side, along) for side in (0.0, 1.0) for along in _SPOTS
    ]
    lats, lons = [p.lat_deg for p in rim], [_from_centre(chart, p.lon_deg) for p in rim]
    left, right = (_from_centre(chart, _on_earth(chart, side, 0.5).lon_deg) for side in (0.0, 1.0))
    poles = [
        lat
        for lat in (-90.0, 90.0)
        if chart.box.holds(Box(*chart.place(Position(lat, chart.centre.lon_deg)) * 2))
    ]
    if poles:
        return Seen(
            (min(*lats, *poles), max(*lats, *poles)),
            (chart.centre.lon_deg - 180.0, chart.centre.lon_deg + 180.0),
            360.0,
            True,
        )
    return Seen(_a_little_more(lats, 90.0), _a_little_more(lons, inf), right - left, False)


def _on_earth(chart: PlaneMap, across: float, down: float) -> Position:
    """The place at a share of the box's width and height."""
    box, (east, north) = chart.box, chart.middle
    return from_plane(
        chart.centre,
        east + (across - 0.5) * box.width / chart.pt_per_nm,
        north - (down - 0.5) * box.height / chart.pt_per_nm,
    )


def _from_centre(chart: PlaneMap, lon_deg: float) -> float:
    """The same longitude within 180 degrees of the centre's."""
    return chart.centre.lon_deg + _wrapped(lon_deg - chart.centre.lon_deg)


def _wrapped(lon_deg: float) -> float:
    return (lon_deg + 180.0) % 360.0 - 180.0


def _a_little_more(values: list[float], most: float) -> tuple[float, float]:
    """From the lowest to the highest, and beyond by a part of that: what is drawn in straight stretches must
    reach the edges."""
    more = 0.08 * (max(values) - min(values))
    return max(min(values) - more, -most), min(max(values) + more, most)


# ---------------------------------------------------------------- lines


def _latitudes(chart: PlaneMap, seen: Seen) -> list[float]:
    step = nice_arc_step_min(chart.box.height / chart.pt_per_nm / 60, _MOST) / 60
    return [lat for lat in ticks(*seen.lats, step) if abs(lat) < 90.0 - step / 2]


def _longitudes(seen: Seen) -> list[float]:
    if seen.pole:
        return ticks(seen.lons[0] + 1e-3, seen.lons[1], _AROUND_POLE_DEG)  # the last is the first again
    return ticks(*seen.lons, nice_arc_step_min(seen.wide_deg, _MOST) / 60)


def _parallel(lat: float, seen: Seen) -> list[Position]:
    low, high = seen.lons
    parts = max(6, ceil((high - low) / _CHORD_DEG))
    return [Position(lat, _wrapped(low + (high - low) * i / parts)) for i in range(parts + 1)]


def _meridian(lon: float, seen: Seen) -> list[Position]:
    low, high = seen.lats
    return [Position(low + (high - low) * i / 4, _wrapped(lon)) for i in range(5)]


def _drawn(chart: PlaneMap, places: list[Position]) -> list[tuple[Point, ...]]:
    return clip_line(tuple(chart.place(place) for place in places), chart.box)


# ---------------------------------------------------------------- labels


def _beside_parallel(lat: float, part: tuple[Point, ...], box: Box, pole: bool) -> tuple[Text, ...]:
    """Where the label of a parallel may stand; one that goes round a pole inside the box has it below its
    lowest point."""
    said, line = words.latitude(lat), part if part[0][0] <= part[-1][0] else part[::-1]
    if line[0][0] < box.left + 1:
        (left, y), climb = (box.left + 4, line[0][1]), _climb(line[0], line[1])
        end, fall = (box.right - 4, line[-1][1]), -_climb(line[-2], line[-1])
        spots = (
            (left, y - _over(climb), "start", "bottom"),
            (left, y + _over(-climb), "start", "top"),
            (end[0], end[1] - _over(fall), "end", "bottom"),
        )
    elif pole:
        x, y = max(line, key=lambda point: point[1])
        spots = ((x + 3, y + 3, "start", "top"), (x - 3, y + 3, "end", "top"))
    else:
        spots = ()
    return tuple(Text((x, y), said, "label_soft", anchor, stand) for x, y, anchor, stand in spots)


def _beside_meridian(lon: float, part: tuple[Point, ...], box: Box) -> tuple[Text, ...]:
    """Where the label of a meridian may stand: on both sides of its foot, and beside its head."""
    head, foot = sorted((part[0], part[-1]), key=lambda point: point[1])
    spots = (
        ((foot[0] + 3, box.bottom - 3, "start", "bottom"), (foot[0] - 3, box.bottom - 3, "end", "bottom"))
        if foot[1] > box.bottom - 1
        else ()
    )
    spots += ((head[0] + 3, box.top + 3, "start", "top"),) if head[1] < box.top + 1 else ()
    return tuple(
        Text((x, y), words.meridian(lon), "label_soft", anchor, stand) for x, y, anchor, stand in spots
    )


def _climb(start: Point, end: Point) -> float:
    """How steeply a stretch rises to the right."""
    return (start[1] - end[1]) / max(abs(end[0] - start[0]), 1.0)


def _over(climb: float) -> float:
    """How far off the end of a line its label stands, to be clear of it where it climbs towards the label."""
    return 1.5 + min(max(25.0 * climb, 0.0), 12.0)


def _apart(labels: list[tuple[Text, ...]], box: Box, canvas: Canvas, keep_off: Obstacles) -> list[Text]:
    """Of each label the first place inside the box that touches nothing drawn and no label before it. A line
    that the box cuts in two has one."""
    kept: dict[Text, Box] = {}
    for places in labels:
        for label in places:
            if any(label.text == other.text for other in kept):
                break
            own = text_box(label, canvas.medium)
            if (
                box.grown(-2).holds(own)
                and not any(own.grown(4).overlaps(other) for other in kept.values())
                and not keep_off.hit_by(own)
            ):
                kept[label] = own
                break
    return list(kept)
