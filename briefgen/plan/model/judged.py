"""Sun, gates, and the plan as a whole. Units and conventions: the package's docstring."""

from __future__ import annotations

from datetime import datetime
from typing import Literal

from briefgen.airmath.sun import SUNRISE_DEG, EventKind, SunEvent, SunState
from briefgen.diagnostics import KeyPath
from briefgen.plan.model.clock import Clock
from briefgen.plan.model.event import EventPlan
from briefgen.plan.model.fuel import FuelPlan
from briefgen.plan.model.legs import Leg, Point
from briefgen.plan.model.training import TrainingPlan
from briefgen.records import record


SunFor = Literal["take-off", "training", "the pass", "last landing"]


@record
class SunAt:
    """The sun at one place at an instant, and on the local date of that instant in ``zone``.

    ``events`` are all of that date in order of time: one kind may come twice or not at all, and ``words``, the ``states`` in one line, say what the missing ones
    mean ("up all day", "civil twilight all night").  ``civil_dawn`` to ``civil_dusk`` are the first of each kind, None without one, for
    readers of ``plan.json`` who knew no second.  ``before`` and ``after`` are the sunrise or sunset on each side of ``at``, on
    whatever date; None where there is none for a day.
    """

    point: Point
    zone: str
    civil_dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    civil_dusk: datetime | None
    events: tuple[SunEvent, ...]
    words: str
    states: tuple[SunState, ...]
    used_for: SunFor
    at: datetime
    elevation_deg: float
    azimuth_true_deg: float
    before: SunEvent | None
    after: SunEvent | None

    def all_of(self, kind: EventKind) -> tuple[datetime, ...]:
        """Every instant of that kind on the date, in order of time."""
        return tuple(event.instant for event in self.events if event.kind == kind)

    @property
    def up(self) -> bool:
        """True from sunrise to sunset."""
        return self.elevation_deg >= SUNRISE_DEG


Verdict = Literal["PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED"]


@record
class Gate:
    """One judged figure.

    ``id`` is stable. ``value``, ``limit`` and ``margin`` are numbers in ``unit``, instants (unit "instant") or words.
    ``sense``: "at least", "at most", "within" or "" for words.  ``why`` is always filled for NOT CHECKED, FAIL and CAUTION and
    says what to do.  ``source``: regulation and section, the unit's own, or "default, no authority".
    ``lacks``: what keeps a gate NOT CHECKED, a limit that neither the file nor its regime gives, or data; empty for every other verdict.
    ``settled_by``: the key of the mission file that settles a NOT CHECKED gate; None for every other verdict.
    """

    id: str
    title: str
    verdict: Verdict
    value: float | str | datetime | None
    limit: float | str | datetime | None
    margin: float | None
    unit: str
    sense: Literal["at least", "at most", "within", ""]
    why: str
    source: str
    cause: KeyPath
    waivable: bool = True
    waiver: str = ""
    lacks: Literal["limit", "data", ""] = ""
    settled_by: KeyPath | None = None


@record
class Plan:
    """Everything that the products print. ``mission`` is the resolved mission that it was made from."""

    mission: object
    legs: tuple[Leg, ...]
    clock: Clock
    training: TrainingPlan | None
    event: EventPlan | None
    fuel: FuelPlan | None  # None when it can't be worked out: the notes say what is missing
    suns: tuple[SunAt, ...]
    gates: tuple[Gate, ...]
    notes: tuple[str, ...]
