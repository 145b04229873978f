"""The wheel, the source archive, an editable install and a bare checkout hold the same program, and each
works from another folder."""

from __future__ import annotations

import hashlib
import json
import os
import re
import subprocess
import sys
import tarfile
import tomllib
import zipfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest
from packaging.requirements import Requirement

from briefgen.build.products import PRODUCTS
from tests.places import REPOSITORY, TESTS

SHIPPED = ("templates", "missions")
WAYS = ("wheel", "sdist", "editable", "checkout")
pytestmark = pytest.mark.slow

# the filter is there from Python 3.11.4 on
SAFELY = {"filter": "data"} if hasattr(tarfile, "data_filter") else {}


def hatchling(source: Path, target: Path, kind: str) -> Path:
    """Build one archive of a source tree without network."""
    before = set(target.glob("*"))
    script = f"import hatchling.build as b; b.build_{kind}({str(target)!r})"
    done = subprocess.run(
        [sys.executable, "-c", script],
        cwd=source,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    (made,) = set(target.glob("*")) - before
    return made


@pytest.fixture(scope="module")
def archives(tmp_path_factory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("archives")
    made = {kind: hatchling(REPOSITORY, folder, kind) for kind in ("wheel", "sdist")}
    (folder / "editable").mkdir()
    return {**made, "editable": hatchling(REPOSITORY, folder / "editable", "editable")}


@pytest.fixture(scope="module")
def installs(archives, tmp_path_factory) -> dict[str, Path]:
    """Folder to import from, by way of installing."""
    root = tmp_path_factory.mktemp("installs")
    with zipfile.ZipFile(archives["wheel"]) as wheel:
        wheel.extractall(root / "wheel")
    with tarfile.open(archives["sdist"]) as sdist:
        sdist.extractall(root / "sdist", **SAFELY)
    (sdist_folder,) = (root / "sdist").iterdir()
    with zipfile.ZipFile(archives["editable"]) as editable:
        editable.extractall(root / "editable")
    return {
        "wheel": root / "wheel",
        "sdist": sdist_folder,
        "editable": root / "editable",
        "checkout": REPOSITORY,
    }


def files_of(name: str) -> dict[str, bytes]:
    """The repository's files that must travel, by their path below the folder."""
    paths = [
        path for path in (REPOSITORY / name).rglob("*") if path.is_file() and "__pycache__" not in path.parts
    ]
    return {path.relative_to(REPOSITORY / name).as_posix(): path.read_bytes() for path in paths}


@pytest.mark.parametrize("name", SHIPPED)
def test_the_wheel_carries_the_units_folders_inside_the_package(archives, name):
    prefix = f"briefgen/_shipped/{name}/"
    with zipfile.ZipFile(archives["wheel"]) as wheel:
        carried = {
            entry.removeprefix(prefix): wheel.read(entry)
            for entry in wheel.namelist()
            if entry.startswith(prefix)
        }
    assert carried == files_of(name)


@pytest.mark.parametrize("name", [*SHIPPED, "briefgen", "tests"])
def test_the_source_archive_carries_everything(archives, name):
    with tarfile.open(archives["sdist"]) as sdist:
        names = {entry.split("/", 1)[1] for entry in sdist.getnames() if "/" in entry}
    assert {f"{name}/{path}" for path in files_of(name)} <= names


def test_a_wheel_made_from_the_source_archive_is_the_same(installs, archives, tmp_path):
    again = hatchling(installs["sdist"], tmp_path, "wheel")
    with zipfile.ZipFile(again) as one, zipfile.ZipFile(archives["wheel"]) as other:
        assert sorted(one.namelist()) == sorted(other.namelist())


def test_the_wheel_carries_licences_fonts_and_nothing_from_outside_the_package(archives):
    with zipfile.ZipFile(archives["wheel"]) as wheel:
        names = wheel.namelist()
    assert "briefgen/LICENSE" in names
    assert [name for name in names if re.fullmatch(r"briefgen/fonts/LICENSE-.*\.txt", name)]
    assert {name.split("/")[0] for name in names} <= {
        "briefgen",
        next(n.split("/")[0] for n in names if ".dist-info/" in n),
    }


def test_an_editable_install_has_no_copies_that_could_grow_old(archives):
    with zipfile.ZipFile(archives["editable"]) as editable:
        assert [name for name in editable.namelist() if ".dist-info/" not in name] == ["_briefgen.pth"]


def run_installed(
    folder: Path, arguments: list[str], cwd: Path, environment: dict[str, str]
) -> subprocess.CompletedProcess[str]:
    """Run the program as imported from that folder only; an editable install is a .pth file, which the
    interpreter reads."""
    start = (
        f"import sys, site; sys.path[:] = [p for p in sys.path if p not in ('', {str(REPOSITORY)!r})];"
        f" sys.path.insert(0, {str(folder)!r}); "
    )
    # before any other install
    start += (
        f"old = list(sys.path); site.addsitedir({str(folder)!r}); sys.path[:0] = [p for p in sys.path if p"
        " not in old]; "
    )
    start += f"from briefgen.cli import main; main({arguments!r})"
    clean = {key: value for key, value in environment.items() if key != "PYTHONPATH"}
    return subprocess.run(
        [sys.executable, "-c", start],
        cwd=cwd,
        env=clean,
        capture_output=True,
        text=True,
        timeout=120,
        check=False,
    )


@pytest.fixture(scope="module")
def made_by(installs, tmp_path_factory, clean_environment) -> Callable[[str], Path]:
    """The folder in which a way of installing has begun a mission and built the small one."""

    @cache
    def made(way: str) -> Path:
        folder = tmp_path_factory.mktemp(f"made-by-{way}")
        (folder / "small.yaml").write_text(small(), encoding="utf-8")
        for arguments, code in ((["new", "mine.yaml", "--from", "regatta"], 0), (["build", "small.yaml"], 1)):
            done = run_installed(installs[way], arguments, folder, clean_environment)
            assert done.returncode == code, done.stderr
        return folder

    return made


def small() -> str:
    """A mission of one ship and a pass, with somebody on the ground: the least of which every product is
    made, so every template is read. Some of its gates FAIL."""
    text = (REPOSITORY / "tests" / "cases" / "ok-pass-only.yaml").read_text(encoding="utf-8")
    assert text.count("\nevent:\n") == 1
    return text.replace(
        "\nevent:\n",
        "\nevent:\n  ground_contact: {name: Sgt T. Brook, callsign: PIER, primary: 123.450 MHz}\n",
    )


@pytest.mark.parametrize("way", WAYS)
def test_each_way_works_from_another_folder(made_by, way):
    assert (made_by(way) / "mine.yaml").read_text(encoding="utf-8").splitlines()[1:] == shipped_lines(
        "regatta"
    )
    manifest = json.loads((made_by(way) / "out" / "small" / "manifest.json").read_text(encoding="utf-8"))
    assert manifest["failed"] == [] and {
        entry["file"].partition("-1.")[0].partition(".")[0] for entry in manifest["products"]
    } == {product.name for product in PRODUCTS}


def shipped_lines(name: str) -> list[str]:
    lines = (REPOSITORY / "missions" / f"{name}.yaml").read_text(encoding="utf-8").splitlines()
    return lines[1:] if lines[0].startswith("# yaml-language-server") else lines


def test_all_ways_give_the_same_bytes(made_by):
    sums = {
        way: {
            path.name: hashlib.sha256(path.read_bytes()).hexdigest()
            for path in (made_by(way) / "out" / "small").iterdir()
        }
        for way in WAYS
    }
    assert sums["wheel"] == sums["sdist"] == sums["editable"] == sums["checkout"]
    assert "plan.json" in sums["wheel"]


def readme_commands() -> list[str]:
    text = (REPOSITORY / "README.md").read_text(encoding="utf-8")
    return [line.strip() for line in text.splitlines() if line.startswith("    python3 -m venv")]


def test_the_readme_has_two_commands_and_the_ci_runs_the_second_ones_steps():
    build, tests = readme_commands()
    assert "briefgen build missions/regatta.yaml" in build
    install, run = (step.replace(".venv/bin/", "") for step in tests.split(" && ")[1:])
    ci = (
        (REPOSITORY / ".ci" / "run")
        .read_text(encoding="utf-8")
        .replace('"$room/venv/bin/', "")
        .replace('pip"', "pip")
        .replace('python"', "python")
    )
    steps = [line for line in ci.splitlines() if line.startswith("step ")]
    assert install in ci and f"step {run} --cov --cov-report=" in steps  # the same run, its lines counted
    assert os.access(REPOSITORY / ".ci" / "run", os.X_OK)


def test_no_committed_text_names_a_folder_of_one_machine_or_a_registry():
    listed = subprocess.run(["git", "ls-files"], cwd=REPOSITORY, capture_output=True, text=True, check=False)
    if listed.returncode != 0:
        pytest.skip("NOT CHECKED: this is no git checkout")
    pattern = re.compile(r"(?<![\w.$}])/(work|root|home)/|//[\w.-]*(pypi|debian|npm)[\w.-]*/")
    suffixes = {".py", ".md", ".yaml", ".toml", ".typ", ".html", ".json", ".txt", ""}
    paths = [
        REPOSITORY / name
        for name in listed.stdout.splitlines()
        if Path(name).suffix in suffixes and name != "tests/test_packaging.py"
    ]
    found = [
        str(path.relative_to(REPOSITORY))
        for path in paths
        if path.is_file() and pattern.search(path.read_text(encoding="utf-8", errors="replace"))
    ]
    assert found == []


def test_the_licence_of_the_zone_map_is_named_and_the_map_is_not_in_the_wheel(archives, repository):
    """timezonefinder's own description says that its data are licensed under the ODbL."""
    from importlib.metadata import distribution

    assert "ODbL license" in distribution("timezonefinder").read_text("METADATA")
    readme = (repository / "README.md").read_text(encoding="utf-8")
    assert "Open Database Licence (ODbL)" in readme and "OpenStreetMap contributors" in readme
    assert not [name for name in zipfile.ZipFile(archives["wheel"]).namelist() if "timezonefinder" in name]


@pytest.mark.parametrize("version", ["3.11", "3.12", "3.13", "3.14"])
def test_the_constraints_of_a_python_version_fit_what_the_project_asks_for(version):
    """Each line pins one package; all that pyproject.toml names is pinned, at a version that it allows."""
    lines = (
        (TESTS / "data" / "constraints" / f"python-{version}.txt").read_text(encoding="utf-8").splitlines()
    )
    pinned = dict(line.split("==") for line in lines if not line.startswith("#"))
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    for text in (*project["dependencies"], *project["optional-dependencies"]["test"]):
        asked = Requirement(text)
        assert asked.specifier.contains(pinned[asked.name.lower()]), text
