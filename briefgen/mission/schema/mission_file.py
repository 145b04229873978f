"""The mission file as a tree of frozen models.

Every value is in the program's own units (ft, nm, kt, s, lb, degrees, hPa, Celsius) or a type of
``briefgen.units.values``. Three things are required of every mission: who and when (``sortie``), with what
(``aircraft``, ``flight``) and from where (``places``, ``ground_ops``); then ``training`` or ``event`` or
both.  All else may be left out.
"""

from typing import Annotated

from pydantic import Field

from briefgen.mission.schema.base import Part, listed, whole_number
from briefgen.mission.schema.event import CheckedByHand, Event
from briefgen.mission.schema.ground import ObstacleFiles, TerrainFiles
from briefgen.mission.schema.home import Contingencies, FuelRules, Recovery
from briefgen.mission.schema.limits import Limits, NoNotices, Notice, Notices, RadioPreset, Risk, Waiver
from briefgen.mission.schema.sortie import AircraftTypes, Flight, GroundOps, Places, Sortie, UnitBook
from briefgen.mission.schema.training import Legs, Training
from briefgen.mission.schema.weather import Weather

FORMAT_VERSION = 1
FormatVersion = Annotated[int, whole_number("the version of the file format", FORMAT_VERSION, FORMAT_VERSION)]


class MissionFile(Part):
    """A mission file, read and checked value by value."""

    briefgen: FormatVersion
    """Version of this file format."""
    unit: UnitBook | None = None
    sortie: Sortie
    places: Places
    aircraft: AircraftTypes
    flight: Flight
    ground_ops: GroundOps
    weather: Weather | None = None
    departure: Annotated[Legs, Field(max_length=20)] = ()
    training: Training | None = None
    transit: Annotated[Legs, Field(max_length=20)] = ()
    event: Event | None = None
    obstacles: ObstacleFiles | None = None
    terrain: TerrainFiles | None = None
    recovery: Recovery | None = None
    fuel: FuelRules = Field(default_factory=FuelRules)
    radio: tuple[RadioPreset, ...] = listed(40)
    contingencies: Contingencies = Field(default_factory=Contingencies)
    risk: tuple[Risk, ...] = listed(40)
    limits: Limits = Field(default_factory=Limits)
    terrain_checked: CheckedByHand | None = None
    """The ground under every leg, the hold and the area, looked up on a chart."""
    waivers: tuple[Waiver, ...] = listed(40)
    notices: Notices = ()
    """NOTAMs and hazards as read, or who has looked and found none."""

    @property
    def listed_notices(self) -> tuple[Notice, ...]:
        """The notices one by one; none where somebody has found none in force."""
        return () if isinstance(self.notices, NoNotices) else self.notices
