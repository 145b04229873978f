"""A sortie in round numbers, built by hand for the tests of the fuel plan. Invented figures.

Per minute of flight: climb 60, cruise 30, transit 30, hold 20, training 40, run-in 40, push-up 80, recovery
30.
"""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

from briefgen.mission.schema.flows import FlowRow, FlowTable
from briefgen.plan.fuel.inputs import Alternate, FuelInputs, Given, Reserve, ShipInput, Wait, WayHome
from briefgen.plan.model import Air, BlockClock, Clock, Leg, Phase, Point, Scale
from briefgen.units.values import LB_PER_KG, Fuel, FuelFlow, Level, Speed

TAKEOFF = datetime(2027, 3, 1, 12, 0, tzinfo=UTC)
PER_HOUR = {
    "ground": 600,
    "climb": 3600,
    "cruise": 1800,
    "transit": 1800,
    "hold": 1200,
    "training": 2400,
    "run_in": 2400,
    "push_up": 4800,
    "recovery": 1800,
}
LB, KG = Scale("lb", 1.0, 10, True, 50), Scale("kg", LB_PER_KG, 5, True, 20)
HOME, ENTRY, EXIT, HOLD, IP, CENTRE, OUT = (
    Point(id, id, 0.0, 0.0) for id in ("BASE", "ENTRY", "EXIT", "HOLD", "IP", "CENTRE", "OUT")
)
AREA = Point("AREA", "Area, far edge", 0.0, 0.0)


def flow(amount: float, unit: str = "lb") -> FlowTable:
    """A constant flow."""
    return FlowTable((FlowRow(None, FuelFlow(Fuel(amount, unit))),))


def table(*rows: tuple[float, float], unit: str = "lb") -> FlowTable:
    """A flow by altitude."""
    return FlowTable(
        tuple(FlowRow(Level(feet, "MSL"), FuelFlow(Fuel(amount, unit))) for feet, amount in rows)
    )


def leg(start: Point, end: Point, seconds: float, kind: str = "transit", altitude_ft: float = 10000.0) -> Leg:
    """A leg of which only the ends, the time and the height matter here."""
    air = Air(altitude_ft, altitude_ft, 0.0, 0.0, 0.0)
    return Leg(
        kind,
        start,
        end,
        seconds / 10,
        90.0,
        None,
        None,
        None,
        Level(altitude_ft, "MSL"),
        altitude_ft,
        altitude_ft,
        air,
        360.0,
        300.0,
        0.6,
        360.0,
        360.0,
        90.0,
        None,
        seconds,
        None,
        0.0,
        ("recovery", "legs", 0),
        Speed(360.0, "KTAS"),
    )


LEGS = {
    "departure": leg(HOME, ENTRY, 540, "departure"),
    "transit": leg(EXIT, HOLD, 360),
    "ip": leg(HOLD, IP, 30, "hold to IP"),
    "run-in": leg(IP, CENTRE, 120, "run-in"),
    "egress": leg(CENTRE, OUT, 120, "egress"),
    "home": leg(OUT, HOME, 540, "recovery"),
}

PASS = "EVENT"
OF_PASS = ("hold", "hold to IP", "run-in", "push-up", "egress")

# id, kind, minutes, flow, given fuel, leg
ROWS = [
    ("departure-1-climb", "climb", 5, "climb", None, "departure"),
    ("departure-1", "departure", 4, "cruise", None, "departure"),
    ("warm-up", "warm-up", 4, "training", 150, None),
    ("set-up-1", "set-up", 10, "training", 390, None),
    ("set-up-2", "set-up", 10, "training", 390, None),
    ("set-up-3", "set-up", 10, "training", 390, None),
    ("leave", "leave", 3, "cruise", 80, None),
    ("rejoin", "rejoin", 4, "cruise", 110, None),
    ("transit-1", "transit", 6, "transit", None, "transit"),
    ("hold", "hold", 10, "hold", None, None),
    ("hold-to-ip", "hold to IP", 0.5, "run_in", None, "ip"),
    ("run-in", "run-in", 1.5, "run_in", None, "run-in"),
    ("push-up", "push-up", 0.5, "push_up", None, "run-in"),
    ("egress", "egress", 2, "recovery", None, "egress"),
    ("recovery-climb", "recovery", 0, None, 100, None),
    ("recovery-1", "recovery", 9, "recovery", None, "home"),
    ("approach", "approach", 8, "recovery", 230, None),
]


def phases(rows=ROWS, lb_per_unit: float = 1.0) -> tuple[Phase, ...]:
    """The rows one after the other from take-off."""
    made, at = [], TAKEOFF
    for id, kind, minutes, key, given, leg_key in rows:
        end = at + timedelta(minutes=minutes)
        given_lb = None if given is None else given * lb_per_unit
        piece = PASS if kind in OF_PASS else ""
        made.append(Phase(id, kind, id, at, end, key, given_lb, 10000.0, LEGS.get(leg_key), (id,), piece))
        at = end
    return tuple(made)


def clock(rows=ROWS, lb_per_unit: float = 1.0, knock_off: datetime | None = None) -> Clock:
    """The clock of those rows."""
    made = phases(rows, lb_per_unit)
    block = [p for p in made if p.kind in ("warm-up", "set-up")]
    start, end = (block[0].start, block[-1].end) if block else (None, None)
    hold = next((p for p in made if p.kind == "hold"), None)
    return Clock(
        takeoff=TAKEOFF,
        takeoff_solved=False,
        last_takeoff=TAKEOFF,
        report=None,
        area_entry=start,
        training_start=start,
        training_end=end,
        rejoined=None,
        hold_arrival=hold.start if hold else None,
        leave_hold=hold.end if hold else None,
        ip=None,
        push_up=None,
        true_time=None,
        set_time=None,
        lead_landing=made[-1].end,
        last_landing=made[-1].end,
        shut_down=None,
        duty_end=None,
        knock_off=knock_off,
        hold_difference_s=None,
        events=(),
        phases=made,
        blocks=(BlockClock("", start, start, end, None, knock_off, ""),) if block else (),
    )


def ship(
    number: int = 1, factor: float = 1.0, start: float = 4500, unit: str = "lb", **flows: FlowTable
) -> ShipInput:
    """One ship, flows and tiers in the unit given."""
    usual = {key: flow(amount, unit) for key, amount in PER_HOUR.items()}
    tiers = {
        tier: Given(Fuel(amount, unit).lb())
        for tier, amount in (("normal_landing", 900), ("minimum", 800), ("emergency", 700))
    }
    where = ("flight", number - 1)
    return ShipInput(
        number,
        number - 1,
        Given(Fuel(start, unit).lb()),
        factor,
        "heron",
        {**usual, **flows},
        tiers,
        LB,
        where,
    )


def wait(planned_s: float = 480.0, late_s: float = 600.0) -> Wait:
    """The hold of the pass: how long it is planned, and the late slip that is accepted."""
    return Wait(PASS, PASS, planned_s, 0.0, 0.0, late_s)


def inputs(*ships: ShipInput, scale: Scale = LB, unit: str = "lb", **changes) -> FuelInputs:
    """The flight: reserve 30 min, pad 100, start to take-off 300, climb home 100, interval 30 s, hold 8 min
    planned, 10 min slip."""

    def given(amount: float) -> Given:
        return Given(Fuel(amount, unit).lb())

    usual = {
        "ships": tuple(replace(one, scale=scale) for one in ships or (ship(1), ship(2, 1.05))),
        "reserve": Reserve(1800.0, None),
        "add_reserve": "",
        "pad": given(100),
        "start_to_takeoff": given(300),
        "start_s": 1800.0,
        "takeoff_interval_s": 0.0,
        "climb": given(100),
        "landing_interval_s": 30.0,
        "waits": (wait(),),
        "reserve_altitude_ft": None,
        "alternate": Alternate(False, "decided for this sortie"),
    }
    return FuelInputs(**{**usual, **changes})


WAYS = (
    WayHome(AREA, "training", leg(AREA, HOME, 720, "recovery")),
    WayHome(ENTRY, "transit", leg(ENTRY, HOME, 600, "recovery")),
    WayHome(EXIT, "transit", leg(EXIT, HOME, 660, "recovery")),
    WayHome(HOLD, "event", leg(HOLD, HOME, 540, "recovery"), PASS),
    WayHome(CENTRE, "event", leg(CENTRE, HOME, 600, "recovery"), PASS),
    WayHome(OUT, "event", leg(OUT, HOME, 570, "recovery"), PASS),
)
