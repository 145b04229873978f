"""What the cards of a sortie with several passes say of all of them: three harbours, whose file has base and
SALTMERE by Lisbon's clock, +01:00 in June, CORBROOK and DUNWATER by Madrid's, +02:00."""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from tests.planned import plan_of

HARBOURS = plan_of("missions/three-harbours.yaml")


def test_every_clock_stands_under_the_heading():
    assert cards.kneeboard(HARBOURS, 1).under == (
        "Sat 5 Jun 2027  ·  base and SALTMERE WEST (+01:00), CORBROOK and DUNWATER CEST (+02:00)"
    )


@pytest.mark.parametrize(
    ("event", "clocks"),
    [("SALTMERE", "base and event WEST (+01:00)"), ("DUNWATER", "base WEST (+01:00), event CEST (+02:00)")],
)
def test_a_ground_contact_has_the_clock_of_its_own_event(event, clocks):
    assert cards.ground_contact(HARBOURS, event).under.endswith(clocks)


def test_a_flight_that_hears_nothing_is_told_when_it_goes_home_from_each_hold():
    """T less 2 min 6 s, at which the hold is left, and the slip accepted late: 2 min, at DUNWATER 90 s. The
    first side has no figure of one pass for all."""
    card = cards.kneeboard(HARBOURS, 1)
    boxes = [{label: figure for label, figure, _ in side["home"].items} for _, side in card.sides[1:]]
    homes = [box["HOME FROM HOLD"] for box in boxes]
    assert homes == ["13:59:54 Z", "14:14:54 Z", "14:29:54 Z", "14:43:24 Z"]
    told = dict(card.sides[0][1]["contingencies"].items)
    (said,) = [text for name, text in told.items() if name.startswith("No ground contact")]
    assert said.endswith("; home at HOME FROM HOLD of that pass, no later")


def test_a_flight_continues_no_later_than_the_pass_itself_may_be_flown():
    """The waits at CORBROOK and DUNWATER would stand more, but 2 min late is all that is accepted: as much
    after the egress as planned, 14:16:20 and 14:31:20."""
    sides = [dict(side["onward"].items) for _, side in cards.kneeboard(HARBOURS, 1).sides[2:4]]
    assert [side["Egress"][:8] for side in sides] == ["14:16:20", "14:31:20"]
    told = [side[f"CONTINUE TO {to}"] for side, to in zip(sides, ("CORBROOK", "DUNWATER"), strict=True)]
    assert [text.partition("egress, ")[2] for text in told] == [
        "by 14:18:20 Z, after the latest T",
        "by 14:33:20 Z, after the latest T",
    ]
