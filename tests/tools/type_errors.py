"""How many errors does mypy find in each room, and is that more than before? ::

    python -m tests.tools.type_errors            compares with the numbers in tests/data/type_errors.txt
    python -m tests.tools.type_errors --lower    writes those that fell

A number never rises: exit code 1 where one did. A room at 0 is clean and stays so; a room that the file does
not name has 0. The configuration, strict for every room, stands in pyproject.toml.
"""

from __future__ import annotations

import re
import subprocess
import sys
from collections import Counter
from collections.abc import Mapping
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
COMMITTED = REPOSITORY / "tests" / "data" / "type_errors.txt"
TOP = "briefgen"  # the modules that stand in no room
_ERROR = re.compile(r"^briefgen[/\\](?:(?P<room>\w+)[/\\])?.*: error: ")
_ENDED, _FOUND_SOME = 0, 1


def main(lower: bool) -> int:
    """Run mypy, print the numbers and what to do about them."""
    told = mypy()
    found, before = counted(told), read(COMMITTED.read_text(encoding="ascii"))
    print(table(found, before))
    if risen := rooms(found, before, more=True):
        print(*(line for line in told.splitlines() if room_of(line) in risen), sep="\n")
        print(f"more errors than before in {', '.join(risen)}: mend them, the numbers never rise")
        return 1
    if fallen := rooms(found, before, more=False):
        print(f"fewer than before in {', '.join(fallen)}: lower the numbers with --lower, and commit them")
        if lower:
            COMMITTED.write_text(written(found), encoding="ascii")
    return 0


def mypy() -> str:
    """What mypy tells of the whole program. RuntimeError where it did not come to its end."""
    run = subprocess.run(
        [sys.executable, "-m", "mypy", "--no-pretty", "--no-color-output"],
        cwd=REPOSITORY,
        capture_output=True,
        text=True,
        check=False,
    )
    if run.returncode not in (_ENDED, _FOUND_SOME) or (run.returncode and not counted(run.stdout)):
        raise RuntimeError(f"mypy did not run: {run.stderr or run.stdout}")
    return run.stdout


def room_of(line: str) -> str | None:
    """The room that an error is told of; None for a note or any other line."""
    found = _ERROR.match(line)
    return (found["room"] or TOP) if found else None


def counted(told: str) -> Counter[str]:
    """Errors a room."""
    return Counter(room for line in told.splitlines() if (room := room_of(line)) is not None)


def read(text: str) -> dict[str, int]:
    """The committed numbers: a room and its number a line."""
    return {room: int(number) for room, number in (line.split() for line in text.splitlines())}


def written(found: Mapping[str, int]) -> str:
    """The same as text; a clean room is left out."""
    return "".join(f"{room} {number}\n" for room, number in sorted(found.items()) if number)


def rooms(found: Mapping[str, int], before: Mapping[str, int], *, more: bool) -> list[str]:
    """The rooms with more errors than before, or with fewer."""
    change = {room: found.get(room, 0) - before.get(room, 0) for room in {*found, *before}}
    return sorted(room for room, by in change.items() if (by > 0 if more else by < 0))


def table(found: Mapping[str, int], before: Mapping[str, int]) -> str:
    """The numbers of every room, clean ones too, and their sum."""
    folders = {path.parent.name for path in (REPOSITORY / "briefgen").glob("*/__init__.py")}
    lines = [f"{room:10} {found.get(room, 0):4}" for room in sorted({TOP, *folders, *found, *before})]
    return "\n".join([*lines, f"{'sum':10} {sum(found.values()):4}  (before: {sum(before.values())})"])


if __name__ == "__main__":
    sys.exit(main("--lower" in sys.argv[1:]))
