"""Directions that the file gives twice, just inside and just outside what they may lie apart.

Along a meridian the course is 180 or 000 true by definition, whatever the ellipsoid.
"""

from __future__ import annotations

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.plan.build import make_plan
from tests.places import TESTS

CASES = TESTS / "cases"
# all on the meridian 100 W, variation 0.0 E
BY_HAND = (CASES / "ok-by-hand.yaml").read_text(encoding="utf-8")
SMALL = (CASES / "ok-pass-only.yaml").read_text(encoding="utf-8")
RUN_IN, HOLD = "run_in: {from: IP,", "hold: {at: HOLD,"


def said(text: str, *edits: tuple[str, str]):
    """The plan and what is said of courses, runways and variations."""
    mission, found = load_mission_text(text, "m.yaml", edits=edits)
    assert mission is not None, [d.message for d in found]
    plan, found = make_plan(mission)
    return plan, [d for d in found if d.code in ("course", "runway-direction", "variation-differs")]


def by_hand(old: str, new: str) -> str:
    """The mission on one meridian with one spot of its text changed."""
    assert BY_HAND.count(old) == 1
    return BY_HAND.replace(old, new)


COURSES = [
    # what is typed where; the leg's course, true and (variation 0.0 E) magnetic; key path of the diagnostic;
    # the leg
    ((RUN_IN, f"{RUN_IN} course: TYPED,"), 180, "event.pass.run_in.course", "IP to CENTRE"),
    ((HOLD, f"{HOLD} inbound: TYPED,"), 180, "event.pass.hold.inbound", "HOLD to IP"),
    (("  - {to: ENTRY,", "  - {to: ENTRY, course: TYPED,"), 0, "departure.0.course", "BASE to ENTRY"),
    (("  - {to: HOLD,", "  - {to: HOLD, course: TYPED,"), 180, "transit.0.course", "EXIT to HOLD"),
    (
        ("    - {to: BASE,", "    - {to: BASE, course: TYPED,"),
        180,
        "recovery.legs.0.course",
        "EGRESS to BASE",
    ),
]
# no variation is typed at the egress
ROWS = [
    (*row, reference)
    for row in COURSES
    for reference in "TM"
    if (row[2], reference) != ("recovery.legs.0.course", "M")
]


@pytest.mark.parametrize(
    ("place", "along", "path", "name", "reference"), ROWS, ids=[f"{row[2]} {row[4]}" for row in ROWS]
)
@pytest.mark.parametrize("apart", [2, -2, 3, -3])
def test_a_typed_course_against_its_two_points(place, along, path, name, reference, apart):
    old, new = place
    typed = f"{(along + apart) % 360:03d} {reference}"
    plan, found = said(by_hand(old, new.replace("TYPED", typed)))
    found = [d for d in found if d.code == "course"]

    if abs(apart) == 2:
        assert found == [] and plan is not None
        return
    (error,) = found
    assert plan is None and error.severity == "error" and ".".join(map(str, error.cause)) == path
    shown = f"{(along + apart) % 360:05.1f} {reference} is typed, but {name} lies on "
    assert error.message == f"{shown}{along:05.1f} {reference}: 3.0 degrees apart"


def test_a_magnetic_course_takes_the_variation_at_the_start():
    """Variation 10.0 E by hand at the IP: the meridian southwards is 170 M there. The model has 4.6 E, so the
    typed variation is told too."""
    text = BY_HAND.replace(
        'IP: {position: "40.833914N 100.000000W", variation: 0.0 E}',
        'IP: {position: "40.833914N 100.000000W", variation: 10.0 E}',
    )
    assert [
        d.code for d in said(text.replace(RUN_IN, f"{RUN_IN} course: 170 M,"))[1] if d.code == "course"
    ] == []
    assert [
        d.code for d in said(text.replace(RUN_IN, f"{RUN_IN} course: 180 M,"))[1] if d.code == "course"
    ] == ["course"]


def test_a_magnetic_course_without_a_variation_is_not_compared_and_says_so():
    """2031 lies outside the magnetic model, which holds from 2025 to 2030."""
    text = SMALL.replace("2027-05-04", "2031-05-04").replace(RUN_IN, f"{RUN_IN} course: 300 M,")
    plan, (caution,) = said(text)
    assert plan is not None and caution.severity == "caution" and "not compared" in caution.message


RUNWAYS = [
    # name, direction, degrees apart or None; true directions with a variation of 5.0 E by hand
    ("18", "180 M", None),
    ("18", "187 M", None),
    ("18", "188 M", "8"),
    ("18", "173 M", None),
    ("18", "172 M", "8"),
    ("18", "000 M", "180"),
    ("36", "003 M", None),
    ("01", "357 M", "13"),
    ("1", "010 M", None),
    ("18L", "180 M", None),
    ("18R", "200 M", "20"),
    ("grass", "200 M", None),
    ("18", "192 T", None),  # 187 M
    ("18", "193 T", "8"),  # 188 M
    ("18", "174 T", "11"),  # 169 M
]


@pytest.mark.parametrize(("name", "direction", "apart"), RUNWAYS)
def test_the_direction_of_a_runway_against_its_number(name, direction, apart):
    text = SMALL.replace(
        "elevation: 680 ft MSL",
        f'elevation: 680 ft MSL, variation: 5.0 E, runways: [{{name: "{name}", direction: {direction}}}]',
    )
    _, found = said(text)
    assert [d.cause for d in found] == ([("places", "BASE", "runways", 0, "direction")] if apart else [])
    assert all(d.severity == "caution" and f"{apart} degrees from its number" in d.message for d in found)


# Published test value of the model (tests/data/WMM2025_TEST_VALUES.txt): 2027.5, sea level, 13 S 59 W:
# -17.49. 2 July 2027 is 2027.5.
@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("17.5 W", False),
        ("15.5 W", False),
        ("19.4 W", False),
        ("15.4 W", True),
        ("19.6 W", True),
        ("17.5 E", True),
    ],
)
def test_a_variation_by_hand_against_the_model(typed, told):
    text = SMALL.replace("2027-05-04", "2027-07-02").replace(
        "places:\n", f"places:\n  FAR: {{position: -13.0000 -59.0000, variation: {typed}}}\n"
    )
    _, found = said(text)
    assert [d.cause for d in found] == ([("places", "FAR", "variation")] if told else [])
    assert all(
        d.severity == "caution" and f"typed as {typed}" in d.message and "has 17.5 W there" in d.message
        for d in found
    )
