"""Weather, sun, airspace and the legs as tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from briefgen.brief.content.blocks import Cell, Column, Table, text_table
from briefgen.brief.slides.view.air import dated_alike, sun_for_words, to_set_times, weather_then
from briefgen.brief.wording import format as words
from briefgen.brief.wording.leg_times import flown_between, legs_s
from briefgen.brief.wording.weather import change_words, changes, cloud_words, sight_words, wind_words
from briefgen.brief.wording.words import NOT_GIVEN, Words, beginning, place_of, text_or
from briefgen.mission.inputs.reported import DatedReport
from briefgen.mission.resolve.mission import Mission
from briefgen.mission.resolve.sections import BlockSection
from briefgen.mission.resolve.weather import WeatherAt
from briefgen.mission.schema.base import RESERVED_ID
from briefgen.plan.gates.reports import used
from briefgen.plan.model import Leg, SunAt
from briefgen.plan.one_pass import each_pass
from briefgen.units.values import Level

Rows = list[list[str | Cell]]


def weather(w: Words) -> Table | None:
    """The forecast at each place."""
    file = w.mission.file
    if file.weather is None:
        return None
    columns = (
        Column("Place"),
        Column("Cloud"),
        Column("Visibility", "right"),
        Column("Wind"),
        Column("Temperature", "right"),
        Column("QNH", "right"),
    )
    rows: Rows = []
    for id in file.weather.at:
        at = weather_then(w, id) or WeatherAt()
        rows.append([
            _place(w.mission, id), cloud_words(at) if at.cloud is not None else NOT_GIVEN,
            sight_words(at),
            wind_words(at),
            words.temperature(at.temperature) if at.temperature is not None else NOT_GIVEN,
            words.pressure(at.qnh) if at.qnh is not None else NOT_GIVEN,
        ])  # fmt: skip
    reported = "Of reports what prevails when it is needed there; what is typed beside them wins."
    return text_table("weather", columns, rows, reported if w.mission.reports else "")


def reports(w: Words) -> Table | None:
    """The pasted reports in their own words, what of them changes until the last landing, and what no rule
    knows."""
    file = w.mission.file
    columns = (
        Column("Place"),
        Column("Report as pasted"),
        Column("Until the last landing, Z"),
        Column("NOT UNDERSTOOD"),
    )
    rows: Rows = []
    for id, given in w.mission.reports.items():
        for report in file.weather.at[id].reports if file.weather is not None else ():
            own = next((dated for dated in given.reports if dated.report is report), None)
            odd = " ".join(report.not_understood)
            rows.append([_place(w.mission, id), report.raw, _changes(w, own), odd or "nothing"])
    winds = None if file.weather is None else file.weather.winds_text
    if winds is not None:
        rows.append(["Winds aloft", winds.raw, "no change", " ".join(winds.not_understood) or "nothing"])
    return text_table("reports", columns, rows)


def _changes(w: Words, report: DatedReport | None) -> str:
    """What changes from take-off to the latest landing, beside what prevails."""
    if report is None:
        return "says nothing"
    own = [": ".join(filter(None, change_words(w, part))) for part in changes(w, (report,))]
    ends = "" if report.end >= used(w.plan)[1] else f"counts until {w.bare(report.end)} only"
    return "; ".join([*own, *([ends] if ends else [])]) or "no change"


def _place(mission: Mission, id: str) -> str:
    areas = list(dict.fromkeys(block.written.area.name for block in mission.blocks))
    if id != RESERVED_ID or not areas:
        return place_of(mission, id)
    return f"{words.listed(areas)} (area{'s' if len(areas) > 1 else ''})"


def winds(w: Words) -> Table | None:
    """The forecast aloft."""
    forecast = w.mission.file.weather
    if forecast is None:
        return None
    rows: Rows = [
        [
            words.level(row.level),
            words.wind(row.wind),
            words.temperature(row.temperature) if row.temperature is not None else NOT_GIVEN,
        ]
        for row in forecast.aloft
    ]
    return text_table(
        "winds", (Column("Level", "right"), Column("Wind"), Column("Temperature", "right")), rows
    )


def sun(w: Words) -> Table:
    """Sun at each place on the sortie's day, in Zulu."""
    columns = (
        Column("For"),
        Column("Place"),
        Column("Civil dawn", "right"),
        Column("Sunrise", "right"),
        Column("Sunset", "right"),
        Column("Civil dusk", "right"),
        Column("Sun then", "right"),
    )
    rows: Rows = [
        [beginning(sun_for_words(w, found)), found.point.name, *_sun_times(w, found), _height(found)]
        for found in w.plan.suns
    ]
    return text_table(
        "sun",
        columns,
        rows,
        "Times in Zulu, of the local date at each place; sunrise and sunset by the upper edge, civil twilight"
        " to 6 deg below the horizon.",
    )


def _sun_times(w: Words, sun_at: SunAt) -> list[str]:
    kinds = ("civil dawn", "sunrise", "sunset", "civil dusk")
    return [
        words.listed(dated_alike(w, sun_at.all_of(kind), seconds=False)) or _missing(sun_at, kind)
        for kind in kinds
    ]


def _missing(sun_at: SunAt, kind: str) -> str:
    """Why there is no such event: the words that speak of it; ``none`` where it only lies on another date."""
    about = (
        ("up all day", "down all day")
        if kind in ("sunrise", "sunset")
        else ("up all day", "dark all day", "twilight all day", "civil twilight all night")
    )
    return next((said for said in sun_at.states if said in about), "none")


def _height(sun_at: SunAt) -> str:
    return f"{words.sun_height(sun_at.elevation_deg)}, on {words.heading(sun_at.azimuth_true_deg, 'T')}"


def airspace(w: Words) -> Table:
    """Area, permission, the other parties and other traffic, with their times."""
    columns = (Column("Who or what"), Column("Levels"), Column("When, Zulu"), Column("Reference or contact"))
    return text_table("airspace", columns, [*_area_rows(w), *_pass_rows(w)])


def _area_rows(w: Words) -> Rows:
    return [_area_row(w, block) for block in w.mission.blocks]


def _area_row(w: Words, block: BlockSection) -> list[str | Cell]:
    area, reserved = block.written.area, block.reserved
    return [
        Cell(f"{area.name}, training area", strong=True),
        f"{words.level(area.floor)} to {words.level(area.top)}",
        w.span(reserved.start, reserved.end) if reserved else NOT_GIVEN,
        "reserved for the flight" if reserved else "no reservation given",
    ]


def _pass_rows(w: Words) -> Rows:
    """What is given, held and flown there by others, of each pass: what one shares with another stands once,
    and of one whose T follows another's the parties hold that one's."""
    rows: Rows = []
    for seen in each_pass(w.plan):
        if not seen.passes[0].section.follows:
            rows += [row for row in _event_rows(replace(w, plan=seen)) if row not in rows]
    return rows


def _event_rows(w: Words) -> Rows:
    event, times = w.mission.file.event, w.mission.times
    if event is None:
        return []
    rows: Rows = []
    section, permit = w.plan.passes[0].section, event.permission
    of = f"{section.event.id}: " if section.among > 1 else ""
    if permit is not None:
        when = w.span(times.permission.start, times.permission.end) if times.permission else NOT_GIVEN
        lowest = f"not below {words.level(permit.lowest)}" if permit.lowest else NOT_GIVEN
        rows.append(
            [
                Cell(f"Permission for {section.event.id if of else 'the pass'}", strong=True),
                lowest,
                when,
                f"{permit.reference}, {text_or(permit.authority)}",
            ]
        )
    for party in w.plan.passes[0].parties:
        held = "holds this T" if party.acknowledged else "T NOT ACKNOWLEDGED"
        rows.append(
            [
                f"{of}{party.who}: {party.what}",
                NOT_GIVEN,
                w.span(party.start, party.end),
                f"{text_or(party.contact)}, {held}",
            ]
        )
    for traffic, when in zip(event.other_traffic, times.other_traffic, strict=True):
        rows.append(
            [
                f"{of}{traffic.who}",
                words.level_band(traffic.level) if traffic.level else NOT_GIVEN,
                w.span(when.start, when.until),
                "other traffic",
            ]
        )
    return rows


def notices(w: Words) -> Table:
    """NOTAMs and hazards that the flight lead has read."""
    columns, given = (
        (Column("Reference"), Column("Says"), Column("Valid, Zulu"), Column("Read")),
        w.mission.file.listed_notices,
    )
    rows: Rows = []
    for notice, valid in zip(given, w.mission.times.notices or [None] * len(given), strict=True):
        when = w.span(valid.start, valid.end) if valid else NOT_GIVEN
        rows.append(
            [notice.reference, notice.says, when, words.day(notice.read) if notice.read else NOT_GIVEN]
        )
    return text_table("notices", columns, rows)


def navlog(w: Words) -> Table:
    """Every leg, with the time at which it is flown out as planned."""
    columns = (
        Column("Leg"),
        Column("Course", "right"),
        Column("Heading", "right"),
        Column("Level", "right"),
        Column("TAS", "right"),
        Column("GS", "right"),
        Column("Distance", "right"),
        Column("Time", "right"),
        Column("At the end, Z", "right"),
    )
    caption = (
        "Courses and headings magnetic where the variation is known; TAS and GS in kt; time in minutes and"
        " seconds."
    )
    caption += "".join(f" {pushed}." for pushed in to_set_times(w))
    return text_table("navlog", columns, [_leg_row(w, leg) for leg in w.plan.legs], caption)


def _leg_row(w: Words, leg: Leg) -> list[str | Cell]:
    return [
        beginning(leg.between),
        *_angles(leg),
        _level(leg),
        words.knots_bare(leg.tas_kt),
        words.knots_bare(leg.gs_kt),
        words.distance(leg.distance_nm),
        words.duration_clock(legs_s(w.plan, [leg])),
        _leg_end(w, leg),
    ]


def _level(leg: Leg) -> str:
    """Its level, and where it is flown between two the height whose air is taken."""
    return (
        f"{words.level(leg.level)} (air at {words.level(Level(leg.air.altitude_ft, 'MSL'))})"
        if leg.between_levels
        else words.level(leg.level)
    )


def _angles(leg: Leg) -> tuple[str, str]:
    """Course and heading, magnetic where the variation is known."""
    if leg.course_magnetic_deg is None or leg.heading_magnetic_deg is None:
        return words.heading(leg.course_true_deg, "T"), words.heading(leg.heading_true_deg, "T")
    return words.heading(leg.course_magnetic_deg, "M"), words.heading(leg.heading_magnetic_deg, "M")


def _leg_end(w: Words, leg: Leg) -> str:
    flown = flown_between(w.plan, [leg])
    return words.clock_bare(flown[1], day=w.day) if flown is not None else NOT_GIVEN


TABLES: dict[str, Callable[[Words], Table | None]] = {
    "weather": weather,
    "reports": reports,
    "winds": winds,
    "sun": sun,
    "airspace": airspace,
    "notices": notices,
    "navlog": navlog,
}
