"""What every test stands on: no clock, zone, locale or folder of the machine, and a plain word for what could
not be checked."""

from __future__ import annotations

import gc
import os
import shutil
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import settings

from tests.places import (
    AXE,
    MINI_BROWSER,
    NOT_FAST,
    REPOSITORY,
    TESTS,
    axe_script,
    mini_browser,
    put_beside,
)

NEEDS = {
    "office": ("BRIEFGEN_REQUIRE_OFFICE", ("soffice", "pdftotext", "pdftoppm")),
    "browser": ("BRIEFGEN_REQUIRE_BROWSER", ("chromium", "chromedriver")),
    "webkit": ("BRIEFGEN_REQUIRE_BROWSER", ("WebKitWebDriver", MINI_BROWSER, "Xvfb")),
    "firefox": ("BRIEFGEN_REQUIRE_BROWSER", ("firefox-esr",)),
    "axe": ("BRIEFGEN_REQUIRE_BROWSER", (AXE,)),
    "qpdf": ("BRIEFGEN_REQUIRE_OFFICE", ("qpdf",)),
}

NEVER_FAST = ("slow", *NEEDS)

for name in (
    "PYTHONTZPATH",
    "LC_ALL",
    "LC_NUMERIC",
    "LC_TIME",
    "LANGUAGE",
    "SOURCE_DATE_EPOCH",
    "COLUMNS",
    "NO_COLOR",
    "FORCE_COLOR",
):
    os.environ.pop(name, None)
os.environ["TZ"] = "Etc/UTC"
os.environ["LANG"] = "C.UTF-8"
if hasattr(time, "tzset"):
    time.tzset()

# the same examples every time, on a slow machine too
settings.register_profile("steady", deadline=None, derandomize=True, database=None)
settings.load_profile("steady")
# seldom: a command that a person starts does not look for unreachable cycles at all
gc.set_threshold(50_000, 20, 20)


def missing_programs(mark: str) -> list[str]:
    """The programs that tests with this mark need and that are not on this machine."""
    return [program for program in NEEDS[mark][1] if not is_here(program)]


def is_here(program: str) -> bool:
    """A program of the path, or what lies elsewhere."""
    elsewhere = {AXE: axe_script, MINI_BROWSER: mini_browser}
    return elsewhere[program]().is_file() if program in elsewhere else shutil.which(program) is not None


def pytest_runtest_setup(item: pytest.Item) -> None:
    """A check that needs a program which is not here is skipped with the reason, or fails where the machine
    promised it."""
    for mark, (variable, _) in NEEDS.items():
        if item.get_closest_marker(mark) is None:
            continue
        missing = missing_programs(mark)
        if missing and os.environ.get(variable) == "1":
            pytest.fail(f"{variable}=1, but {', '.join(missing)} cannot be found", pytrace=False)
        if missing:
            pytest.skip(f"NOT CHECKED: {', '.join(missing)} cannot be found")


def pytest_ignore_collect(collection_path: Path, config: pytest.Config) -> bool | None:
    """``-m fast`` does not even load the files that it leaves out."""
    return True if config.option.markexpr == "fast" and in_tests(collection_path) in NOT_FAST else None


def in_tests(path: Path) -> str:
    """A file as tests/data/not_fast.txt names it."""
    return path.relative_to(TESTS).as_posix() if path.is_relative_to(TESTS) else ""


def pytest_itemcollected(item: pytest.Item) -> None:
    """Every test of a file that is not left out is in the fast tier, but for those that are marked."""
    if in_tests(item.path) not in NOT_FAST and not any(map(item.get_closest_marker, NEVER_FAST)):
        item.add_marker(pytest.mark.fast)


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int:
    """The whole suite runs on every core (at most four: more wait for LibreOffice). Files named on the
    command line, tests chosen by their names and the fast tier run at once, in one process: a second one
    would load all of them again."""
    asked = config.option
    return (
        0
        if asked.file_or_dir or asked.keyword or getattr(asked, "lf", False) or asked.markexpr == "fast"
        else min(4, len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1)
    )


def pytest_collection_finish() -> None:
    """What was loaded for the tests stays to the end: Python need not look through it for unreachable cycles
    again and again."""
    gc.collect()
    gc.freeze()


def pytest_sessionfinish() -> None:
    """Nor at the end, when the runner would look through all of it once more: what is left goes with the
    process."""
    gc.freeze()


def pytest_report_header() -> list[str]:
    """Says at the top of the run which checks this machine can't make."""
    return [
        f"{mark}: "
        + (f"NOT CHECKED, missing {', '.join(gone)}" if (gone := missing_programs(mark)) else "checked")
        for mark in NEEDS
    ]


@pytest.fixture
def repository() -> Path:
    """The folder that holds briefgen/, templates/ and missions/."""
    return REPOSITORY


@pytest.fixture(scope="session")
def clean_environment() -> dict[str, str]:
    """An environment for a started program: nothing of the user's, this checkout importable."""
    kept = {
        name: os.environ[name]
        for name in ("PATH", "SYSTEMROOT", "TEMP", "TMP", "TMPDIR")
        if name in os.environ
    }
    return {
        **kept,
        "PYTHONPATH": os.pathsep.join([str(REPOSITORY)]),
        "LANG": "C.UTF-8",
        "TZ": "Etc/UTC",
        "HOME": os.devnull,
    }


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    """An empty folder to work in, with a copy of a good mission and a wrong one."""
    monkeypatch.chdir(tmp_path)
    good = (REPOSITORY / "missions" / "regatta.yaml").read_text(encoding="utf-8")
    (tmp_path / "good.yaml").write_text(good, encoding="utf-8")
    (tmp_path / "wrong.yaml").write_text(
        good.replace("callsign: GANNET", "calsign: GANNET\n  calsign: GANNET"), encoding="utf-8"
    )
    return tmp_path


@pytest.fixture(scope="module")
def one_plan_a_text() -> Iterator[None]:
    """Commands and ``check`` plan a mission's text once, whichever tests run them (``planned_once``)."""
    from tests.planned import planned_once

    with planned_once():
        yield


@pytest.fixture(scope="session")
def made_once(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, Callable[[Path], None]], Path]:
    """What several tests look at and none changes: a folder of this run by its name, filled by whichever
    worker asks first while the others wait."""
    import fcntl

    mine = tmp_path_factory.getbasetemp()
    run = mine.parent if "PYTEST_XDIST_WORKER" in os.environ else mine

    def once(name: str, make: Callable[[Path], None]) -> Path:
        with (run / f"{name}.lock").open("w") as held:
            fcntl.flock(held, fcntl.LOCK_EX)
            if not (run / name).exists():
                made = tmp_path_factory.mktemp(f"making-{name}")
                make(made)
                made.rename(run / name)
        return run / name

    return once


@pytest.fixture(scope="session")
def built(made_once: Callable[..., Path]) -> Callable[[str], Path]:
    """A mission of missions/ by its name, built once in a run: the folder of its products, beside
    ``m.yaml``."""
    from briefgen.build.build import build

    def of(name: str) -> Path:
        def make(folder: Path) -> None:
            shutil.copy(REPOSITORY / "missions" / f"{name}.yaml", folder / "m.yaml")
            put_beside(folder)
            assert build(folder / "m.yaml", out=folder / "brief").exit_code in (0, 1)

        return made_once(f"built-{name}", make) / "brief"

    return of


@pytest.fixture(scope="session")
def python() -> str:
    """The interpreter that runs the tests, with its packages."""
    return sys.executable
