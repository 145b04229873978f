"""Every what-if of a mission: each change planned by the same code as the plan, and put beside it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Literal

from briefgen.core.diagnostics import Diagnostic
from briefgen.core.records import record
from briefgen.mission.edit.changes import with_each_setups
from briefgen.plan.build import fly
from briefgen.plan.event.lost_contact import briefed, hold_end, lost_contact_at
from briefgen.plan.gates.timing import T_KEPT_BY, on_t_of
from briefgen.plan.model import Gate, HoldPlan
from briefgen.plan.route.diverts import Diversion, diversions
from briefgen.plan.sortie import Plan, Sortie
from briefgen.whatif.cases import Case, cases_of
from briefgen.whatif.cut_short import home_from_hold
from briefgen.whatif.kept import Flown, kept
from briefgen.whatif.outcome import ON_THE_WAY_HOME, SortieOutcome, failing, newly_failing, outcome_of

# errors that say what isn't known; all others say what is impossible
NOT_KNOWN = (
    "no-setups",
    "no-takeoff",
    "variation",
    "fuel-below-flow",
)
Fate = Literal["kept", "lost", "none", "not known"]
# the change itself is that nothing is flown over
WITHOUT_PASS = (
    "no-flypast",
    "cancelled-in-area",
    "low-cloud",
)


@record
class Answer:
    """What becomes of one change. ``after`` is None when the changed sortie can't be planned: ``problem``
    says why, ``unknown`` that it is for want of data and not because it is shown to be impossible.

    ``time_kept``: the flight can be overhead at its T, with a hold of at least the minimum; None when the
    change has no pass. ``hold_short``: it can be overhead, but only with a hold under the minimum.
    ``failing``: gates that fail now and did not as written. ``until``: how long the flight is in the hold,
    where that is the question; ``stays``: what ends its stay, where it is briefed to wait there.
    ``by_speed``: T is kept by speed after leave-hold, without a hold from the IP. ``piece``: of several
    passes or events the one that the change is about; ``missed``: of several passes those whose T can't be
    met.
    """

    id: str
    kind: str
    seconds: float
    ships: tuple[int, ...]
    kt: float
    pass_off: bool
    after: SortieOutcome | None
    problem: str
    time_kept: bool | None
    failing: tuple[Gate, ...]
    until: datetime | None = None
    hold_short: bool = False
    unknown: bool = False
    stays: str = ""
    by_speed: bool = False
    piece: str = ""
    missed: tuple[str, ...] = ()

    @property
    def fate(self) -> Fate:
        """What becomes of the pass: lost by the change, or none, where the change itself is that there is
        none or the mission has none."""
        if self.kind in WITHOUT_PASS:
            return "none"
        if self.unknown:
            return "not known"
        if self.after is None or self.pass_off or self.time_kept is False:
            return "lost"
        return "kept" if self.time_kept else "none"

    @property
    def worse(self) -> bool:
        """The pass is lost, nothing is known, or a gate fails that didn't."""
        return self.after is None or bool(self.failing) or self.fate == "lost"


@record
class WhatIf:
    """The mission as written (``base`` in figures as ``before``), the changes in the order of the list, and
    the diverts."""

    base: Plan
    before: SortieOutcome
    answers: tuple[Answer, ...]
    diverts: tuple[Diversion, ...]


def what_if(base: Plan, wanted: Callable[[Case, Sortie], bool] = lambda case, base: True) -> WhatIf:
    """The changes of the list that are wanted, by default all."""
    known = failing(base)
    told = [_answer(case, base, known) for case in cases_of(base) if wanted(case, base)]
    return WhatIf(base, outcome_of(base), (*told, *_in_the_hold(base, known)), diversions(base))


def _answer(case: Case, base: Sortie, known: tuple[Gate, ...]) -> Answer:
    if case.unknown:
        return replace(_unplanned(case, []), problem=case.unknown, unknown=True)
    sortie, found, given = _flown(case, base)
    if sortie is None:
        return _unplanned(case, [d for d in found if d.severity == "error"])
    flown = kept(base, sortie, waits=bool(case.most_setups), place=case.place)
    return _told(case, flown, known, given)


def _flown(case: Case, base: Sortie) -> tuple[Sortie | None, list[Diagnostic], frozenset[str]]:
    """The changed sortie, its blocks with no more set-ups than are planned (a change never asks for more);
    the ids of those that would take more, or as many with room to spare, and are given so many."""
    given: dict[str, int] = {}
    sortie, found = fly(case.mission, tables=False)
    while more := _too_many(sortie, case, given):
        given |= more
        sortie, found = fly(with_each_setups(case.mission, given), tables=False)
    if given:
        sortie, found = _shorter(case, base, given, (sortie, found))
    return sortie, found, frozenset(given)


def _too_many(sortie: Sortie | None, case: Case, given: Mapping[str, int]) -> dict[str, int]:
    """The first block behind those given that takes as many as are planned, or more: with less before it
    the next one may too."""
    if sortie is None or case.pass_off:
        return {}
    most = {id: number for id, number in case.most_setups.items() if id not in given}
    over = ({id: most[id]} for id, flown in sortie.setups.items() if id in most and flown >= most[id])
    return next(over, {})


def _shorter(
    case: Case, base: Sortie, given: Mapping[str, int], planned: tuple[Sortie | None, list[Diagnostic]]
) -> tuple[Sortie | None, list[Diagnostic]]:
    """With fewer in a block on the way to the first pass whose T is lost, until every T is kept; where none
    is left to give, as planned. The others are settled anew each time."""
    (sortie, found), fewer = planned, dict(given)
    while sortie is not None:
        lost = _time_lost_at(kept(base, sortie, waits=True).failing(T_KEPT_BY))
        before = next((id for id in _on_the_way(sortie, lost) if fewer.get(id)), None)
        if before is None:
            return planned if lost else (sortie, found)
        fewer[before] -= 1
        sortie, found = fly(with_each_setups(case.mission, fewer), tables=False)
    return sortie, found


def _time_lost_at(fails: tuple[Gate, ...]) -> frozenset[str]:
    """The ids of the passes whose T is lost."""
    return frozenset(gate.piece for gate in fails if gate.rule in T_KEPT_BY)


def _on_the_way(s: Sortie, lost: frozenset[str]) -> tuple[str, ...]:
    """The blocks that are flown right before the first of these passes, in flying order."""
    ways = (way for way in s.route.stretches if way.to is not None and way.to.chain.section.id in lost)
    return next((tuple(block.section.id for block in way.blocks) for way in ways), ())


def _unplanned(case: Case, errors: list[Diagnostic]) -> Answer:
    unknown = all(error.code in NOT_KNOWN for error in errors)
    problem = "; ".join(error.message for error in errors)
    return Answer(
        case.id,
        case.kind,
        case.seconds,
        case.ships,
        case.kt,
        case.pass_off,
        None,
        problem,
        None,
        (),
        unknown=unknown,
        piece=case.piece,
    )


def _time_lost(fails: tuple[Gate, ...]) -> set[str]:
    return {gate.rule for gate in fails} & set(T_KEPT_BY)


def _told(case: Case, flown: Flown, known: tuple[Gate, ...], given: frozenset[str]) -> Answer:
    sortie, fails = flown.sortie, flown.failing()
    lost = _time_lost(fails)
    kept = not lost if sortie.passes else None
    return Answer(
        id=case.id,
        kind=case.kind,
        seconds=case.seconds,
        ships=case.ships,
        kt=case.kt,
        pass_off=case.pass_off,
        after=outcome_of(sortie, most_setups=_most_of_first(case, sortie, given), place=case.place),
        problem="",
        time_kept=kept,
        failing=newly_failing(known, fails),
        hold_short=lost == {"hold-minimum"},
        by_speed=flown.by_speed,
        piece=case.piece,
        missed=_missed(sortie, fails),
    )


def _most_of_first(case: Case, s: Sortie, given: frozenset[str]) -> int | None:
    """What is planned of the first block, where it is given no more."""
    first = next(iter(s.setups), None)
    return case.most_setups[first] if first is not None and first in given else None


def _missed(s: Sortie, fails: tuple[Gate, ...]) -> tuple[str, ...]:
    """Of several passes the ids of those whose T can't be met."""
    if len(s.passes) < 2:
        return ()
    return tuple(pass_.section.id for pass_ in s.passes if on_t_of(pass_.section.id, fails))


# ---------------------------------------------------------------- decided in the hold


NOT_BRIEFED = "not briefed: contingencies.no_ground_contact.{} is missing"


def _in_the_hold(base: Plan, known: tuple[Gate, ...]) -> Iterator[Answer]:
    """Low cloud cancels the pass when the hold would be left; without the ground contact the flight does what
    is briefed."""
    hold = base.the_pass.hold if len(base.passes) == 1 else None
    if hold is None:  # of several passes the dropped events tell what is saved
        return
    for kind, until, stays, lacking in (
        ("low-cloud", hold.leave, "", ""),
        ("no-contact", *_lost_contact(base, hold)),
    ):
        if until is None:
            yield Answer(kind, kind, 0.0, (), 0.0, True, None, lacking, None, (), unknown=True)
            continue
        sortie, found = home_from_hold(base, hold, until)
        if sortie is None:
            yield _unplanned(
                Case(kind, base.mission, pass_off=True), [d for d in found if d.severity == "error"]
            )
        else:
            fails = newly_failing(known, failing(sortie, ON_THE_WAY_HOME))
            yield Answer(
                kind,
                kind,
                0.0,
                (),
                0.0,
                True,
                outcome_of(sortie),
                "",
                None,
                fails,
                until,
                stays=stays,
            )


def _lost_contact(base: Plan, hold: HoldPlan) -> tuple[datetime | None, str, str]:
    """Until when the flight stays in the hold without its ground contact, by the typed fact, and what ends
    its stay where it is briefed to wait; else what is missing."""
    given, _ = briefed(base.mission, base.the_pass.section)
    match None if given is None else given.then:
        case "hold":
            end = hold_end(base)
            return (None, "", "the go-home time isn't known") if end is None else (end.at, end.short, "")
        case "go home":
            at = lost_contact_at(base.mission, base.event)
            return None if at is None else min(at, hold.leave), "", NOT_BRIEFED.format("after")
    return None, "", NOT_BRIEFED.format("then")
