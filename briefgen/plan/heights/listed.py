"""The obstacles of a mission's files, near what is flown; and whether their list answers there that nothing
else stands."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.ground import ObstacleFiles
from briefgen.plan.model import Leg
from briefgen.plan.route.air import position
from briefgen.units.blank import names_nothing, only_keeps_place
from briefgen.units.grammar import listed
from briefgen.units.values import FT_PER_NM, Position

MOST_NAMED = 4  # ways that lead out of the coverage
USED_NM = 5.0  # obstacles of files are used up to this far from what is flown
SECTION: KeyPath = ("obstacles",)
Line = tuple[Position, Position]


@record
class ListedObstacle:
    """An obstacle, typed with a pass or of a file. Of a file ``top_ft`` is as high and ``doubt_nm`` as far as
    the accuracy of the list lets them be, and ``said`` has the file and its date. ``unsaid``: the key of
    whose figure it is, where that only keeps its place."""

    name: str
    said: str
    position: Position
    top_ft: float
    doubt_nm: float
    unsaid: KeyPath | None
    cause: KeyPath


def obstacles_of_files(mission: Mission, line: Line, within_nm: float) -> tuple[ListedObstacle, ...]:
    """Those that may stand within a distance of a line; none where the mission names no file."""
    files, ground = mission.file.obstacles, mission.source.ground
    if files is None or ground is None or ground.obstacles is None:
        return ()
    off_nm = files.accuracy.position / FT_PER_NM if files.accuracy else 0.0
    higher_ft = files.accuracy.top if files.accuracy else 0.0
    unsaid = (*SECTION, "source") if only_keeps_place(files.source) else None
    return tuple(
        ListedObstacle(
            found.name,
            f"{found.name} ({named(files, found.file)})",
            found.position,
            found.top_ft + higher_ft,
            max(found.doubt_nm, off_nm),
            unsaid,
            (*SECTION, "files", found.file),
        )
        for found in ground.obstacles.near(*line, within_nm + off_nm)
    )


def named(files: ObstacleFiles, number: int) -> str:
    """``obstacles.csv of 2027-08-01``."""
    name = files.files[number].name.rpartition("/")[2]
    return name if files.date is None else f"{name} of {files.date.isoformat()}"


def list_words(files: ObstacleFiles) -> str:
    """The same of all of them."""
    return ", ".join(named(files, number) for number in range(len(files.files)))


def line_of(leg: Leg) -> Line:
    """Where a leg lies."""
    return position(leg.start), position(leg.end)


def used(mission: Mission, lines: Iterable[Line]) -> int:
    """How many obstacles of files stand within 5 nm of some line."""
    ground = mission.source.ground
    found: set[int] = set()
    if ground is not None and ground.obstacles is not None:
        found.update(*(ground.obstacles.numbers_near(*line, USED_NM) for line in lines))
    return len(found)


@record
class Stretch:
    """Something that is flown, and how far from it obstacles count."""

    name: str
    line: Line
    within_nm: float


def no_answer(mission: Mission, flown: Iterable[Stretch]) -> tuple[str, KeyPath] | None:
    """Why the files do not answer that nothing else stands along what is flown, and the key that settles
    it; None where they do. Their age is another question."""
    files = mission.file.obstacles
    if files is None:
        return "no file lists the obstacles", (*SECTION, "files")
    if mission.source.ground is None or mission.source.ground.obstacles is None:
        return "the files of obstacles are not read here", (*SECTION, "files")
    name = list_words(files)
    if names_nothing(files.source):
        return f"nobody says whose list {name} is", (*SECTION, "source")
    if files.date is None:
        return f"nobody says up to which day {name} is complete", (*SECTION, "date")
    if files.accuracy is None:
        return f"nobody says how accurate {name} is", (*SECTION, "accuracy")
    if len(files.coverage) < 3:
        return f"nobody says for which area {name} is complete", (*SECTION, "coverage")
    from briefgen.mission.inputs.obstacle_list import covers

    out = dict.fromkeys(one.name for one in flown if not covers(files.coverage, *one.line, one.within_nm))
    if not out:
        return None
    ways = listed([*list(out)[:MOST_NAMED], *(["more"] if len(out) > MOST_NAMED else [])], "and")
    return f"{name} is complete in its coverage only, which does not hold {ways}", (*SECTION, "coverage")
