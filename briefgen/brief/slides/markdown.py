"""The small Markdown of slide templates: titled text with bullets and directives becomes blocks. See pages.py
for the whole language.

Values stand in the text as opaque tokens; they are put back into the finished runs, so that no value is ever
read as markup.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import lru_cache
from typing import TYPE_CHECKING, get_args

from briefgen.brief.content.blocks import BigFigure, BigFigures, Block, Bullet, Bullets, Note, Run, Status
from briefgen.core.records import record

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token

DIRECTIVE = re.compile(r"^\[(table|figure|chart|big|stop|verdict)\s+(.+)\]$")
_ALLOWED = ["paragraph", "heading", "list", "text", "emphasis", "escape", "newline", "block", "inline"]
_MARKS = ("•", "–")

Complain = Callable[[int, str, str], None]  # line within the text from 0, what is wrong, how to mend it


@record
class Directive:
    """``[table joker]`` and its kin, still to be looked up; ``line`` counts from 0 in the rendered text."""

    kind: str
    name: str
    line: int


Piece = Bullets | Note | BigFigures | Directive


def parse(text: str, restore: Callable[[str], str], complain: Complain) -> tuple[str, list[Piece]]:
    """The title (of the ``#`` heading at the top, "" when there is none) and the pieces of a text without
    columns."""
    return _Reader(text, restore, complain).read()


def join_big(blocks: list[Block]) -> list[Block]:
    """The blocks with neighbouring large values brought together into one row."""
    joined: list[Block] = []
    for block in blocks:
        if isinstance(block, BigFigures) and joined and isinstance(joined[-1], BigFigures):
            joined[-1] = BigFigures(joined[-1].items + block.items)
        else:
            joined.append(block)
    return joined


@lru_cache(maxsize=1)
def _parser() -> MarkdownIt:
    from markdown_it import MarkdownIt

    parser = MarkdownIt("zero")
    parser.enable([rule for rule in _ALLOWED if rule not in ("paragraph", "text", "block", "inline")])
    return parser


class _Reader:
    def __init__(self, text: str, restore: Callable[[str], str], complain: Complain) -> None:
        self.tokens = _parser().parse(text)
        self.restore, self.complain = restore, complain
        self.title = ""
        self.pieces: list[Piece] = []
        self.items: list[Bullet] = []
        self.lists: list[int | None] = []  # open lists: the next number, None for bullets

    def read(self) -> tuple[str, list[Piece]]:
        for index, token in enumerate(self.tokens):
            if token.type == "inline":
                self._inline(token, self.tokens[index - 1])
            elif token.type in ("bullet_list_open", "ordered_list_open"):
                self._open_list(token)
            elif token.type in ("bullet_list_close", "ordered_list_close"):
                self._close_list()
        return self.title, self.pieces

    def _open_list(self, token: Token) -> None:
        if len(self.lists) == len(_MARKS):
            self.complain(
                _line(token), "a bullet is nested more than one level deep", "bring it one level up"
            )
        self.lists.append(int(token.attrGet("start") or 1) if token.type.startswith("ordered") else None)

    def _close_list(self) -> None:
        self.lists.pop()
        if not self.lists:
            self.pieces.append(Bullets(tuple(self.items)))
            self.items = []

    def _inline(self, token: Token, opened: Token) -> None:
        line = _line(token)
        if opened.type == "heading_open":
            self._heading(token, opened, line)
        elif self.lists:
            self.items.append(Bullet(self._runs(token), min(len(self.lists), len(_MARKS)) - 1, self._mark()))
        else:
            self._paragraph(token, line)

    def _mark(self) -> str:
        number = self.lists[-1]
        if number is None:
            return _MARKS[min(len(self.lists), len(_MARKS)) - 1]
        self.lists[-1] = number + 1
        return f"{number}."

    def _heading(self, token: Token, opened: Token, line: int) -> None:
        if opened.tag != "h1" or self.title or self.pieces:
            self.complain(
                line,
                "a slide has one heading, at its top, with a single #",
                "make it a bullet, or a slide of its own",
            )
            return
        self.title = self.restore("".join(run.text for run in _voices(token)))

    def _paragraph(self, token: Token, line: int) -> None:
        lines = token.content.split("\n")
        if not any(DIRECTIVE.match(part.strip()) for part in lines):
            self.pieces.append(Note(self._runs(token)))
            return
        for offset, part in enumerate(lines):
            match = DIRECTIVE.match(part.strip())
            if match is None:
                self.complain(
                    line + offset, "text stands beside a directive", "leave an empty line between them"
                )
                continue
            self._directive(match[1], match[2].strip(), line + offset)

    def _directive(self, kind: str, argument: str, line: int) -> None:
        parts = [self.restore(part.strip()) for part in argument.split("|")]
        if kind == "verdict":
            self._verdict(parts, line)
            return
        if kind not in ("big", "stop"):
            self.pieces.append(Directive(kind, self.restore(argument), line))
            return
        if len(parts) not in (2, 3) or not all(parts):
            self.complain(
                line,
                "a large value needs two or three parts",
                f"write [{kind} value | label] or [{kind} value | label | detail]",
            )
            return
        value, label, *detail = parts
        self.pieces.append(BigFigures((BigFigure(label, value, "".join(detail), stop=kind == "stop"),)))

    def _verdict(self, parts: list[str], line: int) -> None:
        if len(parts) != 2 or not parts[0] or parts[1] not in get_args(Status):
            self.complain(
                line,
                "a verdict needs a number and a verdict's word",
                f"write [verdict 3 | FAIL]; the words are {', '.join(get_args(Status))}",
            )
            return
        self.pieces.append(BigFigures((BigFigure(parts[1], parts[0], status=parts[1]),)))

    def _runs(self, token: Token) -> tuple[Run, ...]:
        return tuple(Run(self.restore(run.text), run.strong, run.soft) for run in _voices(token))


def _line(token: Token) -> int:
    return token.map[0] if token.map else 0


def _voices(token: Token) -> list[Run]:
    """The runs of an inline token: ``**strong**`` and ``*soft*``; a line end within a paragraph is a
    space."""
    runs: list[Run] = []
    strong = soft = False
    for child in token.children or ():
        if child.type in ("strong_open", "strong_close"):
            strong = child.type == "strong_open"
        elif child.type in ("em_open", "em_close"):
            soft = child.type == "em_open"
        else:
            text = " " if child.type in ("softbreak", "hardbreak") else child.content
            _append(runs, Run(text, strong, soft))
    return runs


def _append(runs: list[Run], run: Run) -> None:
    if runs and (runs[-1].strong, runs[-1].soft) == (run.strong, run.soft):
        runs[-1] = Run(runs[-1].text + run.text, run.strong, run.soft)
    elif run.text:
        runs.append(run)
