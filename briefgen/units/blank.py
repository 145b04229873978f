"""Whether a text says something, or only keeps the place of what is still to be written: TBD."""

from __future__ import annotations

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
    ]
)


def says_nothing(text: str | None) -> bool:
    """Nothing is written, signs alone (``?``, ``...``), or a word that keeps the place of one."""
    plain = "".join(sign for sign in (text or "").casefold() if sign.isalnum() or sign.isspace())
    words = " ".join(plain.split())
    return not words or words in BLANKS


def said(text: str | None) -> str:
    """The text, empty where it says nothing."""
    return "" if text is None or says_nothing(text) else text
