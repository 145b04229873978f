"""The clocks and units of one plan: what slides, cards, pages and reports word its times and figures with.

Zulu first, then the base's and the event's clock where they differ. A date is printed with every clock time
that lies on another date than the one that the reader takes for granted: for slides and pages the date at T
(without an event: at take-off), for cards the date at take-off.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import field, replace
from datetime import UTC, date, datetime, tzinfo
from functools import cached_property
from typing import Literal

from briefgen.airmath.clocks import clock_changes
from briefgen.brief.wording import format as words
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.model import Leg, Point, ShipFuel
from briefgen.plan.route import air
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.training_end import TrainingEnd

NOT_GIVEN = "not given"
NOT_CHECKED = "NOT CHECKED"
NOT_KNOWN = "not known"
NONE = "NONE"  # of a fuel that is burnt before, or a time that never comes
UNREACHABLE = "CANNOT BE REACHED"


Whose = Literal["Zulu", "base", "event", "local"]


@record
class Clock:
    """One clock of the brief. ``whose`` is Zulu, base, event or local; ``day`` is the date that it shows at
    the reference; ``events``: by their ids those that keep it, where events keep several."""

    whose: Whose
    zone: tzinfo
    name: str
    day: date
    dated: bool = False
    events: str = ""

    @property
    def said(self) -> str:
        """``base``, ``event``, ``HILL``; for Zulu and a sole local clock the name."""
        return self.name if self.whose in ("Zulu", "local") else self.events or self.whose

    @property
    def head(self) -> str:
        """Of a column: ``Base, ACDT (+10:30)``, with its date where the columns' dates differ."""
        whose = beginning(self.events or self.whose)
        named = self.name if self.whose in ("Zulu", "local") else f"{whose}, {self.name}"
        return f"{named}, {words.day(self.day, year=False)}" if self.dated else named

    def bare(self, at: datetime) -> str:
        """``14:00:02`` for a column under ``head``; the zone too where it is another one by then."""
        if self.whose != "Zulu" and words.zone_words(at, self.zone) != self.name:
            return words.clock_local(at, self.zone, day=self.day)
        return words.clock_bare(at, self.zone, day=self.day)


ENDS_TRAINING = ("joker", "hold-minimum", "t-reachable", "area-exit")  # one of these judges its end


@record
class Words:
    """A plan with its clocks and its unit of fuel. ``reference``: when the dates hold that a reader takes for
    granted; ``reasons``: gate id → why an open gate was accepted."""

    plan: Plan
    reference: datetime
    reasons: Mapping[str, str] = field(default_factory=dict)

    @property
    def mission(self) -> Mission:
        """The plan's."""
        return self.plan.mission

    @property
    def callsign(self) -> str:
        """Of the flight."""
        return self.mission.file.sortie.callsign

    @cached_property
    def clocks(self) -> tuple[Clock, ...]:
        """Zulu and every local clock that differs; each with its date where their dates differ."""
        at, sortie = self.reference, self.plan.clock
        local = _locals(self.mission, at, (at, sortie.takeoff, sortie.last_landing))
        clocks = (_clock("Zulu", UTC, at), *local)
        one_day = len({clock.day for clock in clocks}) == 1
        return clocks if one_day else tuple(replace(clock, dated=True) for clock in clocks)

    @property
    def locals(self) -> tuple[Clock, ...]:
        """The clocks on the wall, one where base and event share it, none where both keep Zulu."""
        return self.clocks[1:]

    @property
    def day(self) -> date:
        """The UTC date that a reader takes for granted."""
        return words.rounded_instant(self.reference).date()

    # --- Zulu
    def z(self, at: datetime | None) -> str:
        """``03:30:02 Z``; ``not known``."""
        return NOT_KNOWN if at is None else words.clock_z(at, day=self.day)

    def by(self, at: datetime | None) -> str:
        """``03:25:43 Z`` for a last moment: the whole second before, never after."""
        return self.z(_last(at))

    def bare(self, at: datetime | None) -> str:
        """``03:30:02`` for a column headed Z; empty for None."""
        return "" if at is None else words.clock_bare(at, day=self.day)

    def days(self, instants: Iterable[datetime]) -> str:
        """For a narrow table whose times stand without dates, what its note says of them: ``Z``, ``Z of 5
        May``, ``Z of 4 May, from 00:00:00 on of 5 May``."""
        return _other_days(instants, UTC, "Z", self.day) or "Z"

    def span(self, start: datetime | None, end: datetime | None) -> str:
        """``02:10:00 to 03:20:00 Z``, ``until 03:20:00 Z``, ``not given``."""
        if start is not None and end is not None:
            return words.window_z(start, end, day=self.day, seconds=True)
        if start is None and end is None:
            return NOT_GIVEN
        return f"until {self.z(end)}" if end is not None else f"from {self.z(start)}"

    def hours(self, start: datetime, end: datetime) -> str:
        """``20:30 to 08:30`` for a column headed Z: both dates where either isn't the reader's."""
        return words.hours_z(start, end, day=self.day, bare=True)

    # --- every clock on the wall
    def local(self, at: datetime, between: str = ", ") -> str:
        """``14:00:02 ACDT (+10:30) base, 14:30:02 AEDT (+11:00) event``; without a local clock the Zulu
        time."""
        return between.join(self._named(clock, at) for clock in self.locals) or self.z(at)

    def both(self, at: datetime) -> str:
        """``03:30:02 Z, 14:00:02 ACDT (+10:30) base, 14:30:02 AEDT (+11:00) event``."""
        return f"{self.z(at)}, {self.local(at)}" if self.locals else self.z(at)

    def by_both(self, at: datetime) -> str:
        """The same of a last moment."""
        return self.both(words.time_limit(at, "latest"))

    # --- the one clock beside Zulu of a card
    def at_event(self, at: datetime) -> str:
        """``14:30:02`` on the event's clock (without an event the base's), for a column headed with its name;
        with its date where that isn't the card's, and with its own zone and offset on a day on which it
        changes between then and the take-off or T."""
        zone = self.mission.home_zone
        text = words.clock_bare(at, zone, day=self.mission.date)
        return f"{text} {words.zone_words(at, zone)}" if self.event_clock_moved(at) else text

    # --- large figures and columns of a card: the time alone, which no date makes wider than its place
    def column(self, at: datetime | None) -> str:
        """``00:01:02``, whatever its date; empty for None."""
        return "" if at is None else words.clock_bare(at)

    def by_column(self, at: datetime | None) -> str:
        """The same of a last moment."""
        return self.column(_last(at))

    def event_column(self, at: datetime) -> str:
        """The same on the clock of ``at_event``, with its own letters where it changes."""
        zone = self.mission.home_zone
        text = words.clock_bare(at, zone)
        return f"{text} {words.zone_letters(at, zone)}" if self.event_clock_moved(at) else text

    def by_event_column(self, at: datetime) -> str:
        """The same of a last moment."""
        return self.event_column(words.time_limit(at, "latest"))

    def column_days(self, instants: Iterable[datetime]) -> str:
        """Under columns of both clocks, rows in the order of time: ``Z of 29 Jan, from 00:00:00 on of 30
        Jan.``, of each clock that has another date than the card's reader takes for granted."""
        found = list(instants)
        letters = self.event_zone_letters(found[0]) if found else "Z"
        zulu = _other_days(found, UTC, "Z", self.day)
        local = _other_days(found, self.mission.home_zone, letters, self.mission.date)
        other = dict.fromkeys(said for said in (zulu, local) if said)
        return f"{'; '.join(other)}." if other else ""

    def other_date(self, at: datetime, than: datetime) -> str:
        """``30 Jan Z``, ``30 Jan Z and AEDT``: the dates of a time of both columns that are not those of
        ``than``; empty where none is."""
        zones = {"Z": UTC, self.event_zone_letters(at): self.mission.home_zone}
        named: dict[date, list[str]] = {}
        for name, zone in zones.items():
            day, usual = (words.rounded_instant(moment).astimezone(zone).date() for moment in (at, than))
            if day != usual:
                named.setdefault(day, []).append(name)
        return words.listed(f"{words.day(d, year=False)} {words.listed(of)}" for d, of in named.items())

    def event_clock_moved(self, at: datetime) -> bool:
        """True where that clock shows another offset at this instant than at take-off or at T."""
        zone, event = self.mission.home_zone, self.plan.event
        heads = [self.plan.clock.takeoff, *([event.true_time] if event is not None else [])]
        return any(h.astimezone(zone).utcoffset() != at.astimezone(zone).utcoffset() for h in heads)

    def event_zone_letters(self, at: datetime | None = None) -> str:
        """``ACDT``: the name of that clock alone, for a narrow column of a card whose second line has its
        offset."""
        return words.zone_letters(at or self.plan.clock.takeoff, self.mission.home_zone)

    def at_base(self, at: datetime) -> str:
        """``14:00:02`` on the base's clock, the second as in Zulu beside it: with its date where it isn't
        that clock's at take-off, with its letters where it changes on the way."""
        zone, clock = self.mission.base_zone, self.plan.clock
        day = words.rounded_instant(clock.takeoff).astimezone(zone).date()
        text = words.clock_bare(at, zone, day=day)
        changed = clock_changes(clock.events[0].at, clock.events[-1].at, zone)
        return f"{text} {words.zone_letters(at, zone)}" if changed else text

    # --- fuel, courses, dates
    def fuel(self, amount: float | None) -> str:
        """``1320 lb`` from a printed figure, ``NOT CHECKED`` where it isn't known."""
        fuel = self.plan.fuel
        return NOT_CHECKED if amount is None or fuel is None else words.fuel_figure(amount, fuel.unit)

    def fuel_left(self, amount: float | None) -> str:
        """``1320 lb``, and NONE where less than nothing is left: the tanks are empty before."""
        return NONE if amount is not None and amount < 0 else self.fuel(amount)

    def training_end(self, end: TrainingEnd) -> str:
        """``ends at joker, which ship 4 reaches by 03:04:49 Z``, ``ends by 03:08:28 Z, END BY``; of one ship
        ``at joker, by 03:04:49 Z``. Of training that is planned to end later: ``MUST END at joker, ...``: the
        words END BY are the clock's alone."""
        if end.ship is None:
            return self._ending(end, f"by {self.by(end.at)}, END BY")
        who = "" if self.mission.alone else f"which ship {end.ship} reaches "
        return self._ending(end, f"at joker, {who}by {self.by(end.at)}")

    def training_end_in_short(self, end: TrainingEnd) -> str:
        """``ends at joker, by 03:04:49 Z (ship 4)``, ``ends by 03:08:28 Z (END BY)``."""
        if end.ship is None:
            return self._ending(end, f"by {self.by(end.at)} (END BY)")
        return self._ending(end, f"at joker, by {self.by(end.at)} (ship {end.ship})")

    def _ending(self, end: TrainingEnd, when: str) -> str:
        last = words.time_limit(end.at, "latest")
        over_s = 0.0 if end.planned is None else words.between_s(last, end.planned)
        if over_s <= 0.0:
            return f"ends {when}"
        fails = any(gate.rule in ENDS_TRAINING and gate.verdict == "FAIL" for gate in self.plan.gates)
        early = f"MUST END {when}, {words.duration(over_s)} before it does as planned"
        return f"{early}: FAIL" if fails else early

    def ship_fuel(self, number: int) -> ShipFuel | None:
        """The fuel of one ship, None when it can't be worked out."""
        ships = self.plan.fuel.ships if self.plan.fuel else ()
        return next((ship for ship in ships if ship.ship == number), None)

    def course(self, at: Point, true_deg: float) -> str:
        """``042 M (052 T)``; the true figure alone where the variation isn't known."""
        return magnetic_and_true(air.magnetic(self.mission, at, true_deg), true_deg)

    def dates(self) -> str:
        """``Sat 30 Jan 2027 on every clock``, or each clock's date at the reference; then what from stepping
        to the last landing lies on another date."""
        one = len({clock.day for clock in self.clocks}) == 1
        at_reference = (
            words.weekday(self.day)
            if one
            else ", ".join(
                f"{clock.events or clock.whose} {words.weekday(clock.day)}" for clock in self.clocks
            )
        )
        elsewhere = [said for said in map(self._on_another_date, self.clocks) if said]
        return (
            f"{at_reference} on every clock"
            if one and self.locals and not elsewhere
            else "; ".join((at_reference, *elsewhere))
        )

    def _on_another_date(self, clock: Clock) -> str:
        """``last landing 29 Jul CEST (+02:00)``; empty for a clock that shows one date all along."""
        sortie = self.plan.clock
        step = next((event.at for event in sortie.events if event.id == "step"), None)
        moments = {"step": step, "take-off": sortie.takeoff, "last landing": sortie.last_landing}
        days = {
            name: words.rounded_instant(at).astimezone(clock.zone).date()
            for name, at in moments.items()
            if at is not None
        }
        other = [day for day in dict.fromkeys(days.values()) if day != clock.day]
        said = [
            f"{words.listed(name for name in days if days[name] == day)} {words.day(day, year=False)}"
            for day in other
        ]
        return f"{', '.join(said)} {clock.said}" if said else ""

    def _named(self, clock: Clock, at: datetime) -> str:
        # across the date line two clocks may show one time on two days
        same_day = len({other.day for other in self.locals}) == 1
        text = words.clock_local(at, clock.zone, day=clock.day if same_day else words.EACH_DATED)
        return text if clock.whose == "local" else f"{text} {clock.events or clock.whose}"


def words_of(plan: Plan, reasons: Mapping[str, str] | None = None) -> Words:
    """For slides, pages and reports: the dates at T, without an event at take-off. ``reasons``: gate id → why
    it was accepted, once the plan is approved."""
    return Words(plan, plan.clock.true_time or plan.clock.takeoff, reasons or {})


def card_words(plan: Plan, reasons: Mapping[str, str] | None = None) -> Words:
    """For cards: the dates at take-off."""
    return Words(plan, plan.clock.takeoff, reasons or {})


def _other_days(instants: Iterable[datetime], zone: tzinfo, name: str, usual: date) -> str:
    """``Z of 4 May, from 00:00:00 on of 5 May``; empty where all is on the usual date."""
    found = sorted({words.rounded_instant(at).astimezone(zone).date() for at in instants})
    named = ", from 00:00:00 on of ".join(words.day(day, year=False) for day in found)
    return "" if set(found) <= {usual} else f"{name} of {named}"


def _last(at: datetime | None) -> datetime | None:
    return None if at is None else words.time_limit(at, "latest")


def _locals(mission: Mission, at: datetime, moments: tuple[datetime, ...]) -> tuple[Clock, ...]:
    base, own = mission.base_zone, mission.events

    def shown(zone: tzinfo) -> tuple[str, ...]:
        return tuple(words.zone_words(moment, zone) for moment in moments)

    zones = {shown(event.zone): event.zone for event in own}
    if all(other == shown(base) for other in zones):
        return () if words.keeps_utc(at, base) else (_clock("local", base, at),)
    ids = {key: words.listed(event.id for event in own if shown(event.zone) == key) for key in zones}
    theirs = tuple(
        replace(_clock("event", zone, at), events=ids[key] if len(zones) > 1 else "")
        for key, zone in zones.items()
        if key != shown(base)
    )
    here = ids.get(shown(base))
    return (replace(_clock("base", base, at), events=f"base and {here}" if here else ""), *theirs)


def _clock(whose: Whose, zone: tzinfo, at: datetime) -> Clock:
    return Clock(
        whose,
        zone,
        "Zulu" if whose == "Zulu" else words.zone_words(at, zone),
        words.rounded_instant(at).astimezone(zone).date(),
    )


def magnetic_and_true(magnetic_deg: float | None, true_deg: float) -> str:
    """``042 M (052 T)``, ``052 T``."""
    true = words.heading(true_deg, "T")
    return true if magnetic_deg is None else f"{words.heading(magnetic_deg, 'M')} ({true})"


def magnetic_or_true(magnetic_deg: float | None, true_deg: float) -> str:
    """``042 M``, or ``052 T`` where the variation isn't known."""
    return words.heading(true_deg, "T") if magnetic_deg is None else words.heading(magnetic_deg, "M")


def course_words(mission: Mission, at: Point, true_deg: float) -> str:
    """The same of a true direction at a place."""
    return magnetic_or_true(air.magnetic(mission, at, true_deg), true_deg)


def on_the_way(start: datetime, end: datetime, zone: tzinfo) -> str:
    """What a clock on the wall is called: ``CET (+01:00)``; where it changes before the end ``CET (+01:00),
    from 01:00 Z on CEST (+02:00)``."""
    later = [
        f"from {words.clock_z(c.instant, seconds=False)} on {words.zone_words(c.instant, zone)}"
        for c in clock_changes(start, end, zone)
    ]
    return ", ".join((words.zone_words(start, zone), *later))


def beginning(text: str) -> str:
    """The text as it stands at the beginning of a line: ``End of egress to HOLD``."""
    return text[:1].upper() + text[1:]


def leg_course(leg: Leg) -> str:
    """A leg's course, magnetic with true behind it."""
    return magnetic_and_true(leg.course_magnetic_deg, leg.course_true_deg)


def leg_heading(leg: Leg) -> str:
    """A leg's heading, magnetic with true behind it."""
    return magnetic_and_true(leg.heading_magnetic_deg, leg.heading_true_deg)


def short_course(leg: Leg) -> str:
    """A leg's course, magnetic where known."""
    return magnetic_or_true(leg.course_magnetic_deg, leg.course_true_deg)


def text_or(text: str | None, otherwise: str = NOT_GIVEN) -> str:
    """The text, or the words for what the mission doesn't give."""
    return text if text else otherwise


def place_of(mission: Mission, id: str) -> str:
    """A place's name with its id, once where both are the same."""
    place = mission.places.get(id)
    return id if place is None or place.name == id else f"{place.name} ({id})"
