"""The brief as a whole: which slides there are, in which order, and what each title and its notes must
hold."""

import re
from dataclasses import replace

import pytest

from briefgen.brief.slides.view.view import make_view, with_what_if
from briefgen.brief.wording.whatif import WhatIfLine, lines_of, sentence
from briefgen.brief.wording.words import beginning
from tests.brief.briefs import ALL, PASS_ONLY, REGATTA, STAMP, pages_of, plan_of, training_only, view_of
from tests.planned import what_if_of

SHOWN = [
    "overview",
    "line-up",
    "clock",
    "route",
    "weather",
    "area",
    "stops",
    "fuel-ships",
    "hold",
    "profile",
    "push",
    "slips",
    "contacts",
    "abort",
    "approval",
]
BACKUP = [
    "backup",
    "clock-times",
    "pieces",
    "crew",
    "ground",
    "airspace",
    "forecast",
    "winds",
    "sun",
    "training-rules",
    "joker",
    "bingo",
    "fuel-clock",
    "fuel-table",
    "transit",
    "time-control",
    "pass",
    "late-changes",
    "script",
    "slip-table",
    "formation",
    "recovery",
    "radio",
    "contingencies",
    "limits",
    "gates-open",
    "gates-not-checked",
    "risk",
    "debrief",
]
ORDER = [*SHOWN, *BACKUP]
NO_PASS = {
    "pass",
    "hold",
    "time-control",
    "push",
    "slips",
    "slip-table",
    "late-changes",
    "script",
    "contacts",
    "profile",
    "formation",
    "abort",
}
TITLE_WITHOUT_NUMBER = {"backup"}


def names(view):
    return [page.name for page in pages_of(view)]


def test_the_regatta_is_briefed_in_the_order_of_the_sortie():
    assert names(view_of(REGATTA)) == ORDER


def test_a_pass_only_sortie_leaves_out_the_rest():
    assert set(names(view_of(PASS_ONLY))) == set(ORDER) - {
        "weather",
        "forecast",
        "winds",
        "airspace",
        "area",
        "training-rules",
        "stops",
        "joker",
        "bingo",
        "fuel-ships",
        "hold",
        "push",
        "slips",
        "slip-table",
        "late-changes",
        "contacts",
        "formation",
        "abort",
        "fuel-clock",
        "fuel-table",
        "contingencies",
        "radio",
        "risk",
    }


def test_a_training_only_sortie_has_no_slide_of_the_pass():
    shown = names(make_view(training_only(), STAMP))
    assert not NO_PASS & set(shown) and {"overview", "area", "training-rules", "approval"} <= set(shown)


@pytest.mark.parametrize("name", ALL)
def test_every_title_states_a_number(name):
    assert [
        page.title
        for page in pages_of(view_of(name))
        if not re.search(r"\d", page.title) and page.name not in TITLE_WITHOUT_NUMBER
    ] == []


@pytest.mark.parametrize("name", ALL)
def test_no_two_slides_have_the_same_title(name):
    """Whoever moves through the pages by their headings cannot tell them apart."""
    titles = [page.title for page in pages_of(view_of(name))]
    assert [title for title in titles if titles.count(title) > 1] == []


def test_the_title_of_the_pass():
    """Leave-hold is the plan's own; T is 03:28:06 Z + 116 s."""
    page = next(page for page in pages_of(view_of(REGATTA)) if page.name == "pass")
    assert page.title == "Leave the hold at 03:28:21 Z to be overhead at 03:30:02 Z"


@pytest.mark.parametrize("name", ALL)
def test_every_slide_has_notes(name):
    assert [page.name for page in pages_of(view_of(name)) if not page.notes.strip()] == []


def test_the_notes_carry_the_joker_line_by_line():
    plan = plan_of(REGATTA)
    ship = next(ship for ship in plan.fuel.ships if ship.ship == plan.fuel.thirstiest)
    notes = next(page.notes for page in pages_of(view_of(REGATTA)) if page.name == "joker")
    assert [
        addend.label
        for addend in ship.joker.addends
        if f"{beginning(addend.label)}: {addend.printed} lb ({addend.basis})" not in notes
    ] == []


def test_what_if_is_a_slide_only_when_it_is_given():
    lines = [
        WhatIfLine("a", "take-off 5 min late", "the hold is 5 min shorter", False, "kept"),
        WhatIfLine("b", "no event", "one set-up more", False, "none"),
    ]
    view = with_what_if(make_view(plan_of(REGATTA), STAMP), plan_of(REGATTA), lines)
    pages = {page.name: page.title for page in pages_of(view)}
    assert (
        pages["what-if"]
        == "2 what-ifs: none loses the pass, none fails a gate; 1 is without the pass by itself"
    )
    assert list(pages)[list(pages).index("what-if") - 1] == "radio"


@pytest.mark.parametrize(
    ("fates", "said"),
    [
        (["lost"] * 4, "4 what-ifs: 4 lose the pass; the plan itself fails 10 gates"),
        (
            ["lost", "kept"],
            "2 what-ifs: 1 loses the pass, none of the others fails another gate;"
            " the plan itself fails 10 gates",
        ),
    ],
)
def test_what_the_plan_itself_fails_is_said(fates, said):
    lines = [WhatIfLine(str(n), "", "", fate == "lost", fate) for n, fate in enumerate(fates)]
    assert sentence(lines, with_pass=True, plan_fails=10) == said


@pytest.mark.parametrize(
    ("fates", "with_pass", "said"),
    [
        ([("kept", False)] * 3, True, "3 what-ifs: none loses the pass, none fails a gate"),
        (
            [("lost", True), ("none", False), ("none", False), ("kept", False)],
            True,
            "4 what-ifs: 1 loses the pass, none of the others fails a gate;"
            " 2 are without the pass by themselves",
        ),
        (
            [("lost", True), ("lost", True), ("none", True), ("kept", True)],
            True,
            "4 what-ifs: 2 lose the pass, 2 more fail a gate; 1 is without the pass by itself",
        ),
        (
            [("kept", True), ("not known", True)],
            True,
            "2 what-ifs: none loses the pass, 1 fails a gate; 1 is NOT CHECKED",
        ),
        ([("none", True), ("none", False)], False, "2 what-ifs: 1 fails a gate"),
        ([("lost", True)] * 4, True, "4 what-ifs: 4 lose the pass"),
        ([("not known", True)], True, "1 what-if: 1 is NOT CHECKED"),
    ],
)
def test_a_pass_that_is_lost_is_counted_apart_from_none_at_all(fates, with_pass, said):
    assert (
        sentence(
            [WhatIfLine(str(n), "", "", worse, fate) for n, (fate, worse) in enumerate(fates)],
            with_pass=with_pass,
            plan_fails=0,
        )
        == said
    )


def test_the_regatta_s_what_ifs_and_their_passes():
    """No flypast, event cancelled and low cloud are changes without a pass; a missing ground contact loses
    it: the flight holds until it must go home."""
    fates = {line.id: line.fate for line in lines_of(what_if_of(plan_of(REGATTA)))}
    assert {id for id, fate in fates.items() if fate == "none" and not id.startswith("divert-")} == {
        "no-flypast",
        "cancelled-in-area",
        "low-cloud",
    }
    assert fates["no-contact"] == "lost" and fates["takeoff-late-600"] == fates["ships-out-1"] == "kept"


def test_the_state_of_approval_is_the_stamp_s():
    view = make_view(plan_of(REGATTA), replace(STAMP, approval="APPROVED", approved=True))
    assert next(page.title for page in pages_of(view) if page.name == "approval").startswith(
        "APPROVED; the check: "
    )


def test_slides_without_a_hold_say_nothing_of_one():
    """What is set, said and briefed hangs on the IP there; only what says that there is no hold names one."""
    pages = pages_of(make_view(plan_of("tests/data/no-hold.yaml"), STAMP))
    said = {page.name: page.title for page in pages}
    assert said["bingo"] == "Set bingo 440 kg for the training, 460 kg from the IP on"
    notes = next(page.notes for page in pages if page.name == "contacts")
    rule = "It counts when every digit is read back. No clock time, no bias and no set time is ever spoken."
    assert rule in notes
