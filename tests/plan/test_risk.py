"""Risk before and after control: sums worked out here, the highest single item, who accepts it."""

from briefgen.plan.risk import risk_view
from tests.places import REPOSITORY
from tests.planned import load_mission

MISSIONS = REPOSITORY / "missions"


def test_founders_day():
    mission, _ = load_mission(MISSIONS / "founders-day.yaml")
    view = risk_view(mission)
    assert [(item.before, item.after, item.lowered) for item in view.items] == [
        (3 * 4, 1 * 4, True),
        (3 * 5, 2 * 5, True),
    ]
    assert (view.total_before, view.total_after) == (12 + 15, 4 + 10)
    assert view.highest_before.hazard == view.highest_after.hazard == "Six ships close together in turbulence"
    assert view.highest_after.accepted_by == "Col D. Ashgrove"
    assert "Maj L. Tran" in view.crew and "Lt S. Agarwal" in view.crew


def test_a_risk_that_is_not_lowered_remains_as_it_was():
    edits = [("risk.2.after", "")]
    mission, _ = load_mission(MISSIONS / "founders-day.yaml", edits)
    item = risk_view(mission).items[1]
    assert (item.before, item.after, item.remains, item.lowered) == (15, None, 15, False)


def test_no_risk_at_all():
    mission, _ = load_mission(MISSIONS / "founders-day.yaml", [("risk", "")])
    view = risk_view(mission)
    assert (view.items, view.highest_before, view.highest_after, view.total_after) == ((), None, None, 0)
