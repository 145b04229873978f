"""What a pass is called where there are several, and what its T hangs on."""

from __future__ import annotations

from briefgen.brief.wording.format import duration
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.sortie import Plan


def pass_name(section: PassSection) -> str:
    """``HILL``, ``PARK pass 2``."""
    return section.event.id + (f" pass {section.number}" if section.number > 1 else "")


def name_of(section: PassSection) -> str:
    """The same where the sortie has several passes, empty where it has one."""
    return pass_name(section) if section.among > 1 else ""


def of_pass(section: PassSection) -> str:
    """`` of HILL``, empty likewise."""
    return f" of {pass_name(section)}" if section.among > 1 else ""


def hangs_on(section: PassSection) -> str:
    """What the T of a pass is: ``the end of ANTHEM``, ``a fixed clock time``; of one that follows another,
    that it moves with it."""
    if section.follows:
        return "a time after the pass before, and moves with it"
    return f"the end of {section.cue_of_t}" if section.cue_of_t else "a fixed clock time"


def moved_with(section: PassSection, leader: PassSection) -> tuple[str, str, str]:
    """Of a pass whose T follows that of ``leader``: that it is not moved alone, why, and what to move."""
    name, by = pass_name(section), pass_name(leader)
    after_s = (section.true_time - leader.true_time).total_seconds()
    return (
        f"{name} cannot be moved alone",
        f"its T follows the pass before it, {duration(after_s)} after {by}",
        f"move {by}, and it moves with it",
    )


def pass_sides(plan: Plan) -> tuple[str, ...]:
    """The sides of a card that are each about a pass: ``the pass``, or of several ``PASS 2 of 3, HILL``."""
    if len(plan.passes) == 1:
        return ("the pass",)
    return tuple(
        f"PASS {n} of {len(plan.passes)}, {pass_name(each.section)}" for n, each in enumerate(plan.passes, 1)
    )
