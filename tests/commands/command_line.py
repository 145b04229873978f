"""The program started as a process of its own, or run in this one."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path

from briefgen import cli
from briefgen.core import resources

REGATTA = resources.missions_folder() / "regatta.yaml"


def start(
    python: str, environment: dict[str, str], folder: Path, *arguments: str, **changes: str
) -> subprocess.CompletedProcess[bytes]:
    """A fresh process: for what depends on the process. ``changes`` of its environment."""
    return subprocess.run(
        [python, "-m", "briefgen", *arguments],
        env={**environment, **changes},
        cwd=folder,
        capture_output=True,
        timeout=120,
        check=False,
    )


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    """Exit code, output and errors of a command in this process: for what it says and does."""
    code = cli.run(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err


class Copies:
    """A program of its own that loads what it needs once and puts each question to a copy of itself, so that
    a question costs no start.

    ``script`` defines ``ask(*arguments)``, whose result is the copy's exit code; what the copy prints is told
    with it."""

    LOOP = """
import json, os, sys, traceback
for line in sys.stdin:
    copy = os.fork()
    if copy == 0:
        print(os.getpid(), flush=True)
        try:
            code = ask(*json.loads(line))
        except SystemExit as end:
            code = end.code
        except BaseException:
            traceback.print_exc()
            code = 99
        sys.stdout.flush()
        os._exit(code or 0)
    code = os.waitstatus_to_exitcode(os.waitpid(copy, 0)[1])
    print("\\nended", code, flush=True)
"""

    def __init__(self, python: str, environment: dict[str, str], script: str) -> None:
        self._program = subprocess.Popen(
            [python, "-c", script + self.LOOP],
            env=environment,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def __enter__(self) -> Copies:
        return self

    def __exit__(self, *_: object) -> None:
        self._program.stdin.close()
        self._program.stdout.close()
        self._program.wait(60)

    def begin(self, *arguments: object) -> int:
        """The process that has begun to answer."""
        self._program.stdin.write(json.dumps(arguments) + "\n")
        self._program.stdin.flush()
        return int(self._program.stdout.readline())

    def end(self) -> tuple[int, str]:
        """Waits for the answer: the exit code, or minus the signal that ended the copy, and what it
        printed."""
        told = ""
        for line in self._program.stdout:
            if line.startswith("ended "):
                return int(line.split()[1]), told
            told += line
        raise AssertionError("the program itself has ended")
