"""A TAF or METAR from its text: its head, then its groups word by word. Nothing is dropped: every word of the
text is in ``Report.tokens``, in order."""

from __future__ import annotations

import re
from dataclasses import replace

from briefgen.mission.inputs.elements import Building, take_next
from briefgen.mission.inputs.report import (
    EXAMPLE,
    LONGEST_H,
    Change,
    DayTime,
    Elements,
    Extreme,
    ExtremeKind,
    Group,
    Period,
    Report,
    ReportKind,
    Status,
    Token,
    Unusable,
)
from briefgen.mission.inputs.words import WordReader, normal_words, wrong_number

MOST_WORDS = 600  # our own bound: no report is as long
WORDS = {"TAF": "TAF", "METAR": "METAR", "SPECI": "METAR"}
SHOWN_IN_HEAD = ("RTD", "PROV", "AUTO")
STATUS: dict[str, Status] = {"AMD": "AMD", "COR": "COR", "NIL": "NIL", "CNL": "CNL"}
_BULLETIN = re.compile(r"[A-Z]{4}[0-9]{2} [A-Z]{4} [0-9]{6}(?: [A-Z]{3})?")
_STATION = re.compile(r"[A-Z][A-Z0-9]{3}")
_PERIOD = re.compile(r"([0-9]{2})([0-9]{2})/([0-9]{2})([0-9]{2})")
_OLD_VALID = re.compile(r"([0-9]{2})([0-9]{2})([0-9]{2})")
_OLD_PERIOD = re.compile(r"([0-9]{2})([0-9]{2})")
_AT = re.compile(r"([0-9]{2})([0-9]{2})([0-9]{2})Z?")
_FM = re.compile(r"FM ?(?:([0-9]{2})([0-9]{2})([0-9]{2})|([0-9]{2})([0-9]{2})?)Z?")
_TREND_TIME = re.compile(r"(FM|TL|AT)([0-9]{2})([0-9]{2})Z?")
_CHANGE = re.compile(r"(?:PROB ?([0-9]{2})(?: (TEMPO|INTER))?|(BECMG|TEMPO|INTER))")
_GLUED = re.compile(r"((?:BECMG|TEMPO|INTER))([0-9]{4}(?:/[0-9]{4})?)")


def read_report(text: str, kind: ReportKind) -> Report | Unusable:
    """The report, or why the text can't be taken as one."""
    words = normal_words(text)
    if wrong := wrong_number(words, MOST_WORDS):
        return _unusable(wrong, kind)
    return _Reader(kind, words).read()


def _unusable(message: str, kind: ReportKind, help: str = "") -> Unusable:
    name = "forecast" if kind == "TAF" else "observation"
    return Unusable(
        message,
        f"whose {name} it is and when it counts stands in its first words",
        help or f"paste one {kind} whole, for example {EXAMPLE[kind]}",
    )


class _Reader(WordReader):
    """A head, then groups."""

    def __init__(self, kind: ReportKind, words: list[str]) -> None:
        super().__init__(words)
        self.kind = kind
        self.station = ""
        self.status: Status = ""
        self.at: DayTime | None = None
        self.valid: Period | None = None
        self.old_times = False
        self.wrong: Unusable | None = None
        self.whole_sky = any(re.fullmatch(r".*[0-9]SM|QNH[0-9]{4}INS", word) for word in words)
        self.groups: list[Group] = []
        self.extremes: list[tuple[ExtremeKind, Extreme]] = []

    def read(self) -> Report | Unusable:
        self._head()
        if self.wrong is None:
            self.wrong = self._lacks()
        if self.wrong is None:
            self._body()
        if self.wrong is not None:
            return self.wrong
        return Report(
            self.kind,
            " ".join(self.words).replace(" =", "="),
            self.station,
            self.status,
            self.at,
            self.valid,
            tuple(self.groups),
            tuple(self.extremes),
            tuple(self.tokens),
        )

    # ---------------------------------------------------------------- the head

    def _head(self) -> None:
        for count in (4, 3):
            if _BULLETIN.fullmatch(self.next(count)):
                self.take(count, "head")
                break
        while self.left and self.wrong is None and self._head_word(self.left[0]):
            pass

    def _head_word(self, word: str) -> bool:
        """Whether the word belongs to the head; it is taken then."""
        if word in WORDS:
            if WORDS[word] != self.kind:
                key = WORDS[word].lower()
                self.wrong = _unusable(f"this is a {word}", self.kind, f"write it under {key}:")
            elif self.at is not None or self.valid is not None:
                self.wrong = _unusable("two reports stand here", self.kind, "leave the one that counts")
            self.take(1, "head")
        elif word in SHOWN_IN_HEAD:
            self.take(1, "head")
        elif word in STATUS:
            self.status = STATUS[word] if self.status not in ("NIL", "CNL") else self.status
            self.take(1, "head")
        elif not self.station and _STATION.fullmatch(word):
            self.station = self.take(1, "head")
        elif self.kind == "TAF" and self._is_valid_period(word):
            self.take(1, "time")
        elif self.at is None and self.valid is None and (found := _AT.fullmatch(word)):
            self.at = DayTime(*(int(part) for part in found.groups()))
            if not _possible(self.at):
                self.wrong = _unusable(f"{word} is no day and time", self.kind)
            self.take(1, "time")
        else:
            return False
        return True

    def _is_valid_period(self, word: str) -> bool:
        if self.valid is not None:
            return False
        if found := _PERIOD.fullmatch(word):
            a, b, c, d = (int(part) for part in found.groups())
            period = Period(DayTime(a, b), DayTime(c, d))
        elif (found := _OLD_VALID.fullmatch(word)) and not _is_time(self.left[1:2]):
            day, first, last = (int(part) for part in found.groups())
            self.old_times = True
            period = Period(DayTime(day, first), DayTime(None, last))
        else:
            return False
        if not _possible_period(period):
            self.wrong = _unusable(f"{word} is no period that a TAF can have", self.kind)
        self.valid = period
        return True

    def _lacks(self) -> Unusable | None:
        if not self.station:
            return _unusable(f"no aerodrome stands at the head of this {self.kind}", self.kind)
        if self.status == "NIL":
            return None
        if self.kind == "TAF" and self.valid is None:
            return _unusable("no period such as 2912/3018 stands in this TAF", self.kind)
        if self.kind == "METAR" and self.at is None:
            return _unusable("no time such as 300150Z stands in this METAR", self.kind)
        return None

    # ---------------------------------------------------------------- the groups

    def _body(self) -> None:
        group, begin = _group("", self.valid), len(self.tokens)
        building = Building(self.whole_sky)
        while self.left and self.wrong is None:
            word, here = self.left[0], len(self.tokens)
            if word == "=":
                self.take(1, "end")
                self._after_end()
                break
            if word in WORDS:
                self.wrong = _unusable("two reports stand here", self.kind, "leave the one that counts")
            elif word in STATUS and word != "AMD":
                self.status = STATUS[self.take(1, "head")]
            elif word == "RMK":
                self._remark()
            elif (changed := self._change()) is not None:
                self._close(group, building, self.tokens[begin:here])
                group, building, begin = changed, Building(self.whole_sky), here
            else:
                count, role = take_next(building, self.left, self.kind)
                self.take(count, role)
        self._close(group, building, self.tokens[begin:])

    def _close(self, group: Group, building: Building, tokens: list[Token]) -> None:
        said = [token for token in tokens if token.role not in ("end", "remark")]
        head = [token for token in said if token.role == "change"]
        brings = [token for token in said if token.role not in ("change", "temperature")]
        self.extremes += building.extremes
        text, head_text, rest = (" ".join(token.text for token in own) for own in (said, head, brings))
        self.groups.append(replace(group, elements=building.done(), text=text, head=head_text, brings=rest))

    def _remark(self) -> None:
        left = self.left
        self.take(left.index("=") if "=" in left else len(left), "remark")

    def _after_end(self) -> None:
        if any(word in WORDS for word in self.left):
            self.wrong = _unusable("two reports stand here", self.kind, "leave the one that counts")
        while self.left:
            self.take(1, "end" if self.left[0] == "=" else "not understood")

    def _change(self) -> Group | None:
        """The group that begins here, its words taken; None where none does. One whose period can't be read
        counts all along, beside what was before it."""
        from_ = self.kind == "TAF" and self.left[0].startswith("FM")
        return self._from() if from_ else self._other_change()

    def _from(self) -> Group | None:
        for count in (2, 1):
            found = _FM.fullmatch(self.next(count))
            if found is None:
                continue
            a, b, c, hour, minute = found.groups()
            at = DayTime(int(a), int(b), int(c)) if a else DayTime(None, int(hour), int(minute or 0))
            good = _possible(at)
            self.take(count, "change" if good else "not understood")
            return _group("FM", Period(at), "FM") if good else _group("BECMG", None)
        return None

    def _other_change(self) -> Group | None:
        word, left = self.left[0], self.left
        if self.kind == "TAF" and _PERIOD.fullmatch(word):  # a period that no change stands before
            self.take(1, "not understood")
            return _group("BECMG", None)
        if glued := _GLUED.fullmatch(word):
            period = self._period(glued[2])
            self.take(1, "change" if period else "not understood")
            return _group("BECMG" if glued[1] == "BECMG" else "TEMPO", period, glued[1])
        for count in (3, 2, 1):
            found = _CHANGE.fullmatch(self.next(count))
            if found is None or len(left) < count:
                continue
            change: Change = "PROB" if found[1] else "BECMG" if found[3] == "BECMG" else "TEMPO"
            name = self.take(count, "change")
            return _group(change, self._period_behind(), name)
        return None

    def _period_behind(self) -> Period | None:
        """The period behind a change, its words taken."""
        if self.kind == "METAR":
            while self.left and _TREND_TIME.fullmatch(self.left[0]):
                self.take(1, "change")
            return None
        word = next(iter(self.left), "")
        if not (_PERIOD.fullmatch(word) or (self.old_times and _OLD_PERIOD.fullmatch(word))):
            return None
        period = self._period(word)
        self.take(1, "change" if period else "not understood")
        return period

    def _period(self, text: str) -> Period | None:
        """None for a period that there can't be."""
        if found := _PERIOD.fullmatch(text):
            a, b, c, d = (int(part) for part in found.groups())
            period = Period(DayTime(a, b), DayTime(c, d))
        else:
            period = Period(DayTime(None, int(text[:2])), DayTime(None, int(text[2:])))
        return period if _possible_period(period) else None


def _group(change: Change, period: Period | None, name: str = "") -> Group:
    return Group(change, period, Elements(), "", name=name)


def _is_time(words: list[str]) -> bool:
    return any(_PERIOD.fullmatch(word) or _OLD_VALID.fullmatch(word) for word in words)


def _possible(at: DayTime) -> bool:
    return (at.day is None or 1 <= at.day <= 31) and at.minute < 60 and at.hour * 60 + at.minute <= 24 * 60


def _possible_period(period: Period) -> bool:
    """Both ends are times, and the second lies after the first, at most 36 h: on the same or the next days,
    or on the first ones of the month after."""
    start, end = period.start, period.end
    assert end is not None
    if not (_possible(start) and _possible(end)):
        return False
    if start.day is None or end.day is None:
        return True
    days = end.day - start.day
    if days < 0 and start.day >= 28 and end.day <= 2:
        days = 1 if end.day == 1 else 2  # the length of the month decides, once it is known
    return 0 < days * 24 + end.hour - start.hour <= LONGEST_H
