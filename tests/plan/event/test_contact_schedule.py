"""When the ground contact and the flight speak, and where the flight is then."""

from __future__ import annotations

import pytest

from briefgen.airmath.geodesy import distance_nm
from briefgen.plan.event.back_to_hold import _where
from tests.planned import plan_of


def test_the_contacts_before_t_are_fifteen_five_and_three_minutes_before_it():
    """T of the regatta is 03:30:02 Z."""
    found = [(c.label, f"{c.at:%H:%M:%S}") for c in plan_of("missions/regatta.yaml").the_pass.contacts]
    assert [row for row in found if row[0].startswith("T-")] == [
        ("T-15 min", "03:15:02"),
        ("T-5 min", "03:25:02"),
        ("T-3 min", "03:27:02"),
    ]


@pytest.mark.parametrize("name", ["regatta", "lantern-fair", "founders-day"])
def test_a_flight_that_is_called_back_is_where_its_way_in_has_taken_it(name):
    """From the fix of its hold over the IP to the centre, whether hold and run-in lie on one line or not."""
    p = plan_of(f"missions/{name}.yaml").the_pass
    legs_nm = p.hold_to_ip.distance_nm
    for at, place in ((p.chain.leave_hold, p.hold.fix), (p.ip_time, p.run_in.start), (p.true_time, p.centre)):
        assert distance_nm(_where(p, at), place) < 0.02 * max(legs_nm, 1.0)
    between = _where(p, p.chain.leave_hold + (p.ip_time - p.chain.leave_hold) / 2)
    assert distance_nm(between, p.hold.fix) + distance_nm(between, p.run_in.start) == pytest.approx(
        legs_nm, abs=0.01
    )
