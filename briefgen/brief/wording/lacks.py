"""What a plan lacks of what the file could give, so that no card of it looks like a complete one."""

from __future__ import annotations

from briefgen.brief.wording.open_limits import counts_words, tally
from briefgen.draw.typeset.bind import NO_BREAK
from briefgen.plan.fuel.of_mission import without_way_out
from briefgen.plan.gates.assumed import winds_given, without_climb
from briefgen.plan.sortie import Plan


def lacks_words(plan: Plan) -> tuple[str, ...]:
    """What every time and fuel on the card lacks, each a mark of its own; none of a plan that has it all."""
    marks = (
        ("CALM AIR: NO WINDS GIVEN", not winds_given(plan)),
        ("NO DEPARTURE GIVEN: TIMES AND FUEL NOT CHECKED", without_way_out(plan.mission, plan.clock)),
        ("NO CLIMB GIVEN: NONE IS IN TIMES AND FUEL", without_climb(plan) is not None),
    )
    return tuple(words for words, lacking in marks if lacking)


def unchecked_words(plan: Plan) -> str:
    """``12 NOT CHECKED``, as many gates as on the approval sheet; empty where all were judged."""
    return "".join(counts_words(tally(plan.gates), ("NOT CHECKED",))).replace(" ", NO_BREAK)
