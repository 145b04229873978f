"""Several mission files in one command: told in the order named, all of them done, the worst exit code."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import time

import pytest

from tests.commands.command_line import run
from tests.places import REPOSITORY, TESTS

SMALL = (TESTS / "cases" / "ok-pass-only.yaml").read_text(encoding="utf-8")
FAILS = "missions/overcommitted.yaml"


@pytest.fixture
def there(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")  # else the output of several is as wide as this terminal
    (tmp_path / "a.yaml").write_text(SMALL, encoding="utf-8")
    (tmp_path / "b.yaml").write_text(SMALL.replace("callsign: GANNET", "callsign: PIPIT"), encoding="utf-8")
    (tmp_path / "wrong.yaml").write_text(SMALL.replace("callsign:", "calsign:"), encoding="utf-8")
    (tmp_path / "fine.yaml").write_text(
        (REPOSITORY / "missions" / "start.yaml").read_text(encoding="utf-8"), encoding="utf-8"
    )
    (tmp_path / "fails.yaml").write_text((REPOSITORY / FAILS).read_text(encoding="utf-8"), encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    ("files", "code"),
    [
        (["fine.yaml", "fine.yaml"], 0),
        (["fine.yaml", "fails.yaml"], 1),
        (["fails.yaml", "wrong.yaml", "a.yaml"], 2),
        (["a.yaml", "gone.yaml"], 2),
    ],
)
def test_each_file_is_told_in_order_and_the_worst_code_is_the_commands(there, capsys, files, code):
    """What stands on the output is what the command says of each file alone, one after the other."""
    alone = [run(capsys, "check", file) for file in files]
    together, out, err = run(capsys, "check", *files)
    assert together == code == max((said[0] for said in alone), key=(0, 1, 3, 2).index)
    assert out == "".join(said[1] for said in alone)
    assert [line.split()[0] for line in err.splitlines() if line.startswith("[")] == [
        f"[{number}/{len(files)}]" for number in range(1, len(files) + 1)
    ]
    assert all(f"{file}: " in err for file in files)


def test_machines_get_a_list_for_several_files_and_one_object_for_one(there, capsys):
    _, one, _ = run(capsys, "check", "fine.yaml", "--json")
    _, two, _ = run(capsys, "check", "fine.yaml", "wrong.yaml", "--json")
    assert [document["exit_code"] for document in json.loads(two)] == [0, 2]
    assert json.loads(two)[0] == json.loads(one)


def test_each_file_is_built_into_a_folder_of_its_name(there, capsys):
    code, _, err = run(capsys, "build", "a.yaml", "wrong.yaml", "b.yaml")
    assert code == 2 and "[3/3] b.yaml: " in err and "out/b written" in err and "nothing written" in err
    assert sorted(path.name for path in (there / "out").iterdir()) == ["a", "b"]
    plans = [json.loads((there / "out" / name / "plan.json").read_bytes()) for name in "ab"]
    assert [plan["typed"]["sortie"]["callsign"] for plan in plans] == ["GANNET", "PIPIT"]


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["a.yaml", "b.yaml", "--out", "x"], "--out names the folder of one mission"),
        (["a.yaml", "sub/A.yaml"], "two of the files go to out/A: build sub/A.yaml by itself, with --out"),
        (["a.yaml", "a.yaml"], "two of the files go to out/a"),
    ],
)
def test_two_files_for_one_folder_are_refused_before_anything_is_built(there, capsys, arguments, told):
    code, _, err = run(capsys, "build", *arguments)
    assert code == 2 and told in err and not (there / "out").exists()


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="NOT CHECKED: this system has no process groups")
def test_control_c_ends_all_of_it_and_leaves_whole_folders(there, python, clean_environment):
    command = [python, "-m", "briefgen", "build", "fails.yaml", "a.yaml", "b.yaml"]
    child = subprocess.Popen(
        command, cwd=there, env=clean_environment, start_new_session=True, stderr=subprocess.PIPE, text=True
    )
    time.sleep(1.0)
    os.killpg(child.pid, signal.SIGINT)
    _, err = child.communicate(timeout=60)
    if child.returncode != 130:  # a fast machine was through already
        assert child.returncode == 1, err  # overcommitted
        return
    assert "stopped; products not told as written above are as they were" in err and "Traceback" not in err
    whole = (
        [path for path in (there / "out").iterdir() if not path.name.startswith(".")]
        if (there / "out").exists()
        else []
    )
    assert all((folder / "manifest.json").exists() for folder in whole)
