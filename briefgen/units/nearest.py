"""The known word that a mistyped one was probably meant to be: one rule for keys, ids and units."""

from __future__ import annotations

from collections.abc import Iterable

NEAR = 0.6  # our own bound: the share of letters that two words have in common, in the same order
SHORT = 4  # of so few letters one slip takes away too large a share
FEWEST = 3  # of fewer letters one slip leaves too few to tell what was meant


def nearest_words(text: str, known: Iterable[str]) -> list[str]:
    """Every known word that is nearest to ``text``, in the order given; none when none is near. Capitals make
    no difference.

    In words of up to 4 letters one letter too many, too few or wrong is near too, and two swapped neighbours
    are nearer.
    """
    from difflib import SequenceMatcher

    matcher = SequenceMatcher(None, b=text.lower())
    likeness: dict[str, float] = {}
    for word in known:
        matcher.set_seq1(word.lower())
        likeness[word] = max(
            matcher.ratio(), _slip(text.lower(), word.lower()) if len(text) <= SHORT else 0.0
        )
    best = max(likeness.values(), default=0.0)
    return [word for word, value in likeness.items() if value == best >= NEAR]


def surely_meant(text: str, known: Iterable[str]) -> str | None:
    """The one known word that ``text`` can have been meant to be: its letters but for capitals, hyphens and
    underscores, else one slip of the finger away. None where several are, where none is, and for words of
    one or two letters, of which a slip leaves too little."""
    words = dict.fromkeys(known)
    same = [word for word in words if _letters(word) == _letters(text)]
    slips = [word for word in words if len(word) >= FEWEST and _slip(text.lower(), word.lower())]
    found = same or slips
    return found[0] if len(found) == 1 else None


def _letters(text: str) -> str:
    return text.lower().replace("-", "").replace("_", "").replace(" ", "")


def _slip(typed: str, word: str) -> float:
    """How like two short words are that one slip of the finger makes of each other; 0 for all others."""
    if len(typed) == len(word):
        wrong = [i for i, (one, other) in enumerate(zip(typed, word, strict=True)) if one != other]
        if (
            len(wrong) == 2
            and wrong[1] == wrong[0] + 1
            and typed[wrong[0]] + typed[wrong[1]] == word[wrong[1]] + word[wrong[0]]
        ):
            return 0.95
        return 0.9 if len(wrong) == 1 and len(word) > 1 else 0.0
    long, short = (typed, word) if len(typed) > len(word) else (word, typed)
    return (
        0.9
        if len(long) - len(short) == 1 and any(long[:i] + long[i + 1 :] == short for i in range(len(long)))
        else 0.0
    )
