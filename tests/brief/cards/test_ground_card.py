"""The ground contact's card at the dead-band, and its words, which are those of the clock page. The regatta:
T 03:30:02 Z, 14:30:02 AEDT, dead-band 3 s."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.slides.view.view import make_view
from briefgen.brief.wording.spoken import callers, new_time
from briefgen.brief.wording.wait_limits import latest_words
from briefgen.brief.wording.words import card_words
from briefgen.render.html.clock import clock_data
from tests.brief.cards.reading import slip_note, slip_rows
from tests.render.pdf_cases import STAMP, changed, context, plan_of

REGATTA, LANTERN = "missions/regatta.yaml", "missions/lantern-fair.yaml"
QUIET = ("", "", "03:30:02", "14:30:02", "NO CALL NEEDED")


def section(card, side: int, name: str):
    return card.sides[side][1][name]


def rows(plan) -> dict[str, tuple[str, ...]]:
    """By the slip, without the mark of one that no cue tells of in time."""
    return {
        row[0].removesuffix(" *"): row[1:] for row in section(cards.ground_contact(plan), 0, "slips").rows
    }


def test_on_time_no_call_is_needed_and_none_is_timed():
    assert rows(plan_of(REGATTA))["on time"] == QUIET


@pytest.mark.parametrize(
    ("deadband", "quiet"),
    [
        ("3 s", {"on time"}),
        ("30 s", {"on time"}),  # a slip of 30 s is not below it
        ("31 s", {"on time", "-30 s", "+30 s"}),
        ("61 s", {"on time", "-30 s", "+30 s", "-1 min", "+1 min"}),
    ],
)
def test_below_the_dead_band_a_row_says_no_call_needed_only(tmp_path, deadband, quiet):
    """T stays as it is held; every other row has a time to say it by, or says that it can't be met."""
    plan = changed(tmp_path, REGATTA, ("deadband: 3 s", f"deadband: {deadband}"))
    found, on_board = rows(plan), slip_rows(cards.kneeboard(plan, 1))
    assert {head for head, row in found.items() if row == QUIET} == quiet
    assert all(row[0] or row[1] for head, row in found.items() if head not in quiet)
    assert {
        slip.replace("planned", "on time") for slip, row in on_board.items() if row[5] == "no call"
    } == quiet


@pytest.mark.parametrize(
    ("early", "told"),
    [  # the rows begin at -1 min; by how much less is accepted they read TOO EARLY themselves
        ("60 s", "TOO EARLY to -1 min 1 s: earlier than the flight accepts."),
        ("90 s", "TOO EARLY to -1 min 31 s: earlier than the flight accepts."),
        ("59 s", ""),
    ],
)
def test_what_is_earlier_than_every_row_is_told_too(tmp_path, early, told):
    plan = changed(tmp_path, REGATTA, ("accept_slip: {early: 60 s", f"accept_slip: {{early: {early}"))
    note = section(cards.ground_contact(plan), 0, "slips").note
    assert told in note and ("TOO EARLY" in note) == bool(told)


def test_after_say_by_stands_what_still_goes_and_what_is_lost():
    """Regatta: -1 min is worked again up to 03:25:48.97 read back, less the relay of 10 s; from the last
    outbound turn on +5 min needs a whole lap, and nothing comes after it. Overcommitted: a lap of 4 min 20 s
    would pass the fuel of ship 2, so none is offered."""
    assert (rows(plan_of(REGATTA))["-1 min"][4], rows(plan_of(REGATTA))["+5 min"][4]) == (
        "worked again to 03:25:38",
        "nothing",
    )
    note = section(cards.ground_contact(plan_of(REGATTA)), 0, "slips").note
    assert note.endswith("After that UNABLE, or in the hold one more lap, 4 min 26 s.")
    assert section(cards.ground_contact(plan_of("missions/overcommitted.yaml")), 0, "slips").note.endswith(
        "After that UNABLE."
    )


def test_an_overdue_cue_has_its_words_and_no_time(tmp_path):
    """ANTHEM, 03:28:06, is told as not started once the read-back comes after leave-hold, 03:28:20.6 less the
    relay of 10 s, late by more than the 3 s of the dead-band by then. 81 s before T speed gives less than the
    25 s that it is late at 03:28:31, read back at :41 (tests/retime/test_retime.py has the arithmetic). Later
    than leave-hold less the relay, 03:28:10: no HOLD can be said for it."""
    lines = dict(section(cards.ground_contact(plan_of(REGATTA)), 0, "say").items)
    assert (
        lines["ANTHEM not heard, Z:"]
        == "03:28:11 to 03:28:30: GANNET, ANTHEM NOT STARTED. 03:28:31 to 03:29:22: GANNET, ANTHEM NOT"
        " STARTED. Return to the hold. Read-back: GANNET, returning to the hold. No time and no seconds on a"
        " cue that you have not heard. If an earlier cue came late, add as much to these times; to the"
        " last, 03:29:22, only once that T is told. Only one line counts: of the first cue after the last"
        " that you heard."
    )
    on_board = dict(section(cards.kneeboard(plan_of(REGATTA), 1), 1, "silence").items)
    assert on_board["No ANTHEM by 03:28:41 Z:"].startswith("RETURN TO THE HOLD: ")
    silent = changed(tmp_path, "missions/founders-day.yaml", ("    no_cue: hold\n", ""))
    said = [
        words for lead, words in section(cards.ground_contact(silent), 0, "say").items if "not heard" in lead
    ]
    assert said and all("NOT BRIEFED (event.pass.no_cue)" in words for words in said)


def test_the_card_says_a_change_in_the_words_of_the_clock():
    plan = plan_of(REGATTA)
    call = new_time(callers(plan.mission), plan.event.true_time, plan.event.true_time)
    six, blanks = "zero three three zero zero two", "____ ____ ____ ____ ____ ____"
    lines = dict(section(cards.ground_contact(plan), 0, "say").items)
    assert lines["Say:"] == f"{blanks} Zulu".join(call.say.rsplit(f"{six} Zulu", 1))
    assert lines["Read-back expected:"].startswith(call.read_back.replace(six, blanks))


HELICOPTER = "    - {who: Lifeboat helicopter, level: 0 to 600 ft AGL}"


@pytest.mark.parametrize(
    ("given", "said"),  # BST is Z + 1 h
    [
        ("", "times not given"),
        (", until: 14:20:00 event", "until 13:20:00"),
        (", from: 14:10:00 event", "from 13:10:00"),
        (", from: 14:10:00 event, until: 14:20:00 event", "13:10:00 to 13:20:00"),
    ],
)
def test_other_traffic_with_half_its_times_or_none_says_so(tmp_path, given, said):
    plan = changed(tmp_path, "missions/overcommitted.yaml", (HELICOPTER, f"{HELICOPTER[:-1]}{given}}}"))
    assert section(cards.ground_contact(plan), 1, "traffic").rows[0][2] == said


# ---------------------------------------------------------------- the contact schedule

TIME, SECONDS = (
    "True time over target as held, ceremony early, late or on time",
    "Seconds, no clock time: fast or slow only",
)
ABORT = "Only the abort words: {}".format
RELAY, ABORT_AFTER, PHRASE = (
    "relay_time: 10 s",
    "abort_only_after: T-30 s",
    "after_leaving_hold: fast or slow only",
)
PASS_ONLY = "tests/cases/ok-pass-only.yaml"


def said(plan) -> list[str]:
    """At T-15, T-5 and T-3 min, on the card."""
    found = {row[3]: row[4] for row in section(cards.ground_contact(plan), 1, "schedule").rows}
    return [found[f"T-{minutes} min"] for minutes in (15, 5, 3)]


# The regatta's T is 03:30:02 and its leave-hold 03:28:21, T-1 min 41 s; the lantern fair's 12:40:15 and
# 12:37:06, T-3 min 9 s.
@pytest.mark.parametrize(
    ("mission", "changes", "expected"),
    [
        (REGATTA, (), [TIME, TIME, TIME]),
        ("missions/lantern-fair.yaml", (), [TIME, TIME, SECONDS]),
        (REGATTA, ((RELAY, "relay_time: 78 s"),), [TIME, TIME, TIME]),  # read back at T-1 min 42 s
        (REGATTA, ((RELAY, "relay_time: 81 s"),), [TIME, TIME, SECONDS]),  # at T-1 min 39 s
        (
            REGATTA,
            ((RELAY, "relay_time: 81 s"), (PHRASE, "after_leaving_hold: only what the leader asks")),
            [TIME, TIME, "Seconds, no clock time: only what the leader asks"],
        ),
        (REGATTA, ((RELAY, "relay_time: 81 s"), (PHRASE, "")), [TIME, TIME, SECONDS]),
        (
            REGATTA,
            ((ABORT_AFTER, "abort_only_after: T-170 s"),),
            [TIME, TIME, TIME],
        ),  # T-3 min is read back at that second
        (REGATTA, ((ABORT_AFTER, "abort_only_after: T-171 s"),), [TIME, TIME, ABORT("GANNET ABORT ABORT")]),
        # without a hold the IP is the limit: 11.2 nm at 300 kt over the ground, T-2 min 14 s
        (PASS_ONLY, (("  script:", "  relay_time: 45 s\n  script:"),), [TIME, TIME, TIME]),
        (PASS_ONLY, (("  script:", "  relay_time: 47 s\n  script:"),), [TIME, TIME, SECONDS]),
    ],
)
def test_from_leave_hold_on_the_schedule_offers_no_clock_time(tmp_path, mission, changes, expected):
    assert said(changed(tmp_path, mission, *changes)) == expected


def test_the_slide_the_clock_page_and_the_plan_say_what_the_card_says():
    plan = plan_of("missions/lantern-fair.yaml")
    on_card = [row[4] for row in section(cards.ground_contact(plan), 1, "schedule").rows]
    assert [row[-1].text for row in make_view(plan, STAMP).tables["contacts"].rows] == on_card
    assert [contact["say"] for contact in clock_data(plan, context())["contacts"]] == on_card


# ---------------------------------------------------------------- T that cannot be flown


WITHOUT_HOLD = "tests/cases/slip-without-hold.yaml"


def box(plan) -> tuple[str, ...]:
    """Head, time and detail of CANNOT WAIT LATER THAN."""
    return section(cards.ground_contact(plan), 0, "times").items[1]


def test_the_large_box_names_a_time_that_can_be_flown(tmp_path):
    """T 20:00:00 Z. Without a hold speed gives 34 s (worked out in tests/plan/event/test_slip_reach.py), of
    the 3 min that are accepted."""
    plan = plan_of(WITHOUT_HOLD)
    assert (
        box(plan)[:2] == ("CANNOT WAIT LATER THAN", "20:00:34 Z")
        and "speed alone gives no later one" in box(plan)[2]
    )
    wait = section(cards.ground_contact(plan), 0, "wait")
    assert [row[0] for row in wait.rows[:2]] == [
        "20:00:34",
        "20:03:00",
    ] and wait.note == "T 20:00:35 to 20:03:00: by speed inside the tolerance, or UNABLE."
    strict = changed(tmp_path, WITHOUT_HOLD, ("    tolerance: 10 s\n", ""))
    assert section(cards.ground_contact(strict), 0, "wait").note == "T 20:00:35 to 20:03:00: UNABLE."
    unknown = changed(tmp_path, WITHOUT_HOLD, ("      formation_acceleration: 1 kt/s\n", ""))
    assert box(unknown)[1] == "NOT CHECKED" and "speed" in box(unknown)[2]
    assert "speed NOT CHECKED" in latest_words(unknown, card_words(unknown).by)


def test_the_card_names_the_holes_of_the_accepted_slip(tmp_path):
    """Between three laps and four of the lantern fair nothing can be flown: its longest three end 661.0 s
    after the fix, its shortest four 700.4 s, the wait is 571.0 s and T 12:40:15 Z; 5 min are accepted, or 2
    min, which end inside it. Its shortest three end at 527.1 s, and the two before them at 420.8 s: of the 60
    s early that are accepted 43.9 s can be flown."""
    whole, cut = plan_of(LANTERN), changed(tmp_path, LANTERN, ("late: 5 min", "late: 2 min"))
    assert (
        section(cards.ground_contact(whole), 0, "wait").note
        == "T 12:39:15 to 12:39:31 and 12:41:46 to 12:42:24: in two calls, laps then speed, or UNABLE."
    )
    assert box(whole)[1] == "12:45:15 Z"
    assert box(cut)[1] == "12:41:45 Z" and "neither laps nor speed give a later one" in box(cut)[2]


NO_HOLD = "tests/data/no-hold.yaml"


def words_of(section_) -> str:
    return " ".join(text for item in section_.items for text in item)


def test_the_words_without_a_hold_are_seconds():
    """``briefgen retime`` says ``Slow four zero seconds. I say again: slow four zero seconds. Read back.``,
    and no clock time: the card has the same sentence to fill in. SPEECH is the only cue, so none before it
    moves its times."""
    plan = plan_of(NO_HOLD)
    said = words_of(section(cards.ground_contact(plan), 0, "say"))
    assert "PTARMIGAN, COALFACE. Fast [slow] ____ ____ seconds. I say again:" in said
    assert "Change of true time" not in said and "six digits" not in said and "before it" not in said
    assert "leave-hold" not in said and "the hold" not in said


def test_the_slips_without_a_hold_go_as_far_as_speed_does():
    """80 s late are accepted and 97.3 s possible (the gate of the accepted slip says so), 5 s more inside the
    tolerance; none after the
    abort-only moment, 10:59:15 Z, less the relay of 10 s."""
    plan = plan_of(NO_HOLD)
    rows = section(cards.ground_contact(plan), 0, "slips").rows
    late = {row[0]: row[2] for row in rows}
    assert list(late) == ["5 s", "10 s", "15 s", "30 s", "1 min", "1 min 20 s", "1 min 42 s"]
    assert late["5 s"] == late["10 s"] == "10:59:05" and late["1 min 42 s"] == "TOO LATE"
    assert all(at <= "10:59:05" for label, at in late.items() if label != "1 min 42 s")
    slide = {row[0].text: row[2].text for row in make_view(plan, STAMP).tables["updates"].rows}
    assert slide["5 s"] == "10:59:15" and max(at for at in slide.values() if at[0].isdigit()) == "10:59:15"


def test_the_latest_t_without_a_hold_is_judged_by_fuel():
    """Ship 2 is at base with 691 kg, 350 must be there, the alternate's included: 341 kg at 340 kg/h x 1.04
    are 57 min 52 s of a slower run-in."""
    wait = section(cards.ground_contact(plan_of(NO_HOLD)), 0, "wait")
    assert ("11:57", "fuel of ship 2") in [(row[0][:5], row[2]) for row in wait.rows]
    assert "NOT CHECKED" not in box(plan_of(NO_HOLD))[2]


@pytest.mark.parametrize(
    ("mission", "latest"), [(REGATTA, "03:28:10"), ("missions/overcommitted.yaml", "13:26:43")]
)
def test_the_schedule_has_a_row_at_each_deadline(mission, latest):
    """The earliest SAY BY of the slips printed below it; the last call by the hold comes after all of them:
    in the regatta before leave-hold, 03:28:20.6, less the relay. Every later T of the overcommitted one is
    TOO LATE, so that its last is that of -30 s, worked again, on its own card."""
    plan = plan_of(mission)
    card = cards.ground_contact(plan)
    schedule = {row[3]: row[1] for row in section(card, 1, "schedule").rows}
    printed = [row[1] for row in section(card, 0, "slips").rows if row[1][:2].isdigit()]
    assert schedule["First SAY BY"] == min(printed)
    assert max(printed) <= schedule["Last by the hold"] <= latest


# ---------------------------------------------------------------- the kneeboard under its slips


@pytest.mark.parametrize("mission", [REGATTA, "missions/lantern-fair.yaml", "missions/founders-day.yaml"])
def test_the_kneeboard_says_until_when_each_slip_goes_as_the_ground_card_does(mission):
    """Its times are of the read-back, those of the ground card 10 s before it, the relay."""
    plan, day = plan_of(mission), "%H:%M:%S"
    ground = {
        (row, means, at)
        for row, cells in rows(plan).items()
        if cells[0]
        for means, at in re.findall(r"(worked again|by speed) to (\d\d:\d\d:\d\d)", cells[4])
    }
    note = slip_note(cards.kneeboard(plan, 1))
    ways = re.findall(r"(worked again|by speed) to ((?:\d\d:\d\d:\d\d \([^)]*\)(?:, )?)+)", note)
    board = {
        (
            row,
            means,
            (datetime.strptime(at, day) - timedelta(seconds=10)).strftime(day),
        )
        for means, ends in ways
        for at, named in re.findall(r"(\S+) \(([^)]*)\)", ends)
        for row in re.split(", | and ", named.replace(", inside the tolerance", ""))
    }
    assert board == ground != set()
    assert "at most" not in note


def test_a_flight_still_in_the_hold_leaves_it_unless_it_is_told_to_hold():
    """As on the kneeboard: leave-hold of the regatta is 03:28:20.6 Z, a moment that is flown."""
    lines = dict(section(cards.ground_contact(plan_of(REGATTA)), 0, "say").items)
    assert lines["Still in the hold:"] == (
        "the flight leaves it at 03:28:21 Z, cue or no cue, unless it is told HOLD; then it has no T until it"
        " has accepted one."
    )


@pytest.mark.parametrize(("mission", "relay"), [(REGATTA, "10 s"), ("missions/founders-day.yaml", "10 s")])
def test_why_its_times_are_not_those_of_the_flight_s_cards_is_said(mission, relay):
    """``relay_time`` of both files."""
    note = section(cards.ground_contact(plan_of(mission)), 0, "slips").note
    assert f"SAY BY and all times in the last column are {relay} before those of the flight's cards" in note


def test_the_first_cue_that_never_comes_has_its_words():
    """PARADE, 03:24:30, spreads by 10 s: missed from 03:24:51 on. 27.2 s late is the most that speed gives:
    HOLD from 03:24:58 on (tests/browser/test_clock_silence.py has the page's words), up to leave-hold,
    03:28:20.6, less the relay of 10 s. From 03:29:23 on nothing is told (same file)."""
    lines = dict(section(cards.ground_contact(plan_of(REGATTA)), 0, "say").items)
    assert lines["PARADE not heard, Z:"] == (
        "03:24:51 to 03:24:57: GANNET, PARADE NOT STARTED. 03:24:58 to 03:28:10: GANNET, PARADE NOT STARTED."
        " HOLD. Read-back: GANNET, HOLD. 03:28:11 to 03:29:22: GANNET, PARADE NOT STARTED. Return to the"
        " hold. Read-back: GANNET, returning to the hold."
    )


CANNON = "    CANNON: {says: Cannon, time: 14:26:30 event, spread: 6 s}\n    ANTHEM: {"


def test_every_cue_that_never_comes_has_its_words_in_the_order_of_the_script(tmp_path):
    """CANNON, 03:26:30, two minutes after PARADE, whose spread of 10 s it inherits: missed from :51 on, HOLD
    from 27.2 s late on, as for PARADE."""
    plan = changed(tmp_path, REGATTA, ("    ANTHEM: {", CANNON))
    lines = section(cards.ground_contact(plan), 0, "say").items
    told = [lead for lead, _ in lines if "not heard" in lead]
    assert told == ["PARADE not heard, Z:", "CANNON not heard, Z:", "ANTHEM not heard, Z:"]
    assert dict(lines)["CANNON not heard, Z:"] == (
        "03:26:51 to 03:26:57: GANNET, CANNON NOT STARTED. 03:26:58 to 03:28:10: GANNET, CANNON NOT STARTED."
        " HOLD. Read-back: GANNET, HOLD. 03:28:11 to 03:29:22: GANNET, CANNON NOT STARTED. Return to the"
        " hold. Read-back: GANNET, returning to the hold."
    )


def test_a_card_too_full_says_of_the_cues_between_first_and_last_only_what_follows_the_fact(tmp_path):
    plan = changed(tmp_path, REGATTA, ("    ANTHEM: {", CANNON))
    short, ends, last = [r for r in cards.ground_contact(plan).reductions[0] if r.name == "say"]
    assert "Between two rows:" not in dict(last.instead.items)
    assert [lead for lead, _ in ends.instead.items if "not heard" in lead] == [
        "PARADE not heard, Z:",
        "ANTHEM not heard, Z:",
    ]
    lines = dict(short.instead.items)
    assert lines["CANNON not heard, Z:"] == (
        "03:26:51 to 03:26:57: only that. 03:26:58 to 03:28:10: HOLD. 03:28:11 to 03:29:22: Return to the"
        " hold."
    )
    assert short.said == "of the cues between first and last the words after NOT STARTED only"
    whole = dict(section(cards.ground_contact(plan), 0, "say").items)
    assert {lead: said for lead, said in lines.items() if lead != "CANNON not heard, Z:"} == {
        lead: said for lead, said in whole.items() if lead != "CANNON not heard, Z:"
    }


@pytest.mark.parametrize(
    ("edits", "told"),
    [
        ((), True),
        ((("spread: 4 s, ", ""),), False),  # without a spread the rest is nominal
        (((", marks: {LINE2: 24 s, LINE4: 70 s}", ""),), False),
    ],
)
def test_what_a_late_mark_does_to_t_stands_under_the_script(tmp_path, edits, told):
    plan = changed(tmp_path, REGATTA, *edits)
    note = section(cards.ground_contact(plan), 1, "script").note
    words = "A mark heard late moves T by more than that: the rest is taken to run as slow."
    assert (words in note) == told


@pytest.mark.parametrize(
    ("name", "told"),
    [  # of the rows' own times, as they stand where there is room, the earliest; of one row its own
        (REGATTA, "Told later: worked again to 03:25:48 at least. "),
        ("missions/overcommitted.yaml", "Told later: worked again to 13:26:36. "),
        # what gives some slips alone says which, or it would be read of every one
        (
            "missions/founders-day.yaml",
            "Told later: worked again to 18:13:02 at least, by speed to 18:16:49 (+30 s). ",
        ),
        (
            "missions/lantern-fair.yaml",
            "Told later: worked again to 12:32:06 at least, by speed to 12:37:32 at least (-30 s inside the"
            " tolerance, +30 s). ",
        ),
    ],
)
def test_a_full_card_says_until_when_every_row_still_goes_at_least(name, told):
    reductions = cards.kneeboard(plan_of(name), 1).reductions[1]
    first, *_ = (each for each in reductions if each.name == "notes")
    assert told in first.instead.items[0][1]


def test_a_contact_that_only_keeps_its_place_is_left_to_be_written(tmp_path):
    """An empty cell, as of a party without one: nobody can be reached at TBD."""
    plan = changed(tmp_path, REGATTA, ("contact: 123.400 MHz", "contact: TBD"))
    assert section(cards.ground_contact(plan), 1, "parties").rows[0][3] == ""


@pytest.mark.parametrize("mission", [REGATTA, "missions/founders-day.yaml", "missions/lantern-fair.yaml"])
def test_the_words_to_say_and_to_stop_stand_on_the_side_of_the_slips(mission):
    front = cards.ground_contact(plan_of(mission)).sides[0][1]
    assert None not in [front[name] for name in ("times", "stop", "slips", "wait", "say", "changes")]


@pytest.mark.parametrize(
    ("mission", "said"),
    [
        (  # LINE2, 24 s into ANTHEM, 03:28:06: 03:28:30, late by more than 3 s at :34; LINE4, 70 s: 03:29:16
            REGATTA,
            ("03:28:34 to ", "LINE2 NOT HEARD.", "03:29:20 to 03:29:22: GANNET, LINE4 NOT HEARD.", "ABORT"),
        ),
        (  # TURN, 45 s into PIPES, 13:30:00: more than 3 s late at 13:30:49
            "missions/overcommitted.yaml",
            ("13:30:49 to 13:30:50: PINTAIL, TURN NOT HEARD. Go home.", "PINTAIL ABORT ABORT"),
        ),
    ],
)
def test_a_ceremony_that_stops_has_its_words(mission, said):
    card = cards.ground_contact(plan_of(mission))
    found = " ".join(words for _, words in section(card, 1, "stops").items)
    assert all(part in found for part in said)
    assert "CEREMONY STOPS:" in dict(section(card, 0, "say").items)


def test_no_ceremony_stops_where_t_hangs_on_no_cue():
    card = cards.ground_contact(plan_of("missions/three-harbours.yaml"), "DUNWATER")
    assert all(section(card, side, "stops") is None for side in range(1, len(card.sides), 2))
    said = [section(card, side, "say") for side in range(0, len(card.sides), 2)]
    assert not any(lead.startswith("CEREMONY STOPS") for lines in said if lines for lead, _ in lines.items)


@pytest.mark.parametrize(
    ("mission", "between", "marked"),
    [
        # PARADE, 03:24:30, a minute late is 03:25:30, after 03:25:16; half a minute late 03:25:00, before it
        (REGATTA, True, {"+1 min", "+2 min", "+3 min", "+5 min", "+10 min"}),
        # SPEECH, 12:33:00: 30 s early 12:32:30, after 12:31:03; +3 min is 12:36:00, before 12:36:56
        (LANTERN, True, {"-30 s", "+1 min", "+5 min"}),
        # BLESSING, 13:26:00, a minute early is 13:25:00, before 13:25:43; no two rows with a time
        ("missions/overcommitted.yaml", False, set()),
    ],
)
def test_between_rows_and_rows_that_no_cue_tells_of_have_their_rule(mission, between, marked):
    card = cards.ground_contact(plan_of(mission))
    slips, lines = section(card, 0, "slips"), dict(section(card, 0, "say").items)
    assert ("Between two rows:" in lines) == between
    assert {row[0].removesuffix(" *") for row in slips.rows if row[0].endswith(" *")} == marked
    assert ("Rows with *:" in lines) == bool(marked)
