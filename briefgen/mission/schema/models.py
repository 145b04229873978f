"""The models behind the keys of a file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, get_args, get_origin

from pydantic.fields import FieldInfo

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.schema.base import Part, Scalar


def keys_of(model: type[Part] | None) -> list[str]:
    """The keys that a part of the file takes, as they are typed."""
    return [field.alias or name for name, field in model.model_fields.items()] if model else []


def field_of(model: type[Part] | None, key: str) -> FieldInfo | None:
    """The field behind a typed key."""
    fields = model.model_fields.items() if model else ()
    return next((field for name, field in fields if (field.alias or name) == key), None)


def field_at(path: KeyPath, root: type[Part]) -> FieldInfo | None:
    """The field behind a key path, None where no model knows its key."""
    return field_of(model_at(path[:-1], root), str(path[-1]))


def model_at(path: KeyPath, root: type[Part]) -> type[Part] | None:
    """The model that stands behind a key path, None where there is none (or only values)."""
    model: type[Part] | None = root
    inside_mapping = False
    for step in path:
        if isinstance(step, int) or inside_mapping:
            inside_mapping = False
            continue
        field = field_of(model, step)
        if field is None:
            return extra_model(model)
        inside_mapping = holds_ids(field.annotation)
        model = part_in(field.annotation)
    return model


def holds_ids(annotation: Any) -> bool:
    """Whether names of one's own stand below a key of this annotation."""
    return any(get_origin(part) is Mapping for part in parts_of(annotation))


def part_in(annotation: Any) -> type[Part] | None:
    """The model inside an annotation, None where it holds values alone."""
    return next(
        (one for one in parts_of(annotation) if isinstance(one, type) and issubclass(one, Part)), None
    )


def extra_model(model: type[Part] | None) -> type[Part] | None:
    """The model of what stands below the keys of one's own that a part takes, None where it takes none."""
    return part_in(model.__annotations__.get("__pydantic_extra__")) if model else None


def parts_of(annotation: Any) -> Iterator[Any]:
    """An annotation and everything inside it."""
    yield annotation
    for inner in get_args(annotation):
        yield from parts_of(inner)


def scalar_in(field: FieldInfo) -> Scalar | None:
    """What reads the value of a field, None where it has keys of its own."""
    inside = [part for part in parts_of(field.annotation) if isinstance(part, Scalar)]
    own = [mark for mark in field.metadata if isinstance(mark, Scalar)]
    return next(iter(own or inside), None) if part_in(field.annotation) is None else None
