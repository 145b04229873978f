"""The sides of a ship's kneeboard card before a pass: the first up to the hold, of several blocks of training
up to the second; and the side of each further block.

What stands on such a side, the first row first: joker, bingo, END BY; one table of clock, fuel, radio and way
(`way_log.py`); then in paragraphs the presets, the block, what is done in need, the diverts as a table, the
landing fuels and the weather. What nobody looks for on the card stands there only where there is room: the
what-ifs, the rules, the crews.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from briefgen.brief.cards.common import crew_words, filled_by, first_clauses, hold_reached, under_line
from briefgen.brief.cards.diverts import diverts, fewer_diverts
from briefgen.brief.cards.fuel_box import large_fuel, times_over_event
from briefgen.brief.cards.model import Card, Reduction, Run, Side
from briefgen.brief.cards.onward import onward
from briefgen.brief.cards.outbound import Outbound, sides_of
from briefgen.brief.cards.pass_side import back_reductions, back_side
from briefgen.brief.cards.presets import presets
from briefgen.brief.cards.way_log import ground_run, way_log
from briefgen.brief.cards.weather import less_weather, weather
from briefgen.brief.cards.whatif import what_ifs
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import in_block
from briefgen.brief.wording.fails import first_fails
from briefgen.brief.wording.heights import area_band
from briefgen.brief.wording.lacks import lacks_words, unchecked_words
from briefgen.brief.wording.lost_contact import (
    NOT_BRIEFED,
    Briefing,
    briefed_at,
    briefings,
    does_words,
    key_words,
    lost_contact_by,
    not_briefed,
)
from briefgen.brief.wording.passes import pass_sides
from briefgen.brief.wording.tiers import reserve_words, tier_words
from briefgen.brief.wording.words import UNREACHABLE, Words, card_words
from briefgen.mission.schema.home import FallOut
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.gates.contingencies import required
from briefgen.plan.model import EventPlan
from briefgen.plan.one_block import seen_from_block
from briefgen.plan.one_pass import seen_from
from briefgen.plan.sortie import Plan
from briefgen.units.blank import says_nothing
from briefgen.units.values import LevelBand
from briefgen.whatif.answers import WhatIf

LEAST_PT, TABLE_PT = 9, 11  # read on a knee, by red light
_FEW_PRESETS, _FEWEST_PRESETS = 12, 8
_SHORT, _SHORTEST = 60, 36  # letters of a contingency's first words


def kneeboard(plan: Plan, number: int, what_if: WhatIf | None = None) -> Card:
    """The card of one ship: one side up to the first pass, then one for each pass, or for the way home, and
    one for each further block of training, in flying order. Without ``what_if`` there is no paragraph of
    what-ifs."""
    w = card_words(plan)
    ship = w.mission.ship(number)
    made = [_side(w, ship, what_if, shown) for shown in sides_of(plan)]
    made += [] if plan.passes else [_back(w, w, ship, "the way home")]
    return Card(
        w.callsign if w.mission.alone else f"{w.callsign} {number}",
        under_line(w),
        tuple((name, side) for name, side, _ in made),
        options={"least": LEAST_PT, "table": TABLE_PT},
        reductions=tuple(reductions for _, _, reductions in made),
        marks=lacks_words(plan),
        unchecked=unchecked_words(plan),
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
    elsewhere = (
        bool(w.plan.passes) and own.plan.event is w.plan.passes[0]
    )  # on the side before the first pass
    side = {**back_side(own, ship, diverts_too=not elsewhere), "onward": onward(w, own.plan.event, ship)}
    return name, side, back_reductions(own, ship, diverts_too=not elsewhere)


def _reductions(w: Words, ship: Ship, shown: Outbound, what_if: WhatIf | None) -> tuple[Reduction, ...]:
    """What the first side gives up when it is too full, in this order: first what stands on it only where
    there is room, last what hardly a flight has (a radio of forty presets, a route of twenty legs, eight
    blocks, twenty contingencies of the unit's own). Never joker, bingo, END BY, or the words of need."""
    return (
        Reduction("flight", "", early=True, only="crews"),
        Reduction("what_if", "", what_ifs(w, what_if, few=True), early=True, only="more what-ifs"),
        Reduction("what_if", "", early=True, only="what-ifs"),
        Reduction("rules", "", early=True, only=_RULES),
        *less_weather(w),
        Reduction("diverts", "hours of the diverts left out", diverts(w, ship, hours=False)),
        Reduction("blocks", "of the blocks only this ship's", _blocks(w, ship, shown, alone=True)),
        _less_presets(w, ship, _FEW_PRESETS),
        _less_need(w, "contingencies shortened to their first words", _SHORT),
        Reduction(
            "log", "clock and fuel only at the end of each part", way_log(w, ship, shown, parts_only=True)
        ),
        _less_presets(w, ship, _FEWEST_PRESETS),
        Reduction("tiers", "landing-fuel tiers left out"),
        fewer_diverts(w, ship, most=2),
        _less_need(w, _ONLY_REQUIRED, _SHORT, required_only=True),
        _less_need(w, _ONLY_REQUIRED, _SHORTEST, required_only=True),
        Reduction("ground", "the clock before take-off left out"),
        fewer_diverts(w, ship, most=1),
        Reduction("fails", "what FAILs, which the approval sheet names"),
    )


_RULES = "TRAINING RULES"
_ONLY_REQUIRED = "of the contingencies only the first words of those that every flight briefs"


def _less_presets(w: Words, ship: Ship, most: int) -> Reduction:
    return Reduction("radio", f"only the first {most} presets", presets(w, ship, most=most))


def _less_need(w: Words, said: str, most: int, *, required_only: bool = False) -> Reduction:
    return Reduction("contingencies", said, _contingencies(w, most=most, required_only=required_only))


def _block_reductions(w: Words, ship: Ship, shown: Outbound) -> tuple[Reduction, ...]:
    return (
        Reduction("rules", "", early=True, only=_RULES),
        Reduction("blocks", "of the blocks only this ship's", _blocks(w, ship, shown, alone=True)),
        Reduction(
            "log", "clock and fuel only at the end of each part", way_log(w, ship, shown, parts_only=True)
        ),
    )


def front_side(w: Words, ship: Ship, shown: Outbound, what_if: WhatIf | None = None) -> Side:
    """The sections of the first side by the names that the template uses."""
    return {
        "fails": _fails(w),
        **block_side(w, ship, shown),
        "over": times_over_event(w),
        "ground": ground_run(w, ship),
        "radio": presets(w, ship),
        "contingencies": _contingencies(w),
        "diverts": diverts(w, ship) if shown.to is not None else None,
        "tiers": _tiers(w, ship),
        "weather": weather(w),
        "what_if": what_ifs(w, what_if),
        "flight": _flight(w),
    }


def block_side(w: Words, ship: Ship, shown: Outbound) -> Side:
    """What the first side and that of a block share, by the names that the template uses."""
    return {
        "fuel_large": large_fuel(w, ship, shown),
        "log": way_log(w, ship, shown),
        "blocks": _blocks(w, ship, shown),
        "rules": _rules(w) if shown.trains else None,
    }


def _fails(w: Words) -> Run | None:
    """Of a failing plan, what it fails for."""
    first = first_fails(w.plan.gates, day=w.day, most=2)
    return Run("FAIL", (("", first),), told=True) if first else None


def _flight(w: Words) -> Run | None:
    """The crews and tails of the others; a ship alone needs none."""
    rows = [(str(ship.ship), " ".join((crew_words(ship), ship.tail or ""))) for ship in w.mission.file.flight]
    crews = [
        (("flight", place, "crew"), crew_words(ship)) for place, ship in enumerate(w.mission.file.flight)
    ]
    said = Run("FLIGHT", tuple((a, b.strip()) for a, b in rows), told=True)
    return None if w.mission.alone else filled_by(said, crews)


def _blocks(w: Words, ship: Ship, shown: Outbound, *, alone: bool = False) -> Run | None:
    training = w.mission.file.training
    if training is None or not shown.trains:
        return None
    own_only = ship.side in training.blocks and (alone or w.mission.alone)
    mark = "" if w.mission.alone else " (you)"
    rows = [
        (f"{side}{mark if side == ship.side else ''}", area_band(w.plan, band))
        for side, band in training.blocks.items()
        if side == ship.side or not own_only
    ]
    rows.append(("area", area_band(w.plan, LevelBand(training.area.floor, training.area.top))))
    reserved = w.mission.times.reserved
    if reserved is not None:
        rows.append(("reserved", words.hours_z(reserved.start, reserved.end, day=w.day)))
    if w.plan.training is not None:
        plan = w.plan.training
        rows.append(
            (
                "set-ups",
                f"{plan.setups_flown}, at least {plan.setups_minimum}, {words.duration(plan.each_s)} each",
            )
        )
    if training.yardstick:
        channels = (f"{number} {own.number}{own.band}" for number, own in training.yardstick.items())
        rows.append(("yardstick", ", ".join(channels)))
    supervisor = w.mission.file.sortie.supervisor
    if shown.first and supervisor is not None and supervisor.recall_word:
        rows.append(("recall", supervisor.recall_word))
    return Run(f"TRAINING{in_block(w.plan, shown.block)} {training.area.name}", tuple(rows))


def _rules(w: Words) -> Run | None:
    training = w.mission.file.training
    rules = tuple(training.rules or ()) if training else ()
    said = Run("RULES", tuple(("", rule) for rule in rules), told=True)
    key = w.mission.blocks[0].key("rules") if w.mission.blocks else ("training", "rules")
    return filled_by(said, [(key, "; ".join(rules))]) if rules else None


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


def _contingencies(w: Words, *, most: int | None = None, required_only: bool = False) -> Run | None:
    """What the file briefs; what a sortie like this has to brief and nobody has said stands among it by its
    name. ``most``: letters of each; ``required_only``: without the others, which are counted, and without
    the fall-outs."""
    given = w.mission.file.contingencies
    found, wanted = briefings(w), tuple(required(w.plan))
    shown = [one for one in found if not required_only or one.key in wanted]
    items, own = [_contingency(w, one, most) for one in shown], len(found) - len(shown)
    items += [(f"{key_words(key)}: {NOT_BRIEFED}", "") for key in not_briefed(w)]
    items += [(f"{words.counted(own, 'more', 'more')}:", "on the slides")] if own else []
    falls = [] if required_only else _fall_outs(given.fall_outs)
    items += [("Fall-outs:", "; ".join(falls))] if falls else []
    said = Run("IF", tuple(items), told=True) if items else None
    return filled_by(said, [((*briefed_at(one), "action"), one.given.action) for one in shown])


def _contingency(w: Words, one: Briefing, most: int | None) -> tuple[str, str]:
    """From when on the flight acts, where that has a time, and what it does."""
    action, by = one.given.action, lost_contact_by(w, one)
    if says_nothing(action):
        return f"{one.name}: {NOT_BRIEFED}", ""
    does = does_words(w, one, action if most is None else first_clauses(action, most))
    return f"{key_words(one.key)} by {by}:" if by else f"{one.name}:", does


def _fall_outs(given: Mapping[int, FallOut]) -> list[str]:
    """Ships whose loss changes the same are told together."""
    same: dict[str, list[int]] = {}
    for number, fall in given.items():
        same.setdefault(
            words.listed(
                part for part in (f"{fall.leads} leads" if fall.leads else "", fall.formation or "") if part
            )
            or "leader and formation stay",
            [],
        ).append(number)
    return [
        f"without {words.listed((str(n) for n in numbers), 'or')}: {then}" for then, numbers in same.items()
    ]
