"""Fuel as mass. 1 lb = 0.45359237 kg and 1 US gal = 231 cubic inches of 2.54 cm, both exact (NIST SP 811,
appendix B)."""

from __future__ import annotations

import pytest

from briefgen.units.values import Fuel, FuelFlow


@pytest.mark.parametrize(
    ("fuel", "density_kg_per_l", "lb"),
    [
        (Fuel(5500, "lb"), None, 5500),
        (Fuel(300, "kg"), None, 300 / 0.45359237),  # 661.4 lb
        (Fuel(120, "L"), 0.8, 96 / 0.45359237),  # 120 L x 0.8 kg/L = 96 kg
        (
            Fuel(40, "US gal"),
            0.72,
            40 * 231 * 2.54**3 / 1000 * 0.72 / 0.45359237,
        ),  # near 240 lb: avgas is "six pounds to the gallon"
    ],
)
def test_pounds(fuel, density_kg_per_l, lb):
    assert fuel.lb(density_kg_per_l) == pytest.approx(lb, rel=1e-12)
    assert FuelFlow(fuel).lb_h(density_kg_per_l) == pytest.approx(lb, rel=1e-12)


@pytest.mark.parametrize("unit", ["L", "US gal"])
def test_a_volume_without_density_is_not_guessed(unit):
    with pytest.raises(ValueError, match="density"):
        Fuel(100, unit).lb()
