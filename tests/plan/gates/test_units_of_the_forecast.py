"""A forecast in statute miles is judged and told in statute miles."""

from __future__ import annotations

from briefgen.brief.wording.gates import figures_words
from tests.plan.gates.gate_reading import gates


def test_visibility_in_statute_miles_against_a_limit_in_statute_miles():
    """3 SM against 3 SM keeps the limit; 2.5 SM does not."""
    least = ("limits.weather.takeoff.visibility", "3 SM")
    kept = gates("regatta", (least, ("weather.at.NORTHBOURNE.visibility", "3 SM")))["takeoff-visibility"]
    broken = gates("regatta", (least, ("weather.at.NORTHBOURNE.visibility", "2.5 SM")))["takeoff-visibility"]

    assert (kept.verdict, figures_words(kept)) == ("PASS", "3 SM (at least 3 SM)")
    assert (broken.verdict, figures_words(broken)) == ("FAIL", "2.5 SM (at least 3 SM)")
