"""The first side of a ship's kneeboard card: everything up to the hold, of several blocks of training up to
the second; and the side of each further block."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import zip_longest

from briefgen.brief.cards.common import (
    crew_words,
    first_clauses,
    grid,
    hold_reached,
    left_in_column,
    never_left,
    pass_of,
    under_line,
)
from briefgen.brief.cards.fuel_box import large_fuel
from briefgen.brief.cards.model import Card, Grid, Lines, Pairs, Reduction, Run, Side
from briefgen.brief.cards.onward import onward
from briefgen.brief.cards.outbound import Outbound, sides_of
from briefgen.brief.cards.pass_side import back_reductions, back_side
from briefgen.brief.cards.whatif import before_takeoff, in_short, in_the_air
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import in_block
from briefgen.brief.wording.fails import first_fails
from briefgen.brief.wording.heights import area_band, flown_level, place_words
from briefgen.brief.wording.leg_times import legs_s
from briefgen.brief.wording.lost_contact import NOT_BRIEFED, Briefing, briefings, does_words, lost_contact_by
from briefgen.brief.wording.passes import pass_sides
from briefgen.brief.wording.tiers import reserve_words, tier_words
from briefgen.brief.wording.words import NONE, UNREACHABLE, Words, card_words, magnetic_or_true, short_course
from briefgen.mission.schema.home import FallOut
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.gates.contingencies import required
from briefgen.plan.model import EventPlan, FuelRow, Leg, Phase, PhaseKind, ShipFuel
from briefgen.plan.one_block import seen_from_block
from briefgen.plan.one_pass import seen_from
from briefgen.plan.route.air import altitude_ft
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import later, on_own_clock, ship_later_s
from briefgen.units.blank import says_nothing
from briefgen.units.values import LevelBand
from briefgen.whatif.answers import WhatIf

_GROUND_EVENTS = ("step", "start", "check_in", "taxi")
_FEW_PRESETS, _FEWEST_PRESETS, _FEW_LEGS = 12, 8, 8
_NO_PARTIES = "the other parties' frequencies left out"
_STAGES = ("departure", "warm-up", "set-up", "training", "leave", "rejoin", "transit", "hold")


def kneeboard(plan: Plan, number: int, what_if: WhatIf | None = None) -> Card:
    """The card of one ship: one side up to the first pass, then one for each pass, or for the way home, and
    one for each further block of training, in flying order. Without ``what_if`` there is no box of
    what-ifs."""
    w = card_words(plan)
    ship = w.mission.ship(number)
    made = [_side(w, ship, what_if, shown) for shown in sides_of(plan)]
    made += [] if plan.passes else [_back(w, w, ship, "the way home")]
    return Card(
        w.callsign if w.mission.alone else f"{w.callsign} {number}",
        under_line(w),
        tuple((name, side) for name, side, _ in made),
        reductions=tuple(reductions for _, _, reductions in made),
    )


Made = tuple[str, Side, tuple[Reduction, ...]]


def _side(w: Words, ship: Ship, what_if: WhatIf | None, shown: Outbound | EventPlan) -> Made:
    """The name of a side, its sections, and what it gives up when it is too full."""
    if isinstance(shown, EventPlan):
        name = pass_sides(w.plan)[w.plan.passes.index(shown)]
        return _back(w, replace(w, plan=seen_from(w.plan, shown)), ship, name)
    block = next((block for block in w.plan.trainings if block.id == shown.block), None)
    own = w if block is None else replace(w, plan=seen_from_block(w.plan, block))
    if not shown.first:
        return f"TRAINING {shown.block}", block_side(own, ship, shown), _block_reductions(own, ship, shown)
    name = "to the hold" if shown.to is not None and shown.to.hold is not None else "outbound"
    return name, front_side(own, ship, shown, what_if), _reductions(own, ship, shown, what_if)


def _back(w: Words, own: Words, ship: Ship, name: str) -> Made:
    side = {**back_side(own, ship), "onward": onward(w, own.plan.event, ship)}
    return name, side, back_reductions(own, ship)


def _reductions(w: Words, ship: Ship, shown: Outbound, what_if: WhatIf | None) -> tuple[Reduction, ...]:
    """What the first side gives up when it is too full, in this order; nothing of it is the pass. Radios that
    the ship's own sets have give way before what is done in need. The last eight are for what hardly a flight
    has: eight crews of four with long names, a radio of forty presets, a route of twenty legs, eight blocks,
    twenty contingencies of the unit's own."""
    return (
        Reduction("what_if", "only the first what-ifs", in_short(w, what_if), {"what_if_airborne": None}),
        Reduction("rules", "training rules left out"),
        Reduction("what_if", "what-ifs left out", None, {"what_if_airborne": None}),
        Reduction("radio", _NO_PARTIES, _radio(w, ship, parties=False)),
        Reduction(
            "radio",
            f"{_NO_PARTIES}, only the first {_FEW_PRESETS} presets",
            _radio(w, ship, parties=False, most=_FEW_PRESETS),
        ),
        Reduction(
            "contingencies",
            "contingencies shortened to their first words",
            _contingencies(w, shortened=True),
        ),
        Reduction("tiers", "landing-fuel tiers left out"),
        Reduction("flight", "of the flight only this ship", _flight(w, ship, alone=True)),
        *_less_outbound(w, ship, shown),
        Reduction(
            "radio",
            f"{_NO_PARTIES}, only the first {_FEWEST_PRESETS} presets",
            _radio(w, ship, parties=False, most=_FEWEST_PRESETS),
        ),
        Reduction(
            "contingencies",
            "of the contingencies only the first words of those that every flight briefs",
            _contingencies(w, shortened=True, required_only=True),
        ),
        Reduction("fails", "what FAILs, which the approval sheet names"),
    )


def _less_outbound(w: Words, ship: Ship, shown: Outbound) -> tuple[Reduction, ...]:
    return (
        Reduction(
            "log", "clock and fuel only at the end of each part", _log(w, ship, shown, parts_only=True)
        ),
        Reduction("nav", f"only the first {_FEW_LEGS} legs of the nav log", _nav(w, shown, most=_FEW_LEGS)),
        Reduction("nav", "nav log left out"),
        Reduction("blocks", "of the blocks only this ship's", _blocks(w, ship, shown, alone=True)),
    )


def _block_reductions(w: Words, ship: Ship, shown: Outbound) -> tuple[Reduction, ...]:
    return (Reduction("rules", "training rules left out"), *_less_outbound(w, ship, shown))


def front_side(w: Words, ship: Ship, shown: Outbound, what_if: WhatIf | None = None) -> Side:
    """The sections of the first side by the names that the template uses."""
    return {
        "fails": _fails(w),
        **block_side(w, ship, shown),
        "flight": _flight(w, ship),
        "ground": _ground(w, ship),
        "radio": _radio(w, ship),
        "tiers": _tiers(w, ship),
        "contingencies": _contingencies(w),
        "what_if": before_takeoff(w, what_if),
        "what_if_airborne": in_the_air(w, what_if),
    }


def block_side(w: Words, ship: Ship, shown: Outbound) -> Side:
    """What the first side and that of a block share, by the names that the template uses."""
    return {
        "fuel_large": large_fuel(w, ship, shown),
        "blocks": _blocks(w, ship, shown),
        "nav": _nav(w, shown),
        "log": _log(w, ship, shown),
        "rules": _rules(w) if shown.trains else None,
    }


# ---------------------------------------------------------------- who, when


def _fails(w: Words) -> Lines | None:
    """Of a failing plan, what it fails for."""
    first = first_fails(w.plan.gates, day=w.day, most=2)
    return Lines("", (("FAIL", first),)) if first else None


def _flight(w: Words, own: Ship, *, alone: bool = False) -> Grid | None:
    file = w.mission.file
    yard = file.training.yardstick if file.training else {}
    types = len({ship.aircraft for ship in file.flight}) > 1
    columns = [("No", "auto", "l"), ("Crew", "1fr", "l"), ("Tail", "auto", "l")]
    columns += [("Yardstick", "auto", "l")] if yard else []
    rows, shown = [], [ship for ship in file.flight if ship.ship == own.ship or not alone]
    for ship in shown:
        name = crew_words(ship) + (f" ({file.aircraft[ship.aircraft].name})" if types else "")
        row = (str(ship.ship), name, ship.tail or "")
        rows.append(
            (*row, f"{yard[ship.ship].number}{yard[ship.ship].band}" if ship.ship in yard else "")
            if yard
            else row
        )
    strong = tuple(i for i, ship in enumerate(shown) if ship.ship == own.ship)
    return grid("Flight", columns, rows, strong=strong, note=_own_line(w, own))


def _own_line(w: Words, own: Ship) -> str:
    file, event = w.mission.file, w.plan.event
    over = next((s for s in event.ships if s.ship == own.ship), None) if event else None
    parts = [] if w.mission.alone else [f"Ship {own.ship} of {len(file.flight)}"]
    parts = [", ".join((*parts, file.aircraft[own.aircraft].name))]
    parts += [f"side {own.side}"] if own.side else []
    if over is not None and own.ship != 1:
        place = place_words(over)
        parts += [f"over the centre {words.listed(place)} the leader"] if place else []
    return "; ".join(parts)


def _ground(w: Words, ship: Ship) -> Run | None:
    """The events before take-off, and the fuel at start."""
    fuel = w.ship_fuel(ship.ship)
    rows = [(e.label, w.z(e.at)) for e in w.plan.clock.events if e.kind in _GROUND_EVENTS]
    rows += [("Fuel", w.fuel(fuel.start_printed))] if fuel else []
    return Run("", tuple(rows)) if rows else None


def _radio(w: Words, ship: Ship, *, parties: bool = True, most: int | None = None) -> Grid | None:
    rows = [
        (str(row.preset), row.use + (" (listen in)" if ship.ship in row.listens else ""), row.frequency.text)
        for row in w.mission.file.radio[:most]
    ]
    supervisor = w.mission.file.sortie.supervisor
    others = [party for event in w.mission.events for party in event.written.parties] if parties else []
    more = [f"{p.who} {words.frequency(p.frequency)}" for p in others if p.frequency]
    recall = [f"Recall word: {supervisor.recall_word}"] if supervisor and supervisor.recall_word else []
    note = "; ".join((*recall, *more))
    return grid("Radio, MHz", [("", "auto", "r"), ("", "1fr", "l"), ("", "auto", "r")], rows, note=note)


def _blocks(w: Words, ship: Ship, shown: Outbound, *, alone: bool = False) -> Pairs | None:
    training = w.mission.file.training
    if training is None or not shown.trains:
        return None
    own_only = ship.side in training.blocks and (alone or w.mission.alone)
    mark = "" if w.mission.alone else " (own)"
    rows = [
        (f"{side}{mark if side == ship.side else ''}", area_band(w.plan, band))
        for side, band in training.blocks.items()
        if side == ship.side or not own_only
    ]
    rows.append(("Area", area_band(w.plan, LevelBand(training.area.floor, training.area.top))))
    reserved = w.mission.times.reserved
    if reserved is not None:
        rows.append(("Reserved", words.hours_z(reserved.start, reserved.end, day=w.day)))
    rows += _end_by(w)
    if w.plan.training is not None:
        plan = w.plan.training
        rows.append(
            (
                "Set-ups",
                f"{plan.setups_flown}, at least {plan.setups_minimum}, each {words.duration(plan.each_s)}",
            )
        )
    if training.yardstick and not shown.first:
        channels = (f"{number} {own.number}{own.band}" for number, own in training.yardstick.items())
        rows.append(("Yardstick", ", ".join(channels)))
    return Pairs(f"Training{in_block(w.plan, shown.block)}: {training.area.name}", tuple(rows))


def _end_by(w: Words) -> list[tuple[str, str]]:
    """END BY, where there is no box of joker that names it."""
    fuel, at = w.plan.fuel, w.plan.clock.knock_off
    return [] if at is None or (fuel is not None and fuel.joker is not None) else [("END BY", w.by(at))]


# ---------------------------------------------------------------- nav log and fuel on the way


def _nav(w: Words, shown: Outbound, *, most: int | None = None) -> Grid | None:
    flown = (phase.leg for phase in shown.phases if phase.leg is not None)
    kinds = ("departure", "transit", *_home(w.plan, shown))
    legs = dict.fromkeys(leg for leg in flown if leg.kind in kinds)
    rows = [_nav_row(leg, legs_s(w.plan, [leg])) for leg in list(legs)[:most]]
    columns = [
        ("To", "1fr", "l"),
        ("Course", "auto", "r"),
        ("Heading", "auto", "r"),
        ("Level", "auto", "r"),
        ("nm", "auto", "r"),
        ("GS", "auto", "r"),
        ("Time", "auto", "r"),
    ]
    to = shown.to
    where = "" if to is None else " to the hold" if to.hold is not None else " to the IP"
    return grid(f"Nav log{where}", columns, rows)


def _home(plan: Plan, shown: Outbound) -> tuple[PhaseKind, ...]:
    """The way home too where a block of training is flown after the last pass; else it is on another side."""
    return ("recovery",) if plan.passes and not shown.first else ()


def _nav_row(leg: Leg, seconds: float) -> tuple[str, ...]:
    name = leg.end.id if leg.end.name in ("", leg.end.id) else f"{leg.end.id}, {leg.end.name}"
    return (
        name,
        short_course(leg),
        magnetic_or_true(leg.heading_magnetic_deg, leg.heading_true_deg),
        flown_level(leg.level, leg.altitude_ft),
        words.distance_bare(leg.distance_nm),
        words.knots_bare(leg.gs_kt),
        words.duration_clock(seconds),
    )


def _log(w: Words, ship: Ship, shown: Outbound, *, parts_only: bool = False) -> Grid:
    """Clock and fuel from take-off to leaving the hold, or as far as the side goes, one row a stage, with a
    field for what the pilot reads then. ``parts_only``: of several legs or set-ups in a row the last."""
    fuel = w.ship_fuel(ship.ship)
    kinds = (*_STAGES, *_home(w.plan, shown))
    phases = [phase for phase in shown.phases if phase.kind in kinds]
    if parts_only:
        phases = [
            phase
            for phase, after in zip_longest(phases, phases[1:])
            if after is None or after.kind != phase.kind
        ]
    rows = [_takeoff_row(w, ship, fuel)] if shown.first else []
    rows += [_log_row(w, phase, ship, fuel, first=shown.first) for phase in phases]
    columns = [("After", "1fr", "l"), ("Z", "auto", "r")]
    columns += [("Fuel", "auto", "r"), ("Go home", "auto", "r")] if fuel else []
    title = f"Clock and fuel, {w.plan.fuel.unit}" if fuel else "Clock"
    begins = (w.plan.clock.takeoff,) if shown.first else ()
    days = w.days((*begins, *(phase.end for phase in phases)))
    note = f"All {days}." if days != w.days(()) else ""
    return grid(title, [*columns, ("Actual", "15mm", "l")], rows, note=note)


def _takeoff_row(w: Words, ship: Ship, fuel: ShipFuel | None) -> tuple[str, ...]:
    ground = next((row for row in fuel.rows if row.phase_id == "ground"), None) if fuel else None
    own = later(w.plan.clock.takeoff, ship_later_s(w.mission, ship.ship))
    return _with_fuel(("Take-off", w.column(own)), ground, fuel)


def _log_row(w: Words, phase: Phase, ship: Ship, fuel: ShipFuel | None, *, first: bool) -> tuple[str, ...]:
    """The ship's own time where it flies on its own clock, which is on the first side alone; the flight's
    after that."""
    row = next((row for row in fuel.rows if row.phase_id == phase.id), None) if fuel else None
    own_s = ship_later_s(w.mission, ship.ship) if first and on_own_clock(w.mission, phase) else 0.0
    if never_left(w, phase):
        none = (NONE, "") if fuel else ()
        return (f"{_stage(w, phase)}: {UNREACHABLE}", NONE, *none, "")
    return _with_fuel((_stage(w, phase), w.column(later(phase.end, own_s))), row, fuel)


def _with_fuel(head: tuple[str, ...], row: FuelRow | None, fuel: ShipFuel | None) -> tuple[str, ...]:
    if fuel is None:
        return (*head, "")
    if row is None:
        return (*head, "", "", "")
    required = row.required_printed
    home = "" if required is None else words.fuel_in_column(required, fuel.scale.step)
    return (*head, left_in_column(row, fuel), home, "")


def _stage(w: Words, phase: Phase) -> str:
    """A leg, and the way out of the area, by its end; the hold by the moment at which it ends: when it is
    left. Everything else as the clock has it."""
    if phase.leg is None:
        match phase.kind:
            case "leave":
                return w.mission.file.training.leave.by
            case "rejoin":
                return ("Fuel check" if w.mission.alone else "Rejoin") + _rejoin_level(w)
            case "hold":
                return f"Leave {pass_of(w, phase).hold.fix.id}"
        end_by = w.plan.clock.knock_off
        late = phase.kind == "set-up" and end_by is not None and phase.end > end_by
        return _in_area(w.plan, phase) + (": AFTER END BY" if late else "")
    return ("Climb to " if phase.kind == "climb" else "") + phase.leg.end.id


def _in_area(plan: Plan, phase: Phase) -> str:
    """A row without a leg, without its block: the side is of one."""
    match phase.kind:
        case "warm-up":
            return "Warm-up"
        case "set-up":
            own = [
                other.id
                for other in plan.clock.phases
                if (other.kind, other.piece) == ("set-up", phase.piece)
            ]
            return f"Set-up {own.index(phase.id) + 1}"
    return phase.label


def _rejoin_level(w: Words) -> str:
    """``, 14000 ft MSL``, over where the flight leaves the area."""
    level = w.mission.file.training.rejoin.level
    if level is None:
        return ""
    own = next(block for block in w.plan.route.blocks if block.section.id == w.plan.trainings[0].id)
    return f", {flown_level(level, altitude_ft(w.mission, own.exit, level))}"


def _rules(w: Words) -> Lines | None:
    training = w.mission.file.training
    rules = tuple(training.rules or ()) if training else ()
    return Lines("Training rules", tuple(("", rule) for rule in rules)) if rules else None


def _tiers(w: Words, ship: Ship) -> Run | None:
    """When this ship lands and with what, the unit's landing fuels and the reserve: one line across the
    card."""
    fuel = w.ship_fuel(ship.ship)
    if fuel is None:
        return None
    found = (
        (_TIER_WORDS[tier.id], tier_words(w.mission, fuel, tier))
        for tier in fuel.tiers
        if tier.printed is not None
    )
    landing = (f"Landing {w.bare(fuel.rows[-1].end)} with", w.fuel_left(fuel.landing_predicted))
    return Run(
        "",
        (
            landing
            if all(hold_reached(each) for each in w.plan.passes)
            else ("Landing as planned", UNREACHABLE),
            *found,
            ("reserve", reserve_words(w.mission, fuel)),
        ),
    )


_TIER_WORDS = {"normal_landing": "normal", "minimum": "minimum", "emergency": "emergency"}


def _contingencies(w: Words, *, shortened: bool = False, required_only: bool = False) -> Lines | None:
    """What the file briefs; what a sortie like this has to brief and nobody has said stands among it by its
    name. ``required_only``: without the others, which are counted, and without the fall-outs."""
    given = w.mission.file.contingencies
    found, wanted = briefings(w), tuple(required(w.plan))
    shown = [one for one in found if not required_only or one.key in wanted]
    items, own = [_contingency(w, one, shortened=shortened) for one in shown], len(found) - len(shown)
    unsaid = [key for key in wanted if not any(one.key == key for one in found)]
    items += [(f"{_key_words(key)}: {NOT_BRIEFED}", "") for key in unsaid]
    items += [(f"{words.counted(own, 'more', 'more')}:", "on the slides")] if own else []
    falls = [] if required_only else _fall_outs(given.fall_outs)
    items += [("Fall-outs:", "; ".join(falls))] if falls else []
    return Lines("If", tuple(items)) if items else None


def _contingency(w: Words, one: Briefing, *, shortened: bool) -> tuple[str, str]:
    """From when on the flight acts, where that has a time, and what it does."""
    name, action, by = _key_words(one.key), one.given.action, lost_contact_by(w, one)
    if says_nothing(action):
        return f"{name}{f', {one.of}' if one.of else ''}: {NOT_BRIEFED}", ""
    does = does_words(w, one, first_clauses(action) if shortened else action)
    return f"{name}{f' by {by}' if by else f', {one.of}' if one.of else ''}:", does


def _key_words(key: str) -> str:
    return key.replace("_", " ").capitalize()


def _fall_outs(given: Mapping[int, FallOut]) -> list[str]:
    """Ships whose loss changes the same are told together."""
    same: dict[str, list[int]] = {}
    for number, fall in given.items():
        same.setdefault(
            words.listed(
                part for part in (f"{fall.leads} leads" if fall.leads else "", fall.formation or "") if part
            )
            or "as briefed",
            [],
        ).append(number)
    return [
        f"without {words.listed((str(n) for n in numbers), 'or')}: {then}" for then, numbers in same.items()
    ]
