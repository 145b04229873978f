"""The log that the ground contact's clock page copies out (render/html/clock_state.js), line by line.

A line is ``03:28:20 Z  Heard ANTHEM``. Undone lines and what undid them are left out. A line that isn't known
is kept as unknown and told.
"""

from __future__ import annotations

import re
from typing import Literal

from briefgen.brief.wording.spoken import digits_spoken
from briefgen.core.records import record

_LINE = re.compile(r"(?P<at>[0-2][0-9]:[0-5][0-9]:[0-5][0-9]) Z\s+(?P<undone>\[undone\] )?(?P<words>.+)")
_HEAD = re.compile(
    r".*Ground contact's log, times by the clock as set\.(?:.*cards read (?P<spoken>[A-Z0-9]{4})\.?)?"
)
Kind = Literal[
    "heard",
    "tapped",
    "station",
    "left",
    "said",
    "asked",
    "answer",
    "read back",
    "not read back",
    "abort",
    "abort heard",
    "hack",
    "hand",
    "party",
    "undo",
    "note",
    "unknown",
]
_KINDS: tuple[tuple[Kind, re.Pattern[str]], ...] = (
    ("heard", re.compile(r"Heard (?P<what>[A-Z][A-Z0-9_]{0,11})")),
    ("tapped", re.compile(r"Tapped [A-Z][A-Z0-9_]{0,11}: doubted|That tap was a mistake")),
    ("station", re.compile(r"Flight on station")),
    ("left", re.compile(r"Flight left the hold")),
    ("said", re.compile(r"SAID: (?P<what>.+)")),
    ("asked", re.compile(r"ASKED: (?P<what>.+)")),
    ("answer", re.compile(r"The flight (?:accepts|does NOT accept)")),
    ("read back", re.compile(r"Read back correctly")),
    ("not read back", re.compile(r"NOT read back")),
    ("abort", re.compile(r"ABORT SAID: (?P<what>.*)")),
    ("abort heard", re.compile(r"ABORT HEARD by the flight")),
    ("hack", re.compile(r"Clock set by hack at .+")),
    (
        "hand",
        re.compile(
            r"True time (?:moved by hand to|follows the script|as planned|moved with the pass before).+"
        ),
    ),
    ("party", re.compile(r".+ acknowledges [0-9:]{8} Z")),
    ("undo", re.compile(r"Undone: .+")),
    ("note", re.compile(r"The phone.+")),
)
_DIGITS = {digits_spoken(digit): digit for digit in "0123456789"}
_NEW_TIME = re.compile(r"Old true time: (?P<old>[a-z ]+) Zulu\. New true time: (?P<new>[a-z ]+) Zulu\.")
_SECONDS = re.compile(
    rf"\b(?P<way>fast|slow) (?:a further )?(?P<number>(?:{'|'.join(_DIGITS)})(?: (?:{'|'.join(_DIGITS)}))*)"
    r" seconds?\b",
    re.IGNORECASE,
)


@record
class Entry:
    """One line: ``line`` counts from 0 in the log; ``at`` is its Zulu time as written; ``kind`` is "unknown"
    where it isn't known."""

    line: int
    at: str
    kind: Kind
    what: str = ""


@record
class Log:
    """``spoken``: the four characters of the plan that the clock was made for, empty where the log has no
    head."""

    spoken: str
    entries: tuple[Entry, ...]


def read_log(text: str) -> Log:
    """The log's entries in their order, undone ones left out."""
    spoken, entries = "", []
    for number, line in enumerate(text.splitlines()):
        if head := _HEAD.fullmatch(line.strip()):
            spoken = head["spoken"] or ""
        elif line.strip() and (entry := _entry(number, line.strip())) is not None:
            entries.append(entry)
    return Log(spoken, tuple(entries))


def _entry(number: int, line: str) -> Entry | None:
    found = _LINE.fullmatch(line)
    if found is None:
        return Entry(number, "", "unknown", line)
    if found["undone"]:
        return None
    for kind, pattern in _KINDS:
        if match := pattern.fullmatch(found["words"]):
            return Entry(number, found["at"], kind, match.groupdict().get("what") or "")
    return Entry(number, found["at"], "unknown", found["words"])


def times_said(sentence: str) -> tuple[str, str] | None:
    """Old and new true time as ``hhmmss`` from the sentence that gives a new one; None for any other
    sentence."""
    found = _NEW_TIME.search(sentence)
    times = (_number(found["old"]), _number(found["new"])) if found else ("", "")
    return times if all(len(time) == 6 for time in times) else None


def seconds_said(sentence: str) -> float | None:
    """The change from "slow one two seconds" (+12) or "fast five seconds" (-5); None for any other
    sentence."""
    found = _SECONDS.search(sentence)
    return (
        None
        if found is None
        else float(_number(found["number"])) * (-1 if found["way"].lower() == "fast" else 1)
    )


def _number(spoken: str) -> str:
    return "".join(_DIGITS.get(word, "?") for word in spoken.lower().split()).replace("?", "")
