"""Aircraft types in files of their own: read from below the mission's folder and from nowhere else."""

from pathlib import PurePosixPath, PureWindowsPath

import pytest

from briefgen.mission.load import load_mission
from briefgen.mission.read.beside import printed_name
from tests.mission.mission_texts import PASS_ONLY, changed

INLINE = "  petrel:\n    name: Petrel T.2\n    fuel_capacity: 5600 lb\n"


@pytest.fixture
def folder(tmp_path):
    """A folder with a mission's folder in it, and a type beside that one."""
    inside = tmp_path / "mission"
    (inside / "types").mkdir(parents=True)
    (inside / "types" / "petrel.yaml").write_text(
        "name: Petrel T.2\nfuel_capacity: 5600 lb\n", encoding="utf-8"
    )
    (tmp_path / "outside.yaml").write_text("name: Elsewhere\n", encoding="utf-8")
    return inside


def load(folder, reference):
    """The mission that names a file."""
    path = folder / "m.yaml"
    path.write_text(changed(PASS_ONLY, INLINE, f"  petrel: {{file: {reference}}}\n"), encoding="utf-8")
    return load_mission(path)


def test_the_type_is_read_and_its_text_is_part_of_the_source(folder):
    mission, problems = load(folder, "types/petrel.yaml")

    assert problems == [] and mission.aircraft_of(1).name == "Petrel T.2"
    assert mission.span(("aircraft", "petrel", "fuel_capacity")).line == 2
    assert [name.rpartition("/")[2] for name in mission.source.texts] == ["m.yaml", "petrel.yaml"]


def test_a_change_of_the_type_changes_the_canonical_text(folder):
    before = load(folder, "types/petrel.yaml")[0].source.canonical()
    (folder / "types" / "petrel.yaml").write_text(
        "name: Petrel T.2\nfuel_capacity: 5700 lb\n", encoding="utf-8"
    )

    assert load(folder, "types/petrel.yaml")[0].source.canonical() != before


@pytest.mark.parametrize(
    "reference",
    [
        "../outside.yaml",
        "/etc/hostname",
        "types/../../outside.yaml",
        "types\\petrel.yaml",
        "C:petrel.yaml",
        "types",
        "types/none.yaml",
        "link.yaml",
        "types/petrel.txt",
    ],
)
def test_nothing_else_is_read(folder, reference):
    (folder / "link.yaml").symlink_to(folder.parent / "outside.yaml")
    mission, problems = load(folder, f"'{reference}'")

    assert mission is None and [(d.code, d.span.line, d.span.column) for d in problems] == [
        ("part-file", 9, 18)
    ]


@pytest.mark.parametrize(
    ("text", "code", "place"),
    [
        ("name: Petrel T.2\nfuel_capacity: 5600\n", "value", "petrel.yaml:2:16"),
        ("name: Petrel T.2\nfule_flow: {}\n", "unknown-key", "petrel.yaml:2:1"),
        ("name: Petrel T.2\nname: Petrel\n", "duplicate-key", "petrel.yaml:2:1"),
        ("fuel_capacity: 5600 lb\n", "missing-key", "petrel.yaml:1:1"),
        ("- a\n", "shape", "petrel.yaml:1:1"),
        ("file: types/petrel.yaml\n", "unknown-key", "petrel.yaml:1:1"),
    ],
)
def test_an_error_in_it_points_into_it(folder, text, code, place):
    (folder / "types" / "petrel.yaml").write_text(text, encoding="utf-8")
    _, problems = load(folder, "types/petrel.yaml")

    assert (code, place) in [(d.code, str(d.span).rpartition("/")[2]) for d in problems]


def test_a_file_that_is_not_there_is_a_diagnostic(tmp_path):
    mission, problems = load_mission(tmp_path / "none.yaml")

    assert mission is None and [d.code for d in problems] == ["file"]
    assert [d.code for d in load_mission(tmp_path)[1]] == ["file"]


@pytest.mark.parametrize(
    ("mission", "printed"),
    [
        (PureWindowsPath("missions\\m.yaml"), "missions\\types\\skua.yaml"),
        (PurePosixPath("missions/m.yaml"), "missions/types/skua.yaml"),
        (PurePosixPath("m.yaml"), "types/skua.yaml"),
    ],
)
def test_a_file_beside_the_mission_is_named_as_its_system_writes_paths(mission, printed):
    assert printed_name(mission, "types/skua.yaml") == printed
