"""Named changes of a mission: a mission in, another mission out. What is asked of it is always the same plan()."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.mission.resolve import Mission
from briefgen.mission.times import PartyTimes
from briefgen.units.values import TOffset


def without_event(mission: Mission, *, takeoff: datetime, setups: int | None = None) -> Mission:
    """No flypast: no event and no transit to it; home from where the training is left, from a fixed take-off.

    ``setups`` None: as many as time and fuel allow.
    """
    training = mission.file.training
    if training is not None:
        training = training.model_copy(update={"setups": training.setups.model_copy(update={"planned": setups})})
    file = mission.file.model_copy(update={"event": None, "transit": (), "training": training})
    times = replace(mission.times, true_time=None, cues={}, takeoff=takeoff, parties=(), other_traffic=())
    return replace(mission, file=file, times=times)


def at_true_time(
    mission: Mission, true_time: datetime, *, takeoff: datetime, setups: int | None, heard: Mapping[str, datetime] | None = None
) -> Mission:
    """Another time over target, everything before the hold as it was: the take-off and the number of set-ups are fixed.

    The cues move with T, except those ``heard``, which stand where they were heard. The slip that is accepted stays where it was on the
    clock, so what is used up of it is gone. What other parties do at T-5 min and the like moves with
    T; the T that they hold doesn't, so they no longer hold this one.
    """
    shift, event, training = true_time - mission.times.true_time, mission.file.event, mission.file.training
    if training is not None:
        training = training.model_copy(update={"setups": training.setups.model_copy(update={"planned": setups})})
    cues = {id: at + shift for id, at in mission.times.cues.items()} | {id: at for id, at in (heard or {}).items() if id in mission.times.cues}
    accepted = event.accept_slip
    if accepted is not None:
        s = shift.total_seconds()
        left = accepted.model_copy(update={"early": max(accepted.early + s, 0.0), "late": max(accepted.late - s, 0.0)})
        event = event.model_copy(update={"accept_slip": left})
    times = replace(
        mission.times,
        true_time=true_time,
        takeoff=takeoff,
        cues=cues,
        parties=_moved(event.parties, "to", mission.times.parties, shift),
        other_traffic=_moved(event.other_traffic, "until", mission.times.other_traffic, shift),
    )
    return replace(mission, file=mission.file.model_copy(update={"training": training, "event": event}), times=times)


def _moved(entries: tuple, end: str, times: tuple[PartyTimes, ...], shift: timedelta) -> tuple[PartyTimes, ...]:
    """Times given from T move with it, clock times stay."""
    return tuple(
        replace(
            at,
            start=at.start + shift if isinstance(entry.from_, TOffset) else at.start,
            until=at.until + shift if isinstance(getattr(entry, end), TOffset) else at.until,
        )
        for entry, at in zip(entries, times, strict=True)
    )
