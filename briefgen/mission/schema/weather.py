"""The forecast that the plan is made with."""

from collections.abc import Mapping
from typing import Annotated, TypeVar

from pydantic import Field

from briefgen.mission.inputs.report import (
    EXAMPLE,
    WINDS_EXAMPLES,
    AloftRow,
    Report,
    ReportKind,
    Unusable,
    WindsText,
)
from briefgen.mission.schema.base import (
    Part,
    Phrase,
    PlaceOrAreaRef,
    Scalar,
    Unreadable,
    listed,
)
from briefgen.mission.schema.units import (
    AloftField,
    Celsius,
    ClockField,
    ClockRangeField,
    CloudField,
    ElevationField,
    PressureField,
    VisibilityField,
    WindField,
)

Read = TypeVar("Read", Report, WindsText)


def _usable(found: Read | Unusable) -> Read:
    if isinstance(found, Unusable):
        raise Unreadable(found.message, found.why, found.help)
    return found


def _report_scalar(kind: ReportKind) -> Scalar:
    """A report that is pasted as text."""

    def read(text: str) -> Report:
        from briefgen.mission.inputs.read_report import read_report

        return _usable(read_report(text, kind))

    return Scalar(f"a {kind}", read, (EXAMPLE[kind],), lambda: {"type": "string"})


def _read_winds(text: str) -> WindsText:
    from briefgen.mission.inputs.winds_text import read_winds

    return _usable(read_winds(text))


WindsAloftText = Annotated[
    WindsText, Scalar("winds aloft", _read_winds, WINDS_EXAMPLES, lambda: {"type": "string"})
]
TafText = Annotated[Report, _report_scalar("TAF")]
MetarText = Annotated[Report, _report_scalar("METAR")]


class WindLevel(Part):
    """The forecast at one level of the air."""

    level: AloftField
    wind: WindField
    temperature: Celsius | None = None


class PlaceWeather(Part):
    """The forecast at a place, or in the training area (AREA)."""

    cloud: tuple[CloudField, ...] | None = Field(default=None, max_length=8)
    """Layers, lowest first; an empty list [] is a clear sky; left out, the cloud isn't known."""
    visibility: VisibilityField | None = None
    wind: WindField | None = None
    temperature: Celsius | None = None
    qnh: PressureField | None = None
    taf: TafText | None = None
    """The forecast of this aerodrome, pasted whole: what is typed beside it wins. On several lines it stands
    behind `>`."""
    metar: MetarText | None = None
    """The observation of this aerodrome, pasted whole: it counts for an hour."""

    @property
    def typed(self) -> bool:
        """Whether cloud, visibility or wind are typed."""
        return any(given is not None for given in (self.cloud, self.visibility, self.wind))

    @property
    def reports(self) -> tuple[Report, ...]:
        """The forecast and the observation that were pasted."""
        return tuple(report for report in (self.taf, self.metar) if report is not None)


class Weather(Part):
    """The forecast that the plan is made with."""

    issued: ClockField | None = None
    valid: ClockRangeField | None = None
    source: Phrase | None = None
    winds: tuple[WindLevel, ...] = listed(40)
    winds_text: WindsAloftText | None = None
    """The winds aloft pasted whole: a table of one place in the US format FB, or rows such as FL100 270/35
    M05. On several lines it stands behind `>`. `winds` beside it win."""
    at: Annotated[Mapping[PlaceOrAreaRef, PlaceWeather], Field(max_length=60)] = Field(default_factory=dict)
    transition_altitude: ElevationField | None = None

    @property
    def aloft(self) -> tuple[WindLevel | AloftRow, ...]:
        """The winds aloft as typed, else as pasted."""
        return self.winds if self.winds or self.winds_text is None else self.winds_text.rows
