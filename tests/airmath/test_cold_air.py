"""The altimeter in cold air, against the published table."""

from __future__ import annotations

from math import ceil

import pytest

from briefgen.airmath.cold_air import indicated_height_ft, isa_mean_c, standard_lapse, true_height_ft

HEIGHTS_FT = (200, 300, 400, 500, 600, 700, 800, 900, 1000, 1500, 2000, 3000, 4000, 5000)

# FAA AIM, table 7-3-1, ICAO Cold Temperature Error Table: reported temperature at the aerodrome (degrees
# Celsius) → error in ft at each height above it.
AIM_7_3_1 = {
    10: (10, 10, 10, 10, 20, 20, 20, 20, 20, 30, 40, 60, 80, 90),
    0: (20, 20, 30, 30, 40, 40, 50, 50, 60, 90, 120, 170, 230, 280),
    -10: (20, 30, 40, 50, 60, 70, 80, 90, 100, 150, 200, 290, 390, 490),
    -20: (30, 50, 60, 70, 90, 100, 120, 130, 140, 210, 280, 420, 570, 710),
    -30: (40, 60, 80, 100, 120, 140, 150, 170, 190, 280, 380, 570, 760, 950),
    -40: (50, 80, 100, 120, 150, 170, 190, 220, 240, 360, 480, 720, 970, 1210),
    -50: (60, 90, 120, 150, 180, 210, 240, 270, 300, 450, 590, 890, 1190, 1500),
}
ROWS = [
    (c, height_ft, error_ft)
    for c, errors in AIM_7_3_1.items()
    for height_ft, error_ft in zip(HEIGHTS_FT, errors, strict=True)
]


@pytest.mark.parametrize(("temperature_c", "height_ft", "error_ft"), ROWS)
def test_the_published_table_within_one_step_of_10_ft_or_2_per_cent(temperature_c, height_ft, error_ft):
    """The table is in steps of 10 ft, rounded to the safe side: so is the sum before they are compared."""
    found = indicated_height_ft(height_ft, 0.0, standard_lapse(0.0, temperature_c)) - height_ft
    assert abs(10 * ceil(found / 10) - error_ft) <= max(10, 0.02 * error_ft)


# By hand. Station at 0 ft, -30 C, 1330 ft true: ISA's mean at 665 ft is 15 - 0.0019812 x 665 = 13.683 C =
# 286.833 K; 45 K less is 241.833 K; 1330 x 286.833 / 241.833 = 1577.5. Station at 590 ft, -12 C, 2994 ft (AIM
# 7-3-6's height for Missoula): the station's ISA is 13.831 C, so the air is 25.831 K too cold; mean at 590 +
# 1497 = 2087 ft: 15 - 4.135 = 10.865 C = 284.015 K, less 25.831 = 258.184 K; x 1.100049 = 3293.5, which is
# 299.5 more (the manual reads "approximately 300 ft" off the table).
@pytest.mark.parametrize(
    ("station_ft", "temperature_c", "height_ft", "indicated_ft"),
    [(0.0, -30.0, 1330.0, 1577.5), (0.0, -30.0, 1360.0, 1613.1), (590.0, -12.0, 2994.0, 3293.5)],
)
def test_by_hand(station_ft, temperature_c, height_ft, indicated_ft):
    mean = standard_lapse(station_ft, temperature_c)
    assert indicated_height_ft(height_ft, station_ft, mean) == pytest.approx(indicated_ft, abs=0.1)
    assert true_height_ft(indicated_ft, station_ft, mean) == pytest.approx(height_ft, abs=0.1)


@pytest.mark.parametrize("temperature_c", [15.0, 15.1, 40.0])
def test_warm_air_gives_no_credit(temperature_c):
    mean = standard_lapse(0.0, temperature_c)
    assert indicated_height_ft(2000.0, 0.0, mean) == 2000.0 == true_height_ft(2000.0, 0.0, mean)


def test_nothing_is_corrected_at_and_below_the_station():
    mean = standard_lapse(1000.0, -40.0)
    assert [indicated_height_ft(height, 1000.0, mean) for height in (0.0, -500.0)] == [0.0, -500.0]
    assert [true_height_ft(height, 1000.0, mean) for height in (0.0, -500.0)] == [0.0, -500.0]


@pytest.mark.parametrize("height_ft", [100.0, 5000.0, 30000.0, 45000.0])
def test_one_way_and_back(height_ft):
    mean = standard_lapse(0.0, -55.0)
    assert true_height_ft(indicated_height_ft(height_ft, 0.0, mean), 0.0, mean) == pytest.approx(
        height_ft, abs=1e-6
    )


# ISA: 15 C at 0 ft, -56.5 C from 36089.24 ft on. Half of the way up to it the mean is (15 - 56.5) / 2; as far
# above it again, the mean of that and -56.5.
@pytest.mark.parametrize(
    ("low_ft", "high_ft", "mean_c"),
    [
        (0.0, 36089.24, -20.75),
        (0.0, 2 * 36089.24 * 0.5, -20.75),
        (36089.24, 60000.0, -56.5),
        (14089.24, 58089.24, -45.603),
    ],
)
def test_the_mean_of_the_standard_atmosphere(low_ft, high_ft, mean_c):
    """The last: 22000 ft below the tropopause their mean is -56.5 + 0.0019812 x 11000 = -34.707; with 22000
    ft at -56.5 above, -45.603."""
    assert isa_mean_c(low_ft, high_ft) == pytest.approx(mean_c, abs=0.001)
