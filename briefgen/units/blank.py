"""Whether a text says something, or only keeps the place of what is still to be written: TBD."""

from __future__ import annotations

from functools import lru_cache

BLANKS = frozenset(
    [
        "tbd",
        "tba",
        "tbc",
        "tbn",
        "todo",
        "none",
        "nobody",
        "na",
        "nil",
        "x",
        "xx",
        "xxx",
        "later",
        "unknown",
        "not known",
        "not given",
        "to be advised",
        "to be briefed",
        "to be confirmed",
        "to be decided",
        "to be named",
        "name",
        "me",
        "myself",
        "as briefed",
        "as discussed",
        "as agreed",
        "as usual",
        "standard",
        "see brief",
        "see briefing",
    ]
)


# what keeps the place of a name or a reference, and may be meant in a sentence
NO_NAMES = frozenset(["nn", "n n", "pending"])


def says_nothing(text: str | None) -> bool:
    """Nothing is written, signs alone (``?``, ``...``), or a word that keeps the place of one."""
    words = _plain(text)
    return not words or words in BLANKS


@lru_cache(maxsize=1024)
def names_nothing(text: str | None) -> bool:
    """The same of a name, a source or a reference: ``pending``, ``N.N.``."""
    return says_nothing(text) or _plain(text) in NO_NAMES


def only_keeps_place(text: str | None) -> bool:
    """Something is written, and it names nothing: what isn't written at all keeps no place."""
    return text is not None and names_nothing(text)


def _plain(text: str | None) -> str:
    plain = "".join(sign for sign in (text or "").casefold() if sign.isalnum() or sign.isspace())
    return " ".join(plain.split())


def said(text: str | None) -> str:
    """The text, empty where it says nothing."""
    return "" if text is None or says_nothing(text) else text


def named(text: str | None) -> str:
    """The name or the reference, empty where it names nothing."""
    return "" if text is None or names_nothing(text) else text
