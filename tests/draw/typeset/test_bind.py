"""What a line must not part. The expected texts show a no-break space as ~."""

import pytest

from briefgen.draw.typeset.bind import NO_BREAK, bind, bind_hyphens, bind_phones


@pytest.mark.parametrize(
    ("text", "bound"),
    [
        ("joker 2850 lb or at 03:08:28 Z", "joker 2850~lb or at 03:08:28~Z"),
        (
            "041 M (052 T) for 8.0 nm at 2000 ft MSL, 390 KGS",
            "041~M~(052~T) for 8.0~nm at 2000~ft~MSL, 390~KGS",
        ),
        ("hold 6 h 20 min 36 s", "hold 6~h~20~min~36~s"),
        ("phone +00 000 000", "phone +00~000~000"),
        (
            "14:00:02 ACDT (+10:30) base, 14:30:02 AEDT (+11:00) event",
            "14:00:02~ACDT~(+10:30)~base, 14:30:02~AEDT~(+11:00)~event",
        ),
        ("issued 2027-01-29 22:00:00 Z", "issued 2027-01-29~22:00:00~Z"),
        ("issued 29 Jan 22:00:00 Z", "issued 29~Jan 22:00:00~Z"),
        ("issued 29 Jan 2027 22:00:00 Z", "issued 29~Jan 2027 22:00:00~Z"),
        ("Turbulence, 1 x 4 = 4 of 25", "Turbulence, 1~x~4~=~4~of 25"),
        ("Zulu, 2 Jun, from 29 Jan 2027 on", "Zulu, 2~Jun, from 29~Jan 2027 on"),
        ("4 Marchers and 3 Mayors", "4 Marchers and 3 Mayors"),
        ("Later until, Z", "Later until,~Z"),
        ("Ship 3 leads without ship 1", "Ship~3 leads without ship~1"),
        ("4 ships, 3 men, 2 months, 9 zones", "4 ships, 3 men, 2 months, 9 zones"),
        ("NO CALL NEEDED, NOT CHECKED", "NO~CALL~NEEDED, NOT~CHECKED"),
        ("END BY 03:02:36 Z, NOT GIVEN, TOO LATE", "END~BY 03:02:36~Z, NOT~GIVEN, TOO~LATE"),
        ("FOUNDERS DAY IN TOWN", "FOUNDERS DAY IN TOWN"),
        ("", ""),
    ],
)
def test_numbers_stay_with_their_units(text, bound):
    assert bind(text) == bound.replace("~", NO_BREAK)


@pytest.mark.parametrize("text", ["Leave the hold at 03:28:21 Z", "Ship 4 over 330 ft MSL, +00 000 000"])
def test_the_words_stay(text):
    assert bind(text).replace(NO_BREAK, " ") == text


@pytest.mark.parametrize(
    ("text", "bound"),  # ~ is a no-break hyphen
    [
        ("2027-03-14 to 2027-03-15", "2027~03~14 to 2027~03~15"),
        ("-05:00 and -04:00", "~05:00 and ~04:00"),
        ("T-15 min, -6 C", "T~15 min, ~6 C"),
        ("take-off, knock-off time", "take-off, knock-off time"),
    ],
)
def test_no_hyphen_before_a_figure_ends_a_line(text, bound):
    assert bind_hyphens(text) == bound.replace("~", "\u2011")


def test_where_nothing_else_is_bound_a_telephone_number_is():
    assert bind_phones(
        "at 03:30:02 Z, phone +00 000 010, ship 4"
    ) == "at 03:30:02 Z, phone +00~000~010, ship 4".replace("~", NO_BREAK)
