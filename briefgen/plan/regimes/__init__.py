"""Published rules as data, one module for each regime: only figures that were read, each with where it
stands.

A figure that nobody has read is not here: it is left to the unit, and its gate reads "no limit given".
``read`` is R1 for the rule's own words (its page, or a page that reproduces it) and R2 for a page that tells
it second-hand.  Nothing here is operational authority: check each against the issue in force.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from importlib import import_module
from typing import Literal

from briefgen.core.records import record

KEYS: Mapping[str, str] = {
    "assembly_height_ft": (
        "least height above the highest obstacle within the radius, over an open-air assembly or a congested"
        " area, ft"
    ),
    "obstacle_radius_ft": "the radius of that rule, ft on each side of the track",
    "legs_height_ft": "least height elsewhere above the surface and what stands on it, ft",
    "legs_radius_ft": "the radius of that rule, ft on each side of the track",
    "speed_below_10000_kt": "most knots of indicated airspeed below 10 000 ft MSL",
    "formation_size": "most ships of one flypast",
    "standard_across_ft": "standard formation: most ft to the side of the leader, and most ft behind",
    "standard_vertical_ft": "standard formation: most ft above or below the leader",
    "aerobatics_floor_ft": "lowest aerobatics, ft AGL",
    "aerobatics_visibility_nm": "least visibility for aerobatics, nm",
    "request_days": "days before the event by which the airspace is asked for",
    "below_cloud_ft": "VFR below 10 000 ft MSL: least ft below cloud",
    "visibility_nm": "VFR below 10 000 ft MSL: least visibility, nm",
    "reserve_day_s": "VFR fuel by day beyond the first landing, s at normal cruise",
    "reserve_night_s": "the same by night",
    "airfield_from_crowd_nm": "least distance of take-off and landing from an open-air assembly, nm",
    "permission_needed": "1 where no public gathering may be flown over without a permission",
}


@record
class Figure:
    """One figure of a rule. ``source``: regulation and section; ``note``: another source that says something
    else, or a limit of this one."""

    value: float
    source: str
    read: Literal["R1", "R2"]
    note: str = ""

    @property
    def words(self) -> str:
        """The source as a gate prints it: a published default, never the unit's own."""
        second_hand = ", read second-hand" if self.read == "R2" else ""
        return f"published default: {self.source}{second_hand}" + (f"; {self.note}" if self.note else "")


@record
class Regime:
    """The figures of one regime, by the keys of ``KEYS``.

    ``icao_fuel_words``: MINIMUM FUEL and MAYDAY FUEL mean what ICAO lays down (Annex 6 Part I, 4.3.7.2, from
    memory): the second is said when the flight will land below its final reserve, the first when a change may
    bring it there.
    """

    id: str
    name: str
    figures: Mapping[str, Figure]
    icao_fuel_words: bool = False

    def figure(self, key: str) -> Figure | None:
        """None where no figure has been read. KeyError for a key that no regime knows."""
        KEYS[key]
        return self.figures.get(key)


@cache
def regime(id: str) -> Regime:
    """The regime of that id; the reader has made sure that there is one."""
    return import_module(f"briefgen.plan.regimes.{id}").REGIME
