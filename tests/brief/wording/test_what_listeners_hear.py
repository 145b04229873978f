"""Sentences of the slides that must be true as they are heard, against the missions as typed."""

from dataclasses import replace
from datetime import timedelta

import pytest

from briefgen.approval.states import ApprovalState
from briefgen.brief.slides.view.view import make_view
from briefgen.brief.wording.whatif import lines_of
from briefgen.brief.wording.words import words_of
from tests.brief.briefs import ALL, PASS_ONLY, REGATTA, ROOT, STAMP, pages_of, plan_of, view_of
from tests.planned import plan_of_text, what_if_of

MIDNIGHT = "tests/cases/ok-midnight.yaml"
GOOD = [
    *ALL,
    *(
        str(path.relative_to(ROOT))
        for path in sorted((ROOT / "tests/cases").glob("ok-*.yaml"))
        if str(path.relative_to(ROOT)) not in ALL
    ),
]


def test_a_landing_after_local_midnight_has_its_own_date():
    # Take-off 23:00 and T 23:45 at +02:00 on 28 Jul; the last ship lands 62.5 min after take-off, at 00:02.
    assert words_of(plan_of(MIDNIGHT)).dates() == "Wed 28 Jul 2027; last landing 29 Jul CEST (+02:00)"


@pytest.mark.parametrize("name", GOOD)
def test_one_date_on_every_clock_is_true_of_every_minute(name):
    """From step (else take-off) to the last landing, on Zulu and on the clocks of base and event."""
    plan, said = plan_of(name), words_of(plan_of(name)).dates()
    first = next((event.at for event in plan.clock.events if event.id == "step"), plan.clock.takeoff)
    zones = {plan.mission.base_zone, plan.mission.event_zone} - {None}
    minutes = [
        first + timedelta(minutes=n)
        for n in range(int((plan.clock.last_landing - first).total_seconds() // 60) + 1)
    ]
    dates = {at.date() for at in (*minutes, plan.clock.last_landing)} | {
        at.astimezone(zone).date() for at in (*minutes, plan.clock.last_landing) for zone in zones
    }
    assert said.endswith("on every clock") == (len(dates) == 1)


def slide_titles(name):
    return [page.title for page in pages_of(view_of(name))]


# The regatta's cue is heard at 03:28:06 Z, its hold left at 03:28:21.
LATE_CHANGES = [
    ("relay_time: 10 s", "From leave-hold at 03:28:21 Z, speed alone can arrive 11 s earlier or 27 s later"),
    # known 25 s after leave-hold: what speed could do at the hold's fix is gone by then
    ("relay_time: 40 s", "Once ANTHEM is known, at 03:28:46 Z, speed alone can arrive"),
]


@pytest.mark.parametrize(("relay", "title"), LATE_CHANGES)
def test_what_speed_can_do_says_from_when(relay, title):
    text = (ROOT / REGATTA).read_text(encoding="utf-8").replace("relay_time: 10 s", relay)
    pages = pages_of(make_view(plan_of_text(text), STAMP))
    assert any(page.title.startswith(title) for page in pages), [page.title for page in pages]


def test_the_push_table_and_the_late_changes_say_how_fast_each_may_go():
    """regatta.yaml: pushed up to 390 KGS; the unit's cap at the pass is 425 KGS, the least 270.

    Pushed at the IP, 7.97 nm gain 5.4 s while the speed changes (3.45 nm) and (7.97 - 3.45) x 3600 x (1/300 -
    1/390) = 12.5 s after it, 17.9 s in all: 5 s late on top of the 15 s of the bias leave 2.1 s, 10 s late
    7.1 s.
    """
    tables = view_of(REGATTA).tables
    assert tables["push"].columns[1].head == "Push to 390 KGS at"
    assert [row[1].text for row in tables["push"].rows[-2:]] == [
        "the IP, speed alone can't: 2.1 s late",
        "the IP, speed alone can't: 7.1 s late",
    ]
    assert (
        tables["speed_fixes"].caption
        == "By speeds from 270 to 425 KGS; the push table goes to 390 KGS only. Of two speeds the second"
        " is for a call at the last moment."
    )
    assert tables["updates"].caption == "By speeds from 270 to 425 KGS."


def test_the_time_of_the_run_in_says_that_it_ends_at_the_set_time():
    # 7.97 nm at 300 KGS take 96 s, to the SET time; IP 03:28:41 Z to T 03:30:02 Z are 81 s, 15 s less.
    said = "IP to PONTOON in 1:36 at 300 KGS ends at the SET time: pushed up, T is 15 s sooner"
    view = view_of(REGATTA)
    assert view.tables["navlog"].caption.endswith(f" {said}.")
    assert sum(line.endswith(f". {said}") for line in view.values["route"]["sums"]) == 1
    assert "SET time" not in view_of(PASS_ONLY).tables["navlog"].caption  # nothing to make up


def test_of_several_passes_each_run_in_says_its_own_set_time():
    """Three harbours: 9.0 nm at 300 KGS take 108 s, 12 s more than are left before T; SALTMERE's, flown
    twice, is told once."""
    said = "{} in 1:48 at 300 KGS ends at the SET time: pushed up, T is 12 s sooner"
    legs = ("MOLEIP to MOLE", "QUAYIP to QUAY", "PIERIP to PIER")
    view = view_of(ROOT / "missions/three-harbours.yaml")
    assert view.tables["navlog"].caption.count("SET time") == 3
    for leg, times in zip(legs, (2, 1, 1), strict=True):
        assert f" {said.format(leg)}." in view.tables["navlog"].caption
        assert sum(line.endswith(f". {said.format(leg)}") for line in view.values["route"]["sums"]) == times


def test_run_in_is_from_the_ip_wherever_it_is_said():
    """The bar of the clock begins at the hold: its last piece before T is not the run-in of the other
    slides."""
    from briefgen.brief.figures.clock_bar import blocks_of

    assert [block.words for block in blocks_of(plan_of(REGATTA))] == [
        "Departure",
        "Training",
        "Rejoin",
        "Transit",
        "Hold",
        "To T",
        "Recovery",
    ]


def slide(view, beginning):
    """Every text of the one slide whose title begins so."""
    return next(str(page) for page in pages_of(view) if page.title.startswith(beginning))


@pytest.mark.parametrize(
    ("name", "said"), [("missions/overcommitted.yaml", "24 FAIL: NOT TO BE FLOWN"), (REGATTA, None)]
)
def test_the_overview_says_at_once_that_gates_fail(name, said):
    view = view_of(name)
    fails = sum(gate.verdict == "FAIL" for gate in plan_of(name).gates)
    assert (said is None) == (fails == 0) and (said is None or said.startswith(f"{fails} "))
    overview = str(pages_of(view)[0])
    assert said in overview if said else "NOT TO BE FLOWN" not in overview


@pytest.mark.parametrize(
    ("state", "gates", "risk"),
    [
        ("NOT APPROVED", "To be accepted", "is to be accepted by"),
        ("CHANGED: APPROVE AGAIN", "To be accepted", "is to be accepted by"),
        ("APPROVED", "Accepted", "is accepted by"),
        ("UPDATED WITHIN APPROVED BOUNDS", "Accepted", "is accepted by"),
    ],
)
def test_nothing_reads_as_accepted_before_the_approval(state, gates, risk):
    view = make_view(
        plan_of(REGATTA), replace(STAMP, approval=state, approved=ApprovalState(state, "").stands)
    )
    assert f"'{gates}'" in slide(view, "Settle first")
    assert f"The highest single item {risk} " in slide(view, "Highest risk")


def test_a_figure_that_cannot_be_judged_has_one_reason_on_both_slides():
    """start.yaml has no script and its time over target is a clock time: no limit is missing there, and one
    gate of the figures that decide says so."""
    tables = view_of("missions/start.yaml").tables
    missing = {row[1].text: row[3].text for row in tables["gates_not_checked"].rows}
    shown = {row[0].text: row[2].text for row in tables["limits"].rows if row[3].status == "NOT CHECKED"}
    assert (
        len(shown) == 1
        and shown == {title: missing[title].partition(". Key: ")[0] for title in shown}
        and "no limit given" not in shown.values()
    )
    assert any(
        title.startswith("The 9 figures that decide: 8 PASS, 0 FAIL, 1 NOT CHECKED; elsewhere ")
        for title in slide_titles("missions/start.yaml")
    )


BUFFERS = {
    # blue to 15000, red from 17000 ft
    "missions/founders-day.yaml": "2000 ft between the blocks (1000 ft needed)",
    # blue to 13000, red from 13500 ft
    "missions/overcommitted.yaml": "500 ft between the blocks (1000 ft needed)",
}


@pytest.mark.parametrize(("name", "said"), BUFFERS.items())
def test_the_room_between_the_blocks_is_what_lies_there(name, said):
    assert view_of(name).values["training"]["buffer"] == said


def test_who_can_recall_the_flight_is_on_the_radio_slide():
    """regatta.yaml: no preset has the supervisor's or the tower's frequency; preset 1 has no ``listens``."""
    rows = [[cell.text for cell in row] for row in view_of(REGATTA).tables["radio"].rows]
    assert rows[-2:] == [
        ["none", "Supervisor Lt Col S. Varga; recall word LANTERN", "139.300 MHz", "not given"],
        ["none", "Harbour tower", "123.400 MHz", "not given"],
    ]
    assert rows[0][3] == "every ship, when the leader says so"


SAID_OF_T = {
    # T 13:31:30 Z; ship 2 would have 1585.6 lb at the end of the egress, 14.4 lb short of the 1600 required
    # there (on landing 6.6 lb short of its 900): at 1300 lb/h x 1.05 37.9 s of hold too much.
    "missions/overcommitted.yaml": (
        "T is 45 s too late (fuel of ship 2 in the hold): only -1 min of these slips is left",
        "T 13:31:30 Z is 45 s too late (fuel of ship 2 in the hold)",
    ),
    REGATTA: (
        "After 03:26:21: by speed 11 s earlier to 27 s later, or a whole lap until 03:28:20",
        "T 03:30:02 Z can't be later than 03:40:02 Z (slip accepted by the flight)",
    ),
}


@pytest.mark.parametrize(("name", "title", "line"), [(name, *said) for name, said in SAID_OF_T.items()])
def test_a_true_time_past_its_latest_is_called_too_late(name, title, line):
    assert any(said.startswith(title) for said in slide_titles(name))
    assert line in slide(view_of(name), "NOT APPROVED")


def test_no_seconds_earlier_are_promised_that_would_be_told_after_their_own_abort_only_time():
    """T - 94 s is 03:28:28 Z, and the hold is left in the second 03:28:20: a T 8 s earlier would be told in
    its own silence, one 7 s earlier not."""
    text = (ROOT / REGATTA).read_text(encoding="utf-8")
    assert "abort_only_after: T-30 s" in text
    plan = plan_of_text(text.replace("abort_only_after: T-30 s", "abort_only_after: T-94 s"))
    said = make_view(plan, STAMP).values["slips"]["main"]
    assert said.startswith("After 03:26:21: by speed 7 s earlier to 27 s later")


def test_the_hold_is_left_at_one_second_on_every_slide():
    """ok-midnight.yaml: 21:43:16.5 and some; low cloud sends the flight home when the hold would be left."""
    plan = plan_of(MIDNIGHT)
    leave = view_of(MIDNIGHT).values["clock"]["leave_hold"]
    line = next(line for line in lines_of(what_if_of(plan)) if line.id == "low-cloud")
    assert leave == "21:43:17 Z" and line.outcome.startswith(f"home at {leave},")
    assert next(gate.limit for gate in plan.gates if gate.id == "traffic-1") == f"gone by {leave}"


def test_a_pass_without_a_hold_is_not_measured_against_one():
    # ok-pass-only.yaml: HYMN at 11:00:00 Z without a relay; IP at 10:58:45 Z, T at 11:01:00 Z, no speeds to
    # change between.
    said = view_of(PASS_ONLY).values["ceremony"]["sums"]
    assert said[-2:] == [
        "HYMN heard 11:00:00 Z + no relay, since none is given, = known 11:00:00 Z, 1 min 15 s after the IP",
        "After that nothing can be changed any more",
    ]
    gate = next(gate for gate in plan_of(PASS_ONLY).gates if gate.id == "cue-first")
    assert gate.title == "Cue known before the IP" and "hold" not in gate.why


def test_the_overview_names_the_flypast_beside_the_training():
    assert (
        f" {plan_of(REGATTA).mission.file.sortie.name}: 4 set-ups, then one pass, lowest ship 1470 ft MSL'"
        in str(pages_of(view_of(REGATTA))[0])
    )
