"""What several figures share: scales, measured texts, names, a strip of text beside a map."""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import UTC, date, datetime

from briefgen.brief.wording import format as words
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, text_box, text_font
from briefgen.draw.scene.labels import Label, Obstacles, Placed, place_labels
from briefgen.draw.scene.model import Canvas, Rect, Shape, Text
from briefgen.draw.scene.ticks import nice_time_step_s, ticks
from briefgen.draw.typeset.bind import NO_BREAK, bind
from briefgen.draw.typeset.measure import wrap
from briefgen.plan.model import Point
from briefgen.plan.sortie import Plan

_WORD = re.compile(r"[^\W\d_][^\W\d_'-]+")  # two letters or more
_UNITS = {"ft", "nm", "lb", "kg", "km", "SM", "MSL", "AGL", "KGS", "KTAS", "kt", "min", "deg", "gal"}
LONGEST_NAME = 22  # characters; a longer name gives way to the place's id


@record
class Scale:
    """A straight scale: ``low`` stands at ``start`` on the canvas, ``high`` at ``end``."""

    low: float
    high: float
    start: float
    end: float

    def at(self, value: float) -> float:
        """Where a value stands."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)

    def when(self, at: datetime) -> float:
        """Where an instant stands on a scale of time."""
        return self.at(at.timestamp())


def time_scale(first: datetime, last: datetime, start: float, end: float) -> Scale:
    """A straight scale of time."""
    return Scale(first.timestamp(), last.timestamp(), start, end)


def clock_step_s(time: Scale, canvas: Canvas, apart: float = 1.5) -> int:
    """A round step from one clock time to the next, so that they stand so many of their widths apart."""
    most = int((time.end - time.start) / (apart * width_pt("00:00", canvas)))
    return nice_time_step_s(time.high - time.low, max(most, 2))


def clock_ticks(time: Scale, step_s: int) -> list[datetime]:
    """The round clock times by Zulu along a scale of time."""
    return [datetime.fromtimestamp(at, tz=UTC) for at in ticks(time.low, time.high, step_s)]


_TRIES = 4  # at placing labels


def day_of_t(plan: Plan) -> date:
    """The UTC date that a reader of a figure takes for granted, as on the slides: that of T, without an event
    of take-off."""
    return words.rounded_instant(plan.clock.true_time or plan.clock.takeoff).date()


def clock_words(plan: Plan, at: datetime, *, seconds: bool = True) -> str:
    """``03:30:02 Z``, with its date where that isn't T's."""
    return words.clock_z(at, day=day_of_t(plan), seconds=seconds)


def width_pt(text: str, canvas: Canvas, style: str = "label") -> float:
    """How wide a text stands."""
    return text_box(Text((0, 0), text, style), canvas.medium).width


def name_of(point: Point) -> str:
    """The place's name, or its id where the name is too long for a drawing."""
    return point.name if len(point.name) <= LONGEST_NAME else point.id


def count_words(text: str) -> int:
    """The words of a text; figures, signs and units are none."""
    return sum(word not in _UNITS for word in _WORD.findall(text))


def short_of_words(texts: Sequence[str], most: int, instead: str = "") -> list[str]:
    """The texts, the longest of them replaced by ``instead`` until together they have at most so many
    words."""
    kept = list(texts)
    for longest in sorted(range(len(kept)), key=lambda n: -count_words(kept[n])):
        if sum(map(count_words, kept)) <= most:
            break
        kept[longest] = instead if count_words(instead) < count_words(kept[longest]) else kept[longest]
    return kept


def feet_msl(feet: float) -> str:
    """``1470 ft MSL``."""
    return f"{words.height(feet)} MSL"


def wrapped(text: str, canvas: Canvas, width: float, style: str = "label") -> str:
    """The text broken into lines that fit a width, a number never parted from its unit."""
    lines = wrap(bind(text), text_font(style, canvas.medium), canvas.size_pt(style), width)
    return "\n".join(lines).replace(NO_BREAK, " ")


def beside_pt(canvas: Canvas) -> float:
    """The least distance between two labels at one height: what stands nearer reads as one line."""
    return 0.7 * canvas.size_pt("label")


def with_sides(text: Text, canvas: Canvas) -> Box:
    """A text's box with that distance on both sides."""
    box, apart = text_box(text, canvas.medium), beside_pt(canvas)
    return box._replace(left=box.left - apart, right=box.right + apart)


def panel(box: Box, style: str = "panel") -> Shape:
    """A rectangle that fills a box."""
    return Rect(box.left, box.top, box.width, box.height, style)


def placed(labels: list[Label], canvas: Canvas, obstacles: Obstacles) -> Placed:
    """The labels in their places; where some find none or only one over a line, again with those first, and
    the try with fewest such."""
    tries: list[tuple[int, int, Placed]] = []
    while len(tries) < _TRIES:
        found = place_labels(labels, canvas, obstacles)
        bad = poor(found, canvas, obstacles)
        if not bad:
            return found
        tries.append((len(found.unplaced), len(bad), found))
        labels = sorted(labels, key=lambda label: label.text not in bad)
    return min(tries, key=lambda tried: tried[:2])[2]


def poor(found: Placed, canvas: Canvas, obstacles: Obstacles) -> set[str]:
    """The labels without a place, or with one over a line."""
    lines = Obstacles((), obstacles.segments)
    return {
        *found.unplaced,
        *(s.text for s in found.shapes if isinstance(s, Text) and lines.hit_by(text_box(s, canvas.medium))),
    }
