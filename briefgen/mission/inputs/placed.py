"""What is read from a file of places or obstacles: points and outlines, each text with its place in that
file."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal, NamedTuple, TypeAlias

from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.core.records import record
from briefgen.mission.read.characters import FileKind, refused_in_value
from briefgen.mission.read.composer import MAXIMUM_TEXT

PLACES = FileKind(
    "file of places", 1024 * 1024, "save the places of the mission alone in a file of their own"
)
MOST_FILES = 20  # of places, in one mission: our own bound
MOST_PLACES = 100  # in one mission, typed and in files
MOST_POINTS = 50_000  # of one file: our own bound
MOST_DEPTH = 40  # levels of XML and GeoJSON: our own bound, four times what an exported file has
MOST_ERRORS = 100  # told of one file: our own bound, a file in a wrong form has one in each line
ANEW = "export the file anew from the program that wrote it"
HeightOf: TypeAlias = Literal[
    "elevation", "top"
]  # what a file calls the height of a point: its ground, or its top
_NUMBER = re.compile(r"([+-]?)([0-9]{1,9})(?:\.([0-9]*))?")
_WGS84 = ("WGS84", "WGS1984", "EPSG4326", "CRS84", "URNOGCDEFCRSOGC13CRS84", "URNOGCDEFCRSEPSG4326")


class Text(
    NamedTuple
):  # no record: of these there are tens of thousands, and a tuple is made five times as fast
    """A text as it is read, and where it stands."""

    text: str
    span: Span


class Spot(NamedTuple):
    """One point of a file: ``position`` and ``elevation`` as they would be typed in a mission."""

    id: Text
    position: Text
    name: Text | None = None
    elevation: Text | None = None


@record
class Outline:
    """One polygon of a file, without the corner that closes it. ``refused``: why it is no area; empty where
    it is one."""

    name: Text | None
    span: Span
    corners: tuple[Text, ...]
    refused: str = ""


@dataclass
class Finds:
    """What has been found in one file so far. ``height``: the first height of a point that is left out,
    since the format does not say above what it counts."""

    file: str
    height_of: HeightOf = "elevation"
    spots: list[Spot] = field(default_factory=list)
    outlines: list[Outline] = field(default_factory=list)
    problems: list[Diagnostic] = field(default_factory=list)
    height: Span | None = None

    @property
    def full(self) -> bool:
        """Nothing more of the file is told or taken."""
        return len(self.problems) > MOST_ERRORS or len(self.spots) > MOST_POINTS

    def span(self, line: int, column: int = 1) -> Span:
        """A place in the file; lines and columns count from 1."""
        return Span(self.file, line, column, line, column + 1)

    def error(self, message: str, span: Span, why: str, help: str) -> None:
        """Something in the file that cannot be read. After ``MOST_ERRORS`` it is told that there are more."""
        if len(self.problems) > MOST_ERRORS:
            return
        if len(self.problems) == MOST_ERRORS:
            message = f"the file has more than {MOST_ERRORS} errors, told up to here"
            why, help = "most of them may have one cause", "mend those before it, and check again"
        self.problems.append(Diagnostic("place-file", "error", message, span, why, help))

    def broken(self, what: str, span: Span, how: str, help: str) -> None:
        """The rest of the file cannot be read: ``how`` its reader says so."""
        message = f"the {what} can't be read on from here: {how}"
        self.error(message, span, "what follows cannot be trusted", help)

    def too_deep(self, what: str, span: Span) -> None:
        """More levels than any file of places has."""
        message = f"{what} lie more than {MOST_DEPTH} deep in one another here"
        self.error(message, span, "no list of places has as many", ANEW)

    def text(self, raw: str, span: Span) -> Text | None:
        """A text on one line, with single spaces; None where there is none, or none that can be printed."""
        if not raw:
            return None
        text = " ".join(raw.split())
        if sign := refused_in_value(text):
            why, help = "it cannot be printed", "type the characters themselves"
            self.error(f"{sign} is not allowed", span, why, help)
            return None
        if len(text) > MAXIMUM_TEXT:
            message = f"this text has {len(text)} characters, the most is {MAXIMUM_TEXT}"
            self.error(message, span, "nothing that is printed is as long", "shorten it")
            return None
        return Text(text, span) if text else None

    def spot(self, id: Text | None, position: Text, name: Text | None, elevation: Text | None = None) -> None:
        """A point; one without a name is told."""
        if id is None:
            message, why = "this point has no name", "nothing in the mission could refer to it"
            self.error(message, position.span, why, "give it one, or take the point out")
        else:
            self.spots.append(Spot(id, position, name, elevation))

    def datum(self, given: str, span: Span) -> None:
        """The datum that a file states: another one than WGS-84 is an error."""
        if re.sub("[^A-Z0-9]", "", given.upper()) not in _WGS84:
            message = f'the positions are said to be of "{given[:60]}"'
            why = "every position is read as WGS-84; another datum lies up to 1 nm beside it"
            self.error(message, span, why, "have them converted to WGS-84, and say so there")


def closed(corners: list[Text]) -> tuple[Text, ...]:
    """The corners of a ring without its last where that repeats the first, as files have it."""
    repeated = len(corners) > 1 and corners[0].text == corners[-1].text
    return tuple(corners[:-1] if repeated else corners)


def position_of(lat: str, lon: str) -> str:
    """A position as it is typed, from two numbers as machines write them: a whole degree is meant as exactly
    that, and what lies behind the ninth decimal (0.1 mm) is cut off. What is no number stays as it is, and is
    refused as a typed one would be."""
    return f"{_degrees(lat)} {_degrees(lon)}"


def _degrees(text: str) -> str:
    text = text.strip()
    found = _NUMBER.fullmatch(text)
    if found is None:
        return text if len(text) <= MAXIMUM_TEXT else f"{text[:40]}..."
    return f"{found[1].replace('+', '')}{int(found[2])}.{(found[3] or '0')[:9]}"
