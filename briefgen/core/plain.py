"""Any frozen record of the program as plain JSON values: the one place that knows how each type is written.

==========================  ==================================================================================
in the program              in JSON
==========================  ==================================================================================
dataclass, pydantic model   object, one key per field, in the order of the fields; the names carry the units;
                            ``inner`` fields of a record are left out
aware datetime              text, UTC, always six decimals: ``2027-01-30T03:30:02.000000Z``
date                        text, ``2027-01-30``
time of day                 text, ``14:30:02``
timedelta                   number of seconds
int, str, bool, None        as they are
float                       number, unrounded; never NaN or infinity
tuple, list                 array
set, frozenset              array, sorted by its JSON text
mapping                     object; numbers as keys become text
enum                        its value
Span (a place in a file)    object with ``line`` and ``column``; the file's name is left out, since it differs
                            from machine to machine
==========================  ==================================================================================

Anything else, a naive datetime and a number that isn't finite are bugs in the program and raise.
"""

from __future__ import annotations

import dataclasses
import enum
import json
import math
from collections.abc import Mapping
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from typing import Any

from briefgen.core.diagnostics import Span
from briefgen.core.records import is_inner

COARSE_DECIMALS = 4
COARSE_INSTANT_S = 0.001


def to_plain(value: object, *, coarse: bool = False) -> Any:
    """The value as JSON values only, by the table above.

    ``coarse`` is for comparing two plans, never for reading one: floats to four decimals, instants to the
    millisecond, places in files as null. Mathematics libraries differ in the last bits of a float from
    machine to machine, and a comment moves every line.
    """
    if value is None or (isinstance(value, (bool, str)) and not isinstance(value, enum.Enum)):
        return value
    if isinstance(value, Span):
        return None if coarse else {"line": value.line, "column": value.column}
    return _record(value, coarse)


def _record(value: object, coarse: bool) -> Any:
    names = _field_names(type(value))  # type: ignore[arg-type] # a class is hashable, whatever its instances
    if names is not None:
        return {name: to_plain(getattr(value, name), coarse=coarse) for name in names}
    if isinstance(value, enum.Enum):
        return to_plain(value.value, coarse=coarse)
    if isinstance(value, (int, float)):
        return _number(value, coarse)
    if isinstance(value, (date, time, timedelta)):
        return _moment(value, coarse)
    return _container(value, coarse)


@cache
def _field_names(kind: type) -> tuple[str, ...] | None:
    """The fields of a record's or a pydantic model's type; None for any other."""
    if dataclasses.is_dataclass(kind):
        return tuple(field.name for field in dataclasses.fields(kind) if not is_inner(field))
    models = getattr(kind, "model_fields", None)  # pydantic is not imported for this
    return tuple(models) if isinstance(models, dict) else None


def _number(value: int | float, coarse: bool) -> int | float:
    if isinstance(value, float) and not math.isfinite(value):
        raise ValueError(f"{value} is no figure that a product may print")
    if isinstance(value, int):
        return value
    return (round(value, COARSE_DECIMALS) if coarse else value) + 0.0  # minus zero becomes zero


def _moment(value: date | time | timedelta, coarse: bool) -> str | float:
    if isinstance(value, timedelta):
        return _number(value.total_seconds(), coarse)
    if isinstance(value, datetime):
        if value.tzinfo is None:
            raise ValueError(f"{value!r} does not say whose clock it is")
        return _utc(value, coarse).strftime("%Y-%m-%dT%H:%M:%S.%fZ")
    return value.isoformat()


def _utc(value: datetime, coarse: bool) -> datetime:
    instant = value.astimezone(UTC)
    if not coarse:
        return instant
    step = timedelta(seconds=COARSE_INSTANT_S)
    midnight = instant.replace(hour=0, minute=0, second=0, microsecond=0)
    return midnight + step * round((instant - midnight) / step)


def _container(value: Any, coarse: bool) -> Any:
    if isinstance(value, Mapping):
        return {_key(key): to_plain(part, coarse=coarse) for key, part in value.items()}
    if isinstance(value, (list, tuple)):
        return [to_plain(part, coarse=coarse) for part in value]
    if isinstance(value, (set, frozenset)):
        return sorted(
            (to_plain(part, coarse=coarse) for part in value),
            key=lambda part: json.dumps(part, sort_keys=True),
        )
    raise TypeError(f"no rule for writing a {type(value).__name__} as JSON")


def _key(key: Any) -> str:
    if isinstance(key, enum.Enum):
        key = key.value
    if isinstance(key, (str, int)) and not isinstance(key, bool):
        return str(key)
    raise TypeError(f"{key!r} cannot be the key of a JSON object")
