"""Pages to a PowerPoint file. Every figure, table and chart in it is native and editable."""

from __future__ import annotations

import io
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import Any

from briefgen.brief.content.blocks import Bullets, Chart, Figure, Note, Page, Run
from briefgen.brief.slides.frame import Frame
from briefgen.core.context import Standing
from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.draw.scene.geometry import Box, strays
from briefgen.draw.scene.model import Canvas, Scene
from briefgen.draw.scene.palette import STATUS_COLOUR
from briefgen.render.pptx import base, grid, sizes, xml
from briefgen.render.pptx.bound import whole_dates, whole_title
from briefgen.render.pptx.glyphs import missing_characters, scene_characters
from briefgen.render.pptx.layout import Placed, Slide, lay_out
from briefgen.render.pptx.notes import NotesWriter
from briefgen.render.pptx.package import rewrite
from briefgen.render.pptx.scene_xml import figure_group
from briefgen.render.pptx.sizes import BigRow, SetTable
from briefgen.render.pptx.table_xml import table_frame
from briefgen.render.pptx.theme import Base, themed_base


def build_deck(
    pages: list[Page], frame: Frame, theme: Path | None = None
) -> tuple[bytes | None, list[Diagnostic]]:
    """The deck as the bytes of a .pptx, None when something does not fit. ``theme`` is a unit's own .pptx,
    whose look is then taken.

    The same pages, frame and theme give the same bytes on every machine. Diagnostics: ``slide-overflow`` and
    ``theme-unusable`` (errors), ``label-without-place``, ``figure-over-edge``, ``character-not-in-font`` and
    ``theme-contrast`` (cautions).
    """
    empty, diagnostics = _base(frame, theme)
    if empty is None:
        return None, diagnostics
    slides, found = lay_out(pages, empty.title_box)
    diagnostics.extend(found)
    if not base.frame_fits(frame):
        diagnostics.append(
            Diagnostic(
                "slide-overflow",
                "error",
                "state, marking, mission name and fingerprint do not fit the head and foot of a slide",
                why="they stand on every slide",
                help="shorten sortie: marking or sortie: name",
            )
        )
    diagnostics.extend(missing_characters(slides, frame))
    if has_errors(diagnostics):
        return None, diagnostics
    notes = NotesWriter(empty.deck)
    for number, slide in enumerate(slides, 1):
        diagnostics.extend(
            _SlideWriter(empty, slide, frame.stamp.standing).write(f"{number} of {len(slides)}", notes)
        )
    base.restyle_notes(empty.deck)
    buffer = io.BytesIO()
    empty.deck.save(buffer)
    return rewrite(buffer.getvalue(), frame.created), diagnostics


def _base(frame: Frame, theme: Path | None) -> tuple[Base | None, list[Diagnostic]]:
    if theme is not None:
        return themed_base(theme, frame)
    deck = base.empty_deck(frame)
    return Base(deck, deck.slide_layouts[0]), []


class _SlideWriter:
    """Writes one laid-out slide; the order of the shapes is the order in which they are read out."""

    def __init__(self, empty: Base, slide: Slide, standing: Standing) -> None:
        self.slide, self.own_title = slide, empty.title_box is None
        # of large values: the pine is a passing verdict's colour too, and how many pass is not one verdict
        self.accent = "ink" if standing == "fails" else "pine"
        self.counts = {**STATUS_COLOUR, "PASS": "ink"} if standing == "fails" else STATUS_COLOUR
        self.native = empty.deck.slides.add_slide(empty.layout)
        self.tree = self.native.shapes._spTree
        self.numbers: Iterator[int] = count(10)
        self.diagnostics: list[Diagnostic] = []

    def write(self, page_number: str, notes: NotesWriter) -> list[Diagnostic]:
        self._title()
        for placed in self.slide.placed:
            self._block(placed)
        number = xml.Paragraph(((page_number, xml.Voice(grid.FINE_PT, True, "ink")),), "right")
        self._add(xml.text_box(next(self.numbers), "Page number", grid.PAGE_NUMBER, xml.body([number])))
        if self.slide.notes:
            notes.write(self.native, self.slide.notes)
        return self.diagnostics

    def _add(self, text: str) -> None:
        from pptx.oxml import parse_xml

        self.tree.append(parse_xml(text))

    def _title(self) -> None:
        slide, size = self.slide, self.slide.title_pt
        element = self.native.shapes.title._element
        height = slide.title_lines * grid.TITLE_PITCH * size
        place = xml.frame(Box(grid.TITLE.left, grid.TITLE.top, grid.TITLE.right, grid.TITLE.top + height))
        colour = "ink" if self.own_title else ""
        text = xml.body(
            [
                xml.Paragraph(
                    ((whole_title(slide.title, slide.title_lines), xml.Voice(size, True, colour)),),
                    pitch=grid.TITLE_PITCH * size,
                )
            ]
        )
        if self.own_title:
            self._replace(element, "spPr", f"<p:spPr {xml.NAMESPACES}>{place}</p:spPr>")
        self._replace(element, "txBody", text.replace("<p:txBody>", f"<p:txBody {xml.NAMESPACES}>", 1))

        for placeholder in list(self.native.placeholders):
            if placeholder._element is not element:
                placeholder._element.getparent().remove(placeholder._element)

    def _replace(self, element: Any, tag: str, text: str) -> None:
        from pptx.oxml import parse_xml

        element.replace(element.find("{*}" + tag), parse_xml(text))

    def _block(self, placed: Placed) -> None:
        box, size = placed.box, placed.size_pt
        content = whole_dates(placed.content, size, box.width)
        match content:
            case Bullets():
                self._text("Bullets", box, bullet_paragraphs(content, size))
            case Note():
                self._text("Text", box, [xml.Paragraph(voiced(content.runs, size))])
            case BigRow():
                self._big_row(content, box)
            case SetTable():
                self._table(content, box)
            case Figure():
                self._figure(content, box)
            case Chart():
                self._chart(content, box)

    def _text(self, name: str, box: Box, paragraphs: list[xml.Paragraph]) -> None:
        number = next(self.numbers)
        self._add(xml.text_box(number, f"{name} {number}", box, xml.body(paragraphs)))

    def _big_row(self, row: BigRow, box: Box) -> None:
        for index, item in enumerate(row.figures.items):
            left = box.left + index * (row.panel_width + sizes.BIG_GAP)
            panel = Box(left, box.top, left + row.panel_width, box.top + row.height)
            colour = self.counts[item.status] if item.status else "red" if item.stop else self.accent
            label = xml.Voice(sizes.BIG_LABEL_PT, bool(item.status), colour if item.status else "soft")
            lines = [(sizes.big_label(item), label), (item.value, xml.Voice(row.value_pt, True, colour))]
            lines += [(item.detail, xml.Voice(sizes.BIG_LABEL_PT))] if item.detail else []
            text = xml.body(
                [xml.Paragraph((line,)) for line in lines], insets=(sizes.BIG_INSET, sizes.BIG_INSET * 0.8)
            )
            self._add(
                xml.text_box(
                    next(self.numbers), f"Large value {index + 1}", panel, text, paint=xml.solid("wash")
                )
            )

    def _table(self, table: SetTable, box: Box) -> None:
        self._add(table_frame(next(self.numbers), table, (box.left, box.top)))
        if table.table.caption:
            under = Box(
                box.left, box.top + table.height - table.caption_height + 6, box.right, box.top + table.height
            )
            self._text(
                "Caption",
                under,
                [xml.Paragraph(((table.table.caption, xml.Voice(sizes.LEAST_PT, False, "soft")),))],
            )

    def _figure(self, figure: Figure, box: Box) -> None:
        scene = figure.draw(Canvas(box.width, box.height, "deck"))
        self.diagnostics.extend(_figure_problems(self.slide.page, figure.name, scene))
        self._add(figure_group(scene, figure.name, (box.left, box.top), self.numbers))

    def _chart(self, chart: Chart, box: Box) -> None:
        from briefgen.render.pptx.chart import add_chart

        add_chart(self.native, chart, box)
        self.tree[-1].nvGraphicFramePr.cNvPr.set("id", str(next(self.numbers)))


def voiced(runs: tuple[Run, ...], size: float) -> tuple[tuple[str, xml.Voice], ...]:
    """Runs in their voices at a size."""
    return tuple((run.text, xml.Voice(size, run.strong, "soft" if run.soft else "ink")) for run in runs)


def bullet_paragraphs(bullets: Bullets, size: float) -> list[xml.Paragraph]:
    """A list's paragraphs with hanging signs; the first has no gap above it."""
    return [
        xml.Paragraph(
            voiced(item.runs, sizes.bullet_size(item, size)),
            before=sizes.BULLET_GAP * size if index else 0.0,
            bullet=item.mark,
            indent=sizes.INDENT[item.level] * size,
            hang=1.1 * size,
        )
        for index, item in enumerate(bullets.items)
    ]


def _figure_problems(page: str, name: str, scene: Scene) -> list[Diagnostic]:
    where = f"slide {page}, figure {name}"
    found = [
        Diagnostic(
            "label-without-place",
            "caution",
            f'{where}: no free place for the label "{label}"',
            why="the figure lacks it",
            help="use a shorter name",
        )
        for label in ([] if scene.own_words else scene.unplaced)
    ]
    found += scene_characters(where, scene)
    if strays(scene):
        words = f"{where}: {len(strays(scene))} shapes reach over its edge"
        why = "they may cover other things on the slide"
        found.append(
            Diagnostic(
                "figure-over-edge",
                "caution",
                words,
                why=why,
                help="report this figure as a fault of the program",
            )
        )
    return found
