"""The look of every product, written down once: colours, line and text styles, the type scale.

Shapes and blocks name a style; only this file says what it looks like.  Every text colour has a contrast of
at least 4.5:1 on the paper and on each wash it may stand on (kept by a test).  Colour never carries meaning
alone: a status also differs in word and shape, a ship's line also in dash.  Blue and red are for the two
sides only.

A *medium* is where a drawing goes: ``deck`` (projected, Arial), ``card`` (A5, read under red light and as a
black-and-white print) and ``page`` (screen).  A card shows every colour as ink, a grey or paper.
"""

from __future__ import annotations

from typing import Literal

from briefgen.core.records import record

Medium = Literal["deck", "card", "page"]

COLOURS: dict[str, str] = {
    "paper": "FFFFFF",
    "wash": "F2F4F3",  # panels
    "ink": "1C2326",
    "soft": "4B565A",  # second voice: labels, heads of columns
    "rule": "C5CCCB",  # hairlines, graticule; never text
    "pine": "1F5A4C",  # the accent: the flight's own track, large figures
    "pine_wash": "E1ECE8",
    "ochre": "7A4E00",  # what wants attention on a figure: targets, cues, minima
    "ochre_wash": "F6ECD8",
    "water": "E6EDF0",
    "blue": "1D4C8F",
    "blue_wash": "E2EAF5",
    "red": "A3261F",
    "red_wash": "F7E4E2",
    "plum": "5A3D78",
    "pass": "1F5A4C",  # a verdict's own, whatever a unit's theme makes of the accent
    "night": "2B3342",
    "twilight": "8D95A3",
    "day": "F7EFD9",
}

CARD_COLOURS: dict[str, str] = {
    **dict.fromkeys(("ink", "soft", "pine", "pass", "ochre", "blue", "red", "plum", "night"), "000000"),
    "rule": "8A8A8A",
    "twilight": "9A9A9A",
    **dict.fromkeys(("paper", "day"), "FFFFFF"),
    **dict.fromkeys(("wash", "pine_wash", "ochre_wash", "water", "blue_wash", "red_wash"), "EDEDED"),
}

# in line widths
DASHES: dict[str, tuple[float, ...]] = {
    "": (),
    "dash": (4.0, 3.0),
    "dot": (1.0, 2.0),
    "long": (8.0, 3.0),
}


@record
class Style:
    """How a shape is drawn. ``stroke`` and ``fill`` name colours ("" = none); ``width_pt`` is for the deck,
    other media use a part of it."""

    stroke: str = "ink"
    width_pt: float = 1.5
    dash: str = ""
    fill: str = ""


@record
class TextStyle:
    """How a text is set: a step of the type scale, bold or not, and a colour's name."""

    step: str = "label"
    bold: bool = False
    colour: str = "ink"


STYLES: dict[str, Style] = {
    "line": Style(),
    "thin": Style(width_pt=0.75),
    "heavy": Style(width_pt=3),
    "grid": Style("rule", 0.75),
    "axis": Style("soft", 1),
    "leader": Style("soft", 0.75),
    "frame": Style("rule", 1),
    "panel": Style("", 0, fill="wash"),
    "ground": Style("", 0, fill="rule"),
    "water": Style("", 0, fill="water"),
    "solid": Style("", 0, fill="ink"),
    "hollow": Style("ink", 1.5, fill="paper"),
    "track": Style("pine", 3),
    "track_thin": Style("pine", 1.5),
    "track_dashed": Style("pine", 2, "dash"),
    "track_solid": Style("", 0, fill="pine"),
    "track_wash": Style("pine", 1.25, fill="pine_wash"),
    "hold": Style("pine", 2.25),
    "hold_entry": Style("pine", 1.25, "dash"),
    "target": Style("ochre", 2.5),
    "target_solid": Style("", 0, fill="ochre"),
    "target_wash": Style("ochre", 1.25, fill="ochre_wash"),
    "minimum": Style("ochre", 2, "dash"),
    "limit": Style("ink", 1.5, "long"),
    "land": Style("", 0, fill="paper"),
    "coast": Style("soft", 1),
    "border": Style("soft", 0.75, "long"),
    "cloud": Style("soft", 1.25, fill="water"),
    "cloud_at_times": Style("soft", 1.25, "dash", fill="paper"),
    "faint": Style("rule", 0.75),
    "faint_dashed": Style("rule", 1, "long"),
    "faint_track": Style("rule", 2.5),
    "area_outline": Style("soft", 1.5, "long"),
    "area": Style("soft", 1.5, "long", fill="wash"),
    "divert": Style("soft", 1.25, "dot"),
    "crowd": Style("ink", 4),
    "obstacle": Style("", 0, fill="ink"),
    "blue": Style("blue", 2),
    "blue_wash": Style("blue", 1.5, fill="blue_wash"),
    "blue_solid": Style("", 0, fill="blue"),
    "red": Style("red", 2),
    "red_wash": Style("red", 1.5, "dash", fill="red_wash"),
    "red_solid": Style("", 0, fill="red"),
    "night": Style("", 0, fill="night"),
    "twilight": Style("", 0, fill="twilight"),
    "day": Style("", 0, fill="day"),
    "fuel_limit": Style("soft", 1),
    # one line a ship, told apart by dash or width as well as by colour; the one that lands with least strong,
    # whichever it is
    "ship_least": Style("ink", 4),
    "ship_1": Style("pine", 1.25),
    "ship_2": Style("ochre", 1.5, "dash"),
    "ship_3": Style("plum", 1.5, "dot"),
    "ship_4": Style("pine", 1.25, "long"),
    "ship_5": Style("plum", 2.25),
    "ship_6": Style("pine", 2.25, "dot"),
    "ship_7": Style("ochre", 2.25, "dash"),
    "ship_8": Style("plum", 2.25, "long"),
    "status_pass": Style("", 0, fill="pass"),
    "status_caution": Style("", 0, fill="ochre"),
    "status_fail": Style("", 0, fill="red"),
    "status_not_checked": Style("soft", 1.5, fill="paper"),
    "status_waived": Style("plum", 1.5, fill="paper"),
}

TEXT_STYLES: dict[str, TextStyle] = {
    "label": TextStyle(),
    "label_bold": TextStyle(bold=True),
    "label_soft": TextStyle(colour="soft"),
    "track": TextStyle(bold=True, colour="pine"),
    "target": TextStyle(bold=True, colour="ochre"),
    "blue": TextStyle(bold=True, colour="blue"),
    "red": TextStyle(bold=True, colour="red"),
    "on_dark": TextStyle(bold=True, colour="paper"),
    "body": TextStyle("body"),
    "body_bold": TextStyle("body", bold=True),
    "body_target": TextStyle("body", bold=True, colour="ochre"),
    "body_red": TextStyle("body", bold=True, colour="red"),
    "head": TextStyle("head", bold=True),
    "head_target": TextStyle("head", bold=True, colour="ochre"),
    "head_red": TextStyle("head", bold=True, colour="red"),
    "big": TextStyle("big", bold=True),
    "big_target": TextStyle("big", bold=True, colour="ochre"),
    "large": TextStyle("large", bold=True, colour="ochre"),
    "large_soft": TextStyle("large", bold=True, colour="soft"),
    "stop_large": TextStyle("large", bold=True, colour="red"),
    "stop_big": TextStyle("big", bold=True, colour="red"),
    "stop_great": TextStyle("great", bold=True, colour="red"),
    "stop_huge": TextStyle("huge", bold=True, colour="red"),
    "huge": TextStyle("huge", bold=True, colour="ochre"),
}

_STEPS = ("fine", "label", "body", "head", "title", "large", "big", "great", "huge")
TYPE_SCALE_PT: dict[str, dict[str, float]] = {
    "deck": dict(zip(_STEPS, (9, 16, 18, 24, 28, 44, 54, 68, 96), strict=True)),
    "card": dict(zip(_STEPS, (8, 8, 9, 11, 14, 20, 26, 32, 40), strict=True)),
    "page": dict(zip(_STEPS, (11, 13, 16, 20, 26, 30, 44, 48, 52), strict=True)),
}

STROKE_SHARE: dict[str, float] = {"deck": 1.0, "card": 0.5, "page": 0.8}

FONT_FAMILY: dict[str, str] = {
    "deck": "Arial",
    "card": "Atkinson Hyperlegible Next",
    "page": "Atkinson Hyperlegible Next",
}

# a deck's body text and tables take the first that fits
BODY_STEPS_PT: tuple[float, ...] = (
    22,
    20,
    18,
    16,
    14,
)
LINE_PITCH = 1.2  # line spacing in sizes, always set explicitly
BASELINE = 0.98  # baseline below the top of a line's box, in sizes, at that pitch

STATUS_STYLE: dict[str, str] = {
    "PASS": "status_pass",
    "CAUTION": "status_caution",
    "FAIL": "status_fail",
    "NOT CHECKED": "status_not_checked",
    "WAIVED": "status_waived",
}
STATUS_COLOUR: dict[str, str] = {
    "PASS": "pass",
    "CAUTION": "ochre",
    "FAIL": "red",
    "NOT CHECKED": "soft",
    "WAIVED": "plum",
}


def colour_hex(name: str, medium: Medium = "deck") -> str:
    """The six hexadecimal digits (no #) of a colour in a medium. An unknown name is a bug and raises
    KeyError."""
    return CARD_COLOURS[name] if medium == "card" else COLOURS[name]


def text_size_pt(style: str, medium: Medium = "deck") -> float:
    """The size in points in which a text style is set in a medium."""
    return TYPE_SCALE_PT[medium][TEXT_STYLES[style].step]


def stroke_width_pt(style: str, medium: Medium = "deck") -> float:
    """The line width in points of a style in a medium."""
    return STYLES[style].width_pt * STROKE_SHARE[medium]


def contrast(first_hex: str, second_hex: str) -> float:
    """Contrast ratio of two colours, 1 to 21, after WCAG 2.1 (relative luminance of sRGB)."""
    lighter, darker = sorted((_luminance(first_hex), _luminance(second_hex)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]
