"""The command line as a person meets it: finding the command, checking a mission, beginning a new one."""

from __future__ import annotations

import json
import re

import pytest

from briefgen import cli
from briefgen.brief.slides.tables.gates import gates_not_checked, open_at_stake
from briefgen.brief.wording.words import words_of
from briefgen.build.build import check
from briefgen.commands.report import gate_rows
from briefgen.core import resources
from briefgen.core.fingerprint import ALPHABET
from tests.commands.command_line import REGATTA, run, start
from tests.mission.mission_texts import regatta
from tests.places import REPOSITORY
from tests.planned import plan_of_text

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

# ---------------------------------------------------------------- what is checked


@pytest.mark.parametrize(
    "data",
    [b"\x7fELF" + bytes(range(256)) * 40, b"briefgen: 1\n".decode().encode("utf-16-le")],
    ids=["a program", "UTF-16 without a mark"],
)
def test_a_file_that_is_no_text_gets_one_error(capsys, here, data):
    (here / "x").write_bytes(data)
    code, out, _ = run(capsys, "check", "x")
    assert code == 2 and "x:1:1: error: this is no text file" in out and out.rstrip().endswith("1 error")


def test_check_says_whether_the_plan_is_approved(capsys, here):
    assert "NOT APPROVED: Nobody has approved this plan." in run(capsys, "check", "good.yaml")[1].splitlines()
    assert json.loads(run(capsys, "check", "good.yaml", "--json")[1])["approval"] == "NOT APPROVED"
    (here / "good.approval.json").write_text("{}", encoding="utf-8")
    assert (
        "the approval record good.approval.json is no record of format 1"
        in run(capsys, "check", "good.yaml")[1]
    )


# ---------------------------------------------------------------- finding the command


@pytest.mark.parametrize(
    ("arguments", "code", "words"),
    [
        ([], 2, "Commands:"),
        (["--help"], 0, "Exit codes"),
        (["-h"], 0, "Exit codes"),
        (["--version"], 0, "briefgen 0."),
        (["chek", "x"], 2, "did you mean 'check'?"),
        (
            ["frobnicate"],
            2,
            "the commands are check, build, retime, whatif, compare, approve, verify, debrief, new, schema",
        ),
        (["check", "--jsn", "x"], 2, "--json"),
        (["check"], 2, "FILE"),
        (["schema", "b"], 2, "unexpected extra argument"),
        (["new", "x.yaml", "--from", "regata"], 2, "did you mean 'regatta'?"),
        (["new", "x.yaml", "--from", "../secret"], 2, "there is no demonstration mission"),
        (["check", "nowhere.yaml"], 2, "nowhere.yaml"),
        (["check", "."], 2, "folder"),
        (["build", "nowhere.yaml"], 2, "nowhere.yaml"),
        (["build", "good.yaml", "--templates", "nowhere"], 2, "nowhere"),
        (["build", "good.yaml", "--templates", "."], 2, "replaces no template"),
    ],
)
def test_what_is_not_understood_is_said_with_the_way_out(capsys, here, arguments, code, words):
    found, out, err = run(capsys, *arguments)
    assert found == code
    assert words in out + err
    assert "Traceback" not in out + err
    assert sorted(path.name for path in here.iterdir()) == ["good.yaml", "wrong.yaml"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["check"], "FILE"),
        (["check", "--jsn", "x"], "--jsn"),
        (["chek", "x"], "did you mean 'check'?"),
        (["build", "good.yaml", "--templates", "nowhere"], "nowhere"),
        (["build", "good.yaml", "wrong.yaml", "--out", "x"], "--out names the folder of one mission"),
        (["retime"], "FILE"),
        (["compare", "good.yaml"], "'B'"),
        (["approve", "good.yaml"], "needs --by and --role"),
        (["debrief", "good.yaml"], "give ACTUALS"),
        (["verify", "nowhere"], "there is no nowhere"),
        (["verify", "good.yaml"], "no approval record"),
    ],
)
def test_a_command_not_understood_is_one_document_for_machines(capsys, here, arguments, words):
    """With the same record as a mistake in a file has, and nothing beside it."""
    code, out, err = run(capsys, *arguments, "--json")
    document = json.loads(out)
    (told,) = document["diagnostics"]
    assert (code, document["exit_code"], err, told["severity"], told["place"]) == (2, 2, "", "error", None)
    assert words in told["message"] and set(told) >= {"code", "why", "help", "related"}


@pytest.mark.parametrize("command", list(cli.COMMANDS))
def test_every_command_explains_itself(capsys, command):
    code, out, _ = run(capsys, command, "--help")
    assert code == 0 and out.startswith(f"Usage: briefgen {command}") and len(out.splitlines()) > 4


# ---------------------------------------------------------------- check


def test_check_prints_gates_clock_times_and_the_database(capsys, here):
    """Local times worked by hand: the base keeps UTC+10:30 and the event UTC+11 in January (South Australia
    and Victoria, daylight time)."""
    code, out, _ = run(capsys, "check", "good.yaml")
    assert code == 0
    assert "2027-01-30 02:07:00 Z" in line_with(out, "12:37:00 base")
    assert "2027-01-30 03:28:06 Z" in line_with(out, "14:28:06 event")
    assert "Gates" in out and "\n  PASS " in out
    assert "Time zone database 20" in out
    assert out.splitlines()[-1].startswith("good.yaml: gates: ")


def line_with(text: str, part: str) -> str:
    return next(line for line in text.splitlines() if part in line)


def test_check_for_machines_says_the_same(capsys, here):
    code, out, err = run(capsys, "check", "good.yaml", "--json")
    document = json.loads(out)
    assert (code, document["exit_code"], err) == (0, 0, "")
    assert {gate["verdict"] for gate in document["gates"]} <= {"PASS", "CAUTION", "NOT CHECKED"}
    assert {
        "key": ["ground_ops", "takeoff"],
        "typed": "12:37:00 base",
        "zulu": "2027-01-30T02:07:00.000000Z",
    } in document["times"]
    assert set(document["fingerprint"]) <= set(ALPHABET + "-")


def test_a_wrong_file_is_told_with_its_place_and_exit_2(capsys, here):
    code, out, _ = run(capsys, "check", "wrong.yaml")
    assert code == 2
    second = [
        number
        for number, line in enumerate((here / "wrong.yaml").read_text().splitlines(), 1)
        if "calsign" in line
    ][1]
    assert f"wrong.yaml:{second}:3: error:" in out
    assert "calsign: GANNET" in out and "^^^^^^^" in out
    code, out, _ = run(capsys, "check", "wrong.yaml", "--json")
    document = json.loads(out)
    assert code == document["exit_code"] == 2
    assert second in {d["place"]["line"] for d in document["diagnostics"]}


@pytest.mark.parametrize("name", ["start", "regatta"])
def test_a_shipped_mission_checks_cleanly(capsys, name):
    code, out, _ = run(capsys, "check", str(resources.missions_folder() / f"{name}.yaml"))
    assert code == 0, out
    assert "error:" not in out


# ---------------------------------------------------------------- new and schema


def test_new_writes_a_mission_and_its_schema_and_the_mission_checks_cleanly(capsys, here):
    assert run(capsys, "new", "mine.yaml")[0] == 0
    first = (here / "mine.yaml").read_text(encoding="utf-8").splitlines()[0]
    assert first == "# yaml-language-server: $schema=mission.schema.json"
    assert json.loads((here / "mission.schema.json").read_text(encoding="utf-8"))["type"] == "object"
    code, out, _ = run(capsys, "check", "mine.yaml")
    assert code == 0, out


def test_new_without_a_name_and_from_a_demonstration(capsys, here):
    assert run(capsys, "new")[0] == 0 and (here / "mission.yaml").is_file()
    assert run(capsys, "new", "--from", "regatta")[0] == 0 and (here / "regatta.yaml").is_file()


def test_a_copied_demonstration_brings_the_files_that_it_names(capsys, here):
    """Its obstacles and its ground lie beside it; those that are there already are left as they are."""
    assert run(capsys, "new", "one.yaml", "--from", "twin-fields")[0] == 0
    assert run(capsys, "new", "two.yaml", "--from", "twin-fields")[0] == 0
    assert run(capsys, "check", "two.yaml")[0] == 0
    (here / "twin-fields" / "ground.asc").write_text("mine")
    code, _, told = run(capsys, "new", "three.yaml", "--from", "twin-fields")
    assert code == 2 and "ground.asc is there already" in told and not (here / "three.yaml").exists()


def test_new_overwrites_nothing(capsys, here):
    (here / "mission.schema.json").write_text("my own", encoding="utf-8")
    code, _, err = run(capsys, "new", "good.yaml")
    assert code == 2 and "nothing was overwritten" in err
    assert (here / "good.yaml").read_text(encoding="utf-8") == REGATTA.read_text(encoding="utf-8")
    assert run(capsys, "new", "other.yaml")[0] == 0
    assert (here / "mission.schema.json").read_text(encoding="utf-8") == "my own"


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_schema_prints_the_committed_file_byte_for_byte(
    python, clean_environment, here, repository, encoding
):
    done = start(python, clean_environment, here, "schema", PYTHONIOENCODING=encoding)
    assert done.returncode == 0 and done.stderr == b""
    assert done.stdout == (repository / "briefgen" / "mission" / "mission.schema.json").read_bytes()


def test_an_older_schema_of_ours_is_brought_up_to_date(capsys, here):
    (here / "mission.schema.json").write_text(
        '{"title": "briefgen mission file, format 1"}', encoding="utf-8"
    )
    run(capsys, "new", "mine.yaml")
    assert len((here / "mission.schema.json").read_bytes()) > 1000


def test_a_qnh_in_doubt_is_told_before_what_fails():
    """73 hPa are 2190 ft of height; of its neighbour, 36 nm away, 6 hPa are believed."""
    text = re.sub(r"(?m)^(    PONTOON: .*qnh: )1017 hPa", r"\g<1>1090 hPa", regatta())
    rows = gate_rows(plan_of_text(re.sub("duty_period: [0-9]+ h", "duty_period: 1 h", text)))

    assert "[qnh-agrees]" in rows[0][1] and rows[1][0] == "FAIL"


def test_gates_that_lack_the_same_stand_in_one_row_with_their_ids(tmp_path):
    """Without weather all that hangs on it is not known for one reason; each keeps its id, for its reason at
    `approve`. The deck and the review page gather them too."""
    text = (REPOSITORY / "missions" / "start.yaml").read_text(encoding="utf-8")
    path = tmp_path / "start.yaml"
    path.write_text(re.sub(r"(?ms)^weather:.*?(?=^[a-z_]+:)", "", text), encoding="utf-8")
    checked = check(path)
    rows = gate_rows(checked.planned.plan)
    lacking = [gate for gate in checked.planned.plan.gates if gate.settled_by == ("weather",)]
    (row,) = [row for row in rows if "no weather is given" in row[3]]
    assert len(lacking) >= 20 and row[:3] == [
        "NOT CHECKED",
        f"{len(lacking)} gates for one reason",
        "not known",
    ]
    assert all(f"[{gate.id}]" in row[3] for gate in lacking)
    words = words_of(checked.planned.plan)
    for table in (gates_not_checked(words), open_at_stake(words)):
        said = [" ".join(cell.text for cell in row) for row in table.rows]
        assert sum("no weather is given" in text for text in said) == 1
