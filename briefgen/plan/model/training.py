"""The training block. Units and conventions: the package's docstring."""

from __future__ import annotations

from typing import Literal

from briefgen.core.records import record


@record
class TrainingPlan:
    """One block, by its ``id``. ``bound`` says what decided ``setups_flown``: "given", "time" or "fuel" (then
    ``limiting_ship``).

    ``by_time`` and ``by_fuel`` are the most set-ups that each allows (0 when not even one); None when it
    can't be told.
    """

    id: str
    setups_flown: int
    setups_given: int | None
    setups_minimum: int
    by_time: int | None
    by_fuel: int | None
    limiting_ship: int | None
    bound: Literal["given", "time", "fuel"]
    warm_up_s: float
    each_s: float
    leave_s: float
    rejoin_s: float
    # set-ups that the flypast costs: same sortie without it, minus this one; None without a flypast
    cost_setups: int | None
    cost_fuel_printed: float | None  # fuel of the thirstiest ship that the flypast costs, in display units
