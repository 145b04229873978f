"""A key in the wrong column is said to be so once, with the section it belongs in and its line: that of the
mission to start from, before it was moved."""

import pytest

from tests.mission.mission_texts import START, told_of

# the beginning of a line, its section, its column, and the columns that it is typed in
MOVED = [
    ("transition_altitude:", "`weather`", 2, (0, 4)),
    ("relay_time:", "`event`", 2, (0, 4)),
    ("tolerance:", "`event.pass`", 4, (0, 2, 6)),
    ("minimum_ships:", "`event.pass`", 4, (0, 2, 6)),
    ("fuel_capacity:", "`aircraft.siskin`", 4, (0, 2, 6)),
    ("name: Oakmere", "`places.OAKMERE`", 4, (0, 2, 6)),  # the first key of its section
    ("name: Flt Sgt", "`event.ground_contact`", 4, (0, 2, 6)),  # the event has a name as well
    ("LONGFORD: {name", "`places`", 2, (0, 4)),  # a name of one's own
    ("2: {leads", "`contingencies.fall_outs`", 4, (0, 2, 6)),
    ("weather:\n    takeoff", "`limits`", 2, (0, 4)),  # the file has one as well
    ("pass:", "`event`", 2, (0, 4)),  # with all that stands below it
    ("risk:", "at the top of the file", 0, (2,)),
]
ROWS = [(*row[:3], typed) for row in MOVED for typed in row[3]]


@pytest.mark.parametrize(("begins", "section", "column", "typed"), ROWS)
def test_a_key_in_another_column_is_one_error_with_its_line(begins, section, column, typed):
    at = f"\n{' ' * column}{begins}"
    assert START.count(at) == 1
    line = START[START.index(at) + 1 :].partition("\n")[0]
    found = told_of(START.replace(at, f"\n{' ' * typed}{begins}"))

    assert [d.code for d in found] == ["misplaced-key"], [d.message for d in found]
    assert section in found[0].message
    where, _, mended = found[0].help.removesuffix("; the next lines likewise").partition(": ")
    assert (where, mended) == (
        f"write it with {column} spaces before it" if column else "write it at the beginning of its line",
        line.strip(),
    )


def test_what_else_is_wrong_is_told_in_the_same_run():
    text = START.replace("\n  relay_time: 10 s", "\n    relay_time: 10 sek")
    assert [d.code for d in told_of(text)] == ["misplaced-key", "value"]
