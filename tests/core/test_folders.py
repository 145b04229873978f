"""Folders to work in: gone after use, and those of killed builds tidied away, but nobody else's."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from briefgen.core.folders import MARK, WORK, folder_lock, remove_folder, work_folder


@pytest.fixture
def place(tmp_path, monkeypatch) -> Path:
    """The system's place for temporary files."""
    monkeypatch.setattr("tempfile.tempdir", str(tmp_path))
    return tmp_path


def left_behind(place: Path, name: str, *, marked: bool = True) -> Path:
    folder = place / name
    folder.mkdir()
    (folder / "data.json").write_text("{}")
    if marked:
        (folder / MARK).touch()
    return folder


def test_a_folder_to_work_in_is_empty_but_for_its_mark_and_gone_afterwards(place):
    with work_folder() as folder:
        assert folder.parent == place and [path.name for path in folder.iterdir()] == [MARK]
        (folder / "data.json").write_text("{}")
    assert list(place.iterdir()) == []


def test_what_a_killed_build_left_is_tidied_away_and_nothing_else(place):
    left_behind(place, f"{WORK}killed")
    used, unmarked, others = (
        left_behind(place, f"{WORK}used"),
        left_behind(place, f"{WORK}mine", marked=False),
        left_behind(place, "report"),
    )
    (place / f"{WORK}link").symlink_to(others)
    with folder_lock(used / MARK), work_folder():
        assert not (place / f"{WORK}killed").exists()
        assert all((folder / "data.json").exists() for folder in (used, unmarked, others))
    assert (place / f"{WORK}link").is_symlink()


@pytest.mark.skipif(not hasattr(os, "fork"), reason="NOT CHECKED: this system has no fork")
def test_a_build_that_is_killed_leaves_a_folder_that_the_next_one_tidies(place):
    child = os.fork()
    if child == 0:
        with work_folder() as folder:
            (folder / "data.json").write_text("{}")
            os.kill(os.getpid(), 9)
    os.waitpid(child, 0)
    assert len(list(place.iterdir())) == 1
    with work_folder() as folder:
        assert list(place.iterdir()) == [folder]


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() != 0,
    reason="NOT CHECKED: needs to start as root to make another user's folder",
)
def test_another_users_folder_stays(place):
    folder = left_behind(place, f"{WORK}theirs")
    os.chown(folder, 65534, 65534)
    with work_folder():
        pass
    assert folder.exists()


def test_a_lock_is_closed_before_it_is_deleted_where_the_system_deletes_nothing_open(tmp_path, monkeypatch):
    """As Windows has it; the folder it lay in can be removed then."""
    done: list[str] = []

    def noted(name: str, real: Callable[..., None]) -> Callable[..., None]:
        return lambda what: (done.append(name), real(what))[1]

    monkeypatch.setattr("briefgen.core.folders.WINDOWS", True)
    monkeypatch.setattr(os, "close", noted("close", os.close))
    monkeypatch.setattr(os, "unlink", noted("unlink", os.unlink))
    with folder_lock(tmp_path / MARK):
        done.clear()
    assert done == ["close", "unlink"] and list(tmp_path.iterdir()) == []


def test_a_folder_whose_last_file_is_still_held_is_waited_for(tmp_path, monkeypatch):
    """Windows, error 145: the file is deleted, but a virus scanner has it open."""
    real, left = os.rmdir, [145, 145]

    def rmdir(path: Path) -> None:
        if left:
            error = OSError("not empty")
            error.winerror = left.pop()
            raise error
        real(path)

    monkeypatch.setattr(os, "rmdir", rmdir)
    monkeypatch.setattr("briefgen.core.folders.time.sleep", lambda seconds: None)
    (tmp_path / "a").mkdir()
    remove_folder(tmp_path / "a")
    assert list(tmp_path.iterdir()) == []
