"""The ground contact's page and ``briefgen retime`` at the same second: what they rule, and the words they
give, over a grid of seconds, taps, changes told before, phases, and times of one's own."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import product

import pytest

from briefgen.plan.event.ceremony import script_parts
from briefgen.plan.event.motion import motion_of
from briefgen.retime.answer import retime
from briefgen.retime.story import as_planned, read_back_at
from briefgen.retime.typed import Typed, wanted
from tests.browser.phone import page_of, z
from tests.planned import REPOSITORY, plan_of

pytestmark = [pytest.mark.browser, pytest.mark.slow, pytest.mark.usefixtures("one_plan_a_text")]
MISSIONS = ("regatta", "lantern-fair", "founders-day", "start")
STEP_S = 67  # no multiple of a lap or a part: each edge is met at another offset
LATE_S = (0, 7, 25, -40)  # 40 s early is doubted

# As the page's buttons write its log; a tap that is doubted is told apart.
PAGE = """
const [given, cases] = arguments, data = prepared(given);
return cases.map(({ at, taps, told, slip }) => {
  const log = [];
  const doubted = [];
  for (const [id, t] of taps) {
    const view = viewAt(data, log, t);
    if (view.ruling.kind !== "over" && doubtsOf(data, view, id).length) doubted.push(id);
    else log.push({ k: "heard", id, t });
  }
  for (const [change, t] of told) {
    if (change === "left") { log.push({ k: "left", t }); continue; }
    const hold = { kind: "not started", then: "hold", change: 0 };
    const what = change === null ? hold : { kind: "new time", change };
    log.push({ k: "said", t, say: "-", readBack: "-", ...what }, { k: "readback", t });
  }
  log.sort((a, b) => a.t - b.t);
  const refused = slip !== null && handRefused(data, viewAt(data, log, at), slip) !== "";
  if (slip !== null) log.push({ k: "hand", t: at, slip });
  const view = viewAt(data, log, at);
  const asked = view.first !== null && view.first.state !== "question";
  const { say, readBack } = asked ? { say: "", readBack: "" } : view.call;
  return { kind: view.ruling.kind, asked, say, readBack, doubted, refused };
});
"""


@pytest.fixture(scope="module")
def phone(browser, page):
    browser.open_first(page, z("03:00:00"))
    return browser


def ms(at: datetime) -> float:
    return at.timestamp() * 1000.0


def text(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M:%S} Z"


def seconds_of(plan) -> list[datetime]:
    """From before the hold (or the IP) until T has passed."""
    begins = motion_of(plan.event).origin.replace(microsecond=0) - timedelta(seconds=120)
    count = int((plan.event.true_time - begins).total_seconds() / STEP_S) + 2
    return [begins + timedelta(seconds=STEP_S * n) for n in range(count)]


def taps_of(plan, at: datetime, late_s: int) -> list[tuple[str, datetime]]:
    """Every cue and mark up to T that has sounded by then, all so late."""
    script = [(n, t) for cue in plan.event.cues for n, t in ((cue.id, cue.at), *cue.marks)]
    moved = [(n, t + timedelta(seconds=late_s)) for n, t in script if t < plan.event.true_time]
    return [(name, t) for name, t in moved if t <= at] if script_parts(plan.mission.passes[0]) else []


def cases_of(plan) -> list[dict]:
    early = motion_of(plan.event).origin.replace(microsecond=0) - timedelta(seconds=60)
    found = []
    for at, late_s, slip in product(seconds_of(plan), LATE_S, (None, 12, -6)):
        taps = taps_of(plan, at, late_s)
        if (slip is None and not taps) or (slip is not None and late_s < 0):
            continue  # nothing is asked; or taps that a T of one's own may account for
        for told in ((), ((20.0, early),), ((None, early),)) if at > early else ((),):
            found.append({"at": at, "taps": taps, "told": told, "slip": slip})
    return found


def by_retime(plan, case, phase: str | None = None) -> dict:
    """``to`` where T is one's own; ``now``, or a phase in its place."""
    at, own = case["at"], case["slip"]
    tapped = {name for name, _ in case["taps"]}  # on the page what is not tapped was not heard
    unheard = tuple(part.cue for part in script_parts(plan.mission.passes[0]) if part.cue not in tapped)
    typed = Typed(
        to=None if own is None else text(plan.event.true_time + timedelta(seconds=own)),
        heard=tuple((name, text(t)) for name, t in case["taps"]),
        now=text(at) if phase is None else None,
        phase=phase,
        unheard=unheard,
        told=tuple((told_words(s), text(t)) for s, t in case["told"]),
    )
    asked, problems = wanted(plan, typed)
    if asked is None:
        return {"problems": [p.code for p in problems]}
    answer, found = retime(plan, asked)
    if answer is None:
        return {"problems": [p.code for p in found]}
    first = bool(answer.limit[0]) and answer.kind not in ("not started", "ask", "unable")
    return {"kind": answer.kind, "asked": first, "say": answer.call.say, "readBack": answer.call.read_back}


def told_words(change: float | str | None) -> str:
    return "hold" if change is None else change if isinstance(change, str) else f"{change:+.0f}"


def of_page(phone, data, cases) -> list[dict]:
    plain = [
        {
            "at": ms(case["at"]),
            "taps": [[name, ms(t)] for name, t in case["taps"]],
            "told": [[change, ms(t)] for change, t in case["told"]],
            "slip": case["slip"],
        }
        for case in cases
    ]
    return phone.run(PAGE, data, plain)


def alike(page: dict, mine: dict) -> bool:
    """What is doubted is asked about by both, and a T refused by both; else ruling and words are the same."""
    if not page["doubted"] and (page["refused"] or mine.get("problems") == ["past-time"]):
        return page["refused"] and mine.get("problems") == ["past-time"]
    if page["doubted"] or "problems" in mine:
        return bool(page["doubted"]) and set(mine.get("problems", ())) == {"heard-doubted"}
    words = ("", "") if mine["asked"] else (mine["say"], mine["readBack"])
    found = (page["kind"], page["asked"], (page["say"], page["readBack"]))
    return found == (mine["kind"], mine["asked"], words)


@pytest.mark.parametrize("name", MISSIONS)
def test_the_same_ruling_and_the_same_words(phone, tmp_path, name):
    plan = plan_of(f"missions/{name}.yaml")
    data, cases = page_of(REPOSITORY / "missions" / f"{name}.yaml", tmp_path)[2], cases_of(plan)
    pages = of_page(phone, data, cases)
    answers = [by_retime(plan, case) for case in cases]
    assert len(cases) > 100 and len({page["kind"] for page in pages}) >= 5
    assert [
        (case, page, mine)
        for case, page, mine in zip(cases, pages, answers, strict=True)
        if not alike(page, mine)
    ] == []


@pytest.mark.parametrize("name", MISSIONS)
@pytest.mark.parametrize("phase", ["holding", "inbound", "running-in"])
def test_a_phase_is_the_second_at_which_it_begins(phone, tmp_path, name, phase):
    """The page shows whole seconds: the first one of the phase, whose call is read back the relay later. T
    twelve seconds later, every cue before then heard so late."""
    plan = plan_of(f"missions/{name}.yaml")
    if plan.event.hold is None and phase != "running-in":
        return
    begins = read_back_at(plan, as_planned(motion_of(plan.event)), now=None, phase=phase)
    at = begins - timedelta(seconds=plan.mission.file.event.relay_time or 0.0)
    at = at.replace(microsecond=0) + timedelta(seconds=1 if at.microsecond else 0)
    case = {"at": at, "taps": taps_of(plan, at, 12), "told": (), "slip": 12}
    (page,) = of_page(phone, page_of(REPOSITORY / "missions" / f"{name}.yaml", tmp_path)[2], [case])
    heard = case["taps"] if phase != "holding" else []
    mine = by_retime(plan, {**case, "taps": heard}, phase=phase)
    assert alike(page, mine), (page, mine)
