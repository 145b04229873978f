"""``briefgen whatif`` at the command line: the list, an own change, and every way to type it wrong."""

from __future__ import annotations

import json

import pytest

from briefgen.cli import run
from tests.whatif.whatif_missions import MISSIONS

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

REGATTA = str(MISSIONS / "regatta.yaml")


def test_the_list_and_the_edges(capsys):
    assert run(["whatif", REGATTA]) == 0
    told = capsys.readouterr().out
    assert (
        "Take-off 15 min late" in told
        and "3 set-ups (time), T kept, hold 4 min 33 s, ship 4 lands with 1920 lb" in told
    )
    assert "Latest take-off that still makes T with 2 set-ups" in told


def test_the_list_for_machines(capsys):
    assert run(["whatif", REGATTA, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert [row["id"] for row in told["what_if"]][:2] == ["takeoff-late-300", "takeoff-late-600"]
    assert {row["id"] for row in told["edges"]} >= {
        "latest-takeoff",
        "earliest-time",
        "latest-time",
        "longest-hold-4",
    }


def test_a_file_that_is_wrong_is_told_with_its_line(capsys, tmp_path):
    """As ``check`` tells it; the list left the line out, a change of one's own did not."""
    path = tmp_path / "wrong.yaml"
    text = (MISSIONS / "regatta.yaml").read_text(encoding="utf-8")
    path.write_text(text.replace("takeoff: 12:37:00 base", "takeoff: 12:37:00 nowhere"), encoding="utf-8")
    assert run(["whatif", str(path)]) == 2
    assert "takeoff: 12:37:00 nowhere" in capsys.readouterr().err


def test_an_own_change_is_told_as_a_difference(capsys):
    """12:53 at +10:30 is 02:23 Z, 16 min late: the hold of 512.8 s becomes one of -447.2 s, so that gates
    turn; the file stays as it is."""
    before = (MISSIONS / "regatta.yaml").read_bytes()
    assert run(["whatif", REGATTA, "--set", "ground_ops.takeoff=12:53:00 base", "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert {"what": "take-off", "was": "02:07:00 Z", "is": "02:23:00 Z"} in told["changes"]
    assert {"what": "hold", "was": "8 min 33 s", "is": "-7 min 27 s"} in told["changes"]
    assert any(row["was"] == "PASS" and row["is"] == "FAIL" for row in told["gates"])
    assert (MISSIONS / "regatta.yaml").read_bytes() == before


def test_changes_may_be_repeated(capsys):
    assert (
        run(
            [
                "whatif",
                REGATTA,
                "--set",
                "ground_ops.takeoff=02:17:30 Z",
                "--set",
                "training.setups.planned=3",
                "--json",
            ]
        )
        == 0
    )
    told = json.loads(capsys.readouterr().out)
    assert {"what": "set-ups", "was": "4", "is": "3"} in told["changes"]


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        ("ground_ops.takeof=12:53:00 base", "`takeoff` stands there already"),
        ("ground_ops.takeoff=12:53", "12:53"),
        ("ground_ops.takeoff", 'has no "="'),
    ],
)
def test_what_is_typed_wrong_is_shown_where_it_stands(capsys, edit, says):
    assert run(["whatif", REGATTA, "--set", edit]) == 2
    told = capsys.readouterr()
    assert says in told.err + told.out and "--set" in told.err + told.out


HARBOURS = str(MISSIONS / "three-harbours.yaml")


@pytest.mark.parametrize(
    ("edit", "says"),
    [
        ("flow.6.event.accept_slip.late=4 furlongs", 'cannot read "4 furlongs" as a duration'),
        ("flow.4.again.1.after=16 miles", 'cannot read "16 miles" as a duration'),
        # the recovery is the ninth
        ("flow.9.event.accept_slip.late=4 min", 'there is no "event" at that place of the flow'),
        ("flow.4.evnt.accept_slip.late=4 min", 'there is no "evnt" at that place of the flow'),
        ("flow.10.event.accept_slip.late=4 min", "which has 9 entries"),
        ("flow.SALTMERE.event.accept_slip.late=4 min", '"SALTMERE" is no position in the flow'),
        ("event.accept_slip.late=4 min", '"event" stands in the flow'),
    ],
)
def test_in_a_flow_it_is_shown_there_too_with_the_places_that_there_are(capsys, edit, says):
    assert run(["whatif", HARBOURS, "--set", edit]) == 2
    err = capsys.readouterr().err
    assert says in err and err.startswith(f"--set {edit.partition('=')[0]}:1:")
    if "flow" in says:
        assert "flow.4.event (SALTMERE), flow.5.transit, flow.6.event (CORBROOK)" in err


def test_a_file_that_isnt_there(capsys):
    assert run(["whatif", "nowhere.yaml"]) == 2
