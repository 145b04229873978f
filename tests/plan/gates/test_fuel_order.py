"""Everything that is wrong with the order of fuel figures is told at once, with its keys: emergency < minimum
<= normal landing, the reserve at most the emergency figure in ICAO's words. Regatta: 700 < 702 <= 900 or as
changed; the reserve as typed."""

from __future__ import annotations

import pytest

from tests.plan.gates.gate_reading import gates
from tests.plan.gates.gate_rows import PETREL

TIERS = f"{PETREL}.tiers"


def ladder(reserve: int, emergency: int | None, minimum: int, normal: int) -> tuple[tuple[str, str], ...]:
    own = "" if emergency is None else f"emergency: {emergency} lb, "
    return (
        ("fuel.reserve", f"{reserve} lb"),
        (TIERS, f"{{{own}minimum: {minimum} lb, normal_landing: {normal} lb}}"),
    )


@pytest.mark.parametrize(
    ("figures", "said"),
    [
        ((500, 500, 510, 600), []),
        ((500, None, 500, 600), []),  # without an emergency figure the reserve may be the minimum
        # the emergency figure goes up to the reserve, so the minimum must go beyond it
        (
            (500, 400, 500, 600),
            [
                "emergency 400 lb must be at least 500 lb (reserve)",
                "minimum 500 lb must be above 500 lb (reserve)",
            ],
        ),
        (
            (500, 400, 450, 500),
            [
                "emergency 400 lb must be at least 500 lb (reserve)",
                "minimum 450 lb must be above 500 lb (reserve)",
                "normal landing 500 lb must be above 500 lb (reserve)",
            ],
        ),
        ((500, 700, 700, 800), ["minimum 700 lb must be above 700 lb (emergency)"]),
        ((500, 700, 750, 740), ["normal landing 740 lb must be at least 750 lb (minimum)"]),
    ],
)
def test_all_that_must_rise_is_told_at_once(figures, said):
    gate = gates("regatta", ladder(*figures))["fuel-order"]
    assert [part.split(": ", 1)[1] for part in gate.why.split("; ") if part] == said
    assert gate.verdict == ("FAIL" if said else "PASS")


def test_its_keys_are_named_and_a_mission_that_keeps_them_passes():
    gate = gates("regatta", ladder(500, 400, 500, 600))["fuel-order"]
    petrel = ("aircraft", "petrel", "tiers")
    assert gate.keys == ((*petrel, "emergency"), (*petrel, "minimum"), ("fuel", "reserve"))
    assert gates("regatta", ladder(500, 500, 501, 600))["fuel-order"].verdict == "PASS"
