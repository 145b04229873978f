"""Widths against an independent library (MuPDF reading the same font files) and against Adobe's published
Helvetica widths."""

import pytest

from briefgen.draw.typeset.generate import FONT_FILES, FONT_FOLDER, metrics_text
from briefgen.draw.typeset.measure import (
    METRICS_FILE,
    line_count,
    longest_piece,
    longest_word,
    measure,
    missing_glyphs,
    wrap,
)


def test_the_committed_metrics_are_those_of_the_shipped_fonts():
    assert METRICS_FILE.read_text(encoding="ascii") == metrics_text()


@pytest.mark.parametrize("font", FONT_FILES)
@pytest.mark.parametrize(
    "text",
    ["Leave the hold at 03:28:21 Z", "MAJ R. OKAFOR-LIND", "38°25.7'S 141°28.6'E", "Łódź Ærø 1,040 lb"],
)
def test_width_agrees_with_mupdf(font, text):
    pymupdf = pytest.importorskip("pymupdf")
    independent = pymupdf.Font(fontfile=str(FONT_FOLDER / FONT_FILES[font])).text_length(text, fontsize=20)
    assert measure(text, font, 20) == pytest.approx(independent, rel=1e-4)


@pytest.mark.parametrize(
    ("char", "thousandths"),  # Adobe Core 14 AFM, Helvetica, which Arial follows; from memory
    [("A", 667), ("0", 556), (" ", 278), ("W", 944), ("i", 222), (".", 278)],
)
def test_arial_has_the_widths_of_helvetica(char, thousandths):
    assert measure(char, "Arial", 1000) == pytest.approx(thousandths, abs=1)


@pytest.mark.parametrize(
    ("text", "font", "missing"),
    [
        ("● PASS ▲ CAUTION ■ FAIL ○ NOT CHECKED ◊ WAIVED", "Arial", ()),
        ("飛行", "Arial", ("飛", "行")),
        ("a▲b▲", "Atkinson Hyperlegible Next", ("▲",)),
        ("two\nlines", "Arial", ()),
    ],
)
def test_missing_glyphs(text, font, missing):
    assert missing_glyphs(text, font) == missing


@pytest.mark.parametrize(
    ("text", "width_pt", "lines"),
    [
        ("", 100, [""]),
        ("one two three", 1000, ["one two three"]),
        # "one two" is 3.34 + 0.278 + 3.06... about 36 pt at 10 pt; "one two three" about 60
        ("one two three", 45, ["one two", "three"]),
        ("one\ntwo", 1000, ["one", "two"]),
        ("iiiiiiiiii", 10 * 0.2225 * 4, ["iiii", "iiii", "ii"]),  # an i is 0.222 em: four to a line
    ],
)
def test_wrap(text, width_pt, lines):
    assert wrap(text, "Arial", 10, width_pt) == lines
    assert line_count(text, "Arial", 10, width_pt) == len(lines)


def test_no_wrapped_line_is_wider_than_the_box():
    text = (
        "Abort not later than 30 seconds before, wings level, climb straight ahead, egress course, no second"
        " pass"
    )
    for width in range(40, 400, 20):
        lines = wrap(text, "Arial Bold", 14, width)
        assert " ".join(lines).replace(" ", "") == text.replace(" ", "")
        assert all(measure(line, "Arial Bold", 14) <= width for line in lines)


def test_the_longest_word_is_the_narrowest_box_that_cuts_nothing():
    assert longest_word("a wide-word b", "Arial", 10) == measure("wide-word", "Arial", 10)


def test_of_a_very_long_word_eighteen_letters_stay_together_and_what_is_bound_stays_whole():
    assert longest_piece("a " + "m" * 40, "Arial", 10) == pytest.approx(measure("m" * 18, "Arial", 10))
    bound = "14:00:02\u00a0ACDT\u00a0(+10:30)"
    assert longest_piece(bound, "Arial", 10) == measure(bound, "Arial", 10)
