"""How a quantity's text is matched, and how a text that does not match is refused with its possible readings.

A ``Grammar`` is one regular expression that serves both the parser and the JSON Schema, so the two cannot
drift apart. It stays inside what ECMAScript and Rust engines share: no look-ahead, no back-references,
``[0-9]`` and never ``\\d`` (which takes other scripts' digits).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator
from functools import cached_property

from briefgen.core.records import record
from briefgen.units.nearest import nearest_words

SP = "[ \u00a0\u2009\u202f]"  # a pasted no-break or thin space means the same as a space
_PLAIN_SPACES = str.maketrans("\u00a0\u2009\u202f", "   ")
GAP = f"{SP}{{0,3}}"
NEED = f"{SP}{{1,3}}"
NUM = r"[0-9]{1,9}(?:\.[0-9]{1,9})?"
SIGNED = f"-?{NUM}"


class Refusal(ValueError):
    """A text that cannot be taken: what, why it matters, how to mend it, and the readings it might have had.

    A ValueError, so that pydantic carries it unchanged in ``error["ctx"]["error"]``.  ``kind``: the name of
    the grammar that refused it; ``examples``: those that the help lists, where it offers nothing else.
    """

    def __init__(
        self,
        message: str,
        why: str,
        help: str,
        readings: tuple[str, ...] = (),
        *,
        kind: str = "",
        examples: tuple[str, ...] = (),
    ) -> None:
        super().__init__(message)
        self.message, self.why, self.help, self.readings, self.kind = message, why, help, readings, kind
        self.examples = examples


@record
class Near:
    """A known near miss: ``pattern`` (matched whole, any case), why it is refused, and the readings it may
    have had.

    ``readings`` are templates filled from the named groups, or a function of the match where a figure must be
    worked out. ``advice`` replaces "write ..." where no reading can be offered, and stands behind it
    otherwise; it too may be a function of the match.
    """

    pattern: str
    why: str
    readings: tuple[str, ...] | Callable[[re.Match[str]], list[str]] = ()
    advice: str | Callable[[re.Match[str]], str] = ""

    def offers(self, found: re.Match[str]) -> list[str]:
        if callable(self.readings):
            return self.readings(found)
        return [template.format(**found.groupdict()) for template in self.readings]

    def advises(self, found: re.Match[str]) -> str:
        return self.advice(found) if callable(self.advice) else self.advice


@record
class Grammar:
    """One kind of value: what it is called, how it is written, examples, and its known near misses."""

    name: str
    noun: str
    pattern: str
    examples: tuple[str, ...]
    why: str
    near: tuple[Near, ...] = ()
    also: tuple[str, ...] = ()  # JSON types an editor may have resolved the text to
    words: tuple[
        str, ...
    ] = ()  # the units and other words it is written with: what a mistyped one may have been meant to be

    @cached_property
    def _regex(self) -> re.Pattern[str]:
        """Compiled when first used and for plain spaces only: forty patterns with sets of spaces would be a
        tenth of a second at every start."""
        return re.compile(self.pattern.replace(SP, " "))

    def takes(self, reading: str) -> bool:
        """Whether the reader would accept it, bounds included: nothing is offered that the next run
        refuses."""
        return self.match(reading) is not None and self._refused(reading) is None

    def _refused(self, text: str) -> Refusal | None:
        """Why the reader of this kind refuses a text of the right form; None where it takes it."""
        reader = READERS.get(self.name)
        try:
            if reader is not None:
                reader(text)
        except Refusal as refusal:
            return refusal
        return None

    def match(self, text: str) -> re.Match[str] | None:
        """The match of the whole text, whose groups hold plain spaces; None when it is not of this kind."""
        return self._regex.fullmatch(text.translate(_PLAIN_SPACES))

    def read(self, text: object) -> re.Match[str]:
        """The match of the whole text, or a Refusal."""
        if not isinstance(text, str):
            raise Refusal(
                f"{self.noun} is wanted here, not {_kind(text)}", "one value belongs here", self._like()
            )
        if not text:
            raise Refusal(f"{self.noun} is wanted here, and nothing is written", self.why, self._like())
        found = self.match(text)
        if found is None:
            raise self.refuse(text)
        return found

    def refuse(self, text: str) -> Refusal:
        """The Refusal for a text the pattern does not take: a near miss, a slip in one word, or what such a
        text looks like."""
        return (
            self._near_miss(text, self.near) or self._mistyped(text) or self.because(text, self._unlike(text))
        )

    def _near_miss(self, text: str, known: tuple[Near, ...]) -> Refusal | None:
        for candidate, reason in _repairs(text):
            if candidate != text and self.match(candidate):
                return self._offer(text, reason, _comma_readings(text, candidate))
            for near in known:
                if hit := re.fullmatch(near.pattern, candidate, re.IGNORECASE):
                    readings = [reading for reading in near.offers(hit) if self.match(reading)]
                    if readings or near.advice:
                        return self._offer(text, near.why, readings, near.advises(hit))
        return None

    def _offer(self, text: str, why: str, readings: list[str], advice: str = "") -> Refusal:
        """A Refusal with the readings that the reader takes; where it takes none of them, with its own reason
        against the first."""
        accepted = tuple(reading for reading in readings if self.takes(reading))
        if readings and not accepted and (refused := self._refused(readings[0])):
            return self.because(text, refused.why, advice=refused.help)
        return self.because(text, why, accepted, advice)

    def _mistyped(self, text: str) -> Refusal | None:
        """A slip in one of its words: every reading with a known word that is equally near."""
        for word in self._unknown_words(text):
            known = {name: unit for name, unit in _WORDS.items() if unit in self.words} | {
                unit: unit for unit in self.words
            }
            meant = dict.fromkeys(known[name] for name in nearest_words(word[0], known))
            readings = tuple(
                r
                for r in (text[: word.start()] + unit + text[word.end() :] for unit in meant)
                if self.takes(r)
            )
            if readings:
                refusal = self.because(text, f'"{word[0]}" is unknown here', readings)
                return Refusal(
                    refusal.message,
                    refusal.why,
                    f"did you mean {listed(readings)}?",
                    readings,
                    kind=self.name,
                )
        return None

    def _unknown_words(self, text: str) -> list[re.Match[str]]:
        """Words that none of the grammar's is; of a text beyond all measure those at its beginning."""
        if not self.words:
            return []
        known = {word.lower() for word in self.words}
        return [word for word in _WORD.finditer(text[:100]) if word[0].lower() not in known]

    def because(self, text: str, why: str, readings: tuple[str, ...] = (), advice: str = "") -> Refusal:
        """A Refusal of ``text`` for a reason of the caller's own."""
        what = f"cannot read {_quoted(text)} as {self.noun}"
        offered = f"write {listed(readings)}" if readings else ""
        help = "; ".join(filter(None, (offered, advice)))
        if help:
            return Refusal(what, why, help, readings, kind=self.name)
        return Refusal(what, why, self._like(), kind=self.name, examples=self.examples)

    def json_schema(self) -> dict[str, object]:
        """The JSON-Schema fragment: anchored pattern, description, examples."""
        pattern = f"^(?:{re.sub(r'[(][?]P<[a-z0-9_]+>', '(?:', self.pattern)})$"
        types = ["string", *self.also] if self.also else "string"
        text = f"{self.noun[0].upper()}{self.noun[1:]}, for example {listed(self.examples)}"
        return {"type": types, "pattern": pattern, "description": text, "examples": list(self.examples)}

    def _unlike(self, text: str) -> str:
        if re.search(r"(?<![0-9A-Za-z])-[0-9.]", text) and "-?" not in self.pattern:
            return "it is never negative"
        if re.search(r"[0-9][eE][-+]?[0-9]|[0-9.]{16}", text) or re.match(
            r"[-+.]*(?:nan|inf)", text, re.IGNORECASE
        ):
            return "a number is written out in plain digits, at most nine before the point and nine after it"
        if re.match(r"[-+T]? *[0-9]", text) and (unknown := self._unknown_words(text)):
            return f'"{_short(unknown[0][0])}" is unknown here'
        return self.why

    def _like(self) -> str:
        return f"write it like this, for example: {listed(self.examples)}"


READERS: dict[str, Callable[[str], object]] = {}
"""The reader of each grammar by its name; ``parse`` fills it."""


def within(grammar: Grammar, text: object, value: float, bounds: tuple[float, float], unit: str) -> float:
    """``value``, or a Refusal where it lies outside bounds against slips of the keyboard: our own, and wider
    than any aircraft."""
    lowest, highest = bounds
    if lowest <= value <= highest:
        return value
    raise grammar.because(
        str(text),
        f"{_plain(value)} lies outside {_plain(lowest)} to {_plain(highest)} {unit}".rstrip(),
        advice=f"write a figure from {_plain(lowest)} to {_plain(highest)} {unit}".rstrip()
        + f", for example {grammar.examples[0]}",
    )


def any_case(*words: str) -> str:
    """A group that takes each word in any mix of capitals: only for units whose meaning capitals cannot
    change."""
    return (
        "(?:"
        + "|".join(
            "".join(f"[{c.lower()}{c.upper()}]" if c.isalpha() else re.escape(c) for c in word)
            for word in words
        )
        + ")"
    )


def listed(items: tuple[str, ...] | list[str], last: str = "or") -> str:
    """'a', 'a or b', 'a, b or c'."""
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} {last} {items[-1]}"


_LOOK_ALIKES = str.maketrans(
    {
        "\u2212": "-",
        "\u2013": "-",
        "\u2014": "-",
        "\u2010": "-",
        "\u2011": "-",
        "\u00ba": "\u00b0",
        "\u02da": "\u00b0",
        "\u00b4": "'",
        "`": "'",
        "\u2044": "/",
        "\u2215": "/",
        "\u201c": '"',
        "\u201e": '"',
        "\u2018": "'",
        "\u066b": ".",
        "\u00a0": " ",
        "\u2009": " ",
        "\u202f": " ",
    }
)
_WORDS = {
    "feet": "ft",
    "foot": "ft",
    "metres": "m",
    "meters": "m",
    "metre": "m",
    "meter": "m",
    "kts": "kt",
    "knots": "kt",
    "knot": "kt",
    "lbs": "lb",
    "pounds": "lb",
    "kgs": "kg",
    "kilos": "kg",
    "kilograms": "kg",
    "litres": "L",
    "liters": "L",
    "litre": "L",
    "liter": "L",
    "l": "L",
    "nmi": "nm",
    "minutes": "min",
    "minute": "min",
    "mins": "min",
    "hours": "h",
    "hour": "h",
    "hrs": "h",
    "hr": "h",
    "seconds": "s",
    "second": "s",
    "secs": "s",
    "sec": "s",
    "degrees": "deg",
    "degree": "deg",
    "degs": "deg",
    "amsl": "MSL",
    "asl": "MSL",
    "mb": "hPa",
    "mbar": "hPa",
    "h": "h",
    "s": "s",
    "celsius": "C",
    "c": "C",
    "kilometres": "km",
    "kilometers": "km",
    "z": "Z",
    "utc": "Z",
    "gmt": "Z",
    "zulu": "Z",
    "gallons": "gal",
    "gallon": "gal",
    "gals": "gal",
    "per": "/",
}


def unit_of(word: str) -> str | None:
    """The unit that is often written with this word ("pounds": lb), None for every other word."""
    return _WORDS.get(word.lower())


# what a height or a time counts from is no mere spelling
_DECIDING = ("MSL", "Z", "/")


def respelt(text: str) -> str:
    """The text with its units as they are written here, and nothing else changed: ``2000 feet MSL`` is
    ``2000 ft MSL``. A single letter may be another unit elsewhere, and stays."""

    def unit(found: re.Match[str]) -> str:
        meant = unit_of(found[0]) if len(found[0]) > 1 else None
        return found[0] if meant is None or meant in _DECIDING else meant

    return _WORD.sub(unit, text)


def direction_without_unit(text: str) -> str:
    """``249 T`` for ``249 deg T``: its figures and its reference are degrees as they stand."""
    return re.sub(r"^([0-9]{3}(?:\.[0-9]+)?) *(?:°|deg|degrees) *([TM])$", r"\1 \2", text)


def kind_with_its_k(text: str) -> str:
    """``220 KTAS`` for ``220 knots TAS``: its figure, its unit and its kind as they stand."""
    return re.sub(rf"^({NUM}) *(?:kts?|knots?)? *(CAS|TAS|GS)$", _knots_of_a_kind, text, flags=re.IGNORECASE)


def _knots_of_a_kind(found: re.Match[str]) -> str:
    return f"{found[1]} K{found[2].upper()}"


_WORD = re.compile(r"(?<![A-Za-z])[A-Za-z]+(?![A-Za-z])")


def _repairs(text: str) -> Iterator[tuple[str, str]]:
    """The text as it is, then step by step with what is commonly mistyped put right, each with the reason to
    give."""
    yield text, ""
    plain = _ascii_digits(unicodedata.normalize("NFC", text).translate(_LOOK_ALIKES)).strip()
    yield (
        plain,
        (
            "it holds spaces at an end, or signs that only look like the ones on a keyboard, and another"
            " program may read them otherwise"
        ),
    )
    worded = (
        re.sub(r" */ *", "/", _WORD.sub(lambda m: _WORDS.get(m[0].lower(), m[0]), plain)) if plain else plain
    )
    yield plain.rstrip(".,;"), "a sign at its end is no part of it"
    yield _SCALED.sub(_written_out, plain), "hundreds and thousands of feet are written out"
    yield worded, "units are written in one way only, so that no other can be taken for them"
    numbers = re.sub(r"(?<![0-9.,])\.(?=[0-9])", "0.", worded).replace("_", "")
    numbers = re.sub(r"(?<=[0-9])\.(?![0-9])", "", numbers)
    numbers = re.sub(r"(?<![0-9A-Za-z])\+(?=[0-9])", "", numbers)
    yield numbers, "a number is written with plain digits and a point between digits"
    yield (
        re.sub(r"(?<=[0-9]),(?=[0-9]{3}(?![0-9]))", "", numbers),
        "a comma is a thousands mark to one reader and a decimal mark to another",
    )
    yield (
        re.sub(r"(?<=[0-9]),(?=[0-9])", ".", numbers),
        "a comma is a thousands mark to one reader and a decimal mark to another",
    )
    yield (
        re.sub(r"(?<=[0-9]) (?=[0-9]{3}(?![0-9]))", "", numbers),
        "a space inside a number may be a slip of the finger",
    )


# one figure, or the two of a band
_SCALED = re.compile(rf"({SIGNED})(?:( *(?:to|-) *)({NUM}))? *([hk])(?:ft|feet|foot)\b", re.IGNORECASE)


def _written_out(found: re.Match[str]) -> str:
    scale = {"h": 100, "k": 1000}[found[4].lower()]
    figures = [_plain(float(figure) * scale) for figure in (found[1], found[3]) if figure]
    return f"{(found[2] or '').join(figures)} ft"


def _comma_readings(text: str, candidate: str) -> list[str]:
    decimal = re.sub(r"(?<=[0-9]),(?=[0-9])", ".", text)
    return [candidate] if decimal in (text, candidate) else [candidate, decimal]


def _ascii_digits(text: str) -> str:
    return "".join(
        c if c.isascii() or unicodedata.digit(c, None) is None else str(unicodedata.digit(c)) for c in text
    )


def _quoted(text: str) -> str:
    return '"' + "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in _short(text)) + '"'


def _short(text: str) -> str:
    return text if len(text) <= 60 else text[:57] + "..."


def _plain(value: float) -> str:
    return f"{value:.4f}".rstrip("0").rstrip(".")


def _kind(value: object) -> str:
    return {dict: "a table", list: "a list", type(None): "nothing"}.get(
        type(value), "a number or word that was already resolved"
    )
