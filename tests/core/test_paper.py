"""The paper of a kneeboard card, as it is typed on the command line."""

from __future__ import annotations

import pytest

from briefgen.core.paper import Paper, paper_of


@pytest.mark.parametrize(
    ("typed", "paper"),
    [
        ("a5", Paper(148.0, 210.0)),  # ISO 216
        ("A5", Paper(148.0, 210.0)),
        ("half-letter", Paper(139.7, 215.9)),  # 5.5 x 8.5 in
        ("5.5 x 8.5 in", Paper(139.7, 215.9)),
        ("140 x 200 mm", Paper(140.0, 200.0)),
        ("200x140mm", Paper(140.0, 200.0)),
        ("a4", None),
        ("100 x 200 mm", None),  # no room for a table of 11 pt
        ("140 x 310 mm", None),
        ("140 x 200", None),
    ],
)
def test_a_paper_is_named_or_measured(typed, paper):
    found = paper_of(typed)
    assert (found is None) == (paper is None)
    if found is not None and paper is not None:
        assert (found.width_mm, found.height_mm) == pytest.approx((paper.width_mm, paper.height_mm))
