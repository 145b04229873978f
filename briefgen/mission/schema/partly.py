"""The mission file as far as it could be read: the same models, with ``UNREAD`` where a value is wrong or
lost.

Used only beside errors, which have been told already, so that the rules which need no more than what was read
are checked in the same run.  A key whose value is wrong still counts as given, and an id as declared.  A key
that is not there counts as left out only where nothing else can have been meant for it: not in a part with an
unknown key, nor where the structure of the text is broken.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import NoneType, UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from pydantic import TypeAdapter
from pydantic.fields import FieldInfo

from briefgen.core.diagnostics import KeyPath
from briefgen.mission.read.tree import Source, TextTree
from briefgen.mission.schema.base import Part, Scalar
from briefgen.mission.schema.models import extra_model
from briefgen.mission.schema.unread import UNREAD

_Root = TypeVar("_Root", bound=Part)


def read_partly(root: type[_Root], source: Source) -> _Root:
    """The file as far as it could be read. ``root``: the model of the whole file."""
    file: _Root = _part(root, source.tree, (), source.doubtful)
    return file


def _part(model: type[Part], tree: TextTree, path: KeyPath, doubtful: frozenset[KeyPath]) -> Any:
    if not isinstance(tree, dict):
        return UNREAD
    fields = {field.alias or name: field for name, field in model.model_fields.items()}
    extra = extra_model(model)
    values = {
        key: _value(_whole(fields[key]), tree[key], (*path, key), doubtful) for key in fields if key in tree
    }
    others = [key for key in tree if key not in fields]
    if extra:
        values |= {key: _part(extra, tree[key], (*path, key), doubtful) for key in others}
    uncertain = path in doubtful or (others and not extra)
    lost = {
        key: UNREAD for key, field in fields.items() if key not in tree and (uncertain or field.is_required())
    }
    return model.model_construct(**lost, **values)


def _whole(field: FieldInfo) -> Any:
    """The type of a key with its markers, which pydantic keeps apart from it."""
    return Annotated[(field.annotation, *field.metadata)] if field.metadata else field.annotation


def _value(kind: Any, tree: TextTree, path: KeyPath, doubtful: frozenset[KeyPath]) -> Any:
    least = (
        max((getattr(mark, "min_length", 0) for mark in get_args(kind)[1:]), default=0)
        if get_origin(kind) is Annotated
        else 0
    )
    kind = _bare(kind)
    if isinstance(kind, type) and issubclass(kind, Part):
        return _part(kind, tree, path, doubtful)
    if tree is None or path in doubtful or len(tree) < least:
        return UNREAD
    if get_origin(kind) is Mapping:
        return _mapping(kind, tree, path, doubtful)
    if get_origin(kind) is tuple:
        item = get_args(kind)[0]
        return (
            tuple(_value(item, one, (*path, i), doubtful) for i, one in enumerate(tree))
            if isinstance(tree, list)
            else UNREAD
        )
    return _scalar(kind, tree)


def _mapping(kind: Any, tree: TextTree, path: KeyPath, doubtful: frozenset[KeyPath]) -> Any:
    """A key of a wrong form stays as it was typed, where ids are texts; a number that is none names
    nothing."""
    if not isinstance(tree, dict):
        return UNREAD
    key_kind, value_kind = get_args(kind)
    keys = {key: _scalar(key_kind, key) for key in tree}
    named = {
        key: key if read is UNREAD else read
        for key, read in keys.items()
        if read is not UNREAD or get_args(key_kind)[0] is str
    }
    return {name: _value(value_kind, tree[key], (*path, key), doubtful) for key, name in named.items()}


def _scalar(kind: Any, tree: TextTree) -> Any:
    """One value; what is no plain scalar (a table of flows) is read by pydantic."""
    mark = next((mark for mark in get_args(kind)[1:] if isinstance(mark, Scalar)), None)
    try:
        if mark is None:
            return TypeAdapter(kind).validate_python(tree)
        return mark.read(tree) if isinstance(tree, str) else UNREAD
    except ValueError:
        return UNREAD


def _bare(kind: Any) -> Any:
    """The type without ``| None``, and without markers that only count entries."""
    if get_origin(kind) in (Union, UnionType) and NoneType in get_args(kind):
        return _bare(next(one for one in get_args(kind) if one is not NoneType))
    if get_origin(kind) is Annotated and get_origin(inner := _bare(get_args(kind)[0])) in (Mapping, tuple):
        return inner
    return kind
