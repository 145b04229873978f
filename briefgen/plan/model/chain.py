"""How the pass is flown, before any clock time of the hold: what its plan is made from. Units and
conventions: the package's docstring."""

from __future__ import annotations

from datetime import datetime, timedelta

from briefgen.airmath.hold import Racetrack
from briefgen.airmath.run_in import Inbound, PushSettings, PushTrouble
from briefgen.airmath.speed_change import SpeedWindow
from briefgen.core.records import record
from briefgen.mission.resolve.sections import PassSection
from briefgen.plan.model.legs import Leg


@record
class PushUp:
    """Where and when the flight accelerates. ``reached_kt`` is the ground speed over the centre."""

    to_go_nm: float
    at: datetime
    reached_kt: float
    acceleration_kt_s: float
    after_ip_s: float
    after_ip_nm: float


@record
class Cap:
    """The least of the speeds that may be flown over the centre, as ground speed along the run-in;
    ``because`` names it."""

    gs_kt: float | None
    because: str


@record
class PassChain:
    """Instants and legs from leave-hold to the end of the egress, of what the file says in ``section``.
    ``leave_hold`` is None without a hold.

    ``inbound`` is the planned motion from the hold fix (or the IP) to overhead, for everything that asks
    where the flight is.
    """

    section: PassSection
    true_time: datetime
    set_time: datetime
    late_bias_s: float
    ip_time: datetime
    leave_hold: datetime | None
    run_in: Leg
    hold_to_ip: Leg | None
    egress: Leg | None
    push: PushUp | None
    push_trouble: PushTrouble | None
    push_settings: PushSettings | None
    push_to_kt: float
    inbound: Inbound
    cap: Cap
    minimum_gs_kt: float | None
    rates_given: bool

    @property
    def legs(self) -> tuple[Leg, ...]:
        """From the fix of the hold (without one, the IP) to the end of the egress."""
        return tuple(leg for leg in (self.hold_to_ip, self.run_in, self.egress) if leg is not None)

    @property
    def ends(self) -> datetime:
        """When the egress ends, without one when the centre is passed."""
        return self.true_time + timedelta(seconds=self.egress.time_s if self.egress is not None else 0.0)

    def closes(self, slip_s: float) -> datetime | None:
        """The last moment to read back a slip: after the abort-only moment only the abort words are taken in,
        and an earlier T brings its own. None: the mission gives no such moment."""
        after_s = self.section.abort_only_s
        return None if after_s is None else self.true_time + timedelta(seconds=after_s + min(slip_s, 0.0))

    @property
    def speeds_known(self) -> bool:
        """Whether the mission gives what speed alone is judged by: the rate of change and both ends of the
        window."""
        return self.rates_given and self.minimum_gs_kt is not None and self.cap.gs_kt is not None

    @property
    def window(self) -> SpeedWindow:
        """The ground speeds between which the flight may change its speed: up to the least of the aircraft's
        and the unit's caps, which is allowed; where the file gives no limit, the planned ones."""
        slowest = self.run_in.gs_kt if self.minimum_gs_kt is None else self.minimum_gs_kt
        fastest = self.push_to_kt if self.cap.gs_kt is None else self.cap.gs_kt
        return SpeedWindow(min(slowest, self.run_in.gs_kt), fastest)


@record
class HoldShape:
    """The racetrack and how the flight comes to it: everything about the hold that no clock time changes.

    ``shortest_s`` is the shortest flyable wait of at least the minimum, None without one; ``price_s`` one
    more lap with the briefed outbound leg.
    """

    track: Racetrack
    arrival_heading_true_deg: float
    leg_s: float
    cas_kt: float
    altitude_ft: float
    shortest_s: float | None
    price_s: float | None
