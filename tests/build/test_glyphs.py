"""A sign that a font lacks is told at its place in the mission file, before anything is printed."""

import shutil
from pathlib import Path

import pytest
from fontTools.ttLib import TTFont

from briefgen.build.build import check
from briefgen.build.glyphs import _PLAIN, check_signs
from briefgen.core.resources import fonts_folder
from briefgen.mission.read.source import read_source
from tests.places import REPOSITORY, TESTS

REGATTA = (REPOSITORY / "missions" / "regatta.yaml").read_text(encoding="utf-8")


def told(text: str) -> list[tuple[str, str]]:
    """Place and message of every diagnostic."""
    source, problems = read_source(text, "m.yaml")
    assert source is not None, problems
    return [
        (f"{d.span.line}:{d.span.column}-{d.span.end_line}:{d.span.end_column}", d.message)
        for d in check_signs(source)
    ]


# Columns counted by hand, from 1; the end is the first column after the mark.
@pytest.mark.parametrize(
    ("text", "places"),
    [
        ("a: Harbour \U0001f6e9 opening", ["1:12-1:13"]),
        ("a: plain\nb: 'x \u98db\u884c y \u98db'", ["2:7-2:9"]),
        ("a: {b: [c, \u5c71]}", ["1:12-1:13"]),
        ("a: 1\n\u5c71: c", ["2:1-2:2"]),
        ("a: \u5c71\nb: \u5c71", ["1:4-1:5", "2:4-2:5"]),
        ("a: >\n  x\n  y \u5c71\n", ["3:5-3:6"]),
        ('a: "x \\u5c71"', ["1:4-1:14"]),  # an escape: the whole text is marked
        ("a: b # \u5c71\n# \u5c71\nc: d", []),
        ("a: \u5c71 # \u5c71", ["1:4-1:5"]),
        (
            "a: 37\u00b041.5'S \u201cna\u00efve\u201d \u2013 \u0141\u00f3d\u017a \u2264 5 \u2026",
            [],
        ),  # degree, quotes, dash, Polish letters: every font has them
        ("a: \u20b9 5", ["1:4-1:5"]),  # the cards' font has the rupee, the deck's has not
        ("\ufeffa: \u5c71", ["1:4-1:5"]),
    ],
)
def test_each_place_is_told_once_and_marked_where_the_sign_stands(text, places):
    assert [place for place, _ in told(text)] == places


def test_the_message_names_the_sign_and_how_to_mend_it():
    source, _ = read_source("a: x \U0001f6e9 \u5c71", "m.yaml")
    (found,) = check_signs(source)
    assert (found.code, found.severity) == ("character-not-in-font", "error")
    assert (
        found.message
        == "the cards' font has no sign for U+1F6E9 (small airplane), U+5C71 (cjk unified ideograph-5c71)"
    )
    assert (
        found.why == "it would be an empty box on paper"
        and found.help == "write it in Latin letters or use the nearest sign"
    )


@pytest.mark.parametrize(
    ("sign", "nearest"),
    [("\uff12", "2"), ("\ufb01", "fi"), ("\u2010", "-"), ("\u2192", "to"), ("\u212b", "")],
)
def test_the_nearest_sign_is_offered_where_it_is_known(sign, nearest):
    source, _ = read_source(f"a: {sign}", "m.yaml")
    found = check_signs(source)[0]
    assert found.help.partition("sign")[2] == (f": {nearest}" if nearest else ": \u00c5")


def test_a_file_in_another_script_has_no_hundreds_of_messages():
    assert len(told("\n".join(f"k{n}: \u5c71" for n in range(200)))) == 20


def test_the_signs_that_need_no_look_at_a_font_are_in_every_font():
    fonts = [set(TTFont(path, lazy=True).getBestCmap()) for path in fonts_folder().glob("*.ttf")]
    plain = [code for code in range(0x2FFF) if _PLAIN.fullmatch(chr(code)) and code != 10]
    assert len(fonts) == 4 and len(plain) > 190
    assert [hex(code) for code in plain if not all(code in font for font in fonts)] == []


@pytest.fixture
def emoji(tmp_path):
    path = tmp_path / "emoji.yaml"
    path.write_text(
        REGATTA.replace("name: Harbour regatta opening", "name: Harbour regatta \U0001f6e9 opening"),
        encoding="utf-8",
    )
    line = next(
        number
        for number, text in enumerate(path.read_text(encoding="utf-8").splitlines(), 1)
        if "\U0001f6e9" in text
    )
    return path, line


def test_check_and_build_say_it_once_and_nothing_is_made(emoji, tmp_path):
    from briefgen.build.build import build

    path, line = emoji
    checked = check(path)
    assert checked.exit_code == 2
    assert [f"{d.span}" for d in checked.diagnostics if d.severity == "error"] == [f"{path}:{line}:25"]
    built = build(path, out=tmp_path / "out")
    assert built.exit_code == 2 and not built.outcomes and not (tmp_path / "out").exists()


def test_a_mission_with_other_errors_has_its_signs_told_in_the_same_run(emoji):
    path, _ = emoji
    path.write_text(
        path.read_text(encoding="utf-8").replace("takeoff_interval", "takeoff_intervall"), encoding="utf-8"
    )
    codes = [d.code for d in check(path).diagnostics if d.severity == "error"]
    assert "character-not-in-font" in codes and len(codes) > 1


def test_bytes_that_are_no_text_are_told_as_such_only(tmp_path):
    path = tmp_path / "m.yaml"
    path.write_bytes(REGATTA.encode("utf-8").replace(b"Harbour regatta opening", b"Harbour \xff opening"))
    assert {d.code for d in check(path).diagnostics} == {"encoding"}


def test_a_type_of_aircraft_in_a_file_of_its_own_is_marked_there(tmp_path):
    cases = TESTS / "cases"
    shutil.copytree(cases / "types", tmp_path / "types")
    shutil.copy(cases / "ok-type-file.yaml", tmp_path / "m.yaml")
    (own,) = [
        path
        for path in (tmp_path / "types").glob("*.yaml")
        if path.name in (tmp_path / "m.yaml").read_text(encoding="utf-8")
    ]
    text = own.read_text(encoding="utf-8")
    own.write_text(text.replace("name: ", "name: \u5c71 ", 1), encoding="utf-8")
    (found,) = [d for d in check(tmp_path / "m.yaml").diagnostics if d.severity == "error"]
    assert Path(found.span.file).name == own.name and found.code == "character-not-in-font"
