"""Slide templates: what a unit may write, and what it is told when it goes wrong."""

import pytest

from briefgen.brief.content.blocks import (
    Axis,
    BigFigure,
    BigFigures,
    Bullet,
    Bullets,
    Cell,
    Chart,
    Column,
    Columns,
    Figure,
    Note,
    Run,
    Table,
    plain,
)
from briefgen.brief.slides.pages import Template, View, build_page, build_pages, read_templates
from briefgen.core.resources import templates_folder

NASTY = """251.0//243.0 <500> #2 *x* _y_ $z$ @r -- "q" ~ \\ /* */ [a] #read("x")"""
USER_TEXTS = [
    NASTY,
    "1. Stop at joker",
    "# 2 leads",
    "- not a bullet",
    "*x*",
    "**x**",
    "[table crew]",
    "[big a | b]",
    "::: left",
    "Notes:",
    "a | b",
    "{{ 7*7 }}",
    "{% raw %}",
    "&lt;b&gt;",
    "</script><img src=x onerror=alert(1)>",
    "    indented",
    "two  spaces",
    "a\\*b",
    "`code`",
    "http://x.invalid/",
    "\\",
]
TABLE = Table("crew", (Column("Who"),), ((Cell("x"),),))
CHART = Chart("fuel", Axis("t", 0, 1, 1), Axis("lb", 0, 1, 1), (), "alt")


def figure(canvas):
    raise AssertionError("a figure is drawn by the renderer, not here")


VIEW = View(
    values={
        "name": "Harbour",
        "sortie": {"items": "key named items", "legs": ["A", "B"]},
        "nothing": None,
        "yes": True,
        "empty": " ",
        "number": 1.5,
        "reserved": "\ue0000\ue001",
    },
    tables={"crew": TABLE},
    figures={"map": figure},
    charts={"fuel": CHART},
)


def page_of(text, view=VIEW):
    page, diagnostics = build_page(Template("30-joker-sums.md", text), view)
    assert diagnostics == []
    return page


@pytest.mark.parametrize("user_text", USER_TEXTS)
def test_user_text_appears_as_written_everywhere(user_text):
    text = (
        "# {{ t }}\n\n- {{ t }}\n- **{{ t }}** tail\n\n{{ t }}\n\n[big {{ t }} | {{ t }} | {{ t"
        " }}]\n\nNotes:\n{{ t }}\n"
    )
    page = page_of(text, View({"t": user_text}))
    assert page.title == user_text and page.notes == user_text
    bullets, note, big = page.blocks
    assert bullets == Bullets(
        (Bullet((Run(user_text),)), Bullet((Run(user_text, strong=True), Run(" tail"))))
    )
    assert note == Note((Run(user_text),))
    assert big == BigFigures((BigFigure(user_text, user_text, user_text),))


def test_a_page_with_everything():
    page = page_of(
        "# Title of {{ name }}\n\n[big 03:30:02 Z | T]\n[stop A | B | C]\n\n- one **strong** *soft*\n  -"
        " nested\n- two\n  runs on\n\n1. first\n2. second\n\n::: left 60\n[figure map]\n::: right\n[chart"
        " fuel]\n\n[table crew]\n:::\n\nA closing note.\n\nNotes:\nOne\nline.\n\n- Two\n- Three\n"
    )
    big, bullets, numbers, columns, note = page.blocks
    assert (page.name, page.title, page.source) == ("joker-sums", "Title of Harbour", "30-joker-sums.md")
    assert [(item.value, item.stop) for item in big.items] == [("03:30:02 Z", False), ("A", True)]
    assert bullets.items[0].runs == (
        Run("one "),
        Run("strong", strong=True),
        Run(" "),
        Run("soft", soft=True),
    )
    assert [(plain(i.runs), i.level, i.mark) for i in bullets.items[1:]] == [
        ("nested", 1, "–"),
        ("two runs on", 0, "•"),
    ]
    assert [(plain(i.runs), i.mark) for i in numbers.items] == [("first", "1."), ("second", "2.")]
    assert columns == Columns((Figure("map", figure),), (CHART, TABLE), 0.6)
    assert plain(note.runs) == "A closing note."
    assert page.notes == "One line.\n- Two\n- Three"


@pytest.mark.parametrize(
    "text", ["", "\n\n", "{% if nothing %}\n# Title\n{% endif %}\n", "{# only a comment #}\n"]
)
def test_a_template_that_renders_to_nothing_leaves_its_slide_out(text):
    assert build_page(Template("10-x.md", text), VIEW) == (None, [])


def test_loops_and_keys_named_like_methods():
    page = page_of(
        "# {{ sortie.items }}\n{% for leg in sortie.legs %}\n- {{ loop.index }} {{ leg }}\n{% endfor %}\n"
    )
    assert page.title == "key named items"
    assert [plain(i.runs) for i in page.blocks[0].items] == ["1 A", "2 B"]


@pytest.mark.parametrize(
    ("text", "line", "code", "words"),
    [
        ("# T\n\n- {{ nmae }}\n", 3, "template-unknown-value", "nmae"),
        ("# T\n\n- {{ sortie.leg }}\n", 3, "template-unknown-value", "leg"),
        ("# T\n- a\n- {{ nothing }}\n", 3, "template-value", "None"),
        ("# T\n- {{ yes }}\n", 2, "template-value", "True or False"),
        ("# T\n- {{ empty }}\n", 2, "template-value", "empty"),
        ("# T\n- {{ number }}\n", 2, "template-value", "unrounded"),
        ("# T\n- {{ sortie }}\n", 2, "template-value", "group"),
        ("# T\n- {{ sortie.legs }}\n", 2, "template-value", "list"),
        ("# T\n- {{ nothing|default('N/A') }}\n", 2, "template-syntax", "default"),
        ("# T\n- {{ name|truncate(3) }}\n", 2, "template-syntax", "truncate"),
        ("# T\n- {{ name|int }}\n", 2, "template-syntax", "int"),
        ("# T\n- {{ number|float }}\n", 2, "template-syntax", "float"),
        ("# T\n{% if name %}\n- a\n", 2, "template-syntax", "'if'"),
        ("# T\n- {{ name.__class__.__mro__ }}\n", 2, "template-", ""),
        ("# T\n- {{ number / 0 }}\n", 2, "template-failed", "no sums"),
        ("- no title\n", 1, "template-no-title", "title"),
        ("{% if yes %}\n# T\n{% endif %}\n\n[table crwe]\n", 5, "template-unknown-table", "crwe"),
        (
            "# T\n{% for leg in sortie.legs %}\n- {{ leg }}\n{% endfor %}\n\n[figure mpa]\n",
            6,
            "template-unknown-figure",
            "mpa",
        ),
        ("# T\n\n::: left 60\n[chart no]\n::: right\n- x\n:::\n", 4, "template-unknown-chart", "no"),
        ("# T\n\n- a\n\n## Second\n", 5, "template-markdown", "one heading"),
        ("# T\n\n- a\n  - b\n    - c\n", 5, "template-markdown", "nested"),
        ("# T\n\ntext\n[table crew]\n", 3, "template-markdown", "beside"),
        ("# T\n\n[big only]\n", 3, "template-markdown", "large value"),
        ("# T\n\n::: left\n- a\n", 3, "template-columns", "columns"),
        ("# T\n\n::: left 95\n- a\n::: right\n- b\n:::\n", 3, "template-columns", "columns"),
        ("# T\n- {{ reserved }}\n", 2, "template-value", "reserved"),
        ("# T\n{% set x %}a{{ name }}{% endset %}\n- {{ x }}\n", 3, "template-value", "captured"),
        ("# T\n- \ue000\n", 2, "template-character", "U+E000"),
    ],
)
def test_a_mistake_is_a_diagnostic_with_file_and_line(text, line, code, words):
    page, diagnostics = build_page(Template("40-mine.md", text), VIEW)
    assert page is None
    first = diagnostics[0]
    assert (first.span.file, first.span.line, first.severity) == ("40-mine.md", line, "error")
    assert first.code.startswith(code) and words in first.message and first.help


def test_a_misspelt_name_is_met_with_the_nearest():
    _, diagnostics = build_page(Template("40-mine.md", "# T\n\n[table crw]\n"), VIEW)
    assert "did you mean crew" in diagnostics[0].help


def test_a_later_folder_replaces_file_by_file(tmp_path):
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    for folder, files in (
        (ours, {"10-a.md": "# ours a", "20-b.md": "# ours b", "30-c.md": "# ours c"}),
        (theirs, {"20-b.md": "", "15-new.md": "# new", "30-c.md": "# theirs c"}),
    ):
        folder.mkdir()
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8")
    pages, diagnostics = build_pages(read_templates([ours, theirs]), View())
    assert diagnostics == [] and [page.title for page in pages] == ["ours a", "new", "theirs c"]


def test_a_unit_s_slide_takes_the_place_of_the_shipped_one_of_its_name_whatever_its_number(tmp_path):
    ours, theirs = tmp_path / "ours", tmp_path / "theirs"
    for folder, files in (
        (ours, {"10-a.md": "# ours a", "20-b.md": "# ours b", "80-c.md": "# ours c"}),
        (theirs, {"15-c.md": "# theirs c", "90-a.md": ""}),
    ):
        folder.mkdir()
        for name, text in files.items():
            (folder / name).write_text(text, encoding="utf-8")
    pages, diagnostics = build_pages(read_templates([ours, theirs]), View())
    assert diagnostics == [] and [page.title for page in pages] == ["ours b", "theirs c"]


def test_the_shipped_slides_have_names_of_their_own():
    names = [path.stem.split("-", 1)[1] for path in (templates_folder() / "brief").glob("*.md")]
    assert len(set(names)) == len(names) > 40


def test_one_bad_template_does_not_hide_the_mistakes_of_another():
    templates = [
        Template("10-a.md", "# {{ x }}"),
        Template("20-b.md", "# fine"),
        Template("30-c.md", "# {{ y }}"),
    ]
    pages, diagnostics = build_pages(templates, VIEW)
    assert [p.name for p in pages] == ["b"] and [d.span.file for d in diagnostics] == ["10-a.md", "30-c.md"]


@pytest.mark.parametrize("columns", [0, 2])
def test_a_table_row_has_a_cell_for_each_column(columns):
    with pytest.raises(ValueError, match="row 1 has 1 cells"):
        Table("t", (Column("x"),) * columns, ((Cell("a"),),))
