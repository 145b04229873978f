"""Units of length, mass and volume by their definitions, and the constants made from them."""

import pytest

from briefgen.airmath import constants
from briefgen.units.values import Fuel, FuelFlow


@pytest.mark.parametrize(
    ("source", "got", "expected"),
    [
        ("1 nm is 1852 m, 1 ft is 0.3048 m (definitions, from memory)", constants.FT_PER_NM, 6076.11548556),
        ("FAA PHAK: 6,076.1 ft to the nautical mile", round(constants.FT_PER_NM, 1), 6076.1),
        ("metre and foot (definition, from memory)", constants.FT_PER_M, 1 / 0.3048),
        ("mile and metre", constants.M_PER_NM * constants.NM_PER_M, 1.0),
        ("1 kt is 0.514444 m/s", 1 / constants.KT_PER_M_S, 1852 / 3600),
        ("speed of sound at 15 C, 661.4786 kt: two public sources", constants.SEA_LEVEL_SOUND_KT, 661.4786),
    ],
)
def test_constants(source, got, expected):
    assert got == pytest.approx(expected, rel=2e-7)


@pytest.mark.parametrize(
    ("source", "fuel", "density", "lb", "within"),
    [
        ("FAA AMT Handbook: jet fuel 6.7 lb/gal is 802.84 kg/m3", Fuel(100, "US gal"), 0.80284, 670, 0.01),
        ("100 gal is 378.5412 L", Fuel(378.5412, "L"), 0.80284, 670, 0.01),
        ("670 lb is 303.907 kg", Fuel(303.907, "kg"), None, 670, 0.001),
        (
            "800 kg/m3 is 6.6763 lb/gal (arithmetic: 3.785411784 x 0.8 / 0.45359237)",
            Fuel(1, "US gal"),
            0.800,
            6.6763,
            5e-5,
        ),
        ("804 kg/m3 is 6.7097 lb/gal", Fuel(1, "US gal"), 0.804, 6.7097, 5e-5),
        ("FAA AMT Handbook: avgas 6.0 lb/gal is 718.96 kg/m3", Fuel(1, "US gal"), 0.71896, 6.0, 5e-5),
        (
            "a specification listing: Jet A-1 at least 775 kg/m3, 6.468 lb/gal",
            Fuel(1, "US gal"),
            0.775,
            6.468,
            5e-4,
        ),
        ("the same: at most 840 kg/m3, 7.010 lb/gal", Fuel(1, "US gal"), 0.840, 7.010, 5e-4),
        ("pounds stay pounds", Fuel(5500, "lb"), None, 5500, 0),
    ],
)
def test_fuel_as_mass(source, fuel, density, lb, within):
    assert fuel.lb(density) == pytest.approx(lb, abs=within)
    assert FuelFlow(fuel).lb_h(density) == pytest.approx(lb, abs=within)


def test_a_volume_has_no_mass_without_a_density():
    with pytest.raises(ValueError, match="density"):
        Fuel(100, "L").lb()
