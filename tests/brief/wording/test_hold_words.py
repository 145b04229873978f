"""What a card and a slide say of the laps: which are as planned, and which a change of T makes longer,
shorter or turns elsewhere."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.slides.view.view import make_view
from briefgen.brief.wording import format as words
from briefgen.brief.wording.hold import (
    entry_words,
    first_heading,
    outbound_heading,
    outbound_legs,
    row_laps,
)
from briefgen.draw.scene.model import Text
from briefgen.plan.build import make_plan
from briefgen.plan.event.slips import turned_off
from tests.brief.briefs import STAMP, pages_of, view_of
from tests.brief.cards.reading import slip_note, slip_rows
from tests.brief.cards.test_cards import section
from tests.brief.figures.plans import scene_of, shapes_of
from tests.planned import REPOSITORY, load_mission
from tests.render.pdf_cases import plan_of

REGATTA = "missions/regatta.yaml"


@pytest.mark.parametrize(
    ("laps", "unchanged", "leg_s", "reads"),
    [
        (2, 2, 60.0, "2 of 2 1:00"),  # as planned
        (3, 0, 37.4, "3 of 3 0:37"),
        (1, 0, 68.0, "1 of 1 1:08"),
        (2, 1, 29.0, "1 of 2 0:29"),
        (3, 1, 37.0, "2 of 3 0:37"),
        (4, 2, 78.0, "2 of 4 1:18"),
        (0, 0, None, ""),  # straight through
    ],
)
def test_only_the_laps_that_change_get_the_new_leg(laps, unchanged, leg_s, reads):
    row = replace(plan_of(REGATTA).event.slips[0], laps=laps, unchanged_laps=unchanged, outbound_leg_s=leg_s)
    assert row_laps(plan_of(REGATTA).event.hold, row, words.duration_clock) == reads


def test_a_slip_may_have_laps_where_none_is_planned():
    plan = plan_of(REGATTA)
    row = replace(plan.event.slips[0], laps=2, unchanged_laps=0, outbound_leg_s=37.4)
    through = replace(plan.event.hold, laps=(), outbound_leg_s=None)
    assert row_laps(through, row, words.duration_clock) == "2 of 2 0:37"


@pytest.mark.parametrize(
    ("laps", "unchanged", "reads"),
    [(2, 2, "1 of 2 1:26"), (3, 0, "2 of 3 1:26"), (2, 1, "1 of 2 1:26"), (3, 1, "2 of 3 1:26")],
)
def test_an_entry_keeps_its_own_leg_in_every_medium(laps, unchanged, reads):
    """An offset entry flies out for the briefed leg (ICAO Doc 8168), here 60 s from 19:53:37 to 19:54:37; the
    laps after it for 86 s."""
    hold = plan_of(REGATTA).event.hold
    out = datetime(2027, 7, 3, 19, 53, 37, tzinfo=UTC)
    entry = replace(hold.laps[0], outbound=out, inbound_turn=out + timedelta(seconds=60), entry="offset")
    hold = replace(hold, laps=(entry, *hold.laps[1:]), outbound_leg_s=86.0, entry="offset")
    row = replace(plan_of(REGATTA).event.slips[0], laps=laps, unchanged_laps=unchanged, outbound_leg_s=86.0)
    assert row_laps(hold, row, words.duration_clock) == reads
    assert outbound_legs(hold, words.duration_clock) == "1:00, then 1:26"
    assert outbound_legs(hold, words.duration) == "1 min, then 1 min 26 s"


def test_card_and_slide_time_the_legs_of_an_entry_as_its_laps_do():
    """Lantern-fair's parallel entry: each leg is the difference of the moments that the plan has for its
    lap."""
    plan = plan_of("missions/lantern-fair.yaml")
    first, later = (lap.inbound_turn - lap.outbound for lap in plan.event.hold.laps[:2])
    assert abs(first - later) > timedelta(seconds=1)
    reads = [f"{s // 60}:{s % 60:02d}" for s in (round(span.total_seconds()) for span in (first, later))]
    card = cards.kneeboard(plan, 1)
    out = next(row for row in section(card, 1, "headings").rows if row[0].startswith("Out, "))
    assert out[-1] == ", then ".join(reads)
    laps = len(plan.event.hold.laps)
    assert slip_rows(card)["planned"][2] == f"{laps - 1}/{laps} {reads[1]}"
    drawn = [text.text for text in shapes_of(scene_of("missions/lantern-fair.yaml", "hold_laps"), Text)]
    ends = [words.duration(round(span.total_seconds())) for span in (first, later, later)]
    assert [text.split(" M ")[1] for text in drawn if " M " in text] == ends


def test_the_first_lap_has_its_own_heading_on_card_and_slide():
    """Regatta: the transit ends on another heading than the hold's; by tests/plan/event/test_hold_headings.py
    lap 1 is flown out on 236.9 true, the later one on 228, and the place's variation is 10.5 E."""
    plan = plan_of(REGATTA)
    mission, hold = plan.mission, plan.event.hold
    assert (first_heading(mission, hold), outbound_heading(mission, hold)) == (
        "226 M",
        "226 M in lap 1, then 217 M",
    )
    out, inbound, *_ = section(cards.kneeboard(plan, 1), 1, "headings").rows
    assert out[0] == "Out, left; lap 1 226 M" and "217 M" in out and inbound[0] == "In, 2 laps"


@pytest.mark.parametrize(
    ("first", "turns", "off"),
    [(1, (0.0, 4.9), False), (1, (0.0, 5.1), True), (1, (-5.1,), True), (0, (0.0, 0.0), False)],
)
def test_another_heading_is_told_from_five_degrees_on(first, turns, off):
    """Against the heading that the same lap has in the plan: the first its own, all others the later
    ones'."""
    hold, row = plan_of(REGATTA).event.hold, plan_of(REGATTA).event.slips[0]
    planned = [hold.laps[0].outbound_heading_true_deg, *[hold.outbound_heading_true_deg] * 3][
        first : first + len(turns)
    ]
    row = replace(
        row,
        laps=first + len(turns),
        unchanged_laps=first,
        outbound_headings_true_deg=tuple(p + t for p, t in zip(planned, turns, strict=True)),
    )
    assert turned_off(hold, row) is off


def test_an_entry_is_told_with_its_laps_on_card_slide_and_notes():
    """Lantern-fair comes in 112 degrees against the left turns of its hold: parallel. A lap's time grows by 1
    + GS out / GS in for each second of its outbound leg, here about 1.85 (102 kt in, about 87 out), so 10 s
    late are made up by 5 s of it."""
    plan = plan_of("missions/lantern-fair.yaml")
    hold = plan.event.hold
    said = (
        "Lap 1: parallel entry, times about; past the fix after it 10 s late: last out 5 s less, early more"
    )
    assert entry_words(hold) == said
    assert section(cards.kneeboard(plan, 1), 1, "headings").note == f"{said}."
    values = view_of("missions/lantern-fair.yaml").values["hold"]
    assert values["entry"] == said and values["sums"][0].startswith("Lap 1, parallel entry, about: fix ")
    assert not any("entry" in line for line in values["sums"][1:])
    assert entry_words(plan_of(REGATTA).event.hold) == ""


def test_the_card_names_the_rows_on_another_heading():
    """Start's rows, flown in tests/plan/event/test_hold_headings.py: 128 and 129 true, the variation 2 W;
    planned is 121."""
    note = slip_note(cards.kneeboard(plan_of("missions/start.yaml"), 1))
    assert "Last out on 130 M at +2 min, 131 M at +3 min" in note
    assert "Last out on" not in slip_note(cards.kneeboard(plan_of(REGATTA), 1))


def test_a_slip_told_too_late_has_its_price():
    """A lap of regatta's hold with the briefed outbound leg: HoldPlan.price_of_lap_s, proven in
    tests/airmath/test_hold.py; never the nearest row."""
    plan = plan_of(REGATTA)
    price = f"UNABLE, or in the hold one more lap, {words.duration(plan.event.hold.price_of_lap_s)}"
    assert f"Then {price}." in slip_note(cards.kneeboard(plan, 1))
    assert f"after that {price}; never the nearest row." in view_of(REGATTA).tables["slips"].caption


def test_a_wait_that_no_laps_give_is_said_with_the_nearest_two():
    """Lantern-fair, 1 min 51 s later: between the longest hold of two laps and the shortest of three, both
    with room for what the entry takes; the two are those of tests/airmath/test_hold.py. Said on card, slide
    and gate."""
    mission, _ = load_mission(
        REPOSITORY / "missions/lantern-fair.yaml", [("ground_ops.takeoff", "13:45:51 base")]
    )
    plan, _ = make_plan(mission)
    hold = plan.event.hold
    below, above = hold.nearest_s
    assert not hold.flyable and below < hold.wait_s < above
    nearest = [words.duration(s) for s in hold.nearest_s]
    gate = next(gate for gate in plan.gates if gate.id == "t-reachable")
    assert gate.verdict == "FAIL" and all(span in gate.value for span in nearest)
    assert all(span in section(cards.kneeboard(plan, 1), 1, "headings").note for span in nearest)
    page = next(page for page in pages_of(make_view(plan, STAMP)) if page.name == "hold")
    assert "cannot be flown" in page.title and all(span in page.title for span in nearest)
