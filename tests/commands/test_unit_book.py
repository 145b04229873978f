"""The unit's book at the command line: written, checked by itself, stood on, approved and found changed."""

import json
import random
import re
import shutil
from datetime import UTC, datetime

import pytest

from briefgen.build.build import approval_of, check
from briefgen.mission.files import read_text
from briefgen.mission.load import diagnostics_from, load_mission
from briefgen.plan.build import make_plan
from tests.approval.test_approval import fill
from tests.commands.command_line import run
from tests.places import REPOSITORY

MISSIONS = REPOSITORY / "missions"
LEFT = ("briefgen", "unit", "flow")  # what is a mission's alone
WHOLE = {"obstacles", "terrain"}
MOST_LINES = 70  # that a unit's next mission may take


@pytest.fixture
def here(tmp_path, monkeypatch):
    (tmp_path / "unit" / "june").mkdir(parents=True)
    monkeypatch.chdir(tmp_path)
    return tmp_path


def typed_lines(text):
    """The lines that somebody has to type: no comments, no empty ones."""
    return sum(bool(line.strip()) and not line.lstrip().startswith("#") for line in text.splitlines())


def test_a_book_and_a_mission_on_it_are_written_and_nothing_is_wrong_in_them(capsys, here):
    assert run(capsys, "new", "--book", "unit/book.yaml")[0] == 0
    assert run(capsys, "new", "--unit", "unit/book.yaml", "unit/june/open-day.yaml")[0] == 0
    code, out, _ = run(capsys, "check", "unit/book.yaml")
    assert (code, out.strip()) == (0, "unit/book.yaml: a unit's book: nothing is wrong in it")
    code, out, _ = run(capsys, "check", "unit/june/open-day.yaml")
    assert code == 0 and "error" not in out
    text = (here / "unit/june/open-day.yaml").read_text(encoding="utf-8")
    assert "\nunit: ../book.yaml " in text and typed_lines(text) <= MOST_LINES
    for folder in ("unit", "unit/june"):
        schema = json.loads((here / folder / "unit.schema.json").read_text(encoding="utf-8"))
        assert "briefgen_unit" in schema["properties"]
        first = "# yaml-language-server: $schema=unit.schema.json\n"
        assert all(
            path.read_text(encoding="utf-8").startswith(first) for path in (here / folder).glob("*.yaml")
        )
    assert run(capsys, "build", "unit/june/open-day.yaml")[0] == 0


# what another unit calls its own, elsewhere in the world: the shipped book's word, and its
RENAMED = {
    "OAKMERE": "REDBANK",
    "LONGFORD": "DUNE",
    "siskin": "teal",
    "name: 26, direction: 258 M": "name: 09, direction: 088 M",
    "53°": "37°",
    "'N": "'S",
    "'W": "'E",
    " 8°": " 141°",
    " 7°": " 140°",
    "radio:\n": "radio:\n  - {preset: 5, use: Range, frequency: 132.800 MHz}\n",
}
THIRD = "  - {ship: 3, aircraft: teal, start_fuel: 2300 lb, side: red}\n\nground_ops:"


def test_a_mission_on_a_book_of_other_names_is_of_that_book(capsys, here):
    """Three ships, another base with another runway, another alternate, a preset 5 and a frequency in use;
    IP stands in the book, where it lies counts."""
    run(capsys, "new", "--book", "book.yaml")
    text = (here / "book.yaml").read_text(encoding="utf-8")
    for old, new in RENAMED.items():
        assert old in text
        text = text.replace(old, new)
    text = text.replace("\nground_ops:", THIRD, 1).replace(
        "  GATE:", "  IP: {position: 37°06.0'S 141°40.0'E}\n  GATE:", 1
    )
    (here / "book.yaml").write_text(text, encoding="utf-8")
    assert run(capsys, "new", "--unit", "book.yaml", "june/open-day.yaml")[0] == 0  # june is made
    mission, found = load_mission(here / "june" / "open-day.yaml")
    assert [d.message for d in found if d.severity == "error"] == [] and mission is not None
    plan, found = make_plan(mission)
    assert [d.message for d in found if d.severity == "error"] == [] and plan is not None

    written = (here / "june" / "open-day.yaml").read_text(encoding="utf-8")
    assert not re.search("OAKMERE|LONGFORD|siskin|  IP:", written)
    assert [(ship.ship, ship.aircraft) for ship in mission.file.flight] == [(n, "teal") for n in (1, 2, 3)]
    assert {*mission.file.weather.at} == {"REDBANK", "WINDMILL", "DUNE", "AREA"}
    assert [(row.preset, row.use) for row in mission.file.radio if row.preset in (5, 6)] == [
        (5, "Range"),
        (6, "Ground contact"),
    ]
    # 53°18.0'N 8°57.0'W to 53°09.0'N 9°00.0'W: 9' to the south and 1.8 nm to the west
    assert mission.places["WINDMILL"].lat_deg == pytest.approx(-37.3 - 0.15, abs=0.002)
    assert mission.places["WINDMILL"].lon_deg == pytest.approx(141.95 - 0.0377, abs=0.002)
    # 08:00 Z is 09:00 in Ireland, and 09:00 in Victoria (UTC+10) is 23:00 Z of the day before
    assert "issued: 2027-06-11 23:00 Z" in written


def test_the_mission_to_start_from_is_the_same_on_a_book():
    whole, _ = load_mission(MISSIONS / "start.yaml")
    split, problems = load_mission(MISSIONS / "books" / "next.yaml")

    assert problems == [] and {**split.source.tree, "unit": 0} == {**whole.source.tree, "unit": 0}


def test_a_demonstration_is_copied_with_the_book_that_it_stands_on(capsys, here):
    assert run(capsys, "new", "--from", "twin-fields")[0] == 0
    assert run(capsys, "new", "--from", "three-harbours")[0] == 0  # the same book, which is there
    assert run(capsys, "check", "twin-fields.yaml", "three-harbours.yaml")[0] == 0
    (here / "books" / "displays.yaml").write_text("my own", encoding="utf-8")
    code, _, err = run(capsys, "new", "mine.yaml", "--from", "twin-fields")
    assert code == 2 and "displays.yaml is there already" in err and not (here / "mine.yaml").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--book", "--from", "regatta"), "give one of them"),
        (("--unit", "none.yaml"), "none.yaml is no unit's book that can be read"),
        (("--unit", "mission.yaml"), "mission.yaml is no unit's book that can be read"),
        (("--unit", "my book.yaml"), "is not the name of a file"),
        (("--unit", "book.yaml", "book.yaml"), "nothing was overwritten"),
    ],
)
def test_new_refuses(capsys, here, arguments, words):
    run(capsys, "new", "mission.yaml")
    run(capsys, "new", "--book", "book.yaml")
    shutil.copy("book.yaml", "my book.yaml")
    code, _, err = run(capsys, "new", *(("x.yaml",) if len(arguments) == 2 else ()), *arguments)

    assert code == 2 and words in err


def test_the_schema_of_a_book_is_printed(capsys):
    assert json.loads(run(capsys, "schema", "--unit")[1])["properties"]["owner"]["type"] == "string"


def test_a_book_is_checked_by_itself_and_is_no_mission(capsys, here):
    run(capsys, "new", "--book", "book.yaml")
    text = (here / "book.yaml").read_text(encoding="utf-8")
    (here / "book.yaml").write_text(text.replace("crosswind: 20 kt", "crosswind: 20"), encoding="utf-8")
    code, out, _ = run(capsys, "check", "book.yaml")
    assert code == 2 and "20 kt" in out and "book.yaml: a unit's book: 1 error" in out
    code, _, err = run(capsys, "build", "book.yaml")
    assert code == 2 and "this is a unit's book, not a mission" in err
    assert run(capsys, "check", "--fix", "book.yaml")[0] == 2


@pytest.mark.parametrize("name", ["regatta", "three-harbours", "twin-fields", "lantern-fair"])
def test_no_part_of_a_good_mission_is_wrong_in_a_book(name):
    """A book may say any part: what it lacks, and what it names that it lacks, may stand in the mission."""
    rng = random.Random(name)
    tree = read_text((MISSIONS / f"{name}.yaml").read_text(encoding="utf-8"), "m.yaml")[0].tree
    for _ in range(12):
        part = {key: thinned(value, rng) for key, value in tree.items() if key not in LEFT}
        part |= {key: tree[key] for key in part.keys() & WHOLE}  # their files are read where they are named
        lines = ",\n".join(f'"{key}": {json.dumps(value, ensure_ascii=False)}' for key, value in part.items())
        text = f'{{"briefgen_unit": "1", "owner": "A", "date": "2027-01-05",\n{lines}}}'
        source, problems = read_text(text, "b.yaml")
        assert [d for d in diagnostics_from(source, problems, MISSIONS) if d.severity == "error"] == []


def thinned(tree, rng):
    """A part of a tree: of each mapping some of its keys."""
    if not isinstance(tree, dict):
        return tree
    kept = [key for key in tree if rng.random() < 0.7] or list(tree)
    return {key: thinned(tree[key], rng) for key in kept}


def test_an_approval_names_what_changed_in_the_book(capsys, here, monkeypatch):
    for command in ("approve", "report"):
        monkeypatch.setattr(f"briefgen.commands.{command}.now", lambda: datetime(2027, 6, 12, 9, tzinfo=UTC))
    run(capsys, "new", "--book", "book.yaml")
    run(capsys, "new", "--unit", "book.yaml", "m.yaml")
    approve = ("approve", "m.yaml", "--by", "Sqn Ldr E. Marsh", "--role", "squadron supervisor")
    assert run(capsys, *approve)[0] == 1
    fill(here / "m.reasons.yaml")
    code, out, err = run(capsys, *approve, "--reasons", "m.reasons.yaml")
    assert code == 0, (out, err)
    book = (here / "book.yaml").read_text(encoding="utf-8")
    for old, new, state in (
        ("118.500 MHz", "118.600 MHz", "UPDATED WITHIN APPROVED BOUNDS"),
        ("crosswind: 20 kt", "crosswind: 25 kt", "CHANGED: APPROVE AGAIN"),
        ("date: 2027-04-01", "date: 2027-04-02", "UPDATED WITHIN APPROVED BOUNDS"),
    ):
        (here / "book.yaml").write_text(book.replace(old, new), encoding="utf-8")
        found = approval_of(check(here / "m.yaml").planned)[0]
        assert found.state == state and any(
            words.words.startswith("in the unit's book book.yaml: ") and new in words.words
            for words in (*found.changes, *found.outside)
        )


@pytest.mark.parametrize(
    ("name", "data", "words"),
    [
        ("N53W009.hgt", b"\0" * 2_884_800, "N53W009.hgt has 2884800 bytes"),  # two fewer than 1201 x 1201 x 2
        ("N53W9.hgt", b"\0" * 2_884_802, "N53W9.hgt is no name of a tile"),
        ("N53W009.hgt", None, 'there is no file "N53W009.hgt" beside the file that names it'),
    ],
)
def test_a_book_checked_by_itself_reads_the_tiles_that_it_names(capsys, here, name, data, words):
    run(capsys, "new", "--book", "book.yaml")
    if data is not None:
        (here / name).write_bytes(data)
    with (here / "book.yaml").open("a", encoding="utf-8") as book:
        book.write(f"terrain: {{files: [{name}], product: SRTM}}\n")
    code, out, _ = run(capsys, "check", "book.yaml")

    assert code == 2 and words in out and "mission" not in out
