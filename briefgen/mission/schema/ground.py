"""What stands on the ground and how high the ground is, by files beside the mission."""

from __future__ import annotations

from pydantic import Field

from briefgen.mission.schema.base import Part, Phrase, listed
from briefgen.mission.schema.units import DateField, Feet, PositionField


class FileRead(Part):
    """A file as it was read: its name, and the fingerprint of what stands in it."""

    name: str
    content: str


class Accuracy(Part):
    """How far off a list of obstacles may be."""

    position: Feet
    """How far an obstacle may stand from its listed position."""
    top: Feet
    """How much higher than listed an obstacle may be."""


class ObstacleFiles(Part):
    """Obstacles in files beside those typed with each pass. What is listed near a way counts wherever it
    stands; that nothing else stands there is taken from a list only inside its coverage, and only with its
    source, date and accuracy."""

    files: tuple[FileRead, ...] = Field(min_length=1)
    source: Phrase | None = None
    """Whose list it is."""
    date: DateField | None = None
    """The day up to which it is complete; of several files the earliest."""
    coverage: tuple[PositionField, ...] = listed(100)
    """The corners, in order, of the area in which it lists everything."""
    accuracy: Accuracy | None = None
