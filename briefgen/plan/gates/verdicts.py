"""Building a gate's record: the comparison, the margin, and what to say when data are missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field, replace
from datetime import datetime
from typing import Literal, TypedDict, Unpack

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.read.flow import place_in
from briefgen.mission.resolve.sections import long_id
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.plan.fuel.flows import time_words
from briefgen.plan.model import EventPlan, Gate, Mend, Source, UnknownAir, Verdict
from briefgen.plan.regimes import regime
from briefgen.plan.sortie import Sortie
from briefgen.units.blank import only_keeps_place
from briefgen.units.people import names_nobody

PASS: KeyPath = ("event", "pass")
TRAINING: KeyPath = ("training",)
UNIT = Source("the unit's own", ("unit",))
DEFAULT = Source("default, no authority", ("default",))
NOBODYS = "nobody says whose forecast it is"
AFTER_THE_SORTIE = "its date lies after the sortie: nobody can have done it yet"
COMMON = Source("common practice, no source", ("common practice",))
SUMS = Source("arithmetic of this plan", ("arithmetic",))
ZERO_LIMIT = "a limit of zero keeps nothing away: give a figure, or say why none is needed"


class Changes(TypedDict, total=False):
    """What may be changed of an ``About``."""

    id: str
    title: str
    unit: str
    source: Source
    cause: KeyPath
    remedy: str
    mends: tuple[Mend, ...]


@record
class About:
    """What a gate is about: everything that does not depend on the figures. ``never_waived``: no waiver is
    accepted. ``mends``: what the remedy proposes for which keys."""

    id: str
    title: str
    unit: str
    source: Source
    cause: KeyPath
    remedy: str = ""
    never_waived: bool = field(default=False)
    mends: tuple[Mend, ...] = field(default=())

    def but(self, **changes: Unpack[Changes]) -> About:
        """The same with some things changed."""
        return replace(self, **changes)


@record
class Limit:
    """A limit and whose it is: the unit's own, or a published default. ``published``: the published figure
    that the unit's own is looser than. ``most``: a figure must not be above it; else not below it."""

    value: float
    source: Source
    published: float | None = field(default=None)
    most: bool = field(default=False)


def limit_of(s: Sortie, own: float | None, key: str, *, most: bool = False) -> Limit | None:
    """The unit's own figure, else what the regime says under ``key``, else None. One looser than the regime's
    remembers that, and names both sources."""
    figure = regime(s.mission.file.limits.regime).figure(key)
    if own is None:
        return (
            None if figure is None else Limit(figure.value, Source(figure.words, ("published",)), most=most)
        )
    if figure is None or (own <= figure.value if most else own >= figure.value):
        return Limit(own, UNIT, most=most)
    both = Source(
        f"{UNIT.words}, {'higher' if most else 'lower'} than the {figure.words}", ("unit", "published")
    )
    return Limit(own, both, figure.value, most)


def elevation_of(place: str) -> KeyPath:
    """The key of a place's elevation."""
    return ("places", place, "elevation")


def air_words(air: UnknownAir) -> str:
    """Why a height that would do in the standard atmosphere is no PASS."""
    if not air.standard:
        return NOBODYS
    given = "neither a QNH nor a temperature" if len(air.lacks) > 1 else f"no {air.lacks[0]}"
    if air.far_nm is not None and air.anywhere:
        return (
            f"{given} is given within {WEATHER_NEAR_NM:.0f} nm ({DEFAULT.words}) of all of the area, the"
            f" nearest QNH {air.far_nm:.1f} nm from its farthest part, and nothing says where in it this"
            " ground stands: give a place there with its elevation"
        )
    if air.far_nm is not None:
        return (
            f"{given} is given within {WEATHER_NEAR_NM:.0f} nm ({DEFAULT.words}), the nearest QNH"
            f" {air.far_nm:.1f} nm away: a lower one brings the flight lower than this"
        )
    return f"{given} is given: cold air or a low pressure brings the flight lower than this"


def span_words(seconds: float) -> str:
    """``45 s``, ``1 min 30 s``, ``42 min 17 s``: a length of time in a reason, whole seconds."""
    return time_words(float(round(seconds)))


def landing_late_s(s: Sortie) -> float:
    """By how many seconds the landing is later with the slips that are accepted: after the last pass nothing
    gives; 0 for a sortie that goes home without one."""
    return s.passes[-1].section.event.late_s if s.passes else 0.0


def slip_included(s: Sortie) -> str:
    """``, slip included`` at the end of a title; empty where nothing slips."""
    return ", slip included" if s.passes else ""


def of_piece(s: Sortie, p: EventPlan, gate: Gate) -> Gate:
    """A gate that judged a pass, under its whole id; where there are several, named by it."""
    name = p.section.name if len(s.passes) > 1 else ""
    return _placed(gate, p.section.id, p.section.where, name)


def of_training(s: Sortie, gate: Gate) -> Gate:
    """A gate that judged the block of training that a sortie is seen from, as ``of_piece``."""
    block = next(block for block in s.mission.blocks if block.id == s.the_block.id)
    return _placed(gate, block.id, {TRAINING: block.cause}, block.id if len(s.mission.blocks) > 1 else "")


def _placed(gate: Gate, piece: str, where: Mapping[KeyPath, KeyPath], name: str) -> Gate:
    settled_by = gate.settled_by
    return replace(
        gate,
        id=long_id(piece, gate.id),
        rule_id=gate.id,
        piece=piece,
        title=f"{gate.title} ({name})" if name else gate.title,
        cause=place_in(where, gate.cause),
        settled_by=None if settled_by is None else place_in(where, settled_by),
        also=tuple(place_in(where, key) for key in gate.also),
        mends=tuple(replace(mend, key=place_in(where, mend.key)) for mend in gate.mends),
    )


def not_checked(
    about: About,
    why: str,
    *,
    value: float | str | datetime | None = None,
    key: KeyPath | None = None,
    also: tuple[KeyPath, ...] = (),
) -> Gate:
    """Data are missing: ``why`` says which, ``key`` where in the file they belong (left out: what the gate is
    about), ``also`` what is missing beside."""
    gate = _gate(about, "NOT CHECKED", value, why=why)
    return replace(gate, lacks="data", settled_by=key or about.cause, also=also)


def if_named(about: About, gate: Gate, text: str | None, key: KeyPath) -> Gate:
    """A gate that holds because of an entry of the file: where a name, a source, a reference or a contact
    of that entry only keeps its place, what would do is not checked. What isn't written at all keeps no
    place."""
    what = key[-1] if key[-1] in ("reference", "authority", "source", "contact") else "name"
    empty = text is not None and names_nobody(text) if what == "name" else only_keeps_place(text)
    if gate.verdict != "PASS" or not empty:
        return gate
    return not_checked(about, f"no {what} is given yet, only {text}", value=gate.value, key=key)


def no_limit(
    about: About,
    value: float | str | datetime,
    *,
    key: KeyPath | None = None,
    also: tuple[KeyPath, ...] = (),
) -> Gate:
    """There is a figure, but neither the regime nor the file has a limit for it; ``key`` takes one, ``also``
    what is missing then."""
    return replace(not_checked(about, "no limit given", value=value, key=key, also=also), lacks="limit")


def words(about: About, good: bool, value: str, limit: str, *, worse: Verdict = "FAIL") -> Gate:
    """A gate about a fact rather than a figure."""
    return _gate(about, "PASS" if good else worse, value, limit, why="" if good else about.remedy)


def at_least(
    about: About, value: float, limit: float, *, worse: Verdict = "FAIL", caution_below: float | None = None
) -> Gate:
    """``value`` must not be below ``limit``; below ``caution_below`` (where given) it is a CAUTION still."""
    return _judged(
        about,
        value,
        limit,
        margin=value - limit,
        sense="at least",
        worse=worse,
        caution=caution_below is not None and value < caution_below,
    )


def at_most(
    about: About, value: float, limit: float, *, worse: Verdict = "FAIL", caution_above: float | None = None
) -> Gate:
    """``value`` must not be above ``limit``; above ``caution_above`` (where given) it is a CAUTION still."""
    return _judged(
        about,
        value,
        limit,
        margin=limit - value,
        sense="at most",
        worse=worse,
        caution=caution_above is not None and value > caution_above,
    )


def not_after(about: About, value: datetime, limit: datetime, *, worse: Verdict = "FAIL") -> Gate:
    """An instant must not be later than another; the margin is in seconds."""
    margin = (limit - value).total_seconds()
    return _judged(about, value, limit, margin=margin, sense="at most", worse=worse, caution=False)


def not_before(about: About, value: datetime, limit: datetime, *, worse: Verdict = "FAIL") -> Gate:
    """An instant must not be earlier than another; the margin is in seconds."""
    margin = (value - limit).total_seconds()
    return _judged(about, value, limit, margin=margin, sense="at least", worse=worse, caution=False)


def against(about: About, value: float, limit: Limit, *, worse: Verdict = "FAIL", scale: float = 1.0) -> Gate:
    """``value`` against the limit; where the unit's own is looser than a published one, what lies between
    them is a CAUTION. ``scale``: units of value in one of the limit."""
    own, published = limit.value * scale, None if limit.published is None else limit.published * scale
    if published is not None and (published < value <= own if limit.most else own <= value < published):
        looser = "higher" if limit.most else "lower"
        figure = (
            span_words(published)
            if about.unit == "s"
            else f"{published:.{2 if published < 20 else 0}f} {about.unit}"
        )
        whose = f"by what authority the unit's {looser} one is flown"
        remedy = f"the published figure is {figure}: tell whoever approves {whose}"
        about = about.but(remedy=remedy, mends=())
    if limit.most:
        return at_most(about, value, own, worse=worse, caution_above=published)
    return at_least(about, value, own, worse=worse, caution_below=published)


def too_low(limit: Limit, clearance_ft: float) -> Verdict:
    """What a height below its limit is: below a limit of our own guess a CAUTION, as long as it is above what
    stands there."""
    return "CAUTION" if limit.source.of_limit == "default" and clearance_ft > 0 else "FAIL"


def _judged(
    about: About,
    value: float | datetime,
    limit: float | datetime,
    *,
    margin: float,
    sense: Literal["at least", "at most", "within"],
    worse: Verdict,
    caution: bool,
) -> Gate:
    zero = sense == "at least" and limit == 0 and about.source.of_limit == "unit"
    verdict: Verdict = worse if margin < 0 else "CAUTION" if caution or zero else "PASS"
    why = "" if verdict == "PASS" else ZERO_LIMIT if zero and margin >= 0 else about.remedy
    return _gate(about, verdict, value, limit, margin=margin, why=why, sense=sense)


def _gate(
    about: About,
    verdict: Verdict,
    value: float | str | datetime | None,
    limit: float | str | datetime | None = None,
    *,
    margin: float | None = None,
    why: str,
    sense: Literal["at least", "at most", "within", ""] = "",
) -> Gate:
    return Gate(
        id=about.id,
        title=about.title,
        verdict=verdict,
        value=value,
        limit=limit,
        margin=margin,
        unit=about.unit,
        sense=sense,
        why=why,
        source=about.source.words,
        basis=about.source.basis,
        cause=about.cause,
        waivable=not about.never_waived,
        mends=() if verdict == "PASS" else about.mends,
    )
