"""The fast tier: which tests are in it, and that no room is without one."""

from __future__ import annotations

import pytest

from tests.places import NOT_FAST, REPOSITORY, TESTS

ROOMS = sorted(path.parent.name for path in (REPOSITORY / "briefgen").glob("*/__init__.py"))


def test_what_the_fast_tier_leaves_out_is_there():
    assert [name for name in sorted(NOT_FAST) if not (TESTS / name).is_file()] == []


@pytest.mark.parametrize("room", ROOMS)
def test_every_room_has_a_file_in_the_fast_tier(room):
    files = {path.relative_to(TESTS).as_posix() for path in (TESTS / room).rglob("test_*.py")}
    assert files - NOT_FAST


def test_this_test_is_in_it_and_none_that_needs_a_program_or_much_time(request):
    fast = [item for item in request.session.items if item.get_closest_marker("fast")]
    assert request.node in fast
    assert [
        item.nodeid
        for item in fast
        if any(map(item.get_closest_marker, ("slow", "office", "browser")))
        or item.path.relative_to(TESTS).as_posix() in NOT_FAST
    ] == []
