"""The events of a sortie and the passes over them: what the file says of each, its instants and its clock.

A sortie without an event has none of either; no field is None for that reason.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from zoneinfo import ZoneInfo

from briefgen.airmath.times import TimeSpan
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.times import PartyTimes
from briefgen.mission.schema.event import Event, Pass


@record
class EventTimes:
    """The instants of one event; ``cues``: when each cue begins. None, or missing from ``cues``: the file
    gives none. ``parties`` and ``other_traffic`` run parallel to the file's lists."""

    cues: Mapping[str, datetime]
    permission: TimeSpan | None
    in_place: datetime | None
    radio_check: datetime | None
    parties: tuple[PartyTimes, ...]
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


@record
class PassSection:
    """One pass over an event, ``written`` at ``cause`` in the file, and its true time over target."""

    event: EventSection
    written: Pass
    true_time: datetime
    cause: KeyPath

    def key(self, *path: str | int) -> KeyPath:
        """Where something of the pass stands in the file."""
        return (*self.cause, *path)

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
