"""``record``: the frozen dataclass of this house, without what ``@dataclass(frozen=True)`` spends at import.

The standard decorator writes six methods for each class as text and compiles them; for the two hundred
records of this program that is a fifth of a second of every start. Here the methods are shared functions and
only the list of fields is the standard library's, so ``fields``, ``replace``, ``asdict`` and ``is_dataclass``
work on a record as on any dataclass.

Why not ``msgspec.Struct(frozen=True)``, measured with ``check missions/regatta.yaml`` (0.64 s of processor
time, 206 classes, 23,500 instances, nine of ten made by position): it would make the classes in 2 ms where 14
are spent here, and an instance in 0.06 us where 0.77 are (by name 0.41 and 0.84), together 28 ms; its own
import costs 18. That leaves 10 ms, and ``dataclasses.replace`` and ``fields`` and ``cached_property``, which
half of the modules use, don't take a Struct.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from functools import wraps
from typing import Any, TypeVar, dataclass_transform

Class = TypeVar("Class", bound=type)
Record = TypeVar("Record")
Value = TypeVar("Value")
_INNER = "inner"


def inner(**options: Any) -> Any:
    """A field, with the options of ``field``, that is there for the program alone: no open format holds it,
    and no fingerprint."""
    return field(metadata={_INNER: True}, **options)


def is_inner(listed: Field[Any]) -> bool:
    """Whether a field is there for the program alone."""
    return _INNER in listed.metadata


@dataclass_transform(frozen_default=True, field_specifiers=(field, inner))
def record(cls: Class) -> Class:
    """A class whose instances are set once, by position or by name, and compared and hashed by their fields.

    Fields are written as for ``dataclass``: annotations with defaults or ``field(...)``; ``__post_init__``
    runs after they are set. A method that the class writes itself is kept. TypeError for arguments that don't
    fit the fields, FrozenInstanceError for setting or deleting one later.
    """
    dataclass(init=False, repr=False, eq=False)(cls)
    listed = fields(cls)
    methods = {
        "__init__": _init_of(cls, listed),
        "__repr__": _repr_of(tuple(f.name for f in listed if f.repr)),
        "__setattr__": _refuse_to_set,
        "__delattr__": _refuse_to_delete,
    }
    if "__eq__" not in vars(cls):
        methods |= _comparing(tuple(f.name for f in listed if f.compare))
    for name, method in methods.items():
        if name not in vars(cls):
            setattr(cls, name, method)
    return cls


def kept(function: Callable[[Record], Value]) -> Callable[[Record], Value]:
    """A function of one record that is asked again and again: worked out once, and kept with the record, as
    ``cached_property`` does for the class's own; a record made from it by ``replace`` starts afresh."""
    name = f"{function.__module__}.{function.__qualname__}"

    @wraps(function)
    def asked(of: Record) -> Value:
        known: dict[str, Value] = vars(of)
        if name not in known:
            known[name] = function(of)
        return known[name]

    return asked


def _init_of(cls: type, listed: tuple[Field[Any], ...]) -> Callable[..., None]:
    name, names = cls.__name__, frozenset(f.name for f in listed)
    by_position = tuple(f.name for f in listed if not f.kw_only)
    fill, count, has_more = _fill(listed), len(names), hasattr(cls, "__post_init__")
    whole = count if len(by_position) == count else -1  # so many values by position are all of them

    def __init__(self: Any, /, *args: Any, **given: Any) -> None:
        if len(args) == whole and not given:
            self.__dict__.update(zip(by_position, args, strict=True))
        else:
            values = dict(zip(by_position, args, strict=False), **given) if args else given
            clear = len(values) == len(args) + len(given)
            if len(values) < count:
                values = fill(values)
            if not clear or values.keys() != names:
                _refuse_arguments(name, args, given, by_position=by_position, names=names, values=values)
            self.__dict__.update(values)
        if has_more:
            self.__post_init__()

    return __init__


def _fill(listed: tuple[Field[Any], ...]) -> Callable[[dict[str, Any]], dict[str, Any]]:
    """What puts the defaults of the fields not given beside the values."""
    defaults = {f.name: f.default for f in listed if f.default is not MISSING}
    factories = [(f.name, f.default_factory) for f in listed if f.default_factory is not MISSING]

    def fill(values: dict[str, Any]) -> dict[str, Any]:
        values = {**defaults, **values}
        for name, factory in factories:
            if name not in values:
                values[name] = factory()
        return values

    return fill


def _refuse_arguments(
    name: str,
    args: tuple[Any, ...],
    given: Mapping[str, Any],
    *,
    by_position: tuple[str, ...],
    names: frozenset[str],
    values: Mapping[str, Any],
) -> None:
    if len(args) > len(by_position):
        raise TypeError(f"{name} takes {len(by_position)} values by position, not {len(args)}")
    for what, found in (
        ("was given twice", [key for key in by_position[: len(args)] if key in given]),
        ("has no field", [key for key in given if key not in names]),
        ("was not given", sorted(names - values.keys())),
    ):
        if found:
            raise TypeError(f"{name} {what}: {', '.join(found)}")


def _repr_of(names: tuple[str, ...]) -> Callable[[Any], str]:
    return lambda self: (
        f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in names)})"
    )


def _comparing(names: tuple[str, ...]) -> dict[str, Callable[..., Any]]:
    values = (lambda self: ()) if not names else operator.attrgetter(*names)

    def __eq__(self: Any, other: object) -> Any:
        return values(self) == values(other) if type(other) is type(self) else NotImplemented

    def __hash__(self: Any) -> int:
        return hash(values(self))

    return {"__eq__": __eq__, "__hash__": __hash__}


def _refuse_to_set(self: Any, name: str, value: Any) -> None:
    raise FrozenInstanceError(f"{type(self).__name__}.{name} cannot be set: a record is made once")


def _refuse_to_delete(self: Any, name: str) -> None:
    raise FrozenInstanceError(f"{type(self).__name__}.{name} cannot be deleted: a record is made once")
