"""The unit's own templates, looked at before anything reads them: only plain files of a sensible size that
lie in the folder itself, and that can be read as what they are."""

from __future__ import annotations

import os
import re
import stat
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path, PurePath

from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.core.fingerprint import TEMPLATE_FOLDERS

FOLDERS = (*TEMPLATE_FOLDERS, "debrief")
# which products `check` tries the unit's own templates with, by their folder
TRIED_WITH = {
    "brief": ("review",),
    "pages": ("review", "ground-clock"),
    "cards": ("approval", "ground-contact", "kneeboard"),
}
UNTRIED = "debrief"  # the folder, and the command that fills what lies in it
MOST_FILES = 500
MOST_FILE_BYTES = 4 * 1024 * 1024  # a style may carry a font; a template's own limit is lower
TEXT = (".md", ".typ", ".html", ".css")
_FETCHES = re.compile(r"@\w[\w-]*/|\beval\b")
# in a style: another file, or the end of the style that it stands in; what lies in the style itself is data:
_REACHES = re.compile(r"@import|\burl\(\s*[\"']?(?!\s*[\"']?data:)|\b(?:image-set|src)\(|</", re.IGNORECASE)
_ESCAPED = re.compile(r"\\([0-9a-fA-F]{1,6})\s?")


def check_templates(own: Path | None) -> list[Diagnostic]:
    """What is wrong with the unit's folder; nothing for None. An error means that nothing of it may be
    read."""
    if own is None:
        return []
    if not any((own / name).is_dir() for name in FOLDERS):
        text = f"{own} has none of the folders {', '.join(FOLDERS)}, so it replaces no template"
        return [
            Diagnostic(
                "templates-folder",
                "error",
                text,
                help=(
                    "put the unit's slides into brief/ and debrief/, its cards into cards/, its pages into"
                    " pages/"
                ),
            )
        ]
    found: list[Diagnostic] = []
    for count, path in enumerate(_entries(own)):
        if count >= MOST_FILES:
            return [
                *found,
                _wrong(
                    own,
                    path,
                    f"is one of more than {MOST_FILES} files",
                    "keep only the templates that differ in that folder",
                ),
            ]
        found += _file(own, path)
    return found or _syntax(own)


def _syntax(own: Path) -> list[Diagnostic]:
    """Mistakes that no mission could make up for. Each names its file in the unit's folder."""
    from briefgen.brief.slides.render_text import syntax_problems as slide
    from briefgen.render.html.base import syntax_problems as pages
    from briefgen.render.pdf.typst_driver import syntax_problems as cards

    slides = [path for name in ("brief", "debrief") for path in sorted((own / name).glob("*.md"))]
    found = [
        problem
        for path in slides
        for problem in slide(path.relative_to(own).as_posix(), path.read_text(encoding="utf-8"))
    ]
    return [placed(own, problem) for problem in (*found, *pages(own), *cards(own))]


def placed(own: Path, problem: Diagnostic) -> Diagnostic:
    """A mistake in a template at its file in the unit's folder, which a slide is told without ``brief``."""
    span = problem.span
    if span is None:
        return problem
    file = next((file for file in (own / span.file, own / "brief" / span.file) if file.is_file()), span.file)
    return replace(problem, span=replace(span, file=str(file)))


def tried_with(own: Path) -> frozenset[str]:
    """The names of the products that the unit has templates of its own for."""
    return frozenset(
        product
        for folder, products in TRIED_WITH.items()
        if any((own / folder).glob("*"))
        for product in products
    )


def untried(own: Path) -> list[Diagnostic]:
    """A note where templates of the unit are there that no mission alone fills."""
    if not any((own / UNTRIED).glob("*")):
        return []
    return [
        Diagnostic(
            "templates-untried",
            "note",
            f"the templates in {own / UNTRIED} were read, but not tried with the values of the mission",
            why=f"a name that is wrong in them is told by `briefgen {UNTRIED}`",
            help=f"run briefgen {UNTRIED} with --templates before they are needed",
        )
    ]


def _entries(own: Path) -> Iterator[Path]:
    """Everything in the four folders but folders; hidden files are the editor's, not the unit's."""
    for name in FOLDERS:
        if (own / name).is_symlink():
            yield own / name
            continue
        for folder, below, files in os.walk(own / name):
            here = Path(folder)
            below[:] = sorted(entry for entry in below if not entry.startswith("."))
            yield from (here / entry for entry in sorted(files) if not entry.startswith("."))
            yield from (here / entry for entry in below if (here / entry).is_symlink())


def _file(own: Path, path: Path) -> Iterator[Diagnostic]:
    try:
        if not path.resolve(strict=True).is_relative_to(own.resolve()):
            yield _wrong(
                own,
                path,
                "is a link to something outside the folder",
                "copy what it leads to into the folder",
            )
            return
        kind = path.stat()
        if stat.S_ISDIR(kind.st_mode) or not stat.S_ISREG(kind.st_mode):
            yield _wrong(own, path, "is no plain file", "take it out of the folder")
        elif kind.st_size > MOST_FILE_BYTES:
            yield _wrong(
                own,
                path,
                f"has {kind.st_size // 1024} kB, the most is {MOST_FILE_BYTES // 1024} kB",
                "make it smaller, or take it out of the folder",
            )
        elif path.suffix.lower() in TEXT:
            text = path.read_bytes().decode("utf-8")
            yield from _fetching(own, path, text)
            yield from _reaching(own, path, text)
    except UnicodeDecodeError as error:
        line = path.read_bytes()[: error.start].count(b"\n") + 1
        yield _wrong(own, path, "is not UTF-8 text", "save it as UTF-8", line=line)
    except (OSError, RuntimeError) as error:  # RuntimeError: a link that leads to itself
        yield _wrong(
            own,
            path,
            f"cannot be read: {getattr(error, 'strerror', None) or error}",
            "mend it, or take it out of the folder",
        )


def _fetching(own: Path, path: Path, text: str) -> Iterator[Diagnostic]:
    """A card's template could have its compiler fetch a package; text made into code by ``eval`` would hide
    it."""
    for found in _FETCHES.finditer(text) if path.suffix.lower() == ".typ" else ():
        line = text.count("\n", 0, found.start()) + 1
        yield _wrong(
            own,
            path,
            f"uses {found[0]!r}: cards fetch no packages and make no code from text",
            "write what it needs into the folder itself",
            line=line,
        )


def _reaching(own: Path, path: Path, text: str) -> Iterator[Diagnostic]:
    """A page is one file: its style brings in no other, nor ends before its end; also not by escapes."""
    if path.suffix.lower() != ".css":
        return
    bare = re.sub(r"/\*.*?\*/", lambda found: "\n" * found[0].count("\n"), text, flags=re.DOTALL)
    for number, line in enumerate(bare.split("\n"), 1):
        plain = _ESCAPED.sub(lambda found: chr(min(int(found[1], 16), 0x10FFFF)), line)
        if found := _REACHES.search(plain):
            remedy = "write the rules into this file, and a picture or font into url(data:...)"
            yield _wrong(
                own,
                path,
                f"has {found[0].strip()!r}: a page is one file, without others",
                remedy,
                line=number,
            )


def _wrong(own: PurePath, path: PurePath, what: str, remedy: str, *, line: int = 1) -> Diagnostic:
    name = path.relative_to(own).as_posix().encode("utf-8", "backslashreplace").decode()
    return Diagnostic(
        "template-file",
        "error",
        f"{name} {what}",
        Span(str(own / name), line, 1, line, 1),
        why="a template is read from the unit's folder alone",
        help=remedy,
    )
