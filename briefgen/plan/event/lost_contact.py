"""Without the ground contact: when the flight acts by itself, until when it then stays in the hold, and
whether there is a second way by radio."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.core.diagnostics import KeyPath
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import GivenUp, PassSection
from briefgen.mission.schema.event import NoGroundContact
from briefgen.plan.event.onward import leave_hold_for_next
from briefgen.plan.event.waits import latest_t
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan
from briefgen.plan.timing.clock import nearest_second
from briefgen.units.values import Frequency


@record
class HoldEnd:
    """When a flight that waits in the hold goes home, or on, and what ends its wait, in short. ``arrival``:
    when it comes there."""

    at: datetime
    short: str
    arrival: datetime
    then: GivenUp

    @property
    def on_arrival(self) -> bool:
        """There is no wait: what ends it is there before the flight is, to the second that is printed."""
        return self.at <= nearest_second(self.arrival)


def briefed(mission: Mission, section: PassSection) -> tuple[NoGroundContact | None, KeyPath]:
    """What is briefed of a pass without the ground contact, and where: its own, else the sortie's."""
    own = section.written.no_ground_contact
    if own is not None:
        return own, section.key("no_ground_contact")
    return mission.file.contingencies.no_ground_contact, ("contingencies", "no_ground_contact")


def lost_contact_at(mission: Mission, event: EventPlan | None) -> datetime | None:
    """The moment that ``no_ground_contact.after`` counts back to from leave-hold or the IP; None where the
    file does not say it."""
    given = None if event is None else briefed(mission, event.section)[0]
    if event is None or given is None or given.after is None:
        return None
    point = (
        event.hold.leave if event.hold is not None and given.after.point == "leave-hold" else event.ip_time
    )
    return point - timedelta(seconds=given.after.seconds)


def hold_end(plan: Plan) -> HoldEnd | None:
    """When a flight that is briefed to stay unheard leaves for good; None where it is not, and
    where the fuel is not known."""
    given = None if plan.event is None else briefed(plan.mission, plan.event.section)[0]
    return None if given is None or given.then != "hold" else wait_end(plan)


def wait_end(plan: Plan) -> HoldEnd | None:
    """When a flight that is still in the hold goes home: the go-home time by fuel, or leave-hold for the
    latest true time where that is earlier: after it no pass can be flown, and nothing is left to wait for.
    Where ``then`` leads to the next pass it goes on to that one while that can still be met. The fuel for
    it is that of the sortie as planned: T of the next one stays, and what is not flown of this pass is held
    there. Never before the hold is entered. None without a hold, and where the fuel is not known."""
    fuel, event = plan.fuel, plan.event
    if event is None or event.hold is None or fuel is None or fuel.go_home is None:
        return None
    last, hold = latest_t(plan), event.hold
    leave = None if last is None else last.latest_t - (event.true_time - hold.leave)
    short, on = "" if last is None else last.short, leave_hold_for_next(plan, event)
    if event.section.given_up == "next pass" and on is not None and (leave is None or on < leave):
        leave, short = on, "the next pass"
    if leave is None or leave >= fuel.go_home:
        return HoldEnd(fuel.go_home, "fuel", hold.arrival, "go home")
    # the second that leave-hold prints in the row of that slip: it is flown, and no deadline
    return HoldEnd(nearest_second(max(leave, hold.arrival)), short, hold.arrival, event.section.given_up)


def home_before_leave(plan: Plan) -> HoldEnd | None:
    """The same where it comes before leave-hold as planned, so that T as planned can't be waited for; else
    None."""
    end, hold = wait_end(plan), None if plan.event is None else plan.event.hold
    return end if end is not None and hold is not None and end.at < nearest_second(hold.leave) else None


def shared_mhz(mission: Mission) -> float | None:
    """The one frequency of the ground contact's first radio and its backup, which then is none; None where
    they are two, or one isn't given."""
    event = mission.file.event
    ground = event.ground_contact if event is not None else None
    if ground is None or ground.primary is None or ground.backup is None:
        return None
    first, second = (_tuned_mhz(mission, radio) for radio in (ground.primary, ground.backup))
    return first if first == second else None


def _tuned_mhz(mission: Mission, radio: Frequency | int) -> float:
    presets = {row.preset: row.frequency.mhz for row in mission.file.radio}
    return presets[radio] if isinstance(radio, int) else radio.mhz
