"""The latest T of an approved mission whose T was moved: no product and no command offers one that nobody
approved.

The mission: T 14:30:02 at +11:00 is 03:30:02 Z, 60 s early and 10 min late are accepted, so that 03:29:02 to
03:40:02 Z are approved. T is then moved a minute later, where the mission alone would accept 03:41:02 Z.
"""

from __future__ import annotations

import re
import subprocess
from datetime import UTC, datetime

import pytest

from briefgen.brief.wording.wait_limits import latest_said
from briefgen.build import build as build_room
from briefgen.build.build import build, check, context_of
from briefgen.plan.event.waits import latest_t, verdict, wait_limits
from briefgen.render.html.clock import clock_data
from briefgen.retime.answer import retime
from briefgen.retime.report import headline
from briefgen.retime.typed import Typed, wanted
from tests.approval.test_approval import REGATTA, SLIP_60, plan_of, written

pytestmark = pytest.mark.usefixtures("one_plan_a_text")

LATEST = datetime(2027, 1, 30, 3, 40, 2, tzinfo=UTC)


def moved_text() -> str:
    text = REGATTA
    for old, new in SLIP_60:
        text = text.replace(old, new)
    return text


def approved_and_moved(folder):
    """The approved mission with its record, its T moved a minute."""
    (folder / "regatta.yaml").write_text(moved_text(), encoding="utf-8")
    (folder / "regatta.approval.json").write_bytes(written(plan_of()))
    return folder / "regatta.yaml"


@pytest.fixture
def mission(here):
    return approved_and_moved(here)


@pytest.fixture(scope="module")
def checked(tmp_path_factory):
    return check(approved_and_moved(tmp_path_factory.mktemp("approved")))


def test_the_latest_t_ends_with_what_is_approved(checked):
    plan = checked.planned.plan
    assert latest_t(plan).latest_t == LATEST
    assert "supervisor" in latest_said(plan, lambda at: f"{at:%H:%M:%S} Z")
    side, because = verdict(plan, LATEST.replace(second=3))
    assert side == "TOO LATE" and "supervisor" in because
    assert verdict(plan, LATEST) == ("", "")


def test_without_an_approval_that_covers_it_the_slip_alone_counts(mission):
    mission.with_name("regatta.approval.json").unlink()
    assert latest_t(check(mission).planned.plan).latest_t == LATEST.replace(minute=41)


def test_a_slip_that_is_approved_as_accepted_is_told_once(here):
    """03:40:02 Z is the end of both: the flight's own slip is the reason."""
    (here / "regatta.yaml").write_text(REGATTA, encoding="utf-8")
    (here / "regatta.approval.json").write_bytes(written(plan_of()))
    plan = check(here / "regatta.yaml").planned.plan
    assert plan.approved and latest_t(plan).latest_t == LATEST
    assert [limit.short for limit in wait_limits(plan) if limit.latest_t == LATEST] == ["slip accepted"]


def test_the_number_of_a_plan_does_not_hang_on_its_approval(mission, checked):
    """The fingerprint is approved: it must not change with the approval."""
    approved = checked.planned.fingerprint
    mission.with_name("regatta.approval.json").unlink()
    assert check(mission).planned.fingerprint == approved


def test_retime_asks_beyond_what_is_approved(checked):
    """Nine minutes after 03:31:02 Z are 03:40:02 Z, the last that is approved."""
    plan = checked.planned.plan
    for slip, first in (("540", "CAN BE MET"), ("541", "TOO LATE")):
        asked, problems = wanted(plan, Typed(slip=slip))
        assert problems == []
        answer = retime(plan, asked)[0]
        assert headline(answer).startswith(first)
        assert answer.within_accepted is (first == "CAN BE MET")


@pytest.mark.slow
@pytest.mark.office
def test_every_card_ends_there(mission, monkeypatch):
    """Only rows that read TOO LATE, the list of reasons and the gates' own sums name the later time."""
    cards = [product for product in build_room.PRODUCTS if product.kind == "pdf"]
    monkeypatch.setattr(build_room, "PRODUCTS", cards)
    built = build(mission)
    assert built.written, built.diagnostics
    texts = {path.name: _text(path) for path in built.folder.glob("*.pdf")}
    assert "03:40:02 Z" in texts["ground-contact.pdf"] and "03:41:02 Z" not in texts["ground-contact.pdf"]
    boards = [text for name, text in texts.items() if name.startswith("kneeboard")]
    said = [time for text in boards for time in re.findall(r"no T after (\S+)", text)]
    assert len(said) >= len(boards) > 1 and set(said) == {"03:40:02"}
    assert "can't be later than 03:40:02 Z" in texts["approval.pdf"]


def _text(path) -> str:
    shown = subprocess.run(["pdftotext", path, "-"], capture_output=True, text=True, check=True)
    return " ".join(shown.stdout.split())


def test_the_clock_page_ends_there(checked):
    data = clock_data(checked.planned.plan, context_of(checked.planned))
    assert data["waits"]["latest"]["at"] - data["true_time"] == pytest.approx(540.0)  # 03:40:02 less 03:31:02
    assert data["accept"] == {"early": pytest.approx(60.0), "late": pytest.approx(540.0)}
