"""Which of a sortie's passes is to be moved, by its name as somebody types it."""

from __future__ import annotations

from briefgen.brief.wording.format import clock_z, listed
from briefgen.brief.wording.passes import moved_with, pass_name
from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.resolve.sections import PassSection
from briefgen.mission.schema.base import did_you_mean
from briefgen.plan.model import EventPlan
from briefgen.plan.one_pass import seen_from
from briefgen.plan.sortie import Plan
from briefgen.retime.typed import Typed, is_flown


def pass_asked(
    plan: Plan, typed: str | None, more: Typed | None = None
) -> tuple[EventPlan | None, list[Diagnostic]]:
    """The pass that ``--pass`` names: ``HILL``, ``SALTMERE/pass-2``, ``saltmere 2``; the only one where
    nothing is typed. None with the reason where it can't be told, or can't be moved alone. ``more``: what
    else was typed, by which the pass that it moves with may be flown."""
    if typed is None:
        return (plan.passes[0], []) if len(plan.passes) == 1 else (None, [_not_said(plan)])
    form = " ".join(typed.upper().split())
    found = next((pass_ for pass_ in plan.passes if form in _forms(pass_.section)), None)
    if found is None:
        return None, [_unknown(plan, typed)]
    if found.leader is None:
        return found, []
    before = seen_from(plan, next(p for p in plan.passes if p.section.cause == found.leader.cause))
    return None, [_follows(found, found.leader, flown=more is not None and is_flown(before, more))]


def _forms(section: PassSection) -> set[str]:
    """In what forms people type a pass: its id, its name, its event with or without its number."""
    event, number = section.event.id, section.number
    own = {section.id, pass_name(section), f"{event}/pass-{number}", f"{event} pass {number}"}
    return {form.upper() for form in (*own, f"{event} {number}", f"{event}/{number}")}


def _not_said(plan: Plan) -> Diagnostic:
    message = f"the sortie has {len(plan.passes)} passes, and nothing says which one is meant"
    why = "a change of one moves those that follow it, and takes the wait of the next"
    return Diagnostic("which-pass", "error", message, None, why, _lines(plan))


def _unknown(plan: Plan, typed: str) -> Diagnostic:
    known = [pass_.section.id for pass_ in plan.passes]
    message = f'--pass: the sortie has no pass "{typed}"{did_you_mean(typed.upper(), known)}'
    return Diagnostic("which-pass", "error", message, None, "", _lines(plan))


def _lines(plan: Plan) -> str:
    """What may be typed, each with its T; a pass that follows another one with the pass to move."""
    free = [p for p in plan.passes if p.leader is None]
    lines = [f"--pass {p.section.id} for T {_z(p)}" for p in free]
    moved = [f"{p.section.name} moves with {p.leader.name}" for p in plan.passes if p.leader is not None]
    return "; ".join([f"add {listed(lines, 'or')}", *moved])


def _follows(pass_: EventPlan, leader: PassSection, *, flown: bool) -> Diagnostic:
    message, why, help = moved_with(pass_, leader, flown=flown)
    way = f"{help}: --pass {leader.id}" if help else ""
    return Diagnostic("pass-follows", "error", f"--pass: {message}", None, why, way)


def _z(pass_: EventPlan) -> str:
    return clock_z(pass_.true_time, day=pass_.true_time.date())
