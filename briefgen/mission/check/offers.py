"""Which readings of a mistyped value the whole mission would take: a grammar knows the text alone, and
nothing is offered that the next run refuses.

Each reading is put in the value's place and the file is checked with it, as far as it can be read.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import UTC, datetime, time
from functools import cached_property
from zoneinfo import ZoneInfo

from briefgen.airmath.geodesy import distance_nm
from briefgen.airmath.times import ClockContext
from briefgen.airmath.zones import PlaceZone, place_zone
from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import fits
from briefgen.mission.check.doubts import ONE_SPOT_NM
from briefgen.mission.read.tree import Source, scalars
from briefgen.mission.resolve.clock_remedies import clock_remedy
from briefgen.mission.resolve.mission import clocks_of, resolve
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.partly import read_partly
from briefgen.mission.schema.units import ZONE_KIND
from briefgen.mission.schema.unread import given
from briefgen.units.grammar import Refusal, listed
from briefgen.units.parse_heights import LEVEL, parse_height, parse_level
from briefgen.units.parse_time import DATE

_ON_DATE = (("event", "pass", "time"), ("event", "script", "*", "time"))
# of these the readings lie far apart and look alike: the one that fits is no proof that it was meant
_ALL_TOLD = (LEVEL.name, DATE.name)
_TOPS = (("event", "pass", "obstacles", "*", "top"),)
# values checked for the offers of one file, our own bound: a file of a thousand errors must still answer at
# once
MOST_WORK = 30_000


@dataclass
class Offers:
    """What may be offered in one file. ``events``: of a flow the clock of every event by its id; ``work``:
    how many values may still be checked."""

    source: Source
    events: Mapping[str, ZoneInfo]
    size: int
    work: int = MOST_WORK

    @classmethod
    def of(cls, source: Source, events: Mapping[str, ZoneInfo]) -> Offers:
        """For a file."""
        return cls(source, events, max(1, sum(1 for _ in scalars(source.tree))))

    def mended(self, said: Diagnostic, typed: str, kind: str, readings: tuple[str, ...]) -> Diagnostic:
        """What is said of a value not read, with the remedy that the mission's date and clocks give,
        or the readings that it takes (of examples alone, those)."""
        if any(fits(said.cause, form) for form in _TOPS) and (height_ft := height_over_ground_ft(typed)):
            return replace(said, help=self._top_there(said.cause, typed, height_ft))
        if kind == ZONE_KIND:
            return replace(said, help=self._zone_there(said.cause) or said.help)
        if self._clocks is not None:
            remedy = clock_remedy(
                kind, typed, self._clocks, path=said.cause, on_date=self._on_date(said.cause)
            )
            if remedy is not None:
                said, readings = replace(said, why=remedy.why, help=remedy.help), remedy.readings
        all_told = kind in _ALL_TOLD
        return (
            replace(said, help=self.help(said.cause, said.help, readings, all_told=all_told))
            if readings
            else said
        )

    def _top_there(self, path: KeyPath, typed: str, height_ft: float) -> str:
        """The top above the sea of what stands so high above the ground: with its sum where a place on the
        same spot gives the ground's elevation, else no figure, since any would be believed."""
        file = read_partly(MissionFile, self.source)
        obstacle = given(file, "event", "pass_", "obstacles")[int(path[-2])]
        for id, place in file.places.items() if given(obstacle, "position") is not None else ():
            ground, at = given(place, "elevation"), given(place, "position")
            if ground is not None and at is not None and distance_nm(obstacle.position, at) <= ONE_SPOT_NM:
                return (
                    f"write {ground.feet + height_ft:.0f} ft MSL if it stands"
                    f" {typed.removesuffix(' AGL')} above"
                    f" the ground at {id} ({ground.feet:.0f} ft + {height_ft:.0f} ft)"
                )
        return "write its top above the sea, MSL: the elevation of the ground there and its height, added"

    def _zone_there(self, path: KeyPath) -> str:
        """The zone of the place's position, for a place whose zone is no name; empty where the map has none
        there."""
        file = read_partly(MissionFile, self.source)
        position, day = (
            given(given(file, "places").get(str(path[1])), "position"),
            given(file, "sortie", "date"),
        )
        if position is None or day is None:
            return ""
        answer = place_zone(position, datetime.combine(day, time(12), UTC))
        return (
            f"write {answer.zone.key}, the zone of its position, or leave the key out"
            if isinstance(answer, PlaceZone)
            else ""
        )

    def _on_date(self, path: KeyPath) -> bool:
        alone = isinstance(self.source.tree, dict) and "event" not in self.source.tree
        return any(fits(path, form) for form in _ON_DATE) or (alone and path == ("ground_ops", "takeoff"))

    @cached_property
    def _clocks(self) -> ClockContext | None:
        """The mission's date and zones as far as they can be read."""
        file = read_partly(MissionFile, self.source)
        zones, _ = clocks_of(file, self.source.spans, self.events)
        return zones.read_on(file.sortie.date) if zones is not None else None

    def help(self, path: KeyPath, help: str, readings: tuple[str, ...], *, all_told: bool = False) -> str:
        """``help`` with those of its readings that are taken without a word, else those that only bring a
        caution, and with ``all_told`` why the others are not; where all are refused, the first and why it
        is."""
        told = {reading: self._told(path, reading) for reading in readings}
        if len(readings) == 1 and (why := told[readings[0]]) and why.code == "no-density":
            return f"{help}, and {why.help}"  # the spelling of the figure is right
        refused = [why for why in told.values() if why is not None and why.severity == "error"]
        fair = [reading for reading, why in told.items() if why is None] or [
            reading for reading, why in told.items() if why not in refused
        ]
        if len(fair) == len(readings):
            return help
        left_out = [_left_out(reading, why) for reading, why in told.items() if why and reading not in fair]
        return (
            "; ".join([help.replace(listed(readings), listed(fair)), *(left_out if all_told else [])])
            if fair
            else "; ".join(filter(None, (f"as {readings[0]}: {refused[0].message}", refused[0].help)))
        )

    def _told(self, path: KeyPath, reading: str) -> Diagnostic | None:
        """The worst that the mission has to say about a reading in its place; None when it takes it, or
        nobody has the time to ask."""
        self.work -= self.size
        if self.work < 0:
            return None
        changed = self.source.with_value(path, reading)
        _, problems = resolve(read_partly(MissionFile, changed), changed, [READ_IN_PART], self.events)
        about = [problem for problem in problems if problem.cause == path and problem.severity != "note"]
        return min(about, key=lambda problem: problem.severity != "error", default=None)


def _left_out(reading: str, why: Diagnostic) -> str:
    """Why a reading is not offered, and what would have to be mended first."""
    if why.severity != "error":
        return f"{reading} is doubted here: {why.message}"
    return f"{reading} is not taken here: {why.message}" + (f" ({why.help})" if why.help else "")


# for the errors of the file that a reading is tried in: nobody flies it, so nothing more is made of it
READ_IN_PART = Diagnostic("read-in-part", "error", "the file was read in part")


def height_over_ground_ft(text: str) -> float | None:
    """``260 ft AGL``, ``80 m``: feet of a height that counts from the ground, or does not say from where;
    None for anything else."""
    for read in (parse_height, lambda typed: parse_level(typed).feet):
        try:
            return read(text)
        except Refusal:
            continue
    return None
