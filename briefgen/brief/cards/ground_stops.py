"""What the ground contact says where a ceremony that has begun stops: the words of the clock page and of
`retime` for a mark that is not heard, from which second to which, and after them the words of an abort."""

from __future__ import annotations

from collections.abc import Sequence

from briefgen.brief.cards.model import Lines
from briefgen.brief.wording.lost_contact import briefed_no_cue
from briefgen.brief.wording.spoken import callers, not_started, order_words
from briefgen.brief.wording.words import NOT_GIVEN, Words
from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.silence import Step, mark_steps
from briefgen.plan.model import EventPlan

TITLE = "CEREMONY STOPS"


def stop_hint(event: EventPlan) -> tuple[tuple[str, str], ...]:
    """Beside the words of a change, where these stand."""
    return (
        ((f"{TITLE}:", "the words stand overleaf, under the script."),) if script_parts(event.section) else ()
    )


def stop_words(w: Words, event: EventPlan) -> Lines | None:
    """A line a mark; None where T hangs on no cue: then no ceremony moves it."""
    parts = script_parts(event.section)
    if not parts:
        return None
    cue, found = parts[-1].cue, mark_steps(w.plan)
    last = w.bare(found[-1][1][-1].until) if found else ""
    home = event.abort.words if event.abort is not None else NOT_GIVEN
    lines = [(f"Before {cue}:", f"the words of {cue} not heard, overleaf.")]
    lines += [(f"Before {mark}, Z:", steps_words(w, mark, steps, mark=True)) for mark, steps in found]
    lines += [
        (
            f"After {found[-1][0]}, or past {last}:" if found else f"After {cue} has begun:",
            f"nothing but the words of the abort, and only to stop the pass: {home}.",
        )
    ]
    more = "Where the last cue or mark heard came late, add as much to these times"
    lines += [("", f"{more}; to the last, {last}, only once that T is told.")] if found else []
    return Lines(TITLE, tuple(lines))


def steps_words(
    w: Words, name: str, steps: Sequence[Step], *, mark: bool = False, in_short: bool = False
) -> str:
    """From when to when which words are said of a cue or ``mark`` that is not heard. ``in_short``: only what
    follows the fact."""
    said, briefed = [], briefed_no_cue(w.plan)
    for step in steps:
        call = not_started(callers(w.mission), name, step.added, briefed, mark=mark)
        back = f" Read-back: {call.read_back}" if call.read_back else ""
        words_of = order_words(step.added, briefed) or "only that." if in_short else f"{call.say}{back}"
        said.append(f"{w.bare(step.start)} to {w.bare(step.until)}: {words_of}")
    return " ".join(said)
