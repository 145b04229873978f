"""The fuel of every mission against an exact spreadsheet of its own (fuel_sheet): within a step of the gauge,
and to 1 s."""

from datetime import datetime, timedelta
from fractions import Fraction
from functools import cache

import pytest

from briefgen.plan.build import fly
from tests.places import OF_ONE_PASS, TESTS
from tests.plan.fuel.fuel_read import read
from tests.plan.fuel.fuel_sheet import down, sheet, up
from tests.planned import load_mission

MISSIONS, CASES = TESTS.parent / "missions", TESTS / "cases"
REGATTA = read(MISSIONS / "regatta.yaml", base_h=10.5, event_h=11)
LANTERN = read(MISSIONS / "lantern-fair.yaml", base_h=2, event_h=2)
FOUNDERS = read(MISSIONS / "founders-day.yaml", base_h=-5, event_h=-4)
EVERY = [
    REGATTA, LANTERN, FOUNDERS,
    read(MISSIONS / "overcommitted.yaml", base_h=1, event_h=1),
    read(MISSIONS / "start.yaml", base_h=1, event_h=1),
    read(CASES / "ok-by-hand.yaml", base_h=-5, event_h=-5),
    read(CASES / "ok-across-180.yaml", base_h=12, event_h=12),
    read(CASES / "ok-clocks-back.yaml", base_h=2, event_h=1),
    read(CASES / "ok-clocks-forward.yaml", base_h=1, event_h=2),
    read(CASES / "ok-date-line.yaml", base_h=13, event_h=-11),
    read(CASES / "ok-trainer.yaml", base_h=-5, event_h=-5),
    read(CASES / "ok-far-event.yaml", base_h=-5, event_h=-5),
    read(CASES / "ok-midnight.yaml", base_h=2, event_h=2),
]  # fmt: skip
SHIPS = [(m, i) for m in EVERY for i in range(len(m["ships"]))]
IDS = [f"{m['file'].removesuffix('.yaml')}-{i + 1}" for m, i in SHIPS]
every_ship = pytest.mark.parametrize("m, i", SHIPS, ids=IDS)
every_mission = pytest.mark.parametrize("m", EVERY, ids=lambda m: m["file"])
# What two libraries, and a mean wind of slices and one of integrals, may differ by in the unit of the cards.
# The sheet knows of no pressure, also where two QNHs meet: winds and legs are both at heights MSL.
NEAR = 0.02


@cache
def flown(file: str):
    mission, found = load_mission((CASES if file.startswith("ok-") else MISSIONS) / file)
    sortie, more = fly(mission)
    assert sortie is not None, [d.message for d in [*found, *more] if d.severity == "error"]
    return sortie


def instant(m: dict, seconds: float) -> datetime:
    return m["midnight"] + timedelta(seconds=seconds)


def test_every_mission_with_fuel_has_its_sheet():
    """Without flows there is nothing to add up."""
    files = (*OF_ONE_PASS, *CASES.glob("ok-*.yaml"))
    without = {path.name for path in files if "fuel_flow" not in path.read_text(encoding="utf-8")}
    assert {path.name for path in files} - without == {m["file"] for m in EVERY}
    assert all(flown(name).fuel is None for name in without)


@every_mission
def test_rows_last_as_long_to_the_second(m):
    seconds = sheet(m, m["ships"][0])["seconds"]
    seconds["set-ups"], rows = m["each"], flown(m["file"]).clock.phases
    block = [
        *(["gather"] if m["gather"] else []),
        *(["warm-up"] if m["warm_up"] else []),
        *["set-ups"] * m["setups"],
    ]
    after = [
        name
        for name in ("push-up", "egress", *(f"home {i}" for i in range(len(m["home"]))))
        if name in seconds
    ]
    names = [
        "climb",
        "departure",
        *block,
        "leave",
        "rejoin",
        "transit",
        "hold",
        "hold to IP",
        "run-in",
        *after,
        "approach",
    ]
    assert [p.seconds for p in rows if p.id != "recovery-climb"] == pytest.approx(
        [seconds[name] for name in names], abs=1.0
    )


def required(printed: float, exact: float, step: float) -> bool:
    """Rounded up once, so at most a step above."""
    return exact - NEAR <= printed < exact + step + NEAR


def there(printed: float, exact: float, step: float) -> bool:
    """Rounded down once, so at most a step below."""
    return exact - step - NEAR < printed <= exact + NEAR


@every_ship
def test_every_row_of_the_clock(m, i):
    ship = m["ships"][i]
    expected, made = sheet(m, ship), flown(m["file"]).fuel.ships[i]
    rows = [r for r in made.rows if r.phase_id not in ("ground", "landing-wait")]
    assert made.scale.step == ship["step"]
    assert [r.burn.exact_lb for r in rows] == pytest.approx(
        [fuel * m["lb"] for fuel in expected["burns"]], abs=NEAR * m["lb"]
    )
    assert all(
        there(r.remaining_printed, exact, ship["step"])
        for r, exact in zip(rows, expected["left"], strict=True)
    )
    assert made.start_printed == down(ship["start"], ship["step"])
    assert there(made.landing_predicted, expected["landing predicted"], ship["step"])


@every_ship
def test_joker_bingo_and_landing(m, i):
    ship = m["ships"][i]
    expected, made, step = sheet(m, ship), flown(m["file"]).fuel.ships[i], ship["step"]
    assert required(made.reserve.figure, expected["reserve"], step) and required(
        made.landing_required, expected["landing"], step
    )
    at_point = {b.point.id: b.sum for b in made.bingos}
    ends = {"AREA": "area", "HOLD": "hold", "IP": "ip", m["centre id"]: "centre"}
    bingos = {at_point[id].title: (at_point[id], expected["bingo"][name]) for id, name in ends.items()}
    if "out" in expected["bingo"]:
        bingos["egress"] = (
            next(b.sum for b in made.bingos if b.point.name == "End of egress"),
            expected["bingo"]["out"],
        )
    for total, exact in (
        *bingos.values(),
        (made.joker, max(expected["joker"], expected["bingo"]["area"] + m["pad"])),
    ):
        assert required(total.total, exact, step), (total.title, total.total, exact)
        assert total.figure == up(total.total, m["round_up_to"])


@every_ship
def test_printed_lines_make_their_printed_sums(m, i):
    """In exact decimals, as somebody adds them up on paper: every sum, and the column of the clock."""
    made = flown(m["file"]).fuel.ships[i]

    def decimal(printed: float) -> Fraction:
        return Fraction(repr(printed))

    for total in (made.joker, made.reserve, *(b.sum for b in made.bingos)):
        assert decimal(total.total) == sum(decimal(line.printed) for line in total.addends)
        assert all(
            abs(line.printed * made.scale.unit_lb - line.exact_lb)
            < made.scale.step * made.scale.unit_lb + 1e-4
            for line in total.addends
        )
    left = decimal(made.start_printed)
    for row in made.rows:
        left -= decimal(row.burn.printed)
        assert left == decimal(row.remaining_printed)


@every_ship
def test_go_home_and_joker_reached_to_the_second(m, i):
    """By the printed column, as a pilot would work them out from the card; after the planned block as the
    last row burns."""
    expected, sortie, ship = sheet(m, m["ships"][i]), flown(m["file"]), m["ships"][i]
    made, step, left, before = sortie.fuel.ships[i], ship["step"], expected["left"], expected["before block"]
    in_block = bool(m["gather"]) + bool(m["warm_up"]) + m["setups"]
    at_hold = down(left[2 + in_block + 2], step)
    rate = ship["flows"]["hold"] * ship["factor"] / 3600
    arrival = m["takeoff"] + sum(
        expected["seconds"][k]
        for k in ("climb", "departure", "gather", "warm-up", "set-ups", "leave", "rejoin", "transit")
    )
    assert (
        abs(
            (
                made.go_home - instant(m, arrival + max(0.0, (at_hold - made.bingo_event.sum.figure) / rate))
            ).total_seconds()
        )
        < 1.0
    )
    assert (
        abs(
            (
                made.joker_reached - instant(m, _joker_at(m, expected, made.joker.figure, step, before))
            ).total_seconds()
        )
        < 1.0
    )
    assert made.knock_off == min(at for at in (made.joker_reached, sortie.clock.knock_off) if at is not None)


def _joker_at(m: dict, expected: dict, joker: float, step: float, before: float) -> float:
    lasts = [
        *([m["gather"]] if m["gather"] else []),
        *([m["warm_up"]] if m["warm_up"] else []),
        *[m["each"]] * m["setups"],
    ]
    begins = m["takeoff"] + expected["seconds"]["climb"] + expected["seconds"]["departure"]
    has = down(before, step)
    for seconds, exact in zip(lasts, expected["left"][2:], strict=False):
        after = down(exact, step)
        if has <= joker:
            return begins
        if after < joker:
            return begins + seconds * (has - joker) / (has - after)
        begins, has = begins + seconds, after
    return begins + seconds * (has - joker) / expected["burns"][1 + len(lasts)]


@every_mission
def test_the_flights_figures_are_those_of_the_ship_that_needs_most(m):
    sheets, plan = [sheet(m, s) for s in m["ships"]], flown(m["file"]).fuel
    assert plan.joker == max(ship.joker.figure for ship in plan.ships)
    assert plan.lowest_landing == min(ship.landing_predicted for ship in plan.ships)
    assert plan.thirstiest == 1 + max(
        range(len(sheets)), key=lambda i: sum(sheets[i]["burns"]) + sheets[i]["wait"]
    )


def test_the_light_aircraft_that_was_told_twice_its_joker():
    """Addends rounded up one by one made the lantern fair's joker 105 kg and its landing fuel 50. The wait
    for the first to take off, 20 s at 14 L/h of 0.72 kg, is 0.056 kg of it."""
    ship = flown("lantern-fair.yaml").fuel.ships[1]
    exact = sheet(LANTERN, LANTERN["ships"][1])
    assert (round(exact["joker"], 2), round(exact["landing predicted"], 2)) == (56.93, 123.17)
    assert (ship.joker.total, ship.joker.figure, ship.landing_predicted) == (57.0, 60, 123.0)
