"""What a reader reads in missions that cross midnight, the date line or a clock change: every time belongs to
one instant only.

Offsets from the tz database's rules: Oslo +1, in summer +2, changes at 01:00 Z on 28 March and 31 October
2027 (the last Sundays); Apia +13 and Pago Pago -11 all year.
"""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, timezone

import pytest

from briefgen.brief.cards import cards
from briefgen.brief.cards.common import under_line
from briefgen.brief.figures import figure_makers, fuel_chart
from briefgen.brief.slides.tables.event import TABLES as OF_EVENT
from briefgen.brief.slides.tables.tables import TABLES as OF_SORTIE
from briefgen.brief.wording.words import card_words, words_of
from briefgen.core.context import Context, Stamp
from briefgen.core.resources import fonts_folder, templates_folder
from briefgen.draw.scene.geometry import flat
from briefgen.draw.scene.model import Canvas, Text
from briefgen.render.html.clock import clock_data
from tests.planned import plan_of

NAMES = ("midnight", "date-line", "clocks-forward", "clocks-back")
CET, CEST, APIA, PAGO = (timezone(timedelta(hours=h)) for h in (1, 2, 13, -11))
CHANGE = {
    "clocks-forward": datetime(2027, 3, 28, 1, tzinfo=UTC),
    "clocks-back": datetime(2027, 10, 31, 1, tzinfo=UTC),
}


def planned(name: str):
    return plan_of(f"tests/cases/ok-{name}.yaml")


def clock_of(head: str) -> timezone:
    """The clock that a head or the letters beside a time name."""
    return next(
        zone
        for mark, zone in (("CEST", CEST), ("CET", CET), ("SST", PAGO), ("+13:00", APIA), ("Zulu", UTC))
        if mark in head
    )


def read(text: str, head: str, year_day: datetime) -> datetime:
    """As a reader does: a date in front, else the one in the head, else the mission's; letters behind, else
    the head's."""
    found = re.fullmatch(r"(?:(\d+ [A-Z][a-z]{2}) )?(\d\d):(\d\d)(?::(\d\d))?(.*)", text)
    assert found, text
    zone = clock_of(found[5]) if found[5].strip() else clock_of(head)
    in_head = re.search(r", (\d+ [A-Z][a-z]{2})$", head)
    dated = found[1] or (in_head and in_head[1])
    day = datetime.strptime(f"{dated} 2027", "%d %b %Y") if dated else year_day
    return datetime(
        day.year, day.month, day.day, int(found[2]), int(found[3]), int(found[4] or 0), tzinfo=zone
    ).astimezone(UTC)


def cell(value) -> str:
    return (
        value
        if isinstance(value, str)
        else value.text
        if hasattr(value, "text")
        else "".join(run.text for run in value.runs)
    )


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("table", ["clock_times", "ground", "script", "contacts"])
def test_every_clock_of_a_row_reads_as_one_instant(name, table):
    w = words_of(planned(name))
    made = (OF_SORTIE | OF_EVENT)[table](w)
    heads = [column.head for column in made.columns]
    clocks = [
        i
        for i, head in enumerate(heads)
        if any(mark in head for mark in ("Zulu", "CET", "CEST", "SST", "+13:00"))
    ]
    assert len(clocks) >= 2 and made.rows
    assert len({head for i, head in enumerate(heads) if i in clocks}) == len(clocks)
    day = datetime.combine(w.mission.date, datetime.min.time())
    for row in made.rows:
        instants = {read(cell(row[i]), heads[i], day) for i in clocks}
        assert len(instants) == 1, [cell(value) for value in row]


def texts_of(name: str, figure: str) -> list[Text]:
    scene = figure_makers(planned(name))[figure](Canvas(880, 370))
    return [shape for shape in flat(scene.shapes) if isinstance(shape, Text)]


@pytest.mark.parametrize(
    ("name", "rulers"),
    [
        ("midnight", {"Z": UTC, "Base and Event CEST (+02:00)": CEST}),
        ("date-line", {"Z, 4 May": UTC, "Base (+13:00), 5 May": APIA, "Event SST (-11:00), 4 May": PAGO}),
        (
            "clocks-forward",
            {"Z": UTC, "Base and Event CET (+01:00)": CET, "Base and Event CEST (+02:00)": CEST},
        ),
        ("clocks-back", {"Z": UTC, "Base and Event CEST (+02:00)": CEST, "Base and Event CET (+01:00)": CET}),
    ],
)
def test_each_ruler_of_the_clock_shows_its_own_offset_only(name, rulers):
    texts = texts_of(name, "clock_bar")
    named = {text.text: text.at[1] for text in texts if text.text in rulers}
    assert set(named) == set(rulers)
    rows = {
        ruler: {t.at[0]: t.text for t in texts if t.at[1] == y and re.fullmatch(r"\d\d:\d\d", t.text)}
        for ruler, y in named.items()
    }
    zulu = next(row for ruler, row in rows.items() if ruler.startswith("Z"))
    takeoff = planned(name).clock.takeoff
    for ruler, zone in rulers.items():
        for x, shown in rows[ruler].items():
            hour, minute = map(int, zulu[x].split(":"))
            at = takeoff.replace(hour=hour, minute=minute, second=0)
            at += timedelta(days=1) if at < takeoff else timedelta()
            assert shown == f"{at.astimezone(zone):%H:%M}"
            if name in CHANGE and zone is not UTC:
                summer = (at >= CHANGE[name]) == (name == "clocks-forward")
                assert zone is (CEST if summer else CET)
    assert sum(len(row) for ruler, row in rows.items() if not ruler.startswith("Z")) == len(zulu) * (
        2 if name == "date-line" else 1
    )


@pytest.mark.parametrize(
    ("name", "said"),
    [
        (
            "midnight",
            [
                "Sortie 23:00 to 29 Jul 00:03",
                "Harbour quay, 28 Jul to 29 Jul, CEST (+02:00): civil twilight all night",
            ],
        ),
        (
            "clocks-forward",
            [
                "Sortie 01:20 CET to 03:17 CEST",
                "Harbour quay, 27 Mar to 28 Mar, CET (+01:00), from 01:00 Z on CEST (+02:00)",
            ],
        ),
        (
            "clocks-back",
            [
                "Sortie 02:20 CEST to 02:17 CET",
                "Harbour quay, 30 Oct to 31 Oct, CEST (+02:00), from 01:00 Z on CET (+01:00)",
            ],
        ),
    ],
)
def test_the_bar_of_the_day_names_the_day_and_the_clock(name, said):
    clock = planned(name).clock
    zones = {"midnight": (CEST, CEST), "clocks-forward": (CET, CEST), "clocks-back": (CEST, CET)}[name]
    times = [
        f"{(at + timedelta(seconds=30)).astimezone(zone):%H:%M}"
        for at, zone in zip((clock.takeoff, clock.last_landing), zones, strict=True)
    ]
    assert all(time in said[0] for time in times)
    texts = [text.text.replace("\n", " ") for text in texts_of(name, "daylight")]
    assert all(text in texts for text in said)


@pytest.mark.parametrize(
    ("name", "head"),
    [
        ("midnight", "Wed 28 Jul 2027  ·  landing 29 Jul at the base  ·  base and event CEST (+02:00)"),
        (
            "date-line",
            (
                "Tue 4 May 2027  ·  take-off on 4 May 2027 Z  ·  5 May 2027 at the base  ·  base (+13:00),"
                " event SST (-11:00)"
            ),
        ),
        ("clocks-forward", "Sun 28 Mar 2027  ·  base and event CET (+01:00), from 01:00 Z on CEST (+02:00)"),
        ("clocks-back", "Sun 31 Oct 2027  ·  base and event CEST (+02:00), from 01:00 Z on CET (+01:00)"),
    ],
)
def test_the_head_of_every_card_names_its_dates_and_clocks(name, head):
    assert under_line(card_words(planned(name))) == head


@pytest.mark.parametrize(
    ("name", "label", "zulu", "base"),
    [  # landing and what follows: times of the plan, on the base's clock by hand
        ("midnight", "End of debrief", "23:02:31", "29 Jul 01:02:31"),
        ("date-line", "True time over target", "5 May 00:00:00", "13:00:00"),
        ("clocks-back", "Take-off", "00:20:00", "02:20:00 CEST"),
        ("clocks-back", "True time over target", "01:05:00", "02:05:00 CET"),
        ("clocks-forward", "Take-off", "00:20:00", "01:20:00 CET"),
        ("clocks-forward", "True time over target", "01:05:00", "03:05:00 CEST"),
    ],
)
def test_the_clock_of_the_approval_sheet(name, label, zulu, base):
    rows = {row[0]: row[1:] for row in cards.approval(planned(name)).sides[1][1]["clock"].rows}
    assert rows[label] == (zulu, base)


def test_the_slips_of_a_card_over_midnight_stand_without_dates_under_a_note_that_has_them():
    side = cards.kneeboard(planned("date-line"), 1).sides[1][1]
    assert side["notes"].items[0][1].startswith("All Z of 4 May, from 00:00:00 on of 5 May.")
    assert not any("2027" in text for row in side["slips"].rows for text in row)
    for name in ("midnight", "clocks-back"):
        assert cards.kneeboard(planned(name), 1).sides[1][1]["notes"].items[0][1].startswith("All Z. ")


def test_opening_hours_that_end_after_midnight_have_the_date():
    """10:00 to 04:00 at +02:00 is 08:00 Z, before take-off, to 02:00 Z of the next date."""
    w = words_of(planned("midnight"))
    hours = [cell(row[-1]) for row in OF_EVENT["diverts"](w).rows]
    assert hours == ["until 29 Jul 02:00"]
    assert [row[-1] for row in cards.kneeboard(planned("midnight"), 1).sides[0][1]["diverts"].rows] == hours


@pytest.mark.parametrize(
    ("name", "spans"),
    [
        ("midnight", [(None, 7200, "CEST (+02:00)")]),
        ("date-line", [(None, -39600, "SST (-11:00)")]),
        ("clocks-forward", [(None, 3600, "CET (+01:00)"), (CHANGE["clocks-forward"], 7200, "CEST (+02:00)")]),
        ("clocks-back", [(None, 7200, "CEST (+02:00)"), (CHANGE["clocks-back"], 3600, "CET (+01:00)")]),
    ],
)
def test_the_ground_contacts_clock_knows_both_sides_of_a_change(name, spans):
    context = Context(
        Stamp("TEST", "Test", "K7QH-49AC-XXTM-3PWJ", "K7QH", "0", "2026f"),
        (templates_folder(),),
        fonts_folder(),
    )
    found = clock_data(planned(name), context)["zone"]["spans"]
    assert [(span["offset_s"], span["words"]) for span in found] == [span[1:] for span in spans]
    assert [span["from_ms"] for span in found[1:]] == [span[0].timestamp() * 1000 for span in spans[1:]]


# Take-off less 30 min from start to take-off, read off the files: 00:20 Z starts on the day before;
# regatta-like midnight stays on one UTC day.
@pytest.mark.parametrize(
    ("name", "title"),
    [
        ("midnight", "Zulu"),
        ("date-line", "Zulu, from 4 May 2027 into 5 May 2027"),
        ("clocks-forward", "Zulu, from 27 Mar 2027 into 28 Mar 2027"),
        ("clocks-back", "Zulu, from 30 Oct 2027 into 31 Oct 2027"),
    ],
)
def test_the_fuel_chart_has_its_dates_and_no_time_before_its_midnight(name, title):
    chart = fuel_chart(planned(name))
    assert chart.x_axis.title == title
    assert chart.x_axis.minimum >= 0.0  # a spreadsheet can't write a clock below zero
    assert all(at >= 0.0 for line in chart.series for at, _ in line.points)
