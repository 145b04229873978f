"""The slides that are shown, of every mission and of the fullest one: few, drawn large, readable from the
back, short of words."""

import re
from functools import cache

import pytest

from briefgen.brief.content.blocks import Bullets, Chart, Figure, Note, Page, Run, plain
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Canvas, Text
from briefgen.draw.scene.palette import text_size_pt
from briefgen.render.pptx import grid
from briefgen.render.pptx.layout import Placed, Slide, lay_out
from briefgen.render.pptx.sizes import BigRow, SetTable, bullets_height
from tests.brief.briefs import STAMP, pages_of, plan_of
from tests.places import REPOSITORY
from tests.planned import brief_of
from tests.render.extremes import WORDS, fullest

MOST_WORDS = 40  # of each beside its title, units and the words of a call, which are quoted
MOST_SLIDES, MORE_A_PASS = 11, 5
LEAST_PT, LEAST_DRAWN = 16, 0.6  # the smallest type; the part of the body that a drawing takes
UNITS = {"ft", "nm", "lb", "kg", "km", "SM", "MSL", "AGL", "KGS", "KTAS", "gal", "min", "deg"}
WORD = re.compile(r"[^\W\d_]{2}[^\W\d_'-]*")
MISSIONS = sorted(path.stem for path in (REPOSITORY / "missions").glob("*.yaml"))


def shown(pages: list[Page]) -> list[Slide]:
    until = next(n for n, page in enumerate(pages) if page.name == "backup")
    slides, problems = lay_out(pages[:until])
    assert problems == []
    return slides


@cache
def slides_of(mission: str) -> list[Slide]:
    return shown(pages_of(brief_of(plan_of(f"missions/{mission}.yaml"), STAMP).view))


def drawn(slide: Slide) -> list[Text]:
    """The texts of its drawings."""
    figures = [placed for placed in slide.placed if isinstance(placed.content, Figure)]
    scenes = [placed.content.draw(Canvas(placed.box.width, placed.box.height, "deck")) for placed in figures]
    return [shape for scene in scenes for shape in flat(scene.shapes) if isinstance(shape, Text)]


def said(slide: Slide) -> list[str]:
    """Everything on it but its title, calls in quotes and the words that stop the pass."""
    stop = slide.page.startswith("abort")
    called = ("red", "stop_huge", "stop_great", "stop_big", "stop_large") if stop else ()
    found = [t.text for t in drawn(slide) if t.text[:1] != '"' and t.style not in called]
    for content in (placed.content for placed in slide.placed):
        match content:
            case Bullets():
                found += [plain(item.runs) for item in content.items]
            case Note():
                found.append(plain(content.runs))
            case SetTable():
                table = content.table
                found += [column.head for column in table.columns]
                found += [cell.text for row in table.rows for cell in row] + [table.caption]
            case BigRow():
                figures = content.figures.items
                found += [text for each in figures for text in (each.label, each.value, each.detail)]
            case Chart():
                found += [line.label for line in (*content.series, *content.references)]
            case Figure():
                pass
            case _:
                raise AssertionError(f"{type(content).__name__} on {slide.page} is not counted")
    return found


def words_of(slide: Slide) -> list[str]:
    return [word for word in WORD.findall(" ".join(said(slide))) if word not in UNITS]


def too_many(slides: list[Slide]) -> list[tuple[str, int]]:
    counted = [(slide.page, len(words_of(slide))) for slide in slides]
    return [(page, count) for page, count in counted if count > MOST_WORDS]


@pytest.mark.parametrize("mission", MISSIONS)
def test_no_shown_slide_has_more_than_forty_words(mission):
    assert too_many(slides_of(mission)) == []


def test_the_fullest_mission_has_as_few_but_for_its_names():
    """Eight ships, each text as long as may be, beside the words that lengthen its names."""
    longer = set(WORD.findall(WORDS))
    for slide in shown(pages_of(brief_of(fullest(240), STAMP).view)):
        words = [word for word in words_of(slide) if word not in longer and not word.startswith("Wimmer")]
        assert (slide.page, len(words) <= MOST_WORDS) == (slide.page, True), words


def test_a_slide_of_too_many_words_is_found():
    bullet = slides_of("regatta")[0]
    text = " ".join(["word"] * (MOST_WORDS + 1))
    page = Page("overview", "Too much", (Note((Run(text),)),))
    (slide,), _ = lay_out([page])
    assert too_many([bullet, slide]) == [("overview", MOST_WORDS + 1)]


@pytest.mark.parametrize("mission", MISSIONS)
def test_few_slides_are_shown(mission):
    passes = len(plan_of(f"missions/{mission}.yaml").passes)
    assert len(slides_of(mission)) <= MOST_SLIDES + MORE_A_PASS * passes


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_drawing_that_is_shown_is_large_and_readable(mission):
    """A drawing with the large figures beside it; what is beside both has the rest."""
    found = 0
    for slide in slides_of(mission):
        figures = [p for p in slide.placed if isinstance(p.content, Figure | Chart | BigRow)]
        if not any(isinstance(p.content, Figure) for p in figures):
            continue
        found += 1
        body = grid.body_box(slide.title_lines, slide.title_pt)
        covered = sum(p.box.width * p.box.height for p in figures) / (body.width * body.height)
        assert (slide.page, covered >= LEAST_DRAWN) == (slide.page, True)
        small = [text.text for text in drawn(slide) if text_size_pt(text.style) < LEAST_PT]
        assert (slide.page, small) == (slide.page, [])
        assert (slide.page, [p.size_pt for p in slide.placed if p.size_pt < LEAST_PT]) == (slide.page, [])
    assert found >= 6


@pytest.mark.parametrize("mission", MISSIONS)
def test_no_shown_slide_leaves_its_lower_half_empty(mission):
    """What stands on it reaches below the middle of the room under the title."""
    for slide in slides_of(mission):
        body = grid.body_box(slide.title_lines, slide.title_pt)
        ends = max(end_of(placed) for placed in slide.placed)
        assert (slide.page, ends > body.top + 0.55 * body.height) == (slide.page, True)


def end_of(placed: Placed) -> float:
    """The lower end of what stands in a box; a drawing takes all of it."""
    match placed.content:
        case Bullets():
            return placed.box.top + bullets_height(placed.content, placed.size_pt, placed.box.width)
        case BigRow() | SetTable():
            return placed.box.top + placed.content.height
    return placed.box.bottom


@pytest.mark.parametrize("mission", MISSIONS)
def test_most_of_what_is_shown_is_drawn(mission):
    """All but the sign-off, and reports in their own words."""
    tables = [s.page for s in slides_of(mission) if not any(isinstance(p.content, Figure) for p in s.placed)]
    assert set(tables) <= {"approval", "reports", "overview"}
