"""What every part of the mission file is made of: frozen models, and scalars that are read from their text.

The reader resolves nothing: a scalar arrives as the text that was typed.  Each type of scalar is one
``Annotated`` type with a ``Scalar`` marker: how the text is read, what it is called in a message, and its
fragment of the JSON Schema. The JSON Schema takes a number wherever it takes text, because an editor turns
``0471`` or ``2`` into a number first.

Lengths of text (defaults of this program, no authority; chosen so that the longest fits its place on an A5
card): callsign 16, label 32, title 60, phrase 100, sentence 240 characters.
"""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any, ClassVar, Literal, get_args

# what is installed beside this program must not change how a file is read
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

from pydantic import BaseModel, ConfigDict, Field
from pydantic_core import PydanticCustomError, core_schema

from briefgen.core.records import record
from briefgen.units.grammar import listed as listed_words
from briefgen.units.grammar import unit_of
from briefgen.units.nearest import nearest_words
from briefgen.units.parse import PARSERS
from briefgen.units.parse_words import parse_count, parse_likelihood, parse_yes_no

CALLSIGN_CHARACTERS, LABEL_CHARACTERS, TITLE_CHARACTERS, PHRASE_CHARACTERS, SENTENCE_CHARACTERS = (
    16,
    32,
    60,
    100,
    240,
)
ID_CHARACTERS, TAIL_CHARACTERS = 12, 12
RESERVED_ID = "AREA"
ID_PATTERN, WORD_PATTERN = "^[A-Z][A-Z0-9_]{0,11}$", "^[a-z][a-z0-9_-]{0,31}$"


class Part(BaseModel):
    """A mapping of the mission file. Frozen; a key it does not know is an error; attribute names are the
    file's keys (with a trailing underscore where Python has the word for itself: ``pass_``, ``from_``).
    ``OTHER_WORDS``: what people write for a key that its letters don't lead to, and the key.  ``ELSEWHERE``:
    keys that it does not have, and where what they mean is written."""

    OTHER_WORDS: ClassVar[Mapping[str, str]] = {}
    ELSEWHERE: ClassVar[Mapping[str, str]] = {}
    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True, arbitrary_types_allowed=True
    )


class Unreadable(ValueError):
    """A text that does not mean what its key needs: what is wrong, why it matters, how to mend it; ``kind``
    where the whole mission may know more; ``readings``: the one word that it is but for its capitals."""

    def __init__(
        self, message: str, why: str = "", help: str = "", *, kind: str = "", readings: tuple[str, ...] = ()
    ) -> None:
        super().__init__(message)
        self.message, self.why, self.help, self.kind, self.readings = message, why, help, kind, readings


@record
class Scalar:
    """Marks a type as read from text by ``read``, which raises ValueError (with ``why`` and ``help`` where it
    has them).

    ``name`` is how a message calls it ("a level"); ``examples`` show how it is written; ``fragment`` is its
    JSON Schema, which may refuse less than reading and checking do, never more.
    """

    name: str
    read: Callable[[str], Any]
    examples: tuple[str, ...] = ()
    fragment: Callable[[], dict[str, Any]] = dict

    def __get_pydantic_core_schema__(self, source: object, handler: object) -> core_schema.CoreSchema:
        return core_schema.no_info_plain_validator_function(
            self._validate, metadata={"pydantic_js_functions": [self._json_schema]}
        )

    def _json_schema(self, schema: object, handler: object) -> dict[str, Any]:
        return {"examples": list(self.examples), **self.fragment()} if self.examples else self.fragment()

    def _validate(self, value: object) -> Any:
        if not isinstance(value, str):
            raise PydanticCustomError(
                "one-value",
                "{name}",
                {"name": self.name, "example": self.examples[0] if self.examples else ""},
            )
        try:
            return self.read(value)
        except ValueError as problem:
            details = {
                "text": getattr(problem, "message", "") or str(problem),
                "why": getattr(problem, "why", "") or "",
                "help": getattr(problem, "help", "") or self._usual_help(),
                "code": getattr(problem, "code", "") or "value",
                "readings": getattr(problem, "readings", ()),
                "examples": getattr(problem, "examples", ()),
                "kind": getattr(problem, "kind", ""),
            }
            raise PydanticCustomError("unreadable", "{text}", details) from None

    def _usual_help(self) -> str:
        return f"write it like this, for example: {' or '.join(self.examples[:2])}" if self.examples else ""


def as_text(pattern: str) -> Callable[[], dict[str, Any]]:
    """A JSON-Schema fragment: text of that pattern, or a number, which an editor makes of text such as
    0471."""
    return lambda: {"type": ["string", "number"], "pattern": pattern}


def quantity(read: Callable[[object], Any]) -> Scalar:
    """The marker of a value of ``briefgen.units``; its grammar gives the name, the examples and the JSON
    Schema."""
    grammar = PARSERS[read]
    return Scalar(grammar.noun, read, grammar.examples, grammar.json_schema)


# ---------------------------------------------------------------- text


def _text(limit: int) -> Callable[[str], str]:
    def read(text: str) -> str:
        if not text.strip():
            raise Unreadable("there is no text here")
        if len(text) > limit:
            why = "longer text has no room on a card"
            raise Unreadable(
                f"this text has {len(text)} characters, the most is {limit}",
                why,
                f"shorten it by {len(text) - limit}",
            )
        return text

    return read


def _text_scalar(name: str, limit: int) -> Scalar:
    return Scalar(
        f"{name} of at most {limit} characters", _text(limit), fragment=as_text(f"^[^\n]{{1,{limit}}}$")
    )


CallsignText = Annotated[str, _text_scalar("a call sign", CALLSIGN_CHARACTERS)]
TailText = Annotated[str, _text_scalar("a tail number", TAIL_CHARACTERS)]
Label = Annotated[str, _text_scalar("a name", LABEL_CHARACTERS)]
Title = Annotated[str, _text_scalar("a title", TITLE_CHARACTERS)]
Phrase = Annotated[str, _text_scalar("a phrase", PHRASE_CHARACTERS)]
Sentence = Annotated[str, _text_scalar("a sentence", SENTENCE_CHARACTERS)]


# ---------------------------------------------------------------- ids, choices, numbers


def _read_id(text: str) -> str:
    if re.fullmatch(ID_PATTERN, text):
        return text
    why = "ids are read out, and stand in narrow columns"
    mended = re.sub(r"[^A-Z0-9_]", "", text.upper())[:ID_CHARACTERS]
    raise Unreadable(
        f'"{text}" is no id: ids are CAPITALS and digits, at most {ID_CHARACTERS} characters',
        why,
        f"for example {mended or 'HOLD'}",
    )


def read_place_id(text: str) -> str:
    """The id of a place; Unreadable where the text is none."""
    if text == RESERVED_ID:
        raise Unreadable(
            f"the id {RESERVED_ID} is reserved for the training area",
            "the weather of the area stands under that name",
            "give the place another id",
        )
    return _read_id(text)


def _read_reference(text: str) -> str:
    """Any text: whether something of that name is declared is asked of the whole file, which can say what was
    meant."""
    return text


def _read_word(text: str) -> str:
    if re.fullmatch(WORD_PATTERN, text):
        return text
    mended = re.sub("[^a-z0-9_-]+", "_", text.lower()).strip("_-")[:32]
    message = f'"{text}" is no key of this kind: small letters, digits, - and _, at most 32 characters'
    raise Unreadable(
        message,
        "other keys of the file name it",
        f"for example {mended if re.fullmatch(WORD_PATTERN, mended) else 'petrel'}",
    )


def whole_number(name: str, low: int, high: int) -> Scalar:
    """A whole number from ``low`` to ``high``."""

    def read(text: str) -> int:
        number = int(text) if re.fullmatch("[0-9]{7,18}", text) else parse_count(text)
        if not low <= number <= high:
            raise Unreadable(
                f"{name} is {number}, it must be from {low} to {high}"
                if low < high
                else f"{name} is {number}, this program reads {low}",
                "such a number has no meaning here",
                f"write {low}" if low == high else f"write a whole number from {low} to {high}",
            )
        return number

    fragment = (
        {"enum": [low, str(low)]}
        if low == high
        else {"type": ["integer", "string"], "pattern": "^[0-9]{1,6}$"}
    )
    return Scalar(name, read, (str(max(low, 1)),), lambda: fragment)


def choice(name: str, *choices: str) -> Scalar:
    """One of some words, exactly as written here."""

    def read(text: str) -> str:
        if text in choices:
            return text
        raise Unreadable(
            f'"{text}" is not {name}',
            "what is not known is not read",
            f"one of: {', '.join(choices)}{_choice_meant(text, choices)}",
            readings=tuple(choice for choice in choices if choice.casefold() == text.casefold())[:1],
        )

    return Scalar(name, read, choices[:2], lambda: {"enum": list(choices)})


def _choice_meant(text: str, choices: tuple[str, ...]) -> str:
    """ "; did you mean X?" with every choice that has these words, that begins like this, or is nearest."""
    same = [choice for choice in choices if sorted(choice.lower().split()) == sorted(text.lower().split())]
    begun = [choice for choice in choices if text and choice.lower().startswith(text.lower())]
    meant = unit if (unit := unit_of(text)) in choices else text
    return f"; did you mean {listed_words(same or begun)}?" if same or begun else did_you_mean(meant, choices)


def nearest_word(text: str, known: Iterable[str]) -> str | None:
    """The known word that ``text`` was probably meant to be, the first of several equally near; None when
    none is near."""
    return next(iter(nearest_words(text, known)), None)


def did_you_mean(text: str, known: Iterable[str]) -> str:
    """ "; did you mean X?", or nothing."""
    meant = suggestion(text, known)
    return f"; {meant}" if meant else ""


def suggestion(text: str, known: Iterable[str]) -> str:
    """ "did you mean X?" for the known word nearest to ``text``, or all that are equally near; or nothing."""
    words = nearest_words(text, known)
    return f"did you mean {listed_words(words)}?" if words else ""


def _id_fragment() -> dict[str, Any]:
    return {**as_text(ID_PATTERN)(), "not": {"enum": [RESERVED_ID]}}


# An id is declared once and referred to from elsewhere. The form of a reference is that of what is declared,
# so only editors need its pattern.
PlaceId = Annotated[str, Scalar("the id of a place", read_place_id, ("HOLD",), _id_fragment)]
PlaceRef = Annotated[str, Scalar("the id of a place", _read_reference, ("HOLD",), _id_fragment)]
PlaceOrAreaRef = Annotated[
    str, Scalar("the id of a place, or AREA", _read_reference, ("HOLD", "AREA"), as_text(ID_PATTERN))
]
FromPhase = Literal[
    "step",
    "start",
    "check_in",
    "taxi",
    "takeoff",
    "training",
    "rejoin",
    "hold",
    "run_in",
    "egress",
    "recovery",
]
FROM_PHASES: tuple[str, ...] = get_args(FromPhase)
PlaceOrPhaseRef = Annotated[
    str,
    Scalar(
        "the id of a place, or a phase",
        _read_reference,
        ("ENTRY", "takeoff"),
        lambda: {**_id_fragment(), "pattern": f"^({'|'.join(FROM_PHASES)})$|{ID_PATTERN}"},
    ),
]
CueId = Annotated[str, Scalar("the id of a cue or mark", read_place_id, ("ANTHEM",), _id_fragment)]
SectionId = Annotated[str, Scalar("the id of an event or a block", read_place_id, ("HARBOUR",), _id_fragment)]
WordKey = Annotated[str, Scalar("a key in small letters", _read_word, ("petrel",), as_text(WORD_PATTERN))]
AircraftRef = Annotated[
    str, Scalar("a key of `aircraft`", _read_reference, ("petrel",), as_text(WORD_PATTERN))
]
ShipNumber = Annotated[int, whole_number("a ship's number", 1, 16)]
Count = Annotated[int, whole_number("this number", 0, 999)]
Rating = Annotated[int, quantity(parse_likelihood)]
PresetNumber = Annotated[int, whole_number("a preset", 1, 999)]
YesNo = Annotated[bool, quantity(parse_yes_no)]
GateRef = Annotated[str, _text_scalar("the id of a gate", PHRASE_CHARACTERS)]
"""Any text: whether there is such a gate is asked of the plan, which can say what was meant."""
Side = Annotated[Literal["blue", "red"], choice("a side", "blue", "red")]


def listed(most: int, *, at_least: int = 0) -> Any:
    """A list of at most ``most`` values; one that needs none may be left out."""
    return Field(min_length=at_least, max_length=most) if at_least else Field(default=(), max_length=most)
