"""How wide text is and where it breaks, from the advance widths of the shipped fonts.

Kerning is left out: it mostly narrows text, so that what is said to fit does fit.  Widths are in points.
``Arial`` is measured with Liberation Sans, whose advance widths are the same.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import Any

METRICS_FILE = Path(__file__).with_name("metrics.json")
_BREAKING_SPACES = " "
_AFTER_HYPHEN = re.compile("(?<=-)(?=.)")
_NO_BREAK = "\u00a0"
MOST_LETTERS = 18  # of a word: a longer one may be broken anywhere, so that none runs over its column


@lru_cache(maxsize=1)
def _fonts() -> dict[str, dict[str, Any]]:
    fonts: dict[str, dict[str, Any]] = json.loads(METRICS_FILE.read_text(encoding="ascii"))
    return fonts


@lru_cache(maxsize=8)
def _advances_em(font: str) -> dict[str, float]:
    """Advance width of every character of a font, in ems. An unknown font is a bug and raises KeyError."""
    data = _fonts()[font]
    return {
        char: int(width) / data["units_per_em"] for width, chars in data["advances"].items() for char in chars
    }


def font_key(family: str, bold: bool = False) -> str:
    """The name under which a face is measured: ``Arial``, ``Arial Bold`` and so on."""
    return f"{family} Bold" if bold else family


def missing_glyphs(text: str, font: str) -> tuple[str, ...]:
    """The characters of a text that the font cannot show, in order, each once. Line feeds don't count."""
    known = _advances_em(font)
    return tuple(dict.fromkeys(char for char in text if char not in known and char != "\n"))


def measure(text: str, font: str, size_pt: float) -> float:
    """Width of a text set on one line. A character the font lacks counts as one em, the widest a stand-in
    usually is."""
    return size_pt * _width_em(text, font)


@lru_cache(maxsize=20_000)
def _width_em(text: str, font: str) -> float:
    known = _advances_em(font)
    return sum([known.get(char, 1.0) for char in text])


def widest(lines: Iterable[str], font: str, size_pt: float) -> float:
    """Width of the widest of some lines, 0 for none."""
    return max((measure(line, font, size_pt) for line in lines), default=0.0)


def wrap(text: str, font: str, size_pt: float, width_pt: float) -> list[str]:
    """The lines into which a text breaks in a box: at spaces only, so never fewer than a program that also
    breaks at hyphens.

    ``\\n`` always breaks. A word wider than the box is cut between characters. An empty text is one empty
    line.
    """
    lines: list[str] = []
    for paragraph in text.split("\n"):
        lines.extend(_wrap_paragraph(paragraph, font, size_pt, width_pt))
    return lines


def _wrap_paragraph(paragraph: str, font: str, size_pt: float, width_pt: float) -> list[str]:
    if measure(paragraph, font, size_pt) <= width_pt:
        return [paragraph]
    lines: list[str] = []
    line, used, space = "", 0.0, measure(" ", font, size_pt)
    for word in paragraph.split(_BREAKING_SPACES):
        needed = measure(word, font, size_pt)
        if line and used + space + needed <= width_pt:
            line, used = f"{line} {word}", used + space + needed
            continue
        if line:
            lines.append(line)
        *full, line = [word] if needed <= width_pt else _cut(word, font, size_pt, width_pt)
        lines.extend(full)
        used = measure(line, font, size_pt)
    return [*lines, line]


def _cut(word: str, font: str, size_pt: float, width_pt: float) -> list[str]:
    """A word in pieces no wider than the box (one character at the least): after its hyphens first, as
    programs do, then between characters."""
    pieces, piece = [], ""
    for part in _AFTER_HYPHEN.split(word):
        if piece and measure(piece + part, font, size_pt) > width_pt:
            pieces.append(piece)
            piece = ""
        for char in part:
            if piece and measure(piece + char, font, size_pt) > width_pt:
                pieces.append(piece)
                piece = ""
            piece += char
    return [*pieces, piece]


def line_count(text: str, font: str, size_pt: float, width_pt: float) -> int:
    """How many lines a text takes in a box of that width."""
    return len(wrap(text, font, size_pt, width_pt))


def longest_word(text: str, font: str, size_pt: float) -> float:
    """Width of the widest unbreakable part of a text: the narrowest box in which no word is cut."""
    return widest(text.replace("\n", " ").split(_BREAKING_SPACES), font, size_pt)


def longest_piece(text: str, font: str, size_pt: float) -> float:
    """The same where words of more than MOST_LETTERS letters may be cut; what no-break spaces hold together
    may not."""
    words = text.replace("\n", " ").split(_BREAKING_SPACES)
    return widest(
        (piece for word in words for piece in ([word] if _NO_BREAK in word else _pieces(word))), font, size_pt
    )


def _pieces(word: str) -> list[str]:
    return [word[start : start + MOST_LETTERS] for start in range(0, len(word), MOST_LETTERS)]
