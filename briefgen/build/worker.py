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
from collections.abc import Callable, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future
from contextlib import suppress
from typing import Any

_given: Any = None  # in the copy alone: what its jobs are about


class SecondWorker:
    """Leaving the ``with`` ends the copy, whatever it has in hand.

    ``ready`` is called in the copy as it begins; what goes wrong in it must not matter. A job is a function
    that a module holds by its name, called as ``job(given, ...)``, with the same result wherever it is done;
    what goes to the copy and comes back is pickled.
    """

    def __init__(self, ready: Callable[[], None]) -> None:
        self._executor: Executor | None = None
        if sys.platform == "linux" and threading.active_count() == 1 and "typst" not in sys.modules:
            with suppress(ImportError, NotImplementedError, OSError):  # no semaphore or pipe left to give
                self._life = os.pipe()
                self._executor = _process(self._life)
        self._submit(ready)

    def __enter__(self) -> SecondWorker:
        return self

    def __exit__(self, *_: object) -> None:
        if self._executor is not None:
            for end in self._life:  # the copy ends at once when nobody holds the end that writes
                os.close(end)
            # waited for, or the executor's own thread, still at it when the program ends, may complain
            self._executor.shutdown(wait=True, cancel_futures=True)
            self._executor = None

    def give(self, given: Any) -> None:
        """What all jobs of the copy are about; to be called before the first of them."""
        try:
            self._submit(_receive, pickle.dumps(given))
        except Exception:  # whatever can't be copied is worked on here
            self.__exit__()

    def begin(self, job: Callable[..., Any], *arguments: Any) -> Callable[[], Any]:
        """Has the copy do a job. What is returned waits for the result; it raises what the job raised, and
        BrokenExecutor where no copy did it."""
        begun = self._submit(_do, job, *arguments)
        return begun.result if begun is not None else _nobody

    def share(
        self, job: Callable[[Any, int], Any], given: Any, here: Sequence[int], there: Sequence[int]
    ) -> dict[int, Any]:
        """``job(given, number)`` for every number: ``here`` in this process, ``there`` in the copy, about
        what that was given."""
        away = {number: self.begin(job, number) for number in there}
        done = {number: job(given, number) for number in here}
        for number, result in away.items():
            try:
                done[number] = result()
            except BrokenExecutor:  # what the copy left undone
                done[number] = job(given, number)
        return done

    def _submit(self, job: Callable[..., Any], *arguments: Any) -> Future[Any] | None:
        """None when there is no copy, or none any more."""
        try:
            return self._executor.submit(job, *arguments) if self._executor is not None else None
        except (BrokenExecutor, OSError):  # OSError: the system has no process to give
            return None


def _nobody() -> Any:
    raise BrokenExecutor("there is no second process")


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
    global _given  # noqa: PLW0603 (a process has no other place that its next job finds)
    _given = pickle.loads(given)


def _do(job: Callable[..., Any], *arguments: Any) -> Any:
    return job(_given, *arguments)
