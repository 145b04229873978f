"""The same mission gives the same bytes in every folder, zone and locale, whatever the seed of hashes and the
line ends."""

from __future__ import annotations

from itertools import cycle

import pytest

from briefgen.core import resources
from tests.commands.command_line import start
from tests.places import put_beside

# Each differs from here in all that is named; the missions take turns.
ELSEWHERE = (
    {"TZ": "Pacific/Kiritimati", "PYTHONHASHSEED": "1", "LANG": "de_DE.UTF-8"},
    {"TZ": "America/St_Johns", "PYTHONHASHSEED": "4242", "LC_ALL": "C"},
    {"TZ": "Asia/Kathmandu", "PYTHONHASHSEED": "77", "PYTHONTZPATH": "nowhere", "SOURCE_DATE_EPOCH": "1"},
)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "changes"),
    list(zip(resources.mission_names(), cycle(ELSEWHERE), strict=False)),
    ids=resources.mission_names(),
)
def test_two_builds_anywhere_have_the_same_bytes(python, clean_environment, built, tmp_path, name, changes):
    """One by a process of these tests, which has built and planned other missions before; one started in a
    deep folder, from a file with Windows line ends."""
    here, there = built(name), tmp_path / "a deep" / "folder" / "elsewhere"
    there.mkdir(parents=True)
    put_beside(there)
    source = (resources.missions_folder() / f"{name}.yaml").read_bytes()
    (there / "m.yaml").write_bytes(source.replace(b"\n", b"\r\n"))
    done = start(python, clean_environment, there, "build", "m.yaml", "--out", "brief", **changes)
    assert done.returncode in (0, 1), done.stderr.decode()
    one, other = (
        {path.name: path.read_bytes() for path in folder.iterdir()} for folder in (here, there / "brief")
    )
    assert "plan.json" in one
    assert sorted(one) == sorted(other)
    assert [file for file in one if one[file] != other[file]] == []
