"""Where the files that travel with the program lie: templates, missions, fonts, coasts, licence texts.

An installed package carries the unit's folders under ``briefgen/_shipped``. A checkout or an editable install
has no such folder; there they lie in the repository, beside the package. Nothing else in the program may
guess at either place.
"""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parents[1]


def templates_folder() -> Path:
    """The folder with ``brief/``, ``cards/`` and ``pages/``."""
    return _shipped("templates")


def missions_folder() -> Path:
    """The folder with the demonstration missions and the one that ``briefgen new`` starts from."""
    return _shipped("missions")


def fonts_folder() -> Path:
    """The shipped fonts, with their licences beside them. They always lie inside the package."""
    return PACKAGE / "fonts"


def coast_path() -> Path:
    """The coasts and borders that maps draw, with their source beside them. They always lie inside the
    package."""
    return PACKAGE / "coast" / "coast.zip"


def schema_path(*, unit: bool = False) -> Path:
    """The committed JSON Schema of the mission file, or of a unit's book and what stands on one; a test keeps
    it equal to what the schema room generates."""
    return PACKAGE / "mission" / ("unit.schema.json" if unit else "mission.schema.json")


def books_folder() -> Path:
    """The unit's books of the demonstrations, the one that ``briefgen new --book`` writes, and the mission
    on it that ``briefgen new --unit`` writes."""
    return missions_folder() / "books"


def mission_names() -> list[str]:
    """The names that ``briefgen new --from`` takes, in alphabetical order."""
    return sorted(path.stem for path in missions_folder().glob("*.yaml"))


def _shipped(name: str) -> Path:
    places = (PACKAGE / "_shipped" / name, PACKAGE.parent / name)
    for place in places:
        if place.is_dir():
            return place
    raise FileNotFoundError(
        f"briefgen is not installed completely: no folder {name!r} in {places[0].parent} or"
        f" {places[1].parent}"
    )
