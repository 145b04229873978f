"""Every what-if of a mission: each change planned by the same code as the plan, and put beside it."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime

from briefgen.mission.changes import with_setups
from briefgen.mission.resolve import Mission
from briefgen.plan.build import fly
from briefgen.plan.diverts import Diversion, diversions
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie
from briefgen.records import record
from briefgen.whatif.cases import Case, cases_of
from briefgen.whatif.cut_short import home_from_hold
from briefgen.whatif.outcome import ON_THE_WAY_HOME, Told, failing, newly_failing, told_of


@record
class Answer:
    """What becomes of one change. ``after`` is None when the changed sortie can't be planned: ``problem`` says why.

    ``time_kept``: the flight can be overhead at its T, with a hold of at least the minimum; None when the change has no pass.
    ``hold_short``: it can be overhead, but only with a hold under the minimum.
    ``failing``: gates that fail now and did not as written. ``until``: how long the flight stays in the hold, where that is the question.
    """

    id: str
    kind: str
    seconds: float
    ships: tuple[int, ...]
    kt: float
    pass_off: bool
    after: Told | None
    problem: str
    time_kept: bool | None
    failing: tuple[Gate, ...]
    until: datetime | None = None
    hold_short: bool = False


@record
class WhatIf:
    """The mission as written (``base`` in figures as ``before``), the changes in the order of the list, and the diverts."""

    base: Sortie
    before: Told
    answers: tuple[Answer, ...]
    diverts: tuple[Diversion, ...]


def what_if(mission: Mission) -> WhatIf | None:
    """Every change of the list; None when the mission itself can't be planned."""
    base, _ = fly(mission, tables=False)
    if base is None:
        return None
    known = failing(base)
    told = [_answer(case, known) for case in cases_of(base)]
    return WhatIf(base, told_of(base), (*told, *_in_the_hold(base, known)), diversions(base))


def _answer(case: Case, known: tuple[Gate, ...]) -> Answer:
    sortie, found = fly(case.mission, tables=False)
    capped = _too_many(sortie, case)
    if capped:
        sortie, found = fly(with_setups(case.mission, case.most_setups), tables=False)
    if sortie is None:
        errors = [d.message for d in found if d.severity == "error"]
        return Answer(case.id, case.kind, case.seconds, case.ships, case.kt, case.pass_off, None, "; ".join(errors), None, ())
    return _told(case, sortie, known, capped=capped)


def _too_many(sortie: Sortie | None, case: Case) -> bool:
    """More set-ups than are planned (a change never asks for more), or as many with room to spare."""
    if sortie is None or sortie.training is None or case.most_setups is None or case.pass_off:
        return False
    return sortie.training.setups_flown >= case.most_setups


def _told(case: Case, sortie: Sortie, known: tuple[Gate, ...], *, capped: bool) -> Answer:
    fails = failing(sortie)
    lost = {gate.id for gate in fails} & {"t-reachable", "hold-minimum"}
    kept = None if sortie.event is None else not lost
    return Answer(
        id=case.id,
        kind=case.kind,
        seconds=case.seconds,
        ships=case.ships,
        kt=case.kt,
        pass_off=case.pass_off,
        after=told_of(sortie, capped=capped),
        problem="",
        time_kept=kept,
        failing=newly_failing(known, fails),
        hold_short=lost == {"hold-minimum"},
    )


# ---------------------------------------------------------------- decided in the hold


def _in_the_hold(base: Sortie, known: tuple[Gate, ...]) -> Iterator[Answer]:
    """Low cloud cancels the pass when the hold would be left; without the ground contact the flight stays until its go-home time."""
    hold = base.event.hold if base.event is not None else None
    if hold is None:
        return
    go_home = base.fuel.go_home if base.fuel is not None else None
    for kind, until in (("low-cloud", hold.leave), ("no-contact", go_home)):
        if until is None:
            yield Answer(kind, kind, 0.0, (), 0.0, True, None, "the go-home time is NOT CHECKED", None, ())
            continue
        sortie = home_from_hold(base, until, on_gauge=kind == "no-contact")
        if sortie is not None:
            fails = newly_failing(known, failing(sortie, ON_THE_WAY_HOME))
            yield Answer(kind, kind, 0.0, (), 0.0, True, told_of(sortie), "", None, fails, until)
