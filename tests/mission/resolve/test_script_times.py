"""A cue that is typed an hour off, or overlaps another, is told: sums of the clock times in the rows."""

import re
from datetime import UTC, datetime

import pytest

from briefgen.mission.load import load_mission_text
from tests.mission.mission_texts import PASS_ONLY, changed, regatta

# the hymn begins at 13:00:00 event (+02:00 in May, 11:00:00 Z) and lasts 60 s: T is 11:01:00 Z
HYMN = "HYMN: {says: First note, time: 13:00:00 event, lasts: 60 s}"
ROWS = {
    "as it should be":        ("12:55:00 event, lasts: 60 s", "", []),
    "until the next begins":  ("12:55:00 event, lasts: 300 s", "", []),
    "an hour late":           ("13:55:00 event, lasts: 60 s", "", ["error cue-after-t"]),
    "by its offset":          ("12:55:00 +0100", "", ["caution clock-offset", "error cue-after-t"]),
    "at T":                   ("13:01:00 event, lasts: 60 s", "", ["error cue-after-t"]),
    "a second before T":      ("13:00:59 event", "", ["caution cues-out-of-order", "caution cues-overlap"]),
    "it lasts into the next": ("12:55:00 event, lasts: 301 s", "", ["caution cues-overlap"]),
    "at the same second":     ("13:00:00 event", "", []),
    "out of order":           ("12:55:00 event", "12:50:00 event", ["caution cues-out-of-order"]),
    "an hour early":          ("12:55:00 +0300, lasts: 60 s", "12:58:00 +0200", ["caution clock-offset"]),
    "close, two offsets":     ("13:55:00 +0300, lasts: 60 s", "12:58:00 +0200", ["caution clock-offset"]),
    "2 h before the next":    ("10:59:00 event, lasts: 60 s", "", []),
    "and a minute more":      ("10:58:00 event, lasts: 60 s", "", ["caution cue-early"]),
    "by Zulu, west of here":  ("12:55:00 Z", "", ["error cue-after-t"]),
    "by Zulu":                ("08:55:00 event", "", ["caution cue-early"]),
    "the day before":         ("2027-05-03 12:55:00 event", "", ["caution cue-early"]),
}  # fmt: skip


@pytest.mark.parametrize("name", ROWS)
def test_a_cue_that_cannot_be_where_it_is_typed_is_told(name):
    speech, flag, expected = ROWS[name]
    lines = f"SPEECH: {{says: Mayor begins, time: {speech}}}\n    "
    lines += f"FLAG: {{says: Flag, time: {flag}}}\n    " if flag else ""
    found = load_mission_text(changed(PASS_ONLY, HYMN, lines + HYMN), "m.yaml")[1]

    assert sorted(f"{d.severity} {d.code}" for d in found) == expected


def harbour(**cues):
    """A pass at Darwin, +09:30 all year (IANA tz database), with these cues and T; the ground contact is in
    place at 11:50 Z (21:20), its radio check at 12:20 Z, 20 minutes before most T of the rows."""
    t = cues.pop("T")
    date = cues.pop("date", "2027-07-01")
    text = changed(PASS_ONLY, "time: end of HYMN", f"time: {t}")
    text = text.replace(" 01", " 13").replace(
        "Europe/Oslo", "Australia/Darwin"
    )  # the same spots 120 deg east
    text = changed(text, "date: 2027-05-04", f"date: {date}")
    text = changed(text, "takeoff: 12:10 base", "takeoff: 21:40 base")
    contact = "name: Sgt L. Marrick, callsign: LIGHTSHIP, primary: 130.500 MHz"
    script = "".join(
        f"    {id}: {{says: It begins, time: {time}, lasts: 60 s}}\n" for id, time in cues.items()
    )
    contact = f"  ground_contact: {{{contact}, in_place: 21:20 event, radio_check: 21:50 event}}\n"
    return changed(text, f"  script:\n    {HYMN}\n", f"{contact}  script:\n{script}")


# the script's times and T, what is told, and what may be written: each with the id whose time it is
OTHERWISE = {
    "in place and checked": ({"SPEECH": "22:05:00 event", "T": "22:10:00 event"}, [], {}),
    "one in Zulu": (
        {"SPEECH": "12:35:00 event", "FINALE": "22:08:00 event", "T": "end of FINALE"},
        ["caution cue-early"],
        {"SPEECH": ["12:35:00 Z"]},
    ),
    "both in Zulu": (
        {"SPEECH": "12:35:00 event", "FINALE": "12:38:00 event", "T": "22:10:00 event"},
        ["caution cue-early"],
        {"SPEECH": ["12:35:00 Z"], "FINALE": ["12:38:00 Z"]},
    ),
    "before the check": ({"SPEECH": "21:40:00 event", "T": "22:10:00 event"}, ["caution cue-early"], {}),
    "T after midnight": (
        {"SPEECH": "23:52:00 event", "FINALE": "23:59:00 event", "T": "00:08:30 event"},
        ["error cue-after-t"],
        {
            "": ["2027-07-02 00:08:30 event"],
            "SPEECH": ["2027-06-30 23:52:00 event"],
            "FINALE": ["2027-06-30 23:59:00 event"],
        },
    ),
    "the last cue after midnight": (
        {"SPEECH": "23:52:00 event", "FINALE": "00:07:00 event", "T": "end of FINALE"},
        ["error cue-after-t"],
        {"FINALE": ["2027-07-02 00:07:00 event"], "SPEECH": ["2027-06-30 23:52:00 event"]},
    ),
    "two cues after midnight": (
        {"SPEECH": "23:52:00 event", "FLAG": "00:02:00 event", "LAST": "00:07:00 event", "T": "end of LAST"},
        ["error cue-after-t"],
        {
            "FLAG": ["2027-07-02 00:02:00 event"],
            "LAST": ["2027-07-02 00:07:00 event"],
            "SPEECH": ["2027-06-30 23:52:00 event"],
        },
    ),
    "T in Zulu": (
        {"SPEECH": "22:05:00 event", "T": "12:40:00 event"},
        ["error cue-after-t"],
        {"": ["12:40:00 Z"]},
    ),
}  # fmt: skip
OFFERED = re.compile("(?:write|and) ((?:[0-9-]{10} )?[0-9:]{8} [a-zZ]+) for (the time over target|[A-Z]+)")


@pytest.mark.parametrize("name", OTHERWISE)
def test_what_is_offered_for_a_cue_that_cannot_be_is_what_one_slip_explains(name):
    script, expected, meant = OTHERWISE[name]
    found = [d for d in load_mission_text(harbour(**script), "m.yaml")[1] if d.severity != "note"]

    assert [f"{d.severity} {d.code}" for d in found] == expected
    offers = {}
    for text, what in OFFERED.findall(found[0].help if found else ""):
        offers.setdefault("" if what.startswith("the") else what, []).append(text)
    assert offers == meant


@pytest.mark.parametrize("name", OTHERWISE)
def test_every_offer_is_taken_on_the_next_run(name):
    script, _, _ = OTHERWISE[name]
    for found in load_mission_text(harbour(**script), "m.yaml")[1]:
        for offer in found.help.split("; ")[:-1] if found.code.startswith("cue-") else ():
            written = {what: text for text, what in OFFERED.findall(offer)}
            mended = {"T" if id.startswith("the") else id: text for id, text in written.items()}
            told = load_mission_text(harbour(**{**script, **mended}), "m.yaml")[1] if mended else []
            assert not [d.code for d in told if d.code.startswith("cue")], offer


def test_late_cues_are_told_once_with_the_dates_by_both_clocks():
    """23:52 by the clock at +09:30 is 14:22 Z; 00:08:30 of that date is 14:38:30 Z of the day before."""
    text = harbour(SPEECH="23:52:00 event", FINALE="23:59:00 event", T="00:08:30 event")
    (problem,) = load_mission_text(text, "m.yaml")[1]

    assert problem.message == (
        "SPEECH begins at 2027-07-01 23:52:00 event (2027-07-01 14:22:00 Z), FINALE at 2027-07-01 23:59:00"
        " event (2027-07-01 14:29:00 Z), and the time over target is 2027-07-01 00:08:30 event (2027-06-30"
        " 14:38:30 Z)"
    )


# T and the date of the sortie, and what is said of them
DATES = {
    "the same": ({"SPEECH": "22:05:00 event", "T": "22:10:00 event"}, []),
    "over midnight": ({"SPEECH": "23:58:00 event", "T": "2027-07-02 00:01:00 event"}, ["note"]),
    "the cue over midnight": ({"SPEECH": "23:59:30 event", "T": "end of SPEECH"}, ["note"]),
    "from the evening before": (
        {"SPEECH": "2027-06-30 23:58:00 event", "T": "00:01:00 event"},
        [],
    ),
    "all on the next date": (
        {"SPEECH": "2027-07-02 22:05:00 event", "T": "2027-07-02 22:10:00 event"},
        ["caution"],
    ),
}


@pytest.mark.parametrize("name", DATES)
def test_a_true_time_on_another_date_is_told_with_both(name):
    script, expected = DATES[name]
    mission, problems = load_mission_text(harbour(**script), "m.yaml")
    found = [d for d in problems if d.code == "other-date"]

    assert mission is not None and [d.severity for d in found] == expected
    assert all("2027-07-02" in d.message and "2027-07-01" in d.message for d in found)


# T is the end of a cue at 23:59:30, a minute later: 00:00:30 of the day after. Of the forecast and permission
# of that night every date is of 1 and 2 July: the date of the sortie is that of the cue, 1 July.
NIGHT = (
    (
        "event.permission",
        "{reference: P, authority: Harbour office, valid: 2027-07-01 23:30 event to 2027-07-02 00:30 event}",
    ),
    ("weather.valid", "2027-07-01 20:00 event to 2027-07-02 04:00 event"),
)


@pytest.mark.parametrize("typed", ["2027-07-02", "2027-07-03", "2027-06-30"])
def test_the_date_that_is_offered_beside_a_t_past_midnight_is_taken(typed):
    cues = {"SPEECH": "23:59:30 event", "T": "end of SPEECH"}
    _, problems = load_mission_text(harbour(**cues, date=typed), "m.yaml", edits=NIGHT)
    (told,) = (d for d in problems if d.code in ("date", "other-date"))

    assert told.help.startswith("write 2027-07-01 if")
    assert "every one fits 2027-07-01, with the time over target on 2027-07-02" in told.message
    mission, problems = load_mission_text(harbour(**cues, date="2027-07-01"), "m.yaml", edits=NIGHT)
    assert [d.severity for d in problems if d.code in ("date", "other-date")] == ["note"]
    assert mission.times.true_time == datetime(2027, 7, 1, 14, 30, 30, tzinfo=UTC)  # Darwin is +09:30


def test_the_note_of_a_t_past_midnight_names_the_date_for_the_day_before():
    """Typed as of the night to 2 July where that to 1 July is meant: the day before it."""
    cues = {"SPEECH": "23:59:30 event", "T": "end of SPEECH"}
    (told,) = (d for d in load_mission_text(harbour(**cues), "m.yaml")[1] if d.code == "other-date")
    assert told.help == (
        "leave it if that is meant; else write date: 2027-06-30 in `sortie` for the time over target on"
        " 2027-07-01"
    )
    mission, _ = load_mission_text(harbour(**cues, date="2027-06-30"), "m.yaml")
    assert mission.times.true_time == datetime(2027, 6, 30, 14, 30, 30, tzinfo=UTC)


def test_an_offset_of_the_other_half_of_the_year_is_doubted_with_the_right_one():
    """Adelaide is +09:30 in July and +10:30 in January, Melbourne +10:00 and +11:00 (IANA tz database)."""
    text = changed(regatta(), "time: 14:28:06 event", "time: 14:28:06 +1000")
    text = changed(text, "acknowledged: 14:30:02 event", "acknowledged: 14:30:02 +1000")
    found = [d for d in load_mission_text(text, "m.yaml")[1] if d.code == "clock-offset"]

    assert [d.severity for d in found] == ["caution"]
    assert found[0].message == (
        "+10:00 is no clock of this mission at that time: it is +10:30 at the base and +11:00 at the event"
    )
    assert found[0].help.startswith("write 14:28:06 +1100 if")


@pytest.mark.parametrize("own", ["14:28:06 +1100", "13:58:06 +1030", "03:28:06 Z", "03:28:06 +0000"])
def test_an_offset_that_base_or_event_shows_is_not_doubted(own):
    text = changed(regatta(), "time: 14:28:06 event", f"time: {own}")

    assert "clock-offset" not in [d.code for d in load_mission_text(text, "m.yaml")[1]]
