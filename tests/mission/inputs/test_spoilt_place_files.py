"""Spoilt files of places, with a fixed seed: none of them stops the program."""

import random

import pytest

from briefgen.mission.inputs.place_files import include_place_files
from briefgen.mission.load import load_mission_text
from briefgen.mission.read.source import read_source
from tests.mission.inputs.place_texts import WHOLE, naming

BITS = (
    "<",
    ">",
    "&",
    '"',
    "'",
    "\0",
    "\n",
    ",",
    ";",
    "{",
    "}",
    "[",
    "]",
    "]]>",
    "<!--",
    "<![CDATA[",
    "&#0;",
    "\ud800",
    "\\u0000",
    "\\ud800",
    "nan",
    "1e400",
    "-",
    "99999999999999999999",
    "null",
    "true",
    "\u202e",
    "\ufeff",
    "é",
    "id",
)


def mutated(text: str, chance: random.Random) -> bytes:
    """One to six places of a text taken out, doubled, exchanged or written over."""
    for _ in range(chance.randint(1, 6)):
        start = chance.randrange(len(text))
        end = min(len(text), start + chance.choice((0, 1, 2, 8, 60)))
        bit = chance.choice((*BITS, text[start:end] * 2, "", text[chance.randrange(len(text)) :][:20]))
        text = (text[:start] + bit + text[end:]) or "x"
    return text.encode("utf-8", errors="surrogatepass")


@pytest.mark.slow
@pytest.mark.parametrize("name", sorted(WHOLE))
def test_no_file_stops_the_program(tmp_path, name):
    """500 spoilt files of each format: every one is read, or refused with its place; each twentieth is
    checked as a whole mission is."""
    chance, refused = random.Random(f"20270504 {name}"), 0
    area = f"training: {{area: {{boundary: {{file: {name}}}}}}}\n" if name in ("p.kml", "p.geojson") else ""
    text = naming(name) + area
    source, _ = read_source(text, "m.yaml")
    for number in range(500):
        (tmp_path / name).write_bytes(mutated(WHOLE[name], chance))
        read, problems = include_place_files(source, tmp_path)
        if number % 20 == 0:
            problems += load_mission_text(naming(name), "m.yaml", folder=tmp_path)[1]
        assert isinstance(read.tree["places"], dict)
        assert all(d.span and d.message for d in problems)
        refused += bool(problems)
    assert 100 < refused < 500
