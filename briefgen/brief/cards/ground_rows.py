"""What the rows of the slips leave open: a ceremony between two of them, and rows whose last moment lies
before the cue that would tell of them."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise

from briefgen.brief.wording import format as words
from briefgen.brief.wording.wait_limits import slip_spans
from briefgen.brief.wording.words import Words
from briefgen.plan.event.silence import cues_to_t
from briefgen.plan.event.waits import lost, no_call
from briefgen.plan.model import SlipRow

LATER_MARK = " *"


def is_told(w: Words, row: SlipRow) -> bool:
    """Whether a slip may be told by some time."""
    return not no_call(w.plan, row.slip_s) and not lost(w.plan, row)[0]


def row_words(w: Words) -> Iterator[tuple[str, str]]:
    """What is told of a ceremony between two rows, by when, and what the mark beside a row means. None where
    no two neighbours have a time, since beside a row that is not told nothing is sure."""
    spans = slip_spans(w.plan)
    sure = [_is_sure(w, one) and _is_sure(w, other) for (one, _), (other, _) in pairwise(spans)]
    if any(sure):
        but = "" if all(sure) else "; beside a row without SAY BY only as they say"
        yield (
            "Between two rows:",
            (
                "T moved by just the seconds that the ceremony is early or late, by the earlier SAY BY of the"
                f" two; later as the clock page or retime says{but}."
            ),
        )
    if any(is_heard_later(w, row) for row, _ in spans):
        yield (
            f"Rows with{LATER_MARK}:",
            f"{cues_to_t(w.plan)[0]} so early or late is heard after SAY BY: only if known before.",
        )


def _is_sure(w: Words, row: SlipRow) -> bool:
    return is_told(w, row) or no_call(w.plan, row.slip_s)


def is_heard_later(w: Words, row: SlipRow) -> bool:
    """Whether the first cue, as early or late as the row, is heard only after the row's SAY BY."""
    cues = cues_to_t(w.plan)
    if not cues or row.say_by is None or not is_told(w, row):
        return False
    heard = w.plan.passes[0].section.event.times.cues[cues[0]] + timedelta(seconds=row.slip_s)
    return words.time_limit(row.say_by, "latest") < heard
