"""What a sortie is made of, in flying order: ways, blocks of training, passes; and the events that are passed
over. Of each: what the file says of it, where, its instants and its clock.

A sortie without an event has no pass; no field is None for that reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import datetime
from typing import Literal, TypeAlias
from zoneinfo import ZoneInfo

from briefgen.airmath.times import TimeSpan
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.read.flow import place_in
from briefgen.mission.resolve.times import PartyTimes
from briefgen.mission.schema.event import Event, NoCue, Pass
from briefgen.mission.schema.training import RouteLeg, Training


@record
class EventTimes:
    """The instants of one event; ``cues``: when each cue begins. None, or missing from ``cues``: the file
    gives none. ``other_traffic`` runs parallel to the file's list."""

    cues: Mapping[str, datetime]
    permission: TimeSpan | None
    in_place: datetime | None
    radio_check: datetime | None
    other_traffic: tuple[PartyTimes, ...]


@record
class EventSection:
    """A public event that is flown over, ``written`` at ``cause`` in the file; ``zone``: the clock there."""

    id: str
    written: Event
    times: EventTimes
    zone: ZoneInfo
    cause: KeyPath

    def key(self, *path: str | int) -> KeyPath:
        """Where something of the event stands in the file."""
        return (*self.cause, *path)

    @property
    def relay_s(self) -> float:
        """From a cue heard to a time read back, 0 where the file gives none."""
        return self.written.relay_time or 0.0

    @property
    def early_s(self) -> float:
        """Seconds early that the event may run and still be served, 0 where the file gives none."""
        return self.written.accept_slip.early if self.written.accept_slip is not None else 0.0

    @property
    def late_s(self) -> float:
        """Seconds late that it may run, 0 as in ``early_s``."""
        return self.written.accept_slip.late if self.written.accept_slip is not None else 0.0


GivenUp = Literal["go home", "next pass"]


@record
class PassSection:
    """One pass over an event, ``written`` at ``cause`` in the file, and its true time over target; ``number``
    counts the passes over this event. ``follows``: its T is so long after that of the pass before it.
    ``parties`` runs parallel to the list of the event's: until when each counts on this pass.
    ``where``: what of it stands elsewhere, see ``place_in``. ``place``: which it is of ``among`` passes of
    the sortie. ``earliest``: its T is the first second that it can make after the pass before it."""

    event: EventSection
    written: Pass
    true_time: datetime
    cause: KeyPath
    parties: tuple[PartyTimes, ...] = ()
    number: int = 1
    follows: bool = False
    where: Mapping[KeyPath, KeyPath] = field(default_factory=dict)
    place: int = 1
    among: int = 1
    earliest: bool = False

    @property
    def id(self) -> str:
        """The event's; of a further pass with its number."""
        return self.event.id if self.number == 1 else f"{self.event.id}/pass-{self.number}"

    @property
    def name(self) -> str:
        """What a reader is told in its place: ``HILL``, ``PARK pass 2``."""
        return pass_words(self.id)

    def key(self, *path: str | int) -> KeyPath:
        """Where something of the pass stands in the file."""
        return place_in(self.where, ("event", "pass", *path))

    @property
    def no_cue(self) -> NoCue | None:
        """What the flight does without its cue; left out, the next pass where that follows anyhow."""
        return self.written.no_cue or ("next pass" if self.given_up == "next pass" else None)

    @property
    def given_up(self) -> GivenUp:
        """What it does once this pass can't be flown any more."""
        return "next pass" if self.written.then == "next pass" else "go home"

    @property
    def cue_of_t(self) -> str | None:
        """The id of the cue at whose end its T lies; None for an explicit time, and where it follows."""
        return None if self.follows else getattr(self.written.time, "cue", None)

    @property
    def deadband_s(self) -> float:
        """Smaller slips get no call; 0 where the file gives none."""
        return self.written.deadband or 0.0

    @property
    def abort_only_s(self) -> float | None:
        """From when on only ABORT is said, in seconds after T (negative: before); None where the file gives
        none."""
        after = self.written.abort_only_after
        return None if after is None else after.seconds


@record
class BlockSection:
    """Training in an area, ``written`` at ``cause`` in the file; ``reserved``: from when until when the area
    is the flight's, None where the file does not say."""

    id: str
    written: Training
    reserved: TimeSpan | None
    cause: KeyPath

    def key(self, *path: str | int) -> KeyPath:
        """Where something of the block stands in the file."""
        return (*self.cause, *path)


@record
class WaySection:
    """Legs that are flown one after the other, ``written`` at ``cause`` in the file; of the recovery also
    where the file has none."""

    kind: Literal["departure", "transit", "recovery"]
    written: tuple[RouteLeg, ...]
    cause: KeyPath


UNNAMED_EVENT, UNNAMED_BLOCK = "EVENT", "TRAINING"  # the ids of those to which the file gives none


def pass_words(id: str) -> str:
    """``PARK pass 2``: what a reader is told in place of the id of a pass; that of anything else as it is."""
    return id.replace("/pass-", " pass ")


def long_id(piece: str, id: str) -> str:
    """The id of something that is part of a piece: with the piece's own, but for what the file leaves
    unnamed. It does not change when a neighbour is added."""
    named = "/".join(part for part in piece.split("/") if part not in (UNNAMED_EVENT, UNNAMED_BLOCK))
    return f"{named}/{id}" if named else id


Section: TypeAlias = WaySection | BlockSection | PassSection
