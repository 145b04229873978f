"""Whose plan is this product of, and does the approval still hold? Judged from the product alone."""

from __future__ import annotations

import io
import json
import os
import shutil
import zipfile
import zlib
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.approval.marks import Unreadable, mark_in
from briefgen.approval.record import read_record
from briefgen.core import resources
from tests.builds import of_plan_alone
from tests.yardstick import processor_seconds, yards

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

REGATTA = (resources.missions_folder() / "regatta.yaml").read_text(encoding="utf-8")
APPROVED_AT = datetime(2027, 1, 29, 22, 30, tzinfo=UTC)  # half an hour after the forecast was issued
# the last ship lands at 03:50:04 Z, and 10 min late are accepted: 04:00:04, up to the minute
LAPSES = datetime(2027, 1, 30, 4, 1, tzinfo=UTC)
MARK = "K7QH-49AC-XXTM-3PWJ"


@pytest.fixture(scope="module")
def approved(tmp_path_factory) -> Path:
    """A mission, its approval and its products, made once by the commands themselves."""
    folder = tmp_path_factory.mktemp("unit")
    patch = pytest.MonkeyPatch()
    patch.chdir(folder)
    patch.setattr("briefgen.commands.approve.now", lambda: APPROVED_AT)
    Path("regatta.yaml").write_text(REGATTA, encoding="utf-8")
    arguments = ["approve", "regatta.yaml", "--by", "Lt Col S. Varga", "--role", "supervisor"]
    assert cli.run(arguments) == 1
    text = Path("regatta.reasons.yaml").read_text(encoding="utf-8")
    Path("regatta.reasons.yaml").write_text(
        "".join(
            f"{line} seen and accepted\n" if line[:1] not in ("#", "") else "\n" for line in text.splitlines()
        ),
        encoding="utf-8",
    )
    assert cli.run([*arguments, "--reasons", "regatta.reasons.yaml"]) == 0
    assert cli.run(["build", "regatta.yaml"]) == 0
    patch.undo()
    return folder


@pytest.fixture
def unit(approved, tmp_path, monkeypatch) -> Path:
    """A copy to spoil, an hour after the approval."""
    folder = tmp_path / "unit"
    shutil.copytree(approved, folder)
    monkeypatch.chdir(folder)
    at(monkeypatch, APPROVED_AT + timedelta(hours=1))
    return folder


def at(monkeypatch, moment: datetime) -> None:
    monkeypatch.setattr("briefgen.commands.verify.now", lambda: moment)


def verify(capsys, *arguments: str) -> tuple[int, dict[str, str]]:
    capsys.readouterr()
    code = cli.run(["verify", *arguments, "--json"])
    found = json.loads(capsys.readouterr().out)
    assert found["exit_code"] == code
    return code, {finding["file"]: finding["verdict"] for finding in found["findings"]}


def test_every_product_of_the_approved_plan_belongs_each_by_itself_and_as_a_folder(unit, capsys):
    products = sorted(path.name for path in Path("out/regatta").iterdir() if path.name != "manifest.json")
    assert {Path(name).suffix for name in products} == {".pptx", ".pdf", ".html", ".json"}
    assert verify(capsys, "out/regatta") == (0, dict.fromkeys(products, "BELONGS"))
    for name in products:
        assert verify(capsys, f"out/regatta/{name}") == (0, {name: "BELONGS"})


def falsified(path: Path) -> None:
    """Every T on the slides a minute later; the number in the deck's properties stays."""
    with zipfile.ZipFile(path) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    changed = {
        name: data.replace(b"03:30:02", b"03:31:02") if name.startswith("ppt/slides/") else data
        for name, data in parts.items()
    }
    assert sum(changed[name] != parts[name] for name in parts) > 3
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as package:
        for name, data in changed.items():
            package.writestr(name, data)


def darkened(path: Path) -> None:
    path.write_bytes(path.read_bytes() + b"\n")


def test_a_plan_json_that_is_cut_off_can_not_be_read_though_its_number_can(unit, capsys):
    Path("plan.json").write_bytes(Path("out/regatta/plan.json").read_bytes()[:100_000])
    assert verify(capsys, "plan.json") == (2, {"plan.json": "UNREADABLE"})


def without_its_end(data: bytes) -> bytes:
    return data[: len(data) * 4 // 5]


def without_its_last_bytes(data: bytes) -> bytes:
    return data.rstrip()[:-3]


def without_its_middle(data: bytes) -> bytes:
    return data[: len(data) // 3] + data[len(data) // 3 + 200 :]


@pytest.mark.parametrize("name", ["kneeboard-1.pdf", "ground-clock.html", "deck.pptx", "plan.json"])
@pytest.mark.parametrize("cut", [without_its_end, without_its_last_bytes], ids=lambda cut: cut.__name__)
def test_a_file_whose_end_is_cut_off_can_not_be_read_alone_nor_beside_the_manifest(unit, capsys, name, cut):
    """A copy that stopped: the number stands near the beginning of a page and of plan.json, so that it is
    still there."""
    data = cut((Path("out/regatta") / name).read_bytes())
    Path(name).write_bytes(data)
    assert verify(capsys, name) == (2, {name: "UNREADABLE"})
    (Path("out/regatta") / name).write_bytes(data)
    assert verify(capsys, f"out/regatta/{name}") == (2, {name: "UNREADABLE"})
    code, verdicts = verify(capsys, "out/regatta")
    assert (code, verdicts[name]) == (2, "UNREADABLE")


@pytest.mark.parametrize("name", ["kneeboard-1.pdf", "deck.pptx"])
def test_a_file_that_lacks_bytes_of_its_middle_can_not_be_read(unit, capsys, name):
    Path(name).write_bytes(without_its_middle((Path("out/regatta") / name).read_bytes()))
    assert verify(capsys, name) == (2, {name: "UNREADABLE"})


@pytest.mark.parametrize(
    ("name", "word"),
    [
        ("regatta.approval.json", "it is an approval record"),
        ("out/regatta/manifest.json", "it is the manifest of a build"),
    ],
)
def test_what_is_no_product_says_what_it_is(unit, capsys, name, word):
    capsys.readouterr()
    assert cli.run(["verify", name]) == 2
    assert word in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "spoil"),
    [("deck.pptx", falsified), ("kneeboard-1.pdf", darkened)],
    ids=["times falsified", "a byte more"],
)
def test_a_single_file_whose_content_was_changed_does_not_belong_and_alone_its_content_is_not_checked(
    unit, capsys, name, spoil
):
    spoil(Path("out/regatta") / name)
    assert verify(capsys, f"out/regatta/{name}") == (1, {name: "DOES NOT BELONG"})
    shutil.copy(Path("out/regatta") / name, name)
    assert verify(capsys, name) == (4, {name: "CARRIES THE NUMBER, CONTENT NOT CHECKED"})


def test_an_unchanged_file_alone_is_not_checked_and_beside_the_manifest_under_another_name_it_is(
    unit, capsys
):
    shutil.copy("out/regatta/deck.pptx", "deck.pptx")
    assert verify(capsys, "deck.pptx") == (4, {"deck.pptx": "CARRIES THE NUMBER, CONTENT NOT CHECKED"})
    Path("out/regatta/deck.pptx").rename("out/regatta/monday.pptx")
    assert verify(capsys, "out/regatta/monday.pptx") == (0, {"monday.pptx": "BELONGS"})


def test_pages_made_before_the_approval_say_so_with_an_exit_code_of_their_own(unit, capsys, monkeypatch):
    """Whoever asks by the exit code alone must not take pages that say NOT APPROVED for right ones."""
    of_plan_alone(monkeypatch)
    record = Path("regatta.approval.json").read_bytes()
    Path("regatta.approval.json").unlink()
    assert cli.run(["build", "regatta.yaml", "--out", "out/early"]) == 0
    Path("regatta.approval.json").write_bytes(record)
    assert verify(capsys, "out/early/plan.json") == (6, {"plan.json": "BELONGS, MADE BEFORE THE APPROVAL"})
    assert verify(capsys, "out/early") == (6, {"plan.json": "BELONGS, MADE BEFORE THE APPROVAL"})


def test_a_product_of_a_superseded_plan_says_by_whom_and_by_what_it_was_superseded(
    rebuilt, capsys, monkeypatch
):
    shutil.copytree("out/regatta", "out/old")
    Path("regatta.yaml").write_text(REGATTA.replace("Lt J. Quigley", "Lt B. Quimby"), encoding="utf-8")
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: APPROVED_AT + timedelta(minutes=30))
    assert (
        cli.run(
            [
                "approve",
                "regatta.yaml",
                "--by",
                "Lt Col S. Varga",
                "--role",
                "supervisor",
                "--reasons",
                "regatta.reasons.yaml",
            ]
        )
        == 0
    )
    capsys.readouterr()
    assert cli.run(["verify", "out/old/plan.json"]) == 1
    told = capsys.readouterr().err
    assert (
        "DOES NOT BELONG" in told
        and "superseded plan" in told
        and "29 Jan 2027 22:30:00 Z approved" in told
        and "29 Jan 2027 23:00:00 Z approved" in told
    )


def test_every_product_says_so_on_its_pages(unit):
    assert (
        json.loads(Path("out/regatta/manifest.json").read_text(encoding="utf-8"))["approval"]
        == "APPROVED UNTIL 30 JAN 04:01 Z"
    )


UNTIL = "APPROVED UNTIL 30 JAN 04:01 Z"


@pytest.mark.parametrize(
    ("moment", "code", "verdict", "told", "caution"),
    [
        (LAPSES, 0, "BELONGS", UNTIL, None),
        (LAPSES + timedelta(seconds=1), 1, "LAPSED", f"LAPSED ({UNTIL})", "approval-lapsed"),
        (
            APPROVED_AT - timedelta(seconds=1),
            1,
            "NOT CHECKED",
            f"NOT CHECKED ({UNTIL})",
            "approval-clock",
        ),
        (APPROVED_AT, 0, "BELONGS", UNTIL, None),
    ],
    ids=["the last second", "a second later", "a clock before the approval", "at once"],
)
def test_verify_check_and_build_look_at_the_clock_and_no_product_does(
    unit, capsys, monkeypatch, moment, code, verdict, told, caution
):
    at(monkeypatch, moment)
    assert verify(capsys, "out/regatta/deck.pptx") == (code, {"deck.pptx": verdict})
    monkeypatch.setattr("briefgen.commands.report.now", lambda: moment)
    of_plan_alone(monkeypatch)
    for command in (["check"], ["build", "--out", "out/again"]):
        assert cli.run([*command, "regatta.yaml", "--json"]) == 0
        found = json.loads(capsys.readouterr().out)
        codes = [problem["code"] for problem in found["diagnostics"]]
        assert (found["approval"], codes.count(caution)) == (told, int(caution is not None))
    again, first = Path("out/again/plan.json").read_bytes(), Path("out/regatta/plan.json").read_bytes()
    assert again == first and json.loads(again)["fingerprint"]
    assert json.loads(Path("out/again/manifest.json").read_bytes())["approval"] == UNTIL


def test_a_lapsed_approval_is_told_with_its_mend_on_the_terminal(unit, capsys, monkeypatch):
    of_plan_alone(monkeypatch)
    monkeypatch.setattr("briefgen.commands.report.now", lambda: LAPSES + timedelta(hours=1))
    for command in (["check"], ["build", "--out", "out/again"]):
        capsys.readouterr()
        assert cli.run([*command, "regatta.yaml"]) == 0
        said = " ".join("".join(capsys.readouterr()).split())
        assert "the approval lapsed at 30 Jan 2027 04:01:00 Z" in said
        assert f"the pages read {UNTIL}" in said and "approved again with `briefgen approve`" in said


@pytest.fixture
def rebuilt(unit, monkeypatch) -> Callable[..., None]:
    """The plan of a changed mission, in out/new; the other products carry the same mark."""
    of_plan_alone(monkeypatch)

    def made(*swaps: tuple[str, str]) -> None:
        text = REGATTA
        for swap in swaps:
            assert swap[0] in text
            text = text.replace(*swap)
        Path("regatta.yaml").write_text(text, encoding="utf-8")
        assert cli.run(["build", "regatta.yaml", "--out", "out/new"]) == 0

    return made


@pytest.mark.parametrize(
    ("swap", "new", "old"),
    [
        (("230T/20kt", "232T/21kt"), (0, "BELONGS, UPDATED"), (1, "SUPERSEDED")),
        (("Lt J. Quigley", "Lt B. Quimby"), (1, "DOES NOT BELONG"), (5, "CHANGED: APPROVE AGAIN")),
    ],
    ids=["another wind", "another pilot"],
)
def test_a_product_of_a_changed_plan_is_judged_by_the_mission_as_it_stands(rebuilt, capsys, swap, new, old):
    """Inside the bounds the changed plan is flown and the first no more; outside them neither is."""
    rebuilt(swap)
    assert verify(capsys, "out/new/plan.json") == (new[0], {"plan.json": new[1]})
    assert verify(capsys, "out/regatta/kneeboard-2.pdf") == (old[0], {"kneeboard-2.pdf": old[1]})


# the ceremony and the time that the tower holds, a minute later
LATER = (("time: 14:28:06 event", "time: 14:29:06 event"), ("14:30:02 event}", "14:31:02 event}"))


def test_a_plan_that_was_moved_supersedes_the_approved_one_and_tells_the_new_number_and_time(rebuilt, capsys):
    """The anthem begins a minute later: T is 03:31:02 Z instead of 03:30:02 Z."""
    rebuilt(*LATER)
    number = json.loads(Path("out/new/plan.json").read_text(encoding="utf-8"))["fingerprint"]
    capsys.readouterr()
    assert cli.run(["verify", "out/regatta"]) == 1
    told = capsys.readouterr().err.splitlines()
    (verdict,) = [line for line in told if line.startswith("SUPERSEDED  ")]
    assert number["full"] in verdict and "T 30 Jan 2027 03:31:02 Z" in verdict
    assert verify(capsys, "out/new/plan.json") == (0, {"plan.json": "BELONGS, UPDATED"})


def test_a_mission_changed_beyond_its_bounds_is_told_with_what_is_outside_them_and_what_to_do(
    rebuilt, capsys
):
    """Every product of the approved plan; one that is also cut off is the graver."""
    rebuilt(("Lt J. Quigley", "Lt B. Quimby"))
    code, found = verify(capsys, "out/regatta")
    assert (code, set(found.values())) == (5, {"CHANGED: APPROVE AGAIN"})
    assert cli.run(["verify", "out/regatta/deck.pptx"]) == 5
    told = capsys.readouterr().err
    assert "BELONGS" not in told and "Quimby" in told and "briefgen approve" in told
    deck = Path("out/regatta/deck.pptx")
    deck.write_bytes(deck.read_bytes() + b" ")
    assert verify(capsys, "out/regatta")[0] == 1


def test_a_mission_that_can_not_be_planned_any_more_leaves_it_open_whether_the_approved_plan_is_flown(
    unit, capsys
):
    Path("regatta.yaml").write_text(REGATTA.replace("briefgen: 1", "briefgen: 1\nspare: 3"), encoding="utf-8")
    assert verify(capsys, "out/regatta/plan.json") == (1, {"plan.json": "NOT CHECKED"})


def test_what_an_updated_set_changed_stands_line_by_line_the_time_and_the_frequency_first(rebuilt, capsys):
    rebuilt(*LATER, ("backup: 340.800 MHz", "backup: 341.800 MHz"))
    capsys.readouterr()
    assert cli.run(["verify", "out/new/plan.json"]) == 0
    told = capsys.readouterr().out.splitlines()
    at = next(i for i, line in enumerate(told) if line.startswith("BELONGS, UPDATED  "))
    assert told[at + 1].startswith("  True time") and "03:31:02 Z, was 03:30:02 Z" in told[at + 1]
    assert "341.800 MHz, was 340.800 MHz" in told[at + 2]
    assert len(told) > at + 3 and all(line.startswith("  ") for line in told[at + 1 :])


def test_a_product_of_a_plan_that_is_neither_approved_nor_there_does_not_belong(rebuilt, capsys):
    rebuilt(("230T/20kt", "232T/21kt"))
    Path("regatta.yaml").write_text(REGATTA, encoding="utf-8")
    assert verify(capsys, "out/new/plan.json") == (1, {"plan.json": "DOES NOT BELONG"})


@pytest.mark.parametrize(
    ("error", "told"),
    [(OSError(5, "Input/output error"), "Input/output error"), (OSError(), "it cannot be read")],
)
def test_why_a_file_can_not_be_read_is_told(unit, capsys, monkeypatch, error, told):
    """In the words of the system, where it has any."""

    def fails(path: Path) -> str:
        raise error

    monkeypatch.setattr("briefgen.approval.verify.digest", fails)
    assert cli.run(["verify", "out/regatta"]) == 2
    last = capsys.readouterr().err.splitlines()[-1]
    assert last.startswith("UNREADABLE  ") and last.endswith(f"review.html: {told}")


def test_what_was_changed_is_gone_or_strange_in_a_folder_is_told(unit, capsys):
    folder = Path("out/regatta")
    (folder / "deck.pptx").write_bytes((folder / "deck.pptx").read_bytes() + b" ")
    (folder / "kneeboard-1.pdf").unlink()
    shutil.copy(folder / "kneeboard-2.pdf", folder / "my card.pdf")
    code, found = verify(capsys, "out/regatta")
    assert code == 1
    assert (found["deck.pptx"], found["kneeboard-1.pdf"], found["my card.pdf"], found["plan.json"]) == (
        "DOES NOT BELONG",
        "MISSING",
        "NO PRODUCT",
        "BELONGS",
    )


def test_a_manifest_that_points_out_of_its_folder_is_not_followed(unit, capsys):
    path = Path("out/regatta/manifest.json")
    manifest = json.loads(path.read_text(encoding="utf-8"))
    manifest["products"] = [{"file": "../../regatta.approval.json", "sha256": ""}, 7, {"file": 3}]
    path.write_text(json.dumps(manifest), encoding="utf-8")
    assert verify(capsys, "out/regatta")[1]["../../regatta.approval.json"] == "UNREADABLE"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="NOT CHECKED: this system has no pipes with names")
def test_a_pipe_is_not_waited_for(unit, capsys):
    os.mkfifo("x.json")
    assert verify(capsys, "x.json") == (2, {"x.json": "UNREADABLE"})


def spoilt(product: str, data: bytes) -> str:
    path = Path("out") / product
    path.write_bytes(data)
    return str(path)


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("x.pptx", b"PK\x03\x04 not much"),
        ("x.pdf", b"%PDF-1.7 nothing"),
        ("x.pdf", b""),
        ("x.html", b"<html><p>no plan</p></html>"),
        ("x.json", b"\xff\xfe"),
        ("x.txt", MARK.encode()),
        ("x.html", f"{MARK} and {MARK[::-1]}".encode()),
        ("x.html", f"X{MARK}".encode()),
    ],
)
def test_what_can_not_be_read_is_told_with_exit_code_2(unit, capsys, name, data):
    assert verify(capsys, spoilt(name, data)) == (2, {name: "UNREADABLE"})


@pytest.mark.parametrize(
    "arguments",
    [
        ("none.pdf",),
        ("out/regatta/deck.pptx", "--record", "regatta.yaml"),
        ("out/regatta/deck.pptx", "--record", "none.json"),
    ],
)
def test_without_a_product_a_manifest_or_a_record_there_is_nothing_to_judge(unit, capsys, arguments):
    assert verify(capsys, *arguments)[0] == 2


def test_a_record_that_was_edited_is_no_record(unit, capsys):
    path = Path("regatta.approval.json")
    path.write_text(path.read_text(encoding="utf-8").replace("S. Varga", "T. Wessel", 1), encoding="utf-8")
    assert read_record(path)[0] is None
    assert verify(capsys, "out/regatta/deck.pptx")[0] == 2


def test_of_several_records_the_one_of_the_product_is_taken(unit, capsys):
    shutil.copy("regatta.approval.json", "out/broken.approval.json")
    assert verify(capsys, "out/regatta/deck.pptx")[0] == 0  # that beside the mission
    shutil.copy("out/regatta/deck.pptx", "out/deck.pptx")
    assert verify(capsys, "out/deck.pptx")[0] == 2  # twice the same plan: which of the two counts?
    Path("out/broken.approval.json").write_text("{}", encoding="utf-8")
    assert verify(capsys, "out/deck.pptx")[0] == 4


def withdraw(monkeypatch) -> None:
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: APPROVED_AT + timedelta(minutes=20))
    assert (
        cli.run(
            [
                "approve",
                "regatta.yaml",
                "--by",
                "A. Holm",
                "--role",
                "duty supervisor",
                "--withdraw",
                "fog at the pier",
            ]
        )
        == 0
    )


@pytest.mark.parametrize("options", [(), ("--record", "v/regatta.approval.json")], ids=["found", "given"])
def test_a_copied_record_does_not_outlive_the_withdrawal_where_the_manifest_tells_the_way_to_the_mission(
    unit, capsys, monkeypatch, options
):
    shutil.copytree("out/regatta", "v/regatta")
    shutil.copy("regatta.approval.json", "v")
    withdraw(monkeypatch)
    assert set(verify(capsys, "v/regatta", *options)[1].values()) == {"WITHDRAWN"}
    assert set(verify(capsys, "v/regatta/deck.pptx", *options)[1].values()) == {"WITHDRAWN"}


def test_away_from_its_mission_a_record_is_told_to_be_a_copy_that_may_be_outlived(
    unit, tmp_path, capsys, monkeypatch
):
    shutil.copytree("out/regatta", tmp_path / "stick" / "regatta")
    shutil.copy("regatta.approval.json", tmp_path / "stick")
    withdraw(monkeypatch)
    monkeypatch.chdir(tmp_path / "stick")
    capsys.readouterr()
    assert cli.run(["verify", "regatta"]) == 4
    said = capsys.readouterr().err
    assert (
        "Judged by " in said
        and "regatta.approval.json: Lt Col S. Varga (supervisor), 29 Jan 2027 22:30:00 Z" in said
    )
    assert (
        "does not lie beside regatta.yaml: if the approval was withdrawn since, only the record there says so"
        in said
    )


def test_of_two_records_of_one_plan_the_later_decision_counts(unit, tmp_path, capsys, monkeypatch):
    """Both away from the mission: the approval, and the withdrawal twenty minutes later."""
    stick = tmp_path / "stick"
    stick.mkdir()
    shutil.copy("out/regatta/deck.pptx", stick)
    shutil.copy("regatta.approval.json", stick / "early.approval.json")
    withdraw(monkeypatch)
    shutil.copy("regatta.approval.json", stick / "late.approval.json")
    monkeypatch.chdir(stick)
    assert verify(capsys, "deck.pptx")[1] == {"deck.pptx": "WITHDRAWN"}


def test_a_folder_is_told_in_one_line_first_and_each_verdict_once(unit, capsys):
    files = len(list(Path("out/regatta").iterdir())) - 1  # the manifest
    (Path("out/regatta") / "deck.pptx").write_bytes(b"PK")
    capsys.readouterr()
    assert cli.run(["verify", "out/regatta"]) == 2
    summary, judged, wrong, good = capsys.readouterr().err.splitlines()
    assert summary == f"{files} files: 1 UNREADABLE, {files - 1} BELONGS"
    assert (
        judged.startswith("Judged by ")
        and wrong == "UNREADABLE  deck.pptx: it is no presentation, is cut off or is damaged"
    )
    assert (
        good.startswith("BELONGS  ")
        and "kneeboard-1.pdf, kneeboard-2.pdf" in good
        and good.count("approved") == 1
    )


# ---------------- reading marks, without the program that wrote them


def package(keywords: str, *, part: str = "docProps/core.xml") -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as out:
        out.writestr(part, f"<cp:coreProperties><cp:keywords>{keywords}</cp:keywords></cp:coreProperties>")
    return data.getvalue()


def pdf(body: bytes) -> bytes:
    """Whole: the end names where the table of objects begins (ISO 32000-1, 7.5.5)."""
    before = b"%PDF-1.7\n" + body + b"\n"
    return before + f"xref\n0 0\ntrailer\n<<>>\nstartxref\n{len(before)}\n%%EOF\n".encode()


UTF16 = ("\ufeff" + MARK).encode("utf-16-be")
READ = {
    # PDF strings: ISO 32000-1, 7.3.4; text strings 7.9.2.2 (from memory)
    "presentation": (".pptx", package(MARK)),
    "literal string": (".pdf", pdf(f"<</Keywords({MARK})>>".encode())),
    "hexadecimal string": (".pdf", pdf(b"<</Keywords<" + MARK.encode().hex().encode() + b">>>")),
    # 38 digits and a last 2: the digit that is missing counts as 0, and 20 is a blank
    "hexadecimal string of odd length": (
        ".pdf",
        pdf(b"<</Keywords<" + MARK.encode().hex().encode() + b"2>>>"),
    ),
    "hexadecimal UTF-16": (".pdf", pdf(b"<</Keywords<" + UTF16.hex().encode() + b">>>")),
    "XMP packet": (".pdf", pdf(f"<pdf:Keywords>{MARK}</pdf:Keywords>".encode())),
    "inside a compressed stream": (
        ".pdf",
        pdf(b"stream\n" + zlib.compress(f"<</Keywords({MARK})>>".encode()) + b"\nendstream"),
    ),
    "page": (".html", f"<html><p>Plan {MARK}; cards read K7QH</p></html>\n".encode()),
}


@pytest.mark.parametrize("name", READ)
def test_the_mark_is_read(name):
    suffix, data = READ[name]
    assert mark_in(data, suffix) == MARK


HARMFUL = {  # made only for the test that reads it: every worker would make them all
    "a package without the part": (".pptx", lambda: package(MARK, part="other.xml")),
    "a part that inflates to a gigabyte": (".pptx", lambda: package("0" * 50_000_000)),
    "a stream that inflates to much": (".pdf", lambda: pdf(b"stream\n" + zlib.compress(b"0" * 50_000_000))),
    "ten thousand streams": (".pdf", lambda: pdf(b"stream\nx\nendstream\n" * 10_000)),
    "parentheses without end": (".pdf", lambda: pdf(b"/Keywords(" + b"\\(" * 200_000)),
}


@pytest.mark.parametrize("name", HARMFUL)
def test_a_file_made_to_do_harm_is_refused_at_once(name):
    suffix, data = HARMFUL[name][0], HARMFUL[name][1]()

    def refused() -> None:
        with pytest.raises(Unreadable):
            mark_in(data, suffix)

    assert yards(lambda: processor_seconds(refused), 4) < 4
