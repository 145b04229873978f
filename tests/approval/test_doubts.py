"""What the check doubts, and how far a forecast moves, after an approval."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from briefgen import cli
from briefgen.approval.bounds import bounds_of, outside
from briefgen.approval.forecast import moved_too_far
from briefgen.approval.record import _bytes, read_record, record_path
from briefgen.brief.cards.approval import approval as approval_card
from briefgen.build.build import approval_of, check
from briefgen.build.build import build as build_products
from briefgen.compare.tree import Typed
from briefgen.core import resources
from briefgen.core.diagnostics import Diagnostic
from briefgen.core.plain import to_plain
from tests.approval.test_approval import plan_of
from tests.builds import of_one_alone

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

REGATTA = (resources.missions_folder() / "regatta.yaml").read_text(encoding="utf-8")
AT = datetime(2027, 1, 29, 22, 30, tzinfo=UTC)  # half an hour after the forecast was issued
PONTOON = "temperature: 20 C, qnh: 1017 hPa"
# the table of winds has 21 C at the sea: more than 20 C off is doubted
DOUBTED = (PONTOON, PONTOON.replace("20 C", "50 C"))
APART = (PONTOON, PONTOON.replace("1017", "1047"))  # a gate's
NEARBY = (PONTOON, PONTOON.replace("1017", "1019"))


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("briefgen.commands.approve.now", lambda: AT)
    typed(tmp_path)
    return tmp_path / "regatta.yaml"


def typed(folder: Path, *swaps: tuple[str, str]) -> None:
    text = REGATTA
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    (folder / "regatta.yaml").write_text(text, encoding="utf-8")


def approve(capsys, *options: str) -> tuple[int, str, str]:
    line = ["approve", "regatta.yaml", "--by", "Lt Col S. Varga", "--role", "supervisor", *options]
    reasons = Path("regatta.reasons.yaml")
    reasons.unlink(missing_ok=True)
    cli.run(line)
    filled = [
        f"{row} accepted for this day" if row.endswith(":") and row[0] != "#" else row
        for row in reasons.read_text(encoding="utf-8").splitlines()
    ]
    reasons.write_text("\n".join(filled), encoding="utf-8")
    capsys.readouterr()
    return cli.run([*line, "--reasons", str(reasons)]), *capsys.readouterr()


def state_of(file: Path):
    return approval_of(check(file).planned)[0]


AFTER = {
    # typed when approved, typed since, state, a word of what is not covered
    "a temperature that the check doubts": (
        (),
        (DOUBTED,),
        "CHANGED: APPROVE AGAIN",
        "The check doubts weather.at.PONTOON.temperature",
    ),
    "a QNH unlike its neighbours": ((), (APART,), "CHANGED: APPROVE AGAIN", "36 nm away: CAUTION, was PASS"),
    "unlike them then and now": ((APART,), (APART, ("tail: 0466", "tail: 0467")), "UPDATED WITHIN", ""),
    "doubted then and now": ((DOUBTED,), (DOUBTED, ("tail: 0466", "tail: 0467")), "UPDATED WITHIN", ""),
    "doubted then, mended": ((DOUBTED,), (), "CHANGED: APPROVE AGAIN", "10 C"),  # 30 C
    "a QNH of the next forecast": ((), (NEARBY,), "UPDATED WITHIN APPROVED BOUNDS", ""),
}


@pytest.mark.parametrize("name", AFTER)
def test_what_the_check_doubts_anew_is_not_within_what_was_approved(here, capsys, name):
    before, since, state, word = AFTER[name]
    typed(here.parent, *before)
    assert approve(capsys)[0] == 0
    typed(here.parent, *since)
    found = state_of(here)
    assert found.state.startswith(state), found.outside
    assert word in " ".join(change.words for change in found.outside)


def test_a_doubt_is_told_by_approve_recorded_and_printed_first(here, capsys, monkeypatch):
    typed(here.parent, DOUBTED)
    code, out, _ = approve(capsys)
    told = "The check doubts weather.at.PONTOON.temperature: 50 C at PONTOON"
    assert code == 0 and out.startswith(told), out
    document = json.loads(record_path(here).read_bytes())
    assert ("temperatures-apart", ["weather", "at", "PONTOON", "temperature"]) in [
        (doubt["code"], doubt["cause"]) for doubt in document["bounds"]["doubts"]
    ]
    plan = check(here).planned.plan
    label, words = approval_card(plan).sides[0][1]["unusual"].items[0]
    assert label == "The check doubts:" and "50 C at PONTOON" in words
    of_one_alone(monkeypatch, "review")
    built = build_products(here, out=here.parent / "out")
    page = (built.folder / "review.html").read_text(encoding="utf-8")
    assert "50 C at PONTOON" in page.split('class="counts"')[0]


def test_a_qnh_unlike_its_neighbours_needs_a_reason_and_is_told_once(here, capsys):
    typed(here.parent, APART)
    assert cli.run(["approve", "regatta.yaml", "--by", "Lt Col S. Varga", "--role", "supervisor"]) != 0
    reasons = Path("regatta.reasons.yaml").read_text(encoding="utf-8")
    assert [row for row in reasons.splitlines() if row.startswith("qnh-agrees:")]
    assert [doubt for doubt in check(here).planned.plan.doubts if "PONTOON" in doubt.message] == []


def test_a_record_of_before_doubts_were_written_down_accepted_none(here, capsys):
    approve(capsys)
    path = record_path(here)
    document = json.loads(path.read_bytes())
    del document["bounds"]["doubts"]
    path.write_bytes(_bytes(document))
    found, problems = read_record(path)
    assert problems == [] and found.bounds.doubts == ()
    typed(here.parent, DOUBTED)
    assert state_of(here).state == "CHANGED: APPROVE AGAIN"


QNH = ("weather", "at", "PONTOON", "qnh")
T_TYPED = ("event", "pass", "time")


@pytest.mark.parametrize(
    ("typed", "doubted", "asks"),
    [
        ([], QNH, True),
        ([QNH], QNH, True),
        ([QNH, T_TYPED], QNH, True),
        ([T_TYPED], T_TYPED, True),
        ([T_TYPED], QNH, False),  # what a time moved alone does to the rest was accepted with the slip
    ],
)
def test_a_doubt_that_a_time_moved_alone_brings_is_of_what_was_typed(typed, doubted, asks):
    plan = plan_of()
    new = replace(plan, doubts=(*plan.doubts, Diagnostic("odd", "caution", "It is odd", cause=doubted)))
    changes = [Typed(path, ".".join(path), "1017 hPa", "1018 hPa") for path in typed]
    found = outside(new, to_plain(plan), bounds_of(plan), changes)
    told = [change.words for change in found if change.words.startswith("The check doubts")]
    assert len(told) == asks and all("It is odd" in words for words in told)


ALOFT = ("weather", "winds", 1, "wind")
WARM = ("weather", "winds", 1, "temperature")
# path, approved, now, asks. Bounds of our own: 5 hPa, 10 C, 15 kt between the vectors or the gusts.
MOVED = [
    (QNH, "1017 hPa", "1022 hPa", False),
    (QNH, "1017 hPa", "1011 hPa", True),
    (QNH, "1017 hPa", "30.05 inHg", False),  # 30.05 x 33.8639 = 1017.6 hPa
    (QNH, "30.05 inHg", "30.50 inHg", True),  # 0.45 x 33.8639 = 15.2 hPa
    (QNH, "1017 hPa", None, True),
    (QNH, None, "1017 hPa", False),
    (WARM, "12 C", "2 C", False),
    (WARM, "12 C", "-12 C", True),
    (ALOFT, "230T/20kt", "232T/21kt", False),
    (ALOFT, "230T/20kt", "230T/36kt", True),
    (ALOFT, "230T/20kt", "320T/20kt", True),  # 20 x sqrt 2 = 28.3 kt
    (ALOFT, "230T/20kt", "230M/20kt", True),
    (ALOFT, "230T/20kt", "230T/20G40kt", True),
    (ALOFT, "010T/20kt", "010T/35kt", False),  # exactly the bound, where floats are a little over it
    (ALOFT, "010T/31kt", "010T/46kt", False),
    (ALOFT, "calm", "050T/15kt", False),
    (ALOFT, "calm", "050T/15.01kt", True),
    (WARM, "-19.6 C", "-9.6 C", False),
    (WARM, "-19.6 C", "-9.5 C", True),
    (QNH, "1019.4 hPa", "1024.4 hPa", False),
    (QNH, "1019.4 hPa", "1024.5 hPa", True),
    (ALOFT, "calm", "050T/14kt", False),
    (ALOFT, "calm", "050M/14kt", False),  # calm comes from nowhere: 14 kt apart by either reference
    (("weather", "winds"), "[{level: 0 ft MSL, wind: 200T/12kt}]", None, True),
    (("weather", "winds", 1), "{level: 5000 ft MSL, wind: 230T/20kt}", None, True),
    (("weather", "at", "PONTOON"), "{qnh: 1017 hPa}", None, True),
    (("weather",), "{winds: []}", None, True),
    (("weather", "at", "PONTOON", "visibility"), "10 km", "6 km", False),  # its gates judge it
    (("weather", "issued"), "2027-01-29 22:00 Z", "2027-01-29 23:00 Z", False),
]


@pytest.mark.parametrize(("path", "old", "new", "asks"), MOVED)
def test_a_forecast_moves_within_its_bounds_or_is_asked_about(path, old, new, asks):
    change = Typed(path, ".".join(map(str, path)), old, new)
    assert bool(list(moved_too_far([change]))) == asks


def test_what_is_told_of_a_move_is_never_the_bound_itself():
    """Of 15.04 kt, rounded up."""
    change = Typed(ALOFT, ".".join(map(str, ALOFT)), "calm", "050T/15.04kt")
    ((_, why),) = moved_too_far([change])
    assert why == "that is 15.1 kt; without a new approval it may move by 15 kt"


def test_the_winds_taken_out_after_the_approval_need_another_one(here, capsys):
    approve(capsys)
    lines = REGATTA.split("  winds:\n")
    rest = lines[1][lines[1].index("  at:\n") :]
    here.write_text(lines[0] + rest, encoding="utf-8")
    found = state_of(here)
    assert found.state == "CHANGED: APPROVE AGAIN"
    assert "weather.winds" in " ".join(change.words for change in found.outside)
