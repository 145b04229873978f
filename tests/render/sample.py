"""A made-up deck that uses every kind of block, for tests and for looking at."""

from __future__ import annotations

from datetime import UTC, datetime

from briefgen.brief.content.blocks import (
    Axis,
    BigFigure,
    BigFigures,
    Bullet,
    Bullets,
    Cell,
    Chart,
    Column,
    Columns,
    Figure,
    Note,
    Page,
    Reference,
    Run,
    Series,
    Table,
    text_table,
)
from briefgen.brief.slides.frame import Frame
from briefgen.core.context import Stamp
from briefgen.draw.scene.geometry import compass_point
from briefgen.draw.scene.labels import Label, Obstacles, place_labels, segments_of
from briefgen.draw.scene.marks import north_arrow, status_mark, triangle
from briefgen.draw.scene.model import Arc, Canvas, Ellipse, Group, Line, Polygon, Rect, Scene, Text

STAMP = Stamp(
    "DEMONSTRATION - INVENTED DATA", "Harbour regatta opening", "K7QH-49AC-XXTM-3PWJ", "K7QH", "0", "2026f"
)
FRAME = Frame(STAMP, datetime(2027, 1, 30, 2, 0, tzinfo=UTC))


def bullets(*lines: str) -> Bullets:
    """Bullets from lines; one that begins with two spaces is nested; what stands before a colon is strong."""
    items = []
    for line in lines:
        head, colon, rest = line.strip().partition(":")
        runs = (Run(head + colon, strong=True), Run(rest)) if colon else (Run(line.strip()),)
        nested = line.startswith("  ")
        items.append(Bullet(runs, int(nested), "–" if nested else "•"))
    return Bullets(tuple(items))


def pass_plan(canvas: Canvas) -> Scene:
    """A plan view with every kind of shape."""
    w, h = canvas.width_pt, canvas.height_pt
    hold, ip, show = (0.18 * w, 0.72 * h), (0.36 * w, 0.6 * h), (0.74 * w, 0.34 * h)
    track = (ip, show, (0.95 * w, 0.2 * h))
    shapes = [
        Rect(0, 0, w, h, "water"),
        Polygon(((0.6 * w, 0), (w, 0), (w, 0.75 * h), (0.83 * w, 0.6 * h), (0.68 * w, 0.45 * h)), "area"),
        *(Line(((x * w, 0), (x * w, h)), "grid") for x in (0.25, 0.5, 0.75)),
        Line((hold, ip), "track_dashed"),
        Line(track, "track", "end"),
        Arc(hold, 26, 180, 360, "hold", "end"),
        Line(((0.69 * w, 0.47 * h), (0.8 * w, 0.55 * h)), "crowd"),
        Group((Ellipse(show, 7, 7, "target_solid"), Ellipse(show, 13, 13, "target")), "Show centre"),
        triangle(ip, 7, "track_solid"),
        Group(tuple(north_arrow((0.95 * w, 0.9 * h), 30, canvas.medium)), "North"),
        Text((0.55 * w, 0.44 * h), "run-in 052 T", "track", "middle", "bottom", -20, True),
        *(
            status_mark(s, (20 + 22 * i, 18), 12)
            for i, s in enumerate(("PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED"))
        ),
    ]
    wanted = [
        Label(show, "PONTOON", "target", 14, 200),
        Label(ip, "IP Bell buoy", "track", 8),
        Label(hold, "HOLD 2000 ft", "label", 28, 270),
    ]
    placed = place_labels(wanted, canvas, Obstacles(segments=segments_of([track, (hold, ip)])))
    return Scene(
        canvas,
        (*shapes, *placed.shapes),
        "Plan of the pass: hold, initial point, run-in and show centre",
        placed.unplaced,
    )


def compass_rose(canvas: Canvas) -> Scene:
    """Texts turned all ways, each between two short lines that its ends must touch."""
    centre, radius = (
        (canvas.width_pt / 2, canvas.height_pt / 2),
        min(canvas.width_pt, canvas.height_pt) / 2 - 30,
    )
    shapes = [Ellipse(centre, radius, radius, "hollow")]
    for angle in range(0, 360, 30 if radius > 90 else 180):  # as many as have room
        tip = compass_point(centre, radius - 4, angle)
        shapes += [Line((compass_point(centre, radius, angle), compass_point(centre, radius - 8, angle)))]
        shapes += [Text(tip, f"{angle:03d}", "label", "middle", "top", float(angle))]
    return Scene(canvas, tuple(shapes), "A compass rose")


FUEL = Chart(
    "fuel",
    Axis("Zulu", 4 / 48, 10 / 48, 1 / 48, "hh:mm"),
    Axis("Fuel, lb", 0, 6000, 1000),
    tuple(
        Series(
            f"Ship {n}",
            tuple((0.085 + 0.01 * i, 5500 - 420 * i - 40 * n * i) for i in range(11)),
            f"ship_{n}",
        )
        for n in (1, 2, 3, 4)
    ),
    "Fuel of all ships along the clock",
    (Reference("Bingo 1,250", 1250, "y", "minimum"), Reference("T", 0.146, "x", "target")),
)
GATES = text_table(
    "gates",
    (Column("Gate"), Column("Verdict"), Column("Value", "right"), Column("Limit", "right"), Column("Source")),
    [
        ["Pass height above obstacle", Cell("", "PASS"), "1,170 ft", "1,000 ft", "unit"],
        ["Hold within bounds", Cell("", "CAUTION"), "5 min 10 s", "4 to 20 min", "unit"],
        ["Landing fuel, ship 4", Cell("", "FAIL"), "790 lb", "800 lb", "type"],
        ["Forecast covers landing", Cell("", "NOT CHECKED"), "not given", "", "unit"],
        ["Pass speed", Cell("", "WAIVED"), "420 KCAS", "400 KCAS", "W-27-003"],
    ],
    "Trade habits are marked: common practice, no source.",
)
CREW = text_table(
    "crew",
    (
        Column("Ship", "right"),
        Column("Crew"),
        Column("Tail", "right"),
        Column("Side"),
        Column("Start fuel", "right"),
    ),
    [
        ["1", "Maj R. Okafor-Lind", "0471", "blue", "5,500 lb"],
        ["2", "Capt T. Wessel", "0466", "blue", "5,500 lb"],
        ["3", "Capt M. Arakawa", "0480", "red", "5,500 lb"],
        ["4", "Lt J. Quigley", "0459", "red", "5,500 lb"],
    ],
)


def long_table(rows: int) -> Table:
    """A navigation log of so many rows."""
    columns = (
        Column("To"),
        Column("Course T", "right"),
        Column("Distance", "right"),
        Column("Time Z", "right"),
        Column("Remarks"),
    )
    return text_table(
        "navlog",
        columns,
        [
            [
                f"WP{n:02d}",
                f"{(n * 17) % 360:03d}",
                f"{n + 3} nm",
                f"03:{n:02d}:00",
                "Check the fuel of the flight",
            ]
            for n in range(rows)
        ],
    )


def pages() -> list[Page]:
    """One page for each thing that can stand on a slide."""
    big = BigFigures(
        (
            BigFigure("True time, Zulu", "03:30:02 Z", "14:00:02 base, 14:30:02 event"),
            BigFigure("Lowest on QNH", "1,330 ft", "1,000 ft above the terminal"),
        )
    )
    return [
        Page(
            "overview",
            "Overhead the finish pontoon at 03:30:02 Z, then home with 1,040 lb in the lowest ship",
            (
                big,
                bullets(
                    "Who: Gannet, four ships",
                    "Where: Northbourne, Sandpiper, the harbour",
                    "When: take-off 02:07:00 Z, landing 04:12 Z",
                ),
            ),
            "Say the time twice.\n- Then hack.",
        ),
        Page("line-up", "Four ships, two a side", (CREW,), "Crew in order."),
        Page(
            "pass",
            "Leave the hold at 03:28:21 Z to be overhead at 03:30:02 Z",
            (Figure("pass_plan", pass_plan),),
            "The sums.",
        ),
        Page(
            "pass-words",
            "Hold at 2,000 ft, run in at 300 KGS, push up at 390 KGS",
            (
                Columns(
                    (Figure("pass_plan", pass_plan),),
                    (
                        bullets(
                            "Hold: left, 60 s legs",
                            "Run in: 052 T",
                            "  push up at 18 s",
                            "Abort: wings level, climb straight ahead",
                        ),
                        Note((Run("Never descend for traffic.", soft=True),)),
                    ),
                    0.62,
                ),
            ),
        ),
        Page("fuel", "No ship is under bingo before the pass", (FUEL,)),
        Page("gates", "One gate fails: landing fuel of ship 4", (GATES,)),
        Page("navlog", "Nine legs are more than a slide holds", (long_table(24),)),
        Page("rose", "Turned text stands where it should", (Figure("rose", compass_rose),)),
        Page(
            "rules",
            "Stop at joker",
            (bullets(*(f"Rule {n}: say it, do it, acknowledge it by number" for n in range(1, 12))),),
        ),
    ]
