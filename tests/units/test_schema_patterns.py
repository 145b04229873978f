"""The JSON-Schema fragments agree with the parsers, also in the Rust regex engine that many validators use
(pydantic-core carries it)."""

from __future__ import annotations

import re
from functools import cache

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic_core import SchemaValidator, ValidationError, core_schema

from briefgen.units import parse as p
from briefgen.units.parse import PARSERS, Refusal, json_schema
from tests.units.test_parse import ACCEPTED, POSITIONS
from tests.units.test_refusals import READINGS

TAKEN = [row[:2] for row in ACCEPTED] + [(p.parse_position, text) for text, _ in POSITIONS]
# of the right shape, but not a value: the pattern lets them pass, the parser does not
# without look-ahead no pattern leaves out the letters of a zone, which are as good as an event's id
SHAPED = {"140.85 -37.69", "2027-01-31 to 2027-01-30", "07:00 base to 19:00", "10000 to FL140", "14:30 UTC"}
SHAPED |= {"2027-01-30 06:00 Z to 2027-01-28 24:00 Z"}  # it ends before it begins


def _id(value: object) -> str | None:
    return getattr(value, "__name__", None)


@cache
def _rust(parse) -> SchemaValidator:
    return SchemaValidator(
        core_schema.str_schema(pattern=json_schema(parse)["pattern"], regex_engine="rust-regex")
    )


def _matches(parse, text: str) -> bool:
    try:
        _rust(parse).validate_python(text)
    except ValidationError:
        return False
    return True


@pytest.mark.parametrize(("parse", "text"), TAKEN, ids=_id)
def test_accepted_spelling_matches_the_pattern(parse, text):
    assert re.search(json_schema(parse)["pattern"], text)
    assert _matches(parse, text)


@pytest.mark.parametrize(("parse", "text"), [row[:2] for row in READINGS if row[1] not in SHAPED], ids=_id)
def test_near_miss_does_not_match_the_pattern(parse, text):
    assert not re.search(json_schema(parse)["pattern"], text)
    assert not _matches(parse, text)


@pytest.mark.parametrize("parse", PARSERS, ids=_id)
def test_fragment_is_anchored_portable_and_has_examples_that_parse(parse):
    fragment = json_schema(parse)
    pattern = str(fragment["pattern"])
    assert pattern.startswith("^(?:") and pattern.endswith(")$")
    assert not re.search(r"\\[dwsbDWSB]|\(\?[=!<P]|\\[1-9]", pattern)
    assert fragment["description"]
    assert fragment["examples"]
    for example in fragment["examples"]:
        parse(example)


@pytest.mark.parametrize("parse", PARSERS, ids=_id)
@settings(max_examples=30)
@given(data=st.data())
def test_what_the_pattern_generates_is_parsed_or_refused_and_nothing_else(parse, data):
    text = data.draw(st.from_regex(json_schema(parse)["pattern"], fullmatch=True))
    try:
        parse(text)
    except Refusal as refusal:
        assert refusal.help  # of the right shape, out of range


@pytest.mark.parametrize("parse", PARSERS, ids=_id)
@settings(max_examples=30)
@given(
    text=st.text(max_size=30)
    | st.from_regex(r"[0-9.,:+\-TZMFL /'°]{1,20}(?:ft|nm|kt|lb|kg|min|s|h|base)?", fullmatch=True)
)
def test_any_text_is_parsed_or_refused_and_nothing_else(parse, text):
    try:
        parse(text)
    except Refusal as refusal:
        assert refusal.help
        for reading in refusal.readings:
            assert re.fullmatch(str(json_schema(parse)["pattern"]), reading)
