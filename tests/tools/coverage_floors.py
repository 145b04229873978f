"""How much of each room do the tests run, and is that less than it has to be? ::

    python -m pytest --cov                           measures, and leaves .coverage
    python -m tests.tools.coverage_floors            compares it with tests/data/coverage_floors.txt
    python -m tests.tools.coverage_floors --raise    raises the floors that it is well above

Lines and branches are counted together, in percent. Exit code 1 where a room is below its floor, or has
none. What a started program runs is not seen, nor what the second worker of a build makes: both are runs of
the same lines in another process.
"""

from __future__ import annotations

import json
import math
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

REPOSITORY = Path(__file__).resolve().parents[2]
COMMITTED = REPOSITORY / "tests" / "data" / "coverage_floors.txt"
TOP = "briefgen"  # the modules that stand in no room
STEP = 0.5  # percent: a floor lies on a whole step below what was measured
WORST = 5  # files that are named where a room is below its floor


def main(upward: bool) -> int:
    """Print the table of the rooms and what to do about it."""
    files = measured()
    found, floors = by_room(files), read(COMMITTED.read_text(encoding="ascii"))
    print(table(found, floors))
    low = below(found, floors)
    for room in low:
        print(f"{room} is below its floor; the most is missing in:", *missing(files, room), sep="\n  ")
    if upward and not low:
        COMMITTED.write_text(written(raised(found, floors)), encoding="ascii")
    return 1 if low or (new(found, floors) and not upward) else 0


def measured() -> dict[str, dict[str, Any]]:
    """The files of the program with what coverage counted in each. RuntimeError: nothing was measured."""
    from coverage import Coverage

    with tempfile.TemporaryDirectory() as folder:
        told = Coverage(data_file=str(REPOSITORY / ".coverage"))
        told.load()
        told.json_report(outfile=str(Path(folder) / "coverage.json"))
        files: dict[str, Any] = json.loads((Path(folder) / "coverage.json").read_text("utf-8"))["files"]
    if not any(entry["summary"]["covered_lines"] for entry in files.values()):
        raise RuntimeError("nothing was measured: run python -m pytest --cov first")
    named = {name.replace("\\", "/"): entry["summary"] for name, entry in files.items()}
    # a test of tests/tools spoils a program of its own, which lies elsewhere
    return {name: summary for name, summary in named.items() if name.startswith("briefgen/")}


def room_of(name: str) -> str:
    """``briefgen/plan/event/hold.py`` → ``plan``."""
    parts = name.split("/")
    return parts[1] if len(parts) > 2 else TOP


def counts(summary: Mapping[str, Any]) -> tuple[int, int]:
    """Lines and branches that were run, and all of them."""
    return (
        summary["covered_lines"] + summary["covered_branches"],
        summary["num_statements"] + summary["num_branches"],
    )


def by_room(files: Mapping[str, Mapping[str, Any]]) -> dict[str, tuple[int, int]]:
    """The sums of each room that has anything to run."""
    sums: dict[str, tuple[int, int]] = {}
    for name, summary in files.items():
        run, of = counts(summary)
        had = sums.get(room_of(name), (0, 0))
        sums[room_of(name)] = had[0] + run, had[1] + of
    return {room: total for room, total in sorted(sums.items()) if total[1]}


def percent(total: tuple[int, int]) -> float:
    """So much of it was run."""
    return 100 * total[0] / total[1]


def below(found: Mapping[str, tuple[int, int]], floors: Mapping[str, float]) -> list[str]:
    """The rooms below their floor."""
    return [room for room, total in found.items() if percent(total) < floors.get(room, 0.0)]


def new(found: Mapping[str, tuple[int, int]], floors: Mapping[str, float]) -> list[str]:
    """The rooms that have no floor yet."""
    return [room for room in found if room not in floors]


def raised(found: Mapping[str, tuple[int, int]], floors: Mapping[str, float]) -> dict[str, float]:
    """The floors as they can be now; none ever falls."""
    return {
        room: max(floors.get(room, 0.0), math.floor(percent(total) / STEP) * STEP)
        for room, total in found.items()
    }


def missing(files: Mapping[str, Mapping[str, Any]], room: str) -> list[str]:
    """The files of a room with the most that no test runs."""
    lost = {name: of - run for name, (run, of) in ((n, counts(s)) for n, s in files.items())}
    mine = sorted((name for name in lost if room_of(name) == room), key=lambda name: (-lost[name], name))
    return [f"{name}: {lost[name]}" for name in mine[:WORST] if lost[name]]


def read(text: str) -> dict[str, float]:
    """The committed floors: a room and its percentage a line."""
    return {room: float(floor) for room, floor in (line.split() for line in text.splitlines())}


def written(floors: Mapping[str, float]) -> str:
    """The same as text."""
    return "".join(f"{room} {floor:.1f}\n" for room, floor in sorted(floors.items()))


def table(found: Mapping[str, tuple[int, int]], floors: Mapping[str, float]) -> str:
    """Every room with its percentage and its floor, and all of them together."""
    lines = [
        f"{room:10} {percent(total):6.2f} %  "
        + (f"floor {floors[room]:5.1f} %" if room in floors else "no floor: --raise gives it one")
        for room, total in found.items()
    ]
    whole = tuple(map(sum, zip(*found.values(), strict=True)))
    return "\n".join([*lines, f"{'all':10} {percent((whole[0], whole[1])):6.2f} %  of lines and branches"])


if __name__ == "__main__":
    sys.exit(main("--raise" in sys.argv[1:]))
