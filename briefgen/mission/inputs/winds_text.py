"""Winds aloft from text: the table of the US winds and temperatures aloft forecast (FB), or rows such as
``FL100 270/35 M05``. Directions are true.

FB after FAA AIM 7-1-4 and AC 00-45: two digits of the direction, two of the speed, the temperature; 50 is
added to the direction for 100 kt more, 9900 is light and variable; above the level of TEMPS NEG ABV the
temperature is below zero without its sign. Up to 12000 ft levels are true altitudes, from 18000 ft pressure
altitudes. What is left out of a row are the levels nearest the ground.
"""

from __future__ import annotations

import re
from datetime import datetime, timedelta

from briefgen.mission.inputs.elements import celsius
from briefgen.mission.inputs.report import (
    WINDS_EXAMPLES,
    AloftRow,
    DayTime,
    Period,
    Unusable,
    WindsText,
)
from briefgen.mission.inputs.reported import first_after, nearest
from briefgen.mission.inputs.words import WordReader, normal_words, wrong_number
from briefgen.units.values import Direction, Level, Wind

PRESSURE_FROM_FT = 18000.0
MOST_WORDS = 2000  # our own bound: a whole bulletin has fewer
_WHY = "each row is one level of the air: where the wind blows from, its knots, the temperature"
_ROW = re.compile(
    r"(?:FL([0-9]{2,3})|([0-9]{1,5}) ?FT) ([0-9]{3})/([0-9]{2,3})(?: ?KT)?(?: ([MP+-]?[0-9]{2}))?"
)
_CELL = re.compile(r"([0-9]{2})([0-9]{2})([+-]?[0-9]{2})?")
_STATION = re.compile(r"[A-Z][A-Z0-9]{2,3}")
_LEVEL = re.compile(r"[0-9]{4,5}")
_USE = re.compile(r"FOR USE ([0-9]{2})([0-9]{2}) ?- ?([0-9]{2})([0-9]{2})Z\.?")
_VALID = re.compile(r"(?:DATA )?VALID ([0-9]{2})([0-9]{2})([0-9]{2})Z")
_NEGATIVE = re.compile(r"TEMPS NEG ABV ([0-9]{5})\.?")
_SHOWN = re.compile(
    r"[A-Z]{4}[0-9]{2} [A-Z]{4} [0-9]{6}|F[BD](?:[0-9A-Z]{4})?(?: [A-Z]{4} [0-9]{6})?|DATA BASED ON [0-9]{6}Z"
)
_LONGEST = 5


def read_winds(text: str) -> WindsText | Unusable:
    """The winds, or why the text can't be taken as such."""
    words = normal_words(text.replace(";", " "))
    if wrong := wrong_number(words, MOST_WORDS):
        return _unusable(wrong)
    return _Reader(words).read()


def _unusable(message: str, help: str = "") -> Unusable:
    return Unusable(message, _WHY, help or f"write rows, for example {WINDS_EXAMPLES[0]}")


def used_over(winds: WindsText, near: datetime) -> tuple[datetime, datetime] | None:
    """From when to when the winds are for use, of the day nearest to ``near``; None where they don't say."""
    valid = None if winds.valid is None else nearest(winds.valid, near)
    if winds.use is None or winds.use.end is None or valid is None:
        return None
    start = first_after(winds.use.start, valid - timedelta(hours=12))
    end = None if start is None else first_after(winds.use.end, start)
    return None if start is None or end is None else (start, end)


class _Reader(WordReader):
    """A table or rows, with what stands before them."""

    def __init__(self, words: list[str]) -> None:
        super().__init__(words)
        self.rows: list[AloftRow] = []
        self.levels: list[float] = []
        self.stations: list[str] = []
        self.use: Period | None = None
        self.valid: DayTime | None = None
        self.negative_ft = 24000.0

    def read(self) -> WindsText | Unusable:
        while self.place < len(self.words):
            if not (self._levels() or self._station() or self._row() or self._head()):
                self.take(1, "not understood")
        if not self.rows:
            return _unusable("no wind stands in this text")
        if len(self.stations) > 1:
            return _unusable(
                f"these are the winds of {', '.join(self.stations)}", "leave the row of one place"
            )
        if len({(row.level.datum, row.level.feet) for row in self.rows}) < len(self.rows):
            return _unusable("a level stands twice in this text", "leave one row for each level")
        raw, rows, tokens = " ".join(self.words), tuple(self.rows), tuple(self.tokens)
        return WindsText(raw, rows, self.valid, self.use, tokens)

    def _run(self, begin: int, pattern: re.Pattern[str]) -> list[str]:
        """The words from one on that all fit."""
        found: list[str] = []
        for word in self.left[begin:]:
            if not pattern.fullmatch(word):
                break
            found.append(word)
        return found

    def _levels(self) -> bool:
        if self.next(1) != "FT":
            return False
        found = self._run(1, _LEVEL)
        self.levels = [float(level) for level in found]
        self.take(1 + len(found), "head")
        return True

    def _station(self) -> bool:
        """The row of a place under the levels: what it leaves out are the lowest."""
        cells = self._run(1, _CELL) if self.levels and _STATION.fullmatch(self.next(1)) else []
        if not cells or len(cells) > len(self.levels):
            return False
        rows = [self._cell(*pair) for pair in zip(self.levels[-len(cells) :], cells, strict=True)]
        if any(row is None for row in rows):
            return False
        self.stations.append(self.next(1))
        self.rows += [row for row in rows if row is not None]
        self.take(1 + len(cells), "wind")
        return True

    def _cell(self, feet: float, cell: str) -> AloftRow | None:
        found = _CELL.fullmatch(cell)
        assert found is not None, "it was matched before"
        tens, kt, typed = int(found[1]), float(found[2]), found[3]
        if (tens, kt) == (99, 0):
            tens = 0
        elif tens > 50:
            tens, kt = tens - 50, kt + 100
        if tens > 36:
            return None
        temperature = None if typed is None else float(typed)
        if temperature is not None and typed is not None and typed.isdigit() and feet > self.negative_ft:
            temperature = -temperature
        datum = Level(feet, "FL" if feet >= PRESSURE_FROM_FT else "MSL")
        return AloftRow(datum, Wind(Direction(tens % 36 * 10.0, "T"), kt), temperature)

    def _row(self) -> bool:
        for count in range(_LONGEST, 1, -1):
            found = _ROW.fullmatch(self.next(count))
            if found is None or self.place + count > len(self.words) or int(found[3]) > 360:
                continue
            level = Level(float(found[1]) * 100, "FL") if found[1] else Level(float(found[2]), "MSL")
            wind = Wind(Direction(int(found[3]) % 360.0, "T"), float(found[4]))
            temperature = None if found[5] is None else celsius(found[5].replace("P", "").replace("+", ""))
            self.rows.append(AloftRow(level, wind, temperature))
            self.take(count, "wind")
            return True
        return False

    def _head(self) -> bool:
        for count in range(_LONGEST, 0, -1):
            text = self.next(count)
            if self.place + count > len(self.words):
                continue
            if found := _VALID.fullmatch(text):
                self.valid = DayTime(*(int(part) for part in found.groups()))
            elif found := _USE.fullmatch(text):
                first, from_minute, last, minute = (int(part) for part in found.groups())
                self.use = Period(DayTime(None, first, from_minute), DayTime(None, last, minute))
            elif found := _NEGATIVE.fullmatch(text):
                self.negative_ft = float(found[1])
            elif not _SHOWN.fullmatch(text):
                continue
            self.take(count, "head")
            return True
        return False
