"""The pure YAML parser, with what it does not say: inside {} and [] a comma or a # cuts off a text without a
word."""

from __future__ import annotations

import re
from typing import Any

from yaml.parser import Parser
from yaml.reader import Reader
from yaml.scanner import Scanner

_FIRST_HALF = re.compile(r"(?:^|[:\[{,])\s*(-?[0-9]{1,2}\.[0-9]+|[0-9][0-9.\u00b0'\u2032\"\u2033 ]*[NS])\s*$")
_SECOND_HALF = re.compile(r", +(-?[0-9]{1,3}\.[0-9]+|[0-9][0-9.\u00b0'\u2032\"\u2033 ]*[EW])\s*[,}\]]")
# a key that lacks its colon, or the space behind it, and what stands behind
PAIR = re.compile(r"(\w+)[ :] *(\S.*)")
_NUMBER_AFTER = re.compile(r",([0-9]{3})(?![0-9])([^\[\]{},\n#]*)")


class Loader(Reader, Scanner, Parser):
    """The pure parser, which reports what a flow collection would cut off without a word."""

    def __init__(self, text: str, report: Any) -> None:
        Reader.__init__(self, text)
        Scanner.__init__(self)
        Parser.__init__(self)
        self._text, self._report = text, report

    def need_more_tokens(self) -> bool:
        """As the parser has it, which searches for a key that may begin here even where none is open: a tenth
        of all reading."""
        if self.tokens and not self.done and not self.possible_simple_keys:
            return False
        return bool(super().need_more_tokens())

    def scan_to_next_token(self) -> None:
        start = self.index
        super().scan_to_next_token()
        if self.flow_level and (at := self._text.find("#", start, self.index)) >= 0:
            why = "inside {} and [] it cuts off the rest of the line"
            self._report(
                "cut-text",
                "a # after a space begins a comment",
                at,
                why,
                "quote the text, or move the comment to a line of its own",
            )

    def fetch_flow_entry(self) -> None:
        if self.peek(1) not in " \r\n\0":
            why = "inside {} and [] a comma cuts the value in two"
            help = (
                "write numbers without a comma; quote the text; or put a space after the comma where two"
                " values are meant"
            )
            self._report(
                "cut-text", "this comma is not followed by a space", self.index, why, self._whole() or help
            )
        elif (first := _FIRST_HALF.search(self._text[: self.index][-40:])) and (
            second := _SECOND_HALF.match(self._text, self.index)
        ):
            help = f"leave the comma out: {first[1]} {second[1]}"
            self._report(
                "cut-text",
                "this comma cuts a position in two",
                self.index,
                "inside {} and [] a comma ends the value",
                help,
            )
        super().fetch_flow_entry()

    def _whole(self) -> str:
        """The line that is meant by thousands with a comma, ``start_fuel: 5,500 lb``; empty where it may be
        two figures."""
        line = self._text.rfind("\n", 0, self.index) + 1
        before = re.search(r"[^\[\]{},]*$", self._text[line : self.index])
        after = _NUMBER_AFTER.match(self._text, self.index)
        if before is None or after is None or not re.search(r"(?<![0-9.])[1-9][0-9]{0,2}$", before[0]):
            return ""
        alone = ":" not in before[0] and not any(letter.isalpha() for letter in before[0] + after[2])
        return "" if alone else f"write {before[0].strip()}{after[1]}{after[2].rstrip()}"
