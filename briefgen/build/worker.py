"""A second worker for a build: a copy of this process, made before there is a plan, so that it loads what it
will need while the plan is being made.

A process, since most of the work is Python's own, and two threads of it share one core. It is made only where
that is safe: on Linux, from a process without other threads and without the card compiler, whose threads
would be missing in the copy. Elsewhere, and wherever the system has no process to give or ends it early,
everything is done here.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import suppress
from typing import Any

_given: Any = None  # in the copy alone: what its jobs are about


class Aside:
    """The worker; leaving the ``with`` ends it, whatever it has in hand.

    ``ready`` is called in the copy as it begins; what goes wrong in it must not matter. A job is a function
    that a module holds by its name, called as ``job(given, ...)``, with the same result wherever it is done;
    what goes to the copy and comes back is pickled.
    """

    def __init__(self, ready: Callable[[], None]) -> None:
        self._given: Any = None
        self._executor: Executor | None = None
        if _safe():
            with suppress(
                ImportError, NotImplementedError, OSError
            ):  # a system that has no semaphore, or no pipe left, to give
                self._life, self._piles = os.pipe(), (_Pile(), _Pile())
                self._executor = _process(self._life)
        self._submit(ready)

    def __enter__(self) -> Aside:
        return self

    def __exit__(self, *_: object) -> None:
        if self._executor is None:
            return
        for end in self._life:  # the copy ends at once when nobody holds the end that writes
            os.close(end)
        for pile in self._piles:
            pile.close()
        self._executor.shutdown(
            wait=True, cancel_futures=True
        )  # or the executor's own thread, still at it when the program ends, may complain

    def give(self, given: Any) -> None:
        """What all jobs are about; to be called before the first of them."""
        self._given = given
        try:
            self._submit(_receive, pickle.dumps(given))
        except Exception:  # whatever can't be copied is worked on here
            self.__exit__()
            self._executor = None

    def begin(self, job: Callable[[Any], Any]) -> Callable[[], Any]:
        """Has the copy do a job. What is returned waits for the result; it raises what the job raised, and
        BrokenExecutor where no copy did it."""
        begun = self._submit(_do, job)
        return begun.result if begun is not None else _nobody

    def share(
        self, job: Callable[[Any, int], Any], here: Sequence[int], there: Sequence[int]
    ) -> dict[int, Any]:
        """``job(given, number)`` for every number. This process begins with ``here``, the copy with
        ``there``, and whichever is through with its own takes what the other has not begun."""
        done: dict[int, Any] = {}
        if self._executor is not None:
            for pile, numbers in zip(self._piles, (here, there)):
                pile.fill(numbers)
            away = self._submit(_draw_and_do, job, self._piles[::-1])
            done |= {number: job(self._given, number) for number in _drawn(self._piles)}
            with suppress(BrokenExecutor):  # what it had drawn is then still missing
                done |= away.result() if away is not None else {}
        return done | {number: job(self._given, number) for number in (*here, *there) if number not in done}

    def _submit(self, job: Callable[..., Any], *arguments: Any) -> Future | None:
        """None when there is no copy, or none any more."""
        try:
            return self._executor.submit(job, *arguments) if self._executor is not None else None
        except (BrokenExecutor, OSError):  # OSError: the system has no process to give
            return None


def _nobody() -> Any:
    raise BrokenExecutor("there is no second process")


class _Pile:
    """Numbers that two processes draw, each number once: a pipe, since a read of two bytes is never split and
    a process that ends leaves no lock behind."""

    def __init__(self) -> None:
        self.out, self.into = os.pipe()
        os.set_blocking(self.out, False)

    def fill(self, numbers: Sequence[int]) -> None:
        os.write(self.into, b"".join(number.to_bytes(2, "big") for number in numbers))

    def draw(self) -> int | None:
        """The next number, None when all are drawn."""
        try:
            return int.from_bytes(os.read(self.out, 2), "big")
        except BlockingIOError:
            return None

    def close(self) -> None:
        os.close(self.out)
        os.close(self.into)


def _drawn(piles: Sequence[_Pile]) -> Iterator[int]:
    for pile in piles:
        while (number := pile.draw()) is not None:
            yield number


def _safe() -> bool:
    return sys.platform == "linux" and threading.active_count() == 1 and "typst" not in sys.modules


def _process(life: tuple[int, int]) -> Executor:
    """A copy, made when the first job is handed over."""
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    return ProcessPoolExecutor(1, get_context("fork"), _begin, (life,))


# ---------------------------------------------------------------- in the copy


def _begin(life: tuple[int, int]) -> None:
    """Control-C is for the first process to see; when that one leaves the ``with`` or is gone, so is the
    copy."""
    held, holds = life
    os.close(holds)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=lambda: (os.read(held, 1), os._exit(1)), daemon=True).start()


def _receive(given: bytes) -> None:
    global _given
    _given = pickle.loads(given)


def _do(job: Callable[[Any], Any]) -> Any:
    return job(_given)


def _draw_and_do(job: Callable[[Any, int], Any], piles: Sequence[_Pile]) -> dict[int, Any]:
    return {number: job(_given, number) for number in _drawn(piles)}
