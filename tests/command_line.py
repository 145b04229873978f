"""The program started as a process of its own, or run in this one."""

from __future__ import annotations

import subprocess
from pathlib import Path

from briefgen import cli, resources

REGATTA = resources.missions_folder() / "regatta.yaml"


def start(python: str, environment: dict[str, str], folder: Path, *arguments: str, **changes: str) -> subprocess.CompletedProcess[bytes]:
    """A fresh process: for what depends on the process. ``changes`` of its environment."""
    return subprocess.run([python, "-m", "briefgen", *arguments], env={**environment, **changes}, cwd=folder, capture_output=True, timeout=120)


def run(capsys, *arguments: str) -> tuple[int, str, str]:
    """Exit code, output and errors of a command in this process: for what it says and does."""
    code = cli.run(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err
