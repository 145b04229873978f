"""What is wrong with the shape of a flow is told at its line, with what to write."""

from __future__ import annotations

import re
from textwrap import dedent
from typing import Any

import pytest
import yaml

from briefgen.mission.load import load_mission_text
from tests.flow_texts import AGAIN, BY_HAND, TO_HILL, as_flow, entry, sections_of, three_passes
from tests.places import MISSIONS, REPOSITORY

THREE = three_passes()
THREE_CLOCKS = THREE.replace(
    "elevation: 0 ft MSL, time_zone: America/Chicago, variation: 0.0 E}\n  HILLIP",
    "elevation: 0 ft MSL, time_zone: America/Denver, variation: 0.0 E}\n  HILLIP",
)
RECOVERY = entry(sections_of(BY_HAND)["recovery"])

# what is changed in the mission of three passes, what is told, at which words of the file
BROKEN = {
    "beside the usual section": (
        ("\nflow:", "\ntransit: []\nflow:"),
        "`transit` stands beside `flow`",
        "transit: []",
    ),
    "a second departure": (
        (RECOVERY, "  - departure: []\n" + RECOVERY),
        "a `departure` is not the first of the flow",
        "- departure: []",
    ),
    "a recovery in the middle": (
        (TO_HILL, RECOVERY + TO_HILL),
        "a `recovery` is not the last of the flow",
        "- recovery:",
    ),
    "two transits": ((TO_HILL, TO_HILL + TO_HILL), "a `transit` follows a `transit`", "transit"),
    "an id twice": (("id: HILL", "id: PARK"), "PARK is the id of two sections", "id: PARK"),
    "no id": (("      id: HILL\n", ""), "there are 2 of `event`, and this one has no `id`", "- event:"),
    "the name of a clock": (("id: HILL", "id: BASE"), '"BASE" cannot be the id of a section', "id: BASE"),
    "neither after nor time": (
        ("after: 20 min\n        way", "way"),
        "a further pass has neither `after` nor `time`",
        "way",
    ),
    "no such section": (
        ("  - transit: [{to: HILLHOLD", "  - transits: [{to: HILLHOLD"),
        "section 5 of the flow is not one of",
        "transits",
    ),
    "a join-up": (
        (TO_HILL, "  - join_up: {at: HILLHOLD}\n" + TO_HILL),
        "a flow has no `join_up`",
        "- join_up",
    ),
    "an id in small letters": (("id: HILL", "id: hill"), '"hill" cannot be the id of a section', "id: hill"),
    "an id in brackets": (("id: HILL", "id: [HILL]"), "the id of a section is one word", "id: [HILL]"),
    "a misspelt section": (
        ("  - transit: [{to: HILLHOLD", "  - transitt: [{to: HILLHOLD"),
        "section 5 of the flow is not one of",
        "- transitt",
    ),
    "two sections in one": (
        ("  - transit: [{to: HILLHOLD", "    transit: [{to: HILLHOLD"),
        "section 4 of the flow is `transit` and `event` in one",
        "event:",
    ),
    "a section of its own for again": (
        ("    again:\n", "  - again:\n"),
        "section 5 of the flow is not one of",
        "- again:",
    ),
    "again under another name": (
        ("    again:\n", "    passes:\n"),
        "`passes` is no part of the flow",
        "passes:",
    ),
    "again as a text": ((AGAIN, "    again: 20 min\n"), "`again` is not a list of passes", "again: 20 min"),
    "a pass that is a text": (
        (AGAIN, "    again: [20 min]\n"),
        "a further pass is written as keys with values",
        "[20 min]",
    ),
    "both after and time": (
        ("after: 20 min", "after: 20 min\n        time: 14:20 Z"),
        "a further pass has both `after` and `time`",
        "after: 20 min",
    ),
    "no time at all between": (
        ("after: 20 min", "after: 0 min"),
        "its T lies 0 h 0 min later",
        "after: 0 min",
    ),
    "a transit of a further pass": (
        ("        hold: {at: HOLD}\n", "        hold: {at: HOLD}\n        transit: []\n"),
        "`transit` is no key of a further pass",
        "transit: []",
    ),
    "no value": ((THREE[THREE.index("\nflow:") :], "\nflow:\n"), "`flow` has no value", "flow:"),
    "another word for flow": (("\nflow:", "\nflows:"), "there is no key `flows`", "flows:"),
    "again of a transit": (
        (TO_HILL, TO_HILL + "    again: []\n"),
        "`again` is no part of the flow",
        "again: []",
    ),
    "nothing said after": (
        ("        then: next pass\n        late_bias", "        late_bias"),
        "what follows PARK when it is stopped or lost is not said",
        "pass",
    ),
    "home is nowhere": (("after: 20 min", "after: 20 mints"), "20 mints", "after: 20 mints"),
    "out of order": (("14:37:30", "13:37:30"), "HILL is flown after PARK pass 2, but its T lies", "time"),
    "next of the last": (
        (
            "        tolerance: 5 s\n        hold: {at: HILLHOLD",
            "        tolerance: 5 s\n        then: next pass\n        hold: {at: HILLHOLD",
        ),
        "no other pass follows this one",
        "then",
    ),
}


def told(text: str):
    return [problem for problem in load_mission_text(text, "flow.yaml")[1] if problem.severity == "error"]


@pytest.mark.parametrize("what", BROKEN)
def test_a_broken_flow_is_told_once_where_it_is_broken(what):
    (old, new), message, words = BROKEN[what]
    assert old in THREE, "the case must change something"
    text = THREE.replace(old, new)
    found = told(text)
    assert len(found) == 1, [problem.message for problem in found]
    assert message in found[0].message and found[0].help
    line = found[0].span.line
    assert words in "\n".join(text.split("\n")[max(line - 2, 0) : line])  # a section begins below its key


def test_a_flow_without_hyphens_is_told_once_whatever_stands_twice_in_it():
    head, flow = THREE.split("\nflow:\n")
    (problem,) = told(f"{head}\nflow:\n" + flow.replace("  - ", "    "))
    assert problem.message == "`flow` is not a list of sections" and "hyphen" in problem.help


def test_a_key_of_the_first_pass_is_meant_in_a_further_one_too():
    text = THREE.replace("        hold: {at: HOLD}\n", "        hold: {at: HOLD}\n        tolerence: 5 s\n")
    (problem,) = told(text)
    assert problem.help == "did you mean tolerance?"


def test_a_mistake_in_a_section_is_told_at_its_line_and_once_though_every_pass_reads_it():
    text = THREE.replace("hold: 1200 lb/h", "hold: 1200 lbs/hr")
    (problem,) = told(text)
    assert "1200 lbs/hr" in text.split("\n")[problem.span.line - 1]


def test_a_mistake_in_a_further_pass_is_told_where_it_is_written():
    text = THREE.replace("        hold: {at: HOLD}\n", "        hold: {at: HOLD, bnk: 25 deg}\n")
    (problem,) = told(text)
    assert "bnk" in text.split("\n")[problem.span.line - 1]


def test_a_further_pass_takes_from_the_first_what_is_not_written_anew():
    text = THREE.replace(
        "        hold: {at: HOLD}\n", "        hold: {at: HOLD, bank: 25 deg}\n        tolerance: 7 s\n"
    )
    mission, found = load_mission_text(text, "flow.yaml")
    assert mission is not None, [problem.message for problem in found]
    first, second, _ = (pass_.written for pass_ in mission.passes)
    assert (second.hold.bank, second.hold.leg, second.hold.planned, second.tolerance) == (
        25.0,
        first.hold.leg,
        None,
        7.0,
    )
    assert second.run_in == first.run_in and second.over == first.over
    lines = text.split("\n")
    assert "tolerance: 7 s" in lines[mission.span(mission.passes[1].key("tolerance")).line - 1]
    assert "run_in" in lines[mission.span(mission.passes[1].key("run_in", "level")).line - 1]


def test_a_pass_after_midnight_is_of_the_day_after():
    """The script of HILL begins at 00:37:30 Z, and its T is the first such time after that of PARK."""
    text = (
        re.sub(r"130000 Z", "232000 Z", THREE).replace("13:57:30", "23:57:30").replace("14:37:30", "00:57:30")
    )
    text = text.replace("1030 Z", "2030 Z").replace("1305 to 1345 Z", "2300 to 2355 Z")
    mission, found = load_mission_text(text, "flow.yaml")
    assert mission is not None, [problem.message for problem in found]
    last, hill = mission.passes[1].true_time, mission.passes[2].true_time
    assert 0 < (hill - last).total_seconds() < 12 * 3600


def test_one_pass_in_a_flow_needs_no_id():
    assert load_mission_text(as_flow(BY_HAND), "flow.yaml")[0] is not None
    assert AGAIN in THREE


def test_the_clock_of_an_event_is_nobodys_outside_the_events_where_they_have_several():
    """HILL by Denver's clock, PARK by Chicago's; a report by the clock of "event" could be by either."""
    assert THREE_CLOCKS != THREE and told(THREE_CLOCKS) == []
    (problem,) = told(THREE_CLOCKS.replace("report: 1030 Z", "report: 05:30 event"))
    assert problem.code == "which-event" and problem.help.startswith("write 05:30 PARK or 05:30 HILL")
    assert told(THREE.replace("report: 1030 Z", "report: 05:30 event")) == []


# in May Chicago, the base and PARK, is 5 h behind, Denver, HILL, 6 h
@pytest.mark.parametrize(
    ("typed", "zulu"),
    [
        ("05:30 PARK", "10:30"),
        ("04:30 HILL", "10:30"),
        ("05:30 HILL", "11:30"),
        ("2027-05-12 0430 HILL", "10:30"),
    ],
)
def test_an_events_id_names_its_clock_anywhere(typed, zulu):
    mission, found = load_mission_text(
        THREE_CLOCKS.replace("report: 1030 Z", f"report: {typed}"), "flow.yaml"
    )
    assert found == [] and f"{mission.times.report:%H:%M}" == zulu
    assert {f"{view.times.report:%H:%M}" for view in mission.views} == {zulu}


@pytest.mark.parametrize(
    ("typed", "code", "help"),
    [
        ("04:30 HIL", "time-no-such-event", "write 04:30 HILL; "),
        ("04:30 VALLEY", "time-no-such-event", "write 04:30 PARK or 04:30 HILL; "),
        ("04.30 HILL", "value", "write 04:30 HILL"),
        ("04:30HILL", "value", "write 04:30 HILL"),
        ("04:30 EST", "value", "write Z, base, event, or the offset from UTC"),
        ("04:30 CEST", "value", "write Z, base, event, or the offset from UTC"),
        ("05:30 CDT", "value", "write 05:30 base"),
        ("04:30 UTC", "value", "write 04:30 Z"),
    ],
)
def test_what_names_no_event_is_refused_with_how_to_mend_it(typed, code, help):
    (problem,) = told(THREE_CLOCKS.replace("report: 1030 Z", f"report: {typed}"))
    assert problem.code == code and problem.help.startswith(help)


OPEN = "open: 04:00 to 21:00 Z"


@pytest.mark.parametrize(
    ("hours", "codes"),
    [
        ("06:00 to 23:00 +0200", []),  # the clock of the second event and the third, whatever the first's
        ("05:00 to 22:00 +0100", []),  # of the base and the first
        ("07:00 to 00:00 +0300", ["clock-offset"]),  # of nobody
        ("06:00 to 23:00 event", ["which-event"]),  # a range is one time to mend
        ("06:00 to 23:00 PIER", ["time-no-such-event"]),
        ("06:00 to 23:00 DUNWATER", []),
    ],
)
def test_a_time_that_all_events_share_is_judged_by_the_clocks_of_all_and_told_once(hours, codes):
    text = (REPOSITORY / "missions" / "three-harbours.yaml").read_text(encoding="utf-8")
    assert OPEN in text
    found = load_mission_text(text.replace(OPEN, f"open: {hours}"), "flow.yaml", folder=MISSIONS)[1]
    assert [problem.code for problem in found] == codes
    assert all(problem.related == () for problem in found)


def test_a_further_pass_without_a_hold_does_not_take_what_is_said_of_one():
    """Taking the line out, as a pass without a hold is told to, would take it from the first pass too."""
    text = (REPOSITORY / "missions" / "twin-fields.yaml").read_text(encoding="utf-8")
    mission, found = load_mission_text(text, "flow.yaml", folder=MISSIONS)
    assert found == []
    first, second = (pass_.written for pass_ in mission.passes)
    assert first.after_leaving_hold and first.return_turn == "right"
    assert second.after_leaving_hold is None and second.return_turn is None


def test_a_further_pass_without_a_hold_does_not_take_the_way_back_to_one():
    """Its line left out, it once read the first pass's `no_cue: hold`, and the message stood at that line."""
    text = (REPOSITORY / "missions" / "twin-fields.yaml").read_text(encoding="utf-8")
    own = next(line for line in text.splitlines(keepends=True) if "no_cue: go home" in line)
    mission, found = load_mission_text(text.replace(own, ""), "flow.yaml", folder=MISSIONS)
    assert [problem.message for problem in found] == []
    assert [pass_.written.no_cue for pass_ in mission.passes] == ["hold", None]
    home = load_mission_text(
        text.replace(own, "").replace("no_cue: hold", "no_cue: go home"), "flow.yaml", folder=MISSIONS
    )[0]
    assert [pass_.written.no_cue for pass_ in home.passes] == ["go home", "go home"]


def shortened(short: Any, whole: Any) -> bool:
    """Whether all that is written stands so in the whole, which has more only where ``...`` says it."""
    if isinstance(short, dict):
        written = short.keys() - {"..."}
        as_many = written <= whole.keys() if "..." in short else written == whole.keys()
        return as_many and all(shortened(short[key], whole[key]) for key in written)
    if isinstance(short, list):
        return short == ["..."] or (len(short) == len(whole) and all(map(shortened, short, whole)))
    return short == whole


def test_the_flow_in_the_readme_is_that_of_a_demonstration_which_check_accepts():
    """``test_several_passes.py`` of the commands holds that no gate fails there."""
    text = (REPOSITORY / "README.md").read_text(encoding="utf-8")
    (block,) = re.findall(r"(?m)^    flow:\n(?:     .*\n)+", text)
    short = yaml.load(dedent(block), yaml.BaseLoader)
    demonstration = (REPOSITORY / "missions" / "three-harbours.yaml").read_text(encoding="utf-8")
    whole = yaml.load(demonstration, yaml.BaseLoader)
    assert shortened(short["flow"], whole["flow"])
    assert load_mission_text(demonstration, "flow.yaml", folder=MISSIONS)[1] == []
