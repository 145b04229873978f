"""Whole products or none: a folder is written beside its place and swapped in, so that a build killed at any
moment leaves the old brief or the new one, never some of each.

Beside a target ``out/regatta`` there can lie, while a build runs or after it was killed, hidden and marked as
this program's::

    out/.regatta.briefgen-lock    held by the running build; the operating system lets go of it when it dies
    out/.regatta.briefgen-new     the new products, being written; after the swap the old ones, being deleted
    out/.regatta.briefgen-old     the old products, put aside for the moment of the swap where the system
                                  cannot exchange two folders in one step, or left over because they could
                                  not be deleted

The next build of the same folder tidies up: an unfinished new folder is removed; if the kill fell between the
two renames of a swap without exchange, the old folder is put back first. Nothing is removed that the manifest
of a folder does not list; the manifest is written first and removed last. A folder that is not empty and
holds no manifest of ours is never touched, and one with another mission's products only when that is asked
for. What the user has put into a folder of ours is carried over (``users_files.py``).
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from briefgen.build.users_files import MANIFEST, carry_over, clear
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.folders import FolderBusy, exchange, folder_lock, rename, short
from briefgen.core.records import record

MANIFEST_FORMAT = 1
MOST_MANIFEST_BYTES = 4 * 1024 * 1024
# keys of a manifest that say whose products they are
OWNER = (
    "kind",
    "mission_file",
    "mission_path",
    "mission_path_sha256",
)


@record
class Places:
    """The target folder and its neighbours."""

    target: Path
    new: Path
    old: Path
    lock: Path


def places(target: Path) -> Places:
    """The neighbours of a target. A target that is a link to a folder stands for the folder."""
    real = target.resolve()
    return Places(real, *(real.with_name(f".{real.name}.briefgen-{what}") for what in ("new", "old", "lock")))


def write_products(
    target: Path, products: Mapping[str, bytes], *, head: Mapping[str, Any], replace: bool = False
) -> list[Diagnostic]:
    """Make ``target`` hold exactly these products (file name → bytes), the user's own files and a manifest.

    An error among the diagnostics means that the target is as it was. ``head`` is what the manifest says
    beside the list of products. ``replace``: even where the folder holds the products of another mission.
    """
    try:
        problem = _refusal(target)
        if problem is not None:
            return [problem]
        where = places(target)
        where.target.parent.mkdir(parents=True, exist_ok=True)
        with folder_lock(where.lock):
            return _write_locked(where, products, head, replace=replace)
    except FolderBusy:
        return [
            Diagnostic(
                "output-busy",
                "error",
                f"another build is writing {target}",
                help="wait until it has ended, then build again",
            )
        ]
    except (OSError, RuntimeError) as error:  # RuntimeError: a link that leads to itself
        return [_explain(error, target)]


def mission_place(mission: Path, folder: Path) -> dict[str, str]:
    """Which file the products in ``folder`` are made of, as their manifest says it: ``mission_path`` from the
    folder, with slashes; or, where no way leads there but over the top of the disk, ``mission_path_sha256``,
    a hash, as products hold no path of a machine."""
    real, start = Path(os.path.realpath(mission)), Path(os.path.realpath(folder))
    try:
        way = Path(os.path.relpath(real, start))
    except ValueError:  # another disk
        way = real
    if way.is_absolute() or Path(os.path.commonpath((real, start))) == Path(real.anchor):
        return {"mission_path_sha256": _sha256(os.fsencode(real))}
    return {"mission_path": way.as_posix()}


def mission_of(folder: Path) -> Path | None:
    """The mission file that a folder of ours was made of, where its manifest tells the way and the file is
    there."""
    manifest = read_manifest(folder) or {}
    name, way = manifest.get("mission_file"), manifest.get("mission_path")
    if not isinstance(way, str) or Path(way).is_absolute() or Path(way).name != name:
        return None
    path = folder.resolve() / way
    return Path(os.path.normpath(path)) if path.is_file() else None


def read_manifest(folder: Path) -> dict[str, Any] | None:
    """The manifest of a folder of ours, or None: no such file, unreadable, or not ours."""
    try:
        with (folder / MANIFEST).open("rb") as stream:
            data = stream.read(MOST_MANIFEST_BYTES + 1)
        manifest = json.loads(data) if len(data) <= MOST_MANIFEST_BYTES else None
    except (OSError, ValueError, RecursionError):
        return None
    ours = (
        isinstance(manifest, dict)
        and manifest.get("manifest_format") == MANIFEST_FORMAT
        and isinstance(manifest.get("products"), list)
    )
    return manifest if ours else None


def _write_locked(
    where: Places, products: Mapping[str, bytes], head: Mapping[str, Any], *, replace: bool
) -> list[Diagnostic]:
    problem = _recover(where) or _foreign(where) or (None if replace else _another_missions(where, head))
    if problem is not None:
        return [problem]
    try:
        where.new.mkdir()
        for name, data in {MANIFEST: _manifest(products, head), **products}.items():
            _write_file(where.new / name, data)
        carried = (
            carry_over(where.target, where.new, _listed(where.target), products)
            if where.target.is_dir()
            else []
        )
        _swap(where)
    except BaseException:
        _discard(where)
        raise
    return carried + _remove_old(where)


def _swap(where: Places) -> None:
    """Put the new folder in the target's place. Afterwards the old one, if any, is ``old``."""
    if not os.path.lexists(where.target):
        rename(where.new, where.target)
        return
    if exchange(where.new, where.target):
        rename(where.new, where.old)
        return
    rename(where.target, where.old)
    try:
        rename(where.new, where.target)
    except OSError:
        rename(where.old, where.target)
        raise


def _recover(where: Places) -> Diagnostic | None:
    """Tidy up after a killed build."""
    if _is_ours(where.old) and not os.path.lexists(where.target):
        rename(where.old, where.target)
    for place in (where.new, where.old):
        if not os.path.lexists(place):
            continue
        if not _is_ours(place):
            text = f"{place} is in the way and holds no manifest of this program"
            return Diagnostic(
                "output-in-the-way",
                "error",
                text,
                why="the products are put there during the swap",
                help="move or rename it",
            )
        try:
            clear(place, where.target, _listed(place), unfinished=place == where.new)
        except OSError as error:
            return Diagnostic(**{**_left(place, error), "severity": "error"})
    return None


def _refusal(target: Path) -> Diagnostic | None:
    for place in (target, *target.parents):
        if place.is_symlink() and not os.path.exists(place):
            return Diagnostic(
                "output-folder",
                "error",
                f"{place} is a link to {os.readlink(place)}, which isn't there",
                why="products would be written where nobody looks for them",
                help="make the folder that it leads to, delete the link, or choose another folder with --out",
            )
    here, real = Path.cwd().resolve(), target.resolve()
    if real == here or real in here.parents or not real.name:
        text = f"the products can't be written to {real}, because " + (
            "you are working inside it" if real.name else "it is a whole disk"
        )
        return Diagnostic(
            "output-folder",
            "error",
            text,
            why="the folder is replaced as a whole",
            help="name a folder below it, such as --out brief",
        )
    if real.exists() and not real.is_dir():
        text = f"{real} is a file, not a folder"
        return Diagnostic(
            "output-folder", "error", text, help="choose another folder with --out, or move the file away"
        )
    return None


def _foreign(where: Places) -> Diagnostic | None:
    if not where.target.is_dir() or _is_ours(where.target):
        return None
    text = f"{where.target} is not empty and holds no {MANIFEST} of this program"
    why = "its files are not this program's to replace"
    return Diagnostic("output-not-ours", "error", text, why=why, help="choose another folder with --out")


def _another_missions(where: Places, head: Mapping[str, Any]) -> Diagnostic | None:
    """Products of another mission file, or a debrief where a brief is to go: somebody may be about to print
    them."""
    manifest = read_manifest(where.target)
    if manifest is None or all(
        str(manifest.get(key)).casefold() == str(head.get(key)).casefold() for key in OWNER
    ):
        return None
    way, named = manifest.get("mission_path"), manifest.get("mission_file", "a file that is not named")
    named = os.path.normpath(where.target / way) if isinstance(way, str) else named
    text = f"{where.target} holds the products of another mission: {manifest.get('mission')}, from {named}"
    return Diagnostic(
        "output-another-mission",
        "error",
        text,
        why="they would be replaced as a whole",
        help="choose another folder with --out, or add --replace",
    )


def _is_ours(folder: Path) -> bool:
    """With a manifest of ours, or with nothing in it but a manifest that was cut off."""
    return folder.is_dir() and (
        read_manifest(folder) is not None or not any(folder.iterdir()) or _cut_off(folder)
    )


def _cut_off(folder: Path) -> bool:
    return folder.name.endswith(".briefgen-new") and [entry.name for entry in folder.iterdir()] == [MANIFEST]


def _listed(folder: Path) -> dict[str, Any]:
    """The entries of a folder's manifest by case-folded name."""
    entries = (read_manifest(folder) or {"products": []})["products"]
    return {
        entry["file"].casefold(): entry
        for entry in entries
        if isinstance(entry, dict)
        and isinstance(entry.get("file"), str)
        and {"bytes", "sha256"} <= entry.keys()
    }


def _discard(where: Places) -> None:
    """The unfinished new folder, as far as that works: the next build tidies up."""
    try:
        if where.new.is_dir():
            clear(where.new, where.target, _listed(where.new), unfinished=True)
    except OSError:
        pass


def _remove_old(where: Places) -> list[Diagnostic]:
    try:
        return clear(where.old, where.target, _listed(where.old)) if where.old.is_dir() else []
    except OSError as error:
        return [Diagnostic(**_left(where.old, error))]


def _left(place: Path, error: OSError) -> dict[str, Any]:
    text = f"the old products could not be removed: {place} ({_reason(error)})"
    why = "they are an older plan's; nobody should fly with them"
    return {
        "code": "output-previous",
        "severity": "caution",
        "message": text,
        "why": why,
        "help": "close what holds them open and delete that folder",
    }


def _write_file(path: Path, data: bytes) -> None:
    with open(path, "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())  # a full disk must tell now, not after the swap


def _manifest(products: Mapping[str, bytes], head: Mapping[str, Any]) -> bytes:
    listed = [{"file": name, "bytes": len(data), "sha256": _sha256(data)} for name, data in products.items()]
    document = {"manifest_format": MANIFEST_FORMAT, **head, "products": listed}
    return (json.dumps(document, ensure_ascii=False, indent=1) + "\n").encode("utf-8")


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


_HELP = {
    errno.ENOSPC: "free some space on that disk, or choose another one with --out",
    errno.EDQUOT: "your quota is used up: delete something, or choose another disk with --out",
    errno.EFBIG: "the file is larger than this disk or account allows: choose another one with --out",
    errno.ENOENT: "no folder can be made there: choose another one with --out",
    errno.EACCES: (
        "close programs that hold a product open; else you may not write there: choose another folder with"
        " --out"
    ),
    errno.EPERM: "you may not write there: choose another folder with --out",
    errno.EROFS: "that disk is read-only: choose another one with --out",
    errno.EBUSY: (
        "close programs that hold a product open; a mounted disk itself can't be the folder: name a folder on"
        " it with --out"
    ),
    errno.EEXIST: "part of that path is a file: choose another folder with --out",
    errno.ENOTDIR: "part of that path is a file: choose another folder with --out",
    errno.ENAMETOOLONG: "choose a shorter path with --out",
}


def _explain(error: OSError | RuntimeError, target: Path) -> Diagnostic:
    text = f"the products could not be written to {short(target)}: {_reason(error, target)}"
    whole = read_manifest(target) is not None
    why = (
        "the folder still holds the older products, whole; they are not this plan's"
        if whole
        else "no product was written"
    )
    return Diagnostic(
        "output-not-written",
        "error",
        text,
        why=why,
        help=_HELP.get(getattr(error, "errno", 0) or 0, "choose another folder with --out"),
    )


def _reason(error: OSError | RuntimeError, told: Path | None = None) -> str:
    """In the system's words, with the file that it names, unless that is the one already ``told``."""
    words = os.strerror(error.errno) if isinstance(error, OSError) and error.errno else str(error)
    name = getattr(error, "filename", None)
    named = Path(os.fsdecode(name)) if name else None
    own = named is None or ".briefgen-" in named.name  # a hidden name of ours tells nobody anything
    same = named is not None and told is not None and os.path.abspath(told) == os.path.abspath(named)
    return words if named is None or own or same else f"{words} ({short(named)})"
