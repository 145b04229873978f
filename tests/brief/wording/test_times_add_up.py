"""Times that a page prints add up there: read back from what is printed, the later instant less the earlier
is the length beside them, to the second.

Exact instants have fractions, so a length rounded by itself differs from the difference of two rounded
instants about every other time.
"""

from __future__ import annotations

import re
from itertools import pairwise

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.slides.view.view import make_view
from briefgen.brief.wording.format import between_s
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.brief.briefs import ALL, PASS_ONLY, plan_of, view_of
from tests.brief.cards.test_cards import section
from tests.flow_texts import hill_without_hold
from tests.render.pdf_cases import STAMP

CLOCK = r"(?:\d{4}-\d\d-\d\d )?\d\d:\d\d:\d\d"
LENGTH = r"(?:\d+ h(?: \d+ min)?(?: \d+ s)?|\d+ min(?: \d+ s)?|\d+ s)"
DAY_S = 86400
HOLDS = [name for name in ALL if plan_of(name).event is not None and plan_of(name).event.hold is not None]


def seconds(clock: str) -> int:
    h, m, s = clock[-8:].split(":")
    return int(h) * 3600 + int(m) * 60 + int(s)


def length_s(text: str) -> int:
    return sum(
        int(n) * {"h": 3600, "min": 60, "s": 1}[unit] for n, unit in re.findall(r"(\d+) (h|min|s)\b", text)
    )


def column_s(text: str) -> int:
    """``9:00``, ``1:02:05``."""
    return sum(int(part) * 60**i for i, part in enumerate(reversed(text.split(":"))))


@pytest.mark.parametrize("name", ALL)
def test_every_row_of_the_clock(name):
    lines = view_of(name).values["clock"]["phases"]
    found = [re.search(rf"({CLOCK})(?: Z)? to ({CLOCK}) Z, ({LENGTH})$", line) for line in lines]
    assert found and all(found), lines
    assert [
        line
        for line, f in zip(lines, found, strict=True)
        if (seconds(f[2]) - seconds(f[1])) % DAY_S != length_s(f[3])
    ] == []


@pytest.mark.parametrize(
    ("at", "line"),
    [
        ("14:23:55", ""),
        ("14:25:55", "HILLIP reached too early: 14:24:40 to 14:26:40 Z, 2 min"),
        ("14:23:25", "HILLIP reached too late: 14:24:40 Z, not 14:24:10 Z, -30 s"),
    ],
)
def test_the_rows_of_the_clock_add_up_to_a_pass_without_a_wait(at, line):
    """HILL's IP lies 3 min behind the egress of 14:21:40, and 105 s before its T, 150 s after its song."""
    mission, _ = load_mission_text(hill_without_hold().replace("14:23:55", at), "flow.yaml")
    plan, _ = make_plan(mission)
    lines = make_view(plan, STAMP).values["clock"]["phases"]
    assert [each for each in lines if "reached too" in each] == ([line] if line else [])
    lengths = [re.search(rf"(-?)({LENGTH})$", each) for each in lines]
    landing_s = (plan.clock.lead_landing - plan.clock.takeoff).total_seconds()
    assert sum(length_s(f[2]) * (-1 if f[1] else 1) for f in lengths) == round(landing_s)


@pytest.mark.parametrize("name", HOLDS)
def test_every_lap_and_the_whole_hold(name):
    hold = view_of(name).values["hold"]
    for line in hold["sums"]:
        start, outbound, turn, _, fix = (seconds(clock) for clock in re.findall(rf"({CLOCK}) Z", line))
        leg, lap = re.findall(rf"(?:for|:) ({LENGTH})\b", line)
        assert ((turn - outbound) % DAY_S, (fix - start) % DAY_S) == (length_s(leg), length_s(lap)), line
    whole = (seconds(hold["leave"].removesuffix(" Z")) - seconds(hold["arrival"].removesuffix(" Z"))) % DAY_S
    assert whole == length_s(hold["wait"])


@pytest.mark.parametrize("name", ALL)
def test_the_nav_log_of_the_slides(name):
    """Each row's time leads from the end of the row before, where the clock has nothing between them; a
    run-in that is pushed up ends at T."""
    plan, table = plan_of(name), view_of(name).tables["navlog"]
    checked = 0
    for (before, row), (old, leg) in zip(pairwise(table.rows), pairwise(plan.legs), strict=True):
        if old.kind != leg.kind and {old.kind, leg.kind} not in (
            {"hold to IP", "run-in"},
            {"run-in", "egress"},
        ):
            continue  # training, a hold, or the formation's own time lies between
        ends, time = [cell.text for cell in (before[-1], row[-1])], row[-2].text
        assert (seconds(ends[1]) - seconds(ends[0])) % DAY_S == column_s(time), [cell.text for cell in row]
        checked += 1
    assert checked or name == PASS_ONLY, "three legs, with nothing but the formation's own way between them"


@pytest.mark.parametrize("name", HOLDS)
def test_the_pass_from_the_ip_to_overhead(name):
    """IP + run-in = T on the slide of the pass; IP + the card's run-in = the SET time, and T + the bias is
    that too."""
    values, plan = view_of(name).values, plan_of(name)
    event, clock = values["event"], values["clock"]
    ip, t, at_set = (seconds(clock[key].removesuffix(" Z")) for key in ("ip", "true_time", "set_time"))
    assert (t - ip) % DAY_S == length_s(event["run_in_time"])
    rows = {row[0]: row for row in section(cards.kneeboard(plan, 1), 1, "headings").rows}
    row = rows.get("Run-in to SET") or rows["Run-in"]
    assert (at_set - ip) % DAY_S == column_s(row[-1])
    push = values["push"]
    if push:
        assert (seconds(push["at"].removesuffix(" Z")) - ip) % DAY_S == length_s(push["after_ip"])
        assert (t - seconds(push["at"].removesuffix(" Z"))) % DAY_S == length_s(push["t_minus"])
        run, bias, at = re.search(
            rf"IP at T - ({LENGTH}) \+ ({LENGTH}) = ({CLOCK}) Z", push["sums"][0]
        ).groups()
        assert (t - length_s(run) + length_s(bias)) % DAY_S == seconds(at) == ip


@pytest.mark.parametrize("name", HOLDS)
def test_the_legs_of_the_pass_on_the_card(name):
    """From leave-hold to the IP, and from there to the SET time: each leg's time is what lies between the
    times in the boxes above it."""
    board = cards.kneeboard(plan_of(name), 1)
    at = {label: seconds(time) for label, time, _ in section(board, 1, "cues").items}
    set_time = [t for _, t, _ in section(board, 1, "times").items][-1]
    legs = {row[0].split(",")[0]: row[-1] for row in section(board, 1, "headings").rows}
    ends = [at["LEAVE HOLD"], at["IP"], seconds(set_time.removesuffix(" Z"))]
    flown = [(end - start) % DAY_S for start, end in pairwise(ends)]
    assert [column_s(legs["To IP"]), column_s(legs["Run-in to SET"])] == flown


@pytest.mark.parametrize("name", HOLDS)
def test_the_cue_s_sum(name):
    told = view_of(name).values["ceremony"]["sums"]
    words = (
        rf"heard ({CLOCK}) Z \+ relay ({LENGTH}) = known ({CLOCK}) Z, ({LENGTH}) (before|after)"
        r" (leave-hold|the IP)"
    )
    sums = [found for line in told if (found := re.search(words, line))]
    assert len(sums) == bool(told)  # of the cue that T hangs on
    for found in sums:
        heard, known, clock = seconds(found[1]), seconds(found[3]), view_of(name).values["clock"]
        edge = seconds((clock["leave_hold"] if found[6] == "leave-hold" else clock["ip"]).removesuffix(" Z"))
        assert (known - heard) % DAY_S == length_s(found[2])
        assert length_s(found[4]) == ((edge - known) if found[5] == "before" else (known - edge)) % DAY_S


def test_a_length_between_two_instants_is_not_rounded_by_itself():
    """Regatta's run-in with the push: 03:28:41.1 or so to 03:30:02, so 81 s by the printed clocks, whatever
    80.9 s rounds to."""
    event = plan_of("missions/regatta.yaml").event
    assert between_s(event.ip_time, event.true_time) == 81.0
    assert between_s(event.ip_time, event.set_time) == 96.0
