"""``build`` as a person and as a script meet it: products that fail, what is left behind, exit codes."""

from __future__ import annotations

import json

import pytest

from briefgen.build import build as build_room
from briefgen.build.build import Outcome
from briefgen.build.products import Product
from briefgen.build.staging import read_manifest
from briefgen.commands.reductions import reduced_once
from briefgen.core.diagnostics import Diagnostic
from tests.builds import of_plan_alone, without_getting_ready
from tests.commands.command_line import run

pytestmark = pytest.mark.usefixtures("one_plan_a_text")


@pytest.fixture(autouse=True)
def ready(monkeypatch):
    """What products fail of, and what becomes of them, is asked of products made up for it."""
    without_getting_ready(monkeypatch)


def fine(plan, context):
    return [("fine.txt", b"fine")], []


def broken(plan, context):
    raise RuntimeError("a bug")


class Panic(BaseException):
    """As the card compiler's panics: no Exception."""


def panicking(plan, context):
    raise Panic("out of file ids")


def too_long(plan, context):
    return [("long.pdf", b"x")], [Diagnostic("overflow", "error", "the push table is 8 mm too long")]


def per_ship(plan, context):
    if context.part == "2":
        raise ValueError("ship 2")
    return [(f"card-{context.part}.txt", context.part.encode())], []


PRODUCTS = (
    Product("first", "txt", broken),
    Product("second", "txt", panicking),
    Product("third", "pdf", too_long),
    Product("card", "txt", per_ship, lambda plan: ("1", "2", "3")),
    Product("fourth", "txt", fine),
)


def test_a_failing_product_stops_no_other_and_leaves_a_note(capsys, here, monkeypatch):
    monkeypatch.setattr(build_room, "PRODUCTS", PRODUCTS)
    code, out, err = run(capsys, "build", "good.yaml")
    assert code == 3
    folder = here / "out" / "good"
    notes = {
        "FAILED-first.txt": "a bug",
        "FAILED-second.txt": "out of file ids",
        "FAILED-third.txt": "8 mm too long",
        "FAILED-card-2.txt": "ship 2",
    }
    assert sorted(path.name for path in folder.iterdir()) == sorted(
        [*notes, "card-1.txt", "card-3.txt", "fine.txt", "manifest.json"]
    )
    for name, words in notes.items():
        assert words in (folder / name).read_text(encoding="utf-8")
        assert words in err
    assert out == ""  # not a terminal: quiet
    assert read_manifest(folder)["failed"] == ["first", "second", "third", "card-2"]
    assert "Traceback" not in err


def test_a_product_that_fails_leaves_no_older_file(capsys, here, monkeypatch):
    monkeypatch.setattr(build_room, "PRODUCTS", (Product("fourth", "txt", fine),))
    assert run(capsys, "build", "good.yaml")[0] == 0
    monkeypatch.setattr(build_room, "PRODUCTS", (Product("fourth", "txt", broken),))
    assert run(capsys, "build", "good.yaml")[0] == 3
    assert sorted(path.name for path in (here / "out" / "good").iterdir()) == [
        "FAILED-fourth.txt",
        "manifest.json",
    ]


def test_a_wrong_file_builds_nothing_and_leaves_the_older_products(capsys, here, monkeypatch):
    monkeypatch.setattr(build_room, "PRODUCTS", (Product("fourth", "txt", fine),))
    run(capsys, "build", "good.yaml", "--out", "brief")
    before = {path.name: path.read_bytes() for path in (here / "brief").iterdir()}
    code, out, err = run(capsys, "build", "wrong.yaml", "--out", "brief")
    assert code == 2 and out == "" and "nothing was written to brief" in err
    assert {path.name: path.read_bytes() for path in (here / "brief").iterdir()} == before


EXITS = [
    # file wrong, product fails, gate fails → exit: the highest reason, in the order 2, 3, 1
    (True, True, True, 2),
    (True, False, False, 2),
    (False, True, True, 3),
    (False, True, False, 3),
    (False, False, True, 1),
    (False, False, False, 0),
]


@pytest.mark.parametrize(("wrong", "fails", "gate", "expected"), EXITS)
def test_the_highest_reason_is_the_exit_code(capsys, here, monkeypatch, wrong, fails, gate, expected):
    monkeypatch.setattr(build_room, "PRODUCTS", (Product("fourth", "txt", broken if fails else fine),))
    name = "wrong.yaml" if wrong else "good.yaml"
    if gate:  # nobody may fly the pass below 9,000 ft above the highest obstacle
        path = here / name
        path.write_text(
            path.read_text(encoding="utf-8").replace(
                "pass_minimum_height: 1000 ft", "pass_minimum_height: 9000 ft"
            ),
            encoding="utf-8",
        )
    assert run(capsys, "build", name)[0] == expected


def test_an_output_folder_that_cannot_be_written_is_exit_3(capsys, here, monkeypatch):
    monkeypatch.setattr(build_room, "PRODUCTS", (Product("fourth", "txt", fine),))
    (here / "mine").mkdir()
    (here / "mine" / "letter.txt").write_text("x")
    code, _, err = run(capsys, "build", "good.yaml", "--out", "mine")
    assert code == 3 and "output-not-ours" in err and "--out" in err
    assert [path.name for path in (here / "mine").iterdir()] == ["letter.txt"]


def test_build_for_machines(capsys, here, monkeypatch):
    monkeypatch.setattr(build_room, "PRODUCTS", PRODUCTS)
    code, out, err = run(capsys, "build", "good.yaml", "--json")
    document = json.loads(out)
    assert code == document["exit_code"] == 3 and err == ""
    assert [(p["name"], p["files"], bool(p["failure"])) for p in document["products"]][2:4] == [
        ("third", [], True),
        ("card-1", ["card-1.txt"], False),
    ]


def test_plan_json_is_documented_and_carries_the_fingerprint(capsys, here, monkeypatch):
    of_plan_alone(monkeypatch)
    run(capsys, "build", "good.yaml", "--out", "brief")
    document = json.loads((here / "brief" / "plan.json").read_bytes())
    assert document["plan_format"] == 2
    # 14:28:06 + 116 s at UTC+11
    assert document["plan"]["event"]["true_time"] == "2027-01-30T03:30:02.000000Z"
    assert document["fingerprint"]["full"] == read_manifest(here / "brief")["fingerprint"]
    assert document["typed"]["flight"][0]["tail"] == "0471"


def test_two_missions_of_one_name_share_no_folder_without_a_word(capsys, here, monkeypatch):
    monkeypatch.setattr(build_room, "PRODUCTS", PRODUCTS[4:])
    (here / "good.yml").write_bytes((here / "good.yaml").read_bytes())
    assert run(capsys, "build", "good.yaml")[0] == 0
    code, _, err = run(capsys, "build", "good.yml")
    assert (
        code == 3
        and "out/good holds the products of another mission" in err.replace("\\", "/")
        and f"from {here}" in err
        and "good.yaml" in err
        and "--replace" in err
    )
    assert read_manifest(here / "out" / "good")["mission_file"] == "good.yaml"
    assert run(capsys, "build", "good.yml", "--replace")[0] == 0
    assert read_manifest(here / "out" / "good")["mission_file"] == "good.yml"


def test_two_missions_of_one_file_name_in_two_folders_share_none_either(capsys, here, monkeypatch):
    monkeypatch.setattr(build_room, "PRODUCTS", PRODUCTS[4:])
    for folder in ("x1", "x2"):
        (here / folder).mkdir()
        (here / folder / "m.yaml").write_bytes((here / "good.yaml").read_bytes())
    assert run(capsys, "build", "x1/m.yaml")[0] == 0 == run(capsys, "build", "x1/m.yaml")[0]
    code, _, err = run(capsys, "build", "x2/m.yaml")
    assert code == 3 and str(here / "x1" / "m.yaml") in err and "--replace" in err
    assert read_manifest(here / "out" / "m")["mission_path"] == "../../x1/m.yaml"
    assert run(capsys, "build", "x2/m.yaml", "--replace")[0] == 0
    assert read_manifest(here / "out" / "m")["mission_path"] == "../../x2/m.yaml"


@pytest.mark.parametrize("out", ["/", "x" * 300, "x/" * 3000])
def test_a_folder_that_can_not_be_is_told_in_words(capsys, here, monkeypatch, out):
    monkeypatch.setattr(build_room, "PRODUCTS", PRODUCTS[4:])
    code, _, err = run(capsys, "build", "good.yaml", "--out", out)
    assert code == 3 and "help:" in err and "Traceback" not in err


@pytest.mark.parametrize(
    "command",
    [
        ["check"],
        ["build"],
        ["approve", "--by", "A. Holm", "--role", "supervisor"],
        ["approve", "--by", "A. Holm", "--role", "supervisor", "--withdraw", "why not"],
        ["verify"],
        ["whatif"],
    ],
)
def test_a_mission_path_that_is_too_long_is_told_in_words(capsys, here, command):
    code, out, err = run(capsys, command[0], "x/" * 3000 + "m.yaml", *command[1:])
    assert (
        code in (1, 2)
        and ("too long" in out + err or (command == ["verify"] and "there is no" in err))
        and "Traceback" not in err
    )


def test_what_gave_way_on_full_cards_is_told_once():
    """Two ships whose cards gave up the same, and one card that gave up something else."""

    def outcome(name: str, *said: str) -> Outcome:
        found = tuple(Diagnostic("card-reduced", "caution", text, help='shorten "If"') for text in said)
        return Outcome(name, diagnostics=found)

    other = Diagnostic("card-template", "caution", "a word too wide")
    outcomes = [
        outcome("approval", "details, too full at 8 pt: figures"),
        Outcome("deck", diagnostics=(other,)),
        outcome("kneeboard-1", "the pass, too full at 8 pt: the sketch"),
        outcome("kneeboard-2", "the pass, too full at 8 pt: the sketch"),
    ]
    first, told = reduced_once(outcomes)
    assert first == other
    assert told.message.splitlines()[1:] == [
        '    approval, details, too full at 8 pt: figures; shorten "If"',
        '    kneeboard-1, kneeboard-2, the pass, too full at 8 pt: the sketch; shorten "If"',
    ]
    assert reduced_once([Outcome("deck", diagnostics=(other,))]) == [other]


def test_a_folder_too_long_for_the_system_is_told_in_a_line_that_can_be_read(capsys, here):
    code, _, err = run(capsys, "build", "good.yaml", "--out", "x/" * 3000)
    assert code == 3 and "File name too long" in err and max(map(len, err.splitlines())) < 500
