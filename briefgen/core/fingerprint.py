"""One short name for a plan and all that went into it, so that two people can find out by voice whether they
hold the same.

Hashed are: the mission file's text tree (keys and values as typed; comments, blank lines, quotes and line
ends do not count), the files that it refers to, the templates, the versions of the program and of the time
zone database, and the computed plan. Line numbers are left out, so a comment changes nothing. Plan figures
count to four decimals and instants to the millisecond: mathematics libraries differ in the last bits of a
float from machine to machine, and nobody can fly a ten-thousandth of a foot.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from briefgen.core.plain import to_plain
from briefgen.core.records import record

# No pair that looks alike in pencil, in red light or on a bad print: no 0 O, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V.
ALPHABET = "3479ACDEFHJKMNPQRTWXY"
TEMPLATE_FOLDERS = ("brief", "cards", "pages")
LENGTH = 16  # 21**16 is 1.4e21: two plans of a unit never share the whole; four characters are one of 194,481
GROUP = 4
TEXT_SUFFIXES = frozenset({".md", ".typ", ".html", ".css", ".js", ".json", ".yaml", ".yml", ".txt", ".svg"})


@record
class Fingerprint:
    """``full`` is four groups of four characters, ``K7QH-…``; ``spoken`` is the first group, printed as
    "cards read K7QH"."""

    full: str

    @property
    def spoken(self) -> str:
        """The four characters that are read out."""
        return self.full[:GROUP]


@record
class TemplateMarks:
    """Which templates a plan's products are made with: one hash of all that are shipped, and that of each of
    the unit's own by its name."""

    shipped: str
    own: Mapping[str, str]


def template_marks(shipped: Mapping[str, bytes], own: Mapping[str, bytes]) -> TemplateMarks:
    """The marks of the files of two folders, as ``read_folder`` gives them."""
    return TemplateMarks(
        hashlib.sha256(json.dumps(_hashes(shipped)).encode("ascii")).hexdigest(), _hashes(own)
    )


def fingerprint(
    *, text_tree: Any, plan: Any, files: Mapping[str, bytes], versions: Mapping[str, str]
) -> Fingerprint:
    """``text_tree``: nested mappings, lists and text as typed. ``files``: name → bytes of each template and
    referenced file; line ends of text files do not count. ``versions``: name → version. Neither mapping's
    order counts."""
    parts = {
        "text": to_plain(text_tree),
        "files": _hashes(files),
        "versions": dict(sorted(versions.items())),
        "plan": to_plain(plan, coarse=True),
    }
    text = json.dumps(parts, ensure_ascii=True, allow_nan=False, separators=(",", ":"))
    return Fingerprint(_human(hashlib.sha256(text.encode("ascii")).digest()))


def read_folder(folder: Path, names: Iterable[str] = TEMPLATE_FOLDERS) -> dict[str, bytes]:
    """The files below the named subfolders, for ``files``, by their path with forward slashes. Hidden files
    are the editor's, not the unit's."""
    paths = [path for name in names for path in sorted((folder / name).rglob("*")) if path.is_file()]
    relative = {path.relative_to(folder).as_posix(): path for path in paths}
    return {
        name: path.read_bytes()
        for name, path in relative.items()
        if not any(part.startswith(".") for part in name.split("/"))
    }


def _hashes(files: Mapping[str, bytes]) -> dict[str, str]:
    """name → hash, by name; line ends of text files don't count."""
    return {name: hashlib.sha256(_unix_lines(name, data)).hexdigest() for name, data in sorted(files.items())}


def _human(digest: bytes) -> str:
    number = int.from_bytes(digest, "big")
    letters = []
    for _ in range(LENGTH):
        number, index = divmod(number, len(ALPHABET))
        letters.append(ALPHABET[index])
    text = "".join(letters)
    return "-".join(text[start : start + GROUP] for start in range(0, LENGTH, GROUP))


def _unix_lines(name: str, data: bytes) -> bytes:
    if Path(name).suffix.lower() not in TEXT_SUFFIXES:
        return data
    return data.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
