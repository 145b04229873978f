"""The presets on a kneeboard card: all of them in one paragraph, and each on the line where it is taken."""

from __future__ import annotations

from briefgen.brief.cards.model import Run
from briefgen.brief.wording.words import Words
from briefgen.mission.schema.sortie import Ship


def presets_from(w: Words, *wanted: str) -> str:
    """``3``, ``3, 9``: the presets that are taken from one of these places or phases on; empty without."""
    return ", ".join(str(row.preset) for row in w.mission.file.radio if row.from_ in wanted)


def presets(w: Words, ship: Ship, *, most: int | None = None) -> Run | None:
    """``1 Ground: 121.700``; those that the ship listens in to say so."""
    rows = w.mission.file.radio[:most]
    items = tuple(
        (f"{row.preset} {row.use}{' (listen in)' if ship.ship in row.listens else ''}", row.frequency.text)
        for row in rows
    )
    return Run("RADIO MHz", items) if items else None
