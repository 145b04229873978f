"""What the cards share: the plan with its words, names of ships and stages, what the ground contact and the
supervisor may wait for."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field
from datetime import date, datetime, tzinfo
from functools import cached_property

from briefgen.airmath.clocks import clock_changes
from briefgen.brief.cards.model import Grid
from briefgen.brief.figures.common import mission_of
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_GIVEN
from briefgen.brief.wording.zone_names import on_the_way
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.schema.sortie import Ship, Supervisor
from briefgen.plan.model import EventPlan, Leg, ShipFuel
from briefgen.plan.sortie import Plan
from briefgen.units.values import Frequency

NOT_KNOWN = "not known"
NO_SECOND_PASS = "no second pass"


@record
class Told:
    """A plan and the words for its figures. ``day``: the UTC date that a reader of the card takes for
    granted, take-off's. ``reasons``: gate id → why an open gate was accepted, once the plan is approved."""

    plan: Plan
    reasons: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def mission(self) -> Mission:
        """The mission of the plan."""
        return mission_of(self.plan)

    @property
    def day(self) -> date:
        """The UTC date of take-off."""
        return words.rounded_instant(self.plan.clock.takeoff).date()

    def z(self, instant: datetime | None) -> str:
        """``03:30:02 Z``, with the date where it isn't take-off's; ``not known``."""
        return NOT_KNOWN if instant is None else words.clock_z(instant, day=self.day)

    def bare(self, instant: datetime | None) -> str:
        """``03:30:02`` for a column headed Z: with its date where it isn't take-off's. Empty for None."""
        return "" if instant is None else words.clock_bare(instant, day=self.day)

    def days(self, instants: Iterable[datetime]) -> str:
        """For a narrow table whose times stand without dates, what its note says of them: ``Z``, ``Z of 5
        May``, ``Z of 4 May, from 00:00:00 on of 5 May``."""
        found = sorted({words.rounded_instant(at).date() for at in instants})
        if set(found) <= {self.day}:
            return "Z"
        named = [words.day(day, year=False) for day in found]
        return f"Z of {', from 00:00:00 on of '.join(named)}"

    def by_z(self, instant: datetime | None) -> str:
        """A last moment: the whole second before, never after."""
        return self.z(instant if instant is None else words.time_limit(instant, "latest"))

    def by_bare(self, instant: datetime | None) -> str:
        """The same for a column headed Z."""
        return self.bare(instant if instant is None else words.time_limit(instant, "latest"))

    def by_local(self, instant: datetime) -> str:
        """The same on the event's clock, as ``local``."""
        return self.local(words.time_limit(instant, "latest"))

    def local(self, instant: datetime, zone: tzinfo | None = None) -> str:
        """The event's clock (without an event the base's), for a column headed with its name; with its date
        where that isn't the card's, and with its own zone and offset on a day on which the clocks change
        between it and the take-off or T."""
        clock = zone or self.mission.home_zone
        text = words.clock_bare(instant, clock, day=self.mission.date)
        return f"{text} {words.zone_words(instant, clock)}" if self.changes(instant, clock) else text

    def changes(self, instant: datetime, clock: tzinfo) -> bool:
        """True where a clock shows another offset at this instant than at take-off or at T."""
        heads = [
            self.plan.clock.takeoff,
            *([self.plan.event.true_time] if self.plan.event is not None else []),
        ]
        return any(at.astimezone(clock).utcoffset() != instant.astimezone(clock).utcoffset() for at in heads)

    def base(self, instant: datetime) -> str:
        """``14:00:02`` on the base's clock, the second as in Zulu beside it: with its date where it isn't
        that clock's at take-off, with its letters where it changes on the way."""
        zone = self.mission.base_zone
        day = words.rounded_instant(self.plan.clock.takeoff).astimezone(zone).date()
        text = words.clock_bare(instant, zone, day=day)
        changed = clock_changes(self.plan.clock.events[0].at, self.plan.clock.events[-1].at, zone)
        return f"{text} {words.zone_letters(instant, zone)}" if changed else text

    def window(self, start: datetime, end: datetime) -> str:
        """``20:30 to 08:30`` for a column headed Z: both dates where either isn't take-off's."""
        return words.hours_z(start, end, day=self.day, bare=True)

    def zone_name(self, instant: datetime | None = None) -> str:
        """The name of that clock alone, for a narrow column of a card whose second line has its offset:
        ``ACDT``."""
        return words.zone_letters(instant or self.plan.clock.takeoff, self.mission.home_zone)

    def fuel(self, amount: float | None) -> str:
        """``1320 lb`` from a printed figure; ``not known``."""
        return (
            NOT_KNOWN
            if amount is None or self.plan.fuel is None
            else words.fuel_figure(amount, self.plan.fuel.unit)
        )

    def ship_fuel(self, number: int) -> ShipFuel | None:
        """The fuel of one ship, None when it can't be worked out."""
        ships = self.plan.fuel.ships if self.plan.fuel else ()
        return next((ship for ship in ships if ship.ship == number), None)

    @property
    def callsign(self) -> str:
        """Of the flight."""
        return self.mission.file.sortie.callsign


def under_line(told: Told) -> str:
    """The line under a card's heading: mission, date, and the clocks."""
    file, clock = told.mission.file, told.plan.clock
    takeoff = clock.takeoff
    base = on_the_way(takeoff, clock.last_landing, told.mission.base_zone)
    zones = f"base {base}"
    if told.mission.event_zone is not None:
        event = on_the_way(takeoff, clock.last_landing, told.mission.event_zone)
        zones = f"base and event {base}" if event == base else f"{zones}, event {event}"
    there = words.rounded_instant(takeoff).astimezone(told.mission.base_zone).date()
    dates = {words.rounded_instant(at).date() for at in (takeoff, told.mission.times.true_time or takeoff)}
    days = [f"take-off on {words.day(told.day)} Z"] if dates != {file.sortie.date} else []
    days += [f"{words.day(there)} at the base"] if there not in (file.sortie.date, told.day) else []
    landed = words.rounded_instant(clock.last_landing).astimezone(told.mission.base_zone).date()
    days += [f"landing {words.day(landed, year=False)} at the base"] if landed != there else []
    return "  ·  ".join((words.weekday(file.sortie.date), *days, zones))


def contact_words(told: Told, contact: Frequency | int | None) -> str:
    """``preset 8, 132.650 MHz``, ``340.800 MHz``, ``not given``."""
    if contact is None:
        return NOT_GIVEN
    if isinstance(contact, Frequency):
        return words.frequency(contact)
    preset = next((row for row in told.mission.file.radio if row.preset == contact), None)
    return f"preset {contact}" + (f", {words.frequency(preset.frequency)}" if preset else "")


def crew_words(ship: Ship) -> str:
    """The names on one line."""
    return ", ".join(ship.crew)


def supervisor_reach(supervisor: Supervisor) -> tuple[str, ...]:
    """Telephone, then frequency, as far as they are given."""
    return tuple(
        text
        for text in (
            supervisor.phone or "",
            words.frequency(supervisor.frequency) if supervisor.frequency else "",
        )
        if text
    )


def last_begin_t(event: EventPlan) -> str:
    """``T-30 s``: after that nothing but the abort words is said. It moves with T. Empty where it isn't
    given."""
    last = event.abort.last_begin if event.abort is not None else None
    return words.t_offset((last - event.true_time).total_seconds()) if last is not None else ""


def short_place(leg: Leg) -> str:
    """The end of a leg, for a narrow column."""
    return leg.end.id


def leg_heading(leg: Leg) -> str:
    """``047 M``, or true where the variation isn't known."""
    return (
        words.heading(leg.heading_true_deg, "T")
        if leg.heading_magnetic_deg is None
        else words.heading(leg.heading_magnetic_deg, "M")
    )


def grid(
    title: str,
    columns: Iterable[tuple[str, str, str]],
    rows: Iterable[tuple[str, ...]],
    *,
    strong: tuple[int, ...] = (),
    note: str = "",
) -> Grid | None:
    """A table from (head, width, align) of each column; None without rows."""
    found, columns = tuple(rows), tuple(columns)
    if not found:
        return None
    heads, widths, align = zip(*columns, strict=True)
    return Grid(title, heads, found, widths, "".join(align), strong, note)


def key_words(text: str, most: int = 60) -> str:
    """The first clauses of a sentence that stay within ``most`` letters, at least so many words of the first;
    with dots where more follows."""
    if len(text) <= most:
        return text
    head = text[: most + 1]
    cut = max(head.rfind(mark) for mark in (", ", "; ", ". "))
    return f"{head[: cut if cut > 0 else max(head.rfind(' '), 1)]} ..."
