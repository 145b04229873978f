"""Points of GPX, points and polygons of KML: by the local names of their elements, whatever the namespace.

Read with defusedxml: no document type, so no entity of one's own, and nothing that lies elsewhere. GPX 1.1
and OGC KML 2.2 are of WGS-84 by definition. Heights are left out: of neither is it sure that the ground is
meant, and above the mean sea.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from briefgen.mission.inputs.placed import ANEW, MOST_DEPTH, Finds, Outline, Text, closed, position_of

if TYPE_CHECKING:
    from xml.parsers.expat import XMLParserType

_KML_FORM = "KML writes longitude,latitude with a comma and no space, the longitude first"


@dataclass
class _Element:
    """One element with its local name, and where it begins."""

    name: str
    attributes: dict[str, str]
    line: int
    column: int
    text: str = ""
    inside: list[_Element] = field(default_factory=list)

    def all(self, name: str) -> Iterator[_Element]:
        """Every element of that name at any depth."""
        for child in self.inside:
            if child.name == name:
                yield child
            yield from child.all(name)

    def children(self, name: str) -> list[_Element]:
        """The elements of that name right inside."""
        return [child for child in self.inside if child.name == name]

    def child(self, *names: str) -> _Element | None:
        """The first element down those names."""
        here: _Element | None = self
        for name in names:
            here = next(iter(here.children(name)), None) if here else None
        return here


class _TooDeep(Exception):
    """Stops the parser where elements lie too deep in one another."""


class _Tree:
    """The parser's target: builds the elements. ``parser`` says where it stands."""

    parser: XMLParserType

    def __init__(self) -> None:
        self.open: list[_Element] = []
        self.root: _Element | None = None

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """An element begins."""
        if len(self.open) >= MOST_DEPTH:
            raise _TooDeep
        line, column = self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1
        element = _Element(_local(tag), attributes, line, column)
        if self.open:
            self.open[-1].inside.append(element)
        self.root = self.root or element
        self.open.append(element)

    def end(self, tag: str) -> None:
        """The last element that is open ends."""
        self.open.pop()

    def data(self, text: str) -> None:
        """Text right inside the element that is open."""
        self.open[-1].text += text


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def read_gpx(text: str, file: str) -> Finds:
    """The waypoints of a GPX file; routes and tracks are no places."""
    finds = Finds(file)
    root = _root(text, finds, "gpx")
    for point in root.children("wpt") if root else ():
        span = finds.span(point.line, point.column)
        position = position_of(point.attributes.get("lat", ""), point.attributes.get("lon", ""))
        if child := point.child("ele"):
            finds.height = finds.height or finds.span(child.line, child.column)
        name = _text(point.child("name"), finds)
        finds.spot(name, Text(position, span), name)
    return finds


def read_kml(text: str, file: str) -> Finds:
    """The placemarks of a KML file that are one point or one polygon."""
    finds = Finds(file)
    root = _root(text, finds, "kml")
    for mark in root.all("Placemark") if root else ():
        name = _text(mark.child("name"), finds)
        if spots := _coordinates(mark.child("Point", "coordinates"), finds):
            finds.spot(name, spots[0], name)
        if polygons := list(mark.all("Polygon")):
            finds.outlines.append(_outline(name, polygons, finds))
    return finds


def _outline(name: Text | None, polygons: list[_Element], finds: Finds) -> Outline:
    first = polygons[0]
    ring = first.child("outerBoundaryIs", "LinearRing", "coordinates")
    refused = "has several parts" if polygons[1:] else "has a hole" if first.child("innerBoundaryIs") else ""
    corners = () if refused else closed(_coordinates(ring, finds, heights=False))
    return Outline(name, finds.span(first.line, first.column), corners, refused)


def _coordinates(element: _Element | None, finds: Finds, *, heights: bool = True) -> list[Text]:
    """The positions of a list of ``longitude,latitude[,height]``, each with its line."""
    if element is None:
        return []
    found = []
    for line, part in _parts(element):
        span = finds.span(line, element.column if line == element.line else 1)
        lon, comma, rest = part.partition(",")
        lat, _, height = rest.partition(",")
        if not comma or not lat:
            finds.error(f'"{part[:60]}" is no pair of coordinates', span, _KML_FORM, "check this line")
            return []
        if heights and height.strip("0.-"):
            finds.height = finds.height or span
        found.append(Text(position_of(lat, lon), span))
    return found


def _parts(element: _Element) -> Iterator[tuple[int, str]]:
    """What stands between spaces, each with its line."""
    for line, row in enumerate(element.text.split("\n"), element.line):
        for part in row.split():
            yield line, part


def _text(element: _Element | None, finds: Finds) -> Text | None:
    return finds.text(element.text, finds.span(element.line, element.column)) if element else None


def _root(text: str, finds: Finds, name: str) -> _Element | None:
    """The root element of that name, or None with what is wrong."""
    from defusedxml.common import DefusedXmlException
    from defusedxml.ElementTree import DefusedXMLParser, ParseError

    tree = _Tree()
    parser = DefusedXMLParser(target=tree, forbid_dtd=True, forbid_entities=True, forbid_external=True)
    tree.parser = parser.parser
    try:
        parser.feed(text)
        parser.close()
    except ParseError as problem:
        line, column = problem.position
        finds.broken("XML", finds.span(line, column + 1), str(problem).partition(": line")[0], ANEW)
        return None
    except DefusedXmlException:
        why = "what it defines may hide or grow without end"
        help = "delete the lines of <!DOCTYPE ...>, and write out what they stand for"
        finds.error("a document type is not read", finds.span(tree.parser.CurrentLineNumber), why, help)
        return None
    except _TooDeep:
        finds.too_deep("elements", finds.span(tree.parser.CurrentLineNumber))
        return None
    root = tree.root
    if root is not None and root.name == name:
        return root
    message = f"the file is no {name.upper()}: it begins with <{root.name[:60] if root else ''}>"
    why = "what is meant by it is not known"
    finds.error(message, finds.span(root.line if root else 1), why, f"name a file that begins with <{name}>")
    return None
