"""What the files of a mission say of the ground: the obstacles on it, and how high it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from pathlib import Path
from typing import TYPE_CHECKING

from briefgen.core.records import record

if TYPE_CHECKING:
    from briefgen.mission.inputs.obstacle_list import ObstacleList
    from briefgen.mission.inputs.terrain import Terrain


@record
class GroundFiles:
    """``obstacles`` and ``terrain`` are None where the mission names no such file, or it is not read yet;
    ``tiles``: where each tile lies, by its name."""

    obstacles: ObstacleList | None = None
    tiles: Mapping[str, Path] = field(default_factory=dict)
    terrain: Terrain | None = None

    def over(self, book: GroundFiles | None) -> GroundFiles:
        """The mission's in the place of its book's, whose lists of files it replaces whole."""
        if book is None:
            return self
        return GroundFiles(self.obstacles or book.obstacles, self.tiles or book.tiles)
