"""The unit's own templates say words of their own, such as those of an abort: a build with others than those
that were approved says which, and never reads APPROVED alone."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.approval.record import _bytes
from briefgen.approval.states import ApprovalState
from briefgen.build import build as build_room
from briefgen.build.build import approval_of, check
from tests.approval.test_approval import REGATTA, SLIP_60
from tests.builds import of_plan_alone

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

AT = datetime(2027, 1, 29, 22, 30, tzinfo=UTC)
SLIDE, OTHER = "brief/95-unit-words.md", "brief/96-more-words.md"
FIRST = {SLIDE: "# ABORT\n\n- Say: GANNET ABORT\n"}
UPDATED, RETIMED = "UPDATED WITHIN APPROVED BOUNDS", SLIP_60


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: AT)
    Path("regatta.yaml").write_text(REGATTA, encoding="utf-8")
    return tmp_path


def own(files: dict[str, str] | None) -> Path | None:
    """A new folder of the unit's templates; None without any."""
    if files is None:
        return None
    folder = Path(f"ours-{len(list(Path().iterdir()))}")
    for name, text in files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(text.encode("utf-8"))
    return folder


def approved(files: dict[str, str] | None) -> None:
    line = ["approve", "regatta.yaml", "--by", "Lt Col S. Varga", "--role", "supervisor", *option(files)]
    assert cli.run(line) == 1
    wanted = Path("regatta.reasons.yaml").read_text(encoding="utf-8").splitlines()
    rows = [f"{row} seen and accepted" if row.endswith(":") and row[0] != "#" else row for row in wanted]
    Path("regatta.reasons.yaml").write_text("\n".join(rows), encoding="utf-8")
    assert cli.run([*line, "--reasons", "regatta.reasons.yaml"]) == 0


def state_with(files: dict[str, str] | None, swaps: tuple[tuple[str, str], ...] = ()) -> ApprovalState:
    text = REGATTA
    for old, new in swaps:
        text = text.replace(old, new)
    Path("regatta.yaml").write_text(text, encoding="utf-8")
    planned = check(Path("regatta.yaml"), templates=own(files)).planned
    assert planned is not None
    return approval_of(planned)[0]


CHANGED_WORDS = {SLIDE: "# ABORT\n\n- Say: GANNET KNOCK IT OFF\n"}
CASES = {
    # approved with, built with, changed in the mission: the state, what is told of the templates
    "the same": (FIRST, FIRST, (), "APPROVED", []),
    "other line ends": (FIRST, {SLIDE: FIRST[SLIDE].replace("\n", "\r\n")}, (), "APPROVED", []),
    "other words": (FIRST, CHANGED_WORDS, (), UPDATED, [f"template {SLIDE}: changed since the approval"]),
    "one more": (
        FIRST,
        {**FIRST, OTHER: "# More\n\n- words\n"},
        (),
        UPDATED,
        [f"template {OTHER}: new since the approval"],
    ),
    "none any more": (
        FIRST,
        None,
        (),
        UPDATED,
        [f"template {SLIDE}: approved with it, not used now (--templates)"],
    ),
    "the first": (None, FIRST, (), UPDATED, [f"template {SLIDE}: new since the approval"]),
    "T moved alone, the same": (FIRST, FIRST, RETIMED, "APPROVED", []),
    "T moved, other words": (
        FIRST,
        CHANGED_WORDS,
        RETIMED,
        UPDATED,
        [f"template {SLIDE}: changed since the approval"],
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_other_templates_than_those_approved_are_told_by_name(here, case):
    then, now, swaps, state, told = CASES[case]
    approved(then)
    found = state_with(now, swaps)
    assert (found.state, found.outside) == (state, ())
    assert [change.words for change in found.changes if change.words.startswith("template")] == told
    # the same on slides and sheet
    assert [words for label, words in found.lines() if words.startswith("template")] == told


ASKED = f"made with templates of the unit's own, {SLIDE}: give --templates FOLDER"
LEFT_OUT = "made without templates of the unit's own: leave --templates out"
VERIFIED = {
    # approved with, built with, verified with: exit code, verdict, what is told
    "without those of the build": (None, FIRST, None, 1, "NOT CHECKED", ASKED),
    "with those of the build": (None, FIRST, FIRST, 0, "BELONGS, UPDATED", "new since the approval"),
    "without those of approval and build": (FIRST, FIRST, None, 1, "NOT CHECKED", ASKED),
    "with those of approval and build": (FIRST, FIRST, FIRST, 0, "BELONGS", "valid until"),
    "with some, built with none": (FIRST, None, FIRST, 1, "NOT CHECKED", LEFT_OUT),
    "with other words": (FIRST, FIRST, CHANGED_WORDS, 1, "SUPERSEDED", "changed since the approval"),
}


@pytest.mark.parametrize("case", VERIFIED)
def test_a_product_is_verified_with_the_templates_that_made_it(here, capsys, monkeypatch, case):
    then, built, given, code, verdict, told = VERIFIED[case]
    monkeypatch.setattr("briefgen.commands.verify.now", lambda: AT)
    of_plan_alone(monkeypatch)
    approved(then)
    assert cli.run(["build", "regatta.yaml", "--out", "out", *option(built)]) == 0
    capsys.readouterr()
    assert cli.run(["verify", "out", *option(given), "--json"]) == code
    (found,) = json.loads(capsys.readouterr().out)["findings"]
    assert found["verdict"] == verdict
    assert told in " ".join([found["words"], *found["changes"]])


def test_a_product_away_from_its_manifest_is_told_by_the_record_which_templates_made_it(
    here, capsys, monkeypatch
):
    monkeypatch.setattr("briefgen.commands.verify.now", lambda: AT)
    of_plan_alone(monkeypatch)
    approved(FIRST)
    assert cli.run(["build", "regatta.yaml", "--out", "out", *option(FIRST)]) == 0
    Path("out/plan.json").rename("plan.json")
    capsys.readouterr()
    assert cli.run(["verify", "plan.json"]) == 1
    assert ASKED in capsys.readouterr().err


def option(files: dict[str, str] | None) -> list[str]:
    folder = own(files)
    return [] if folder is None else ["--templates", str(folder)]


def test_other_shipped_templates_with_a_moved_time_are_told_too(here, monkeypatch, tmp_path):
    """They come with another version of the program; the time alone reads APPROVED."""
    approved(None)
    assert state_with(None, RETIMED).state == "APPROVED"
    shipped = tmp_path / "shipped"
    (shipped / "brief").mkdir(parents=True)
    (shipped / "brief" / "05-overview.md").write_text("# Another\n\n- words\n", encoding="utf-8")
    monkeypatch.setattr(build_room.resources, "templates_folder", lambda: shipped)
    found = state_with(None, RETIMED)
    assert found.state == UPDATED
    assert "the templates of the program are of another version" in [each.words for each in found.changes]


def test_a_record_from_before_templates_were_written_down_does_not_know_the_units(here):
    """What isn't known is told, never taken as the same."""
    approved(FIRST)
    path = Path("regatta.approval.json")
    document = json.loads(path.read_bytes())
    del document["templates"]
    path.write_bytes(_bytes({key: value for key, value in document.items() if key != "damage_check"}))
    assert state_with(FIRST).state == "APPROVED"  # by its number, of which the templates are part
    found = state_with(FIRST, RETIMED)
    assert found.state == UPDATED
    assert f"template {SLIDE}: whether it is as approved isn't known" in [c.words for c in found.changes]
    assert state_with(None, RETIMED).state == "APPROVED"
