"""Whole products or none: a folder is written beside its place and swapped in, so that a build killed at any moment leaves the old
brief or the new one, never some of each.

Beside a target ``out/regatta`` there can lie, while a build runs or after it was killed::

    out/.regatta.briefgen-lock    held by the running build; the operating system lets go of it when the build dies
    out/.regatta.briefgen-new     the new products, being written; after the swap the old ones, being deleted; worthless after a kill
    out/regatta.previous          the old products, put aside for the moment of the swap where the system cannot exchange two folders
                                  in one step, or left over because they could not be deleted

The next build of the same folder tidies up: an unfinished new folder is removed; if the kill fell between the two renames of a
swap without exchange, the previous folder is put back first. A folder that is not empty and holds no manifest of ours is never touched. The user's
own files in a folder of ours are carried over; a product that was edited by hand is carried over under a name that says so.
"""

from __future__ import annotations

import errno
import hashlib
import json
import os
import shutil
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from briefgen.diagnostics import Diagnostic
from briefgen.folders import FolderBusy, exchange, folder_lock
from briefgen.records import record

MANIFEST = "manifest.json"
MANIFEST_FORMAT = 1
EDITED = "edited-by-hand"


@record
class Places:
    """The target folder and its neighbours."""

    target: Path
    new: Path
    previous: Path
    lock: Path


def places(target: Path) -> Places:
    """The neighbours of a target. A target that is a link to a folder stands for the folder."""
    real = target.resolve()
    return Places(real, real.with_name(f".{real.name}.briefgen-new"), real.with_name(f"{real.name}.previous"), real.with_name(f".{real.name}.briefgen-lock"))


def write_products(target: Path, products: Mapping[str, bytes], *, head: Mapping[str, Any]) -> list[Diagnostic]:
    """Make ``target`` hold exactly these products (file name → bytes), the user's own files and a manifest.

    An error among the diagnostics means that the target is as it was. ``head`` is what the manifest says beside the list of products.
    """
    where = places(target)
    problem = _refusal(where)
    if problem is not None:
        return [problem]
    try:
        where.target.parent.mkdir(parents=True, exist_ok=True)
        with folder_lock(where.lock):
            return _write_locked(where, products, head)
    except FolderBusy:
        return [Diagnostic("output-busy", "error", f"another build is writing {where.target}", help="wait until it has ended, then build again")]
    except OSError as error:
        return [_explain(error, where)]


def read_manifest(folder: Path) -> dict[str, Any] | None:
    """The manifest of a folder of ours, or None: no such file, unreadable, or not ours."""
    try:
        manifest = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return None
    ours = isinstance(manifest, dict) and manifest.get("manifest_format") == MANIFEST_FORMAT and isinstance(manifest.get("products"), list)
    return manifest if ours else None


def _write_locked(where: Places, products: Mapping[str, bytes], head: Mapping[str, Any]) -> list[Diagnostic]:
    found = _recover(where) or _foreign(where)
    if found:
        return found
    try:
        where.new.mkdir()
        for name, data in products.items():
            _write_file(where.new / name, data)
        carried = _carry_over(where, products)
        _write_file(where.new / MANIFEST, _manifest(products, head))
        _swap(where)
    except BaseException:
        shutil.rmtree(where.new, ignore_errors=True)
        raise
    return carried + _remove_previous(where)


def _swap(where: Places) -> None:
    """Put the new folder in the target's place. Afterwards the old one, if any, is ``previous``."""
    if not os.path.lexists(where.target):
        os.rename(where.new, where.target)
        return
    if exchange(where.new, where.target):
        os.rename(where.new, where.previous)
        return
    os.rename(where.target, where.previous)
    try:
        os.rename(where.new, where.target)
    except OSError:
        os.rename(where.previous, where.target)
        raise


def _recover(where: Places) -> list[Diagnostic]:
    """Tidy up after a killed build."""
    if _is_ours(where.previous) and not os.path.lexists(where.target):
        os.rename(where.previous, where.target)
    if where.new.is_dir():
        shutil.rmtree(where.new)
    if not os.path.lexists(where.previous):
        return []
    if _is_ours(where.previous):
        left = _remove_previous(where)
        return [Diagnostic("output-previous", "error", left[0].message, why=left[0].why, help=left[0].help)] if left else []
    text = f"{where.previous} is in the way and holds no manifest of this program"
    return [Diagnostic("output-previous", "error", text, why="the old products are put aside there during the swap", help="move or rename it")]


def _refusal(where: Places) -> Diagnostic | None:
    here = Path.cwd().resolve()
    if where.target == here or where.target in here.parents:
        text = f"the products can't be written to {where.target}, because you are working inside it"
        return Diagnostic("output-folder", "error", text, why="the folder is replaced as a whole", help="name a folder below it, such as --out brief")
    if where.target.exists() and not where.target.is_dir():
        text = f"{where.target} is a file, not a folder"
        return Diagnostic("output-folder", "error", text, help="choose another folder with --out, or move the file away")
    return None


def _foreign(where: Places) -> list[Diagnostic]:
    if not where.target.is_dir() or _is_ours(where.target):
        return []
    text = f"{where.target} is not empty and holds no {MANIFEST} of this program"
    why = "its files are not this program's to replace"
    return [Diagnostic("output-not-ours", "error", text, why=why, help="choose another folder with --out, or empty this one")]


def _is_ours(folder: Path) -> bool:
    return folder.is_dir() and (read_manifest(folder) is not None or not any(folder.iterdir()))


def _carry_over(where: Places, products: Mapping[str, bytes]) -> list[Diagnostic]:
    """Copy into the new folder what the user has put or changed in the old one."""
    if not where.target.is_dir():
        return []
    manifest = read_manifest(where.target) or {"products": []}
    known = {entry["file"]: entry["sha256"] for entry in manifest["products"] if isinstance(entry, dict) and {"file", "sha256"} <= entry.keys()}
    edited = []
    for path in sorted(where.target.iterdir()):
        if path.name == MANIFEST or path.is_file() and known.get(path.name) == _sha256(path.read_bytes()):
            continue
        name = path.name
        if name in known or name in products:
            name = _free_name(where.new, path)
            edited.append(_edited(path, name))
        _copy(path, where.new / name)
    return edited


def _edited(path: Path, name: str) -> Diagnostic:
    text = f"{path.name} was changed by hand since it was built; it is kept as {name}"
    why = "it belongs to an older plan: its times and fuels may be wrong now"
    return Diagnostic("output-edited", "caution", text, why=why, help="move it out of this folder, or delete it")


def _free_name(folder: Path, path: Path) -> str:
    names = [f"{path.stem}.{EDITED}{number}{path.suffix}" for number in ("", *(f"-{n}" for n in range(2, 1000)))]
    taken = {entry.name for entry in [*folder.iterdir(), *path.parent.iterdir()]}
    return next(name for name in names if name not in taken)


def _copy(source: Path, target: Path) -> None:
    if source.is_dir() and not source.is_symlink():
        shutil.copytree(source, target, symlinks=True)
    else:
        shutil.copy2(source, target, follow_symlinks=False)


def _remove_previous(where: Places) -> list[Diagnostic]:
    try:
        if where.previous.is_dir():
            _delete_manifest_last(where.previous)
    except OSError as error:
        text = f"the old products could not be removed: {where.previous} ({_reason(error)})"
        why = "they are an older plan's; nobody should fly with them"
        return [Diagnostic("output-previous", "caution", text, why=why, help="close what holds them open and delete that folder")]
    return []


def _delete_manifest_last(folder: Path) -> None:
    """So that a folder which a kill left half deleted is still known as ours."""
    for entry in sorted(folder.iterdir(), key=lambda path: path.name == MANIFEST):
        if entry.is_dir() and not entry.is_symlink():
            shutil.rmtree(entry)
        else:
            entry.unlink()
    folder.rmdir()


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
    errno.EACCES: "close programs that hold a product open; else you may not write there: choose another folder with --out",
    errno.EPERM: "you may not write there: choose another folder with --out",
    errno.EROFS: "that disk is read-only: choose another one with --out",
    errno.EBUSY: "close programs that hold a product open; a mounted disk itself can't be the folder: name a folder on it with --out",
    errno.EEXIST: "part of that path is a file: choose another folder with --out",
    errno.ENOTDIR: "part of that path is a file: choose another folder with --out",
    errno.ENAMETOOLONG: "choose a shorter path with --out",
}


def _explain(error: OSError, where: Places) -> Diagnostic:
    text = f"the products could not be written to {where.target}: {_reason(error)}"
    whole = read_manifest(where.target) is not None
    why = "the folder still holds the older products, whole; they are not this plan's" if whole else "no product was written"
    return Diagnostic("output-not-written", "error", text, why=why, help=_HELP.get(error.errno or 0, "choose another folder with --out"))


def _reason(error: OSError) -> str:
    words = os.strerror(error.errno) if error.errno else str(error)
    return f"{words} ({error.filename})" if error.filename else words
