"""What a card says of the height under the flight and of times that can no longer be flown, against the
mission's own text."""

from __future__ import annotations

import re
from datetime import datetime, timedelta
from math import floor

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.pass_side import back_reductions
from briefgen.brief.figures import clock_bar, slip_reach
from briefgen.brief.figures.fuel_clock import fuel_chart
from briefgen.brief.slides.view.view import make_view
from briefgen.brief.wording.gates import limit_words
from briefgen.brief.wording.spoken import callers, unable
from briefgen.brief.wording.words import card_words
from briefgen.draw.scene.model import Canvas, Text
from briefgen.plan.build import make_plan
from tests.brief.briefs import pages_of
from tests.brief.cards.reading import figures_of, slip_note, slip_rows
from tests.brief.figures.plans import scene_of
from tests.planned import REPOSITORY, load_mission, what_if_of
from tests.render.pdf_cases import STAMP, changed, plan_of

SLIDE = Canvas(888.0, 360.0, "deck")


def scene_texts(plan):
    maker = slip_reach.make(plan)
    return [] if maker is None else [s for s in maker(SLIDE).shapes if isinstance(s, Text)]


START, LANTERN = "missions/start.yaml", "missions/lantern-fair.yaml"
FOUNDERS, OVERCOMMITTED = "missions/founders-day.yaml", "missions/overcommitted.yaml"
REGATTA = "missions/regatta.yaml"


def section(card, side: int, name: str):
    return card.sides[side][1][name]


def boxes(plan, number: int) -> dict[str, tuple[str, str]]:
    """The large figures of a card's second side: label to figure and the words below it."""
    card = cards.kneeboard(plan, number)
    rows = (*section(card, 1, "minima").items, *section(card, 1, "home").items)
    return {label: (figure, said) for label, figure, said in rows}


# The run-in's level less the step-down of the lowest ship, less what the cold takes off, less the obstacle's
# top or the elevation, all of the file's. OVERCOMMITTED: station LIGHT, 10 ft, 14 C: ISA is 14.98 there, the
# air 0.98 K too cold; 1160 x 285.9 / 286.9 = 1156: 4 ft less.
@pytest.mark.parametrize(
    ("mission", "ship", "you_ft", "under"),
    [
        (
            FOUNDERS,
            6,
            2500 - 5 * 10,
            f"{2450 - 760} ft over the ground",
        ),  # ship 6 is five steps down; the mast, 1180 ft, stands beside the track: MINIMUM has it
        (
            OVERCOMMITTED,
            4,
            1200 - 3 * 10,
            f"{1170 - 4 - 270} ft over Radio mast of the harbour",
        ),  # the chimney, 560 ft, stands 0.8 nm beside the track; the ground is 1156 ft below
        # station at 10 ft, 10 C: 4.98 K too cold; at 735 ft on the mean ISA has 13.54 C: 1480 x 281.71 /
        # 286.69 = 1454
        ("tests/cases/ok-midnight.yaml", 2, 1500 - 10, "1454 ft over the ground"),
        ("tests/cases/ok-pass-only.yaml", 1, 1000, f"{1000 - 5} ft over the ground in standard air"),
    ],
)
def test_the_least_height_under_the_track_is_the_one_that_the_gate_judges(mission, ship, you_ft, under):
    found = boxes(plan_of(mission), ship)
    figure, detail = found.get("YOU") or found["YOU, TOO LOW"]
    assert figure == f"{you_ft} ft"
    assert detail.split("; ")[-1] == under
    gates = {gate.rule: gate for gate in plan_of(mission).gates}
    assert under.startswith(f"{gates['pass-height'].value:.0f} ft over ")


def test_without_obstacle_and_elevation_no_height_is_told(tmp_path):
    plan = changed(tmp_path, "tests/cases/ok-pass-only.yaml", (", elevation: 5 ft MSL", ""))
    found = boxes(plan, 1)
    assert found["YOU"][1] == "height over ground NOT CHECKED"
    assert found["MINIMUM"][0] == "NOT CHECKED"


# Regatta: terminal 330 ft + 1000 ft; ship 4 flies 30 ft below the leader, ship 2 10 ft, ship 3 20 ft. The
# leader's level is 1500 ft.
def test_minimum_and_lead_are_the_same_on_every_card_and_you_is_the_ship_s_own():
    found = [boxes(plan_of("missions/regatta.yaml"), number) for number in (1, 2, 3, 4)]
    assert {box["MINIMUM"][0] for box in found} == {"1330 ft"}
    # ship 1 leads, ship 3 may and does without it; of 2 and 4 nobody says so
    assert [box["LEAD NOT BELOW"][0] for box in found if "LEAD NOT BELOW" in box] == ["1360 ft"] * 2
    assert ["LEAD NOT BELOW" in box for box in found] == [True, False, True, False]
    assert [box["YOU"][0] for box in found] == ["1500 ft", "1490 ft", "1480 ft", "1470 ft"]
    assert "1000 ft above Grain terminal" in found[0]["MINIMUM"][1]
    assert [box["YOU"][1].split("; ")[0] for box in found] == [
        "leader",
        "30 ft left, 30 ft behind, 10 ft below",
        "30 ft right, 30 ft behind, 20 ft below",
        "60 ft right, 60 ft behind, 30 ft below",
    ]


# tests/plan/heights/test_cold_heights.py has the sums: 2590 for a floor of 2330 true, 2136 true where ship 2
# reads 2350, 806 over the headframe.
def test_the_card_prints_the_correction_beside_the_height():
    found = boxes(plan_of("tests/cases/ok-deep-cold.yaml"), 2)
    assert (
        found["MINIMUM"][0] == "2590 ft"
        and found["MINIMUM"][1]
        == "1000 ft above Headframe, cold air +256 ft by ICAO Doc 8168; on QNH 980 hPa"
    )
    assert found["YOU, TOO LOW"] == (
        "2350 ft",
        "60 ft right, 60 ft behind, 10 ft below; true 2136 ft, cold air +214 ft; 806 ft over Headframe",
    )


# Overcommitted: 270 ft + 1000 ft and 4 ft for the cold, up to 1280 ft, and 1310 ft for whoever leads; the
# leader flies at 1200 ft. Regatta: MINIMUM 1330 ft, leader 1500 ft, ship 4 1470 ft.
@pytest.mark.parametrize(
    ("mission", "number", "you"),
    [
        (OVERCOMMITTED, 1, "YOU, TOO LOW"),
        (OVERCOMMITTED, 4, "YOU, TOO LOW"),
        (REGATTA, 1, "YOU"),
        (REGATTA, 4, "YOU"),
    ],
)
def test_a_height_below_its_minimum_says_so_in_its_box(mission, number, you):
    assert [label for label in boxes(plan_of(mission), number) if label.startswith("YOU")] == [you]


def test_one_ship_has_nobody_to_lead():
    assert "LEAD NOT BELOW" not in boxes(plan_of("tests/cases/ok-pass-only.yaml"), 1)


def ground_rows(plan) -> dict[str, tuple[str, ...]]:
    return {row[0]: row[1:] for row in section(cards.ground_contact(plan), 0, "slips").rows}


def board_rows(plan) -> dict[str, tuple[str, ...]]:
    return slip_rows(cards.kneeboard(plan, 1))


# T 13:30:00 Z is 14:30:00 at the event. The file accepts 0 s early: T less half a minute and less a minute
# are not the flight's to fly, for one reason, so that one row stands for both.
def test_slips_earlier_than_the_flight_accepts_have_no_time_to_say_them_by():
    plan = plan_of(START)
    early = ("to -30 s", "TOO EARLY", "", "", "earlier than the flight accepts")
    assert ground_rows(plan)["-1 min"] == early and "-30 s" not in ground_rows(plan)
    rows = board_rows(plan)
    assert rows["-1 min"] == ("to -30 s", "", "TOO EARLY", "", "", "")
    assert list(rows)[:2] == ["-1 min", "planned"]
    assert (
        "TOO EARLY to -30 s: earlier than the flight accepts. TOO LATE from +5 min 1 s on: later than the"
        " flight accepts."
    ) in slip_note(cards.kneeboard(plan, 1))


def test_before_the_permission_begins_is_too_early_too(tmp_path):
    """The permission of the file, 14:15 event, moved to half a minute before T (14:30:02)."""
    plan = changed(
        tmp_path, "missions/regatta.yaml", ("valid: 14:15 to 14:50 event", "valid: 14:29:30 to 14:50 event")
    )
    assert {head for head, row in ground_rows(plan).items() if row[1] == "TOO EARLY"} == {"-1 min"}
    new = ("03:29:02", "14:29:02")
    assert ground_rows(plan)["-1 min"] == ("", "TOO EARLY", *new, "before the permission")


def test_below_the_dead_band_nothing_is_too_early(tmp_path):
    plan = changed(tmp_path, START, ("deadband: 3 s", "deadband: 40 s"))
    assert ground_rows(plan)["-30 s"] == ("", "", "13:30:00", "14:30:00", "NO CALL NEEDED")
    assert board_rows(plan)["-30 s"][-1] == "no call" and ground_rows(plan)["-1 min"][1] == "TOO EARLY"


def test_a_landing_that_is_dark_already_as_planned_is_a_limit_too():
    """ok-midnight: T 21:45:00, last landing 22:02:32, to be down 10 min before the sunset of 22:01:53: 10 min
    39 s too late."""
    (zulu, local, because), *_ = section(
        cards.ground_contact(plan_of("tests/cases/ok-midnight.yaml")), 0, "wait"
    ).rows
    # printed moments: rounded, the last one cut
    assert (
        zulu in ("21:34:20", "21:34:21") and local[2:] == zulu[2:] and because == "last landing before dark"
    )


def test_a_planned_time_that_cannot_be_flown_needs_a_call_now():
    """Overcommitted: its fuel ends the wait before T, so "on time" is no reason to keep silent."""
    plan = plan_of(OVERCOMMITTED)
    assert ground_rows(plan)["on time"] == ("", "TOO LATE", "13:31:30", "14:31:30", "tell the flight now")
    assert board_rows(plan)["planned"][2:] == ("TOO LATE", "", "", "")
    (_, t, under), (_, _, late) = section(cards.kneeboard(plan, 1), 1, "times").items
    assert (t, under) == ("13:31:30 Z", "TOO LATE: fuel of ship 2 in the hold. 14:31:30 BST (+01:00)")
    assert late == "T +12 s, for the push-up"
    assert section(cards.kneeboard(plan, 1), 1, "cues").items[1][:2] == ("IP", "13:30:02")
    note = "Planned T cannot be flown: tell the flight now."
    assert section(cards.ground_contact(plan), 0, "slips").note.startswith(note)
    assert note not in section(cards.ground_contact(plan_of(START)), 0, "slips").note


# T and the accepted late slip of each file: 12:40:15 + 5 min, 18:18:15 + 8 min. The flight has nothing to
# stay for once leave-hold for the last T is past: so many minutes after the planned leave-hold, hours before
# its fuel.
@pytest.mark.parametrize(
    ("mission", "latest", "late_min"), [(LANTERN, "12:45:15", 5), (FOUNDERS, "18:26:15", 8)]
)
def test_the_go_home_time_is_the_earliest_end_of_the_wait_with_the_fuel_second(mission, latest, late_min):
    plan = plan_of(mission)
    time, detail = boxes(plan, 1)["HOME FROM HOLD"]
    by_fuel = f"{plan.fuel.go_home:%H:%M:%S} Z"
    assert detail == f"no T after {latest} Z (slip accepted); by fuel {by_fuel}"
    held = dict(section(cards.kneeboard(plan, 1, what_if_of(plan)), 0, "what_if").items)["No contact:"]
    leave = plan.event.hold.leave + timedelta(minutes=late_min, milliseconds=500)  # nearest, as it is flown
    home = f"{leave:%H:%M:%S} Z"
    assert time == home < by_fuel
    assert held.startswith(f"hold to {home} (slip accepted)")
    briefed = dict(section(cards.kneeboard(plan, 1), 0, "contingencies").items)
    (does,) = [text for lead, text in briefed.items() if lead.startswith("No ground contact")]
    assert does.endswith(f"; home at {home}, no later (slip accepted)")


@pytest.mark.parametrize(("mission", "latest"), [(LANTERN, "12:45:15"), (FOUNDERS, "18:26:15")])
def test_the_slide_of_the_hold_says_it_too(mission, latest):
    values = make_view(plan_of(mission), STAMP).values
    page = next(page for page in pages_of(make_view(plan_of(mission), STAMP)) if page.name == "hold")
    told = " ".join(item.detail for block in page.blocks for item in getattr(block, "items", ()))
    assert f"no T after {latest} Z; by fuel {values['fuel']['go_home']}" in told
    assert f"no T after {latest} Z (slip accepted); by fuel {values['fuel']['go_home']}" in page.notes


# Overcommitted: the chimney's 560 ft and the unit's 1000 ft over it are more than the floor asks, 1280 ft.
# LIGHT has 14 C at 10 ft where ISA has 14.98, the column of 1550 ft 13.4 C in the mean: 1550 x 286.58 / 285.6
# = 1555.3, and 10 ft: 1565.3, up to the next 10 ft; for the lowest ship, 30 ft below, a column of 1580 ft:
# 1585.4, and 10 ft: 1600. Founders: the mast's 1180 ft and 1000 ft, warm air; the floor 1760 ft; ship 6 flies
# 50 ft below its leader.
@pytest.mark.parametrize(
    ("mission", "minimum", "lead", "said"),
    [
        (
            OVERCOMMITTED,
            "1570 ft",
            "1600 ft",
            "1000 ft above Power station chimney; away from it 1280 ft",
        ),
        (FOUNDERS, "2180 ft", "2230 ft", "1000 ft above Radio mast; away from it 1760 ft"),
        (REGATTA, "1330 ft", "1360 ft", "1000 ft above Grain terminal; on QNH"),
    ],
)
def test_the_highest_that_is_asked_anywhere_on_the_pass_is_the_large_figure(mission, minimum, lead, said):
    found = boxes(plan_of(mission), 1)
    assert (found["MINIMUM"][0], found["LEAD NOT BELOW"][0]) == (minimum, lead)
    assert found["MINIMUM"][1].startswith(said)


# Ship 6 is planned at 2450 ft: with a mast of 1451 ft that is less than the 2460 ft asked near it.
@pytest.mark.parametrize(("top", "clear"), [("1450", False), ("1451", True)])
def test_a_ship_planned_lower_than_an_obstacle_beside_asks_reads_how_far_away_to_stay(tmp_path, top, clear):
    plan = changed(tmp_path, FOUNDERS, ("top: 1180 ft MSL", f"top: {top} ft MSL"))
    _, said = boxes(plan, 6)["YOU"]
    assert said.startswith("STAY 2000 ft CLEAR OF Radio mast; ") is clear


def test_after_the_last_moment_the_abort_words_of_the_file_are_meant_whatever_they_are():
    """Lantern-fair: WAXWING BREAK OFF, only they after T-70 s: 12:40:15 - 1 min 10 s."""
    plan = plan_of(LANTERN)
    pilot, card = cards.kneeboard(plan, 1), cards.ground_contact(plan)
    ground = dict(section(card, 0, "abort").rows)
    assert [section(pilot, 1, "abort").items[0][1], section(card, 0, "stop").items[0][1]] == [
        "WAXWING BREAK OFF"
    ] * 2
    assert section(pilot, 1, "cues").items[2:] == (  # in the order of the clock
        ("ABORT ONLY", "12:39:05", "T-1 min 10 s"),
        ("PUSH", "12:39:28", "1.5 nm, to 117 KGS"),
    )
    assert ground["Only the abort words"] == "after T-1 min 10 s: 12:39:05 Z  ·  14:39:05 EET"
    sheet = dict(section(cards.approval(plan), 0, "stop").items)["The pass:"]
    assert (
        sheet
        == "WAXWING BREAK OFF (Lead, ground contact); after T-1 min 10 s, 12:39:05 Z, only the abort words."
    )


def test_a_push_up_that_is_too_late_says_what_to_do_and_how_late_it_ends(tmp_path):
    """Overcommitted: 5.9 nm to go make up the bias, so the IP's distance makes up what 10 s late leaves over;
    each mile at 385 instead of 300 KGS gains 3600 (1/300 - 1/385) = 2.649 s. Ship 2 has the fuel here."""
    plan = changed(tmp_path, OVERCOMMITTED, ("start_fuel: 5030 lb", "start_fuel: 5100 lb"))
    event, box = plan.event, section(cards.kneeboard(plan, 1), 1, "push")
    assert (event.run_in_kt, event.push_up_to_kt) == (300, 385) and box.heads[1] == "push,\nnm to go"
    most = (event.run_in.distance_nm - event.push.to_go_nm) * 3600 * (1 / 300 - 1 / 385)
    edge = f"{floor(10 * most) / 10}"
    assert 5 < most < 10 and "10 late" not in dict(box.rows)
    assert box.rows[-1] == (f"over {edge}", "at IP")
    said = f"By itself over {edge} s late: at IP, rest stays late."
    assert said in slip_note(cards.kneeboard(plan, 1))
    assert dict(box.rows)["on time"] == f"{event.push.to_go_nm:.1f}"


# The least over the ships of the predicted moment, in the plan's own figures: ship 4 of the regatta and ship
# 2 of the overcommitted flight burn most.
@pytest.mark.parametrize(
    ("mission", "first", "others"), [("missions/regatta.yaml", 4, (1, 2, 3)), (OVERCOMMITTED, 2, (1, 3, 4))]
)
def test_every_card_has_the_moment_of_the_ship_that_is_first_at_joker(mission, first, others):
    plan = plan_of(mission)
    earliest = min(ship.joker_reached for ship in plan.fuel.ships)
    told = f"reached by {earliest:%H:%M:%S} Z"
    details = {n: section(cards.kneeboard(plan, n), 0, "fuel_large").items[1][2] for n in (first, *others)}
    assert details[first].split(";")[0] == f"{told} (this ship)"
    assert all(details[n].startswith(f"{told} (ship {first})") for n in others)


# Joker by the printed column, as the cards have it. Regatta, ship 4, the last to be in: 2920 lb at 03:04:18,
# 424 lb a set-up of 11 min: 120 lb more to 2800 are 3 min 6.8 s. Overcommitted, ship 2, which waited 30 s
# for the last: 2970 lb at 12:54:26, 410 lb in the set-up of 10 min that follows: 320 lb down to 2650 are 7
# min 48.3 s. The lantern fair is the other way round: ship 2 has 144.4 kg at the end of training as planned,
# its joker is 60 kg, and the hold allows 4 min 10 s more.
# Overcommitted trains to 13:14:26 Z all the same, 12 min 12 s longer.
OVER = {OVERCOMMITTED: ", 12 min 12 s before it does as planned: FAIL"}


@pytest.mark.parametrize(
    ("mission", "at", "ship"),
    [("missions/regatta.yaml", "03:07:24 Z", 4), (OVERCOMMITTED, "13:02:14 Z", 2), (LANTERN, None, None)],
)
def test_the_end_of_training_is_the_earlier_of_joker_and_end_by_and_named(mission, at, ship):
    plan = plan_of(mission)
    view, board, end_by = (
        make_view(plan, STAMP),
        cards.kneeboard(plan, 1),
        f"{plan.clock.knock_off:%H:%M:%S} Z",
    )
    pages = {page.name: page for page in pages_of(view)}
    ends = f"at joker, which ship {ship} reaches by {at}" if ship else f"by {end_by}, END BY"
    assert pages["joker"].title.endswith(
        f", reached by {at} (ship {ship})" if ship else f" or END BY {end_by}"
    )
    assert section(board, 0, "fuel_large").items[1][2] == (
        f"reached by {at} (ship {ship}); flight's highest" if ship else "flight's highest"
    )
    # two deadlines never read the same: the later one says that joker comes first
    said = "or at joker, if sooner" if ship else "last end of training"
    assert section(board, 0, "fuel_large").items[3] == ("END BY", end_by, said)
    bar = [shape.text for shape in clock_bar.make(plan)(SLIDE).shapes if isinstance(shape, Text)]
    named = "END BY or joker" if ship else "END BY"
    assert f"{named} {end_by}" in bar
    over = OVER.get(mission, "")
    ends = f"{'MUST END' if over else 'ends'} {ends}{over}"
    assert (
        ends in repr(pages["stops"])
        and ends in repr(pages["clock"])
        and f"END BY {end_by}" in repr(pages["training-rules"])
    )
    assert view.tables["fuel_ships"].caption.endswith(f" Training {ends}.")


def test_a_card_without_fuel_has_end_by_still(tmp_path):
    plan = changed(tmp_path, LANTERN, ("start_fuel: 235 L, ", ""))
    _, *fuel = section(cards.kneeboard(plan, 1), 0, "fuel_large").items
    boxes = {label: figure for label, figure, _ in fuel}
    assert plan.fuel is None
    assert boxes == {"FUEL": "NOT CHECKED", "END BY": f"{plan.clock.knock_off:%H:%M:%S} Z"}


@pytest.mark.parametrize("mission", ["missions/regatta.yaml", LANTERN, FOUNDERS, OVERCOMMITTED, START])
def test_nothing_is_called_a_knock_off(mission):
    """Too near the call "knock it off"."""
    plan = plan_of(mission)
    said = [
        cards.kneeboard(plan, 1),
        cards.approval(plan),
        cards.ground_contact(plan),
        *pages_of(make_view(plan, STAMP)),
    ]
    flags = scene_of(mission, "clock_bar")
    assert [
        found
        for part in (*said, flags)
        for found in re.findall("knock[- ]off.{20}", repr(part), re.IGNORECASE)
    ] == []


# What a ship has to land with at its own touchdown: its normal landing fuel, more than the reserve.
# Lantern-fair: 40 L at 0.72 kg/L are 28.8 kg.
@pytest.mark.parametrize(
    ("mission", "floor"), [("missions/regatta.yaml", 900), (OVERCOMMITTED, 900), (LANTERN, 28.8)]
)
def test_the_sheet_compares_the_landing_fuel_with_the_floor_at_the_same_touchdown(mission, floor):
    plan = plan_of(mission)
    answer = figures_of(cards.approval(plan))["LOWEST LANDING FUEL"]
    assert answer.startswith(f"{plan.fuel.lowest_landing} ") and answer.endswith(
        f"; must land with {floor} {plan.fuel.unit}"
    )


# The unit's own limits, nearer together than the display step of 5 kg, and one in pounds: 40 lb x 0.45359237
# are 18.143 kg, up to the gauge's step of 0.2 kg 18.2 (tanks of 240 L at 0.72 kg/L are 172.8 kg, a 500th of
# which is 0.35).
LIGHT = (
    "tiers: {normal_landing: 40 L, minimum: 32 L, emergency: 25 L}",
    "tiers: {normal_landing: 40 lb, minimum: 17.5 kg, emergency: 16 kg}",
)


def test_the_unit_s_own_landing_fuels_read_as_typed_wherever_they_stand(tmp_path):
    plan = changed(tmp_path, LANTERN, LIGHT)
    view, told = (
        make_view(plan, STAMP),
        [gate for gate in plan.gates if gate.id in ("fuel-order", "landing-fuel", "landing-emergency")],
    )
    line = section(cards.kneeboard(plan, 2), 0, "tiers").items
    assert [text for name, text in line if name in ("normal", "minimum", "emergency")] == [
        "18.2 kg (40 lb)",
        "17.5 kg",
        "16 kg",
    ]
    assert view.values["fuel"]["tiers"] == [
        "Normal landing 18.2 kg (40 lb)",
        "Minimum fuel 17.5 kg",
        "Emergency fuel 16 kg",
    ]
    assert {row[-2].text for row in view.tables["fuel_ships"].rows} == {"18.2"}
    assert {"Landing 18.2 kg", "Minimum 17.5 kg", "Emergency 16 kg"} <= {
        r.label for r in fuel_chart(plan).references
    }
    assert [gate.verdict for gate in told] == ["PASS"] * 3 and [limit_words(gate) for gate in told[1:]] == [
        "at least 18.2 kg",
        "at least 16 kg",
    ]
    assert figures_of(cards.approval(plan))["LOWEST LANDING FUEL"].endswith("; must land with 18.2 kg")


# Backup and telephone of the file; the trigger counted from leave-hold in test_unreached. T 13:30:00 and the
# accepted 5 min.
def test_the_ground_contact_reads_what_to_do_when_the_flight_cannot_be_reached():
    plan = plan_of(START)
    found = dict(section(cards.ground_contact(plan), 1, "lost_contact").items)
    assert (
        found["Backup:"] == "130.500 MHz."
        and found["Telephone:"] == "Sqn Ldr E. Marsh, supervisor, +00 000 000."
    )
    assert (
        found["The flight by itself:"].startswith("heard nothing by 13:25:4")
        and "Stay in the hold until heard or go-home time; home at" in found["The flight by itself:"]
    )
    assert found["The flight by itself:"].endswith(
        f" Go-home time {boxes(plan, 1)['HOME FROM HOLD'][0]}: no T after 13:35:00 Z (slip"
        f" accepted); by fuel {plan.fuel.go_home:%H:%M:%S} Z."
    )
    phones = section(cards.ground_contact(plan), 1, "phones").rows
    assert "Sqn Ldr E. Marsh" in " ".join(phones[0]) and phones[0][1].endswith(
        "+00 000 000; 139.500 MHz: passes word to the flight, recalls it by HARBOUR"
    )
    assert phones[1] == ("Phone at the event", "+00 000 000: you are called back there")


ACTION = "action: Stay in the hold until heard or go-home time"


@pytest.mark.parametrize(
    ("mission", "changes"),
    [
        (OVERCOMMITTED, ()),
        (START, ((ACTION, "action: TBD"),)),
        (START, ((ACTION, 'action: "To be briefed."'),)),
    ],
)
def test_what_the_flight_does_unheard_reads_not_briefed_where_nobody_has_said_it(tmp_path, mission, changes):
    plan = changed(tmp_path, mission, *changes)
    found = dict(section(cards.ground_contact(plan), 1, "lost_contact").items)
    assert found["The flight by itself: NOT BRIEFED"].startswith("nobody has said what it does. ")


# The overcommitted file has TBD for cloud and nothing for no ground contact; a single ship has no wingman to
# lose and, without training, no knock-it-off.
@pytest.mark.parametrize(
    ("mission", "missing"),
    [
        (OVERCOMMITTED, ["Inadvertent cloud", "No ground contact"]),
        ("tests/cases/ok-pass-only.yaml", ["Lost communications", "Inadvertent cloud", "No ground contact"]),
        (START, []),
    ],
)
def test_a_contingency_that_nobody_has_briefed_says_so_on_the_pilots_card(mission, missing):
    items = section(cards.kneeboard(plan_of(mission), 1), 0, "contingencies").items
    assert [
        lead.removesuffix(": NOT BRIEFED") for lead, _ in items if lead.endswith("NOT BRIEFED")
    ] == missing
    assert "TBD" not in str(items)


@pytest.mark.parametrize("mission", [FOUNDERS, OVERCOMMITTED])
def test_after_say_by_the_card_has_the_words_that_retime_gives(mission):
    plan = plan_of(mission)
    words = dict(section(cards.ground_contact(plan), 0, "say").items)["Too late for it:"]
    assert words.replace("____", "four minutes") == unable(callers(plan.mission), 240.0, None).say


def test_a_backup_that_is_the_first_frequency_is_no_second_way():
    found = dict(section(cards.ground_contact(plan_of(OVERCOMMITTED)), 1, "lost_contact").items)
    assert found["Backup:"] == "same as the first, no second way by radio."
    assert section(cards.kneeboard(plan_of(OVERCOMMITTED), 1), 1, "reach").items[0] == (
        "TRAWLER",
        "preset 6, 132.275 MHz; backup same as the first",
    )


# Sortie on 17 Jul 2027. Of the file's waivers one covers the day, one ran out in June, one is for blocks that
# overlap, which nobody may waive.
@pytest.mark.parametrize(
    ("reference", "ends"),
    [
        (
            "W-27-118",
            "Duty period, slip and divert included, by Group commander, 16 Jul 2027 to 18 Jul 2027.",
        ),
        ("W-27-090", "by Group commander, 1 Jun 2027 to 30 Jun 2027; NOT USED: not valid on the day."),
        (
            "W-27-121",
            "by Squadron commander, 17 Jul 2027 to 17 Jul 2027; NOT USED: refused, this is never waived.",
        ),
    ],
)
def test_a_waiver_without_effect_says_why(reference, ends):
    assert dict(section(cards.approval(plan_of(OVERCOMMITTED)), 0, "unusual").items)[
        f"Waiver {reference}:"
    ].endswith(ends)


@pytest.mark.parametrize(
    ("rule", "why"),
    [
        ("pass-speed", "not needed, the gate reads PASS"),
        ("duty-perod", "there is no such gate in this plan"),
        ("duty-period", "another waiver is in force"),
    ],
)
def test_a_waiver_for_nothing_says_so(tmp_path, rule, why):
    plan = changed(
        tmp_path,
        OVERCOMMITTED,
        ("rule: forecast-age, reference: W-27-090", f"rule: {rule}, reference: W-27-090"),
    )
    assert dict(section(cards.approval(plan), 0, "unusual").items)["Waiver W-27-090:"].endswith(
        f"; NOT USED: {why}."
    )


def test_a_slip_that_only_speed_gives_says_what_is_flown_on_every_medium(tmp_path):
    """start with a hold of 6 min: no whole number of laps gives 30 s more, but slowing down after leave-hold
    does. It began with UNABLE everywhere. The ground contact's SAY BY is the relay, 10 s, before told-by."""
    plan = changed(tmp_path, START, ("planned: 8 min", "planned: 6 min"))
    flight = board_rows(plan)["+30 s"]
    ground = next(r for r in section(cards.ground_contact(plan), 0, "slips").rows if r[0] == "+30 s")
    leave = (plan.event.hold.leave + timedelta(milliseconds=500)).replace(microsecond=0)
    assert flight[2:5] == ("by speed", "", f"{leave:%H:%M:%S}") and ground[5] == "flown by speed alone"
    told_by, say_by = (datetime.strptime(at, "%H:%M:%S") for at in (flight[5], ground[1]))
    assert told_by - say_by == timedelta(seconds=10)
    assert "+30 s" not in slip_note(cards.kneeboard(plan, 1))
    table = make_view(plan, STAMP).tables["slips"]
    (slide,) = [row for row in table.rows if row[0].text == "+30 s"]
    assert [cell.text for cell in slide][3:8] == [flight[4], "by speed", "–", "–", flight[5]]


def test_the_sheet_says_what_its_pass_height_was_held_against():
    """Terrain is no part of it. Ship 4 at 1500 - 3 x 10 ft MSL, the grain terminal's top at 330 ft MSL."""
    told = figures_of(cards.approval(plan_of(REGATTA)))
    assert told["PASS HEIGHT"] == "1140 ft; at least 1000 ft: PASS (listed obstacles only)"


# Across 300 KTAS 100 kt leave no lap at 30 degrees of bank. The regatta's hold of 8 min 33 s is 4 min longer
# with its take-off at 12:33:00.
@pytest.mark.parametrize(
    ("mission", "changes", "why"),
    [
        (
            "tests/cases/ok-by-hand.yaml",
            [("weather.winds.1.wind", "270T/100kt"), ("weather.winds.2.wind", "270T/100kt")],
            "no whole number of laps gives it",
        ),
        (
            REGATTA,
            [
                ("ground_ops.takeoff", "12:33:00 base"),
                ("event.pass.hold.maximum", "6 min"),
                ("event.pass.hold.planned", "5 min"),
                ("event.pass.hold.minimum", "1 min"),
            ],
            "a hold of 12 min 33 s, allowed 6 min",
        ),
        (OVERCOMMITTED, [], "fuel of ship 2"),
    ],
)
def test_behind_a_hold_that_cannot_be_flown_nothing_is_offered_by_speed(mission, changes, why):
    """One line stands in the place of each table by speed."""
    plan, found = make_plan(load_mission(REPOSITORY / mission, changes)[0])
    assert plan is not None, found
    line = f"nothing by speed: the hold as planned can't be flown ({why})"
    side = cards.kneeboard(plan, 1).sides[1][1]
    assert side["push"].items == side["push_below"].items == (("Push-up", line),)
    assert "Push at" not in slip_note(cards.kneeboard(plan, 1))
    ground = section(cards.ground_contact(plan), 0, "slips")
    assert f"{line[0].upper()}{line[1:]}." in ground.note and "fast or slow" not in ground.note
    assert not [row for row in ground.rows if "by speed" in row[-1]]
    pages = {page.name: page for page in pages_of(make_view(plan, STAMP))}
    assert "push" not in pages
    late = pages["late-changes"]
    assert late.title.startswith("Nothing by speed after leave-hold at ")
    assert f"Why: {why}" in repr(late.blocks)  # a title over an empty slide says half
    script = repr(pages["script"]) if "script" in pages else ""
    assert "speed can still make" not in script and "speed alone can still" not in script
    # nor does the drawing of the slips have its wedge
    assert "speed alone" not in [text.text for text in scene_texts(plan)]


def test_the_headings_of_a_full_side_give_way_last_of_all():
    """What is only set smaller says nothing; what is lost is said, of the headings after everything else."""
    w = card_words(plan_of("missions/regatta.yaml"))
    lost = [r.name for r in back_reductions(w, w.mission.file.flight[0], diverts_too=True) if r.said]
    first = lost.index("headings")
    assert set(lost[first:]) == {"headings"} and {"reach", "notes", "abort"} <= set(lost[:first])
