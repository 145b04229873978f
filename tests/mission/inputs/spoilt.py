"""Spoilt texts and files for every reader of what comes from elsewhere, made of whole ones by a seeded hand.

Run as a program for a long search: ``python -m tests.mission.inputs.spoilt 200000 1``: so many inputs, from
that seed on.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from functools import cache
from pathlib import Path

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.inputs.obstacle_files import include_obstacle_files
from briefgen.mission.inputs.place_files import include_place_files
from briefgen.mission.inputs.read_report import read_report
from briefgen.mission.inputs.report import Report, WindsText
from briefgen.mission.inputs.terrain_files import find_terrain_files, read_terrain
from briefgen.mission.inputs.winds_text import read_winds
from briefgen.mission.inputs.words import normal_words
from briefgen.mission.load import load_mission_text
from briefgen.mission.read.characters import refused_in_value
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import Source, scalars
from tests.mission.inputs.place_texts import WHOLE, bounded, naming
from tests.mission.inputs.published_reports import REPORTS
from tests.mission.mission_texts import PASS_ONLY

# most inputs get structure alone: a refused sign ends the reading of a file before its reader begins
PLAIN = (
    *(
        "<",
        ">",
        "&",
        '"',
        "'",
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
        "-->",
        "/>",
        "0",
    ),
    *(
        "&lt;script&gt;",
        "\\u0041",
        "nan",
        "1e400",
        "9e999",
        "1e-7",
        "-",
        "99999999999999999999",
        "null",
        "true",
        "é",
        "id",
    ),
    *(
        "=1+1",
        "{{ 7*7 }}",
        "&#49;",
        "9",
        "1",
        ".",
        " ",
        "<name>A</name>",
        "datum",
        "1,1",
        "[1,1],",
        "\t",
        "½",
    ),
)
BITS = (
    *(*PLAIN, "\0", "&#0;", "&#x202e;", "&#x1b;", "<!DOCTYPE a [<!ENTITY b 'c'>]>", "&b;", "<?xml?>"),
    *("PK\x03\x04", "\ud800", "\\u0000", "\\u001b", "\\u202e", "\\ud800", "\u202e", "\ufeff", "\r", "٣"),
)
WORDS = (
    *(
        "TEMPO",
        "BECMG",
        "PROB30",
        "PROB40 TEMPO",
        "FM292330",
        "RMK",
        "=",
        "TAF",
        "METAR",
        "NIL",
        "CNL",
        "AMD",
    ),
    *(
        "WS",
        "//",
        "2918/3024",
        "00000KT",
        "VRB99G99KT",
        "P6SM",
        "M1/4SM",
        "1 1/2SM",
        "9999",
        "CAVOK",
        "VV///",
    ),
    *("FL100 270/35 M05", "FT", "9900", "TEMPS NEG ABV 24000", "FOR USE 2000-0300Z", "\u202e", "٣", "<b>"),
)
OBSTACLES = {
    "o.csv": "id,name,lat,lon,top,unit\nM1,Mast,59°50.0'N,010°40.0'E,900,ft MSL\nM2,,59.7,10.5,450,ft MSL\n",
    "o.geojson": WHOLE["p.geojson"].replace('"elevation": "40 ft MSL"', '"top": "400 ft MSL"'),
}
GRID = "ncols 4\nnrows 3\nxllcorner 10.0\nyllcorner 59.0\ncellsize 0.25\nNODATA_value -9999\n"
TILES = {"t.asc": GRID + "1 20 300 -9999\n5.5 60 70 80\n0 -3 12 1290\n", "N59E010.hgt": "\0\1" * 500}
WINDS = (
    "FD1US1 DATA BASED ON 300000Z VALID 300600Z FOR USE 0200-0900Z. TEMPS NEG ABV 24000\n"
    "FT 3000 6000 9000 12000 18000 24000\nABI 2024 2331+10 2335+05 2340-02 2350-15 236030",
    "0FT 200/12 21 5000FT 230/20 12 18000FT 260/45 M16 FL240 265/55 M28",
)


def spoilt(text: str, chance: random.Random, words: tuple[str, ...] = ()) -> str:
    """One to six places of a text taken out, doubled, exchanged or written over."""
    bits = (*(BITS if chance.random() < 0.3 else PLAIN), *words)
    for _ in range(chance.choice((1, 1, 1, 2, 3, 6))):
        start = chance.randrange(len(text))
        end = min(len(text), start + chance.choice((0, 1, 2, 8, 60)))
        bit = chance.choice((*bits, text[start:end] * 2, "", text[chance.randrange(len(text)) :][:20]))
        text = (text[:start] + bit + text[end:]) or "x"
    return text


def _bytes(text: str, chance: random.Random) -> bytes:
    data = text.encode("utf-8", errors="surrogatepass")
    if chance.random() < 0.05:
        place = chance.randrange(len(data))
        data = data[:place] + bytes([chance.randrange(256)]) + data[place + 1 :]
    return data


@cache
def _source(text: str) -> Source:
    source, _ = read_source(text, "m.yaml")
    assert source is not None
    return source


def _told(problems: list[Diagnostic]) -> str:
    """Every problem has its place and its words, and no file has more than somebody can read."""
    assert all(problem.span is not None and problem.message for problem in problems)
    assert len(problems) < 500
    return "refused" if any(problem.severity == "error" for problem in problems) else "read"


def _printable(source: Source) -> None:
    """What a file put into the tree has no sign that cannot be printed."""
    assert not any(refused_in_value(text) for path, text in scalars(source.tree) if path[-1] != "position")


def _file(
    texts: dict[str, str], mission: Callable[[str], str], include, folder: Path, chance: random.Random
) -> str:
    name = chance.choice(sorted(texts))
    (folder / name).write_bytes(_bytes(spoilt(texts[name], chance), chance))
    text = mission(name)
    read, problems = include(_source(text), folder)
    _printable(read)
    if chance.random() < 0.02:
        problems = problems + load_mission_text(text, "m.yaml", folder=folder)[1]
    return _told(problems)


def places(folder: Path, chance: random.Random) -> str:
    return _file(WHOLE, naming, include_place_files, folder, chance)


def outlines(folder: Path, chance: random.Random) -> str:
    texts = {name: text for name, text in WHOLE.items() if name in ("p.kml", "p.geojson")}
    return _file(texts, lambda name: bounded(f"file: {name}"), include_place_files, folder, chance)


def obstacles(folder: Path, chance: random.Random) -> str:
    def listed(name: str) -> str:
        return f"{PASS_ONLY}obstacles: {{files: [{name}], source: chart, date: 2027-01-01}}\n"

    return _file(OBSTACLES, listed, include_obstacle_files, folder, chance)


def tiles(folder: Path, chance: random.Random) -> str:
    def listed(name: str) -> str:
        return f"{PASS_ONLY}terrain: {{files: [{name}], product: survey}}\n"

    def read(source: Source, there: Path) -> tuple[Source, list[Diagnostic]]:
        source, problems = find_terrain_files(source, there)
        source, found = read_terrain(source)
        return source, [*problems, *found]

    return _file(TILES, listed, read, folder, chance)


def reports(_: Path, chance: random.Random) -> str:
    _, kind, text, _, _ = chance.choice(REPORTS)
    text = spoilt(text, chance, WORDS)
    found = read_report(text, kind)
    if isinstance(found, Report):
        assert " ".join(token.text for token in found.tokens).split() == normal_words(text), "a word is lost"
        return "read"
    assert found.message and found.help
    return "refused"


def winds(_: Path, chance: random.Random) -> str:
    text = spoilt(chance.choice(WINDS), chance, WORDS)
    found = read_winds(text)
    if isinstance(found, WindsText):
        told = " ".join(token.text for token in found.tokens).split()
        assert told == normal_words(text.replace(";", " ")), "a word is lost"
        return "read"
    assert found.message and found.help
    return "refused"


READERS = (places, outlines, obstacles, reports, winds, tiles)


def try_one(seed: int, folder: Path) -> tuple[str, str]:
    """Spoil one input and read it: its reader, and what became of it; anything but diagnostics raises."""
    reader = READERS[seed % len(READERS)]
    return reader.__name__, reader(folder, random.Random(seed))


def search(
    count: int, first: int, folder: Path
) -> tuple[Counter[tuple[str, str]], dict[str, tuple[int, str]]]:
    """How many came how far, and each fault by its place: the first seed that found it, and its trace."""
    faults: dict[str, tuple[int, str]] = {}
    reached: Counter[tuple[str, str]] = Counter()
    for seed in range(first, first + count):
        try:
            reached[try_one(seed, folder)] += 1
        except Exception as error:
            frame = traceback.extract_tb(error.__traceback__)[-1]
            where = f"{type(error).__name__} {Path(frame.filename).name}:{frame.lineno}"
            reached["FAULT", where] += 1
            faults.setdefault(where, (seed, traceback.format_exc()))
    return reached, faults


def main() -> int:
    count, first, step = int(sys.argv[1]), int(sys.argv[2]), 5000
    total: Counter[tuple[str, str]] = Counter()
    with tempfile.TemporaryDirectory() as folder:
        for start in range(first, first + count, step):
            began = time.monotonic()
            reached, faults = search(min(step, first + count - start), start, Path(folder))
            total += reached
            for seed, trace in faults.values():
                print(f"seed {seed}\n{trace}", flush=True)
            print(start - first + step, f"{time.monotonic() - began:.0f} s", dict(total), flush=True)
    return any(kind == "FAULT" for kind, _ in total)


if __name__ == "__main__":
    sys.exit(main())
