"""The costliest combination of accepted slips, by trying every corner of what they may be: none of the
program's own code.

A slip of a pass makes its wait longer by itself less the slip of the pass before. Each lies between early
and late of its event, and leaves its wait no shorter than is allowed, but the first's, which is as its T
is. A pass whose T follows that of the pass before has the same slip, whatever its own event accepts. What
this costs grows evenly with each slip, so the most is where each is at an end of its own, or as far as its
neighbour lets it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product


@dataclass(frozen=True)
class Slipping:
    """``lb_h``: what a second of its wait burns; ``slack_s``: by so much this may be shorter."""

    lb_h: float
    early_s: float
    late_s: float
    slack_s: float
    follows: bool = False


def dearest_lb(passes: Sequence[Slipping]) -> tuple[float, tuple[float, ...]]:
    """What the costliest combination burns more than no slip, and the slip of each pass."""
    return max((_cost(passes, slips), slips) for slips in _corners(passes))


HOW = ("early", "on time", "late", "as the one before allows", "as the next one allows")


def _corners(passes: Sequence[Slipping]) -> Iterator[tuple[float, ...]]:
    own = [n for n, each in enumerate(passes) if not each.follows]
    for hows in product(HOW, repeat=len(own)):
        found = _settled([passes[n] for n in own], hows)
        if found is None:
            continue
        slip_of = dict(zip(own, found, strict=True))
        slips: list[float] = []
        for n in range(len(passes)):
            slips.append(slip_of[n] if n in slip_of else slips[-1])
        if _can_be(passes, slips):
            yield tuple(slips)


def _settled(own: Sequence[Slipping], hows: Sequence[str]) -> list[float] | None:
    """The slip of each pass that has one of its own; None where two wait for each other."""
    ends = [{"early": -each.early_s, "on time": 0.0, "late": each.late_s} for each in own]
    found = [end.get(how) for end, how in zip(ends, hows, strict=True)]
    for _ in own:
        for n, how in enumerate(hows):
            before = found[n - 1] if n else None
            after = found[n + 1] if n + 1 < len(own) else None
            if found[n] is None and how == HOW[3] and before is not None:
                found[n] = before - own[n].slack_s
            elif found[n] is None and how == HOW[4] and after is not None:
                found[n] = after + own[n + 1].slack_s
    slips = [slip for slip in found if slip is not None]
    return slips if len(slips) == len(own) else None


def _can_be(passes: Sequence[Slipping], slips: Sequence[float]) -> bool:
    for n, (each, slip) in enumerate(zip(passes, slips, strict=True)):
        if not each.follows and not -each.early_s - 1e-6 <= slip <= each.late_s + 1e-6:
            return False
        if n and not each.follows and slip - slips[n - 1] < -each.slack_s - 1e-6:
            return False
    return True


def _cost(passes: Sequence[Slipping], slips: Sequence[float]) -> float:
    before = (0.0, *slips)
    return sum(
        each.lb_h * (slip - last) / 3600 for each, slip, last in zip(passes, slips, before, strict=False)
    )
