"""Whole products, old or new, never a mixture: the build is killed before every single file operation, the
disk fills up, the folder is read-only, another program is in the way.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
import signal
import subprocess
import tempfile
from pathlib import Path

import pytest

from briefgen.build import staging
from briefgen.build.staging import MANIFEST, mission_of, mission_place, places, write_products
from briefgen.core.folders import remove, rename
from tests.build.staging_killed import BEFORE, HEAD, NEW, OLD, in_child, whole

needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="NOT CHECKED: this system has no fork")
as_root = pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0,
    reason="NOT CHECKED: needs to start as root to act as a plain user",
)


def codes(diagnostics) -> list[tuple[str, str]]:
    return [(d.code, d.severity) for d in diagnostics]


def test_the_first_build_makes_the_folder_and_a_manifest_that_names_every_file(tmp_path):
    target = tmp_path / "out" / "regatta"
    assert write_products(target, NEW, head=HEAD) == []
    assert whole(target, NEW)
    manifest = json.loads((target / MANIFEST).read_text())
    assert manifest["mission"] == "Harbour"
    assert [entry["bytes"] for entry in manifest["products"]] == [8, 10, 7]


def test_a_second_build_leaves_no_file_of_the_first_and_nothing_beside_the_folder(tmp_path):
    target = tmp_path / "regatta"
    write_products(target, OLD, head=HEAD)
    assert write_products(target, NEW, head=HEAD) == []
    assert whole(target, NEW)
    assert [path.name for path in tmp_path.iterdir()] == ["regatta"]


@needs_fork
@pytest.mark.parametrize("steps", ["exchange in one step", "two renames"])
@pytest.mark.parametrize("before", BEFORE)
def test_killed_before_any_operation_the_folder_is_whole_and_the_next_build_succeeds(
    tmp_path, python, clean_environment, before, steps
):
    done = subprocess.run(
        [python, "-m", "tests.build.staging_killed", str(tmp_path), before, steps],
        env=clean_environment,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    assert int(done.stdout) >= 6  # lock, folder, three products and the manifest at the least


@needs_fork
def test_killed_between_the_two_renames_the_old_products_come_back_although_the_next_build_fails(
    tmp_path, monkeypatch
):
    target = tmp_path / "regatta"
    write_products(target, OLD, head=HEAD)
    os.rename(target, places(target).old)
    monkeypatch.setattr(os, "fsync", fail(errno.ENOSPC))
    assert codes(write_products(target, NEW, head=HEAD)) == [("output-not-written", "error")]
    assert whole(target, OLD)


def fail(number: int):
    def refuse(*_arguments, **_keywords):
        raise OSError(number, os.strerror(number))

    return refuse


FAULTS = {
    # which call, at which of its uses, fails how                       word in the help
    "disk full at the manifest": (os, "fsync", 1, errno.ENOSPC, "space"),
    "disk full at the last product": (os, "fsync", 4, errno.ENOSPC, "space"),
    "quota used up": (os, "fsync", 2, errno.EDQUOT, "quota"),
    "read-only disk": (os, "mkdir", 2, errno.EROFS, "--out"),
    "a product held open at the first rename": (os, "rename", 1, errno.EACCES, "close"),
    "a product held open at the second rename": (os, "rename", 2, errno.EACCES, "close"),
}


@pytest.mark.parametrize("name", FAULTS)
def test_a_fault_is_told_and_leaves_the_older_products_whole(tmp_path, monkeypatch, name):
    module, call, use, number, word = FAULTS[name]
    target = tmp_path / "regatta"
    write_products(target, OLD, head=HEAD)
    monkeypatch.setattr(staging, "exchange", lambda one, other: False)
    real, uses = getattr(module, call), iter(range(1, 100))
    monkeypatch.setattr(module, call, lambda *a, **k: fail(number)() if next(uses) == use else real(*a, **k))
    (problem,) = write_products(target, NEW, head=HEAD)
    monkeypatch.undo()
    assert (problem.code, problem.severity) == ("output-not-written", "error")
    assert str(target) in problem.message and os.strerror(number) in problem.message
    assert word in problem.help
    assert "older products, whole" in problem.why
    assert whole(target, OLD)
    assert [path.name for path in tmp_path.iterdir()] == ["regatta"]


@needs_fork
def test_a_real_size_limit_of_the_system_is_told(tmp_path):
    import resource

    target = tmp_path / "regatta"

    def limited() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))
        (problem,) = write_products(target, {"deck.pptx": b"x" * 5000}, head=HEAD)
        assert problem.code == "output-not-written" and "no product was written" in problem.why

    assert in_child(limited) == 0
    assert list(tmp_path.iterdir()) == []


@needs_fork
@as_root
def test_a_folder_that_a_plain_user_may_not_write_to_is_told():
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o755)

        def plain_user() -> None:
            os.seteuid(65534)
            (problem,) = write_products(folder / "regatta", NEW, head=HEAD)
            assert (
                problem.code == "output-not-written"
                and "Permission denied" in problem.message
                and "--out" in problem.help
            )

        assert in_child(plain_user) == 0
        assert list(folder.iterdir()) == []


@needs_fork
@as_root
def test_old_products_that_cannot_be_deleted_are_told_and_the_new_ones_are_whole():
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        folder.chmod(0o777)
        target = folder / "regatta"

        def plain_user() -> None:
            os.seteuid(65534)
            write_products(target, OLD, head=HEAD)
            (target / "mine").mkdir()
            (target / "mine" / "note.txt").write_text("mine")
            (target / "mine").chmod(0o555)
            assert codes(write_products(target, NEW, head=HEAD)) == [("output-previous", "caution")]
            assert contents_of_files(target) == NEW
            assert codes(write_products(target, OLD, head=HEAD)) == [("output-previous", "error")]
            assert contents_of_files(target) == NEW

        assert in_child(plain_user) == 0


def contents_of_files(folder: Path) -> dict[str, bytes]:
    return {
        path.name: path.read_bytes() for path in folder.iterdir() if path.is_file() and path.name != MANIFEST
    }


@needs_fork
def test_two_builds_of_one_folder_do_not_meet(tmp_path):
    from briefgen.core.folders import folder_lock

    target = tmp_path / "regatta"
    with folder_lock(places(target).lock):
        assert codes(write_products(target, NEW, head=HEAD)) == [("output-busy", "error")]
    assert write_products(target, NEW, head=HEAD) == []


def beside(target: Path, name: str) -> None:
    folder = target.with_name(name)
    folder.mkdir()
    (folder / "a.txt").write_text("x")


REFUSED = {
    "a file where the folder should be": (lambda target: target.write_text("x"), "output-folder"),
    "a folder with somebody's files": (
        lambda target: (target.mkdir(), (target / "a.txt").write_text("x")),
        "output-not-ours",
    ),
    "a folder with another program's manifest": (
        lambda target: (target.mkdir(), (target / MANIFEST).write_text('{"name": "x"}')),
        "output-not-ours",
    ),
    "somebody's folder under the name for the old products": (
        lambda target: beside(target, ".regatta.briefgen-old"),
        "output-in-the-way",
    ),
    "somebody's folder under the name for the new products": (
        lambda target: beside(target, ".regatta.briefgen-new"),
        "output-in-the-way",
    ),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_not_ours_is_not_touched(tmp_path, name):
    make, code = REFUSED[name]
    make(tmp_path / "regatta")
    before = {path: path.read_text() for path in tmp_path.rglob("*") if path.is_file()}
    assert codes(write_products(tmp_path / "regatta", NEW, head=HEAD)) == [(code, "error")]
    assert {path: path.read_text() for path in tmp_path.rglob("*") if path.is_file()} == before


def test_a_users_copy_of_the_products_under_a_name_like_previous_stays(tmp_path):
    target = tmp_path / "regatta"
    write_products(target, OLD, head=HEAD)
    shutil.copytree(target, tmp_path / "regatta.previous")
    assert write_products(target, NEW, head=HEAD) == []
    assert whole(tmp_path / "regatta.previous", OLD) and whole(target, NEW)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["regatta", "regatta.previous"]


def test_what_the_manifest_does_not_list_is_moved_and_not_removed(tmp_path):
    """Left by a kill after the swap: the old products, and among them a file that came after the carrying
    over."""
    target = tmp_path / "regatta"
    write_products(target, OLD, head=HEAD)
    os.rename(target, places(target).old)
    write_products(tmp_path / "elsewhere", OLD, head=HEAD)
    os.rename(tmp_path / "elsewhere", target)
    (places(target).old / "late.txt").write_text("mine")
    assert write_products(target, NEW, head=HEAD) == []
    assert contents_of_files(target) == {**NEW, "late.edited-by-hand.txt": b"mine"}
    assert [path.name for path in tmp_path.iterdir()] == ["regatta"]


def test_names_are_compared_without_regard_to_case(tmp_path):
    """On a disk that tells the two apart the user's own ``Deck.pptx`` still gets a name that no product
    has."""
    target = tmp_path / "regatta"
    write_products(target, {"card.pdf": b"old"}, head=HEAD)
    (target / "Deck.pptx").write_bytes(b"mine")
    assert codes(write_products(target, NEW, head=HEAD)) == [("output-edited", "caution")]
    assert contents_of_files(target) == {**NEW, "Deck.edited-by-hand.pptx": b"mine"}


OTHERS = [
    # in the folder                                          to be built
    # another mission's?
    ({"mission_file": "regatta.yaml"}, {"mission_file": "regatta.yaml"}, False),
    ({"mission_file": "regatta.yaml"}, {"mission_file": "Regatta.YAML"}, False),
    ({"mission_file": "regatta.yaml"}, {"mission_file": "regatta.yml"}, True),
    ({"mission_file": "regatta.yaml"}, {"mission_file": "lantern-fair.yaml"}, True),
    ({"mission_file": "regatta.yaml"}, {"mission_file": "regatta.yaml", "kind": "debrief"}, True),
    # one name in two folders
    (
        {"mission_file": "m.yaml", "mission_path": "../../x1/m.yaml"},
        {"mission_file": "m.yaml", "mission_path": "../../x1/m.yaml"},
        False,
    ),
    (
        {"mission_file": "m.yaml", "mission_path": "../../x1/m.yaml"},
        {"mission_file": "m.yaml", "mission_path": "../../x2/m.yaml"},
        True,
    ),
    (
        {"mission_file": "m.yaml", "mission_path": "../../x1/m.yaml"},
        {"mission_file": "m.yaml", "mission_path_sha256": "ab"},
        True,
    ),
]


@pytest.mark.parametrize(("there", "head", "refused"), OTHERS)
def test_the_products_of_another_mission_are_replaced_only_when_that_is_said(tmp_path, there, head, refused):
    target = tmp_path / "regatta"
    write_products(target, OLD, head={**HEAD, **there})
    found = write_products(target, NEW, head={**HEAD, **head})
    assert codes(found) == ([("output-another-mission", "error")] if refused else [])
    assert whole(target, OLD if refused else NEW)
    if refused:
        assert (
            "Harbour, from " in found[0].message
            and found[0].message.endswith(there["mission_file"])
            and "--replace" in found[0].help
        )
    assert write_products(target, NEW, head={**HEAD, **head}, replace=True) == []
    assert whole(target, NEW)


def test_the_manifest_says_the_way_to_the_mission_and_no_path_of_the_machine(tmp_path):
    mission, folder = tmp_path / "x1" / "m.yaml", tmp_path / "out" / "m"
    mission.parent.mkdir()
    mission.write_text("")
    assert mission_place(mission, folder) == {"mission_path": "../../x1/m.yaml"}
    write_products(folder, NEW, head={**HEAD, "mission_file": "m.yaml", **mission_place(mission, folder)})
    assert mission_of(folder) == mission.resolve()
    mission.unlink()
    assert mission_of(folder) is None


def test_a_mission_on_the_other_side_of_the_disk_is_known_by_a_hash(tmp_path):
    """The first folder of the machine's path would be named on every way there."""
    ((key, value),) = mission_place(tmp_path / "m.yaml", Path("/somewhere-else/out")).items()
    assert (
        key == "mission_path_sha256"
        and value == hashlib.sha256(os.fsencode((tmp_path / "m.yaml").resolve())).hexdigest()
    )


@pytest.mark.parametrize("way", ["/etc/m.yaml", "../x.yaml", 7, None])
def test_a_way_that_leads_to_another_name_is_not_followed(tmp_path, way):
    (tmp_path / "x.yaml").write_text("")
    write_products(tmp_path / "m", NEW, head={**HEAD, "mission_file": "m.yaml", "mission_path": way})
    assert mission_of(tmp_path / "m") is None


TOO_MUCH = {
    "a whole disk": ("/", "output-folder"),
    "a long name": ("x" * 300, "output-not-written"),
    "a name that leaves no room for the hidden ones": ("x" * 250, "output-not-written"),
    "a long path": ("x/" * 3000, "output-not-written"),
}


@pytest.mark.parametrize("name", TOO_MUCH)
def test_a_path_that_the_system_can_not_take_is_told_in_words(tmp_path, monkeypatch, name):
    monkeypatch.chdir(tmp_path)
    (problem,) = write_products(Path(TOO_MUCH[name][0]), NEW, head=HEAD)
    assert (problem.code, problem.severity) == (TOO_MUCH[name][1], "error")
    assert len(problem.message) < 700 and problem.help
    assert list(tmp_path.iterdir()) == []


def test_a_users_film_is_neither_read_nor_copied(tmp_path, monkeypatch):
    target = tmp_path / "regatta"
    write_products(target, OLD, head=HEAD)
    (target / "film.mp4").write_bytes(b"x" * 1000)
    (target / "deck.pptx").write_bytes(b"my own deck, longer")
    number = (target / "film.mp4").stat().st_ino
    read = []
    monkeypatch.setattr("briefgen.build.users_files.digest", lambda path: read.append(path.name))
    write_products(target, NEW, head=HEAD)
    assert (target / "film.mp4").stat().st_ino == number
    # another size than the manifest says is another file
    assert "film.mp4" not in read and "deck.pptx" not in read


# ---------------------------------------------------------------- Windows, as its documentation says


def held(times: int, number: int):
    """Refuses so many times, as Windows does while another program holds a file."""
    left = iter(range(times))

    def refuse() -> None:
        if next(left, None) is not None:
            error = PermissionError(errno.EACCES, "held")
            error.winerror = number
            raise error

    return refuse


@pytest.mark.parametrize(
    ("times", "number", "moved"),
    [(3, 32, True), (3, 5, True), (10_000, 32, False), (1, 145, False)],
    ids=["scanned", "denied for a moment", "held for long", "another fault"],
)
def test_a_rename_waits_two_seconds_for_another_program(tmp_path, monkeypatch, times, number, moved):
    now, real, refuse = iter(range(100_000)), os.rename, held(times, number)
    monkeypatch.setattr("briefgen.core.folders.time.monotonic", lambda: next(now) * 0.05)
    monkeypatch.setattr("briefgen.core.folders.time.sleep", lambda seconds: None)
    monkeypatch.setattr(os, "rename", lambda one, other: (refuse(), real(one, other)))
    (tmp_path / "a").write_text("x")
    if moved:
        rename(tmp_path / "a", tmp_path / "b")
    else:
        with pytest.raises(PermissionError):
            rename(tmp_path / "a", tmp_path / "b")
    assert (tmp_path / "b").exists() is moved
    assert next(now) <= 45  # two seconds by this clock, and no more


def test_a_read_only_file_is_deleted(tmp_path, monkeypatch):
    path, real = tmp_path / "a", os.unlink
    path.write_text("x")
    path.chmod(0o444)

    def windows(name):
        if not os.stat(name).st_mode & 0o200:
            raise PermissionError(errno.EACCES, "read-only")
        real(name)

    monkeypatch.setattr(os, "unlink", windows)
    remove(path)
    assert not path.exists()


def test_a_file_within_the_path_is_told(tmp_path):
    (tmp_path / "a").write_text("x")
    (problem,) = write_products(tmp_path / "a" / "regatta", NEW, head=HEAD)
    assert problem.severity == "error" and "part of that path is a file" in problem.help


@pytest.mark.parametrize("below", ["", "deeper"])
def test_the_folder_one_works_in_is_not_replaced(tmp_path, monkeypatch, below):
    (tmp_path / below).mkdir(exist_ok=True)
    monkeypatch.chdir(tmp_path / below)
    assert codes(write_products(tmp_path, NEW, head=HEAD)) == [("output-folder", "error")]


def test_the_users_own_files_stay_and_an_edited_product_stays_under_a_name_that_says_so(tmp_path):
    target = tmp_path / "regatta"
    write_products(target, OLD, head=HEAD)
    (target / "notes.txt").write_text("bring pencils")
    (target / "photos").mkdir()
    (target / "photos" / "pier.jpg").write_bytes(b"jpg")
    (target / "deck.pptx").write_bytes(b"my own deck")
    (caution,) = write_products(target, NEW, head=HEAD)
    assert (caution.code, caution.severity) == ("output-edited", "caution")
    assert (
        "deck.pptx was changed by hand" in caution.message and "deck.edited-by-hand.pptx" in caution.message
    )
    kept = {"notes.txt": b"bring pencils", "deck.edited-by-hand.pptx": b"my own deck"}
    assert contents_of_files(target) == {**NEW, **kept}
    assert (target / "photos" / "pier.jpg").read_bytes() == b"jpg"
    (target / "deck.pptx").write_bytes(b"edited again")
    write_products(target, OLD, head=HEAD)
    assert contents_of_files(target) == {**OLD, **kept, "deck.edited-by-hand-2.pptx": b"edited again"}


def test_a_link_to_a_folder_stays_a_link(tmp_path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "disk")
    assert write_products(tmp_path / "link", NEW, head=HEAD) == []
    assert (tmp_path / "link").is_symlink() and whole(tmp_path / "disk", NEW)
    shutil.rmtree(tmp_path / "disk")


@pytest.mark.parametrize("out", ["link", "link/brief"])
def test_a_link_that_leads_nowhere_is_told_and_nothing_is_written_behind_it(tmp_path, out):
    (tmp_path / "link").symlink_to(tmp_path / "gone" / "there")
    (problem,) = write_products(tmp_path / out, NEW, head=HEAD)
    assert problem.code == "output-folder" and "which isn't there" in problem.message and problem.help
    assert [path.name for path in tmp_path.iterdir()] == ["link"]
