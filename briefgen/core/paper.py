"""The paper of a kneeboard card: A5, half a letter, or the size that a unit cuts."""

from __future__ import annotations

import re

from briefgen.core.records import record

LEAST_MM, MOST_MM = 120.0, 300.0  # narrower no table of 11 pt fits; longer is no knee
_SIZE = re.compile(r"(\d+(?:\.\d+)?) ?x ?(\d+(?:\.\d+)?) ?(mm|in)")
_MM = {"mm": 1.0, "in": 25.4}


@record
class Paper:
    """In mm, upright."""

    width_mm: float
    height_mm: float


A5 = Paper(148.0, 210.0)
NAMED = {"a5": A5, "half-letter": Paper(139.7, 215.9)}


def paper_of(text: str) -> Paper | None:
    """``a5``, ``half-letter``, ``140 x 200 mm`` or ``5.5 x 8.5 in``, either side first; None for anything
    else, and for a size that no card of this program is made for."""
    if text.strip().lower() in NAMED:
        return NAMED[text.strip().lower()]
    found = _SIZE.fullmatch(text.strip().lower())
    if found is None:
        return None
    width_mm, height_mm = sorted(float(side) * _MM[found[3]] for side in found.groups()[:2])
    return Paper(width_mm, height_mm) if width_mm >= LEAST_MM and height_mm <= MOST_MM else None
