"""Each deadline that a table of slips prints, asked of ``briefgen retime`` a second before it, on it, and a
second after: the deck, the flight's card and the ground contact's card say the same of a slip as the answer.

The tables are read back as printed; the ground contact's are a relay earlier.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.slip_table import slip_short
from briefgen.brief.slides.view.view import make_view
from briefgen.brief.wording.wait_limits import BY_SPEED, slip_words
from briefgen.plan.build import make_plan
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.waits import IN_TWO, no_call
from briefgen.plan.model import SlipRow
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan
from briefgen.retime.answer import Retimed, Wanted, retime
from briefgen.retime.story import ReadBack
from tests.brief.briefs import STAMP
from tests.brief.cards.reading import slip_note
from tests.brief.cards.test_cards import section
from tests.planned import REPOSITORY, load_mission

SECOND = timedelta(seconds=1)
BY_HAND = "tests/cases/ok-by-hand.yaml"
SLIP = (("event.accept_slip", "{early: 60 s, late: 10 min}"),)
STRAIGHT_THROUGH = (
    ("ground_ops.takeoff", ""),
    ("event.pass.hold.planned", "90 s"),
    ("event.pass.hold.minimum", "0 s"),
)
HELICOPTERS = (
    ("event.pass.hold.speed", "60 KTAS"),
    ("event.pass.hold.bank", "15 deg"),
    ("event.pass.run_in.speed", "60 KGS"),
    ("event.pass.run_in.minimum_speed", "40 KGS"),
    ("event.pass.push_up_to", "90 KGS"),
    ("event.pass.egress.speed", "90 KGS"),
    ("aircraft.counter.speed_limits", "{minimum: 30 KCAS, maximum: 140 KCAS}"),
    ("departure.1.speed", "120 KTAS"),
    ("transit.1.speed", "100 KTAS"),
    ("recovery.legs.1.speed", "100 KTAS"),
    ("ground_ops.takeoff", ""),
    ("ground_ops.report", "0930 Z"),
    ("training", ""),
)
NORTHERLY = (
    (
        "weather.winds",
        "[{level: 0 ft MSL, wind: 000T/45kt, temperature: 15 C},"
        " {level: 20000 ft MSL, wind: 000T/45kt, temperature: -24 C}]",
    ),
)
BARE = re.compile(r"(?<!to )(?<!:)\b(?=\d\d:)")  # before a clock with no words
ALONE = "flown by speed alone"
CLOCK = re.compile(r"\d\d:\d\d:\d\d")


def near(text: str, at: datetime) -> datetime | None:
    """The printed clock nearest to an instant; None where no clock is printed."""
    found = CLOCK.search(text)
    if found is None:
        return None
    day = datetime.fromisoformat(f"{at:%Y-%m-%d}T{found[0]}").replace(tzinfo=UTC)
    return min((day + timedelta(days=days) for days in (-1, 0, 1)), key=lambda one: abs(one - at))


def asked(whole: Plan, seen: Plan, slip_s: float, read_back: datetime) -> Retimed:
    """A slip told at a moment, every cue of the script heard as much early or late."""
    event = seen.event
    change = timedelta(seconds=slip_s)
    parts = {part.cue for part in script_parts(event.section)}
    heard = [(cue.id, cue.at + change) for cue in event.cues if cue.id in parts]
    answer, found = retime(whole, Wanted(event.true_time + change, read_back, heard), event)
    assert answer is not None, [d.message for d in found]
    return answer


def flown_as(answer: Retimed) -> str:
    """How the answer flies a slip, as a table words it; empty where it doesn't."""
    if answer.kind in ("fast", "slow"):
        return "by speed"
    if answer.kind != "new time":
        return ""
    return "as printed" if answer.times.laps == "as printed" else "worked again"


ORDER = ("as printed", "worked again", "by speed", "")


def wrong_ends(whole: Plan, seen: Plan, row: SlipRow, ends: dict[str, datetime]) -> Iterator[str]:
    """What the answers say otherwise than the ends that a table prints of a slip."""
    slip_s = row.slip_s
    for means, end in ends.items():
        for off_s in (-1, 0, 1):
            said = flown_as(asked(whole, seen, slip_s, end + off_s * SECOND))
            as_wanted = said == means if off_s <= 0 else ORDER.index(said) > ORDER.index(means)
            if not as_wanted:
                yield f"{slip_s:+g} s, {means} to {end:%H:%M:%S}, asked {off_s:+d} s: {said or 'not at all'}"


def ends_of(at: datetime, told_by: str, then: str, *, by_speed: bool) -> dict[str, datetime]:
    """Until when each way goes, by the words of a row: its own time, and those of what goes after it."""
    words = {"by speed" if by_speed else "as printed": told_by}
    for means in ("worked again", "by speed"):
        found = re.search(rf"{means} to (\S+)", then)
        words |= {} if found is None else {means: found[1]}
    return {means: clock for means, text in words.items() if (clock := near(text, at)) is not None}


def ends_in_deck(seen: Plan) -> dict[str, dict[str, datetime]]:
    """Its last column is headed "Worked again to"."""
    rows, at = make_view(seen, STAMP).tables["slips"].rows, seen.event.true_time
    return {
        head: ends_of(at, told_by, re.sub(BARE, "worked again to ", then), by_speed=laps == BY_SPEED)
        for head, *_, laps, _, _, told_by, then in ([cell.text for cell in row] for row in rows)
        if told_by != IN_TWO
    }


def ends_on_card(seen: Plan) -> dict[str, dict[str, datetime]]:
    """The row's own alone: what goes after it stands in the note. The hour stands in the head where all have
    one."""
    table, at = section(cards.kneeboard(seen, 1), 1, "slips"), seen.event.true_time
    hour = re.search(r"\d\d:$", table.heads[-1])
    told = {row[0]: f"{hour[0]}{row[-1]}" if hour else row[-1] for row in table.rows}
    return {row[0]: ends_of(at, told[row[0]], "", by_speed=row[3] == BY_SPEED) for row in table.rows}


def ends_on_the_ground(seen: Plan) -> dict[str, dict[str, datetime]]:
    """As read back: a relay later than they are said by. ``*``: no cue is heard in time for it."""
    rows, at = section(cards.ground_contact(seen), 0, "slips").rows, seen.event.true_time
    relay = timedelta(seconds=seen.mission.events[0].relay_s)
    said = {
        row[0].removesuffix(" *"): ends_of(at, row[1], row[-1], by_speed=row[-1].endswith(ALONE))
        for row in rows
        if row[2] != IN_TWO
    }
    return {head: {means: by + relay for means, by in ends.items()} for head, ends in said.items()}


FLOWN = [
    ("missions/lantern-fair.yaml", ()),
    ("missions/twin-fields.yaml", ()),
    ("tests/cases/ok-trainer.yaml", ()),  # turns of 3 deg/s: a deadline lies on a whole second
    ("missions/start.yaml", (("event.pass.abort_only_after", "T-150 s"),)),  # FAST 30 s: to T-180 s
    (BY_HAND, (*SLIP, ("event.relay_time", ""))),
    (BY_HAND, (*SLIP, *STRAIGHT_THROUGH)),
    (BY_HAND, (*SLIP, *HELICOPTERS)),
    (BY_HAND, (*SLIP, *HELICOPTERS, *NORTHERLY)),  # SLOW 15 s is the bias, until the push begins
]


@pytest.mark.parametrize(("name", "edits"), FLOWN)
def test_retime_meets_a_printed_slip_until_its_deadline_and_no_second_longer(name, edits):
    mission, found = load_mission(REPOSITORY / name, edits)
    assert mission is not None, [d.message for d in found]
    whole, _ = make_plan(mission)
    for seen in (seen for seen in each_pass(whole) if seen.event.hold is not None):
        deck = ends_in_deck(seen)
        called = {slip_words(row): row for row in seen.event.slips if not no_call(seen, row.slip_s)}
        assert any(deck[head] for head in called if head in deck)
        wrong = [
            each for head, row in called.items() for each in wrong_ends(whole, seen, row, deck.get(head, {}))
        ]
        assert wrong == []


@pytest.mark.parametrize(("name", "edits"), FLOWN)
def test_deck_and_cards_print_the_same_deadlines(name, edits):
    whole, _ = make_plan(load_mission(REPOSITORY / name, edits)[0])
    if len(whole.passes) > 1:
        return
    deck, board, ground = (ends(whole) for ends in (ends_in_deck, ends_on_card, ends_on_the_ground))
    for row in whole.event.slips:
        head = slip_words(row)
        if not no_call(whole, row.slip_s) and deck.get(head):
            assert ground[head] == deck[head], head
            first = dict(list(deck[head].items())[:1])
            assert board[slip_short(row)] == first, head


def test_a_slip_that_speed_gives_inside_the_tolerance_is_printed_as_it_is_answered():
    """Lantern-fair, T 30 s earlier: from leave-hold on speed gives 29.2 s, the tolerance is 5 s."""
    whole, _ = make_plan(load_mission(REPOSITORY / "missions/lantern-fair.yaml")[0])
    row = next(row for row in whole.event.slips if row.slip_s == -30.0)
    assert round(row.speed_short_s, 1) == 0.8
    answer = asked(whole, whole, -30.0, whole.event.hold.leave)
    assert (answer.kind, round(answer.short_s, 1)) == ("fast", 0.8)
    (cells,) = [row for row in section(cards.ground_contact(whole), 0, "slips").rows if row[0] == "-30 s *"]
    assert cells[-1].endswith("by speed to 12:37:22, inside the tolerance")


# Lantern-fair: by laps T goes up to 90.0 s later and again from 129.4 s on, down to 43.9 s earlier and again
# from 150.3 s on (flyable_waits_s); by speed 29.2 s earlier. Each is taken from the nearest whole second.
@pytest.mark.parametrize(
    ("slip_s", "first_s", "rest_s"),
    [(-60, -43, -17), (100, 90, 10), (110, 130, -20), (120, 130, -10), (129, 132, -3), (-100, None, 0)],
)
def test_what_laps_and_speed_give_together_is_told_in_two_calls(slip_s, first_s, rest_s):
    """3 s is the least that is called; 100 s earlier lies 50 s off either end, more than speed gives."""
    whole, _ = make_plan(load_mission(REPOSITORY / "missions/lantern-fair.yaml")[0])
    before = whole.event.hold.arrival - timedelta(minutes=5)
    answer = asked(whole, whole, slip_s, before)
    if first_s is None:
        assert (answer.kind, answer.rest_s) == ("unable", 0.0)
        return
    assert (answer.kind, answer.change_s, answer.rest_s) == ("new time", first_s, rest_s)
    assert answer.times.true_time == whole.event.true_time + timedelta(seconds=first_s)
    # the first read back, the rest is met by speed once the flight has left the hold
    event, target = whole.event, whole.event.true_time + timedelta(seconds=slip_s)
    heard = [
        (cue.id, cue.at + timedelta(seconds=slip_s))
        for cue in event.cues
        if cue.id in {part.cue for part in script_parts(event.section)}
    ]
    told = max(answer.times.leave_hold, heard[-1][1] + timedelta(seconds=event.section.event.relay_s))
    second, found = retime(whole, Wanted(target, told, heard, earlier=[ReadBack(first_s, before)]), event)
    assert found == []
    assert (second.kind, second.change_s) == ("fast" if rest_s < 0 else "slow", rest_s)


def test_a_row_in_two_calls_says_the_same_on_card_deck_and_ground_card():
    whole, _ = make_plan(load_mission(REPOSITORY / "missions/lantern-fair.yaml")[0])
    until = asked(whole, whole, 120.0, whole.event.hold.arrival - timedelta(minutes=5)).until
    last = until.replace(microsecond=0)
    assert asked(whole, whole, 120.0, last).rest_s == -10.0
    assert asked(whole, whole, 120.0, last + SECOND).rest_s != -10.0
    how = f"laps +2 min 10 s by {last:%H:%M:%S}, then FAST 10 s"
    said = f"{until - timedelta(seconds=10):%H:%M:%S}"
    deck = make_view(whole, STAMP).tables["slips"].rows
    (row,) = [[cell.text for cell in row] for row in deck if row[0].text == "+2 min"]
    assert row[-2:] == ["IN TWO CALLS", how]
    (row,) = [row for row in section(cards.ground_contact(whole), 0, "slips").rows if row[0] == "+2 min"]
    assert (*row[1:3], row[-1]) == (said, "IN TWO CALLS", "laps +2 min 10 s, then FAST 10 s")
    board = section(cards.kneeboard(whole, 1), 1, "slips")
    (row,) = [row for row in board.rows if row[0] == "+2 min"]
    assert "IN TWO CALLS" in row and how in slip_note(cards.kneeboard(whole, 1))
    assert "UNABLE" not in {cell for row in board.rows for cell in row}
