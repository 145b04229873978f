"""A mission that names its unit's book: what is read, what is refused, and where errors are placed."""

import re

import pytest

from briefgen.mission.load import load_mission, load_mission_text
from tests.mission.mission_texts import PASS_ONLY, START, changed

HEAD = "briefgen_unit: 1\nowner: Capt U. Ferrant\ndate: 2027-01-05\n"
MISSION = changed(PASS_ONLY, "briefgen: 1\n", "briefgen: 1\nunit: ../book.yaml\n")
TYPE = "  petrel:\n    name: Petrel T.2\n    fuel_capacity: 5600 lb\n"
SHORT = changed(MISSION, f"aircraft:\n{TYPE}", "")


def load(tmp_path, mission=MISSION, name="m.yaml", **files):
    """The mission of ``missions/m.yaml`` with files by their path, ``__`` for a slash; names of the folder
    are left out of what is told."""
    for path, text in files.items():
        where = tmp_path / (path.replace("__", "/") + ".yaml")
        where.parent.mkdir(parents=True, exist_ok=True)
        where.write_text(text, encoding="utf-8")
    (tmp_path / "missions").mkdir(exist_ok=True)
    (tmp_path / "missions" / name).write_text(mission, encoding="utf-8")
    mission, problems = load_mission(tmp_path / "missions" / name)
    return mission, [(d.code, str(d.span).removeprefix(f"{tmp_path}/missions/"), d.message) for d in problems]


def test_the_book_s_sections_are_the_mission_s(tmp_path):
    mission, told = load(tmp_path, SHORT, book=f"{HEAD}aircraft:\n{TYPE}")

    assert told == [] and mission.aircraft_of(1).name == "Petrel T.2"
    span = mission.span(("aircraft", "petrel", "fuel_capacity"))
    assert span.file.endswith("/missions/../book.yaml") and span.line == 7
    assert mission.file.unit.owner == "Capt U. Ferrant" and mission.file.unit.book == "../book.yaml"


def test_the_same_texts_in_one_file_and_in_two_are_the_same_mission(tmp_path):
    """But for what the book says of itself."""
    whole, _ = load(tmp_path, PASS_ONLY)
    split, _ = load(tmp_path, SHORT, book=f"{HEAD}aircraft:\n{TYPE}")

    assert {**split.source.tree, "unit": None} == {**whole.source.tree, "unit": None}
    assert split.file.model_copy(update={"unit": None}) == whole.file


def test_the_canonical_text_changes_with_the_book(tmp_path):
    book = f"{HEAD}aircraft:\n{TYPE}"
    texts = (book, f"# a comment\n{book}", book.replace("5600", "5500"), book.replace("01-05", "01-06"))
    marks = [load(tmp_path, SHORT, book=text)[0].source.canonical() for text in texts]
    same, comment, capacity, edition = marks

    assert same == comment and len({same, capacity, edition}) == 3


def test_a_book_has_one_mark_wherever_the_mission_lies_and_another_once_it_says_else(tmp_path):
    book = f"{HEAD}aircraft:\n{TYPE}"
    near = changed(SHORT, "unit: ../book.yaml", "unit: book.yaml")
    loads = (
        load(tmp_path, SHORT, book=book),
        load(tmp_path, SHORT, book=f"# a comment\n{book}"),
        load(tmp_path, near, missions__book=book),
        load(tmp_path, SHORT, book=book.replace("5600", "5500")),
    )
    same, comment, below, other = (mission.source.book_mark for mission, _ in loads)

    assert len(same) == 4 and same == comment == below != other


def test_a_wing_s_book_stands_below_the_squadron_s(tmp_path):
    wing = f"{HEAD}limits: {{crosswind: 15 kt, duty_period: 12 h}}\nfuel: {{display: lb}}\n"
    squadron = f"{HEAD}unit: wing/book.yaml\nlimits: {{crosswind: 20 kt}}\nfuel: {{drop: yes}}\n"
    mission, told = load(tmp_path, book=squadron, wing__book=wing)

    assert told == []
    assert mission.source.tree["limits"] == {"crosswind": "20 kt", "duty_period": "12 h"}
    assert "fuel" not in mission.source.tree and mission.file.unit.unit.book == "wing/book.yaml"
    assert mission.span(("limits", "duty_period")).file.endswith("missions/../wing/book.yaml")


def test_files_of_a_book_lie_below_its_folder(tmp_path):
    book = f"{HEAD}radio: {{file: unit/radio.yaml}}\nplaces: {{files: [fields.csv]}}\n"
    book += "limits: {file: unit/l.yaml}\n"
    (tmp_path / "fields.csv").write_text("id,lat,lon\nEASTLEA,60.1,11.0\n", encoding="utf-8")
    mission, told = load(
        tmp_path,
        book=book,
        unit__radio="- {preset: 1, use: Ground, frequency: 121.700 MHz}\n",
        unit__l="crosswind: 20 kt\n",
    )

    assert told == [] and "EASTLEA" in mission.places and mission.file.radio[0].use == "Ground"
    assert mission.span(("radio", 0, "use")).line == 1
    assert sorted(name.rpartition("missions/")[2] for name in mission.source.texts) == [
        "../book.yaml", "../fields.csv", "../unit/l.yaml", "../unit/radio.yaml", "m.yaml",
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("reference", "files", "message"),
    [
        ("/book.yaml", {}, "is not the name of a file"),
        ("..\\book.yaml", {}, "is not the name of a file"),
        ("../x/../book.yaml", {"book": HEAD}, "is not the name of a file"),
        ("../book.txt", {}, "is not the name of a file"),
        ("../none.yaml", {}, "there is no file"),
        ("../link.yaml", {}, "leads out of the folder"),
        ("m.yaml", {}, "m.yaml is a mission, no unit's book"),
        ("../book.yaml", {"book": "owner: nobody\n"}, "../book.yaml is no unit's book"),
        ("../book.yaml", {"book": "root:x:0:0\n'"}, "../book.yaml is no unit's book"),
        ("../book.yaml", {"book": "#" * 300_000}, "../book.yaml is no unit's book"),
        ("../book.yaml", {"book": f"{HEAD}unit: book.yaml\n"}, "name each other in a ring"),
        ("../book.yaml", {"book": f"{HEAD}unit: b.yaml\n", "b": f"{HEAD}unit: book.yaml\n"}, "in a ring"),
        ("../book.yaml", {"book": f"{HEAD}unit: b.yaml\n", "b": f"{HEAD}unit: c.yaml\n", "c": HEAD}, "none"),
        ("../book.yaml", {"book": HEAD.replace(": 1", ": 2")}, "no version"),
        ("../book.yaml", {"book": f"briefgen: 1\n{HEAD}"}, "`briefgen` has no place"),
        ("../book.yaml", {"book": f"{HEAD}flow: []\n"}, "`flow` has no place"),
        ("[../book.yaml]", {"book": HEAD}, "wants the name of one file"),
        ("{book: ../book.yaml, owner: A, date: 2027-01-05}", {"book": HEAD}, "wants the name of one file"),
    ],
)  # fmt: skip
def test_a_book_that_is_not_read_is_one_error(tmp_path, reference, files, message):
    """At the line that names it, or in the book; and nothing is told of what the mission then lacks."""
    outside = tmp_path.parent / f"{tmp_path.name}-outside.yaml"
    outside.write_text(HEAD, encoding="utf-8")
    (tmp_path / "link.yaml").symlink_to(outside)
    text = changed(SHORT, "unit: ../book.yaml", f"unit: {reference}")
    mission, told = load(tmp_path, text, **files)

    assert mission is None and [(code, message in words) for code, _, words in told] == [("unit-book", True)]


@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        ("limits: {crosswind: 20}\n", [("value", "../book.yaml:4:21")]),
        ("limits: {crosswnd: 20 kt}\n", [("unknown-key", "../book.yaml:4:10")]),
        ("limits: {crosswind: 20 kt}\nlimits: {}\n", [("duplicate-key", "../book.yaml:5:1")]),
        ("limits: &x {crosswind: 20 kt}\n", [("anchor", "../book.yaml:4:9")]),
        ("limits: {<<: 1}\n", [("merge-key", "../book.yaml:4:10")]),
        ("fuel: [\n", [("syntax", "../book.yaml:5:1")]),
        ("flight:\n  - {ship: 2, tail: 0466}\n", [("missing-key", "../book.yaml:5:5")] * 2),
        ("limits: {drop: yes}\n", [("drop", "../book.yaml:4:1")]),
        ("recovery: {diverts: [BASS]}\n", [("unknown-place", "../book.yaml:4:22")]),
    ],
)  # fmt: skip
def test_an_error_stands_in_the_book_where_it_is(tmp_path, lines, expected):
    mission, told = load(tmp_path, book=f"{HEAD}{lines}")

    assert mission is None and [(code, place) for code, place, _ in told] == expected


def test_what_the_book_leaves_to_the_mission_is_asked_of_both(tmp_path):
    load(tmp_path, book=f"{HEAD}flight: [{{ship: 2, aircraft: petrel}}]\n")
    (problem,) = load_mission(tmp_path / "missions" / "m.yaml")[1]

    assert problem.message == "`flight[2]` has no `crew`"
    assert problem.help == "add `crew:`, to ship 2 in the mission, or write there: - {ship: 2, drop: yes}"


def test_a_ship_that_the_book_has_not_is_told_with_those_that_it_has(tmp_path):
    """The mission's own ship 1 stands in it alone; of ship 3 it says who flies, and the book has a ship 2."""
    flight = "flight: [{ship: 2, aircraft: petrel, crew: [A B], start_fuel: 5000 lb}]\n"
    text = re.sub("(?m)^flight:\n", "flight:\n  - {ship: 3, crew: [C D]}\n", MISSION)
    load(tmp_path, text, book=f"{HEAD}{flight}")
    (problem,) = [d for d in load_mission(tmp_path / "missions" / "m.yaml")[1] if d.cause[-1] == "aircraft"]

    assert problem.help == "add `aircraft`, for example `aircraft: petrel`; the book has ships 2"


@pytest.mark.parametrize(("text", "example"), [(START, "14:30:02 event"), (PASS_ONLY, "end of HYMN")])
def test_the_time_of_a_pass_is_shown_with_a_cue_of_the_mission(text, example):
    told = load_mission_text(re.sub("(?m)^    time: .*\n", "", text), "m.yaml")[1]
    (problem,) = [d for d in told if d.code == "missing-key"]

    assert problem.help == f"add `time`, for example `time: {example}`"


def test_what_a_book_must_say_of_itself(tmp_path):
    _, told = load(tmp_path, book="briefgen_unit: 1\n")

    assert [(code, place) for code, place, _ in told] == [("missing-key", "../book.yaml:1:1")] * 2


def test_an_error_of_the_mission_says_over_what_it_wins(tmp_path):
    text = changed(MISSION, "unit: ../book.yaml\n", "unit: ../book.yaml\nlimits: {crosswind: 15}\n")
    load(tmp_path, text, book=f"{HEAD}limits: {{crosswind: 20 kt}}\n")
    (problem,) = load_mission(tmp_path / "missions" / "m.yaml")[1]

    assert problem.span.line == 3 and [r.message for r in problem.related] == [
        "it wins over what the book says here"
    ]
    assert str(problem.related[0].span).endswith("book.yaml:4:21")


def test_a_value_of_the_book_is_changed_as_if_it_stood_in_the_mission(tmp_path):
    load(tmp_path, book=f"{HEAD}limits: {{crosswind: 20 kt}}\n")
    path = tmp_path / "missions" / "m.yaml"

    assert load_mission(path, [("limits.crosswind", "15 kt")])[0].source.tree["limits"] == {
        "crosswind": "15 kt"
    }
    assert load_mission(path, [("limits.crosswind", "")])[0].source.tree["limits"] == {}
    assert [d.code for d in load_mission(path, [("unit", "../other.yaml")])[1]] == ["edit"]
    assert [d.code for d in load_mission(path, [("limits.crosswind", "{drop: yes}")])[1]] == ["shape"]
