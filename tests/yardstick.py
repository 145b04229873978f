"""A yardstick of time: work of one size, done in the same run before and after what is measured, so that a
limit holds on a slow machine and on a busy one. It is the reading of a plain YAML text by the pure parser of
PyYAML, which owes nothing to this program; one reading is a *yard*.

A machine that takes 0.1 s for a yard checks the regatta in 0.07 s.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable

import yaml

PLAIN = "rows:\n" + "".join(
    f"  - {{name: Mast {n}, position: 38 20.2 S 141 36.9 E, top: 330 ft, source: survey}}\n"
    for n in range(700)
)
TRIES = 5


def processor_seconds(work: Callable[[], object]) -> float:
    """Seconds of computing in this process for a work. Whoever traces the lines (coverage) looks away
    meanwhile: tracing slows this program, and not the yard."""
    tracer = sys.gettrace()
    sys.settrace(None)
    started = time.process_time()
    try:
        work()
        return time.process_time() - started
    finally:
        sys.settrace(tracer)


def yard() -> float:
    """Seconds of computing for one reading. It is parsed only: nothing of it is kept in memory."""

    def read() -> None:
        for _ in yaml.parse(PLAIN, Loader=yaml.SafeLoader):
            pass

    return processor_seconds(read)


def yards(seconds: Callable[[], float], most: float, *, one: Callable[[], float] = yard) -> float:
    """What a work takes, in yards: the fewest of a few tries, or the first that is below ``most``. Other work
    on the same cores slows both, but not always both alike: hence the tries. ``seconds`` does the work and
    tells its time; ``one`` measures a yard in the same way."""
    fewest, before = float("inf"), one()
    for _ in range(TRIES):
        spent = seconds()
        after = one()
        fewest, before = min(fewest, spent * 2 / (before + after)), after
        if fewest < most:
            break
    return fewest
