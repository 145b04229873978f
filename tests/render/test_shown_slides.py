"""The slides that are shown and have a drawing: large enough, readable from the back, few words."""

import re

import pytest

from briefgen.brief.content.blocks import Bullets, Figure, plain
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Canvas, Text
from briefgen.draw.scene.palette import text_size_pt
from briefgen.render.pptx import grid
from briefgen.render.pptx.layout import lay_out
from tests.brief.briefs import STAMP, pages_of, plan_of
from tests.planned import brief_of

MOST_WORDS = 40  # of each beside its title, units and the words of a call, which are quoted
DRAWN = {"overview", "clock", "route", "profile", "weather", "contacts", "abort"}
UNITS = {"ft", "nm", "lb", "kg", "km", "SM", "MSL", "AGL", "KGS", "KTAS", "min", "deg"}
MISSIONS = ["regatta", "founders-day", "overcommitted", "lantern-fair", "three-harbours"]


def drawn_slides(mission):
    pages = pages_of(brief_of(plan_of(f"missions/{mission}.yaml"), STAMP).view)
    until = next(n for n, page in enumerate(pages) if page.name == "backup")
    slides, problems = lay_out(pages[:until])
    assert problems == []
    for slide in slides:
        figures = [p for p in slide.placed if isinstance(p.content, Figure)]
        if figures and slide.page.split()[0] in DRAWN:
            scenes = [p.content.draw(Canvas(p.box.width, p.box.height, "deck")) for p in figures]
            yield slide, figures, [s for scene in scenes for s in flat(scene.shapes) if isinstance(s, Text)]


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_drawing_that_is_shown_is_large_readable_and_short_of_words(mission):
    seen = set()
    for slide, figures, texts in drawn_slides(mission):
        name = slide.page.split()[0]
        seen.add(name)
        body = grid.body_box(slide.title_lines, slide.title_pt)
        covered = sum(p.box.width * p.box.height for p in figures) / (body.width * body.height)
        assert (slide.page, covered >= 0.6) == (slide.page, True)
        assert {text_size_pt(text.style) >= 16 for text in texts} == {True}, slide.page
        said = [text.text for text in texts if not text.text.startswith('"')]
        said += [
            plain(b.runs) for p in slide.placed if isinstance(p.content, Bullets) for b in p.content.items
        ]
        words = [w for w in re.findall(r"[A-Za-z]{2}[A-Za-z'-]*", " ".join(said)) if w not in UNITS]
        assert len(words) <= MOST_WORDS, (slide.page, len(words))
    assert seen == DRAWN
