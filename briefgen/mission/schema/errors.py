"""What pydantic found, as diagnostics in the mission's own words and at the place of the key or value."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from briefgen.core.diagnostics import Diagnostic, KeyPath, Mend, Span
from briefgen.mission.read.flow import FLOW
from briefgen.mission.read.tree import Source, TextTree, dotted, look_up, where_in
from briefgen.mission.schema.base import WORD_PATTERN, Part, Scalar, nearest_word, suggestion
from briefgen.mission.schema.missing import missing
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.models import (
    extra_model,
    field_at,
    field_of,
    keys_of,
    model_at,
    parts_of,
    scalar_in,
)
from briefgen.units.grammar import Refusal, direction_without_unit, kind_with_its_k, listed, respelt
from briefgen.units.nearest import surely_meant

Offer = Callable[[Diagnostic, str, str, tuple[str, ...]], Diagnostic]


def diagnostics_of(
    error: ValidationError, source: Source, root: type[Part] = MissionFile, offer: Offer | None = None
) -> list[Diagnostic]:
    """Every error once, in the order of the file. What lies at a key without a value has been said by the
    reader already.

    ``root``: the model of the whole file.  ``offer``: what is said of a value (as typed, its kind, its
    readings), with the remedy that the whole file takes.
    """
    items = [(_path(source.tree, item), item) for item in error.errors(include_url=False)]
    found = _of_known_keys(items, root)
    meant = {
        (*path[:-1], word)
        for path, item in found
        if item["type"] == "extra_forbidden" and (word := _meant(path, root))
    }
    kept = [(path, item) for path, item in found if not _said_already(source, path, item, meant)]
    kept, instead = _paired(kept, source, root)
    said = [_offered(_diagnostic(path, item, source, root), item, offer) for path, item in kept]
    said = [_in_place_of(one, instead[one.cause]) if one.cause in instead else one for one in said]
    return sorted(said, key=lambda d: (d.span.line, d.span.column) if d.span else (0, 0))


def _offered(said: Diagnostic, item: ErrorDetails, offer: Offer | None) -> Diagnostic:
    context = item.get("ctx", {})
    if (
        offer is None
        or "kind" not in context
        or item["loc"][-1] == "[key]"
        or not isinstance(item["input"], str)
    ):
        return said
    return offer(said, item["input"], context["kind"], context["readings"] or context["examples"])


def _said_already(source: Source, path: KeyPath, item: ErrorDetails, meant: set[KeyPath]) -> bool:
    if item["type"] == "missing":
        return path in meant or path[:-1] in source.doubtful  # the key is there, misspelt or lost
    if item["type"] in ("too_short", "too_long") and path in source.doubtful:
        return True
    if item["type"] == "too_short" and isinstance(given := source.at(path), (list, dict)):
        least: int = item["ctx"]["min_length"]
        return len(given) >= least  # entries that could not be read are not missing
    return item["input"] is None


Found = list[tuple[KeyPath, ErrorDetails]]


def _of_known_keys(found: Found, root: type[Part]) -> Found:
    """Without the keys that are missing or unknown below a key that is none itself: what stands there is
    written for another."""
    wrong = {path for path, item in found if item["loc"][-1] == "[key]"}
    own = {path[:2] for path, _ in found if len(path) > 2 and extra_model(model_at(path[:1], root))}
    wrong |= {path for path in own if not re.fullmatch(WORD_PATTERN, str(path[1]))}
    return [
        (path, item)
        for path, item in found
        if item["type"] not in ("missing", "extra_forbidden") or not {path[:-1], path[:-2]} & wrong
    ]


def _paired(found: Found, source: Source, root: type[Part]) -> tuple[Found, dict[KeyPath, str]]:
    """Where a section lacks one key and has one that is unknown and near no other, with a value that the
    lacking key takes: the rest of what was found, and the lacking key by the path of the unknown."""
    instead = {}
    for path in [path for path, item in found if item["type"] == "missing"]:
        beside = [(other, item["type"]) for other, item in found if other[:-1] == path[:-1]]
        unknown = [other for other, kind in beside if kind == "extra_forbidden"]
        field = field_at(path, root)
        scalar, text = scalar_in(field) if field else None, source.at(unknown[0]) if unknown else None
        alone = len(unknown) == 1 == sum(kind == "missing" for _, kind in beside)
        fits = scalar is not None and isinstance(text, str) and _takes(scalar, text)
        if alone and fits and not _meant(unknown[0], root):
            instead[unknown[0]] = str(path[-1])
    missing = {(*path[:-1], key) for path, key in instead.items()}
    return [(path, item) for path, item in found if path not in missing], instead


def _in_place_of(said: Diagnostic, key: str) -> Diagnostic:
    message = f"{said.message}, and `{key}` is missing there"
    return replace(said, message=message, help=f"write `{key}` in its place")


def _path(tree: TextTree, item: ErrorDetails) -> KeyPath:
    """The key path of a pydantic location: without the tags of unions and the marks of keys that it adds."""
    path: KeyPath = ()
    loc = item["loc"]
    for number, step in enumerate(loc):
        here = look_up(tree, path)
        inside = step in here if isinstance(here, dict) else isinstance(step, int) and isinstance(here, list)
        if inside or (number == len(loc) - 1 and isinstance(here, dict) and item["type"] == "missing"):
            path = (*path, step)
    return path


def _diagnostic(path: KeyPath, item: ErrorDetails, source: Source, root: type[Part]) -> Diagnostic:
    kind, context = item["type"], item.get("ctx", {})
    place = source.spans.key(path) if item["loc"][-1] == "[key]" else source.spans.value(path)
    match kind:
        case "unreadable":
            said = _at(
                context["code"], context["text"], place, path, why=context["why"], help=context["help"]
            )
            return replace(said, mend=_respelling(item))
        case "one-value":
            return _at(
                "shape",
                f"`{_name(path)}` wants {context['name']}, here is {_kind(item['input'])}",
                place,
                path,
                why=_SHAPE,
                help=_like(path, context["example"]),
            )
        case "missing":
            return missing(path, source, root)
        case "extra_forbidden":
            return _unknown_key(path, source, root)
        case "too_short" | "too_long":
            limit = (
                f"at least {context['min_length']}"
                if kind == "too_short"
                else f"at most {context['max_length']}"
            )
            why = "the plan needs them" if kind == "too_short" else "cards and slides have room for no more"
            message = f"`{_name(path)}` has {context['actual_length']} entries, it must have {limit}"
            return _at("length", message, place, path, why=why, help=f"give {limit}")
        case "tuple_type":
            message = f"`{_name(path)}` wants a list, here is {_kind(item['input'])}"
            help, why = (
                _as_list(item["input"], path, root)
                if isinstance(item["input"], str)
                else ("begin each entry with a hyphen and a space, or put square brackets around it", _SHAPE)
            )
            return _at("shape", message, place, path, why=why, help=help)
        case _:
            help = _as_keys(item["input"], path, root)
            return _at(
                "shape",
                f"`{_name(path)}` wants keys with values, here is {_kind(item['input'])}",
                place,
                path,
                why=_SHAPE,
                help=help,
            )


def _respelling(item: ErrorDetails) -> Mend | None:
    """The value with its units as they are written here, or a word without its capitals, where that is its
    one reading."""
    typed, readings = item["input"], tuple(item["ctx"].get("readings", ()))  # a rule of a section has none
    if item["loc"][-1] == "[key]" or not isinstance(typed, str) or len(readings) != 1:
        return None
    is_word = not item["ctx"].get("kind")  # of a quantity a capital may decide
    spelt = (respelt(typed), direction_without_unit(typed), kind_with_its_k(typed))
    same = (*spelt, *(readings if is_word else ()))
    return Mend(typed, readings[0]) if readings[0] in same else None


def _as_list(text: str, path: KeyPath, root: type[Part]) -> tuple[str, str]:
    """The text as the one entry of a list, or what the entry itself would be refused with, and why: no cloud
    is an empty list, and CAVOK is not."""
    field = field_at(path, root)
    entry = (
        next((part for part in parts_of(field.annotation) if isinstance(part, Scalar)), None)
        if field
        else None
    )
    if model_at((*path, 0), root) is not None:
        return f"write a list of keys with values, {_as_keys(text, (*path, 0), root)}", _SHAPE
    try:
        if entry is not None:
            entry.read(text)
    except ValueError as refused:
        if isinstance(refused, Refusal) and refused.readings:
            return f"write {listed([f'{path[-1]}: [{one}]' for one in refused.readings])}", refused.why
        if isinstance(refused, Refusal) and refused.help:
            return refused.help, refused.why
    return f"put square brackets around it: [{text}]", _SHAPE


def _as_keys(given: object, path: KeyPath, root: type[Part]) -> str:
    """An example of the keys that a part wants, with the text given in its place where each of them takes
    it."""
    model = model_at(path, root)
    fields = {key: field for key in keys_of(model) if (field := field_of(model, key))}
    scalars = {key: scalar for key, field in fields.items() if (scalar := scalar_in(field))}
    needed = [key for key in scalars if fields[key].is_required()] or list(scalars)[:2]
    if not needed:
        return (
            f"write keys below it, such as {', '.join(keys_of(model)[:4])}"
            if model
            else "write `key: value` lines below it"
        )
    alone = len(needed) == 1  # a free text takes anything
    values = {
        key: (
            given
            if isinstance(given, str) and (alone or scalars[key].examples) and _takes(scalars[key], given)
            else next(iter(scalars[key].examples), "...")
        )
        for key in needed[:4]
    }
    keys = f"{{{', '.join(f'{key}: {value}' for key, value in values.items())}}}"
    *_, name = path
    if isinstance(name, str):
        return f"for example `{name}: {keys}`"
    return f"for example `{path[-2]}: [{keys}]`"


def _takes(scalar: Scalar, text: str) -> bool:
    try:
        scalar.read(text)
    except ValueError:
        return False
    return True


_SHAPE = "what stands here cannot be taken for what is wanted"


def _at(
    code: str, message: str, span: Span | None, path: KeyPath, *, why: str = "", help: str = ""
) -> Diagnostic:
    return Diagnostic(code, "error", message, span, why, help, cause=path)


# Keys that people write for more than one event or pass, or at another place than where they are known.
_SEVERAL = {
    "events": (
        "write `event:` with the keys of the one event; several stand in `flow:`, a list of sections in"
        " flying order, each as `- event: {...}` with an `id`"
    ),
    "passes": (
        "write `pass:` with the keys of the first pass; a further one is an entry of `again:`, beside"
        " `event:` in a `flow:`"
    ),
    "again": "write it beside the `event:` of its entry in `flow:`; with one pass leave it out",
    "drop": "write `{drop: yes}` by itself, where a mission stands on a unit's book, to take its entry away",
    "file": "what stands in a file of its own names no further one: write it there",
    "flow": "write it at the top of the file, in place of the sections that it lists",
}


def _unknown_key(path: KeyPath, source: Source, root: type[Part]) -> Diagnostic:
    key, model = str(path[-1]), model_at(path[:-1], root)
    keys, other = keys_of(model), model.OTHER_WORDS.get(key) if model else None
    elsewhere = model.ELSEWHERE.get(key) if model else None
    keys = keys if path[:-1] or root is not MissionFile else [*keys, FLOW]
    near, sure = nearest_word(other or key, keys), None
    if near is not None and _stands_in(source, (*path[:-1], near)):
        meant = f"`{near}` stands there already: write into it, or take this key out"
    else:
        meant, sure = suggestion(other or key, keys), other or surely_meant(key, keys)
    told = _SEVERAL.get(key) or elsewhere
    help = told or meant or f"known here: {', '.join(keys)}"
    said = _at(
        "unknown-key",
        f"there is no key `{key}` {where_in(path[:-1])}",
        source.spans.key(path),
        path,
        why="what is not known is not read",
        help=help,
    )
    return said if told or sure is None else replace(said, mend=Mend(key, sure))


def _stands_in(source: Source, path: KeyPath) -> bool:
    """Whether a key is written in the very section: a further pass has those of the first in its view."""
    own, around = source.spans.keys.get(path), source.spans.value(path[:-1])
    if own is None or around is None or own.file != around.file:  # of the book: what is written here wins
        return False
    return not path[:-1] or around.line <= own.line <= around.end_line


def _meant(path: KeyPath, root: type[Part]) -> str | None:
    model, key = model_at(path[:-1], root), str(path[-1])
    return (model.OTHER_WORDS.get(key) if model else None) or nearest_word(key, keys_of(model))


def _name(path: KeyPath) -> str:
    return dotted(path)


def _like(path: KeyPath, example: str) -> str:
    return (
        f"for example `{path[-1]}: {example}`"
        if example and path and isinstance(path[-1], str)
        else f"for example {example}"
        if example
        else ""
    )


def _kind(value: object) -> str:
    if isinstance(value, dict):
        return "a set of keys"
    if isinstance(value, list):
        return "a list"
    return f'the text "{value}"' if len(str(value)) < 40 else "a text"
