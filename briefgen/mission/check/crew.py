"""Names of the crew: one entry for each person."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.people import TITLES


def crew_are_people(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every entry of a crew has a name in it: an initial or a rank alone belongs to the entry beside it."""
    for i, ship in enumerate(file.flight):
        crew = given(ship, "crew") or ()
        for place, member in enumerate(crew):
            if _nameless(member):
                yield check.caution(
                    "crew-pieces",
                    ("flight", i, "crew", place),
                    f'"{member}" is nobody\'s name',
                    why="a comma in a name makes two people of one, each counted, signed for and compared",
                    help=f"write {_joined(crew)}",
                )
                break


def _nameless(member: str) -> bool:
    words = re.findall(r"\w+", member)
    return all(word.casefold() in TITLES or (len(word) == 1 and word.isalpha()) for word in words)


def _joined(crew: Sequence[str]) -> str:
    """The crew with each piece put to the name before it, ranks and initials first: ``[Flt Lt P. Novak]``."""
    people: list[list[str]] = []
    for member in crew:
        if people and _nameless(member):
            people[-1].append(member)
        else:
            people.append([member])
    return f"crew: [{', '.join(' '.join((*reversed(pieces), name)) for name, *pieces in people)}]"
