"""Is the one who approves, or waives, one of the crew? Names are compared as people write them, not letter by
letter."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from briefgen.units.blank import names_nothing

SHORTEST_FAMILY_NAME = 4  # letters: shorter ones end other names too often
LONG_NAME = 6  # letters, from which on two slips still leave a name the same
HOW = (
    "compared without regard to case, spaces, dots, hyphens, accents and titles; an initial matches the name"
    " that it begins"
)
# ranks and titles in general use, short and long; with or without a dot
TITLES = frozenset(
    [
        "mr",
        "mrs",
        "ms",
        "miss",
        "dr",
        "prof",
        "sir",
        "dame",
        "gen",
        "general",
        "lt",
        "ltn",
        "lieutenant",
        "col",
        "colonel",
        "maj",
        "major",
        "capt",
        "cpt",
        "captain",
        "brig",
        "brigadier",
        "sgt",
        "sergeant",
        "cpl",
        "corporal",
        "wo",
        "warrant",
        "officer",
        "plt",
        "pilot",
        "off",
        "flt",
        "flight",
        "sqn",
        "squadron",
        "ldr",
        "leader",
        "lead",
        "wg",
        "wing",
        "cdr",
        "cmdr",
        "commander",
        "gp",
        "group",
        "air",
        "cdre",
        "commodore",
        "avm",
        "am",
        "acm",
        "vice",
        "marshal",
        "adm",
        "admiral",
        "1st",
        "2nd",
        "1lt",
        "2lt",
        "ltcol",
        "fg",
        "flying",
        "first",
        "second",
        "senior",
        "sr",
        "jr",
        "ret",
    ]
)

# what a post is called by, beside titles: whoever holds it is a person with a name
POSTS = frozenset(
    (
        *("oc", "co", "oic", "xo", "exec", "executive", "ops", "operations", "duty", "supervisor"),
        *("sup", "sof", "flying", "training", "safety", "standards", "stan", "chief", "head", "director"),
        *(
            "manager",
            "authoriser",
            "authorizer",
            "authorising",
            "authorizing",
            "authority",
            "approver",
            "instructor",
            "cfi",
            "adjutant",
        ),
        *(
            "deputy",
            "acting",
            "tower",
            "controller",
            "desk",
            "boss",
            "commanding",
            "commandant",
            "base",
            "station",
        ),
        *("unit", "school", "the", "of", "for", "on", "and", "in", "charge", "day"),
        *("night", "watch"),
    )
)


def same_person(one: str, other: str) -> bool:
    """True when the two names can be one person's: one name's words stand in the other's, in order, down to
    the same last word.

    ``Varga, S.`` is ``Lt Col S. Varga`` is ``SABINE VARGA``; a family name alone matches everyone of that
    name.
    """
    return _same(_parts(one), _parts(other))


def _same(one: list[str], other: list[str]) -> bool:
    shorter, longer = sorted((one, other), key=len)
    if not shorter:
        return False
    if "".join(longer).endswith("".join(shorter)) and len("".join(shorter)) >= SHORTEST_FAMILY_NAME:
        return True
    rest = iter(longer[:-1])
    return shorter[-1] == longer[-1] and all(
        any(_agree(word, candidate) for candidate in rest) for word in shorter[:-1]
    )


def names_nobody(text: str | None) -> bool:
    """Nothing, a word that keeps the place of a name, one letter (``X``; a sign of a script without capitals
    may be a name), ranks and titles alone or before such a word: ``Maj``, ``Sqn Ldr``, ``Lt Col TBD``."""
    parts = _parts(text or "")
    letter = len(parts) == 1 and len(parts[0]) == 1 and parts[0].upper() != parts[0]
    return names_nothing(text) or letter or set(parts) <= TITLES or names_nothing(" ".join(parts))


def names_a_post(text: str) -> bool:
    """A post without the name of who holds it: ``OC Flying``, ``Duty Officer``, ``OC 3 Sqn``."""
    words = {word for word in _plain_words(text) if not any(sign.isdigit() for sign in word)}
    return bool(words & POSTS) and words <= POSTS | TITLES


def names_no_person(text: str | None) -> bool:
    """What can't decide: nobody, or a post alone."""
    return names_nobody(text) or names_a_post(text or "")


def of_an_aircraft(name: str, callsign: str) -> bool:
    """No person, but the flight, by its callsign, or one of its aircraft: ``GANNET``, ``GANNET 2``, ``GANNET
    lead``, ``Ship 2``."""
    whole = "".join(_words(name))
    for sign in ("".join(_words(callsign)), "ship"):
        rest = whole.removeprefix(sign)
        if rest != whole and (not rest or rest.isdigit() or rest in TITLES):
            return True
    return False


def crew_member(name: str, crew: Iterable[tuple[int, str]]) -> tuple[int, str] | None:
    """The first (ship, name) of the crew that can be the person called ``name``."""
    return next(((ship, member) for ship, member in crew if same_person(name, member)), None)


def nearly_crew(name: str, crew: Iterable[tuple[int, str]]) -> tuple[int, str] | None:
    """The first (ship, name) of the crew that ``name`` may be a slip of the keyboard for."""
    return next(((ship, member) for ship, member in crew if nearly_same(name, member)), None)


def nearly_same(one: str, other: str) -> bool:
    """True when one or two letters stand between the names as a whole (one in short names), or between the
    family names where the given names agree; or when one has a further family name: ``Wessel-Smith``."""
    if _has_one_more(one, other) or _has_one_more(other, one):
        return True
    return any(
        _nearly(first, second) for first in _either_way(_parts(one)) for second in _either_way(_parts(other))
    )


def _has_one_more(longer: str, shorter: str) -> bool:
    """Without its last word the longer name is the other; a given name and a family name are two words."""
    parts = _parts(longer)
    return len(parts) >= (2 if "-" in longer else 3) and _same(parts[:-1], _parts(shorter))


def _either_way(parts: list[str]) -> list[list[str]]:
    """A name as it is written, and with its first word taken for the family name."""
    return [parts, [*parts[1:], *parts[:1]]][: max(1, len(parts))]


def _nearly(first: list[str], second: list[str]) -> bool:
    if not first or not second:
        return False
    shorter, longer = sorted((first[:-1], second[:-1]), key=len)
    given = all(any(_agree(word, candidate) for candidate in longer) for word in shorter)
    return _close("".join(first), "".join(second)) or (given and _close(first[-1], second[-1]))


def _close(one: str, other: str) -> bool:
    return _slips(one, other) <= (2 if min(len(one), len(other)) >= LONG_NAME else 1)


def _slips(one: str, other: str) -> int:
    """How many letters must be put in, left out, changed or swapped with their neighbour (optimal string
    alignment; Damerau 1964)."""
    rows = [list(range(len(other) + 1))]
    for i, letter in enumerate(one, 1):
        row = [i]
        for j, candidate in enumerate(other, 1):
            swapped = i > 1 and j > 1 and letter == other[j - 2] and one[i - 2] == candidate
            row.append(
                min(
                    rows[-1][j] + 1,
                    row[-1] + 1,
                    rows[-1][j - 1] + (letter != candidate),
                    *([rows[-2][j - 2] + 1] if swapped else []),
                )
            )
        rows.append(row)
    return rows[-1][-1]


def _agree(one: str, other: str) -> bool:
    return one == other or (min(len(one), len(other)) == 1 and one[0] == other[0])


def _parts(name: str) -> list[str]:
    """Given names, then the family name, which stands first where initials end the name; titles left out."""
    family, comma, given = name.partition(",")
    text = f"{given} {family}" if comma else name
    words = _words(text)
    first_initial = next((i for i in range(len(words)) if all(len(w) == 1 for w in words[i:])), len(words))
    return [*words[first_initial:], *words[:first_initial]] if first_initial else words


def _words(text: str) -> list[str]:
    """In small letters without accents; titles before the last word left out."""
    words = _plain_words(text)
    while len(words) > 1 and words[0] in TITLES:
        del words[0]
    return words


def _plain_words(text: str) -> list[str]:
    plain = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    words = [re.sub(r"[^\w]", "", word) for word in re.split(r"[\s.-]+", plain)]
    return [word for word in words if word]
