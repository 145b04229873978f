"""A unit's own .pptx as the look of the deck: its master, its layouts, its colours. Its slides are dropped,
with all they hold.

The font stays Arial, because only its widths are known. Fixed colours of our palette (ochre, the two sides'
blue and red, and so on) stay too; where the unit's background leaves them too little contrast, that is a
caution.
"""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

from briefgen.brief.slides.frame import Frame
from briefgen.core.diagnostics import Diagnostic, Severity
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.palette import COLOURS, contrast
from briefgen.render.pptx import base, grid, xml

LEAST_CONTRAST = 4.5
LEAST_BODY_PT = 300.0
_FIXED_COLOURS = ("ochre", "blue", "red", "plum")
# kinds of placeholders; the usual name of a layout, in small letters
_TITLES, _TITLE_ONLY = (
    {"TITLE", "CENTER_TITLE"},
    "title only",
)
_SIDE_ROOM = {"DATE", "FOOTER", "SLIDE_NUMBER", "HEADER"}


@record
class Base:
    """An empty deck to add slides to, the layout they take, and, with a unit's theme, the place of its
    titles."""

    deck: Any
    layout: Any
    title_box: Box | None = None


def themed_base(theme: Path, frame: Frame) -> tuple[Base | None, list[Diagnostic]]:
    """An empty deck with the look of a unit's file, or why that cannot be."""
    deck, problem = _open(theme)
    if problem:
        return None, [problem]
    if max(
        abs(deck.slide_width - xml.emu(grid.SLIDE_WIDTH)), abs(deck.slide_height - xml.emu(grid.SLIDE_HEIGHT))
    ) > xml.emu(1):
        return None, [
            _problem(
                theme,
                "its slides are not 13.333 by 7.5 inches (16:9)",
                "set the slide size to Widescreen (16:9) and save it again",
            )
        ]
    layout = _title_layout(deck)
    if layout is None:
        return None, [_problem(theme, "none of its layouts has a title", "add a layout named Title Only")]
    title_box = _title_box(layout)
    if (
        grid.BODY_BOTTOM - title_box.bottom - grid.BODY_GAP < LEAST_BODY_PT
        or title_box.width < grid.SLIDE_WIDTH / 2
    ):
        words = f'the title of its layout "{layout.name}" leaves too little room'
        return None, [
            _problem(theme, words, "make the title wide, and let it end at most 2.3 inches from the top")
        ]
    deck = _without_slides(deck, frame)
    layout = next(candidate for candidate in deck.slide_layouts if candidate.name == layout.name)
    for shape in base.frame_shapes(frame, first=9000):
        from pptx.oxml import parse_xml

        layout.shapes._spTree.append(parse_xml(shape))
    return Base(deck, layout, title_box), _contrast_cautions(theme, deck)


def _problem(theme: Path, what: str, remedy: str, code: str = "theme-unusable") -> Diagnostic:
    severity: Severity = "error" if code == "theme-unusable" else "caution"
    return Diagnostic(
        code, severity, f"{theme}: {what}", why="the deck takes its look from this file", help=remedy
    )


def _open(theme: Path) -> tuple[Any, Diagnostic | None]:
    from pptx import Presentation

    if theme.suffix.lower() in (".potx", ".potm"):
        return None, _problem(
            theme,
            "a template file (.potx) cannot be opened",
            "open it in your slide program and save it as .pptx",
        )
    if not theme.exists():
        return None, _problem(theme, "there is no such file", "give the path of a .pptx file")
    try:
        return Presentation(str(theme)), None
    except (
        Exception
    ) as trouble:  # python-pptx lets through whatever its zip and XML readers raise: a dozen kinds
        words = f"it is not a presentation that can be read ({type(trouble).__name__})"
        return None, _problem(theme, words, "open it in your slide program and save it as .pptx again")


def _title_layout(deck: Any) -> Any:
    """The layout named Title Only; else the first that has a title and no other content; else the first with
    a title."""
    titled = [layout for layout in deck.slide_layouts if _kinds(layout) & _TITLES]
    by_name = [layout for layout in titled if layout.name.strip().lower() == _TITLE_ONLY]
    bare = [layout for layout in titled if not _kinds(layout) - _TITLES - _SIDE_ROOM]
    return next(iter([*by_name, *bare, *titled]), None)


def _kinds(layout: Any) -> set[str]:
    return {placeholder.placeholder_format.type.name for placeholder in layout.placeholders}


def _title_box(layout: Any) -> Box:
    title = next(p for p in layout.placeholders if p.placeholder_format.type.name in _TITLES)
    left, top, width, height = (
        value / xml.emu(1) for value in (title.left, title.top, title.width, title.height)
    )
    return Box(left, top, left + width, top + height)


def _without_slides(deck: Any, frame: Frame) -> Any:
    """The deck without its slides, saved and read again so that nothing of them stays behind."""
    identifiers = deck.slides._sldIdLst
    for slide in list(identifiers):
        deck.part.drop_rel(slide.rId)
        identifiers.remove(slide)
    for extension in deck.part._element.findall("{*}extLst") + deck.part._element.findall("{*}custShowLst"):
        deck.part._element.remove(extension)  # sections and shows name slides that are gone
    base.drop_baggage(deck)
    base.set_properties(deck, frame)
    buffer = io.BytesIO()
    deck.save(buffer)
    from pptx import Presentation

    return Presentation(buffer)


def _contrast_cautions(theme: Path, deck: Any) -> list[Diagnostic]:
    """Cautions for colours that the theme's background leaves hard to read; none when the theme does not say
    plainly what its colours are."""
    text, ground = (_theme_colour(deck, slot) for slot in ("tx1", "bg1"))
    if text is None or ground is None:
        words = (
            "its text and background colours could not be found; whether the slides can be read is NOT"
            " CHECKED"
        )
        return [_problem(theme, words, "look at the slides", "theme-contrast")]
    poor = ["its own text"] if contrast(text, ground) < LEAST_CONTRAST else []
    poor += [colour for colour in _FIXED_COLOURS if contrast(COLOURS[colour], ground) < LEAST_CONTRAST]
    if not poor:
        return []
    words = f"on its background (#{ground}) the contrast is under {LEAST_CONTRAST}:1 for: {', '.join(poor)}"
    return [_problem(theme, words, "use a lighter background", "theme-contrast")]


def _theme_colour(deck: Any, slot: str) -> str | None:
    from lxml import etree
    from pptx.opc.constants import RELATIONSHIP_TYPE as KIND

    master = deck.slide_master
    mapped = master._element.find("{*}clrMap").get(slot)
    root = etree.fromstring(master.part.part_related_by(KIND.THEME).blob)
    element = root.find(f".//{{*}}clrScheme/{{*}}{mapped}")
    if element is None or not len(element):
        return None
    colour: str | None = element[0].get("lastClr") or element[0].get("val")
    return colour
