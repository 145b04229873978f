"""The debrief against plain arithmetic on the regatta's plan: T 03:30:02 Z, four Petrels, four set-ups."""

from __future__ import annotations

import io
import json
import zipfile
from dataclasses import replace
from datetime import UTC

import pytest
from pptx import Presentation

from briefgen.brief.wording.format import clock_bare
from briefgen.build.build import check, context_of
from briefgen.cli import run
from briefgen.debrief.blank import blank_actuals
from briefgen.debrief.flown import Flown
from briefgen.debrief.log import read_log, seconds_said, times_said
from briefgen.debrief.products import make_debrief
from briefgen.debrief.read import actuals_of
from briefgen.debrief.sums import CueLength, Spread, cue_lengths, cue_rows, ship_sheets, spread_of, time_rows
from briefgen.debrief.view import debrief_view
from tests.debrief.flown import read
from tests.places import REPOSITORY

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

ACTUALS = REPOSITORY / "tests" / "data" / "regatta-actuals.yaml"
MISSION = REPOSITORY / "missions" / "regatta.yaml"
HEAD = "actuals: 1\n"


@pytest.fixture(scope="module")
def flown(plan):
    return read(plan, ACTUALS.read_text(encoding="utf-8"))


def cells(plan, flown, table):
    return [[cell.text for cell in row] for row in debrief_view(plan, flown).tables[table].rows]


# ---------------------------------------------------------------- times


def test_planned_told_and_flown_to_the_second(plan, flown):
    """Planned: the regatta's printed clock. Told: 03:30:14 is T + 12 s, so leave-hold 03:28:21 + 12 s. The
    row of +2 s was not read back."""
    assert cells(plan, flown, "times") == [
        ["Take-off", "02:07:00", "-", "02:07:04", "+4 s", "-"],
        ["Area entry", "02:15:33", "-", "02:15:50", "+17 s", "-"],
        ["End of training", "03:04:18", "-", "03:04:03", "-15 s", "-"],
        ["Hold entered", "03:19:48", "-", "03:19:40*", "-8 s", "-"],  # 03:11:18.05 and 509.75 s, see TRANSIT
        ["Leave-hold", "03:28:21", "03:28:33", "03:28:34*", "+13 s", "+1 s"],
        ["T, overhead", "03:30:02", "03:30:14", "03:30:16", "+14 s", "+2 s"],
        # 03:30:02 + 8 nm at 390 kt + 54.5397 nm home on 308.73 T, 10,000 ft up, so in the wind at 7000 ft:
        # 7.87 kt against it and 21.80 kt across, 351.465 kt, 558.64 s + 8 min; flown: 14:19:10 at the base,
        # which is 10 h 30 min ahead
        ["Landing, leader", "03:48:34", "-", "03:49:10", "+36 s", "-"],
    ]


@pytest.mark.parametrize(
    "text, title",
    [
        ("", "T as flown is not recorded"),
        ("true_time: 03:30:02 Z", "T was flown to the second of plan: within the 5 s allowed"),
        ("true_time: 03:29:57 Z", "T was flown 5 s before plan: within the 5 s allowed"),
        ("true_time: 03:30:08 Z", "T was flown 6 s after plan: outside the 5 s allowed"),
        # told to be 60 s later and 58 s later than plan: 2 s before what was told
        (
            "true_time: 03:31:00 Z\ntold: [{new: 03:31:02 Z, read_back: 03:20:00 Z}]",
            "T was flown 58 s after plan and 2 s before the time told: within the 5 s allowed",
        ),
        # a change that was not read back is not held
        (
            "true_time: 03:31:00 Z\ntold: [{new: 03:31:02 Z, read_back: no}]",
            "T was flown 58 s after plan: outside the 5 s allowed",
        ),
    ],
)
def test_title_says_how_far_from_plan_and_from_told(plan, text, title):
    assert debrief_view(plan, read(plan, HEAD + text)).values["title_times"] == title


@pytest.mark.parametrize(
    "calls, leave_hold, true_time",
    [
        # planned 03:28:21 and 03:30:02: 10 s by the hold move both, by speed the second alone
        ("{new: 03:30:12 Z, read_back: 03:20:00 Z}", "03:28:31", "03:30:12"),
        ("{slow: 10 s, read_back: 03:28:11 Z}", None, "03:30:12"),
        ("{fast: 4 s, read_back: 03:28:11 Z}", None, "03:29:58"),
        # both: 10 s by the hold, then 3 s by speed; the other way round the new time is 7 s after 03:30:05
        (
            "{new: 03:30:12 Z, read_back: 03:20:00 Z}, {slow: 3 s, read_back: 03:28:20 Z}",
            "03:28:31",
            "03:30:15",
        ),
        (
            "{slow: 3 s, read_back: 03:20:00 Z}, {new: 03:30:12 Z, read_back: 03:21:00 Z}",
            "03:28:28",
            "03:30:12",
        ),
        # read back after the hold was left
        ("{new: 03:30:12 Z, read_back: 03:29:00 Z}", None, "03:30:12"),
    ],
)
def test_only_a_new_time_told_in_the_hold_moves_leave_hold(plan, calls, leave_hold, true_time):
    flown = read(plan, f"{HEAD}leave_hold: 03:28:25 Z\ntold: [{calls}]")
    told = {row.key: row.told for row in time_rows(plan, flown)}
    printed = {key: None if at is None else clock_bare(at, UTC) for key, at in told.items()}
    assert (printed["leave_hold"], printed["true_time"]) == (leave_hold, true_time)


def test_nothing_recorded_reads_not_recorded_and_never_as_planned(plan):
    flown = read(plan, HEAD)
    rows = cells(plan, flown, "times")
    assert [row[3:5] for row in rows] == [["not recorded"] * 2] * 7
    assert rows[5][2] == rows[5][5] == "not recorded"
    assert all(row[2:6] == ["not recorded"] * 4 for row in cells(plan, flown, "factors"))
    assert {row[1] for row in cells(plan, flown, "objectives")} == {"Not recorded"}
    assert {row[2] for row in cells(plan, flown, "cues")} == {"not recorded"}


# ---------------------------------------------------------------- fuel

# Planned at factor 1, from the mission's flows, in lb: climb 300 (3600 lb/h x 5 min), cruise 88.77 (1500 lb/h
# x 213.05 s: 513.05 s less the climb), warm-up 150, set-ups 4 x 400; start to take-off 300, which takes no
# factor.
TRAINING = 3600 * 300 / 3600 + 1500 * (513.054 - 300) / 3600 + 150 + 4 * 400
# on the ground the second waits 15 s at 600 lb/h for the first to take off, the fourth 45 s
# 45 s until the last of four ships is in: the first waits all of it, the second two thirds, the last none
GATHER = 1500 * 45 / 3600
# leave, rejoin, then 45.2488 nm from EXIT to HOLD on 098.93 T: 12,000 ft down, so in the wind at 8000 ft,
# 242.0T/24.9kt as a vector between the forecast of 5000 and 18,000 ft, 19.93 kt of it along the course and
# 14.97 kt across: 19.93 + sqrt(300^2 - 14.97^2) = 319.557 kt, 509.754 s
TRANSIT = 80 + 110 + 1900 * 509.754 / 3600


@pytest.mark.parametrize(
    "ship, burn, expected",
    [
        (0, 0, (5500 - 2900 - 300) / (TRAINING + GATHER)),
        (0, 1, (2900 - 2370) / TRANSIT),
        (3, 0, (5500 - 2700 - 307.5) / TRAINING),
        (3, 1, (2700 - 2150) / TRANSIT),
        (1, 0, (5480 - 2820 - 302.5) / (TRAINING + GATHER * 2 / 3)),
        (1, 1, None),
        (2, 0, None),
    ],
)
def test_burn_factor_implied(plan, flown, ship, burn, expected):
    """Flown burn, less the ground's, over the planned burn at factor 1: the planned factor of the ship must
    not matter."""
    found = ship_sheets(plan, flown)[ship].burns[burn].factor
    assert found == (None if expected is None else pytest.approx(expected, abs=1e-5))


@pytest.mark.parametrize("setups", [2, 3, 5])
def test_set_ups_count_as_flown(plan, setups):
    """A set-up is 400 lb at factor 1: gauge burnt at exactly factor 1.1 gives 1.1 back, however many were
    flown."""
    left = 5500 - 300 - 1.1 * (TRAINING + GATHER + (setups - 4) * 400)
    flown = read(
        plan,
        f"{HEAD}training: {{flown: {setups}}}\nfuel: {{1: {{start: 5500 lb, end_of_training: {left:.0f}"
        " lb}}",
    )
    assert ship_sheets(plan, flown)[0].burns[0].factor == pytest.approx(1.1, abs=0.5 / TRAINING * 2)


def test_hold_counts_as_long_as_it_was_flown(plan):
    """Two minutes more of the hold are 1300 lb/h x 120 s = 43.3 lb of planned burn at factor 1."""
    base = {"hold": plan.clock.hold_arrival, "leave_hold": plan.clock.leave_hold}
    longer = {
        "hold": base["hold"],
        "leave_hold": base["leave_hold"].replace(minute=base["leave_hold"].minute + 2),
    }
    plain = [ship_sheets(plan, Flown(times=times))[3].burns[2].plain_lb for times in (base, longer)]
    assert plain[1] - plain[0] == pytest.approx(1300 * 120 / 3600, abs=0.01)


def test_kilograms_and_less_burnt_than_on_the_ground(plan):
    """2268 kg are 2268 / 0.45359237 lb. A gauge that fell by less than the ground's 300 lb tells no
    factor."""
    flown = read(plan, HEAD + "fuel: {1: {start: 2268 kg, end_of_training: 4800 lb}}")
    assert flown.fuel_lb[1]["start"] == pytest.approx(2268 / 0.45359237)
    burn = ship_sheets(plan, flown)[0].burns[0]
    assert burn.factor is None and burn.lacks


# ---------------------------------------------------------------- cues and log


def test_cues_against_the_script(plan, flown):
    """PARADE 6 s late and ANTHEM 10 s: PARADE lasted 4 s longer. LINE2, a mark of ANTHEM, is a second reading
    of the same cue and no length."""
    rows = cue_rows(plan, flown)
    assert [(row.id, row.late_s) for row in rows] == [
        ("PARADE", 6),
        ("ANTHEM", 10),
        ("LINE2", 11),
        ("LINE4", None),
    ]
    assert cue_lengths(rows) == (CueLength("PARADE", 4.0),)


# PARADE at 03:25:00 and ANTHEM at 03:28:00 (the regatta's script): ANTHEM 50 s before PARADE, which is 230 s
# late. LINE2 is 30 s after ANTHEM
TURNED = "{PARADE: 03:28:50 Z, ANTHEM: 03:28:00 Z}"


@pytest.mark.parametrize(
    "heard, asked",
    [
        ("heard: {PARADE: 03:25:10 Z, ANTHEM: 03:28:00 Z}", []),
        (f"heard: {TURNED}", [("PARADE", 2)]),
        ("heard: {ANTHEM: 03:28:01 Z, LINE2: 03:27:59 Z}", [("LINE2", 2)]),
        ("log: |\n  03:28:00 Z  Heard ANTHEM\n  03:28:50 Z  Heard PARADE", [("PARADE", 2)]),
    ],
)
def test_cues_heard_in_another_order_than_the_scripts_are_asked_about(plan, heard, asked):
    found, problems = actuals_of(HEAD + heard, "a.yaml", plan)
    doubts = [problem for problem in problems if problem.code == "heard-order"]
    assert found is not None and [p.severity for p in doubts] == ["caution"] * len(asked)
    assert [(p.help.split()[4].rstrip(","), p.span.line) for p in doubts] == asked


def test_no_length_is_counted_from_cues_out_of_order(plan):
    flown = read(plan, f"{HEAD}heard: {TURNED}")
    assert cue_lengths(cue_rows(plan, flown)) == (CueLength("PARADE", None),)
    assert spread_of(cue_lengths(cue_rows(plan, flown))) == Spread(0, None, None)
    assert [row[4] for row in cells(plan, flown, "cues")][:2] == ["out of order", "not recorded"]
    assert debrief_view(plan, flown).values["spread"] == (
        "Spread of the cues' lengths NOT CHECKED: no two cues that follow each other are recorded as heard in"
        " the script's order (PARADE and ANTHEM out of it)"
    )


@pytest.mark.parametrize(
    ("longer", "deviation"),
    [([2.0, 4.0, 6.0, 8.0], None), ([2.0, 4.0, 6.0, 8.0, 10.0], 10.0**0.5)],  # (16 + 4 + 0 + 4 + 16) / 4
)
def test_a_deviation_needs_five_lengths(longer, deviation):
    spread = spread_of([CueLength(f"CUE{n}", seconds) for n, seconds in enumerate(longer)])
    assert (spread.count, spread.mean_s) == (len(longer), sum(longer) / len(longer))
    assert spread.deviation_s == (None if deviation is None else pytest.approx(deviation))


@pytest.mark.parametrize(
    "heard, words",
    [
        ("heard: {PARADE: 03:24:26 Z}", "NOT CHECKED: no two cues that follow each other"),
        ("heard: {ANTHEM: 03:28:10 Z, LINE2: 03:28:34 Z}", "NOT CHECKED: no two cues that follow each other"),
        (
            "heard: {PARADE: 03:24:36 Z, ANTHEM: 03:28:10 Z}",
            "mean -2.0 s of 1 length; spread for next time NOT CHECKED: at least 5 lengths are needed",
        ),
        ("", "NOT CHECKED"),
    ],
)
def test_too_few_samples_are_said(plan, heard, words):
    assert words in debrief_view(plan, read(plan, HEAD + heard)).values["spread"]


def test_the_file_wins_over_the_log(plan):
    text = (
        HEAD
        + "leave_hold: 03:28:25 Z\nheard: {ANTHEM: 03:28:10 Z}\nlog: |\n  03:28:30 Z  Flight left the hold\n "
        " 03:28:16 Z  Heard ANTHEM\n"
    )
    flown = read(plan, text)
    assert flown.times["leave_hold"].second == 25 and flown.from_log == frozenset()
    assert flown.heard["ANTHEM"].second == 10


@pytest.mark.parametrize(
    "sentence, times, seconds",
    [
        (
            (
                "Old true time: zero three three zero zero two Zulu. New true time: zero three three one"
                " three nine Zulu. Read back true time."
            ),
            ("033002", "033139"),
            None,
        ),
        ("GANNET, PIER. Slow one two seconds. I say again: slow one two seconds. Read back.", None, 12),
        ("GANNET, PIER. Fast one second. I say again: fast one second. Read back.", None, -1),
        ("GANNET, PIER. Can you accept fast a further one zero seconds?", None, -10),
        (
            "GANNET, PIER. Ceremony two minutes late. UNABLE to meet it as planned. Say intentions.",
            None,
            None,
        ),
        ("Old true time: zero three Zulu. New true time: zero three three one three nine Zulu.", None, None),
    ],
)
def test_what_was_said(sentence, times, seconds):
    assert (times_said(sentence), seconds_said(sentence)) == (times, seconds)


def test_undone_lines_and_unknown_ones():
    log = read_log(
        "03:00:00 Z  [undone] Heard A\n03:00:02 Z  Undone: Heard A\n\nnonsense\n03:00:05 Z  Heard B\n"
    )
    assert [(entry.line, entry.kind, entry.what) for entry in log.entries] == [
        (1, "undo", ""),
        (3, "unknown", "nonsense"),
        (4, "heard", "B"),
    ]


def test_log_as_the_clock_page_writes_it(plan):
    """tests/data/regatta-clock-log.txt: one entry of every kind, written by logText of
    render/html/clock_state.js."""
    log = (REPOSITORY / "tests" / "data" / "regatta-clock-log.txt").read_text(encoding="utf-8")
    flown, problems = actuals_of(
        "actuals: 1\nlog: |\n" + "".join(f"  {line}\n" for line in log.splitlines()), "a.yaml", plan
    )
    assert problems == []
    assert {id: f"{at:%H%M%S}" for id, at in flown.heard.items()} == {"PARADE": "032436", "ANTHEM": "032816"}
    assert [(f"{call.new:%H%M%S}", call.change_s, bool(call.read_back)) for call in flown.told] == [
        ("033014", 12, True),
        ("033016", 2, False),
        ("033007", -7, True),  # of the time held, which the call before did not move
    ]
    assert [sentence.split(".")[0] for _, sentence in flown.other_calls] == [
        "GANNET, PIER",
        "GANNET ABORT ABORT",
    ]


@pytest.mark.parametrize(
    "words",
    [
        "True time moved by hand to +100 s of the plan",
        "True time follows the script again",
        "True time as planned again",
        "True time moved with the pass before again",
    ],
)
def test_a_true_time_moved_by_hand_and_back_is_known(words):
    assert [entry.kind for entry in read_log(f"15:28:16 Z  {words}\n").entries] == ["hand"]


def test_unknown_log_line_is_told_with_its_line(plan):
    flown, problems = actuals_of(
        "actuals: 1\nlog: |\n  03:28:16 Z  Heard ANTHEM\n  03:29:00 Z  rain\n", "a.yaml", plan
    )
    assert flown is not None
    assert [(p.severity, p.code, p.span.line) for p in problems] == [("caution", "log-line", 4)]


def test_log_of_another_plan_is_a_caution(plan):
    text = (
        "actuals: 1\nlog: |\n  X, Y, 2027-01-30. Ground contact's log, times by the clock as set. Plan A-B,"
        " cards read K7QH.\n"
    )
    assert [p.code for p in actuals_of(text, "a.yaml", plan, spoken="ABCD")[1]] == ["log-plan"]
    assert actuals_of(text, "a.yaml", plan, spoken="K7QH")[1] == []


# ---------------------------------------------------------------- wrong files


@pytest.mark.parametrize(
    "text, code, line",
    [
        ("takeoff: 02:07", "value", 2),  # no clock
        ("takeof: 02:07:00 Z", "unknown-key", 2),
        ("fuel:\n  9: {start: 5500 lb}", "unknown-ship", 3),
        ("fuel:\n  1: {start: 5500}", "value", 3),
        ("fuel:\n  1: {start: 5000 lb, landing: 5100 lb}", "fuel-order", 3),
        ("fuel:\n  1: {start: 2500 L}", "density", 3),
        ("heard:\n  ANTHEN: 03:28:06 Z", "unknown-cue", 3),
        ("success:\n  3: yes", "unknown-objective", 3),
        ("told:\n  - {at: 03:28:00 Z}", "told-how", 3),
        ("told:\n  - {new: 03:30:14 Z, slow: 12 s}", "told-how", 3),
        ("told:\n  - {fast: 12 s, slow: 12 s}", "told-how", 3),
        # 1220 kg is 2689.6 lb, more than the 2500 of the knock-it-off: the figure in kg is the slip
        ("fuel:\n  1:\n    end_of_training: 1000 kg\n    hold: 2300 lb", "fuel-order", 4),
        ("fuel:\n  1:\n    end_of_training: 2500 lb\n    hold: 1220 kg", "fuel-order", 5),
        ("training: {flown: 2, valid: 3}", "setups", 2),
        ("hold: 03:20:00 Z\nleave_hold: 03:19:00 Z", "order", 3),
        ("true_time: 2027-02-02 03:30:02 Z", "time-far", 2),
        ("sortie:\n  name: |\n    a\n    b", "several-lines", 3),  # only the log may have several lines
    ],
)
def test_what_is_wrong_is_told_with_its_line(plan, text, code, line):
    flown, problems = actuals_of(HEAD + text, "a.yaml", plan)
    assert flown is None
    assert (code, line) in [(p.code, p.span.line) for p in problems], problems


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("overhead", "true_time"),  # as the cards call it
        ("tot", "true_time"),
        ("touchdown", "landing"),
        ("airborne", "takeoff"),
        ("herd", "heard"),  # a slip of the keyboard
    ],
)
def test_another_word_for_a_key_leads_to_that_key(plan, word, key):
    (told,) = actuals_of(f"{HEAD}{word}: 03:30:04 Z\n", "a.yaml", plan)[1]
    assert (told.code, told.help) == ("unknown-key", f"did you mean {key}?")


# The regatta's tiers: normal landing 900 lb (its reserve, 30 min, is less), minimum 800, emergency 700.
LOW = [
    ("1: {landing: 900 lb}", None),
    ("1: {landing: 890 lb}", "Ship 1 landed with 890 lb, below its reserve or normal landing fuel of 900 lb"),
    ("1: {landing: 800 lb}", "Ship 1 landed with 800 lb, below its reserve or normal landing fuel of 900 lb"),
    ("4: {landing: 790 lb}", "Ship 4 landed with 790 lb, below its minimum fuel of 800 lb"),
    (
        "2: {landing: 790 lb}\n  4: {landing: 690 lb}",
        "Ship 4 landed with 690 lb, below its emergency fuel of 700 lb; ship 2 with 790 lb, below its minimum"
        " fuel of 800 lb",
    ),
    ("1: {start: 5500 lb}", None),  # not recorded
]


@pytest.mark.parametrize(("fuel", "said"), LOW)
def test_who_landed_with_less_than_must_be_left_is_said(plan, fuel, said):
    assert debrief_view(plan, read(plan, f"{HEAD}fuel:\n  {fuel}")).values["low_fuel"] == said


def test_the_terminal_says_it_first_and_so_do_page_and_slide(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.yaml").write_text(f"{HEAD}fuel: {{4: {{landing: 690 lb}}}}\n", encoding="utf-8")
    assert run(["debrief", str(MISSION), "a.yaml", "--out", "d"]) == 0
    said = "Ship 4 landed with 690 lb, below its emergency fuel of 700 lb"
    assert capsys.readouterr().out.splitlines()[0] == said
    page = (tmp_path / "d" / "debrief.html").read_text(encoding="utf-8")
    assert said in page.replace("\u00a0", " ")
    slide = Presentation(tmp_path / "d" / "debrief.pptx").slides[0]
    shown = " ".join(shape.text_frame.text for shape in slide.shapes if shape.has_text_frame)
    assert said in shown.replace("\u00a0", " ")


def test_the_fuel_in_another_unit_than_the_mission_is_doubted(plan):
    """4500 lb is 2041 kg: an order that holds hides nothing."""
    flown, problems = actuals_of(HEAD + "fuel:\n  1: {start: 5500 lb, landing: 1000 kg}", "a.yaml", plan)
    (told,) = problems
    assert flown is not None and (told.code, told.severity) == ("mixed-units", "caution")
    assert told.help == "write 1000 lb if the unit is a slip"


def test_a_slip_of_the_unit_is_told_where_it_stands(plan):
    (told,) = actuals_of(HEAD + "fuel:\n  1: {end_of_training: 1000 kg, hold: 2300 lb}", "a.yaml", plan)[1]
    assert (told.message, told.help) == (
        "ship 1 has less fuel here than at hold",
        "write 1000 lb if the unit is a slip",
    )


@pytest.mark.parametrize(
    "typed, new",
    [
        ("{slow: 40 s, read_back: 03:29:00 Z}", ["033042"]),  # T 03:30:02 Z
        ("{fast: 1 min, read_back: no}", ["032902"]),
        ("{old: 03:30:12 Z, slow: 5 s}", ["033017"]),
        # a second call counts from what was read back, not from what wasn't
        ("{slow: 40 s, read_back: 03:29:00 Z}, {fast: 10 s}", ["033042", "033032"]),
        ("{slow: 40 s, read_back: no}, {slow: 10 s}", ["033042", "033012"]),
    ],
)
def test_seconds_fast_or_slow_move_the_time_that_was_held(plan, typed, new):
    assert [f"{call.new:%H%M%S}" for call in read(plan, HEAD + f"told: [{typed}]").told] == new


def test_blank_of_a_flight_without_a_hold_tells_seconds_and_is_accepted():
    plan = check(REPOSITORY / "tests" / "data" / "no-hold.yaml").planned.plan
    text = blank_actuals(plan)
    start = text.index("#   - {at: ")
    line = text[start : text.index("\n", start)].removeprefix("# ")
    (call,) = read(plan, f"{HEAD}told:\n{line.replace('0 s', '40 s')}\n").told
    assert "slow: 0 s" in line and call.change_s == 40.0 and call.old == plan.clock.true_time


# ---------------------------------------------------------------- products and command


def test_page_and_two_slides(plan, checked, flown):
    files, problems = make_debrief(plan, debrief_view(plan, flown), context_of(checked.planned))
    assert problems == []
    made = dict(files)
    page = made["debrief.html"].decode("utf-8")
    assert "T was flown 14" in page and "[table cues]" not in page and "://" not in page
    slides = [
        name
        for name in zipfile.ZipFile(io.BytesIO(made["debrief.pptx"])).namelist()
        if name.startswith("ppt/slides/slide")
    ]
    assert len(slides) == 2


@pytest.mark.parametrize("name", ["regatta", "lantern-fair", "founders-day"])
def test_blank_file_is_read_and_freed_of_its_marks_too(name):
    checked = check(REPOSITORY / "missions" / f"{name}.yaml")
    text = blank_actuals(checked.planned.plan)
    assert actuals_of(text, "a.yaml", checked.planned.plan) == (Flown(), [])
    freed = "\n".join(line.removeprefix("# ") for line in text.splitlines()[2:]) + "\n"
    flown, problems = actuals_of(
        freed.replace("Heard CUE", "Flight on station"), "a.yaml", checked.planned.plan
    )
    assert flown is not None, problems
    assert all(row.flown is not None for row in time_rows(checked.planned.plan, flown))
    files, problems = make_debrief(
        checked.planned.plan, debrief_view(checked.planned.plan, flown), context_of(checked.planned)
    )
    deck = zipfile.ZipFile(io.BytesIO(dict(files)["debrief.pptx"])).namelist()
    assert problems == [] and sum(member.startswith("ppt/slides/slide") for member in deck) == 2


def test_command(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert run(["debrief", str(MISSION), "--new", "mine.yaml"]) == 0
    assert run(["debrief", str(MISSION), "--new", "mine.yaml"]) == 2  # never overwritten
    assert run(["debrief", str(MISSION)]) == 2
    assert run(["debrief", str(MISSION), "absent.yaml"]) == 2
    capsys.readouterr()
    assert run(["debrief", str(MISSION), str(ACTUALS), "--out", "d", "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["tables"]["times"]["rows"][5][4:] == ["+14 s", "+2 s"]
    assert {path.name for path in (tmp_path / "d").iterdir()} == {
        "debrief.html",
        "debrief.pptx",
        "manifest.json",
    }


def test_a_debrief_of_a_plan_that_failed_says_so(plan, checked, flown):
    """Page and slides: whoever reads it later must not take it for a plan that was fit to be flown."""
    context = context_of(checked.planned)
    files, _ = make_debrief(
        plan, debrief_view(plan, flown), replace(context, stamp=replace(context.stamp, failing=2))
    )
    made = dict(files)
    assert "2 FAIL: NOT TO BE FLOWN" in made["debrief.html"].decode().split("</header>")[0]
    layout = Presentation(io.BytesIO(made["debrief.pptx"])).slides[0].slide_layout
    assert any(
        shape.has_text_frame and shape.text_frame.text == "2 FAIL: NOT TO BE FLOWN · DEBRIEF"
        for shape in layout.shapes
    )


def failed(plan, *ids):
    return replace(
        plan, gates=tuple(replace(gate, verdict="FAIL") if gate.id in ids else gate for gate in plan.gates)
    )


@pytest.mark.parametrize(
    ("ids", "text", "said"),
    [
        ((), "takeoff: 02:07:04 Z", None),
        (
            ("blocks-overlap",),
            "takeoff: 02:07:04 Z",
            "1 gate of this plan FAILS; it was flown all the same: Blocks do not overlap: blue and red",
        ),
        (
            ("blocks-overlap",),
            "",
            (
                "1 gate of this plan FAILS; whether it was flown all the same is not recorded: Blocks do not"
                " overlap: blue and red"
            ),
        ),
        (
            ("blocks-overlap", "time-hack", "crosswind", "duty-period", "set-ups"),
            "fuel: {1: {landing: 1420 lb}}",
            "; 2 more",
        ),
    ],
)
def test_a_plan_that_failed_and_was_flown_all_the_same_says_so(plan, ids, text, said):
    """By the gates' verdicts; of five that fail three are named, and all stand on the page."""
    view = debrief_view(failed(plan, *ids), read(plan, HEAD + text))
    told = view.values["failed"]
    assert (
        told == said
        if len(ids) < 2
        else told.endswith(said) and told.startswith("5 gates of this plan FAIL; it was flown all the same: ")
    )
    assert len(view.tables["failed"].rows if "failed" in view.tables else ()) == len(ids)


def test_page_and_slide_say_that_it_was_flown_all_the_same(plan, checked, flown):
    bad = failed(plan, "blocks-overlap", "time-hack")
    files, problems = make_debrief(bad, debrief_view(bad, flown), context_of(checked.planned))
    made, said = dict(files), "2 gates of this plan FAIL; it was flown all the same: "
    slide = " ".join(
        shape.text_frame.text
        for shape in Presentation(io.BytesIO(made["debrief.pptx"])).slides[0].shapes
        if shape.has_text_frame
    )
    assert problems == [] and said in slide
    page = made["debrief.html"].decode()
    assert said in page and "Gates of the plan that FAIL" in page


def test_the_terminal_says_it_too(tmp_path, monkeypatch, capsys):
    """The overcommitted demonstration fails gates, by its own header."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.yaml").write_text(HEAD + "takeoff: 12:13:10 Z\n", encoding="utf-8")
    assert run(["debrief", str(REPOSITORY / "missions" / "overcommitted.yaml"), "a.yaml", "--out", "d"]) == 0
    assert "it was flown all the same: " in capsys.readouterr().out.splitlines()[0]


# the plan takes off at 02:07 Z, and its first ship is in the area at 02:20
def test_a_take_off_of_another_hour_is_what_is_asked_about(plan):
    _, problems = actuals_of(HEAD + "takeoff: 03:07:00 Z\narea: 02:20:00 Z", "a.yaml", plan)
    assert [(p.code, p.cause) for p in problems] == [("order", ("takeoff",))]
    assert "hour" in problems[0].help and "`takeoff`" in problems[0].help


def test_yes_does_not_say_when_a_change_was_read_back(plan):
    told = "told:\n  - {at: 03:20:00 Z, new: 03:31:02 Z, read_back: yes}"
    _, problems = actuals_of(HEAD + told, "a.yaml", plan)
    assert [p.help for p in problems] == ["write when it was, such as 03:25:30 Z"]
    _, problems = actuals_of(HEAD + told.replace("yes", "03:25:30 Z"), "a.yaml", plan)
    assert problems == []
