"""A sortie that has been timed and fuelled, which gates look at, and the plan: the same sortie judged."""

from __future__ import annotations

from datetime import datetime

from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import inner, record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model import Clock, EventPlan, FuelPlan, Gate, Leg, SunAt, SunFor, TrainingPlan
from briefgen.plan.model.laid import Route


@record
class Sortie:
    """``fuel`` is None when it can't be worked out (the diagnostics say why). ``legs`` are all legs,
    ``trainings`` all blocks of training and ``passes`` all passes in flying order."""

    mission: Mission = inner()
    route: Route = inner()
    clock: Clock
    legs: tuple[Leg, ...]
    trainings: tuple[TrainingPlan, ...]
    passes: tuple[EventPlan, ...]
    fuel: FuelPlan | None
    suns: tuple[SunAt, ...]

    @property
    def the_pass(self) -> EventPlan:
        """The pass of a sortie as that pass sees it (``one_pass``), or the only one."""
        return self.passes[0]

    @property
    def the_block(self) -> TrainingPlan:
        """The block of training of a sortie as that block sees it (``one_block``), or the only one."""
        return self.trainings[0]

    def sun_for(self, used_for: SunFor, piece: str = "") -> SunAt | None:
        """The first sun that was looked up for this, of one block or pass where it is named; None where there
        is none."""
        return next((s for s in self.suns if s.used_for == used_for and piece in ("", s.piece)), None)

    @property
    def setups(self) -> dict[str, int]:
        """How many set-ups of each block are flown, under its id."""
        return {block.id: block.setups_flown for block in self.trainings}


@record
class ApprovedTimes:
    """The earliest and the latest true time of a pass (``piece``) that an approval covers."""

    piece: str
    earliest: datetime
    latest: datetime


@record
class Plan(Sortie):
    """Everything that the products print. ``notes`` are the messages of all diagnostics on the way to it.
    ``approved``: the times of each pass in the approval that covers it, none while none does; no figure hangs
    on it, but no later time is offered without the supervisor. ``doubts``: what the check of the file doubts,
    its cautions, in the order in which they are told."""

    gates: tuple[Gate, ...]
    notes: tuple[str, ...]
    approved: tuple[ApprovedTimes, ...] = inner(default=())
    doubts: tuple[Diagnostic, ...] = inner(default=())

    @property
    def event(self) -> EventPlan | None:
        """The pass that the plan is seen from (of the whole plan the first), None without any."""
        return next(iter(self.passes), None)

    @property
    def training(self) -> TrainingPlan | None:
        """The block that the plan is seen from (of the whole plan the first), None without any."""
        return next(iter(self.trainings), None)

    def approved_of(self, pass_: EventPlan) -> ApprovedTimes | None:
        """The times of a pass in the approval that covers the plan, None while none does."""
        return next((times for times in self.approved if times.piece == pass_.section.id), None)
