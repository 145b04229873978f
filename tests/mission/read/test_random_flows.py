"""Flows of any shape are planned or refused with a place, none by an exception; and what is planned is
flown in order, with each T on its second."""

from __future__ import annotations

import os
import random
from datetime import timedelta

import pytest

from briefgen.core.diagnostics import has_errors
from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.flow_texts import BY_HAND, HILL, KINDS, entry, sections_of

SEEDS = range(int(os.environ.get("BRIEFGEN_FLOWS", "40")))
FOUND = sections_of(BY_HAND.replace("\naircraft:\n", HILL, 1))
COMMON = "".join(part for name, part in FOUND.items() if name not in KINDS)
SPOTS = {"CENTRE": ("IP", "HOLD"), "HILL": ("HILLIP", "HILLHOLD")}


def event(rng: random.Random, number: int, minute: int, *, last: bool) -> str:
    """An event at one of the two spots, with or without a hold, so many minutes after 13:57:30 Z."""
    over = rng.choice([*SPOTS])
    ip, hold = SPOTS[over]
    hour, left = divmod(57 + minute, 60)
    text = FOUND["event"].replace("13:57:30", f"{13 + hour}:{left:02}:30")
    text = text.replace("over: CENTRE", f"over: {over}").replace("from: IP", f"from: {ip}")
    text = text.replace("at: HOLD", f"at: {hold}")
    text = text.replace("  relay_time: 10 s", f"  id: E{number}\n  relay_time: 10 s{slip(rng)}")
    if rng.random() < 0.3:
        text = "\n".join(line for line in text.split("\n") if not line.startswith("    hold:"))
    then = "home" if last else rng.choice(["next pass", "home"])
    return text.replace("    late_bias:", f"    then: {then}\n    late_bias:")


def slip(rng: random.Random) -> str:
    early, late = rng.choice([0, 30, 60]), rng.choice([0, 60, 300, 600])
    return f"\n  accept_slip: {{early: {early} s, late: {late} s}}" if rng.random() < 0.8 else ""


def block(rng: random.Random, number: int) -> str:
    """Training with its set-ups given or left out, its area reserved for a while, or for the whole flight."""
    text = FOUND["training"].replace("  area:", f"  id: B{number}\n  area:")
    if rng.random() < 0.6:
        text = text.replace("planned: 2, ", "")
    if rng.random() < 0.6:
        text = text.replace("1305 to 1345", rng.choice(["1300 to 1900", "1400 to 1530"]))
    return entry(text)


def again(rng: random.Random, *, last: bool) -> str:
    after, at = rng.choice([4, 8, 15, 25]), rng.choice(["HOLD", "HILLHOLD"])
    lines = [f"      - after: {after} min"]
    if rng.random() < 0.8:
        lines.append(f"        way: [{{to: {at}, level: 2000 ft MSL, speed: 300 KTAS}}]")
    if rng.random() < 0.6:
        lines.append(f"        hold: {{at: {at}}}")
    lines.append(f"        then: {'home' if last else 'next pass'}")
    return "\n".join(lines) + "\n"


def flow(seed: int) -> str:
    rng = random.Random(seed)
    entries = [entry(FOUND["departure"])] if rng.random() < 0.9 else []
    entries += [block(rng, 0)] if rng.random() < 0.8 else []
    count, minute = rng.randint(0, 4), 0
    entries += [block(rng, 9)] if rng.random() < 0.2 else []
    for number in range(count):
        repeats = rng.choice([0, 0, 1, 2])
        at = rng.choice(["HOLD", "HILLHOLD"])
        if rng.random() < 0.7 and entries:
            entries.append(f"  - transit: [{{to: {at}, level: 3000 ft MSL, speed: 280 KTAS}}]\n")
        whole = entry(event(rng, number, minute, last=number == count - 1 and not repeats))
        more = "".join(again(rng, last=number == count - 1 and i == repeats - 1) for i in range(repeats))
        entries.append(whole + ("    again:\n" + more if more else ""))
        minute += rng.choice([12, 25, 45, 70])
        entries += [block(rng, number + 1)] if rng.random() < 0.3 else []
    entries.append(entry(FOUND["recovery"]))
    takeoff = COMMON if rng.random() < 0.7 else COMMON.replace("  takeoff: 130000 Z\n", "")
    return f"{takeoff}flow:\n{''.join(entries)}"


@pytest.mark.parametrize("seed", SEEDS)
def test_a_random_flow_is_planned_or_refused_with_its_place(seed):
    mission, found = load_mission_text(flow(seed), "flow.yaml")
    if mission is None:
        errors = [problem for problem in found if problem.severity == "error"]
        assert errors and all(problem.span is not None and problem.help for problem in errors)
        return
    plan, found = make_plan(mission)
    if plan is None:
        assert has_errors(found) and all(d.cause for d in found if d.severity == "error")
        return
    assert [p.true_time for p in plan.passes] == [section.true_time for section in mission.passes]
    ids = [phase.id for phase in plan.clock.phases]
    assert len(ids) == len(set(ids)) and len({gate.id for gate in plan.gates}) == len(plan.gates)
    assert [block.id for block in plan.trainings] == [block.id for block in plan.clock.blocks]
    for block, training in zip(plan.clock.blocks, plan.trainings, strict=True):
        own = [phase for phase in plan.clock.phases if phase.piece == block.id]
        assert sum(phase.kind == "set-up" for phase in own) == training.setups_flown
        if training.bound == "time" and training.setups_flown and block.end_by is not None:
            assert block.end <= block.end_by + timedelta(seconds=0.01)
        for ship in plan.fuel.ships if plan.fuel is not None and training.bound == "fuel" else ():
            fuel = next(fuel for fuel in ship.blocks if fuel.piece == block.id)
            assert not training.setups_flown or fuel.training_end_predicted >= fuel.joker.figure
    for p in plan.passes:
        own = [phase for phase in plan.clock.phases if phase.piece == p.section.id]
        at_centre = [phase.end for phase in own if phase.kind in ("run-in", "push-up")][-1]
        reached = [
            gate
            for gate in plan.gates
            if gate.id.endswith("t-reachable") and gate.cause == p.section.key("time")
        ]
        assert abs(at_centre - p.true_time) < timedelta(seconds=0.01) or any(
            g.verdict == "FAIL" for g in reached
        )


def test_some_of_them_are_planned_with_several_passes():
    planned = [load_mission_text(flow(seed), "flow.yaml")[0] for seed in SEEDS]
    assert sum(mission is not None and len(mission.passes) > 1 for mission in planned) >= 10
    assert sum(mission is not None and len(mission.blocks) > 1 for mission in planned) >= 10
