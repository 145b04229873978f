"""``check --fix``: the difference first, then the file in one step, then what is still wrong."""

from __future__ import annotations

import json
import os
import stat
import textwrap
from pathlib import Path

import pytest

from briefgen.commands import check_fix
from briefgen.core.resources import missions_folder
from tests.commands.command_line import run
from tests.places import TESTS

SMALL = (TESTS / "cases" / "ok-pass-only.yaml").read_text(encoding="utf-8")
SLIPPED = SMALL.replace("callsign:", "calsign:").replace("start_fuel:", "strat_fuel:")
AS_IT_IS = 1  # a gate of the small mission FAILs


@pytest.fixture
def there(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "200")
    Path("m.yaml").write_text(SLIPPED, encoding="utf-8", newline="")
    return tmp_path


def content(name: str = "m.yaml") -> str:
    return Path(name).read_bytes().decode("utf-8")


def listing() -> list[str]:
    return sorted(entry.name for entry in Path().iterdir())


def test_the_file_is_mended_and_checked_again(there, capsys):
    code, out, err = run(capsys, "check", "--fix", "m.yaml")

    assert (code, err, content()) == (AS_IT_IS, "", SMALL)
    said = out.split("\n")
    assert said[0:2] == ["--- m.yaml", "+++ m.yaml, mended"]
    removed = [line[1:] for line in said if line.startswith("-") and not line.startswith("---")]
    added = [line[1:] for line in said if line.startswith("+") and not line.startswith("+++")]
    assert [line.replace("calsign", "callsign").replace("strat", "start") for line in removed] == added
    number = SLIPPED.count("calsign:") + SLIPPED.count("strat_fuel:")
    assert f"m.yaml: {number} places mended" in said and listing() == ["m.yaml"]
    assert said.index(f"m.yaml: {number} places mended") < said.index("Gates")  # of the mended file


def test_a_second_time_changes_nothing(there, capsys):
    run(capsys, "check", "--fix", "m.yaml")
    before = Path("m.yaml").stat()

    code, out, _ = run(capsys, "check", "--fix", "m.yaml")

    assert code == AS_IT_IS and out.startswith("m.yaml: nothing is mended\n")
    assert (Path("m.yaml").stat().st_mtime_ns, Path("m.yaml").stat().st_ino) == (
        before.st_mtime_ns,
        before.st_ino,
    )


@pytest.mark.parametrize("options", [("--dry-run",), ("--fix", "--dry-run")])
def test_a_dry_run_shows_the_same_and_writes_nothing(there, capsys, options):
    code, out, _ = run(capsys, "check", *options, "m.yaml")

    assert (code, content(), listing()) == (2, SLIPPED, ["m.yaml"])
    assert out.startswith("--- m.yaml\n") and "places can be mended, nothing is written" in out
    assert out.count("error: there is no key") == SLIPPED.count("calsign:") + SLIPPED.count("strat_fuel:")


def test_what_stays_is_counted_and_told(there, capsys):
    Path("m.yaml").write_text(
        SLIPPED.replace("callsign: GANNET", "").replace("date: 2027-05-04", "date: soon")
    )

    code, out, _ = run(capsys, "check", "--fix", "m.yaml")

    assert code == 2 and "places mended; 1 error left to a person" in out and "date: soon" in content()


def test_for_machines(there, capsys):
    _, out, _ = run(capsys, "check", "--fix", "--json", "m.yaml")

    told = json.loads(out)
    assert (
        told["exit_code"] == AS_IT_IS
        and all(d["severity"] != "error" for d in told["diagnostics"])
        and content() == SMALL
    )
    fixed = told["fix"]
    assert (fixed["written"], fixed["problem"], fixed["left"]) == (True, "", [])
    assert {(one["old"], one["new"]) for one in fixed["mended"]} == {
        ("calsign", "callsign"),
        ("strat_fuel", "start_fuel"),
    }
    assert fixed["difference"][0] == "--- m.yaml"


def test_without_it_nothing_is_said_of_it(there, capsys):
    assert "fix" not in json.loads(run(capsys, "check", "--json", "m.yaml")[1])
    assert content() == SLIPPED


def test_several_files_and_one_of_them_twice(there, capsys):
    Path("n.yaml").write_text(SMALL, encoding="utf-8")

    code, out, _ = run(capsys, "check", "--fix", "m.yaml", "n.yaml", "m.yaml")

    assert (code, content(), content("n.yaml")) == (AS_IT_IS, SMALL, SMALL)
    assert out.count("--- m.yaml") == 1 and "n.yaml: nothing is mended" in out


def test_line_ends_mark_and_rights_are_kept(there, capsys):
    Path("m.yaml").write_bytes(b"\xef\xbb\xbf" + SLIPPED.replace("\n", "\r\n").encode())
    os.chmod("m.yaml", 0o640)

    run(capsys, "check", "--fix", "m.yaml")

    assert Path("m.yaml").read_bytes() == b"\xef\xbb\xbf" + SMALL.replace("\n", "\r\n").encode()
    assert stat.S_IMODE(Path("m.yaml").stat().st_mode) == 0o640


def test_the_type_in_another_file_is_left(there, capsys):
    before, rest = SLIPPED.split("  petrel:\n")
    lines, after = rest.split("flight:\n")
    own = textwrap.dedent(lines).replace("fuel_capacity:", "fuel_capcity:")
    Path("types").mkdir()
    Path("types/own.yaml").write_text(own, encoding="utf-8")
    Path("m.yaml").write_text(
        f"{before}  petrel: {{file: types/own.yaml}}\nflight:\n{after}", encoding="utf-8"
    )

    code, out, _ = run(capsys, "check", "--fix", "m.yaml")

    assert code == 2 and content("types/own.yaml") == own and "calsign" not in content()
    assert (
        "`fuel_capcity` is left, not made `fuel_capacity`: types/own.yaml may be another mission's too" in out
    )


def test_a_book_is_mended_by_itself_and_left_with_a_mission(there, capsys):
    folder = missions_folder() / "books"
    book = (folder / "start.yaml").read_text(encoding="utf-8")
    slipped = book.replace("name: ", "nmae: ", 1)
    Path("start.yaml").write_text(slipped, encoding="utf-8")
    mission = (folder / "next.yaml").read_text(encoding="utf-8")
    Path("next.yaml").write_text(mission.replace("callsign:", "calsign:"), encoding="utf-8")

    code, out, _ = run(capsys, "check", "--fix", "next.yaml")

    assert code == 2 and (content("start.yaml"), content("next.yaml")) == (slipped, mission)
    assert "`nmae` is left, not made `name`: start.yaml may be another mission's too: mend it there" in out

    run(capsys, "check", "--fix", "start.yaml")

    assert content("start.yaml") == book


def linked(target: str) -> None:
    Path("m.yaml").rename(target)
    Path("m.yaml").symlink_to(target)


def test_a_link_inside_its_folder_stays_one(there, capsys):
    linked("real.yaml")

    run(capsys, "check", "--fix", "m.yaml")

    assert Path("m.yaml").is_symlink() and content("real.yaml") == SMALL


def test_a_link_that_leads_out_is_not_written(there, capsys, tmp_path_factory):
    target = tmp_path_factory.mktemp("elsewhere") / "real.yaml"
    linked(str(target))

    code, out, _ = run(capsys, "check", "--fix", "m.yaml")

    assert code == 2 and target.read_text(encoding="utf-8") == SLIPPED and Path("m.yaml").is_symlink()
    assert "m.yaml: not written: it is a link that leads out of its folder" in out


def test_a_file_that_changes_meanwhile_is_not_written(there, capsys, monkeypatch):
    def meanwhile(*given: object) -> object:
        Path("m.yaml").write_text(SMALL + "# more\n", encoding="utf-8")
        return mended(*given)

    mended = check_fix.mended
    monkeypatch.setattr(check_fix, "mended", meanwhile)

    _, out, _ = run(capsys, "check", "--fix", "m.yaml")

    assert content() == SMALL + "# more\n" and "changed meanwhile" in out and listing() == ["m.yaml"]


def test_a_read_only_file_is_not_written(there, capsys, monkeypatch):
    monkeypatch.setattr(os, "access", lambda path, mode: mode != os.W_OK)  # root may write any

    _, out, _ = run(capsys, "check", "--fix", "m.yaml")

    assert content() == SLIPPED and "not written: the file is read-only" in out


def test_a_full_disk_leaves_the_old_file(there, capsys, monkeypatch):
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)

    _, out, _ = run(capsys, "check", "--fix", "m.yaml")

    assert content() == SLIPPED and listing() == ["m.yaml"] and "not written: No space left on device" in out


@pytest.mark.parametrize("data", [b"", b"\xff\xfe", b"calsign: \xe9\n", b"\0" * 100, b"x: y\n" * 60_000])
def test_what_is_no_mission_is_left(there, capsys, data):
    Path("m.yaml").write_bytes(data)

    code, _, _ = run(capsys, "check", "--fix", "m.yaml")

    assert code == 2 and Path("m.yaml").read_bytes() == data


def test_a_file_that_is_not_there(there, capsys):
    code, out, _ = run(capsys, "check", "--fix", "none.yaml")

    assert code == 2 and "there is no such file" in out and listing() == ["m.yaml"]


@pytest.mark.parametrize("typed", ["220 knots TAS", "220 kt TAS", "220 TAS", "220 knots tas"])
def test_a_speed_gets_the_k_of_its_kind(there, capsys, typed):
    """What is typed is a true airspeed in knots; the K decides nothing of it."""
    leg = "{to: IP, level: 1000 ft MSL, speed: 220 KTAS}"
    whole = SMALL.replace("event:\n", f"transit: [{leg}]\nevent:\n", 1)
    Path("m.yaml").write_text(whole.replace("220 KTAS", typed))

    run(capsys, "check", "--fix", "m.yaml")

    assert content() == whole


def test_the_head_of_a_book_is_mended(there, capsys):
    run(capsys, "new", "--book", "book.yaml")
    whole = content("book.yaml")
    Path("book.yaml").write_text(whole.replace("\nowner:", "\nownr:"), encoding="utf-8", newline="")

    _, out, _ = run(capsys, "check", "book.yaml")
    assert out.count("error:") == 1 and "did you mean owner?" in out

    run(capsys, "check", "--fix", "book.yaml")
    assert content("book.yaml") == whole
