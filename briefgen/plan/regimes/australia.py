"""Australia, as far as it was read: older regulations. Those in force since (CASR 91) were not read."""

from briefgen.plan.regimes import Figure, Regime
from briefgen.units.values import FT_PER_NM, NM_PER_M

HEIGHT = "CAR 1988 reg 157 (older; the CASR that follow it were not read)"

REGIME = Regime(
    "australia",
    "Australia",
    {
        "assembly_height_ft": Figure(1000.0, HEIGHT, "R1"),
        "obstacle_radius_ft": Figure(
            2000.0, HEIGHT, "R1", "600 m (1969 ft) there, 2000 ft in 14 CFR 91.119(b): the larger is taken"
        ),
        "legs_height_ft": Figure(500.0, HEIGHT, "R1"),
        "legs_radius_ft": Figure(600.0 * NM_PER_M * FT_PER_NM, HEIGHT, "R1"),
        "permission_needed": Figure(
            1.0,
            "CAR 1988 reg 156",
            "R1",
            "the instruments' own word flypast means wings level and not in close formation (CASA 98/07,"
            " 85/09, 24/13)",
        ),
    },
    icao_fuel_words=True,
)
