"""The United Kingdom, as far as it was read. The limits of its display rules were not read: they are the
unit's to give."""

from briefgen.plan.regimes import Figure, Regime
from briefgen.plan.regimes.icao import BOTH_RADII
from briefgen.units.values import NM_PER_M

LEGS_HEIGHT = "SERA.5005(f)(2) as the UK AIP quotes it"
HEIGHT = "SERA.5005(f)(1) as the UK AIP quotes it"

REGIME = Regime(
    "uk",
    "United Kingdom",
    {
        "assembly_height_ft": Figure(1000.0, HEIGHT, "R1"),
        "obstacle_radius_ft": Figure(2000.0, HEIGHT, "R1", BOTH_RADII),
        "legs_height_ft": Figure(500.0, LEGS_HEIGHT, "R1"),
        "legs_radius_ft": Figure(500.0, LEGS_HEIGHT, "R1"),
        "airfield_from_crowd_nm": Figure(
            1000.0 * NM_PER_M,
            "UK Rules of the Air: no take-off or landing within 1000 m of an open-air assembly",
            "R2",
        ),
    },
    icao_fuel_words=True,
)
