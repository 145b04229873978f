"""Words for the heights of the pass: what the altimeters must not read less than, and what they read as
planned."""

from __future__ import annotations

from collections.abc import Iterator

from briefgen.brief.wording import format as words
from briefgen.brief.wording.words import NOT_CHECKED
from briefgen.core.records import record
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.plan.gates.area import area_point
from briefgen.plan.gates.verdicts import NOBODYS
from briefgen.plan.heights.altimeter import READ_TO_FT, column_at, reading_ft, reading_up_ft
from briefgen.plan.heights.listed import SECTION
from briefgen.plan.heights.pass_heights import WITHIN_NM, Near, minimum_ft, near_obstacles, radius_nm
from briefgen.plan.model import EventPlan, Floor, PassHeights, ShipOver, UnknownAir
from briefgen.plan.route.air import altitude_ft, qnh_station
from briefgen.plan.sortie import Plan
from briefgen.units.values import FT_PER_NM, Level, LevelBand


def height_boxes(
    mission: Mission, event: EventPlan, ship: int, *, lead: bool
) -> Iterator[tuple[str, str, str]]:
    """MINIMUM, LEAD NOT BELOW and YOU, never mixed: the first two are least readings of the altimeter, the
    same on every card, the last is what this ship's reads as planned. ``lead``: the ship may lead."""
    heights, beside = event.heights, higher_beside(mission, event)
    least_ft = (
        (heights.minimum_ft, heights.lead_ft) if beside is None else (beside.minimum_ft, beside.lead_ft)
    )
    minimum, of_lead = (NOT_CHECKED if ft is None else words.height(ft) for ft in least_ft)
    unsaid = heights.floor is None or heights.air is None or "QNH" not in heights.air.lacks
    parts = (_minimum_words(heights, beside), qnh_words(mission, event) if unsaid else "")
    yield "MINIMUM", minimum, "; ".join(part for part in parts if part)
    if lead and len(mission.file.flight) > 1:
        yield (
            "LEAD NOT BELOW",
            of_lead,
            (
                "places in the formation not known"
                if heights.step_ft is None
                else f"for the lowest ship, {words.height(heights.step_ft)} below"
            ),
        )
    over = next((s for s in event.ships if s.ship == ship), None)
    yield (
        ("YOU", NOT_CHECKED, "this ship's place isn't known")
        if over is None
        else (_you(heights, over), words.height(over.altitude_ft), you_words(mission, event, over, beside))
    )


def flown_level(level: Level, msl_ft: float | None) -> str:
    """A level as the altimeter reads it, which is what a pilot flies by: as typed, but of one above ground
    ``1510 ft MSL (1500 ft AGL)``; ``MSL NOT KNOWN (1500 ft AGL)`` where its ground isn't known."""
    if level.datum != "AGL":
        return words.level(level)
    altitude = "MSL NOT KNOWN" if msl_ft is None else words.level(Level(msl_ft, "MSL"))
    return f"{altitude} ({words.level(level)})"


def area_level(plan: Plan, level: Level) -> str:
    """The same in the training area, over its highest ground."""
    return flown_level(level, altitude_ft(plan.mission, area_point(plan), level))


def area_band(plan: Plan, band: LevelBand) -> str:
    """The same from one level to another."""
    if "AGL" not in (band.low.datum, band.high.datum):
        return words.level_band(band)
    return f"{area_level(plan, band.low)} to {area_level(plan, band.high)}"


def near_track(mission: Mission, event: EventPlan) -> list[Near]:
    """The obstacles within a mile of some ship's track, by the gates' own measure, in the order of the
    lists; one a ship."""
    return [n for n in near_obstacles(mission, event.chain, event.ships) if n.away_nm <= WITHIN_NM]


def near_of_files(mission: Mission, event: EventPlan) -> list[Near]:
    """The obstacles of files within a mile of some ship's track, each once, the highest first."""
    once = {(row.said, row.position): row for row in near_track(mission, event) if row.cause[:1] == SECTION}
    return sorted(once.values(), key=lambda row: -row.top_ft)


@record
class Beside:
    """What is asked within ``radius_ft`` of an obstacle up to a mile beside the track, where that is more
    than the floor asks: ``minimum_ft`` of every altimeter, ``lead_ft`` of whoever leads."""

    name: str
    over_ft: float
    radius_ft: float
    minimum_ft: float
    lead_ft: float | None
    cold_ft: float

    def least_ft(self, over: ShipOver) -> float:
        """Of one ship: whoever leads has the ships below to think of."""
        return self.minimum_ft if place_words(over) else self.lead_ft or self.minimum_ft


def higher_beside(mission: Mission, event: EventPlan) -> Beside | None:
    """None where no obstacle asks for more than the floor does."""
    heights, over_ft = event.heights, minimum_ft(mission)
    near = near_track(mission, event)
    if not near or heights.minimum_ft is None:
        return None
    highest, column = max(near, key=lambda n: n.top_ft), column_at(mission, event.centre)
    asked_ft, step_ft = highest.top_ft + over_ft, heights.step_ft
    if reading_up_ft(column, asked_ft) <= heights.minimum_ft:
        return None
    return Beside(
        highest.name,
        over_ft,
        radius_nm(mission) * FT_PER_NM,
        reading_up_ft(column, asked_ft),
        None if step_ft is None else reading_up_ft(column, asked_ft + step_ft),
        reading_ft(column, asked_ft) - asked_ft,
    )


def _minimum_words(heights: PassHeights, beside: Beside | None) -> str:
    """What makes MINIMUM: the highest asked anywhere on the pass is the one that is large, and what holds
    elsewhere stands behind it."""
    if beside is None or heights.minimum_ft is None:
        return floor_words(heights)
    higher = _with_cold(f"{words.height(beside.over_ft)} above {beside.name}", beside.cold_ft)
    return f"{higher}; away from it {words.height(heights.minimum_ft)}"


def least_read(mission: Mission, event: EventPlan) -> tuple[float, str] | None:
    """What no altimeter must read less than anywhere on the pass, and what makes it; None where it isn't
    known."""
    heights, beside = event.heights, higher_beside(mission, event)
    if heights.minimum_ft is None:
        return None
    return heights.minimum_ft if beside is None else beside.minimum_ft, _minimum_words(heights, beside)


def _you(heights: PassHeights, over: ShipOver) -> str:
    """Whoever leads has the ships below to think of."""
    least_ft = heights.minimum_ft if place_words(over) else heights.lead_ft or heights.minimum_ft
    return "YOU, TOO LOW" if least_ft is not None and over.altitude_ft < least_ft else "YOU"


def qnh_words(mission: Mission, event: EventPlan) -> str:
    """``on QNH 1017 hPa``."""
    station = qnh_station(mission, event.centre)
    here = None if station is None else mission.weather_at(station)
    qnh = None if here is None else here.qnh
    return f"on QNH {NOT_CHECKED if qnh is None else words.pressure(qnh)}"


def floor_words(heights: PassHeights) -> str:
    """``1000 ft above Grain terminal, cold air +248 ft by ICAO Doc 8168``: what makes the floor, what the
    cold adds to it, and by whose formula (a table of it, as AIM's, has its figures in steps)."""
    floor = heights.floor
    if floor is None:
        return "nothing under the pass is known"
    if heights.air is not None:
        return f"{_made_words(floor)}: {words.height(floor.true_altitude_ft)} true; {air_words(heights.air)}"
    return _with_cold(_made_words(floor), heights.cold_ft)


def _with_cold(made: str, cold_ft: float) -> str:
    cold = cold_words(cold_ft)
    return f"{made}, {cold} by ICAO Doc 8168" if cold else made


def air_words(air: UnknownAir) -> str:
    """``QNH and temperature not known``: what the altimeters' least readings hang on."""
    if not air.standard:
        return NOBODYS
    far = "" if air.far_nm is None else f" within {WEATHER_NEAR_NM:.0f} nm"
    return f"{' and '.join(air.lacks)} not known{far}"


def _made_words(floor: Floor) -> str:
    made = (
        "lowest permitted"
        if floor.made_by == "permission"
        else (
            f"{words.height(floor.over_ft)} above {'the ground' if floor.made_by == 'ground' else floor.name}"
        )
    )
    return f"{made} (default)" if floor.default else made


def cold_words(error_ft: float) -> str:
    """``cold air +248 ft``; empty below the 10 ft to which an altimeter can be read."""
    return f"cold air +{words.height(error_ft)}" if error_ft >= READ_TO_FT else ""


def lowest_words(event: EventPlan) -> str:
    """``1470 ft MSL``, ``2350 ft MSL (true 2136 ft)``: what the lowest ship's altimeter reads as planned, and
    how high it then is in cold air."""
    planned, true_ft = f"{words.height(event.lowest_altitude_ft)} MSL", event.lowest_true_altitude_ft
    return (
        f"{planned} (true {words.height(true_ft)})"
        if cold_words(event.lowest_altitude_ft - true_ft)
        else planned
    )


def you_words(mission: Mission, event: EventPlan, over: ShipOver, beside: Beside | None = None) -> str:
    """``60 ft right, 60 ft behind, 30 ft below``, and the least height of the flight over what stands under
    it, where it is this ship's own or isn't known; how far away it stays from an obstacle ``beside`` the
    track over which it is planned too low."""
    cold = cold_words(over.altitude_ft - over.true_altitude_ft)
    true = f"true {words.height(over.true_altitude_ft)}, {cold}" if cold else ""
    place = "" if mission.alone else ", ".join(place_words(over)) or "leader"
    under = event.heights.under
    own = under is None or under.ship == over.ship
    low = beside is not None and over.altitude_ft < beside.least_ft(over)
    clear = f"STAY {words.height(beside.radius_ft)} CLEAR OF {beside.name}" if beside and low else ""
    said = under_words(event.heights, own=over.ship) if own else ""
    return "; ".join(filter(None, (clear, place, true, said)))


def place_words(over: ShipOver) -> list[str]:
    """``60 ft right``, ``60 ft behind``, ``30 ft below``; empty for the leader."""
    across = (
        f"{words.height(abs(over.right_ft))} {'left' if over.right_ft < 0 else 'right'}"
        if round(over.right_ft)
        else ""
    )
    back = f"{words.height(over.back_ft)} behind" if round(over.back_ft) else ""
    below = (
        f"{words.height(abs(over.down_ft))} {'below' if over.down_ft > 0 else 'above'}"
        if round(over.down_ft)
        else ""
    )
    return [part for part in (across, back, below) if part]


def under_words(heights: PassHeights, *, own: int | None = None, verb: str = "") -> str:
    """``ship 4 1140 ft over Grain terminal``: the least true height of the flight; without the number for the
    ship ``own`` itself, and with a word where the air isn't known."""
    under, air = heights.under, " in standard air" if heights.air is not None and heights.air.standard else ""
    if under is None:
        return f"height over ground {NOT_CHECKED}"
    who = "" if under.ship == own else f"ship {under.ship} {verb}"
    return (
        f"{who}{words.height(under.clearance_ft)} over"
        f" {'the ground' if under.over == 'ground' else under.name}{air}"
    )
