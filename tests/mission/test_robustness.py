"""Whatever is done to a mission file, the answer is a mission or diagnostics with places: never an
exception."""

from hypothesis import given, settings
from hypothesis import strategies as st

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import PASS_ONLY

SIGNS = [
    '"',
    "'",
    "{",
    "}",
    "[",
    "]",
    ":",
    " ",
    "#",
    "&",
    "*",
    "!",
    "|",
    ">",
    "-",
    "?",
    "%",
    "@",
    "`",
    "\t",
    "\n",
    "0",
    "T",
    "~",
    "null",
    "\\",
    "\u00a0",
    "é",
    ",",
    "<<",
    "...",
    "---",
]
EDIT = st.tuples(st.integers(0, len(PASS_ONLY) - 1), st.integers(0, 6), st.sampled_from(["", *SIGNS]))


@settings(max_examples=150)
@given(st.lists(EDIT, min_size=1, max_size=3))
def test_a_mission_with_slips(edits):
    text = PASS_ONLY
    for start, dropped, put_in in edits:
        text = text[:start] + put_in + text[start + dropped :]

    mission, problems = load_mission_text(text, "m.yaml")

    assert (mission is None) == any(problem.severity == "error" for problem in problems)
    assert all(problem.span is not None and problem.message for problem in problems)


@settings(max_examples=60)
@given(st.binary(max_size=200))
def test_any_bytes(data):
    mission, problems = load_mission_text(data, "m.yaml")

    assert mission is None and problems and all(problem.span is not None for problem in problems)
