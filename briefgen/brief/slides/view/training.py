"""The training block."""

from __future__ import annotations

from typing import Any

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_CHECKED, NOT_GIVEN, Words, text_or
from briefgen.plan.gates.valid import training as in_area
from briefgen.plan.model import TrainingPlan
from briefgen.plan.timing.training_end import training_end

BOUNDS = {"given": None, "time": "as many as time allows", "fuel": "as many as fuel allows"}


def training_values(w: Words) -> dict[str, Any] | None:
    """``training``: area, set-ups, rules, what the flypast costs; None without a block."""
    training, plan = w.mission.file.training, w.plan.training
    if training is None or plan is None:
        return None
    area, clock = training.area, w.plan.clock
    reserved, stops = w.mission.times.reserved, _stops(w)
    inside = in_area(w.plan)
    return {
        "area": area.name,
        "band": f"{words.level(area.floor)} to {words.level(area.top)}",
        "reserved": w.span(reserved.start, reserved.end) if reserved else NOT_GIVEN,
        "aerobatic": {True: "aerobatic", False: "not aerobatic", None: "aerobatics not given"}[
            training.aerobatic
        ],
        "setups": words.counted(plan.setups_flown, "set-up"),
        "each": words.duration(plan.each_s),
        "warm_up": words.duration(plan.warm_up_s) if training.warm_up else None,
        "from": w.z(clock.training_start) if clock.training_start else NOT_GIVEN,
        "entered": w.z(inside[0]) if inside else NOT_GIVEN,
        "left": w.z(inside[1]) if inside else NOT_GIVEN,
        "to": w.z(clock.training_end) if clock.training_end else NOT_GIVEN,
        "bound": BOUNDS[plan.bound],
        "beyond": _beyond(plan),
        "allowed": _allowed(w, plan),
        "cost": _cost(w, plan),
        "blocks": [
            f"{name.capitalize()}: {words.level_band(band)}" for name, band in training.blocks.items()
        ],
        "buffer": _buffer(w),
        "yardstick": (
            words.listed(
                f"ship {ship} {channel.number}{channel.band}" for ship, channel in training.yardstick.items()
            )
            or None
        ),
        "rules": list(training.rules),
        "leave": (
            f"Leave by {training.leave.by}, {words.duration(training.leave.time)}" if training.leave else None
        ),
        "stops": stops,
        "sums": _sums(w, plan),
    }


def _buffer(w: Words) -> str | None:
    """``2000 ft between the blocks (1000 ft needed)``: the least room between two blocks as the gate judges
    it; None where nothing is known of it."""
    needed = w.mission.the_training.block_buffer
    asked = None if needed is None else f"{words.height(needed)} needed"
    own = (gate for gate in w.plan.gates if gate.piece == w.plan.trainings[0].id)
    gap = next((gate.value for gate in own if gate.rule == "blocks-overlap"), None)
    if not isinstance(gap, (int, float)):
        return f"{asked} between the blocks" if asked else None
    there = (
        f"{words.height(gap)} between the blocks"
        if gap >= 0
        else f"none, the blocks overlap by {words.height(-gap)}"
    )
    return f"{there} ({asked})" if asked else there


def _allowed(w: Words, plan: TrainingPlan) -> str:
    ship = (
        f" (ship {plan.limiting_ship} decides)"
        if not w.mission.alone and plan.limiting_ship is not None and plan.by_fuel is not None
        else ""
    )
    least = f"the least is {plan.setups_minimum}" if plan.setups_minimum else "no least is given"
    time, fuel = (NOT_CHECKED if count is None else str(count) for count in (plan.by_time, plan.by_fuel))
    before_all = plan.id in {block.section.id for block in w.plan.route.stretches[0].blocks}
    if w.plan.clock.takeoff_solved and before_all and plan.by_time is not None:
        time += " with the take-off moved"
    return f"Time allows {time}, fuel allows {fuel}{ship}, {least}"


def _beyond(plan: TrainingPlan) -> str | None:
    """``time allows 4, fuel allows 2``: what gives fewer set-ups than are planned; None where all go."""
    counts = (("time", plan.by_time), ("fuel", plan.by_fuel))
    fewer = [f"{what} allows {n}" for what, n in counts if n is not None and n < plan.setups_flown]
    return ", ".join(fewer) or None


def _cost(w: Words, plan: TrainingPlan) -> str | None:
    if plan.cost_setups is None:
        return None
    fuel = (
        ""
        if plan.cost_fuel_printed is None
        else f" and {w.fuel(plan.cost_fuel_printed)}{'' if w.mission.alone else ' of the thirstiest ship'}"
    )
    return (
        "The flypast costs"
        f" {words.counted(plan.cost_setups, 'set-up') if plan.cost_setups else 'no set-up'}{fuel}"
    )


def _stops(w: Words) -> list[str]:
    """What ends the training: joker, END BY, bingo, the recall word."""
    fuel, clock = w.plan.fuel, w.plan.clock
    found = []
    if fuel is not None and fuel.joker is not None:
        end = training_end(w.plan)
        reached = (
            f" (reached by {w.by(end.at)}, ship {end.ship})"
            if end is not None and end.ship is not None
            else ""
        )
        found.append(f"joker {w.fuel(fuel.joker)}{reached}")
    if clock.knock_off is not None:
        found.append(f"END BY {w.by(clock.knock_off)}")
    if fuel is not None and fuel.bingo_training is not None:
        found.append(f"bingo {w.fuel(fuel.bingo_training)}")
    supervisor = w.mission.file.sortie.supervisor
    if supervisor is not None and supervisor.recall_word:
        found.append(f"recall word {text_or(supervisor.recall_word)}")
    return found


def _sums(w: Words, plan: TrainingPlan) -> list[str]:
    clock = w.plan.clock
    found = []
    if clock.training_start and clock.training_end:
        found.append(
            f"{'Last ship in' if clock.training_start != clock.area_entry else 'Entry'}"
            f" {w.z(clock.training_start)} + warm-up {words.duration(plan.warm_up_s)} +"
            f" {words.counted(plan.setups_flown, 'set-up')} of {words.duration(plan.each_s)} = end"
            f" {w.z(clock.training_end)}"
        )
    if clock.knock_off is not None:
        found.append(f"END BY {w.by(clock.knock_off)}: later than that and {clock.knock_off_because}")
    return found
