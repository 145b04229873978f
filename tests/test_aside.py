"""The second worker: a copy of the process where that is safe, and the same results wherever a job is done."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time

import pytest

from briefgen.aside import Aside

HEAD = "import os, signal, sys, threading, time\nfrom briefgen.aside import Aside\n"
linux = pytest.mark.skipif(sys.platform != "linux", reason="only there is the worker a process")


def printed(python, clean_environment, script: str) -> str:
    done = subprocess.run([python, "-c", HEAD + script], env=clean_environment, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0 and done.stderr == "", done.stderr
    return done.stdout.strip()


@linux
@pytest.mark.parametrize(
    ("before", "other"),
    [
        ("", True),
        ("threading.Thread(target=time.sleep, args=(1,), daemon=True).start()", False),  # it would be missing in a copy
        ("import typst", False),
    ],
    ids=["alone", "another thread", "the card compiler is there"],
)
def test_it_is_another_process_only_where_that_is_safe(python, clean_environment, before, other):
    script = f"{before}\nwith Aside([os.getpid]) as aside:\n    print(aside.result(aside.begin(0), 0) != os.getpid())"
    assert printed(python, clean_environment, script) == str(other)


def test_results_come_in_any_order():
    with Aside([lambda: "a", lambda: "b", lambda: "c"]) as aside:
        begun = [aside.begin(number) for number in range(3)]
        assert [aside.result(begun[number], number) for number in (2, 0, 1)] == ["c", "a", "b"]


def test_two_builds_at_once_in_one_process_keep_their_own_jobs():
    with Aside([lambda: "one"]) as one, Aside([lambda: "other"]) as other:
        assert [one.result(one.begin(0), 0), other.result(other.begin(0), 0)] == ["one", "other"]


@linux
def test_what_a_copy_left_undone_is_done_here(python, clean_environment):
    """A system short of memory ends the copy: signal 9."""
    script = "first = os.getpid()\ndef job():\n    if os.getpid() != first: os.kill(os.getpid(), signal.SIGKILL)\n    return 'done'\n"
    script += "with Aside([job, job]) as aside:\n    begun = [aside.begin(0), aside.begin(1)]\n    print(*(aside.result(one, n) for n, one in enumerate(begun)))"
    assert printed(python, clean_environment, script) == "done done"


def test_without_room_for_a_process_a_job_can_still_be_taken_back():
    with Aside([lambda: 1]) as aside:
        aside.executor.submit = lambda *_: (_ for _ in ()).throw(BlockingIOError("no more processes"))
        assert aside.begin(0).cancel()


@linux
@pytest.mark.slow
def test_the_copy_does_not_outlive_a_process_that_is_killed(python, clean_environment):
    script = "def job():\n    print(os.getpid(), flush=True)\n    time.sleep(60)\nwith Aside([job]) as aside:\n    aside.begin(0)\n    time.sleep(60)"
    first = subprocess.Popen([python, "-c", HEAD + script], env=clean_environment, stdout=subprocess.PIPE, text=True)
    copy = int(first.stdout.readline())
    os.kill(copy, 0)  # it is there
    first.send_signal(signal.SIGKILL)
    first.wait(10)
    deadline = time.monotonic() + 10
    while time.monotonic() < deadline and _runs(copy):
        time.sleep(0.05)
    assert not _runs(copy)


def _runs(process: int) -> bool:
    try:
        with open(f"/proc/{process}/stat", encoding="utf-8") as file:
            return file.read().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False
