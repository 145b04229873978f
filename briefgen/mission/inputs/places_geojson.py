"""Points and polygons of GeoJSON (RFC 7946): longitude first, WGS-84. Heights in coordinates count above the
ellipsoid and are left out."""

from __future__ import annotations

import json
import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from json.decoder import JSONObject  # type: ignore[attr-defined] # stands there, and is not in the stubs
from json.scanner import py_make_scanner  # type: ignore[attr-defined] # the same
from typing import Any

from briefgen.core.diagnostics import Span
from briefgen.mission.inputs.placed import MOST_DEPTH, Finds, HeightOf, Outline, Text, closed, position_of

_STRINGS_AND_BRACKETS = re.compile(r'"(?:[^"\\]++|\\.)*+"?|([\[{])|([\]}])', re.DOTALL)
MOST_PARTS, MOST_VALUES = 400_000, 2_000_000  # objects and lists, and commas, in one file: our own bounds
_FORM = "GeoJSON writes [longitude, latitude], the longitude first"

Json = dict[str, "Json"] | list["Json"] | str | bool | None  # a number is its text


class _Number(str):
    """A number as it was typed."""


_NUMBERS: Any = {"parse_float": _Number, "parse_int": _Number, "parse_constant": _Number}  # as they are typed


class _Object(dict[str, Any]):
    """An object, at which character of the text it begins, and whether a key stands twice in it."""

    at = 0
    twice = False


class _Decoder(json.JSONDecoder):
    """Python's own reader, which keeps where each object begins, numbers as typed, and refuses what JSON does
    not have."""

    def __init__(self) -> None:
        super().__init__(**_NUMBERS)
        self.object_pairs_hook = self._pairs
        self.twice: list[_Object] = []
        self.parse_object = self._object
        self.scan_once = py_make_scanner(self)

    def _object(self, start: tuple[str, int], *rest: Any) -> tuple[_Object, int]:
        found, end = JSONObject(start, *rest)
        found.at = start[1] - 1
        self.twice += [found] if found.twice else []
        return found, end

    @staticmethod
    def _pairs(pairs: list[tuple[str, Any]]) -> _Object:
        found = _Object(pairs)
        found.twice = len(found) < len(pairs)
        return found


def read_geojson(text: str, file: str, height: HeightOf = "elevation") -> Finds:
    """The features of a GeoJSON file that are one point or one polygon. Of obstacles, which are thousands,
    only what is wrong has its place."""
    if text.count("{") + text.count("[") > MOST_PARTS or text.count(",") > MOST_VALUES:
        finds = Finds(file, height)
        why, help = "it would take minutes to read", "keep in it what lies around the sortie"
        finds.error("there is far too much in this file", finds.span(1), why, help)
        return finds
    quick = _quickly(text, file, height) if height == "top" else None
    return read_in_place(text, file, height) if quick is None or quick.problems else quick


def _quickly(text: str, file: str, height: HeightOf) -> Finds | None:
    """The same by the fast reader of the standard library, which can't tell where anything stands; None where
    it is no JSON, a key stands twice or it lies far too deep."""
    twice = False

    def pairs(found: list[tuple[str, Any]]) -> _Object:
        nonlocal twice
        made = _Object(found)
        twice = twice or len(made) < len(found)
        return made

    finds = Finds(file, height)
    try:
        whole = json.loads(text, object_pairs_hook=pairs, **_NUMBERS)
    except (json.JSONDecodeError, RecursionError):
        return None
    if twice:
        return None
    _read(whole, lambda at: finds.span(1), finds)
    return finds


def read_in_place(text: str, file: str, height: HeightOf) -> Finds:
    """The same, each thing with its place."""
    finds, place = Finds(file, height), partial(_place, tuple(_line_starts(text)), file)
    if too_deep := _too_deep(text):
        finds.too_deep("brackets", place(too_deep))
        return finds
    decoder = _Decoder()
    try:
        whole = decoder.decode(text)
    except json.JSONDecodeError as problem:
        how = f"{problem.msg[:1].lower()}{problem.msg[1:]}"
        help = "look at this line and the one before it: a comma, a quote or a bracket"
        finds.broken("JSON", finds.span(problem.lineno, problem.colno), how, help)
        return finds
    for found in decoder.twice:
        why, help = "only one of the two would be read", "take one of them out"
        finds.error("a key stands twice in this object", place(found.at), why, help)
    if not decoder.twice:
        _read(whole, place, finds)
    return finds


def _line_starts(text: str) -> Iterator[int]:
    yield 0
    yield from (found.end() for found in re.finditer("\r\n?|\n", text))


def _place(starts: Sequence[int], file: str, at: int) -> Span:
    """As ``span_at``, for thousands of places of one text."""
    line = bisect_right(starts, at)
    column = at - starts[line - 1] + 1
    return Span(file, line, column, line, column + 1)


def _too_deep(text: str) -> int:
    """Where brackets lie too deep in one another, 0 where they don't."""
    depth = 0
    for found in _STRINGS_AND_BRACKETS.finditer(text):
        depth += bool(found[1]) - bool(found[2])
        if depth > MOST_DEPTH:
            return found.start()
    return 0


def _read(whole: Json, place: Callable[[int], Span], finds: Finds) -> None:
    kind = whole.get("type") if isinstance(whole, dict) else None
    if not isinstance(whole, _Object) or kind not in ("FeatureCollection", "Feature"):
        message = "the file is no GeoJSON of features"
        why = "a geometry alone has no name, by which the mission could refer to it"
        finds.error(
            message, finds.span(1), why, 'begin with {"type": "FeatureCollection", "features": [...]}'
        )
        return
    if crs := whole.get("crs"):
        named = crs.get("properties", {}) if isinstance(crs, dict) else {}
        name = named.get("name") if isinstance(named, dict) else None
        at = crs.at if isinstance(crs, _Object) else whole.at
        finds.datum(name if isinstance(name, str) else "?", place(at))
    for feature in _features(whole):
        if finds.full:
            break
        _feature(feature, place(feature.at), finds)


def _features(whole: _Object) -> Iterator[_Object]:
    listed = whole.get("features") if whole["type"] == "FeatureCollection" else [whole]
    for feature in listed if isinstance(listed, list) else ():
        if isinstance(feature, _Object) and feature.get("type") == "Feature":
            yield feature


def _feature(feature: _Object, span: Span, finds: Finds) -> None:
    properties, shape = feature.get("properties"), feature.get("geometry")
    given = properties if isinstance(properties, dict) else {}
    texts = {
        key: finds.text(value, span)
        for key in ("id", "name", finds.height_of, "datum")
        if isinstance(value := given.get(key), str)
    }
    name = texts.get("name")
    if datum := texts.get("datum"):
        finds.datum(datum.text, span)
    kind = shape.get("type") if isinstance(shape, dict) else None
    coordinates = shape.get("coordinates") if isinstance(shape, dict) else None
    if kind == "Point":
        if spot := _position(coordinates, span, finds, heights=True):
            finds.spot(texts.get("id") or name, spot, name, texts.get(finds.height_of))
    elif kind == "Polygon":
        finds.outlines.append(_outline(name or texts.get("id"), coordinates, span, finds))
    elif kind == "MultiPolygon":
        finds.outlines.append(Outline(name or texts.get("id"), span, (), "has several parts"))


def _outline(name: Text | None, rings: Json, span: Span, finds: Finds) -> Outline:
    if not isinstance(rings, list) or not rings or not isinstance(rings[0], list):
        return Outline(name, span, (), "has no corners")
    if len(rings) > 1:
        return Outline(name, span, (), "has a hole")
    corners = [_position(corner, span, finds, heights=False) for corner in rings[0]]
    return Outline(name, span, closed([corner for corner in corners if corner]))


def _position(pair: Json, span: Span, finds: Finds, *, heights: bool) -> Text | None:
    numbers = pair if isinstance(pair, list) else []
    if len(numbers) < 2 or not all(isinstance(number, _Number) for number in numbers[:2]):
        finds.error("this feature has no pair of coordinates", span, _FORM, "check its coordinates")
        return None
    if heights and len(numbers) > 2 and str(numbers[2]).strip("0.-"):
        finds.height = finds.height or span
    lon, lat = (_plain(str(number)) for number in numbers[:2])
    return Text(position_of(lat, lon), span)


def _plain(number: str) -> str:
    """A number without a power of ten."""
    if "e" not in number.lower() or abs(float(number)) > 1000:
        return number
    return f"{float(number):.9f}"
