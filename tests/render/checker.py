"""Looks at what a reader gets: a deck converted by LibreOffice, every word of it held against the shape it
belongs to.

``python -m tests.render.checker FILE.pptx ...`` prints the complaints and ends with 1 when there are any.
"""

from __future__ import annotations

import fcntl
import math
import re
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from html import unescape
from pathlib import Path

EMU = 12700
LEAST_SHOWN_PT, LEAST_PT = 16.0, 14.0  # of the letters before the slide Backup, and from it on
_ROUNDED_PT = 0.8  # by which a box drawn around letters says less
SLACK_PT = 2.0
TURNED_SLACK_PT = 5.0  # the boxes that pdftotext gives to turned letters are wider still
# pdftotext's boxes are 1.3 sizes high; the letters fill them from 0.20 sizes below the top to 0.15 above the
# foot (measured)
TRIM_TOP, TRIM_BOTTOM = 0.15, 0.11
_WORD = re.compile(r'<word xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)</word>')


@dataclass(frozen=True)
class Word:
    """A word as it was printed, in points from the upper left corner."""

    left: float
    top: float
    right: float
    bottom: float
    text: str

    def __str__(self) -> str:
        return f'"{self.text}" at {self.left:.0f},{self.top:.0f}'

    @property
    def size_pt(self) -> float:
        """Of its letters: pdftotext's box is 1.3 sizes high, of which TRIM is gone."""
        return (self.bottom - self.top) / (1.3 * (1 - TRIM_TOP - TRIM_BOTTOM))

    def overlap(self, other: Word) -> float:
        """The smaller side of what two words have in common, 0 when they are apart."""
        across = min(self.right, other.right) - max(self.left, other.left)
        down = min(self.bottom, other.bottom) - max(self.top, other.top)
        return max(0.0, min(across, down))


@dataclass(frozen=True)
class Place:
    """A shape that shows text: its box around what it looks like, its words; a chart may show any word."""

    name: str
    left: float
    top: float
    right: float
    bottom: float
    words: tuple[str, ...]
    any_word: bool = False
    turned: bool = False

    def holds(self, word: Word) -> bool:
        slack = TURNED_SLACK_PT if self.turned else SLACK_PT
        across = word.left >= self.left - slack and word.right <= self.right + slack
        return across and word.top >= self.top - slack and word.bottom <= self.bottom + slack

    def may_show(self, word: str) -> bool:
        return self.any_word or word in self.words or any(word in own for own in self.words)


@dataclass
class Report:
    """What was found wrong, and how much was looked at; ``told``: what the maker of the deck said."""

    complaints: list[str] = field(default_factory=list)
    slides: int = 0
    words: int = 0
    told: list[str] = field(default_factory=list)


def convert(decks: Sequence[Path], folder: Path) -> list[Path]:
    """The decks, each of another name, as PDFs made by one start of LibreOffice, which takes longer than a
    deck; one at a time on a machine, with a profile of its own."""
    lock = Path(tempfile.gettempdir()) / "briefgen-office.lock"
    with lock.open("w") as held, tempfile.TemporaryDirectory() as profile:
        fcntl.flock(held, fcntl.LOCK_EX)
        command = [
            "soffice",
            f"-env:UserInstallation=file://{profile}",
            "--headless",
            "--convert-to",
            "pdf",
            "--outdir",
            str(folder),
            *map(str, decks),
        ]
        subprocess.run(command, check=True, capture_output=True, timeout=120 + 60 * len(decks))
    return [folder / f"{deck.stem}.pdf" for deck in decks]


def printed_words(pdf: Path) -> list[list[Word]]:
    """The words of each page of a PDF."""
    text = subprocess.run(
        ["pdftotext", "-bbox-layout", str(pdf), "-"], check=True, capture_output=True, timeout=60
    ).stdout.decode("utf-8")
    pages = text.split("<page ")[1:]
    return [[_word(*found) for found in _WORD.findall(page)] for page in pages]


def _word(left: str, top: str, right: str, bottom: str, text: str) -> Word:
    """A word's box drawn in to where its letters can be."""
    height = float(bottom) - float(top)
    return Word(
        float(left),
        float(top) + TRIM_TOP * height,
        float(right),
        float(bottom) - TRIM_BOTTOM * height,
        unescape(text),
    )


def places(slide) -> list[Place]:
    """The shapes of a slide and its layout that show text."""
    shapes = [*slide.slide_layout.shapes, *slide.shapes]
    return [place for shape in shapes if not _prompt(shape, slide) for place in _places_of(shape)]


def _prompt(shape, slide) -> bool:
    """A placeholder of the layout: it shows on no slide."""
    return shape.is_placeholder and shape.part is not slide.part


def _places_of(shape) -> Iterator[Place]:
    if shape.shape_type is not None and "GROUP" in str(shape.shape_type):
        for inner in shape.shapes:
            yield from _places_of(inner)
    elif getattr(shape, "has_chart", False) and shape.has_chart:
        yield _place(shape, (), any_word=True)
    elif getattr(shape, "has_table", False) and shape.has_table:
        yield _place(
            shape,
            tuple(
                word
                for row in shape.table.rows
                for cell in row.cells
                for word in cell.text_frame.text.split()
            ),
        )
    elif shape.has_text_frame and shape.text_frame.text.strip():
        yield _place(shape, tuple(shape.text_frame.text.split()) + tuple(_signs(shape)))


def _signs(shape) -> Iterator[str]:
    """The bullets that a program writes before the paragraphs of a shape."""
    for sign in shape._element.iter("{*}buChar"):
        yield sign.get("char")
    for sign in shape._element.iter("{*}buAutoNum"):
        yield f"{sign.get('startAt')}."


def _place(shape, words: tuple[str, ...], *, any_word: bool = False) -> Place:
    left, top, width, height = (value / EMU for value in (shape.left, shape.top, shape.width, shape.height))
    turn = math.radians(getattr(shape, "rotation", 0.0))
    half_w = (abs(width * math.cos(turn)) + abs(height * math.sin(turn))) / 2
    half_h = (abs(width * math.sin(turn)) + abs(height * math.cos(turn))) / 2
    x, y = left + width / 2, top + height / 2
    return Place(shape.name, x - half_w, y - half_h, x + half_w, y + half_h, words, any_word, bool(turn))


def check_slide(shown: list[Place], words: list[Word]) -> list[str]:
    """Complaints about one slide: words outside their shape, words that are missing, words printed over one
    another."""
    outside = [
        f"{word} is not inside its shape"
        for word in words
        if not any(p.may_show(word.text) and p.holds(word) for p in shown)
    ]
    wanted = Counter(
        word for place in shown if not place.any_word and not place.turned for word in place.words
    )
    found = Counter(word.text for word in words)
    lost = {word: count - _broken(word, [w.text for w in words]) for word, count in (wanted - found).items()}
    missing = [f'"{word}" is missing {count} times' for word, count in lost.items() if count > 0]
    turned = [p for p in shown if p.turned]
    upright = [w for w in words if not any(p.holds(w) and p.may_show(w.text) for p in turned)]
    return outside + missing + _printed_over(upright)


def small_letters(body: list[Place], words: list[Word], least_pt: float) -> list[str]:
    """Words of a slide's body in letters under the least; none of a chart, whose axis has turned ones."""
    upright = [place for place in body if not place.turned and not place.any_word]
    own = [w for w in words if any(p.holds(w) and p.may_show(w.text) for p in upright)]
    return [f"{w} is of {w.size_pt:.0f} pt" for w in own if w.size_pt < least_pt - _ROUNDED_PT]


def _printed_over(words: list[Word]) -> list[str]:
    """Words printed over one another."""
    found, down = [], sorted(words, key=lambda word: word.top)
    for i, word in enumerate(down):
        for lower in down[i + 1 :]:
            if lower.top >= word.bottom:
                break  # all that follow begin lower still
            if word.overlap(lower) > SLACK_PT:
                found.append(f"{lower} is printed over {word}")
    return found


def _broken(word: str, printed: list[str]) -> int:
    """How often a word stands there in pieces, one after the other: broken over lines at a hyphen or where it
    is wider than its box."""
    count = 0
    for start in range(len(printed)):
        rest, position = word, start
        while rest and position < len(printed) and rest.startswith(printed[position]):
            rest, position = rest[len(printed[position]) :], position + 1
        count += not rest and position > start + 1
    return count


def check_deck(deck: Path) -> Report:
    """Converts a deck and holds every printed word against the shapes."""
    return check_decks([deck])[0]


def check_decks(decks: Sequence[Path]) -> list[Report]:
    """The same of several decks, each of another name, converted together."""
    with tempfile.TemporaryDirectory() as folder:
        printed = [printed_words(pdf) for pdf in convert(decks, Path(folder))]
    return [_report(deck, pages) for deck, pages in zip(decks, printed, strict=True)]


def _report(deck: Path, pages: list[list[Word]]) -> Report:
    from pptx import Presentation

    presentation = Presentation(str(deck))
    backup = False
    sized = any(s.shapes.title.text_frame.text.startswith("Backup of ") for s in presentation.slides)
    report = Report(slides=len(presentation.slides), words=sum(map(len, pages)))
    if len(pages) != report.slides:
        report.complaints.append(f"{report.slides} slides became {len(pages)} pages")
    for number, (slide, words) in enumerate(zip(presentation.slides, pages, strict=False), 1):
        backup = backup or slide.shapes.title.text_frame.text.startswith("Backup of ")
        shapes = [shape for shape in slide.shapes if shape.name != "Page number"]
        body = [place for shape in shapes for place in _places_of(shape)]
        small = small_letters(body, words, LEAST_PT if backup else LEAST_SHOWN_PT) if sized else []
        report.complaints.extend(
            f"slide {number}: {complaint}" for complaint in (*check_slide(places(slide), words), *small)
        )
    return report


def main(files: list[str]) -> int:
    """Checks some decks; 1 when any has a complaint."""
    bad = 0
    for file in files:
        report = check_deck(Path(file))
        print(f"{file}: {report.slides} slides, {report.words} words, {len(report.complaints)} complaints")
        for complaint in report.complaints:
            print(f"  {complaint}")
        bad += bool(report.complaints)
    return int(bad > 0)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
