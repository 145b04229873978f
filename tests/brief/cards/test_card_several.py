"""What the cards of a sortie with several passes say of all of them: three harbours, whose file has base and
SALTMERE by Lisbon's clock, +01:00 in June, CORBROOK and DUNWATER by Madrid's, +02:00."""

from __future__ import annotations

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.model import Grid, Lines
from tests.places import REPOSITORY
from tests.planned import plan_of, plan_of_text

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
    assert cards.ground_contact(HARBOURS, event).under == f"Sat 5 Jun 2027  ·  {clocks}"


def test_a_flight_that_hears_nothing_is_told_when_it_leaves_each_hold_for_good():
    """On to the next pass, from the last hold home. T less 2 min 6 s, at which the hold is left, and the slip
    accepted late: 2 min, at DUNWATER 90 s. The first side has no figure of one pass for all."""
    card = cards.kneeboard(HARBOURS, 1)
    boxes = [{label: figure for label, figure, _ in side["home"].items} for _, side in card.sides[1:]]
    ends = [box.get("ON FROM HOLD", box.get("HOME FROM HOLD")) for box in boxes]
    assert ends == ["13:59:54 Z", "14:14:54 Z", "14:29:54 Z", "14:43:24 Z"]
    assert ["HOME FROM HOLD" in box for box in boxes] == [False, False, False, True]
    told = dict(card.sides[0][1]["contingencies"].items)
    (said,) = [text for name, text in told.items() if name.startswith("No ground contact")]
    assert said.endswith("; on at ON FROM HOLD or home at HOME FROM HOLD of that pass, no later")


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


def test_it_is_told_what_is_gone_home_from_and_to_where_it_goes_on():
    """At CORBROOK, before DUNWATER: what its `then` and its `no_cue` say."""
    side = cards.kneeboard(HARBOURS, 1).sides[3][1]
    onward, silence = dict(side["onward"].items), dict(side["silence"].items)
    assert onward["Aborted or UNABLE"] == "on to DUNWATER"
    assert "GO ON TO DUNWATER" in silence.values()


# by hand from the files: after: 15 min, and after: 13 min
AFTER = (
    (HARBOURS, "SALTMERE", "15 min after SALTMERE", "SALTMERE"),
    (plan_of("missions/twin-fields.yaml"), "", "13 min after TWINS", "TWINS"),
)


@pytest.mark.parametrize(("plan", "event", "after", "by"), AFTER)
def test_a_pass_that_moves_with_another_has_no_slips_and_no_words_of_its_own(plan, event, after, by):
    """As ``retime --pass`` and the clock page have it; what stops the pass stays."""
    line = f"{after}, moves with it when {by} is moved, and cannot be moved alone, nor once {by} is flown or"
    line += " stopped."
    (_, own), _, (_, front), (_, back) = cards.ground_contact(plan, event).sides
    assert isinstance(own["slips"], Grid) and own["say"] is not None and own["changes"] is not None
    assert front["slips"] == Lines("When the ceremony slips", (("T is", line),))
    assert (front["say"], front["changes"]) == (None, None) and back["parties"] is not None
    assert "After leave-hold" not in dict(front["abort"].rows)
    assert not [row for row in back["schedule"].rows if row[3] in ("First SAY BY", "Last by the hold")]
    # 14:00:00 Z and 15:30:00 Z; 15 min before the second is then, or 2 min before it
    leads = plan.passes[0].true_time
    assert front["times"].items[1] == (
        f"MOVES WITH {by}, T",
        f"{leads:%H:%M:%S} Z",
        f"{after}; a change is told of {by} before that is flown, none of this pass",
    )
    told = [row[4] for row in back["schedule"].rows if row[3].startswith("T-")]
    follows = f"True time over target as held; a change is told of {by}, and this T moves with it"
    flown = f"True time over target as held; {by} is flown, and this T moves no more"
    assert told == [flown if after == f"15 min after {by}" else follows, flown, flown]
    assert front["wait"].title == f"T, as {by} moves it, cannot be later than"
    first, second = [side for _, side in cards.kneeboard(plan, 1).sides if "slips" in side][:2]
    assert isinstance(first["slips"], Grid) and second["slips"] == Lines("", (("T is", line),))
    assert second["abort"].items[0][:2] == front["stop"].items[0][:2]
    assert second["silence"] is None  # nothing is told after the hold, and no cue is waited for


def test_a_further_pass_at_a_time_of_its_own_keeps_its_slips():
    text = (REPOSITORY / "missions" / "three-harbours.yaml").read_text(encoding="utf-8")
    plan = plan_of_text(text.replace("- after: 15 min ", "- time: 15:15:00 event "))
    front = cards.ground_contact(plan, "SALTMERE").sides[2][1]
    assert isinstance(front["slips"], Grid) and len(front["slips"].rows) > 3


def test_where_t_hangs_on_no_cue_the_card_says_so():
    """DUNWATER's T is a clock time without a script; SALTMERE has one."""
    sides = dict(cards.kneeboard(plan_of("missions/three-harbours.yaml"), 1).sides)
    under = {name: side["times"].items[0][2] for name, side in sides.items() if "times" in side}
    assert [name.split(", ")[-1] for name, said in under.items() if said.endswith("; no cue: fly T")] == [
        "DUNWATER"
    ]
