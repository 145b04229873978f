"""README's "Your unit in an afternoon": each command on it, run on the papers of a made-up unit."""

import re
import shlex
import shutil
from datetime import UTC, datetime

import pytest

from tests.approval.test_approval import fill
from tests.builds import of_plan_alone
from tests.commands.command_line import run
from tests.commands.test_unit_book import MOST_LINES, typed_lines
from tests.places import REPOSITORY, TESTS
from tests.planned import plan_at

PAPERS = TESTS / "data" / "unit-papers"
MISSIONS = ("june/open-day.yaml", "september/harvest-fair.yaml")
# what a person has written or filled in before a command is typed
BEFORE = {
    "briefgen check book.yaml": ("book.yaml",),
    "briefgen check june/open-day.yaml": ("june/open-day.yaml",),
    "briefgen check september/harvest-fair.yaml": ("september/harvest-fair.yaml",),
}


def section():
    """The section of the README."""
    text = (REPOSITORY / "README.md").read_text(encoding="utf-8")
    return text.partition("## Your unit in an afternoon\n")[2].partition("\n## ")[0]


def commands():
    return re.findall(r"(?m)^    (briefgen .+)$", section())


@pytest.fixture
def unit(tmp_path, monkeypatch):
    """A folder with the unit's papers; what it writes is the plan alone, and a slide of its own words."""
    for name in ("places.csv", "area.kml", "obstacles.csv", "north.asc", "south.asc", "radio.yaml"):
        shutil.copy(PAPERS / name, tmp_path)
    for mission in MISSIONS:
        (tmp_path / mission).parent.mkdir()
    shutil.copytree(TESTS / "data" / "unit-templates" / "brief", tmp_path / "ours" / "brief")
    monkeypatch.chdir(tmp_path)
    for command in ("approve", "verify", "report"):
        monkeypatch.setattr(f"briefgen.commands.{command}.now", lambda: datetime(2027, 6, 12, 9, tzinfo=UTC))
    of_plan_alone(monkeypatch)
    return tmp_path


def test_each_command_of_the_afternoon_does_what_it_says(unit, capsys):
    codes = {}
    for line in commands():
        for name in BEFORE.get(line, ()):
            shutil.copy(PAPERS / name.rpartition("/")[2], unit / name)
        if "--reasons" in line:
            fill(unit / "june" / "open-day.reasons.yaml", "seen on the chart and accepted for this day")
        code, out, err = run(capsys, *shlex.split(line)[1:])
        codes[line] = code
        assert code == 0 or ("approve" in line and "--reasons" not in line and code == 1), (line, out, err)
    assert len(codes) >= 10 and {line.split()[1] for line in codes} == {
        "new", "check", "build", "approve", "verify", "compare",
    }  # fmt: skip


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_mission_of_the_unit_takes_seventy_typed_lines_at_most(mission):
    assert typed_lines((PAPERS / mission.rpartition("/")[2]).read_text(encoding="utf-8")) <= MOST_LINES


def test_the_section_names_every_paper():
    papers = [path for path in PAPERS.iterdir() if path.suffix != ".yaml"]
    assert len(papers) == 6 and all(path.name in section() for path in papers)


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_mission_of_the_unit_lies_over_its_grids(mission, unit):
    """Every way, the hold and the area has its row of the ground, and the terrain isn't left open."""
    for name in ("book.yaml", mission):
        shutil.copy(PAPERS / name.rpartition("/")[2], unit / name)
    gates = {gate.id: gate.verdict for gate in plan_at(unit / mission).gates}
    ways = (
        "departure-1",
        "transit-1",
        "hold-to-ip",
        "run-in",
        "egress",
        "abort",
        "recovery-1",
        "home",
        "divert",
    )
    assert [gates[f"ground-{way}"] for way in (*ways, "hold", "area")] == ["PASS"] * 11
    assert "terrain" not in gates


@pytest.mark.parametrize("mission", MISSIONS)
def test_a_mission_of_the_unit_pastes_its_taf_as_it_came(mission):
    text = (PAPERS / mission.rpartition("/")[2]).read_text(encoding="utf-8")
    reports = (PAPERS / "taf.txt").read_text(encoding="utf-8").split("\n\n")
    assert sum(" ".join(report.split()) in " ".join(text.split()) for report in reports) == 1
