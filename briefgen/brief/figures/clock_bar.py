"""The sortie as a bar to scale in time: phases as blocks, Zulu and both local clocks below, and the whole
duty on a second bar."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, tzinfo

from briefgen.brief.figures import flags
from briefgen.brief.figures.common import (
    Scale,
    beside_pt,
    clock_step_s,
    clock_ticks,
    clock_words,
    time_scale,
    width_pt,
)
from briefgen.brief.figures.flags import Flag
from briefgen.brief.figures.pieces import Piece
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import block_name, end_by_name
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box
from briefgen.draw.scene.model import Canvas, FigureMaker, Line, Rect, Scene, Shape, Text
from briefgen.plan.model import EventPlan, Phase
from briefgen.plan.one_block import each_block
from briefgen.plan.sortie import Plan

_REJOIN = {False: "Rejoin", True: "Way out"}  # what leaving the area is called, for several ships and for one
# words, style, picture, kinds of phases
_GROUPS: tuple[tuple[str | dict[bool, str], str, Piece, tuple[str, ...]], ...] = (
    ("Departure", "track_wash", "climb", ("climb", "departure")),
    ("Training", "area", "training", ("training", "gather", "warm-up", "set-up")),
    (_REJOIN, "track_wash", "rejoin", ("leave", "rejoin")),
    ("Transit", "track_wash", "transit", ("transit",)),
    ("Hold", "track_wash", "hold", ("hold",)),
    ("To T", "target_wash", "run-in", ("hold to IP", "run-in", "push-up")),
    ("Recovery", "track_wash", "recovery", ("egress", "recovery", "approach")),
)
_DUTY_ROOM = 3.4  # pitches that the second bar needs beside its flags
_LEAST_BAR = 2.2  # pitches
_LOW_BAR = 2.6  # pitches of it on a sheet
_SPARE_ROOM = 3.7  # pitches of a bar in which the spare time's name stands below a block's two lines
_NAME_GAP = 8.0  # points between the longest name of a clock and the bar


@record
class Block:
    """Adjoining phases under one name, with the picture of what is flown."""

    words: str
    style: str
    piece: Piece
    start: datetime
    end: datetime

    @property
    def seconds(self) -> float:
        """Its length, as the times of its ends are printed."""
        return words.between_s(self.start, self.end)


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None for a clock without a phase."""
    return (lambda canvas: _draw(plan, canvas)) if plan.clock.phases else None


def blocks_of(plan: Plan) -> list[Block]:
    """The airborne phases, those of one kind together, in flying order; what the file leaves open reads "Not
    given"."""
    found: list[Block] = []
    last = plan.passes[-1].section.id if plan.passes else ""
    for phase in plan.clock.phases:
        name, style, piece = _group(phase, plan.mission.alone)
        if phase.kind == "egress" and phase.piece != last:
            name, piece = "Egress", "transit"
        name = (style == "area" and block_name(plan, phase.piece)) or name
        before = found[-1].end if found else plan.clock.takeoff
        if (phase.start - before).total_seconds() > 1:
            found.append(Block("Not given", "hollow", "open", before, phase.start))
        if found and found[-1].words == name:
            found[-1] = replace(found[-1], end=max(phase.end, found[-1].end))
        else:
            found.append(Block(name, style, piece, phase.start, phase.end))
    return found


def _group(phase: Phase, alone: bool) -> tuple[str, str, Piece]:
    other: tuple[str, str, Piece] = (phase.label, "track_wash", "transit")
    name, style, piece = next(
        ((name, style, piece) for name, style, piece, kinds in _GROUPS if phase.kind in kinds), other
    )
    return (name if isinstance(name, str) else name[alone]), style, piece


@record
class Ruler:
    """One clock below the bar: its name, and the zones that show its figures whenever their words are
    ``key``."""

    name: str
    key: str
    zones: tuple[tzinfo, ...]

    def shows(self, at: datetime) -> str | None:
        """The time on this clock; None at an instant at which no zone keeps it."""
        zone = next((zone for zone in self.zones if words.zone_words(at, zone) == self.key), None)
        return None if zone is None else words.clock_bare(at, zone, seconds=False)


def rulers_of(plan: Plan) -> list[Ruler]:
    """Zulu, base, event (each by its id where there are several); a local clock that shows the same figures
    as one above it is named there. A clock that changes on the way has two rulers, each with the times that
    it shows itself; where the clocks are on different dates, each has its own in its name."""
    mission, clock = plan.mission, plan.clock
    alone = len(mission.events) == 1
    own = [("Base", mission.base_zone), *(("Event" if alone else e.id, e.zone) for e in mission.events)]
    found: dict[str, tuple[list[str], list[tzinfo]]] = {"Z": (["Z"], [UTC])}
    first: dict[str, datetime] = {"Z": clock.takeoff}
    for at in (clock.takeoff, end_of(plan)):
        for name, zone in own:
            names, zones = found.setdefault(words.zone_words(at, zone), ([], []))
            first.setdefault(words.zone_words(at, zone), at)
            names += [name] if name not in names else []
            zones += [zone] if zone not in zones else []
    days = {
        key: words.rounded_instant(first[key]).astimezone(zones[0]).date()
        for key, (_, zones) in found.items()
    }
    dated = len(set(days.values())) > 1
    return [
        Ruler(
            _ruler_name(words.keeps_utc(first[key], zones[0]), key, names, days[key] if dated else None),
            key,
            tuple(zones),
        )
        for key, (names, zones) in found.items()
    ]


def _ruler_name(zulu: bool, key: str, names: list[str], day: date | None) -> str:
    name = " and ".join(names) if zulu else f"{' and '.join(names)} {key}"
    return name if day is None else f"{name}, {words.day(day, year=False)}"


def end_of(plan: Plan) -> datetime:
    return max(plan.clock.last_landing, plan.clock.phases[-1].end)


# ---------------------------------------------------------------- drawing


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    low = canvas.medium == "card"  # a strip of a sheet that has the local times elsewhere: END BY and T alone
    pitch, rulers = canvas.pitch_pt("label"), rulers_of(plan)[: 1 if low else None]
    time = sortie_scale(plan, rulers, canvas)
    upper = flags.rows_of(_turns(plan, time) if low else _flags(plan, time, canvas), canvas)
    duty_time = None if low else _duty_scale(plan, canvas)
    duty = flags.rows_of(_duty_flags(plan, duty_time), canvas) if duty_time else []
    room = (
        canvas.height_pt
        - flags.height_of(upper, canvas)
        - (len(rulers) + 0.8) * pitch
        - (0 if duty_time or low else 1.4 * pitch)
    )
    duty_height = flags.height_of(duty, canvas) + _DUTY_ROOM * pitch if duty_time else 0.0
    if room - duty_height < _LEAST_BAR * pitch:
        duty_time, duty_height, room = None, 0.0, room - (1.4 * pitch if duty_time else 0)
    top = flags.height_of(upper, canvas)
    bar = Box(time.start, top, time.end, top + min(room - duty_height, 4.5 * pitch))
    shapes = [
        *_bar(plan, bar, time, canvas),
        *flags.drawn(upper, bar.top, canvas),
        *ruler_rows(rulers, bar, time, canvas),
    ]
    if duty_time:
        shapes += _duty(plan, duty, duty_time, canvas)
    elif not low:
        under = bar.bottom + (len(rulers) + 0.5) * pitch + 4
        shapes.append(Text((0, under), "To scale, take-off to last landing", "label_soft", "start", "top"))
    return Scene(canvas, tuple(shapes), alt(plan))


def sortie_scale(plan: Plan, rulers: list[Ruler], canvas: Canvas) -> Scale:
    """The time from take-off to the end, right of the clocks' names."""
    left = max(width_pt(ruler.name, canvas) for ruler in rulers) + _NAME_GAP
    return time_scale(
        plan.clock.takeoff, end_of(plan), left, canvas.width_pt - width_pt("00:00", canvas) / 2 - 2
    )


def low_pt(plan: Plan) -> float:
    """The height of the strip on a sheet: a row for each flag, the bar, one ruler."""
    pitch = Canvas(0, 0, "card").pitch_pt("label")
    return (len(plan.passes) + len(plan.trainings) + _LOW_BAR + 1.8) * pitch


def _bar(plan: Plan, bar: Box, time: Scale, canvas: Canvas) -> list[Shape]:
    shapes: list[Shape] = []
    for block in blocks_of(plan):
        x1, x2 = time.when(block.start), time.when(block.end)
        shapes.append(Rect(x1, bar.top, x2 - x1, bar.height, block.style))
    shapes += _others(plan, bar, time) + setups(plan, bar, time) + _slack(plan, bar, time, canvas)
    shapes += [_inside(block, bar, time, canvas) for block in blocks_of(plan) if _fits(block, time, canvas)]
    end = time.when(plan.clock.lead_landing)
    shapes.append(Line(((end, bar.top), (end, bar.bottom)), "line"))
    marks = [time.when(each.true_time) for each in plan.passes]
    return shapes + [Line(((x, bar.top), (x, bar.bottom)), "target") for x in marks]


def setups(plan: Plan, bar: Box, time: Scale) -> list[Shape]:
    """A short stroke at the foot of the bar where each set-up begins."""
    starts = [time.when(p.start) for p in plan.clock.phases if p.kind == "set-up"]
    return [Line(((x, bar.bottom - 0.22 * bar.height), (x, bar.bottom)), "thin") for x in starts]


def _others(plan: Plan, bar: Box, time: Scale) -> list[Shape]:
    """From the leader's landing to the last one."""
    x1, x2 = time.when(plan.clock.lead_landing), time.when(plan.clock.last_landing)
    return [Rect(x1, bar.top, x2 - x1, bar.height, "track_wash")] if x2 > x1 + 0.5 else []


def _slack(plan: Plan, bar: Box, time: Scale, canvas: Canvas) -> list[Shape]:
    """The part of each hold beyond the shortest that can be flown, as a white box at the bar's foot, with its
    name where there is room."""
    shapes: list[Shape] = []
    pitch = canvas.pitch_pt("label")
    roomy = bar.height > _SPARE_ROOM * pitch
    high = max(0.22 * bar.height, 0.9 * pitch if roomy else 0.0)
    for start, slack in _slacks(plan):
        x1, x2 = time.when(start), time.when(start + timedelta(seconds=slack))
        shapes.append(Rect(x1, bar.bottom - high, x2 - x1, high, "hollow"))
        shapes += _maybe("spare", (x1, x2), bar.bottom - high / 2, canvas) if roomy else ()
    return shapes


def _slacks(plan: Plan) -> list[tuple[datetime, float]]:
    """Of each hold that can be shorter, its begin and the seconds beyond its shortest."""
    return [
        (each.hold.arrival, slack)
        for each in plan.passes
        if each.hold is not None and (slack := slack_s(each))
    ]


def slack_s(event: EventPlan) -> float | None:
    """Seconds of the hold beyond its shortest; None without a hold or without a shortest one."""
    hold = event.hold
    return None if hold is None or hold.shortest_s is None else max(hold.wait_s - hold.shortest_s, 0.0)


def block_words(block: Block) -> tuple[str, str]:
    return block.words, words.duration_clock(block.seconds)


def _fits(block: Block, time: Scale, canvas: Canvas) -> bool:
    room = time.when(block.end) - time.when(block.start)
    return max(width_pt(text, canvas, "label_bold") for text in block_words(block)) + 4 < room


def _inside(block: Block, bar: Box, time: Scale, canvas: Canvas) -> Text:
    x = (time.when(block.start) + time.when(block.end)) / 2
    return Text((x, bar.top + 0.39 * bar.height), "\n".join(block_words(block)), "label", "middle")


def _flags(plan: Plan, time: Scale, canvas: Canvas) -> list[Flag]:
    """What has no room in the bar; of several passes END BY and each T alone, or the flags would fill the
    slide."""
    several = len(plan.passes) > 1
    of_blocks = len(plan.trainings) > 1  # then a block without a name in the bar has it here
    found = [
        Flag(time.when(b.start + (b.end - b.start) / 2), " ".join(block_words(b)), "label_soft")
        for b in blocks_of(plan)
        if not _fits(b, time, canvas) and (not several or (of_blocks and b.style == "area"))
    ]  # fmt: skip
    alone = () if several else plan.passes
    named = [(each.chain.leave_hold, "Leave hold", "label_bold") for each in alone]
    named += [(cue.at, cue.id, "label") for each in alone for cue in each.cues]
    found += [*_at(plan, time, named), *_turns(plan, time)]
    for start, slack in () if several else _slacks(plan):
        middle = start + timedelta(seconds=slack / 2)
        found.append(
            Flag(
                time.when(middle),
                f"Spare time in the hold (white box) {words.duration(slack)}",
                "label_soft",
            )
        )
    return found


def _turns(plan: Plan, time: Scale) -> list[Flag]:
    """END BY of each block and each T."""
    ends = ((at, name, "label_bold") for at, name in ends_by(plan))
    return _at(plan, time, [*ends, *((each.true_time, "T", "target") for each in plan.passes)])


def _at(plan: Plan, time: Scale, named: Iterable[tuple[datetime | None, str, str]]) -> list[Flag]:
    """Flags of what is named, where it lies in the flight."""
    return [
        Flag(time.when(at), f"{text} {clock_words(plan, at)}", style)
        for at, text, style in named
        if at and plan.clock.takeoff <= at <= plan.clock.last_landing
    ]


def ends_by(plan: Plan) -> list[tuple[datetime, str]]:
    """END BY of each block that has one, and what it is called."""
    return [
        (words.time_limit(seen.clock.knock_off, "latest"), end_by_name(seen))
        for seen in each_block(plan)
        if seen.clock.knock_off is not None
    ]


def ruler_rows(rulers: list[Ruler], bar: Box, time: Scale, canvas: Canvas) -> list[Shape]:
    pitch = canvas.pitch_pt("label")
    shapes: list[Shape] = []
    instants = [(at, time.when(at)) for at in clock_ticks(time, clock_step_s(time, canvas))]
    shapes += [Line(((x, bar.bottom), (x, bar.bottom + 4)), "axis") for _, x in instants]
    # where a time stands clear of every name
    first = time.start - _NAME_GAP + beside_pt(canvas) + width_pt("00:00", canvas, "label_bold") / 2
    for number, ruler in enumerate(rulers):
        y = bar.bottom + 4 + (number + 0.5) * pitch
        style = "label_bold" if number == 0 else "label"
        shapes.append(Text((0, y), ruler.name, style))
        for at, x in instants:
            shown = ruler.shows(at)
            if shown is not None and x >= first:
                shapes.append(Text((x, y), shown, style, "middle"))
    return shapes


# ---------------------------------------------------------------- the whole duty


def _duty_events(plan: Plan) -> list[tuple[datetime, str]]:
    shown = (
        "report",
        "brief",
        "step",
        "start",
        "taxi",
        "takeoff",
        "true-time",
        "last-landing",
        "shut-down",
        "debrief-end",
    )
    short = {"true-time": "T"}
    return [(e.at, short.get(e.kind, e.label)) for e in plan.clock.events if e.kind in shown]


def _duty_scale(plan: Plan, canvas: Canvas) -> Scale | None:
    """None when there is nothing before take-off and after landing to show."""
    events = _duty_events(plan)
    if not events or (events[0][0] >= plan.clock.takeoff and events[-1][0] <= plan.clock.last_landing):
        return None
    return time_scale(events[0][0], events[-1][0], 4, canvas.width_pt - 4)


def _duty_flags(plan: Plan, time: Scale) -> list[Flag]:
    """Each with its seconds, as card and tables have it, where it is on no whole minute: rounded to the
    minute it would read later or earlier than there."""
    styles = {"T": "target", "Take-off": "label_bold"}
    return [
        Flag(
            time.when(at),
            f"{text} {clock_words(plan, at, seconds=words.rounded_instant(at).second > 0)}",
            styles.get(text, "label"),
        )
        for at, text in _duty_events(plan)
    ]


def _duty(plan: Plan, rows: list[flags.Row], time: Scale, canvas: Canvas) -> list[Shape]:
    pitch = canvas.pitch_pt("label")
    foot = canvas.height_pt - 1.4 * pitch
    top = foot - 1.0 * pitch
    airborne = time.when(plan.clock.takeoff), time.when(plan.clock.last_landing)
    length = words.duration(words.between_s(plan.clock.takeoff, plan.clock.last_landing))
    return [
        Rect(time.start, top, time.end - time.start, foot - top, "panel"),
        Rect(airborne[0], top, airborne[1] - airborne[0], foot - top, "track_wash"),
        *_maybe(f"airborne {length}", airborne, (top + foot) / 2, canvas),
        Rect(time.start, top, time.end - time.start, foot - top, "thin"),
        *flags.drawn(rows, top, canvas),
        Text(
            (0, canvas.height_pt),
            "Lower bar: the whole duty, on a scale of its own",
            "label_soft",
            "start",
            "bottom",
        ),
    ]


def _maybe(text: str, between: tuple[float, float], y: float, canvas: Canvas) -> list[Shape]:
    room = between[1] - between[0]
    return [Text((sum(between) / 2, y), text, "label", "middle")] if width_pt(text, canvas) + 4 < room else []


def _said(block: Block, several: bool) -> str:
    return f"training {block.words}" if several and block.style == "area" else block.words.lower()


def alt(plan: Plan) -> str:
    clock, several = plan.clock, len(plan.trainings) > 1
    said = ", ".join(
        f"{_said(b, several)} {words.duration(b.seconds)} from {clock_words(plan, b.start)}"
        for b in blocks_of(plan)
    )
    text = f"The sortie to scale in time: {said}. Last landing {clock_words(plan, clock.last_landing)}."
    if plan.passes:
        text += f" T {words.listed(clock_words(plan, each.true_time) for each in plan.passes)}."
    for slack in (slack_s(each) for each in plan.passes):
        text += "" if slack is None else f" Spare time in the hold {words.duration(slack)}."
    return text
