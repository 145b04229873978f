"""Sun and gates. Units and conventions: the package's docstring."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from typing import Literal, get_args

from briefgen.airmath.sun import SUNRISE_DEG, EventKind, SunEvent, SunState
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import inner, record
from briefgen.plan.model.legs import Point

SunFor = Literal["take-off", "training", "the pass", "last landing"]


@record
class SunAt:
    """The sun at one place at an instant, and on the local date of that instant in ``zone``.

    ``events`` are all of that date in order of time: one kind may come twice or not at all, and ``words``,
    the ``states`` in one line, say what the missing ones mean ("up all day", "civil twilight all night").
    ``civil_dawn`` to ``civil_dusk`` are the first of each kind, None without one, for readers of
    ``plan.json`` who knew no second.  ``before`` and ``after`` are the sunrise or sunset on each side of
    ``at``, on whatever date; None where there is none for a day.  ``piece``: the block or the pass that it
    was looked up for, empty for the sortie's.
    """

    point: Point
    zone: str
    civil_dawn: datetime | None
    sunrise: datetime | None
    sunset: datetime | None
    civil_dusk: datetime | None
    events: tuple[SunEvent, ...]
    words: str
    states: tuple[SunState, ...]
    used_for: SunFor
    at: datetime
    elevation_deg: float
    azimuth_true_deg: float
    before: SunEvent | None
    after: SunEvent | None
    piece: str = inner(default="")

    def all_of(self, kind: EventKind) -> tuple[datetime, ...]:
        """Every instant of that kind on the date, in order of time."""
        return tuple(event.instant for event in self.events if event.kind == kind)

    @property
    def up(self) -> bool:
        """True from sunrise to sunset."""
        return self.elevation_deg >= SUNRISE_DEG


MOST_ENTRIES = 100  # of any list of the file that has a gate for each: more than the schema lets in
Verdict = Literal["PASS", "CAUTION", "FAIL", "NOT CHECKED", "WAIVED"]
WORST_FIRST: tuple[Verdict, ...] = ("FAIL", "CAUTION", "NOT CHECKED", "WAIVED", "PASS")
# whose a figure is: the unit's own, a published one taken because the unit gives none, what a published rule
# says without such a figure, a guess of this program, a habit of the trade without a source, worked out in
# this plan, granted by somebody, a fact of the mission file
Basis = Literal[
    "unit", "published", "rule", "default", "common practice", "arithmetic", "permission", "as given"
]
Topic = Literal[
    "heights", "fuel", "formation", "crew", "weather", "time", "ground", "area", "briefed", "other"
]
# what comes of it when a gate that is open should have stopped the flight, in the order in which a supervisor
# thinks of it; no rule asks for these groups
Stake = Literal[
    "ground",
    "spectators",
    "meeting",
    "fuel",
    "weather",
    "aircraft",
    "people",
    "no limit",
    "not allowed",
    "the second",
    "other",
]


@record
class Source:
    """Where the figures of a judgement come from: in printed words, and as what decides. ``basis``: the
    limit's first, then what else it rests on."""

    words: str
    basis: tuple[Basis, ...]

    @property
    def of_limit(self) -> Basis:
        """Whose the limit is."""
        return self.basis[0]

    def also(self, words: str, *basis: Basis) -> Source:
        """The same with something more that the judgement rests on."""
        return Source(f"{self.words}; {words}", (*self.basis, *basis))

    def beside(self, what: str, other: Source) -> Source:
        """The same with where another figure comes from, unless both come from one place."""
        return self if other == self else self.also(f"{what}: {other.words}", *other.basis)


@record
class GateIds:
    """The id of a gate, or with a ``pattern`` the ids of one that stands once for each entry of a list of the
    file; ``name`` then has N in the place of the number."""

    name: str
    pattern: str = ""

    @property
    def numbered(self) -> bool:
        """Whether it stands for the entries of a list."""
        return self.pattern != ""

    def all(self) -> frozenset[str]:
        """Every id that there can be."""
        if not self.numbered:
            return frozenset({self.name})
        return frozenset(self.pattern.format(n) for n in range(1, MOST_ENTRIES + 1))


@record
class Mend:
    """A key of the file and what to write there, such as ``2790 ft MSL``; empty where only the unit knows.
    ``ft``: of a level, its height."""

    key: KeyPath
    written: str
    ft: float | None = inner(default=None)


@record
class Margin:
    """By how much one of several that a gate judges together misses the limit, in its unit."""

    name: str
    margin: float


@record
class LowOver:
    """How far above ``name`` a way passes, less than its limit."""

    way: str
    name: str
    clearance_ft: float


@record
class Gate:
    """One judged figure.

    ``id`` is stable. ``value``, ``limit`` and ``margin`` are numbers in ``unit``, instants (unit "instant")
    or words. ``sense``: "at least", "at most", "within" or "" for words. ``why`` is always filled for NOT
    CHECKED, FAIL and CAUTION and says what to do. ``source``: regulation and section, the unit's own, or
    "default, no authority", in words; ``basis`` is the same as what decides, the limit's first, then what
    else the judgement rests on (empty in a plan recorded before it was told). ``topic``: under what people
    look for it. ``stake``: what comes of it where it should have stopped the flight. ``forecast``: it holds
    the weather that is forecast against its minima. ``calm``: its figures depend on the winds aloft and are
    worked out in still air, because the file gives none. ``party``: which of the mission's parties it is
    about, counted from 1; None for every other gate. ``concerns``: what a gate that is NOT CHECKED stands
    for, by name, where that is more than its key says. ``lacks``: what keeps a gate NOT CHECKED, a limit
    that neither the file nor its regime gives, or data; empty for every other verdict. ``settled_by``: the
    key of the mission file that settles a NOT CHECKED gate, or a CAUTION about a guess; None for every
    other. ``also``: the further keys that are missing for it. ``keys``: those that have to fit each other,
    where a gate fails on more than its ``cause``.
    ``margins``: of several things that it judges together (legs) those that miss the limit. ``mends``: the
    keys that ``why`` is about, and what it proposes for them. ``lowest``: of the heights over what is known
    under a way those that are below their limit, the least.
    """

    id: str
    title: str
    verdict: Verdict
    value: float | str | datetime | None
    limit: float | str | datetime | None
    margin: float | None
    unit: str
    sense: Literal["at least", "at most", "within", ""]
    why: str
    source: str
    cause: KeyPath
    waivable: bool = True
    waiver: str = ""
    lacks: Literal["limit", "data", ""] = ""
    settled_by: KeyPath | None = None
    basis: tuple[Basis, ...] = ()
    topic: Topic = "other"
    forecast: bool = False
    calm: bool = False
    stake: Stake = "other"
    party: int | None = None
    concerns: tuple[str, ...] = ()
    keys: tuple[KeyPath, ...] = ()
    margins: tuple[Margin, ...] = ()
    mends: tuple[Mend, ...] = inner(default=())
    lowest: LowOver | None = inner(default=None)
    also: tuple[KeyPath, ...] = inner(default=())
    rule_id: str = inner(default="")  # where the id has the piece that was judged before it
    piece: str = inner(default="")  # the block or pass that was judged, empty: the sortie

    @property
    def rule(self) -> str:
        """Which rule judged it: its id without the piece that it judged."""
        return self.rule_id or self.id

    @property
    def guessed(self) -> bool:
        """Its limit is one that nobody has published or given."""
        return self.basis[:1] in (("default",), ("common practice",))

    @property
    def by_default(self) -> bool:
        """Some figure of it stands in for one that the unit hasn't given: published, or a guess."""
        return bool({"default", "published"} & set(self.basis))


def worst_first(gates: Iterable[Gate]) -> list[Gate]:
    """The gates in the order of what is at stake; those with the same in their own order."""
    order = get_args(Stake)
    return sorted(gates, key=lambda gate: order.index(gate.stake))
