"""Named changes of a mission: a mission in, another mission out. What is asked of it is always the same
plan(). Of a flow each view is changed alike."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from functools import wraps
from itertools import takewhile
from typing import Concatenate, ParamSpec, TypeVar

from briefgen.airmath.geodesy import direct, inverse
from briefgen.core.diagnostics import KeyPath
from briefgen.mission.read.flow import Kind, place_in
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import UNNAMED_BLOCK, BlockSection, PassSection
from briefgen.mission.resolve.times import PartyTimes, counted
from briefgen.mission.schema.base import Part
from briefgen.mission.schema.event import OtherTraffic, Party, Pass, RunIn
from briefgen.mission.schema.sortie import Aircraft, Ship
from briefgen.mission.schema.training import Training, WarmUp
from briefgen.units.values import Speed

Given = ParamSpec("Given")
Change = Callable[Concatenate[Mission, Given], Mission]


def of_each_view(change: Change[Given]) -> Change[Given]:
    """A change of a mission with one pass, made of a flow in each of its views."""

    @wraps(change)
    def whole(mission: Mission, /, *given: Given.args, **named: Given.kwargs) -> Mission:
        views = tuple(change(view, *given, **named) for view in mission.views)
        return replace(change(mission, *given, **named), views=views)

    return whole


def without_event(mission: Mission, *, takeoff: datetime, setups: int | None = None) -> Mission:
    """No flypast: no event and no transit to it; home direct from where the training is left, from a fixed
    take-off.

    ``setups`` None: as many as time and fuel allow.
    """
    changed = with_setups(home_direct(mission), setups)
    file = changed.file.model_copy(update={"event": None, "transit": ()})
    times = replace(mission.times, true_time=None, cues={}, takeoff=takeoff, parties=(), other_traffic=())
    return replace(changed, file=file, times=times, views=(), order=())


def without_one_event(mission: Mission, id: str) -> Mission:
    """Of a flow with several events one is not flown: no pass over it and no way to any; the next way starts
    from where the flight then is. Take-off and set-ups stay as they are."""
    kept: list[tuple[Kind, int]] = []
    for kind, i in mission.order:
        event = mission.views[i].section(kind) if kind == "event" else ()
        if any(isinstance(section, PassSection) and section.event.id == id for section in event):
            while kept and kept[-1][0] == "transit":
                kept.pop()
        else:
            kept.append((kind, i))
    left = [i for kind, i in kept if kind == "event"]
    views = list(mission.views)
    for place, i in enumerate(left, 1):
        views[i] = replace(views[i], place=place, among=len(left))
    first = replace(views[left[0]], times=replace(views[left[0]].times, takeoff=mission.times.takeoff))
    return replace(first, source=mission.source, views=tuple(views), order=tuple(kept))


@of_each_view
def home_direct(mission: Mission) -> Mission:
    """Home direct at the last recovery leg's level and speed: the legs of the file begin where the event
    ends, and from anywhere else they would be flown out to it and back. Without recovery legs the mission
    stays as it is."""
    recovery = mission.file.recovery
    if recovery is None or not recovery.legs:
        return mission
    direct = recovery.legs[-1].model_copy(update={"to": mission.file.ground_ops.base})
    return replace(
        mission,
        file=mission.file.model_copy(update={"recovery": recovery.model_copy(update={"legs": (direct,)})}),
    )


@of_each_view
def with_takeoff(mission: Mission, takeoff: datetime | None) -> Mission:
    """Another take-off; None: worked back from the time over target."""
    return replace(mission, times=replace(mission.times, takeoff=takeoff))


def with_setups(mission: Mission, setups: int | None, *, of: str | None = None) -> Mission:
    """Another number of set-ups of a block, by its id (left out: of the first); None: as many as time and
    fuel allow. A mission without training stays as it is."""

    def changed(training: Training) -> Training:
        return training.model_copy(update={"setups": training.setups.model_copy(update={"planned": setups})})

    return _in_block(mission, of, changed)


def with_each_setups(mission: Mission, setups: Mapping[str, int | None]) -> Mission:
    """So many set-ups of each block, by its id; None as above."""
    for id, count in setups.items():
        mission = with_setups(mission, count, of=id)
    return mission


def longer_in_area(mission: Mission, seconds: float) -> Mission:
    """So many seconds more in the first training area, before the first set-up: given fuel in proportion. A
    mission without training stays as it is."""
    return _in_block(mission, None, lambda training: _longer(training, seconds))


def _in_block(mission: Mission, of: str | None, change: Callable[[Training], Training]) -> Mission:
    """Another block of training, wherever a view has it; None: the first."""
    ids = [block.id for block in mission.blocks] if of is None else [of]

    def changed(view: Mission) -> Mission:
        training = view.file.training
        if training is None or (training.id or UNNAMED_BLOCK) not in ids[:1]:
            return view
        return replace(view, file=view.file.model_copy(update={"training": change(training)}))

    return replace(changed(mission), views=tuple(map(changed, mission.views)))


def _longer(training: Training, seconds: float) -> Training:
    given = training.warm_up
    if given is None or not given.time:
        longer = WarmUp.model_construct(time=seconds, fuel=None)  # its reader takes texts
    else:
        by = (given.time + seconds) / given.time
        fuel = None if given.fuel is None else replace(given.fuel, value=given.fuel.value * by)
        longer = given.model_copy(update={"time": given.time + seconds, "fuel": fuel})
    return training.model_copy(update={"warm_up": longer})


@of_each_view
def without_training(mission: Mission) -> Mission:
    """No training: from the end of the departure straight to the transit. With an event the take-off is
    worked back from it."""
    changed = replace(mission, file=mission.file.model_copy(update={"training": None}))
    return with_takeoff(changed, None) if mission.file.event is not None else changed


@of_each_view
def nearer_pass(mission: Mission, pass_: Pass, by_nm: float) -> Mission:
    """The IP of the pass, and the hold fix with it, so much nearer to the spot flown over, along the run-in's
    course; as it is where the IP is that spot."""
    start, over = mission.places[pass_.run_in.from_].position, mission.places[pass_.over].position
    course = inverse(start, over).course_start_deg
    if course is None:
        return mission
    ids = [pass_.run_in.from_, *([pass_.hold.at] if pass_.hold is not None else [])]
    moved = {id: direct(mission.places[id].position, course, by_nm).position for id in ids}
    places = {id: replace(mission.places[id], position=spot) for id, spot in moved.items()}
    return replace(mission, places={**mission.places, **places})


_Flown = TypeVar("_Flown", bound=Part)


@of_each_view
def slower_over_ground(mission: Mission, ground_speeds: Mapping[KeyPath, float], by_kt: float) -> Mission:
    """Every leg whose ground speed is given (by its place in the file) flown ``by_kt`` slower over the
    ground, and the first climb too.

    The run-in keeps its speed: it is flown by ground speed and timed back from T, whatever the wind.
    """

    def slowed(entry: _Flown, where: KeyPath) -> _Flown:
        kt = ground_speeds.get(place_in(mission.where, where))
        return entry if kt is None else entry.model_copy(update={"speed": Speed(kt - by_kt, "KGS")})

    file = mission.file
    update: dict[str, object] = {
        part: tuple(slowed(leg, (part, i)) for i, leg in enumerate(getattr(file, part)))
        for part in ("departure", "transit")
    }
    if file.recovery is not None:
        legs = tuple(slowed(leg, ("recovery", "legs", i)) for i, leg in enumerate(file.recovery.legs))
        update["recovery"] = file.recovery.model_copy(update={"legs": legs})
    if file.event is not None and file.event.pass_.egress is not None:
        pass_ = file.event.pass_.model_copy(
            update={"egress": slowed(file.event.pass_.egress, ("event", "pass", "egress"))}
        )
        update["event"] = file.event.model_copy(update={"pass_": pass_})
    update["aircraft"] = {key: _slower_climb(aircraft, by_kt) for key, aircraft in file.aircraft.items()}
    return replace(mission, file=file.model_copy(update=update))


def _slower_climb(aircraft: Aircraft, by_kt: float) -> Aircraft:
    climb = aircraft.climb
    if climb is None:
        return aircraft
    less = climb.model_copy(update={"distance": max(climb.distance - by_kt * climb.time / 3600.0, 0.0)})
    return aircraft.model_copy(update={"climb": less})


# ---------------------------------------------------------------- fewer ships


@of_each_view
def without_ship(mission: Mission, number: int) -> Mission:
    """The flight without one ship, led and placed as ``contingencies.fall_outs`` says.

    Nobody named to lead after a leader: the first of the others that can lead, else the first of the others.
    No formation named: as before, and ships placed by offsets keep theirs, from the new leader.
    """
    file = mission.file
    answer = file.contingencies.fall_outs.get(number)
    left = tuple(ship for ship in file.flight if ship.ship != number)
    lead = (
        file.flight[0].ship
        if file.flight[0].ship != number
        else _next_leader(left, answer.leads if answer is not None else None)
    )
    flight = tuple(sorted(left, key=lambda ship: ship.ship != lead))
    fall_outs = {
        key: out.model_copy(update={"leads": None}) if out.leads == number else out
        for key, out in file.contingencies.fall_outs.items()
        if key != number
    }
    update: dict[str, object] = {
        "flight": flight,
        "contingencies": file.contingencies.model_copy(update={"fall_outs": fall_outs}),
    }
    if file.training is not None:
        kept = {ship: channel for ship, channel in file.training.yardstick.items() if ship != number}
        update["training"] = file.training.model_copy(update={"yardstick": kept})
    if file.event is not None:
        run_in = _without_place(
            file.event.pass_.run_in, number, lead, answer.formation if answer is not None else None
        )
        update["event"] = file.event.model_copy(
            update={"pass_": file.event.pass_.model_copy(update={"run_in": run_in})}
        )
    return replace(mission, file=file.model_copy(update=update))


def _next_leader(left: tuple[Ship, ...], named: int | None) -> int:
    if named is not None and any(ship.ship == named for ship in left):
        return named
    return next((ship.ship for ship in left if ship.may_lead), left[0].ship)


def _without_place(run_in: RunIn, number: int, lead: int, formation: str | None) -> RunIn:
    if formation is not None:
        return run_in.model_copy(update={"formation": formation, "offsets": ()})
    own = {offset.ship: offset for offset in run_in.offsets}
    at = own.get(lead)
    moved = tuple(
        offset
        if at is None
        else offset.model_copy(
            update={key: getattr(offset, key) - getattr(at, key) for key in ("right", "back", "down")}
        )
        for offset in run_in.offsets
        if offset.ship not in (number, lead)
    )
    return run_in.model_copy(update={"offsets": moved})


# ---------------------------------------------------------------- another time over target


def at_true_time(
    mission: Mission,
    true_time: datetime,
    *,
    takeoff: datetime,
    setups: Mapping[str, int],
    heard: Mapping[str, datetime] | None = None,
    of: KeyPath | None = None,
) -> Mission:
    """Another time over target, everything before the hold as it was: the take-off and the ``setups`` of each
    block before it, by its id, are fixed. ``of``: where the pass is written, of several (left out: the
    first); those whose T follows it move with it.

    The cues move with T, except those ``heard``, which stand where they were heard. The slip that is accepted
    stays where it was on the clock, so what is used up of it is gone. What other parties do at T-5 min and
    the like moves with T; the T that they hold doesn't, so they no longer hold this one. A mission without an
    event stays as it is.
    """
    if not mission.passes:
        return mission
    places = [section.cause for section in mission.passes]
    moved = places.index(of) if of is not None else 0
    before = takewhile(lambda section: section.cause != places[moved], mission.flow)
    ids = [section.id for section in before if isinstance(section, BlockSection)]
    fixed = with_takeoff(with_each_setups(mission, {id: setups[id] for id in ids if id in setups}), takeoff)
    shift = true_time - mission.passes[moved].true_time
    told = mission.leader_of(mission.passes[moved]).true_time + shift
    if not mission.views:
        return _moved_by(fixed, shift, told, heard or {})
    views, first = list(fixed.views), fixed
    for number, section in enumerate(mission.passes[moved:], moved):
        if number > moved and not section.follows:
            break
        own = mission.pass_views[number]
        views[own] = _moved_by(views[own], shift, told, heard or {})
        first = _moved_by(first, shift, told, heard or {}) if number == 0 else first
    return replace(first, views=tuple(views))


def with_true_times(mission: Mission, times: Mapping[KeyPath, datetime]) -> Mission:
    """Of a flow each pass at its own true time, by where it is written; nothing else moves."""
    views = list(mission.views)
    for own, section in zip(mission.pass_views, mission.passes, strict=True):
        views[own] = replace(views[own], times=replace(views[own].times, true_time=times[section.cause]))
    return replace(mission, views=tuple(views))


def _moved_by(mission: Mission, shift: timedelta, told: datetime, heard: Mapping[str, datetime]) -> Mission:
    """One pass, and with it its event, so much later. ``told``: the new T that others are told, from which
    they count."""
    planned, event = mission.times.true_time, mission.file.event
    if planned is None or event is None:
        return mission
    cues = {id: at + shift for id, at in mission.times.cues.items()} | {
        id: at for id, at in heard.items() if id in mission.times.cues
    }
    accepted = event.accept_slip
    if accepted is not None:
        s = shift.total_seconds()
        left = accepted.model_copy(
            update={"early": max(accepted.early + s, 0.0), "late": max(accepted.late - s, 0.0)}
        )
        event = event.model_copy(update={"accept_slip": left})
    hold = event.pass_.hold
    if hold is not None:  # from now on the wait is what it is: nobody keeps fuel for the one that was meant
        given = event.pass_.model_copy(update={"hold": hold.model_copy(update={"planned": None})})
        event = event.model_copy(update={"pass_": given})
    times = replace(
        mission.times,
        true_time=planned + shift,
        cues=cues,
        parties=_counted(event.parties, mission.times.parties, told),
        other_traffic=_counted(event.other_traffic, mission.times.other_traffic, told),
    )
    return replace(mission, file=mission.file.model_copy(update={"event": event}), times=times)


def _counted(
    entries: Iterable[Party | OtherTraffic], times: tuple[PartyTimes, ...], told: datetime
) -> tuple[PartyTimes, ...]:
    return tuple(counted(entry, at, told) for entry, at in zip(entries, times, strict=True))
