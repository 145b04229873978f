"""Bytes to text, and the characters that no mission file may hold."""

from __future__ import annotations

import errno
import re
import stat
import unicodedata
from pathlib import Path

from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.core.records import record

MAXIMUM_BYTES = 256 * 1024


@record
class FileKind:
    """What a file is meant to be, for what is said of one that cannot be: ``most_bytes`` is our own bound."""

    noun: str
    most_bytes: int
    too_big: str


MISSION = FileKind("mission", MAXIMUM_BYTES, "a mission of a dozen ships has 20 kB; is this the right file?")
# hardly any in a text, many in a program or a picture
_CONTROLS = bytes({*range(0x20), 0x7F} - {*b"\t\n\r\f\x1b"})
# more than so many, and more than one byte in a hundred: no text (our own bound)
FEW_CONTROLS, CONTROLS_SHARE = 8, 100
MOST_REPORTED = 200  # of one kind: a file in a wrong encoding has thousands

# Control characters, separators that end a line for some programs only, direction overrides, marks that hide,
# half characters (surrogates) and code points that are no characters.
_REFUSED = re.compile(
    "[\xad\u200b\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u061c\u202a-\u202e\u2066-\u2069\ufeff\ufdd0-\ufdef\ud800-\udfff]"
    "|[" + "".join(chr(plane * 0x10000 + 0xFFFE) + chr(plane * 0x10000 + 0xFFFF) for plane in range(17)) + "]"
)


def read_file(path: Path, most: int = MAXIMUM_BYTES) -> bytes:
    """The bytes of a plain file, one more than ``most`` at the most. OSError for all else: a pipe would be
    waited for, a device has no end."""
    if not stat.S_ISREG(path.stat().st_mode) and not path.is_dir():
        raise OSError(errno.EINVAL, "it is a pipe or a device, no file")
    with path.open("rb") as stream:
        return stream.read(most + 1)


def _is_binary(data: bytes) -> bool:
    found = len(data) - len(data.translate(None, _CONTROLS))
    return found > FEW_CONTROLS and found * CONTROLS_SHARE > len(data)


def decode(data: bytes, name: str, kind: FileKind = MISSION) -> tuple[str | None, list[Diagnostic]]:
    """The text of a UTF-8 file, or why not. Bytes that are not UTF-8 are reported one by one and stand as
    ``_``."""
    top = Span(name, 1, 1, 1, 2)
    if len(data) > kind.most_bytes:
        return None, [
            Diagnostic(
                "file-too-big",
                "error",
                f"the file has more than {kind.most_bytes // 1024} kB",
                top,
                f"no {kind.noun} is as long",
                kind.too_big,
            )
        ]
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return None, [
            Diagnostic(
                "encoding",
                "error",
                "the file is saved as UTF-16",
                top,
                "only UTF-8 is read",
                "save it as UTF-8 in your editor",
            )
        ]
    if _is_binary(data):
        return None, [
            Diagnostic(
                "encoding",
                "error",
                "this is no text file",
                top,
                f"a {kind.noun} is a text in UTF-8",
                "check the name; a text saved in another encoding is saved anew as UTF-8",
            )
        ]
    data = data.removeprefix(b"\xef\xbb\xbf")
    try:
        return data.decode("utf-8"), []
    except UnicodeDecodeError:
        text = data.decode("utf-8", errors="surrogateescape")
    bad = list(re.finditer("[\udc80-\udcff]", text))
    problems = [_bad_byte(place, text, name) for place in bad[:MOST_REPORTED]]
    return re.sub("[\udc80-\udcff]", "_", text), problems


def _bad_byte(place: re.Match[str], text: str, name: str) -> Diagnostic:
    byte = ord(place[0]) - 0xDC00
    message = f"byte 0x{byte:02X} is not UTF-8"
    guess = bytes([byte]).decode("cp1252", errors="replace")
    help = (
        f"save the file as UTF-8; the byte may have been meant as {guess}"
        if guess.isprintable() and guess != "\ufffd"
        else "save the file as UTF-8"
    )
    return Diagnostic(
        "encoding",
        "error",
        message,
        span_at(text, place.start(), name),
        "the file was saved in another encoding",
        help,
    )


def check_characters(text: str, name: str) -> tuple[str, list[Diagnostic]]:
    """The text with every refused character replaced by ``_`` (so that reading can go on), and where they
    stood."""
    found = list(_REFUSED.finditer(text))
    if not found:
        return text, []
    problems = [_refused(place[0], span_at(text, place.start(), name)) for place in found[:MOST_REPORTED]]
    return _REFUSED.sub("_", text), problems


def refused_in_value(value: str) -> str | None:
    """The first refused character that an escape such as ``\\x07`` put into a value, described; None if there
    is none."""
    found = _REFUSED.search(value)
    return _describe(found[0]) if found else None


def _refused(character: str, span: Span) -> Diagnostic:
    why = "it is invisible, and shows as rubbish or reverses the text on a slide or card"
    return Diagnostic(
        "character",
        "error",
        f"{_describe(character)} is not allowed",
        span,
        why,
        "delete it; it may have come with a paste",
    )


def _describe(character: str) -> str:
    code = f"U+{ord(character):04X}"
    if 0xD800 <= ord(character) <= 0xDFFF:
        return f"half a character (surrogate {code})"
    name = unicodedata.name(character, "")
    return f"the character {code}" + (
        f" ({name.lower()})"
        if name
        else " (a control character)"
        if unicodedata.category(character) == "Cc"
        else ""
    )


def span_at(text: str, index: int, name: str, length: int = 1) -> Span:
    """The place of ``length`` characters at ``index``; lines end at LF, CR or CR LF."""
    before = text[:index].replace("\r\n", "\n").replace("\r", "\n")
    line = before.count("\n") + 1
    column = len(before) - (before.rfind("\n") + 1) + 1
    return Span(name, line, column, line, column + length)


# ---------------------------------------------------------------- look-alikes in the structure

_SPACES = "\u00a0\u1680\u2000-\u200b\u202f\u205f\u3000"
_LOOK_ALIKES = (
    (
        re.compile(rf"^[ ]*([{_SPACES}])"),
        "an indent holds a space that is no plain space",
        "replace it by plain spaces",
    ),
    (
        re.compile(rf"^[ ]*(?:- )?[A-Za-z_0-9]+:([{_SPACES}])"),
        "the space after this colon is no plain space",
        "replace it by a plain space",
    ),
    (
        re.compile("^[ ]*(?:- )?[A-Za-z_0-9]+[ ]?([\uff1a\ufe55\ua789\u2236])"),
        "this colon is not the colon of the keyboard",
        "type a plain colon and a space",
    ),
    (
        re.compile("^[ ]*([\u2013\u2014\u2212\u2010\u2011\u2022])[ ]"),
        "a list item begins with a plain hyphen",
        "type a plain hyphen and a space",
    ),
    (
        re.compile(r"^ *(\t)"),
        "an indent holds a tab",
        "indent with spaces; set your editor to use spaces in this file",
    ),
    (re.compile(r"^[ ]*(?:- )?[A-Za-z_0-9]+:(\t)"), "a tab stands after this colon", "replace it by a space"),
)
_QUOTED_BY_EDITOR = re.compile(
    "(?::|-) +(([\u201c\u201e\u201d\u2018\u00ab])[^#]*[\u201c\u201d\u2019\u00bb])\\s*(?:#.*)?$"
)


def check_look_alikes(lines: list[str], name: str) -> list[Diagnostic]:
    """Signs in the structure that only look like the right ones: each would quietly become part of a key or a
    text."""
    problems = []
    for number, line in enumerate(lines, 1):
        if line.isascii() and "\t" not in line:
            continue
        for pattern, message, help in _LOOK_ALIKES:
            if found := pattern.match(line):
                problems.append(
                    Diagnostic(
                        "look-alike",
                        "error",
                        message,
                        _span_on(name, number, found.span(1)),
                        _code_point(found[1]),
                        help,
                    )
                )
                break
        else:
            if found := _QUOTED_BY_EDITOR.search(line):
                message, why = "typographic quotes are part of the text", "they will be printed"
                help = 'remove them, or type plain quotes (")'
                problems.append(
                    Diagnostic(
                        "typographic-quotes",
                        "caution",
                        message,
                        _span_on(name, number, found.span(1)),
                        why,
                        help,
                    )
                )
    return problems[:MOST_REPORTED]


def _span_on(name: str, line: int, columns: tuple[int, int]) -> Span:
    return Span(name, line, columns[0] + 1, line, columns[1] + 1)


def _code_point(character: str) -> str:
    return f"it is U+{ord(character):04X} ({unicodedata.name(character, 'tab').lower()})"
