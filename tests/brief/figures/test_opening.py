"""The first slide: each T and SET over the map."""

import pytest

from briefgen.draw.scene.model import Line, Text
from tests.brief.figures.plans import scene_of, shapes_of

REGATTA = "missions/regatta.yaml"


@pytest.mark.parametrize(
    ("mission", "large", "said"),
    [
        # a bias of 15 s
        (REGATTA, ["03:30:02 Z"], ["T", "SET 03:30:17 Z", "in the aircraft only:\nT + 15 s"]),
        # three-harbours: four passes, 12 s each
        (
            "missions/three-harbours.yaml",
            ["14:00:00 Z", "14:15:00 Z", "14:30:00 Z", "14:44:00 Z"],
            ["T SALTMERE", "T SALTMERE pass 2", "SET 14:44:12 Z"],
        ),
        ("tests/cases/ok-pass-only.yaml", ["11:01:00 Z"], ["T"]),  # no bias: nothing is set
    ],
)
def test_t_is_the_largest_and_set_stands_by_it(mission, large, said):
    texts = shapes_of(scene_of(mission, "opening"), Text)
    shown = [text.text for text in texts if text.style in ("huge", "large")]
    assert shown == large and set(said) <= {text.text for text in texts}
    assert ("SET" in " ".join(text.text for text in texts)) is (mission != "tests/cases/ok-pass-only.yaml")


def test_the_map_under_it_is_faint():
    """What is drawn beside the words has the colour of hairlines alone."""
    styles = {line.style for line in shapes_of(scene_of(REGATTA, "opening"), Line)}
    assert styles == {"faint", "faint_track"}
