"""The what-ifs on a kneeboard card: short words for the same figures, worked out once for all products."""

from __future__ import annotations

import re

import pytest

from briefgen.brief.brief import Brief
from briefgen.brief.cards import cards
from briefgen.brief.wording.whatif import lines_of
from briefgen.core.diagnostics import Diagnostic
from briefgen.whatif import answers
from briefgen.whatif.answers import what_if
from briefgen.whatif.cases import in_brief
from tests.brief.cards.reading import slip_rows
from tests.planned import what_if_of
from tests.render.pdf_cases import STAMP, changed, plan_of

REGATTA, START = "missions/regatta.yaml", "missions/start.yaml"
ALL = (
    REGATTA,
    START,
    "missions/lantern-fair.yaml",
    "missions/founders-day.yaml",
    "missions/overcommitted.yaml",
)


def rows(plan) -> dict[str, tuple[str, str]]:
    """Change → (what becomes of it, how it lands)."""
    found = cards.kneeboard(plan, 1, what_if_of(plan)).sides[0][1]["what_if"]
    items = () if found is None else found.items
    return {change.rstrip(":"): tuple(said.split("; lands ")) for change, said in items}


@pytest.mark.parametrize(
    ("change", "then"),
    [
        # As written 557.8 s of hold with 4 set-ups of 660 s, and the shortest hold is 240 s: late by L with n
        # set-ups 557.8 - L + 660 (4 - n); 10 min late 3 leave 617.8 s, 20 min late 2 leave 677.8 s, 30 min
        # late 1 leaves 737.8 s, and 2 are the least worth flying.
        ("10 min late", "3 set-ups, T kept"),
        ("20 min late", "2 set-ups, T kept"),
        ("30 min late", "1 set-up, too few, T kept"),
        ("Ship 1 out", "3 leads, vic, T kept"),  # fall_outs of the file
        ("Joker early", "hold 19 min 33 s, T kept"),  # 557.8 s + 660 s = 1217.8 s
    ],
)
def test_the_regatta(change, then):
    assert rows(plan_of(REGATTA))[change][0] == then


def test_the_hold_is_left_when_the_other_side_says_so():
    """Low cloud: when the hold is left as planned (the dark row of the slips); no contact: leave-hold of the
    last slip that is accepted, its row of the slips."""
    card = cards.kneeboard(plan_of(REGATTA), 1, what_if_of(plan_of(REGATTA)))
    found = rows(plan_of(REGATTA))
    planned = slip_rows(card)["planned"]
    # both rounded to the nearest
    assert planned[4] == "03:28:21" and found["Low cloud"][0] == "home at 03:28:21 Z"
    # T 03:30:02 and the accepted 10 min, with fuel for longer
    last = slip_rows(card)["+10 min"]
    assert last[4] == "03:38:21" and found["No contact"][0] == "hold to 03:38:21 Z (slip accepted)"


@pytest.mark.parametrize("mission", ALL)
def test_every_landing_figure_is_the_one_of_the_full_line(mission):
    plan = plan_of(mission)
    full = {line.id: line.outcome for line in lines_of(what_if_of(plan))}
    ids = {f"{m} min late": f"takeoff-late-{60 * m}" for m in (10, 20, 30)} | {
        "Ship 1 out": "ships-out-1",
        "Joker early": "joker-early",
    }
    ids |= {"20 kt slower": "slower", "Low cloud": "low-cloud", "No contact": "no-contact"}
    found = rows(plan)
    assert set(found) == set(ids)
    for change, id in ids.items():
        if full[id].startswith(
            "NOT CHECKED"
        ):  # overcommitted: nobody has said what it does without the ground contact
            assert id == "no-contact" and found[change] == ("NOT CHECKED",)
            continue
        figure, ship = re.fullmatch(r"([\d.]+) \(ship (\d)\)", found[change][1]).groups()
        assert f"ship {ship} lands with {figure} {plan.fuel.unit}" in full[id]


def test_what_is_lost_stands_in_capitals():
    """start: the least training takes the flight to the hold 540 s before leave-hold when 20 min late, so 30
    min late it is 60 s after it."""
    assert rows(plan_of(START))["30 min late"][0] == "0 set-ups, too few, T LOST"


def test_fewer_ships_than_the_pass_needs(tmp_path):
    plan = changed(tmp_path, START, ("minimum_ships: 1", "minimum_ships: 2"))
    assert rows(plan)["Ship 1 out"][0] == "2 leads, PASS OFF"


@pytest.mark.parametrize(
    ("can_lead", "said"),
    [
        (", can_lead: yes", "2 leads"),
        (", can_lead: no", "2 first, may lead: NO"),
        ("", "2 first, may lead: NOT CHECKED"),
    ],
)
def test_who_leads_when_the_leader_is_out(tmp_path, can_lead, said):
    plan = changed(tmp_path, START, ("burn_factor: 1.05, can_lead: yes", f"burn_factor: 1.05{can_lead}"))
    assert rows(plan)["Ship 1 out"][0].startswith(said)


def test_what_isnt_known_reads_not_checked():
    """Neither fuel nor a reservation bounds the set-ups of this training; that it can't be flown later is not
    shown by anything."""
    plan = plan_of("tests/cases/ok-training-only.yaml")
    outcomes = [line.outcome for line in lines_of(what_if(plan))]
    assert (
        not any("can't be flown" in outcome for outcome in outcomes)
        and sum(o.startswith("NOT CHECKED: ") for o in outcomes) == 5
    )


@pytest.mark.parametrize(
    ("code", "reads"),
    [
        ("leg", "can't be flown: no reason"),
        ("push-up", "can't be flown: no reason"),
        ("no-setups", "NOT CHECKED: no reason"),
        ("variation", "NOT CHECKED: no reason"),
    ],
)
def test_only_what_is_shown_to_be_impossible_reads_so(monkeypatch, code, reads):
    """A leg against a wind that can't be held is impossible; a variation that nobody knows, or set-ups that
    nothing bounds, are not."""
    plan = plan_of(START)
    worked_out = answers.fly

    def fly(mission, *, tables=True):
        late = mission.times.takeoff is not None and mission.times.takeoff > plan.clock.takeoff
        return (
            (None, [Diagnostic(code, "error", "no reason")]) if late else worked_out(mission, tables=tables)
        )

    monkeypatch.setattr(answers, "fly", fly)
    found = {line.id: line for line in lines_of(what_if(plan))}
    assert found["takeoff-late-600"].outcome == reads and found["takeoff-late-600"].worse
    assert "lands with" in found["slower"].outcome


@pytest.mark.parametrize("elsewhere", ["nowhere", "there", "there, with a fault"])
def test_all_products_share_one_working_out(monkeypatch, elsewhere):
    """Two cards and the slides: the missions are planned anew once, and here only where a second worker
    hasn't done it."""
    asked, plan = [], plan_of(START)
    worked_out = answers.what_if
    monkeypatch.setattr(answers, "what_if", lambda plan, *more: asked.append(plan) or worked_out(plan, *more))
    told = {"nowhere": None, "there": lambda: worked_out(plan, in_brief)}
    brief = Brief(plan, STAMP, told.get(elsewhere, lambda: 1 / 0))
    boxes = [cards.kneeboard(plan, ship, brief.what_if).sides[0][1] for ship in (1, 2)]
    assert brief.view is brief.view and brief.what_if is brief.what_if and all(boxes)
    assert len(asked) == (0 if elsewhere == "there" else 1)


def test_no_box_where_a_change_can_cost_nothing(tmp_path):
    """Training alone, without fuel or a reservation; a reservation until 10:50 Z can be missed: 12:10 base is
    10:10 Z, three set-ups of 11 min end at 10:43 Z."""
    assert rows(plan_of("tests/cases/ok-training-only.yaml")) == {}
    held = changed(
        tmp_path,
        "tests/cases/ok-training-only.yaml",
        ("top: FL200\n", "top: FL200\n    reserved: 12:00 to 12:50 base\n"),
    )
    assert rows(held)["20 min late"][0].startswith("1 set-up") and rows(held)["Joker early"] == (
        "2 set-ups",
        "NOT CHECKED",
    )
    assert rows(plan_of("tests/cases/ok-pass-only.yaml"))["20 kt slower"] == ("T LOST", "NOT CHECKED")
