"""Ids and numbers that point to something else in the file."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from briefgen.core.diagnostics import Diagnostic, KeyPath
from briefgen.mission.check.checker import Checker, reports_in
from briefgen.mission.resolve.weather import FIGURES, says
from briefgen.mission.schema.base import (
    FROM_PHASES,
    ID_PATTERN,
    RESERVED_ID,
    WORD_PATTERN,
    nearest_word,
    suggestion,
)
from briefgen.mission.schema.event import Cue
from briefgen.mission.schema.home import Contingencies
from briefgen.mission.schema.limits import RadioPreset
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import as_far_as_read, given


def _choose(word: str, known: Iterable[str], none: str) -> str:
    """The nearest known word, else all of them."""
    known = list(known)
    return suggestion(word, known) or (f"known are {', '.join(known)}" if known else none)


def _is_declared(id: str, known: Iterable[str], form: str) -> bool:
    """True where the id is there, or was meant to be: one that is declared in a wrong form, which is told
    there, will be mended to it."""
    near = id if id in known else nearest_word(id, known)
    return near == id or (near is not None and not re.fullmatch(form, near))


# key paths (a star stands for any step) of the values that are ids of places, and of those that are numbers
# of ships
PLACES: tuple[tuple[str, ...], ...] = (
    ("ground_ops", "base"),
    ("departure", "*", "to"),
    ("training", "leave", "by"),
    ("transit", "*", "to"),
    ("event", "pass", "over"),
    ("event", "pass", "hold", "at"),
    ("event", "pass", "run_in", "from"),
    ("recovery", "legs", "*", "to"),
    ("recovery", "diverts", "*"),
    ("recovery", "alternate", "place"),
)
SHIPS: tuple[tuple[str, ...], ...] = (
    ("event", "pass", "run_in", "offsets", "*", "ship"),
    ("radio", "*", "listens", "*"),
    ("contingencies", "fall_outs", "*", "leads"),
)
_NO_PLACE = "add it to `places`"


def places_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every id of a place stands in ``places``."""
    for path, id in check.at(*PLACES):
        if not _is_declared(id, file.places, ID_PATTERN):
            message = (
                f"{id} is the training area, here a place is wanted"
                if id == RESERVED_ID
                else f"there is no place {id}"
            )
            yield check.error(
                "unknown-place",
                path,
                message,
                why="it has no position",
                help=_choose(id, file.places, _NO_PLACE),
            )


def presets_begin_somewhere(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A preset is taken from a place of ``places`` on, or from a phase."""
    for path, value in check.at(("radio", "*", "from")):
        if value in FROM_PHASES or _is_declared(value, file.places, ID_PATTERN):
            continue
        known = [*FROM_PHASES, *file.places]
        yield check.error(
            "unknown-place",
            path,
            f"there is neither a place nor a phase {value}",
            why="the card has no such line to print the preset on",
            help=suggestion(value, known)
            or f"phases are {', '.join(FROM_PHASES)}; places are ids of `places`",
        )


def weather_is_of_places(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The forecasts are for places of the file, and for the area where there is training."""
    for id in file.weather.at if file.weather else ():
        path: KeyPath = ("weather", "at", id)
        if id == RESERVED_ID and file.training is None:
            message = f"{id} is the training area, but the mission has no training"
            yield check.at_key(
                "unknown-place", path, message, why="weather of nowhere", help="delete the line"
            )
        elif id != RESERVED_ID and not _is_declared(id, file.places, ID_PATTERN):
            help = _choose(id, [*file.places, RESERVED_ID], _NO_PLACE)
            yield check.at_key(
                "unknown-place", path, f"there is no place {id}", why="it has no position", help=help
            )


def reports_are_of_aerodromes(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The training area has no report of its own."""
    area = (given(file, "weather", "at") or {}).get(RESERVED_ID)
    for key in reports_in(area):
        message = f"{RESERVED_ID} is no aerodrome: a {key.upper()} says nothing of the whole area"
        why, help = "its cloud counts above its own aerodrome", "type cloud and visibility of the area"
        yield check.at_key("report", ("weather", "at", RESERVED_ID, key), message, why=why, help=help)


def what_is_typed_wins(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Whoever types a figure beside a pasted text is told that the text's no longer counts."""
    if given(file, "weather", "winds") and given(file, "weather", "winds_text") is not None:
        message, why = "the winds that are typed win over the pasted ones", "no level is read off the text"
        help = "leave out the one that is not to count"
        yield check.note("typed-wins", ("weather", "winds_text"), message, why=why, help=help)
    for id, weather in (given(file, "weather", "at") or {}).items():
        reports = reports_in(weather).values()
        told = [key for key in FIGURES if any(says(report, key) for report in reports)]
        typed = [key for key in told if given(weather, key) is not None]
        if typed:
            message = f"what is typed of {id} wins over its report: {', '.join(typed)}"
            why, help = "the report is not asked for it", "leave it out where the report is to count"
            yield check.note("typed-wins", ("weather", "at", id, typed[0]), message, why=why, help=help)


def alternate_is_another_place(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The alternate is not the base."""
    place = given(file, "recovery", "alternate", "place")
    if place is not None and place == file.ground_ops.base:
        path: KeyPath = ("recovery", "alternate", "place")
        yield check.error(
            "same-place",
            path,
            f"{place} is the base",
            why="an alternate is another airfield",
            help="name another place",
        )


def aircraft_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every ship flies a type of ``aircraft``."""
    for path, key in check.at(("flight", "*", "aircraft")):
        if not _is_declared(key, file.aircraft, WORD_PATTERN):
            help = _choose(key, file.aircraft, "add it to `aircraft`")
            yield check.error(
                "unknown-aircraft",
                path,
                f'there is no aircraft "{key}"',
                why="its figures are not known",
                help=help,
            )


def ships_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Every number of a ship belongs to one of the flight."""
    known = _numbers(file)
    why = "what stands here would belong to nobody"
    help = f"the flight has ships {', '.join(map(str, range(1, len(file.flight) + 1)))}"
    for path, number in check.at(*SHIPS):
        if number not in known:
            yield check.error("unknown-ship", path, _no_ship(number), why=why, help=help)
    for path, number in _ship_keys(file):
        if number not in known:
            yield check.at_key("unknown-ship", path, _no_ship(number), why=why, help=help)


def _no_ship(number: int) -> str:
    return f"there is no ship {number} in the flight"


def nobody_follows_himself(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A ship that has fallen out does not lead."""
    for number, fall_out in file.contingencies.fall_outs.items():
        if given(fall_out, "leads") == number:
            yield check.error(
                "own-successor",
                ("contingencies", "fall_outs", str(number), "leads"),
                f"ship {number} cannot lead when it has fallen out",
                why="nobody would lead",
                help="name another ship",
            )


def _numbers(file: MissionFile) -> set[int]:
    """The numbers of the flight, and each that it may have where one could not be read or is told as wrong:
    it will be mended to it."""
    numbers = [given(ship, "ship") for ship in file.flight]
    return {number for number in numbers if number is not None} | set(range(1, len(numbers) + 1))


def _ship_keys(file: MissionFile) -> Iterator[tuple[KeyPath, int]]:
    for path in (("training", "yardstick"), ("contingencies", "fall_outs")):
        yield from (((*path, str(number)), number) for number in given(file, *path) or ())


def presets_are_given_once(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No two rows of the radio are for one preset."""
    first: dict[int, int] = {}
    for i, number in (
        (i, number) for i, row in enumerate(file.radio) if (number := given(row, "preset")) is not None
    ):
        if number in first:
            related = (("the first stands here", ("radio", first[number], "preset")),)
            help = "delete one of the two, or give it another number"
            yield check.error(
                "duplicate-preset",
                ("radio", i, "preset"),
                f"preset {number} is given twice",
                why="one button holds one frequency",
                help=help,
                related=related,
            )
        first.setdefault(number, i)


def presets_have_frequencies_of_their_own(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """No two presets of the radio are for one frequency: told at the later one, with both named."""
    first: dict[float, int] = {}
    for i, row in enumerate(file.radio):
        number, frequency = given(row, "preset"), given(row, "frequency")
        if number is None or frequency is None:
            continue
        before = file.radio[first.setdefault(frequency.mhz, i)]
        if before.preset != number:
            path: KeyPath = ("radio", first[frequency.mhz], "frequency")
            yield check.caution(
                "same-frequency",
                ("radio", i, "frequency"),
                f"{_preset(before)} and {_preset(row)} are both {frequency.text} MHz",
                why="one of the two may be a slip, and its users would not be heard",
                help="check both; leave them if the two share it",
                related=((f"preset {before.preset}", path),),
            )


def _preset(row: RadioPreset) -> str:
    use = given(row, "use")
    return f"preset {row.preset} ({use})" if use else f"preset {row.preset}"


def presets_exist(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The presets that the ground contact uses are in ``radio``."""
    ground = file.event.ground_contact if file.event else None
    for key in ("primary", "backup"):
        number = getattr(ground, key, None)
        if isinstance(number, int) and number not in (
            known := list(dict.fromkeys(row.preset for row in file.radio))
        ):
            help = (
                f"`radio` has presets {', '.join(map(str, known))}"
                if known
                else "add it to `radio`, or write the frequency here"
            )
            path: KeyPath = ("event", "ground_contact", key)
            yield check.error(
                "unknown-preset",
                path,
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
            "unknown-runway",
            ("ground_ops", "runway"),
            f"{file.ground_ops.base} has no runway {runway}",
            why="wind across and along it could not be told",
            help=_other_end(runway, names)
            or _choose(runway, names, f"add it to the runways of {file.ground_ops.base}"),
        )


_OTHER_SIDE = {"": "", "L": "R", "R": "L", "C": "C"}


def _other_end(runway: str, names: list[str]) -> str:
    """The remedy where the other end of the same strip is listed; empty where it isn't."""
    found = re.fullmatch(r"(0[1-9]|[12][0-9]|3[0-6])([LRC]?)", runway)
    other = f"{(int(found[1]) + 17) % 36 + 1:02d}{_OTHER_SIDE[found[2]]}" if found else ""
    if other not in names:
        return ""
    return (
        f"{other} is the other end of that strip: add {runway} with its direction to the runways, or write"
        f" {other}"
    )


def cue_exists(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """The cue on which the time over target hangs is in the script, and has a length."""
    cue_id = file.event.cue_of_t if file.event else None
    if file.event is None or cue_id is None:
        return
    path: KeyPath = ("event", "pass", "time")
    cue = file.event.script.get(cue_id)
    if not _is_declared(cue_id, file.event.script, ID_PATTERN):
        help = _choose(cue_id, file.event.script, "add a `script` to the event, or write a clock time")
        yield check.error(
            "unknown-cue",
            path,
            f"there is no cue {cue_id} in the script",
            why="the time over target hangs on it",
            help=help,
        )
    elif cue is not None and cue.lasts is None:
        related = (("the time over target hangs on its end", path),)
        where: KeyPath = ("event", "script", cue_id)
        yield check.error(
            "cue-without-length",
            where,
            f"{cue_id} has no `lasts`",
            why="its end is the time over target",
            help="add its length, for example `lasts: 116 s`",
            related=related,
        )


def marks_are_told_apart(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """Each id of the script is given once."""
    script = file.event.script if file.event else {}
    seen: dict[str, KeyPath] = {id: ("event", "script", id) for id in script}
    for path in (
        (*seen[id], "marks", mark) for id, cue in script.items() for mark in given(cue, "marks") or ()
    ):
        mark = str(path[-1])
        if mark in seen:
            related = (("the other stands here", seen[mark]),)
            yield check.error(
                "duplicate-id",
                path,
                f"{mark} is the id of two things in the script",
                why="a tap on the clock could mean either",
                help="give one of the two another name",
                related=related,
            )
        seen.setdefault(mark, path)


def marks_lie_within_their_cue(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """A mark comes before the end of its cue."""
    for id, cue in (file.event.script if file.event else {}).items():
        yield from as_far_as_read(_marks_within(check, id, cue))


def _marks_within(check: Checker, id: str, cue: Cue) -> Iterator[Diagnostic]:
    related = (("its length", ("event", "script", id, "lasts")),)
    for mark, after_s in cue.marks.items():
        if cue.lasts is not None and after_s >= cue.lasts:
            why, help = (
                "it would tell nothing about the end of its own cue",
                "a mark counts from the beginning of its cue",
            )
            path: KeyPath = ("event", "script", id, "marks", mark)
            yield check.error(
                "mark-outside-cue",
                path,
                f"{mark} comes at or after the end of {id}",
                why=why,
                help=help,
                related=related,
            )


def contingencies_are_spelt(check: Checker, file: MissionFile) -> Iterator[Diagnostic]:
    """One of the unit's own that is nearly one of the named ones may be a slip."""
    named = [key for key in Contingencies.model_fields if getattr(file.contingencies, key) is None]
    for key in file.contingencies.__pydantic_extra__ or {}:
        if not re.fullmatch(WORD_PATTERN, key):
            meant = set(key.split()) & set(Contingencies.model_fields)
            help = f"write {', '.join(sorted(meant))}" if meant else "for example bird_strike"
            yield check.at_key(
                "key",
                ("contingencies", key),
                f'"{key}" is no name of a contingency: small letters, digits, - and _',
                why="the gates and the cards go by the name",
                help=help,
            )
        if word := nearest_word(key, named):
            why = f"the gates look for {word}, and will not find it"
            yield check.at_key(
                "near-miss",
                ("contingencies", key),
                f"`{key}` is taken as one of your own",
                why=why,
                help=f"did you mean {word}?",
                severity="caution",
            )
