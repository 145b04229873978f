"""A unit's own file as the look of the deck. The files are made here with python-pptx, one for each thing
that can be wrong with one."""

import io
import zipfile

import pytest
from pptx import Presentation
from pptx.util import Inches, Pt

from briefgen.render.pptx.deck import build_deck
from tests.render.sample import FRAME, STAMP, pages

SECRET = "last month's sortie"


def unit_file(path, *, wide=True, ground="FFFFFF"):
    """A presentation of a unit, with two slides of an old brief in it."""
    deck = Presentation()
    if wide:
        deck.slide_width, deck.slide_height = Inches(13.3333333), Inches(7.5)
    for layout in deck.slide_layouts:
        for shape in layout.placeholders:
            if shape.placeholder_format.type.name == "TITLE":
                shape.left, shape.top, shape.width, shape.height = Pt(60), Pt(36), Pt(840), Pt(60)
    for _ in range(2):
        slide = deck.slides.add_slide(deck.slide_layouts[1])
        slide.shapes.title.text = SECRET
        slide.notes_slide.notes_text_frame.text = SECRET
    if ground != "FFFFFF":
        theme = deck.slide_master.part.part_related_by(
            "http://schemas.openxmlformats.org/officeDocument/2006/relationships/theme"
        )
        theme._blob = theme.blob.replace(b'lastClr="FFFFFF"', b'lastClr="%s"' % ground.encode())
    deck.core_properties.keywords = SECRET
    deck.save(str(path))
    return path


def test_the_units_layout_carries_the_brief_and_its_old_slides_are_gone(tmp_path):
    data, diagnostics = build_deck(pages(), FRAME, unit_file(tmp_path / "unit.pptx"))
    assert diagnostics == []
    deck = Presentation(io.BytesIO(data))
    assert {slide.slide_layout.name for slide in deck.slides} == {"Title Only"}
    assert deck.slides[1].shapes.title.text_frame.text == "Four ships, two a side"
    assert deck.slides[1].shapes.title.left == Pt(60)  # the layout's own place
    archive = zipfile.ZipFile(io.BytesIO(data))
    names = archive.namelist()
    assert len(names) == len(set(names)) and not any("thumbnail" in name for name in names)
    assert not any(SECRET.encode() in archive.read(name).replace(b"&apos;", b"'") for name in names)
    assert sum(name.startswith("ppt/slides/slide") for name in names) == len(deck.slides)
    frame = " ".join(
        shape.text_frame.text for shape in deck.slides[0].slide_layout.shapes if shape.has_text_frame
    )
    assert STAMP.fingerprint in frame and STAMP.caution in frame and STAMP.marking in frame
    assert all(
        placeholder.placeholder_format.type.name == "TITLE"
        for slide in deck.slides
        for placeholder in slide.placeholders
    )


def test_the_same_theme_gives_the_same_bytes(tmp_path):
    theme = unit_file(tmp_path / "unit.pptx")
    assert build_deck(pages()[:2], FRAME, theme)[0] == build_deck(pages()[:2], FRAME, theme)[0]


def test_a_dark_background_is_a_caution(tmp_path):
    data, diagnostics = build_deck(pages()[:1], FRAME, unit_file(tmp_path / "unit.pptx", ground="202020"))
    assert data and [(d.code, d.severity) for d in diagnostics] == [("theme-contrast", "caution")]
    assert "ochre" in diagnostics[0].message


def _no_titles(path):
    deck = Presentation()
    deck.slide_width, deck.slide_height = Inches(13.3333333), Inches(7.5)
    for layout in list(deck.slide_layouts):
        if layout.name != "Blank":
            deck.slide_layouts.remove(layout)
    deck.save(str(path))


def _high_title(path):
    unit_file(path)
    deck = Presentation(str(path))
    layout = next(layout for layout in deck.slide_layouts if layout.name == "Title Only")
    layout.placeholders[0].top = Pt(300)
    deck.save(str(path))


@pytest.mark.parametrize(
    ("name", "make", "words"),
    [
        ("x.potx", lambda p: p.write_bytes(b""), "template file"),
        ("x.pptx", lambda p: None, "no such file"),
        ("x.pptx", lambda p: p.write_bytes(b""), "cannot|can be read"),
        ("x.pptx", lambda p: p.write_bytes(b"not a zip"), "can be read"),
        ("x.pptx", lambda p: p.mkdir(), "can be read"),
        ("x.pptx", lambda p: zipfile.ZipFile(p, "w").close(), "can be read"),
        ("x.pptx", lambda p: unit_file(p, wide=False), "16:9"),
        ("x.pptx", _no_titles, "title"),
        ("x.pptx", _high_title, "too little room"),
    ],
)
def test_a_file_that_cannot_serve_is_one_error_with_its_path_and_the_mend(tmp_path, name, make, words):
    path = tmp_path / name
    make(path)
    data, diagnostics = build_deck(pages()[:1], FRAME, path)
    assert data is None and [(d.code, d.severity) for d in diagnostics] == [("theme-unusable", "error")]
    assert str(path) in diagnostics[0].message and diagnostics[0].help
    assert any(word in diagnostics[0].message for word in words.split("|"))
