"""What the files of a mission say of the ground: the obstacles on it, and how high it is."""

from __future__ import annotations

from typing import TYPE_CHECKING

from briefgen.core.records import record

if TYPE_CHECKING:
    from briefgen.mission.inputs.obstacle_list import ObstacleList


@record
class Ground:
    """Each is None where the mission names no such file."""

    obstacles: ObstacleList | None = None

    def over(self, book: Ground | None) -> Ground:
        """The mission's in the place of its book's, whose list of files it replaces whole."""
        return self if book is None or self.obstacles is not None else book
