"""The ground contacts' clocks of several events in two zones, each its own page.

By hand from missions/three-harbours.yaml, in June: SALTMERE keeps WEST, Z + 1 h, CORBROOK and DUNWATER CEST,
Z + 2 h. T over CORBROOK is 16:30:00 event, 14:30:00 Z, of which 14:32:00 Z is the latest that is accepted.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from briefgen.build.build import check
from briefgen.core import resources
from briefgen.core.context import Context
from briefgen.render.html.clock import ground_clock
from tests.browser.phone import z
from tests.places import REPOSITORY
from tests.render.pdf_cases import STAMP

pytestmark = pytest.mark.browser
HARBOURS = REPOSITORY / "missions" / "three-harbours.yaml"


def at(text: str) -> float:
    return z(text, "2027-06-05")


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder, plan = tmp_path_factory.mktemp("events"), check(HARBOURS).planned.plan
    context = Context(STAMP, (resources.templates_folder(),), resources.fonts_folder())
    found = {}
    for event in ("SALTMERE", "CORBROOK", "DUNWATER"):
        ((name, content),) = ground_clock(plan, replace(context, part=event))[0]
        found[event] = folder / name
        found[event].write_bytes(content)
    return found


@pytest.mark.parametrize(
    ("event", "cue", "last"),
    # twice the spread of the cue after it: 13:54:00 and 10 s, 14:25:00 and 8 s
    [("SALTMERE", "BLESSING", "13:54:20"), ("CORBROOK", "PRIZES", "14:25:16")],
)
def test_a_cue_is_overdue_from_the_second_that_is_printed(browser, pages, event, cue, last):
    """From the first whole second beyond it, as the card and ``retime`` have it."""
    browser.drift_ms = 0.0
    browser.open_first(pages[event], at("13:30:00"))
    for ms, overdue in ((at(last), []), (at(last) + 1000.0, [cue])):
        browser.at(ms)
        assert browser.run("return viewAt(data, [], trueNow()).predicted.overdue") == overdue


@pytest.mark.parametrize(
    ("event", "local", "in_place"),
    [
        ("SALTMERE", ("15:00:30", "WEST (+01:00)"), "13:15:00\t14:15:00\tIn place"),
        ("CORBROOK", ("16:00:30", "CEST (+02:00)"), "13:45:00\t15:45:00\tIn place"),
        ("DUNWATER", ("16:00:30", "CEST (+02:00)"), "14:00:00\t16:00:00\tIn place"),
    ],
)
def test_each_event_has_its_own_local_time(browser, pages, event, local, in_place):
    browser.drift_ms = 0.0
    browser.open_first(pages[event], at("14:00:30"))
    assert browser.text("zulu") == "14:00:30"
    assert (browser.text("local"), browser.text("zone")) == local
    assert browser.text("contacts").startswith(in_place)


def test_what_was_heard_and_said_at_one_event_is_not_in_the_log_of_another(browser, pages):
    """All three pages may lie on one phone: an abort over CORBROOK stops no pass over DUNWATER."""
    browser.drift_ms = 0.0
    for event in ("SALTMERE", "DUNWATER", "CORBROOK"):
        browser.open_first(pages[event], at("14:20:00"))
    browser.at(at("14:25:20"))
    browser.cue("PRIZES")
    browser.hold("abort-any")
    assert browser.text("kind") == "ABORT WAS SAID" and len(browser.log()) == 2
    for event in ("SALTMERE", "DUNWATER"):
        browser.open(pages[event], at("14:26:00"))
        assert browser.log() == [] and browser.text("kind") != "ABORT WAS SAID"
    browser.open(pages["CORBROOK"], at("14:26:00"))
    assert browser.text("kind") == "ABORT WAS SAID"


def test_the_story_of_the_second_event(browser, pages):
    """PRIZES on time, ANTHEM 20 s late at 14:27:40: T 14:30:20 Z, which speed gives after leave-hold,
    14:27:54, when it is read back 10 s later."""
    browser.drift_ms = 0.0
    browser.open_first(pages["CORBROOK"], at("14:20:00"))
    browser.run("hackMs = arguments[0]; show();", at("14:21:00"))
    browser.at(at("14:21:00"))
    browser.tap("hack-now")
    browser.at(at("14:25:00"))
    browser.cue("PRIZES")
    assert browser.text("kind") == "NO CALL NEEDED"
    browser.at(at("14:27:50"))
    browser.run("write({ k: 'heard', id: 'ANTHEM', t: arguments[0] });", at("14:27:40"))
    assert browser.text("figures").startswith("True time by the script: 14:30:20 Z")
    assert browser.text("kind") == "CALL: SLOW"
    words = "low two zero seconds"
    assert browser.text("say") == f"TERNLET, CAPSTAN. CORBROOK. S{words}. I say again: s{words}. Read back."
    browser.tap("said")
    browser.tap("readback")
    assert browser.text("told").startswith("The flight holds 14:30:20 Z.")
    assert browser.text("others").startswith("Tell the others")


@pytest.mark.parametrize(
    ("limit_s", "side", "said"),
    [
        (120.7, "later", "T cannot be later than 14:32:00 Z: x."),
        (34200.0, "later", "T cannot be later than 6 Jun 00:00:00 Z: x."),
        (34199.9, "later", "T cannot be later than 23:59:59 Z: x."),
        (-86400.0, "later", "T cannot be later than 4 Jun 14:30:00 Z: x."),
        (-52200.5, "earlier", "No T before 00:00:00 Z: x."),
        (-52201.0, "earlier", "No T before 4 Jun 23:59:59 Z: x."),
    ],
)
def test_a_limit_on_another_day_than_t_has_its_date(browser, pages, limit_s, side, said):
    """Midnight Z is 9 h 30 min, 34 200 s, after T, and 14 h 30 min, 52 200 s, before it."""
    browser.open_first(pages["CORBROOK"], at("14:00:00"))
    words = (
        "return limitWords(data, { at: data.true_time + arguments[0], side: arguments[1], because: 'x' });"
    )
    assert browser.run(words, limit_s, side) == said
