"""Fuel as planned and as flown, in words and tables."""

from __future__ import annotations

from collections.abc import Iterable

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.slides.view.fuel import ship_of
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import in_block
from briefgen.brief.wording.words import Words
from briefgen.debrief.sums import Burn, FuelPoint, ShipSheet
from briefgen.plan.fuel.flight import landing_floor
from briefgen.plan.fuel.rounding import as_typed, printed_down, printed_near, tidy
from briefgen.plan.model import Scale

NOT_RECORDED = "not recorded"
MOST_LOW = 3  # on the slide: of the ships that landed with too little
POINT_WORDS = {
    "start": "start",
    "end_of_training": "end of training",
    "hold": "hold entered",
    "landing": "landing",
}


def factors(w: Words, sheets: tuple[ShipSheet, ...]) -> Table:
    burns = sheets[0].burns if sheets else ()
    heads = [f"{_point(w, burn.first)} to {_point(w, burn.last)}" for burn in burns]
    columns = (
        Column("Ship", "right"),
        Column("Factor planned", "right"),
        *(Column(head.capitalize(), "right") for head in heads),
        Column("Whole sortie", "right"),
        Column("Landed with", "right"),
    )
    rows: list[list[str | Cell]] = [
        [
            str(sheet.ship),
            words.factor(sheet.planned_factor),
            *(_factor(burn) for burn in sheet.burns),
            Cell(_factor(sheet.whole), strong=True),
            _gauge(w, sheet),
        ]
        for sheet in sheets
    ]
    return text_table(
        "factors", columns, rows, "Burn factor flown. Landed with: in brackets against the plan."
    )


def _point(w: Words, point: str) -> str:
    """Of several blocks of training the end of the first is what is recorded."""
    first = w.plan.trainings[0].id if w.plan.trainings and point == "end_of_training" else ""
    return POINT_WORDS[point] + (in_block(w.plan, first) if first else "")


def _factor(burn: Burn, *, why: bool = False) -> str:
    if burn.flown_lb is None:
        return NOT_RECORDED
    if burn.factor is None:
        return f"can't be told: {burn.lacks}" if why else "can't be told"
    return words.factor(burn.factor)


def _gauge(w: Words, sheet: ShipSheet) -> str:
    point, scale = sheet.points[-1], ship_of(w, sheet.ship).scale
    if point.flown_lb is None:
        return NOT_RECORDED
    return (
        f"{_fuel_words(scale, as_typed(point.flown_lb, scale))}"
        f" ({words.signed_fuel(_against_plan(point, point.flown_lb, scale))})"
    )


def low_fuel(w: Words, sheets: tuple[ShipSheet, ...]) -> str | None:
    """``Ship 4 landed with 690 lb, below its emergency fuel of 700 lb``: every ship that landed with less
    than must be left, the gravest first; None without any."""
    found = sorted(low for sheet in sheets if (low := _landed_below(w, sheet)) is not None)
    each = [
        f"ship {ship} {'with' if number else 'landed with'} {landed}, below {bound}"
        for number, (_, _, ship, landed, bound) in enumerate(found)
    ]
    told = "; ".join([*each[:MOST_LOW], *([f"{len(each) - MOST_LOW} more"] if len(each) > MOST_LOW else [])])
    return told[:1].upper() + told[1:] or None


def _landed_below(w: Words, sheet: ShipSheet) -> tuple[int, float, int, str, str] | None:
    """(how grave, margin, ship, what it landed with, the gravest bound that is more); None above all of them
    and where the landing is not recorded."""
    ship, lb = ship_of(w, sheet.ship), sheet.points[-1].flown_lb
    if lb is None:
        return None
    tiers = {tier.id: tier.printed for tier in ship.tiers}
    floor, landed = landing_floor(ship), as_typed(lb, ship.scale)
    bounds = (
        (tiers["emergency"], "its emergency fuel of {}"),
        (tiers["minimum"], "its minimum fuel of {}"),
        (floor, "its reserve or normal landing fuel of {}"),
    )
    for grave, (bound, said) in enumerate(bounds):
        if bound is not None and landed < bound:
            told = said.format(_fuel_words(ship.scale, bound))
            return grave, landed - bound, ship.ship, _fuel_words(ship.scale, landed), told
    return None


def _fuel_words(scale: Scale, amount: float) -> str:
    return words.fuel_figure(amount, scale.unit)


def _against_plan(point: FuelPoint, flown_lb: float, scale: Scale) -> float:
    """What the gauge showed against what the card had at that point."""
    return tidy(as_typed(flown_lb, scale) - printed_down(point.planned_lb, scale))


def fuel_tables(w: Words, sheets: tuple[ShipSheet, ...]) -> Iterable[Table]:
    """Fuel at the points, and the sums behind each factor."""
    points = (
        Column("Ship", "right"),
        Column("At"),
        Column("Planned", "right"),
        Column("Flown", "right"),
        Column("From plan", "right"),
    )
    yield text_table(
        "fuel_points", points, [_point_row(w, sheet, point) for sheet in sheets for point in sheet.points]
    )
    burns = (
        Column("Ship", "right"),
        Column("Stretch"),
        Column("Burnt", "right"),
        Column("Of it on the ground", "right"),
        Column("Airborne at factor 1", "right"),
        Column("Factor", "right"),
    )
    rows = [_burn_row(w, sheet, burn) for sheet in sheets for burn in (*sheet.burns, sheet.whole)]
    yield text_table(
        "fuel_burns",
        burns,
        rows,
        "The ground's fuel as planned; set-ups and hold as flown where they are recorded, else as planned.",
    )


def _point_row(w: Words, sheet: ShipSheet, point: FuelPoint) -> list[str | Cell]:
    scale = ship_of(w, sheet.ship).scale
    row: list[str | Cell] = [
        str(sheet.ship),
        _point(w, point.point),
        _fuel_words(scale, printed_down(point.planned_lb, scale)),
    ]
    if point.flown_lb is None:
        return [*row, NOT_RECORDED, NOT_RECORDED]
    margin = f"{words.signed_fuel(_against_plan(point, point.flown_lb, scale))} {scale.unit}"
    return [*row, _fuel_words(scale, as_typed(point.flown_lb, scale)), margin]


def _burn_row(w: Words, sheet: ShipSheet, burn: Burn) -> list[str | Cell]:
    scale = ship_of(w, sheet.ship).scale
    burnt = NOT_RECORDED if burn.flown_lb is None else _fuel_words(scale, as_typed(burn.flown_lb, scale))
    near = (_fuel_words(scale, printed_near(lb, scale)) for lb in (burn.ground_lb, burn.plain_lb))
    return [
        str(sheet.ship),
        f"{_point(w, burn.first)} to {_point(w, burn.last)}",
        burnt,
        *near,
        _factor(burn, why=True),
    ]


def title_fuel(sheets: tuple[ShipSheet, ...]) -> str:
    known = [(sheet, factor) for sheet in sheets if (factor := sheet.whole.factor) is not None]
    if not known:
        recorded = any(sheet.whole.flown_lb is not None for sheet in sheets)
        return (
            "What the ships burnt over the sortie can't be"
            f" told{'' if recorded else ': fuels are not recorded'}"
        )
    most, factor = max(known, key=lambda one: one[1] / one[0].planned_factor)
    among = (
        "Ship" if len(known) == len(sheets) else f"Of the {words.counted(len(known), 'ship')} recorded, ship"
    )
    return (
        f"{among} {most.ship} burnt most against its plan: factor {words.factor(factor)}, planned"
        f" {words.factor(most.planned_factor)}"
    )
