"""What YAML readers and lax models do without a word, and this reader must not. Each row was seen to go wrong
elsewhere."""

import pytest

from briefgen.mission.load import load_mission_text
from briefgen.mission.read.source import read_source
from briefgen.units.values import ClockTime, Direction
from tests.mission.mission_texts import EARLY_HYMN, PASS_ONLY, START, changed
from tests.yardstick import processor_seconds, yards


def read(text):
    """The mission of a text that must be fine."""
    mission, problems = load_mission_text(text, "m.yaml")
    assert not problems
    return mission


def codes(text):
    """Code and line of each diagnostic of a text that must not be fine."""
    mission, problems = load_mission_text(text, "m.yaml")
    assert mission is None
    return [(d.code, d.span.line) for d in problems]


@pytest.mark.parametrize(
    "typed", ["14:30 event", "14:30:00 event", "1430 event", "143000 event", '"14:30 event"', "'14:30 event'"]
)
def test_a_clock_time_is_never_a_number_in_base_60(typed):
    mission = read(changed(PASS_ONLY, "time: end of HYMN", f"time: {typed}"))

    assert mission.file.event.pass_.time == ClockTime(14, 30, 0, "event")
    assert mission.times.true_time.isoformat() == "2027-05-04T12:30:00+00:00"  # Oslo keeps UTC+2 in May


@pytest.mark.parametrize("typed", ["14:30", "8:30", "08:30", "1430", "870", '"14:30"', "52200"])
def test_a_clock_time_without_its_clock_is_refused_however_it_is_typed(typed):
    assert codes(changed(EARLY_HYMN, "time: end of HYMN", f"time: {typed}")) == [("value", 21)]


@pytest.mark.parametrize(
    ("typed", "degrees"),
    [("045 T", 45), ("010 T", 10), ("060 T", 60), ("077 T", 77), ("080 T", 80), ("090 T", 90)],
)
def test_a_leading_zero_does_not_make_a_direction_octal(typed, degrees):
    egress = f"egress: {{course: {typed}, distance: 8 nm, level: 2000 ft MSL, speed: 300 KGS}}"
    mission = read(PASS_ONLY + f"    {egress}\n")

    assert mission.file.event.pass_.egress.course == Direction(float(degrees), "T")


@pytest.mark.parametrize(
    "tail", ["0471", "0080", "0000", "1e3", "1E5", "NO", "on", "123.450", "0x1F", "1_000", "12:30"]
)
def test_a_text_stays_as_it_was_typed(tail):
    mission = read(changed(PASS_ONLY, "start_fuel: 5500 lb", f"start_fuel: 5500 lb, tail: {tail}"))

    assert mission.file.flight[0].tail == tail


@pytest.mark.parametrize("word", ["NO", "ON", "off", "Y", "n", "TRUE"])
def test_a_call_sign_is_no_truth_value(word):
    assert read(changed(PASS_ONLY, "callsign: GANNET", f"callsign: {word}")).file.sortie.callsign == word


@pytest.mark.parametrize("key", ["on", "yes", "NO", "1", "1.0", "true"])
def test_keys_are_text_too(key):
    source, problems = read_source(f"{key}: a\nother: b\n", "m.yaml")

    assert not problems and source.tree == {key: "a", "other": "b"}


@pytest.mark.parametrize(
    ("typed", "text"), [("118.100 MHz", "118.100"), ("243.000 MHz", "243.000"), ("123.450 MHz", "123.450")]
)
def test_a_frequency_keeps_its_zeros(typed, text):
    mission = read(PASS_ONLY + f"radio:\n  - {{preset: 1, use: Tower, frequency: {typed}}}\n")

    assert mission.file.radio[0].frequency.text == text


@pytest.mark.parametrize("typed", ["36:14:30 -115:02:03", "130470", "190:20:30.15"])
def test_a_position_with_colons_is_no_number(typed):
    text = changed(PASS_ONLY, "59°44.0'N 010°33.0'E", typed)
    mission, problems = load_mission_text(text, "m.yaml")

    assert mission is None and [(d.code, d.span.line) for d in problems] == [("value", 6)]


@pytest.mark.parametrize(
    "typed", ["nan", ".inf", "inf", "1e400 lb", "9" * 500 + " lb", "1_000 lb", "true", "yes", "-5 lb"]
)
def test_no_amount_of_fuel_is_infinite_negative_or_true(typed):
    assert codes(changed(PASS_ONLY, "start_fuel: 5500 lb", f"start_fuel: {typed}")) == [("value", 13)]


def test_a_repeated_key_names_both_lines():
    _, problems = load_mission_text(
        changed(PASS_ONLY, "    over: QUAY\n", "    over: QUAY\n    over: IP\n"), "m.yaml"
    )

    assert [(d.code, d.span.line, d.related[0].span.line) for d in problems] == [("duplicate-key", 21, 20)]


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("name: [Hard deck 5,000 ft, Stop]", "cut-text"),
        ("name: {top: 1,250 ft}", "cut-text"),
        ("name: &Harbour day", "anchor"),
        ("name: [Four set-ups, ship #3 leads]", "cut-text"),
    ],
)
def test_a_text_that_would_be_cut_is_refused(typed, code):
    assert codes(changed(PASS_ONLY, "name: Harbour day", typed))[0] == (code, 16)


@pytest.mark.parametrize("depth", [13, 500, 3000, 50_000])
def test_depth_is_refused_at_once(depth):
    text = "a: " + "[" * depth + "]" * depth + "\n"
    source, problems = read_source(text, "m.yaml")

    assert source is None and [d.code for d in problems] == ["too-deep"]
    assert yards(lambda: processor_seconds(lambda: read_source(text, "m.yaml")), 3) < 3


def test_size_is_refused_before_anything_is_read():
    source, problems = read_source(b"a: b\n" * 60_000, "m.yaml")

    assert source is None and [(d.code, str(d.span)) for d in problems] == [("file-too-big", "m.yaml:1:1")]


@pytest.mark.parametrize(
    ("data", "place"),
    [
        (b"a: 1\nb: \xff\n", "m.yaml:2:4"),
        (b"a: 1\r\nb: caf\xe9\r\n", "m.yaml:2:7"),
        ("ä: \u00e9".encode() + b"\x80", "m.yaml:1:5"),
        (b"\xef\xbb\xbfa: \x01", "m.yaml:1:4"),
        ("a: x\n\ufeffb: y\n".encode(), "m.yaml:2:1"),
        ("a: \uffff".encode(), "m.yaml:1:4"),
        (b'a: "\\ud800"', "m.yaml:1:4"),
    ],
)
def test_a_bad_byte_or_character_has_a_place(data, place):
    source, problems = read_source(data, "m.yaml")

    assert [str(d.span) for d in problems] == [place]
    assert source is None or "_" not in source.canonical()  # what stood there is not taken for a text


# one slip that an editor makes all over a file: what is told, at which line, and at how many places besides
# The mission to start from has 28 degree signs, from line 23 on.
EVERYWHERE = {
    "another encoding": (lambda text: text.encode("latin-1"), "encoding", 23, 27),
    "tabs for indents": (lambda text: text.replace("\n  ", "\n\t"), "look-alike", 14, None),
    "tabs behind colons": (lambda text: text.replace(": ", ":\t"), "look-alike", 11, None),
    "no-break spaces": (lambda text: text.replace("\n  name", "\n\u00a0 name"), "look-alike", 14, None),
}


@pytest.mark.parametrize("name", EVERYWHERE)
def test_one_slip_all_over_a_file_is_told_once_and_nothing_that_follows_from_it(name):
    spoilt, code, line, others = EVERYWHERE[name]
    (problem,) = load_mission_text(spoilt(START), "m.yaml")[1]
    assert (problem.code, problem.span.line) == (code, line)
    if others is not None:
        assert problem.related[-1].message == f"the same here, and at {others - 3} more places"


@pytest.mark.parametrize(
    "value",
    [
        "!!timestamp foo",
        "!!bool maybe",
        "!!int abc",
        "2026-02-30",
        "25:00:00",
        "*",
        "@x",
        "%x",
        "`x",
        "? x",
        "- - x: :",
        "{",
        "]",
        '"',
        "|+9",
        "!<",
    ],
)
def test_no_value_ends_in_an_exception(value):
    mission, problems = load_mission_text(
        changed(PASS_ONLY, "date: 2027-05-04}", f"date: {value}}}"), "m.yaml"
    )

    assert mission is None and problems and all(d.span for d in problems)


def test_columns_count_characters_after_a_byte_order_mark_and_in_blocks():
    source, _ = read_source("\ufeffä: {b: c, d: [e, f]}\nlist:\n\n  - g\n  # note\n\nlast: h\n", "m.yaml")

    assert str(source.spans.value(("ä", "d", 1))) == "m.yaml:1:18"
    block = source.spans.values[("list",)]
    # a block ends with its last value, not at the next key
    assert (block.line, block.column, block.end_line, block.end_column) == (
        4,
        3,
        4,
        6,
    )
    assert str(source.spans.key(("last",))) == "m.yaml:7:1"
    # what is not there points to what is around it
    assert str(source.spans.value(("list", 7, "none"))) == "m.yaml:4:3"
