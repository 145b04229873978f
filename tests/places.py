"""Where things lie, for tests in any folder."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

TESTS = Path(__file__).resolve().parent
REPOSITORY = TESTS.parent
MISSIONS = REPOSITORY / "missions"
# the files that the fast tier leaves out: tests/tools/fast_tier.py says why
NOT_FAST = frozenset((TESTS / "data" / "not_fast.txt").read_text(encoding="ascii").split())
# the demonstrations of one pass, whose products most tests look at
OF_ONE_PASS = tuple(
    path
    for path in sorted((REPOSITORY / "missions").glob("*.yaml"))
    if "\nflow:" not in path.read_text(encoding="utf-8")
)


def put_beside(folder: Path) -> None:
    """What lies beside the demonstrations, such as the book that one stands on, beside a copy of one."""
    for beside in MISSIONS.iterdir():
        if beside.is_dir():
            shutil.copytree(beside, folder / beside.name, dirs_exist_ok=True)


AXE = "axe.min.js"  # of axe-core, which checks pages


def axe_script() -> Path:
    """Where it lies: as BRIEFGEN_AXE says, else nowhere."""
    return Path(os.environ.get("BRIEFGEN_AXE", f"{os.devnull}/{AXE}"))


MINI_BROWSER = "MiniBrowser"  # of WebKitGTK, which is on no path


def mini_browser() -> Path:
    """Where Debian puts it."""
    return max(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"), default=Path(os.devnull))
