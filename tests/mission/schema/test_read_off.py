"""What somebody has to look up is asked for without a figure to copy."""

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import START, regatta


@pytest.mark.parametrize(
    "text",
    [
        START + "\nterrain_checked: {by: Capt A. Lind, source: chart 12, date: 2027-01-20}\n",
        regatta().replace(
            "    egress: {",
            "    egress: {turn_checked: {by: Capt A. Lind, source: chart, date: 2027-01-20}, ",
        ),
    ],
    ids=["terrain", "turn"],
)
def test_a_height_that_must_be_looked_up_is_asked_for_without_a_figure_to_copy(text):
    """Copied, an example would pass for what was read off the chart."""
    found = [d for d in load_mission_text(text, "m.yaml")[1] if d.code == "missing-key"]
    assert [d.cause[-1] for d in found] == ["lowest"]
    assert "`lowest: ... ft`" in found[0].help and not any(sign.isdigit() for sign in found[0].help)
