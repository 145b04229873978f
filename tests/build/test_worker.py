"""The second worker: a copy of the process where that is safe, and the same results wherever a job is
done."""

from __future__ import annotations

import os
import pickle
import signal
import subprocess
import sys
import time
from ast import literal_eval
from concurrent.futures import BrokenExecutor

import pytest

from briefgen.brief.brief import Brief
from briefgen.build.worker import SecondWorker
from tests.places import OF_ONE_PASS
from tests.planned import what_if_of
from tests.render.pdf_cases import REPOSITORY, STAMP, context, plan_of

# Jobs are found by their names in the script, as a build's are in its module.
HEAD = """
import os, signal, sys, threading, time
from briefgen.build.worker import SecondWorker
first = os.getpid()
def ready(): pass
def whose(given, number=0): return (given, number, os.getpid() != first)
# Each of the first jobs of both lasts until the other process has begun its own.
begun_here, begun_there = os.pipe(), os.pipe()
def both_at_once(given, number):
    mine, other = (begun_there, begun_here) if os.getpid() != first else (begun_here, begun_there)
    os.write(mine[1], b'.')
    os.read(other[0], 1)
    return os.getpid() != first
def killed(given, number=0):
    if os.getpid() != first: os.kill(os.getpid(), signal.SIGKILL)
    return 'done'
def killed_at_the_second(given, number):
    if os.getpid() != first and number == 2: os.kill(os.getpid(), signal.SIGKILL)
    return os.getpid() != first
def wrong(given, number=0): raise ValueError(f'{given} {number}')
"""
linux = pytest.mark.skipif(sys.platform != "linux", reason="only there is the worker a process")


def printed(python, clean_environment, script: str) -> str:
    done = subprocess.run(
        [python, "-c", HEAD + script],
        env=clean_environment,
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 0 and done.stderr == "", done.stderr
    return done.stdout.strip()


def shared(job: str, here: list[int], there: list[int], ready: str = "ready") -> str:
    return with_worker(f"print(sorted(worker.share({job}, 'plan', {here}, {there}).items()))", ready)


def with_worker(do: str, ready: str = "ready") -> str:
    return f"with SecondWorker({ready}) as worker:\n    worker.give('plan')\n    {do}"


@linux
@pytest.mark.parametrize(
    ("before", "other"),
    [
        ("", True),
        (
            "threading.Thread(target=time.sleep, args=(1,), daemon=True).start()",
            False,
        ),  # it would be missing in a copy
        ("import typst", False),
    ],
    ids=["alone", "another thread", "the card compiler is there"],
)
def test_it_is_another_process_only_where_that_is_safe(python, clean_environment, before, other):
    script = f"{before}\n" + with_worker("print(worker.begin(whose)() if worker._executor else 'here')")
    assert printed(python, clean_environment, script) == ("('plan', 0, True)" if other else "here")


def whose(given, number):
    return given, number, os.getpid()


def test_without_a_copy_everything_is_done_here():
    """As in this process, which has other threads or has had the card compiler at work."""
    import typst  # noqa: F401

    with SecondWorker(lambda: None) as worker:
        worker.give("plan")
        with pytest.raises(BrokenExecutor):
            worker.begin(whose)()
        assert worker.share(whose, "plan", [2], [0, 1]) == {
            number: ("plan", number, os.getpid()) for number in (2, 0, 1)
        }


@linux
@pytest.mark.parametrize(("here", "there"), [([0, 1], [2, 3]), ([2, 3], [0, 1])])
def test_each_does_its_own_and_both_at_once(python, clean_environment, here, there):
    found = dict(literal_eval(printed(python, clean_environment, shared("both_at_once", here, there))))
    assert found == dict.fromkeys(here, False) | dict.fromkeys(there, True)


@linux
@pytest.mark.parametrize(("here", "there"), [([], [0, 1]), ([0, 1], [])])
def test_one_may_have_nothing_to_do(python, clean_environment, here, there):
    found = literal_eval(printed(python, clean_environment, shared("whose", here, there)))
    assert found == [(number, ("plan", number, number in there)) for number in (0, 1)]


@linux
def test_what_a_copy_had_done_when_it_was_killed_counts(python, clean_environment):
    """Job 1 is done there, whatever became of the copy at job 2; 2 and 3 are done here."""
    found = dict(
        literal_eval(printed(python, clean_environment, shared("killed_at_the_second", [0], [1, 2, 3])))
    )
    assert found == {0: False, 1: True, 2: False, 3: False}


@linux
@pytest.mark.parametrize("kill", ["ready", "job", "given"])
def test_what_a_copy_left_undone_is_done_here(python, clean_environment, kill):
    """A system short of memory ends the copy, signal 9, at any moment; or the plan can't be copied."""
    script = {
        "ready": shared("killed", [0], [1, 2], ready="lambda: os.kill(os.getpid(), 9)"),
        "job": shared("killed", [0], [1, 2]),
        "given": shared("killed", [0], [1, 2]).replace("'plan'", "lambda: 'no name to find it by'"),
    }[kill]
    assert printed(python, clean_environment, script) == "[(0, 'done'), (1, 'done'), (2, 'done')]"


@linux
def test_a_copy_that_could_not_get_ready_works_all_the_same(python, clean_environment):
    script = shared("whose", [], [0], ready="lambda: 1 / 0")
    assert printed(python, clean_environment, script).startswith("[(0, ('plan', 0, ")


@linux
def test_what_a_job_raises_there_is_raised_here(python, clean_environment):
    script = with_worker("try: worker.begin(wrong)()\n    except ValueError as found: print(found)")
    assert printed(python, clean_environment, script) == "plan 0"


@linux
def test_a_system_without_room_for_a_process(python, clean_environment):
    """The limit of processes is 0 for whoever is not root; for root the call itself is made to fail."""
    script = (
        "def no_room(): raise BlockingIOError(11, 'Resource temporarily unavailable')\nos.fork = no_room\n"
        + shared("whose", [0], [1])
    )
    assert printed(python, clean_environment, script) == "[(0, ('plan', 0, False)), (1, ('plan', 1, False))]"


@linux
@pytest.mark.slow
@pytest.mark.parametrize("ended", ["killed", "left"])
def test_the_copy_does_not_outlive_its_work(python, clean_environment, ended):
    """Its process is killed, or has no more use for it, as when the mission file is wrong."""
    script = (
        "def get_ready():\n    print(os.getpid(), flush=True)\n    time.sleep(60)\n"
        "with SecondWorker(get_ready) as worker:\n    sys.stdin.read(1)"
    )
    first = subprocess.Popen(
        [python, "-c", HEAD + script],
        env=clean_environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    copy = int(first.stdout.readline())
    os.kill(copy, 0)  # it is there
    first.send_signal(signal.SIGKILL) if ended == "killed" else first.stdin.close()
    first.wait(10)
    deadline = time.monotonic() + 10
    while time.monotonic() < deadline and _runs(copy):
        time.sleep(0.05)
    assert not _runs(copy)


def good_files() -> list[str]:
    found = [*OF_ONE_PASS, *REPOSITORY.glob("tests/cases/ok-*.yaml")]
    return sorted(str(path.relative_to(REPOSITORY)) for path in found)


@pytest.mark.parametrize("file", good_files())
def test_a_copy_gets_the_very_plan_and_gives_back_the_very_what_ifs(file):
    plan = plan_of(file)
    for sent in ((Brief(plan, STAMP), context()), what_if_of(plan)):
        assert pickle.loads(pickle.dumps(sent)) == sent


def _runs(process: int) -> bool:
    try:
        with open(f"/proc/{process}/stat", encoding="utf-8") as file:
            return file.read().rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False
