"""The time over target predicted from the script of the ceremony, as its cues and marks are heard.

The script is a chain of parts. A part begins at its cue and lasts until the next cue (the last one: until T).
Marks are known places inside a part. Times are seconds on any one clock. The algorithm, in this order and
with nothing else (the ground contact's clock ports it line by line):

 1. planned T = ``begins_s`` + the sum of all ``lasts_s``, added in order.
 2. Of several notes of one id the last in the list counts. Notes of ids that the script doesn't have are
    ignored.
 3. The anchor is the heard cue or mark that lies furthest along the script (not the one heard last).
    Nothing heard: the anchor is the first cue at its planned time, and counts as not heard.
 4. Pace of the anchor's part. Prior: 1, precision (lasts/spread)^2. Heard, only when the anchor is a mark,
    its cue was heard too and elapsed = mark heard - cue heard is above 0: elapsed / mark's planned offset,
    precision (offset / 1 s)^2 (a second for ear and thumb). pace = (prior precision x 1 + heard precision x
    heard pace) / (sum of both). A spread that is not given leaves the pace at 1. A spread of 0 does so too.
 5. rest of the part = (lasts - anchor's planned offset) x pace; its deviation = (lasts - offset) / sqrt(sum
    of precisions). Where the cue and marks heard of the part contradict each other by more than that, their
    spread about the anchor at this pace (root of the mean square) stands for it in the deviation of T.
 6. predicted T = anchor's time + rest of the part + sum of the later parts' ``lasts_s``, added in order. A
    part's spread stands at the cue that begins it, so later parts are nominal and each adds its own spread;
    the deviation of T is the root of the sum of squares, None as soon as one of these parts has no spread.
 7. Expected: every later cue at predicted T - the parts from it on, its marks their offsets later; a later
    mark of the anchor's part at the anchor + (offset - anchor's offset) x pace.
 8. Own T: where somebody has moved T by their own judgement (``own_target_s``), T is that, without a
    deviation, and every cue and mark of 7 moves with it.
 9. Awaited: every later cue (and the first cue when nothing was heard) that is expected before ``now_s`` by
    more than the dead-band. Overdue: those that are so by more than ``overdue_after_s`` of that cue; once
    the flight is ``committed``, all that are awaited. It moves nothing: no time stands on a cue that nobody
    has heard. ``late_s`` is by how much the first that is overdue is late, so T is at least as late. T itself
    is not overdue here. ``sure``: one is late by more than its ``overdue_after_s``. The deviation of a cue
    is that of the rest of the anchor's part and of the parts between (one without a spread adds none); of
    the first cue, when nothing was heard, its own spread, the only figure there is.
10. Marks can be missed by ear, and not everybody taps them. Those after the anchor in its part count in 9 as
    cues do once any mark was heard, or one was said not to have been (``missing``): the deviation of one is
    that of the rest of the part in proportion. Until then they are ``asked`` for, in the last part alone,
    once they are late by more than the dead-band: no cue follows there that would tell of a ceremony that
    stopped.
11. slip = predicted T - planned T.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from math import sqrt

from briefgen.core.records import record

OVERDUE_DEVIATIONS = 2.0  # our choice
# one standard deviation of a cue as tapped against the cue as sounded: our default, no source
HEARD_ERROR_S = 1.0
# instants are kept to the microsecond, each clock counts from elsewhere: less than this apart they are one
SAME_INSTANT_S = 1e-3
SAME_SECOND_S = 0.5  # less than this apart two times are told as one


@record
class Part:
    """A part of the script: the id of the cue that begins it, how long it lasts, one standard deviation of
    that (None: not given), and the marks inside it as (id, seconds after the cue)."""

    cue: str
    lasts_s: float
    spread_s: float | None = None
    marks: tuple[tuple[str, float], ...] = ()


@record
class Heard:
    """A cue or mark as it was heard."""

    id: str
    at_s: float


@record
class Prediction:
    """``deviation_s``: one standard deviation, None where a spread is missing. ``pace``: of the part being
    heard. ``expected``: when each cue and mark after the last one heard is now expected, in script order.
    ``overdue``: the cues that should have been heard by now, in script order, the first of them ``late_s``
    ago (0: none is). ``awaited``: the cues that are late by more than the dead-band. ``sure``: one of them by
    more than its own time spreads. ``asked``: marks so late of which nobody has said anything yet."""

    target_s: float
    slip_s: float
    deviation_s: float | None
    pace: float
    expected: tuple[tuple[str, float], ...]
    overdue: tuple[str, ...] = ()
    late_s: float = 0.0
    awaited: tuple[str, ...] = ()
    sure: bool = False
    asked: tuple[str, ...] = ()


@record
class _Anchor:
    """``heard`` False: nothing was, it stands for the first cue as planned."""

    part: int
    offset_s: float
    at_s: float
    cue_heard_s: float | None
    heard: bool = True


def planned_target_s(parts: tuple[Part, ...], begins_s: float) -> float:
    """Planned T: the end of the last part."""
    return begins_s + sum(p.lasts_s for p in parts)


def overdue_after_s(deadband_s: float, deviation_s: float) -> float:
    """How many seconds after its expected time a cue is overdue: the greater of the dead-band and two
    standard deviations of that time.

    The dead-band alone is what the timing of the pass asks for. It lies inside the spread of most cues, so
    that one ceremony in five would be called off on time; two deviations are our choice, the safe one against
    a pass stopped by a false alarm. No time and no speed is told meanwhile. A flight that has left the hold
    is told the bare fact beyond the dead-band already: it stops nothing, and there is little time left for
    it."""
    return max(deadband_s, OVERDUE_DEVIATIONS * deviation_s)


def last_is_heard(parts: tuple[Part, ...], heard: Iterable[str]) -> bool:
    """Whether the cue that T hangs on was heard, or a mark of its part; without a script there is nothing to
    wait for."""
    return not parts or not {parts[-1].cue, *(mark for mark, _ in parts[-1].marks)}.isdisjoint(heard)


def is_mark(parts: tuple[Part, ...], name: str) -> bool:
    """Whether it is a place inside a part, which is not heard rather than not started."""
    return any(name == mark for part in parts for mark, _ in part.marks)


def predict(
    parts: tuple[Part, ...],
    begins_s: float,
    heard: tuple[Heard, ...],
    *,
    now_s: float | None = None,
    deadband_s: float = 0.0,
    own_target_s: float | None = None,
    committed: bool = False,
    missing: frozenset[str] = frozenset(),
) -> Prediction:
    """Predicted T as the module's text says. ``begins_s``: planned time of the first cue. ``now_s`` None:
    nothing is overdue. ``own_target_s``: T by somebody's own judgement. ``committed``: the flight has left
    the hold (without one: passed the IP), so that the fact must be told at once. ``missing``: what was
    listened for and not heard."""
    anchor = _anchor(parts, begins_s, {h.id: h.at_s for h in heard})
    part = parts[anchor.part]
    pace, precision = _pace(part, anchor)
    left_s = part.lasts_s - anchor.offset_s
    target = anchor.at_s + left_s * pace + sum(p.lasts_s for p in parts[anchor.part + 1 :])
    own_s = None if part.spread_s is None else 0.0 if part.spread_s == 0.0 else left_s / sqrt(precision)
    apart_s = None if own_s is None else max(own_s, _apart_s(part, anchor, pace, heard))
    deviation = _root_sum((apart_s, *(p.spread_s for p in parts[anchor.part + 1 :])))
    expected = _expected(parts, anchor, target, pace)
    if own_target_s is not None:
        expected = tuple((name, at_s + own_target_s - target) for name, at_s in expected)
        target, deviation = own_target_s, None
    after = {cue: overdue_after_s(deadband_s, s) for cue, s in _cue_deviations(parts, anchor, own_s or 0.0)}
    marks = {mark: overdue_after_s(deadband_s, s) for mark, s in _mark_deviations(part, anchor, own_s or 0.0)}
    followed = any(is_mark(parts, name) for name in (*missing, *(h.id for h in heard)))
    after |= marks if followed else {}
    late_by = {} if now_s is None else {name: now_s - at_s for name, at_s in expected}
    late = tuple(name for name, s in late_by.items() if s > deadband_s + SAME_INSTANT_S)
    awaited = tuple(name for name in late if name in after)
    surely = tuple(name for name in awaited if late_by[name] > after[name] + SAME_INSTANT_S)
    overdue = awaited if committed else surely
    asks = not followed and part is parts[-1]
    return Prediction(
        target,
        target - planned_target_s(parts, begins_s),
        deviation,
        pace,
        expected,
        overdue,
        late_by[overdue[0]] if overdue else 0.0,
        awaited,
        bool(surely),
        tuple(name for name in late if asks and name in marks),
    )


def _anchor(parts: tuple[Part, ...], begins_s: float, heard: dict[str, float]) -> _Anchor:
    best = _Anchor(0, 0.0, begins_s, None, heard=False)
    for i, part in enumerate(parts):
        cue_at = heard.get(part.cue)
        if cue_at is not None:
            best = _Anchor(i, 0.0, cue_at, cue_at)
        for mark, offset in _marks(part):
            if mark in heard:
                best = _Anchor(i, offset, heard[mark], cue_at)
    return best


def _pace(part: Part, anchor: _Anchor) -> tuple[float, float]:
    """(pace, sum of precisions) of the anchor's part; the precision is 0 where no spread is given or it is
    0."""
    if not part.spread_s:
        return 1.0, 0.0
    prior = (part.lasts_s / part.spread_s) ** 2
    if anchor.offset_s <= 0.0 or anchor.cue_heard_s is None or anchor.at_s <= anchor.cue_heard_s:
        return 1.0, prior
    heard = (anchor.offset_s / HEARD_ERROR_S) ** 2
    heard_pace = (anchor.at_s - anchor.cue_heard_s) / anchor.offset_s
    return (prior + heard * heard_pace) / (prior + heard), prior + heard


def _apart_s(part: Part, anchor: _Anchor, pace: float, heard: tuple[Heard, ...]) -> float:
    """How far the other notes of the anchor's part lie from where the anchor puts them."""
    offsets, notes = {part.cue: 0.0, **dict(part.marks)}, {h.id: h.at_s for h in heard}
    off = [
        notes[name] - anchor.at_s - (offset - anchor.offset_s) * pace
        for name, offset in offsets.items()
        if name in notes and offset != anchor.offset_s
    ]
    return sqrt(sum(s * s for s in off) / len(off)) if off else 0.0


def _root_sum(spreads: tuple[float | None, ...]) -> float | None:
    known = [s for s in spreads if s is not None]
    return sqrt(sum(s * s for s in known)) if len(known) == len(spreads) else None


def _expected(
    parts: tuple[Part, ...], anchor: _Anchor, target_s: float, pace: float
) -> tuple[tuple[str, float], ...]:
    """(cue or mark, when) of everything after the anchor; of the first cue too when nothing was heard."""
    part = parts[anchor.part]
    own = [] if anchor.heard else [(part.cue, anchor.at_s)]
    own += [
        (mark, anchor.at_s + (offset - anchor.offset_s) * pace)
        for mark, offset in _marks(part)
        if offset > anchor.offset_s
    ]
    for i, later in enumerate(parts[anchor.part + 1 :], anchor.part + 1):
        begins = target_s - sum(p.lasts_s for p in parts[i:])
        own += [(later.cue, begins), *((mark, begins + offset) for mark, offset in _marks(later))]
    return tuple(own)


def _marks(part: Part) -> list[tuple[str, float]]:
    return sorted(part.marks, key=lambda mark: mark[1])


def _cue_deviations(parts: tuple[Part, ...], anchor: _Anchor, own_s: float) -> Iterator[tuple[str, float]]:
    """(cue still to come, one standard deviation of when it begins); ``own_s``: that of the rest of the
    anchor's part."""
    if not anchor.heard:
        yield parts[0].cue, parts[0].spread_s or 0.0
    spreads = [own_s]
    for part in parts[anchor.part + 1 :]:
        yield part.cue, sqrt(sum(s * s for s in spreads))
        spreads.append(part.spread_s or 0.0)


def _mark_deviations(part: Part, anchor: _Anchor, own_s: float) -> Iterator[tuple[str, float]]:
    """(mark still to come of the part that is heard, one standard deviation of when it sounds)."""
    for mark, offset in _marks(part) if anchor.heard else ():
        if offset > anchor.offset_s:
            yield mark, own_s * (offset - anchor.offset_s) / (part.lasts_s - anchor.offset_s)
