"""Joker, bingo and END BY on the sides of a kneeboard card before a pass: figures to find at a glance."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from briefgen.brief.cards.common import large_time
from briefgen.brief.cards.model import Large, Run
from briefgen.brief.cards.outbound import Outbound
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import block_name, joker_first
from briefgen.brief.wording.passes import name_of
from briefgen.brief.wording.words import NONE, NOT_CHECKED, Words
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.fuel.flight import fuel_of_pass
from briefgen.plan.model import Bingo, FuelPlan, ShipFuel
from briefgen.plan.timing.clock import ship_later_s
from briefgen.plan.timing.training_end import training_end

Box = tuple[str, str, str]
EVENT_BINGO = "EVENT BINGO"


def large_fuel(w: Words, ship: Ship, shown: Outbound) -> Large | None:
    """Joker and bingo of the block on this side, and as the largest figure when its training ends. The bingo
    of a pass stands on the side of that pass, and on the row on which it is set."""
    own, end_by = w.ship_fuel(ship.ship), w.plan.clock.knock_off if shown.trains else None
    boxes = [*([_takeoff(w, ship)] if shown.first else []), *_fuel_boxes(w, own, shown)]
    if end_by is None:
        return Large("Joker and bingo", tuple(boxes)) if boxes else None
    label = f"END BY {block_name(w.plan, shown.block)}".rstrip()
    what = "or at joker, if sooner" if joker_first(w.plan) else "last end of training"
    boxes.append(large_time(w, label, words.time_limit(end_by, "latest"), what))
    last = len(boxes) - 1
    return Large("Joker, bingo and END BY", tuple(boxes), dark=(last,), first=last)


def _takeoff(w: Words, ship: Ship) -> Box:
    """The ship's own, by the base's clock under it."""
    at = w.plan.clock.takeoff + timedelta(seconds=ship_later_s(w.mission, ship.ship))
    return large_time(w, "TAKE-OFF", at, f"{w.at_base(at)} base")


def times_over_event(w: Words) -> Run | None:
    """T of each pass by Zulu and by the clock there, and their bingos in the same order, before anybody turns
    the card."""
    rows: list[tuple[str, str]] = []
    for each in w.plan.passes:
        name = name_of(each.section) if len(w.plan.passes) > 1 else "T"
        rows.append((name, words.clock_both(each.true_time, each.section.event.zone)))
    if rows:
        rows.append((EVENT_BINGO, _bingos(w)))
    return Run("OVER TARGET", tuple(rows)) if rows else None


def _bingos(w: Words) -> str:
    """``1600 lb``; of several passes ``720, 720, 700, 800 kg``."""
    fuel = w.plan.fuel
    found = [] if fuel is None else [fuel_of_pass(fuel, p.section.id).bingo_event for p in w.plan.passes]
    known = [bingo for bingo in found if bingo is not None]
    if fuel is None or not known or len(known) < len(found):
        return NOT_CHECKED
    step = fuel.ships[0].scale.step
    return ", ".join((*(words.fuel_in_column(bingo, step) for bingo in known[:-1]), w.fuel(known[-1])))


def _fuel_boxes(w: Words, own: ShipFuel | None, shown: Outbound) -> Iterator[Box]:
    plan, named = w.plan, block_name(w.plan, shown.block)
    if plan.fuel is None or own is None:
        yield "FUEL", NOT_CHECKED, "it cannot be worked out: see the list of the check"
        return
    if shown.trains and plan.fuel.joker is not None and own.joker is not None:
        yield f"JOKER {named}".rstrip(), w.fuel(plan.fuel.joker), and_whose(w, _joker_reached(w, own))
    training = own.bingo_training if shown.trains else None
    now = training or ((own.bingo_event or next(iter(own.bingos), None)) if shown.first else None)
    if now is not None:
        when = "" if shown.first else "set on entering the area, not before; "
        label = "BINGO, SET NOW" if shown.first else f"BINGO {named}".rstrip()
        yield label, w.fuel(_flight_bingo(plan.fuel, now)), and_whose(w, when + _from_words(now))


def and_whose(w: Words, said: str) -> str:
    """The slide of the ships has each ship's own, which may be lower."""
    return "; ".join(filter(None, (said, "" if w.mission.alone else "flight's highest")))


def _joker_reached(w: Words, own: ShipFuel) -> str:
    """The flight's moment, that of the first ship at joker, since the joker in the box is the flight's too,
    where it comes before END BY; empty where END BY is earlier."""
    end = training_end(w.plan)
    if end is None or end.ship is None:
        return ""
    who = "this ship" if own.joker_reached == end.at else f"ship {end.ship}"
    if end.before_it_begins:
        return f"TRAINING {NONE}: {who} is at joker before it"
    return f"reached by {w.by(end.at)}" + ("" if w.mission.alone else f" ({who})")


def _flight_bingo(fuel: FuelPlan, bingo: Bingo) -> float:
    """The flight's figure for the phase: the thirstiest ship decides."""
    same = [
        b.sum.figure
        for s in fuel.ships
        for b in s.bingos
        if b.phase == bingo.phase and b.point.id == bingo.point.id
    ]
    flight = {"training": fuel.bingo_training, "event": fuel.bingo_event}.get(bingo.phase)
    return flight if flight is not None else max(same, default=bingo.sum.figure)


def _from_words(bingo: Bingo) -> str:
    return f"from {bingo.point.name}" + (", alternate included" if bingo.alternate else ", no alternate")
