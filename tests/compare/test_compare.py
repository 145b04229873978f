"""What two missions differ in: the texts as typed, and the figures that follow from them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.compare.tree import typed_changes
from briefgen.core import resources
from tests.flow_texts import AROUND

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

REGATTA = (resources.missions_folder() / "regatta.yaml").read_text(encoding="utf-8")
DEPART = [{"to": "A"}]
SHIPS = [{"ship": "1", "tail": "0471"}, {"ship": "2", "tail": "0466"}]


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ({"a": "1"}, {"a": "1"}, []),
        ({"a": "1"}, {"a": "2"}, [("a", "1", "2")]),
        ({"a": {"b": "x"}}, {"a": {"b": "x", "c": "y"}}, [("a.c", None, "y")]),
        ({"a": {"b": "x"}}, {}, [("a", "{b: x}", None)]),
        ({"flight": SHIPS}, {"flight": SHIPS[::-1]}, []),  # the order of named entries says nothing
        ({"flight": SHIPS}, {"flight": SHIPS[1:]}, [("flight[ship 1]", "{ship: 1, tail: 0471}", None)]),
        (
            {"flight": SHIPS},
            {"flight": [SHIPS[0], {"ship": "2", "tail": "0470"}]},
            [("flight[ship 2].tail", "0466", "0470")],
        ),
        (
            {"rules": ["one", "two"]},
            {"rules": ["one", "three", "four"]},
            [("rules[2]", "two", "three"), ("rules[3]", None, "four")],
        ),
        ({"a": "x"}, {"a": ["x"]}, [("a", "x", "[x]")]),
        (
            {"to": [{"to": "A", "x": "1"}, {"to": "A", "x": "2"}]},
            {"to": [{"to": "A", "x": "1"}, {"to": "A", "x": "3"}]},
            [("to[2].x", "2", "3")],
        ),
        # an entry of a flow keeps its name when a neighbour comes: only that one is told
        (
            {"flow": [{"departure": DEPART}, {"event": {"id": "HILL", "x": "1"}}]},
            {
                "flow": [
                    {"departure": DEPART},
                    {"event": {"id": "PARK"}},
                    {"transit": [{"to": "C"}]},
                    {"event": {"id": "HILL", "x": "2"}},
                ]
            },
            [
                ("flow[PARK]", None, "{event: {id: PARK}}"),
                ("flow[to HILL]", None, "{transit: [{to: C}]}"),
                ("flow[HILL].event.x", "1", "2"),
            ],
        ),
        (
            {"flow": [{"event": {"id": "HILL", "again": [{"after": "9 min"}]}}]},
            {"flow": [{"event": {"id": "HILL", "again": [{"after": "8 min"}]}}]},
            [("flow[HILL].event.again[1].after", "9 min", "8 min")],
        ),
    ],
)
def test_typed_changes(old, new, expected):
    assert [(change.where, change.old, change.new) for change in typed_changes(old, new)] == expected


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "a.yaml").write_text(REGATTA, encoding="utf-8")
    return tmp_path


def compared(capsys, here: Path, *swaps: tuple[str, str]) -> dict:
    text = REGATTA
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    (here / "b.yaml").write_text(text, encoding="utf-8")
    assert cli.run(["compare", "a.yaml", "b.yaml", "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def by_id(rows: list[dict]) -> dict[str, tuple[str, str]]:
    return {row["id"]: (row["old"], row["new"]) for row in rows}


def test_a_comment_changes_nothing(here, capsys):
    found = compared(capsys, here, ("briefgen: 1 ", "briefgen: 1  # mine"))
    assert found["file"] == found["clock"] == found["fuel"] == found["gates"] == []
    assert len(set(found["fingerprints"].values())) == 1


def test_a_later_take_off_moves_what_comes_before_the_hold_and_costs_no_landing_time(here, capsys):
    found = compared(capsys, here, ("takeoff: 12:37:00 base", "takeoff: 12:39:00 base"))
    clock = by_id(found["clock"])
    assert [(row["where"], row["old"], row["new"]) for row in found["file"]] == [
        ("ground_ops.takeoff", "12:37:00 base", "12:39:00 base")
    ]
    assert clock["takeoff"] == ("02:07:00 Z", "02:09:00 Z")  # base is at +10:30
    assert clock["step"] == ("01:17:00 Z", "01:19:00 Z")  # 50 min before
    assert "t" not in clock and "leave-hold" not in clock  # T stands, so does what hangs on it
    hold = {row["id"]: row for row in found["gates"]}
    assert hold["hold-minimum"]["old"].startswith("PASS, 8 min 33 s") and hold["hold-minimum"][
        "new"
    ].startswith("PASS, 6 min 33 s")


def test_more_fuel_at_start_is_more_at_landing(here, capsys):
    found = compared(
        capsys,
        here,
        (
            "start_fuel: 5500 lb, side: red,  burn_factor: 1.06",
            "start_fuel: 5540 lb, side: red,  burn_factor: 1.06",
        ),
    )
    fuel = {id: tuple(int(text.split()[0]) for text in pair) for id, pair in by_id(found["fuel"]).items()}
    for id in ("fuel ship 4 start_printed", "fuel ship 4 landing_predicted", "fuel lowest_landing"):
        assert fuel[id][1] - fuel[id][0] == 40
    assert found["clock"] == []


def test_for_people_it_is_in_four_sections(here, capsys):
    (here / "b.yaml").write_text(
        REGATTA.replace("takeoff: 12:37:00 base", "takeoff: 12:39:00 base"), encoding="utf-8"
    )
    assert cli.run(["compare", "a.yaml", "b.yaml"]) == 0
    out = capsys.readouterr().out
    assert [line for line in out.splitlines() if line in ("In the file", "Clock", "Fuel", "Gates")] == [
        "In the file",
        "Clock",
        "Fuel",
        "Gates",
    ]
    assert "ground_ops.takeoff  12:39:00 base  was 12:37:00 base" in out


def test_a_wrong_file_is_told_and_nothing_is_compared(here, capsys):
    (here / "b.yaml").write_text(REGATTA.replace("callsign", "calsign"), encoding="utf-8")
    assert cli.run(["compare", "a.yaml", "b.yaml"]) == 2
    out, err = capsys.readouterr()
    assert out == "" and "b.yaml" in err and "calsign" in err


def test_what_is_of_one_of_several_blocks_is_told_by_its_name(here, capsys):
    """MOOR is reserved 5 min longer: END BY 5 min later, a third set-up of 5 min. 100 lb more to leave it are
    105 in ship 2, whose joker was 1356 lb: 1461, up to 50 (tests/test_blocks_by_hand.py)."""
    (here / "a.yaml").write_text(AROUND, encoding="utf-8")
    longer = AROUND.replace("1400 to 1420", "1400 to 1425").replace(
        "time: 2 min, fuel: 60 lb", "time: 2 min, fuel: 160 lb"
    )
    (here / "b.yaml").write_text(longer, encoding="utf-8")
    assert cli.run(["compare", "a.yaml", "b.yaml", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert by_id(found["clock"])["MOOR/knock-off"] == ("14:18:00 Z", "14:23:00 Z")
    fuel = by_id(found["fuel"])
    assert fuel["MOOR/joker"] == ("1400 lb", "1500 lb") and fuel["MOOR/setups"] == ("2 set-ups", "3 set-ups")
    assert not {"knock-off", "setups"} & {*by_id(found["clock"]), *fuel}


def test_a_figure_without_a_limit_says_so_once(here, capsys):
    """A faster push-up: the fastest below 10000 ft, for which regatta.yaml gives no limit, is another."""
    report = compared(capsys, here, ("push_up_to: 390 KGS", "push_up_to: 389 KGS"))
    told = [row for row in report["gates"] if "(no limit given)" in str(row["new"])]
    assert told and not any(row["detail"] for row in told)
