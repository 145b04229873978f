"""Offsets from UTC typed beside clock times, against those that the clocks of base and event show then."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from briefgen.airmath.clocks import offset_at, offset_label
from briefgen.airmath.times import ClockContext
from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.check.checker import Checker
from briefgen.mission.resolve.clock_offers import with_offset
from briefgen.mission.resolve.times import TypedTime

_WHY = "an offset of the other half of the year, or of another place, is a time that is off by as much"


def offset_problems(
    check: Checker, typed_times: Sequence[TypedTime], context: ClockContext
) -> Iterator[Diagnostic]:
    """A caution for each offset that neither clock shows at its time: the other half of the year's, or the
    other state's. UTC itself is everybody's."""
    for time in typed_times:
        own = {name: offset_at(time.instant, zone) for name, zone in context.zones.items()}
        if not time.offset_s or time.offset_s in own.values():
            continue
        name = "event" if time.path[0] == "event" and "event" in own else "base"
        right = offset_label(own[name])
        clocks = " and ".join(f"{offset_label(s)} at the {where}" for where, s in own.items())
        yield check.caution(
            "clock-offset",
            time.path,
            f"{offset_label(time.offset_s)} is no clock of this mission at that time: it is {clocks}",
            why=_WHY,
            help=f"write {with_offset(time.text, right)} if the clock there reads so; else leave it",
        )
