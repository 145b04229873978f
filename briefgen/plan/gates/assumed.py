"""What every time and fuel of the plan rests on. Where the file does not give it, still air is taken, or no
climb, and the gates of time and fuel judge what comes of that: one row each says so, in place of a NOT
CHECKED for each of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, datetime, time

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.inputs.report import WINDS_TEXT
from briefgen.mission.inputs.winds_text import used_over
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import BlockSection, PassSection
from briefgen.plan.fuel.of_mission import DEPARTURE, climbs_home, without_way_out
from briefgen.plan.gates.texts import text
from briefgen.plan.gates.valid import Judge, somebodys, unknown_by, way_key
from briefgen.plan.gates.verdicts import About, landing_late_s, not_checked, words
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie
from briefgen.plan.timing.clock import later

WINDS: KeyPath = ("weather", "winds")


@record
class Lacking:
    """What gates count on and nobody gives: why, the key that gives it, and the pieces whose gates count on
    it; None: whatever they judged."""

    why: str
    key: KeyPath
    pieces: tuple[str, ...] | None = None

    def counts_for(self, gate: Gate) -> bool:
        """Whether a gate counts on it."""
        return self.pieces is None or gate.piece in self.pieces


NO_WAY_OUT = Lacking("no way to the area is given", DEPARTURE)


def winds_given(s: Sortie) -> bool:
    """Whether the file gives winds aloft, be they calm."""
    weather = s.mission.file.weather
    return weather is not None and bool(weather.aloft)


def winds_aloft(s: Sortie) -> Iterator[Gate]:
    """The winds aloft are given, be they calm, and somebody's."""
    weather, about = s.mission.file.weather, text("winds-aloft")
    given = _given(
        about,
        None if winds_given(s) else WINDS,
        "no winds are given: every time, speed and fuel is worked out in still air of standard temperature",
    )
    if weather is None or weather.winds or weather.winds_text is None:
        yield somebodys(s, given)
        return
    over = used_over(weather.winds_text, datetime.combine(s.mission.date, time(12), tzinfo=UTC))
    last = later(s.clock.last_landing, landing_late_s(s))
    if over is not None and not over[0] <= s.clock.takeoff <= last <= over[1]:
        hours = f"from {over[0]:%d %H%M}Z to {over[1]:%d %H%M}Z"
        why = f"the pasted winds are for use {hours}, not for all of this flight"
        given = not_checked(about.but(cause=WINDS_TEXT), why, key=WINDS)
    yield given


def without_climb(s: Sortie) -> str | None:
    """The first type of the flight whose climb after take-off is not given, where one is flown."""
    types, flown = s.mission.file.aircraft, (ship.aircraft for ship in s.mission.file.flight)
    climbs_out = any(leg.kind == "departure" for leg in s.legs)
    return next((type for type in flown if types[type].climb is None), None) if climbs_out else None


def climbs(s: Sortie) -> Iterator[Gate]:
    """The climb after take-off is given for the type of each ship; and its fuel where the way home climbs."""
    types, recovery = s.mission.file.aircraft, s.mission.file.recovery
    if any(leg.kind == "departure" for leg in s.legs):
        bare = without_climb(s)
        first = s.mission.file.flight[0].aircraft if bare is None else bare
        key: KeyPath = ("aircraft", first, "climb")
        yield _given(
            text("climb-out").but(cause=key),
            None if bare is None else key,
            f"no climb of {types[first].name} is given: the first leg is timed at its full speed from the"
            " runway on, and no fuel of a climb is counted",
        )
    if climbs_home(s.mission, s.clock):
        about = text("climb-home")
        yield _given(
            about,
            None if recovery is not None and recovery.climb_fuel is not None else about.cause,
            "the way home climbs, and no fuel is given for it: none is in bingo, joker or landing fuel",
        )


def way_out(s: Sortie) -> Iterator[Gate]:
    """The way to a block of training that comes first is given."""
    if isinstance(s.mission.first_piece, BlockSection):
        yield _given(
            text("way-out"),
            DEPARTURE if without_way_out(s.mission, s.clock) else None,
            "no departure leg is given: training is timed from take-off on, and no fuel is known without the"
            " way to the area",
        )


def timed_from_takeoff(judge: Judge) -> Judge:
    """A function whose gates are judged by when the flight comes into its area, up to the first pass: NOT
    CHECKED where nothing says how long the way there takes. What FAILs all the same stays so."""

    def lacks(s: Sortie) -> Lacking | None:
        if not without_way_out(s.mission, s.clock):
            return None
        return replace(NO_WAY_OUT, pieces=_up_to_first_pass(s.mission))

    return _unless(lacks, judge)


def timed_to_landing(judge: Judge) -> Judge:
    """The same of gates that are judged by when the last ship lands: where nothing says how long the way home
    or the approach takes."""

    def lacks(s: Sortie) -> Lacking | None:
        recovery = s.mission.file.recovery
        known = recovery is not None and bool(recovery.legs) and recovery.approach is not None
        why = "nothing says how long the way home and the approach take"
        return None if known else Lacking(why, way_key(s))

    return _unless(lacks, judge)


def solved_from_way_out(judge: Judge) -> Judge:
    """The same of gates that are judged by when the flight takes off: where that is worked out back from T
    and nothing says how long the way to the area takes."""

    def lacks(s: Sortie) -> Lacking | None:
        unknown = s.clock.takeoff_solved and without_way_out(s.mission, s.clock)
        return NO_WAY_OUT if unknown else None

    return _unless(lacks, judge)


def _unless(lacks: Callable[[Sortie], Lacking | None], judge: Judge) -> Judge:
    """A function whose gates that PASS are NOT CHECKED where what they count on is lacking."""

    def judged(s: Sortie) -> Iterator[Gate]:
        lacking = lacks(s)
        for gate in judge(s):
            if lacking is not None and gate.verdict == "PASS" and lacking.counts_for(gate):
                yield unknown_by(gate, lacking.why, lacking.key)
            else:
                yield gate

    return judged


def _up_to_first_pass(mission: Mission) -> tuple[str, ...]:
    """The blocks and the pass that are timed from take-off on; what follows a pass is timed from that."""
    own = [piece for piece in mission.flow if isinstance(piece, BlockSection | PassSection)]
    last = next((i for i, piece in enumerate(own) if isinstance(piece, PassSection)), len(own))
    return tuple(piece.id for piece in own[: last + 1])


def takeoff_wait(s: Sortie) -> Iterator[Gate]:
    """What each ship but the first burns on the ground while those before it take off is known."""
    if s.mission.alone:
        return
    ground, about = s.mission.file.ground_ops, text("takeoff-wait")
    waiting = dict.fromkeys(ship.aircraft for ship in s.mission.file.flight[1:])
    flows = {type: s.mission.file.aircraft[type].fuel_flow for type in waiting}
    bare = next((type for type, flow in flows.items() if flow is None or flow.of("ground") is None), None)
    key: KeyPath = about.cause
    if ground.takeoff_interval is None:
        yield _given(about, key, "no take-off interval is given: all are taken to take off at once")
    elif ground.takeoff_interval == 0.0 or bare is None:
        yield _given(about, None, "")
    else:
        key = ("aircraft", bare, "fuel_flow", "ground")
        name = s.mission.file.aircraft[bare].name
        yield _given(about, key, f"{name} has no ground flow: the wait of later ships is in no fuel")


def _given(about: About, missing: KeyPath | None, why: str) -> Gate:
    return words(about, True, "given", "given") if missing is None else not_checked(about, why, key=missing)
