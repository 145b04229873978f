"""A build of one folder, killed before every single file operation. Run as a program by test_staging, so that
what is copied for each kill is small.

Operations are found with the interpreter's own audit events, so the program under test has no switch for
testing.
"""

from __future__ import annotations

import hashlib
import os
import signal
import sys
from functools import partial
from pathlib import Path

from briefgen.build import staging
from briefgen.build.staging import MANIFEST, places, read_manifest, write_products

OLD = {"deck.pptx": b"old deck", "kneeboard-1.pdf": b"old card 1", "kneeboard-2.pdf": b"old card 2"}
NEW = {"deck.pptx": b"new deck", "kneeboard-1.pdf": b"new card 1", "FAILED-kneeboard-2.txt": b"no room"}
HEAD = {"mission": "Harbour"}
BEFORE = {"no folder": None, "empty folder": {}, "older products": OLD}
OPERATIONS = {
    "open",
    "os.mkdir",
    "os.rename",
    "os.remove",
    "os.rmdir",
    "os.link",
    "shutil.rmtree",
    "shutil.copyfile",
}


def contents(folder: Path) -> dict[str, bytes]:
    return (
        {path.name: path.read_bytes() for path in folder.iterdir() if path.name != MANIFEST}
        if folder.is_dir()
        else {}
    )


def whole(folder: Path, expected: dict[str, bytes]) -> bool:
    """The folder holds exactly these files, and its manifest names just them by their sha256."""
    manifest = read_manifest(folder)
    listed = {entry["file"]: entry["sha256"] for entry in manifest["products"]} if manifest else {}
    return contents(folder) == expected and listed == {
        name: hashlib.sha256(data).hexdigest() for name, data in expected.items()
    }


def whole_or_empty(folder: Path, expected: dict[str, bytes]) -> bool:
    return whole(folder, expected) or (not expected and contents(folder) == {})


def in_child(action) -> int:
    """Run the action in a forked child; its exit status, or minus the signal that ended it."""
    child = os.fork()
    if child == 0:
        try:
            action()
            os._exit(0)
        except BaseException:
            os._exit(1)
    return os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])


def killed_while_writing(number: int, folder: Path, target: Path) -> None:
    kill_before(number, folder)
    write_products(target, NEW, head=HEAD)


def kill_before(number: int, folder: Path):
    """From now on, this process is killed before the numbered file operation below the folder."""
    count = 0

    def hook(event: str, arguments: tuple) -> None:
        nonlocal count
        if event in OPERATIONS and str(arguments[0]).startswith(str(folder)):
            count += 1
            if count == number:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.addaudithook(hook)


def kill_before_each(room: Path, before: dict[str, bytes] | None, *, one_step: bool) -> int:
    """How many kills it took until a build was through. After each the folder is as it was or as it was to
    be, and the next build succeeds."""
    if not one_step:
        staging.exchange = lambda one, other: False
    for number in range(1, 200):
        folder = room / str(number)
        target = folder / "regatta"
        folder.mkdir()
        if before is not None:
            write_products(target, before, head=HEAD) if before else target.mkdir()
        status = in_child(partial(killed_while_writing, number, folder, target))
        if status == 0:
            return number - 1
        assert status == -signal.SIGKILL
        found = contents(target)
        between = not one_step and not target.exists() and whole_or_empty(places(target).old, before or {})
        assert found in (before or {}, NEW) or between, f"a mixture after operation {number}: {sorted(found)}"
        assert write_products(target, NEW, head=HEAD) == []
        assert whole(target, NEW)
        assert [path.name for path in folder.iterdir()] == ["regatta"]
    raise AssertionError("no build came through")


if __name__ == "__main__":
    os.fsync = (
        lambda _: None
        # what a killed process has written is there all the same; a test that breaks this very call stands in
        # test_staging
    )
    print(
        kill_before_each(
            Path(sys.argv[1]), BEFORE[sys.argv[2]], one_step=sys.argv[3] == "exchange in one step"
        )
    )
