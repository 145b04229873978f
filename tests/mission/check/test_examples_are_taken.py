"""Every line that a message offers is tried: written where the message stands, the next run must not say the
same there. The corpus: every file of tests/cases, and the slips of test_hints.py and test_doubts.py.

What offers no line that could be written at one key stands in NO_LINE, by its code, with the reason.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache

import pytest

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.load import load_mission_text, mission_from
from briefgen.mission.read.source import read_source
from briefgen.mission.read.tree import Source
from tests.mission.check.test_doubts import DOUBTS
from tests.mission.check.test_hints import MENDED
from tests.mission.check.test_levels import OFFERED
from tests.mission.mission_texts import START, changed, regatta
from tests.places import TESTS

CASES = TESTS / "cases"
ONE_OF_TWO = "either of two places may be the wrong one, and only a person knows which"
A_FACT = "a figure or a name that only the unit knows"
NO_LINE = {
    "cue-without-length": A_FACT,
    "cues-out-of-order": ONE_OF_TWO,
    "boundary": "an order of corners",
    "date": ONE_OF_TWO,
    "duplicate-crew": ONE_OF_TWO,
    "duplicate-id": ONE_OF_TWO,
    "duplicate-level": ONE_OF_TWO,
    "duplicate-preset": ONE_OF_TWO,
    "duplicate-ship": ONE_OF_TWO,
    "duplicate-tail": ONE_OF_TWO,
    "formation": ONE_OF_TWO,
    "lands-elsewhere": "a line more in a list of legs",
    "mark-outside-cue": A_FACT,
    "misplaced-key": "an indent, and not a value",
    "missing-key": "a text that only the unit knows: the others give an example",
    "no-cue": "a line with its key, or a hold",
    "no-density": "a line of the aircraft, told at each fuel",
    "no-value": A_FACT,
    "nothing-to-do": "a whole section",
    "order": ONE_OF_TWO,
    "own-successor": A_FACT,
    "same-frequency": ONE_OF_TWO,
    "same-place": ONE_OF_TWO,
    "shape": "brackets around what stands there",
    "ship-number": "the numbers of a whole list",
    "ship-order": "the order of a list",
    "temperatures-apart": ONE_OF_TWO,
    "time-far": ONE_OF_TWO,
    "time-no-event": "the clock alone, behind the time that stands there",
    "unknown-cue": A_FACT,
    "unknown-place": A_FACT,
    "unknown-preset": A_FACT,
    "unknown-ship": A_FACT,
    "unlikely": A_FACT,
    "value": A_FACT,
    "zero": A_FACT,
}
_END = r"(?=;| if |, else|, or (?:leave|give|what|type)|, the zone| \((?!\+)|\?|$)"
_LINE = re.compile(rf"(?:^|; )(?:write (?:at most (?:the \w+, )?)?(?!it)|did you mean )(?P<lines>.+?){_END}")
_LIKE = re.compile(r"write it like this, for example: (?P<lines>.+)$")
_BESIDE = re.compile(
    r"^add (?:`[\w.]+`|it)(?: to `(?P<to>[\w.]+)`)?, for example `(?P<key>\w+): (?P<line>[^`]+)`"
)
_VALUE = re.compile(r"^for example (?P<lines>[^`]+)$")


def offered(told: Diagnostic) -> Iterator[tuple[KeyPath, str]]:
    """Each key with a line that the help offers for it."""
    if beside := _BESIDE.match(told.help):
        section = tuple(beside["to"].split(".")) if beside["to"] else told.cause
        inside = section[-1:] != (beside["key"],)
        yield (*section, beside["key"]) if inside else section, beside["line"]
        return
    found = _LINE.search(told.help) or _LIKE.search(told.help) or _VALUE.search(told.help)
    if told.code == "time-no-event":  # the clock alone is told: it goes behind the time that stands there
        return
    for line in re.split(r", | or ", re.sub(r" \([^)]*\)", "", found["lines"])) if found else ():
        if "`" not in line:
            yield told.cause, line


def again(source: Source, found: list[Diagnostic], told: Diagnostic, line: tuple[KeyPath, str]) -> list[str]:
    """What the next run says of the same at the same key."""
    path, typed = line
    section = source.at(path[:-1])
    if isinstance(section, dict) and path[-1] in section and told.span == source.spans.key(path):
        source, path = renamed(source, path, typed), (*path[:-1], typed)
        _, problems = mission_from(source, found, CASES, [])
    else:
        _, problems = mission_from(source, found, CASES, [(dotted(path), typed)])
    return [
        f"{d.code} at {dotted(path)}: {typed}" for d in problems if (d.code, d.cause) == (told.code, path)
    ]


def renamed(source: Source, path: KeyPath, name: str) -> Source:
    """With another key for what stands at a path."""
    section = source.at(path[:-1])
    assert isinstance(section, dict)
    return source.with_value(
        path[:-1], {name if key == path[-1] else key: value for key, value in section.items()}
    )


def dotted(path: KeyPath) -> str:
    """As edits are typed: positions count from 1."""
    return ".".join(str(step + 1) if isinstance(step, int) else step for step in path)


@cache
def corpus() -> tuple[tuple[str, Source | None, list[Diagnostic]], ...]:
    """Each file with its source, None where it has no tree, and what is said when it is read."""
    texts: list[tuple[str, bytes]] = [(path.stem, path.read_bytes()) for path in sorted(CASES.glob("*.yaml"))]
    hints = [(name, START, row[0], row[1].format(row[2])) for name, row in MENDED.items()]
    doubts = [(row[1], regatta(), row[0], row[1]) for row in (*DOUBTS, *OFFERED) if row[0] in regatta()]
    for name, text, old, new in (*hints, *doubts):
        texts.append((name, changed(text, old, new).encode()))
    return tuple((name, *read_source(text, f"{name}.yaml")) for name, text in texts)


@cache
def told_in() -> tuple[tuple[str, Source, list[Diagnostic], Diagnostic], ...]:
    return tuple(
        (name, source, found, told)
        for name, source, found in corpus()
        if source is not None
        for told in mission_from(source, found, CASES, [])[1]
    )


def test_every_line_that_is_offered_is_taken_at_its_key():
    wrong = [
        f"{name}: {said}"
        for name, source, found, told in told_in()
        if told.cause
        for line in offered(told)
        for said in again(source, found, told, line)
    ]
    assert wrong == []


def test_what_offers_no_line_says_why():
    silent = {told.code for *_, told in told_in() if told.cause and not list(offered(told))}
    assert silent == set(NO_LINE)


def test_the_corpus_offers_lines_of_many_kinds():
    lines = [told.code for *_, told in told_in() if told.cause for _ in offered(told)]
    assert len(lines) > 100 and len(set(lines)) > 15


# a line of the regatta, what is typed in its place, and what is proposed: taken by the next run
PROPOSED = [
    # 120 L and 40 US gal have no weight here, and 300 kg is another unit than the aircraft's
    ("climb_fuel: 100 lb", "climb_fuel: some", "5500 lb"),
    ("time: end of ANTHEM", "time: after the song", "end of ANTHEM or 14:30:02 event"),
    # 280 KGS would be less than the run-in's 300
    ("    push_up_to: 390 KGS\n", "", "`push_up_to: 360 KGS`"),
]


@pytest.mark.parametrize(("old", "new", "proposed"), PROPOSED, ids=[row[2] for row in PROPOSED])
def test_an_example_is_one_that_this_mission_takes(old, new, proposed):
    problems = [
        d for d in load_mission_text(changed(regatta(), old, new), "m.yaml")[1] if d.severity == "error"
    ]
    assert [d.help.partition("example")[2].lstrip(": ") for d in problems] == [proposed]


def test_a_litre_without_a_density_asks_for_both_at_once():
    text = changed(regatta(), "climb_fuel: 100 lb", "climb_fuel: 120 litres")
    (problem,) = [d for d in load_mission_text(text, "m.yaml")[1] if d.severity == "error"]
    assert problem.help.startswith("write 120 L, and add the density to aircraft.petrel, ")
