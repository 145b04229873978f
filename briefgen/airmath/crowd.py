"""When the ends of a crowd line see the leader abeam. Along a line of a mile somebody sees the pass early or
late (trade fact, no source)."""

from __future__ import annotations

from briefgen.airmath.angles import flight_time_s
from briefgen.airmath.run_in import Inbound, state_at, time_at_to_go_s, total_s
from briefgen.core.records import record


@record
class Abeam:
    """Seconds from overhead (before it negative) at which the leader is abeam the first and the last end, and
    the seconds between."""

    first_s: float
    last_s: float
    over_line_s: float


def abeam_s(inbound: Inbound, beyond_centre_nm: float) -> float:
    """Seconds from overhead at which the leader is abeam a point ``beyond_centre_nm`` along the track
    (negative: before the centre).

    Before the centre as planned, push included; beyond it the speed over the centre is held. Validity: not
    before the hold fix.
    """
    if beyond_centre_nm > 0.0:
        return flight_time_s(beyond_centre_nm, state_at(inbound, total_s(inbound)).speed_kt)
    return time_at_to_go_s(inbound, -beyond_centre_nm) - total_s(inbound)


def crowd_line(inbound: Inbound, one_end_nm: float, other_end_nm: float) -> Abeam:
    """Abeam times of a line's two ends, given by how far each is beyond the centre along the track, in either
    order."""
    first, last = sorted((abeam_s(inbound, one_end_nm), abeam_s(inbound, other_end_nm)))
    return Abeam(first, last, last - first)
