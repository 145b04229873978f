"""Fuel sums as tables."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import datetime

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.slides.view.fuel import (
    SumOf,
    bingo_event_of,
    bingo_training_of,
    joker_of,
    needs_most,
    step_words,
)
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_CHECKED, Words, beginning
from briefgen.plan.model import Addend, Bingo, FuelSum, ShipFuel
from briefgen.plan.timing.training_end import training_end


def _deciding(w: Words, sum_of: SumOf) -> ShipFuel | None:
    return needs_most(w.plan.fuel, sum_of) if w.plan.fuel is not None else None


def _whose(w: Words, ship: ShipFuel, head: str) -> str:
    return f"From {head}" if w.mission.alone else f"Ship {ship.ship}, from {head}"


def _sum_table(
    w: Words, ship: ShipFuel, named: tuple[str, str], addends: Sequence[Addend], total: FuelSum | None
) -> Table:
    """``named``: the table's name and the head of its first column."""
    name, head = named
    unit, step = ship.scale.unit, ship.scale.step
    rows: list[list[str | Cell]] = [
        [beginning(addend.label), words.fuel_in_column(addend.printed, step)] for addend in addends
    ]
    if total is not None:
        rows.append([Cell("Total", strong=True), Cell(words.fuel_in_column(total.total, step), strong=True)])
        rows.append([Cell("Rounded up", strong=True), Cell(w.fuel(total.figure), strong=True)])
    return text_table(name, (Column(head), Column(unit, "right")), rows)


def joker_first(w: Words) -> Table | None:
    """The first half of the joker's lines, for the ship that needs most."""
    ship = _deciding(w, joker_of)
    if ship is None or ship.joker is None:
        return None
    addends = ship.joker.addends[: len(ship.joker.addends) // 2 + 1]
    return _sum_table(w, ship, ("joker_first", _whose(w, ship, "the end of training")), addends, None)


def joker_rest(w: Words) -> Table | None:
    """The other half with the total."""
    ship = _deciding(w, joker_of)
    if ship is None or ship.joker is None:
        return None
    addends = ship.joker.addends[len(ship.joker.addends) // 2 + 1 :]
    return _sum_table(w, ship, ("joker_rest", "continued"), addends, ship.joker)


def _bingo(w: Words, name: str, ship: ShipFuel, bingo: Bingo) -> Table:
    return _sum_table(w, ship, (name, _whose(w, ship, bingo.point.name)), bingo.sum.addends, bingo.sum)


def bingo_training(w: Words) -> Table | None:
    """The bingo to set in the area, of the ship that needs most there."""
    ship = _deciding(w, bingo_training_of)
    if ship is None or ship.bingo_training is None:
        return None
    return _bingo(w, "bingo_training", ship, ship.bingo_training)


def bingo_event(w: Words) -> Table | None:
    """The bingo to set from the hold to the egress, of the ship that needs most there."""
    ship = _deciding(w, bingo_event_of)
    if ship is None or ship.bingo_event is None:
        return None
    return _bingo(w, "bingo_event", ship, ship.bingo_event)


def fuel_ships(w: Words) -> Table | None:
    """Each ship's own figures."""
    fuel = w.plan.fuel
    if fuel is None:
        return None
    columns, rows = _used(_ship_columns(), [_ship_row(w, ship) for ship in fuel.ships])
    return text_table(
        "fuel_ships",
        columns,
        rows,
        f"Fuel in {fuel.unit}, {step_words(w)}; times in Zulu.{_notes(w)}{_end_note(w)}",
    )


def _notes(w: Words) -> str:
    """What must be left, and that the cards carry the flight's figures."""
    fuel = w.plan.fuel
    landing = (
        " Must land with: the alternate included." if fuel is not None and fuel.alternate_required else ""
    )
    return landing + ("" if w.mission.alone else " Cards carry the flight's joker and bingo, the highest.")


def _end_note(w: Words) -> str:
    """What the column of jokers means for the flight; empty without training and of several blocks."""
    end = training_end(w.plan) if len(w.plan.trainings) < 2 else None
    return "" if end is None else f" Training {w.training_end(end)}."


def block_ships(w: Words) -> Table | None:
    """Of several blocks each ship's own figures in the one that is spoken of; of one they stand in the
    table of the ships."""
    if w.plan.fuel is None or len(w.plan.trainings) != 1 or len(w.plan.route.blocks) < 2:
        return None
    heads = ("Ship", *_BLOCK_HEADS)
    found = _used(_columns(heads), [[str(s.ship), *_block_figures(w, s)] for s in w.plan.fuel.ships])
    return text_table("block_ships", *found, f"Fuel in {w.plan.fuel.unit}; times in Zulu.{_end_note(w)}")


_BLOCK_HEADS = ("Joker", "End of training", "Joker reached", "Bingo training")


def _ship_columns() -> list[Column]:
    heads = ("Bingo event", "Go home by fuel", "Must land with", "Lands with")
    return _columns(("Ship", "Start", *_BLOCK_HEADS, *heads))


def _columns(heads: Sequence[str]) -> list[Column]:
    return [Column(head, "right") for head in heads]


def _figure(ship: ShipFuel, amount: float | None) -> str:
    return "" if amount is None else words.fuel_in_column(amount, ship.scale.step)


def _by(w: Words, at: datetime | None) -> str:
    return "" if at is None else words.clock_bare(words.time_limit(at, "latest"), day=w.day)


def _block_figures(w: Words, ship: ShipFuel) -> list[str]:
    """In the order of _BLOCK_HEADS; none of several blocks together."""
    if len(w.plan.trainings) > 1:
        return [""] * len(_BLOCK_HEADS)
    return [
        _figure(ship, ship.joker.figure if ship.joker else None),
        _figure(ship, ship.training_end_predicted),
        _by(w, ship.joker_reached),
        _figure(ship, ship.bingo_training.sum.figure if ship.bingo_training else None),
    ]


def _ship_row(w: Words, ship: ShipFuel) -> list[str]:
    several = len(w.plan.passes) > 1  # then each pass has its own, on its slides
    event = ship.bingo_event.sum.figure if ship.bingo_event and not several else None
    return [
        str(ship.ship),
        _figure(ship, ship.start_printed),
        *_block_figures(w, ship),
        _figure(ship, event),
        _by(w, None if several else ship.go_home),
        _figure(ship, ship.base_required),
        _figure(ship, ship.landing_predicted),
    ]


def _used(columns: list[Column], rows: list[list[str]]) -> tuple[tuple[Column, ...], list[list[str | Cell]]]:
    """Only the columns in which some ship has a figure; a gap in those that stay reads NOT CHECKED."""
    kept = [i for i in range(len(columns)) if any(row[i] for row in rows)]
    return tuple(columns[i] for i in kept), [[row[i] or NOT_CHECKED for i in kept] for row in rows]


TABLES: dict[str, Callable[[Words], Table | None]] = {
    "joker_first": joker_first,
    "joker_rest": joker_rest,
    "bingo_training": bingo_training,
    "bingo_event": bingo_event,
    "fuel_ships": fuel_ships,
    "block_ships": block_ships,
}
