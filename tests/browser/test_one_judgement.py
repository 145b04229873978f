"""Card, slide, clock page and ``briefgen retime`` say the same of a slip until the same second: every second
around each edge of every printed row.

The printed words are read as a person reads them: up to SAY BY the row as printed, then what stands beside it
until its time, then UNABLE. What the page and ``retime`` rule is asked of each at that second.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.slides.view.view import make_view
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.wait_limits import earliest_times
from briefgen.plan.event.waits import IN_TWO, verdict, wait_limits
from briefgen.retime.answer import retime
from briefgen.retime.typed import Typed, wanted
from tests.browser.phone import page_of, z
from tests.planned import REPOSITORY, plan_of
from tests.render.pdf_cases import STAMP

pytestmark = [pytest.mark.browser, pytest.mark.usefixtures("one_plan_a_text")]
MISSIONS = ("regatta", "lantern-fair", "founders-day", "start")
AROUND_S = (-2, -1, 0, 1, 2)
RELAY = timedelta(seconds=10)  # of each of them
CLOCK = r"\d\d:\d\d:\d\d"


@pytest.fixture(scope="module")
def phone(browser, page):
    browser.open_first(page, z("03:00:00"))
    return browser


def on_day(plan, clock: str) -> datetime:
    """A printed Zulu time of the day of T; none of these missions crosses midnight."""
    return datetime.combine(plan.event.true_time.date(), datetime.strptime(clock, "%H:%M:%S").time(), UTC)


def seconds_of(slip: str) -> float:
    """Of ``+1 min 30 s``; slips that can't be told for one reason stand in one row, from its first on."""
    each = {"min": 60.0, "s": 1.0}
    return sum(int(n) * each[unit] for n, unit in re.findall(r"(\d+) (min|s)", slip)) * (
        1 - 2 * (slip[0] == "-")
    )


def printed(plan) -> dict[float, list[tuple[str, datetime]]]:
    """Of each slip that the ground contact's card lets be told: (in which way, the last second to say it), in
    the printed order."""
    card = dict(cards.ground_contact(plan).sides[0][1])["slips"]
    found = {}
    for row in card.rows:
        if re.fullmatch(CLOCK, row[1]) and row[2] != IN_TWO:
            then = re.findall(rf"(worked again|by speed) to ({CLOCK})", row[5])
            found[seconds_of(row[0])] = [
                ("as printed", on_day(plan, row[1])),
                *((means, on_day(plan, clock)) for means, clock in then),
            ]
    return found


def as_printed(ways, second: datetime) -> str:
    return next((means for means, until in ways if second <= until), "unable")


def means_of(kind: str, row: bool) -> str:
    return {"new time": "as printed" if row else "worked again", "fast": "by speed", "slow": "by speed"}.get(
        kind, kind
    )


def cues_moved(plan, slip_s: float) -> list[tuple[str, datetime]]:
    """The cues up to T, as a ceremony that is so late has them."""
    return [
        (cue.id, cue.at + timedelta(seconds=slip_s))
        for cue in plan.event.cues
        if cue.at < plan.event.true_time
    ]


def unheard_at(plan, heard, at: datetime) -> str:
    """The first cue where none was heard, read back out of the hold and beyond the dead-band after it was due
    by the T that is held: then that is said, whatever T somebody expects. Else empty."""
    event, section = plan.event, plan.event.section
    if section.cue_of_t is None or event.hold is None or heard:
        return ""
    out = at + timedelta(seconds=section.event.relay_s) > event.hold.leave
    first = event.cues[0]
    return first.id if out and at > first.at + timedelta(seconds=section.deadband_s) else ""


def in_ms(cues) -> list[list]:
    return [[id, at.timestamp() * 1000.0] for id, at in cues]


PAGE = """
const [given, slip, seconds, cues] = arguments, data = prepared(given);
return seconds.map((ms) => {
  const heard = cues.filter(([, t]) => t <= ms).map(([id, t]) => ({k: "heard", id, t}));
  const found = viewAt(data, [...heard, {k: "hand", t: ms, slip}], ms).ruling;
  return [found.kind, found.row];
});
"""


ABORT_EARLY = ("abort_only_after: T-40 s", "abort_only_after: T-150 s")  # FAST 30 s: to T-180 s


# the cue that T hangs on 30 s later, and heard when the flight has left the hold
CUE_LATER = ("time: 14:28:06 event, lasts: 116 s", "time: 14:28:36 event, lasts: 86 s")
EDITED = [("start", ABORT_EARLY), ("regatta", CUE_LATER)]


@pytest.mark.parametrize(("name", "edit"), [*((name, None) for name in MISSIONS), *EDITED])
def test_every_second_around_each_edge_of_every_row(phone, tmp_path, name, edit):
    path = REPOSITORY / "missions" / f"{name}.yaml"
    if edit is not None:
        text, path = path.read_text("utf-8"), tmp_path / path.name
        assert edit[0] in text
        path.write_text(text.replace(*edit), "utf-8")
    _, plan, data = page_of(path, tmp_path)
    rows = printed(plan)
    assert len(rows) >= 4
    for slip_s, ways in rows.items():
        seconds = sorted({until + timedelta(seconds=s) for _, until in ways for s in AROUND_S})
        cues = cues_moved(plan, slip_s)
        page = phone.run(PAGE, data, slip_s, [at.timestamp() * 1000.0 for at in seconds], in_ms(cues))
        for at, (kind, row) in zip(seconds, page, strict=True):
            heard = tuple((id, f"{t:%H:%M:%S} Z") for id, t in cues if t <= at)
            silent = unheard_at(plan, heard, at)
            typed = Typed(
                slip=f"{slip_s:+.0f}",
                now=f"{at:%H:%M:%S} Z",
                heard=heard,
                unheard=(silent,) if silent else (),
            )
            answer = retime(plan, wanted(plan, typed)[0])[0]
            expected = "not started" if silent else as_printed(ways, at)
            closes = plan.event.workload.seconds_until
            if expected == "unable" and closes is not None and at + RELAY > closes:
                expected = "abort only"
            # the rows count what speed still gives once the cue that T hangs on is heard
            if expected == "by speed" and cues and cues[-1][1] > at:
                expected = "wait"
            by_retime = means_of(answer.kind, answer.times is not None and answer.times.laps == "as printed")
            assert (means_of(kind, row), by_retime) == (expected, expected), (slip_s, at)


@pytest.mark.parametrize("slip_s", [-60, 100, 110, -100])
def test_page_and_retime_tell_the_same_of_two_calls(phone, tmp_path, slip_s):
    """Lantern-fair, before its hold: what each of them says is in tests/retime/test_printed_deadlines.py."""
    _, plan, data = page_of(REPOSITORY / "missions/lantern-fair.yaml", tmp_path)
    at = plan.event.hold.arrival.replace(microsecond=0) - timedelta(minutes=5)
    page = phone.run(
        "const [given, slip, ms] = arguments, data = prepared(given), log = [{k: 'hand', t: ms, slip}],"
        " view = viewAt(data, log, ms); return [view.ruling.kind, view.change, view.rest, view.call.say]",
        data,
        slip_s,
        at.timestamp() * 1000.0,
    )
    answer = retime(plan, wanted(plan, Typed(slip=f"{slip_s:+d}", now=f"{at:%H:%M:%S} Z"))[0])[0]
    assert page == [answer.kind, answer.change_s, answer.rest_s, answer.call.say]


@pytest.mark.parametrize("name", MISSIONS)
def test_a_second_is_judged_as_a_whole(phone, tmp_path, name):
    """The page's verdict stands beside a clock that shows whole seconds: within one of them it does not
    change."""
    plan = plan_of(f"missions/{name}.yaml")
    data = page_of(REPOSITORY / "missions" / f"{name}.yaml", tmp_path)[2]
    for slip_s, ways in printed(plan).items():
        for _, until in ways:
            first, last = phone.run(
                PAGE,
                data,
                slip_s,
                [until.timestamp() * 1000.0, until.timestamp() * 1000.0 + 999.0],
                in_ms(cues_moved(plan, slip_s)),
            )
            assert first == last


@pytest.mark.parametrize("name", MISSIONS)
def test_the_slide_says_the_same_read_back(name):
    """The slide's times are those at which the read-back is complete: later than the card's by the relay of
    10 s, but for a second of rounding."""
    plan = plan_of(f"missions/{name}.yaml")
    card = printed(plan)
    told = [[cell.text for cell in row] for row in make_view(plan, STAMP).tables["slips"].rows]
    assert card.keys() <= {seconds_of(cells[0]) for cells in told}
    for cells in told:
        if seconds_of(cells[0]) in card:
            again, fast = re.match(CLOCK, cells[8]), re.search(rf"by speed to ({CLOCK})", cells[8])
            ways = [
                ("as printed", cells[7]),
                *([("worked again", again[0])] if again else []),
                *([("by speed", fast[1])] if fast else []),
            ]
            assert [(means, on_day(plan, clock) - timedelta(seconds=10)) for means, clock in ways] == card[
                seconds_of(cells[0])
            ]


@pytest.mark.parametrize("name", MISSIONS)
def test_the_printed_times_are_never_later_than_they_are(name):
    plan = plan_of(f"missions/{name}.yaml")
    for slip in plan.event.slips:
        exact = dict(slip.still)
        for means, until in printed(plan).get(slip.slip_s, []):
            assert timedelta() <= exact[means] - RELAY - until < timedelta(seconds=1)


@pytest.mark.parametrize(
    ("name", "old", "new"),
    [
        ("overcommitted", "", ""),  # the first ends at 13:30:45.48
        ("lantern-fair", "maximum: 15 min", "maximum: 10 min"),  # at 12:40:43.98
    ],
)
def test_a_second_beyond_a_limit_is_beyond_it_for_all(phone, tmp_path, name, old, new):
    """Also where the limit lies less than half a second before it: what is printed is rounded down, or up to
    the earliest. Asked of page and plan: the whole seconds around each limit."""
    path = tmp_path / f"{name}.yaml"
    path.write_text((REPOSITORY / "missions" / path.name).read_text("utf-8").replace(old, new), "utf-8")
    _, plan, data = page_of(path, tmp_path)
    limits = [limit.latest_t for limit in wait_limits(plan)]
    limits += [limit.earliest_t for limit in earliest_times(plan)]
    near = sorted({at.replace(microsecond=0) + timedelta(seconds=s) for at in limits for s in AROUND_S})
    ask = "const [data, targets] = arguments; return targets.map((t) => beyondLimit(data, t)?.side ?? '')"
    seconds = motion_of(plan.event).seconds
    pages = phone.run(ask, data, [seconds(at) for at in near])
    said = {"TOO LATE": "later", "TOO EARLY": "earlier", "UNABLE": "between", "": ""}
    assert pages == [said[verdict(plan, at)[0]] for at in near] and {"later", "earlier"} <= set(pages)
