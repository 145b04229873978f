"""One sortie in the few figures that a difference is told in, and which gates fail that did not fail
before."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from datetime import datetime
from functools import lru_cache
from typing import Literal

from briefgen.core.records import record
from briefgen.plan.gates.table import GATES, Row
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie

# the gates that a change of the clock, the fuel or the number of ships can turn; the others look at what
# doesn't change
WATCHED = (
    "t-reachable",
    "hold-minimum",
    "hold-maximum",
    "area-entry",
    "area-exit",
    "set-ups",
    "joker",
    "fuel-order",
    "way-home-fuel",
    "landing-fuel",
    "landing-emergency",
    "hold-fuel",
    "alternate-fuel",
    "minimum-ships",
    "permission-from",
    "permission-until",
    "daylight-takeoff",
    "daylight-pass",
    "daylight-landing",
    "base-open",
    "duty-period",
)

ON_THE_WAY_HOME = (
    "landing-fuel",
    "landing-emergency",
    "alternate-fuel",
    "daylight-landing",
    "base-open",
    "duty-period",
)

Bound = Literal["given", "planned", "time", "fuel"]


@record
class SortieOutcome:
    """A sortie as it is told. Fuel is printed fuel in the display unit. None: the sortie has none of it, or
    it can't be worked out.

    ``setups`` are those of the first block of training and ``later_setups`` of each after it, by its id.
    ``may_lead``: whether the crew of the first ship may lead, None when the file doesn't say. ``bound``: what
    decided the set-ups; "planned": time and fuel allow as many as are planned, or more.
    """

    ships: tuple[int, ...]
    may_lead: bool | None
    formation: str | None
    takeoff: datetime
    setups: int | None
    bound: Bound | None
    limiting_ship: int | None
    true_time: datetime | None
    hold_s: float | None
    thirstiest: int | None
    lowest_landing: float | None
    lowest_ship: int | None
    last_landing: datetime
    later_setups: Mapping[str, int] = field(default_factory=dict)


def outcome_of(s: Sortie, *, most_setups: int | None = None, place: int = 0) -> SortieOutcome:
    """The figures of a sortie. ``most_setups``: its set-ups are given because no more are planned; fewer of
    them are flown to keep T. ``place``: of which of its passes T and hold are told, the first is 0."""
    training, fuel = next(iter(s.trainings), None), s.fuel
    event = s.passes[place] if place < len(s.passes) else None
    run_in = s.mission.file.event.pass_.run_in if s.mission.file.event is not None else None
    return SortieOutcome(
        ships=tuple(ship.ship for ship in s.mission.file.flight),
        may_lead=s.mission.file.flight[0].may_lead,
        formation=run_in.formation if run_in is not None and event is not None else None,
        takeoff=s.clock.takeoff,
        setups=training.setups_flown if training is not None else None,
        bound=(
            None
            if training is None
            else (
                training.bound
                if most_setups is None
                else "planned"
                if training.setups_flown == most_setups
                else "time"
            )
        ),
        limiting_ship=training.limiting_ship if training is not None else None,
        true_time=event.true_time if event is not None else None,
        hold_s=event.hold.wait_s if event is not None and event.hold is not None else None,
        thirstiest=fuel.thirstiest if fuel is not None else None,
        lowest_landing=fuel.lowest_landing if fuel is not None else None,
        lowest_ship=fuel.lowest_landing_ship if fuel is not None else None,
        last_landing=s.clock.last_landing,
        later_setups={block.id: block.setups_flown for block in s.trainings[1:]},
    )


@lru_cache(maxsize=8)
def rows_of(ids: tuple[str, ...]) -> tuple[Row, ...]:
    """The rows of the list of gates that yield any of these."""
    return tuple(row for row in GATES if {id.name for id in row.ids} & set(ids))


def failing(s: Sortie, ids: Iterable[str] = WATCHED) -> tuple[Gate, ...]:
    """Those of the gates with these ids that FAIL; waivers are not looked at, since they were given for the
    plan as written."""
    wanted = tuple(ids)
    return tuple(
        gate
        for row in rows_of(wanted)
        for gate in row.gates(s)
        if gate.rule in wanted and gate.verdict == "FAIL"
    )


def newly_failing(before: Iterable[Gate], after: Iterable[Gate]) -> tuple[Gate, ...]:
    """Those that fail after a change and did not before it."""
    known = {gate.id for gate in before}
    return tuple(gate for gate in after if gate.id not in known)
