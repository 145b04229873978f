"""The checker finds nothing wrong with a good deck and everything that is wrong with a spoilt one."""

import pytest

from tests.render.checker import Place, Word, check_slide, small_letters


@pytest.mark.office
@pytest.mark.parametrize(("deck", "slides", "words"), [("sample", 11, 800), ("stress", 20, 2000)])
def test_a_good_deck_has_no_complaint(reports, deck, slides, words):
    report = reports[deck]
    assert report.told == report.complaints == []
    assert report.slides == slides and report.words > words


@pytest.mark.office
@pytest.mark.parametrize("deck", ["spoilt"])
def test_every_spoilt_slide_is_found(reports, deck):
    told = {complaint.split(":")[0] for complaint in reports[deck].complaints}
    assert told == {f"slide {n}" for n in range(1, 7)}


@pytest.mark.parametrize(
    ("words", "complaint"),
    [
        ([Word(0, 0, 10, 10, "a"), Word(12, 0, 20, 10, "b")], ""),
        ([Word(0, 0, 10, 10, "a"), Word(12, 0, 200, 10, "b")], "not inside"),
        ([Word(0, 0, 10, 10, "a")], "missing"),
        ([Word(0, 0, 10, 10, "a"), Word(5, 0, 20, 10, "b")], "over"),
    ],
)
def test_each_kind_of_complaint(words, complaint):
    found = check_slide([Place("p", 0, 0, 100, 20, ("a", "b"))], words)
    assert (complaint in found[0] and len(found) == 1) if complaint else found == []


# A word's box is 1.3 sizes high less 0.15 and 0.11 of that: 16 pt are 15.4 high, 12 pt 11.5.
@pytest.mark.parametrize(
    ("high", "least", "found"), [(15.4, 16, 0), (11.5, 16, 1), (13.5, 14, 0), (8.7, 14, 1)]
)
def test_letters_under_the_least_size_are_found(high, least, found):
    body = [Place("p", 0, 0, 100, 20, ("a",))]
    assert len(small_letters(body, [Word(0, 0, 10, high, "a")], least)) == found
