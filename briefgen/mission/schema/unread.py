"""A value that could not be read, and how a rule ends that would need it.

A file with errors is checked as far as it goes.  Where a value is wrong or lost, ``UNREAD`` stands in its
place: it can be told from every other value, and whoever would compute or compare with it is stopped by
``NotRead``.  So no rule can make an error out of a value that nobody knows.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, TypeVar


class NotRead(Exception):
    """A rule has come to a value that could not be read; it is caught by ``as_far_as_read``."""


class _Unread:
    """Refuses everything but identity and ``isinstance``."""

    __slots__ = ()

    def _stop(self, *_: object) -> Any:
        raise NotRead

    __bool__ = __len__ = __iter__ = __contains__ = __getitem__ = __getattr__ = __str__ = __format__ = _stop
    __eq__ = __ne__ = __lt__ = __le__ = __gt__ = __ge__ = __hash__ = _stop
    __add__ = __radd__ = __sub__ = __rsub__ = __mul__ = __rmul__ = __neg__ = __abs__ = __int__ = __float__ = (
        __index__
    ) = _stop


UNREAD: Any = _Unread()


_Found = TypeVar("_Found")


def as_far_as_read(found: Iterable[_Found]) -> Iterator[_Found]:
    """What a rule finds until it comes to a value that could not be read: the rest of that rule is left for
    the next run."""
    try:
        yield from found
    except NotRead:
        return


def given(part: Any, *names: str) -> Any:
    """The value behind attributes of the file, one below the other; None where one of them was left out or
    could not be read."""
    for name in names:
        if part is None or part is UNREAD:
            return None
        part = getattr(part, name)
    return None if part is UNREAD else part
