"""A part that is not installed, or not for this machine, is told in words with how to get it, and never as a
traceback."""

from __future__ import annotations

import subprocess

import pytest

from tests.places import REPOSITORY

# A fresh process in which a package can't be imported, nor the system's own zone files be found
WITHOUT = """
import sys, zoneinfo
missing, arguments = sys.argv[1], sys.argv[2:]
class Blocked:
    def find_spec(self, name, path=None, target=None):
        if name.split(".")[0] == missing:
            raise ModuleNotFoundError(f"No module named {missing!r}")
sys.meta_path.insert(0, Blocked())
zoneinfo.reset_tzpath(to=[])
from briefgen import cli
sys.exit(cli.run(arguments))
"""
ROWS = [
    # missing          command                                code   what is told
    (
        "tzdata",
        ["check", "good.yaml"],
        2,
        ["the package tzdata, the database of time zones, can't be used here", "pip install tzdata"],
    ),
    ("tzdata", ["build", "good.yaml"], 2, ["the package tzdata"]),
    ("tzdata", ["retime", "good.yaml", "--slip", "45"], 2, ["the package tzdata"]),
    (
        "timezonefinder",
        ["check", "good.yaml"],
        2,
        ["the package timezonefinder cannot be used here", "give the place a `time_zone`"],
    ),
    (
        "typst",
        ["build", "good.yaml"],
        3,
        ["the package typst, which sets the cards, can't be used here", "kneeboard-1 was not made"],
    ),
]


@pytest.mark.parametrize(("missing", "arguments", "code", "told"), ROWS)
def test_a_missing_part_is_told_in_words(python, clean_environment, here, missing, arguments, code, told):
    done = subprocess.run(
        [python, "-c", WITHOUT, missing, *arguments],
        env=clean_environment,
        cwd=here,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    said = done.stdout + done.stderr
    assert done.returncode == code, said
    assert all(words in said for words in told), said
    assert "Traceback" not in said and "a fault in the program" not in said
    if missing == "typst":
        assert (here / "out" / "good" / "deck.pptx").exists()


def test_a_mission_that_gives_its_zones_needs_no_map_of_zones(python, clean_environment, built, here):
    """Where the package cannot be had, the zones typed at base and event are enough for every product."""
    text = (REPOSITORY / "missions" / "lantern-fair.yaml").read_text(encoding="utf-8")
    assert text.count("time_zone: Europe/Helsinki") == 2
    (here / "fair.yaml").write_text(text, encoding="utf-8")
    done = subprocess.run(
        [python, "-c", WITHOUT, "timezonefinder", "build", "fair.yaml", "--out", "fair"],
        env=clean_environment,
        cwd=here,
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    with_it, without = (
        {path.name: path.read_bytes() for path in folder.iterdir() if path.suffix != ".json"}
        for folder in (built("lantern-fair"), here / "fair")
    )
    assert len(without) >= 7 and without == with_it
