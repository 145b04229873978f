"""What the reader of the text asks the schema about a key path of a mission."""

from __future__ import annotations

from typing import get_origin

from pydantic.fields import FieldInfo

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.read.brackets import PAIR
from briefgen.mission.read.flow import FLOW, LIKE_THIS
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.models import field_at, holds_ids, keys_of, model_at, parts_of, scalar_in


def wants_list(path: KeyPath) -> bool:
    """Whether a list stands at this key path of a mission, or may stand in the place of one value."""
    field = _written_at(path)
    if field is None or holds_ids(field.annotation):
        return False
    return any(get_origin(part) is tuple for part in parts_of(field.annotation))


def is_known(path: KeyPath) -> bool:
    """Whether a key of that name may stand in that section of a mission."""
    around = path[2:-1] if path[:1] == (FLOW,) and len(path) > 2 else path[:-1]
    return path[-1] in keys_of(model_at(around, MissionFile))


def without_colon(path: KeyPath) -> str:
    """``by: NGATE`` for ``{by NGATE}`` and ``{by:NGATE}``, where the first word is a key of that section;
    else empty."""
    pair = PAIR.fullmatch(str(path[-1]))
    return f"{pair[1]}: {pair[2]}" if pair and is_known((*path[:-1], pair[1])) else ""


def needed_value(path: KeyPath) -> str:
    """How to mend a key that has no value and that a mission needs; empty where it may be left out."""
    if path == (FLOW,):
        return f"write a list of sections in flying order: {LIKE_THIS}"
    field = _written_at(path)
    if field is None or not field.is_required():
        return ""
    scalar = scalar_in(field)
    example = f", for example `{path[-1]}: {scalar.examples[0]}`" if scalar and scalar.examples else ""
    return f"give it one{example}"


def _written_at(path: KeyPath) -> FieldInfo | None:
    """The field behind a key path of the file, also of one that stands in a section of a flow."""
    return field_at(path[2:] if path[:1] == (FLOW,) and len(path) > 2 else path, MissionFile)
