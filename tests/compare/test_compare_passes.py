"""What two missions of several passes differ in, told of each pass."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.core import resources
from tests.compare.test_compare import by_id
from tests.places import put_beside

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

HARBOURS = (resources.missions_folder() / "three-harbours.yaml").read_text(encoding="utf-8")
CORBROOK_60 = (
    ("time: 16:25:00 event", "time: 16:26:00 event"),
    ("time: 16:27:20 event", "time: 16:28:20 event"),
    ("acknowledged: 16:30:00 event", "acknowledged: 16:31:00 event"),
)


def without_dunwater() -> str:
    """Neither the last event nor the way to it; the flight goes home after CORBROOK."""
    cut = HARBOURS[: HARBOURS.index("  - transit:\n      - {to: PIERHOLD")]
    for onward, home in (("no_cue: next pass", "no_cue: go home"), ("    then: next pass", "    then: home")):
        before, after = cut.rsplit(onward, 1)
        cut = before + home + after
    return cut + HARBOURS[HARBOURS.index("  - recovery:") :]


def of_harbours(capsys, text: str) -> dict:
    put_beside(Path())
    Path("a.yaml").write_text(HARBOURS, encoding="utf-8")
    Path("b.yaml").write_text(text, encoding="utf-8")
    assert cli.run(["compare", "a.yaml", "b.yaml", "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_of_several_passes_the_times_of_the_one_that_moves_are_told(here, capsys):
    """CORBROOK a minute later, at 14:31:00 Z, set 12 s later; the hold before DUNWATER takes it up."""
    text = HARBOURS
    for old, new in CORBROOK_60:
        assert text.count(old) == 1
        text = text.replace(old, new)
    found = of_harbours(capsys, text)
    clock, gates = by_id(found["clock"]), by_id(found["gates"])
    assert clock["CORBROOK/true-time"] == ("14:30:00 Z", "14:31:00 Z")
    assert clock["CORBROOK/set-time"] == ("14:30:12 Z", "14:31:12 Z")
    assert not {"SALTMERE/true-time", "SALTMERE/pass-2/true-time", "DUNWATER/true-time", "landing"} & {*clock}
    assert {"CORBROOK/permission-until", "DUNWATER/hold-minimum"} <= {*gates}
    assert "SALTMERE/hold-minimum" not in gates


def test_a_pass_that_only_one_side_has_is_told_once(here, capsys):
    found = of_harbours(capsys, without_dunwater())
    assert by_id(found["clock"])["DUNWATER/pass"] == ("T 14:44:00 Z", "none")
    rows = [row["id"] for rows in found.values() if isinstance(rows, list) for row in rows if "id" in row]
    assert [id for id in rows if id.startswith("DUNWATER/")] == ["DUNWATER/pass"]
    assert [row["where"] for row in found["file"]] == [
        "flow[CORBROOK].event.pass.no_cue",
        "flow[CORBROOK].event.pass.then",
        "flow[to DUNWATER]",
        "flow[DUNWATER]",
    ]  # fmt: skip


def test_bingo_and_the_time_to_go_home_are_told_of_each_pass(here, capsys):
    """A reserve of 60 in the place of 30 min is in every bingo, which every hold then comes to sooner."""
    found = of_harbours(capsys, HARBOURS.replace("display: kg, joker", "display: kg, reserve: 60 min, joker"))
    told = by_id([*found["fuel"], *found["clock"]])
    for piece in ("SALTMERE", "SALTMERE/pass-2", "CORBROOK", "DUNWATER"):
        was, now = (int(text.split()[0]) for text in told[f"{piece}/bingo"])
        assert now > was
        assert told[f"{piece}/go-home"][1] < told[f"{piece}/go-home"][0]
