"""Speaker notes: python-pptx makes the first page of them from the notes master, the others are copies of it,
which takes a fifth of the time."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from itertools import count
from typing import Any

from briefgen.render.pptx import xml


class NotesWriter:
    """Writes the notes of one deck's slides, one after the other."""

    def __init__(self, deck: Any) -> None:
        self.package = deck.part.package
        self.first: Any = None
        self.names: Iterator[str] = iter(())

    def write(self, slide: Any, text: str) -> None:
        """Gives a slide that has none a page of notes: the slide's picture and the text."""
        if self.first is None:
            self.first = _first(slide)
            self.names = _free_names(self.package)
            page = self.first
        else:
            page = self._copy(slide)
        page.notes_text_frame.text = xml.plain(text)

    def _copy(self, slide: Any) -> Any:
        from pptx.opc.constants import CONTENT_TYPE, RELATIONSHIP_TYPE
        from pptx.opc.packuri import PackURI
        from pptx.parts.slide import NotesSlidePart

        part = NotesSlidePart(
            PackURI(next(self.names)),
            CONTENT_TYPE.PML_NOTES_SLIDE,
            self.package,
            deepcopy(self.first._element),
        )
        part.relate_to(
            self.first.part.part_related_by(RELATIONSHIP_TYPE.NOTES_MASTER), RELATIONSHIP_TYPE.NOTES_MASTER
        )
        part.relate_to(slide.part, RELATIONSHIP_TYPE.SLIDE)
        slide.part.relate_to(part, RELATIONSHIP_TYPE.NOTES_SLIDE)
        return part.notes_slide


def _first(slide: Any) -> Any:
    """A page of notes without the places that stay empty: header, date, foot."""
    from pptx.enum.shapes import PP_PLACEHOLDER

    page = slide.notes_slide
    for placeholder in list(page.placeholders):
        if placeholder.placeholder_format.type not in (PP_PLACEHOLDER.SLIDE_IMAGE, PP_PLACEHOLDER.BODY):
            placeholder._element.getparent().remove(placeholder._element)
    return page


def _free_names(package: Any) -> Iterator[str]:
    taken = {str(part.partname) for part in package.iter_parts()}
    return (name for number in count(1) if (name := f"/ppt/notesSlides/notesSlide{number}.xml") not in taken)
