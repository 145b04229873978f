"""The file itself: the same bytes always, nothing foreign in it, everything native, named and readable."""

import hashlib
import io
import re
import subprocess
import zipfile
from dataclasses import replace

import pytest
from lxml import etree
from pptx import Presentation

from briefgen.brief.content.blocks import (
    BigFigure,
    BigFigures,
    Bullet,
    Bullets,
    Cell,
    Column,
    Figure,
    Note,
    Page,
    Run,
    text_table,
)
from briefgen.draw.scene.model import Canvas, Line, Scene, Text
from briefgen.render.pptx.deck import build_deck
from tests.render.sample import CREW, FRAME, STAMP, bullets, pages

NASTY = """251.0//243.0 <500> #2 *x* _y_ $z$ @r -- "q" ~ \\ /* */ [a] #read("x") &amp; '"""
TEXTS = [NASTY, "1. Stop at joker", "# 2 leads", "[table crew]", "two  spaces", "</a:t>"]


@pytest.fixture(scope="module")
def sample():
    data, diagnostics = build_deck(pages(), FRAME)
    assert diagnostics == []
    return data


@pytest.fixture(scope="module")
def parts(sample):
    archive = zipfile.ZipFile(io.BytesIO(sample))
    return {name: archive.read(name) for name in archive.namelist()}


@pytest.fixture(scope="module")
def deck(sample):
    return Presentation(io.BytesIO(sample))


def one_slide(*blocks, title="T", notes=""):
    data, diagnostics = build_deck([Page("p", title, blocks, notes)], FRAME)
    assert [d for d in diagnostics if d.severity == "error"] == []
    return Presentation(io.BytesIO(data)).slides[0], diagnostics


@pytest.mark.parametrize(("seed", "zone"), [("1", "Pacific/Auckland"), ("77", "America/Denver")])
def test_the_bytes_are_the_same_in_any_process(sample, python, clean_environment, seed, zone):
    code = (
        "import hashlib; from tests.render.sample import FRAME, pages; from briefgen.render.pptx.deck import"
        " build_deck;print(hashlib.sha256(build_deck(pages(), FRAME)[0]).hexdigest())"
    )
    environment = {**clean_environment, "PYTHONHASHSEED": seed, "TZ": zone}
    there = subprocess.run(
        [python, "-c", code], env=environment, capture_output=True, text=True, check=True
    ).stdout.strip()
    assert there == hashlib.sha256(sample).hexdigest()


def test_no_entry_twice_and_none_without_a_relation(sample, parts):
    names = zipfile.ZipFile(io.BytesIO(sample)).namelist()
    assert len(names) == len(set(names))
    targets = set()
    for name, data in parts.items():
        if name.endswith(".rels"):
            folder = name.replace("_rels/", "").rsplit("/", 1)[0] if "/" in name.replace("_rels/", "") else ""
            for relation in etree.fromstring(data):
                target = relation.get("Target")
                path = target.lstrip("/") if target.startswith("/") else _joined(folder, target)
                targets.add(path)
    assert {name for name in names if not name.endswith(".rels") and name != "[Content_Types].xml"} == targets


def _joined(folder, target):
    steps = folder.split("/") if folder else []
    for step in target.split("/"):
        steps = steps[:-1] if step == ".." else [*steps, step]
    return "/".join(steps)


def test_nothing_of_another_program_remains(parts):
    assert not any("thumbnail" in name or "printerSettings" in name for name in parts)
    text = b" ".join(data for name, data in parts.items() if name.endswith(".xml"))
    for foreign in (b"PowerPoint", b"python-pptx", b"Calibri", b"Steve", b"Office Theme", b"2013"):
        assert foreign not in re.sub(rb'(xmlns(:\w+)?|uri|Type)="[^"]*"', b"", text), foreign


def test_dates_are_the_plans(parts, deck):
    core = deck.core_properties
    assert (core.created.isoformat(), core.modified.isoformat()) == (
        "2027-01-30T02:00:00",
        "2027-01-30T02:00:00",
    )
    assert (core.author, core.last_modified_by, core.title) == (
        "briefgen",
        "briefgen",
        "Harbour regatta opening - brief",
    )
    workbooks = [data for name, data in parts.items() if name.endswith(".xlsx")]
    assert workbooks
    for data in workbooks:
        inner = zipfile.ZipFile(io.BytesIO(data))
        assert (
            re.findall(rb">([^<]*)</dcterms:", inner.read("docProps/core.xml"))
            == [b"2027-01-30T02:00:00Z"] * 2
        )
        assert {entry.date_time for entry in inner.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_one_layout_and_real_titles(deck):
    assert [layout.name for layout in deck.slide_layouts] == ["Brief"]
    assert (deck.slide_width, deck.slide_height) == (12192000, 6858000)
    titles = [slide.shapes.title.text_frame.text.replace("\u00a0", " ") for slide in deck.slides]
    assert titles[:2] == [page.title for page in pages()[:2]] and len(titles) == len(set(titles))


def test_no_placeholder_is_empty(deck):
    for slide in deck.slides:
        assert all(p.text_frame.text for p in slide.placeholders)
        if slide.has_notes_slide:
            texts = [
                p.text_frame.text
                for p in slide.notes_slide.placeholders
                if p.placeholder_format.type is not None and "IMAGE" not in str(p.placeholder_format.type)
            ]
            assert texts and all(texts)


def test_every_figure_table_and_chart_has_words_for_those_who_cannot_see_it(deck):
    kinds = []
    for slide in deck.slides:
        for element in slide.shapes._spTree.iterchildren("{*}grpSp", "{*}graphicFrame"):
            kinds.append(element.tag.rsplit("}")[-1])
            assert element.find(".//{*}cNvPr").get("descr", "").strip()
    assert kinds.count("grpSp") == 3 and kinds.count("graphicFrame") == 5


def test_ids_are_unique_on_a_slide(deck):
    for slide in deck.slides:
        ids = [element.get("id") for element in slide._element.iter("{*}cNvPr")]
        assert len(ids) == len(set(ids))


def test_the_only_type_under_14_pt_is_the_frame_of_the_slide(deck):
    for slide in deck.slides:
        for shape in slide.shapes._spTree.iterchildren("{*}sp", "{*}grpSp", "{*}graphicFrame"):
            sizes = {int(run.get("sz")) for run in shape.iter("{*}rPr")}
            name = shape.find(".//{*}cNvPr").get("name")
            assert all(size >= 1400 for size in sizes) or (name == "Page number" and sizes == {900})
    frame = {run.get("sz") for run in deck.slide_layouts[0]._element.iter("{*}rPr")} - {None}
    assert frame == {"900", "1400"}  # the state of the plan is as large as the least body text


def test_line_spacing_is_always_given_in_points(deck):
    for slide in deck.slides:
        for paragraph in slide._element.iter("{http://schemas.openxmlformats.org/drawingml/2006/main}p"):
            assert paragraph.find("{*}pPr/{*}lnSpc/{*}spcPts") is not None


def test_the_frame_stands_on_the_layout_with_all_its_parts(deck):
    text = " ".join(shape.text_frame.text for shape in deck.slide_layouts[0].shapes if shape.has_text_frame)
    for part in (
        STAMP.marking,
        STAMP.mission,
        STAMP.fingerprint,
        f"cards read {STAMP.spoken}",
        STAMP.state,
        STAMP.caution,
    ):
        assert part in text
    assert [shape.text_frame.text for shape in deck.slides[2].shapes if shape.name == "Page number"] == [
        f"3 of {len(deck.slides)}"
    ]


@pytest.mark.parametrize("text", TEXTS)
def test_user_text_is_shown_as_written(text):
    slide, _ = one_slide(
        Bullets((Bullet((Run(text),)),)),
        Note((Run(text, soft=True),)),
        text_table("t", (Column(text),), [[Cell(text, "PASS")]]),
        Figure("f", lambda canvas: Scene(canvas, (Text((200, 60), text),), text)),
        title=text,
        notes=text,
    )
    by_name = {shape.name.rsplit(" ", 1)[0]: shape for shape in slide.shapes}
    assert (
        by_name["Title"].text_frame.text
        == by_name["Bullets"].text_frame.text
        == by_name["Text"].text_frame.text
        == text
    )
    table = by_name["Table"].table
    assert (table.cell(0, 0).text_frame.text, table.cell(1, 0).text_frame.text) == (
        text,
        f"●\u00a0PASS {text}",
    )
    assert by_name["Figure"].shapes[0].text_frame.text == text
    assert by_name["Figure"]._element.find(".//{*}cNvPr").get("descr") == text
    assert slide.notes_slide.notes_text_frame.text == text


@pytest.mark.parametrize(
    ("char", "name"), [("飛", "U+98DB"), ("\x07", "U+0007"), ("\ufffe", "U+FFFE"), ("😀", "U+1F600")]
)
def test_a_character_the_font_lacks_is_a_caution_and_never_a_crash(char, name):
    figure = Figure("f", lambda canvas: Scene(canvas, (Text((200, 60), f"l{char}"),), "x"))
    slide, diagnostics = one_slide(bullets(f"a{char}b"), figure, title=f"x{char}", notes=f"n{char}")
    assert {d.code for d in diagnostics} == {"character-not-in-font"} and all(
        name in d.message and "slide p" in d.message for d in diagnostics
    )
    assert len(diagnostics) == 4
    assert "a" in slide.shapes[1].text_frame.text and "b" in slide.shapes[1].text_frame.text


def test_a_long_line_is_thinned_and_never_of_no_size():
    def draw(canvas: Canvas) -> Scene:
        wave = tuple((i * canvas.width_pt / 5000, canvas.height_pt / 2 + (i % 97) / 3) for i in range(5000))
        return Scene(
            canvas,
            (Line(wave), Line(((5, 5), (5, 90), (5, 50))), Line(((5, 5), (5, 90)), arrow="end")),
            "lines",
        )

    slide, _ = one_slide(Figure("wave", draw))
    group = slide.shapes[1]._element
    for path in group.iter("{*}path"):
        assert len(list(path.iter("{*}pt"))) <= 500 and int(path.get("w")) > 0 and int(path.get("h")) > 0
    assert len(list(group.iter("{*}custGeom"))) == 2 and len(list(group.iter("{*}cxnSp"))) == 1


def test_labels_without_a_place_and_shapes_over_the_edge_are_cautions():
    def draw(canvas: Canvas) -> Scene:
        return Scene(canvas, (Text((canvas.width_pt, 10), "far out"),), "x", ("IP",))

    _, diagnostics = one_slide(Figure("f", draw))
    assert sorted(d.code for d in diagnostics) == ["figure-over-edge", "label-without-place"]
    assert all("slide p, figure f" in d.message for d in diagnostics)


def test_nobody_is_asked_to_shorten_a_label_of_the_program_s_own():
    def draw(canvas: Canvas) -> Scene:
        return Scene(
            canvas, (Text((20, 20), "x"),), "Sortie 11:27 to 12:20", ("Sortie 11:27",), own_words=True
        )

    assert one_slide(Figure("f", draw))[1] == []


def test_what_does_not_fit_gives_no_deck_but_an_error():
    data, diagnostics = build_deck([Page("p", "T", (bullets("word " * 2000),))], FRAME)
    assert data is None and {d.code for d in diagnostics} == {"slide-overflow"}


def test_a_foot_too_long_for_the_slide_is_an_error():
    data, diagnostics = build_deck(
        [Page("p", "T", (CREW,))], replace(FRAME, stamp=replace(STAMP, mission="M" * 300))
    )
    assert data is None and "foot" in diagnostics[0].message


def test_an_empty_brief_is_a_deck_without_slides():
    data, diagnostics = build_deck([], FRAME)
    assert diagnostics == [] and len(Presentation(io.BytesIO(data)).slides) == 0


def test_the_chart_holds_its_numbers(deck):
    (chart,) = (
        shape.chart
        for slide in deck.slides
        for shape in slide.shapes
        if getattr(shape, "has_chart", False) and shape.has_chart
    )
    names = [series.name for series in chart.plots[0].series]
    assert names == ["Ship 1", "Ship 2", "Ship 3", "Ship 4", "Bingo 1,250", "T"]
    assert list(chart.plots[0].series[0].values)[:2] == [5500, 5500 - 420 - 40]
    assert (chart.value_axis.minimum_scale, chart.value_axis.maximum_scale) == (0, 6000)


def test_a_date_is_not_parted_where_its_cell_takes_several_lines_and_keeps_its_hyphen_where_it_takes_one():
    columns = (Column("When"), Column("What", share=0.2))
    table = text_table(
        "dates", columns, [["2027-03-14", "Valid from the 14th, that is 2027-03-14 12:00, and -04:00"]]
    )
    slide, _ = one_slide(table, bullets("Valid 2027-03-14"))
    texts = [text for shape in slide.shapes for text in _all_text(shape)]
    assert "2027-03-14" in texts and any(
        "2027\u201103\u201114\u00a012:00, and \u201104:00" in text for text in texts
    )
    assert any(text.endswith("2027-03-14") and text.startswith("Valid") for text in texts)


def test_no_date_or_offset_is_parted_in_a_title_a_head_a_caption_or_beside_a_large_value():
    """Each here takes two lines at the least; a title that takes one keeps its hyphens."""
    long = "The last ship lands 5 h 57 min 52 s before sunset at 2027-06-02 05:31:17 Z and that is early"
    head = "Event, a long word that needs the width, EDT (-04:00)"
    table = text_table(
        "times",
        (Column(head, share=0.2), Column("What", share=0.8)),
        [["12:00", "Start"]],
        caption=f"{long} {long}",
    )
    big = BigFigures(
        (
            BigFigure(
                "Label of a large value of 2027-06-02", "12:00", "the detail under it, told by 2027-06-02"
            ),
        )
        * 4
    )
    slide, _ = one_slide(big, table, title=long)
    shown = {shape.name.rsplit(" ", 1)[0]: shape for shape in slide.shapes}
    assert "2027\u201106\u201102\u00a005:31:17\u00a0Z" in shown["Title"].text_frame.text
    assert shown["Table"].table.cell(0, 0).text_frame.text.endswith("(\u201104:00)")
    assert "2027\u201106\u201102" in shown["Caption"].text_frame.text
    assert shown["Large value"].text_frame.text.count("2027\u201106\u201102") == 2
    short, _ = one_slide(bullets("x"), title="Sunset at 2027-06-02")
    assert short.shapes.title.text_frame.text == "Sunset at 2027-06-02"


def _all_text(shape):
    if shape.has_table:
        return [cell.text_frame.text for row in shape.table.rows for cell in row.cells]
    return [shape.text_frame.text] if shape.has_text_frame else []
