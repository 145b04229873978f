"""The deck's grid, in points on a slide of 960 by 540 (13.333 by 7.5 inches)."""

from __future__ import annotations

from briefgen.draw.scene.geometry import Box

SLIDE_WIDTH, SLIDE_HEIGHT = 960.0, 540.0
MARGIN = 48.0
RIGHT = SLIDE_WIDTH - MARGIN

STATE_BAR = Box(0, 0, SLIDE_WIDTH, 19)
STATE_PT = 14.0
STATE_ENDS = 150.0  # of a failing plan's bar: hatched from each edge of the slide to the words at least
HEADER = Box(MARGIN, 21, RIGHT, 35)
TITLE_TOP = 36.0
# with the lines that a title may have in each: large on one, else smaller on two
FEW_WORDS_STEPS_PT = (28.0, 26.0, 24.0)  # of bullets that share their slide with large values alone
TITLE_STEPS = ((34.0, 1), (30.0, 1), (26.0, 2), (24.0, 2), (20.0, 2), (18.0, 3))
TITLE_PITCH = 1.12  # in sizes
TITLE = Box(MARGIN, TITLE_TOP, RIGHT, TITLE_TOP + 2 * TITLE_PITCH * 28.0)
BODY_GAP = 16.0  # between title and body
BODY_BOTTOM = 484.0
FOOTER_RULE = 494.0
FOOTER = Box(MARGIN, 499, RIGHT - 110, 533)
PAGE_NUMBER = Box(RIGHT - 100, 499, RIGHT, 511)
FINE_PT = 9.0
FOOTER_LINES = 3

BLOCK_GAP = 14.0
COLUMN_GAP = 28.0
LEAST_FIGURE = 170.0  # height under which a figure moves to a slide of its own
BESIDE_FIGURE_PT = 16.0  # text on a slide with a figure: the figure is what is looked at
MOST_TEXT_ROWS = 7


def body_box(title_lines: int, title_pt: float) -> Box:
    """The room for the body beneath a title of so many lines."""
    return Box(MARGIN, TITLE_TOP + title_lines * TITLE_PITCH * title_pt + BODY_GAP, RIGHT, BODY_BOTTOM)
