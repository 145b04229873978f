"""``briefgen new``: a mission file, or a unit's book, to start from."""

from __future__ import annotations

import os
import re
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from briefgen.mission.read.tree import Source

START, ON_A_BOOK = "start", "next"
TITLE = '"title": "briefgen mission file'
NAMES_THE_BOOK = re.compile(r"^unit: (\S+)", re.MULTILINE)


@click.command("new", short_help="Write a mission file to start from.")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option("--from", "source", metavar="NAME", help="A demonstration mission to copy, such as regatta.")
@click.option("--book", is_flag=True, help="Write a unit's book: what is the same in all its missions.")
@click.option(
    "--unit",
    "unit",
    metavar="BOOK",
    type=click.Path(path_type=Path),
    help="Write a mission that stands on this book and says only what differs.",
)
def command(file: Path | None, source: str | None, book: bool, unit: Path | None) -> int:
    """Write a commented mission to FILE (by default mission.yaml, book.yaml, or the demonstration's name),
    and beside it the schema that lets an editor complete and check while one types. Nothing is
    overwritten."""
    from briefgen.console import complain, say
    from briefgen.core import resources

    if (source is not None) + book + (unit is not None) > 1:
        raise click.UsageError("--from, --book and --unit each write another file; give one of them")
    target = file or Path("book.yaml" if book else "mission.yaml" if source is None else f"{source}.yaml")
    shipped, problem = resources.missions_folder() / f"{START}.yaml", ""
    if book or unit is not None:
        shipped = resources.books_folder() / f"{START if book else ON_A_BOOK}.yaml"
    elif source is not None:
        problem, shipped = _demonstration(source)
    text = "" if problem else shipped.read_text(encoding="utf-8")
    if unit is not None:
        problem, text = _on_book(text, unit, target)
    elif not problem:
        problem = _write_book_of(text, shipped.parent, target.parent)
        problem = problem or _write_files_of(shipped, target.parent)
    problem = problem or _write_new(target, text)
    if problem:
        complain(f"briefgen: error: {problem}")
        return 2
    for note in (
        _write_schema(target.parent, text),
        f"{target} written; next: briefgen check {target}",
    ):
        if note:
            say(note)
    return 0


def for_user(text: str) -> str:
    """A shipped file as the user gets it: its first line points to the schema beside it."""
    body = re.sub(r"\A# yaml-language-server:[^\n]*\n", "", text)
    return f"# yaml-language-server: $schema={_schema_of(text).name}\n{body}"


def _schema_of(text: str) -> Path:
    """The shipped schema that the first line of a shipped file points to."""
    from briefgen.core import resources

    unit = resources.schema_path(unit=True)
    return unit if unit.name in text.partition("\n")[0] else resources.schema_path()


def _demonstration(name: str) -> tuple[str, Path]:
    from briefgen.core import resources

    names = resources.mission_names()
    if name not in names:
        import difflib

        near = difflib.get_close_matches(name, names, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(names)}"
        return f"there is no demonstration mission {name!r}; {hint}", Path()
    return "", resources.missions_folder() / f"{name}.yaml"


def _on_book(text: str, book: Path, target: Path) -> tuple[str, str]:
    """What is wrong with a book, and the text of a mission that names it."""
    from briefgen.core import resources
    from briefgen.mission.edit.on_book import on_book
    from briefgen.mission.read.beside import find_beside
    from briefgen.mission.read.parts import SUFFIXES

    source, shipped = _book(book), _book(resources.books_folder() / f"{START}.yaml")
    if source is None or shipped is None:
        return f"{book} is no unit's book that can be read; `briefgen new --book` writes one", ""
    try:
        way = Path(os.path.relpath(book.resolve(), target.parent.resolve())).as_posix()
    except ValueError:  # on another drive
        way = book.as_posix()
    found = find_beside(way, target.parent, SUFFIXES, above=True)
    if isinstance(found, str):
        return f"{found}; a book lies in the folder of the mission, below it or above it", ""
    return "", on_book(NAMES_THE_BOOK.sub(f"unit: {way}", text, count=1), source, shipped)


def _book(path: Path) -> Source | None:
    """A unit's book with all that it takes from files; None where it is none that can be read."""
    from briefgen.mission.files import book_of, is_book
    from briefgen.mission.load import read_mission

    source, _ = read_mission(path)
    if source is None or not is_book(source):
        return None
    return book_of(source, path.name, path.parent, (path.resolve(),))[0]


def _write_book_of(text: str, shipped: Path, folder: Path) -> str:
    """Write the book that a demonstration stands on, unless it is there; what went wrong, or nothing."""
    named = NAMES_THE_BOOK.search(text)
    if named is None:
        return ""
    data, target = (shipped / named[1]).read_text(encoding="utf-8"), folder / named[1]
    try:
        if target.exists() and target.read_text(encoding="utf-8") == for_user(data):
            return ""
        target.parent.mkdir(exist_ok=True)
    except (OSError, UnicodeError) as error:
        return f"{target} could not be written: {error}; choose another folder"
    return _write_new(target, data)


def _write_files_of(shipped: Path, folder: Path) -> str:
    """Write what lies in the folder of a demonstration's name, unless it is there; what went wrong, or
    nothing."""
    for file in sorted(shipped.with_suffix("").glob("*")):
        target = folder / file.parent.name / file.name
        try:
            if target.exists() and target.read_bytes() == file.read_bytes():
                continue
            target.parent.mkdir(exist_ok=True)
            with open(target, "xb") as copy:
                copy.write(file.read_bytes())
        except FileExistsError:
            return f"{target} is there already; nothing was overwritten: choose another folder"
        except OSError as error:
            return f"{target} could not be written: {error.strerror}; choose another folder"
    return ""


def _write_new(target: Path, text: str) -> str:
    """Write a file that must not be there yet, with the folder that was asked for; what went wrong, or
    nothing."""
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        with open(target, "x", encoding="utf-8", newline="\n") as file:
            file.write(for_user(text))
    except FileExistsError:
        return f"{target} is there already; nothing was overwritten: choose another name"
    except OSError as error:
        return f"{target} could not be written: {error.strerror}; choose another folder"
    return ""


def _write_schema(folder: Path, text: str) -> str:
    """Write the schema beside the file. An older one of ours is replaced, since it is no one's work; what
    went wrong is no reason to stop."""
    shipped = _schema_of(text)
    path = folder / shipped.name
    try:
        if path.exists() and TITLE.encode() not in _beginning(path):
            return f"{path} is not this program's and was left as it is; editors will not check the mission"
        path.write_bytes(shipped.read_bytes())
    except OSError as error:
        return f"{path} could not be written ({error.strerror}); editors will not check the mission"
    return ""


def _beginning(path: Path) -> bytes:
    """As much of a file as a schema has at most."""
    with path.open("rb") as stream:
        return stream.read(1_000_000)
