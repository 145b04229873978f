"""The ordered list of changes that every brief asks about. A new one is a function and a row.

Changes before take-off and in the air up to the end of training are flown with the least of the set-ups that
time and fuel allow, never more than are planned; changes after training with the set-ups as flown.  What
happens in the air leaves the take-off where it was.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import field
from datetime import timedelta

from briefgen.core.records import record
from briefgen.mission.edit import changes
from briefgen.mission.resolve.mission import Mission
from briefgen.plan.event.slips import SLIPS_S
from briefgen.plan.sortie import Sortie

LATE_MIN = (5, 10, 15, 20, 30)
BRIEF_STEP_S = 600.0
SLOWER_KT = 20.0


@record
class Case:
    """A change. ``kind`` says what it is, the rest how much of it: seconds later (negative earlier), the
    ships that are out, knots.

    ``mission`` is the changed mission. ``piece``: of several passes or events the one that the change is
    about, by its id, and ``place`` the pass among them. ``most_setups``: the changed mission leaves the
    set-ups of these blocks open, and no more than so many are flown of each. ``pass_off``: fewer ships are
    left than fly the pass. ``unknown``: why it can't be told, empty where it can.
    """

    kind: str
    mission: Mission
    seconds: float = 0.0
    ships: tuple[int, ...] = ()
    kt: float = 0.0
    most_setups: Mapping[str, int] = field(default_factory=dict)
    pass_off: bool = False
    piece: str = ""
    place: int = 0
    unknown: str = ""

    @property
    def id(self) -> str:
        """Stable and unique: ``takeoff-late-900``, ``ceremony--60``, ``ships-out-1-3``."""
        figures = [f"{self.seconds:.0f}"] if self.seconds else [str(ship) for ship in self.ships]
        return "-".join((self.kind, *([self.piece] if self.piece else ()), *figures))


CaseMaker = Callable[[Sortie], Iterator[Case]]


def cases_of(base: Sortie) -> tuple[Case, ...]:
    """Every change that applies to a sortie, in the order of the list."""
    return tuple(case for make in CASES for case in make(base))


def in_brief(case: Case, base: Sortie) -> bool:
    """Whether slides and cards tell a change as a what-if: slips have their own table, wingmen their own
    slide, every second delay is enough."""
    match case.kind:
        case "ceremony":
            return False
        case "takeoff-late":
            return case.seconds % BRIEF_STEP_S == 0.0
        case "ships-out":
            return case.ships[0] in (1, base.mission.file.flight[0].ship)
    return True


def _open(base: Sortie) -> Mission:
    """The mission with the take-off as it is and the set-ups of every block left to time and fuel."""
    return changes.with_each_setups(
        changes.with_takeoff(base.mission, base.clock.takeoff), dict.fromkeys(base.setups)
    )


def takeoff_late(base: Sortie) -> Iterator[Case]:
    """Take-off some minutes late, T as it was. Without a leg or training nothing is timed from the
    take-off."""
    timed = any(leg.kind in ("departure", "transit") for leg in base.legs) or base.trainings
    for minutes in LATE_MIN if timed else ():
        late = changes.with_takeoff(_open(base), base.clock.takeoff + timedelta(minutes=minutes))
        yield Case("takeoff-late", late, seconds=60.0 * minutes, most_setups=base.setups)


def joker_early(base: Sortie) -> Iterator[Case]:
    """Somebody reaches joker one set-up before the plan: training ends there, and the hold is longer."""
    fixed = changes.with_takeoff(base.mission, base.clock.takeoff)
    for block in base.trainings:
        if block.setups_flown:
            mission = changes.with_each_setups(fixed, {**base.setups, block.id: block.setups_flown - 1})
            yield Case("joker-early", mission, piece=block.id if len(base.trainings) > 1 else "")


def ceremony(base: Sortie) -> Iterator[Case]:
    """The ceremony early or late by the slips of the slip table: everything before the hold as it was."""
    several = len(base.passes) > 1
    for place, pass_ in enumerate(base.passes):
        section = pass_.section
        for slip in SLIPS_S if not section.follows else ():
            if slip:
                mission = changes.at_true_time(
                    base.mission,
                    pass_.true_time + timedelta(seconds=slip),
                    takeoff=base.clock.takeoff,
                    setups=base.setups,
                    of=section.cause,
                )
                piece = section.id if several else ""
                yield Case("ceremony", mission, seconds=slip, piece=piece, place=place)


def event_dropped(base: Sortie) -> Iterator[Case]:
    """Of several events one is not flown over, everything else as it is."""
    events = base.mission.events
    for event in events if len(events) > 1 else ():
        fixed = changes.with_takeoff(base.mission, base.clock.takeoff)
        mission = changes.with_each_setups(fixed, base.setups)
        yield Case("event-dropped", changes.without_one_event(mission, event.id), piece=event.id)


def ships_out(base: Sortie) -> Iterator[Case]:
    """Each ship out before take-off; then two: the leader, and whoever leads after it, since that costs the
    flight most experience."""
    numbers = [ship.ship for ship in base.mission.file.flight]
    if len(numbers) < 2:
        return
    for number in numbers:
        yield _without(base, (number,))
    if len(numbers) > 2:
        lead = numbers[0]
        yield _without(base, (lead, changes.without_ship(base.mission, lead).file.flight[0].ship))


def _without(base: Sortie, out: tuple[int, ...]) -> Case:
    mission = _open(base)
    for number in out:
        mission = changes.without_ship(mission, number)
    event = mission.file.event
    off = (
        event is not None
        and event.pass_.minimum_ships is not None
        and len(mission.file.flight) < event.pass_.minimum_ships
    )
    unknown = _no_way_between(base) if off else ""
    if off and not unknown:
        mission = changes.without_event(mission, takeoff=base.clock.takeoff)
    return Case("ships-out", mission, ships=out, most_setups=base.setups, pass_off=off, unknown=unknown)


def no_training(base: Sortie) -> Iterator[Case]:
    """No training: the flypast alone, with the take-off worked back from T."""
    if base.trainings and base.passes:
        yield Case("no-training", changes.without_training(base.mission))


def no_flypast(base: Sortie) -> Iterator[Case]:
    """The flypast is off before take-off: as many set-ups as time and fuel allow, also more than are
    planned."""
    if base.trainings and base.passes:
        mission = changes.without_event(base.mission, takeoff=base.clock.takeoff)
        yield Case("no-flypast", mission, unknown=_no_way_between(base))


def cancelled_in_area(base: Sortie) -> Iterator[Case]:
    """The event is cancelled while the flight trains: the planned set-ups, then home from the area's exit."""
    if base.trainings and base.passes:
        flown = base.trainings[0].setups_flown
        mission = changes.without_event(base.mission, takeoff=base.clock.takeoff, setups=flown)
        yield Case("cancelled-in-area", mission, unknown=_no_way_between(base))


def _no_way_between(base: Sortie) -> str:
    """Why what is left without the passes isn't known; empty where it is: at most one block of training,
    flown before them all."""
    if len(base.route.blocks) == len(base.route.stretches[0].blocks[:1]):
        return ""
    return "without the pass there is another way to or between the blocks of training, which is not written"


def slower(base: Sortie) -> Iterator[Case]:
    """Every straight leg slower over the ground than forecast, found out in the air; the run-in is flown by
    ground speed and keeps its own."""
    speeds = {leg.cause: leg.gs_kt for leg in base.legs if leg.kind not in ("run-in", "hold to IP")}
    if min(speeds.values(), default=0.0) > SLOWER_KT:
        mission = changes.slower_over_ground(_open(base), speeds, SLOWER_KT)
        yield Case("slower", mission, kt=SLOWER_KT, most_setups=base.setups)


CASES: tuple[CaseMaker, ...] = (
    takeoff_late,
    joker_early,
    ceremony,
    ships_out,
    no_training,
    no_flypast,
    cancelled_in_area,
    event_dropped,
    slower,
)
