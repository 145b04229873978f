"""What a pass is called where there are several, and what its T hangs on."""

from __future__ import annotations

from briefgen.brief.wording.format import duration
from briefgen.mission.resolve.sections import PassSection
from briefgen.mission.schema.event import Pass
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan


def pass_name(section: PassSection) -> str:
    """``HILL``, ``PARK pass 2``."""
    return section.name


def name_of(section: PassSection) -> str:
    """The same where the sortie has several passes, empty where it has one."""
    return pass_name(section) if section.among > 1 else ""


def of_pass(section: PassSection) -> str:
    """`` of HILL``, empty likewise."""
    return f" of {pass_name(section)}" if section.among > 1 else ""


def later_passes(plan: Plan) -> list[str]:
    """By name, in flying order, those after the pass that the plan is seen from: who goes home flies none."""
    place = plan.the_pass.section.place
    return [pass_name(to.chain.section) for to in plan.route.passes if to.chain.section.place > place]


def next_name(plan: Plan) -> str:
    """By name, the pass behind the one that the plan is seen from; empty after the last."""
    return next(iter(later_passes(plan)), "")


def hangs_on(event: EventPlan) -> str:
    """What the T of a pass is: ``the end of ANTHEM``, ``a fixed clock time``; of one that follows another,
    that it moves with it."""
    section, leader = event.section, event.leader
    if leader is not None:
        by = pass_name(leader)
        return (
            f"{_after(event, leader)}, moves with it when {by} is moved, and cannot be moved alone, nor once"
            f" {by} is flown or stopped"
        )
    return f"the end of {section.cue_of_t}" if section.cue_of_t else "a fixed clock time"


def moves_with(event: EventPlan) -> str | None:
    """``moves with SALTMERE alone, until that is flown``; None where T is its own."""
    leader = event.leader
    return None if leader is None else f"moves with {pass_name(leader)} alone, until that is flown"


def moved_words(event: EventPlan) -> str:
    """``15 min after SALTMERE; a change is told of SALTMERE before that is flown, none of this pass``: under
    the T of the pass that one moves with; empty where T is its own."""
    leader = event.leader
    if leader is None:
        return ""
    told = f"a change is told of {pass_name(leader)} before that is flown, none of this pass"
    return f"{_after(event, leader)}; {told}"


def after_hold(given: Pass, event: EventPlan) -> str | None:
    """What may still be told after leave-hold; None without a hold, and where T is never moved alone."""
    return given.after_leaving_hold if event.hold is not None and event.leader is None else None


def moved_with(event: EventPlan, leader: PassSection, *, flown: bool = False) -> tuple[str, str, str]:
    """Of a pass whose T follows that of ``leader``: that it is not moved alone, why, and what to move, empty
    once that is ``flown``."""
    name, by = pass_name(event.section), pass_name(leader)
    why = f"its T follows the pass before it, {_after(event, leader)}"
    if flown:
        return f"{name} cannot be moved any more", f"{why}, which is flown or stopped", ""
    return f"{name} cannot be moved alone", why, f"move {by}, and it moves with it"


def _after(event: EventPlan, leader: PassSection) -> str:
    return f"{duration((event.true_time - leader.true_time).total_seconds())} after {pass_name(leader)}"


def pass_sides(plan: Plan) -> tuple[str, ...]:
    """The sides of a card that are each about a pass: ``the pass``, or of several ``PASS 2 of 3, HILL``."""
    if len(plan.passes) == 1:
        return ("the pass",)
    return tuple(
        f"PASS {n} of {len(plan.passes)}, {pass_name(each.section)}" for n, each in enumerate(plan.passes, 1)
    )
