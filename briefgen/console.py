"""Words on a terminal: safe on every console and in every pipe, user text never taken as markup or as a
command to the terminal."""

from __future__ import annotations

import contextlib
import json
import os
import sys
import unicodedata
from collections.abc import Mapping, Sequence
from typing import Any, TextIO

from briefgen.core.diagnostics import Diagnostic, Severity, Span

EXCERPT_WIDTH = 110
FEWEST_COLUMNS = 20
# columns that the last one of a table needs at the least; else its rows are told one below the other
NARROW = 24
_SPACES = "\t\u00a0\u2007\u202f"  # a tab, and spaces that do not break


class OutputFailed(Exception):
    """What the program prints to is closed or full; the text says why."""


def prepare_console() -> None:
    """A character that the console cannot show becomes a question mark instead of stopping the program."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def say(text: str = "", *, stream: TextIO | None = None) -> None:
    """Print a line. When the reader has gone away (``| head``), the rest is dropped without a word and the
    work goes on."""
    _print(sys.stdout if stream is None else stream, printable(text) + "\n")


def put_bytes(data: bytes) -> None:
    """Print a file as it is, whatever the console's encoding: for output that another program will read."""
    _print(sys.stdout, data)


def complain(text: str) -> None:
    """Print a line where errors go; where that is closed or full, nobody can be told."""
    with contextlib.suppress(OutputFailed):
        _print(sys.stderr, printable(text) + "\n")


def _print(out: TextIO | None, what: str | bytes) -> None:
    if out is None:  # as Python has it when the shell closed it
        raise OutputFailed("it is closed")
    try:
        target: Any = out if isinstance(what, str) else out.buffer
        out.flush()
        target.write(what)
        target.flush()
    except BrokenPipeError:
        _drop_the_rest(out)
    except OSError as error:
        _drop_the_rest(out)
        raise OutputFailed(error.strerror or "it can't be written to") from None


def drop_output() -> None:
    """What is still to be printed goes nowhere: at the end of the program it would fail once more."""
    if sys.stdout is not None:
        _drop_the_rest(sys.stdout)


def is_terminal(stream: TextIO | None) -> bool:
    """Whether a person sits there; not when it is closed."""
    return stream is not None and stream.isatty()


def columns() -> int | None:
    """How wide the lines may be: what ``COLUMNS`` says, else the terminal's width; None in a pipe, a file or
    a terminal that doesn't know it, where nothing is wrapped."""
    said = os.environ.get("COLUMNS", "")
    if said.isdecimal() and int(said) > 0:
        return max(int(said), FEWEST_COLUMNS)
    try:
        found = os.get_terminal_size(sys.stdout.fileno()).columns if is_terminal(sys.stdout) else 0
    except (OSError, ValueError):
        return None
    return max(found, FEWEST_COLUMNS) if found else None


def wrapped(text: str, *, start: str = "", indent: int = 4) -> str:
    """The text in lines that fit, each after the first indented. ``start`` begins the first and is never
    broken; neither is a word."""
    most, lines, between = columns(), [start], ""
    for word in text.split(" "):
        if most is not None and lines[-1].strip() and width(lines[-1] + between + word) > most:
            lines.append(" " * min(indent, most // 2))
            between = ""
        lines[-1] += between + word
        between = " "
    return "\n".join(line.rstrip() for line in lines)


def printable(text: str) -> str:
    """Control characters and direction overrides as question marks: text of a file must not move the cursor
    or recolour the screen."""
    return "".join(c if c.isprintable() or c == "\n" else " " if c in _SPACES else "?" for c in text)


def one_line(text: str) -> str:
    """A file name for the middle of a line: control characters as JSON writes them, ``\\n``."""
    return "".join(c if c >= " " else json.dumps(c)[1:-1] for c in text)


def diagnostic_text(diagnostic: Diagnostic, texts: Mapping[str, str]) -> str:
    """A diagnostic as a compiler prints one: place, what is wrong, the line with the place marked, why it
    matters, how to mend it; a note that has nothing but its place to show is one line.

    ``texts``: file name → its text, for the excerpts; a file that is not there goes without."""
    place = f"{diagnostic.span}: " if diagnostic.span else ""
    first, *more = f"{diagnostic.severity}: {diagnostic.message} [{diagnostic.code}]".split("\n")
    lines = [wrapped(first, start=place), *more]
    bare = diagnostic.severity == "note" and not (diagnostic.why or diagnostic.help or diagnostic.related)
    if diagnostic.span and not bare:
        lines += _excerpt(diagnostic.span, texts)
    for label, text in (("why", diagnostic.why), ("help", diagnostic.help)):
        lines += [wrapped(text, start=f"    {label}: ", indent=8)] if text else []
    for related in diagnostic.related:
        lines += [
            wrapped(related.message, start=f"    {related.span}: ", indent=8),
            *_excerpt(related.span, texts),
        ]
    return "\n".join(lines)


def counts_text(diagnostics: Sequence[Diagnostic]) -> str:
    """``2 errors, 1 caution``; empty when there are none."""
    severities: tuple[Severity, ...] = ("error", "caution", "note")
    numbers = [(sum(d.severity == severity for d in diagnostics), severity) for severity in severities]
    return ", ".join(f"{n} {severity}{'' if n == 1 else 's'}" for n, severity in numbers if n)


def table_text(rows: Sequence[Sequence[str]], *, indent: int = 2, gap: int = 2) -> str:
    """Columns aligned by what the eye sees; the last one is wrapped to the width of the terminal, and in a
    narrow one each row as a whole."""
    if not rows:
        return ""
    widths, most = [max(width(row[column]) for row in rows) for column in range(len(rows[0]))], columns()
    before = indent + sum(widths[:-1]) + gap * (len(widths) - 1)
    if most is None or before + widths[-1] <= most:
        return "\n".join(_row(row, widths, indent, gap) for row in rows)
    if most - before < NARROW:
        return "\n".join(
            wrapped(
                "; ".join(cell for cell in row[1:] if cell),
                start=f"{' ' * indent}{row[0]}: ",
                indent=indent + 2,
            )
            for row in rows
        )
    return "\n".join(
        wrapped(row[-1], start=_row((*row[:-1], ""), widths, indent, gap).ljust(before), indent=before)
        for row in rows
    )


def width(text: str) -> int:
    """Columns that the text takes: two for wide East Asian characters, none for marks that stand on the one
    before."""
    return sum(
        0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1 for c in text
    )


def _drop_the_rest(stream: TextIO) -> None:
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _row(row: Sequence[str], widths: Sequence[int], indent: int, gap: int) -> str:
    cells = [cell + " " * (widths[column] - width(cell)) for column, cell in enumerate(row)]
    return (" " * indent + (" " * gap).join(cells)).rstrip()


def _room(line: str, digits: int) -> int:
    """How many letters of a line are shown; half as many where they may be twice as wide."""
    most = columns()
    room = EXCERPT_WIDTH if most is None else min(EXCERPT_WIDTH, most - digits - len("   | "))
    return max(1, room if width(line) <= len(line) else room // 2)


def _excerpt(span: Span, texts: Mapping[str, str]) -> list[str]:
    lines = texts.get(span.file, "").splitlines()
    if not 1 <= span.line <= len(lines):
        return []
    line, start = lines[span.line - 1], span.column - 1
    end = span.end_column - 1 if span.end_line == span.line else len(line)
    room = _room(line, len(str(span.line)))
    shift = max(0, start - room // 2) if len(line) > room else 0
    shown = printable(line[shift : shift + room])
    before = shown[: start - shift]
    marked = shown[start - shift : max(end - shift, start - shift)]
    number = str(span.line)
    return [
        f"  {number} | {shown}",
        f"  {' ' * len(number)} | {' ' * width(before)}{'^' * max(1, width(marked))}",
    ]
