"""Several mission files in one command: done on all cores, told in the order in which they were named."""

from __future__ import annotations

import os
import signal
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from briefgen.console import complain, say
from briefgen.core.records import record

# Exit codes, the worst last: a wrong file after a failed product after a gate that FAILs
RANK = (0, 1, 3, 2)


@record
class FileReport:
    """What a command has to say of one file: ``lines`` where output goes, ``errors`` where errors go,
    ``document`` for machines, empty where none is asked for, ``last`` the line of progress."""

    exit_code: int
    lines: tuple[str, ...]
    errors: tuple[str, ...]
    document: dict[str, Any]
    last: str


def tell_all(files: Sequence[Path], job: Callable[..., FileReport], *, as_json: bool) -> int:
    """Do the job, called as ``job(file, as_json=...)``, for every file and print what each has to say; the
    worst of the exit codes."""
    codes, documents = [], []
    for number, report in enumerate(_done(files, partial(job, as_json=as_json)), start=1):
        codes.append(report.exit_code)
        documents.append(report.document)
        if as_json:
            continue
        for text in report.errors:
            complain(text)
        for line in report.lines:
            say(line)
        if len(files) > 1:
            complain(f"[{number}/{len(files)}] {report.last}")
    if as_json:
        from briefgen.commands.report import print_json

        print_json(documents if len(files) > 1 else documents[0])
    return max(codes, key=RANK.index)


def _done(files: Sequence[Path], job: Callable[[Path], FileReport]) -> Iterator[FileReport]:
    cores = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    if len(files) == 1 or cores == 1:
        yield from map(job, files)
        return
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    # Ctrl-C ends a process at once: a folder of products is the old one or the new one at every moment.
    # Each process begins anew: a copy of one that has threads can wait for ever for what they held.
    with ProcessPoolExecutor(
        min(cores, len(files)), get_context("spawn"), signal.signal, (signal.SIGINT, signal.SIG_DFL)
    ) as executor:
        yield from executor.map(job, files)
