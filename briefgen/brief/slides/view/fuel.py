"""Joker, bingo and what they are added up from."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.passes import of_pass
from briefgen.brief.wording.tiers import base_words, tier_words
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, Words, beginning
from briefgen.plan.event.wait_limits import of_ship
from briefgen.plan.fuel.flight import first_at_joker
from briefgen.plan.model import Bingo, FuelPlan, FuelSum, ShipFuel
from briefgen.plan.one_pass import each_pass
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.training import least_joker_margin
from briefgen.plan.timing.training_end import training_end
from briefgen.units.rounding import down

OF_A_BLOCK = (
    "joker", "bingo_training", "knock_off", "joker_reached", "joker_ship", "joker_ends", "joker_first",
    "joker_by", "joker_lines", "joker_margin",
)  # fmt: skip
OF_A_PASS = ("bingo_event", "go_home", "go_home_both")  # what of the fuel each pass has its own of


def fuel_values(w: Words) -> dict[str, Any] | None:
    """``fuel``: the flight's figures, the ship that needs most, the sums in lines; None where it can't be
    worked out."""
    fuel = w.plan.fuel
    if fuel is None:
        return None
    ship, first, end = ship_of(w, fuel.thirstiest), first_at_joker(fuel), training_end(w.plan)
    lowest, by_joker = ship_of(w, fuel.lowest_landing_ship), needs_most(fuel, joker_of)
    joker = by_joker.joker if by_joker is not None else None
    return {
        "unit": fuel.unit,
        "joker": w.fuel(fuel.joker) if fuel.joker is not None else None,
        "bingo_training": w.fuel(fuel.bingo_training) if fuel.bingo_training is not None else None,
        "bingo_event": w.fuel(fuel.bingo_event) if fuel.bingo_event is not None else None,
        "to_set": _to_set(w),
        "thirstiest": str(fuel.thirstiest),
        "go_home": w.by(fuel.go_home) if fuel.go_home else None,
        "go_home_both": w.by_both(fuel.go_home) if fuel.go_home else None,
        "lowest_landing": w.fuel(fuel.lowest_landing),
        "lowest_ship": str(fuel.lowest_landing_ship),
        "short_of": (base_words(fuel, lowest) if lowest.landing_predicted < lowest.base_required else None),
        "landing_required": f"{w.fuel(ship.landing_required)}, {ship.landing_required_because}",
        "alternate": f"{'required' if fuel.alternate_required else 'not required'}: {fuel.alternate_because}",
        "step": step_words(w),
        "round_up_to": w.fuel(fuel.round_up_to),
        "tiers": _tiers(w, ship),
        "knock_off": (
            w.by(end.at) if end is not None else None
        ),  # the earlier of the two; clock.knock_off is END BY
        "joker_reached": w.by(first.joker_reached) if first is not None else None,
        "joker_ship": str(first.ship) if first is not None else None,
        "joker_ends": end is not None and end.ship is not None,
        "joker_first": _joker_first(w),
        "joker_by": str(by_joker.ship) if by_joker is not None else None,
        "joker_lines": sum_lines(w, joker) if joker is not None else [],
        "bingo_by": _bingo_by(w),
        "bingo_lines": _bingo_lines(w),
        "joker_margin": _joker_margin(w),
        "row_lines": [
            f"{beginning(row.label)}: {w.fuel(row.burn.printed)} ({row.burn.basis}), left"
            f" {w.fuel(row.remaining_printed)}"
            for row in ship.rows
        ],
        "latest_home": _latest(w),
    }


def _joker_first(w: Words) -> str | None:
    """The ship that reaches joker before END BY, and when; None when no ship does."""
    by_clock, end = w.plan.clock.knock_off, training_end(w.plan)
    if end is None or end.ship is None:
        return None
    by = f", before END BY {w.by(by_clock)}" if by_clock is not None else ""
    return f"Ship {end.ship} reaches joker first, at {w.by(end.at)}{by}."


def _to_set(w: Words) -> str | None:
    """What each pilot sets, in the order in which it is set; None where there is neither joker nor bingo."""
    fuel = w.plan.fuel
    assert fuel is not None
    passes = each_pass(w.plan)
    bingos = [(seen, seen.fuel and seen.fuel.bingo_event) for seen in passes]
    several = fuel.bingo_training is not None and any(figure is not None for _, figure in bingos)
    several = several or len(passes) > 1
    named = [
        ("joker ", fuel.joker, ""),
        ("bingo ", fuel.bingo_training, " for the training" if several else ""),
    ]
    if len(w.plan.trainings) > 1:  # each block tells its own
        named = []
    for seen, figure in bingos:
        of = of_pass(seen.passes[0].section)
        named.append(
            (
                "" if several and named else "bingo ",
                figure,
                f" from {_event_starts(seen)}{of} on" if several else "",
            )
        )
    return (
        ", ".join(f"{before}{w.fuel(value)}{after}" for before, value, after in named if value is not None)
        or None
    )


def step_words(w: Words) -> str:
    """``to 10 lb``, ``to 0.2 kg, a default by the size of the tanks``; each step with its ships where they
    differ."""
    fuel = w.plan.fuel
    assert fuel is not None
    scales = {ship.ship: ship.scale for ship in fuel.ships}
    told = []
    for scale in dict.fromkeys(scales.values()):
        ships = [str(ship) for ship, own in scales.items() if own == scale]
        whose = (
            ""
            if len(ships) == len(scales)
            else f" (ship{'s' if len(ships) > 1 else ''} {words.listed(ships)})"
        )
        default = "" if scale.step_given else ", a default by the size of the tanks"
        told.append(f"to {w.fuel(scale.step)}{whose}{default}")
    return "; ".join(told)


def ship_of(w: Words, number: int) -> ShipFuel:
    """The fuel of the ship of that number."""
    assert w.plan.fuel is not None
    return next(ship for ship in w.plan.fuel.ships if ship.ship == number)


def joker_of(ship: ShipFuel) -> FuelSum | None:
    """What a ship's joker is added up from."""
    return ship.joker


def bingo_training_of(ship: ShipFuel) -> FuelSum | None:
    """The same of its bingo in the area."""
    return ship.bingo_training.sum if ship.bingo_training is not None else None


def bingo_event_of(ship: ShipFuel) -> FuelSum | None:
    """The same of its bingo from the hold on."""
    return ship.bingo_event.sum if ship.bingo_event is not None else None


SumOf = Callable[[ShipFuel], FuelSum | None]


def needs_most(fuel: FuelPlan, sum_of: SumOf) -> ShipFuel | None:
    """The ship whose figure is the flight's, which need not be the one that burns most; of equals the larger
    sum. None where no ship has one."""
    having = [(own.figure, own.total, -ship.ship, ship) for ship in fuel.ships if (own := sum_of(ship))]
    return max(having, key=lambda row: row[:3])[-1] if having else None


def _bingo_by(w: Words) -> str:
    """``Ship 4 needs most``; where it is another ship for the training: ``Ship 6 needs most for the training,
    ship 4 from the hold on``."""
    fuel = w.plan.fuel
    assert fuel is not None
    training, event = _bingo_ships(w, fuel)
    one = training or event
    if training is None or event is None or training is event:
        return f"Ship {one.ship} needs most" if one else ""
    return (
        f"Ship {training.ship} needs most for the training, ship {event.ship} from {_event_starts(w.plan)} on"
    )


def _bingo_ships(w: Words, fuel: FuelPlan) -> tuple[ShipFuel | None, ShipFuel | None]:
    """Which ship needs most for the training, and which for the event; of several blocks or passes each slide
    has its own."""
    training = None if len(w.plan.trainings) > 1 else needs_most(fuel, bingo_training_of)
    return training, None if len(w.plan.passes) > 1 else needs_most(fuel, bingo_event_of)


def _event_starts(plan: Plan) -> str:
    """Where the bingo of the event is set."""
    event = plan.event
    return "the hold" if event is not None and event.hold is not None else "the IP"


def sum_lines(w: Words, total: FuelSum) -> list[str]:
    """A sum line by line, then its total and the figure it is rounded up to."""
    lines = [
        f"{beginning(addend.label)}: {w.fuel(addend.printed)} ({addend.basis})" for addend in total.addends
    ]
    return [*lines, f"Total {w.fuel(total.total)}, rounded up {w.fuel(total.figure)}"]


def _bingo_lines(w: Words) -> list[str]:
    fuel = w.plan.fuel
    assert fuel is not None
    training, event = _bingo_ships(w, fuel)
    told = ((training, training and training.bingo_training), (event, event and event.bingo_event))
    return [line for ship, bingo in told if ship and bingo for line in _lines_of(w, ship.ship, bingo)]


def _lines_of(w: Words, ship: int, bingo: Bingo) -> list[str]:
    alternate = "with the alternate" if bingo.alternate else "without an alternate"
    start = f"{bingo.point.name}, {words.distance(bingo.distance_nm)} from home"
    return [f"Bingo{of_ship(w.plan, ship)} from {start}, {alternate}", *sum_lines(w, bingo.sum)]


def _tiers(w: Words, ship: ShipFuel) -> list[str]:
    names = {"normal_landing": "Normal landing", "minimum": "Minimum fuel", "emergency": "Emergency fuel"}
    return [
        f"{names[tier.id]} {tier_words(w.mission, ship, tier) if tier.printed is not None else NOT_GIVEN}"
        for tier in ship.tiers
    ]


def _joker_margin(w: Words) -> str:
    """The least that a ship has above its joker at the end of training."""
    fuel = w.plan.fuel
    assert fuel is not None
    least = least_joker_margin(fuel.ships)
    if least is None:
        return NOT_CHECKED
    margin, ship = least
    side = "above" if margin >= 0 else "below"
    return f"{w.fuel(abs(margin))} {side} joker, ship {ship}"


def _latest(w: Words) -> list[str]:
    """How long each ship can hold."""
    fuel = w.plan.fuel
    assert fuel is not None
    return [
        f"Ship {s.ship} can hold {words.duration(down(s.longest_hold_s))}"
        for s in fuel.ships
        if s.longest_hold_s is not None
    ]
