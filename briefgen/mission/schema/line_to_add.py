"""What to write where a key is left out: a line that the next run takes as it stands."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.read.flow import FLOW
from briefgen.mission.read.tree import dotted
from briefgen.mission.schema.base import Part
from briefgen.mission.schema.mission_file import MissionFile


def line_to_add(file: MissionFile, path: KeyPath, example: str) -> str:
    """``add `reserve` to `fuel`, for example `reserve: 30 min` ``; where no `fuel` is written the line begins
    with it: ``for example `fuel: {reserve: 30 min}` ``."""
    return add_below(_written(file, path[:-1]), path, example)


def add_below(around: KeyPath, path: KeyPath, example: str) -> str:
    """The same where it is known how far down the path the file is written."""
    *inner, first = reversed(path[len(around) :])
    for key in inner:
        example = f"{{{key}: {example}}}"
    where = f" to `{dotted(around)}`" if around else ""
    return f"add `{first}`{where}, for example `{first}: {example}`"


def _written(part: Any, path: KeyPath) -> KeyPath:
    """How far down a key path the file is written; a section of a flow is."""
    if path[:1] == (FLOW,):
        return path
    for depth, step in enumerate(path):
        if isinstance(part, Part):
            names = [name for name in (step, f"{step}_") if name in part.model_fields_set]
            part = getattr(part, str(names[0])) if names else None
        elif isinstance(part, Mapping):
            part = part.get(step)
        else:
            part = part[step] if isinstance(part, Sequence) and isinstance(step, int) else None
        if part is None:
            return path[:depth]
    return path
