"""Sentences of the slides that must be true as they are heard, against the missions as typed."""

from datetime import timedelta

import pytest

from briefgen.brief.view_words import words_of
from tests.brief.briefs import ALL, ROOT, plan_of

MIDNIGHT = "tests/cases/ok-midnight.yaml"
GOOD = [*ALL, *(str(path.relative_to(ROOT)) for path in sorted((ROOT / "tests/cases").glob("ok-*.yaml")) if str(path.relative_to(ROOT)) not in ALL)]


def test_a_landing_after_local_midnight_has_its_own_date():
    # Take-off 23:00 and T 23:45 at +02:00 on 28 Jul; the last ship lands 62.5 min after take-off, at 00:02.
    assert words_of(plan_of(MIDNIGHT)).dates() == "Wed 28 Jul 2027; last landing 29 Jul CEST (+02:00)"


@pytest.mark.parametrize("name", GOOD)
def test_one_date_on_every_clock_is_true_of_every_minute(name):
    """From step (else take-off) to the last landing, on Zulu and on the clocks of base and event."""
    plan, said = plan_of(name), words_of(plan_of(name)).dates()
    first = next((event.at for event in plan.clock.events if event.id == "step"), plan.clock.takeoff)
    zones = {plan.mission.base_zone, plan.mission.event_zone} - {None}
    minutes = [first + timedelta(minutes=n) for n in range(int((plan.clock.last_landing - first).total_seconds() // 60) + 1)]
    dates = {at.date() for at in (*minutes, plan.clock.last_landing)} | {at.astimezone(zone).date() for at in (*minutes, plan.clock.last_landing) for zone in zones}
    assert said.endswith("on every clock") == (len(dates) == 1)
