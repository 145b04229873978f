"""The one table of a kneeboard card's sides before a pass: clock, fuel, a field to write in, the radio and
what is flown from there."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import zip_longest

from briefgen.brief.cards.common import grid, left_in_column, never_left, pass_of
from briefgen.brief.cards.model import Grid, Run
from briefgen.brief.cards.outbound import Outbound
from briefgen.brief.cards.presets import presets_from
from briefgen.brief.wording import format as words
from briefgen.brief.wording.heights import area_band, flown_level
from briefgen.brief.wording.words import NONE, UNREACHABLE, Words, magnetic_or_true
from briefgen.core.records import record
from briefgen.mission.schema.base import FromPhase
from briefgen.mission.schema.sortie import Ship
from briefgen.plan.fuel.flight import fuel_of_pass
from briefgen.plan.model import FuelRow, Leg, Phase, PhaseKind, ShipFuel
from briefgen.plan.route.air import altitude_ft
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import later, on_own_clock, ship_later_s
from briefgen.units.values import Level

_STAGES = ("departure", "warm-up", "set-up", "training", "leave", "rejoin", "transit", "hold")
_IN_AREA = ("warm-up", "set-up", "training")
_GROUND: tuple[FromPhase, ...] = ("step", "start", "check_in", "taxi")
# the phases of the clock that a preset may be `from`
_BEGINS: dict[PhaseKind, FromPhase] = {
    "rejoin": "rejoin",
    "hold": "hold",
    **dict.fromkeys(_IN_AREA, "training"),
}


@record
class Stop:
    """A row: where or when the flight is, and what begins there. ``ended``: the phase that ends there, None
    at take-off; ``begins``: the one that begins, None at the end of the side. ``own_s``: by how much this
    ship is later than the flight's clock."""

    ended: Phase | None
    begins: Phase | None
    own_s: float


def way_log(w: Words, ship: Ship, shown: Outbound, *, parts_only: bool = False) -> Grid | None:
    """From take-off to leaving the hold, or as far as the side goes. ``parts_only``: of several legs or
    set-ups in a row the last."""
    fuel = w.ship_fuel(ship.ship)
    stops = _stops(w, ship, shown, parts_only=parts_only)
    radio = any(row.from_ for row in w.mission.file.radio)
    msl = all(level.datum == "MSL" for level in _levels(w, ship, shown))
    rows = [
        (*_row(w, fuel, stop), *((_preset(w, stop),) if radio else ()), _then(w, ship, shown, stop, msl=msl))
        for stop in stops
    ]
    columns = [("At", "1.25fr", "l"), ("Z", "auto", "r")]
    columns += [(f"Fuel {fuel.scale.unit}", "auto", "r"), ("Go\nhome", "auto", "r")] if fuel else []
    columns += [("Actual", "15mm", "l")]
    columns += [("Radio", "auto", "r")] if radio else []
    columns += [("Then: heading, ft MSL, GS" if msl else "Then: heading, level, GS", "1.8fr", "l")]
    instants = [later(w.plan.clock.takeoff if s.ended is None else s.ended.end, s.own_s) for s in stops]
    days = w.days(instants)
    shaded = tuple(i for i, stop in enumerate(stops) if stop.ended and stop.ended.kind in _IN_AREA)
    note = f"All {days}." if days != w.days(()) else ""
    return grid("", columns, rows, note=note, shaded=shaded, name="Clock, fuel and way")


def ground_run(w: Words, ship: Ship) -> Run | None:
    """The events before take-off, each with the preset that it is the first moment of, and the fuel at
    start."""
    fuel = w.ship_fuel(ship.ship)
    rows = []
    for event in w.plan.clock.events:
        if event.kind in _GROUND:
            on = presets_from(w, event.kind)
            rows.append((event.label, w.bare(event.at) + (f" on preset {on}" if on else "")))
    rows += [("Fuel", w.fuel(fuel.start_printed))] if fuel else []
    return Run("GROUND, Z", tuple(rows)) if rows else None


def _stops(w: Words, ship: Ship, shown: Outbound, *, parts_only: bool) -> list[Stop]:
    """The ship's own time where it flies on its own clock, which is on the first side alone; the flight's
    after that."""
    kinds = (*_STAGES, *_home(w.plan, shown))
    later_s = ship_later_s(w.mission, ship.ship)
    phases = [phase for phase in shown.phases if phase.kind != "gather"]  # in the area, before its first row
    found = [Stop(None, phases[0] if phases else None, later_s)] if shown.first else []
    own = [(phase, after) for phase, after in zip_longest(phases, phases[1:]) if phase.kind in kinds]
    for place, (phase, after) in enumerate(own):
        follows = own[place + 1][0] if place + 1 < len(own) else None
        if parts_only and follows is not None and follows.kind == phase.kind:
            continue
        own_s = later_s if shown.first and on_own_clock(w.mission, phase) else 0.0
        found.append(Stop(phase, after, own_s))
    return found


def _home(plan: Plan, shown: Outbound) -> tuple[PhaseKind, ...]:
    """The way home too where a block of training is flown after the last pass; else it is on another side."""
    return ("recovery",) if plan.passes and not shown.first else ()


def _row(w: Words, fuel: ShipFuel | None, stop: Stop) -> tuple[str, ...]:
    """At, Z, fuel, go-home fuel, the field."""
    phase = stop.ended
    if phase is not None and never_left(w, phase):
        none = (NONE, "") if fuel else ()
        return (f"{_at(w, phase)}: {UNREACHABLE}", NONE, *none, "")
    id, at = ("ground", w.plan.clock.takeoff) if phase is None else (phase.id, phase.end)
    row = next((row for row in fuel.rows if row.phase_id == id), None) if fuel else None
    name = "Take-off" if phase is None else _at(w, phase)
    return (name, w.column(later(at, stop.own_s)), *_fuel_cells(row, fuel), "")


def _fuel_cells(row: FuelRow | None, fuel: ShipFuel | None) -> tuple[str, ...]:
    if fuel is None:
        return ()
    if row is None:
        return ("", "")
    required = row.required_printed
    home = "" if required is None else words.fuel_in_column(required, fuel.scale.step)
    return (left_in_column(row, fuel), home)


# ---------------------------------------------------------------- at


def _at(w: Words, phase: Phase) -> str:
    """A leg, and the way out of the area, by its end; the hold by the moment at which it ends: when it is
    left. Everything else as the clock has it."""
    if phase.leg is None:
        match phase.kind:
            case "leave":
                return _way_out(w)
            case "rejoin":
                return "Fuel check" if w.mission.alone else "Rejoined"
            case "hold":
                return f"Leave {pass_of(w, phase).hold.fix.id}"
        end_by = w.plan.clock.knock_off
        late = phase.kind == "set-up" and end_by is not None and phase.end > end_by
        return _in_area(w.plan, phase) + (": AFTER END BY" if late else "")
    return ("Climb to " if phase.kind == "climb" else "") + phase.leg.end.id


def _way_out(w: Words) -> str:
    """Where the flight leaves the area, in a phase of leaving it."""
    leave = w.mission.the_training.leave
    return "" if leave is None else leave.by


def _in_area(plan: Plan, phase: Phase) -> str:
    """A row without a leg, without its block: the side is of one."""
    match phase.kind:
        case "warm-up":
            return "Warm-up ends"
        case "set-up":
            own = [
                other.id
                for other in plan.clock.phases
                if (other.kind, other.piece) == ("set-up", phase.piece)
            ]
            return f"Set-up {own.index(phase.id) + 1} ends"
    return phase.label


# ---------------------------------------------------------------- radio, and what follows


def _preset(w: Words, stop: Stop) -> str:
    """The presets that are taken here: by the place, or by what begins."""
    phase, begins = stop.ended, stop.begins
    if phase is None:
        return presets_from(w, "takeoff")
    leg_end = phase.leg.end.id if phase.leg is not None else None
    place = _way_out(w) if phase.kind == "leave" else leg_end
    goes_on = begins is None or (begins.kind in _IN_AREA and phase.kind in _IN_AREA)
    begun = None if goes_on or begins is None else _BEGINS.get(begins.kind)
    return presets_from(w, *(wanted for wanted in (place, begun) if wanted is not None))


def _levels(w: Words, ship: Ship, shown: Outbound) -> Iterator[Level]:
    """Every level of the last column."""
    training = w.mission.file.training
    yield from (phase.leg.level for phase in shown.phases if phase.leg is not None)
    if training is None or not shown.trains:
        return
    band = training.blocks.get(ship.side) if ship.side else None
    yield from () if band is None else (band.low, band.high)
    rejoin = None if training.rejoin is None else training.rejoin.level
    yield from () if rejoin is None else (rejoin,)


def _then(w: Words, ship: Ship, shown: Outbound, stop: Stop, *, msl: bool) -> str:
    """The heading, level and ground speed of the next leg; the own block in the area; the level of the
    rejoin; the bingo to set in the hold. ``msl``: the head of the column says what the levels are."""
    phase, begins = stop.ended, stop.begins
    if begins is None or (phase is not None and phase.leg is not None and begins.leg is phase.leg):
        return ""
    if begins.leg is not None:
        return _leg_words(begins.leg, msl=msl)
    match begins.kind:
        case "warm-up" | "set-up" | "training" if phase is None or phase.kind not in _IN_AREA:
            return _own_block(w, ship, msl=msl)
        case "rejoin":
            return f"{'' if w.mission.alone else 'rejoin '}{_rejoin_level(w, msl=msl)}".strip()
        case "hold":
            return _bingo_words(w, shown)
    return ""


def _leg_words(leg: Leg, *, msl: bool) -> str:
    heading = magnetic_or_true(leg.heading_magnetic_deg, leg.heading_true_deg)
    level = words.height_bare(leg.level.feet) if msl else flown_level(leg.level, leg.altitude_ft)
    return f"{heading}, {level}, {words.knots_bare(leg.gs_kt)}"


def _own_block(w: Words, ship: Ship, *, msl: bool) -> str:
    training = w.mission.file.training
    band = training.blocks.get(ship.side) if training is not None and ship.side else None
    if band is None:
        return ""
    bare = f"{words.height_bare(band.low.feet)}-{words.height_bare(band.high.feet)}"
    return f"{ship.side} {bare if msl else area_band(w.plan, band)}"


def _rejoin_level(w: Words, *, msl: bool) -> str:
    """``14000 ft MSL``, over where the flight leaves the area; empty where it isn't given."""
    rejoin = w.mission.the_training.rejoin
    level = None if rejoin is None else rejoin.level
    if level is None:
        return ""
    if msl:
        return words.height_bare(level.feet)
    own = next(block for block in w.plan.route.blocks if block.section.id == w.plan.trainings[0].id)
    return flown_level(level, altitude_ft(w.mission, own.exit, level))


def _bingo_words(w: Words, shown: Outbound) -> str:
    """``set bingo 1600 lb``, which stands large on the side of the pass."""
    fuel = w.plan.fuel
    onto = None if fuel is None or shown.to is None else fuel_of_pass(fuel, shown.to.section.id).bingo_event
    return "" if onto is None else f"set bingo {w.fuel(onto)}"
