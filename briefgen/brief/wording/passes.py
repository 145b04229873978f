"""What a pass is called where there are several."""

from __future__ import annotations

from briefgen.mission.resolve.sections import PassSection


def pass_name(section: PassSection) -> str:
    """``HILL``, ``PARK pass 2``."""
    return section.event.id + (f" pass {section.number}" if section.number > 1 else "")
