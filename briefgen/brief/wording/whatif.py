"""Every what-if as one line that a pilot can use: the change, and what becomes of the sortie.  Figures are
worded by ``format`` alone."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, datetime

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.wording import format as words
from briefgen.brief.wording.passes import pass_name
from briefgen.brief.wording.words import NOT_CHECKED
from briefgen.core.records import record
from briefgen.mission.resolve.sections import long_id, pass_words
from briefgen.plan.event.waits import verdict
from briefgen.plan.model import TrainingPlan
from briefgen.plan.one_pass import each_pass
from briefgen.plan.route.diverts import Diversion
from briefgen.plan.sortie import Sortie
from briefgen.units.rounding import down
from briefgen.whatif.answers import Answer, Fate, WhatIf
from briefgen.whatif.edges import Edge, Edges, PassEdges
from briefgen.whatif.outcome import SortieOutcome

FIXED_CHANGES = {
    "joker-early": "Joker one set-up early",
    "no-training": "No training",
    "no-flypast": "No flypast",
    "cancelled-in-area": "Event cancelled in the area",
    "low-cloud": "Low cloud cancels the pass in the hold",
    "no-contact": "No ground contact",
}
ASKS_SETUPS = ("takeoff-late", "joker-early", "ships-out", "no-flypast", "slower")
SLIDE_DELAY_S = 600.0  # every ten minutes of delay are enough for a slide
IMPOSSIBLE = "can't be flown"
EDGE_TITLES = {
    "latest-takeoff": "Latest take-off that still makes T",
    "earliest-time": "Earliest T",
    "latest-time": "Latest T",
    "keeps-next": "Latest T that still keeps",
}


@record
class WhatIfLine:
    """``change`` and ``outcome`` make the line "change: outcome". ``worse``: the pass is lost, or a gate
    fails that didn't. ``fate`` of the pass. ``on_slide``: it stands on the slide of what-ifs, as no other
    slide tells it."""

    id: str
    change: str
    outcome: str
    worse: bool
    fate: Fate = "none"
    on_slide: bool = True

    @property
    def text(self) -> str:
        """The whole line."""
        return f"{self.change}: {self.outcome}"


def lines_of(found: WhatIf) -> list[WhatIfLine]:
    """A line for each what-if, the changes first, then the diverts."""
    teller = _Teller(found)
    return [
        *(teller.line(answer) for answer in found.answers),
        *(teller.divert(divert) for divert in found.diverts),
    ]


def slide_lines(lines: Sequence[WhatIfLine]) -> list[WhatIfLine]:
    """The lines for a slide: without those that another slide tells (slips, diverts, wingmen who fall out)
    and every second delay."""
    return [line for line in lines if line.on_slide]


def _on_slide(answer: Answer) -> bool:
    match answer.kind:
        case "ceremony":
            return False
        case "takeoff-late":
            return answer.seconds % SLIDE_DELAY_S == 0
        case "ships-out":
            return answer.ships[0] == 1
    return True


def whatif_table(lines: Sequence[WhatIfLine], name: str = "what_if") -> Table:
    """The lines as a table of two columns for a slide; what is worse is set in bold."""
    rows: list[list[str | Cell]] = [[line.change, Cell(line.outcome, strong=line.worse)] for line in lines]
    return text_table(name, (Column("If", share=0.28), Column("Then", share=0.72)), rows)


def sentence(lines: Sequence[WhatIfLine], *, with_pass: bool, plan_fails: int) -> str:
    """``13 what-ifs: 2 lose the pass, 1 more fails another gate; 3 are without the pass by themselves; 1 is
    NOT CHECKED; the plan itself fails 10 gates``. Whoever is without the pass by itself may fail a gate too,
    and is counted there: it is no part of that sum. ``with_pass``: whether the plan has one; ``plan_fails``:
    how many gates FAIL in it, of which none is counted for a what-if."""
    lost = sum(line.fate == "lost" for line in lines) if with_pass else 0
    unknown = sum(line.fate == "not known" for line in lines)
    fails = sum(line.worse for line in lines) - lost - unknown
    others = len(lines) - lost - unknown
    none = sum(line.fate == "none" for line in lines) if with_pass else 0
    gate = "another gate" if plan_fails else "a gate"
    said = [
        words.counted(lost, "loses the pass", "lose the pass") if lost else "",
        "none loses the pass" if with_pass and others and not lost else "",
        f"{fails}{' more' if lost else ''} {'fails' if fails == 1 else 'fail'} {gate}" if fails else "",
        f"none{' of the others' if lost else ''} fails {gate}" if others and not fails else "",
    ]
    alone = "is without the pass by itself", "are without the pass by themselves"
    parts = [
        ", ".join(filter(None, said)),
        words.counted(none, *alone) if none else "",
        f"{words.counted(unknown, 'is', 'are')} {NOT_CHECKED}" if unknown else "",
        f"the plan itself fails {words.counted(plan_fails, 'gate')}" if plan_fails else "",
    ]
    return f"{words.counted(len(lines), 'what-if')}: {'; '.join(filter(None, parts))}"


class _Teller:
    """Words one set of what-ifs: its units, and the day that the reader takes for granted."""

    def __init__(self, found: WhatIf) -> None:
        self.before = found.before
        self.base = found.base
        self.unit = found.base.mission.file.fuel.display
        self.day = _day(found.base)

    def clock(self, at: datetime) -> str:
        return words.clock_z(at, day=self.day)

    def line(self, answer: Answer) -> WhatIfLine:
        change = self.change(answer)
        if answer.after is None:
            return WhatIfLine(
                answer.id,
                change,
                f"{'NOT CHECKED' if answer.unknown else IMPOSSIBLE}: {answer.problem}",
                True,
                answer.fate,
                _on_slide(answer),
            )
        worse = answer.worse or bool(self.beyond(answer, answer.after)[0])
        return WhatIfLine(
            answer.id,
            change,
            ", ".join(self.parts(answer, answer.after)),
            worse,
            answer.fate,
            _on_slide(answer),
        )

    def change(self, answer: Answer) -> str:
        match answer.kind:
            case "takeoff-late":
                return f"Take-off {words.duration(answer.seconds)} late"
            case "ceremony":
                what = f"{pass_words(answer.piece)}: ceremony" if answer.piece else "Ceremony"
                side = "late" if answer.seconds > 0 else "early"
                return f"{what} {words.duration(abs(answer.seconds))} {side}"
            case "ships-out":
                ships = words.listed(str(ship) for ship in answer.ships)
                who = " (the leader and the next to lead)" if len(answer.ships) > 1 else ""
                return f"{'Ships' if len(answer.ships) > 1 else 'Ship'} {ships} out{who}"
            case "event-dropped":
                return f"{answer.piece} dropped"
            case "slower":
                return f"{words.knots(answer.kt)} less over the ground on every leg"
        fixed = FIXED_CHANGES[answer.kind]
        return f"{answer.piece}: {fixed[0].lower()}{fixed[1:]}" if answer.piece else fixed

    def parts(self, answer: Answer, after: SortieOutcome) -> Iterator[str]:
        if answer.until is not None:
            # leave-hold as printed elsewhere; a limit is never printed later than it is
            planned = answer.kind == "low-cloud"
            until = self.clock(answer.until if planned else words.time_limit(answer.until, "latest"))
            yield f"stay in the hold until {until} ({answer.stays})" if answer.stays else f"home at {until}"
        if answer.kind == "no-training" and after.takeoff != self.before.takeoff:
            yield f"take-off {self.clock(after.takeoff)}"
        yield from self.setups(answer, after)
        yield from self.time(answer, after)
        yield from self.flight(answer, after)
        if after.lowest_landing is not None:
            yield f"ship {after.lowest_ship} lands with {words.fuel_figure(after.lowest_landing, self.unit)}"
        else:
            yield "landing fuel NOT CHECKED"
        if fails := [
            gate.title
            for gate in answer.failing
            if gate.rule not in ("t-reachable", "hold-minimum", "set-ups")
        ]:
            yield f"FAILS: {words.listed(fails)}"

    def setups(self, answer: Answer, after: SortieOutcome) -> Iterator[str]:
        """Of each block of training, where it is asked for or another number than planned."""
        asks, blocks = answer.kind in ASKS_SETUPS, self.base.trainings
        if after.setups is not None and (asks or after.setups != self.before.setups):
            named = f"{blocks[0].id} " if len(blocks) > 1 else ""
            yield named + self.first_setups(after)
        for block in blocks[1:]:
            count = after.later_setups.get(block.id)
            if count is not None and (asks or count != block.setups_flown):
                yield f"{block.id} {words.counted(count, 'set-up')}{_too_few(count, block)}"

    def first_setups(self, after: SortieOutcome) -> str:
        bound = {
            "time": " (time)",
            "fuel": f" (fuel of ship {after.limiting_ship})",
            "planned": " (all planned)",
            "given": "",
        }[after.bound or "given"]
        few = _too_few(after.setups, self.base.trainings[0])
        return f"{words.counted(after.setups, 'set-up')}{bound}{few}"

    def time(self, answer: Answer, after: SortieOutcome) -> Iterator[str]:
        if answer.pass_off and answer.kind == "ships-out":
            least = self.base.mission.the_event.pass_.minimum_ships
            yield f"the pass is off (fewer than {words.counted(least, 'ship')})"
        elif answer.fate == "lost" and answer.pass_off:
            yield "the pass is lost"
        if answer.time_kept is None:
            return
        if len(self.base.passes) > 1:
            yield self.times(answer, after)
        elif answer.time_kept:
            yield (
                f"T kept{' by speed' if answer.by_speed else ''}"
                if after.true_time == self.before.true_time
                else f"T {self.clock(after.true_time)} {self.standing(answer, after)}"
            )
        elif answer.hold_short:
            yield (
                f"T {self.clock(after.true_time)} only with a hold of {words.duration(after.hold_s)}, under"
                " its minimum"
            )
        else:
            yield f"T {self.clock(after.true_time)} can't be met"
        if len(self.base.passes) == 1 and after.hold_s is not None and after.hold_s >= 0 and answer.time_kept:
            yield f"hold {words.duration(after.hold_s)}"

    def times(self, answer: Answer, after: SortieOutcome) -> str:
        """Of several passes: which T can be met."""
        if answer.missed:
            return f"T of {words.listed(map(pass_words, answer.missed))} can't be met"
        if answer.kind == "ceremony" and after.true_time is not None:
            said, because = self.beyond(answer, after)
            met = f"{said}: ask first ({because})" if said else "met"
            last = self.place(answer) == len(self.base.passes) - 1
            return f"T {self.clock(after.true_time)} {met}{'' if last else ', every later T kept'}"
        return "every other T kept" if answer.kind == "event-dropped" else "every T kept"

    def place(self, answer: Answer) -> int:
        """Which of the passes a change is about, the first is 0."""
        ids = [each.section.id for each in self.base.passes]
        return ids.index(answer.piece) if answer.piece in ids else 0

    def standing(self, answer: Answer, after: SortieOutcome) -> str:
        """``met``; of another time of the event than the flight accepts or can wait for, what cards and
        ``retime`` say."""
        said, because = self.beyond(answer, after)
        return f"{said}: ask first ({because})" if said else "met by speed" if answer.by_speed else "met"

    def beyond(self, answer: Answer, after: SortieOutcome) -> tuple[str, str]:
        if answer.kind != "ceremony" or after.true_time is None:
            return "", ""
        return verdict(each_pass(self.base)[self.place(answer)], after.true_time)

    def flight(self, answer: Answer, after: SortieOutcome) -> Iterator[str]:
        if answer.kind != "ships-out":
            return
        if after.ships[0] != self.before.ships[0]:
            yield _leader(after)
        if after.formation is not None and len(after.ships) > 1:
            yield after.formation
        if after.thirstiest is not None and after.thirstiest != self.before.thirstiest:
            yield f"ship {after.thirstiest} is now the thirstiest"

    def divert(self, divert: Diversion) -> WhatIfLine:
        start = {"area": "the area's exit", "hold": "the hold", "centre": "the centre"}[divert.where]
        of, whose = (f"-{divert.block}", f" of {divert.block}") if divert.block else ("", "")
        if len(self.base.passes) > 1 and divert.pass_ is not None:
            of, whose = f"-{divert.pass_.id}", f" of {pass_name(divert.pass_)}"
        change = f"Divert from {start}{whose} to {divert.place.id}"
        id = f"divert-{divert.where}{of}-{divert.place.id}"
        landed = f"{words.distance(divert.distance_nm)}, left at {self.clock(divert.leaves)}"
        landed += f", landed at {self.clock(divert.arrives)}" if divert.arrives is not None else ""
        if divert.fuel is None or divert.required is None:
            return WhatIfLine(id, change, f"{landed}, fuel NOT CHECKED", True, on_slide=False)
        needs = "" if divert.enough else f", MUST LAND WITH {words.fuel_figure(divert.required, self.unit)}"
        fuel = f"ship {divert.ship} lands with {words.fuel_figure(divert.fuel, self.unit)}{needs}"
        return WhatIfLine(id, change, f"{landed}, {fuel}", not divert.enough, on_slide=False)


def _too_few(setups: int, block: TrainingPlan) -> str:
    least = block.setups_minimum
    return f", fewer than the {least} worth flying" if setups < least else ""


def _day(base: Sortie) -> date:
    return (base.clock.true_time or base.clock.takeoff).date()


# ---------------------------------------------------------------- edges


def edge_lines(edges: Edges, base: Sortie) -> list[WhatIfLine]:
    """A line for each edge: the last whole second that works, what fails a second beyond it, and the gaps
    before it. Of several passes each names its own."""
    day, several = _day(base), len(base.passes) > 1
    lines = []
    if edges.latest_takeoff is not None:
        what = "Latest take-off that still makes every T" if several else EDGE_TITLES["latest-takeoff"]
        lines.append(_edge_line(edges.latest_takeoff, what, day))
    for own in edges.passes:
        lines += [_of_pass(line, own) if several else line for line in _pass_lines(own, day)]
    return lines


def _of_pass(line: WhatIfLine, own: PassEdges) -> WhatIfLine:
    id = long_id(own.section.id, line.id)
    return replace(line, id=id, change=f"{pass_name(own.section)}: {line.change[0].lower()}{line.change[1:]}")


def _pass_lines(own: PassEdges, day: date) -> list[WhatIfLine]:
    edges = (own.earliest_time, own.latest_time, own.keeps_next)
    lines = [_edge_line(edge, _edge_title(edge), day) for edge in edges if edge is not None]
    flown = "with the pass" if own.section.among == 1 else "with all that follows"
    for hold in own.longest_holds:
        until = words.time_limit(hold.until, "latest")
        text = f"{words.duration(down(hold.seconds))}, until {words.clock_z(until, day=day)}"
        lines.append(
            WhatIfLine(
                f"longest-hold-{hold.ship}",
                f"Longest hold of ship {hold.ship} that its fuel allows {flown}",
                text,
                False,
            )
        )
    return lines


def _edge_title(edge: Edge) -> str:
    return EDGE_TITLES[edge.kind] + (f" {pass_words(edge.keeps)}" if edge.keeps else "")


def _edge_line(edge: Edge, title: str, day: date) -> WhatIfLine:
    if edge.setups is not None:
        title += f" with {words.counted(edge.setups, 'set-up')}"
    if edge.unsettled:
        open_ones = f"the set-ups of {words.listed(edge.unsettled)} are settled anew with each T"
        return WhatIfLine(edge.kind, title, f"{NOT_CHECKED}: {open_ones}", False)
    if edge.as_early_as_it_can:
        text = "not moved by itself: its T is the first second that it can make after the pass before it"
        return WhatIfLine(edge.kind, title, text, False)
    if edge.at is None:
        return WhatIfLine(
            edge.kind,
            title,
            "none found: the plan as written doesn't work either, or nothing bounds it",
            False,
        )
    text = words.clock_z(
        words.time_limit(edge.at, "earliest" if edge.kind == "earliest-time" else "latest"), day=day
    )
    if edge.broken:
        text += f", a second beyond fails {words.listed(gate.title for gate in edge.broken)}"
    for first, last in edge.gaps:
        text += (
            f"; no whole number of laps gives {words.clock_z(first, day=day)} to"
            f" {words.clock_z(last, day=day)}"
        )
    return WhatIfLine(edge.kind, title, text, False)


def _leader(after: SortieOutcome) -> str:
    """Who leads; that a ship comes first does not make its crew one that may."""
    if after.may_lead is None:
        return f"ship {after.ships[0]} leads (may lead: NOT CHECKED)"
    return f"ship {after.ships[0]} leads" if after.may_lead else f"ship {after.ships[0]} first, MAY NOT LEAD"
