"""Do two states of the program make the same products? For a change that must change nothing that anybody
reads::

    python -m tests.tools.same_products REVISION        that commit against this work tree

Every mission of missions/ and every good case of tests/cases is built by both, each in a process of its own,
with fingerprint and version pinned: they name the program, not what it says. Products are compared byte for
byte; plan.json by its keys and values, so that a moved key is told as one; manifest.json holds only hashes
and is passed over. Exit code 1 where anything differs.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

REPOSITORY = Path(__file__).resolve().parents[2]
BY_KEYS, PASSED_OVER = "plan.json", "manifest.json"
MOST_TOLD = 12

# Runs in either state of the program: the room that builds is called by one of two names.
BUILD = """
import importlib, sys
from pathlib import Path
import briefgen
briefgen.__version__ = "pinned"
try:
    room = importlib.import_module("briefgen.build.build")
except ModuleNotFoundError:
    room = importlib.import_module("briefgen.build")
room._fingerprint = lambda *_: room.Fingerprint("PPPP-PPPP-PPPP-PPPP")
out, *missions = map(Path, sys.argv[1:])
for mission in missions:
    room.build(mission, out=out / mission.stem)
"""


def main(revision: str) -> int:
    """Build with both, tell every difference."""
    missions = [
        *sorted((REPOSITORY / "missions").glob("*.yaml")),
        *sorted((REPOSITORY / "tests" / "cases").glob("ok-*.yaml")),
    ]
    with tempfile.TemporaryDirectory() as room:
        other, before, after = (Path(room) / name for name in ("tree", "before", "after"))
        git("worktree", "add", "--detach", "--quiet", str(other), revision)
        try:
            for tree, out in ((other, before), (REPOSITORY, after)):
                environment = {**os.environ, "PYTHONPATH": str(tree)}
                subprocess.run(
                    [sys.executable, "-c", BUILD, str(out), *map(str, missions)],
                    check=True,
                    env=environment,
                    cwd=room,
                )
        finally:
            git("worktree", "remove", "--force", str(other))
        differences = list(differing(before, after))
        made = len(list(after.rglob("*.*")))
    print(
        "\n".join(
            [
                *differences,
                f"{made} files of {len(missions)} missions: {len(differences) or 'no'} differences",
            ]
        )
    )
    return 1 if differences or not made else 0


def git(*arguments: str) -> None:
    """A git command on this repository."""
    subprocess.run(["git", *arguments], check=True, cwd=REPOSITORY)


def differing(before: Path, after: Path) -> Iterator[str]:
    """A line for each file that only one side has, that has other bytes, or whose keys or values differ."""
    names = sorted(
        {path.relative_to(side) for side in (before, after) for path in side.rglob("*") if path.is_file()}
    )
    for name in (name for name in names if name.name != PASSED_OVER):
        here, there = (side / name for side in (before, after))
        if not here.exists() or not there.exists():
            yield f"{name}: only {'before' if here.exists() else 'after'}"
        elif name.name == BY_KEYS:
            told = list(
                differing_values(*(json.loads(side.read_text(encoding="utf-8")) for side in (here, there)))
            )
            yield from (f"{name}: {line}" for line in told[:MOST_TOLD])
            if len(told) > MOST_TOLD:
                yield f"{name}: and {len(told) - MOST_TOLD} more"
        elif here.read_bytes() != there.read_bytes():
            yield f"{name}: other bytes"


def differing_values(before: Any, after: Any, path: str = "") -> Iterator[str]:
    """A line for each key or value in which two JSON documents differ."""
    if isinstance(before, dict) and isinstance(after, dict):
        for key in sorted({*before, *after}):
            if key not in before or key not in after:
                yield f"{path}.{key}: only {'before' if key in before else 'after'}"
            else:
                yield from differing_values(before[key], after[key], f"{path}.{key}")
    elif isinstance(before, list) and isinstance(after, list) and len(before) == len(after):
        for number, (one, other) in enumerate(zip(before, after, strict=True)):
            yield from differing_values(one, other, f"{path}[{number}]")
    elif before != after:
        yield f"{path}: {str(before)[:60]} -> {str(after)[:60]}"


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
