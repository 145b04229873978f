"""Facts that have a key of their own and stand in a sentence only: told with the line to write. Nothing is
decided by such words."""

from __future__ import annotations

import re
from collections.abc import Iterator

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import given
from briefgen.units.grammar import Refusal, unit_of
from briefgen.units.parse_time import parse_before_leaving

_LOST_CONTACT = ("contingencies", "no_ground_contact")
_PART = re.compile(r"([0-9]+(?:\.[0-9]+)?) ?([A-Za-z]+)")
_UNITS = ("h", "min", "s")
_SECOND_PASS = re.compile(r"\b(?:second|another|further|next) pass\b", re.IGNORECASE)
WHY = "only a key decides; a sentence is printed as it stands"


def lost_contact_time_is_a_key(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """When the flight acts without its ground contact is ``after``, not a time in the trigger's sentence."""
    own = given(file, "event", "pass_", "no_ground_contact") is not None
    keys = ("event", "pass_", "no_ground_contact") if own else _LOST_CONTACT
    path = ("event", "pass", "no_ground_contact") if own else _LOST_CONTACT
    trigger, hold = given(file, *keys, "trigger"), given(file, "event", "pass_", "hold")
    if trigger is None or hold is None or given(file, *keys, "after") is not None:
        return
    if (time := _time_in(trigger)) is not None:
        message = "the time in this sentence moves with nothing"
        yield _told(check, (*path, "trigger"), message, "after", time)


def what_follows_is_a_key(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """That there is no second pass is ``then``, not words among what is flown after an abort."""
    action, flypast = given(file, "event", "pass_", "abort", "action"), given(file, "event", "pass_")
    if action is None or "then" in flypast.model_fields_set or not _SECOND_PASS.search(action):
        return
    yield _told(
        check,
        ("event", "pass", "over"),
        "what follows the pass stands in the words of the abort only",
        "then",
        "home",
    )


def _told(check: Checker, path: KeyPath, message: str, key: str, value: str) -> Diagnostic:
    """The new line goes below the line of ``path``, in braces before their end."""
    own, around = check.spans.key(path), check.spans.key(path[:-1])
    inside = own is not None and around is not None and own.line == around.line
    help = (
        f"add before the closing brace: , {key}: {value}"
        if inside
        else f"add a line below this one: {key}: {value}"
    )
    return check.caution("said-in-words", path, message, why=WHY, help=help)


def _time_in(sentence: str) -> str | None:
    """The first length of time in a sentence as ``after`` takes it: ``60 sec`` is ``60 s before leave-hold``;
    None without one that it takes."""
    found = [f"{number} {unit}" for number, word in _PART.findall(sentence) if (unit := _unit(word))]
    for count in (len(found), 1):
        text = f"{' '.join(found[:count])} before leave-hold"
        try:
            parse_before_leaving(text)
        except Refusal:
            continue
        return text
    return None


def _unit(word: str) -> str | None:
    unit = word if word in _UNITS else unit_of(word)
    return unit if unit in _UNITS else None
