"""The tree and its places, built from the parser's events: every value its text, and what a mission may not
hold refused where it stands."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from yaml.error import MarkedYAMLError
from yaml.events import (
    AliasEvent,
    DocumentStartEvent,
    MappingEndEvent,
    MappingStartEvent,
    ScalarEvent,
    SequenceEndEvent,
    SequenceStartEvent,
    StreamEndEvent,
)

from briefgen.core.diagnostics import Diagnostic, KeyPath, Related, Span
from briefgen.mission.read.brackets import PAIR, Loader
from briefgen.mission.read.characters import refused_in_value, span_at
from briefgen.mission.read.syntax_errors import in_plain_words
from briefgen.mission.read.tree import TextTree

MAXIMUM_DEPTH = 12
MAXIMUM_ITEMS = 500
MAXIMUM_TEXT = 1000
MAXIMUM_BLOCK = 60_000
MOST_SYNTAX_ERRORS = 10
CAUSES = ("cut-text", "look-alike")  # slips after which a syntax error on the same lines only follows
ENTRIES = ""  # where a file that is a list stands in its tree: no key is without letters
_DISCARDED = "\0"  # a path step for what is read only to find its errors
_TYPOGRAPHIC = "\u201c\u201d\u201e\u00ab\u00bb\u2018\u2019"  # quotes that YAML takes for letters
_LIMITED = "no mission needs as much; a file that does is damaged, or not a mission"


def causes(problems: list[Diagnostic], lines: list[str]) -> list[Span]:
    """The places of slips after which other errors only follow: not that of a # that cuts off a mere comment,
    in which no bracket closes one that is open."""
    spans = [d.span for d in problems if d.code in CAUSES and d.span]
    cut = [(span, lines[span.line - 1][span.column - 1 :]) for span in spans]
    return [span for span, rest in cut if rest[:1] != "#" or set("]}") & set(rest)]


class _TooMuch(Exception):
    """Stops the composition: what lies deeper, or comes after far too many entries, is not read."""


@dataclass
class Composer:
    """Builds the tree and its places from the parser's events. ``lists``: the file may be a list, which then
    stands in the tree at ``ENTRIES``. ``inside``: the mapping whose keys are read."""

    text: str
    name: str
    blocks: frozenset[KeyPath] = frozenset()
    is_list: Callable[[KeyPath], bool] = lambda path: False
    is_pasted: Callable[[KeyPath], bool] = lambda path: False
    is_key: Callable[[KeyPath], bool] = lambda path: False
    lists: bool = False
    inside: KeyPath = ()
    tree: dict[str, TextTree] = field(default_factory=dict)
    keys: dict[KeyPath, Span] = field(default_factory=dict)
    values: dict[KeyPath, Span] = field(default_factory=dict)
    problems: list[Diagnostic] = field(default_factory=list)
    doubtful: set[KeyPath] = field(default_factory=set)
    loader: Any = None

    def run(self, earlier: list[Diagnostic]) -> None:
        """Compose the whole text; after a syntax error go on at the next line that begins a section."""
        lines = self.text.splitlines(keepends=True)
        start = 0
        for _ in range(MOST_SYNTAX_ERRORS):
            error_line = self._chunk("\n" * start + "".join(lines[start:]), earlier)
            if error_line is None:
                return
            self.doubtful.add(())
            later = (
                n
                for n in range(max(error_line, start) + 1, len(lines))
                if re.match(r"[A-Za-z_]\w*:", lines[n])
            )
            start = next(later, -1)
            if start < 0:
                return

    def _chunk(self, text: str, earlier: list[Diagnostic]) -> int | None:
        """Compose one stretch; the line (from 0) from which to look for the next section when it could not be
        read."""
        self.text = text
        try:
            self.loader = Loader(text, self._report_at)
            self._document()
        except MarkedYAMLError as error:
            problem, line = in_plain_words(
                error, text, self.name, lambda key: self.is_key((*self.inside, key))
            )
            if not any(
                cause.line <= line + 1 for cause in causes(earlier + self.problems, self.text.split("\n"))
            ):
                self.problems.append(problem)
            return line
        except (ValueError, OverflowError):
            mark = self.loader.get_mark()
            self.problems.append(
                Diagnostic(
                    "escape",
                    "error",
                    "this escape names no character",
                    self._span(mark, mark),
                    "the text would lose a character",
                    "type the character itself",
                )
            )
        except _TooMuch:
            pass
        else:
            return None
        stopped: int = self.loader.get_mark().line
        return stopped

    def _document(self) -> None:
        self.loader.get_event()  # the start of the stream
        if self.loader.check_event(StreamEndEvent):
            self._error(
                "empty-file",
                "the file is empty",
                Span(self.name, 1, 1, 1, 1),
                "",
                "`briefgen new` writes a mission to start from",
            )
            return
        self._document_start(self.loader.get_event())
        event = self.loader.get_event()
        if isinstance(event, MappingStartEvent):
            self._decorations(event)
            self.values[()] = self._span(event.start_mark, event.start_mark)
            self._mapping((), self.tree, 1, event)
        elif isinstance(event, SequenceStartEvent) and self.lists:
            self._decorations(event)
            self.values[(ENTRIES,)] = self._span(event.start_mark, event.start_mark)
            self.tree[ENTRIES] = self._sequence((ENTRIES,), 1, event)
        else:
            self._no_sections(self._span(event.start_mark, event.start_mark))
            return
        self.loader.get_event()  # the end of the document
        if isinstance(event := self.loader.get_event(), DocumentStartEvent):
            self.doubtful.add(())
            help = "keep each mission in a file of its own; delete this line"
            self._error(
                "second-document",
                "a second document begins here",
                self._span(event.start_mark, event.end_mark),
                "only one would be read",
                help,
            )

    def _no_sections(self, span: Span) -> None:
        what, help = "a list of sections such as `sortie:`", "begin with `briefgen: 1`"
        if self.lists:
            what, help = "keys with values, or a list", "write a `key: value` on each line"
        message = f"a file is {what}, here is something else"
        self._error("not-a-mission", message, span, "nothing in it can be found by its key", help)

    def _document_start(self, event: DocumentStartEvent) -> None:
        if event.version or event.tags:
            mark = event.start_mark
            self._error(
                "directive",
                "directives are not read",
                self._span(mark, mark),
                "they change what a value means",
                "delete the lines that begin with %",
            )

    # -- nodes

    def _node(self, path: KeyPath, depth: int) -> TextTree:
        event = self.loader.get_event()
        if isinstance(event, AliasEvent):
            help = "write the value out here; quote the text if the * belongs to it"
            self._error(
                "alias",
                f"*{event.anchor} points to another place",
                self._span(event.start_mark, event.end_mark),
                "values are written out",
                help,
            )
            return None
        self._decorations(event)
        if isinstance(event, ScalarEvent):
            return self._scalar(event, path)
        if depth >= MAXIMUM_DEPTH:
            self._error(
                "too-deep",
                f"this lies more than {MAXIMUM_DEPTH} levels deep",
                self._span(event.start_mark, event.start_mark),
                _LIMITED,
                "a mission needs half as many; check the indent",
            )
            raise _TooMuch
        self.values[path] = self._span(event.start_mark, event.start_mark)
        if isinstance(event, SequenceStartEvent):
            return self._sequence(path, depth + 1, event)
        return self._mapping(path, {}, depth + 1, event)

    def _sequence(self, path: KeyPath, depth: int, start: SequenceStartEvent) -> TextTree:
        items: list[TextTree] = []
        while not self.loader.check_event(SequenceEndEvent):
            items.append(self._node((*path, len(items)), depth))
            self._check_endless(len(items), path)
        self._close(path, start, self.loader.get_event(), (*path, len(items) - 1))
        self._check_length(len(items), path)
        return items

    def _mapping(
        self, path: KeyPath, mapping: dict[str, TextTree], depth: int, start: MappingStartEvent
    ) -> TextTree:
        last: KeyPath = path
        cut: dict[KeyPath, list[ScalarEvent]] = {}  # what commas have cut off from a value, by its key
        self.inside = path
        while not self.loader.check_event(MappingEndEvent):
            if start.flow_style and last != path and (piece := self._piece(path)) is not None:
                cut.setdefault(last, []).append(piece)
                continue
            key = self._key(path, depth)
            if key is None:
                self._discard(path, depth)
                continue
            last = (*path, key)
            mapping[key] = self._node(last, depth)
            self.inside = path
            self._check_endless(len(mapping), path)
            if mapping[key] is None and self.problems[-1:] and self.problems[-1].code == "no-value":
                self.problems[-1] = replace(
                    self.problems[-1], message=f"`{key}` has no value", span=self.keys[last], cause=last
                )
                if PAIR.fullmatch(key):  # perhaps a key with its value, without the colon
                    self.doubtful.add(path)
        self._close(path, start, self.loader.get_event(), last)
        self._check_length(len(mapping), path)
        for at, pieces in cut.items():
            self._cut(at, mapping[str(at[-1])], pieces)
        return mapping

    def _piece(self, path: KeyPath) -> ScalarEvent | None:
        """A word of {} that has no colon, taken off the parser with the empty value that it makes up; None
        where a key comes next, with its colon or without."""
        event = self.loader.peek_event()
        if not isinstance(event, ScalarEvent) or event.style is not None or not event.value:
            return None
        if (pair := PAIR.fullmatch(event.value)) and self.is_key((*path, pair[1])):
            return None
        end = self.loader.peek_event().end_mark.index
        if self.text[end : end + 40].lstrip(" ")[:1] not in (",", "}"):
            return None
        self.loader.get_event()
        self.loader.get_event()
        return event

    def _cut(self, at: KeyPath, first: TextTree, pieces: list[ScalarEvent]) -> None:
        """One value that commas have cut in pieces, with the line that is meant: a list or a text. Nothing
        where a comma in it is told already."""
        whole = self._span(pieces[0].start_mark, pieces[-1].end_mark)
        begin = self.keys[at]
        if any(
            d.code == "cut-text"
            and d.span is not None
            and (begin.line, begin.column) < (d.span.line, d.span.column) < (whole.end_line, whole.end_column)
            for d in self.problems
        ):
            return
        key, parts = at[-1], [*(first if isinstance(first, list) else [first]), *(p.value for p in pieces)]
        if not all(isinstance(part, str) for part in parts):
            remedy = "put quotes around the text, or square brackets around the list"
        elif self.is_list(at):
            remedy = f"write {key}: [{', '.join(map(str, parts))}]"
        else:
            remedy = f'write {key}: "{", ".join(map(str, parts)).strip(_TYPOGRAPHIC)}"'
        self._error(
            "cut-text",
            f"the value of `{key}` is cut at its comma",
            begin,
            "inside {} a comma ends the value",
            remedy,
        )

    def _discard(self, path: KeyPath, depth: int) -> None:
        """Read the next node for its errors only."""
        self._node((*path, _DISCARDED), depth)

    def _key(self, path: KeyPath, depth: int) -> str | None:
        """The next key, None when what follows it can only be thrown away."""
        if not self.loader.check_event(ScalarEvent):
            self._no_key(path, depth)
            return None
        event = self.loader.get_event()
        self._decorations(event)
        span = self._span(event.start_mark, event.end_mark)
        key: str = event.value
        if refused := self._refused_key(event, span, key):
            self.problems.append(refused)
            self.doubtful.add(path)
            return None
        if first := self.keys.get((*path, key)):
            problem = Diagnostic(
                "duplicate-key",
                "error",
                f"`{key}` is given twice",
                span,
                "only one of them would be used",
                "delete one of the two",
            )
            self.problems.append(replace(problem, related=(Related("the first stands here", first),)))
            self.doubtful.add((*path, key))
            return None
        self.keys[(*path, key)] = span
        return key

    def _no_key(self, path: KeyPath, depth: int) -> None:
        span = self._span(self.loader.peek_event().start_mark, self.loader.peek_event().start_mark)
        help = "a value in {} or [] cannot stand before a colon; quote the text if it begins with { or ["
        self._error("key", "a key must be one word", span, "", help)
        self.doubtful.add(path)
        self._discard(path, depth)

    def _refused_key(self, event: ScalarEvent, span: Span, key: str) -> Diagnostic | None:
        if self._over_lines(event):
            return self._joined(event, span)
        if event.style is None and (bracket := re.search(r"[:\s]*([{\[])", key)):
            return Diagnostic(
                "key",
                "error",
                f"a colon and a space are missing before this {bracket[1]}",
                span,
                "the words before it would be taken for a longer key",
                f"write {key[: bracket.start()]}: {bracket[1]}...",
            )
        if key == "<<" and event.style is None:
            return Diagnostic(
                "merge-key",
                "error",
                "merge keys (<<) are not read",
                span,
                "what they bring in stands elsewhere",
                "write the keys out here",
            )
        if not key:
            return Diagnostic(
                "key",
                "error",
                "there is no key before this colon",
                span,
                "",
                "write a key, or quote the text if the colon belongs to it",
            )
        return None

    def _scalar(self, event: ScalarEvent, path: KeyPath) -> TextTree:
        """The text of a value; None where an error of its own leaves open what it means."""
        span = self._span(event.start_mark, event.end_mark)
        self.values[path] = span
        value = event.value.removesuffix("\n") if event.style in ("|", ">") else event.value
        pasted = self.is_pasted(path) and event.style is not None
        value = " ".join(value.split()) if pasted else value
        is_block = event.style == "|" and path in self.blocks
        if event.style is None and value in ("", "~", "null"):
            help = "give it one, or delete the line" + (
                f'; quote it ("{value}") if that is the text' if value else ""
            )
            self._error(
                "no-value",
                "there is no value here",
                span,
                "an empty place may be one that was forgotten",
                help,
            )
            return None
        if self._over_lines(event) and not pasted:
            self.problems.append(self._joined(event, span))
            # what was joined may be a key of this mapping, behind an open quote one of any above it
            self.doubtful |= (
                {path[:-1]} if event.style is None else {path[:stop] for stop in range(len(path))}
            )
            return None
        most = MAXIMUM_BLOCK if is_block else MAXIMUM_TEXT
        if len(value) > most:
            self._error(
                "too-long",
                f"this text has {len(value)} characters, the most is {most}",
                replace(span, end_line=span.line),
                _LIMITED,
                "shorten it",
            )
        elif "\n" in value and not is_block:
            why, help = (
                "cards and slides set the lines themselves",
                "write it on one line, or after `>` on several",
            )
            self._error("several-lines", "this text has line breaks in it", span, why, help)
        elif refused := refused_in_value(value.replace("\n", " ") if is_block else value):
            self._error(
                "character",
                f"an escape here makes {refused}, which is not allowed",
                span,
                "it cannot be printed",
                "type the characters themselves",
            )
        else:
            return None if event.tag else value
        return None

    # -- checks

    def _over_lines(self, event: ScalarEvent) -> bool:
        span = self._span(event.start_mark, event.end_mark)
        return event.style not in ("|", ">") and span.line != span.end_line

    def _decorations(self, event: Any) -> None:
        """Anchors and tags, which hide in a text that begins with & or !."""
        span = self._span(event.start_mark, event.start_mark)
        if getattr(event, "anchor", None):
            why = f"YAML takes &{event.anchor} as a label and drops it from the text"
            self._error(
                "anchor",
                f"&{event.anchor} is an anchor",
                span,
                why,
                "quote the text if the & belongs to it, else delete it",
            )
        if getattr(event, "tag", None):
            help = "quote the text if the ! belongs to it, else delete it"
            self._error(
                "tag", f"{event.tag} is a tag", span, "YAML drops what begins with ! from the text", help
            )

    def _check_length(self, length: int, path: KeyPath) -> None:
        if length > MAXIMUM_ITEMS:
            self.doubtful.add(path)
            self._too_many(f"{length}", path)

    def _check_endless(self, length: int, path: KeyPath) -> None:
        if length > 2 * MAXIMUM_ITEMS:
            self._too_many(f"more than {length - 1}", path)
            raise _TooMuch

    def _too_many(self, number: str, path: KeyPath) -> None:
        message = f"there are {number} entries here, the most is {MAXIMUM_ITEMS}"
        self._error("too-many", message, self.values[path], _LIMITED, "leave some out")

    def _close(self, path: KeyPath, start: Any, end: Any, last: KeyPath) -> None:
        """A block's own end mark lies on the next key: its last value's end is used instead."""
        begin = self.values[path]
        if start.flow_style:
            self.values[path] = self._span(start.start_mark, end.end_mark)
        elif tail := self.values.get(last):
            self.values[path] = replace(begin, end_line=tail.end_line, end_column=tail.end_column)

    # -- reports

    def _span(self, start: Any, end: Any) -> Span:
        if (start.line, start.column) == (end.line, end.column):
            return Span(self.name, start.line + 1, start.column + 1, start.line + 1, start.column + 2)
        return Span(self.name, start.line + 1, start.column + 1, end.line + 1, end.column + 1)

    def _joined(self, event: ScalarEvent, span: Span) -> Diagnostic:
        why = "the lines would be joined into one value; a colon or a quote may be missing"
        help = "write it on one line; for a long text begin with `>` and put it below, indented"
        if event.style is not None:
            help = (
                f"close it with {event.style} where it ends, on its own line; for a long text begin with `>`"
            )
        return Diagnostic("several-lines", "error", "this value runs over several lines", span, why, help)

    def _error(self, code: str, message: str, span: Span, why: str = "", help: str = "") -> None:
        self.problems.append(Diagnostic(code, "error", message, span, why, help))

    def _report_at(self, code: str, message: str, index: int, why: str, help: str) -> None:
        self._error(code, message, span_at(self.text, index, self.name), why, help)
