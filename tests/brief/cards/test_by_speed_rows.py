"""The rows of a flight without a hold: what can be told of a change by speed, one set for all products."""

from __future__ import annotations

from datetime import timedelta

from briefgen.brief.cards import cards
from briefgen.brief.slides.view.view import make_view
from briefgen.plan.build import make_plan
from tests.brief.cards.test_cards import NO_HOLD, edited, seconds, section
from tests.planned import REPOSITORY, load_mission, plan_of
from tests.render.pdf_cases import STAMP

RELAY_S = 10.0
# taken off when the way without the hold asks for it: else it waits before the IP, for which it lacks fuel
ON_TIME = (*NO_HOLD, ("ground_ops.takeoff", ""))


def test_a_flight_without_a_hold_has_a_table_of_what_speed_gives():
    """SAY BY is the moment of the plan less the relay of 10 s, cut to the second; more than speed gives once
    the anthem is heard, and the tolerance of 5 s, is UNABLE. The anthem as planned is read back before the
    IP, late by 15 s or 29 s 3 s after it, where speed gives no less yet."""
    plan = edited(*ON_TIME)
    found = section(cards.ground_contact(plan), 0, "slips")
    early_s, late_s = -plan.event.reach_s[0][0], plan.event.reach_s[0][1]
    most = f"{int(late_s + 5)} s"  # more than 15 s and less than the next row, 30 s
    assert [row[0] for row in found.rows] == ["5 s", "10 s", "15 s", most]
    assert [row[1:3] for row in found.rows if "*" in "".join(row)] == [
        ("03:28:33 *", "03:29:14"),  # 10 s early of 5.8 s, late of 24.5 s
        ("UNABLE", found.rows[3][2]),
    ]
    for row, exact in zip(found.rows, plan.event.last_updates, strict=True):
        for text, until in ((row[1], exact.early_until), (row[2], exact.late_until)):
            assert (
                text == "UNABLE"
                if until is None
                else 0
                <= (
                    until - timedelta(seconds=RELAY_S) - on_the_day(until, text.removesuffix(" *"))
                ).total_seconds()
                < 1
            )
    assert (
        f"at most {int(early_s + 5)} s earlier or {int(late_s + 5)} s later, inside the tolerance, told once"
        " ANTHEM is heard, which is early or late itself."
        in found.note
        and "SAY BY: begin to read it out then at the latest; *: inside the tolerance." in found.note
    )


def test_without_a_hold_both_cards_and_the_deck_have_the_same_rows():
    """12 s early and 45 s late are accepted: 15 s early and 60 s late are told nowhere, 30 s and 45 s late
    everywhere. The relay of 10 s stands between the ground contact's time and the flight's."""
    accepted = ("event.accept_slip", "{early: 12 s, late: 45 s}")
    plan, _ = make_plan(load_mission(REPOSITORY / "tests" / "data" / "no-hold.yaml", [accepted])[0])
    pilot = {row[0]: row[-1] for row in section(cards.kneeboard(plan, 1), 1, "slips").rows}
    ground = {row[0]: row[1:3] for row in section(cards.ground_contact(plan), 0, "slips").rows}
    tables = make_view(plan, STAMP).tables
    deck = {row[0].text: (row[1].text, row[2].text) for row in tables["updates"].rows}
    speeds = {row[0].text: row[1].text for row in tables["speed_fixes"].rows}
    assert list(ground) == list(deck) == ["5 s", "10 s", "15 s", "30 s", "45 s", "1 min", "1 min 42 s"]
    for told, (early, late) in ground.items():
        assert speeds[f"{told} earlier"].endswith("KGS") is early.startswith("10:")
        assert speeds[f"{told} later"].endswith("KGS") is late.startswith("10:")
        if late.startswith("10:"):
            assert seconds(pilot[f"SLOW {told}"]) == seconds(deck[told][1]) == seconds(late) + RELAY_S
    assert [ground[told][0] for told in ("15 s", "30 s", "45 s", "1 min")] == ["TOO EARLY"] * 4
    assert [ground[told][1] for told in ("1 min", "1 min 42 s")] == ["TOO LATE"] * 2
    assert pilot["FAST 15 s to 1 min"] == "TOO EARLY" and pilot["SLOW 1 min to 1 min 42 s"] == "TOO LATE"


def test_without_a_hold_the_pilot_has_a_table_of_speeds_from_the_ip():
    """The regatta's run-in from 300 KGS, changed at the IP at 2.5 kt/s faster and 1.5 slower and then held:
    the distance to the change of speed and at the new one is the run-in's, in the planned time of T - IP and
    the change."""
    plan = edited(*ON_TIME)
    event, table = plan.event, section(cards.kneeboard(plan, 1), 1, "slips")
    planned_s = (event.true_time - event.ip_time).total_seconds()
    found = {row[0]: row[1:] for row in table.rows}
    assert list(found) == [
        "FAST 15 s to 29 s", "FAST 10 s, inside the tolerance", "FAST 5 s",
        "SLOW 5 s", "SLOW 10 s", "SLOW 15 s", "SLOW 29 s, inside the tolerance",
    ]  # fmt: skip
    assert found.pop("FAST 15 s to 29 s") == ("", "UNABLE")
    # as fast, and as slow, as the run-in's window is wide, be it told at once or at the last moment
    assert found.pop("FAST 10 s, inside the tolerance") == ("425", "03:28:43")
    assert found.pop("SLOW 29 s, inside the tolerance")[0] == "270"
    for name, (gs, told_by) in found.items():
        change_s = (-1 if name.startswith("FAST") else 1) * int(name.split()[1])
        at_ip, *last = [int(kt) for kt in gs.split(" to ")]
        after_s = (on_the_day(event.true_time, told_by) - event.ip_time).total_seconds()
        pushed = after_s > (event.push.at - event.ip_time).total_seconds()  # then no longer at 300 KGS
        for held_kt, told_s in ((at_ip, 0.0), *((kt, after_s) for kt in last if not pushed)):
            left_s, rate = planned_s + change_s - told_s, 2.5 if held_kt > 300 else 1.5
            change = abs(held_kt - 300) / rate
            changing_nm = abs(held_kt**2 - 300**2) / (7200 * rate)
            flown_nm = 300 / 3600 * told_s + changing_nm + held_kt / 3600 * (left_s - change)
            # a knot over the time flown, as it is printed, and a second, to which "told by" is cut
            assert abs(flown_nm - event.run_in.distance_nm) < 1.0 / 3600 * left_s + 100 / 3600
        assert last
        assert seconds(told_by) <= seconds("03:29:32")  # T - 30 s: abort only


def on_the_day(day, clock: str):
    h, m, s = (int(part) for part in clock.split(":"))
    return day.replace(hour=h, minute=m, second=s, microsecond=0)


def test_after_a_hold_the_pilot_has_the_speeds_that_the_push_table_does_not_know():
    """What the slides have of it, which tests/test_worked_by_hand.py works out: their last moments, and then
    all of it, give way on a full card, which then names them."""
    plan = plan_of("missions/founders-day.yaml")
    card, tables = cards.kneeboard(plan, 1), make_view(plan, STAMP).tables
    deck = {row[0].text: row[1].text for row in tables["speed_fixes"].rows}
    until = {row[0].text: (row[1].text, row[2].text) for row in tables["updates"].rows}
    rows = section(card, 1, "speeds").items
    ways = [(-15, "FAST 15 s"), (-10, "FAST 10 s"), (-5, "FAST 5 s")]
    ways += [(5, "SLOW 5 s"), (10, "SLOW 10 s"), (15, "SLOW 15 s")]
    assert [name for name, _ in rows] == [*(name for _, name in ways), "KGS"]
    for change_s, name in ways:
        early = change_s < 0
        kgs = deck[f"{abs(change_s)} s {'earlier' if early else 'later'}"].removesuffix(" KGS")
        last = until[f"{abs(change_s)} s"][0 if early else 1]
        assert dict(rows)[name] == f"{kgs} by {last}"
    short, gone = (r for r in card.reductions[1] if r.name == "speeds")
    assert all(" by " not in said for _, said in short.instead.items)
    assert (short.only, gone.only) == ("until when speed is told", "told speeds")


def test_speeds_too_early_for_the_flight_are_not_offered():
    """missions/start.yaml accepts 0 s early and 5 min late."""
    rows = dict(section(cards.kneeboard(plan_of("missions/start.yaml"), 1), 1, "speeds").items)
    assert rows["FAST 5 s to 15 s"] == "TOO EARLY" and "SLOW 5 s" in rows
