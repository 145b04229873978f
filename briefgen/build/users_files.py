"""What a user has put or changed in a folder of products: carried into the new folder before the swap, and
never deleted from the old one unless it stands in the new one.

Carried are links to the same files (copies where the disk has no links), so that a user's film costs neither
time nor space. Names are compared without regard to case: a disk may hold ``Deck.pptx`` and ``deck.pptx`` as
one file.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from briefgen.core.diagnostics import Diagnostic
from briefgen.core.folders import digest, remove, remove_folder, rename

MANIFEST = "manifest.json"
EDITED = "edited-by-hand"


def carry_over(old: Path, new: Path, listed: Mapping[str, Any], products: Iterable[str]) -> list[Diagnostic]:
    """Put into ``new`` what the user has put or changed in ``old``; what was changed of ours, or bears a
    product's name, under a name that says so. ``listed``: the entries of the old folder's manifest by
    case-folded name. Raises OSError."""
    taken, edited = {name.casefold() for name in products}, []
    for path in sorted(old.iterdir()):
        if path.name == MANIFEST or _unchanged(path, listed):
            continue
        name = path.name
        if name.casefold() in listed or name.casefold() in taken:
            name = free_name((new, old), path)
            edited.append(_edited(path, name))
        _link(path, new / name)
    return edited


def clear(
    folder: Path, kept: Path, listed: Mapping[str, Any], *, unfinished: bool = False
) -> list[Diagnostic]:
    """Delete a folder of ours: what its manifest lists, and of the user's what also stands in ``kept``; the
    rest is moved there. ``unfinished``: its products may be cut off. The manifest goes last, so that what a
    kill left half deleted is still known as ours. Raises OSError."""
    moved = []
    for entry in sorted(folder.iterdir()):
        if entry.name == MANIFEST:
            continue
        if _unchanged(entry, listed) or (unfinished and entry.name.casefold() in listed and entry.is_file()):
            remove(entry)
        elif not any(_take(entry, twin) for twin in _twins(entry, kept)):
            name = free_name((kept, folder), entry)
            rename(entry, kept / name)
            moved.append(_edited(entry, name))
    if (folder / MANIFEST).exists():
        remove(folder / MANIFEST)
    remove_folder(folder)
    return moved


def free_name(folders: Iterable[Path], path: Path) -> str:
    """A name for an edited file that none of the folders holds yet, in any case."""
    names = [
        f"{path.stem}.{EDITED}{number}{path.suffix}" for number in ("", *(f"-{n}" for n in range(2, 1000)))
    ]
    taken = {entry.name.casefold() for folder in folders for entry in folder.iterdir()}
    return next(name for name in names if name.casefold() not in taken)


def _unchanged(path: Path, listed: Mapping[str, Any]) -> bool:
    """A product as the build wrote it. A file of another size is not read."""
    entry = listed.get(path.name.casefold())
    if entry is None or path.is_symlink() or not path.is_file():
        return False
    return bool(path.stat().st_size == entry["bytes"] and digest(path) == entry["sha256"])


def _edited(path: Path, name: str) -> Diagnostic:
    text = f"{path.name} was changed by hand since it was built; it is kept as {name}"
    why = "what was written by hand is in no plan: its times and fuels may be wrong"
    return Diagnostic(
        "output-edited", "caution", text, why=why, help="move it out of this folder, or delete it"
    )


def _link(source: Path, target: Path) -> None:
    if source.is_dir() and not source.is_symlink():
        shutil.copytree(source, target, symlinks=True, copy_function=_link_file)
    else:
        _link_file(source, target)


def _link_file(source: str | Path, target: str | Path) -> None:
    try:
        os.link(source, target, follow_symlinks=False)
    except (OSError, NotImplementedError):
        shutil.copy2(source, target, follow_symlinks=False)


def _twins(entry: Path, kept: Path) -> Iterator[Path]:
    """Under which names an entry may have been carried over."""
    yield kept / entry.name
    yield from sorted(path for path in kept.iterdir() if path.name.startswith(f"{entry.stem}.{EDITED}"))


def _take(entry: Path, twin: Path) -> bool:
    """Delete an entry that has a twin; of a folder all that has one. True when nothing of it is left."""
    if entry.is_dir() and not entry.is_symlink():
        if not twin.is_dir():
            return False
        left = [child for child in sorted(entry.iterdir()) if not _take(child, twin / child.name)]
        if not left:
            remove_folder(entry)
        return not left
    if not _same(entry, twin):
        return False
    remove(entry)
    return True


def _same(one: Path, other: Path) -> bool:
    if one.is_symlink() or other.is_symlink():
        return one.is_symlink() and other.is_symlink() and os.readlink(one) == os.readlink(other)
    if not one.is_file() or not other.is_file():
        return False
    return os.path.samefile(one, other) or (
        one.stat().st_size == other.stat().st_size and digest(one) == digest(other)
    )
