"""What tiles of terrain must say of themselves before a height of theirs counts."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.ground import PRODUCTS
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given

_KNOWN = f"or say which product they are: {', '.join(PRODUCTS)}"


def heights_count_above_the_sea(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Their datum and their error are said, or known of their product; none counts above the ellipsoid."""
    if (terrain := given(file, "terrain")) is None:
        return
    product, datum = given(terrain, "product"), given(terrain, "vertical_datum")
    if datum == "ellipsoid":
        yield check.error(
            "terrain",
            ("terrain", "vertical_datum"),
            "heights above the ellipsoid are not read",
            why="the sea lies up to 350 ft above or below it: every height would be off by that",
            help="have the tiles converted to heights above EGM2008 or EGM96, and say so here",
        )
    for key, value, like in (
        ("vertical_datum", datum, "EGM2008"),
        ("error", given(terrain, "error"), "50 ft"),
    ):
        if product is None and value is None:
            yield check.error(
                "terrain",
                ("terrain",),
                f"nobody says the `{key}` of the heights of the terrain",
                why="how high the ground may be hangs on it",
                help=f"write `{key}: {like}` there, as whoever made the tiles says, {_KNOWN}",
            )
