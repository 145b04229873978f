"""Joker and bingo on the sides of a kneeboard card before a pass: figures to find at a glance."""

from __future__ import annotations

from briefgen.brief.cards.model import Large
from briefgen.brief.cards.outbound import Outbound
from briefgen.brief.wording.blocks import block_name
from briefgen.brief.wording.passes import pass_name
from briefgen.brief.wording.words import NONE, Words
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.fuel.flight import fuel_of_pass
from briefgen.plan.model import Bingo, ShipFuel
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.training_end import training_end


def large_fuel(w: Words, ship: Ship, shown: Outbound) -> Large | None:
    """Joker and bingo of the block on this side, and the bingo of the pass that follows."""
    plan, own, named = w.plan, w.ship_fuel(ship.ship), block_name(w.plan, shown.block)
    if plan.fuel is None or own is None:
        return Large("Fuel", (("FUEL", "NOT CHECKED", "it cannot be worked out: see the list of the check"),))
    items = []
    if shown.trains and plan.fuel.joker is not None and own.joker is not None:
        items.append(
            (
                f"JOKER {named}".rstrip(),
                w.fuel(plan.fuel.joker),
                _training_end(w, own),
            )
        )
    training = own.bingo_training if shown.trains else None
    now = training or ((own.bingo_event or next(iter(own.bingos), None)) if shown.first else None)
    if now is not None:
        when = "" if shown.first else "set on entering the area, not before; "
        label = "BINGO, SET NOW" if shown.first else f"BINGO {named}".rstrip()
        items.append((label, w.fuel(_flight_bingo(plan, now)), when + _from_words(now)))
    onto = None if shown.to is None else fuel_of_pass(plan.fuel, shown.to.section.id).bingo_event
    if training and shown.to is not None and onto is not None:
        items.append(
            (
                "EVENT BINGO" if len(plan.passes) == 1 else f"BINGO {pass_name(shown.to.section)}",
                w.fuel(onto),
                f"set {'on entering the hold' if shown.to.hold is not None else 'at the IP'}, not before",
            )
        )
    return Large("Joker and bingo", tuple(items)) if items else None


def _training_end(w: Words, own: ShipFuel) -> str:
    """Under JOKER and its fuel: the flight's moment, that of the first ship at joker, since the joker in the
    box is the flight's too, where it comes before END BY; then END BY, always."""
    end, end_by = training_end(w.plan), w.plan.clock.knock_off
    first = ""
    if end is not None and end.ship is not None:
        who = "this ship" if own.joker_reached == end.at else f"ship {end.ship}"
        first = f"reached by {w.by(end.at)}" + ("" if w.mission.alone else f" ({who})")
        if end.before_it_begins:
            first = f"TRAINING {NONE}: {who} is at joker before it"
    return "; ".join(filter(None, (first, "" if end_by is None else f"END BY {w.by(end_by)}")))


def _flight_bingo(plan: Plan, bingo: Bingo) -> float:
    """The flight's figure for the phase: the thirstiest ship decides."""
    same = [
        b.sum.figure
        for s in plan.fuel.ships
        for b in s.bingos
        if b.phase == bingo.phase and b.point.id == bingo.point.id
    ]
    flight = {"training": plan.fuel.bingo_training, "event": plan.fuel.bingo_event}.get(bingo.phase)
    return flight if flight is not None else max(same, default=bingo.sum.figure)


def _from_words(bingo: Bingo) -> str:
    return f"from {bingo.point.name}" + (", alternate included" if bingo.alternate else ", no alternate")
