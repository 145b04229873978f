"""A flow to one mission: each pass is read and timed as a mission of its own, and together they are one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.read.flow import Flow, View
from briefgen.mission.read.tree import Source, Spans, TextTree
from briefgen.mission.resolve.clock_offers import by_clock
from briefgen.mission.resolve.mission import Mission, clocks_of
from briefgen.mission.resolve.sections import PassSection
from briefgen.mission.resolve.times import counted, counted_from, hours_minutes
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.partly import read_partly
from briefgen.mission.schema.unread import as_far_as_read, given
from briefgen.units.grammar import Refusal, listed
from briefgen.units.parse_time import parse_duration_s

# our own bound: between two passes of one sortie there is never more
LONGEST = timedelta(hours=12)
DAY = timedelta(days=1)
UNTIL_SETTLED_S = 600.0
EARLIEST = "earliest"  # a pass without a hold whose T is the first second that it can make

Read = Callable[[Source], tuple[Mission | None, list[Diagnostic]]]
ReadBeside = Callable[
    [Source, Sequence[Diagnostic], Mapping[str, ZoneInfo]], tuple[Mission | None, list[Diagnostic]]
]
SETTLE_A_CLOCK = ("sortie", "places", "ground_ops")  # sections, beside what an event is over


def mission_of_flow(
    flow: Flow, source: Source, read_beside: ReadBeside
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a flow, or None with every error. ``read_beside``: a mission of the usual form, beside
    what is known of it and the clocks of all events."""
    clocks = dict(_clocks_of_events(flow))

    def read(view: Source) -> tuple[Mission | None, list[Diagnostic]]:
        return read_beside(view, (), clocks)

    missions: list[Mission] = []
    told: list[list[Diagnostic]] = []
    among = sum(kind == "event" for kind, _ in flow.order)
    for view in flow.views:
        mission, more = _read(view, missions, read)
        told.append([replace(problem, cause=view.place(problem.cause)) for problem in more])
        if mission is not None:
            mission = replace(
                mission,
                where=view.where,
                number=view.number,
                follows=view.after is not None,
                earliest=view.after == EARLIEST,
                place=len(missions) + 1,
                among=max(among, 1),
            )
            before = missions if view.like is None else missions[: view.like + 1]
            missions.append(_counted_by_parties(mission, before))
    found = list(_of_all(flow.views, told))
    if len(missions) < len(flow.views):
        return None, found
    trained = next((missions[i] for kind, i in flow.order if kind == "training"), missions[0])
    first = missions[0].with_training_of(trained)
    spans = Spans({**first.spans.keys, **source.spans.keys}, {**first.spans.values, **source.spans.values})
    views = tuple(missions) if len(missions) > 1 else ()  # one view is the mission itself
    return replace(first, source=replace(source, spans=spans), views=views, order=flow.order), found


def _clocks_of_events(flow: Flow) -> Iterator[tuple[str, ZoneInfo]]:
    """Of several events the id and the clock of each, as far as they can be read."""
    own = {view.source.at(("event", "id")): view.source for view in flow.views}
    for id, source in own.items() if len(own) > 1 else ():
        event: TextTree = {"pass": {"over": source.at(("event", "pass", "over"))}}
        tree = {key: source.tree[key] for key in SETTLE_A_CLOCK if key in source.tree} | {"event": event}
        zones, _ = clocks_of(read_partly(MissionFile, replace(source, tree=tree)), source.spans, {})
        if isinstance(id, str) and zones is not None and zones.event is not None:
            yield id, zones.event


def _of_all(views: Sequence[View], told: Sequence[list[Diagnostic]]) -> Iterator[Diagnostic]:
    """What the views tell: of a place that several read once, and an offset from UTC only where it is no
    clock of any that reads it."""
    places = [{(problem.code, problem.cause) for problem in problems} for problems in told]
    for number, problems in enumerate(told):
        for problem in problems:
            own = (problem.code, problem.cause)
            if any(own in before for before in places[:number]):
                continue
            if problem.code != "clock-offset" or all(
                own in others for view, others in zip(views, places, strict=True) if view.reads(problem.cause)
            ):
                yield problem


def _read(view: View, before: Sequence[Mission], read: Read) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a view, whose T is so long after the pass before it as is written; one that is earlier
    than that pass is of the day after."""
    if view.like is not None:
        return _of_another_piece(view, before, read)
    mission, found = read(view.source)
    last = before[-1].times.true_time if before else None
    if mission is None or last is None:
        return mission, found
    if view.after is not None:
        return _so_long_after(view.after, mission, last, found)
    at = mission.times.true_time
    if at is not None and at < last < at + DAY:
        date = (mission.file.sortie.date + DAY).isoformat()
        return read(view.source.with_value(("sortie", "date"), date))
    return mission, found


def _of_another_piece(
    view: View, before: Sequence[Mission], read: Read
) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a view that is there for another piece than its pass: on the day and with the T that the
    pass has, where that could be read."""
    like = next((mission for n, mission in enumerate(before) if n == view.like), None)
    if like is None:
        return read(view.source)
    mission, found = read(view.source.with_value(("sortie", "date"), like.file.sortie.date.isoformat()))
    if mission is None:
        return None, found
    return replace(mission, times=replace(mission.times, true_time=like.times.true_time)), found


def _counted_by_parties(mission: Mission, before: Sequence[Mission]) -> Mission:
    """With the windows of other parties from the T that they hold of the pass, of one that follows from that
    of the pass ``before`` it with a T of its own."""
    own = (other for other in (mission, *reversed(before)) if not other.follows)
    leader = next(own, mission)
    t = leader.times.true_time
    if t is None:
        return mission
    entries = zip(given(mission.file, "event", "parties") or (), mission.times.parties, strict=True)
    parties = tuple(
        as_far_as_read(
            counted(party, at, counted_from(at.acknowledged, leader.number, t)) for party, at in entries
        )
    )
    return replace(mission, times=replace(mission.times, parties=parties))


def _so_long_after(
    after: str, mission: Mission, last: datetime, found: list[Diagnostic]
) -> tuple[Mission | None, list[Diagnostic]]:
    if after == EARLIEST and mission.file.event is not None and mission.file.event.pass_.hold is not None:
        message, why = "a pass with a hold has no earliest T", "its hold decides when it is flown"
        help, place = "write after: with a time, or leave the hold out", ("event", "pass", "after")
        return None, [*found, Diagnostic("earliest", "error", message, why=why, help=help, cause=place)]
    try:
        # until the legs lie: plan/timing/earliest.py
        seconds = UNTIL_SETTLED_S if after == EARLIEST else parse_duration_s(after)
    except Refusal as refusal:
        place, why, help = ("event", "pass", "after"), refusal.why, refusal.help
        wrong = Diagnostic("value", "error", refusal.message, why=why, help=help, cause=place)
        return None, [*found, wrong]
    times = replace(mission.times, true_time=last + timedelta(seconds=seconds))
    return replace(mission, times=times), found


def of_the_whole(mission: Mission) -> Iterator[Diagnostic]:
    """What only the whole sortie shows: whose clock a time is by, the order of its passes, and what follows
    each."""
    yield from _clocks_of_which_event(mission)
    yield from _more_held_than_flown(mission)
    for before, after in pairwise(mission.passes):
        yield from _after(before, after)
    for last in mission.passes[-1:]:
        yield from _nothing_follows(mission, last)


def _nothing_follows(mission: Mission, last: PassSection) -> Iterator[Diagnostic]:
    """Nobody goes on from the last pass to another one."""
    apart = last.written.no_ground_contact is None
    lost = (
        mission.file.contingencies.no_ground_contact if apart else last.written.no_ground_contact,
        ("contingencies", "no_ground_contact", "then") if apart else last.key("no_ground_contact", "then"),
    )
    own = f", or give {last.name} a `no_ground_contact` of its own" if apart and last.among > 1 else ""
    for then, key, help in (
        (last.written.then, last.key("then"), "write home"),
        (last.written.no_cue, last.key("no_cue"), "write go home"),
        (given(lost[0], "then"), lost[1], f"write go home{own}"),
    ):
        if then == "next pass":
            message, why = "no other pass follows this one", "it is the last that is written"
            if own and key == lost[1]:
                message = (
                    f"no other pass follows {last.name}, which goes on to the next one without its contact"
                )
            yield Diagnostic("then", "error", message, why=why, help=help, cause=key)


def _after(before: PassSection, after: PassSection) -> Iterator[Diagnostic]:
    apart = after.true_time - before.true_time
    if not timedelta(0) < apart <= LONGEST:
        message = f"{after.name} is flown after {before.name}, but its T lies {_hours(apart)}"
        why, help = "passes are written in flying order", "put the two in order, or type the date of T"
        key = "time"
        if after.follows:
            key, help = "after", f"write a time up to {LONGEST.total_seconds() / 3600:.0f} h, such as 10 min"
        yield Diagnostic("flow-order", "error", message, why=why, help=help, cause=after.key(key))
    if "then" not in before.written.model_fields_set:
        message = f"what follows {before.name} when it is stopped or lost is not said"
        why, help = f"{after.name} comes after it", "add then: next pass, or then: home"
        yield Diagnostic("then", "error", message, why=why, help=help, cause=before.cause)


def _more_held_than_flown(mission: Mission) -> Iterator[Diagnostic]:
    """Nobody holds the T of a pass that is not flown."""
    for event in mission.events:
        flown = sum(section.event.id == event.id for section in mission.passes)
        for i, party in enumerate(event.written.parties):
            if len(party.held) > flown:
                message = f"{party.who} holds {len(party.held)} times over target, and {flown} "
                message += "pass is flown" if flown == 1 else "passes are flown"
                why, help = "each is that of one pass, in turn", f"give {flown}, the first pass's first"
                cause = event.key("parties", i, "acknowledged")
                yield Diagnostic("acknowledged", "error", message, why=why, help=help, cause=cause)


def _clocks_of_which_event(mission: Mission) -> Iterator[Diagnostic]:
    """Outside the sections of the events their clock is nobody's where they are several with another."""
    if len({event.zone.key for event in mission.events}) < 2:
        return
    own = {path for path in mission.where if path[:1] in (("event",), ("training",))}
    for typed in {typed.path: typed for typed in mission.typed_times}.values():  # a range is two
        if typed.local and typed.path not in own:
            message, why = (
                f'"{typed.text}" is by the clock of an event, and there are several',
                "the events have different clocks",
            )
            offers = [by_clock(typed.text, "event", event.id) for event in mission.events]
            help = f"write {listed(offers)}, or write it by the clock of the base, or in Z"
            yield Diagnostic("which-event", "error", message, why=why, help=help, cause=typed.path)


def _hours(apart: timedelta) -> str:
    return f"{hours_minutes(abs(apart))} {'before' if apart < timedelta(0) else 'later'}"
