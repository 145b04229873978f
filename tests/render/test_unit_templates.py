"""The unit's own words: tests/data/unit-templates adds a slide, leaves one out, rewords one and restyles the
review page."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from briefgen.build import build as build_room
from briefgen.build.build import check, with_templates_tried
from briefgen.build.products import PRODUCTS
from tests.planned import brief_of
from tests.render.pdf_cases import REPOSITORY, STAMP, context, plan_of

OWN = REPOSITORY / "tests" / "data" / "unit-templates"
REGATTA = "missions/regatta.yaml"
ADDED, REWORDED = (
    "Three things that we always say before 02:07:00 Z",
    "Tonight we are overhead Finish pontoon at 03:30:02 Z",
)
# of 05-overview.md and 97-debrief.md
SHIPPED, DROPPED = (
    "overhead Finish pontoon at 03:30:02 Z",
    "in the debrief whether it was a success",
)
MAKE = {product.name: product.make for product in PRODUCTS}


def made(product: str, own: Path | None) -> tuple[bytes | None, list]:
    shipped = context()
    files, found = MAKE[product](
        brief_of(plan_of(REGATTA), STAMP),
        shipped if own is None else replace(shipped, templates=(*shipped.templates, own)),
    )
    return (files[0][1] if files else None), found


shipped_or_own = cache(made)  # of templates that no test writes


def deck_titles(own: Path | None) -> list[str]:
    from pptx import Presentation

    data, _ = shipped_or_own("deck", own)
    return [
        slide.shapes.title.text.replace("\u00a0", " ")
        for slide in Presentation(io.BytesIO(data)).slides
        if slide.shapes.title is not None
    ]


def review_text(own: Path | None) -> str:
    data, found = shipped_or_own("review", own)
    assert [d for d in found if d.severity == "error"] == []
    return data.decode().replace("\u00a0", " ")


@pytest.mark.parametrize(
    "text_of", [lambda own: "\n".join(deck_titles(own)), review_text], ids=["deck", "review page"]
)
def test_a_slide_is_added_one_left_out_and_one_reworded(text_of):
    shipped, own = text_of(None), text_of(OWN)
    assert (ADDED in shipped, DROPPED in shipped, REWORDED in shipped) == (False, True, False)
    assert (ADDED in own, DROPPED in own, REWORDED in own) == (True, False, True)
    assert SHIPPED in shipped and "4 ships fly 4 set-ups" in own  # the untouched ones stay


def test_a_style_of_its_own_is_added_to_the_review_page():
    rule = "body{font-size:1.25rem}"
    own = review_text(OWN)
    assert own.index(rule) > own.index("position:sticky")  # after the shipped style, so that it wins
    assert rule not in review_text(None)


def test_other_templates_give_other_cards_to_read_out():
    path = REPOSITORY / REGATTA
    assert check(path).planned.fingerprint.spoken != check(path, templates=OWN).planned.fingerprint.spoken


@pytest.mark.parametrize(
    ("file", "text", "product", "code", "place"),
    [
        (
            "brief/05-overview.md",
            "# Overhead\n\n- {{ event.tot }}\n",
            "deck",
            "template-unknown-value",
            "05-overview.md:3:1",
        ),
        (
            "brief/05-overview.md",
            "# Overhead\n\n[table pushes]\n",
            "review",
            "template-unknown-table",
            "05-overview.md:3:1",
        ),
        (
            "pages/review.html",
            "<p>\n{{ stamp.unit }}\n</p>",
            "review",
            "template-unknown-value",
            "pages/review.html:2:1",
        ),
        (
            "pages/blocks.html",
            "{% macro table(block) %}\n{{ block.rows }\n{% endmacro %}",
            "review",
            "template-syntax",
            "pages/blocks.html:2:1",
        ),
        (
            "pages/base.html",
            "{% block body %}\n\n{{ stamp.marking | safe }}{% endblock %}",
            "review",
            "template-syntax",
            "pages/base.html:3:1",
        ),
        ("pages/base.html", "{{ wind }}", "ground-clock", "template-unknown-value", "pages/base.html:1:1"),
    ],
)
def test_a_mistake_is_told_with_its_file_and_line(tmp_path, file, text, product, code, place):
    path = tmp_path / file
    path.parent.mkdir()
    path.write_text(text, encoding="utf-8")
    _, found = made(product, tmp_path)
    assert (code, place, "error") in [(d.code, str(d.span), d.severity) for d in found]


@pytest.mark.parametrize(
    ("file", "text", "line"),
    [
        ("brief/05-overview.md", "# Overhead\n\n- {{ sortie.callsgn }}\n", 3),
        ("brief/05-overview.md", "# Overhead\n\n[table pushes]\n", 3),
        ("pages/review.html", "<p>\n{{ stamp.unit }}\n</p>", 2),
        ("pages/ground-clock.html", "{{ stamp.unit }}", 1),
        ("cards/approval.typ", '#import "common.typ": *\n\n#nosuch\n', 3),
        ("cards/ours.typ", "\n#let a = [b\n", 2),  # of no card: read all the same
    ],
)
def test_a_name_misspelt_in_a_template_is_told_by_check_at_its_line(tmp_path, file, text, line):
    path = tmp_path / file
    path.parent.mkdir()
    path.write_text(text, encoding="utf-8")
    checked = with_templates_tried(check(REPOSITORY / REGATTA, templates=tmp_path), tmp_path)
    assert [(d.span.file, d.span.line) for d in checked.diagnostics if d.severity == "error"] == [
        (str(path), line)
    ]
    assert checked.exit_code == 2


def test_a_card_is_tried_by_check_with_the_values_of_the_mission(tmp_path):
    """A name that no card has among its data is wrong only once it is asked for."""
    (tmp_path / "cards").mkdir()
    path = tmp_path / "cards" / "ground-contact.typ"
    path.write_text(
        '#import "common.typ": *\n\n#let data = json("data.json")\n#data.crew\n', encoding="utf-8"
    )
    checked = with_templates_tried(check(REPOSITORY / REGATTA, templates=tmp_path), tmp_path)
    (wrong,) = [d for d in checked.diagnostics if d.severity == "error"]
    assert (str(wrong.span), checked.exit_code) == (f"{path}:4:7", 2), wrong
    assert "crew" in wrong.message


def test_check_tries_what_the_unit_has_templates_for_and_nothing_else(tmp_path, monkeypatch):
    """So that a check without own cards stays as short as it was."""
    tried: list[str] = []

    def row(name: str):
        return lambda *_: (tried.append(name), ([], []))[1]

    rows = [replace(product, make=row(product.name)) for product in PRODUCTS]
    monkeypatch.setattr(build_room, "PRODUCTS", rows)
    checked, made_of = check(REPOSITORY / REGATTA), {}
    for folder in ("brief", "pages", "cards", "debrief"):
        (tmp_path / folder / folder).mkdir(parents=True)
        (tmp_path / folder / folder / "x.md").write_text("", encoding="utf-8")
        tried.clear()
        with_templates_tried(checked, tmp_path / folder)
        made_of[folder] = sorted(set(tried))
    assert made_of == {
        "brief": ["review"],
        "pages": ["ground-clock", "review"],
        "cards": ["approval", "ground-contact", "kneeboard"],
        "debrief": [],
    }


def test_check_says_which_templates_it_did_not_try_and_finds_nothing_in_right_ones(tmp_path):
    assert with_templates_tried(check(REPOSITORY / REGATTA, templates=OWN), OWN).exit_code == 0
    (tmp_path / "debrief").mkdir()
    (tmp_path / "debrief" / "10-flown.md").write_text("# Flown\n\n- {{ flwn }}\n", encoding="utf-8")
    checked = with_templates_tried(check(REPOSITORY / REGATTA, templates=tmp_path), tmp_path)
    assert [d.help for d in checked.diagnostics if d.code == "templates-untried"] == [
        "run briefgen debrief with --templates before they are needed"
    ]
