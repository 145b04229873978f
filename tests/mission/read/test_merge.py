"""A mission on its unit's book: the rules of the merge, a row each."""

import random

import pytest

from briefgen.console import diagnostic_text
from briefgen.mission.read.merge import merged, open_ended, without_drops
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import parts_of

TAKE = "take it out"
PLACE, OF = "takes the place of the", "of the unit's book: a list is replaced whole"
SHIPS = "flight: [{ship: 1, tail: 0471, burn_factor: 1.02}, {ship: 2, tail: 0466}]\n"
RADIO = "radio: [{preset: 1, use: Ground}, {preset: 2, use: Tower}]\n"


def merge(book, mission):
    """The merged tree, the drops that took nothing, and the source."""
    sources = [read_source(text, name)[0] for text, name in ((book, "book.yaml"), (mission, "m.yaml"))]
    source, problems = without_drops(merged(*sources)[0], "the book has none")
    return source.tree, problems, source


@pytest.mark.parametrize(
    ("book", "mission", "expected"),
    [
        # mappings key by key, what the mission says wins
        ("limits: {a: 1, b: 2}\n", "limits: {b: 3, c: 4}\n", {"limits": {"a": "1", "b": "3", "c": "4"}}),
        ("limits: {w: {x: 1, y: 2}}\n", "limits: {w: {y: 3}}\n", {"limits": {"w": {"x": "1", "y": "3"}}}),
        ("fuel: {a: 1}\n", "sortie: {b: 2}\n", {"fuel": {"a": "1"}, "sortie": {"b": "2"}}),
        # lists and single values whole
        ("risk: [{a: 1}, {a: 2}]\n", "risk: [{a: 3}]\n", {"risk": [{"a": "3"}]}),
        ("sortie: {success: [a, b]}\n", "sortie: {success: []}\n", {"sortie": {"success": []}}),
        ("a: {b: 1}\n", "a: text\n", {"a": "text"}),
        ("a: text\n", "a: {b: 1}\n", {"a": {"b": "1"}}),
        ("a: [b]\n", "a: {b: 1}\n", {"a": {"b": "1"}}),
        # a place and a contingency add to the book's, one of the same name is merged
        (
            "places: {A: {position: x, name: Field}}\n",
            "places: {B: {position: z}, A: {position: y}}\n",
            {"places": {"A": {"position": "y", "name": "Field"}, "B": {"position": "z"}}},
        ),
        # ids of other case are other ids
        (
            "places: {HOLD: {p: x}}\n",
            "places: {hold: {p: y}}\n",
            {"places": {"HOLD": {"p": "x"}, "hold": {"p": "y"}}},
        ),
        # ships and presets by their number, wherever they stand
        (
            SHIPS,
            "flight: [{ship: 2, crew: [B]}, {ship: 1, tail: 0480}]\n",
            {
                "flight": [
                    {"ship": "1", "tail": "0480", "burn_factor": "1.02"},
                    {"ship": "2", "tail": "0466", "crew": ["B"]},
                ]
            },
        ),
        (
            RADIO,
            "radio: [{preset: 3, use: Flight}]\n",
            {
                "radio": [
                    {"preset": str(n), "use": use} for n, use in enumerate(("Ground", "Tower", "Flight"), 1)
                ]
            },
        ),
        # drops: a section, an entry, a value, a ship, a preset
        ("limits: {a: 1}\nfuel: {b: 1}\n", "limits: {drop: yes}\n", {"fuel": {"b": "1"}}),
        ("places: {A: {p: x}, B: {p: y}}\n", "places: {A: {drop: yes}}\n", {"places": {"B": {"p": "y"}}}),
        ("limits: {a: 1, b: 2}\n", "limits: {a: {drop: yes}}\n", {"limits": {"b": "2"}}),
        (SHIPS, "flight: [{ship: 1, drop: yes}]\n", {"flight": [{"ship": "2", "tail": "0466"}]}),
        # with a ship goes what the book says of it; who follows another ship, and the mission's words, stay
        (
            "flight: [{ship: 1}, {ship: 2}]\ntraining: {yardstick: {1: 29Y, 2: 92Y}}\n"
            "contingencies: {fall_outs: {1: {leads: 2}, 2: {a: b}}}\nradio: [{preset: 1, listens: [2, 1]}]\n"
            "event: {pass: {run_in: {offsets: [{ship: 2, back: 1}, {ship: 1, back: 2}]}}}\n",
            "flight: [{ship: 2, drop: yes}]\ntraining: {setups: 2}\nevent: {a: 1}\n"
            "limits: {yardstick: {2: x}}\n",
            {
                "flight": [{"ship": "1"}],
                "training": {"yardstick": {"1": "29Y"}, "setups": "2"},
                "contingencies": {"fall_outs": {"1": {"leads": "2"}}},
                "radio": [{"preset": "1", "listens": ["1"]}],
                "event": {"pass": {"run_in": {"offsets": [{"ship": "1", "back": "2"}]}}, "a": "1"},
                "limits": {"yardstick": {"2": "x"}},
            },
        ),
        (
            "flight: [{ship: 1}, {ship: 2}]\ntraining: {yardstick: {2: 92Y}}\n",
            "flight: [{ship: 2, drop: yes}]\ntraining: {yardstick: {2: 10Y}}\n",
            {"flight": [{"ship": "1"}], "training": {"yardstick": {"2": "10Y"}}},
        ),
        (RADIO, "radio: [{preset: 2, drop: yes}]\n", {"radio": [{"preset": "1", "use": "Ground"}]}),
        # what the book says of training and event counts where the mission has them
        ("event: {a: 1}\ntraining: {b: 2}\n", "event: {c: 3}\n", {"event": {"a": "1", "c": "3"}}),
        ("recovery: {a: 1}\n", "sortie: {b: 2}\n", {"recovery": {"a": "1"}, "sortie": {"b": "2"}}),
        # in a flow for each of its sections, and what is no mapping is the mission's
        (
            "event: {a: 1}\ndeparture: [{to: X}]\nrecovery: {r: 1}\n",
            "flow:\n- departure: [{to: Y}]\n- event: {id: P, a: 2}\n- event: {id: Q}\n- recovery: {s: 2}\n",
            {
                "flow": [
                    {"departure": [{"to": "Y"}]},
                    {"event": {"a": "2", "id": "P"}},
                    {"event": {"a": "1", "id": "Q"}},
                    {"recovery": {"r": "1", "s": "2"}},
                ]
            },
        ),
        (
            "event: {pass: {hold: {at: X}, t: 1}}\n",
            "flow:\n- event: {pass: {hold: {drop: yes}}}\n",
            {"flow": [{"event": {"pass": {"t": "1"}}}]},
        ),
    ],
)
def test_the_rules_of_the_merge(book, mission, expected):
    tree, problems, _ = merge(book, mission)

    assert (tree, problems) == (expected, [])


@pytest.mark.parametrize(
    ("book", "mission", "left", "told", "help"),
    [
        (
            "places: {HOLD: {p: x}}\n",
            "places: {hold: {drop: yes}}\n",
            {"places": {"HOLD": {"p": "x"}}},
            "`places.hold` is dropped",
            "did you mean HOLD?",
        ),
        (RADIO, "radio: [{preset: 9, drop: yes}]\n", None, "preset 9 is dropped", TAKE),
        (SHIPS, "flight: [{ship: 01, drop: yes}]\n", None, "ship 01 is dropped", TAKE),
        ("risk: [{a: 1}]\n", "risk: [{drop: yes}]\n", {"risk": [None]}, "`risk[1]` is dropped", TAKE),
        ("a: 1\n", "limits: {drop: yes}\n", {"a": "1"}, "`limits` is dropped", TAKE),
        ("a: {b: 1}\n", "c: {a: {drop: yes}}\n", {"a": {"b": "1"}, "c": {}}, "`c.a` is dropped", TAKE),
    ],
)
def test_a_drop_of_what_is_not_there_is_told(book, mission, left, told, help):
    tree, problems, _ = merge(book, mission)

    assert [(p.severity, p.code, p.help) for p in problems] == [("error", "drop", help)]
    assert problems[0].message.startswith(told) and problems[0].span.file == "m.yaml"
    assert left is None or tree == left


@pytest.mark.parametrize(
    ("book", "mission", "told"),
    [
        (
            "risk: [{a: 1}, {a: 2}]\n",
            "risk: [{a: 3}]\n",
            f"`risk` {PLACE} 2 entries {OF}",
        ),
        ("a: {b: [x]}\n", "a: {b: []}\n", f"`a.b` {PLACE} 1 entry {OF}"),
        ("risk: [{a: 1}]\n", "risk: [{a: 1}]\n", None),
        ("risk: []\n", "risk: [{a: 1}]\n", None),
        ("training: {area: {boundary: [a, b]}}\n", "training: {area: {boundary: [c]}}\n", None),
        (RADIO, "radio: [{preset: 3}]\n", None),
    ],
)
def test_a_list_in_the_place_of_the_book_s_is_noted(book, mission, told):
    """A hazard of the day that was meant to stand beside the book's would take their place."""
    notes = merged(*(read_source(text, name)[0] for text, name in ((book, "b.yaml"), (mission, "m.yaml"))))[1]

    assert [note.message for note in notes] == ([] if told is None else [told])
    assert all(note.severity == "note" and note.span.file == "m.yaml" for note in notes)
    assert all("\n" not in diagnostic_text(note, {"m.yaml": mission}) for note in notes)


def test_each_node_knows_its_file_and_line():
    book = f"limits:\n  a: 1\n  b: 2\n{SHIPS}"
    _, _, source = merge(book, "limits:\n  b: 3\nflight: [{ship: 2, crew: [B]}, {ship: 1, tail: 0480}]\n")
    rows = {
        ("limits", "a"): "book.yaml:2:6",
        ("limits", "b"): "m.yaml:2:6",
        ("limits",): "m.yaml:2:3",
        ("flight", 0, "tail"): "m.yaml:3:48",
        ("flight", 0, "burn_factor"): "book.yaml:4:45",
        ("flight", 1, "tail"): "book.yaml:4:68",
        ("flight", 1, "crew", 0): "m.yaml:3:27",
    }

    assert {path: str(source.spans.value(path)) for path in rows} == rows
    assert {str(won): str(lost) for won, lost in source.replaced.items()} == {
        "m.yaml:2:6": "book.yaml:3:6",
        "m.yaml:3:48": "book.yaml:4:26",
    }


SECTIONS = ("limits", "places", "radio", "flight", "event", "training", "risk", "flow", "unit")
VALUES = """1|text|{drop: yes}|{}|[]|[{drop: yes}]|{a: 1, b: {c: 2}}|[{ship: 1}, {preset: 1}]|[[{drop: yes}]]
[{ship: 1, drop: yes}, {preset: 1, drop: yes}]|[{event: {a: {drop: yes}}}, {event: [x]}, 4]|*x|&x 1|[|"
{a: {drop: yes}, b: 2}|{a: {drop: no}}|{drop: yes, a: 1}|""".replace("\n", "|").split("|")


def test_no_pair_of_texts_stops_the_merge():
    rng = random.Random(17)
    for _ in range(400):
        texts = [
            "".join(f"{key}: {rng.choice(VALUES)}\n" for key in rng.sample(SECTIONS, rng.randint(1, 5)))
            for _ in range(2)
        ]
        sources = [read_source(text, f"{n}.yaml")[0] for n, text in enumerate(texts)]
        if None not in sources:
            whole = open_ended(without_drops(merged(*sources)[0], "none")[0])
            assert all_placed(whole), texts


def all_placed(source):
    """Whether every node has its place in one of the two files."""
    waiting = [(path, tree) for path, tree in (((key,), tree) for key, tree in source.tree.items())]
    while waiting:
        path, tree = waiting.pop()
        if source.spans.values.get(path) is None and source.spans.keys.get(path) is None and tree is not None:
            return False
        waiting += [((*path, key), part) for key, part in parts_of(tree)]
    return True
