"""What a mission has to say and does not."""

from __future__ import annotations

from pydantic.fields import FieldInfo

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.mission.read.tree import Source, dotted
from briefgen.mission.schema.base import Part
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.models import field_at, field_of, holds_ids, keys_of, part_in, scalar_in
from briefgen.units.grammar import listed
from briefgen.units.parse_clock import PASS_TIME

# What somebody has to look up: an example would be copied, and pass for what was found.
_LOWEST = "add `lowest: ... ft`, with the least height above the ground and what stands on it as you read it"
_READ_OFF: dict[KeyPath, str] = {
    ("terrain_checked", "lowest"): f"{_LOWEST} off the chart",
    ("turn_checked", "lowest"): f"{_LOWEST} off the chart",
}


def missing(path: KeyPath, source: Source, root: type[Part]) -> Diagnostic:
    """A key that a section needs, told at the section, with a line to write."""
    around, key = path[:-1], str(path[-1])
    span, inside = source.spans.key(around), source.spans.value(around)
    if span and inside and inside.file != span.file:
        span = inside  # a part in a file of its own
    if span and span.end_line > span.line:
        span = Span(span.file, span.line, span.column, span.line, span.column + 1)
    field = field_at(path, root)
    scalar = scalar_in(field) if field else None
    value = _own_name(path, source) or (scalar.examples[0] if scalar and scalar.examples else "")
    example = f"add `{key}`, for example `{key}: {value}`" if value else ""
    help = _READ_OFF.get(path[-2:]) or example or _with_its_keys(key, field)
    if source.books and around[:1] == ("flight",) and len(around) == 2:
        help = _of_a_ship(help, around, source)
    elif span and span.file in source.books:
        help = f"{help}, here or in the mission"
    owner = "the book" if around == ("unit",) else f"`{dotted(around)}`" if around else "the file"
    why = f"the {'mission' if root is MissionFile else 'file'} cannot be read without it"
    return Diagnostic("missing-key", "error", f"{owner} has no `{key}`", span, why, help, cause=path)


def _own_name(path: KeyPath, source: Source) -> str:
    """What the mission itself calls the thing that could stand there: an aircraft, the end of a cue."""
    if path[:1] == ("flight",) and path[-1] == "aircraft":
        aircraft = source.at(("aircraft",))
        return next(iter(aircraft), "") if isinstance(aircraft, dict) else ""
    if path[-2:] != ("pass", "time"):
        return ""
    script = source.at((*path[:-2], "script"))
    lasting = [id for id, cue in script.items() if "lasts" in (cue or ())] if isinstance(script, dict) else []
    return f"end of {lasting[-1]}" if lasting else PASS_TIME.examples[-1]


def _of_a_ship(help: str, ship: KeyPath, source: Source) -> str:
    """What a ship lacks, on a unit's book: of a ship of the book in the mission, which says who flies; of
    another one perhaps its number is a slip."""
    entries = source.at(("flight",))
    numbers = {
        k: entry.get("ship")
        for k, entry in enumerate(entries if isinstance(entries, list) else [])
        if isinstance(entry, dict)
        and any(
            (at := source.spans.keys.get(("flight", k, key))) and at.file in source.books for key in entry
        )
    }
    if (number := numbers.get(int(ship[1]))) is not None:
        return f"{help}, to ship {number} in the mission, or write there: - {{ship: {number}, drop: yes}}"
    return f"{help}; the book has ships {', '.join(map(str, numbers.values()))}" if numbers else help


def _with_its_keys(key: str, field: FieldInfo | None) -> str:
    """What a section needs at least; whole ones stand in the file to start from."""
    model = part_in(field.annotation) if field else None
    needed = [name for name in keys_of(model) if (own := field_of(model, name)) and own.is_required()]
    if field is None or not needed:
        return f"add `{key}:`"
    what = listed(needed, "and")
    each = f"with names of your own, each with {what}" if holds_ids(field.annotation) else f"with {what}"
    return f"add `{key}:` {each}; the file that `briefgen new` writes shows one"
