"""Fuel flows, and the fuel that a stretch of time costs one ship."""

from __future__ import annotations

from briefgen.core.diagnostics import KeyPath
from briefgen.plan.fuel.inputs import Given, Line, ShipInput
from briefgen.plan.fuel.rounding import amount_words, as_typed, typed_words
from briefgen.plan.model import Phase

# until it has left, a ship stays in its block's heights
IN_OWN_BLOCK = (
    "warm-up",
    "set-up",
    "training",
    "leave",
)


def flow_lb_h(ship: ShipInput, flow: str, altitude_ft: float | None) -> float:
    """Flow in lb/h at an altitude in ft MSL: linear between the rows of a table, held outside them, the
    greatest of the table where the altitude isn't known.  The flow must be there (see ``checks.missing``)."""
    return ship.flows[flow].lb_h(altitude_ft, ship.density_kg_per_l)


def height_ft(ship: ShipInput, phase: Phase) -> float | None:
    """Where this ship's flows are read in a phase: in the training at the middle of its own block, elsewhere
    at the flight's level."""
    own_ft = ship.blocks_ft.get(phase.piece) if phase.kind in IN_OWN_BLOCK else None
    return phase.altitude_ft if own_ft is None else own_ft


def burn(
    ship: ShipInput, flow: str, seconds: float, altitude_ft: float | None, *, label: str, cause: KeyPath
) -> Line:
    """Flow x time x burn factor: what ``seconds`` of flight cost this ship. The flow must be there (see
    checks.missing)."""
    lb_h = flow_lb_h(ship, flow, altitude_ft)
    is_table = len(ship.flows[flow].rows) > 1
    where = (
        ""
        if not is_table
        else " (greatest of the table)"
        if altitude_ft is None
        else f" at {altitude_ft:.0f} ft"
    )
    basis = (
        f"{amount_words(lb_h, ship.scale)}/h{where} x {time_words(seconds)} x"
        f" {factor_words(ship.burn_factor)}"
    )
    return Line(label, lb_h * seconds / 3600 * ship.burn_factor, basis, cause)


def given_burn(ship: ShipInput, given: Given, *, label: str) -> Line:
    """A fuel that the file gives for something flown: it takes the burn factor like any other airborne
    fuel."""
    basis = f"{given_words(ship, given)} x {factor_words(ship.burn_factor)}"
    return Line(label, given.lb * ship.burn_factor, basis, given.cause)


def weight(ship: ShipInput, given: Given, *, label: str) -> Line:
    """A weight that isn't burnt by flying (pad, reserve weight, start to take-off): no burn factor."""
    return Line(label, given.lb, given_words(ship, given), given.cause)


def given_words(ship: ShipInput, given: Given) -> str:
    """``given 80 lb``."""
    return f"given {typed_words(as_typed(given.lb, ship.scale), ship.scale)}"


def phase_burn(ship: ShipInput, phase: Phase) -> Line:
    """What one row of the clock costs: the given fuel where there is one, else flow x time. Ground rows take
    no factor."""
    if phase.given_fuel_lb is not None:
        given = Given(phase.given_fuel_lb, phase.cause)
        return (
            weight(ship, given, label=phase.label)
            if phase.kind == "ground"
            else given_burn(ship, given, label=phase.label)
        )
    assert phase.flow is not None, "fuel/checks.py lets no such phase through"
    share = ship.gather_share if phase.kind == "gather" else 1.0
    # a hold that is reached too late costs nothing, and gives nothing back
    seconds = max(phase.seconds, 0.0) * share + phase.early_s
    label = f"{phase.label}, {time_words(phase.early_s)} too early at it" if phase.early_s else phase.label
    return burn(ship, phase.flow, seconds, height_ft(ship, phase), label=label, cause=phase.cause)


def time_words(seconds: float) -> str:
    """Hours, minutes, seconds to the tenth, as the sums print them: "7 min 32.4 s"."""
    tenths = round(seconds * 10)
    hours, rest = divmod(tenths, 36000)
    minutes, tenths = divmod(rest, 600)
    parts = [f"{hours} h"] * bool(hours) + [f"{minutes} min"] * bool(minutes)
    if tenths or not parts:
        parts.append(f"{tenths // 10} s" if tenths % 10 == 0 else f"{tenths / 10:.1f} s")
    return " ".join(parts)


def factor_words(factor: float) -> str:
    """The burn factor with two decimals, more where it has more."""
    text = f"{factor:.6f}".rstrip("0")
    whole, _, decimals = text.partition(".")
    return f"{whole}.{decimals:0<2}"
