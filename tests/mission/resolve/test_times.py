"""Which instant a typed time means. Offsets: Adelaide +10:30 and Melbourne +11:00 in January, Oslo +02:00 in
May (summer time)."""

import itertools
from datetime import UTC, date, datetime, timedelta

import pytest

from briefgen.airmath.times import TimeSpan
from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import EARLY_HYMN, PASS_ONLY, TRAINING_ONLY, changed, regatta


def at(text):
    """An instant in UTC."""
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


def read(text):
    """The mission of a text without errors."""
    mission, problems = load_mission_text(text, "m.yaml")
    assert mission is not None, problems
    return mission


@pytest.fixture(scope="module")
def mission():
    """The regatta."""
    return read(regatta())


@pytest.mark.parametrize(
    ("what", "expected"),
    [
        (lambda t: t.cues["PARADE"], "2027-01-30T03:24:30"),  # 14:24:30 - 11:00
        (lambda t: t.cues["ANTHEM"], "2027-01-30T03:28:06"),  # 14:28:06 - 11:00
        (lambda t: t.true_time, "2027-01-30T03:30:02"),  # and 116 s
        (lambda t: t.takeoff, "2027-01-30T02:07:00"),  # 12:37 - 10:30
        (lambda t: t.report, "2027-01-29T23:00:00"),  # 09:30 - 10:30: the day before in Zulu
        (lambda t: t.reserved.start, "2027-01-30T02:10:00"),
        (lambda t: t.reserved.end, "2027-01-30T03:20:00"),
        (lambda t: t.permission.start, "2027-01-30T03:15:00"),
        (lambda t: t.permission.end, "2027-01-30T03:50:00"),
        (lambda t: t.in_place, "2027-01-30T02:45:00"),
        (lambda t: t.radio_check, "2027-01-30T03:05:00"),
        (lambda t: t.weather_issued, "2027-01-29T22:00:00"),
        (lambda t: t.weather_valid.end, "2027-01-30T06:00:00"),
        (lambda t: t.parties[0].start, "2027-01-30T03:25:02"),  # T-5 min
        (lambda t: t.parties[0].until, "2027-01-30T03:33:02"),  # T+3 min
        (lambda t: t.parties[0].acknowledged[0], "2027-01-30T03:30:02"),
        (lambda t: t.other_traffic[0].until, "2027-01-30T03:20:02"),  # T-10 min
        (lambda t: t.open_hours["NORTHBOURNE"][1].start, "2027-01-29T20:30:00"),  # 07:00 - 10:30
        (lambda t: t.open_hours["EASTLEA"][1].end, "2027-01-30T11:00:00"),  # 22:00 - 11:00
    ],
)
def test_the_times_of_the_regatta(mission, what, expected):
    assert what(mission.times) == at(expected)


def test_every_typed_clock_time_is_listed_in_the_order_of_the_file(mission):
    lines = [mission.spans.value(typed.path).line for typed in mission.typed_times]

    assert lines == sorted(lines)
    texts = [typed.text for typed in mission.typed_times]
    assert (
        len(texts) == 21
        # counted in the file: 3 hours of 2, report, take-off, issued, valid 2, reserved 2, permission 2, 2, 2
        # cues, acknowledged, T
    )
    assert [typed.text for typed in mission.typed_times if typed.zulu] == ["2027-01-29 22:00 Z"] + [
        "2027-01-30 00:00 Z to 2027-01-30 06:00 Z"
    ] * 2


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("13:01:00 event", "2027-05-04T11:01:00"),
        ("11:01 Z", "2027-05-04T11:01:00"),
        ("23:30 Z", "2027-05-03T23:30:00"),  # 01:30 of 4 May in Oslo
        ("21:00 Z", "2027-05-04T21:00:00"),  # 23:00 of 4 May in Oslo
        ("13:01 base", "2027-05-04T11:01:00"),
        ("13:01 L", "2027-05-04T11:01:00"),  # base and event share their clock
        ("06:31 -0430", "2027-05-04T11:01:00"),
        ("2027-05-04 13:01 event", "2027-05-04T11:01:00"),
    ],
)
def test_the_true_time_lies_on_the_date_at_the_event(typed, expected):
    assert read(changed(EARLY_HYMN, "time: end of HYMN", f"time: {typed}")).times.true_time == at(expected)


def test_other_times_are_nearest_to_the_true_time():
    text = changed(EARLY_HYMN, "time: end of HYMN", "time: 01:00 event")
    mission = read(changed(text, "takeoff: 12:10 base", "takeoff: 23:40 base, report: 20:00 base"))

    assert mission.times.true_time == at("2027-05-03T23:00:00")
    assert mission.times.takeoff == at("2027-05-03T21:40:00")  # the evening before
    assert mission.times.report == at("2027-05-03T18:00:00")


# The true time of the regatta is 03:30:02 Z on 30 January.
@pytest.mark.parametrize(
    ("issued", "valid", "start", "end"),
    [
        # over ten hours before: tomorrow's would lie nearer to the sortie
        ("2027-01-29 15:00 Z", "15:00 to 16:00 Z", "2027-01-29T15:00:00", "2027-01-29T16:00:00"),
        ("2027-01-29 22:00 Z", "00:00 to 06:00 Z", "2027-01-30T00:00:00", "2027-01-30T06:00:00"),
        ("2027-01-29 22:00 Z", "21:00 to 06:00 Z", "2027-01-29T21:00:00", "2027-01-30T06:00:00"),  # in force
        ("2027-01-29 06:00 Z", "00:00 to 06:00 Z", "2027-01-30T00:00:00", "2027-01-30T06:00:00"),  # over then
        (
            "2027-01-28 22:00 Z",
            "00:00 to 06:00 Z",
            "2027-01-29T00:00:00",
            "2027-01-29T06:00:00",
        ),  # past
        # a date at one end is what it says
        ("2027-01-29 15:00 Z", "2027-01-30 00:00 to 06:00 Z", "2027-01-30T00:00:00", "2027-01-30T06:00:00"),
    ],
)
def test_a_forecast_without_a_date_is_valid_from_about_its_issue(issued, valid, start, end):
    text = changed(regatta(), "issued: 2027-01-29 22:00 Z", f"issued: {issued}")
    mission = read(changed(text, "valid: 2027-01-30 00:00 Z to 2027-01-30 06:00 Z", f"valid: {valid}"))

    assert mission.times.weather_valid == TimeSpan(at(start), at(end))
    listed = [typed.instant for typed in mission.typed_times if typed.path == ("weather", "valid")]
    assert listed == [at(start), at(end)]
    listed = {typed.zulu for typed in mission.typed_times if typed.path == ("weather", "valid")}
    assert listed == {"2027" in valid}  # without its date the day it is taken for is told


def test_without_an_event_the_take_off_is_on_the_date_at_the_base():
    mission = read(changed(TRAINING_ONLY, "takeoff: 12:10 base", "takeoff: 00:10 base, report: 22:00 base"))

    assert mission.times.true_time is None and mission.event_zone is None
    assert mission.times.takeoff == at("2027-05-03T22:10:00")
    assert mission.times.report == at("2027-05-03T20:00:00")


@pytest.mark.parametrize(
    ("date", "time", "code", "offered"),
    [
        ("2027-03-28", "02:30 event", "time-skipped", ("00:30:00 Z", "01:30:00 Z")),
        ("2027-10-31", "02:30 event", "time-repeated", ("00:30:00 Z", "01:30:00 Z")),
    ],
)
def test_a_time_that_a_clock_change_skips_or_repeats_is_refused_with_what_it_could_be(
    date, time, code, offered
):
    """Oslo changes at 01:00 Z on both days (European summer time)."""
    text = changed(
        changed(PASS_ONLY, "date: 2027-05-04", f"date: {date}"), "time: end of HYMN", f"time: {time}"
    )
    _, problems = load_mission_text(text, "m.yaml")

    assert [d.code for d in problems] == [code]
    assert all(offer in problems[0].help for offer in offered)


def test_what_a_refusal_offers_is_accepted():
    text = changed(EARLY_HYMN, "date: 2027-05-04", "date: 2027-10-31")
    assert read(changed(text, "time: end of HYMN", "time: 02:30:00 +0200")).times.true_time == at(
        "2027-10-31T00:30:00"
    )
    assert read(changed(text, "time: end of HYMN", "time: 02:30:00 +0100")).times.true_time == at(
        "2027-10-31T01:30:00"
    )


def at_sea(position):
    base = "position: 60°12.0'N 011°05.0'E, elevation: 680 ft MSL, time_zone: Europe/Oslo"
    return load_mission_text(changed(PASS_ONLY, base, f"position: {position}"), "m.yaml")


def test_a_place_far_out_at_sea_takes_the_other_place_s_clock_and_says_that_it_is_a_guess():
    mission, problems = at_sea("59°00.0'N 003°00.0'E")  # 70 nm off Norway

    assert (mission.base_zone.key, mission.zones.borrowed) == ("Europe/Oslo", ("BASE",))
    (problem,) = problems
    assert (
        (problem.severity, problem.code) == ("caution", "time-zone")
        and "BASE lies at sea" in problem.message
        and "time_zone" in problem.help
    )


def test_a_place_off_a_coast_takes_the_coast_s_clock():
    # 17 nm off Tynemouth, 5 nm beyond its territorial waters
    mission, problems = at_sea("55°00.0'N 000°55.0'W")

    assert (mission.base_zone.key, mission.event_zone.key, mission.zones.borrowed) == (
        "Europe/London",
        "Europe/Oslo",
        (),
    )
    # 12:10 there is 11:10 Z, after the pass at 11:01 Z: by the event's clock it would fit
    assert [(d.severity, d.code) for d in problems] == [
        ("note", "time-zone"),
        ("caution", "other-clock"),
    ] and "Europe/London" in problems[0].message


def test_dates_of_waivers_are_whole_days_at_the_event():
    mission = read(
        PASS_ONLY + "waivers:\n  - {rule: pass-speed, reference: W1, authority: Wing, valid: 2027-05-03 to"
        " 2027-05-04}\n"
    )

    assert (mission.times.waivers[0].start, mission.times.waivers[0].end) == (
        at("2027-05-02T22:00:00"),
        at("2027-05-04T21:59:59"),
    )


def errors_of(text):
    """What is told of a text as an error."""
    return [d for d in load_mission_text(text, "m.yaml")[1] if d.severity == "error"]


def offers_in(problem):
    """What an error offers, each without what stands in brackets."""
    _, write, offers = problem.help.partition("write ")
    return [offer.partition(" (")[0] for offer in offers.split(" or ")] if write else []


def offered(text):
    """What the one error offers."""
    (problem,) = errors_of(text)
    return offers_in(problem)


def test_a_range_whose_end_comes_twice_is_offered_whole_and_each_offer_is_accepted():
    """In Oslo 02:30 comes twice on 31 October 2027, at 00:30 Z and at 01:30 Z."""
    text = changed(EARLY_HYMN, "date: 2027-05-04", "date: 2027-10-31")
    text = changed(text, "time: end of HYMN", "time: 02:00:00 Z") + "weather: {valid: 01:00 to 02:30 event}\n"
    offers = offered(text)

    assert offers == ["01:00:00 +0200 to 02:30:00 +0200", "01:00:00 +0200 to 02:30:00 +0100"]
    for offer, end in zip(offers, ("2027-10-31T00:30:00", "2027-10-31T01:30:00"), strict=True):
        assert read(changed(text, "01:00 to 02:30 event", offer)).times.weather_valid.end == at(end)


# Oslo's clocks go from 02:00 to 03:00 on 28 March and from 03:00 back to 02:00 on 31 October 2027 (European
# summer time, both at 01:00 Z), Havana's from 00:00 to 01:00 on 8 March 2026 and from 01:00 back to 00:00 on
# 7 November 2027 (IANA tz database, Cuba; both at 05:00 Z): the zone, the true time and clock times about it
OSLO, HAVANA = ("01:50", "02:00", "02:10", "02:40", "03:10"), ("23:50", "00:00", "00:10", "00:40", "01:10")
CHANGES = {
    "2027-03-28": ("Europe/Oslo", "01:30:00 Z", OSLO),
    "2027-10-31": ("Europe/Oslo", "01:30:00 Z", OSLO),
    "2026-03-08": ("America/Havana", "05:30:00 Z", HAVANA),
    "2027-11-07": ("America/Havana", "05:30:00 Z", HAVANA),
}
CLOCKS = ("event", "base", "L", "Z", "+0200", "-0500")


def on_a_clock_change(day):
    zone, true_time, _ = CHANGES[day]
    text = changed(PASS_ONLY, "date: 2027-05-04", f"date: {day}")
    text = changed(text, "takeoff: 12:10 base", f"takeoff: {day} 05:30 Z")
    text = changed(text, "time: 13:00:00 event", f"time: {true_time.replace(':30:00', ':20:00')}")
    text = changed(text, "time: end of HYMN", f"time: {true_time}")
    return text.replace("time_zone: Europe/Oslo", f"time_zone: {zone}")


def with_time(day, typed):
    """The mission of that day with another true time."""
    return changed(on_a_clock_change(day), f"time: {CHANGES[day][1]}", f"time: {typed}")


def told_of(text, *path):
    """The errors of one value."""
    return [d for d in errors_of(text) if d.cause == path]


@pytest.mark.parametrize("day", CHANGES)
@pytest.mark.parametrize("clock", CLOCKS)
def test_no_range_on_a_clock_change_is_offered_what_the_next_run_refuses(day, clock):
    """Also none loses an end, or crosses a day: every pair lies within two hours of local clock."""
    times = CHANGES[day][2]
    for start, end in itertools.combinations(times, 2):
        text = on_a_clock_change(day) + "weather: {valid: WINDOW}\n"
        found = told_of(text.replace("WINDOW", f"{start} to {end} {clock}"), "weather", "valid")
        for offer in offers_in(found[0]) if found else ():
            whole = text.replace("WINDOW", offer)
            valid = read(whole).times.weather_valid
            assert valid.end - valid.start <= timedelta(hours=3), offer


@pytest.mark.parametrize("day", CHANGES)
@pytest.mark.parametrize("clock", CLOCKS)
@pytest.mark.parametrize("dated", ["", "before", "same", "after"])
def test_no_true_time_on_a_clock_change_is_offered_what_the_next_run_refuses(day, clock, dated):
    shift = {"before": -1, "same": 0, "after": 1}.get(dated)
    typed = f"{date.fromisoformat(day) + timedelta(days=shift)} " if shift is not None else ""
    for time in CHANGES[day][2]:
        text = with_time(day, "TIME")
        found = told_of(text.replace("TIME", f"{typed}{time} {clock}"), "event", "pass", "time")
        for offer in offers_in(found[0]) if found else ():
            assert not told_of(text.replace("TIME", offer), "event", "pass", "time"), offer


def test_both_ends_of_a_range_that_comes_twice_are_offered():
    """Havana shows 00:05 at 04:05 Z and 05:05 Z on 7 November 2027."""
    text = on_a_clock_change("2027-11-07") + "weather: {valid: 00:05 to 00:45 event}\n"
    (problem,) = errors_of(text)

    assert offers_in(problem) == [
        "00:05:00 -0400 to 00:45:00 -0400",
        "00:05:00 -0400 to 00:45:00 -0500",
        "00:05:00 -0500 to 00:45:00 -0500",
    ]


def test_a_true_time_dated_two_days_before_is_offered_the_sortie_s_date():
    """The date lasts from 04:00 Z to 05:00 Z of the next, so an offset's 00:17 (04:17 Z) comes twice."""
    text = with_time("2027-11-07", "2027-11-05 00:17:10 -0400")

    assert offers_in(errors_of(text)[0]) == ["2027-11-07 00:17:10 -0400", "2027-11-08 00:17:10 -0400"]


def test_a_time_that_its_date_lacks_is_offered_with_the_dates_beside_it():
    """Havana's 8 March 2026 begins at 05:00 Z (01:00 -0400) and lasts 23 hours, so it lacks 04:30 Z."""
    text = with_time("2026-03-08", "04:30 Z")

    assert offered(text) == ["2026-03-08 04:30:00 Z", "2026-03-09 04:30:00 Z"]


def test_a_true_time_without_a_clock_is_offered_the_event_s_by_its_offsets():
    """Havana, which base and event share here, shows 00:20 at 04:20 Z and at 05:20 Z. The date lasts until
    05:00 Z of the next, so 04:20 Z comes twice in it and takes its date."""
    (problem,) = told_of(with_time("2027-11-07", "00:20:00"), "event", "pass", "time")

    assert problem.help == "write 00:20:00 Z, 2027-11-07 00:20:00 -0400 or 00:20:00 -0500"
