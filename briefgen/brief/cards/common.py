"""What the cards share: the line under the heading, names, tables, and texts cut short."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import datetime
from typing import TypeVar

from briefgen.brief.cards.model import Grid, Large, Lines, Run, Sketch
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NONE, NOT_GIVEN, Words, on_the_way
from briefgen.core.diagnostics import KeyPath
from briefgen.draw.scene.model import Scene
from briefgen.draw.scene.svg import svg
from briefgen.mission.read.tree import dotted
from briefgen.mission.schema.limits import Risk
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.model import EventPlan, FuelRow, Phase, ShipFuel

SKETCH_SCALE = 9 / 8


def under_line(w: Words) -> str:
    """The line under a card's heading: mission, date, and the clocks."""
    file, clock = w.mission.file, w.plan.clock
    takeoff = clock.takeoff
    there = words.rounded_instant(takeoff).astimezone(w.mission.base_zone).date()
    dates = {words.rounded_instant(at).date() for at in (takeoff, w.mission.times.true_time or takeoff)}
    days = [f"take-off on {words.day(w.day)} Z"] if dates != {file.sortie.date} else []
    days += [f"{words.day(there)} at the base"] if there not in (file.sortie.date, w.day) else []
    landed = words.rounded_instant(clock.last_landing).astimezone(w.mission.base_zone).date()
    days += [f"landing {words.day(landed, year=False)} at the base"] if landed != there else []
    return "  ·  ".join((words.weekday(file.sortie.date), *days, _zones(w)))


def _zones(w: Words) -> str:
    """``base and event WEST (+01:00)``, ``base WEST (+01:00), event CEST (+02:00)``; of several events each
    by its id."""
    clock, events = w.plan.clock, w.mission.events
    placed = [("base", w.mission.base_zone)]
    placed += [("event" if len(events) == 1 else event.id, event.zone) for event in events]
    told: dict[str, list[str]] = {}
    for name, zone in placed:
        told.setdefault(on_the_way(clock.takeoff, clock.last_landing, zone), []).append(name)
    return ", ".join(f"{words.listed(names)} {zone}" for zone, names in told.items())


def large_time(w: Words, label: str, at: datetime, under: str = "") -> tuple[str, str, str]:
    """A box of a time to be found at a glance: the time alone, since a date beside it has no room, and before
    what stands under it the date where it isn't the card's."""
    zulu = words.rounded_instant(at).date()
    date = f"{words.day(zulu, year=False)} Z" if zulu != w.day else ""
    return label, words.clock_z(at), "; ".join(filter(None, (date, under)))


def clock_column(head: str, instants: Sequence[datetime | None]) -> tuple[str, list[str]]:
    """The head and the cells of a column of times: ``T``, below it ``03:``, over ``30:02`` where the hour of
    all is one, else whole times, the head broken too; an empty cell for None."""
    hours = {words.clock_hour(at) for at in instants if at is not None}
    if len(hours) == 1:
        *first, last = head.split(" ")
        hour = f"{last} {hours.pop()}" if first else f"{last}\n{hours.pop()}"
        return "\n".join(filter(None, (" ".join(first), hour))), [
            "" if at is None else words.clock_minute(at) for at in instants
        ]
    return "\n".join(head.rsplit(" ", 1)), ["" if at is None else words.clock_bare(at) for at in instants]


def crew_words(ship: Ship) -> str:
    """The names on one line."""
    return ", ".join(ship.crew)


def hold_reached(event: EventPlan) -> bool:
    """False where the flight comes to the hold of a pass only after it must leave it."""
    return event.hold is None or event.hold.reached


def pass_of(w: Words, phase: Phase) -> EventPlan:
    """The pass that a phase is part of."""
    return next(each for each in w.plan.passes if each.section.id == phase.piece)


def never_left(w: Words, phase: Phase) -> bool:
    """Whether a phase is the hold of a pass that is reached only after it must be left."""
    return phase.kind == "hold" and not hold_reached(pass_of(w, phase))


def left_in_column(row: FuelRow, fuel: ShipFuel) -> str:
    """What remains at the end of a phase, as its column has it; NONE where the tanks are empty before."""
    left = row.remaining_printed
    return NONE if left < 0 else words.fuel_in_column(left, fuel.scale.step)


Filled = TypeVar("Filled", Grid, Large, Lines, Run)


def filled_by(section: Filled | None, texts: Iterable[tuple[KeyPath, str | None]]) -> Filled | None:
    """The section with the key of the longest of the mission's own ``texts`` that it holds."""
    longest = max(texts, key=lambda text: len(text[1] or ""), default=None)
    return section if section is None or longest is None else replace(section, key=dotted(longest[0]))


def last_begin_t(event: EventPlan) -> str:
    """``T-30 s``: after that nothing but the abort words is said. It moves with T. Empty where it isn't
    given."""
    last = event.abort.last_begin if event.abort is not None else None
    return words.t_offset((last - event.true_time).total_seconds()) if last is not None else ""


def abort_words(event: EventPlan, then: str = "") -> Large:
    """The words as large as they go, who may say them, and what is flown ``then``."""
    if event.abort is None:
        return Large("Abort", (("ABORT WORDS", NOT_GIVEN, ""),), dark=(0,))
    given = event.section.written.abort
    who = f", said by {given.said_by}" if given and given.said_by else ""
    said = Large("Abort", ((f"ABORT WORDS{who}", event.abort.words, then),), dark=(0,), wraps=True)
    texts = [(event.section.key("abort", "words"), event.abort.words)]
    if given is not None and then:
        texts.append((event.section.key("abort", "action"), given.action or ""))
    return filled_by(said, texts) or said


def traffic_rows(w: Words) -> list[tuple[str, str, str]]:
    """Who else is about over the event, at which level, and when; none without an event."""
    event = w.mission.file.event
    if event is None:
        return []
    windows = zip(event.other_traffic, w.mission.times.other_traffic, strict=True)
    return [
        (
            traffic.who,
            words.level_band(traffic.level) if traffic.level else "level not given",
            window_words(w, at.start, at.until),
        )
        for traffic, at in windows
    ]


def window_words(w: Words, start: datetime | None, end: datetime | None) -> str:
    """``13:21:30 to 13:36:30``, ``until 13:36:30``, ``from 13:21:30``, ``times not given``."""
    if start is None and end is None:
        return "times not given"
    if start is None or end is None:
        return f"until {w.bare(end)}" if start is None else f"from {w.bare(start)}"
    return f"{w.bare(start)} to {w.bare(end)}"


def risk_left(risk: Risk) -> int:
    """Likelihood x severity of what is left of a risk after its control."""
    rating = risk.after or risk.before
    return rating.likelihood * rating.severity


def grid(
    title: str,
    columns: Iterable[tuple[str, str, str]],
    rows: Iterable[tuple[str, ...]],
    *,
    strong: tuple[int, ...] = (),
    note: str = "",
    dark: tuple[int, ...] = (),
    shaded: tuple[int, ...] = (),
    joined: tuple[int, ...] = (),
    wide: tuple[tuple[int, int], ...] = (),
    name: str = "",
) -> Grid | None:
    """A table from (head, width, align) of each column; None without rows."""
    found, columns = tuple(rows), tuple(columns)
    if not found:
        return None
    heads, widths, align = zip(*columns, strict=True)
    return Grid(
        title,
        heads,
        found,
        widths,
        "".join(align),
        strong,
        note,
        dark=dark,
        shaded=shaded,
        joined=joined,
        wide=wide,
        name=name,
    )


def first_clauses(text: str, most: int = 60) -> str:
    """The first clauses of a sentence that stay within ``most`` letters, at least so many words of the first;
    with dots where more follows."""
    if len(text) <= most:
        return text
    head = text[: most + 1]
    cut = max(head.rfind(mark) for mark in (", ", "; ", ". "))
    return f"{head[: cut if cut > 0 else max(head.rfind(' '), 1)]} ..."


def sketch(title: str, scene: Scene, note: str = "") -> Sketch:
    """A drawing for a card, so much larger that its letters of 8 pt are of 9."""
    canvas = scene.canvas
    return Sketch(title, svg(scene), SKETCH_SCALE * canvas.width_pt, SKETCH_SCALE * canvas.height_pt, note)
