"""What becomes of a sortie with several passes on the command line: checked whole, and nothing else is done
with its first pass alone."""

from __future__ import annotations

import pytest

from tests.commands.command_line import run
from tests.flow_texts import three_passes


@pytest.fixture
def flow(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "flow.yaml").write_text(three_passes(), encoding="utf-8")
    return "flow.yaml"


def test_a_check_names_each_pass_beside_what_is_open(capsys, flow):
    code, out, _ = run(capsys, "check", flow)
    assert code == 1  # the second pass is reached on no whole laps
    assert "[PARK/pass-2/t-reachable]" in out and "(HILL)" in out


@pytest.mark.parametrize(
    "command",
    [
        ("build",),
        ("whatif",),
        ("retime", "--slip", "30"),
        ("approve", "--by", "A. Person", "--role", "Supervisor"),
        ("debrief", "--new", "flown.yaml"),
    ],
    ids=lambda command: command[0],
)
def test_every_other_command_refuses_several_passes_in_words(capsys, flow, command):
    code, out, err = run(capsys, command[0], flow, *command[1:])
    assert code == 2
    assert "3 passes are timed, fuelled and checked" in out + err
