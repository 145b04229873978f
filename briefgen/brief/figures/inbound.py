"""Where the plan has the flight between leave-hold and overhead, asked of the same motion that timed the
pass."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.airmath.run_in import Inbound, InboundState, state_at, time_at_to_go_s, total_s
from briefgen.airmath.speed_change import Rates
from briefgen.core.records import record
from briefgen.plan.event.pass_chain import NO_RATE_KT_S
from briefgen.plan.model import EventPlan
from briefgen.plan.sortie import Plan

TICK_S = 10


@record
class Approach:
    """The planned motion from the hold fix (without a hold: the IP) to overhead. Seconds to go count to the
    true time T."""

    motion: Inbound
    starts: datetime
    true_time: datetime

    @property
    def starts_to_go_s(self) -> float:
        """Seconds to T at its beginning."""
        return (self.true_time - self.starts).total_seconds()

    @property
    def overhead_to_go_s(self) -> float:
        """Seconds to T when overhead: zero, unless a bias can't be made up (then negative)."""
        return self.starts_to_go_s - total_s(self.motion)

    def state(self, to_go_s: float) -> InboundState:
        """The planned state so many seconds before T."""
        return state_at(self.motion, max(self.starts_to_go_s - to_go_s, 0.0))

    def seconds_to_go(self, to_go_nm: float) -> float:
        """Seconds to T at a distance from the centre."""
        return self.starts_to_go_s - time_at_to_go_s(self.motion, to_go_nm)

    def ticks_s(self) -> list[int]:
        """The whole tens of seconds before T that lie on it, longest first, without T itself."""
        return list(range(int(self.starts_to_go_s // TICK_S) * TICK_S, 0, -TICK_S))


def approach_of(plan: Plan) -> Approach | None:
    """The approach of a plan, None without an event."""
    event = plan.event
    if event is None:
        return None
    before_ip_s = event.hold_to_ip.time_s if event.hold_to_ip else 0.0
    return Approach(
        _motion(event, _rates(plan)), event.ip_time - timedelta(seconds=before_ip_s), event.true_time
    )


def _motion(event: EventPlan, rates: Rates) -> Inbound:
    leg, push = event.hold_to_ip, event.push
    return Inbound(
        leg.distance_nm if leg else 0.0,
        leg.gs_start_kt if leg else event.run_in_kt,
        event.run_in.distance_nm,
        event.run_in_kt,
        event.push_up_to_kt,
        push.to_go_nm if push else 0.0,
        rates,
    )


def _rates(plan: Plan) -> Rates:
    run_in = plan.mission.the_event.pass_.run_in
    return Rates(run_in.faster_kt_s or NO_RATE_KT_S, run_in.slower_kt_s or NO_RATE_KT_S)
