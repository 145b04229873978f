"""A pasted text as words, of which none is lost: each is taken once, alone or with others, as a token."""

from __future__ import annotations

import re

from briefgen.mission.inputs.report import Role, Token

_WORD = re.compile(r"[^\s=]+|=")


def normal_words(text: str) -> list[str]:
    """The words as they are read: ASCII letters as capitals, ``=`` a word of its own."""
    return _WORD.findall("".join(c.upper() if c.isascii() else c for c in text))


def wrong_number(words: list[str], most: int) -> str:
    """What is wrong with a text of so many words; empty where nothing is."""
    if not words:
        return "there is no text here"
    return f"this text has {len(words)} words" if len(words) > most else ""


class WordReader:
    """Goes through the words once."""

    def __init__(self, words: list[str]) -> None:
        self.words, self.place = words, 0
        self.tokens: list[Token] = []

    @property
    def left(self) -> list[str]:
        """The words that are not taken yet."""
        return self.words[self.place :]

    def next(self, count: int) -> str:
        """The next words with one space between them, as many as are left."""
        return " ".join(self.words[self.place : self.place + count])

    def take(self, count: int, role: Role) -> str:
        """The next words as one token."""
        text = self.next(count)
        self.tokens.append(Token(text, role))
        self.place += count
        return text
