"""Every gate just inside its limit, just outside, and with its data missing.

A row is (id, mission, changes, verdict). The figures that the limits are laid beside are worked out in other
tests: the clock, the hold and the fuel of the regatta in the rooms of tests/plan; here a limit is moved to
each side of them. Regatta: wait in the hold 512.8 s, leave-hold 03:28:20.6 Z, T 03:30:02 Z, last landing
03:50:21.3 Z, set-ups 4, lowest ship 1470 ft MSL."""

R, L, F = "regatta", "lantern-fair", "founders-day"
PASS, FAIL, CAUTION, MISSING = "PASS", "FAIL", "CAUTION", "NOT CHECKED"
USA = ("limits.regime", "usa")
PETREL = "aircraft.petrel"
P = "event.pass"
NO_FUEL = ("recovery.approach", "")
# half a mile to the left of the inbound track at the hold's fix, outside its right turns
OFF_HOLD = (f"{P}.obstacles.1.position", "38°26.41'S 141°26.51'E")
AT_A_TIME = (f"{P}.time", "14:30:02 event")
NOBODYS = ("weather.source", "TBD")
EXIT_QNH = ("weather.at.EXIT.qnh", "1017 hPa")  # no other place with one is within 25 nm of it
NO_RELAY = ("event.relay_time", "")
PUSH_TO_420 = (f"{P}.push_up_to", "420 KGS")
BY_SPEED_BELOW_TWO_LAPS = (
    ("ground_ops.takeoff", "12:38:23 base"),
    (f"{P}.hold.planned", ""),
    ("event.accept_slip.early", "10 s"),
)
NO_HOLD = (
    (f"{P}.hold", ""),
    (f"{P}.no_cue", "go home"),
    (f"{P}.after_leaving_hold", ""),
    ("contingencies.no_ground_contact.then", "go home"),
    ("contingencies.no_ground_contact.after", "60 s before IP"),
)


def cloud(place: str, layers: str) -> tuple[str, str]:
    """The forecast's cloud at a place."""
    return (f"weather.at.{place}.cloud", layers)


# an event at the airfield has its run-in there too, a mile of latitude and one of longitude apart
NEAR_BASE = (
    (f"{P}.crowd_line", ""),
    (f"{P}.obstacles", ""),
    ("places.IP.position", "37°46.4'S 140°43.7'E"),
    ("places.HOLD.position", "37°47.5'S 140°42.0'E"),
)
HOUR_EARLY = (
    ("event.script.PARADE.time", "13:24:30 event"),
    ("event.script.ANTHEM.time", "13:28:06 event"),
)
CLEAR = tuple(cloud(place, "[]") for place in ("NORTHBOURNE", "EASTLEA", "HARTWELL"))
FOUR_OFFSETS = (
    "[{{ship: 2, right: -30 ft, back: 30 ft, down: 10 ft}}, {{ship: 3, right: 30 ft, back: 30 ft, down:"
    " {down}}}, {{ship: 4, right: 60 ft, back: {back}, down: 30 ft}}]"
)


def offsets(*, back: str = "60 ft", down: str = "20 ft") -> tuple[tuple[str, str], ...]:
    """Places of the wingmen one by one, instead of a named formation."""
    return ((f"{P}.run_in.formation", ""), (f"{P}.run_in.offsets", FOUR_OFFSETS.format(back=back, down=down)))


FIVE = (
    "["
    + ", ".join(
        f"{{ship: {n}, crew: [Pilot {n}], aircraft: petrel, start_fuel: 5500 lb, burn_factor: 1.02}}"
        for n in range(1, 6)
    )
    + "]"
)
BARE_SPEEDS = ((f"{PETREL}.speed_limits.maximum", ""), (f"{PETREL}.speed_limits.maximum_mach", ""))

TIMING = [
    # half a circle at 30 degrees of bank and 280 KTAS takes 180 / (1092.2067 tan 30 / 280) = 79.9 s: no lap
    # is shorter than two of them
    ("t-reachable", R, [("ground_ops.takeoff", "12:41:00 base")], PASS),
    ("t-reachable", R, [("ground_ops.takeoff", "12:43:30 base")], FAIL),
    ("hold-minimum", R, [(f"{P}.hold.minimum", "8 min 32 s"), (f"{P}.hold.planned", "")], PASS),
    ("hold-minimum", R, [(f"{P}.hold.minimum", "8 min 33 s"), (f"{P}.hold.planned", "")], FAIL),
    ("hold-minimum", R, [(f"{P}.hold.minimum", "")], MISSING),
    ("hold-maximum", R, [(f"{P}.hold.maximum", "8 min 33 s"), (f"{P}.hold.planned", "")], PASS),
    ("hold-maximum", R, [(f"{P}.hold.maximum", "8 min 32 s"), (f"{P}.hold.planned", "")], FAIL),
    ("hold-maximum", R, [(f"{P}.hold.maximum", "")], MISSING),
    # a take-off 9 min 30 s later uses up the wait of 512.8 s: none is left that could be judged
    ("hold-maximum", R, [("ground_ops.takeoff", "12:46:30 base")], MISSING),
    ("hold-minimum", R, [("ground_ops.takeoff", "12:46:30 base")], FAIL),
    ("slip-late", R, [("ground_ops.takeoff", "12:46:30 base")], MISSING),
    # regatta comes in 50 degrees against the left turns of its hold, which is direct up to 70; lantern-fair
    # 112: a parallel entry
    ("hold-entry", R, [], PASS),
    ("hold-entry", "lantern-fair", [], CAUTION),
    # a hold at 60 KTAS in 25 kt from behind needs a leg of 52.7 s for a lap that ends at the fix
    ("hold-leg", R, [], PASS),
    # the anthem at 03:28:06 and so many seconds to relay it, against leave-hold at 03:28:20.6
    ("cue-first", R, [("event.relay_time", "14 s")], PASS),
    ("cue-first", R, [("event.relay_time", "15 s")], FAIL),
    ("cue-first", R, [(f"{P}.time", "14:30:02 event")], MISSING),
    # without a relay time what would do is not checked, and what is too late without one stays so: leave-hold
    # is 14:28:20.6 by the event's clock, and a note at 14:28:21 for 101 s ends at the same T
    ("cue-first", R, [NO_RELAY], MISSING),
    # by a clock time T hangs on no cue. PARADE begins at 03:24:30 Z and ANTHEM at 03:28:06 Z, ten seconds of
    # relay each; alone in the script ANTHEM is known by leave-hold at 03:28:20.6, a relay of 15 s later not
    ("cues-in-hold", R, [AT_A_TIME], PASS),
    ("cues-in-hold", R, [AT_A_TIME, ("event.script.PARADE", ""), ("event.relay_time", "14 s")], PASS),
    ("cues-in-hold", R, [AT_A_TIME, ("event.script.PARADE", ""), ("event.relay_time", "15 s")], CAUTION),
    ("cues-in-hold", R, [AT_A_TIME, NO_RELAY], MISSING),
    (
        "cue-first",
        R,
        [NO_RELAY, ("event.script.ANTHEM.time", "14:28:21 event"), ("event.script.ANTHEM.lasts", "101 s")],
        FAIL,
    ),
    # 11.19 s early and 27.19 s late by speed, against the spread and the tolerance of 5 s
    ("authority-early", R, [("event.script.ANTHEM.spread", "6 s")], PASS),
    ("authority-early", R, [("event.script.ANTHEM.spread", "7 s")], FAIL),
    ("authority-early", R, [(f"{P}.tolerance", "")], MISSING),
    ("authority-late", R, [("event.script.ANTHEM.spread", "22 s")], PASS),
    ("authority-late", R, [("event.script.ANTHEM.spread", "23 s")], FAIL),
    ("authority-late", R, [(f"{P}.tolerance", "")], MISSING),
    *((f"authority-{way}", R, [NO_RELAY], MISSING) for way in ("early", "late")),
    ("authority-early", R, [NO_RELAY, ("event.script.ANTHEM.spread", "40 s")], FAIL),
    # each nm at 390 instead of 300 kt gains 2.769 s: a bias of 15 s is 6.917 nm of push, 15.5 s 7.097 nm,
    # 15.7 s 7.170 nm; the IP is 7.970 nm out, so 0.873 nm (10.5 s) and 0.800 nm (9.6 s) are left before it
    ("push-slack", R, [(f"{P}.late_bias", "15.5 s")], PASS),
    ("push-slack", R, [(f"{P}.late_bias", "15.7 s")], FAIL),
    ("push-slack", R, [(f"{P}.push_up_to", "310 KGS")], MISSING),
    ("cap-margin", R, [("limits.pass_maximum_speed", "406 KGS")], PASS),
    ("cap-margin", R, [("limits.pass_maximum_speed", "404 KGS")], FAIL),
    ("cap-margin", R, [("limits.pass_maximum_speed", ""), *BARE_SPEEDS], MISSING),
    ("slip-late", R, [(f"{P}.hold.maximum", "18 min 33 s")], PASS),  # 512.8 + 600 = 1112.8 s
    ("slip-late", R, [(f"{P}.hold.maximum", "18 min 32 s")], FAIL),
    ("slip-late", R, [(f"{P}.hold.maximum", "")], MISSING),
    (
        "slip-early",
        R,
        [("event.accept_slip.early", "272 s")],
        PASS,
    ),  # 512.8 - 272 = 240.8, the minimum is 240 s
    ("slip-early", R, [("event.accept_slip.early", "273 s")], FAIL),
    # one lap of the regatta lasts at most 383.1 s, two at least 422.9 s: 512.8 - 422.9 = 89.9 s early can be
    # flown, 90 s can't
    # twice the root of 10^2 + 4^2 is 21.54 s
    *(
        row
        for way in ("early", "late")
        for row in (
            (f"slip-spread-{way}", R, [(f"event.accept_slip.{way}", "22 s")], PASS),
            (f"slip-spread-{way}", R, [(f"event.accept_slip.{way}", "21 s")], CAUTION),
            (f"slip-spread-{way}", R, [("event.script.ANTHEM.spread", "")], MISSING),
        )
    ),
    ("slip-holes", R, [("event.accept_slip.early", "89 s")], PASS),
    ("slip-holes", R, [("event.accept_slip.early", "90 s")], CAUTION),
    # without a hold speed gives 5 s, far less than 10 min; early it takes more than the 390 KGS up to which a
    # fuel flow is given
    ("slip-early", R, [*NO_HOLD, ("event.accept_slip.early", "5 s")], MISSING),
    *(
        row
        for way in ("early", "late")
        for row in (
            (f"slip-{way}", R, [*NO_HOLD, (f"event.accept_slip.{way}", "5 s"), PUSH_TO_420], PASS),
            (f"slip-{way}", R, [*NO_HOLD, (f"event.accept_slip.{way}", "5 s"), NO_RELAY], MISSING),
            (f"slip-{way}", R, [*NO_HOLD, (f"event.accept_slip.{way}", "10 min"), NO_RELAY], FAIL),
        )
    ),
    # laps alone leave no such hole, and hang on no relay
    ("slip-holes", R, [("event.accept_slip.early", "89 s"), NO_RELAY], PASS),
    # with a hold of 429.8 s two laps give 6.9 s early and speed the rest of 10 s, at up to 413 KGS: more than
    # the 390 KGS up to which a fuel flow is given
    ("slip-holes", R, BY_SPEED_BELOW_TWO_LAPS, MISSING),
    ("slip-holes", R, [*BY_SPEED_BELOW_TWO_LAPS, PUSH_TO_420], PASS),
    ("slip-holes", R, [*BY_SPEED_BELOW_TWO_LAPS, PUSH_TO_420, NO_RELAY], MISSING),
]

# 0.2' south and 1.0' east (0.784 nm) of the centre: 0.784 cos 52 + 0.2 sin 52 = 0.64 nm to the right of the
# track
AWAY = (f"{P}.obstacles.1.position", "38°21.0'S 141°37.6'E")


def by_hand(lowest: str, date: str = "2027-01-20") -> str:
    """Somebody has looked at the chart."""
    return f"{{by: Capt T. Wessel, source: chart 12, date: {date}, lowest: {lowest}}}"


OWN_LEGS, LOW_PASS = ("limits.legs_minimum_height", "1000 ft"), ("limits.pass_minimum_height", "400 ft")
TURNS_AWAY = ((f"{P}.egress.course", "058 T"),)


def turn_by_hand(lowest: str) -> tuple[str, str]:
    """Somebody has looked at the chart under the turn after the pass."""
    return (f"{P}.egress.turn_checked", by_hand(lowest))


# Eastlea on the run-in's line beyond the pontoon: 6.8' of latitude and 6.8 tan 52 / 0.786 = 11.1' of
# longitude from it
BACK_OVER = (
    (f"{P}.egress.course", "232 T"),
    ("places.EASTLEA.position", "38°14.0'S 141°47.7'E"),
    (
        "recovery.legs",
        "[{to: EASTLEA, level: 2000 ft MSL, speed: 360 KTAS},"
        " {to: NORTHBOURNE, level: 12000 ft MSL, speed: 360 KTAS}]",
    ),
)


def qnh_south(minutes: float) -> list[tuple[str, str]]:
    """The pontoon's QNH is that of a buoy so many minutes of latitude south of it, the next being Eastlea's,
    6.8' north and 44.4' of longitude (34.9 nm) east: 36 nm. 24.5' and 25.5' of latitude are 24.5 and 25.5 nm.
    """
    return [
        ("weather.at.PONTOON.qnh", ""),
        ("places.BUOY", f"{{position: 38°{20.8 + minutes:.1f}'S 141°36.6'E, elevation: 0 ft MSL}}"),
        ("weather.at.BUOY", "{qnh: 1017 hPa, temperature: 20 C}"),
    ]


HEIGHTS = [
    # the floor is the terminal and the unit's 1000 ft; the lowest ship reads 1470 ft, the leader 1500 ft;
    # what must not be read less goes up to the next 10 ft
    ("pass-minimum", R, [(f"{P}.obstacles.1.top", "470 ft MSL")], PASS),
    ("pass-minimum", R, [(f"{P}.obstacles.1.top", "471 ft MSL")], FAIL),
    ("pass-minimum", R, [("event.permission.lowest", "1470 ft MSL")], PASS),
    ("pass-minimum", R, [("event.permission.lowest", "1471 ft MSL")], FAIL),
    ("pass-minimum", R, [(f"{P}.run_in.spacing", "")], MISSING),  # where the wingmen are isn't known
    ("pass-minimum", R, [("weather", "")], MISSING),
    # the terminal stands 0.33 nm from the centre, under the wingmen; the lowest ship is at 1500 - 3 x 10 =
    # 1470 ft
    ("pass-height", R, [(f"{P}.obstacles.1.top", "470 ft MSL")], PASS),
    ("pass-height", R, [(f"{P}.obstacles.1.top", "471 ft MSL")], FAIL),
    ("pass-height", R, [("weather", "")], MISSING),  # no QNH and no temperature: it may be colder than ISA
    ("pass-height", R, [("weather", ""), (f"{P}.obstacles.1.top", "471 ft MSL")], FAIL),
    ("pass-height", R, qnh_south(24.5), PASS),
    ("pass-height", R, qnh_south(25.5), MISSING),
    ("pass-minimum", R, qnh_south(25.5), MISSING),
    ("permission-lowest", R, qnh_south(25.5), MISSING),
    # what stands by the pontoon counts, not the IP, which lies 4.9' further south and 6.3 nm west: 21.6 nm
    ("height-run-in", R, qnh_south(24.0), PASS),
    ("height-run-in", R, qnh_south(25.5), MISSING),
    ("pass-height", R, [*qnh_south(25.5), (f"{P}.obstacles.1.top", "471 ft MSL")], FAIL),
    ("permission-lowest", R, [("weather", "")], MISSING),
    ("obstacles-near", R, [("weather", "")], MISSING),
    ("pass-height", R, [(f"{P}.obstacles_checked", "")], MISSING),
    ("pass-height", R, [(f"{P}.obstacles_checked.date", "")], MISSING),
    ("pass-height", R, [(f"{P}.obstacles_checked.source", "pending")], MISSING),
    ("obstacles-age", R, [(f"{P}.obstacles_checked.source", "unknown")], MISSING),
    ("pass-height", R, [(f"{P}.obstacles.1.source", "unknown")], MISSING),
    ("pass-height", R, [(f"{P}.obstacles.1.source", "n/a"), (f"{P}.obstacles.1.top", "471 ft MSL")], FAIL),
    ("obstacles-near", R, [(f"{P}.obstacles.1.source", "unknown")], MISSING),
    ("pass-height", R, [(f"{P}.obstacles_checked.date", "2027-01-01")], MISSING),
    ("pass-height", R, [(f"{P}.obstacles_checked.within", "0.32 nm")], MISSING),  # 2000 ft is 0.329 nm
    ("pass-height", R, [(f"{P}.obstacles_checked.within", "0.34 nm")], PASS),
    ("pass-height", R, [(f"{P}.run_in.spacing", "")], MISSING),  # where the wingmen are isn't known
    ("pass-height", R, [(f"{P}.obstacles_checked", ""), (f"{P}.obstacles.1.top", "471 ft MSL")], FAIL),
    (
        "pass-height",
        R,
        [("limits.pass_minimum_height", ""), (f"{P}.obstacles.1.top", "470 ft MSL")],
        PASS,
    ),  # the regime has 1000 ft
    ("pass-height", R, [("limits.pass_minimum_height", ""), (f"{P}.obstacles.1.top", "471 ft MSL")], FAIL),
    ("pass-height", R, [("limits.pass_minimum_height", "1500 ft")], FAIL),  # the unit's own wins
    (
        "pass-height",
        R,
        [("limits.pass_minimum_height", "900 ft"), (f"{P}.obstacles.1.top", "470 ft MSL")],
        PASS,
    ),  # 1000 ft, as the regime has it
    (
        "pass-height",
        R,
        [("limits.pass_minimum_height", "900 ft"), (f"{P}.obstacles.1.top", "471 ft MSL")],
        CAUTION,
    ),  # below it, and the unit allows that
    (
        "pass-height",
        R,
        [("limits.pass_minimum_height", "900 ft"), (f"{P}.obstacles.1.top", "571 ft MSL")],
        FAIL,
    ),
    (
        "pass-height",
        R,
        [("limits.pass_minimum_height", "0 ft"), (f"{P}.obstacles.1.top", "471 ft MSL")],
        CAUTION,
    ),
    ("obstacles-near", R, [AWAY, (f"{P}.obstacles.1.top", "470 ft MSL")], PASS),
    ("obstacles-near", R, [AWAY, (f"{P}.obstacles.1.top", "471 ft MSL")], CAUTION),
    ("obstacles-near", R, [(f"{P}.obstacles_checked.within", "0.99 nm")], MISSING),
    ("obstacles-age", R, [(f"{P}.obstacles_checked.date", "2027-01-02")], PASS),  # 30 - 2 = 28 days
    ("obstacles-age", R, [(f"{P}.obstacles_checked.date", "2027-01-01")], CAUTION),
    ("obstacles-age", R, [(f"{P}.obstacles_checked.date", "")], MISSING),
    ("obstacles-age", R, [(f"{P}.obstacles_checked.date", "2027-01-30")], PASS),  # the day of the sortie
    ("obstacles-age", R, [(f"{P}.obstacles_checked.date", "2027-01-31")], MISSING),  # nobody has looked yet
    # Northbourne stands at 230 ft; nearer to it than 500 ft, our default, is a CAUTION, below it a FAIL, and
    # nearer than the unit's own minimum too
    ("height-departure-1", R, [("departure.1.level", "730 ft MSL")], PASS),
    ("height-departure-1", R, [("departure.1.level", "729 ft MSL")], CAUTION),
    ("height-departure-1", R, [("departure.1.level", "229 ft MSL")], FAIL),
    (
        "height-departure-1",
        R,
        [("departure.1.level", "729 ft MSL"), ("limits.legs_minimum_height", "500 ft")],
        FAIL,
    ),
    (
        "height-departure-1",
        R,
        [("departure.1.level", "729 ft MSL"), ("limits.legs_minimum_height", "499 ft")],
        PASS,
    ),
    ("height-departure-1", R, [(f"{PETREL}.climb", ""), ("places.ENTRY.elevation", "300 ft MSL")], MISSING),
    (
        "height-transit-1",
        R,
        [("places.EXIT.elevation", "1470 ft MSL"), EXIT_QNH],
        PASS,
    ),  # the transit's 2000 ft, less 30 ft of step-down: it may descend at once
    ("height-transit-1", R, [("places.EXIT.elevation", "1471 ft MSL")], FAIL),
    ("height-hold", R, [("places.HOLD.elevation", "1470 ft MSL")], PASS),
    # SERA.5005(f)(2): 500 ft within 500 ft of the track; half a mile beside it, and for take-off and landing,
    # that is our own guess
    ("height-hold", R, [("places.HOLD.elevation", "1471 ft MSL")], FAIL),
    ("height-hold", R, [OFF_HOLD, (f"{P}.obstacles.1.top", "1471 ft MSL")], CAUTION),
    (
        "height-hold",
        R,
        [OFF_HOLD, (f"{P}.obstacles.1.top", "1900 ft MSL"), ("places.HOLD.elevation", "1471 ft MSL")],
        FAIL,
    ),  # the one that a rule fails comes before a nearer one that a guess doubts
    (
        "height-hold",
        R,
        [("places.HOLD.elevation", "1471 ft MSL"), ("limits.legs_minimum_height", "499 ft")],
        CAUTION,
    ),
    (
        "height-hold",
        R,
        [("places.HOLD.elevation", "1472 ft MSL"), ("limits.legs_minimum_height", "499 ft")],
        FAIL,
    ),
    ("height-hold-to-ip", R, [("places.IP.elevation", "970 ft MSL")], PASS),  # 1500 ft, ship 4 30 ft lower
    ("height-hold-to-ip", R, [("places.IP.elevation", "971 ft MSL")], FAIL),
    ("height-run-in", R, [(f"{P}.obstacles.1.top", "970 ft MSL")], PASS),
    ("height-run-in", R, [(f"{P}.obstacles.1.top", "971 ft MSL")], CAUTION),
    *(
        (f"height-{way}", R, [(f"{P}.obstacles.1.source", "unknown")], MISSING)
        for way in ("run-in", "egress", "abort", "home", "divert")
    ),
    # the pontoon stands under the run-in too, and lower: what it would pass by is not what decides
    (
        "height-run-in",
        R,
        [(f"{P}.obstacles.1.source", "TBD"), ("places.PONTOON.elevation", "970 ft MSL")],
        MISSING,
    ),
    (
        "height-run-in",
        R,
        [(f"{P}.obstacles.1.source", "n/a"), (f"{P}.obstacles.1.top", "971 ft MSL")],
        CAUTION,
    ),
    (
        "height-egress",
        R,
        [(f"{P}.egress.level", "860 ft MSL")],
        PASS,
    ),  # 830 ft in ship 4, over the terminal's 330 ft
    ("height-egress", R, [(f"{P}.egress.level", "859 ft MSL")], CAUTION),
    ("height-abort", R, [(f"{P}.abort.level", "860 ft MSL")], PASS),  # 830 ft in ship 4, over 330 ft
    ("height-abort", R, [(f"{P}.abort.level", "859 ft MSL")], CAUTION),
    (
        "height-recovery-1",
        R,
        [("recovery.legs.1.level", "760 ft MSL")],
        PASS,
    ),  # Northbourne again, 30 ft of step-down
    ("height-recovery-1", R, [("recovery.legs.1.level", "759 ft MSL")], CAUTION),
    ("height-home", R, [("recovery.legs.1.level", "830 ft MSL")], PASS),  # from the centre over the terminal
    ("height-home", R, [("recovery.legs.1.level", "829 ft MSL")], CAUTION),
    ("height-divert", R, [("recovery.legs.1.level", "1280 ft MSL")], PASS),  # Hartwell stands at 780 ft
    ("height-divert", R, [("recovery.legs.1.level", "1279 ft MSL")], CAUTION),
    (
        "height-area",
        R,
        [("places.EXIT.elevation", "4500 ft MSL"), EXIT_QNH],
        PASS,
    ),  # EXIT lies in the area, whose floor is 5000 ft
    ("height-area", R, [("places.EXIT.elevation", "4501 ft MSL")], FAIL),
    ("over-again", R, [], PASS),
    # out on 232 and back over the pontoon, which stands at 10 ft: 3000 ft above it is 3010 ft
    (
        "over-again",
        R,
        [*BACK_OVER, (f"{P}.egress.level", "3010 ft MSL"), ("recovery.legs.1.level", "3010 ft MSL")],
        PASS,
    ),
    (
        "over-again",
        R,
        [*BACK_OVER, (f"{P}.egress.level", "3009 ft MSL"), ("recovery.legs.1.level", "3009 ft MSL")],
        CAUTION,
    ),
    ("terrain", R, [], MISSING),
    # looked up by hand: 500 ft and 28 days are this program's own
    ("terrain", R, [("terrain_checked", by_hand("500 ft"))], PASS),
    ("terrain", R, [("terrain_checked", by_hand("500 ft").replace("Capt T. Wessel", "TBD"))], MISSING),
    ("terrain", R, [("terrain_checked", by_hand("500 ft").replace("chart 12", "'?'"))], MISSING),
    ("terrain", R, [("terrain_checked", by_hand("499 ft"))], CAUTION),
    ("terrain", R, [("terrain_checked", by_hand("0 ft"))], FAIL),
    # the unit's own least height holds for what it looked up too
    ("terrain", R, [OWN_LEGS, ("terrain_checked", by_hand("1000 ft"))], PASS),
    ("terrain", R, [OWN_LEGS, ("terrain_checked", by_hand("999 ft"))], FAIL),
    ("egress-turn", R, [OWN_LEGS, *TURNS_AWAY, turn_by_hand("1000 ft")], PASS),
    ("egress-turn", R, [OWN_LEGS, *TURNS_AWAY, turn_by_hand("999 ft")], FAIL),
    # its height of the pass stands before our 500 ft under the turn of the pass, not elsewhere
    ("egress-turn", R, [LOW_PASS, *TURNS_AWAY, turn_by_hand("400 ft")], PASS),
    ("egress-turn", R, [LOW_PASS, *TURNS_AWAY, turn_by_hand("399 ft")], FAIL),
    ("terrain", R, [("terrain_checked", by_hand("500 ft", "2027-01-02"))], PASS),  # 30 - 2 = 28 days
    ("terrain", R, [("terrain_checked", by_hand("500 ft", "2027-01-31"))], MISSING),  # a day after the sortie
    ("terrain", R, [("terrain_checked", by_hand("500 ft", "2027-01-01"))], CAUTION),
    ("terrain", R, [("terrain_checked", by_hand("0 ft", "2027-01-01"))], FAIL),
    (
        "egress-turn",
        R,
        [*TURNS_AWAY, turn_by_hand("500 ft")],
        PASS,
    ),
    (
        "egress-turn",
        R,
        [*TURNS_AWAY, turn_by_hand("499 ft")],
        CAUTION,
    ),
    ("egress-turn", R, [(f"{P}.egress.course", "056 T")], PASS),  # the run-in is flown on 052 T
    ("egress-turn", R, [(f"{P}.egress.course", "058 T")], MISSING),
    ("permission-lowest", R, [("event.permission.lowest", "1460 ft AGL")], PASS),  # over ground at 10 ft
    ("permission-lowest", R, [("event.permission.lowest", "1461 ft AGL")], FAIL),
    ("permission-lowest", R, [("event.permission.lowest", "")], MISSING),
    # at 1500 ft the forecast has 21 C at 0 ft and 12 C at 5000 ft; ten degrees below freezing all the way up
    # where it is cold
    ("cold-air", R, [], PASS),
    ("cold-air", R, [("weather.at.PONTOON.temperature", "")], PASS),
    (
        "cold-air",
        R,
        [
            ("weather.at.PONTOON.temperature", ""),
            ("weather.winds.1.temperature", "-1 C"),
            ("weather.winds.2.temperature", "-10 C"),
        ],
        CAUTION,
    ),
    (
        "cold-air",
        R,
        [
            ("weather.at.PONTOON.temperature", ""),
            ("weather.winds.1.temperature", "0 C"),  # 0 C all the way between: not yet below it
            ("weather.winds.2.temperature", "0 C"),
        ],
        PASS,
    ),
    ("cold-air", R, [("weather.at.PONTOON.temperature", ""), ("weather.winds", "")], MISSING),
    # by a QNH and a temperature that are nobody's no height passes; what is too low by them stays so
    *(
        (id, R, [NOBODYS], MISSING)
        for id in ("cold-air", "pass-height", "pass-minimum", "permission-lowest", "obstacles-near")
    ),
    *(
        (id, R, [NOBODYS, (f"{P}.run_in.level", "1000 ft MSL")], FAIL)
        for id in ("pass-height", "permission-lowest")
    ),
    ("height-run-in", R, [NOBODYS], MISSING),
    # the legs of the way
    (
        "descent-rate",
        R,
        [("limits.formation_descent_rate", "1444 ft/min")],
        PASS,
    ),  # 500 ft in the 20.78 s from the hold to the IP
    ("descent-rate", R, [("limits.formation_descent_rate", "1443 ft/min")], FAIL),
    ("descent-rate", R, [("limits.formation_descent_rate", "")], MISSING),
    (
        "climb-rate",
        R,
        [("limits.formation_climb_rate", "1075 ft/min")],
        PASS,
    ),  # 10000 ft in the 558.6 s of the way home: 1074
    ("climb-rate", R, [("limits.formation_climb_rate", "1074 ft/min")], FAIL),
    ("climb-rate", R, [("limits.formation_climb_rate", "")], MISSING),
]

SPEEDS = [
    ("pass-speed", R, [("limits.pass_maximum_speed", "391 KGS")], PASS),
    ("pass-speed", R, [("limits.pass_maximum_speed", "389 KGS")], FAIL),
    # the unit's cap forbids the push-up to 390, but the aircraft can fly it: T can be met, and the two gates
    # of the cap can be waived
    ("t-reachable", R, [("limits.pass_maximum_speed", "389 KGS")], PASS),
    ("cap-margin", R, [("limits.pass_maximum_speed", "389 KGS")], FAIL),
    (
        "t-reachable",
        R,
        [("limits.pass_maximum_speed", ""), (f"{PETREL}.speed_limits.maximum", "389 KGS")],
        FAIL,
    ),
    ("pass-speed", R, [("limits.pass_maximum_speed", "")], MISSING),
    (
        "aircraft-fast",
        R,
        [(f"{P}.egress.speed", "375 KTAS"), (f"{PETREL}.speed_limits.maximum", "376 KTAS")],
        PASS,
    ),
    (
        "aircraft-fast",
        R,
        [(f"{P}.egress.speed", "375 KTAS"), (f"{PETREL}.speed_limits.maximum", "374 KTAS")],
        FAIL,
    ),
    ("aircraft-fast", R, list(BARE_SPEEDS), MISSING),
    ("aircraft-slow", R, [(f"{PETREL}.speed_limits.minimum", "279 KTAS")], PASS),  # the hold is flown at 280
    ("aircraft-slow", R, [(f"{PETREL}.speed_limits.minimum", "281 KTAS")], FAIL),
    ("aircraft-slow", R, [(f"{PETREL}.speed_limits.minimum", "")], MISSING),
    ("low-speed", L, [USA, (f"{P}.egress.speed", "249 KCAS")], PASS),
    ("low-speed", L, [USA, (f"{P}.egress.speed", "251 KCAS")], FAIL),
    ("low-speed", L, [USA, (f"{P}.egress.speed", "251 KCAS"), ("limits.speed_authority", "Letter 12")], PASS),
    ("low-speed", L, [USA, (f"{P}.egress.speed", "251 KCAS"), ("limits.speed_authority", "pending")], FAIL),
    ("low-speed", L, [], MISSING),
    ("low-speed", R, [USA], FAIL),
    # the unit's own most: alone, tighter than the regime's 250 KCAS, and looser
    ("low-speed", L, [("limits.speed_below_10000_ft", "252 KCAS"), (f"{P}.egress.speed", "251 KCAS")], PASS),
    ("low-speed", L, [("limits.speed_below_10000_ft", "250 KCAS"), (f"{P}.egress.speed", "251 KCAS")], FAIL),
    (
        "low-speed",
        L,
        [USA, ("limits.speed_below_10000_ft", "248 KCAS"), (f"{P}.egress.speed", "249 KCAS")],
        FAIL,
    ),
    (
        "low-speed",
        L,
        [USA, ("limits.speed_below_10000_ft", "252 KCAS"), (f"{P}.egress.speed", "251 KCAS")],
        CAUTION,
    ),
    (
        "low-speed",
        L,
        [USA, ("limits.speed_below_10000_ft", "252 KCAS"), (f"{P}.egress.speed", "253 KCAS")],
        FAIL,
    ),
]

OTHERS = [
    # T less 60 s is 14:29:02 at the event, T and 10 min 14:40:02
    ("permission-from", R, [("event.permission.valid", "14:29:02 to 14:50:00 event")], PASS),
    ("permission-from", R, [("event.permission.valid", "14:29:03 to 14:50:00 event")], FAIL),
    ("permission-from", R, [("event.permission.valid", "")], MISSING),
    # a permission whose reference or authority is still to be written has not been given
    ("permission-from", R, [("event.permission.reference", "pending")], MISSING),
    ("permission-until", R, [("event.permission.authority", "TBD")], MISSING),
    ("permission-lowest", R, [("event.permission.reference", "n/a")], MISSING),
    (
        "permission-from",
        R,
        [("event.permission.reference", "TBD"), ("event.permission.valid", "14:29:03 to 14:50:00 event")],
        FAIL,
    ),
    ("permission-until", R, [("event.permission.valid", "14:15:00 to 14:40:02 event")], PASS),
    ("permission-until", R, [("event.permission.valid", "14:15:00 to 14:40:01 event")], FAIL),
    ("permission-until", R, [("event.permission", "")], MISSING),
    (
        "permission-requested",
        R,
        [USA, ("event.permission.requested", "2026-12-16")],
        PASS,
    ),  # 15 + 30 = 45 days
    ("permission-requested", R, [USA, ("event.permission.requested", "2026-12-17")], CAUTION),
    ("permission-requested", R, [USA, ("event.permission.requested", "")], MISSING),
    ("permission-requested", R, [USA, ("event.permission.requested", "2027-01-31")], MISSING),  # after it
    (
        "permission-requested",
        R,
        [("limits.request_days", "71")],
        PASS,
    ),  # 20 November to 30 January: 10 + 31 + 30 days
    ("permission-requested", R, [("limits.request_days", "72")], CAUTION),
    # a minute of longitude at 37 degrees 41.5 minutes is 0.793 nm: 0.7 minutes are 0.555 nm = 1028 m, 0.6
    # minutes 881 m
    (
        "airfield-from-crowd",
        R,
        [("limits.regime", "uk"), ("places.PONTOON.position", "37°41.5'S 140°51.7'E"), *NEAR_BASE],
        PASS,
    ),
    (
        "airfield-from-crowd",
        R,
        [("limits.regime", "uk"), ("places.PONTOON.position", "37°41.5'S 140°51.6'E"), *NEAR_BASE],
        CAUTION,
    ),
    ("party-1", R, [("event.parties.1.acknowledged", "14:30:02 event")], PASS),
    ("party-1", R, [("event.parties.1.acknowledged", "14:30:01 event")], FAIL),
    ("party-1", R, [("event.parties.1.acknowledged", "")], MISSING),
    ("party-1", R, [("event.parties.1.who", "TBD")], MISSING),
    ("party-1", R, [("event.parties.1.contact", "TBD")], MISSING),
    (
        "party-1",
        R,
        [("event.parties.1.contact", "TBD"), ("event.parties.1.acknowledged", "14:30:01 event")],
        FAIL,
    ),
    ("party-1-from", R, [("event.parties.1.contact", "TBD")], PASS),
    ("party-1-from", R, [("event.parties.1.who", "N.N.")], MISSING),
    ("party-1-until", R, [("event.parties.1.who", "n/a")], MISSING),
    (
        "party-1",
        R,
        [("event.parties.1.who", "TBD"), ("event.parties.1.acknowledged", "14:30:01 event")],
        FAIL,
    ),
    ("traffic-1", R, [("event.other_traffic.1.who", "unknown")], MISSING),
    ("party-1-from", R, [("event.parties.1.from", "14:29:02 event")], PASS),
    ("party-1-from", R, [("event.parties.1.from", "14:29:03 event")], FAIL),
    ("party-1-from", R, [("event.parties.1.from", "T-5 s")], PASS),  # it moves with T
    ("party-1-until", R, [("event.parties.1.to", "14:40:02 event")], PASS),
    ("party-1-until", R, [("event.parties.1.to", "14:40:01 event")], FAIL),
    ("party-1-until", R, [("event.parties.1.to", "T+5 s")], PASS),
    # gone by leave-hold, 101.4 s before T; else apart from the lowest ship's 1470 ft by 1000 ft, and never in
    # one height
    ("traffic-1", R, [("event.other_traffic.1.until", "T-102 s")], PASS),
    (
        "traffic-1",
        R,
        [("event.other_traffic.1.until", "T-101 s"), ("event.other_traffic.1.level", "0 to 460 ft AGL")],
        PASS,
    ),
    (
        "traffic-1",
        R,
        [("event.other_traffic.1.until", "T-101 s"), ("event.other_traffic.1.level", "0 to 461 ft AGL")],
        CAUTION,
    ),
    (
        "traffic-1",
        R,
        [("event.other_traffic.1.until", ""), ("event.other_traffic.1.level", "0 to 1459 ft AGL")],
        CAUTION,
    ),
    (
        "traffic-1",
        R,
        [("event.other_traffic.1.until", ""), ("event.other_traffic.1.level", "0 to 1460 ft AGL")],
        FAIL,
    ),
    ("traffic-1", R, [("event.other_traffic.1.until", ""), ("event.other_traffic.1.level", "")], MISSING),
    ("ground-contact", R, [("event.ground_contact.backup", "132.675 MHz")], PASS),
    ("ground-contact", R, [("event.ground_contact.backup", "132.650 MHz")], FAIL),  # preset 8 once more
    ("ground-contact", R, [("event.ground_contact.backup", "")], MISSING),
    ("ground-contact", R, [("event.ground_contact.name", "N.N.")], MISSING),
    ("ground-contact", R, [("event.ground_contact.name", "Y")], MISSING),  # one letter is no name, X or not
    ("ground-contact", R, [("event.ground_contact.name", "Maj")], MISSING),
    ("ground-contact", R, [("event.ground_contact.name", "")], PASS),  # its callsign calls it
    ("time-hack", R, [("ground_ops.time_hack.source", "TBD")], MISSING),
    ("ground-contact", R, [("event.ground_contact", "")], MISSING),
    (
        "radio-check",
        R,
        [("event.ground_contact.radio_check", "14:19:48 event")],
        PASS,
    ),  # the hold is entered at 03:19:47.8 Z
    ("radio-check", R, [("event.ground_contact.radio_check", "14:19:49 event")], CAUTION),
    ("radio-check", R, HOUR_EARLY, FAIL),  # 14:05 is after T, though before the flight reaches the hold
    (
        "radio-check",
        R,
        [("event.ground_contact.in_place", "14:05 event")],
        PASS,
    ),  # the regatta's radio check is at 14:05
    ("radio-check", R, [("event.ground_contact.in_place", "14:05:01 event")], CAUTION),
    # T is at 14:30:02 event: from then on nobody on the ground hears the ceremony in time
    ("radio-check", R, [("event.ground_contact.radio_check", "14:30:01 event")], CAUTION),
    ("radio-check", R, [("event.ground_contact.radio_check", "14:30:02 event")], FAIL),
    ("radio-check", R, [("event.ground_contact.in_place", "14:30:01 event")], CAUTION),
    ("radio-check", R, [("event.ground_contact.in_place", "14:30:02 event")], FAIL),
    ("radio-check", R, [("event.ground_contact.in_place", "2027-01-31 14:00 event")], FAIL),
    ("radio-check", R, [("event.ground_contact.radio_check", "")], MISSING),
    (
        "radio-check",
        R,
        [("event.ground_contact.radio_check", ""), ("event.ground_contact.in_place", "14:30:02 event")],
        FAIL,
    ),
    ("time-hack", R, [("ground_ops.time_hack.to", "1 s")], PASS),
    ("time-hack", R, [("ground_ops.time_hack.to", "2 s")], FAIL),
    ("time-hack", R, [("ground_ops.time_hack", "")], MISSING),
    ("clocks", L, [], PASS),
    ("clocks", R, [], CAUTION),  # +10:30 and +11:00
    ("clocks", F, [], CAUTION),  # the clocks change on 14 March 2027
    # one clock for both, but a guess: the square lies between the coasts of Finland (+02:00) and Russia
    # (+03:00), 11 nm and less from either
    (
        "clocks",
        L,
        [
            ("places.SQUARE.position", "60°00.0'N 026°18.0'E"),
            ("places.SQUARE.time_zone", ""),
            (f"{P}.crowd_line", ""),
            (f"{P}.obstacles", ""),
        ],
        CAUTION,
    ),
]

FORMATION = [
    ("formation-size", R, [USA], PASS),
    ("formation-size", R, [USA, ("flight", FIVE), ("training.yardstick", "")], FAIL),
    ("formation-size", R, [], MISSING),
    ("formation-size", R, [("limits.formation_size", "4")], PASS),
    ("formation-size", R, [("limits.formation_size", "3")], FAIL),
    (
        "formation-size",
        R,
        [USA, ("limits.formation_size", "5"), ("flight", FIVE), ("training.yardstick", "")],
        CAUTION,
    ),
    # leader and ship 2 in a finger four of spacing a, a step of 10 ft: sqrt(2 a a + 100) is 20.9 ft for 13 ft
    # and 19.7 ft for 12 ft
    ("formation-spacing", R, [(f"{P}.run_in.spacing", "13 ft")], PASS),
    ("formation-spacing", R, [(f"{P}.run_in.spacing", "12 ft")], FAIL),
    ("formation-spacing", R, [(f"{P}.run_in.spacing", "")], MISSING),
    ("step-down", R, [(f"{P}.run_in.step_down", "1 ft")], PASS),
    ("step-down", R, [(f"{P}.run_in.step_down", "0 ft")], CAUTION),
    ("step-down", R, [*offsets(down="-1 ft")], FAIL),
    ("step-down", R, [(f"{P}.run_in.step_down", "")], MISSING),
    ("standard-across", R, [USA, *offsets(back="6076 ft")], PASS),  # 1 nm is 6076.12 ft
    ("standard-across", R, [USA, *offsets(back="6077 ft")], FAIL),
    ("standard-across", R, [], MISSING),
    (
        "standard-across",
        R,
        [("limits.formation_across", "60 ft")],
        PASS,
    ),  # ship 4 is two spacings of 30 ft to the right and behind
    ("standard-across", R, [("limits.formation_across", "59 ft")], FAIL),
    ("standard-vertical", R, [("limits.formation_vertical", "30 ft")], PASS),  # three steps of 10 ft
    ("standard-vertical", R, [("limits.formation_vertical", "29 ft")], FAIL),
    ("standard-vertical", R, [USA, *offsets(down="100 ft")], PASS),
    ("standard-vertical", R, [USA, *offsets(down="101 ft")], FAIL),
    ("standard-vertical", R, [USA, (f"{P}.run_in.spacing", "")], MISSING),
    ("minimum-ships", R, [(f"{P}.minimum_ships", "4")], PASS),
    ("minimum-ships", R, [(f"{P}.minimum_ships", "")], MISSING),
    ("lead-qualified", R, [("flight.1.can_lead", "yes")], PASS),
    ("lead-qualified", R, [("flight.1.can_lead", "no")], FAIL),
    ("lead-qualified", R, [("flight.1.can_lead", "")], MISSING),
    *(
        (id, R, [(f"flight.{ship}.crew", f"[{blank}]")], MISSING)
        for id, ship in (("lead-qualified", 1), ("first-time-lead", 1), ("second-leader", 3))
        for blank in ("TBD", '"?"', "TBA", '"-"', "N.N.", "Maj TBD")
    ),
    ("lead-qualified", R, [("flight.1.crew", "[TBD]"), ("flight.1.can_lead", "no")], FAIL),
    (
        "lead-qualified",
        R,
        [
            ("flight.1.crew", "[TBD]"),
            ("flight.2.crew", "[TBD]"),
            *((f"flight.{n}.tail", "TBD") for n in (1, 2)),
        ],
        MISSING,
    ),
    ("second-leader", R, [], PASS),
    ("second-leader", R, [("flight.3.can_lead", "no")], FAIL),
    ("second-leader", R, [("flight.3.can_lead", "")], MISSING),
    ("second-leader", R, [("contingencies.fall_outs.1", "")], PASS),
    ("first-time-lead", R, [("flight.1.flypasts_led", "1")], PASS),
    ("first-time-lead", R, [("flight.1.flypasts_led", "0")], CAUTION),
    ("first-time-lead", R, [("flight.1.flypasts_led", "")], MISSING),
]

ROWS_OF_THE_SORTIE = [*TIMING, *HEIGHTS, *SPEEDS, *OTHERS, *FORMATION]
