"""MissionFile to Mission: ids to places and aircraft, clocks to zones, every typed clock time to an instant
in UTC."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from datetime import date
from functools import cached_property
from typing import TypeVar
from zoneinfo import ZoneInfo

from briefgen.airmath.times import ClockContext
from briefgen.core.diagnostics import Diagnostic, KeyPath, Span, has_errors
from briefgen.core.records import record
from briefgen.mission.check.checker import Checker, values_in
from briefgen.mission.check.mirrored import CODE as MIRRORED
from briefgen.mission.check.rules import check_file
from briefgen.mission.read.flow import KINDS, Kind, place_in
from briefgen.mission.read.tree import Source, Spans
from briefgen.mission.resolve.clocks import resolve_times
from briefgen.mission.resolve.dates import date_problems
from briefgen.mission.resolve.offsets import offset_problems
from briefgen.mission.resolve.other_clocks import OF_T, clock_problems
from briefgen.mission.resolve.places import ResolvedPlace, Zones, resolve_places, resolve_zones
from briefgen.mission.resolve.script_times import script_problems
from briefgen.mission.resolve.sections import (
    UNNAMED_BLOCK,
    UNNAMED_EVENT,
    BlockSection,
    EventSection,
    EventTimes,
    PassSection,
    Section,
    WaySection,
)
from briefgen.mission.resolve.times import Times, TypedTime
from briefgen.mission.resolve.weather import PlaceReports, WeatherAt, all_along, reports_of
from briefgen.mission.schema.event import Event
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.sortie import Aircraft, Ship
from briefgen.mission.schema.training import Training
from briefgen.mission.schema.unread import NotRead, given
from briefgen.units.values import Fuel

__all__ = ["Mission", "ResolvedPlace", "Times", "TypedTime", "resolve"]

TRAINING = "training"
Of = TypeVar("Of")


def _only(places: Mapping[KeyPath, Of], section: str) -> dict[KeyPath, Of]:
    return {path: place for path, place in places.items() if path[:1] == (section,)}


def _but(places: Mapping[KeyPath, Of], section: str) -> dict[KeyPath, Of]:
    return {path: place for path, place in places.items() if path[:1] != (section,)}


@record
class Mission:
    """A mission that has been read without an error.

    ``file`` is what was written; ``times`` holds every clock time as an instant; ``typed_times`` lists each
    of them as it was typed.  ``event_zone`` is None without an event.

    Of a flow these are of its first pass, and of its first block. ``views`` then are the missions with one
    pass that it was read as, and ``order`` its pieces, each with the view that holds it; ``where`` says of a
    view what of it stands elsewhere in the file, ``number`` which pass over its event it has, ``place`` which
    of ``among`` passes of the sortie it is, ``follows`` whether its T is so long after that of the pass
    before it, and ``earliest`` whether it is the first that it can make.
    ``states``: the weather of places as one state of their reports has it."""

    file: MissionFile
    source: Source
    places: Mapping[str, ResolvedPlace]
    zones: Zones
    times: Times
    typed_times: tuple[TypedTime, ...]
    where: Mapping[KeyPath, KeyPath] = field(default_factory=dict)
    number: int = 1
    follows: bool = False
    earliest: bool = False
    place: int = 1
    among: int = 1
    views: tuple[Mission, ...] = ()
    order: tuple[tuple[Kind, int], ...] = ()
    states: Mapping[str, WeatherAt] = field(default_factory=dict)

    @property
    def spans(self) -> Spans:
        """Where each key and value stands."""
        return self.source.spans

    @property
    def clocks(self) -> ClockContext:
        """By whose clocks a typed time is read."""
        return self.zones.read_on(self.date)

    @property
    def date(self) -> date:
        """The calendar date at the event, without an event at the base."""
        return self.file.sortie.date

    @property
    def base(self) -> ResolvedPlace:
        """Where the flight takes off and lands."""
        return self.places[self.file.ground_ops.base]

    @property
    def base_zone(self) -> ZoneInfo:
        """The clock at the base."""
        return self.zones.base

    @property
    def event_zone(self) -> ZoneInfo | None:
        """The clock at the event, None without an event."""
        return self.zones.event

    @cached_property
    def events(self) -> tuple[EventSection, ...]:
        """The events that are flown over, in flying order."""
        return tuple({section.event.id: section.event for section in self.passes}.values())

    @cached_property
    def passes(self) -> tuple[PassSection, ...]:
        """The passes over them, in flying order."""
        return tuple(section for section in self.flow if isinstance(section, PassSection))

    @property
    def first_piece(self) -> BlockSection | PassSection | None:
        """The first that is no way; None where there is none."""
        return next((s for s in self.flow if isinstance(s, BlockSection | PassSection)), None)

    @cached_property
    def blocks(self) -> tuple[BlockSection, ...]:
        """The blocks of training, in flying order."""
        return tuple(section for section in self.flow if isinstance(section, BlockSection))

    @property
    def the_event(self) -> Event:
        """What is written of the event of a pass: for what is handed the mission as that pass sees it."""
        assert self.file.event is not None, "nothing without a pass asks for its event"
        return self.file.event

    @property
    def the_training(self) -> Training:
        """What is written of a block: for what is handed the mission as that block sees it."""
        assert self.file.training is not None, "nothing without a block asks for its training"
        return self.file.training

    @cached_property
    def at_sea(self) -> tuple[str, ...]:
        """Base and events that lie at sea and borrow the other's clock, each by its place's id."""
        views = self.views or (self,)
        return tuple(dict.fromkeys(id for view in views for id in view.zones.borrowed))

    @cached_property
    def every_typed_time(self) -> tuple[TypedTime, ...]:
        """Every clock time of the file as it was typed, in the order of the file; of a pass that follows
        another so long after it that length and its T."""
        found: list[TypedTime] = []
        settled = True
        for view in self.views or (self,):
            settled = not view.earliest and (settled or not view.follows)
            own = [replace(time, path=place_in(view.where, time.path)) for time in view.typed_times]
            if view.follows and view.times.true_time is not None:
                again = place_in(view.where, ("event", "pass"))
                after = (*again, "after")
                own = [time for time in own if time.path != (*again, "time")]
                typed = TypedTime(after, str(self.source.at(after)), view.times.true_time, zulu=False)
                own.append(replace(typed, settled=settled))
            seen = {time.path for time in found}
            found += [time for time in own if time.path not in seen]
        return tuple(sorted(found, key=lambda time: self._where(time.path)))

    def _where(self, path: KeyPath) -> tuple[bool, str, int, int]:
        """The line and column of a value, those of other files after the mission's."""
        span = self.source.spans.value(path)
        if span is None:
            return (False, "", 0, 0)
        return (span.file != self.source.name, span.file, span.line, span.column)

    def pass_at(self, cause: KeyPath) -> PassSection:
        """The pass that is written at a key path."""
        return next(section for section in self.passes if section.cause == cause)

    def leader_of(self, section: PassSection) -> PassSection:
        """The pass whose T a pass follows, itself where it follows none."""
        before = [other for other in self.passes if other.place <= section.place and not other.follows]
        return before[-1] if before and section.follows else section

    def seen_from(self, cause: KeyPath) -> Mission:
        """The same mission with the pass alone that is written at a key path, and its event's clock; itself
        where it has no other."""
        if not self.views:
            return self
        number = next(n for n, section in enumerate(self.passes) if section.cause == cause)
        return replace(self.views[self.pass_views[number]], source=self.source)

    def seen_from_block(self, id: str) -> Mission:
        """The same mission with one block of training alone, its training and reservation; itself where it
        has no other. What is flown stays the whole."""
        if len(self.blocks) < 2:
            return self
        views = (self.views[i] for kind, i in self.order if kind == "training")
        return self.with_training_of(
            next(view for block, view in zip(self.blocks, views, strict=True) if block.id == id)
        )

    def with_training_of(self, other: Mission) -> Mission:
        """The same mission with another's training, its reservation and its places in the file."""
        if other is self:
            return self
        keys, values = (
            {**_but(own, TRAINING), **_only(of_other, TRAINING)}
            for own, of_other in (
                (self.spans.keys, other.spans.keys),
                (self.spans.values, other.spans.values),
            )
        )
        return replace(
            self,
            file=self.file.model_copy(update={TRAINING: other.file.training}),
            source=replace(self.source, spans=Spans(keys, values)),
            times=replace(self.times, reserved=other.times.reserved),
            where={**_but(self.where, TRAINING), **_only(other.where, TRAINING)},
        )

    @property
    def pass_views(self) -> tuple[int, ...]:
        """Of a flow the number of each pass's view, in flying order."""
        return tuple(i for kind, i in self.order if kind == "event")

    @cached_property
    def flow(self) -> tuple[Section, ...]:
        """What is flown, in flying order: the departure first, the recovery last."""
        order = self.order or tuple((kind, 0) for kind in KINDS)
        views = self.views or (self,)
        sections = [section for kind, i in order for section in views[i].section(kind)]
        passes = [section for section in sections if isinstance(section, PassSection)]
        firsts = {section.event.id: section.event for section in reversed(passes)}
        return tuple(
            replace(section, event=firsts[section.event.id]) if isinstance(section, PassSection) else section
            for section in sections
        )

    def section(self, kind: Kind) -> tuple[Section, ...]:
        """The section of a kind that this mission with one pass has, none or one."""
        file, times = self.file, self.times
        match kind:
            case "departure":
                return (WaySection(kind, file.departure, self._place("departure")),)
            case "transit":
                return (WaySection(kind, file.transit, self._place("transit")),)
            case "recovery":
                legs = file.recovery.legs if file.recovery is not None else ()
                return (WaySection(kind, legs, (*self._place("recovery"), "legs")),)
            case "training" if file.training is not None:
                id = file.training.id or UNNAMED_BLOCK
                return (BlockSection(id, file.training, times.reserved, self._place("training")),)
            case "event" if file.event is not None and times.true_time is not None and self.zones.event:
                own = EventTimes(
                    times.cues, times.permission, times.in_place, times.radio_check, times.other_traffic,
                )  # fmt: skip
                id, place = file.event.id or UNNAMED_EVENT, self._place("event")
                event = EventSection(id, file.event, own, self.zones.event, place)
                return (
                    PassSection(
                        event,
                        file.event.pass_,
                        times.true_time,
                        self._place("event", "pass"),
                        times.parties,
                        self.number,
                        self.follows,
                        self.where,
                        self.place,
                        self.among,
                        self.earliest,
                    ),
                )
        return ()

    def _place(self, *path: str) -> KeyPath:
        return place_in(self.where, path)

    @property
    def home_zone(self) -> ZoneInfo:
        """The zone whose calendar the sortie's date is of: the event's, without an event the base's."""
        return self.zones.event or self.zones.base

    def aircraft_of(self, ship: Ship | int) -> Aircraft:
        """The type that a ship (or the ship of that number) flies."""
        if isinstance(ship, int):
            ship = self.ship(ship)
        return self.file.aircraft[ship.aircraft]

    def ship(self, number: int) -> Ship:
        """The ship of that number."""
        return next(ship for ship in self.file.flight if ship.ship == number)

    @property
    def crew(self) -> list[tuple[int, str]]:
        """(ship, name) of everyone who flies."""
        return [(ship.ship, name) for ship in self.file.flight for name in ship.crew]

    @property
    def alone(self) -> bool:
        """One ship flies: nothing is said of a formation."""
        return len(self.file.flight) == 1

    def types_in_flight(self) -> tuple[Aircraft, ...]:
        """Each type that some ship flies, once, in the order of the ships."""
        return tuple(
            self.file.aircraft[key] for key in dict.fromkeys(ship.aircraft for ship in self.file.flight)
        )

    @cached_property
    def fuel_density_kg_l(self) -> float | None:
        """The density that the types in the flight share; None when none is given or they differ."""
        densities = {aircraft.fuel_density for aircraft in self.types_in_flight()}
        return densities.pop() if len(densities) == 1 else None

    @cached_property
    def qnh_hpa(self) -> Mapping[str, float]:
        """QNH of every place that the weather gives one for."""
        given = {id: self.weather_at(id) for id in self.weather_places if id in self.places}
        return {id: here.qnh.hpa for id, here in given.items() if here is not None and here.qnh is not None}

    @property
    def weather_places(self) -> tuple[str, ...]:
        """The places with weather, AREA among them, in the order of the file."""
        return () if self.file.weather is None else tuple(self.file.weather.at)

    @cached_property
    def reports(self) -> Mapping[str, PlaceReports]:
        """The pasted reports of every place that has some, with their dates."""
        return {} if self.file.weather is None else reports_of(self.file.weather.at, self.places, self.date)

    def weather_at(self, place: str) -> WeatherAt | None:
        """What is known of the weather at a place (or AREA): of its reports in the state that this mission is
        seen in, outside of one what counts at any time. None where the file has nothing of it."""
        typed = self.file.weather.at.get(place) if self.file.weather is not None else None
        if typed is None or place in self.states:
            return self.states.get(place)
        return all_along(typed, self.reports.get(place) if typed.reports else None)

    def fuel_lb(self, fuel: Fuel | None, aircraft: Aircraft | None = None) -> float | None:
        """Pounds of a typed amount, None for None. A volume takes the density of ``aircraft``, else the
        flight's."""
        if fuel is None:
            return None
        return fuel.lb(aircraft.fuel_density if aircraft is not None else self.fuel_density_kg_l)

    def span(self, cause: KeyPath) -> Span | None:
        """The place in the file of the value at a key path, or of the nearest thing around it."""
        return self.spans.value(cause)


def resolve(
    file: MissionFile, source: Source, known: list[Diagnostic], events: Mapping[str, ZoneInfo]
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission, or None with the errors; every error of this stage in one run.

    ``known``: what earlier stages found.  Beside their errors ``file`` is what could be read of it, and so
    are the checks. ``events``: of a flow the clock of every event by its id.
    """
    check = Checker(source.spans, tuple(values_in(file)))
    problems = [*known, *check_file(check, file)]
    zones, found = clocks_of(file, source.spans, events)
    # the clock of a wrong spot only follows from it
    moved = {problem.cause[:2] for problem in problems if problem.code == MIRRORED}
    problems += [
        problem for problem in found if problem.severity == "error" or problem.cause[:2] not in moved
    ]
    if zones is None:
        return None, problems
    context = zones.read_on(file.sortie.date)
    times, typed, found = resolve_times(file, source, context)
    script = script_problems(check, file, times, context)
    problems += [*found, *script]
    if not moved:  # in another place it is another day, and another clock
        told = {problem.cause for problem in found}
        clocks = [] if script else clock_problems(check, file, times, context, told)
        problems += clocks
        problems += offset_problems(check, typed, context)
        doubted = has_errors(script) or any(problem.cause[:2] in OF_T for problem in clocks)
        problems += [] if doubted else date_problems(check, file, times, context, source)
    if has_errors(problems):
        return None, problems
    return Mission(file, source, resolve_places(file, zones), zones, times, tuple(typed)), problems


def clocks_of(
    file: MissionFile, spans: Spans, events: Mapping[str, ZoneInfo]
) -> tuple[Zones | None, list[Diagnostic]]:
    """The zones of base and event, None where they hang on what could not be read; with those of the other
    ``events`` of a flow."""
    try:
        zones, found = resolve_zones(file, spans)
    except NotRead:
        return None, []
    id = given(file, "event", "id")
    if zones is None or zones.event is None or id is None:
        return zones and replace(zones, events=events), found
    return replace(zones, events={**events, id: zones.event}), found
