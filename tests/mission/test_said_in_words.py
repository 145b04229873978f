"""Facts that decide have keys of their own; where a file says them in a sentence only, the line to write is
told, and is taken on the next run."""

import re

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import regatta
from tests.places import REPOSITORY

TYPED = (
    "    trigger: Not heard on either frequency\n    after: 60 s before leave-hold             # moves with"
    " the hold\n"
)
START = (REPOSITORY / "missions" / "start.yaml").read_text(encoding="utf-8")
IN_BRACES = "trigger: Not heard on either frequency, after: 60 s before leave-hold,"


def changed(text: str, old: str, new: str) -> str:
    assert text.count(old) == 1, old
    return text.replace(old, new)


def told(text: str):
    """What is told of facts that stand in words only."""
    mission, found = load_mission_text(text, "m.yaml", folder=REPOSITORY / "missions")
    assert mission is not None, found
    return [d for d in found if d.code == "said-in-words"]


def taking(text: str, problem) -> str:
    """The text after somebody did what the help says, letter by letter."""
    lines = text.split("\n")
    at = problem.span.line - 1
    if below := re.fullmatch(r"add a line below this one: (.*)", problem.help):
        indent = lines[at][: len(lines[at]) - len(lines[at].lstrip())]
        return "\n".join([*lines[: at + 1], indent + below[1], *lines[at + 1 :]])
    inside = re.fullmatch(r"add before the closing brace: (.*)", problem.help)[1]
    end = lines[at].rindex("}")
    return "\n".join([*lines[:at], lines[at][:end] + inside + lines[at][end:], *lines[at + 1 :]])


# how people wrote it, and what is to be written: a minute has sixty seconds
SENTENCES = [
    ("Not heard by 60 s before leaving the hold", "60 s before leave-hold", 60.0),
    ("Not heard by 60 sec before leaving the hold", "60 s before leave-hold", 60.0),
    ("No word 2 minutes before we leave", "2 min before leave-hold", 120.0),
    ("Nothing heard 1 min 30 s before leave-hold", "1 min 30 s before leave-hold", 90.0),
]


@pytest.mark.parametrize(("sentence", "line", "seconds"), SENTENCES)
@pytest.mark.parametrize("braces", [False, True])
def test_a_time_in_the_trigger_is_told_with_the_line_to_write(sentence, line, seconds, braces):
    text = (
        changed(START, IN_BRACES, f"trigger: {sentence},")
        if braces
        else changed(regatta(), TYPED, f"    trigger: {sentence}\n")
    )
    mission, _ = load_mission_text(text, "m.yaml")
    assert mission.file.contingencies.no_ground_contact.after is None  # a sentence decides nothing
    (problem,) = told(text)
    assert problem.severity == "caution" and problem.help.endswith(f"after: {line}")
    mended = taking(text, problem)
    assert told(mended) == []
    assert (
        load_mission_text(mended, "m.yaml")[0].file.contingencies.no_ground_contact.after.seconds == seconds
    )


@pytest.mark.parametrize(
    "sentence", ["Not heard by the radio check", "Not heard on 132.650 MHz", "Nothing from PIER 2"]
)
def test_a_trigger_without_a_time_is_told_of_by_its_gate_only(sentence):
    assert told(changed(regatta(), TYPED, f"    trigger: {sentence}\n")) == []


def test_no_second_pass_among_the_words_of_the_abort_is_told_with_the_line_to_write():
    text = changed(
        re.sub(r"    then: home .*\n", "", regatta()),
        "climb straight ahead, egress course",
        "climb straight ahead, no second pass",
    )
    (problem,) = told(text)
    assert problem.help == "add a line below this one: then: home"
    assert told(taking(text, problem)) == []


def test_the_demonstrations_say_it_with_keys():
    for path in sorted((REPOSITORY / "missions").glob("*.yaml")):
        assert told(path.read_text(encoding="utf-8")) == [], path.name


@pytest.mark.parametrize(
    ("value", "message", "remedy"),
    [
        ("next pass", "no other pass follows this one", "write home"),
        ("Home", '"Home" is not what may follow a pass', "one of: home, next pass; did you mean home?"),
    ],
)
def test_home_follows_the_only_pass(value, message, remedy):
    mission, found = load_mission_text(re.sub("    then: home ", f"    then: {value} ", regatta()), "m.yaml")
    (problem,) = [d for d in found if d.severity == "error"]
    assert mission is None and (problem.message, problem.help) == (message, remedy)
    assert load_mission_text(regatta(), "m.yaml")[0] is not None  # which says home


def test_left_out_it_is_home():
    mission, _ = load_mission_text(re.sub(r"    then: home .*\n", "", regatta()), "m.yaml")
    assert mission.file.event.pass_.then == "home"
