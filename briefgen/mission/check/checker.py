"""How a check says what it found, and how it walks through a mission file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, Literal, TypedDict, Unpack

from briefgen.core.diagnostics import Diagnostic, KeyPath, Related, Severity
from briefgen.core.records import record
from briefgen.mission.inputs.report import REPORT_KEYS, Report
from briefgen.mission.read.tree import Spans
from briefgen.mission.schema.base import Part
from briefgen.mission.schema.unread import UNREAD, given
from briefgen.mission.schema.weather import PlaceWeather


class More(TypedDict, total=False):
    """What may be told beside the message: why it matters, how to mend it, and other places with their
    words."""

    why: str
    help: str
    related: tuple[tuple[str, KeyPath], ...]


@record
class Checker:
    """Makes diagnostics with their places. ``values``: every value of the file (``values_in``), walked once
    for all rules."""

    spans: Spans
    values: tuple[tuple[KeyPath, Any], ...]

    def at(self, *forms: tuple[str, ...]) -> Iterator[tuple[KeyPath, Any]]:
        """The values at key paths of these forms, none of which begins with a star, in the order of the
        file."""
        begins = {(len(form), form[0]) for form in forms}
        near = (found for found in self.values if (len(found[0]), found[0][0]) in begins)
        return (found for found in near if any(fits(found[0], form) for form in forms))

    def error(self, code: str, path: KeyPath, message: str, **more: Unpack[More]) -> Diagnostic:
        """An error at the value of ``path``."""
        return self._made("error", code, path, message, **more)

    def caution(self, code: str, path: KeyPath, message: str, **more: Unpack[More]) -> Diagnostic:
        """A caution at the value of ``path``."""
        return self._made("caution", code, path, message, **more)

    def note(self, code: str, path: KeyPath, message: str, **more: Unpack[More]) -> Diagnostic:
        """A note at the value of ``path``."""
        return self._made("note", code, path, message, **more)

    def at_key(
        self,
        code: str,
        path: KeyPath,
        message: str,
        *,
        why: str = "",
        help: str = "",
        severity: Literal["error", "caution"] = "error",
    ) -> Diagnostic:
        """A diagnostic at the key of ``path`` instead of its value."""
        return Diagnostic(code, severity, message, self.spans.key(path), why, help, cause=path)

    def _made(
        self, severity: Severity, code: str, path: KeyPath, message: str, **more: Unpack[More]
    ) -> Diagnostic:
        others = tuple(
            Related(words, span)
            for words, other in more.get("related", ())
            if (span := self.spans.value(other)) is not None
        )
        why, help = more.get("why", ""), more.get("help", "")
        return Diagnostic(code, severity, message, self.spans.value(path), why, help, others, path)


def reports_in(weather: PlaceWeather | None) -> dict[str, Report]:
    """The reports of a place by their keys, as far as they could be read."""
    found = {key: given(weather, key) for key in REPORT_KEYS}
    return {key: report for key, report in found.items() if report is not None}


def values_in(part: Any, path: KeyPath = ()) -> Iterator[tuple[KeyPath, Any]]:
    """Every value of a part of the file with its key path: quantities whole, texts and numbers.

    Defaults of the program are left out, and so is what could not be read.
    """
    if part is UNREAD:
        return
    if isinstance(part, Part):
        for name, field in type(part).model_fields.items():
            if name in part.model_fields_set:
                yield from values_in(getattr(part, name), (*path, field.alias or name))
        yield from values_in(part.__pydantic_extra__ or {}, path)
    elif isinstance(part, Mapping):
        for key, value in part.items():
            yield from values_in(value, (*path, str(key)))
    elif isinstance(part, tuple):
        for position, value in enumerate(part):
            yield from values_in(value, (*path, position))
    else:
        yield path, part


def fits(path: KeyPath, form: tuple[str, ...]) -> bool:
    """True where a key path has the form; a star stands for any step."""
    return len(path) == len(form) and all(f in ("*", step) for step, f in zip(path, form, strict=True))
