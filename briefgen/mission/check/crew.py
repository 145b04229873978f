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
        pieces = [_nameless(member) for member in crew]
        for place, member in enumerate(crew):
            if pieces[place] and not all(pieces):  # a flight called by letters is no slip
                yield check.caution(
                    "crew-pieces",
                    ("flight", i, "crew", place),
                    f'"{member}" is nobody\'s name',
                    why="a comma in a name makes two people of one, each counted, signed for and compared",
                    help=f"write {_joined(crew)}",
                )
                break


def _nameless(member: str) -> bool:
    words = re.findall(r"\w+", f"{member}")
    return all(word.casefold() in TITLES or (len(word) == 1 and word.isalpha()) for word in words)


def _joined(crew: Sequence[str]) -> str:
    """The crew with each piece put to the name before it, ranks and initials first: ``[Flt Lt P. Novak]``."""
    people: list[list[str]] = []
    early: list[str] = []  # before any name
    for member in crew:
        if not _nameless(member):
            people.append([member, *reversed(early)])
            early = []
        else:
            (people[-1] if people else early).append(member)
    return f"crew: [{', '.join(' '.join((*reversed(pieces), name)) for name, *pieces in people)}]"
