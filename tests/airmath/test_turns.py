"""Level turns. Exact constants; the FAA's rounded ones (11.26 and 1091) stand here only, as the handbook's
own check."""

from math import radians, tan

import pytest

from briefgen.airmath import turns

G = 9.80665
KT = 1852 / 3600


def test_the_constants():
    """1092.2067 and 11.29428: from g = 9.80665 m/s2, 1852 m and 0.3048 m, worked with a calculator."""
    assert pytest.approx(1092.2067, abs=5e-5) == turns.RATE_CONSTANT
    assert pytest.approx(11.29428, abs=5e-6) == turns.RADIUS_CONSTANT


@pytest.mark.parametrize(
    ("tas", "bank", "radius_ft", "radius_nm", "rate", "circle_s"),
    [
        (120, 30, 2208.3, 0.3634, 5.2549, 68.51),
        (240, 30, 8833.3, 1.4538, 2.6274, 137.02),
        (250, 30, 9584.8, 1.5774, None, None),
        (300, 30, 13802.1, 2.2715, 2.1020, 171.27),
        (300, 45, 7968.6, 1.3115, 3.6407, 98.88),
        (360, 45, 11474.8, 1.8885, 3.0339, 118.66),
        (400, 30, 24537.0, 4.0383, 1.5765, 228.36),
        (400, 45, 14166.5, 2.3315, 2.7305, 131.84),
        (400, 60, 8179.0, 1.3461, 4.7294, 76.12),
        (450, 60, 10351.6, 1.7036, 4.2039, 85.63),
    ],
)
def test_exact_turns(tas, bank, radius_ft, radius_nm, rate, circle_s):
    """Computed apart from the program with g = 9.80665, and once more here in metres and seconds."""
    assert turns.turn_radius_ft(tas, bank) == pytest.approx(radius_ft, abs=0.06)
    assert turns.turn_radius_nm(tas, bank) == pytest.approx(radius_nm, abs=6e-5)
    assert turns.turn_radius_nm(tas, bank) * 1852 == pytest.approx(
        (tas * KT) ** 2 / (G * tan(radians(bank))), rel=1e-12
    )
    if rate is not None:
        assert turns.turn_rate_deg_s(tas, bank) == pytest.approx(rate, abs=6e-5)
        assert 360 / turns.turn_rate_deg_s(tas, bank) == pytest.approx(circle_s, abs=0.006)


@pytest.mark.parametrize(
    ("source", "tas", "bank", "radius_ft", "rate"),
    [
        ("FAA PHAK p. 4-34: 120 kt, 30 degrees: 2,215 ft, 5.25 deg/s", 120, 30, 2215, 5.25),
        ("FAA PHAK p. 4-34: 240 kt, 30 degrees: 2.63 deg/s", 240, 30, 8860, 2.63),
        ("a page that quotes the handbook: 250 kt, 30 degrees: 9614 ft", 250, 30, 9614, None),
    ],
)
def test_the_handbook_with_its_rounded_constants(source, tas, bank, radius_ft, rate):
    assert tas**2 / (11.26 * tan(radians(bank))) == pytest.approx(radius_ft, abs=1)
    # the handbook's radius is 0.30 % larger
    assert turns.turn_radius_ft(tas, bank) == pytest.approx(radius_ft, rel=0.0032)
    if rate is not None:
        assert 1091 * tan(radians(bank)) / tas == pytest.approx(rate, abs=0.006)
        assert turns.turn_rate_deg_s(tas, bank) == pytest.approx(rate, abs=0.006)


@pytest.mark.parametrize(
    ("source", "tas", "bank", "metres", "within"),
    [
        ("ICAO Annex 11 Att. A 7.4: 750 kt, 20 degrees: 22.51 nm (41.69 km)", 750, 20, 41690, 0.001),
        ("ICAO Annex 11 Att. A 7.4: 600 kt, 20 degrees: 14.45 nm (26.76 km)", 600, 20, 26760, 0.003),
        ("ATPL question bank, with g = 10: 120 kt, 60 degrees: 220 m", 120, 60, 220 * 10 / G, 0.001),
    ],
)
def test_published_radii(source, tas, bank, metres, within):
    assert turns.turn_radius_nm(tas, bank) * 1852 == pytest.approx(metres, rel=within)


@pytest.mark.parametrize(
    ("what", "call", "text"),
    [
        ("wings level", lambda: turns.turn_radius_ft(300, 0), "bank between 0 and 90"),
        ("knife edge", lambda: turns.turn_rate_deg_s(300, 90), "bank between 0 and 90"),
        ("no speed", lambda: turns.turn_rate_deg_s(0, 30), "must be positive"),
        ("speed not a number", lambda: turns.turn_radius_nm(float("nan"), 30), "must be positive"),
    ],
)
def test_outside_validity_is_refused(what, call, text):
    with pytest.raises(ValueError, match=text):
        call()
