"""Ids and numbers that point to something else in the file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from briefgen.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check_record import Checker
from briefgen.mission.schema import MissionFile
from briefgen.mission.schema_base import RESERVED_ID, WORD_PATTERN, did_you_mean, nearest_word
from briefgen.mission.schema_home import Contingencies


def _choose(word: str, known: Iterable[str], none: str) -> str:
    """The nearest known word, else all of them."""
    known = list(known)
    return did_you_mean(word, known).removeprefix("; ") or (f"known are {', '.join(known)}" if known else none)


def places_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every id of a place stands in ``places``."""
    help_none = "add it to `places`"
    for path, id in _place_ids(file):
        if id not in file.places:
            yield check.error("unknown-place", path, f"there is no place {id}", why="it has no position", help=_choose(id, file.places, help_none))
    for id in file.weather.at if file.weather else ():
        if id == RESERVED_ID and file.training is None:
            yield check.at_key(
                "unknown-place", ("weather", "at", id), f"{id} is the training area, but the mission has no training",
                why="weather of nowhere", help="delete the line",
            )  # fmt: skip
        elif id != RESERVED_ID and id not in file.places:
            yield check.at_key(
                "unknown-place", ("weather", "at", id), f"there is no place {id}", why="it has no position",
                help=_choose(id, [*file.places, RESERVED_ID], help_none),
            )  # fmt: skip
    recovery, base = file.recovery, file.ground_ops.base
    if recovery and recovery.alternate and recovery.alternate.place == base:
        yield check.error(
            "same-place", ("recovery", "alternate", "place"), f"{base} is the base", why="an alternate is another airfield", help="name another place"
        )


def _place_ids(file: MissionFile) -> Iterator[tuple[KeyPath, str]]:
    yield ("ground_ops", "base"), file.ground_ops.base
    yield from ((("departure", i, "to"), leg.to) for i, leg in enumerate(file.departure))
    if file.training and file.training.leave:
        yield ("training", "leave", "by"), file.training.leave.by
    yield from ((("transit", i, "to"), leg.to) for i, leg in enumerate(file.transit))
    if file.event:
        yield ("event", "pass", "over"), file.event.pass_.over
        if file.event.pass_.hold:
            yield ("event", "pass", "hold", "at"), file.event.pass_.hold.at
        yield ("event", "pass", "run_in", "from"), file.event.pass_.run_in.from_
    if file.recovery:
        yield from ((("recovery", "legs", i, "to"), leg.to) for i, leg in enumerate(file.recovery.legs))
        yield from ((("recovery", "diverts", i), id) for i, id in enumerate(file.recovery.diverts))
        if file.recovery.alternate:
            yield ("recovery", "alternate", "place"), file.recovery.alternate.place


def aircraft_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every ship flies a type of ``aircraft``."""
    for i, ship in enumerate(file.flight):
        if ship.aircraft not in file.aircraft:
            help = _choose(ship.aircraft, file.aircraft, "add it to `aircraft`")
            yield check.error(
                "unknown-aircraft", ("flight", i, "aircraft"), f'there is no aircraft "{ship.aircraft}"', why="its figures are not known", help=help
            )


def ships_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every number of a ship belongs to one of the flight."""
    known = {ship.ship for ship in file.flight}
    for path, number, is_key in _ship_numbers(file):
        if number not in known:
            message, help = f"there is no ship {number} in the flight", f"the flight has ships {', '.join(map(str, sorted(known)))}"
            say = check.at_key if is_key else check.error
            yield say("unknown-ship", path, message, why="what stands here would belong to nobody", help=help)
    for number, fall_out in file.contingencies.fall_outs.items():
        if fall_out.leads == number:
            yield check.error(
                "own-successor", ("contingencies", "fall_outs", str(number), "leads"), f"ship {number} cannot lead when it has fallen out",
                why="nobody would lead", help="name another ship",
            )  # fmt: skip


def _ship_numbers(file: MissionFile) -> Iterator[tuple[KeyPath, int, bool]]:
    """Key path, number, and whether the number is a key."""
    yield from ((("training", "yardstick", str(n)), n, True) for n in (file.training.yardstick if file.training else ()))
    if file.event:
        yield from ((("event", "pass", "run_in", "offsets", i, "ship"), o.ship, False) for i, o in enumerate(file.event.pass_.run_in.offsets))
    for i, preset in enumerate(file.radio):
        yield from ((("radio", i, "listens", j), n, False) for j, n in enumerate(preset.listens))
    for number, fall_out in file.contingencies.fall_outs.items():
        yield ("contingencies", "fall_outs", str(number)), number, True
        if fall_out.leads:
            yield ("contingencies", "fall_outs", str(number), "leads"), fall_out.leads, False


def presets_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A preset is given once, and those that are used are given."""
    first: dict[int, int] = {}
    for i, row in enumerate(file.radio):
        if row.preset in first:
            related = (("the first stands here", ("radio", first[row.preset], "preset")),)
            yield check.error(
                "duplicate-preset",
                ("radio", i, "preset"),
                f"preset {row.preset} is given twice",
                why="one button holds one frequency",
                help="delete one of the two, or give it another number",
                related=related,
            )
        first.setdefault(row.preset, i)
    ground = file.event.ground_contact if file.event else None
    for key in ("primary", "backup"):
        number = getattr(ground, key, None)
        if isinstance(number, int) and number not in first:
            help = f"`radio` has presets {', '.join(map(str, first))}" if first else "add it to `radio`, or write the frequency here"
            yield check.error(
                "unknown-preset",
                ("event", "ground_contact", key),
                f"`radio` has no preset {number}",
                why="the card would show no frequency",
                help=help,
            )


def runway_exists(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The runway in use is one of the base's, where the base lists any."""
    base, runway = file.places.get(file.ground_ops.base), file.ground_ops.runway
    names = [r.name for r in base.runways] if base else []
    if runway and names and runway not in names:
        yield check.error(
            "unknown-runway", ("ground_ops", "runway"), f"{file.ground_ops.base} has no runway {runway}", why="wind across and along it could not be told",
            help=_choose(runway, names, f"add it to the runways of {file.ground_ops.base}"),
        )  # fmt: skip


def cue_exists(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The cue on which the time over target hangs is in the script, and has a length."""
    cue_id = file.event.cue_of_t if file.event else None
    if file.event is None or cue_id is None:
        return
    path: KeyPath = ("event", "pass", "time")
    cue = file.event.script.get(cue_id)
    if cue is None:
        help = _choose(cue_id, file.event.script, "add a `script` to the event, or write a clock time")
        yield check.error("unknown-cue", path, f"there is no cue {cue_id} in the script", why="the time over target hangs on it", help=help)
    elif cue.lasts is None:
        related = (("the time over target hangs on its end", path),)
        where: KeyPath = ("event", "script", cue_id)
        yield check.error(
            "cue-without-length", where, f"{cue_id} has no `lasts`", why="its end is the time over target", help="add `lasts: 116 s`", related=related
        )


def marks_are_told_apart(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Each id of the script is given once, and a mark lies within its cue."""
    seen: dict[str, KeyPath] = {id: ("event", "script", id) for id in (file.event.script if file.event else ())}
    for id, cue in (file.event.script if file.event else {}).items():
        for mark, after_s in cue.marks.items():
            path: KeyPath = ("event", "script", id, "marks", mark)
            if mark in seen:
                related = (("the other stands here", seen[mark]),)
                yield check.error(
                    "duplicate-id", path, f"{mark} is the id of two things in the script", why="a tap on the clock could mean either",
                    help="give one of the two another name", related=related,
                )  # fmt: skip
            seen.setdefault(mark, path)
            if cue.lasts is not None and after_s >= cue.lasts:
                related = (("its length", ("event", "script", id, "lasts")),)
                yield check.error(
                    "mark-outside-cue",
                    path,
                    f"{mark} comes at or after the end of {id}",
                    why="it would tell nothing about the end of its own cue",
                    help="a mark counts from the beginning of its cue",
                    related=related,
                )


def contingencies_are_spelt(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """One of the unit's own that is nearly one of the named ones may be a slip."""
    named = [key for key in Contingencies.model_fields if getattr(file.contingencies, key) is None]
    for key in file.contingencies.__pydantic_extra__ or {}:
        if not re.fullmatch(WORD_PATTERN, key):
            help = "for example bird_strike"
            yield check.at_key("key", ("contingencies", key), f'"{key}" is no name of a contingency: small letters, digits, - and _', why="the gates and the cards go by the name", help=help)
        if word := nearest_word(key, named):
            why = f"the gates look for {word}, and will not find it"
            yield check.at_key(
                "near-miss", ("contingencies", key), f"`{key}` is taken as one of your own", why=why, help=f"did you mean {word}?", severity="caution"
            )
