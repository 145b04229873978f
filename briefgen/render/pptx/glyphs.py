"""Characters that the deck's font cannot show."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.content.blocks import Bullets, Chart, Note, plain
from briefgen.brief.slides.frame import Frame
from briefgen.core.diagnostics import Diagnostic
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Scene, Text
from briefgen.draw.typeset.measure import missing_glyphs
from briefgen.render.pptx.layout import Content, Slide
from briefgen.render.pptx.sizes import FONT, BigRow, SetTable, cell_text


def missing_characters(slides: list[Slide], frame: Frame) -> list[Diagnostic]:
    """A caution for each text with characters outside the font: another font stands in for them, its widths
    unknown."""
    found = [
        _caution("the foot of every slide", text)
        for text in (frame.stamp.marking, frame.stamp.mission)
        if missing_glyphs(text, FONT)
    ]
    for slide in slides:
        texts = [
            slide.title,
            slide.notes,
            *(text for placed in slide.placed for text in _texts(placed.content)),
        ]
        found.extend(_caution(f"slide {slide.page}", text) for text in texts if missing_glyphs(text, FONT))
    return found


def scene_characters(where: str, scene: Scene) -> list[Diagnostic]:
    """The same for the labels of a figure."""
    return [
        _caution(where, shape.text)
        for shape in flat(scene.shapes)
        if isinstance(shape, Text) and missing_glyphs(shape.text, FONT)
    ]


def _caution(where: str, text: str) -> Diagnostic:
    names = ", ".join(f"U+{ord(char):04X}" for char in missing_glyphs(text, FONT))
    message = f'{where}: the font has no sign for {names} in "{text[:60]}"'
    why = "another font stands in; whether the text fits is NOT CHECKED"
    return Diagnostic("character-not-in-font", "caution", message, why=why, help="write it in Latin letters")


def _texts(content: Content) -> Iterator[str]:
    match content:
        case Bullets():
            yield from (plain(item.runs) for item in content.items)
        case Note():
            yield plain(content.runs)
        case BigRow():
            yield from (
                text for item in content.figures.items for text in (item.label, item.value, item.detail)
            )
        case SetTable():
            yield from (column.head for column in content.table.columns)
            yield from (cell_text(cell) for row in content.table.rows for cell in row)
        case Chart():
            yield from (series.label for series in (*content.series, *content.references))
