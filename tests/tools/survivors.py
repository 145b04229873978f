"""The changes of the program that its tests do not notice, as tests/data/surviving_mutants.txt lists them::

    retime, seed 1: 40 tried of 788, 37 killed, 2026-11-30

    briefgen/retime/which.py, column 7, Gt -> GtE, drawn by retime 1
        if a > b:
        equivalent: at equality both are the same pass

First a line for each run of ``tests/tools/mutants.py``, of a room or of one of its folders (``plan/fuel``),
then a block for each survivor: where and what was changed, which runs drew it, the line as it reads, and what
a person says of it: ``equivalent``, nobody can see it, or ``real``, a row is missing; until then ``not
judged``. What is equivalent counts neither as killed nor as tried.

    python -m tests.tools.survivors        takes out what no longer stands in the program
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from tests.places import REPOSITORY, TESTS

COMMITTED = TESTS / "data" / "surviving_mutants.txt"
LEAST = 90.0  # percent of the real ones that the tests of a room have to kill
EQUIVALENT, REAL, NOT_JUDGED = "equivalent", "real", "not judged"
Draw = tuple[str, int]  # the room and the seed of a run
_RUN = re.compile(
    r"(?P<room>\S+), seed (?P<seed>\d+): (?P<tried>\d+) tried of (?P<known>\d+), (?P<killed>\d+) killed, "
    r"(?P<date>\d{4}-\d\d-\d\d)"
)
_WHERE = re.compile(
    r"(?P<file>\S+), column (?P<column>\d+), (?P<words>.+?), drawn by (?P<drawn>\S+ \d+(?:, \S+ \d+)*)\n"
    r" +(?P<line>.+)\n +(?P<judged>equivalent|real|not judged):? ?(?P<why>.*)"
)


@dataclass(frozen=True)
class Run:
    """One sample of a room's mutants, and how many of them its tests noticed."""

    room: str
    seed: int
    tried: int
    known: int
    killed: int
    date: str

    @property
    def draw(self) -> Draw:
        """What tells it from other runs."""
        return self.room, self.seed

    def __str__(self) -> str:
        return (
            f"{self.room}, seed {self.seed}: {self.tried} tried of {self.known}, {self.killed} killed, "
            f"{self.date}"
        )


@dataclass(frozen=True)
class Survivor:
    """One change that was not noticed. It is known again by its file, its line's text, its column there and
    what was changed; a line that reads otherwise is another one."""

    file: str
    line: str
    column: int
    words: str
    drawn: tuple[Draw, ...] = field(default=(), compare=False)
    judged: str = field(default=NOT_JUDGED, compare=False)
    why: str = field(default="", compare=False)

    def __str__(self) -> str:
        drawn = "drawn by " + ", ".join(f"{room} {seed}" for room, seed in self.drawn)
        judged = f"{self.judged}: {self.why}" if self.why else self.judged
        return f"{self.file}, column {self.column}, {self.words}, {drawn}\n    {self.line}\n    {judged}"

    def is_there(self, repository: Path = REPOSITORY) -> bool:
        """Whether its file still has such a line."""
        path = repository / self.file
        return path.exists() and self.line in map(str.strip, path.read_text(encoding="utf-8").splitlines())


@dataclass(frozen=True)
class Survivors:
    """The file."""

    runs: tuple[Run, ...]
    all: tuple[Survivor, ...]

    def rate(self, run: Run) -> float:
        """Percent of the real mutants of a run that were killed."""
        alike = sum(one.judged == EQUIVALENT for one in self.drawn_by(run))
        return 100 * run.killed / (run.tried - alike)

    def drawn_by(self, run: Run) -> list[Survivor]:
        """What a run left."""
        return [one for one in self.all if run.draw in one.drawn]

    def of(self, room: str) -> list[Survivor]:
        """Those of a room or a folder of one."""
        return [one for one in self.all if one.file.startswith(f"briefgen/{room}/")]

    def after(self, run: Run, killed: Sequence[Survivor], survived: Sequence[Survivor]) -> Survivors:
        """The list once a run has been done, in place of the run before from the same seed. What it killed is
        gone; what is there already keeps what a person said of it."""
        kept = self.without(killed)
        known = {one: one for one in kept.all}
        drawn = {one: tuple(draw for draw in one.drawn if draw != run.draw) for one in kept.all}
        drawn |= {one: (*drawn.get(one, ()), run.draw) for one in survived}
        listed = [replace(known.get(one, one), drawn=tuple(sorted(had))) for one, had in drawn.items() if had]
        return Survivors((*(one for one in kept.runs if one.draw != run.draw), run), tuple(listed))

    def without(self, killed: Sequence[Survivor]) -> Survivors:
        """The list once new rows have killed some of it."""
        return self._less(killed, killed=1)

    def as_it_is(self) -> Survivors:
        """The list without what stands in the program no more: as if that had never been tried."""
        return self._less([one for one in self.all if not one.is_there()], tried=-1)

    def _less(self, gone: Sequence[Survivor], killed: int = 0, tried: int = 0) -> Survivors:
        """Without some, each of which counts so in the runs that had drawn it."""
        times = Counter(draw for one in self.all if one in gone for draw in one.drawn)
        runs = (
            replace(run, killed=run.killed + killed * number, tried=run.tried + tried * number)
            for run in self.runs
            for number in [times[run.draw]]
        )
        return Survivors(tuple(runs), tuple(one for one in self.all if one not in gone))


def read(text: str) -> Survivors:
    """The committed list. ValueError: a block that is none, with its text."""
    runs, found = [], []
    head, *blocks = text.rstrip("\n").split("\n\n")
    for line in head.splitlines():
        if not (run := _RUN.fullmatch(line)):
            raise ValueError(f"no run of tests.tools.mutants: {line}")
        runs.append(
            Run(run["room"], *(int(run[n]) for n in ("seed", "tried", "known", "killed")), run["date"])
        )
    for block in blocks:
        if not (one := _WHERE.fullmatch(block)):
            raise ValueError(f"no survivor: {block}")
        drawn = tuple((room, int(seed)) for room, seed in map(str.split, one["drawn"].split(", ")))
        what = one["file"], one["line"], int(one["column"]), one["words"]
        found.append(Survivor(*what, drawn, one["judged"], one["why"]))
    return Survivors(tuple(runs), tuple(found))


def written(survivors: Survivors) -> str:
    """The same as text, by file and line."""
    runs = sorted(survivors.runs, key=lambda run: run.draw)
    blocks = sorted(survivors.all, key=lambda one: (one.file, one.line, one.column, one.words))
    return "\n\n".join(["\n".join(map(str, runs)), *map(str, blocks)]) + "\n"


if __name__ == "__main__":
    COMMITTED.write_text(written(read(COMMITTED.read_text(encoding="utf-8")).as_it_is()), encoding="utf-8")
