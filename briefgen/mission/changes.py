"""Named changes of a mission: a mission in, another mission out. What is asked of it is always the same plan()."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from briefgen.mission.resolve import Mission


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
