"""Every ship of the flight along the clock, planned against required, from plain figures: no mission, no
air."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from typing import Any

from briefgen.core.diagnostics import Diagnostic, has_errors
from briefgen.core.records import record
from briefgen.mission.resolve.sections import long_id
from briefgen.plan.fuel.checks import checks, missing
from briefgen.plan.fuel.inputs import FuelInputs, ShipInput, WayHome
from briefgen.plan.fuel.rounding import in_lb, in_unit, printed_down, required, tidy
from briefgen.plan.fuel.rows import (
    fuel_rows,
    go_home,
    holds_of,
    joker_reached,
    longest_hold_s,
    points_home,
    required_at,
    rows_of_block,
    spare_from_lb,
)
from briefgen.plan.fuel.sums import (
    alternate_lines,
    bingo_from,
    continue_sum,
    joker_sum,
    landing_of,
    reserve_sum,
    tiers_of,
    worst,
)
from briefgen.plan.model import (
    Bingo,
    BlockClock,
    BlockFuel,
    Clock,
    FuelPlan,
    FuelRow,
    FuelSum,
    HoldFuel,
    Onward,
    Phase,
    Point,
    ShipFuel,
)

NO_BLOCK_FUEL = BlockFuel("", None, None, None, None, None)  # of a sortie without training


def fuel_of(
    inputs: FuelInputs, clock: Clock, ways: Sequence[WayHome], least: Mapping[str, Clock] | None = None
) -> tuple[FuelPlan | None, list[Diagnostic]]:
    """The flight's fuel, None when something is missing or doesn't fit. ``ways`` are the points that a ship
    may have to go home from; ``least``: by the id of a block or pass, the clock on which blocks after it have
    no more set-ups than they must, where that is another one."""
    if lacking := missing(inputs, clock):
        return None, lacking
    found = checks(inputs, clock)
    if has_errors(found):
        return None, found
    ships = tuple(ship_fuel(ship, inputs, clock, ways, least or {}) for ship in inputs.ships)
    return flight_fuel(inputs, ships), found


def ship_fuel(
    ship: ShipInput, inputs: FuelInputs, clock: Clock, ways: Sequence[WayHome], least: Mapping[str, Clock]
) -> ShipFuel:
    """Everything about one ship. All flows that it needs must be there (see ``checks.missing``).

    ``landing_required`` is what it needs when the leader touches down, its wait to land included;
    ``landing_predicted`` is at its own touchdown, after that wait, and compares with ``landing_floor``.
    """
    landing = landing_of(ship, inputs)
    bingos = tuple(bingo_from(way, ship, inputs, clock) for way in ways)
    first = inputs.waits[0].piece if inputs.waits else ""
    bingo_event = bingo_of_pass(bingos, first)
    alternate = alternate_lines(ship, inputs, clock)

    def rows_on(clock: Clock) -> tuple[FuelRow, ...]:
        return fuel_rows(ship, inputs, clock, landing, required_at(ship, clock, bingos, alternate, landing))

    rows = rows_on(clock)
    jokers = {
        block.id: joker_sum(ship, inputs, least.get(block.id, clock), corners_of(ways, block.id), block.id)
        for block in clock.blocks
    }
    blocks = tuple(
        _of_block(ship, rows_of_block(rows, clock, block.id), block, jokers[block.id], bingos)
        for block in clock.blocks
    )
    keep = required(sum(line.exact_lb for line in alternate), (landing.floor,), ship.scale)

    def hold_fuel(hold: Phase) -> HoldFuel:
        """A longer hold is given by the set-ups behind it that are left open, down to their minimum."""
        on = least.get(hold.piece, clock)
        own = rows if on is clock else rows_on(on)
        return _of_hold(ship, own, hold, bingos, kept_at(own, on, bingos, blocks, keep))

    holds = tuple(hold_fuel(hold) for hold in holds_of(clock))
    return ShipFuel(
        ship=ship.ship,
        scale=ship.scale,
        start_printed=printed_down(ship.start.lb, ship.scale),
        burn_factor=ship.burn_factor,
        rows=rows,
        bingo_event=bingo_event,
        bingos=bingos,
        reserve=reserve_sum(ship, inputs),
        landing_required=landing.required,
        landing_required_because=landing.because,
        base_required=keep,
        landing_predicted=rows[-1].remaining_printed,
        landing_predicted_exact_lb=rows[-1].remaining_exact_lb,
        go_home=holds[0].go_home if holds else None,
        longest_hold_s=holds[0].longest_s if holds else None,
        tiers=tiers_of(ship),
        holds=holds,
        onward=tuple(_onward(ship, inputs, clock, least)),
        blocks=blocks,
        **ship_members(next(iter(blocks), NO_BLOCK_FUEL)),
    )


def ship_members(block: BlockFuel) -> dict[str, Any]:
    """What the fuel of a ship has of one block of training, by the names of its members."""
    return {
        "joker": block.joker,
        "joker_reached": block.joker_reached,
        "knock_off": block.knock_off,
        "training_end_predicted": block.training_end_predicted,
        "bingo_training": block.bingo_training,
    }


def corners_of(ways: Sequence[WayHome], block: str) -> list[WayHome]:
    """Where the longest way home from the area of a block begins."""
    return [way for way in ways if way.phase == "training" and way.piece == block]


def _of_block(
    ship: ShipInput,
    own: Sequence[FuelRow],
    block: BlockClock,
    joker: FuelSum | None,
    bingos: Sequence[Bingo],
) -> BlockFuel:
    at_joker = joker_reached(ship, own, joker.figure) if joker else None
    ends = [at for at in (at_joker, block.end_by) if at is not None]
    return BlockFuel(
        block.id,
        joker,
        at_joker,
        min(ends, default=None) if joker else None,
        next((row.remaining_printed for row in reversed(own)), None),
        worst([bingo for bingo in bingos if bingo.piece == block.id], "training"),
    )


def _onward(
    ship: ShipInput, inputs: FuelInputs, clock: Clock, least: Mapping[str, Clock]
) -> Iterator[Onward]:
    for wait in inputs.waits[:-1]:
        total = continue_sum(wait.piece, ship, inputs, least.get(wait.piece, clock))
        if total is not None:
            yield Onward(wait.piece, total)


def _of_hold(
    ship: ShipInput,
    rows: Sequence[FuelRow],
    hold: Phase,
    bingos: Sequence[Bingo],
    kept: Mapping[str, float],
) -> HoldFuel:
    bingo = bingo_of_pass(bingos, hold.piece)
    at = go_home(ship, rows, hold, bingo.sum.figure if bingo is not None else None)
    return HoldFuel(hold.piece, at, longest_hold_s(ship, rows, hold, at, kept))


def bingo_of_pass(bingos: Sequence[Bingo], piece: str) -> Bingo | None:
    """The one to set in a pass: its worst point; None without one."""
    return worst([bingo for bingo in bingos if bingo.piece == piece], "event")


def kept_at(
    rows: Sequence[FuelRow],
    clock: Clock,
    bingos: Sequence[Bingo],
    blocks: Sequence[BlockFuel],
    landing: float,
) -> dict[str, float]:
    """Phase id -> what the gates hold a ship to at its end, as printed: at each point of the way what is
    required to go home from there, after a hold the bingo of its pass, after a block of training its joker,
    and in the end what must be left on ``landing``."""
    points, last = points_home(rows, clock), rows[-1].phase_id
    kept = {
        row.phase_id: row.required_printed
        for row in rows
        if row.required_printed is not None and row.phase_id in points
    }
    for hold in holds_of(clock):
        if (bingo := bingo_of_pass(bingos, hold.piece)) is not None:
            kept[hold.id] = bingo.sum.figure
    for block in blocks:
        if block.joker is not None:
            kept[rows_of_block(rows, clock, block.piece)[-1].phase_id] = block.joker.figure
    return {**kept, last: max(landing, kept.get(last, landing))}


def flight_fuel(inputs: FuelInputs, ships: tuple[ShipFuel, ...]) -> FuelPlan:
    """The flight's figures: joker and bingo of the ship that needs most, the earliest go-home time, the
    lowest landing fuel.

    The thirstiest is the ship that burns most from start to touchdown; of equals the one that lands with
    less. Ships are compared in the displayed unit, each by its own density: that is what their gauges show.
    The lowest landing fuel is that ship's own figure.
    """
    lowest = min(ships, key=lambda s: (s.landing_predicted, s.landing_predicted_exact_lb))
    scales = [ship.scale for ship in ships]
    return FuelPlan(
        unit=scales[0].unit,
        step=max(scale.step for scale in scales),
        round_up_to=scales[0].round_up_to,
        ships=ships,
        thirstiest=max(
            ships, key=lambda s: (in_unit(total_burn_lb(s), s.scale), -s.landing_predicted_exact_lb)
        ).ship,
        lowest_landing=lowest.landing_predicted,
        lowest_landing_ship=lowest.ship,
        alternate_required=inputs.alternate.required,
        alternate_because=inputs.alternate.because,
        **flight_members(ships),
    )


def flight_members(ships: Sequence[ShipFuel]) -> dict[str, Any]:
    """What the flight's fuel has of its ships, by the names of its members: what the one that needs most
    needs, and when the first must go home."""
    jokers = [ship.joker.figure for ship in ships if ship.joker]
    training = [ship.bingo_training.sum.figure for ship in ships if ship.bingo_training]
    event = [ship.bingo_event.sum.figure for ship in ships if ship.bingo_event]
    return {
        "joker": max(jokers, default=None),
        "bingo_training": max(training, default=None),
        "bingo_event": max(event, default=None),
        "go_home": min((ship.go_home for ship in ships if ship.go_home is not None), default=None),
    }


def fuel_of_pass(plan: FuelPlan, piece: str) -> FuelPlan:
    """The same fuel with the bingo and the hold of one pass in the place of the first one's."""
    ships = tuple(_ship_of_pass(ship, piece) for ship in plan.ships)
    return replace(plan, ships=ships, **flight_members(ships))


def fuel_of_block(plan: FuelPlan, piece: str) -> FuelPlan:
    """The same fuel with the joker and the bingo of one block of training in the place of the first one's."""
    ships = tuple(
        replace(ship, **ship_members(block))
        for ship in plan.ships
        for block in ship.blocks
        if block.piece == piece
    )
    return replace(plan, ships=ships, **flight_members(ships))


def _ship_of_pass(ship: ShipFuel, piece: str) -> ShipFuel:
    hold = next((hold for hold in ship.holds if hold.piece == piece), HoldFuel(piece, None, None))
    return replace(
        ship,
        bingo_event=bingo_of_pass(ship.bingos, piece),
        go_home=hold.go_home,
        longest_hold_s=hold.longest_s,
    )


def total_burn_lb(ship: ShipFuel) -> float:
    """What a ship burns from start to its own touchdown, exactly."""
    return sum(row.burn.exact_lb for row in ship.rows)


def landing_floor(ship: ShipFuel) -> float:
    """The greater of reserve and normal landing as printed: what ``landing_predicted`` has to reach. What the
    unit typed is as typed."""
    normal = next(tier.printed for tier in ship.tiers if tier.id == "normal_landing")
    return max(ship.reserve.figure, normal or 0)


@record
class AtPoint:
    """What one ship has and needs to go home, as printed, at the end of a phase."""

    phase_id: str
    point: Point
    ship: int
    remaining: float
    required: float

    @property
    def spare(self) -> float:
        """Below 0 where it falls short."""
        return tidy(self.remaining - self.required)


def on_the_way(plan: FuelPlan, clock: Clock) -> list[AtPoint]:
    """Each ship at each point of the way, in the order flown (see ``points_home``)."""
    return [
        AtPoint(id, point, ship.ship, row.remaining_printed, row.required_printed)
        for id, point in points_home(plan.ships[0].rows, clock).items()
        for ship in plan.ships
        for row in ship.rows
        if row.phase_id == id and row.required_printed is not None
    ]


def landing_floor_lb(ship: ShipFuel) -> float:
    """The same exactly, in lb."""
    normal = next(tier.printed for tier in ship.tiers if tier.id == "normal_landing")
    return max(ship.reserve.exact_lb, in_lb(normal or 0, ship.scale))


def slip_limit_s(plan: FuelPlan, clock: Clock, piece: str) -> tuple[float, int] | None:
    """Without a hold: by how many seconds the run-in of a pass could take longer, at its flow, so that all
    have what is kept at each later point (see ``kept_at``), and the ship that limits it; None without the
    fuel of a run-in."""
    limits = []
    for ship in plan.ships:
        row = next((row for row in ship.rows if row.phase_id == long_id(piece, "run-in")), None)
        if row is not None and row.end > row.start and row.burn.exact_lb > 0.0:
            seconds = (row.end - row.start).total_seconds()
            kept = kept_at(ship.rows, clock, ship.bingos, ship.blocks, ship.base_required)
            spare_lb = spare_from_lb(ship.rows, row, kept, ship.scale)
            limits.append((spare_lb * seconds / row.burn.exact_lb, ship.ship))
    return min(limits, default=None)


def first_at_joker(plan: FuelPlan) -> ShipFuel | None:
    """The ship that reaches its joker first, the first of equals; None without training."""
    return min(
        (ship for ship in plan.ships if ship.joker_reached is not None),
        key=lambda ship: ship.joker_reached,
        default=None,
    )


def hold_limit_s(plan: FuelPlan, piece: str) -> tuple[float, int] | None:
    """The flight's longest hold of a pass in s, and the ship that limits it: all that follows is still flown,
    and all have what is kept at each later point (see ``kept_at``)."""
    limits = [
        (hold.longest_s, ship.ship)
        for ship in plan.ships
        for hold in ship.holds
        if hold.piece == piece and hold.longest_s is not None
    ]
    return min(limits, default=None)
