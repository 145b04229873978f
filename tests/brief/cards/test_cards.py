"""What the cards say, from the plan's data: before any template."""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.model import Grid
from briefgen.brief.slides.view.view import make_view
from briefgen.mission.edit.changes import without_training
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from briefgen.plan.event.waits import wait_limits
from briefgen.plan.route.diverts import diverts_from
from tests.brief.cards.reading import slip_note, slip_rows
from tests.mission.mission_texts import PASS_ONLY
from tests.planned import REPOSITORY, load_mission
from tests.render.pdf_cases import MISSIONS, STAMP, card_of, changed, context, made, plan_of

REGATTA = "missions/regatta.yaml"
BIAS_S, RELAY_S = 15, 10  # of the regatta's file


def seconds(clock: str) -> int:
    """``03:26:15`` as seconds of the day."""
    h, m, s = (int(part) for part in clock.split(":"))
    return 3600 * h + 60 * m + s


def section(card, side: int, name: str):
    return card.sides[side][1][name]


def texts(value) -> str:
    """Every word of some data."""
    if isinstance(value, str):
        return value
    return " ".join(
        texts(v)
        for v in (
            value.values() if isinstance(value, dict) else value if isinstance(value, (list, tuple)) else ()
        )
    )


def test_the_ground_contact_never_reads_a_set_time():
    plan = plan_of(REGATTA)
    words = texts(cards.ground_contact(plan).data())
    sets = [row[1] for row in slip_rows(cards.kneeboard(plan, 1)).values()]
    assert sets[0] == "03:29:17"  # T 03:30:02 - 60 s + 15 s
    assert not any(time in words for time in sets)
    assert "set time" not in words.lower()


def test_say_by_is_told_by_less_the_relay():
    plan = plan_of(REGATTA)
    told_by = [
        seconds(row[5])
        for slip, row in slip_rows(cards.kneeboard(plan, 1)).items()
        if row[5] and slip != "planned"
    ]
    say_by = [
        seconds(row[1]) for row in section(cards.ground_contact(plan), 0, "slips").rows if ":" in row[1]
    ]
    assert [a - b for a, b in zip(told_by, say_by, strict=True)] == [RELAY_S] * len(say_by) and say_by


def test_last_moments_are_never_printed_later_than_they_are():
    plan = plan_of(REGATTA)
    printed = [row[5] for row in slip_rows(cards.kneeboard(plan, 1)).values()]
    for text, row in zip(printed, plan.event.slips[:-1], strict=True):  # the last is TOO LATE
        if row.slip_s == 0:
            assert text == "no call"
            continue
        exact = (
            row.told_by.hour * 3600
            + row.told_by.minute * 60
            + row.told_by.second
            + row.told_by.microsecond / 1e6
        )
        assert 0 <= exact - seconds(text) < 1


# Latest T by arithmetic on the file: T 03:30:02; accepted slip 10 min; permission until 14:50 event, which is
# +11:00; the hold may last 21 min instead of the 8 min 32.8 s that are left, so T may move by 12 min 27.2 s.
@pytest.mark.parametrize(
    ("because", "latest"),
    [
        ("slip accepted by the flight", "03:40:02"),
        ("permission ends", "03:50:00"),
        ("longest hold allowed", "03:42:29"),
    ],
)
def test_cannot_wait_later_than(because, latest):
    rows = {row[2]: row[0] for row in section(cards.ground_contact(plan_of(REGATTA)), 0, "wait").rows}
    assert rows[because] == latest


@pytest.mark.parametrize(
    ("change", "first"),
    [
        (("late: 10 min", "late: 10 min"), "slip accepted by the flight"),
        (("valid: 14:15 to 14:50 event", "valid: 14:15 to 14:36 event"), "permission ends"),
        (("maximum: 21 min", "maximum: 12 min"), "longest hold allowed"),
    ],
)
def test_the_first_of_the_limits_is_the_one_in_large_figures(tmp_path, change, first):
    plan = changed(tmp_path, REGATTA, change)
    assert wait_limits(plan)[0].because == first
    assert first in section(cards.ground_contact(plan), 0, "times").items[1][2]


def test_a_slip_beyond_the_first_limit_reads_too_late():
    """The overcommitted flight lacks the fuel even for T, and for 45 s before it: whatever stands after the
    figure of the large box is too late, nothing before it."""
    card = cards.ground_contact(plan_of("missions/overcommitted.yaml"))
    latest = section(card, 0, "times").items[1][1].removesuffix(" Z")
    assert section(card, 0, "times").items[1][2].startswith("EARLIER THAN T.")
    *told, later = section(card, 0, "slips").rows
    assert [row[2] == "TOO LATE" for row in told] == [seconds(row[3]) > seconds(latest) for row in told]
    assert [row[2] == "TOO LATE" for row in told] == [False, True, True]
    # one reason, one row for all that is later than T
    assert later == ("+30 s", "and later", "TOO LATE", "", "", "fuel of ship 2 in the hold")
    on_board = slip_rows(cards.kneeboard(plan_of("missions/overcommitted.yaml"), 1))
    assert [row[2] for row in on_board.values()][2:] == ["TOO LATE"]


def test_diverts_against_another_geodesic_library():
    pyproj = pytest.importorskip("pyproj")
    plan = plan_of(REGATTA)
    geod = pyproj.Geod(ellps="WGS84")
    for divert in diverts_from(plan, plan.event.centre):
        azimuth, _, metres = geod.inv(
            plan.event.centre.lon_deg, plan.event.centre.lat_deg, divert.place.lon_deg, divert.place.lat_deg
        )
        assert divert.distance_nm == pytest.approx(metres / 1852, abs=1e-3)
        assert divert.course_true_deg == pytest.approx(azimuth % 360, abs=1e-3)


@pytest.mark.parametrize(("ship", "factor", "waiting_lb"), [(1, 1.0, 0.0), (2, 1.05, 29.75)])
def test_fuel_for_a_divert_by_hand(ship, factor, waiting_lb):
    """From CENTRE 20 nm to ENTRY, no wind: 200 s at 360 kt and 1700 lb/h are 94.44 lb; the climb is typed as
    100 lb, the approach as 180 lb, all times the ship's factor; then 800 lb to land with, and the second
    waits a minute: 1700 / 60 x 1.05. Exact, then up once to the gauge's 10 lb, and 50 lb to be said."""
    plan = plan_of("tests/cases/ok-by-hand.yaml")
    divert = diverts_from(plan, plan.event.centre)[0]
    exact_lb = (100 + 1700 * 200 / 3600 + 180) * factor + 800 + waiting_lb
    found = divert.fuel[ship]
    assert divert.distance_nm == pytest.approx(20, abs=0.001)
    assert found.exact_lb == pytest.approx(exact_lb, abs=0.01)
    assert (found.total, found.figure) == {1: (1180, 1200), 2: (1230, 1250)}[ship]  # of 1174.44 and 1222.92
    assert sum(addend.printed for addend in found.addends) == found.total


@pytest.mark.parametrize("ship", (1, 2, 3, 4))
def test_the_flight_flies_one_joker_and_one_bingo(ship):
    _, *items = section(cards.kneeboard(plan_of(REGATTA), ship), 0, "fuel_large").items
    fuel = plan_of(REGATTA).fuel
    assert items[0][1] == f"{max(s.joker.figure for s in fuel.ships)} lb"
    assert items[1][1] == f"{max(s.bingo_training.sum.figure for s in fuel.ships)} lb"


@pytest.mark.parametrize("ship", (1, 3))
def test_both_sides_tell_the_bingo_of_the_pass_which_is_the_flights(ship):
    """The regatta's thirstiest ship needs 1600 lb to go home from the event."""
    card = cards.kneeboard(plan_of(REGATTA), ship)
    assert section(card, 0, "over").items[-1] == ("EVENT BINGO", "1600 lb")
    box = section(card, 1, "home").items[0]
    assert box == ("EVENT BINGO", "1600 lb", "set in hold; flight's highest")


def test_missing_fuel_reads_not_checked_and_sections_without_data_are_left_out():
    card = cards.kneeboard(plan_of("tests/cases/ok-pass-only.yaml"), 1)
    assert section(card, 0, "fuel_large").items[1][1] == "NOT CHECKED"
    assert section(card, 1, "home").items[-1][:2] == ("EVENT BINGO", "NOT CHECKED")
    assert [section(card, 0, name) for name in ("radio", "blocks", "tiers", "rules")] == [None] * 4
    assert not [head for head in section(card, 0, "log").heads if head.startswith("Fuel")]


# A mast half a mile beside the hold, where no rule asks for a height. The leg from the hold to the IP may
# descend to 1500 ft at once, and ship 4 flies 30 ft below the leader: 470 ft over a top of 1000 ft.
@pytest.mark.parametrize(("top_ft", "lowest"), [(1000, "470 ft"), (970, None)])
def test_the_least_height_that_is_too_low_outside_the_pass_stands_large_on_the_sheet(
    tmp_path, top_ft, lowest
):
    terminal = "top: 330 ft MSL, source: survey 2026-05}\n"
    mast = f"{{name: MAST, position: 38°26.41'S 141°26.51'E, top: {top_ft} ft MSL, source: survey 2026-05}}"
    plan = changed(tmp_path, REGATTA, (terminal, f"{terminal}      - {mast}\n"))
    assert not any(gate.verdict == "FAIL" for gate in plan.gates)
    box = section(cards.approval(plan), 0, "answer").items[1:]
    gates = make_view(plan, STAMP).values["gates"]
    if lowest is None:
        assert (box, gates["low"]) == ((), None)
        return
    assert box == (("LOWEST", lowest, "over MAST, HOLD to IP; outside the pass"),)
    assert gates["low"] == f"lowest outside the pass: {lowest} over MAST, HOLD to IP"
    assert gates["sentence"].endswith(gates["low"])


def test_a_first_time_leader_is_unusual():
    assert section(cards.approval(plan_of(REGATTA)), 0, "unusual").items[0] == (
        "First-time lead:",
        "Maj R. Okafor-Lind leads a flypast for the first time.",
    )


def test_a_table_with_a_row_too_short_is_a_bug():
    with pytest.raises(ValueError, match="2 entries for 1 columns"):
        Grid("T", ("a",), (("b", "c"),), ("auto",), "l")


@pytest.mark.parametrize("mission", [REGATTA, "missions/founders-day.yaml", "missions/overcommitted.yaml"])
def test_the_nearest_divert_stands_first(mission):
    away = [float(row[2]) for row in section(cards.kneeboard(plan_of(mission), 1), 0, "diverts").rows]
    assert len(away) > 1 and away == sorted(away)


def test_beside_a_pass_an_abort_and_people_that_are_not_given_read_so():
    plan = plan_of("tests/cases/ok-pass-only.yaml")
    back, ground = cards.kneeboard(plan, 1).sides[1][1], cards.ground_contact(plan).sides[0][1]
    assert ground["abort"] is None
    assert back["abort"].items == ground["stop"].items == (("ABORT WORDS", "not given", ""),)
    assert [value for _, value in back["silence"].items] == ["NOT BRIEFED (event.pass.no_cue)"]
    assert back["reach"].items == (("Ground contact", "not given"), ("Supervisor", "not given"))


def test_the_log_says_when_the_hold_is_left_and_the_abort_after_what_nothing_else_is_said():
    """T 03:30:02 Z less 30 s (abort_only_after of the file); the hold is left at the planned row of the
    slips."""
    card = cards.kneeboard(plan_of(REGATTA), 2)
    sides = [side for _, side in card.sides]
    log = {row[0]: row[1] for row in sides[0]["log"].rows}
    assert log["Leave HOLD"] == slip_rows(card)["planned"][4]
    assert list(log)[-5:] == ["Set-up 4 ends", "EXIT", "Rejoined", "HOLD", "Leave HOLD"]
    assert sides[1]["cues"].items[-1] == ("ABORT ONLY", "03:29:32", "T-30 s")


def test_one_table_says_what_is_flown_from_each_point_and_on_which_preset():
    """The regatta's ship 3, red, 15 000 to 19 000 ft: its legs are at 16 000 and 2000 ft MSL, the rejoin at
    14 000; bingo of the pass 1600 lb. Presets of the file: 3 from take-off, 9 in training, 8 from HOLD."""
    table = section(cards.kneeboard(plan_of(REGATTA), 3), 0, "log")
    assert table.heads == ("At", "Z", "Fuel lb", "Go\nhome", "Actual", "Radio", "Then: heading, ft MSL, GS")
    found = {row[0]: (row[5], row[6]) for row in table.rows if row[5] or row[6]}
    assert found == {
        "Take-off": ("3", "222 M, 16000, 324"),
        "ENTRY": ("9", "red 15000-19000"),
        "EXIT": ("", "rejoin 14000"),
        "Rejoined": ("", "092 M, 2000, 320"),
        "HOLD": ("8", "set bingo 1600 lb"),
    }
    assert (
        "01:37:00 on preset 1"
        in dict(section(cards.kneeboard(plan_of(REGATTA), 3), 0, "ground").items)["Start"]
    )


def silence(plan) -> dict[str, str]:
    return {label.rstrip(":"): said for label, said in section(cards.kneeboard(plan, 1), 1, "silence").items}


def test_an_abort_goes_home_and_a_cue_that_nobody_hears_sends_the_flight_back_to_the_hold():
    """Two words for two ways. The relay of 10 s after 03:28:31 the flight has heard it: 0.0 s before the IP
    at 03:28:41.0, from where HOLD lies on 220 M, 40 degrees and 180: at 280 KTAS with about 13 kt from 212 T
    (201 M) the nose points a degree into it."""
    rows = silence(plan_of(REGATTA))
    assert section(cards.kneeboard(plan_of(REGATTA), 1), 1, "abort").items == (
        (
            "ABORT WORDS, said by Lead, ground contact, tower",
            "GANNET ABORT ABORT",
            "GO HOME, 2000 ft MSL: Wings level, climb straight ahead, egress course",
        ),
    )
    assert rows["No ANTHEM by 03:28:21 Z"] == "leave unless told HOLD"
    assert rows["No ANTHEM by 03:28:41 Z"] == "RETURN TO THE HOLD: right, 219 M, 2000 ft MSL"


def test_a_way_back_that_nobody_has_given_reads_so(tmp_path):
    rows = silence(edited(("event.pass.return_turn", "")))
    assert rows["No ANTHEM by 03:28:41 Z"].startswith("RETURN TO THE HOLD: TURN NOT GIVEN, ")
    # its fuel in the hold ends before its T: no return to the hold leads to one
    plan = plan_of("missions/overcommitted.yaml")
    nowhere = silence(plan)
    assert any(note == "no_cue: hold leads to no T" for note in plan.notes)
    assert not any("leads to no T" in note for note in plan_of(REGATTA).notes)
    # 45 s too late: home 44 s before 13:29:26, no order to leave then beside it
    in_hold, left = (said for label, said in nowhere.items() if label.startswith("No PIPES "))
    assert in_hold == nowhere["No PIPES in the hold"]
    assert in_hold == "GO HOME 13:28:42 Z, before LEAVE HOLD: T can't be held (fuel)"
    assert left == "GO HOME, back in the hold it is too late for any T"
    home = silence(plan_of("missions/lantern-fair.yaml"))
    # CHOIR's 12:37:03 and the relay of 10 s: after leave-hold, 12:37:06, and not before it
    assert home["No CHOIR by 12:37:13 Z"] == "GO HOME"


def test_what_cannot_be_used_or_flown_is_marked_on_the_card():
    """Overcommitted: END BY 13:12:00 and a fifth set-up to 13:14:26; Cairnmoor BKN 1200 ft and 4 km against
    1500 ft and 5 km; no forecast for Inverdon."""
    card = cards.kneeboard(plan_of("missions/overcommitted.yaml"), 1)
    stages = [row[0] for row in section(card, 0, "log").rows]
    assert "Set-up 4 ends" in stages and "Set-up 5 ends: AFTER END BY" in stages
    assert [row[0] for row in section(card, 0, "diverts").rows] == [
        "Inverdon airport, weather NOT CHECKED",
        "Cairnmoor airfield, BELOW MINIMA",
    ]
    assert not any("this ship" in detail for _, _, detail in section(card, 0, "fuel_large").items)


def test_who_may_stop_the_pass_by_radio_is_on_the_card():
    card = cards.kneeboard(plan_of(REGATTA), 1)
    assert dict(section(card, 0, "blocks").items)["recall"] == "LANTERN"
    assert section(card, 1, "reach").items == (
        ("PIER", "preset 8, 132.650 MHz; backup 340.800 MHz"),
        ("Harbour tower", "123.400 MHz"),
        ("Lt Col S. Varga", "139.300 MHz; recall LANTERN"),
    )


def test_slips_that_cannot_be_flown_for_one_reason_are_told_together():
    """Of the regatta's rows three are made unmet, two of them for one reason."""
    plan = plan_of(REGATTA)
    why = {0: "no laps give it", 1: "no laps give it", 2: "the hold is too short"}
    slips = tuple(
        replace(row, met=False, told_by=None, met_until=None, reason=why[n]) if n in why else row
        for n, row in enumerate(plan.event.slips)
    )
    card = cards.kneeboard(replace(plan, passes=(replace(plan.event, slips=slips),)), 1)
    a, b, c = list(slip_rows(cards.kneeboard(plan, 1)))[:3]
    assert f"UNABLE {a} to {b}: no laps give it; {c}: the hold is too short." in slip_note(card)
    assert slip_rows(card)[a] == (f"to {b}", "", "UNABLE", "", "", "")
    assert section(card, 1, "slips").wide[0] == (0, 3)


# ---------------- figures typed in another unit, speeds, and missions without a hold or a script

NO_HOLD = (("event.pass.hold", ""), ("event.pass.no_cue", ""), ("contingencies.no_ground_contact", ""))


def edited(*edits: tuple[str, str]):
    plan, found = make_plan(load_mission(REPOSITORY / REGATTA, edits)[0])
    assert plan is not None, [d.message for d in found]
    return plan


def test_a_limit_typed_in_another_unit_goes_up_to_the_gauge_with_the_typed_one_beside_it():
    """Shown in kg by tanks of 5600 lb, 2540 kg, whose 500th is 5.08: a step of 5. 900 lb are 408.23 kg, 800
    lb 362.87, 700 lb 317.51."""
    plan = edited(("fuel.display", "kg"), ("fuel.round_up_to", "50 kg"), ("fuel.joker_pad", "45 kg"))
    assert plan.fuel.ships[0].scale.step == 5
    tiers = dict(section(cards.kneeboard(plan, 1), 0, "tiers").items)
    assert [tiers[name] for name in ("normal", "minimum", "emergency")] == [
        "410 kg (900 lb)",
        "365 kg (800 lb)",
        "320 kg (700 lb)",
    ]
    assert dict(section(cards.kneeboard(plan_of(REGATTA), 1), 0, "tiers").items)["normal"] == "900 lb"


def test_the_push_table_says_what_is_allowed_beyond_it():
    """regatta.yaml: pushed up to 390 KGS; the cap at the pass is 425 KGS, as the slide of the late changes
    has it."""
    card = cards.kneeboard(plan_of(REGATTA), 1)
    assert "Push at 2.5 kt/s; allowed: 425 KGS." in slip_note(card)
    assert section(card, 1, "cues").items[2] == ("PUSH", "03:28:54", "6.9 nm, to 390 KGS")


def test_a_flight_without_a_hold_is_told_seconds_only():
    """Nowhere to write a clock time that would be told, and no wait in a hold that there isn't."""
    card = cards.ground_contact(edited(*NO_HOLD))
    changes = section(card, 0, "changes").heads
    assert "FAST, seconds" in changes and not [head for head in changes if "Old" in head or "time" in head]
    assert not any("Go-home time" in text for _, text in section(card, 1, "lost_contact").items)


def test_what_speed_gives_is_asked_where_nobody_knows_it_and_no_time_is_called_unable():
    plan = edited(*NO_HOLD, ("limits.pass_maximum_speed", ""), ("aircraft.petrel.speed_limits", ""))
    assert (
        section(cards.ground_contact(plan), 0, "slips")
        .items[0][1]
        .endswith("Ask the flight: fast or slow, so many seconds, or UNABLE.")
    )
    assert not section(cards.ground_contact(plan), 0, "wait").note


def test_no_training_is_named_where_there_is_none():
    said = [
        lead
        for lead, _ in section(
            cards.approval(make_plan(without_training(plan_of(REGATTA).mission))[0]), 0, "stop"
        ).items
    ]
    assert "In the air:" in said and "The training:" not in said
    assert "The training:" in [lead for lead, _ in section(cards.approval(plan_of(REGATTA)), 0, "stop").items]


@pytest.mark.parametrize(("mission", "there"), [(REGATTA, False), ("tests/cases/ok-pass-only.yaml", True)])
def test_the_sketch_stands_where_there_is_room(mission, there):
    """Nothing else is given up for it, so nothing is said."""
    made_card = made(plan_of(mission), context("1"), "kneeboard")
    side = made_card.sides[1]
    assert ("The pass from above, north up" in [box.title for box in side.sections]) == there
    assert side.reduced == ()


def test_no_line_of_a_card_ends_inside_a_unit():
    """As it is seen on the page: the push-up's note is narrow, and once read ``2.5 kt/`` and ``s`` below
    it."""
    pymupdf = pytest.importorskip("pymupdf")

    for mission in MISSIONS:
        page = pymupdf.open(stream=card_of(mission, "kneeboard"), filetype="pdf")[1]
        assert not [line for line in page.get_text().splitlines() if line.rstrip().endswith("kt/")], mission


def test_a_flight_across_midnight_says_on_which_date_it_lands():
    """ok-midnight.yaml: take-off 23:00 at +02:00 on 28 Jul, the last ship down 62.5 min later, at 00:02."""
    cards_of = (
        cards.kneeboard,
        lambda plan, _: cards.approval(plan),
        lambda plan, _: cards.ground_contact(plan),
    )
    plan = plan_of("tests/cases/ok-midnight.yaml")
    assert all(make(plan, 1).under.find("landing 29 Jul at the base") > 0 for make in cards_of)
    assert "landing" not in cards.kneeboard(plan_of(REGATTA), 1).under


@pytest.mark.parametrize(
    ("hymn", "local"),  # Oslo, +02:00 in May; the hymn lasts 60 s
    [("23:59:30 event", "5 May 00:00:30 CEST (+02:00)"), ("23:58:30 event", "23:59:30 CEST (+02:00)")],
)
def test_a_t_past_midnight_at_the_event_has_its_date_beside_it(hymn, local):
    mission, _ = load_mission_text(
        PASS_ONLY,
        "m.yaml",
        edits=(("event.script.HYMN.time", hymn), ("ground_ops.takeoff", "23:10 base")),
    )
    card = cards.kneeboard(make_plan(mission)[0], 1)
    (_, _, under), _ = section(card, 1, "times").items
    assert card.under.startswith("Tue 4 May 2027") and under.endswith(local)
    assert ("5 May" in under) == (local[:5] == "5 May")


def test_a_ship_without_which_nothing_changes_is_not_said_to_be_briefed(tmp_path):
    """What the gate of the fall-outs passes, typed {}: the others fly on as they are."""
    falls = [(f"    {n}: {{formation: vic}}", f"    {n}: {{}}") for n in (2, 3, 4)]
    plan = changed(tmp_path, "missions/regatta.yaml", *falls)
    told = dict(section(cards.kneeboard(plan, 1), 0, "contingencies").items)
    assert told["Fall-outs:"] == "without 1: 3 leads and vic; without 2, 3 or 4: leader and formation stay"


def test_a_slip_of_minutes_and_seconds_has_room_in_its_column():
    """The longest hold of ok-by-hand.yaml ends at T 14:11:38, 11 min 38 s after its T; the note has it in
    full."""
    card = cards.kneeboard(plan_of("tests/cases/ok-by-hand.yaml"), 1)
    slip, *_ = reversed(slip_rows(card))
    assert (slip, slip_rows(card)[slip][0]) == ("+11:38", "14:11:38")
    assert "+11 min 39 s" in slip_note(card) and "+30 s" in slip_rows(card)
