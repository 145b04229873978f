"""The headings on the side of a pass: hold, run-in, egress and what is flown after it."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.cards.common import grid
from briefgen.brief.cards.model import Grid, Run
from briefgen.brief.cards.presets import presets_from
from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import flown_level
from briefgen.brief.wording.hold import entry_words, first_heading, outbound_legs
from briefgen.brief.wording.leg_times import legs_s
from briefgen.brief.wording.words import Words, course_words, magnetic_or_true, short_course
from briefgen.core.records import record
from briefgen.mission.schema.base import FromPhase
from briefgen.plan.model import HoldPlan, Leg, LegKind
from briefgen.plan.one_pass import legs_from

_NAMES = {"hold to IP": "To", "run-in": "Run-in", "egress": "Egress"}
# the phases that a preset may be `from`, by the leg with which they begin
_BEGINS: dict[LegKind, tuple[FromPhase, ...]] = {
    "run-in": ("run_in",),
    "egress": ("egress",),
    "recovery": ("recovery",),
}
_AFTER = {"recovery": "Home", "transit": "On"}


@record
class _Row:
    """A leg of the hold, or behind it. ``name`` and every value worded already, empty where it has none."""

    name: str
    course: str
    heading: str
    level: str
    cas: str
    gs: str = ""
    nm: str = ""
    time: str = ""

    @property
    def cells(self) -> tuple[str, ...]:
        """In the order of the columns."""
        return (self.name, self.course, self.heading, self.level, self.cas, self.gs, self.nm, self.time)

    @property
    def said(self) -> tuple[str, str]:
        """The same in a paragraph, every figure with what it is."""
        course = f" on course {self.course}" if self.course else ""
        figures = (("CAS ", self.cas, ""), ("GS ", self.gs, ""), ("", self.nm, " nm"), ("", self.time, ""))
        told = (f"{before}{figure}{unit}" for before, figure, unit in figures if figure)
        return f"{self.name}:", ", ".join((f"{self.heading}{course}", self.level, *told))


def headings(w: Words, *, to_ip: bool = True) -> Grid | None:
    """One row a leg from the hold on, with or without that ``to_ip``, whose heading and level stand in a box
    too; None for a mission without any."""
    columns = [
        ("", "1fr", "l"),
        ("Course", "auto", "r"),
        ("Heading", "auto", "r"),
        ("Level", "auto", "r"),
        ("CAS", "auto", "r"),
        ("GS", "auto", "r"),
        ("nm", "auto", "r"),
        ("Time", "auto", "r"),
    ]
    cells = [row.cells for row in _rows(w, home=True, to_ip=to_ip)]
    return grid("", columns, cells, note=_note(w), name="Headings")


def headings_run(w: Words, *, home: bool = True, egress: bool = True) -> Run | None:
    """The same in a paragraph of smaller letters, with or without the way ``home`` (or on to the next pass or
    block of training), and the ``egress``."""
    said = tuple(row.said for row in _rows(w, home=home, to_ip=False, egress=egress))
    return Run("FLY", said, note=_note(w), told=True) if said else None


def _note(w: Words) -> str:
    event = w.plan.event
    return "" if event is None or event.hold is None else _hold_note(event.hold)


def _rows(w: Words, *, home: bool, to_ip: bool, egress: bool = True) -> Iterator[_Row]:
    event = w.plan.event
    if event is not None and event.hold is not None:
        yield from _hold_rows(w, event.hold)
    legs = tuple(w.plan.legs if event is None else legs_from(w.plan, event))
    for before, leg in zip((None, *legs), legs, strict=False):
        name = _NAMES.get(leg.kind) or (_AFTER.get(leg.kind) if home else None)
        if name is not None and (to_ip or leg.kind != "hold to IP") and (egress or leg.kind != "egress"):
            begins = before is None or before.kind != leg.kind
            yield _leg_row(w, leg, name, _BEGINS.get(leg.kind, ()) if begins else ())


def _hold_rows(w: Words, hold: HoldPlan) -> Iterator[_Row]:
    level = flown_level(w.mission.the_event.pass_.hold.level, hold.altitude_ft)
    cas, first = words.knots_bare(hold.cas_kt), first_heading(w.mission, hold)
    outbound = course_words(w.mission, hold.fix, hold.outbound_heading_true_deg)
    leg = outbound_legs(hold, words.duration_clock, each="")
    name = f"Out, {hold.turns}" + (f"; lap 1 {first}" if first else "")
    yield _Row(name, "", outbound, level, cas, time=leg)
    inbound = course_words(w.mission, hold.fix, hold.inbound_heading_true_deg)
    course = course_words(w.mission, hold.fix, hold.inbound_course_true_deg)
    gs = words.knots_bare(hold.inbound_gs_kt)
    yield _Row(f"In, {words.counted(len(hold.laps), 'lap')}", course, inbound, level, cas, gs)


def _leg_row(w: Words, leg: Leg, name: str, begins: tuple[FromPhase, ...]) -> _Row:
    """``begins``: the phase that begins with it. A preset is taken at the start of a leg, or at the base."""
    on = presets_from(w, leg.start.id, *begins)
    at_base = presets_from(w, leg.end.id) if leg.end.id == w.mission.file.ground_ops.base else ""
    radio = (f"on preset {on}" if on else "", f"then preset {at_base}" if at_base else "")
    return _Row(
        ", ".join(filter(None, (_leg_name(w, leg, name), *radio))),
        short_course(leg),
        magnetic_or_true(leg.heading_magnetic_deg, leg.heading_true_deg),
        flown_level(leg.level, leg.altitude_ft),
        words.knots_bare(leg.cas_kt),
        words.knots_bare(leg.gs_kt),
        words.distance_bare(leg.distance_nm),
        words.duration_clock(_seconds(w, leg)),
    )


def _hold_note(hold: HoldPlan) -> str:
    """That the wait can't be flown, with the nearest two that can, and how the flight comes into the hold
    where that is no direct entry."""
    unflown = (
        ""
        if hold.flyable
        else (
            "This wait cannot be flown: nearest"
            f" {words.listed((words.duration(s) for s in hold.nearest_s), 'or') or 'none'}."
        )
    )
    entry = entry_words(hold)
    return " ".join(filter(None, (unflown, f"{entry}." if entry else "")))


def _leg_name(w: Words, leg: Leg, name: str) -> str:
    if leg.kind == "run-in":
        return "Run-in to SET" if _to_set(w, leg) else name
    return name if leg.end.is_egress_end else f"{name} {leg.end.id}"


def _to_set(w: Words, leg: Leg) -> bool:
    """Whether it is a run-in that ends at the SET time by its own speed: where the flight pushes up, T is
    sooner by the bias."""
    return leg.kind == "run-in" and w.plan.event is not None and w.plan.event.push is not None


def _seconds(w: Words, leg: Leg) -> float:
    """A run-in that is pushed up at its own speed, so from the IP to the SET time."""
    event = w.plan.event
    return words.between_s(event.ip_time, event.set_time) if _to_set(w, leg) else legs_s(w.plan, [leg])
