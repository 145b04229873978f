"""The figures of the approval sheet: large what decides, then the weather that is nearest to its minimum and
what the flypast costs."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import datetime

from briefgen.brief.cards.common import crew_words, grid
from briefgen.brief.cards.model import Grid, Large, Pairs
from briefgen.brief.wording import format as words
from briefgen.brief.wording.blocks import in_block
from briefgen.brief.wording.gates import bare_words, calm_words, figures_words, limit_words
from briefgen.brief.wording.open_limits import tally
from briefgen.brief.wording.passes import name_of
from briefgen.brief.wording.tiers import base_words
from briefgen.brief.wording.wait_limits import latest_said
from briefgen.brief.wording.words import NONE, NOT_CHECKED, Words
from briefgen.plan.model import WORST_FIRST, Gate
from briefgen.plan.one_block import each_block
from briefgen.plan.one_pass import each_pass
from briefgen.plan.timing.training import least_joker_margin

Box = tuple[str, str, str]
_NEAREST = 3  # gates of the weather
_OF_PASS = ("pass-height", "pass-speed", "permission-lowest")


def figures(w: Words) -> Large:
    """Fuel, joker and, of one pass, T, height and speed; white on black what FAILs, T where anything does."""
    boxes = [(_landing(w), _fails(w, "landing-fuel")), *_jokers(w)]
    if len(w.plan.passes) == 1:
        refused = bool(tally(w.plan.gates)["FAIL"])
        told = f"{'not to be flown; ' if refused else ''}{latest_said(w.plan, w.by)}"
        boxes.append((("T", w.z(w.plan.the_pass.true_time), told), refused))
        for label, rule in (("PASS HEIGHT", "pass-height"), ("PASS SPEED", "pass-speed")):
            boxes += [
                ((label, bare_words(gate, day=w.day), _against(w, gate)), gate.verdict == "FAIL")
                for gate in _judged(w, rule)
            ]
    dark = tuple(place for place, (_, fails) in enumerate(boxes) if fails)
    return Large("Figures", tuple(box for box, _ in boxes), dark=dark)


def _fails(w: Words, rule: str) -> bool:
    return any(gate.rule == rule and gate.verdict == "FAIL" for gate in w.plan.gates)


def _landing(w: Words) -> Box:
    label, fuel = "LOWEST LANDING FUEL", w.plan.fuel
    lowest = None if fuel is None else w.ship_fuel(fuel.lowest_landing_ship)
    if fuel is None or lowest is None:
        return label, NOT_CHECKED, "the fuel cannot be worked out"
    left = fuel.lowest_landing
    whose = "" if w.mission.alone else f"ship {lowest.ship} ({crew_words(w.mission.ship(lowest.ship))}); "
    value, short = (w.fuel(left), "") if left >= 0 else (NONE, f"{w.fuel(-left)} short; ")
    return label, value, f"{short}{whose}must land with {base_words(fuel, lowest)}"


def _jokers(w: Words) -> Iterator[tuple[Box, bool]]:
    """Of each block, and whether its training ends below joker."""
    for seen in each_block(w.plan):
        least = least_joker_margin(seen.fuel.ships) if seen.fuel is not None else None
        if least is not None:
            left, ship = least
            of = "" if w.mission.alone else f", ship {ship}"
            sense = "above" if left >= 0 else "BELOW"
            label = f"JOKER MARGIN{in_block(w.plan, seen.trainings[0].id)}"
            yield (label, w.fuel(abs(left)), f"{sense} joker at the end of training{of}"), left < 0


def _against(w: Words, gate: Gate) -> str:
    """``at least 1000 ft: PASS (listed obstacles only)``."""
    of = " (listed obstacles only)" if gate.rule == "pass-height" and gate.value is not None else ""
    return f"{limit_words(gate, day=w.day)}: {gate.verdict}{calm_words(gate)}{of}"


# ---------------------------------------------------------------- of several passes


def passes(w: Words) -> Grid | None:
    """A row for each of several passes: T and until when, its height and its speed."""
    if len(w.plan.passes) < 2:
        return None
    columns = [
        ("Pass", "auto", "l"),
        ("T, and until when", "1.6fr", "l"),
        ("Height over listed obstacles", "1fr", "l"),
        ("Speed", "1fr", "l"),
        ("Permission, lowest", "1fr", "l"),
    ]
    seen = [replace(w, plan=plan) for plan in each_pass(w.plan)]
    failing = (place for place, one in enumerate(seen) if any(g.verdict == "FAIL" for g in _judged(one)))
    note = "What has no verdict beside it PASSes."
    return grid("", columns, map(_pass_row, seen), strong=tuple(failing), note=note, name="Passes")


def _pass_row(w: Words) -> tuple[str, ...]:
    event = w.plan.the_pass
    told = [
        "; ".join(_unless_pass(gate, figures_words(gate, day=w.day)) for gate in _judged(w, rule))
        for rule in _OF_PASS
    ]
    return name_of(event.section), f"{w.z(event.true_time)} {latest_said(w.plan, w.by)}", *told


def _judged(w: Words, *rules: str) -> list[Gate]:
    """The gates of the pass."""
    piece = w.plan.the_pass.section.id
    return [gate for gate in w.plan.gates if gate.rule in (rules or _OF_PASS) and gate.piece in (piece, "")]


# ---------------------------------------------------------------- the rest


def answers(w: Words) -> Pairs | None:
    """What the permission, the weather and the training say."""
    rows = tuple(_answer_rows(w))
    return Pairs("", rows) if rows else None


def _answer_rows(w: Words) -> Iterator[tuple[str, str]]:
    several = len(w.plan.passes) > 1
    for gate in () if several else _judged(w, "permission-lowest") if w.plan.passes else ():
        yield "Permission, lowest", f"{figures_words(gate, day=w.day)}: {gate.verdict}"
    weather = nearest((gate for gate in w.plan.gates if gate.forecast), _NEAREST)
    for place, gate in enumerate(weather):
        yield "" if place else "Weather nearest to its limit", nearest_words(w, gate)
    if w.plan.training is not None and w.plan.event is not None:
        yield "The flypasts cost" if several else "The flypast costs", _cost(w)


def nearest_words(w: Words, gate: Gate) -> str:
    """A gate with its figures, and its verdict where that is no PASS."""
    return _unless_pass(gate, f"{gate.title}: {figures_words(gate, day=w.day)}")


def _unless_pass(gate: Gate, said: str) -> str:
    return said if gate.verdict == "PASS" else f"{said}: {gate.verdict}"


def nearest(gates: Iterable[Gate], most: int = 1) -> list[Gate]:
    """Of the gates that were judged those with the worst verdict, of these the nearest to their limits."""
    judged = [gate for gate in gates if gate.verdict != "NOT CHECKED"]
    return sorted(judged, key=lambda gate: (WORST_FIRST.index(gate.verdict), margin(gate)))[:most]


def margin(gate: Gate) -> float:
    """How far a figure lies from its limit: as a part of it, of a clock time in hours; of words endlessly
    far."""
    value, limit = gate.value, gate.limit
    if isinstance(value, datetime) and isinstance(limit, datetime):
        return abs((value - limit).total_seconds()) / 3600
    if isinstance(value, int | float) and isinstance(limit, int | float):
        return abs(value - limit) / max(abs(limit), 1.0)
    return float("inf")


def _cost(w: Words) -> str:
    """Not told where another way would be flown without the passes, which nobody has written."""
    flown = [
        f"{words.counted(own.setups_flown, 'set-up')} flown{in_block(w.plan, own.id)}, at least"
        f" {own.setups_minimum}"
        for own in w.plan.trainings
    ]
    if len(flown) > 1 or not w.plan.route.stretches[0].blocks:
        return "; ".join((f"{NOT_CHECKED}: the way between without them is not written", *flown))
    training = w.plan.trainings[0]
    setups = NOT_CHECKED if training.cost_setups is None else words.counted(training.cost_setups, "set-up")
    fuel = NOT_CHECKED if training.cost_fuel_printed is None else w.fuel(training.cost_fuel_printed)
    of = "" if w.mission.alone else " of the thirstiest ship"
    return f"{setups} and {fuel}{of}; {flown[0]}"
