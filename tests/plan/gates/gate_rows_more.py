"""The rest of the rows: training, fuel, weather, the day, and what is briefed. See gate_rows.py."""

from tests.plan.gates.gate_rows import (
    CAUTION,
    CLEAR,
    FAIL,
    MISSING,
    NO_FUEL,
    NOBODYS,
    PASS,
    PETREL,
    USA,
    F,
    P,
    R,
    cloud,
)

AREA = "training.area"
HOME = "weather.at.NORTHBOURNE"
COLD = [(f"{HOME}.temperature", "-10 C"), ("weather.at.PONTOON.temperature", "-10 C")]
NO_TEMPERATURE = [
    *((f"weather.at.{at}.temperature", "") for at in ("NORTHBOURNE", "PONTOON", "EASTLEA", "HARTWELL")),
    *((f"weather.winds.{n}.temperature", "") for n in (1, 2, 3, 4)),
]
NO_DISTANCE = ("limits.weather.area.clear_of_cloud", "")
# all of it within 25 nm of ENTRY and EXIT, which stand in it
SMALL_AREA = (
    f"{AREA}.boundary",
    "[38°05.0'S 140°05.0'E, 38°05.0'S 140°35.0'E, 38°25.0'S 140°35.0'E, 38°25.0'S 140°05.0'E]",
)


def _up_to(east: str) -> str:
    """The boundary of the area with another meridian in the east."""
    west = "139°20.0'E"
    return f"[38°00.0'S {west}, 38°00.0'S {east}, 38°40.0'S {east}, 38°40.0'S {west}]"


TWO_QNHS = (SMALL_AREA, ("weather.at.ENTRY.qnh", "1020 hPa"), ("weather.at.EXIT.qnh", "980 hPa"))
BLUE_FL = ("training.blocks.blue", "FL100 to 14000 ft MSL")

TRAINING = [
    # entered at 02:15:33.05 Z, left (the leave included) at 03:07:18.05 Z; the base is 10 h 30 min ahead
    ("area-entry", R, [(f"{AREA}.reserved", "12:45:33 to 13:50:00 base")], PASS),
    ("area-entry", R, [(f"{AREA}.reserved", "12:45:34 to 13:50:00 base")], FAIL),
    ("area-entry", R, [(f"{AREA}.reserved", "")], MISSING),
    ("area-exit", R, [(f"{AREA}.reserved", "12:40:00 to 13:37:19 base")], PASS),
    ("area-exit", R, [(f"{AREA}.reserved", "12:40:00 to 13:37:18 base")], FAIL),
    ("area-exit", R, [(f"{AREA}.reserved", "")], MISSING),
    # EXIT at 38 20.0 S 140 30.0 E: 10 minutes of longitude east of a boundary at 140 20 E, x cos 38.33
    # (and 0.3 % more on the ellipsoid) 7.9 nm; 0.1 minutes from one at 140 29.9 E: 0.08 nm, on the boundary
    ("area-points", R, [], PASS),
    ("area-points", R, [(f"{AREA}.boundary", _up_to("140°29.9'E"))], PASS),
    ("area-points", R, [(f"{AREA}.boundary", _up_to("140°20.0'E"))], CAUTION),
    ("set-ups", R, [("training.setups.minimum", "4")], PASS),
    ("set-ups", R, [("training.setups.minimum", "5")], FAIL),
    ("set-ups", R, [("training.setups.minimum", "")], MISSING),
    ("end-by", R, [(f"{AREA}.reserved", "12:40:00 to 13:30:00 base")], CAUTION),
    # of the hold of 8 min 32.8 s 4 min are its minimum: 4 min 32.8 s after 12:37 it is 12:41:32.8
    ("end-by", R, [("ground_ops.takeoff", "12:41:32 base")], PASS),
    ("end-by", R, [("ground_ops.takeoff", "12:41:33 base")], CAUTION),
    ("blocks-inside", R, [(f"{AREA}.floor", "10000 ft MSL")], PASS),
    ("blocks-inside", R, [(f"{AREA}.floor", "10001 ft MSL")], FAIL),
    ("blocks-inside", R, [(f"{AREA}.floor", "5000 ft AGL")], MISSING),
    ("blocks-overlap", R, [("training.blocks.red", "14000 to 19000 ft MSL")], PASS),
    ("blocks-overlap", R, [("training.blocks.red", "13999 to 19000 ft MSL")], FAIL),
    ("blocks-overlap", R, [("training.blocks", "")], MISSING),
    ("blocks-overlap", R, [("training.blocks.red", "")], MISSING),  # nothing says where red is
    ("blocks-buffer", R, [("training.blocks.red", "15000 to 19000 ft MSL")], PASS),
    ("blocks-buffer", R, [("training.blocks.red", "14999 to 19000 ft MSL")], FAIL),
    ("blocks-buffer", R, [("training.block_buffer", "")], MISSING),
    ("aerobatics-floor", R, [USA, (f"{AREA}.floor", "1500 ft AGL")], PASS),
    ("aerobatics-floor", R, [USA, (f"{AREA}.floor", "1499 ft AGL")], FAIL),
    ("aerobatics-floor", R, [USA], MISSING),  # 5000 ft MSL over ground that isn't known
    ("aerobatics-floor", R, [USA, (f"{AREA}.highest_ground", "3500 ft MSL")], PASS),  # 5000 - 1500
    ("aerobatics-floor", R, [USA, (f"{AREA}.highest_ground", "3501 ft MSL")], FAIL),
    (
        "aerobatics-floor",
        R,
        [("limits.aerobatics_floor", "4000 ft"), (f"{AREA}.highest_ground", "1000 ft MSL")],
        PASS,
    ),
    (
        "aerobatics-floor",
        R,
        [("limits.aerobatics_floor", "4001 ft"), (f"{AREA}.highest_ground", "1000 ft MSL")],
        FAIL,
    ),
    (
        "blocks-inside",
        R,
        [(f"{AREA}.floor", "5000 ft AGL"), (f"{AREA}.highest_ground", "5000 ft MSL")],
        PASS,
    ),  # 10000 ft MSL, where blue begins
    ("blocks-inside", R, [(f"{AREA}.floor", "5000 ft AGL"), (f"{AREA}.highest_ground", "5001 ft MSL")], FAIL),
    # a flight level by the QNH of every spot: ISA lifts 980 hPa to 920 ft, so FL100 lies at 9080 ft by EXIT,
    # and at 10185 ft by ENTRY (1020 hPa), the nearest to the first corner
    ("blocks-inside", R, [*TWO_QNHS, BLUE_FL, (f"{AREA}.floor", "9070 ft MSL")], PASS),
    ("blocks-inside", R, [*TWO_QNHS, BLUE_FL, (f"{AREA}.floor", "9090 ft MSL")], FAIL),
    # the other way round a floor is highest by the highest
    (
        "blocks-inside",
        R,
        [*TWO_QNHS, (f"{AREA}.floor", "FL100"), ("training.blocks.blue", "10190 to 14000 ft MSL")],
        PASS,
    ),
    (
        "blocks-inside",
        R,
        [*TWO_QNHS, (f"{AREA}.floor", "FL100"), ("training.blocks.blue", "10180 to 14000 ft MSL")],
        FAIL,
    ),
    ("blocks-buffer", R, [*TWO_QNHS, BLUE_FL, ("training.blocks.red", "7000 to 8070 ft MSL")], PASS),
    ("blocks-buffer", R, [*TWO_QNHS, BLUE_FL, ("training.blocks.red", "7000 to 8090 ft MSL")], FAIL),
    ("blocks-overlap", R, [*TWO_QNHS, BLUE_FL, ("training.blocks.red", "7000 to 9090 ft MSL")], FAIL),
    ("area-cloud", R, [*TWO_QNHS, BLUE_FL, cloud("AREA", "[FEW 3000 ft MSL top 8070 ft MSL]")], PASS),
    ("area-cloud", R, [*TWO_QNHS, BLUE_FL, cloud("AREA", "[FEW 3000 ft MSL top 8090 ft MSL]")], FAIL),
    (
        "aerobatics-floor",
        R,
        [USA, *TWO_QNHS, (f"{AREA}.floor", "FL100"), (f"{AREA}.highest_ground", "7570 ft MSL")],
        PASS,
    ),
    (
        "aerobatics-floor",
        R,
        [USA, *TWO_QNHS, (f"{AREA}.floor", "FL100"), (f"{AREA}.highest_ground", "7590 ft MSL")],
        FAIL,
    ),
    # Northbourne's QNH is 45 nm away: FL100 lies at 8228 ft by 950 hPa, the lowest that is usual
    ("blocks-inside", R, [SMALL_AREA, BLUE_FL, (f"{AREA}.floor", "8200 ft MSL")], PASS),
    ("blocks-inside", R, [SMALL_AREA, BLUE_FL, (f"{AREA}.floor", "8300 ft MSL")], MISSING),
    ("blocks-inside", R, [SMALL_AREA, BLUE_FL, (f"{AREA}.floor", "10110 ft MSL")], FAIL),  # 10102 by 1017 hPa
    # 5000 ft at -30 C at sea level, where ISA is 15 C: 5000 x 238.2 / 283.2 = 4205 ft
    (
        "aerobatics-floor",
        R,
        [USA, *TWO_QNHS, ("weather.at.EXIT.temperature", "-30 C"), (f"{AREA}.highest_ground", "2600 ft MSL")],
        PASS,
    ),
    (
        "aerobatics-floor",
        R,
        [USA, *TWO_QNHS, ("weather.at.EXIT.temperature", "-30 C"), (f"{AREA}.highest_ground", "2800 ft MSL")],
        FAIL,
    ),
    # how low 5000 ft really are in cold air nobody knows by no temperature, or by one that is nobody's
    *(
        ("aerobatics-floor", R, [USA, *changes, (f"{AREA}.highest_ground", f"{ground} ft MSL")], verdict)
        for changes in (NO_TEMPERATURE, [NOBODYS])
        for ground, verdict in (("1000", MISSING), ("3501", FAIL))
    ),
    # of heights by one datum no QNH decides; FL100 lies at 8228 ft by 950 hPa, and at 9080 ft by 980 hPa
    ("blocks-inside", R, [NOBODYS], PASS),
    ("blocks-inside", R, [*TWO_QNHS, NOBODYS, BLUE_FL, (f"{AREA}.floor", "8200 ft MSL")], PASS),
    ("blocks-inside", R, [*TWO_QNHS, NOBODYS, BLUE_FL, (f"{AREA}.floor", "9070 ft MSL")], MISSING),
    ("blocks-inside", R, [*TWO_QNHS, NOBODYS, BLUE_FL, (f"{AREA}.floor", "9090 ft MSL")], FAIL),
    ("aerobatics-floor", R, [("training.aerobatic", "")], MISSING),
    ("aerobatics-floor", R, [("training.aerobatic", "no")], PASS),
    # the pontoon stands at 38 degrees 20.8 minutes south, 141 degrees 36.6 minutes east
    (
        "aerobatics-place",
        R,
        [(f"{AREA}.boundary.2", "38°00.0'S 141°36.5'E"), (f"{AREA}.boundary.3", "38°40.0'S 141°36.5'E")],
        PASS,
    ),
    (
        "aerobatics-place",
        R,
        [(f"{AREA}.boundary.2", "38°00.0'S 141°36.7'E"), (f"{AREA}.boundary.3", "38°40.0'S 141°36.7'E")],
        FAIL,
    ),
    ("yardstick-own", R, [], PASS),
    ("yardstick-own", R, [("training.yardstick.3", "29Y")], FAIL),
    ("yardstick-own", R, [("training.yardstick", "")], MISSING),
    ("yardstick-own", R, [("training.yardstick.4", "")], MISSING),
    ("yardstick-pairs", R, [("training.yardstick.2", "92Y")], PASS),  # 29 + 63
    ("yardstick-pairs", R, [("training.yardstick.2", "93Y")], FAIL),
    ("yardstick-pairs", R, [("training.yardstick.2", "92X")], FAIL),
]

FUEL = [
    # by the sheet (fuel_sheet) ship 4 ends the training with 2925.4 lb of its 5500 lb, joker 2774.8 lb, up to
    # 2800; it lands with 1411.4 lb, down to 1410
    ("joker", R, [("flight.4.start_fuel", "5375 lb")], PASS),
    ("joker", R, [("flight.4.start_fuel", "5374 lb")], FAIL),
    ("joker", R, [NO_FUEL], MISSING),
    ("fuel-order", R, [(f"{PETREL}.tiers.minimum", "900 lb")], PASS),  # normal landing is 900 lb
    ("fuel-order", R, [(f"{PETREL}.tiers.minimum", "901 lb")], FAIL),
    # nearer together than the display step of 10 lb
    ("fuel-order", R, [(f"{PETREL}.tiers.minimum", "708 lb"), (f"{PETREL}.tiers.emergency", "702 lb")], PASS),
    ("fuel-order", R, [(f"{PETREL}.tiers.minimum", "702 lb"), (f"{PETREL}.tiers.emergency", "702 lb")], FAIL),
    (
        "fuel-order",
        R,
        [(f"{PETREL}.tiers.minimum", "898 lb"), (f"{PETREL}.tiers.normal_landing", "895 lb")],
        FAIL,
    ),
    # a pound is 0.45359237 kg: 700 lb are 317.51 kg
    ("fuel-order", R, [(f"{PETREL}.tiers.minimum", "317.52 kg")], PASS),
    ("fuel-order", R, [(f"{PETREL}.tiers.minimum", "317.51 kg")], FAIL),
    # ICAO's words: ship 4's reserve is 30 min x 1300 lb/h x 1.06 = 689 lb
    ("fuel-order", R, [(f"{PETREL}.tiers.emergency", "689 lb")], PASS),
    ("fuel-order", R, [(f"{PETREL}.tiers.emergency", "688 lb")], FAIL),
    ("fuel-order", R, [(f"{PETREL}.tiers.emergency", "688 lb"), ("limits.regime", "usa")], PASS),
    ("fuel-order", R, [("fuel.reserve", "702 lb"), (f"{PETREL}.tiers.emergency", "702 lb")], PASS),
    ("fuel-order", R, [("fuel.reserve", "703 lb"), (f"{PETREL}.tiers.emergency", "702 lb")], FAIL),
    ("fuel-order", R, [NO_FUEL], MISSING),
    # by the sheet ship 4 has 2085.9 lb at the end of the egress and needs 1574.5, up to 1580: 505.9 are spare
    ("way-home-fuel", R, [("flight.4.start_fuel", "4995 lb")], PASS),
    ("way-home-fuel", R, [("flight.4.start_fuel", "4994 lb")], FAIL),
    ("way-home-fuel", R, [NO_FUEL], MISSING),
    ("landing-fuel", R, [(f"{PETREL}.tiers.normal_landing", "1410 lb")], PASS),
    ("landing-fuel", R, [(f"{PETREL}.tiers.normal_landing", "1411 lb")], FAIL),
    ("landing-fuel", R, [NO_FUEL], MISSING),
    ("landing-emergency", R, [(f"{PETREL}.tiers.emergency", "1410 lb")], PASS),
    ("landing-emergency", R, [(f"{PETREL}.tiers.emergency", "1411 lb")], FAIL),
    ("landing-emergency", R, [(f"{PETREL}.tiers.emergency", "")], MISSING),
    # 512.8 s are planned; ship 4 has at the end of the egress 2085.86 - 1580 lb more (on landing 1411.37 -
    # 900), which last 1321.5 s at 1300 lb/h x 1.06
    ("hold-fuel", R, [("event.accept_slip.late", "1321 s")], PASS),
    ("hold-fuel", R, [("event.accept_slip.late", "1322 s")], FAIL),
    ("hold-fuel", R, [NO_FUEL], MISSING),
    ("burn-factor", R, [("flight.3.burn_factor", "1.01")], PASS),
    ("burn-factor", R, [("flight.3.burn_factor", "1.00")], CAUTION),
    ("burn-factor", R, [("flight.3.burn_factor", "")], MISSING),
    # what times and fuels rest on
    ("way-out", R, [], PASS),
    ("way-out", R, [("departure", "")], MISSING),
    *((id, R, [("departure", "")], MISSING) for id in ("joker", "landing-fuel")),
    *((id, R, [("departure", "")], MISSING) for id in ("way-home-fuel", "hold-fuel", "fuel-order")),
    ("takeoff-wait", R, [], PASS),
    ("takeoff-wait", R, [(f"{PETREL}.fuel_flow.ground", "")], MISSING),
    ("takeoff-wait", R, [("ground_ops.takeoff_interval", "")], MISSING),
    ("takeoff-wait", R, [("ground_ops.takeoff_interval", "0 s"), (f"{PETREL}.fuel_flow.ground", "")], PASS),
    ("climb-out", R, [], PASS),
    ("climb-out", R, [("aircraft.petrel.climb", "")], MISSING),
    # home from the pass at 1500 ft is flown at 12000 ft
    ("climb-home", R, [], PASS),
    ("climb-home", R, [("recovery.climb_fuel", "0 lb")], PASS),
    ("climb-home", R, [("recovery.climb_fuel", "")], MISSING),
    ("reserve-time", R, [USA, ("fuel.reserve", "30 min")], PASS),  # 14 CFR 91.151: 30 min by day
    ("reserve-time", R, [USA, ("fuel.reserve", "29 min")], FAIL),
    ("reserve-time", R, [USA, ("fuel.reserve", "650 lb")], MISSING),
    (
        "reserve-time",
        R,
        [("fuel.reserve", "0 min")],
        CAUTION,
    ),  # the regime has no figure, but none at all is no reserve
    ("reserve-time", R, [("fuel.reserve", "0 lb")], CAUTION),
    ("reserve-time", R, [USA, ("fuel.reserve", "0 lb")], FAIL),
    ("reserve-time", R, [("limits.reserve_by_day", "30 min")], PASS),
    ("reserve-time", R, [("limits.reserve_by_day", "31 min")], FAIL),
    ("reserve-time", R, [("limits.reserve_by_night", "31 min")], MISSING),  # it lands by day
    (
        "reserve-time",
        R,
        [USA, ("limits.reserve_by_day", "20 min"), ("fuel.reserve", "29 min")],
        CAUTION,
    ),  # below 14 CFR 91.151, as the unit allows
]


def airfield(id: str, place: str) -> list:
    """Ceiling 1500 ft above the ground and 5 km are the minima everywhere."""
    at = f"weather.at.{place}"
    return [
        (f"{id}-ceiling", R, [cloud(place, "[BKN 1500 ft AGL]")], PASS),
        (f"{id}-ceiling", R, [cloud(place, "[SCT 400 ft AGL, OVC 1499 ft AGL]")], FAIL),
        (f"{id}-ceiling", R, [cloud(place, "")], MISSING),
        (f"{id}-ceiling", R, [cloud(place, "[FEW 400 ft AGL]")], PASS),  # no ceiling
        (f"{id}-visibility", R, [(f"{at}.visibility", "5 km")], PASS),
        (f"{id}-visibility", R, [(f"{at}.visibility", "4.9 km")], FAIL),
        (f"{id}-visibility", R, [(at, "")], MISSING),
        (
            f"{id}-visibility",
            R,
            [(f"limits.weather.{id if id in ('takeoff', 'alternate') else 'landing'}.visibility", "0 km")],
            CAUTION,
        ),  # a minimum of zero
    ]


def wind_across(id: str, place: str, runway: str) -> list:
    """A wind square to the runway, which is given in degrees true."""
    at = [(runway, "180 T")]
    return [
        (id, R, [*at, (f"weather.at.{place}.wind", "270T/19.9kt")], PASS),
        (id, R, [*at, (f"weather.at.{place}.wind", "270T/20.1kt")], FAIL),
        (id, R, [*at, (f"weather.at.{place}.wind", "270T/12G19.9kt")], PASS),  # the gusts count, not the mean
        (id, R, [*at, (f"weather.at.{place}.wind", "270T/12G20.1kt")], FAIL),
        (id, R, [*at, (f"weather.at.{place}.wind", "")], MISSING),
        (id, R, [(runway, "")], MISSING),
        (id, R, [*at, (f"weather.at.{place}.wind", "210T/39kt")], PASS),  # 39 sin 30 = 19.5 kt
        (id, R, [*at, (f"weather.at.{place}.wind", "210T/41kt")], FAIL),  # 20.5 kt
    ]


def thin_air(id: str, place: str) -> list:
    """The sample of the FAA's Pilot's Handbook of Aeronautical Knowledge, chapter 11: a field at 5883 ft, 70
    F and 30.10 inHg (pressure altitude 5718 ft) has "approximately 7700 ft", read off its chart; by 118.8 ft
    a degree of 17.4 above ISA it is 7790 ft."""
    at = [
        (f"places.{place}.elevation", "5883 ft MSL"),
        (f"weather.at.{place}.temperature", "21.1 C"),
        (f"weather.at.{place}.qnh", "1019.3 hPa"),
    ]
    limit = "limits.density_altitude"
    return [
        (id, R, [*at, (limit, "7850 ft")], PASS),
        (id, R, [*at, (limit, "7700 ft")], FAIL),
        (id, R, [*at, (limit, "")], MISSING),
        *((id, R, [*at, (limit, "9000 ft"), (lost, "")], MISSING) for lost, _ in at),
    ]


WEATHER = [
    *airfield("takeoff", "NORTHBOURNE"),
    *airfield("landing", "NORTHBOURNE"),
    *airfield("alternate", "HARTWELL"),
    *airfield("divert-1", "EASTLEA"),
    *wind_across("crosswind", "NORTHBOURNE", "places.NORTHBOURNE.runways.1.direction"),
    *wind_across("alternate-crosswind", "HARTWELL", "places.HARTWELL.runways.1.direction"),
    *wind_across("divert-1-crosswind", "EASTLEA", "places.EASTLEA.runways.1.direction"),
    *thin_air("density-altitude", "NORTHBOURNE"),
    *thin_air("alternate-density-altitude", "HARTWELL"),
    ("area-visibility", R, [("weather.at.AREA.visibility", "8 km")], PASS),
    ("area-visibility", R, [("weather.at.AREA.visibility", "7.9 km")], FAIL),
    ("area-visibility", R, [("weather.at.AREA.visibility", "")], MISSING),
    (
        "area-cloud",
        R,
        [cloud("AREA", "[FEW 3000 ft MSL top 9000 ft MSL]")],
        PASS,
    ),  # the blocks begin at 10000 ft
    ("area-cloud", R, [cloud("AREA", "[FEW 3000 ft MSL top 9001 ft MSL]")], FAIL),
    # at -10 C, 24 C below the standard of the field at 230 ft, 10000 ft read are 0.912 of the 9770 ft above
    # it: 9140 ft (253.4 K over 278.0 K half-way up), which is 1140 ft over one top and 640 ft over the other
    ("area-cloud", R, [*COLD, cloud("AREA", "[FEW 3000 ft MSL top 8000 ft MSL]")], PASS),
    ("area-cloud", R, [*COLD, cloud("AREA", "[FEW 3000 ft MSL top 8500 ft MSL]")], FAIL),
    # without a temperature nobody knows how much lower they are; above the training it counts for nothing
    ("area-cloud", R, [*NO_TEMPERATURE, cloud("AREA", "[FEW 3000 ft MSL top 4000 ft MSL]")], MISSING),
    ("area-cloud", R, [*NO_TEMPERATURE, cloud("AREA", "[FEW 3000 ft MSL top 9001 ft MSL]")], FAIL),
    ("area-cloud", R, [*NO_TEMPERATURE, cloud("AREA", "[OVC 20000 ft MSL]")], PASS),
    ("area-cloud", R, [cloud("AREA", "")], MISSING),
    ("area-cloud", R, [cloud("AREA", "[FEW 3000 ft MSL]")], MISSING),  # how high it reaches isn't known
    (
        "area-cloud",
        R,
        [cloud("AREA", "[FEW 3000 ft MSL, OVC 12000 ft MSL]")],
        FAIL,
    ),  # inside what is certain, whatever the other layer does
    ("area-cloud", R, [cloud("AREA", "[OVC 20000 ft MSL]")], PASS),  # red ends at 19000 ft, 1000 ft clear
    ("area-cloud", R, [cloud("AREA", "[OVC 19999 ft MSL]")], FAIL),
    # without the unit's distance: inside is a CAUTION, outside asks for the limit
    ("area-cloud", R, [NO_DISTANCE, cloud("AREA", "[OVC 12000 ft MSL top 13000 ft MSL]")], CAUTION),
    ("area-cloud", R, [NO_DISTANCE, cloud("AREA", "[OVC 18000 ft MSL]")], CAUTION),
    ("area-cloud", R, [NO_DISTANCE, cloud("AREA", "[OVC 20000 ft MSL]")], MISSING),
    ("area-cloud", R, [NO_DISTANCE, cloud("AREA", "[]")], PASS),
    ("legs-visibility", R, [("weather.at.PONTOON.visibility", "5 km")], PASS),
    ("legs-visibility", R, [("weather.at.PONTOON.visibility", "4.9 km")], FAIL),
    ("legs-visibility", R, [("weather.at.PONTOON.visibility", "")], MISSING),
    (
        "legs-visibility",
        R,
        [
            USA,
            ("limits.weather.formation_legs.visibility", "4 km"),
            ("weather.at.PONTOON.visibility", "4.8 km"),
        ],
        CAUTION,
    ),  # 3 statute miles are 4.83 km
    (
        "legs-visibility",
        R,
        [("weather.at.PONTOON", ""), ("weather.at.NORTHBOURNE", ""), ("weather.at.EASTLEA", "")],
        MISSING,
    ),  # Hartwell is 46 nm from the pontoon
    # the transit begins at 14000 ft, and nothing in formation is higher
    ("legs-cloud", R, [*CLEAR, cloud("PONTOON", "[BKN 14500 ft MSL]")], PASS),
    ("legs-cloud", R, [*CLEAR, cloud("PONTOON", "[BKN 14499 ft MSL]")], FAIL),
    ("legs-cloud", R, [*CLEAR, cloud("PONTOON", "[SCT 14499 ft MSL]")], CAUTION),
    # the run-in reads 1500 ft; at -10 C, 25 C below the standard, 1490 ft over PONTOON are 0.913 of that
    # (261.7 K over 286.7 K half-way up): 1370 ft, 600 and 470 ft over the tops
    ("legs-cloud", R, [*CLEAR, cloud("PONTOON", "[FEW 300 ft MSL top 900 ft MSL]")], PASS),
    ("legs-cloud", R, [*CLEAR, *COLD, cloud("PONTOON", "[BKN 300 ft MSL top 770 ft MSL]")], PASS),
    ("legs-cloud", R, [*CLEAR, *COLD, cloud("PONTOON", "[BKN 300 ft MSL top 900 ft MSL]")], FAIL),
    (
        "legs-cloud",
        R,
        [*CLEAR, *NO_TEMPERATURE, cloud("PONTOON", "[FEW 300 ft MSL top 900 ft MSL]")],
        MISSING,
    ),
    ("legs-cloud", R, [*CLEAR, *NO_TEMPERATURE, cloud("PONTOON", "[BKN 300 ft MSL top 1001 ft MSL]")], FAIL),
    ("legs-cloud", R, [*CLEAR, *NO_TEMPERATURE, cloud("PONTOON", "[BKN 14500 ft MSL]")], PASS),
    ("legs-cloud", R, [*CLEAR, cloud("PONTOON", "")], MISSING),
    ("event-ceiling", R, [cloud("PONTOON", "[BKN 2500 ft AGL]")], PASS),
    ("event-ceiling", R, [cloud("PONTOON", "[BKN 2499 ft AGL]")], FAIL),
    ("event-ceiling", R, [cloud("PONTOON", "")], MISSING),
    ("event-visibility", R, [("weather.at.PONTOON.visibility", "5 km")], PASS),
    ("event-visibility", R, [("weather.at.PONTOON.visibility", "4.9 km")], FAIL),
    ("event-visibility", R, [("weather.at.PONTOON.visibility", "")], MISSING),
    # 3 statute miles are 4.83 km: 4 km of the unit's own are less than 14 CFR 91.155(a) has
    (
        "event-visibility",
        R,
        [USA, ("limits.event_visibility_minimum", "4 km"), ("weather.at.PONTOON.visibility", "4.9 km")],
        PASS,
    ),
    (
        "event-visibility",
        R,
        [USA, ("limits.event_visibility_minimum", "4 km"), ("weather.at.PONTOON.visibility", "4.8 km")],
        CAUTION,
    ),
    (
        "event-visibility",
        R,
        [USA, ("limits.event_visibility_minimum", "4 km"), ("weather.at.PONTOON.visibility", "3.9 km")],
        FAIL,
    ),
    # the leader at 1500 ft MSL over ground at 10 ft, 500 ft below cloud
    ("convective-cloud", R, [cloud("EASTLEA", "[SCT 5000 ft AGL CB]")], CAUTION),
    # the last landing is at 04:00:21 Z, slip included
    (
        "convective-cloud",
        R,
        [
            cloud("EASTLEA", "[SCT 5000 ft AGL CB]"),
            ("weather.valid", "2027-01-30 00:00 Z to 2027-01-30 04:01 Z"),
        ],
        CAUTION,
    ),
    (
        "convective-cloud",
        R,
        [
            cloud("EASTLEA", "[SCT 5000 ft AGL CB]"),
            ("weather.valid", "2027-01-30 00:00 Z to 2027-01-30 04:00 Z"),
        ],
        MISSING,
    ),
    ("pass-cloud", R, [cloud("PONTOON", "[OVC 1990 ft AGL]")], PASS),
    ("pass-cloud", R, [cloud("PONTOON", "[OVC 1989 ft AGL]")], FAIL),
    ("pass-cloud", R, [cloud("PONTOON", "[SCT 1989 ft AGL]")], CAUTION),
    ("pass-cloud", R, [cloud("PONTOON", "")], MISSING),
    # the abort climbs to 2000 ft MSL, the pontoon stands at 10: 490 ft more
    ("abort-cloud", R, [cloud("PONTOON", "[OVC 2490 ft AGL]")], PASS),
    ("abort-cloud", R, [cloud("PONTOON", "[OVC 2489 ft AGL]")], FAIL),
    ("abort-cloud", R, [cloud("PONTOON", "[SCT 2489 ft AGL]")], CAUTION),
    ("abort-cloud", R, [cloud("PONTOON", "")], MISSING),
    # begun at the IP, 8 nm before the pontoon, it climbs into what is forecast there
    ("abort-cloud", R, [cloud("IP", "[OVC 2500 ft MSL]")], PASS),
    ("abort-cloud", R, [cloud("IP", "[OVC 2499 ft MSL]")], FAIL),
    ("abort-cloud", R, [cloud("IP", "[SCT 2499 ft MSL]")], CAUTION),
    ("abort-cloud", R, [cloud("IP", "[OVC 300 ft MSL top 600 ft MSL]")], PASS),  # the run-in is above it
    ("abort-cloud", R, [("weather", "")], MISSING),
    ("abort-cloud", R, [(f"{P}.abort.level", "")], MISSING),
    ("alternate-fuel", R, [], PASS),
    ("alternate-fuel", R, [cloud("NORTHBOURNE", "[BKN 1499 ft AGL]")], CAUTION),
    ("alternate-fuel", R, [(HOME, "")], MISSING),
    (
        "forecast-from",
        R,
        [("weather.valid", "2027-01-30 02:07 Z to 2027-01-30 06:00 Z")],
        PASS,
    ),  # take-off 02:07:00 Z
    # Eastlea is nearest to the pontoon: 44.4' of longitude x cos 38 = 34.9 nm and 6.8', 35.6 nm, so 3 + 0.08
    # x 35.6 = 5.8 hPa are believed; all have 1017 hPa
    ("qnh-agrees", R, [], PASS),
    ("qnh-agrees", R, [NOBODYS], MISSING),
    *(
        ("qnh-agrees", R, [("weather.at.PONTOON.qnh", f"{hpa} hPa")], verdict)
        for hpa, verdict in ((1019, PASS), (1022, PASS), (1023, CAUTION), (985, CAUTION))
    ),
    ("winds-aloft", R, [], PASS),
    ("winds-aloft", R, [("weather.winds", "[{level: 5000 ft MSL, wind: 000T/0kt}]")], PASS),  # calm is a wind
    ("winds-aloft", R, [("weather.winds", "")], MISSING),
    ("winds-aloft", R, [("weather", "")], MISSING),
    ("forecast-from", R, [("weather.valid", "2027-01-30 02:08 Z to 2027-01-30 06:00 Z")], FAIL),
    ("forecast-from", R, [("weather.valid", "")], MISSING),
    (
        "forecast-until",
        R,
        [("weather.valid", "2027-01-30 00:00 Z to 2027-01-30 04:01 Z")],
        PASS,
    ),  # 03:50:21 and 10 min
    ("forecast-until", R, [("weather.valid", "2027-01-30 00:00 Z to 2027-01-30 04:00 Z")], FAIL),
    ("forecast-until", R, [("weather.valid", "")], MISSING),
    ("forecast-age", R, [("weather.issued", "2027-01-29 21:41 Z")], PASS),  # to 03:40:02 Z: 5 h 59 min
    ("forecast-age", R, [("weather.issued", "2027-01-29 21:40 Z")], FAIL),
    # take-off 02:07:00 Z, brief 2 h 15 min before it: 23:52 Z
    ("forecast-age", R, [("weather.issued", "2027-01-30 02:08 Z")], FAIL),
    ("forecast-age", R, [("weather.issued", "2027-01-30 02:07 Z")], CAUTION),
    ("forecast-age", R, [("weather.issued", "2027-01-29 23:53 Z")], CAUTION),
    ("forecast-age", R, [("weather.issued", "2027-01-29 23:52 Z")], PASS),
    ("forecast-age", R, [("weather.issued", "2027-01-30 03:41 Z")], FAIL),  # after the latest pass
    ("forecast-age", R, [("weather.issued", "")], MISSING),
    *(
        (id, R, [("weather.source", "TBD")], MISSING)
        for id in ("forecast-age", "forecast-from", "forecast-until")
    ),
    *(
        (id, R, [("weather.source", "unknown")], MISSING)
        for id in ("winds-aloft", "event-ceiling", "crosswind")
    ),
    ("event-visibility", R, [("weather.source", "TBD"), ("weather.at.PONTOON.visibility", "4 km")], FAIL),
]

DAY = [
    (
        "daylight-landing",
        R,
        [("limits.land_before_sunset", "5 h 50 min")],
        PASS,
    ),  # 04:00:21 Z with the slip; sunset 09:51 Z
    ("daylight-landing", R, [("limits.land_before_sunset", "5 h 53 min")], FAIL),
    ("daylight-landing", R, [("limits.land_before_sunset", "")], MISSING),
    (
        "base-open",
        R,
        [("places.NORTHBOURNE.open", "12:37 to 14:31 base")],
        PASS,
    ),  # 12:37:00 to 14:30:21 with the slip
    ("base-open", R, [("places.NORTHBOURNE.open", "12:37 to 14:30 base")], FAIL),
    ("base-open", R, [("places.NORTHBOURNE.open", "12:38 to 19:00 base")], FAIL),
    ("base-open", R, [("places.NORTHBOURNE.open", "")], MISSING),
    # Hartwell is 62.6 nm away: 10 to 12 min at 360 KTAS in 30 kt of wind, and 8 min of approach; Eastlea 78.6
    # nm: 12 to 15 min and 8 min
    ("alternate-open", R, [("places.HARTWELL.open", "06:00 to 15:21 event")], PASS),
    ("alternate-open", R, [("places.HARTWELL.open", "06:00 to 15:17 event")], FAIL),
    ("alternate-open", R, [("places.HARTWELL.open", "")], MISSING),
    ("divert-1-open", R, [("places.EASTLEA.open", "06:00 to 15:24 event")], PASS),
    ("divert-1-open", R, [("places.EASTLEA.open", "06:00 to 15:19 event")], FAIL),
    ("divert-1-open", R, [NO_FUEL], MISSING),  # no approach: how long it takes isn't known
    # 09:30 to 15:20:21 at the base, 10 min of slip, 20 to 23 min to Eastlea
    ("duty-period", R, [("limits.duty_period", "6 h 24 min")], PASS),
    ("duty-period", R, [("limits.duty_period", "6 h 20 min")], FAIL),
    ("duty-period", R, [("ground_ops.report", "")], MISSING),
    ("duty-period", R, [("ground_ops.takeoff", ""), ("ground_ops.report", "12:30 base")], PASS),
    # the take-off that is worked out is 12:36:32 base
    ("duty-period", R, [("ground_ops.takeoff", ""), ("ground_ops.report", "12:40 base")], FAIL),
    ("duty-period", R, [("ground_ops.takeoff", "12:37:00 base"), ("ground_ops.report", "23:00 base")], FAIL),
    # nothing says when the last ship lands, or when a solved take-off is
    *(
        (id, R, [("recovery.approach", "")], MISSING)
        for id in ("daylight-landing", "forecast-until", "base-open", "duty-period")
    ),
    *(
        (id, R, [("departure", ""), ("ground_ops.takeoff", "")], MISSING)
        for id in ("daylight-takeoff", "forecast-from", "base-open", "duty-period")
    ),
    ("duty-period", R, [NO_FUEL], MISSING),
]

CONTINGENCIES = (
    "lost_wingman",
    "lost_communications",
    "knock_it_off",
    "inadvertent_cloud",
    "no_ground_contact",
)
BRIEFED = [
    *(
        (f"contingency-{key.replace('_', '-')}", R, [(f"contingencies.{key}.action", "Turn away")], PASS)
        for key in CONTINGENCIES
    ),
    *(
        (f"contingency-{key.replace('_', '-')}", R, [(f"contingencies.{key}.action", "TBD")], FAIL)
        for key in CONTINGENCIES
    ),
    *(
        (f"contingency-{key.replace('_', '-')}", R, [(f"contingencies.{key}", "")], MISSING)
        for key in CONTINGENCIES
    ),
    ("contingency-no-ground-contact", R, [("contingencies.no_ground_contact.after", "")], MISSING),
    (
        "contingency-no-ground-contact",
        R,
        [
            ("contingencies.no_ground_contact.after", ""),
            ("contingencies.no_ground_contact.then", "go home"),
            (f"{P}.hold", ""),
            (f"{P}.no_cue", "go home"),
        ],
        PASS,
    ),  # no hold to leave
    ("contingency-no-ground-contact", R, [("contingencies.no_ground_contact.then", "")], MISSING),
    ("contingency-no-ground-contact", R, [(f"{P}.no_cue", "")], MISSING),
    ("contingency-no-ground-contact", R, [(f"{P}.return_turn", "")], MISSING),
    ("contingency-no-ground-contact", R, [(f"{P}.return_turn", ""), (f"{P}.no_cue", "go home")], PASS),
    # with a clock time nothing hangs on a cue
    ("contingency-no-ground-contact", R, [(f"{P}.time", "14:30:02 event"), (f"{P}.no_cue", "")], PASS),
    ("fall-outs", R, [], PASS),
    ("fall-outs", R, [("contingencies.fall_outs.4", "")], CAUTION),
    ("fall-outs", R, [("contingencies.fall_outs", "")], MISSING),
    ("fall-outs", R, [("contingencies.fall_outs.1", "")], MISSING),
    ("fall-outs", R, [("contingencies.fall_outs.1.leads", "")], MISSING),
    ("divert-given", R, [("recovery.diverts", "")], PASS),  # the alternate is left
    ("divert-given", R, [("recovery.diverts", ""), ("recovery.alternate", "")], MISSING),
    ("abort-briefed", R, [], PASS),
    ("abort-briefed", R, [(f"{P}.abort.action", "to be briefed")], FAIL),
    ("abort-briefed", R, [(f"{P}.abort.said_by", "")], MISSING),
    # the spectators stand some 3200 ft to the side of the nearest ship: test_spectators works it out
    ("crowd-distance", R, [("limits.crowd_distance", "3000 ft")], PASS),
    ("crowd-distance", R, [("limits.crowd_distance", "3500 ft")], FAIL),
    ("crowd-distance", R, [(f"{P}.crowd_line", "")], MISSING),
    # 500 ft at 2500 ft/min are 12 s; the first end of the crowd line is abeam 1.2 s before T
    ("abort-clear", R, [(f"{P}.abort_only_after", "T-14 s")], PASS),
    ("abort-clear", R, [(f"{P}.abort_only_after", "T-13 s")], FAIL),
    ("abort-clear", R, [(f"{P}.crowd_line", "")], MISSING),
    ("abort-clear", R, [("limits.formation_climb_rate", "")], MISSING),
    ("abort-clear", R, [(f"{P}.abort.level", "")], MISSING),
    ("notices", F, [("notices", "[{reference: C1/27, says: A crane, read: 2027-03-13}]")], PASS),
    ("notices", F, [("notices", "[{reference: C1/27, says: A crane}]")], CAUTION),
    # founders' day is 2027-03-14: three days before it is fresh enough, four are not (default)
    ("notices", F, [("notices", "[{reference: C1/27, says: A crane, read: 2027-03-11}]")], PASS),
    ("notices", F, [("notices", "[{reference: C1/27, says: A crane, read: 2027-03-10}]")], CAUTION),
    ("notices", F, [("notices", "{none: yes, read_by: Capt R. Ness, read: 2026-03-14}")], CAUTION),
    ("notices", F, [("notices", "{none: yes, read_by: Capt R. Ness, read: 2027-03-15}")], MISSING),
    ("notices", F, [("notices", "")], MISSING),
    ("risk-reason", R, [], PASS),
    ("risk-reason", R, [("risk.1.control", "")], CAUTION),
    ("risk-reason", R, [("risk", "")], MISSING),
    ("supervisor-apart", R, [], PASS),
    ("supervisor-apart", R, [("sortie.supervisor", "")], MISSING),
    ("supervisor-apart", R, [("sortie.supervisor.name", "Okafor-Lind")], FAIL),  # who leads
    ("supervisor-apart", R, [("sortie.supervisor.name", "TBD")], MISSING),
    ("supervisor-apart", R, [("sortie.supervisor.name", "N.N.")], MISSING),
    ("supervisor-apart", R, [("flight.1.crew", "[TBD]")], MISSING),  # it may be the supervisor
    (
        "supervisor-apart",
        R,
        [("flight.1.crew", "[TBD, Maj R. Okafor-Lind]"), ("sortie.supervisor.name", "Maj R. Okafor-Lind")],
        FAIL,
    ),
    (
        "risk-accepted",
        R,
        [("flight.1.crew", "[TBD]"), ("risk.1.accepted_by", "Lt Col S. Varga")],
        MISSING,
    ),
    ("notices", R, [("notices", "{none: yes, read_by: TBD, read: 2027-01-29}")], MISSING),
    ("supervisor-apart", R, [("sortie.supervisor.name", "unknown")], MISSING),
    (
        "supervisor-apart",
        R,
        [
            ("sortie.supervisor.name", "Okafor-Lind"),
            ("sortie.self_authorised", "{authority: Wing order 12, reason: no supervisor at the base}"),
        ],
        PASS,
    ),
    (
        "supervisor-apart",
        R,
        [
            ("sortie.supervisor.name", "Okafor-Lind"),
            ("sortie.self_authorised", "{authority: TBD, reason: no supervisor at the base}"),
        ],
        FAIL,
    ),
    ("risk-accepted", R, [], PASS),
    ("risk-accepted", R, [("risk.1.accepted_by", "Wessel, T.")], CAUTION),  # however it is written
    ("risk-accepted", R, [("risk.1.accepted_by", "Capt T. Wessel")], CAUTION),  # who flies as number 2
    ("risk-accepted", R, [("risk.1.accepted_by", "")], MISSING),
    ("risk-accepted", R, [("risk.1.accepted_by", "TBD")], MISSING),
    ("risk-reason", R, [("risk.1.control", "TBC")], CAUTION),
]

# a TAF that counts all along, its groups at take-off (02:07 Z) and landing (03:50 Z, 04:00 Z with the slip)
TYPED = "temperature: 22 C, qnh: 1017 hPa"


def taf(body: str, place: str = "NORTHBOURNE", typed: str = TYPED) -> tuple[str, str]:
    """A pasted TAF, with what is typed beside it."""
    return (f"weather.at.{place}", f'{{taf: "TAF XXNB 291700Z 2918/3024 {body}", {typed}}}')


def metar(time: str) -> tuple[str, str]:
    """A pasted METAR of the base, which gives its QNH."""
    return (
        "weather.at.NORTHBOURNE",
        f'{{metar: "METAR XXNB {time} 20014KT CAVOK 21/12 Q1017", temperature: 22 C}}',
    )


def varying(sector: str) -> tuple[str, str]:
    """A calm TAF, and an observation whose wind varies; it counts at take-off."""
    wind = sector.replace("V", "")[:3] + "20KT"
    taf = "TAF XXNB 291700Z 2918/3024 00000KT CAVOK"
    return (
        "weather.at.NORTHBOURNE",
        f'{{taf: "{taf}", metar: "METAR XXNB 300150Z {wind} {sector} CAVOK", {TYPED}}}',
    )


NO_ALTERNATE = ("limits.weather.no_alternate", "{ceiling: 6000 ft AGL, visibility: 5 km}")
CAVOK, BAD = "20014KT 9999 NSC", "20014KT 9999 BKN014"
SOUTH = ("places.NORTHBOURNE.runways", "[{name: 18, direction: 180 T}]")
AIRFIELD_AT_HOLD = ("places.HOLD.runways", "[{name: 18, direction: 180 T}]")
REPORTS = [
    ("takeoff-ceiling", R, [taf(CAVOK)], PASS),
    ("takeoff-ceiling", R, [taf(BAD)], FAIL),  # 1500 ft at the least
    ("takeoff-ceiling", R, [taf("20014KT 9999 BKN015")], PASS),
    ("takeoff-ceiling", R, [taf("20014KT 9999 BKN///")], MISSING),
    ("takeoff-ceiling", R, [taf("20014KT 9999 BKN014 FM300200 20014KT 9999 NSC")], PASS),
    ("takeoff-ceiling", R, [taf("20014KT 9999 NSC FM300207 20014KT 9999 BKN014")], FAIL),
    # a BECMG: worse from its beginning, better from its end
    ("takeoff-ceiling", R, [taf("20014KT 9999 NSC BECMG 3002/3004 BKN014")], FAIL),
    ("takeoff-ceiling", R, [taf("20014KT 9999 BKN014 BECMG 3002/3004 BKN020")], FAIL),
    ("takeoff-ceiling", R, [taf("20014KT 9999 BKN014 BECMG 3000/3002 BKN020")], PASS),
    # a TEMPO is a caution at take-off and counts at the landing, a PROB is a caution
    ("takeoff-ceiling", R, [taf("20014KT 9999 NSC TEMPO 3002/3003 BKN014")], CAUTION),
    ("landing-ceiling", R, [taf("20014KT 9999 NSC TEMPO 3002/3003 BKN014")], PASS),
    ("landing-ceiling", R, [taf("20014KT 9999 NSC TEMPO 3004/3006 BKN014")], FAIL),
    ("landing-ceiling", R, [taf("20014KT 9999 NSC PROB40 3004/3006 BKN014")], CAUTION),
    ("landing-ceiling", R, [taf("20014KT 9999 NSC PROB40 TEMPO 3004/3006 BKN014")], CAUTION),
    (
        "landing-ceiling",
        R,
        [taf("20014KT 9999 NSC PROB40 3004/3006 BKN014"), ("limits.weather.temporary_counts", "yes")],
        FAIL,
    ),
    (
        "takeoff-ceiling",
        R,
        [taf("20014KT 9999 NSC TEMPO 3002/3003 BKN014"), ("limits.weather.temporary_counts", "yes")],
        FAIL,
    ),
    # what is better only for a while helps nobody, and other elements stay as they were
    ("landing-ceiling", R, [taf("20014KT 9999 BKN014 TEMPO 3002/3006 SCT030")], FAIL),
    ("landing-visibility", R, [taf("20014KT 9999 NSC TEMPO 3004/3006 BKN014")], PASS),
    ("landing-visibility", R, [taf("20014KT 9999 NSC TEMPO 3004/3006 4900")], FAIL),
    ("landing-visibility", R, [taf("20014KT 3SM NSC")], FAIL),
    ("landing-visibility", R, [taf("20014KT P6SM NSC")], PASS),
    # more than it says may be less than is asked
    ("landing-visibility", R, [taf(CAVOK), ("limits.weather.landing.visibility", "12 km")], MISSING),
    # cloud that is significant for an aerodrome alone says nothing above 5000 ft
    ("landing-ceiling", R, [taf(CAVOK), ("limits.weather.landing.ceiling", "5001 ft AGL")], MISSING),
    (
        "landing-ceiling",
        R,
        [taf("20014KT P6SM SKC"), ("limits.weather.landing.ceiling", "5001 ft AGL")],
        PASS,
    ),
    ("legs-cloud", R, [taf(CAVOK), cloud("PONTOON", "[]")], MISSING),
    ("legs-cloud", R, [taf("20014KT P6SM SKC"), cloud("PONTOON", "[]")], PASS),
    # a report outside of its time
    ("landing-ceiling", R, [(taf(CAVOK)[0], taf(CAVOK)[1].replace("2918/3024", "2918/3004"))], MISSING),
    ("takeoff-ceiling", R, [(taf(CAVOK)[0], taf(CAVOK)[1].replace("2918/3024", "2918/3004"))], PASS),
    ("takeoff-ceiling", R, [metar("300207Z")], PASS),
    ("takeoff-ceiling", R, [metar("300106Z")], MISSING),
    ("landing-ceiling", R, [metar("300207Z")], MISSING),
    # what is typed wins
    ("takeoff-ceiling", R, [taf(BAD, typed=f"cloud: [], {TYPED}")], PASS),
    # 330 deg on a runway 180: 40 kt x sin 30 deg = 20 kt; a variable wind counts whole
    ("crosswind", R, [taf("33025G40KT CAVOK"), ("limits.crosswind", "20.1 kt"), SOUTH], PASS),
    ("crosswind", R, [taf("33025G40KT CAVOK"), ("limits.crosswind", "19.9 kt"), SOUTH], FAIL),
    ("crosswind", R, [taf("VRB15KT CAVOK"), ("limits.crosswind", "15 kt"), SOUTH], PASS),
    ("crosswind", R, [taf("VRB15KT CAVOK"), ("limits.crosswind", "14 kt"), SOUTH], FAIL),
    # 170 to 230 varying: at the worst 230 on a runway 180, 20 kt x sin 50 deg = 15.3 kt
    ("crosswind", R, [varying("170V230"), ("limits.crosswind", "15.4 kt"), SOUTH], PASS),
    ("crosswind", R, [varying("170V230"), ("limits.crosswind", "15.2 kt"), SOUTH], FAIL),
    ("crosswind", R, [varying("350V030"), ("limits.crosswind", "10.1 kt"), SOUTH], PASS),  # sin 30 deg
    ("crosswind", R, [varying("350V030"), ("limits.crosswind", "9.9 kt"), SOUTH], FAIL),
    ("report-words", R, [taf(CAVOK)], PASS),
    ("report-words", R, [taf(CAVOK + " XYZZY")], CAUTION),
    ("report-place", R, [AIRFIELD_AT_HOLD, taf(CAVOK, "HOLD"), taf(CAVOK, "PONTOON")], CAUTION),
    ("report-place", R, [taf(CAVOK, "EASTLEA"), taf(CAVOK, "PONTOON")], MISSING),  # 36 nm
    ("report-place", R, [taf(CAVOK, "PONTOON")], MISSING),
    ("report-observed", R, [metar("300330Z")], PASS),  # the last landing at a divert is at 04:21 Z
    ("report-observed", R, [metar("300200Z")], MISSING),
    ("report-thunderstorm", R, [taf(CAVOK + " PROB30 3003/3004 -TSRA")], CAUTION),
    ("report-icing", R, [taf("20014KT 9999 -FZDZ NSC")], CAUTION),
    ("report-icing", R, [taf(CAVOK + " 641104")], CAUTION),
    ("report-fog", R, [taf(CAVOK + " TEMPO 3004/3006 VCFG")], CAUTION),
    ("report-vertical-visibility", R, [taf("20014KT 9999 VV020")], CAUTION),
    ("report-shear", R, [taf(CAVOK + " WS020/24045KT")], CAUTION),
    ("convective-cloud", R, [taf(CAVOK + " TEMPO 3003/3004 FEW040CB")], CAUTION),
    # an alternate is spared by what holds for an hour before and after, whatever is temporary
    ("alternate-fuel", R, [taf(CAVOK)], PASS),
    ("alternate-fuel", R, [taf(CAVOK), NO_ALTERNATE], MISSING),  # cloud up to 5000 ft is told, not to 6000
    ("alternate-fuel", R, [taf("20014KT P6SM SKC"), NO_ALTERNATE], PASS),
    ("alternate-fuel", R, [taf(CAVOK + " PROB30 3005/3006 BKN019")], CAUTION),
]
ROWS_OF_THE_DAY = [*TRAINING, *FUEL, *WEATHER, *REPORTS, *DAY, *BRIEFED]
