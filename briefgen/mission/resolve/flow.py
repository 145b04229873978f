"""A flow to one mission: each pass is read and timed as a mission of its own, and together they are one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.mission.read.flow import Flow, View
from briefgen.mission.read.tree import Source, Spans
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import BlockSection, PassSection
from briefgen.units.grammar import Refusal
from briefgen.units.parse_time import parse_duration_s

# our own bound: between two passes of one sortie there is never more
LONGEST = timedelta(hours=12)
DAY = timedelta(days=1)

Read = Callable[[Source], tuple[Mission | None, list[Diagnostic]]]


def mission_of_flow(flow: Flow, source: Source, read: Read) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a flow, or None with every error. ``read``: a mission of the usual form."""
    missions: list[Mission] = []
    found: list[Diagnostic] = []
    for view in flow.views:
        mission, more = _read(view, missions, read)
        found += [problem for problem in more if problem not in found]
        if mission is not None:
            missions.append(mission)
    if len(missions) < len(flow.views) or has_errors(found):
        return None, found
    first = missions[0]
    spans = Spans({**first.spans.keys, **source.spans.keys}, {**first.spans.values, **source.spans.values})
    views = tuple(missions) if len(missions) > 1 else ()  # one view is the mission itself
    whole = replace(first, source=replace(source, spans=spans), views=views, order=flow.order)
    found += [whole.spans.locate(problem) for problem in passes_in_order(whole)]
    return (None if has_errors(found) else whole), found


def _read(view: View, before: Sequence[Mission], read: Read) -> tuple[Mission | None, list[Diagnostic]]:
    """The mission of a view; one whose T is earlier than the pass before it is of the day after."""
    mission, found = read(view.source)
    last = before[-1].times.true_time if before else None
    if mission is not None and last is not None and view.after is not None:
        return _so_long_after(view, view.after, mission, last, found)
    at = mission.times.true_time if mission is not None else None
    if mission is not None and at is not None and last is not None and at < last < at + DAY:
        date = (mission.file.sortie.date + DAY).isoformat()
        mission, found = read(view.source.with_value(("sortie", "date"), date))
    found = [replace(problem, cause=view.place(problem.cause)) for problem in found]
    return (None if mission is None else _of_view(view, mission)), found


def _of_view(view: View, mission: Mission) -> Mission:
    return replace(mission, where=view.where, number=view.number, follows=view.after is not None)


def _so_long_after(
    view: View, after: str, mission: Mission, last: datetime, found: list[Diagnostic]
) -> tuple[Mission | None, list[Diagnostic]]:
    found = [replace(problem, cause=view.place(problem.cause)) for problem in found]
    try:
        seconds = parse_duration_s(after)
    except Refusal as refusal:
        place = (*view.place(("event", "pass")), "after")
        problem = Diagnostic(
            "value", "error", refusal.message, why=refusal.why, help=refusal.help, cause=place
        )
        return None, [*found, problem]
    times = replace(mission.times, true_time=last + timedelta(seconds=seconds))
    return _of_view(view, replace(mission, times=times)), found


def passes_in_order(mission: Mission) -> Iterator[Diagnostic]:
    """What only the whole flow shows: the order of its passes, what follows each, and what is not planned."""
    blocks = [section for section in mission.flow if isinstance(section, BlockSection)]
    for block in blocks[1:]:
        message, why = "there is a second block of training", "only one is planned, timed and fuelled for now"
        help = "train in one block, or plan a sortie for each"
        yield Diagnostic("blocks", "error", message, why=why, help=help, cause=block.cause)
    kinds = [type(section) for section in mission.flow]
    if BlockSection in kinds and PassSection in kinds[: kinds.index(BlockSection)]:
        message, why = "training after a pass is not planned for now", "its joker would count what is flown"
        help = "train before the first pass, or plan a sortie for it"
        yield Diagnostic("blocks", "error", message, why=why, help=help, cause=blocks[0].cause)
    yield from _clocks_of_which_event(mission)
    for before, after in zip(mission.passes, mission.passes[1:], strict=False):
        apart = after.true_time - before.true_time
        if not timedelta(0) < apart <= LONGEST:
            message = f"{after.id} is flown after {before.id}, but its T lies {_hours(apart)}"
            why, help = "passes are written in flying order", "put the two in order, or type the date of T"
            yield Diagnostic("flow-order", "error", message, why=why, help=help, cause=after.key("time"))
        if "then" not in before.written.model_fields_set:
            message = f"what follows {before.id} when it is stopped or lost is not said"
            why = f"{after.id} comes after it"
            help = "add then: next pass, or then: home"
            yield Diagnostic("then", "error", message, why=why, help=help, cause=before.cause)
    for pass_ in mission.passes[-1:]:
        if pass_.written.then == "next pass":
            message, why = "no other pass follows this one", "it is the last that is written"
            yield Diagnostic("then", "error", message, why=why, help="write home", cause=pass_.key("then"))


def _clocks_of_which_event(mission: Mission) -> Iterator[Diagnostic]:
    """Outside the sections of the events their clock is nobody's where they are several with another."""
    if len({event.zone.key for event in mission.events}) < 2:
        return
    own = {path for path, _ in mission.where.items() if path[:1] in (("event",), ("training",))}
    for typed in mission.typed_times:
        if typed.local and typed.path not in own:
            message = f'"{typed.text}" is by the clock of an event, and there are several'
            why, help = "the events have different clocks", "write it by the clock of the base, or in Z"
            yield Diagnostic("which-event", "error", message, why=why, help=help, cause=typed.path)


def _hours(apart: timedelta) -> str:
    minutes = round(abs(apart).total_seconds() / 60)
    return f"{minutes} min {'before' if apart < timedelta(0) else 'later'}"
