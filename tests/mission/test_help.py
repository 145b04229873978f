"""What a message advises: only what would be taken, and the word that was probably meant."""

import pytest
from mission_texts import changed, regatta

from briefgen.mission.load import load_mission_text
from briefgen.units.nearest import nearest_words

# what is changed in the regatta, and the help; the words after "did you mean" are those before the change, "pounds" is lb in any dictionary
MEANT = [
    ("late_bias: 15 s", "late_bias: 15 sek", "did you mean 15 s?"),
    ("speed: 300 KTAS", "speed: 300 KTSA", "did you mean 300 KTAS?"),
    ("level: 14000 ft MSL", "level: 14000 ft MLS", "did you mean 14000 ft MSL?"),
    ("bank: 30 deg", "bank: 30 dge", "did you mean 30 deg?"),
    ("time: 14:28:06 event", "time: 14:28:06 evnet", "did you mean 14:28:06 event?"),
    ("display: lb", "display: pounds", "one of: lb, kg; did you mean lb?"),
    ("display: lb", "display: bl", "one of: lb, kg; did you mean lb?"),
    ("display: lb", "display: stone", "one of: lb, kg"),
]


def told(old, new):
    """The one thing that is told of the regatta with a change."""
    (problem,) = [problem for problem in load_mission_text(changed(regatta(), old, new), "m.yaml")[1] if problem.severity == "error"]
    return problem


@pytest.mark.parametrize(("old", "new", "help"), MEANT, ids=lambda text: text.partition(": ")[2])
def test_a_slip_is_answered_with_what_was_meant(old, new, help):
    assert told(old, new).help == help


# typed, known, and what is near: by the rule, one letter wrong, missing, too many or swapped in a short word, most of the letters in a long one
NEAR = [
    ("bl", ("lb", "kg", "L"), ["lb"]),
    ("lg", ("lb", "kg", "L"), ["lb", "kg", "L"]),
    ("x", ("s", "h"), []),
    ("HLOD", ("HOLD", "IP"), ["HOLD"]),
    ("stone", ("lb", "kg"), []),
    ("evnt", ("event", "training"), ["event"]),
    ("ALPHA3", ("ALPHA1", "ALPHA2", "BRAVO1"), ["ALPHA1", "ALPHA2"]),
    ("anything", (), []),
]


@pytest.mark.parametrize(("typed", "known", "near"), NEAR, ids=[row[0] for row in NEAR])
def test_all_that_is_equally_near_is_named(typed, known, near):
    assert nearest_words(typed, known) == near
