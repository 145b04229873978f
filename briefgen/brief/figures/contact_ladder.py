"""What flight and ground contact say to each other: the calls as rungs of a ladder down to T, the words of a
change and what is read back beside them."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime

from briefgen.brief.figures.common import count_words, short_of_words, width_pt, wrapped
from briefgen.brief.wording import format as words
from briefgen.brief.wording.passes import after_hold
from briefgen.brief.wording.spoken import Call, blank_change, callers
from briefgen.brief.wording.words import Clock, words_of
from briefgen.core.records import record
from briefgen.draw.scene.geometry import Box, text_box
from briefgen.draw.scene.model import Canvas, Ellipse, FigureMaker, Line, Rect, Scene, Shape, Text
from briefgen.plan.event.schedule import schedule
from briefgen.plan.sortie import Plan

_QUOTES_SHARE = 0.36  # of the width
_WIDE_PT = 620.0  # narrower than this the words stand below the ladder
_LEAST_WORDS_PT = 60.0  # of width, for what is said on a rung
_MOST_WORDS = 40  # beside what is quoted; what a cue is stands in the notes where they don't reach
_AIR = 3.0  # points between two rungs
_MARKS = {"call": "track_solid", "cue": "target_solid", "limit": "hollow", "stop": "red_solid"}
_STYLES = {
    "label": {"call": "label_bold", "cue": "target", "limit": "label_bold", "stop": "red"},
    "body": {"call": "body_bold", "cue": "body_target", "limit": "body_bold", "stop": "body_red"},
}


@record
class Rung:
    """One moment: its kind (a key of _MARKS), what it is called, what is said or done."""

    at: datetime
    kind: str
    name: str
    said: str


def make(plan: Plan) -> FigureMaker | None:
    """The maker; None without a ground contact that has calls."""
    if plan.event is None or plan.mission.the_event.ground_contact is None or not schedule(plan):
        return None
    return lambda canvas: _draw(plan, canvas)


def rungs_of(plan: Plan) -> list[Rung]:
    """The calls and cues in the order of time, a cue with what it is where few words are; then from when on
    less may be said, and T."""
    event = plan.the_pass
    found = [
        Rung(
            words.time_limit(slot.at, "latest") if slot.deadline else slot.at,
            "limit" if slot.deadline else "cue" if slot.cue else "call",
            slot.label,
            slot.say if slot.cue else "",  # what is said in a call is quoted in the notes
        )
        for slot in schedule(plan)
    ]
    then = after_hold(plan.mission.the_event.pass_, event)
    if event.hold is not None and then:
        found.append(Rung(event.hold.leave, "limit", "Leave hold", f"then {then}"))
    if event.abort is not None and event.abort.last_begin is not None:
        found.append(Rung(event.abort.last_begin, "stop", "Abort only", ""))
    found = sorted([*found, Rung(event.true_time, "cue", "T", "")], key=lambda rung: rung.at)
    call = _call(plan)
    heads = [clock.head for clock in _clocks(plan)] + [
        who for who, _, _ in (_spoken(plan, call) if call else ())
    ]
    others = sum(count_words(text) for text in (*heads, *(rung.name for rung in found)))
    said = short_of_words([rung.said for rung in found], max(_MOST_WORDS - others, 0))
    return [replace(rung, said=text) for rung, text in zip(found, said, strict=True)]


def _draw(plan: Plan, canvas: Canvas) -> Scene:
    rungs, call = rungs_of(plan), _call(plan)
    wide = canvas.width_pt >= _WIDE_PT
    ladder, quotes = Box(0, 0, canvas.width_pt, canvas.height_pt), None
    if call is not None and wide:
        cut = canvas.width_pt * (1 - _QUOTES_SHARE)
        ladder, quotes = ladder._replace(right=cut - 16), ladder._replace(left=cut)
    elif call is not None:
        cut = canvas.height_pt - _quotes_height(plan, call, canvas.width_pt, canvas)
        ladder, quotes = ladder._replace(bottom=cut - 10), ladder._replace(top=cut)
    shapes, left_out = _ladder(plan, rungs, ladder, canvas)
    if call is not None and quotes is not None:
        shapes += _quotes(plan, call, quotes, canvas)
    return Scene(canvas, tuple(shapes), _alt(plan, rungs, call), left_out)


def _call(plan: Plan) -> Call | None:
    """The words of a change; None for a pass that moves with another."""
    event = plan.the_pass
    return None if event.leader is not None else blank_change(callers(plan.mission), event)


# ---------------------------------------------------------------- the ladder


def _clocks(plan: Plan) -> list[Clock]:
    return [clock for clock in words_of(plan).clocks if clock.whose != "base"]


def _ladder(plan: Plan, rungs: list[Rung], box: Box, canvas: Canvas) -> tuple[list[Shape], tuple[str, ...]]:
    """The rungs with as many words as the height holds, and the names of those that found no room."""
    size = _size(rungs, box, canvas)
    clocks, pitch = _clocks(plan), canvas.pitch_pt(size)
    columns: list[tuple[Clock, str, float]] = []
    x = box.left
    for clock in clocks:
        heads = wrapped(clock.head, canvas, 0.24 * box.width)
        figures = [clock.bare(rung.at) for rung in rungs]
        x += max(
            *(width_pt(text, canvas, "label_bold") for text in heads.split("\n")),
            *(width_pt(text, canvas, f"{size}_bold") for text in figures),
        )
        columns.append((clock, heads, x))
        x += 12
    rail = x + 6
    names = rail + 16
    said_at = names + max(width_pt(rung.name, canvas, f"{size}_bold") for rung in rungs) + 12
    room = box.right - said_at
    lines = max(heads.count("\n") + 1 for _, heads, _ in columns)
    top = box.top + lines * canvas.pitch_pt("label") + 4
    said = [wrapped(rung.said, canvas, room, size) if room > _LEAST_WORDS_PT else "" for rung in rungs]
    texts = _fitting(said, box.bottom - top, pitch)
    heights = [_high(text, pitch) for text in texts]
    shapes: list[Shape] = [Text((x, box.top), heads, "label_soft", "end", "top") for _, heads, x in columns]
    spare = max(min((box.bottom - top - sum(heights)) / len(rungs), pitch), 0.0)
    lost: list[str] = []
    y, ends = top, [top]
    for rung, text, high in zip(rungs, texts, heights, strict=True):
        if y + high > box.bottom + 0.5:
            lost.append(rung.name)
            continue
        line = y + pitch / 2
        shapes += [
            *(
                Text((x, line), clock.bare(rung.at), size if n else f"{size}_bold", "end")
                for n, (clock, _, x) in enumerate(columns)
            ),
            Ellipse((rail, line), 5, 5, _MARKS[rung.kind]),
            Text((names, line), rung.name, _STYLES[size][rung.kind]),
            *([Text((said_at, y), text, size, "start", "top")] if text else ()),
        ]
        ends.append(line)
        y += high + spare
    upright = Line(((rail, ends[1] if len(ends) > 1 else top), (rail, ends[-1])), "axis")
    return [upright, *shapes], tuple(lost)


def _size(rungs: list[Rung], box: Box, canvas: Canvas) -> str:
    """``body`` where every rung stands in it with air between and its name beside its times, else
    ``label``."""
    low = len(rungs) * 1.25 * canvas.pitch_pt("body") <= box.height - 40
    widest = max(width_pt(rung.name, canvas, "body_bold") for rung in rungs)
    return "body" if low and widest <= 0.4 * box.width else "label"


def _fitting(texts: list[str], room: float, pitch: float) -> list[str]:
    """The texts of the rungs, those left out that make the ladder too long, the longer ones first."""
    kept = list(texts)
    for longest in sorted(texts, key=lambda text: -text.count("\n")):
        if sum(_high(text, pitch) for text in kept) <= room:
            break
        kept[kept.index(longest)] = ""
    return kept


def _high(text: str, pitch: float) -> float:
    return (text.count("\n") + 1) * pitch + _AIR


# ---------------------------------------------------------------- the words of a change


def _quotes(plan: Plan, call: Call, box: Box, canvas: Canvas) -> list[Shape]:
    """Who says it over what is said, the read-back under it, each on its wash."""
    shapes: list[Shape] = []
    top = box.top
    for who, said, style in _spoken(plan, call):
        head = Text((box.left, top), wrapped(who, canvas, box.width, style), style, "start", "top")
        under = text_box(head, canvas.medium).bottom + 2
        quote = wrapped(f'"{said}"', canvas, box.width - 20, "body")
        text = Text((box.left + 10, under + 6), quote, "body", "start", "top")
        foot = text_box(text, canvas.medium).bottom + 6
        shapes += [Rect(box.left, under, box.width, foot - under, "panel"), head, text]
        top = foot + 12
    return shapes


def _quotes_height(plan: Plan, call: Call, width: float, canvas: Canvas) -> float:
    shapes = _quotes(plan, call, Box(0, 0, width, 0), canvas)
    return max(shape.y + shape.height for shape in shapes if isinstance(shape, Rect))


def _spoken(plan: Plan, call: Call) -> list[tuple[str, str, str]]:
    who = callers(plan.mission)
    found = [(f"{who.ground} moves T", call.say, "target")]
    digits = "all six digits" if plan.the_pass.hold is not None else "every digit"
    back = (f"{who.flight} reads back {digits}", call.read_back, "track")
    return [*found, back] if call.read_back else found


def _alt(plan: Plan, rungs: list[Rung], call: Call | None) -> str:
    w = words_of(plan)
    said = "; ".join(f"{w.z(rung.at)} {rung.name}{f': {rung.said}' if rung.said else ''}" for rung in rungs)
    spoken = [] if call is None else [f'{who}: "{words_}"' for who, words_, _ in _spoken(plan, call)]
    return " ".join([f"The calls in the order of time. {said}.", *spoken])
