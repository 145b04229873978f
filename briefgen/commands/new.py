"""``briefgen new``: a mission file to start from."""

from __future__ import annotations

import re
from pathlib import Path

import click

START = "start"
TITLE = '"title": "briefgen mission file'
SCHEMA_FILE = "mission.schema.json"
FIRST_LINE = f"# yaml-language-server: $schema={SCHEMA_FILE}"


@click.command("new", short_help="Write a mission file to start from.")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option(
    "--from",
    "source",
    default=START,
    metavar="NAME",
    help="A demonstration mission to copy, such as regatta.",
)
def command(file: Path | None, source: str) -> int:
    """Write a commented mission to FILE (by default mission.yaml, or the demonstration's name), and beside it
    the schema that lets an editor complete and check while one types. Nothing is overwritten."""
    from briefgen.console import complain, say

    target = file or Path("mission.yaml" if source == START else f"{source}.yaml")
    problem, text = _source_text(source)
    problem = problem or _write_new(target, text)
    if problem:
        complain(f"briefgen: error: {problem}")
        return 2
    for note in (
        _write_schema(target.parent / SCHEMA_FILE),
        f"{target} written; next: briefgen check {target}",
    ):
        if note:
            say(note)
    return 0


def mission_for_user(text: str) -> str:
    """A shipped mission as the user gets it: its first line points to the schema beside it."""
    body = re.sub(r"\A# yaml-language-server:[^\n]*\n", "", text)
    return f"{FIRST_LINE}\n{body}"


def _source_text(name: str) -> tuple[str, str]:
    from briefgen.core import resources

    names = resources.mission_names()
    if name not in names:
        import difflib

        near = difflib.get_close_matches(name, names, n=1)
        hint = f"did you mean {near[0]!r}?" if near else f"there are {', '.join(names)}"
        return f"there is no demonstration mission {name!r}; {hint}", ""
    return "", (resources.missions_folder() / f"{name}.yaml").read_text(encoding="utf-8")


def _write_new(target: Path, text: str) -> str:
    """Write a file that must not be there yet; what went wrong, or nothing."""
    try:
        with open(target, "x", encoding="utf-8", newline="\n") as file:
            file.write(mission_for_user(text))
    except FileExistsError:
        return f"{target} is there already; nothing was overwritten: choose another name"
    except OSError as error:
        return f"{target} could not be written: {error.strerror}; choose another folder"
    return ""


def _write_schema(path: Path) -> str:
    """Write the schema beside the mission. An older one of ours is replaced, since it is no one's work; what
    went wrong is no reason to stop."""
    from briefgen.core import resources

    try:
        if path.exists() and TITLE.encode() not in _beginning(path):
            return f"{path} is not this program's and was left as it is; editors will not check the mission"
        path.write_bytes(resources.schema_path().read_bytes())
    except OSError as error:
        return f"{path} could not be written ({error.strerror}); editors will not check the mission"
    return ""


def _beginning(path: Path) -> bytes:
    """As much of a file as a schema has at most."""
    with path.open("rb") as stream:
        return stream.read(1_000_000)
