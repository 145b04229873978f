"""One record for everything the program has to tell about a mission: errors are values, collected, never raised.

Every stage returns ``(result, diagnostics)``.  A diagnostic says what is wrong, where, why it matters and how to mend it.
"""

from __future__ import annotations

from dataclasses import field
from typing import Literal

from briefgen.records import record

Severity = Literal["error", "caution", "note"]
KeyPath = tuple[str | int, ...]  # ("flight", 2, "start_fuel"): keys and list positions from the top of the mission file


@record
class Span:
    """A stretch of a text file. Lines and columns count from 1; a column counts characters; the end is exclusive."""

    file: str
    line: int
    column: int
    end_line: int
    end_column: int

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}"


@record
class Related:
    """Another place that has to do with a diagnostic (the first of two equal keys, the other of two times)."""

    message: str
    span: Span


@record
class Diagnostic:
    """What is wrong (``message``), where (``span``), why it matters (``why``) and how to mend it (``help``).

    ``code`` is a stable id in small letters with hyphens, such as ``duplicate-key``.
    ``cause`` is the key path when the span is not known yet; the reader's span table turns it into a place.
    """

    code: str
    severity: Severity
    message: str
    span: Span | None = None
    why: str = ""
    help: str = ""
    related: tuple[Related, ...] = ()
    cause: KeyPath = field(default=())


def has_errors(diagnostics: list[Diagnostic]) -> bool:
    """True when any of them stops the run after its stage."""
    return any(d.severity == "error" for d in diagnostics)


def in_file_order(diagnostics: list[Diagnostic], name: str) -> list[Diagnostic]:
    """In the order of the lines: what has no place first, then the file ``name``, then every other."""

    def place(diagnostic: Diagnostic) -> tuple[int, str, int, int]:
        span = diagnostic.span
        return (1 if span.file == name else 2, span.file, span.line, span.column) if span else (0, "", 0, 0)

    return sorted(diagnostics, key=place)
