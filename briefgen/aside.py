"""A second worker for a list of jobs: a process that begins as a copy of this one where the system can do that safely, else a thread.

A process, since most of the work is Python's own, and two threads of it share one core. The copy has the jobs already, so only their numbers go there
and only results come back. It is not made from a process with other threads, or with the card compiler at work: its threads would be missing in the copy.
"""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Sequence
from concurrent.futures import BrokenExecutor, Executor, Future, ThreadPoolExecutor
from typing import Any

Job = Callable[[], Any]
_copied: Sequence[Job] = ()  # set in the copy alone: the jobs it was made with


class Aside:
    """The worker; leaving the ``with`` ends it after what it has in hand. A job must have the same result wherever it is done."""

    def __init__(self, jobs: Sequence[Job]) -> None:
        self.jobs = jobs
        self.executor = _process(jobs) or ThreadPoolExecutor(1, "briefgen-aside")

    def __enter__(self) -> Aside:
        return self

    def __exit__(self, *_: object) -> None:
        self.executor.shutdown(wait=False, cancel_futures=True)

    def begin(self, number: int) -> Future:
        """Hands over a job. A system without room for another process leaves it to be done here: the future can then be cancelled."""
        try:
            return self.executor.submit(*((self.jobs[number],) if isinstance(self.executor, ThreadPoolExecutor) else (_do, number)))
        except OSError:
            return Future()

    def result(self, future: Future, number: int) -> Any:
        """The result of a job that was begun, waited for; done here where the copy was ended from outside."""
        try:
            return future.result()
        except BrokenExecutor:
            return self.jobs[number]()


def _process(jobs: Sequence[Job]) -> Executor | None:
    """A process that will have the jobs, made when the first is handed over; None where that isn't safe, or the system has none to give."""
    if sys.platform != "linux" or threading.active_count() > 1 or "typst" in sys.modules:
        return None
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    try:
        return ProcessPoolExecutor(1, get_context("fork"), _begin, (jobs,))
    except (ImportError, NotImplementedError, OSError):  # a system without semaphores
        return None


def _do(number: int) -> Any:
    return _copied[number]()


def _begin(jobs: Sequence[Job]) -> None:
    """In the copy: Control-C is for the first process to see, and when that one is gone, so is this."""
    global _copied
    _copied = jobs
    from multiprocessing import parent_process
    from multiprocessing.connection import wait

    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=lambda: (wait([parent_process().sentinel]), os._exit(1)), daemon=True).start()
