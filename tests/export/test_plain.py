"""How each type of the program is written as JSON, and what must never get there."""

from __future__ import annotations

import enum
import json
import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, timezone

import pytest
from pydantic import BaseModel

from briefgen.core.diagnostics import Span
from briefgen.core.plain import to_plain
from briefgen.export.plan_json import PLAN_FORMAT, plan_json
from tests.render.pdf_cases import plan_of


class Side(enum.Enum):
    BLUE = "blue"


@dataclass(frozen=True)
class Leg:
    tas_kt: float
    to: str
    ships: tuple[int, ...] = ()


class Model(BaseModel):
    name: str
    of_t: timedelta


ADELAIDE = timezone(timedelta(hours=10, minutes=30))
ROWS = [
    # in the program                                                       in JSON
    (None, None),
    (True, True),
    (7, 7),
    (0.1, 0.1),
    (1 / 3, 0.3333333333333333),
    (-0.0, 0.0),
    ("37°41.5'S", "37°41.5'S"),
    (Side.BLUE, "blue"),
    (date(2027, 1, 30), "2027-01-30"),
    (time(14, 30, 2), "14:30:02"),
    (timedelta(minutes=1, milliseconds=500), 60.5),
    (datetime(2027, 1, 30, 3, 30, 2, tzinfo=UTC), "2027-01-30T03:30:02.000000Z"),
    (datetime(2027, 1, 30, 12, 37, 0, 250000, tzinfo=ADELAIDE), "2027-01-30T02:07:00.250000Z"),
    (Leg(300.0, "HOLD", (1, 2)), {"tas_kt": 300.0, "to": "HOLD", "ships": [1, 2]}),
    (Model(name="x", of_t=timedelta(seconds=-30)), {"name": "x", "of_t": -30.0}),
    ({1: "a", "b": [Leg(1.5, "X")]}, {"1": "a", "b": [{"tas_kt": 1.5, "to": "X", "ships": []}]}),
    (frozenset({"b", "a", "c"}), ["a", "b", "c"]),
    (Span("somewhere.yaml", 3, 5, 3, 9), {"line": 3, "column": 5}),
]


@pytest.mark.parametrize(("value", "expected"), ROWS)
def test_each_type_has_its_form(value, expected):
    found = to_plain(value)
    assert found == expected
    assert json.loads(json.dumps(found)) == expected
    assert math.copysign(1, found) == 1 if value == 0 and isinstance(value, float) else True


@pytest.mark.parametrize(
    ("value", "error"),
    [
        (math.nan, ValueError),
        (math.inf, ValueError),
        (datetime(2027, 1, 30), ValueError),
        (object(), TypeError),
        ({(1, 2): "a"}, TypeError),
        (b"x", TypeError),
    ],
)
def test_what_no_reader_could_use_is_a_bug(value, error):
    with pytest.raises(error):
        to_plain([value])


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (1.00001, 1.00002, True),  # four decimals
        (1.0001, 1.0002, False),
        (
            datetime(2027, 1, 30, 3, 30, 2, 400, tzinfo=UTC),
            datetime(2027, 1, 30, 3, 30, 2, tzinfo=UTC),
            True,
        ),  # milliseconds
        (
            datetime(2027, 1, 30, 3, 30, 2, 1000, tzinfo=UTC),
            datetime(2027, 1, 30, 3, 30, 2, tzinfo=UTC),
            False,
        ),
        (
            datetime(2027, 1, 29, 23, 59, 59, 999900, tzinfo=UTC),
            datetime(2027, 1, 30, tzinfo=UTC),
            True,
        ),  # over midnight
        (Span("a", 1, 1, 1, 2), Span("a", 9, 1, 9, 2), True),
        (1, 2, False),
        ("a", "b", False),
    ],
)
def test_coarse_forgets_what_nobody_could_notice(one, other, same):
    assert (to_plain(one, coarse=True) == to_plain(other, coarse=True)) is same
    assert to_plain(one) != to_plain(other)


def test_plan_json_holds_the_parts_in_order_and_not_the_mission_object():
    data = plan_json(
        plan_of("missions/regatta.yaml"),
        head={"mission": "Harbour"},
        typed={"a": "HÖHE"},
        printed={"t": "03:30:02 Z"},
    )
    document = json.loads(data)
    assert list(document) == ["plan_format", "mission", "typed", "plan", "printed"]
    assert document["plan_format"] == PLAN_FORMAT == 2
    assert "mission" not in document["plan"] and "route" not in document["plan"]
    assert data.endswith(b"}\n") and "HÖHE".encode() in data
