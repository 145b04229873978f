"""Pages that are as full as a mission may make them, for the checker: longest names, widest letters, every
block."""

from __future__ import annotations

from dataclasses import replace

from briefgen.brief.content.blocks import (
    BigFigure,
    BigFigures,
    Bullet,
    Bullets,
    Cell,
    Column,
    Columns,
    Figure,
    Note,
    Page,
    Run,
    text_table,
)
from tests.render.sample import FUEL, bullets, compass_rose, long_table, pass_plan

WIDE = "WWWWWWWW MMMMMMM"
HYPHENS = "Okafor-Lindström-Wíelgosz/Brandt"
SENTENCE = (
    "Wings level, climb straight ahead on the egress course, no second pass, acknowledge by number, then"
    " state fuel and intentions"
)
MIXED = Bullets(
    tuple(
        Bullet((Run("Strong words: ", strong=True), Run(SENTENCE), Run(" and a soft end", soft=True)), level)
        for level in (0, 1, 1, 0)
    )
)


def ships(count: int):
    """A line-up of ships with the longest names."""
    columns = (
        Column("Ship", "right"),
        Column("Crew"),
        Column("Aircraft"),
        Column("Tail", "right"),
        Column("Position"),
        Column("Joker", "right"),
        Column("Verdict"),
    )
    statuses = ("PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED")
    rows = [
        [
            str(n),
            f"Wing Commander {HYPHENS} and Flight Lieutenant {WIDE}",
            f"Petrel T.{n} {WIDE}",
            "ZZ-0471",
            "Left outer of the second element",
            "12,450 lb",
            Cell(SENTENCE, statuses[n % 5]),
        ]
        for n in range(1, count + 1)
    ]
    return text_table("ships", columns, rows, SENTENCE)


def pages() -> list[Page]:
    """The fullest pages that still fit."""
    big = BigFigures(tuple(BigFigure(f"Label {n} {WIDE}", "03:30:02 Z", SENTENCE[:60]) for n in range(3)))
    return [
        Page(
            "wide",
            f"{WIDE} {WIDE} {WIDE} at 03:30:02 Z",
            (bullets(*[f"{WIDE}: {WIDE} {WIDE} {WIDE} {WIDE}"] * 6),),
            SENTENCE,
        ),
        Page("mixed", f"{SENTENCE[:95]}", (MIXED, Note((Run(SENTENCE),)), MIXED)),
        Page("ships", "Eight ships with the longest names", (ships(8),)),
        Page(
            "numbers",
            "Numbered steps",
            (Bullets(tuple(Bullet((Run(SENTENCE),), 0, f"{n}.") for n in range(1, 9))),),
        ),
        Page(
            "columns",
            "Two full columns",
            (Columns((Figure("map", pass_plan), Note((Run(SENTENCE),))), (MIXED, long_table(9)), 0.55),),
        ),
        Page(
            "everything",
            "Values, words, a table and a figure",
            (big, MIXED, long_table(5), Figure("rose", compass_rose), replace(FUEL, name="second")),
        ),
        Page(
            "cut",
            "A word longer than its box is cut, not lost",
            (bullets("X" * 160, "no-break\u00a0space " * 12), Note((Run("y" * 150),))),
        ),
        Page("big", "Two lines of detail under large values", (big, big)),
    ]
