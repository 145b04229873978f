"""Verify, given a folder of several missions' products, loose products, or a product and its record without
the mission."""

from __future__ import annotations

import json
import shutil
from datetime import UTC, datetime
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.core import resources
from tests.builds import of_plan_alone

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

# after the forecast of both missions was issued, before it ends
AT = datetime(2027, 1, 29, 22, 30, tzinfo=UTC)
NAMES = ("regatta", "rehearsal")


@pytest.fixture(scope="module")
def station(tmp_path_factory) -> Path:
    """Two approved missions with their plans built; the plan stands for every product, since all carry the
    same mark."""
    folder = tmp_path_factory.mktemp("station")
    patch = pytest.MonkeyPatch()
    patch.chdir(folder)
    patch.setattr("briefgen.commands.approve.now", lambda: AT)
    of_plan_alone(patch)
    for name in NAMES:
        text = (resources.missions_folder() / "regatta.yaml").read_text(encoding="utf-8")
        Path(f"{name}.yaml").write_text(
            text if name == "regatta" else text.replace("name: Harbour regatta opening", "name: Rehearsal"),
            encoding="utf-8",
        )
        arguments = ["approve", f"{name}.yaml", "--by", "S. Varga", "--role", "supervisor"]
        cli.run(arguments)
        asked = Path(f"{name}.reasons.yaml")
        asked.write_text(
            "\n".join(
                f"{line} seen and accepted" if line.endswith(":") and line[0] != "#" else line
                for line in asked.read_text(encoding="utf-8").splitlines()
            ),
            encoding="utf-8",
        )
        assert cli.run([*arguments, "--reasons", str(asked)]) == 0
        assert cli.run(["build", f"{name}.yaml"]) == 0
    patch.undo()
    return folder


@pytest.fixture
def here(station, tmp_path, monkeypatch) -> Path:
    shutil.copytree(station, tmp_path / "unit")
    monkeypatch.chdir(tmp_path / "unit")
    monkeypatch.setattr("briefgen.commands.verify.now", lambda: AT)
    return tmp_path / "unit"


def verify(capsys, *arguments: str) -> tuple[int, dict[str, tuple[str, str]]]:
    capsys.readouterr()
    code = cli.run(["verify", *arguments, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["exit_code"] == code
    return code, {finding["file"]: (finding["verdict"], finding["words"]) for finding in found["findings"]}


def verdicts(found: dict[str, tuple[str, str]]) -> dict[str, str]:
    return {file: verdict for file, (verdict, _) in found.items()}


def test_each_mission_of_a_folder_is_judged_by_its_own_record(here, capsys):
    code, found = verify(capsys, "out")
    assert (code, verdicts(found)) == (0, {"regatta/plan.json": "BELONGS", "rehearsal/plan.json": "BELONGS"})


def test_loose_products_of_several_missions_are_judged_one_by_one(here, capsys):
    Path("handed-out").mkdir()
    for name in NAMES:
        shutil.copy(f"out/{name}/plan.json", f"handed-out/{name}.json")
    code, found = verify(capsys, "handed-out")
    number_only = "CARRIES THE NUMBER, CONTENT NOT CHECKED"  # no manifest of a build lies in that folder
    assert (code, verdicts(found)) == (4, {"regatta.json": number_only, "rehearsal.json": number_only})


def test_a_mission_without_a_record_does_not_hide_the_others(here, capsys):
    Path("regatta.approval.json").unlink()
    code, found = verify(capsys, "out")
    assert code == 1 and verdicts(found)["rehearsal/plan.json"] == "BELONGS"
    verdict, words = found["regatta"]
    assert (
        verdict == "NOT CHECKED"
        and "no approval record of regatta.yaml was found" in words
        and "is that of rehearsal.yaml" in words
        and "briefgen approve" in words
    )


def test_a_folder_without_products_says_what_it_looked_for(here, capsys):
    Path("empty").mkdir()
    assert cli.run(["verify", "empty"]) == 2
    assert "neither folders that it built nor files of the kinds .pptx" in capsys.readouterr().err


def test_a_product_and_its_record_are_enough_for_the_number_of_the_approved_plan(
    here, tmp_path, capsys, monkeypatch
):
    alone = tmp_path / "alone"
    alone.mkdir()
    for source in ("out/regatta/plan.json", "regatta.approval.json"):
        shutil.copy(source, alone)
    monkeypatch.chdir(alone)
    assert verdicts(verify(capsys, "plan.json")[1]) == {
        "plan.json": "CARRIES THE NUMBER, CONTENT NOT CHECKED"
    }


NOT_THERE = "OF THE APPROVED PLAN, MISSION NOT THERE"


@pytest.mark.parametrize(
    "gone",
    [
        lambda: Path("regatta.yaml").unlink(),
        lambda: Path("regatta.yaml").rename("monday.yaml"),
        lambda: Path("regatta.yaml").replace(Path("out", "regatta.yaml")),
    ],
    ids=["taken away", "renamed", "moved"],
)
def test_a_mission_that_is_not_beside_its_record_leaves_open_whether_the_plan_still_stands(
    here, capsys, gone
):
    """Neither what was changed since nor a withdrawal could be seen: that is no 0 for a script."""
    gone()
    code, found = verify(capsys, "out/regatta")
    assert (code, verdicts(found)) == (4, {"plan.json": NOT_THERE})
    words = found["plan.json"][1]
    assert "the mission regatta.yaml does not lie beside the record" in words and "ask again" in words
    assert verdicts(verify(capsys, "out/regatta/plan.json")[1]) == {"plan.json": NOT_THERE}


def test_without_its_mission_a_content_is_still_held_against_the_manifest(here, capsys):
    """What is worse than a mission that is not there is told in its place."""
    Path("regatta.yaml").unlink()
    path = Path("out/regatta/manifest.json")
    manifest = json.loads(path.read_text(encoding="utf-8"))
    path.write_text(json.dumps({**manifest, "approved_at": None}), encoding="utf-8")
    code, found = verify(capsys, "out/regatta")
    assert (code, verdicts(found)) == (4, {"plan.json": NOT_THERE})
    assert "its pages don't tell of this approval" in found["plan.json"][1]
    product = Path("out/regatta/plan.json")
    product.write_bytes(product.read_bytes() + b"\n")
    assert verify(capsys, "out/regatta")[0] == 1
    assert verdicts(verify(capsys, "out/regatta/plan.json")[1]) == {"plan.json": "DOES NOT BELONG"}


def test_of_another_plan_a_record_without_its_mission_says_that_it_cannot_tell(
    here, tmp_path, capsys, monkeypatch
):
    text = Path("regatta.yaml").read_text(encoding="utf-8")
    assert "230T/20kt" in text
    Path("regatta.yaml").write_text(text.replace("230T/20kt", "232T/21kt"), encoding="utf-8")
    of_plan_alone(monkeypatch)
    assert cli.run(["build", "regatta.yaml", "--out", "out/new"]) == 0
    code, found = verify(capsys, "out/new/plan.json", "--record", "regatta.approval.json")
    # the mission lies beside the record
    assert (code, verdicts(found)) == (
        0,
        {"plan.json": "BELONGS, UPDATED"},
    )
    alone = tmp_path / "alone"
    alone.mkdir()
    for source in ("out/new/plan.json", "regatta.approval.json"):
        shutil.copy(source, alone)
    monkeypatch.chdir(alone)
    code, found = verify(capsys, "plan.json")
    assert code == 1 and found["plan.json"][0] == "NOT CHECKED"
    assert "the mission regatta.yaml does not lie beside the record" in found["plan.json"][1]
    (alone / "regatta.yaml").write_text("briefgen: 1\n", encoding="utf-8")
    assert "has errors now" in verify(capsys, "plan.json")[1]["plan.json"][1]
    (alone / "regatta.yaml").write_text(text, encoding="utf-8")  # as approved, so the product is neither
    code, found = verify(capsys, "plan.json")
    assert (code, found["plan.json"][0]) == (
        1,
        "DOES NOT BELONG",
    ) and "regatta.yaml as it stands now is" in found["plan.json"][1]


def test_folders_inside_are_looked_into(here, capsys):
    """A card in a folder inside is judged too, also under a manifest that does not list it."""
    for folder in (here / "hand" / "ship2", here / "out" / "regatta" / "ship2"):
        folder.mkdir(parents=True)
        shutil.copy(here / "out" / "rehearsal" / "plan.json", folder / "plan.json")
    assert set(verdicts(verify(capsys, "hand")[1])) == {"ship2/plan.json"}
    code, found = verify(capsys, "out/regatta")
    assert code == 4 and set(verdicts(found)) == {"plan.json", "ship2/plan.json"}


def test_another_missions_product_under_a_name_of_the_build_is_of_another_plan(here, capsys):
    shutil.copy(here / "out" / "rehearsal" / "plan.json", here / "out" / "regatta" / "plan.json")
    number = json.loads((here / "out" / "rehearsal" / "manifest.json").read_bytes())["fingerprint"]
    _, found = verify(capsys, "out/regatta")
    assert found["plan.json"][0] == "DOES NOT BELONG"
    assert f"it is of another plan, {number}" in found["plan.json"][1]
