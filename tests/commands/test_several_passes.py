"""What becomes of a sortie with several passes on the command line: checked and built whole, and nothing else
is done with its first pass alone."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest

from tests.commands.command_line import run
from tests.flow_texts import AROUND, three_passes
from tests.places import REPOSITORY
from tests.test_flow_by_hand import EARLIEST, planned

pytestmark = pytest.mark.usefixtures("one_plan_a_text")


@pytest.fixture
def flow(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "flow.yaml").write_text(three_passes(), encoding="utf-8")
    return "flow.yaml"


def test_a_check_names_each_pass_beside_what_is_open(capsys, flow):
    code, out, _ = run(capsys, "check", flow)
    assert code == 1  # the second pass is reached on no whole laps
    assert "[PARK/pass-2/t-reachable]" in out and "(HILL)" in out


def test_a_check_prints_the_t_that_was_planned_for_a_pass_flown_as_early_as_can_be(capsys, flow):
    Path(flow).write_text(EARLIEST, encoding="utf-8")
    document = json.loads(run(capsys, "check", "--json", flow)[1])
    (told,) = (time["zulu"] for time in document["times"] if time["typed"] == "earliest")
    assert told == f"{planned(EARLIEST).passes[1].true_time:%FT%T.%f}Z"


# each T by hand: the cue's time and length, or the T before and so long after, less the offset of the place
@pytest.mark.parametrize(
    ("name", "times"),
    [
        (
            "three-harbours",
            [
                (
                    "flow[4].event.pass.time",
                    "end of MARCH",
                    "2027-06-05 14:00:00 Z",
                ),  # 14:57:20 + 160 s, less 1 h
                ("flow[4].again[1].after", "15 min", "2027-06-05 14:15:00 Z"),
                (
                    "flow[6].event.pass.time",
                    "end of ANTHEM",
                    "2027-06-05 14:30:00 Z",
                ),  # 16:27:20 + 160 s - 2 h
                ("flow[8].event.pass.time", "16:44:00 event", "2027-06-05 14:44:00 Z"),
            ],
        ),
        (
            "twin-fields",
            [
                ("flow[2].event.pass.time", "end of SONG", "2027-08-14 15:30:00 Z"),  # 10:26:40 + 200 s + 5 h
                ("flow[2].again[1].after", "13 min", "2027-08-14 15:43:00 Z"),
            ],
        ),
    ],
)
def test_a_check_of_a_demonstration_fails_nothing_and_tells_the_time_of_each_pass(capsys, name, times):
    code, out, _ = run(capsys, "check", str(REPOSITORY / "missions" / f"{name}.yaml"))
    assert code == 0
    told = [tuple(re.split(r"  +", line.strip())) for line in out.splitlines()]
    assert [row for row in told if row[0].endswith((".pass.time", ".after"))] == times


def test_what_ifs_and_edges_name_their_pass(capsys):
    """By hand in tests/whatif/test_edges_of_passes.py; the second pass moves with the first and has none."""
    code, out, _ = run(capsys, "whatif", str(REPOSITORY / "missions" / "twin-fields.yaml"))
    assert code == 0
    told = [line.strip() for line in out.splitlines()]
    assert any(line.startswith("TWINS: ceremony 2 min late") for line in told)
    edges = [line for line in told if "TWINS" in line.partition(":")[0] and "est T" in line]
    assert [line.partition("   ")[0] for line in edges] == ["TWINS: earliest T", "TWINS: latest T"]
    assert "Divert from the centre of TWINS pass 2 to" in out
    assert "Latest take-off that still makes every T" in out


@pytest.mark.parametrize(
    ("edit", "told"),
    [
        # T at the end of MARCH, which lasts 160 s: 15:01:00 event is 14:01:00 Z, and 15 min later; CORBROOK's
        # hold, 6 min 22 s, gives the minute
        (
            "flow.4.event.script.MARCH.time=14:58:20 event",
            {
                "true time over target of SALTMERE": ("14:00:00 Z", "14:01:00 Z"),
                "true time over target of SALTMERE pass 2": ("14:15:00 Z", "14:16:00 Z"),
                "hold of CORBROOK": ("6 min 22 s", "5 min 22 s"),
            },
        ),
        (
            "flow.4.again.1.after=16 min",
            {
                "true time over target of SALTMERE pass 2": ("14:15:00 Z", "14:16:00 Z"),
                "hold of SALTMERE pass 2": ("4 min 16 s", "5 min 16 s"),
                "hold of CORBROOK": ("6 min 22 s", "5 min 22 s"),
            },
        ),
    ],
)
def test_a_change_in_the_flow_is_told_of_each_pass(capsys, edit, told):
    mission = str(REPOSITORY / "missions" / "three-harbours.yaml")
    _, out, _ = run(capsys, "whatif", mission, "--set", edit, "--json")
    found = {row["what"]: (row["was"], row["is"]) for row in json.loads(out)["changes"]}
    passes = {what: pair for what, pair in found.items() if what.startswith(("true time", "hold of"))}
    assert passes == told


@pytest.mark.office
def test_a_build_of_several_blocks_makes_every_product(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "two.yaml").write_text(AROUND, encoding="utf-8")
    code, out, err = run(capsys, "build", "two.yaml", "--out", "brief")
    assert code == 0, out + err
    assert not [path.name for path in (tmp_path / "brief").iterdir() if path.name.startswith("FAILED")]
    made = json.loads((tmp_path / "brief" / "plan.json").read_text(encoding="utf-8"))
    assert made["plan"]["training"] is None and [b["id"] for b in made["plan"]["blocks"]] == ["FEN", "MOOR"]


def test_a_change_in_one_block_is_told_by_its_name(capsys, tmp_path):
    """Set-ups of 6 min: 14:05:20 + 12 min and 2 min to leave are by 14:20. What one costs is given."""
    file = tmp_path / "two.yaml"
    file.write_text(AROUND, encoding="utf-8")
    edit = "flow.6.training.setups.each=8 min"
    _, out, _ = run(capsys, "whatif", str(file), "--set", edit, "--json")
    found = {row["what"]: (row["was"], row["is"]) for row in json.loads(out)["changes"]}
    assert found["set-ups (MOOR)"] == ("2", "1") and "set-ups (FEN)" not in found


@pytest.mark.office
def test_a_build_makes_a_side_for_each_pass_and_a_card_for_each_event(capsys, flow, tmp_path):
    code, out, err = run(capsys, "build", flow, "--out", "brief")
    assert code == 1, out + err  # the second pass is reached on no whole laps
    made = {path.name for path in (tmp_path / "brief").iterdir()}
    assert {"ground-contact-PARK.pdf", "ground-contact-HILL.pdf", "kneeboard-1.pdf", "deck.pptx"} <= made
    assert not [name for name in made if name.startswith("FAILED")] and "ground-contact.pdf" not in made
    text = subprocess.run(
        ["pdftotext", "-layout", tmp_path / "brief" / "kneeboard-1.pdf", "-"],
        capture_output=True, text=True, check=True,
    ).stdout  # fmt: skip
    assert [
        f"PASS {n} of 3, {name}" in text for n, name in ((1, "PARK"), (2, "PARK pass 2"), (3, "HILL"))
    ] == [True] * 3
    assert all(f"14:{minute}:00 Z" in text for minute in ("00", "20", "40"))
