"""What changed in the unit's book is told as of the book: by ``compare``, and by an approval."""

import json

import pytest

from briefgen import cli
from briefgen.compare.report import compare, document_of
from briefgen.mission.load import load_mission
from tests.mission.mission_texts import PASS_ONLY, changed
from tests.planned import plan_at

HEAD = "briefgen_unit: 1\nowner: Capt U. Ferrant\ndate: 2027-01-05\n"
BOOK = f"{HEAD}limits: {{regime: icao, crosswind: 20 kt, duty_period: 12 h}}\nradio: {{file: radio.yaml}}\n"
RADIO = "- {preset: 1, use: Ground, frequency: 121.700 MHz}\n"
STANDS = "unit: ../book.yaml\nlimits: {duty_period: 11 h}\n"
MISSION = changed(PASS_ONLY, "briefgen: 1\n", f"briefgen: 1\n{STANDS}")
OF_BOOK = "in the unit's book ../book.yaml"
MHZ = "radio[preset 1].frequency: 121.800 MHz, was 121.700 MHz"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "missions").mkdir()
    write(tmp_path)
    return tmp_path


def write(folder, book=BOOK, radio=RADIO, mission=MISSION):
    """The mission, its book and a part of the book; where the mission lies."""
    for name, text in (("book", book), ("radio", radio), ("missions/m", mission)):
        (folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    return folder / "missions" / "m.yaml"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"book": BOOK.replace("20 kt", "15 kt")}, f"{OF_BOOK}: limits.crosswind: 15 kt, was 20 kt"),
        ({"book": BOOK.replace(", crosswind: 20 kt", "")}, f"{OF_BOOK}: limits.crosswind: gone, was 20 kt"),
        ({"book": BOOK.replace("01-05", "02-01")}, f"{OF_BOOK}: unit.date: 2027-02-01, was 2027-01-05"),
        ({"radio": RADIO.replace("121.7", "121.8")}, f"in ../radio.yaml: {MHZ}"),
        ({"mission": MISSION.replace("11 h", "10 h")}, "limits.duty_period: 10 h, was 11 h"),
        # the mission now says it in the place of the book
        ({"mission": MISSION.replace("11 h", "11 h, crosswind: 9 kt")}, "limits.crosswind: 9 kt, was 20 kt"),
        ({"book": BOOK.replace("12 h", "13 h")}, None),  # the mission says otherwise
        ({"book": BOOK.replace("\n", "\n# a comment\n", 1)}, None),
    ],
)
def test_a_change_is_told_with_the_file_where_it_stands(folder, change, told):
    before = document_of(plan_at(write(folder)))
    typed, _ = compare(json.loads(json.dumps(before)), document_of(plan_at(write(folder, **change))))

    assert [one.told() for one in typed] == ([] if told is None else [told])


def test_a_record_of_before_says_nothing_of_files(folder):
    document = document_of(plan_at(write(folder)))
    old = {key: part for key, part in document.items() if key != "files"}
    without = document_of(plan_at(write(folder, book=BOOK.replace("crosswind: 20 kt, ", ""))))
    typed, _ = compare(old, without)

    assert [one.told() for one in typed] == ["limits.crosswind: gone, was 20 kt"]


def test_a_part_that_is_back_in_the_mission_is_the_mission_s(folder):
    text = changed(MISSION, "duty_period: 11 h", "weather: {takeoff: {visibility: 5 km}}")
    book = f"{HEAD}limits: {{weather: {{takeoff: {{ceiling: 1500 ft AGL}}}}}}\n"
    source = load_mission(write(folder, book=book, mission=text))[0].source

    assert source.elsewhere()[f"{folder}/missions/../book.yaml"] == [
        ("limits", "weather", "takeoff", "ceiling"),
        ("unit",),
    ]


def test_compare_prints_what_changed_in_the_book_by_itself(folder, capsys):
    a = write(folder)
    b = folder / "missions" / "b.yaml"
    b.write_text(MISSION.replace("../book.yaml", "../other.yaml"), encoding="utf-8")
    (folder / "other.yaml").write_text(BOOK.replace("20 kt", "15 kt"), encoding="utf-8")

    assert cli.run(["compare", str(a), str(b)]) == 0
    own, others = capsys.readouterr().out.split("In the unit's book ../other.yaml\n")
    assert "limits.crosswind" in others.splitlines()[0] and "unit.book" not in own
    assert cli.run(["compare", str(a), str(b), "--json"]) == 0
    told = {each["where"]: each.get("in") for each in json.loads(capsys.readouterr().out)["file"]}
    assert told["limits.crosswind"] == {"file": "../other.yaml", "book": True}
