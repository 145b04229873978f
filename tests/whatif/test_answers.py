"""What each change of the list does, against plain arithmetic on the mission as written."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from briefgen.brief.wording.whatif import lines_of, slide_lines, whatif_table
from briefgen.mission.edit.changes import without_ship
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import fly, make_plan
from briefgen.whatif.answers import what_if
from briefgen.whatif.cases import in_brief
from tests.flow_texts import three_passes
from tests.planned import load_mission, plan_of_text, what_if_in
from tests.whatif.whatif_missions import MISSIONS, asked, flown, mission

ALL = ("regatta", "lantern-fair", "founders-day", "overcommitted", "start")


def answer(name: str, id: str):
    return next(a for a in asked(name).answers if a.id == id)


def only(*ids: str):
    """Of the changes of the list, those that a test asks about."""
    return lambda case, _: case.id in ids


def edited(name: str, *edits: tuple[str, str]):
    changed, problems = load_mission(MISSIONS / f"{name}.yaml", edits)
    assert changed is not None, [p.message for p in problems]
    return changed


def test_the_whole_list_in_its_order():
    assert [a.id for a in asked("regatta").answers] == [
        *(f"takeoff-late-{m * 60}" for m in (5, 10, 15, 20, 30)),
        "joker-early",
        *(f"ceremony-{s}" for s in (-60, -30, 30, 60, 120, 180, 300, 600)),
        *(f"ships-out-{n}" for n in (1, 2, 3, 4)),
        "ships-out-1-3",
        "no-training", "no-flypast", "cancelled-in-area", "slower", "low-cloud", "no-contact",
    ]  # fmt: skip
    assert [(d.where, d.place.id) for d in asked("regatta").diverts] == [
        (w, p) for w in ("area", "hold", "centre") for p in ("EASTLEA", "HARTWELL")
    ]


# ---------------------------------------------------------------- take-off late


@pytest.mark.parametrize(
    ("minutes", "setups", "hold_s"), [(5, 3, 873), (10, 3, 573), (15, 3, 273), (20, 2, 633), (30, 1, 693)]
)
def test_takeoff_late_takes_setups_out_until_the_hold_is_long_enough(minutes, setups, hold_s):
    """As written the regatta holds 512.8 s with 4 set-ups of 660 s, and the shortest hold is 240 s: late by L
    with n set-ups it holds 512.8 - L + 660 (4 - n); n is the most with which that is at least 240."""
    by_hand = {n: 512.8 - 60 * minutes + 660 * (4 - n) for n in range(5)}
    assert max(n for n, hold in by_hand.items() if hold >= 240) == setups
    late = answer("regatta", f"takeoff-late-{60 * minutes}")
    assert (late.after.setups, late.after.bound) == (setups, "time" if setups < 4 else "planned")
    assert late.after.hold_s == pytest.approx(
        by_hand[setups], abs=0.1
    ) and late.after.hold_s == pytest.approx(hold_s, abs=0.5)
    assert late.time_kept and late.after.true_time == datetime(2027, 1, 30, 3, 30, 2, tzinfo=UTC)


def test_takeoff_late_is_the_plan_of_the_file_with_that_takeoff():
    """The same through the text of the file, with the set-ups typed: the figures of the products."""
    late = answer("regatta", "takeoff-late-900").after
    plan, _ = make_plan(
        edited("regatta", ("ground_ops.takeoff", "02:22:00 Z"), ("training.setups.planned", "3"))
    )
    assert plan.clock.takeoff == late.takeoff and plan.event.hold.wait_s == late.hold_s
    assert (plan.fuel.lowest_landing, plan.fuel.lowest_landing_ship) == (
        late.lowest_landing,
        late.lowest_ship,
    )


def test_no_more_setups_than_planned():
    """Two set-ups planned where four fit: a change never adds any, and says that it took none away."""
    found = what_if_in(
        edited("regatta", ("training.setups.planned", "2"), ("event.pass.hold.maximum", "60 min")),
        only("takeoff-late-300"),
    )
    late = next(a for a in found.answers if a.id == "takeoff-late-300")
    assert (late.after.setups, late.after.bound) == (2, "planned")


def test_a_time_that_cant_be_kept_says_so():
    """start: the least training takes the flight to the hold 540.6 s before leave-hold when 20 min late, so
    30 min late it is 59.4 s after it: the transit from 7000 to 2500 ft, flown in the air of 4750 ft, gains
    0.6 s on the wind of 2500 ft."""
    late = answer("start", "takeoff-late-1800")
    assert late.time_kept is False and late.after.hold_s == pytest.approx(540.6 - 600, abs=0.1)
    assert "can't be met" in next(line for line in lines_of(asked("start")) if line.id == late.id).outcome


# ---------------------------------------------------------------- after the training


def test_joker_one_setup_early():
    early, before = answer("regatta", "joker-early").after, asked("regatta").before
    assert (early.setups, early.takeoff) == (before.setups - 1, before.takeoff)
    assert early.hold_s == pytest.approx(before.hold_s + 11 * 60)


@pytest.mark.parametrize("slip_s", [-60, -30, 30, 60, 120, 180, 300, 600])
def test_ceremony_slips_move_the_hold_alone(slip_s):
    moved, before = answer("regatta", f"ceremony-{slip_s}"), asked("regatta").before
    assert moved.after.hold_s == pytest.approx(before.hold_s + slip_s)
    assert (moved.after.setups, moved.after.takeoff) == (before.setups, before.takeoff)
    assert moved.after.true_time - before.true_time == timedelta(seconds=slip_s)


def test_ten_minutes_later_costs_ten_minutes_in_the_hold():
    """1300 lb/h x 10 min x 1.06 is 229.67 lb more for ship 4; printed in steps of 10, at most one step
    off."""
    later, before = answer("regatta", "ceremony-600").after, asked("regatta").before
    assert before.lowest_landing - later.lowest_landing == pytest.approx(229.67, abs=10)


# ---------------------------------------------------------------- fewer ships


@pytest.mark.parametrize(
    ("id", "ships", "formation", "thirstiest"),
    [  # fall_outs of the file: 3 leads after 1, vic each time; factors 1.00, 1.04, 1.02, 1.06
        ("ships-out-1", (3, 2, 4), "vic", 4),
        ("ships-out-2", (1, 3, 4), "vic", 4),
        ("ships-out-3", (1, 2, 4), "vic", 4),
        ("ships-out-4", (1, 2, 3), "vic", 2),
        ("ships-out-1-3", (2, 4), "vic", 4),  # nobody else can lead: the first that is left
    ],
)
def test_ships_out(id, ships, formation, thirstiest):
    after = answer("regatta", id).after
    assert (after.ships, after.formation, after.thirstiest) == (ships, formation, thirstiest)


@pytest.mark.parametrize(
    ("can_lead", "said"),
    [
        ("yes", "ship 2 leads,"),
        ("no", "ship 2 first, MAY NOT LEAD,"),
        ("", "ship 2 leads (may lead: NOT CHECKED),"),
    ],
)
def test_a_ship_that_comes_first_is_not_taken_for_one_that_may_lead(can_lead, said):
    found = what_if_in(edited("regatta", ("flight.2.can_lead", can_lead)), only("ships-out-1-3"))
    assert said in next(line.outcome for line in lines_of(found) if line.id == "ships-out-1-3")


def test_fewer_than_minimum_ships_and_the_pass_is_off():
    found = what_if_in(
        edited("regatta", ("event.pass.minimum_ships", "3")), only("ships-out-2", "ships-out-1-3")
    )
    one, two = (next(a for a in found.answers if a.id == id) for id in ("ships-out-2", "ships-out-1-3"))
    assert not one.pass_off and one.time_kept
    assert two.pass_off and two.after.true_time is None and two.time_kept is None
    line = next(line for line in lines_of(found) if line.id == two.id)
    assert "the pass is off (fewer than 3 ships)" in line.outcome and line.worse


def test_offsets_are_taken_from_the_new_leader():
    """Ship 3 sat 60 ft left and 40 ft back of ship 1, ship 2 30 ft right and 30 ft back: from ship 3 ship 2
    is 90 ft right and 10 ft ahead."""
    offsets = (
        "[{ship: 2, right: 30 ft, back: 30 ft, down: 10 ft}, {ship: 3, right: -60 ft, back: 40 ft}, {ship: 4,"
        " right: 60 ft, back: 60 ft}]"
    )
    edits = [
        ("event.pass.run_in.formation", ""),
        ("event.pass.run_in.spacing", ""),
        ("event.pass.run_in.step_down", ""),
    ]
    edits += [("event.pass.run_in.offsets", offsets), ("contingencies.fall_outs", "{1: {leads: 3}}")]
    run_in = without_ship(edited("regatta", *edits), 1).file.event.pass_.run_in
    assert [(o.ship, o.right, o.back, o.down) for o in run_in.offsets] == [(2, 90, -10, 10), (4, 120, 20, 0)]


def test_a_fall_out_that_names_a_ship_which_is_out_too_names_nobody():
    assert without_ship(mission("regatta"), 3).file.contingencies.fall_outs[1].leads is None


# ---------------------------------------------------------------- less than the whole sortie


def test_no_training_takes_off_for_the_planned_hold():
    after = answer("regatta", "no-training").after
    assert after.setups is None and after.hold_s == pytest.approx(9 * 60, abs=1.0)
    assert after.takeoff > asked("regatta").before.takeoff


def test_no_flypast_may_fly_more_and_cancelled_in_the_area_flies_what_was_planned():
    more, planned = answer("regatta", "no-flypast").after, answer("regatta", "cancelled-in-area").after
    assert (more.setups, planned.setups) == (5, 4) and more.true_time is planned.true_time is None
    # one set-up of 400 lb x 1.06 = 424 lb more, each landing fuel down to 10 lb
    assert planned.lowest_landing - more.lowest_landing in (420, 430)


def test_low_cloud_goes_home_from_the_hold():
    """Without the way out to the centre and the egress it lands with more than with the pass; and not
    later."""
    after, before = answer("regatta", "low-cloud"), asked("regatta").before
    assert after.until == flown("regatta").the_pass.hold.leave
    assert (
        after.after.lowest_landing > before.lowest_landing and after.after.last_landing < before.last_landing
    )


@pytest.mark.parametrize("name", ["regatta", "lantern-fair", "founders-day", "start"])
def test_no_ground_contact_lands_with_what_is_required(name):
    """Without any other limit of T the flight stays until its gauge shows the bingo: from there every ship
    lands with its landing fuel, and little more."""
    unlimited = edited(
        name,
        ("event.accept_slip", ""),
        ("event.permission", ""),
        ("event.pass.hold.maximum", "10 h"),
        ("limits.land_before_sunset", ""),
    )
    base, _ = fly(unlimited, tables=False)
    stayed = next(a for a in what_if_in(unlimited, lambda case, _: False).answers if a.kind == "no-contact")
    assert stayed.until <= base.fuel.go_home and not {gate.id for gate in stayed.failing} & {
        "landing-fuel",
        "landing-emergency",
    }
    required = max(int(t.printed or 0) for s in base.fuel.ships for t in s.tiers if t.id == "normal_landing")
    assert stayed.after.lowest_landing >= required


def test_without_ground_contact_the_flight_does_what_is_briefed():
    """start: 60 s before leave-hold it goes home, or stays until its go-home time; not typed, nobody knows,
    and the key is named."""

    def told(then):
        sortie, _ = fly(edited("start", ("contingencies.no_ground_contact.then", then)), tables=False)
        return (
            next(
                a for a in what_if_in(sortie.mission, lambda case, _: False).answers if a.kind == "no-contact"
            ),
            sortie,
        )

    (home, sortie), (unsaid, _) = told("go home"), told("")
    assert home.until == sortie.the_pass.hold.leave - timedelta(seconds=60) and not home.stays
    assert unsaid.unknown and "contingencies.no_ground_contact.then" in unsaid.problem
    assert answer("start", "no-contact").stays


@pytest.mark.parametrize(
    ("name", "slip_min"), [("regatta", 10), ("lantern-fair", 5), ("founders-day", 8), ("start", 5)]
)
def test_unheard_the_flight_goes_home_when_the_last_true_time_can_no_longer_be_flown(name, slip_min):
    """Each has fuel for longer than its accepted late slip. The lantern fair, in January, has it until 16:11
    Z, hours after the sunset that its base has to land before: nothing holds it there."""
    stayed, base = answer(name, "no-contact"), flown(name)
    assert abs(stayed.until - base.the_pass.hold.leave - timedelta(minutes=slip_min)) <= timedelta(
        seconds=0.5
    )
    assert stayed.until < base.fuel.go_home and stayed.stays == "slip accepted" and stayed.failing == ()


def test_twenty_knots_off_every_leg():
    """Departure, 26 nm of climb in 5 min less 20 kt x 5 min = 1.667 nm, and the transit: each at 20 kt less
    over the ground."""
    base, slow = flown("regatta"), fly(edited("regatta"), tables=False)[0]
    assert slow.clock.takeoff == base.clock.takeoff
    leg, transit = base.route.of_kind("departure")[0], base.route.of_kind("transit")[0]
    after = answer("regatta", "slower").after
    by_hand = transit.distance_nm / (transit.gs_kt - 20) * 3600 - transit.time_s
    level_nm = leg.distance_nm - leg.climb.ground_nm
    by_hand += (level_nm + 20 * 300 / 3600) / (leg.gs_kt - 20) * 3600 - level_nm / leg.gs_kt * 3600
    expected = base.the_pass.hold.wait_s + (4 - after.setups) * 660 - by_hand
    assert after.hold_s == pytest.approx(expected, abs=1.0)


# ---------------------------------------------------------------- diverts


@pytest.mark.parametrize("row", range(6))
def test_diverts_by_hand(row):
    """Recovery leg's level and 360 KTAS: the time is the distance over that leg's ground speed, 8 min
    approach; ship 4 lands with what it has at the point less climb 106 lb, 1700 lb/h x 1.06 along the leg,
    approach 243.8 lb and 90 s of waiting, in all down to 10 lb."""
    divert, base = asked("regatta").diverts[row], flown("regatta")
    rows = {r.phase_id: r.remaining_exact_lb for r in next(s for s in base.fuel.ships if s.ship == 4).rows}
    left = {"area": rows["rejoin"], "hold": rows["hold"], "centre": rows["push-up"]}[divert.where]
    leg_s = (divert.arrives - divert.leaves).total_seconds() - 8 * 60
    assert 330 < divert.distance_nm / leg_s * 3600 < 440  # 360 KTAS with at most some 55 kt of wind
    burnt = 106.0 + 1700 / 3600 * leg_s * 1.06 + 230 * 1.06 + 1700 / 3600 * 90 * 1.06
    assert (divert.fuel, divert.ship) == ((left - burnt) // 10 * 10, 4)


# Still air, one meridian: ENTRY is 20 nm north of PARK, 55 nm north of HILL, and each hold 12 nm further
# north than the spot that is flown over. At 360 kt and 1700 lb/h, and 100 lb to climb, 6 min and 180 lb to
# approach, 60 s to land behind the leader, all by 1.05.
OF_PASSES = [
    ("hold of PARK", "left at 13:57:51 Z, landed at 14:05:11 Z", "PARK/hold", 80),
    ("centre of PARK", "left at 14:00:00 Z, landed at 14:09:20 Z", "PARK/push-up", 200),
    ("hold of PARK pass 2", "left at 14:17:51 Z, landed at 14:25:11 Z", "PARK/pass-2/hold", 80),
    ("centre of PARK pass 2", "left at 14:20:00 Z, landed at 14:29:20 Z", "PARK/pass-2/push-up", 200),
    ("hold of HILL", "left at 14:37:51 Z, landed at 14:51:01 Z", "HILL/hold", 430),
    ("centre of HILL", "left at 14:40:00 Z, landed at 14:55:10 Z", "HILL/push-up", 550),
]


@pytest.mark.parametrize(("place", "times", "row", "leg_s"), OF_PASSES)
def test_of_several_passes_each_has_its_own_diverts_by_hand(place, times, row, leg_s):
    plan = plan_of_text(three_passes())
    told = {line.change: line.outcome for line in lines_of(what_if(plan, lambda case, base: False))}
    outcome = told[f"Divert from the {place} to ENTRY"]
    (left,) = (own.remaining_exact_lb for own in plan.fuel.ships[1].rows if own.phase_id == row)
    landed = (left - 1.05 * (100 + (leg_s + 60) * 1700 / 3600 + 180)) // 10 * 10
    short = ", MUST LAND WITH 800 lb" if landed < 800 else ""
    assert outcome.endswith(f"nm, {times}, ship 2 lands with {landed:.0f} lb{short}")


def test_what_is_left_at_a_divert_is_what_a_gauge_shows():
    """Lantern-fair: 240 L at 0.72 kg/L are 172.8 kg, a 500th is 0.35 kg: its gauges read to 0.2 kg."""
    assert {round(there.fuel * 10) % 2 for there in asked("lantern-fair").diverts} == {0}
    assert {there.fuel % 5 for there in asked("lantern-fair").diverts} != {0}


def test_a_divert_without_enough_fuel_says_so():
    line = next(line for line in lines_of(asked("overcommitted")) if line.id == "divert-centre-CAIRNMOOR")
    assert line.worse and line.outcome.endswith(", MUST LAND WITH 900 lb")


# ---------------------------------------------------------------- words


def test_the_line_a_pilot_can_use():
    """By the sheet (fuel_sheet) ship 4 lands with 1411.4 lb; one set-up of 424 lb less, and 4 min of hold at
    1378 lb/h, 91.9 lb: 1927.2 lb."""
    line = next(line for line in lines_of(what_if_in(mission("regatta"))) if line.id == "takeoff-late-900")
    assert (
        line.text
        == "Take-off 15 min late: 3 set-ups (time), T kept, hold 4 min 33 s, ship 4 lands with 1920 lb"
    )


@pytest.mark.parametrize("name", ALL)
def test_every_change_has_one_line(name):
    found = asked(name)
    lines = lines_of(found)
    assert [line.id for line in lines[: len(found.answers)]] == [a.id for a in found.answers]
    assert len({line.id for line in lines}) == len(lines) == len(found.answers) + len(found.diverts)
    assert all(
        line.change and line.outcome and "\n" not in line.text and "None" not in line.text for line in lines
    )
    assert len(whatif_table(lines).rows) == len(lines)


@pytest.mark.parametrize("name", ALL)
def test_the_brief_works_out_no_less_than_its_slide_tells(name):
    whole, brief = lines_of(asked(name)), lines_of(what_if_in(mission(name), in_brief))
    assert slide_lines(brief) == slide_lines(whole) and set(brief) < set(whole)


def test_small_missions_are_asked_only_what_applies():
    """One ship, nothing but a pass: no training, no hold, the leg from the take-off taken direct."""
    text = (MISSIONS.parent / "tests/cases/ok-pass-only.yaml").read_text("utf-8")
    read, _ = load_mission_text(text, "pass-only.yaml")
    assert {a.kind for a in what_if_in(read).answers} <= {"ceremony", "slower", "takeoff-late"}


def test_fuel_that_isnt_known_reads_not_checked():
    """All but the flight without the ship whose fuel isn't given."""
    found = what_if_in(edited("regatta", ("flight.4.start_fuel", "")))
    known = [line.id for line in lines_of(found) if "NOT CHECKED" not in line.outcome]
    assert known == ["ships-out-4"] and found.diverts == ()


def test_without_recovery_legs_low_cloud_is_answered_all_the_same():
    """Home is then direct, as for the plan itself, at the last leg's level and speed: here from the hold,
    which lies nearer than where the egress ends."""
    found = what_if_in(edited("regatta", ("recovery.legs", "")), only("low-cloud"))
    low = next(a for a in found.answers if a.id == "low-cloud")
    assert low.after is not None and low.after.last_landing < found.before.last_landing


def test_a_ceremony_beyond_what_the_flight_accepts_is_asked_first_here_too():
    """start accepts nothing early and 5 min late of T: 5 min late is met, 1 min early is asked first, as
    cards and retime have it."""
    found = {line.id: line for line in lines_of(what_if_in(mission("start")))}
    assert " met" in found["ceremony-300"].outcome and "ask first" not in found["ceremony-300"].outcome
    assert (
        "TOO EARLY: ask first (earlier than the flight accepts)" in found["ceremony--60"].outcome
        and found["ceremony--60"].worse
    )
