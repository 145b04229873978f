"""One record for everything the program has to tell about a mission: errors are values, collected, never
raised.

Every stage returns ``(result, diagnostics)``.  A diagnostic says what is wrong, where, why it matters and how
to mend it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace
from typing import Literal

from briefgen.core.records import inner, record

Severity = Literal["error", "caution", "note"]
# ("flight", 2, "start_fuel"): keys and list positions from the top of the mission file
KeyPath = tuple[str | int, ...]


@record
class Span:
    """A stretch of a text file. Lines and columns count from 1; a column counts characters; the end is
    exclusive."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@record
class Related:
    """Another place that has to do with a diagnostic (the first of two equal keys, the other of two
    times)."""

    message: str
    span: Span


@record
class Mend:
    """The one change of a text that mends what a diagnostic tells, at its place: ``new`` for ``old``."""

    old: str
    new: str


@record
class Diagnostic:
    """What is wrong (``message``), where (``span``), why it matters (``why``) and how to mend it (``help``).

    ``code`` is a stable id in small letters with hyphens, such as ``duplicate-key``.
    ``cause`` is the key path when the span is not known yet; the reader's span table turns it into a place.
    ``mend`` is there where exactly one change of the text can be meant, and decides nothing.
    """

    code: str
    severity: Severity
    message: str
    span: Span | None = None
    why: str = ""
    help: str = ""
    related: tuple[Related, ...] = ()
    cause: KeyPath = field(default=())
    mend: Mend | None = inner(default=None)


def has_errors(diagnostics: Iterable[Diagnostic]) -> bool:
    """True when any of them stops the run after its stage."""
    return any(d.severity == "error" for d in diagnostics)


# What these say at several places is one cause: an aircraft, a place, a preset that is missing or misspelt
# where it is declared; an offset from UTC that no clock shows; one letter in place of a clock; an encoding,
# or one sign that an editor writes everywhere.
_ONE_CAUSE = (
    *("unknown-aircraft", "unknown-place", "unknown-preset", "clock-offset"),
    *("encoding", "character", "look-alike"),
)
MOST_RELATED = 3
_ONE_CAUSE_WHATEVER_IS_TYPED = ("time-bare-l",)


def told_once(diagnostics: list[Diagnostic]) -> list[Diagnostic]:
    """One cause is told once, at its first place; the other places stand with it as related ones, three and a
    count."""
    told: dict[object, Diagnostic] = {}
    for number, found in enumerate(diagnostics):
        cause = (
            found.code
            if found.code in _ONE_CAUSE_WHATEVER_IS_TYPED
            else (found.code, found.message)
            if found.code in _ONE_CAUSE
            else number
        )
        if cause not in told:
            told[cause] = found
        elif found.span is not None and found.span != told[cause].span:  # both ends of a range are one
            told[cause] = replace(
                told[cause], related=(*told[cause].related, Related("the same here", found.span))
            )
    return [replace(found, related=_the_first(found.related)) for found in told.values()]


def _the_first(related: tuple[Related, ...]) -> tuple[Related, ...]:
    """At most ``MOST_RELATED`` places, the last with how many more there are."""
    more = len(related) - MOST_RELATED
    if more <= 0:
        return related
    last = related[MOST_RELATED - 1]
    places = "1 more place" if more == 1 else f"{more} more places"
    return (*related[: MOST_RELATED - 1], replace(last, message=f"{last.message}, and at {places}"))


def in_file_order(diagnostics: list[Diagnostic], name: str) -> list[Diagnostic]:
    """In the order of the lines: what has no place first, then the file ``name``, then every other."""

    def place(diagnostic: Diagnostic) -> tuple[int, str, int, int]:
        span = diagnostic.span
        return (1 if span.file == name else 2, span.file, span.line, span.column) if span else (0, "", 0, 0)

    return sorted(diagnostics, key=place)
