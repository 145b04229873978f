"""``briefgen retime`` as a function: a plan, a wanted change and a moment in; the new times, fuel, parties and words out."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, timedelta
from typing import Literal

from briefgen.airmath.run_in import speed_to_fly
from briefgen.brief.format import rounded_instant
from briefgen.diagnostics import Diagnostic, has_errors
from briefgen.mission.changes import at_true_time
from briefgen.plan.build import make_plan
from briefgen.plan.model import Gate, Party, Plan
from briefgen.plan.motion import Motion, motion_of
from briefgen.records import record
from briefgen.retime import phrases
from briefgen.retime.heard import Predicted
from briefgen.retime.judge import Flying, Ruling, flying, judge
from briefgen.retime.phrases import Call

Phase = Literal["planned", "holding", "inbound", "running-in"]
JUST_INSIDE_S = 1e-3  # in the hold, nothing of it flown
MET = ("no call", "new time", "fast", "slow")


@record
class Wanted:
    """The new true time, and when the call is read back. ``read_back`` None: before the hold is entered. ``heard``: cues with their times."""

    true_time: datetime
    read_back: datetime | None
    heard: Sequence[tuple[str, datetime]] = ()
    predicted: Predicted | None = None


@record
class NewTimes:
    """The clock after the change. ``inbound_turns``: START INBOUND TURN of each lap. ``speed_kt``: ground speed to change to and hold to the
    centre after leave-hold, else None. ``row``: the laps are those of the printed slip row."""

    true_time: datetime
    set_time: datetime
    leave_hold: datetime | None
    inbound_turns: tuple[datetime, ...]
    ip: datetime
    push_up: datetime | None
    speed_kt: float | None
    row: bool


@record
class ShipLine:
    """A ship's fuel at the new time, printed figures; ``landing`` None: not known."""

    ship: int
    landing_before: int
    landing: int | None
    required: int
    go_home: datetime | None

    @property
    def enough(self) -> bool | None:
        """None: not checked."""
        return None if self.landing is None else self.landing >= self.required


@record
class Retimed:
    """Everything that ``briefgen retime`` tells. ``times`` is None when the change can't be met or needs no call. ``until``: the read-back
    must be (or had to be) complete by then; ``say_by`` = ``until`` less the relay. ``failing``: gates that fail at the new time."""

    kind: str
    change_s: float
    old_true: datetime
    old_set: datetime
    new_true: datetime
    told: datetime | None
    until: datetime | None
    say_by: datetime | None
    reason: str
    one_more_lap_s: float | None
    authority_s: tuple[float, float] | None
    times: NewTimes | None
    ships: tuple[ShipLine, ...]
    parties: tuple[Party, ...]
    failing: tuple[Gate, ...]
    within_accepted: bool | None
    call: Call
    predicted: Predicted | None

    @property
    def met(self) -> bool:
        """Whether the new time can be met."""
        return self.kind in MET


def retime(plan: Plan, wanted: Wanted) -> tuple[Retimed | None, list[Diagnostic]]:
    """The answer for a plan that has an event; diagnostics are of the plan at the new time."""
    motion, event = motion_of(plan), plan.event
    now = _flying(plan, motion)
    new_true = rounded_instant(wanted.true_time)
    told_s = 0.0 if wanted.read_back is None else motion.seconds(wanted.read_back)
    ruling = judge(now, _asked_s(event.true_time, wanted.true_time, now), told_s)
    change_s = (new_true - event.true_time).total_seconds()
    changed, found = _changed_plan(plan, new_true, wanted) if ruling.kind in ("new time", "fast", "slow") else (plan, [])
    if changed is None or has_errors(found):
        return None, found
    return _retimed(plan, changed, motion, (now, ruling, change_s, told_s), wanted), []


def _asked_s(held: datetime, wanted: datetime, now: Flying) -> float:
    """The change that is called: inside the dead-band the one predicted, else the one to the whole second that is read out."""
    exact = (wanted - held).total_seconds()
    return exact if abs(exact) < now.deadband_s else (rounded_instant(wanted) - held).total_seconds()


def _flying(plan: Plan, motion: Motion) -> Flying:
    pass_ = plan.mission.file.event.pass_
    abort_only = None if pass_.abort_only_after is None else pass_.abort_only_after.seconds
    return flying(motion, deadband_s=pass_.deadband or 0.0, abort_only_s=abort_only)


def _changed_plan(plan: Plan, new_true: datetime, wanted: Wanted) -> tuple[Plan | None, list[Diagnostic]]:
    setups = plan.training.setups_flown if plan.training is not None else None
    return make_plan(at_true_time(plan.mission, new_true, takeoff=plan.clock.takeoff, setups=setups, heard=dict(wanted.heard)))


def _retimed(plan: Plan, changed: Plan, motion: Motion, ruled: tuple[Flying, Ruling, float, float], wanted: Wanted) -> Retimed:
    now, ruling, change_s, told_s = ruled
    event = plan.event
    until = None if ruling.until_s is None else motion.origin + timedelta(seconds=ruling.until_s)
    relay = timedelta(seconds=plan.mission.file.event.relay_time or 0.0)
    return Retimed(
        kind=ruling.kind,
        change_s=change_s,
        old_true=event.true_time,
        old_set=event.set_time,
        new_true=event.true_time + timedelta(seconds=change_s),
        told=wanted.read_back,
        until=until,
        say_by=None if until is None else until - relay,
        reason=ruling.reason,
        one_more_lap_s=ruling.one_more_lap_s,
        authority_s=None if ruling.early_s is None else (ruling.early_s, ruling.late_s),
        times=_times(plan, motion, (now, ruling, change_s, told_s)),
        ships=_ships(plan, changed, ruling),
        parties=changed.event.parties if changed is not plan else (),
        failing=_failing(changed, wanted) if changed is not plan else (),
        within_accepted=_accepted(plan, change_s),
        call=_call(plan, ruling, change_s),
        predicted=wanted.predicted,
    )


def _times(plan: Plan, motion: Motion, ruled: tuple[Flying, Ruling, float, float]) -> NewTimes | None:
    """By the hold everything inbound moves with T; by speed only what lies after the change of speed does, and no clock tells when."""
    now, ruling, change_s, told_s = ruled
    event, shift = plan.event, timedelta(seconds=change_s)
    if ruling.kind not in ("new time", "fast", "slow"):
        return None
    by_hold = ruling.kind == "new time"
    speed = None if by_hold else speed_to_fly(now.inbound, max(told_s - now.leave_s, 0.0), change_s, now.window)
    moved = shift if by_hold else timedelta(0)
    turns = tuple(motion.origin + timedelta(seconds=lap.inbound_turn_s) for lap in ruling.wait.laps) if by_hold else ()
    return NewTimes(
        true_time=event.true_time + shift,
        set_time=event.set_time + shift,
        leave_hold=None if motion.chain.leave_hold is None else motion.chain.leave_hold + moved,
        inbound_turns=turns,
        ip=event.ip_time + moved,
        push_up=None if event.push is None or not by_hold else event.push.at + shift,
        speed_kt=speed.speed_kt if speed is not None and speed.possible else None,
        row=ruling.row,
    )


def _ships(plan: Plan, changed: Plan, ruling: Ruling) -> tuple[ShipLine, ...]:
    """Landing fuel with the hold as long as it now is. After leave-hold the change is flown by speed, whose fuel isn't worked out."""
    if plan.fuel is None:
        return ()
    after = {ship.ship: ship for ship in changed.fuel.ships} if changed.fuel is not None else {}
    by_speed = ruling.kind in ("fast", "slow")
    return tuple(
        ShipLine(
            before.ship, before.landing_predicted,
            None if by_speed or before.ship not in after else after[before.ship].landing_predicted,
            before.landing_required, before.go_home,
        )
        for before in plan.fuel.ships
    )  # fmt: skip


def _failing(changed: Plan, wanted: Wanted) -> tuple[Gate, ...]:
    """Gates that fail at the new time. That no party holds it yet is told with the parties; once training is over nothing hangs on joker."""
    end = changed.clock.training_end
    trained = end is not None and wanted.read_back is not None and wanted.read_back >= end
    return tuple(g for g in changed.gates if g.verdict == "FAIL" and not g.id.startswith("party-") and not (trained and g.id == "joker"))


def _accepted(plan: Plan, change_s: float) -> bool | None:
    slip = plan.mission.file.event.accept_slip
    return None if slip is None else -slip.early <= change_s <= slip.late


def _call(plan: Plan, ruling: Ruling, change_s: float) -> Call:
    who, event = phrases.callers(plan.mission), plan.event
    if ruling.kind == "new time":
        return phrases.new_time(who, event.true_time, event.true_time + timedelta(seconds=change_s))
    if ruling.kind in ("fast", "slow"):
        return phrases.seconds(who, change_s)
    if ruling.kind == "abort only":
        return phrases.abort(event.abort.words if event.abort is not None else "")
    return phrases.unable(who, change_s, ruling.one_more_lap_s) if ruling.kind == "unable" else Call("")


def read_back_at(plan: Plan, *, now: datetime | None, phase: Phase) -> datetime | None:
    """When the call is read back: the relay after ``now``, else where a phase begins; None: before the hold is entered."""
    if now is not None:
        return now + timedelta(seconds=plan.mission.file.event.relay_time or 0.0)
    motion = motion_of(plan)
    moments = {
        "holding": motion.origin + timedelta(seconds=JUST_INSIDE_S),
        "inbound": (motion.chain.leave_hold or plan.event.ip_time) + timedelta(seconds=JUST_INSIDE_S),
        "running-in": plan.event.ip_time + timedelta(seconds=JUST_INSIDE_S),
    }
    return moments.get(phase)
