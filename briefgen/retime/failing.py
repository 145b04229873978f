"""Which gates fail at the new time that did not in the plan."""

from __future__ import annotations

from datetime import datetime
from itertools import takewhile

from briefgen.core.records import record
from briefgen.mission.resolve.sections import PassSection, long_id
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Plan

# of every T that is accepted, not of the one told
ACCEPTED_GATES = ("slip-late", "slip-early", "slip-holes", "slip-spread-early", "slip-spread-late")
SPEED_GATES = (
    "authority-early",
    "authority-late",
)  # of what the last cue may still do, judged at the IP's latest


@record
class Told:
    """Of which pass the change is told, and when that is read back: None before the hold is entered;
    ``past_ip``: behind the IP."""

    section: PassSection
    read_back: datetime | None
    past_ip: bool


def failing_anew(plan: Plan, changed: Plan, told: Told) -> tuple[Gate, ...]:
    """Gates that fail at the new time, not in the plan. That no party holds it yet is told with the parties;
    once training is over nothing hangs on its joker, and once the hold is entered nobody moves it, or the IP,
    nearer to the cue. What could be accepted was judged of the plan: the T that is told now is one, and is
    judged itself; past the IP so was what speed must have kept for the cue. All this of the pass and those
    that move with it: what becomes of any other is judged whole.
    """
    at = told.read_back
    trained = {
        block.id
        for block in changed.clock.blocks
        if at is not None and block.end is not None and at >= block.end
    }
    rules = set(ACCEPTED_GATES)
    rules |= {"cue-first"} if told.read_back is not None else set()
    rules |= set(SPEED_GATES) if told.past_ip else set()
    sections = [pass_.section for pass_ in plan.passes[told.section.place :]]
    moved = (told.section, *takewhile(lambda section: section.follows, sections))
    behind = {long_id(section.id, rule) for section in moved for rule in rules}
    behind |= {gate.id for gate in plan.gates if gate.verdict == "FAIL"}
    return tuple(
        gate
        for gate in changed.gates
        if gate.verdict == "FAIL"
        and gate.party is None
        and gate.id not in behind
        and not (gate.rule == "joker" and gate.piece in trained)
    )
