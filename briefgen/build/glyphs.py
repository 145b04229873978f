"""Signs in a mission's texts that the fonts of its products lack, told at their place in the file before
anything is printed."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping

from briefgen.core.diagnostics import Diagnostic, KeyPath, Span
from briefgen.core.records import record
from briefgen.mission.read.tree import Source, Spans, TextTree

CARD_FONTS, DECK_FONTS = (
    ("Atkinson Hyperlegible Next", "Atkinson Hyperlegible Next Bold"),
    ("Arial", "Arial Bold"),
)
MOST_REPORTED = 20  # places: a file in another script has hundreds
# in every font: most missions hold no other
_PLAIN = re.compile("[\n -~\xa0-\xac\xae-\xb4\xb6-\xff\u2013\u2014\u2018\u2019\u201c\u201d\u2022\u2026]*")
_ESCAPED = re.compile(r"\\|&#")  # after it any sign may stand, in YAML and JSON, and in XML
_NEAREST = {
    "\u2010": "-",
    "\u2011": "-",
    "\u2043": "-",
    "\u2192": "to",
    "\u2032": "'",
    "\u2033": '"',
    "\u2103": "C",
    "\t": "a space",
}


@record
class _Place:
    """One key or value of the file as it is read, and where it stands."""

    text: str
    span: Span | None


def check_signs(source: Source) -> list[Diagnostic]:
    """An error for every key or value with a sign that the cards' or the deck's font lacks, marked at the
    first one. Comments don't count.

    A text that no product prints is told as well: which texts are printed is the products' own affair.
    """
    if all(_PLAIN.fullmatch(text) and not _ESCAPED.search(text) for text in source.texts.values()):
        return []
    found = (
        _lacking(place, source.texts)
        for place in _places(source.tree, source.spans)
        if not _PLAIN.fullmatch(place.text)
    )
    return [diagnostic for diagnostic in found if diagnostic][:MOST_REPORTED]


def _places(tree: TextTree, spans: Spans, path: KeyPath = ()) -> Iterator[_Place]:
    match tree:
        case dict():
            for key, value in tree.items():
                yield _Place(key, spans.key((*path, key)))
                yield from _places(value, spans, (*path, key))
        case list():
            for number, value in enumerate(tree):
                yield from _places(value, spans, (*path, number))
        case str() if not _is_position(path):
            yield _Place(tree, spans.value(path))


def _is_position(path: KeyPath) -> bool:
    """Positions are printed in the program's own spelling: any sign of a minute that is read will do."""
    return path[-1:] == ("position",) or path[-2:-1] == ("boundary",) or path[-2:-1] == ("crowd_line",)


def _lacking(place: _Place, texts: Mapping[str, str]) -> Diagnostic | None:
    from briefgen.draw.typeset.measure import missing_glyphs

    on_cards, on_slides = (
        tuple(dict.fromkeys(sign for font in fonts for sign in missing_glyphs(place.text, font)))
        for fonts in (CARD_FONTS, DECK_FONTS)
    )
    signs = on_cards or on_slides
    if not signs:
        return None
    names = ", ".join(_named(sign) for sign in signs)
    where, why = (
        ("the cards'", "it would be an empty box on paper")
        if on_cards
        else ("the deck's", "another font would stand in, its widths unknown")
    )
    span = None if place.span is None else _narrowed(place.span, signs, texts)
    return Diagnostic(
        "character-not-in-font", "error", f"{where} font has no sign for {names}", span, why, _remedy(signs)
    )


def _named(sign: str) -> str:
    name = unicodedata.name(sign, "a tab" if sign == "\t" else "").lower()
    return f"U+{ord(sign):04X}" + (f" ({name})" if name else "")


def _remedy(signs: tuple[str, ...]) -> str:
    nearest = _nearest(signs[0]) if len(signs) == 1 else ""
    return "write it in Latin letters or use the nearest sign" + (f": {nearest}" if nearest else "")


def _nearest(sign: str) -> str:
    """What may be written instead, as far as it is known: ``2`` for a full-width figure, ``fi`` for the two
    in one."""
    from briefgen.draw.typeset.measure import missing_glyphs

    written = _NEAREST.get(sign) or unicodedata.normalize("NFKC", sign)
    return "" if any(missing_glyphs(written, font) for font in (*CARD_FONTS, *DECK_FONTS)) else written


def _narrowed(span: Span, signs: tuple[str, ...], texts: Mapping[str, str]) -> Span:
    """The first of the signs inside a place, with those that follow it at once; the place itself where an
    escape names the sign."""
    lines = re.split(r"\r\n|\r|\n", texts.get(span.file, ""))
    for number in range(span.line, min(span.end_line, len(lines)) + 1):
        begin = span.column - 1 if number == span.line else 0
        end = span.end_column - 1 if number == span.end_line else None
        if found := re.search(f"[{re.escape(''.join(signs))}]+", lines[number - 1][begin:end]):
            return Span(span.file, number, begin + found.start() + 1, number, begin + found.end() + 1)
    return span
