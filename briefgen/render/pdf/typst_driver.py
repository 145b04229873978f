"""One card: its data and its template to PDF bytes, or the reasons why not.

Guards against what the compiler does silently: data kept from the card before, signs that the font lacks,
sections that run off the page. The template reports, as metadata labelled ``side``, the height that every
section needs and the room there is; a side that needs more than it has is an error, and nothing is written.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import field
from functools import lru_cache
from pathlib import Path
from typing import Any

from briefgen.brief.cards.model import Card
from briefgen.core.context import Context, Stamp
from briefgen.core.diagnostics import Diagnostic, Span
from briefgen.core.folders import work_folder
from briefgen.core.records import record
from briefgen.draw.typeset.bind import bind
from briefgen.draw.typeset.measure import MOST_LETTERS, missing_glyphs

FONT = "Atkinson Hyperlegible Next"
FACES = ("Regular", "Bold")
DATA = "data.json"  # beside the templates, for them to read
LEAST_PPI, MOST_PPI = 72, 600  # outside them the compiler gives empty pictures or ends the whole process
_BREAK = "\u200b"
_READ = "briefgen-read"
_TOLERANCE_MM = 0.05
_PLACE = re.compile(r"┌─\s(.+):(\d+):(\d+)$", re.MULTILINE)  # of a mistake: file, line, column


@record
class Box:
    """A section as it was set: its title, height and lower edge, and the key of the longest text of the
    mission in it, empty without one."""

    title: str
    mm: float
    bottom_mm: float
    key: str


@record
class SideRoom:
    """What the template measured on one side: the room and the need in mm, the text size chosen, its
    sections.

    ``reduced``: what was shortened or left out, because not even the smallest size held it. ``over``: the
    large figures that are wider than their boxes, and the tables that are wider than their columns, with the
    mm.
    """

    name: str
    room_mm: float
    need_mm: float
    size_pt: float
    sections: tuple[Box, ...]
    reduced: tuple[str, ...] = ()
    over: tuple[tuple[str, float], ...] = ()


@record
class Typeset:
    """``pdf`` is None when there is an error among ``diagnostics``."""

    pdf: bytes | None
    diagnostics: tuple[Diagnostic, ...]
    sides: tuple[SideRoom, ...] = ()
    pictures: tuple[bytes, ...] = field(default=())


def typeset(
    card: Card, template: str, context: Context, *, created_s: int, ppi: int | None = None
) -> Typeset:
    """``template``: a file of the folder ``cards``; ``created_s``: Unix seconds, from the plan. With ``ppi``
    a PNG of each page comes along."""
    if ppi is not None and not LEAST_PPI <= ppi <= MOST_PPI:
        raise ValueError(f"ppi {ppi} is not between {LEAST_PPI} and {MOST_PPI}")
    knee = {"width": context.knee.width_mm, "height": context.knee.height_mm}
    data = {"frame": frame_data(context.stamp), "knee": knee, **card.data()}
    if lacking := [*_no_compiler(), *missing_signs(data)]:
        return Typeset(None, tuple(lacking))
    with work_folder() as folder:
        found = _gather(context.templates, folder, template)
        return Typeset(None, tuple(found)) if found else _compile(folder, template, data, created_s, ppi)


def _no_compiler() -> Iterator[Diagnostic]:
    """What is wrong where the card compiler is not installed, or not for this machine."""
    try:
        import typst  # noqa: F401
    except ImportError as error:
        help = "install briefgen again (`python -m pip install .`); slides and pages are made without it"
        yield Diagnostic(
            "card-compiler",
            "error",
            f"the package typst, which sets the cards, can't be used here ({error})",
            help=help,
        )


def frame_data(stamp: Stamp) -> dict[str, str]:
    """What stands on every page."""
    return {
        "marking": stamp.marking,
        "mission": stamp.mission,
        "fingerprint": stamp.fingerprint,
        "spoken": stamp.spoken,
        "state": stamp.approval,
        "refusal": stamp.refusal,
        "caution": stamp.caution,
    }


def missing_signs(data: Any) -> list[Diagnostic]:
    """An error for every text with a sign that the font cannot show: on paper it would be an empty box."""
    found = []
    for where, text in _texts(data):
        if signs := missing_glyphs(text, FONT):
            names = ", ".join(f"U+{ord(sign):04X}" for sign in signs)
            message = f'{where}: the cards\' font has no sign for {names} in "{text[:60]}"'
            found.append(
                Diagnostic(
                    "character-not-in-font",
                    "error",
                    message,
                    why="it would be an empty box on paper",
                    help="write it in Latin letters",
                )
            )
    return found


def _texts(data: Any, where: str = "") -> Iterator[tuple[str, str]]:
    if isinstance(data, str):
        yield where, data
    elif isinstance(data, dict):
        here = data.get("title") or where
        for key, value in data.items():
            if key != "svg":
                yield from _texts(value, str(here) if "kind" in data else str(key))
    elif isinstance(data, (list, tuple)):
        for value in data:
            yield from _texts(value, where)


# ---------------------------------------------------------------- templates


def _gather(folders: tuple[Path, ...], into: Path, template: str) -> list[Diagnostic]:
    """The shipped templates and the unit's own in one closed folder, so that none reads anything else of the
    machine."""
    for folder in folders:
        for file in sorted((folder / "cards").glob("*.typ")):
            (into / file.name).write_bytes(file.read_bytes())
    if (into / template).is_file():
        return []
    return [
        Diagnostic(
            "no-card-template",
            "error",
            f"there is no template cards/{template}",
            help="put it back, or install the program again",
        )
    ]


@lru_cache(maxsize=1)
def _fonts() -> Any:
    import typst

    from briefgen.core.resources import fonts_folder

    return typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(fonts_folder())]
    )


def _compile(folder: Path, template: str, data: dict[str, Any], created_s: int, ppi: int | None) -> Typeset:
    import typst

    # A file, not the compiler's inputs: what it keeps of one card serves the next only while all that it
    # hands to every template is the same.
    (folder / DATA).write_text(
        json.dumps(_breakable(data), ensure_ascii=False, sort_keys=True), encoding="utf-8"
    )
    compiler = typst.Compiler(
        str(folder / template), root=str(folder), font_paths=_fonts(), ignore_system_fonts=True
    )
    try:
        sides = tuple(_side(value) for value in json.loads(compiler.query("<side>", field="value")))
        pages = json.loads(compiler.query("<pages>", field="value"))
        if found := [*_too_tall(sides), *_too_wide(sides), *_page_count(pages, data)]:
            return Typeset(None, tuple(found), sides)
        pdf, warnings = compiler.compile_with_warnings(format="pdf", timestamp=created_s)
        pictures = _pictures(compiler, ppi) if ppi else ()
    except RuntimeError as error:  # what a query raises; TypstError is one too
        return Typeset(None, (_template_error(template, _told(compiler, error)),))
    return Typeset(pdf, (*_reductions(sides), *(_warning(template, w) for w in warnings)), sides, pictures)


def _told(compiler: Any, error: RuntimeError) -> RuntimeError:
    """A query doesn't say where the mistake is; a whole compilation, which stops at the same one, does."""
    try:
        compiler.compile(format="pdf")
    except RuntimeError as told:
        return told
    return error


def _pictures(compiler: Any, ppi: int) -> tuple[bytes, ...]:
    found = compiler.compile(format="png", ppi=float(ppi))
    return tuple(found) if isinstance(found, list) else (found,)


def _breakable(data: Any) -> Any:
    """The same data; very long words get places where they may be broken, a number and its unit or a
    telephone number none."""
    if isinstance(data, str):
        return bind(" ".join(_word(word) for word in data.split(" ")))
    if isinstance(data, dict):
        return {key: value if key == "svg" else _breakable(value) for key, value in data.items()}
    return [_breakable(value) for value in data] if isinstance(data, (list, tuple)) else data


def _unbroken(words: str) -> str:
    """The same as it was given."""
    return words.replace(_BREAK, "").replace("\u00a0", " ")


def _word(word: str) -> str:
    """Between the parts of a key path or an id; inside a part only where nothing else is left."""
    for sign in "-._":
        parts = word.split(sign)
        if len(word) > MOST_LETTERS and len(parts) > 1:
            # the compiler breaks after a hyphen by itself
            return (sign if sign == "-" else sign + _BREAK).join(map(_word, parts))
    return word if len(word) <= MOST_LETTERS else _BREAK.join(word)


# ---------------------------------------------------------------- what the compiler reports


def _side(value: dict[str, Any]) -> SideRoom:
    sections = tuple(
        Box(s["title"], float(s["mm"]), float(s["bottom"]), _unbroken(s.get("key", "")))
        for s in value["sections"]
    )
    return SideRoom(
        value["name"],
        float(value["room"]),
        float(value["need"]),
        float(value["size"]),
        sections,
        tuple(value["reduced"]),
        tuple((_unbroken(figure["words"]), float(figure["mm"])) for figure in value.get("over", ())),
    )


def _too_tall(sides: tuple[SideRoom, ...]) -> Iterator[Diagnostic]:
    for side in sides:
        over = side.need_mm - side.room_mm
        if over <= _TOLERANCE_MM:
            continue
        beyond = [
            (box.title, box.bottom_mm - side.room_mm)
            for box in side.sections
            if box.bottom_mm > side.room_mm + _TOLERANCE_MM
        ]
        named = (
            ", ".join(f'"{title}" by {mm:.1f} mm' for title, mm in beyond) or f"the whole by {over:.1f} mm"
        )
        message = f"{side.name}: too tall for the page at the smallest size ({side.size_pt:g} pt): {named}"
        help = _shorten(side)
        yield Diagnostic(
            "card-too-full",
            "error",
            message,
            why="what runs off the page cannot be read in the air",
            help=help,
        )


def _too_wide(sides: tuple[SideRoom, ...]) -> Iterator[Diagnostic]:
    for side in sides:
        for words, mm in side.over:
            message = f'{side.name}: "{words}" is {mm:.1f} mm wider than its place'
            yield Diagnostic(
                "card-too-wide",
                "error",
                message,
                why="it would be printed over its neighbour or cut off",
                help="give it more room in the template of the card, or say it in fewer words",
            )


def _shorten(side: SideRoom) -> str:
    """What can be shortened where it is written: the texts of the mission in the three tallest sections that
    hold one. Where none does, only the entries of the tallest can become fewer."""
    tall = sorted(side.sections, key=lambda box: -box.mm)
    own = [box for box in tall if box.key][:3]
    if not own:
        named = " or ".join(f'"{box.title}" ({box.mm:.0f} mm)' for box in tall[:3])
        return f"give fewer entries for {named}, or more paper with --paper"
    return "shorten " + " or ".join(f'`{box.key}` ("{box.title}", {box.mm:.0f} mm)' for box in own)


def _reductions(sides: tuple[SideRoom, ...]) -> Iterator[Diagnostic]:
    for side in sides:
        if side.reduced:
            message = f"{side.name}, too full at {side.size_pt:g} pt: {'; '.join(side.reduced)}"
            yield Diagnostic(
                "card-reduced",
                "caution",
                message,
                why="what is reduced stands whole in the slides and the review page",
                help=_shorten(side),
            )


def _page_count(pages: list[int], data: dict[str, Any]) -> Iterator[Diagnostic]:
    wanted = len(data["sides"])
    if pages != [wanted]:
        yield Diagnostic(
            "card-pages",
            "error",
            f"the card came out with {pages} pages, not {wanted}",
            help="mend the card's template",
        )


def _template_error(template: str, error: Exception, *, before: int = 0) -> Diagnostic:
    """``before``: signs that stand before the template's own first line."""
    span = _place(error, before)
    text = str(getattr(error, "message", "") or error or "the compiler gave no reason")
    trace = getattr(error, "trace", None) or []
    where = "; ".join(str(step) for step in trace[:3])
    return Diagnostic(
        "card-template",
        "error",
        text if span else f"cards/{template}: {text}",
        span,
        why=where,
        help="mend the template, or take the shipped one",
    )


def _place(error: Exception, before: int) -> Span | None:
    """Where the compiler's own account of the mistake says that it is; its columns count from 0."""
    found = _PLACE.search(getattr(error, "diagnostic", ""))
    if found is None:
        return None
    line, column = int(found[2]), int(found[3]) + 1
    column -= before if line == 1 else 0
    return Span(f"cards/{Path(found[1]).name}", line, column, line, column)


def syntax_problems(folder: Path) -> list[Diagnostic]:
    """What keeps the card templates of one folder from being read at all, whatever the mission."""
    files = sorted((folder / "cards").glob("*.typ"))
    if not files or (missing := list(_no_compiler())):
        return missing if files else []
    with work_folder() as place:
        return [problem for file in files for problem in _syntax(file, place)]


def _syntax(file: Path, place: Path) -> Iterator[Diagnostic]:
    """A template is read as a whole before its first line is carried out, and that line stops at once
    here."""
    import typst

    stop = f'#panic("{_READ}");'
    (place / file.name).write_text(stop + file.read_text(encoding="utf-8"), encoding="utf-8")
    try:
        typst.Compiler(
            str(place / file.name), root=str(place), font_paths=_fonts(), ignore_system_fonts=True
        ).compile(format="pdf")
    except RuntimeError as error:
        if _READ not in str(error):
            yield _template_error(file.name, error, before=len(stop))


def _warning(template: str, warning: Any) -> Diagnostic:
    return Diagnostic("card-template", "caution", f"cards/{template}: {getattr(warning, 'message', warning)}")
