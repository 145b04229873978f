"""A record behaves as the standard library's frozen dataclass does: the same class written both ways gives
the same answers."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, asdict, dataclass, field, fields, is_dataclass, replace

import pytest

from briefgen.core.records import record


def written(decorate):
    """The same classes, decorated one way or the other."""

    @decorate
    class Leg:
        course_true_deg: float
        name: str = "A to B"
        notes: list = field(default_factory=list, compare=False)

        def __post_init__(self) -> None:
            if self.course_true_deg < 0.0:
                raise ValueError("negative course")

    @decorate
    class Arc(Leg):
        radius_ft: float = 0.0
        secret: str = field(default="", repr=False, kw_only=True)

    return Leg, Arc


RECORDS, STANDARD = written(record), written(dataclass(frozen=True))

CALLS = [
    pytest.param((10.0,), {}, id="defaults"),
    pytest.param((10.0, "X"), {}, id="by position"),
    pytest.param((), {"name": "X", "course_true_deg": 1.0}, id="by name, in any order"),
    pytest.param((10.0,), {"notes": ["n"]}, id="instead of the factory"),
    pytest.param((), {}, id="one missing"),
    pytest.param((10.0,), {"course_true_deg": 1.0}, id="given twice"),
    pytest.param((10.0, "X", [], 1.0, "secret", 2), {}, id="too many"),
    pytest.param((10.0,), {"wind": 1}, id="no such field"),
    pytest.param((-1.0,), {}, id="refused by the class itself"),
]


def answer(make, args, given):
    try:
        made = make(*args, **given)
    except Exception as error:
        return type(error)
    shown = repr(made).removeprefix("written.<locals>.")
    return (
        asdict(made),
        shown,
        [f.name for f in fields(made)],
        is_dataclass(made),
        asdict(replace(made, name="new")),
    )


@pytest.mark.parametrize("kind", [0, 1], ids=["plain", "inherited"])
@pytest.mark.parametrize(("args", "given"), CALLS)
def test_it_answers_as_the_standard_one_does(kind, args, given):
    assert answer(RECORDS[kind], args, given) == answer(STANDARD[kind], args, given)


@pytest.mark.parametrize(("leg", "arc"), [RECORDS, STANDARD], ids=["record", "standard"])
def test_it_is_compared_and_hashed_by_its_fields(leg, arc):
    assert leg(1.0, "X", ["a"]) == leg(1.0, "X", ["b"]) != leg(2.0, "X")
    assert hash(leg(1.0, "X", ["a"])) == hash(leg(1.0, "X", ["b"]))
    assert leg(1.0) != arc(1.0)
    assert leg(1.0).notes is not leg(1.0).notes


@pytest.mark.parametrize("leg", [RECORDS[0], STANDARD[0]], ids=["record", "standard"])
def test_it_is_set_once(leg):
    made = leg(1.0)
    with pytest.raises(FrozenInstanceError):
        made.name = "other"
    with pytest.raises(FrozenInstanceError):
        del made.name
    assert made.name == "A to B"


def test_what_a_class_writes_itself_is_kept():
    @record
    class Own:
        size: int

        def __eq__(self, other: object) -> bool:
            return True

        def __hash__(self) -> int:
            return 0

        def __repr__(self) -> str:
            return "mine"

    assert Own(1) == Own(2)
    assert repr(Own(1)) == "mine"
