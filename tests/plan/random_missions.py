"""Valid missions made at random from the demonstration missions: values changed within reason, sections left
out.

Every change is an edit of the text, so that what comes out has passed the same checks as a file; what doesn't
pass is not a valid mission and is thrown away.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from random import Random

from briefgen.core.diagnostics import has_errors
from briefgen.mission.edit.changes import (
    with_setups,
    with_takeoff,
    without_event,
    without_ship,
    without_training,
)
from briefgen.mission.edit.edits import edit_tree
from briefgen.mission.load import mission_of
from briefgen.mission.read.source import read_source
from briefgen.mission.resolve.mission import Mission
from tests.places import REPOSITORY

MISSIONS = REPOSITORY / "missions"
NAMES = ("regatta", "lantern-fair", "founders-day", "overcommitted", "start")

# what a mission may lack; each alone or with others
LEFT_OUT = (
    "training",
    "transit",
    "departure",
    "weather",
    "weather.winds",
    "weather.at",
    "recovery",
    "recovery.legs",
    "recovery.approach",
    "recovery.climb_fuel",
    "recovery.landing_interval",
    "recovery.alternate",
    "recovery.diverts",
    "contingencies",
    "contingencies.fall_outs",
    "limits",
    "risk",
    "radio",
    "event",
    "event.script",
    "event.parties",
    "event.other_traffic",
    "event.ground_contact",
    "event.permission",
    "event.accept_slip",
    "event.relay_time",
    "event.pass.hold",
    "event.pass.late_bias",
    "event.pass.push_up_to",
    "event.pass.egress",
    "event.pass.abort",
    "event.pass.crowd_line",
    "event.pass.obstacles",
    "event.pass.run_in.formation",
    "event.pass.run_in.spacing",
    "event.pass.run_in.minimum_speed",
    "event.pass.run_in.formation_acceleration",
    "event.pass.run_in.formation_deceleration",
    "event.pass.hold.planned",
    "event.pass.hold.minimum",
    "event.pass.hold.maximum",
    "event.pass.minimum_ships",
    "event.pass.tolerance",
    "event.pass.deadband",
    "event.pass.abort_only_after",
    "ground_ops.takeoff",
    "ground_ops.report",
    "ground_ops.start_to_takeoff_fuel",
    "ground_ops.takeoff_interval",
    "training.setups.planned",
    "training.setups.minimum",
    "training.setups.fuel_each",
    "training.warm_up",
    "training.leave",
    "training.rejoin",
    "training.area.reserved",
    "training.blocks",
    "training.yardstick",
    "fuel.reserve",
    "fuel.joker_pad",
    "fuel.round_up_to",
    "flight.2",
    "flight.1.start_fuel",
)

# key and how a value is drawn
DRAWN = {
    "ground_ops.takeoff_interval": lambda r: f"{r.randint(0, 60)} s",
    "training.setups.planned": lambda r: str(r.randint(0, 7)),
    "training.setups.each": lambda r: f"{r.randint(4, 20)} min",
    "training.warm_up.time": lambda r: f"{r.randint(1, 10)} min",
    "event.pass.hold.planned": lambda r: f"{r.randint(1, 18)} min",
    "event.pass.hold.minimum": lambda r: f"{r.randint(0, 8)} min",
    "event.pass.hold.leg": lambda r: f"{r.randint(20, 110)} s",
    "event.pass.hold.bank": lambda r: f"{r.randint(12, 40)} deg",
    "event.pass.hold.turns": lambda r: r.choice(("left", "right")),
    "event.pass.late_bias": lambda r: f"{r.randint(0, 20)} s",
    "event.relay_time": lambda r: f"{r.randint(0, 40)} s",
    "event.accept_slip": lambda r: f"{{early: {r.randint(0, 120)} s, late: {r.randint(0, 15)} min}}",
    "flight.1.burn_factor": lambda r: f"{r.uniform(0.9, 1.3):.2f}",
    "flight.2.burn_factor": lambda r: f"{r.uniform(0.9, 1.3):.2f}",
    "recovery.landing_interval": lambda r: f"{r.randint(0, 120)} s",
    "recovery.alternate.required": lambda r: r.choice(("yes", "no", "by weather")),
    "fuel.reserve": lambda r: f"{r.randint(10, 60)} min",
    "fuel.display": lambda r: r.choice(("lb", "kg", "L", "US gal")),
    "weather.winds.1.wind": lambda r: f"{r.randint(0, 359):03d}T/{r.randint(0, 60)}kt",
    "weather.winds.2.wind": lambda r: f"{r.randint(0, 359):03d}T/{r.randint(0, 90)}kt",
}


def random_edits(random: Random) -> list[tuple[str, str]]:
    """Up to five values changed, and half of the time up to four things left out."""
    edits = [(key, DRAWN[key](random)) for key in random.sample(sorted(DRAWN), random.randint(0, 5))]
    return edits + [
        (key, "") for key in (random.sample(LEFT_OUT, random.randint(1, 4)) if random.random() < 0.5 else ())
    ]


def random_missions(seed: int, count: int) -> list[tuple[str, Mission]]:
    """So many valid missions with the words that made each: of about seven, one is read from an edited text
    (which is slow), the others are it with another take-off and number of set-ups, with a ship less, without
    training, without the event."""
    random, found = Random(seed), []
    read = {name: read_source((MISSIONS / f"{name}.yaml").read_bytes(), f"{name}.yaml")[0] for name in NAMES}
    while len(found) < count:
        name = random.choice(NAMES)
        edits = random_edits(random)
        source, problems = edit_tree(read[name], edits)
        mission, _ = mission_of(source) if source is not None and not has_errors(problems) else (None, [])
        if mission is not None:
            found += [
                (f"{name} {edits} {words}", made)
                for words, made in (("", mission), *_changed(random, mission))
            ]
    return found[:count]


def _changed(random: Random, mission: Mission) -> Iterator[tuple[str, Mission]]:
    for _ in range(3):
        minutes, setups = random.randint(-40, 60), random.choice((None, 0, 1, 3, 8))
        takeoff = mission.times.takeoff and mission.times.takeoff + timedelta(minutes=minutes)
        yield f"{minutes} min later, {setups} set-ups", with_setups(with_takeoff(mission, takeoff), setups)
    ships = [ship.ship for ship in mission.file.flight]
    if len(ships) > 1:
        out = random.choice(ships[1:])  # some gates ask for ship 1
        yield f"without ship {out}", without_ship(mission, out)
    yield "without training", without_training(mission)
    if mission.times.takeoff is not None:
        yield (
            "without event",
            without_event(mission, takeoff=mission.times.takeoff, setups=random.choice((None, 2))),
        )
