"""The page's arithmetic is ``briefgen retime``'s: random scripts, holds, changes and moments are given to
both, and every number compared.

Python's side is proven elsewhere (tests/airmath); here only that the page says the same. Last moments are
found by halving to 0.01 s on both sides.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from random import Random

import pytest

from briefgen.airmath.hold import racetrack
from briefgen.airmath.hold_wait import NotFlyable, plan_wait
from briefgen.airmath.run_in import Inbound, push_distance_nm, total_s
from briefgen.airmath.script import Heard, Part, predict
from briefgen.airmath.speed_change import Rates, SpeedWindow
from briefgen.airmath.wind import WindVector
from briefgen.brief.wording import spoken
from briefgen.plan.event.in_two import first_by_laps
from briefgen.plan.event.judge import (
    Flying,
    Ruling,
    flying_as_briefed,
    judge,
    judge_holding,
    judge_left,
    judge_silence,
    told,
    told_to_hold,
)
from briefgen.plan.event.motion import motion_of
from briefgen.plan.event.speed_alone import by_speed_s
from briefgen.render.html.clock import track_data
from tests.browser.phone import Phone, page_of, z
from tests.places import REPOSITORY

pytestmark = pytest.mark.browser
MISSIONS = REPOSITORY / "missions"
SCRIPTS, HOLDS, QUESTIONS, ON_MISSIONS = 500, 80, 6, 120


@pytest.fixture(scope="module")
def pages(tmp_path_factory):
    folder = tmp_path_factory.mktemp("same")
    return {
        name: page_of(MISSIONS / f"{name}.yaml", folder)
        for name in ("regatta", "lantern-fair", "founders-day")
    }


@pytest.fixture(scope="module")
def phone(browser, pages):
    browser.browser.set_script_timeout(120)
    browser.open_first(pages["regatta"][0], z("03:00:00"))
    return browser


# ---------------------------------------------------------------- scripts


def random_script(r: Random):
    parts = []
    for i in range(r.randint(1, 5)):
        lasts = r.choice([r.uniform(20, 300), float(r.randint(20, 300))])
        spread = r.choice([None, 0.0, r.uniform(0.5, 20)])
        marks = tuple((f"M{i}{k}", r.uniform(0, lasts)) for k in range(r.randint(0, 3)))
        parts.append(Part(f"C{i}", lasts, spread, marks))
    names = [n for p in parts for n in (p.cue, *(m for m, _ in p.marks))]
    heard = tuple(Heard(r.choice([*names, "OTHER"]), r.uniform(-60, 900)) for _ in range(r.randint(0, 6)))
    own_target = r.choice([None, None, r.uniform(0, 1500)])
    return (
        tuple(parts),
        r.uniform(-500, 500),
        heard,
        r.choice([None, r.uniform(-300, 2500)]),
        r.choice([0.0, 3.0, r.uniform(0, 10)]),
        own_target,
        r.random() < 0.5,
        r.sample(names, r.randint(0, 1)),
    )


def test_five_hundred_scripts(phone):
    cases = [random_script(Random(seed)) for seed in range(SCRIPTS)]
    asked = [
        [
            [
                {"cue": p.cue, "lasts": p.lasts_s, "spread": p.spread_s, "marks": [list(m) for m in p.marks]}
                for p in parts
            ],
            begins,
            [[h.id, h.at_s] for h in heard],
            now,
            deadband,
            own_target,
            committed,
            missing,
        ]
        for parts, begins, heard, now, deadband, own_target, committed, missing in cases
    ]
    answers = phone.run("return arguments[0].map((a) => predict(...a))", asked)
    overdue = asked_about = 0
    for (parts, begins, heard, now, deadband, own_target, committed, missing), page in zip(
        cases, answers, strict=True
    ):
        own = predict(
            parts,
            begins,
            heard,
            now_s=now,
            deadband_s=deadband,
            own_target_s=own_target,
            committed=committed,
            missing=frozenset(missing),
        )
        assert page["target"] == pytest.approx(own.target_s, abs=1e-6)
        assert page["slip"] == pytest.approx(own.slip_s, abs=1e-6)
        assert page["pace"] == pytest.approx(own.pace, abs=1e-9)
        assert page["deviation"] == (
            None if own.deviation_s is None else pytest.approx(own.deviation_s, abs=1e-6)
        )
        assert (tuple(page["overdue"]), tuple(page["awaited"]), page["sure"], tuple(page["asked"])) == (
            own.overdue,
            own.awaited,
            own.sure,
            own.asked,
        )
        assert page["late"] == pytest.approx(own.late_s, abs=1e-6)
        assert [name for name, _ in page["expected"]] == [name for name, _ in own.expected]
        assert [at for _, at in page["expected"]] == pytest.approx([at for _, at in own.expected], abs=1e-6)
        overdue += bool(own.overdue)
        asked_about += bool(own.asked)
    assert overdue > 50 and asked_about > 5


# ---------------------------------------------------------------- verdicts


def as_page(now: Flying) -> dict:
    """What the page knows of a flight, from Python's own."""
    way, wait = now.inbound, now.wait
    return {
        "track": None if now.track is None else track_data(now.track),
        "wait": None
        if wait is None
        else {"wait": wait.wait_s, "arrival": wait.arrival_heading_true_deg, "leg": wait.leg_s},
        "way": {
            "legNm": way.leg_nm,
            "holdKt": way.hold_kt,
            "distanceNm": way.distance_nm,
            "speedKt": way.speed_kt,
            "pushToKt": way.push_to_kt,
            "pushNm": way.push_nm,
            "rates": {"up": way.rates.accelerate_kt_s, "down": way.rates.decelerate_kt_s},
        },
        "window": {"minimum": now.window.minimum_kt, "maximum": now.window.maximum_kt},
        "leave": now.leave_s,
        "longest": now.longest_s,
        "abortOnly": now.abort_only_s,
        "deadband": now.deadband_s,
        "since": now.since_s,
        "apart": now.apart_s,
        "tolerance": now.tolerance_s,
        "speedsKnown": now.speeds_known,
        "flyable": now.flyable,
    }


ASK = """
const [flying, questions] = arguments;
const track = flying.track;
let now = prepared({flying}).flying;
return questions.map(([change, told]) => {
  const found = judge(now, change, told);
  const turns = found.wait === null ? null : found.wait.laps.map((l) => l.inboundTurn);
  const answer = {...found, turns, target: targetOf(now)};
  delete answer.wait;
  now = afterCall(now, found, change, told);
  return answer;
});
"""


def questions(r: Random, now: Flying) -> list[tuple[float, float]]:
    """Changes one after the other, each told later than the one before: in the hold, on the leg, in the
    run-in, in the push, too late."""
    moments = sorted(r.uniform(-120, now.target_s + 60) for _ in range(QUESTIONS))
    return [
        (
            r.choice(
                [r.uniform(-200, 400), r.uniform(-30, 30), float(r.randint(-90, 120)), r.uniform(-2, 2)]
            ),
            told_s,
        )
        for told_s in moments
    ]


def compare(page: dict, own: Ruling, now: Flying) -> None:
    assert (page["kind"], page["reason"], page["row"]) == (own.kind, own.reason, own.row)
    assert page["target"] == pytest.approx(now.target_s, abs=1e-6)
    for key, value, within in (
        ("until", own.until_s, 0.021),
        ("oneMoreLap", own.one_more_lap_s, 1e-6),
        ("early", own.early_s, 1e-6),
        ("late", own.late_s, 1e-6),
        ("short", own.short_s, 1e-6),
    ):
        assert page[key] == (None if value is None else pytest.approx(value, abs=within)), key
    assert page["turns"] == (
        None if own.wait is None else pytest.approx([lap.inbound_turn_s for lap in own.wait.laps], abs=1e-3)
    )


def ask(phone: Phone, now: Flying, asked: list[tuple[float, float]], kinds: dict[str, int]) -> None:
    for page, (change_s, told_s) in zip(phone.run(ASK, as_page(now), asked), asked, strict=True):
        own = judge(now, change_s, told_s)
        compare(page, own, now)
        kinds[own.kind] = kinds.get(own.kind, 0) + 1
        now = told(now, own, change_s, told_s)


def random_flight(r: Random) -> Flying:
    """A hold with wind, a leg, a run-in and a push; one in six without a hold."""
    tas = r.uniform(140, 450)
    wind = WindVector.from_direction(r.uniform(0, 360), r.choice([0.0, r.uniform(0, 60)]))
    track = racetrack(
        r.uniform(0, 360),
        turns=r.choice(["left", "right"]),
        tas_kt=tas,
        bank_deg=r.uniform(20, 45),
        wind=wind,
    )
    arrival, wait_s, leg_s = (
        r.choice([track.inbound_heading_true_deg, r.uniform(0, 360)]),
        r.uniform(200, 1300),
        r.choice([20.0, 45.0, 60.0, 90.0]),
    )
    wait = plan_wait(track, wait_s, arrival_heading_true_deg=arrival, leg_s=leg_s)
    if isinstance(wait, NotFlyable):
        wait = plan_wait(track, wait.above_s, arrival_heading_true_deg=arrival, leg_s=leg_s)
    v1, a, miles = r.uniform(220, 420), r.uniform(1, 4), r.uniform(9, 20)
    v2, bias = v1 * r.uniform(1.15, 1.4), r.uniform(0, 12)
    push = push_distance_nm(bias, v1_kt=v1, v2_kt=v2, rate_kt_s=a)
    way = Inbound(
        r.uniform(8, 14),
        track.inbound_gs_kt,
        miles,
        v1,
        v2,
        push if push < miles else 0.0,
        Rates(a, r.uniform(1, 3)),
    )
    known = {"speeds_known": r.random() < 0.85}
    limits = known | {
        "longest_s": r.choice([None, wait.wait_s + 300]),
        "abort_only_s": r.choice([None, -30.0]),
        "deadband_s": r.choice([0.0, 3.0]),
        "tolerance_s": 5.0 if miles > 14 else 0.0,
    }
    speeds = SpeedWindow(v1 * 0.9, v2 * 1.03)
    if r.random() < 1 / 6:
        return Flying(
            None, None, Inbound(0.0, v1, miles, v1, v2, way.push_nm, way.rates), speeds, 0.0, **limits
        )
    return Flying(track, wait, way, speeds, wait.wait_s, flyable=r.random() < 0.9, **limits)


def test_hundreds_of_verdicts_on_random_flights(phone):
    kinds: dict[str, int] = {}
    for seed in range(HOLDS):
        r = Random(7000 + seed)
        now = random_flight(r)
        ask(phone, now, questions(r, now), kinds)
    assert all(
        kinds.get(kind, 0) >= 15
        for kind in ("no call", "new time", "fast", "slow", "unable", "abort only", "ask")
    ), kinds


def test_what_laps_give_first_on_random_flights(phone):
    found = 0
    for seed in range(HOLDS):
        r = Random(8000 + seed)
        now, speed_s = random_flight(r), (float(r.randint(0, 30)), r.uniform(0, 40))
        asked = [(float(r.randint(-200, 400)), r.uniform(-60, now.leave_s + 10)) for _ in range(QUESTIONS)]
        page = phone.run(
            "const now = prepared({flying: arguments[0]}).flying, [early, late] = arguments[2];"
            " return arguments[1].map(([change, told]) => firstByLaps(now, change, told, { early, late }))",
            as_page(now),
            asked,
            speed_s,
        )
        own = [first_by_laps(now, change_s, told_s, speed_s) for change_s, told_s in asked]
        assert page == own
        found += sum(first_s is not None for first_s in own)
    assert found >= 50


def test_silence_on_random_flights(phone):
    """A cue overdue by anything, told at any moment."""
    kinds: dict[tuple[str, str], int] = {}
    for seed in range(HOLDS):
        r = Random(9000 + seed)
        now = random_flight(r)
        asked = [
            (
                r.choice([r.uniform(0, 60), r.uniform(0, 300)]),
                r.uniform(-60, now.target_s + 10),
                r.random() < 0.5,
            )
            for _ in range(QUESTIONS)
        ]
        page = phone.run(
            "const now = prepared({flying: arguments[0]}).flying; return arguments[1].map(([late, told,"
            " sure]) => judgeSilence(now, late, told, sure))",
            as_page(now),
            asked,
        )
        for found, (late_s, told_s, sure) in zip(page, asked, strict=True):
            own = judge_silence(now, late_s, told_s, sure=sure)
            assert (found["kind"], found["added"]) == (own.kind, own.added)
            for key, value in (
                ("until", own.until_s),
                ("early", own.early_s),
                ("late", own.late_s),
                ("soonest", own.soonest_s),
            ):
                assert found[key] == (None if value is None else pytest.approx(value, abs=1e-6))
            kinds[own.kind, own.added] = kinds.get((own.kind, own.added), 0) + 1
    assert all(
        kinds.get(kind, 0) >= 15
        for kind in (
            ("not started", ""),
            ("not started", "hold"),
            ("not started", "no cue"),
            ("abort only", ""),
        )
    ), kinds
    assert kinds["not started", "intentions"] >= 3


def test_a_flight_told_to_hold_on_random_flights(phone):
    """Told HOLD at any moment, and asked for any T at any later one."""
    kinds: dict[str, int] = {}
    for seed in range(HOLDS):
        r = Random(5000 + seed)
        flight, hold_s = random_flight(r), r.uniform(-60, 1500)
        if flight.track is None:
            continue
        asked = [(r.uniform(-60, 1200), hold_s + r.uniform(0, 1200)) for _ in range(QUESTIONS)]
        page = phone.run(
            "const now = toldToHold(prepared({flying: arguments[0]}).flying, arguments[1]);"
            " return arguments[2].map(([change, told]) => judgeHolding(now, change, told))",
            as_page(flight),
            hold_s,
            asked,
        )
        now = told_to_hold(flight, hold_s)
        for found, (change_s, told_s) in zip(page, asked, strict=True):
            own = judge_holding(now, change_s, told_s)
            assert (found["kind"], found["reason"]) == (own.kind, own.reason)
            soonest_s = None if own.soonest_s is None else pytest.approx(own.soonest_s, abs=1e-6)
            assert found["soonest"] == soonest_s
            kinds[own.kind] = kinds.get(own.kind, 0) + 1
    assert kinds.keys() == {"ask", "unable"} and min(kinds.values()) >= 15, kinds


def test_a_flight_that_left_its_hold_on_random_flights(phone):
    """Without a true time, with and without a cue that is overdue, up to its T and after."""
    kinds: dict[str, int] = {}
    for seed in range(HOLDS):
        r = Random(6000 + seed)
        now = random_flight(r)
        asked = [(r.uniform(now.leave_s, now.target_s + 30), r.random() < 0.5) for _ in range(QUESTIONS)]
        page = phone.run(
            "const now = prepared({flying: arguments[0]}).flying;"
            " return arguments[1].map(([told, silent]) => judgeLeft(now, told, silent))",
            as_page(now),
            asked,
        )
        for found, (told_s, silent) in zip(page, asked, strict=True):
            own = judge_left(now, told_s, silent=silent)
            assert (found["kind"], found["added"], found["reason"]) == (own.kind, own.added, own.reason)
            for key, value in (("until", own.until_s), ("soonest", own.soonest_s)):
                assert found[key] == (None if value is None else pytest.approx(value, abs=1e-6))
            kinds[own.kind] = kinds.get(own.kind, 0) + 1
    assert kinds.keys() == {"ask", "not started", "abort only"} and min(kinds.values()) >= 15, kinds


@pytest.mark.parametrize("name", ["regatta", "lantern-fair", "founders-day"])
def test_verdicts_on_the_demonstrations(phone, pages, name):
    """Here the page's own data is used, and the chain from the mission file is the same as the command
    line's."""
    _, plan, data = pages[name]
    now = flying_as_briefed(motion_of(plan.event))
    own = {k: v for k, v in data["flying"].items() if k not in ("hasHold", "onceHeard")}
    assert own == as_page(now)
    left = by_speed_s(plan.event.chain)
    assert data["flying"]["onceHeard"] == {"early": left.early_s, "late": left.late_s}
    assert now.target_s == pytest.approx(data["true_time"], abs=1e-5)
    kinds: dict[str, int] = {}
    for seed in range(ON_MISSIONS // QUESTIONS):
        r = Random(seed)
        ask(phone, now, questions(r, now), kinds)
    assert len(kinds) >= 5, kinds


# ---------------------------------------------------------------- words


@pytest.mark.parametrize(
    ("change_s", "short_s", "said"),
    [
        (-12.0, 0.8127, "late by 0.9 s, inside the tolerance"),
        (32.0, 4.8116, "early by 4.9 s, inside the tolerance"),
        (32.0, 0.3, "early by 0.3 s, inside the tolerance"),
    ],
)
def test_how_far_off_a_change_by_speed_is_met_reads_the_same(phone, change_s, short_s, said):
    page = phone.run("return offText(arguments[0], arguments[1])", change_s, short_s)
    assert (page, spoken.off_words(change_s, short_s)) == (said, said)


def test_the_same_sentences(phone):
    who, r = spoken.Callers("GANNET", "PIER"), Random(1)
    start = datetime(2027, 1, 30, tzinfo=UTC)
    for _ in range(200):
        old, new = (
            start + timedelta(seconds=r.choice([r.uniform(0, 86399), r.randint(0, 86399)])) for _ in range(2)
        )
        change, price = float(r.randint(-400, 900)), r.choice([None, r.uniform(100, 500)])
        own = [
            spoken.new_time(who, old, new),
            spoken.seconds(who, change),
            spoken.unable(who, change, price),
            spoken.ask_which(who, new),
        ]
        own += [spoken.ask(who, change, further=further) for further in (True, False)]
        own += [
            spoken.not_started(who, "ANTHEM", added, spoken.Briefed(no_cue, "HILL"), mark=mark)
            for added in ("", "hold", "no cue", "go home", "next pass", "intentions")
            for no_cue in ("hold", "go home", "next pass", None)
            for mark in (False, True)
        ]
        page = phone.run(
            "const [w, o, n, c, p] = arguments; return [callNewTime(w, o, n), callSeconds(w, c),"
            "callUnable(w, c, p), callAskWhich(w, n), callAsk(w, c, true), callAsk(w, c, false),"
            "...['', 'hold', 'no cue', 'go home', 'next pass', 'intentions'].flatMap("
            "(a) => ['hold', 'go home', 'next pass', null].flatMap((then) => [false, true].map("
            "(m) => callNotStarted(w, 'ANTHEM', a, {then, to: 'HILL'}, m))))]",
            {"flight": "GANNET", "ground": "PIER"},
            old.timestamp() * 1000,
            new.timestamp() * 1000,
            change,
            price,
        )
        assert page == [{"say": call.say, "readBack": call.read_back} for call in own]


def test_a_moment_of_the_page_is_a_moment_of_the_plan(phone, pages):
    """T, leave-hold and every cue as milliseconds of Unix time."""
    _, plan, data = pages["regatta"]
    origin = data["origin_ms"]
    assert origin + data["true_time"] * 1000 == pytest.approx(
        plan.event.true_time.timestamp() * 1000, abs=1e-2
    )
    assert origin + data["flying"]["leave"] * 1000 == pytest.approx(
        plan.event.hold.leave.timestamp() * 1000, abs=1e-2
    )
    for cue, page in zip(plan.event.cues, data["cues"], strict=True):
        assert origin + page["at"] * 1000 == pytest.approx(cue.at.timestamp() * 1000, abs=1e-2)
    assert total_s(motion_of(plan.event).chain.inbound) == pytest.approx(
        phone.run("return totalS(arguments[0])", data["flying"]["way"]), abs=1e-9
    )
