"""The file of actuals: what was flown, told and heard. Every key but the first may be left out and then reads
"not recorded"."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from briefgen.mission.schema.base import Count, CueId, Part, Scalar, ShipNumber, YesNo, listed, whole_number
from briefgen.mission.schema.units import ClockField, FuelField, Seconds
from briefgen.units.grammar import Refusal
from briefgen.units.parse_clock import parse_clock_time
from briefgen.units.values import ClockTime

LOG = ("log",)
MOST_CALLS = 50


def _read_back(text: str) -> ClockTime | Literal[False]:
    if text == "yes":
        why, help = "a change counts from then on", "write when it was, such as 03:25:30 Z"
        raise Refusal('"yes" does not say when it was read back', why, help)
    return False if text == "no" else parse_clock_time(text)


ReadBack = Annotated[
    ClockTime | Literal[False], Scalar("a clock time, or no", _read_back, ("03:25:30 Z", "no"))
]
PassId = Annotated[str, Scalar("the id of a pass", str, ("HILL", "HARBOUR/pass-2"))]
BlockId = Annotated[str, Scalar("the id of a block", str, ("MOOR", "FEN"))]
LogText = Annotated[str, Scalar("the clock page's log after |", str)]


class Training(Part):
    """A block. ``valid``: set-ups with a valid outcome. ``end``: knock-it-off of the last one."""

    flown: Count | None = None
    valid: Count | None = None
    end: ClockField | None = None


class BlockActuals(Training):
    """One of several blocks, with when its ``area`` was entered."""

    area: ClockField | None = None


class ShipFuels(Part):
    """One ship's gauge at four points: before starting engines, at the knock-it-off (of several blocks that
    of the first), over the hold's fix on entering, at touchdown."""

    start: FuelField | None = None
    end_of_training: FuelField | None = None
    hold: FuelField | None = None
    landing: FuelField | None = None


class Call(Part):
    """A change of the true time that was told to the flight: the ``new`` time, or how many seconds it is
    ``fast`` or ``slow`` of the one that it held. ``read_back``: when, or ``no``."""

    at: ClockField | None = None
    old: ClockField | None = None
    new: ClockField | None = None
    fast: Seconds | None = None
    slow: Seconds | None = None
    read_back: ReadBack | None = None


class PassActuals(Part):
    """One pass: its hold, its T, what was told of it and heard before it. What stands here wins over the same
    thing in ``log``, the ground contact's clock log as it was copied out.
    """

    OTHER_WORDS: ClassVar[Mapping[str, str]] = {
        "overhead": "true_time",
        "over_target": "true_time",
        "tot": "true_time",
    }

    hold: ClockField | None = None
    leave_hold: ClockField | None = None
    true_time: ClockField | None = None
    told: tuple[Call, ...] = listed(MOST_CALLS)
    heard: Annotated[Mapping[CueId, ClockField], Field(max_length=200)] = Field(default_factory=dict)
    log: LogText | None = None


class Actuals(PassActuals):
    """The whole file, of a sortie with one pass with what is of the pass; of several each stands by its id
    under ``passes``, and of several blocks of training each under ``blocks``. ``success``: the number of each
    objective's line in ``sortie: success:``, and whether it was met.
    """

    OTHER_WORDS: ClassVar[Mapping[str, str]] = {
        **PassActuals.OTHER_WORDS,
        "airborne": "takeoff",
        "touchdown": "landing",
    }

    actuals: Annotated[int, whole_number("the version of this file's format", 1, 1)]
    takeoff: ClockField | None = None
    area: ClockField | None = None
    training: Training | None = None
    blocks: Annotated[Mapping[BlockId, BlockActuals], Field(max_length=50)] = Field(default_factory=dict)
    passes: Annotated[Mapping[PassId, PassActuals], Field(max_length=50)] = Field(default_factory=dict)
    landing: ClockField | None = None
    fuel: Annotated[Mapping[ShipNumber, ShipFuels], Field(max_length=16)] = Field(default_factory=dict)
    success: Annotated[Mapping[Count, YesNo], Field(max_length=12)] = Field(default_factory=dict)
