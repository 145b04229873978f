"""``briefgen build`` from end to end when the folder, the disk or the machine is against it: whole products,
old or new, never a mixture.

Every single file operation is broken in tests/build/test_staging.py; here the command itself is run, with its
messages and its exit codes.
"""

from __future__ import annotations

import contextlib
import ctypes
import errno
import hashlib
import io
import json
import os
import random
import shutil
import signal
import subprocess
import tempfile
import time
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.build import build as build_room
from briefgen.build.staging import MANIFEST, read_manifest
from tests.places import TESTS

MISSION = (TESTS / "cases" / "ok-pass-only.yaml").read_text(encoding="utf-8")
CALLSIGN = "callsign: GANNET"
needs_fork = pytest.mark.skipif(not hasattr(os, "fork"), reason="NOT CHECKED: this system has no fork")


def mission(name: str) -> str:
    """The same mission under another callsign: another plan, so other bytes in every product."""
    assert MISSION.count(CALLSIGN) == 1
    return MISSION.replace(CALLSIGN, f"callsign: {name}")


def sums(folder: Path) -> dict[str, str]:
    return (
        {
            path.name: hashlib.sha256(path.read_bytes()).hexdigest()
            for path in folder.iterdir()
            if path.is_file()
        }
        if folder.is_dir()
        else {}
    )


def whole(folder: Path) -> bool:
    """Exactly what its manifest names, byte for byte."""
    manifest = read_manifest(folder)
    found = sums(folder)
    found.pop(MANIFEST, None)
    return (
        manifest is not None and {entry["file"]: entry["sha256"] for entry in manifest["products"]} == found
    )


def at_work(folder: Path, name: str) -> None:
    (folder / "m.yaml").write_text(mission(name), encoding="utf-8")


@pytest.fixture(scope="module")
def made(tmp_path_factory) -> dict[str, object]:
    """Both plans built once: callsign → (its folder, its products as they came out)."""
    found: dict[str, object] = {}
    real = build_room._make_all
    patch = pytest.MonkeyPatch()
    for name in ("OLDSQUAW", "NEWT"):
        folder = tmp_path_factory.mktemp(name)
        at_work(folder, name)
        kept: list = []
        patch.setattr(build_room, "_make_all", lambda *asked, kept=kept: kept.extend(real(*asked)) or kept)
        assert cli.run(["build", str(folder / "m.yaml"), "--out", str(folder / "out")]) in (0, 1)
        assert whole(folder / "out")
        found[name] = (folder / "out", kept)
    patch.undo()
    old, new = (sums(found[name][0]) for name in ("OLDSQUAW", "NEWT"))
    assert old.keys() == new.keys() and len(old) >= 5 and not set(old.values()) & set(new.values())
    return found


@pytest.fixture
def work(made, tmp_path, monkeypatch) -> Path:
    """The old products in ``out``, the new mission beside it, and its products ready, so that a build costs
    only its files."""
    shutil.copytree(made["OLDSQUAW"][0], tmp_path / "out")
    at_work(tmp_path, "NEWT")
    monkeypatch.setattr(build_room, "_make_all", lambda *asked: made["NEWT"][1])
    monkeypatch.chdir(tmp_path)
    return tmp_path


def build() -> int:
    return cli.run(["build", "m.yaml", "--out", "out"])


def is_old(made, folder: Path) -> bool:
    return sums(folder / "out") == sums(made["OLDSQUAW"][0])


def is_new(made, folder: Path) -> bool:
    return sums(folder / "out") == sums(made["NEWT"][0])


def test_a_build_over_older_products_leaves_the_new_ones_alone(made, work):
    assert build() in (0, 1)
    assert is_new(made, work) and sorted(path.name for path in work.iterdir()) == ["m.yaml", "out"]


@pytest.mark.parametrize(
    ("call", "use", "number", "word"),
    [
        ("fsync", 1, errno.ENOSPC, "free some space"),
        ("fsync", 5, errno.ENOSPC, "free some space"),
        ("mkdir", 2, errno.EROFS, "read-only"),
        ("open", 1, errno.EACCES, "another folder"),
    ],
    ids=["disk full at once", "disk full at the fifth product", "read-only disk", "folder not to be written"],
)
def test_a_build_that_cannot_write_says_so_and_leaves_the_older_products(
    made, work, monkeypatch, capsys, call, use, number, word
):
    real, uses = getattr(os, call), iter(range(1, 1000))

    def refuse(*arguments, **more):
        if next(uses) == use:
            raise OSError(number, os.strerror(number))
        return real(*arguments, **more)

    monkeypatch.setattr(os, call, refuse)
    code = build()
    monkeypatch.undo()
    said = capsys.readouterr().err
    assert code == 3 and os.strerror(number) in said and word in said and "older products, whole" in said
    assert is_old(made, work) and sorted(path.name for path in work.iterdir()) == ["m.yaml", "out"]


def in_child(action) -> str:
    """The exit code of the action and what it says to its standard error, done in a child."""
    with tempfile.TemporaryFile() as told:
        child = os.fork()
        if child == 0:
            code, said = 99, io.StringIO()
            try:
                with contextlib.redirect_stderr(said):
                    code = action()
            except BaseException as error:
                said.write(repr(error))
            os.write(told.fileno(), said.getvalue().encode())
            os._exit(code)
        code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
        told.seek(0)
        return f"{code} {told.read().decode()}"


@needs_fork
def test_a_file_larger_than_the_system_allows_is_told(made, work):
    import resource

    def limited() -> int:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
        return build()

    said = in_child(limited)
    assert said.startswith("3 ") and "File too large" in said and "older products, whole" in said
    assert is_old(made, work) and sorted(path.name for path in work.iterdir()) == ["m.yaml", "out"]


def without_privileges() -> None:
    """Leaves root its own files only, as any user has them: capset(2) with version 3 and no capability.

    Another user's id would do too, were it not that the Python that runs the tests may stand in a folder
    closed to all others, and then its packages could not be read.
    """
    if os.geteuid() == 0:
        header, nothing = (ctypes.c_uint32 * 2)(0x20080522, 0), (ctypes.c_uint32 * 6)()
        assert ctypes.CDLL(None, use_errno=True).capset(header, nothing) == 0, os.strerror(ctypes.get_errno())


@needs_fork
@pytest.mark.parametrize("where", ["the folder around it", "the folder itself", "both, and every product"])
def test_a_plain_user_who_may_not_write_is_told_or_gets_whole_products(made, work, where):
    """Who may write to the folder around the products may replace them as a whole; who may not gets a
    message."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        shutil.copytree(work, folder, dirs_exist_ok=True)
        if where != "the folder around it":
            os.chmod(folder / "out", 0o555)
        if where != "the folder itself":
            os.chmod(folder, 0o555)
        if where.startswith("both"):
            for path in (folder / "out").iterdir():
                os.chmod(path, 0o444)
        said = in_child(lambda: (os.chdir(folder), without_privileges(), build())[-1])
        if where == "the folder itself":
            assert (
                said[:2] in ("0 ", "1 ")
                and "the old products could not be removed" in said
                and "nobody should fly with them" in said
            )
            assert is_new(made, folder)
        else:
            assert (
                said.startswith("3 ")
                and "Permission denied" in said
                and "--out" in said
                and "older products, whole" in said
            )
            assert is_old(made, folder) and sorted(path.name for path in folder.iterdir()) == [
                "m.yaml",
                "out",
            ]
        for path in [folder, *folder.rglob("*")]:
            os.chmod(path, 0o777)


def test_a_folder_that_bears_a_products_name_is_kept_under_another_and_told(made, work, capsys):
    (work / "out" / "deck.pptx").unlink()
    (work / "out" / "deck.pptx").mkdir()
    (work / "out" / "deck.pptx" / "mine.txt").write_text("mine", encoding="utf-8")
    assert build() in (0, 1)
    assert "deck.pptx" in capsys.readouterr().err
    assert is_new(made, work)
    assert (work / "out" / "deck.edited-by-hand.pptx" / "mine.txt").read_text(encoding="utf-8") == "mine"


KILLED = """
import os, signal, sys
number, folder, operations, count = int(sys.argv[1]), sys.argv[2], set(sys.argv[3].split()), 0
def hook(event, arguments):
    global count
    if event in operations and str(arguments[0]).startswith(folder):
        count += 1
        if count == number:
            os.kill(os.getpid(), signal.SIGKILL)
sys.addaudithook(hook)
from briefgen import cli
sys.exit(cli.run(["build", os.path.join(folder, "m.yaml"), "--out", os.path.join(folder, "out")]))
"""
# of files below the folder: the mission is read with the first of them
OPERATIONS = "os.mkdir os.rename os.remove os.rmdir open"


@pytest.mark.slow
@needs_fork
def test_killed_at_any_moment_of_a_whole_build_the_products_are_whole_and_the_next_build_succeeds(
    made, tmp_path, python, clean_environment
):
    """Four builds in programs of their own: two die at a random moment, two before a random operation of
    their writing (the seed is 7)."""
    chance = random.Random(7)
    (tmp_path / "work").mkdir()
    # as far from its products as those made before: the manifest remembers the way
    at_work(tmp_path / "work", "NEWT")
    shutil.copytree(made["OLDSQUAW"][0], tmp_path / "work" / "out")
    before, after = sums(made["OLDSQUAW"][0]), sums(made["NEWT"][0])
    deaths = []
    for number in (0, chance.randint(4, 9), 0, chance.randint(10, 20)):
        started = subprocess.Popen(
            [python, "-c", KILLED, str(number), str(tmp_path / "work"), OPERATIONS],
            env=clean_environment,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        if number == 0:
            time.sleep(chance.uniform(0.2, 2.0))
            started.kill()
        deaths.append(started.wait(timeout=120))
        found = sums(tmp_path / "work" / "out")
        assert found in (before, after), (number, sorted(found))
    assert deaths[1] == deaths[3] == -signal.SIGKILL
    done = subprocess.run(
        [python, "-c", KILLED, "100000", str(tmp_path / "work"), OPERATIONS],
        env=clean_environment,
        capture_output=True,
        timeout=120,
        check=False,
    )
    assert done.returncode in (0, 1), done.stderr[-2000:]
    assert sums(tmp_path / "work" / "out") == after and sorted(
        path.name for path in (tmp_path / "work").iterdir()
    ) == ["m.yaml", "out"]
    assert json.loads((tmp_path / "work" / "out" / MANIFEST).read_text(encoding="utf-8"))["failed"] == []
