"""Every table of the brief by the name that templates use. A table that the mission gives no row for is left
out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import datetime

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.slides.tables import (
    air as tables_air,
)
from briefgen.brief.slides.tables import (
    event as tables_event,
)
from briefgen.brief.slides.tables import (
    fuel as tables_fuel,
)
from briefgen.brief.slides.tables import (
    gates as tables_gates,
)
from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_GIVEN, Words, text_or
from briefgen.plan.model import ClockEvent

BEFORE_AIRBORNE = ("report", "brief", "step", "start", "check_in", "taxi", "takeoff", "last-takeoff")
Maker = Callable[[Words], Table | None]


def make_tables(w: Words) -> dict[str, Table]:
    """The tables of a plan, those without rows left out."""
    made = {name: make(w) for name, make in TABLES.items()}
    return {name: table for name, table in made.items() if table is not None and table.rows}


def crew(w: Words) -> Table:
    """Who flies what."""
    file = w.mission.file
    columns = (
        Column("Ship", "right"),
        Column("Crew"),
        Column("Aircraft"),
        Column("Tail"),
        Column("Side"),
        Column("Start fuel", "right"),
        Column("Burns", "right"),
        *(() if w.mission.alone else (Column("May lead"),)),
        Column("Flypasts led", "right"),
    )
    rows: list[list[str | Cell]] = []
    for ship in file.flight:
        lead = NOT_GIVEN if ship.may_lead is None else words.yes_no(ship.may_lead)
        led = str(ship.flypasts_led) if ship.flypasts_led is not None else NOT_GIVEN
        fuel = _start_fuel(w, ship.ship)
        rows.append(
            [
                str(ship.ship),
                Cell(words.listed(ship.crew), strong=ship.ship == 1),
                file.aircraft[ship.aircraft].name,
                text_or(ship.tail),
                text_or(ship.side),
                fuel,
                words.percent(ship.burn_factor),
                *(() if w.mission.alone else (lead,)),
                led,
            ]
        )
    return text_table("crew", columns, rows, "Burns: fuel used against the figures of the type.")


def _start_fuel(w: Words, number: int) -> str:
    fuel = w.plan.fuel
    if fuel is not None:
        return next(w.fuel(ship.start_printed) for ship in fuel.ships if ship.ship == number)
    ship = w.mission.ship(number)
    if ship.start_fuel is None:
        return NOT_GIVEN
    return words.fuel_figure(ship.start_fuel.value, ship.start_fuel.unit)


def clock_table(w: Words, name: str, events: Sequence[ClockEvent]) -> Table | None:
    """Instants with a column for each clock."""
    columns = (Column("What"), *(Column(clock.head, "right") for clock in w.clocks))
    rows: list[list[str | Cell]] = [
        [Cell(event.label, strong=event.kind in ("takeoff", "true-time")), *_clocks(w, event.at)]
        for event in events
    ]
    return text_table(name, columns, rows)


def _clocks(w: Words, at: datetime) -> list[str | Cell]:
    return [clock.bare(at) for clock in w.clocks]


def clock_times(w: Words) -> Table | None:
    """Every named instant from the take-off on."""
    return clock_table(
        w, "clock_times", [event for event in w.plan.clock.events if event.at >= w.plan.clock.takeoff]
    )


def ground(w: Words) -> Table | None:
    """Up to the take-off of the last ship."""
    return clock_table(w, "ground", [event for event in w.plan.clock.events if event.kind in BEFORE_AIRBORNE])


def radio(w: Words) -> Table:
    """The presets, with who else listens; then who is on a frequency that no preset has."""
    all_of_it = "the ship" if w.mission.alone else "every ship, when the leader says so"
    rows: list[list[str | Cell]] = [
        [
            str(row.preset),
            row.use,
            words.frequency(row.frequency),
            words.listed(f"ship {n}" for n in row.listens) or all_of_it,
        ]
        for row in w.mission.file.radio
    ]
    rows += [["none", who, said, NOT_GIVEN] for who, said in _without_preset(w)] if rows else []
    return text_table(
        "radio",
        (Column("Preset", "right"), Column("Use"), Column("Frequency", "right"), Column("Also listening")),
        rows,
    )


def _without_preset(w: Words) -> Iterator[tuple[str, str]]:
    """Who can recall the flight or stop the pass, and the frequency, where the radio card has no preset for
    it."""
    presets = {words.frequency(row.frequency) for row in w.mission.file.radio}
    supervisor = w.mission.file.sortie.supervisor
    if (
        supervisor is not None
        and supervisor.frequency is not None
        and words.frequency(supervisor.frequency) not in presets
    ):
        recall = f"; recall word {supervisor.recall_word}" if supervisor.recall_word else ""
        yield f"Supervisor {supervisor.name}{recall}", words.frequency(supervisor.frequency)
    for party in (party for event in w.mission.events for party in event.written.parties):
        if party.frequency is not None and (said := words.frequency(party.frequency)) not in presets:
            yield party.who, said


TABLES: dict[str, Maker] = {
    "crew": crew,
    "clock_times": clock_times,
    "ground": ground,
    **tables_air.TABLES,
    **tables_fuel.TABLES,
    **tables_event.TABLES,
    "radio": radio,
    **tables_gates.TABLES,
}
