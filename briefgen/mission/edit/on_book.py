"""The mission that ``briefgen new --unit`` writes: the shipped one, with the base, the ships, the alternate
and the presets of the book that it will stand on, and its invented places as far from that base."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta

from briefgen.airmath.geodesy import direct, inverse
from briefgen.airmath.zones import PlaceZone, place_zone
from briefgen.core.diagnostics import KeyPath
from briefgen.mission.read.tree import Source, TextTree
from briefgen.units.grammar import Refusal
from briefgen.units.parse_places import parse_position
from briefgen.units.values import Position

_BASE, _ALTERNATE, _RUNWAY = "OAKMERE", "LONGFORD", "runway: 26"  # of the shipped book
_POSITION = re.compile("[0-9]{1,2}°[0-9.]+'[NS] [0-9]{1,3}°[0-9.]+'[EW]")
_PLACE = re.compile(r"(?m)^  (?P<id>[A-Z]+): \{(?:name: [^,\n]*, )?position: .*\n")
_ZULU = re.compile(r"(2[0-9]{3}-[0-9]{2}-[0-9]{2} [0-9]{2}:[0-9]{2}) Z")
_SHIP = re.compile(r"(?m)^  - \{ship: .*\n")
_CREW = ("Flt Lt P. Novak", "Fg Off J. Hale", "Plt Off R. Quill", "Fg Off T. Wren", "Plt Off S. Lark")
_PRESET, _FREQUENCY_KHZ, _USE = 5, 132_800, "Ground contact"  # of the shipped mission: the ground contact's


def on_book(text: str, book: Source, shipped: Source) -> str:
    """The shipped mission, which stands on the shipped book, for another one. What the book does not say is
    left as it is: ``check`` asks for it."""
    base = _base(book)
    steps: tuple[Callable[[str], str], ...] = (
        lambda text: _placed(text, _position(shipped, _BASE), _position(book, base)),
        lambda text: _without_places_of(text, book),
        lambda text: _at_base(text, book, base),
        lambda text: _with_alternates(text, book),
        lambda text: _flown_by(text, book),
        lambda text: _with_preset(text, book),
    )
    for step in steps:
        text = step(text)
    return text


def _below(book: Source, *path: str | int) -> dict[str, TextTree]:
    """The mapping at a key path of the book; empty where there is none."""
    found = book.at(path)
    return found if isinstance(found, dict) else {}


def _entries(book: Source, *path: str) -> list[dict[str, TextTree]]:
    """The entries of a list of the book that are mappings."""
    found = book.at(path)
    return [entry for entry in found if isinstance(entry, dict)] if isinstance(found, list) else []


def _text_at(book: Source, path: KeyPath) -> str:
    found = book.at(path)
    return found if isinstance(found, str) else ""


def _base(book: Source) -> str:
    """The base that the book names, else its first place with a runway; empty where it has none."""
    named = _text_at(book, ("ground_ops", "base"))
    return named or next((id for id in _below(book, "places") if _entries(book, "places", id, "runways")), "")


def _position(book: Source, id: str) -> Position | None:
    try:
        return parse_position(_text_at(book, ("places", id, "position")))
    except Refusal:
        return None


def _placed(text: str, old: Position | None, new: Position | None) -> str:
    """Every position as far from the new base as it lies from the old, and the forecast's times for the same
    hours of the day there."""
    if old is None or new is None or old == new:
        return text

    def moved(found: re.Match[str]) -> str:
        line = inverse(old, parse_position(found[0]))
        at = direct(new, line.course_start_deg or 0.0, line.distance_nm).position
        return f"{at.lat_deg:.4f} {at.lon_deg:.4f}"

    def same_hour(found: re.Match[str]) -> str:
        at = datetime.strptime(f"{found[1]}+0000", "%Y-%m-%d %H:%M%z")
        zones = place_zone(old, at), place_zone(new, at)
        here, there = (at.astimezone(z.zone).utcoffset() if isinstance(z, PlaceZone) else None for z in zones)
        return f"{at + ((here or timedelta()) - (there or timedelta())):%Y-%m-%d %H:%M} Z"

    return _ZULU.sub(same_hour, _POSITION.sub(moved, text))


def _without_places_of(text: str, book: Source) -> str:
    """A place of the mission would win over the book's of the same name, and lie elsewhere."""
    known = _below(book, "places")
    text = _PLACE.sub(lambda found: "" if found["id"] in known else found[0], text)
    return re.sub(r"(?m)^places:.*\n(?!  )\n", "", text)


def _at_base(text: str, book: Source, base: str) -> str:
    """With the base's name and its first runway, and the base itself where the book does not name it."""
    if not base:
        return text
    runway = next(
        (str(one["name"]) for one in _entries(book, "places", base, "runways") if "name" in one), ""
    )
    own = "" if _text_at(book, ("ground_ops", "base")) else f"base: {base}, "
    text = text.replace(_RUNWAY, f"{own}runway: {runway}" if runway else f"{own}{_RUNWAY}")
    return text.replace(f"    {_BASE}:", f"    {base}:")


def _with_alternates(text: str, book: Source) -> str:
    """The weather at the alternate and the diverts of the book, in the place of the shipped one's."""
    diverts = book.at(("recovery", "diverts"))
    named = [
        _text_at(book, ("recovery", "alternate", "place")),
        *(diverts if isinstance(diverts, list) else []),
    ]
    ids = dict.fromkeys(id for id in named if isinstance(id, str) and id)

    def lines(found: re.Match[str]) -> str:
        return "".join(found[0].replace(_ALTERNATE, id) for id in ids)

    return re.sub(rf"(?m)^    {_ALTERNATE}: .*\n", lines, text)


def _flown_by(text: str, book: Source) -> str:
    """A row for each ship of the book, with what that does not say of it."""
    ships = [entry for entry in _entries(book, "flight") if isinstance(entry.get("ship"), str)]
    if not ships:
        return text
    rows = []
    for number, ship in enumerate(ships):
        crew = _CREW[number] if number < len(_CREW) else f"Pilot of ship {ship['ship']}"
        own = {"crew": f"[{crew}]", "tail": f"{101 + 3 * number}", "flypasts_led": f"{int(number == 0) * 2}"}
        keys = [f"{key}: {value}" for key, value in own.items() if key not in ship]
        rows.append("  - {" + ", ".join([f"ship: {ship['ship']}", *keys]) + "}\n")
    first, *_ = found = list(_SHIP.finditer(text))
    return text[: first.start()] + "".join(rows) + text[found[-1].end() :]


def _with_preset(text: str, book: Source) -> str:
    """The ground contact's preset as the book has it, else under a number, and on a frequency, that the book
    has not."""
    radio = _entries(book, "radio")
    if own := next((row["preset"] for row in radio if row.get("use") == _USE and "preset" in row), None):
        return re.sub(
            r"(?m)^\nradio:\n  - .*\n", "", text.replace(f"primary: {_PRESET},", f"primary: {own},")
        )
    taken = {str(row.get("preset")) for row in radio}
    used = {str(value) for row in radio for value in row.values()}
    preset = next(n for n in range(_PRESET, _PRESET + len(taken) + 1) if str(n) not in taken)
    steps = (_FREQUENCY_KHZ + 25 * n for n in range(len(used) + 1))
    frequency = next(f for khz in steps if (f := f"{khz / 1000:.3f} MHz") not in used)
    text = text.replace(f"primary: {_PRESET},", f"primary: {preset},")
    text = text.replace(f"preset: {_PRESET},", f"preset: {preset},")
    return text.replace(f"{_FREQUENCY_KHZ / 1000:.3f} MHz", frequency)
