"""The United States of America, as far as it was read."""

from briefgen.plan.regimes import Figure, Regime
from briefgen.units.values import FT_PER_NM, NM_PER_M

STATUTE_MILE_NM = 1609.344 * NM_PER_M
FORMATION = "FAA Pilot/Controller Glossary, Formation flight; JO 7110.65 2-1-13"
VFR = "14 CFR 91.155(a), classes C, D and E"

REGIME = Regime(
    "usa",
    "United States of America",
    {
        "assembly_height_ft": Figure(
            1000.0,
            "14 CFR 91.119(b)",
            "R1",
            "a waiver under FAA 8900.1 V3 Ch6 may allow a fly-by 500 ft from the crowd",
        ),
        "obstacle_radius_ft": Figure(2000.0, "14 CFR 91.119(b)", "R1"),
        "legs_height_ft": Figure(
            500.0,
            "14 CFR 91.119(c)",
            "R1",
            "over open water or where few live 500 ft from any person, vessel, vehicle or structure",
        ),
        "legs_radius_ft": Figure(500.0, "14 CFR 91.119(c)", "R1"),
        "speed_below_10000_kt": Figure(250.0, "14 CFR 91.117(a)", "R1"),
        "formation_size": Figure(
            4.0,
            "32 CFR 238.10(b)(2)(iii)",
            "R1",
            "the Air Force's aerial events page allows at most 2 of one type, the Navy's 1 to 4",
        ),
        "standard_across_ft": Figure(
            FT_PER_NM, FORMATION, "R1", "the European half mile of SERA.3135 was not read"
        ),
        "standard_vertical_ft": Figure(100.0, FORMATION, "R1"),
        "aerobatics_floor_ft": Figure(1500.0, "14 CFR 91.303", "R1"),
        "aerobatics_visibility_nm": Figure(3.0 * STATUTE_MILE_NM, "14 CFR 91.303", "R1"),
        "request_days": Figure(45.0, "AC 91-45C; JO 7210.3 20-8-2 and -3 (a flight restriction)", "R1"),
        "below_cloud_ft": Figure(500.0, VFR, "R1"),
        "visibility_nm": Figure(3.0 * STATUTE_MILE_NM, VFR, "R1"),
        "reserve_day_s": Figure(1800.0, "14 CFR 91.151", "R1"),
        "reserve_night_s": Figure(2700.0, "14 CFR 91.151", "R1"),
    },
)
