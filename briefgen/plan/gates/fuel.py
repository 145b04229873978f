"""Fuel, judged on the printed figures; the unit's own limits, and a reserve against them, exactly."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import takewhile

from briefgen.airmath.sun import CIVIL_DEG, elevation_deg
from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.sections import BlockSection, long_id
from briefgen.plan.fuel.alternate import Doubt, alternate_required, by_weather
from briefgen.plan.fuel.checks import missing
from briefgen.plan.fuel.flight import hold_limit_s, landing_floor, on_the_way
from briefgen.plan.fuel.of_mission import fuel_inputs
from briefgen.plan.fuel.rounding import as_typed
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.verdicts import (
    SUMS,
    UNIT,
    About,
    against,
    at_least,
    at_most,
    landing_late_s,
    limit_of,
    no_limit,
    not_checked,
    words,
)
from briefgen.plan.model import Bingo, EventPlan, FuelPlan, FuelSum, Gate, ShipFuel, Source
from briefgen.plan.regimes import regime
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later
from briefgen.plan.timing.training import least_joker_margin
from briefgen.units.grammar import listed
from briefgen.units.rounding import typed
from briefgen.units.values import Duration, FuelUnit

NO_FUEL = "fuel can't be worked out: the notes say what is missing"


def _unknown(s: Sortie, about: About) -> Gate:
    """Fuel that can't be worked out, with the first key that it lacks."""
    inputs, found = fuel_inputs(s.mission, s.clock)
    lacking = [problem.cause for problem in (found if inputs is None else missing(inputs, s.clock))]
    return not_checked(about, NO_FUEL, key=next(iter(lacking), ("fuel",)))


def _tier_key(s: Sortie, number: int, tier: str) -> KeyPath:
    """A tier of the type that a ship is of."""
    return ("aircraft", s.mission.ship(number).aircraft, "tiers", tier)


def fuel_order(s: Sortie) -> Iterator[Gate]:
    """emergency < minimum <= normal landing <= bingo < joker, for every ship, the tiers as typed; where the
    regime uses ICAO's words the reserve is at most the emergency and the minimum figure too."""
    about = text("fuel-order")
    if s.fuel is None:
        yield _unknown(s, about)
        return
    ladders = [(ship.ship, ladder) for ship in s.fuel.ships for ladder in _ladders(s, ship)]
    if all(len(ladder) < 2 for _, ladder in ladders):
        yield not_checked(
            about,
            "neither minimum, emergency nor normal landing fuel is given",
            key=_tier_key(s, s.fuel.ships[0].ship, "minimum"),
        )
        return
    icao = regime(s.mission.file.limits.regime).icao_fuel_words
    found = [
        (rise, ship)
        for ship, ladder in ladders
        for rise in _rises([*([_reserve_rung(s.fuel, ship)] if icao else []), *ladder])
    ]
    wrong = {rise.rung.key: (rise, ship) for rise, ship in sorted(found, key=lambda row: row[0].floor)}
    unit = s.mission.file.fuel.display
    about = about.but(remedy="; ".join(f"ship {ship}: {rise.words(unit)}" for rise, ship in wrong.values()))
    gate = words(about, not wrong, "in order" if not wrong else "out of order", "in order")
    lowest = [rise.onto.key for rise, _ in wrong.values()]
    yield replace(gate, keys=tuple(dict.fromkeys((*wrong, *lowest))))


@record
class _Rung:
    """One figure of the ladder; ``strict``: it lies above the one before, not level with it."""

    name: str
    figure: float
    strict: bool
    key: KeyPath


@record
class _Rise:
    """A figure that must rise at least to ``floor``, or above it, and the one below that asks for it."""

    rung: _Rung
    onto: _Rung
    strict: bool

    @property
    def floor(self) -> float:
        """What it must reach."""
        return self.onto.figure

    def words(self, unit: FuelUnit) -> str:
        """``minimum 500 lb must be above 500 lb (reserve)``."""
        how = "above" if self.strict else "at least"
        figure, floor = (f"{typed(amount)} {unit}" for amount in (self.rung.figure, self.floor))
        return f"{self.rung.name} {figure} must be {how} {floor} ({self.onto.name})"


def _rises(ladder: list[_Rung]) -> Iterator[_Rise]:
    """Everything that has to rise, in one go: what stands above a figure that rises rises with it."""
    onto, above = ladder[0], False
    for rung in ladder[1:]:
        above = above or rung.strict
        if rung.figure < onto.figure or (above and rung.figure == onto.figure):
            yield _Rise(rung, onto, above)
        else:
            onto, above = rung, False


def _reserve_rung(fuel: FuelPlan, number: int) -> _Rung:
    """MAYDAY FUEL is said when the flight will land below its final reserve: no tier named for that may lie
    below the reserve. A reserve that is a time is worked out exactly, not up to the step: a step may be a
    third of a light aircraft's tier."""
    ship = next(ship for ship in fuel.ships if ship.ship == number)
    return _Rung("reserve", as_typed(ship.reserve.exact_lb, ship.scale), False, ("fuel", "reserve"))


def _ladders(s: Sortie, ship: ShipFuel) -> Iterator[list[_Rung]]:
    """The ladder of each block of training, with the bingo of the first pass where that is flown later, and
    without joker that of a first pass which no training leads to."""
    leads = isinstance(s.mission.first_piece, BlockSection)
    for block in ship.blocks:
        event = ship.bingo_event if leads and block is ship.blocks[0] else None
        yield _ladder(s, ship, (block.bingo_training, event), block.joker)
    if not leads or not ship.blocks:
        yield _ladder(s, ship, (ship.bingo_event,), None)


def _ladder(s: Sortie, ship: ShipFuel, bingos: Sequence[Bingo | None], joker: FuelSum | None) -> list[_Rung]:
    """The unit's tiers, bingo and joker, those that there are."""
    tiers = {tier.id: tier.printed for tier in ship.tiers}
    both = tiers["emergency"] is not None
    rungs = [
        (name.replace("_", " "), tiers[name], both and name == "minimum", _tier_key(s, ship.ship, name))
        for name in ("emergency", "minimum", "normal_landing")
    ]
    figures = sorted(bingo.sum.figure for bingo in bingos if bingo is not None)
    rungs += [("bingo", bingo, False, ("fuel", "joker_pad")) for bingo in figures]
    rungs += [("joker", joker.figure, True, ("fuel", "joker_pad"))] if joker is not None else []
    return [_Rung(name, figure, strict, key) for name, figure, strict, key in rungs if figure is not None]


def _more_fuel(s: Sortie, *others: str, before: str = "") -> str:
    """What a ship that is short can do, of what the mission has, up to a phase; without one all that it
    has."""
    kinds = {phase.kind for phase in takewhile(lambda phase: phase.id != before, s.clock.phases)}
    can = {"hold": "a shorter hold", "set-up": "fewer set-ups"}
    ways = ["more fuel", *others, *(words for kind, words in can.items() if kind in kinds)]
    return listed(ways)


def way_home_fuel(s: Sortie) -> Iterator[Gate]:
    """At each point where no other gate says so, every ship has what it needs to go home from there, as
    printed: the first point that falls short, else the one that comes nearest to it."""
    about = text("way-home-fuel").but(unit=s.mission.file.fuel.display)
    if s.fuel is None:
        yield _unknown(s, about)
        return
    points = on_the_way(s.fuel, s.clock)
    if not points:
        return
    first = next((at.phase_id for at in points if at.spare < 0), None)
    worst = min((at for at in points if first in (None, at.phase_id)), key=lambda at: (at.spare, at.ship))
    named = about.but(
        title=f"{about.title} from {worst.point.said} (ship {worst.ship})",
        remedy=_more_fuel(s, before=worst.phase_id),
    )
    yield at_least(named, worst.remaining, worst.required)


def alternate_carried(s: Sortie) -> bool:
    """Whether the fuel to go to the alternate is carried."""
    return alternate_required(s.mission, s.clock)[0]


def alternate_fuel(s: Sortie) -> Iterator[Gate]:
    """Where the alternate's fuel is carried, every ship lands at base with enough to go there still; where
    the file says that it is not carried, or names none, the weather at home says so too."""
    recovery = s.mission.file.recovery
    carried, because = alternate_required(s.mission, s.clock)
    about = text("alternate-fuel")
    doubt = None if carried else by_weather(s.mission, s.clock)
    if recovery is None or recovery.alternate is None:
        yield from _none_named(about, doubt)
    elif carried:
        yield _alternate_carried(s, about, because)
    elif doubt is not None and doubt.key is not None:
        yield not_checked(about, f"it isn't carried, and {doubt.words}", key=doubt.key)
    elif doubt is not None:
        yield words(
            about.but(remedy=f"it isn't carried, and {doubt.words}; {about.remedy}"),
            False,
            "not carried",
            "carried or not needed",
            worse="CAUTION",
        )
    else:
        yield words(about, True, "not carried", "carried or not needed")


def _none_named(about: About, doubt: Doubt | None) -> Iterator[Gate]:
    """An alternate that nobody has named is not spared by leaving it out; where the weather needs none there
    is nothing to say."""
    if doubt is not None:
        named = about.but(cause=("recovery", "alternate"))
        yield not_checked(named, f"no alternate is named, and {doubt.words}", key=doubt.key)


def _alternate_carried(s: Sortie, about: About, because: str) -> Gate:
    """The ship that lands with least beyond landing fuel and the way to the alternate."""
    if s.fuel is None:
        return _unknown(s, about)
    nearest = min(s.fuel.ships, key=lambda ship: ship.landing_predicted - ship.base_required)
    about = about.but(
        title=f"{about.title} and landing fuel, left at base (ship {nearest.ship})",
        unit=s.fuel.unit,
        source=SUMS.also(f"required: {because}", "as given"),
        remedy=_more_fuel(s),
    )
    return at_least(about, nearest.landing_predicted, nearest.base_required)


def landing_fuel(s: Sortie) -> Iterator[Gate]:
    """Every ship lands with at least what is required; below the emergency figure no waiver helps."""
    about = text("landing-fuel").but(unit=s.mission.file.fuel.display)
    if s.fuel is None:
        yield _unknown(s, about)
        return
    nearest = min(s.fuel.ships, key=lambda ship: ship.landing_predicted - landing_floor(ship))
    about = about.but(
        title=f"{about.title} (ship {nearest.ship})",
        source=_floor_source(nearest) or about.source,
        remedy=_more_fuel(s),
        cause=("fuel", "reserve"),
    )
    floor = landing_floor(nearest)
    yield (
        at_least(about, nearest.landing_predicted, floor)
        if floor > 0
        else no_limit(about, nearest.landing_predicted)
    )
    yield _landing_emergency(s)


def _floor_source(ship: ShipFuel) -> Source | None:
    """Whose figure a ship has to land with: what is given of reserve and normal landing; None where neither
    is."""
    normal = any(tier.id == "normal_landing" and tier.printed for tier in ship.tiers)
    if ship.reserve.figure > 0:
        both = "reserve and normal landing" if normal else "reserve"
        return Source(f"{both}, as computed", ("arithmetic",))
    return Source("normal landing, as given", ("unit",)) if normal else None


def _landing_emergency(s: Sortie) -> Gate:
    """Each ship against its own type's figure."""
    about = text("landing-emergency").but(unit=s.fuel.unit)
    known = {
        ship.ship: next((t.printed for t in ship.tiers if t.id == "emergency"), None) for ship in s.fuel.ships
    }
    rows = [
        (ship.landing_predicted - known[ship.ship], ship)
        for ship in s.fuel.ships
        if known[ship.ship] is not None
    ]
    worst = min(rows, key=lambda row: row[0], default=None)
    if worst is None or (len(rows) < len(known) and worst[0] >= 0):
        bare = next(number for number, emergency in known.items() if emergency is None)
        return no_limit(about, s.fuel.lowest_landing, key=_tier_key(s, bare, "emergency"))
    ship = worst[1]
    return at_least(
        about.but(title=f"{about.title} (ship {ship.ship})"), ship.landing_predicted, known[ship.ship]
    )


def joker_kept(s: Sortie) -> Iterator[Gate]:
    """Every ship ends the training at or above its joker."""
    if not s.trainings:
        return
    about = text("joker").but(unit=s.mission.file.fuel.display)
    if s.fuel is None:
        yield _unknown(s, about)
        return
    least = least_joker_margin(s.fuel.ships)
    if least is None:
        yield not_checked(about, "joker can't be worked out")
        return
    worst = next(ship for ship in s.fuel.ships if ship.ship == least[1])
    about = about.but(title=f"{about.title} (ship {worst.ship})")
    yield at_least(about, worst.training_end_predicted, worst.joker.figure)


def hold_fuel(s: Sortie, p: EventPlan) -> Iterator[Gate]:
    """The hold as planned and the accepted late slip together are no longer than fuel allows the thirstiest
    ship."""
    hold = p.hold
    if hold is None:
        return
    less = ["less slip accepted"] if p.section.event.late_s else []
    about = text("hold-fuel").but(remedy=_more_fuel(s, *less, before=long_id(p.section.id, "hold")))
    limit = hold_limit_s(s.fuel, p.section.id) if s.fuel is not None else None
    if limit is None:
        yield (
            _unknown(s, about)
            if s.fuel is None
            else not_checked(about, "the longest hold can't be worked out", key=p.section.key("hold"))
        )
        return
    longest_s, ship = limit
    yield at_most(
        about.but(title=f"{about.title} (ship {ship})"),
        max(hold.wait_s, 0.0) + p.section.event.late_s,
        longest_s,
    )


def burn_factor(s: Sortie) -> Iterator[Gate]:
    """A wingman uses more fuel than the leader; a factor left at 1.00 is a guess that favours nobody."""
    wingmen = [(i, ship) for i, ship in enumerate(s.mission.file.flight) if ship.ship != 1]
    if not wingmen:
        return
    i, least = min(wingmen, key=lambda row: row[1].burn_factor)
    given = "burn_factor" in least.model_fields_set
    about = text("burn-factor", ship=least.ship).but(cause=("flight", i, "burn_factor"))
    if not given:
        yield not_checked(
            about,
            f"nobody has said how much more than the leader ship {least.ship} burns: no more is taken",
            value=least.burn_factor,
        )
    else:
        yield words(about, least.burn_factor > 1.0, f"{least.burn_factor:.2f}", "above 1.00", worse="CAUTION")


def reserve_time(s: Sortie) -> Iterator[Gate]:
    """A reserve given as a time is no shorter than the regime's, by day, or by night where the last landing
    is in the dark, as planned or as late as accepted."""
    if s.fuel is None:
        return
    sun = s.sun_for("last landing")
    latest = later(s.clock.last_landing, landing_late_s(s))
    # night begins there: 14 CFR 1.1
    night = (
        sun is not None
        and min(sun.elevation_deg, elevation_deg(sun.point.lat_deg, sun.point.lon_deg, latest)) < CIVIL_DEG
    )
    own, reserve = "reserve_by_night" if night else "reserve_by_day", s.mission.file.fuel.reserve
    limit = limit_of(s, getattr(s.mission.file.limits, own), "reserve_night_s" if night else "reserve_day_s")
    about = text("reserve-time", time="night" if night else "day").but(
        source=limit.source if limit is not None else UNIT
    )
    if reserve is None:
        yield not_checked(about, "no reserve is given")
    elif reserve == Duration(0.0) or getattr(reserve, "value", None) == 0:
        none = about.but(unit="", remedy="a reserve of zero is none: give one, or say why none is needed")
        yield (
            words(none, False, "none", "a reserve", worse="CAUTION")
            if limit is None
            else at_least(about, 0.0, limit.value)
        )
    elif not isinstance(reserve, Duration):
        yield not_checked(about, "the reserve is a weight: how long it lasts depends on the flow")
    else:
        yield (
            no_limit(about, reserve.seconds, key=("limits", own))
            if limit is None
            else against(about, reserve.seconds, limit)
        )
