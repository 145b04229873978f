"""Spoilt missions, made from real ones by a seeded hand: what a slip of the keyboard, a bad paste or a bad
will can put into a file.

Run as a program for a long search: ``python -m tests.mutations 200000 1``: so many inputs, from that seed on.
"""

from __future__ import annotations

import random
import re
import sys
import traceback
from collections import Counter
from copy import deepcopy
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

from tests.places import TESTS

HERE = TESTS
SMALL = tuple(sorted((HERE / "cases").glob("ok-*.yaml")))
LARGE = tuple(sorted((HERE.parent / "missions").glob("*.yaml")))
CHARACTERS = "\0\x07\x1b\u202e\u2066\u200b\ufeff\u2028\xa0\xad:#,[]{}&*!|>%@`'\"\\\t-?~<=é漢🛩"
WORDS = (
    "0",
    "-0",
    "-1",
    "1e308",
    "1e999",
    "nan",
    "inf",
    "-inf",
    "99999999999999999999",
    "0.0000001",
    "0x10",
    "1_000",
    "",
    "~",
    "null",
    "yes",
    "no",
    "0 lb",
    "-5 lb",
    "0 lb/h",
    "999999 lb",
    "0 KTAS",
    "900 KTAS",
    "5 KGS",
    "M0.99",
    "M9",
    "0 s",
    "-1 s",
    "999 h",
    "0.001 s",
    "0 ft MSL",
    "-1400 ft MSL",
    "60000 ft MSL",
    "FL999",
    "FL000",
    "0 ft AGL",
    "90°00.0'N 000°00.0'E",
    "90°00.0'S 180°00.0'W",
    "00°00.0'N 000°00.0'E",
    "89°59.9'N 179°59.9'E",
    "360 T",
    "000 T",
    "001 M",
    "000T/0kt",
    "270T/250kt",
    "-90 C",
    "60 C",
    "850 hPa",
    "1085 hPa",
    "0 nm",
    "0.01 nm",
    "9999 nm",
    "0 deg",
    "1 deg",
    "89 deg",
    "0 kt/s",
    "0.01 kt/s",
    "100 kt/s",
    "00:00 Z",
    "23:59:59 Z",
    "24:00 Z",
    "12:00 L",
    "00:00:60 Z",
    "12:00 base",
    "12:00 event",
    "T-0 s",
    "T+9999 s",
    "end of ANTHEM",
    "1900-01-01",
    "9999-12-31",
    "2027-03-28",
    "2024-02-29",
    "Etc/GMT+12",
    "Pacific/Kiritimati",
    "../../etc/passwd",
    "=1+1",
    "<script>alert(1)</script>",
    "{{ 7*7 }}",
    "[x](y)",
    "#",
)
NUMBER = re.compile(r"-?\d+(?:\.\d+)?")


@cache
def text_of(path: Path) -> str:
    """A mission as it lies there."""
    return path.read_text(encoding="utf-8")


@cache
def source_of(path: Path) -> Any:
    """A mission's tree with its places."""
    from briefgen.mission.files import read_text, with_book

    source, _ = read_text(text_of(path), path.name)
    return with_book(source, path.parent)[0]


# ---------------------------------------------------------------- text


def spoil_text(text: str, rng: random.Random) -> bytes:
    """One to three slips in a text, then perhaps one in its bytes."""
    for _ in range(rng.randint(1, 3)):
        text = rng.choice(TEXT_SLIPS)(text, rng)
    data = text.encode("utf-8", errors="replace")
    if rng.random() < 0.1 and data:
        place = rng.randrange(len(data))
        data = data[:place] + bytes([rng.randrange(256)]) + data[place + 1 :]
    return data


def _line_twice(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    lines.insert(rng.randrange(len(lines)), rng.choice(lines))
    return "\n".join(lines)


def _line_gone(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    del lines[rng.randrange(len(lines))]
    return "\n".join(lines)


def _indented(text: str, rng: random.Random) -> str:
    lines = text.split("\n")
    number = rng.randrange(len(lines))
    lines[number] = (
        " " * rng.randint(1, 4) + lines[number] if rng.random() < 0.5 else lines[number][rng.randint(1, 2) :]
    )
    return "\n".join(lines)


def _character(text: str, rng: random.Random) -> str:
    place = rng.randrange(len(text) + 1)
    return text[:place] + rng.choice(CHARACTERS) + text[place + rng.randint(0, 1) :]


def _cut(text: str, rng: random.Random) -> str:
    place = rng.randrange(len(text))
    return text[:place] + text[place + rng.randint(1, 30) :] if rng.random() < 0.9 else text[:place]


def _value(text: str, rng: random.Random) -> str:
    places = [found.span() for found in re.finditer(r"(?<=: )[^\s{\[#][^,}\]\n#]*", text)]
    if not places:
        return text
    start, end = rng.choice(places)
    return text[:start] + rng.choice(WORDS) + text[end:]


def _number(text: str, rng: random.Random) -> str:
    places = [found.span() for found in NUMBER.finditer(text)]
    if not places:
        return text
    start, end = rng.choice(places)
    return text[:start] + _other_number(text[start:end], rng) + text[end:]


TEXT_SLIPS = (_line_twice, _line_gone, _indented, _character, _cut, _value, _value, _number, _number, _number)


def _other_number(text: str, rng: random.Random) -> str:
    factor = rng.choice((0, -1, 0.001, 0.1, 0.5, 0.9, 1.1, 2, 10, 1000))
    value = float(text) * factor
    return (
        f"{value:.{len(text.partition('.')[2])}f}"
        if rng.random() < 0.8
        else str(rng.randint(0, 10 ** rng.randint(1, 12)))
    )


# ---------------------------------------------------------------- trees


def spoil_tree(tree: Any, rng: random.Random) -> Any:
    """One to three changed values or shapes in a tree of texts."""
    tree = deepcopy(tree)
    for _ in range(rng.randint(1, 3)):
        places = list(_places(tree))
        if places:
            _spoil_at(*rng.choice(places), tree, rng)
    return tree


def _places(tree: Any):
    steps = tree.items() if isinstance(tree, dict) else enumerate(tree) if isinstance(tree, list) else ()
    for step, value in steps:
        yield tree, step
        yield from _places(value)


def _spoil_at(around: Any, step: Any, tree: Any, rng: random.Random) -> None:
    value, kind = around[step], rng.random()
    if kind < 0.5 and isinstance(value, str) and (numbers := list(NUMBER.finditer(value))):
        start, end = rng.choice(numbers).span()
        around[step] = value[:start] + _other_number(value[start:end], rng) + value[end:]
    elif kind < 0.75:
        around[step] = rng.choice(WORDS)
    elif kind < 0.9:
        del around[step]
    elif kind < 0.95:
        other, key = rng.choice(list(_places(tree)))
        around[step] = deepcopy(other[key])
    else:
        around[step] = rng.choice(([], {}, [value], {"x": value}, [value] * 2))


# ---------------------------------------------------------------- what must hold for each


def try_one(seed: int) -> str:
    """Spoil one mission, read it, plan it when it can be read, word it now and then. How far it came;
    anything but diagnostics raises."""
    from briefgen.mission.load import load_mission_text, mission_of

    rng = random.Random(seed)
    kind = rng.random()
    if kind < 0.45:
        path = rng.choice(SMALL)
        mission, found = load_mission_text(spoil_text(text_of(path), rng), path.name, folder=path.parent)
    elif kind < 0.455:
        path = rng.choice(LARGE)
        mission, found = load_mission_text(spoil_text(text_of(path), rng), path.name, folder=path.parent)
    else:
        source = source_of(rng.choice(SMALL if kind < 0.98 else LARGE))
        mission, found = mission_of(replace(source, tree=spoil_tree(source.tree, rng)))
    if mission is None:
        assert any(d.severity == "error" for d in found), "refused without a word"
        assert all(d.message and d.code for d in found)
        return "refused"
    return _plan(mission, rng)


def _plan(mission: Any, rng: random.Random) -> str:
    from briefgen.plan.build import make_plan

    plan, found = make_plan(mission)
    if plan is None:
        assert any(d.severity == "error" for d in found), "not planned without a word"
        return "not planned"
    if rng.random() < 0.1:
        _word(plan)
        return "worded"
    return "planned"


def _word(plan: Any) -> None:
    """The plan as data and as printed figures, and the gates as a terminal prints them."""
    from briefgen.brief.slides.view.view import make_view, printed_view
    from briefgen.brief.wording.gates import figures_words
    from briefgen.core.context import Stamp
    from briefgen.export.plan_json import plan_json

    stamp = Stamp("", "x", "3333-3333-3333-3333", "3333", "0", "0")
    plan_json(plan, head={}, typed=plan.mission.source.tree, printed=printed_view(make_view(plan, stamp)))
    for gate in plan.gates:
        figures_words(gate)


def search(count: int, first: int) -> dict[str, tuple[int, str]]:
    """Faults by the place where they were raised: the first seed that found it, and its trace."""
    faults: dict[str, tuple[int, str]] = {}
    reached: Counter[str] = Counter()
    for seed in range(first, first + count):
        try:
            reached[try_one(seed)] += 1
        except Exception as error:
            frame = traceback.extract_tb(error.__traceback__)[-1]
            where = f"{type(error).__name__} {Path(frame.filename).name}:{frame.lineno}"
            reached["FAULT " + where] += 1
            if where not in faults:
                faults[where] = seed, traceback.format_exc()
                print(f"seed {seed}\n{traceback.format_exc()}", flush=True)
        if (seed - first) % 5000 == 4999:
            print(seed - first + 1, dict(reached), flush=True)
    return faults


if __name__ == "__main__":
    sys.exit(1 if search(int(sys.argv[1]), int(sys.argv[2])) else 0)
