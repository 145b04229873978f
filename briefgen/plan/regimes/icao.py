"""ICAO, as far as it was read: the European rules that carry its text. Annex 2 itself was not read."""

from briefgen.plan.regimes import Figure, Regime

HEIGHT = "SERA.5005(f)(1)"
LEGS_HEIGHT = "SERA.5005(f)(2)"
BOTH_RADII = "600 m (1969 ft) there, 2000 ft in 14 CFR 91.119(b): the larger is taken"

REGIME = Regime(
    "icao",
    "ICAO",
    {
        "assembly_height_ft": Figure(1000.0, HEIGHT, "R1", "300 m (1000 ft); the authority may permit less"),
        "obstacle_radius_ft": Figure(2000.0, HEIGHT, "R1", BOTH_RADII),
        "legs_height_ft": Figure(500.0, LEGS_HEIGHT, "R1", "150 m (500 ft); the authority may permit less"),
        "legs_radius_ft": Figure(500.0, LEGS_HEIGHT, "R1"),
    },
    icao_fuel_words=True,
)
