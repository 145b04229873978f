"""What must not be parted at the end of a line: a number from its unit, a clock time from its Z, a telephone
number, the words of a state."""

from __future__ import annotations

import re
from functools import lru_cache

NO_BREAK = "\u00a0"
NO_BREAK_HYPHEN = "\u2011"
_UNITS = (
    "ft/min|ft|nm|NM|kt/s|kt|KGS|KTAS|KCAS|KIAS|lb/h|kg/h|lb|kg|L|gal"
    "|MHz|hPa|km|m|min|h|s|deg|Z|C|T|M|MSL|AGL|%|of|x"
)
_BOUND = re.compile(
    rf"(?<=\d) (?=(?:{_UNITS})(?![\w]))"  # 2850 lb, 03:30:02 Z, 042 M
    r"|(?<=\bft) (?=MSL\b|AGL\b)|(?<=\b[MT]) (?=\(\d{3}\b)"  # 1500 ft MSL, 042 M (052 T)
    r"|(?<=\d[\u00a0 ]h) (?=\d+ (?:min|s)\b)|(?<=\d[\u00a0 ]min) (?=\d+ s\b)"  # 6 h 1 min 3 s
    r"|(?<=-\d\d) (?=\d\d:\d\d)"  # 2027-01-29 23:00; one that is written 29 Jan may stand above its time
    r"|(?<=\b[A-Z]{3}) (?=\([+-]\d)|(?<=\b[A-Z]{4}) (?=\([+-]\d)"  # ACDT (+10:30)
    r"|(?<=\d) (?=(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b)"  # 2 Jun
    r"|(?<=\d\d:\d\d) (?=[A-Z]{3,4} \()|(?<=\d\)) (?=(?:base|event)\b)"  # 14:00:02 ACDT (+10:30) base
    r"|(?<=\bNO) (?=CALL NEEDED\b)|(?<=\bNO[\u00a0 ]CALL) (?=NEEDED\b)"  # a state is one word
    r"|(?<=\bNOT) (?=CHECKED\b|GIVEN\b|APPROVED\b|USED\b)|(?<=\bEND) (?=BY\b)|(?<=\bTOO) (?=LATE\b|EARLY\b)"
    r"|(?<=\d) (?=x \d|= \d)|(?<=\d[\u00a0 ][x=]) (?=\d)|(?<=\w,) (?=Z$)|(?<=\bship) (?=\d)|(?<=\bShip)"
    r" (?=\d)|(?<=\bpreset) (?=\d)"
)
_BEFORE_FIGURE = re.compile(r"-(?=\d)")
_PHONE = re.compile(r"\+\d{1,3}(?: \d+)+")


@lru_cache(maxsize=8192)  # the same words on each ship's card, and each time a page is tried anew
def bind(text: str) -> str:
    """The same text with no-break spaces where a line must not end; its words and their order stay."""
    return bind_phones(_BOUND.sub(NO_BREAK, text))


def bind_phones(text: str) -> str:
    """The same with nothing but telephone numbers bound: where a page has no room for more, they still stay
    whole."""
    return _PHONE.sub(lambda found: found.group().replace(" ", NO_BREAK), text)


def bind_hyphens(text: str) -> str:
    """The same text with no-break hyphens before figures: 2027-03-14, -04:00, T-15 min.

    Only for text that is broken over lines: what stands on one line keeps the hyphen that a search or a
    spreadsheet knows.
    """
    return _BEFORE_FIGURE.sub(NO_BREAK_HYPHEN, text)
