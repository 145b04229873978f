"""Limits that the unit does not give are one line with one reason in every list that people read; plan.json
keeps each gate."""

from __future__ import annotations

import json

import pytest

from briefgen import cli
from briefgen.brief.cards import cards
from briefgen.brief.wording.open_limits import NO_LIMITS, key_words, spread, told_gates, with_limits
from briefgen.core.context import Stamp
from briefgen.plan.build import make_plan
from tests.brief.cards.reading import open_rows
from tests.planned import REPOSITORY, brief_of, load_mission, plan_of

REGATTA = "missions/regatta.yaml"
# The regatta's regime is ICAO, of which only the height over an assembly was read, and its limits name none
# of these.
KEYS = {
    "low-speed": "limits.speed_below_10000_ft",
    "permission-requested": "limits.request_days",
    "formation-size": "limits.formation_size",
    "standard-across": "limits.formation_across",
    "standard-vertical": "limits.formation_vertical",
    "aerobatics-floor": "limits.aerobatics_floor",
    "reserve-time": "limits.reserve_by_day",
}


def one_line_names_all(line: str) -> bool:
    gates = {gate.id: gate for gate in plan_of(REGATTA).gates}
    return all(gates[id].title in line and key in line for id, key in KEYS.items())


def test_the_gates_themselves_say_what_they_lack():
    lacking = {gate.id: ".".join(gate.settled_by) for gate in plan_of(REGATTA).gates if gate.lacks == "limit"}
    assert lacking == KEYS


def test_one_gate_stands_for_all_and_the_others_keep_their_order():
    gates = plan_of(REGATTA).gates
    told = told_gates(gates)
    (one,) = [gate for gate in told if gate.id == NO_LIMITS]
    assert one.verdict == "NOT CHECKED" and one.value == "7 figures" and one_line_names_all(one.why)
    assert [gate for gate in told if gate is not one] == [gate for gate in gates if gate.id not in KEYS]


def test_the_terminal_has_one_line(capsys):
    assert cli.run(["check", str(REPOSITORY / REGATTA)]) == 0
    lines = [line for line in capsys.readouterr().out.splitlines() if line.startswith("  NOT CHECKED")]
    assert len([line for line in lines if "no limit given" in line]) == 1
    assert [one_line_names_all(line) for line in lines].count(
        True
    ) == 1 and "settled by the key limits" in next(filter(one_line_names_all, lines))


def test_the_machine_s_list_has_each_gate(capsys):
    cli.run(["check", str(REPOSITORY / REGATTA), "--json"])
    gates = {gate["id"]: gate for gate in json.loads(capsys.readouterr().out)["gates"]}
    assert {id: (gates[id]["lacks"], ".".join(gates[id]["settled_by"])) for id in KEYS} == {
        id: ("limit", key) for id, key in KEYS.items()
    }


def test_the_slide_of_what_is_not_checked_has_one_row_with_the_keys():
    table = brief_of(plan_of(REGATTA), Stamp("", "", "", "", "", "")).view.tables["gates_not_checked"]
    rows = [" ".join(cell.text for cell in row) for row in table.rows]
    # the terrain, the notices, the limits
    assert len(rows) == 3 and [one_line_names_all(row) for row in rows].count(True) == 1


def test_the_sheet_has_one_paragraph_and_counts_it_once():
    sheet = cards.approval(plan_of(REGATTA))
    assert "3 NOT CHECKED" in sheet.sides[0][1]["answer"].items[0][0]
    rows = [gate for head, gate, _ in open_rows(sheet) if head.startswith("NOT CHECKED")]
    assert len(rows) == 3 and "7 figures without a limit, named on page 2 [limits-not-given]" in rows
    ((_, named),) = sheet.sides[1][1]["lacking"].items
    assert one_line_names_all(named)


@pytest.mark.parametrize("own", ["", "asked by telephone"])
def test_one_reason_is_recorded_for_each_and_one_of_its_own_wins(own):
    gates = plan_of(REGATTA).gates
    given = {NO_LIMITS: "no figures in our order", **({"formation-size": own} if own else {})}
    reasons = spread(gates, given)
    assert set(reasons) == set(KEYS)
    assert {reasons[id] for id in KEYS if id != "formation-size"} == {"no figures in our order"}
    assert reasons["formation-size"] == (own or "no figures in our order")
    assert with_limits(gates, reasons)[NO_LIMITS] == (
        "no figures in our order; asked by telephone" if own else "no figures in our order"
    )


def test_the_sheet_names_the_key_of_a_clock_that_is_only_a_guess():
    """The lantern fair's square between the coasts of Finland and Russia, whose clocks are an hour apart."""
    changes = (
        ("places.SQUARE.position", "60°00.0'N 026°18.0'E"),
        ("places.SQUARE.time_zone", ""),
        ("event.pass.crowd_line", ""),
        ("event.pass.obstacles", ""),
    )
    plan, _ = make_plan(load_mission(REPOSITORY / "missions/lantern-fair.yaml", changes)[0])
    (gate,) = (gate for gate in plan.gates if gate.id == "clocks")

    assert key_words(gate) == "Key: places.SQUARE.time_zone" and "SQUARE lies at sea" in gate.value
