"""Words on a terminal: safe on every console and in every pipe, user text never taken as markup or as a command to the terminal."""

from __future__ import annotations

import os
import sys
import unicodedata
from collections.abc import Mapping, Sequence
from typing import TextIO

from briefgen.diagnostics import Diagnostic, Severity, Span

EXCERPT_WIDTH = 110
_SPACES = "\t\u00a0\u2007\u202f"  # a tab, and spaces that do not break


def prepare_console() -> None:
    """A character that the console cannot show becomes a question mark instead of stopping the program."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def say(text: str = "", *, stream: TextIO | None = None) -> None:
    """Print a line. When the reader has gone away (``| head``), the rest is dropped without a word and the work goes on."""
    out = stream or sys.stdout
    try:
        out.write(printable(text) + "\n")
        out.flush()
    except BrokenPipeError:
        _drop_the_rest(out)


def put_bytes(data: bytes) -> None:
    """Print a file as it is, whatever the console's encoding: for output that another program will read."""
    sys.stdout.flush()
    try:
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()
    except BrokenPipeError:
        _drop_the_rest(sys.stdout)


def complain(text: str) -> None:
    """Print a line where errors go."""
    say(text, stream=sys.stderr)


def printable(text: str) -> str:
    """Control characters and direction overrides as question marks: text of a file must not move the cursor or recolour the screen."""
    return "".join(c if c.isprintable() or c == "\n" else " " if c in _SPACES else "?" for c in text)


def diagnostic_text(diagnostic: Diagnostic, texts: Mapping[str, str]) -> str:
    """A diagnostic as a compiler prints one: place, what is wrong, the line with the place marked, why it matters, how to mend it.

    ``texts``: file name → its text, for the excerpts; a file that is not there goes without."""
    place = f"{diagnostic.span}: " if diagnostic.span else ""
    lines = [f"{place}{diagnostic.severity}: {diagnostic.message} [{diagnostic.code}]"]
    if diagnostic.span:
        lines += _excerpt(diagnostic.span, texts)
    for label, text in (("why", diagnostic.why), ("help", diagnostic.help)):
        lines += [f"    {label}: {text}"] if text else []
    for related in diagnostic.related:
        lines += [f"    {related.span}: {related.message}", *_excerpt(related.span, texts)]
    return "\n".join(lines)


def counts_text(diagnostics: Sequence[Diagnostic]) -> str:
    """``2 errors, 1 caution``; empty when there are none."""
    severities: tuple[Severity, ...] = ("error", "caution", "note")
    numbers = [(sum(d.severity == severity for d in diagnostics), severity) for severity in severities]
    return ", ".join(f"{n} {severity}{'' if n == 1 else 's'}" for n, severity in numbers if n)


def table_text(rows: Sequence[Sequence[str]], *, indent: int = 2, gap: int = 2) -> str:
    """Columns aligned by what the eye sees; the last column runs free."""
    if not rows:
        return ""
    widths = [max(width(row[column]) for row in rows) for column in range(len(rows[0]))]
    return "\n".join(_row(row, widths, indent, gap) for row in rows)


def width(text: str) -> int:
    """Columns that the text takes: two for wide East Asian characters, none for marks that stand on the one before."""
    return sum(0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text)


def _drop_the_rest(stream: TextIO) -> None:
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _row(row: Sequence[str], widths: Sequence[int], indent: int, gap: int) -> str:
    cells = [cell + " " * (widths[column] - width(cell)) for column, cell in enumerate(row)]
    return (" " * indent + (" " * gap).join(cells)).rstrip()


def _excerpt(span: Span, texts: Mapping[str, str]) -> list[str]:
    lines = texts.get(span.file, "").splitlines()
    if not 1 <= span.line <= len(lines):
        return []
    line, start = lines[span.line - 1], span.column - 1
    end = span.end_column - 1 if span.end_line == span.line else len(line)
    shift = max(0, start - EXCERPT_WIDTH // 2) if len(line) > EXCERPT_WIDTH else 0
    shown = printable(line[shift : shift + EXCERPT_WIDTH])
    before = shown[: start - shift]
    marked = shown[start - shift : max(end - shift, start - shift)]
    number = str(span.line)
    return [f"  {number} | {shown}", f"  {' ' * len(number)} | {' ' * width(before)}{'^' * max(1, width(marked))}"]
