"""What the operating system offers for files and folders beyond the standard library: a lock that dies with
its holder, an exchange in one step; and its habits: Windows refuses to rename or delete what another program
looks at, and what is marked read-only."""

from __future__ import annotations

import contextlib
import hashlib
import os
import stat
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from pathlib import Path

if sys.platform != "win32":
    import fcntl

_AT_FDCWD = -100  # linux/fcntl.h
_RENAME_EXCHANGE = 2  # linux/fs.h
WINDOWS = sys.platform == "win32"
_HELD = (5, 32)  # Windows: access denied, sharing violation; a virus scanner or an indexer lets go soon
_NOT_EMPTY = 145  # Windows: a file in it is deleted, but still held
PATIENCE_S, PAUSE_S = 2.0, 0.05
MOST_SHOWN = 200  # letters of a path


class FolderBusy(Exception):
    """Another build holds the lock."""


@contextlib.contextmanager
def folder_lock(path: Path) -> Iterator[None]:
    """Hold the lock file while the block runs, and remove it afterwards. Raises FolderBusy at once when
    another build holds it."""
    handle = _acquire(path)
    try:
        yield
    finally:
        _release(handle, path)


def _release(handle: int, path: Path) -> None:
    """Windows deletes no file that is open, ours or the next holder's; elsewhere it is deleted while it is
    held, so that it can be nobody else's by then."""
    if WINDOWS:
        os.close(handle)
    with contextlib.suppress(OSError):
        os.unlink(path)
    if not WINDOWS:
        os.close(handle)


def _acquire(path: Path) -> int:
    while True:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _try_lock(handle)
            if _same_file(handle, path):
                return handle
        except BaseException:
            os.close(handle)
            raise
        os.close(handle)  # its holder removed it between our open and our lock: take the new one


def _try_lock(handle: int) -> None:
    try:
        if sys.platform != "win32":
            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
        else:  # pragma: no cover
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    except (BlockingIOError, PermissionError) as error:
        raise FolderBusy from error


def _same_file(handle: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(handle), os.stat(path))
    except FileNotFoundError:
        return False


def exchange(one: Path, other: Path) -> bool:
    """Give two folders each other's name in one step. False when this system or file system cannot; nothing
    has changed then."""
    import ctypes

    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2  # Linux, glibc 2.28 or later
    except (AttributeError, OSError, TypeError):
        return False
    return bool(rename(_AT_FDCWD, os.fsencode(one), _AT_FDCWD, os.fsencode(other), _RENAME_EXCHANGE) == 0)


def digest(path: Path) -> str:
    """SHA-256 of a file, read piece by piece: a user's file may have any size. Raises OSError."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def short(path: Path) -> str:
    """A path for the middle of a line: of one too long for any system its beginning and its end."""
    text = str(path)
    return text if len(text) <= MOST_SHOWN else f"{text[: MOST_SHOWN // 2]}...{text[-MOST_SHOWN // 2 :]}"


def rename(one: Path, other: Path) -> None:
    """Rename; on Windows again and again for two seconds while another program holds it. Raises OSError."""
    _patiently(lambda: os.rename(one, other))


def replace(one: Path, other: Path) -> None:
    """Rename over a file that is there, with the same patience. Raises OSError."""
    _patiently(lambda: os.replace(one, other))


@contextlib.contextmanager
def new_beside(path: Path, data: bytes) -> Iterator[Path]:
    """A new file with the data, safely on the disk beside ``path``, to be put in its place in one step; gone
    after the block if it is still there. Raises OSError."""
    new = path.with_name(f".{path.name}.briefgen-new")
    try:
        new.unlink(missing_ok=True)
        with open(new, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        yield new
    finally:
        new.unlink(missing_ok=True)


def remove(path: Path) -> None:
    """Delete a file; a read-only mark, which Windows minds, is taken off. Raises OSError."""

    def attempt() -> None:
        try:
            os.unlink(path)
        except PermissionError:
            if path.is_symlink() or path.stat().st_mode & stat.S_IWRITE:
                raise
            os.chmod(path, path.stat().st_mode | stat.S_IWRITE)
            os.unlink(path)

    _patiently(attempt)


def remove_folder(path: Path) -> None:
    """Delete an empty folder, with the same patience. Raises OSError."""
    _patiently(lambda: os.rmdir(path), (*_HELD, _NOT_EMPTY))


def _patiently(change: Callable[[], None], held: tuple[int, ...] = _HELD) -> None:
    until = time.monotonic() + PATIENCE_S
    while True:
        try:
            return change()
        except OSError as error:
            if getattr(error, "winerror", None) not in held or time.monotonic() > until:
                raise
        time.sleep(PAUSE_S)


# ---------------------------------------------------------------- folders to work in

WORK = "briefgen-card-"
MARK = ".briefgen-lock"  # in every folder to work in, held as long as it is used


@contextlib.contextmanager
def work_folder() -> Iterator[Path]:
    """An empty folder of the system's place for such, gone after the block. What killed builds have left
    there goes first."""
    _tidy(Path(tempfile.gettempdir()))
    with tempfile.TemporaryDirectory(prefix=WORK) as name, folder_lock(Path(name) / MARK):
        yield Path(name)


def _tidy(place: Path) -> None:
    """Removes folders to work in that are marked, this user's and not in use; what can't be removed stays,
    and is no reason to stop."""
    for folder in place.glob(f"{WORK}*"):
        with contextlib.suppress(OSError, FolderBusy):
            if folder.is_symlink() or not (folder / MARK).is_file() or not _own(folder):
                continue
            with folder_lock(folder / MARK):
                for entry in folder.iterdir():
                    if entry.name != MARK:
                        remove(entry)
            remove_folder(folder)


def _own(folder: Path) -> bool:
    return not hasattr(os, "getuid") or folder.stat().st_uid == os.getuid()
