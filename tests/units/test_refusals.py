"""Near misses: each is refused with the readings it may have had, and every reading offered is itself
accepted.

Converted figures in the readings are plain arithmetic on the exact definitions (1 ft = 0.3048 m, 1 nm = 1852
m, 1 lb = 0.45359237 kg, 1 imperial gallon = 4.54609 L); pressures use 1 mmHg = 1.333224 hPa.
"""

from __future__ import annotations

import pytest

from briefgen.units import parse as p
from briefgen.units.grammar import listed
from briefgen.units.parse import Refusal

READINGS = [
    # levels: unit and datum
    (p.parse_level, "1500", ("1500 ft MSL", "1500 ft AGL")),  # no flight level below 3000 ft is offered
    (p.parse_level, "240", ("240 ft MSL", "240 ft AGL", "FL240")),
    (p.parse_level, "1500 ft", ("1500 ft MSL", "1500 ft AGL")),
    (p.parse_level, "500 ft", ("500 ft MSL", "500 ft AGL")),
    (p.parse_level, "24000 ft", ("24000 ft MSL", "24000 ft AGL", "FL240")),
    (p.parse_level, "1500 feet", ("1500 ft MSL", "1500 ft AGL")),
    (p.parse_level, "500 m", ("500 m MSL", "500 m AGL")),
    (p.parse_level, "1500 MSL", ("1500 ft MSL", "1500 m MSL")),
    (p.parse_level, "1500 Feet MSL", ("1500 ft MSL",)),
    (p.parse_level, "1500 ft AMSL", ("1500 ft MSL",)),
    (p.parse_level, "500 metres AGL", ("500 m AGL",)),
    (p.parse_level, "5,000 ft MSL", ("5000 ft MSL", "5.000 ft MSL")),
    (p.parse_level, "70 hft MSL", ("7000 ft MSL",)),  # hundreds of feet
    (p.parse_level, "70 hft", ("7000 ft MSL", "7000 ft AGL", "FL070")),
    (p.parse_level, "7 kft MSL", ("7000 ft MSL",)),
    (p.parse_level_aloft, "70 hft MSL", ("7000 ft MSL",)),
    (p.parse_level_band, "70 to 90 hft MSL", ("7000 to 9000 ft MSL",)),
    (p.parse_elevation, "7 hft MSL", ("700 ft MSL",)),
    (p.parse_height, "1.5 kft", ("1500 ft",)),
    (p.parse_cloud, "FEW 40 hft AGL", ("FEW 4000 ft AGL",)),
    (p.parse_level, "FL85", ("FL085",)),
    (p.parse_level, "FL16", ("FL160", "1600 ft MSL")),
    (p.parse_level, "FL24000", ("FL240",)),
    (p.parse_level, "A045", ("4500 ft MSL",)),
    (p.parse_level, "5k ft", ("5000 ft MSL", "5000 ft AGL")),
    (p.parse_level, "5k", ("5000 ft MSL", "5000 ft AGL")),
    (p.parse_level, "2000 ft QNH", ("2000 ft MSL",)),
    (p.parse_level, "2000 ft QFE", ("2000 ft AGL",)),
    (p.parse_level, "SFC", ("0 ft AGL",)),
    (p.parse_level, "MSL 1500 ft", ("1500 ft MSL",)),
    (p.parse_level_band, "10000 to 14000", ("10000 to 14000 ft MSL", "10000 to 14000 ft AGL")),
    (p.parse_level_band, "10000-14000 ft MSL", ("10000 to 14000 ft MSL",)),
    (p.parse_level_band, "FL100-140", ("FL100 to FL140",)),
    (p.parse_level_band, "10000 to FL140", ("10000 ft MSL to FL140", "10000 ft AGL to FL140")),
    (p.parse_level_band, "SFC to 500 ft AGL", ("0 ft AGL to 500 ft AGL",)),
    (p.parse_height, "1000", ("1000 ft", "1000 m")),
    (p.parse_height, "1000 ft AGL", ("1000 ft",)),
    (p.parse_cloud, "SCT045", ("SCT 4500 ft AGL",)),
    (p.parse_cloud, "SCT4500 ft AGL", ("SCT 4500 ft AGL",)),
    (p.parse_cloud, "scattered 4500 ft AGL", ("SCT 4500 ft AGL",)),
    (
        p.parse_cloud,
        "4500 ft AGL",
        ("FEW 4500 ft AGL", "SCT 4500 ft AGL", "BKN 4500 ft AGL", "OVC 4500 ft AGL"),
    ),
    (p.parse_cloud, "OVC008///", ("OVC 800 ft AGL",)),
    (p.parse_elevation, "80' MSL", ("80 ft MSL",)),
    (p.parse_elevation, "80 ft MSL.", ("80 ft MSL",)),
    (p.parse_cloud, "BKN 4500 ft", ("BKN 4500 ft AGL", "BKN 4500 ft MSL")),
    (p.parse_cloud, "sct 4500 ft AGL", ("SCT 4500 ft AGL",)),
    # directions and winds: reference
    (p.parse_direction, "052", ("052 T", "052 M")),
    (p.parse_direction, "258 L", ("258 T", "258 M")),
    (p.parse_wind, "230T20kt", ("230T/20kt",)),
    (p.parse_wind, "360/0", ("calm",)),
    (p.parse_direction, "52", ("052 T", "052 M")),
    (p.parse_direction, "052°", ("052 T", "052 M")),
    (p.parse_direction, "052 degrees", ("052 T", "052 M")),
    (p.parse_direction, "52 T", ("052 T",)),
    (p.parse_direction, "052 t", ("052 T",)),
    (p.parse_direction, "052 true", ("052 T",)),
    (p.parse_direction, "180 mag", ("180 M",)),
    (p.parse_wind, "230/20", ("230T/20kt", "230M/20kt")),
    (p.parse_wind, "230/20kt", ("230T/20kt", "230M/20kt")),
    (p.parse_wind, "230T/20", ("230T/20kt",)),
    (p.parse_wind, "230T/20kts", ("230T/20kt",)),
    (p.parse_wind, "230T/20 knots", ("230T/20 kt",)),
    (p.parse_wind, "50T/20kt", ("050T/20kt",)),
    (p.parse_wind, "23020KT", ("230T/20kt",)),
    (p.parse_wind, "23012G22KT", ("230T/12G22kt",)),
    (p.parse_wind, "230/20G30", ("230T/20G30kt", "230M/20G30kt")),
    (p.parse_wind, "230T/20kt G30kt", ("230T/20G30kt",)),
    (p.parse_wind, "230T/20 gusting 30 kt", ("230T/20G30kt",)),
    (p.parse_wind, "Calm", ("calm",)),
    (p.parse_wind, "00000KT", ("calm",)),
    # speeds: kind
    (p.parse_speed, "300", ("300 KCAS", "300 KTAS", "300 KGS")),
    (p.parse_speed, "300 kt", ("300 KCAS", "300 KTAS", "300 KGS")),
    (p.parse_speed, "300 kts", ("300 KCAS", "300 KTAS", "300 KGS")),
    (p.parse_speed, "300 knots", ("300 KCAS", "300 KTAS", "300 KGS")),
    (p.parse_speed, "300 KIAS", ("300 KCAS",)),
    (p.parse_speed, "300 TAS", ("300 KTAS",)),
    (p.parse_speed, "300 kt GS", ("300 KGS",)),
    (p.parse_speed, ".8", ("M0.8",)),
    (p.parse_speed, "M.80", ("M0.80",)),
    (p.parse_speed, "M80", ("M0.80",)),
    (p.parse_speed, "M080", ("M0.80",)),
    (p.parse_speed, "0.80 Mach", ("M0.80",)),
    (p.parse_ground_speed, "300 kt", ("300 KGS",)),
    (p.parse_mach, ".80", ("0.80",)),
    (p.parse_wind_speed_kt, "20", ("20 kt",)),
    (p.parse_acceleration_kt_s, "2.5 kts/s", ("2.5 kt/s",)),
    (p.parse_acceleration_kt_s, "2.5", ("2.5 kt/s",)),
    (p.parse_acceleration_kt_s, "60 kt/min", ("1 kt/s",)),
    (p.parse_vertical_rate_ft_min, "2000 fpm", ("2000 ft/min",)),
    (p.parse_vertical_rate_ft_min, "10 m/s", ("1969 ft/min",)),  # 10 x 60 / 0.3048 = 1968.5
    (p.parse_bank_deg, "30", ("30 deg",)),
    (p.parse_bank_deg, "30 degrees", ("30 deg",)),
    # places
    (p.parse_position, "S37°41.5' E140°51.0'", ("37°41.5'S 140°51.0'E",)),
    (p.parse_position, "S37 41.5 E140 51.0", ("37°41.5'S 140°51.0'E",)),
    (p.parse_position, "140°51.0'E 37°41.5'S", ("37°41.5'S 140°51.0'E",)),
    (p.parse_position, "37:41:30S 140:51:00E", ("37°41'30\"S 140°51'00\"E",)),
    (p.parse_position, "36:14:30 -115:02:03", ("36°14'30\"N 115°02'03\"W",)),
    (p.parse_position, "140.85 -37.69", ("-37.69 140.85",)),
    (p.parse_position, "105.05 -37.05", ("-37.05 105.05",)),
    (p.parse_position, "\u221237.69 140.85", ("-37.69 140.85",)),
    (p.parse_position, "53.3°, -8.95°", ("53.3 -8.95",)),
    (p.parse_position, "53,3; -8,95", ("53.3 -8.95",)),
    (p.parse_position, "lat 53.3 lon -8.95", ("53.3 -8.95",)),
    (p.parse_position, "53-18.0N 008-57.0W", ("53°18.0'N 008°57.0'W",)),
    (p.parse_variation_deg, "10", ("10 E", "10 W")),
    (p.parse_variation_deg, "-10", ("10 E", "10 W")),
    (p.parse_variation_deg, "E10", ("10 E",)),
    (p.parse_distance_nm, "8", ("8 nm", "8 km", "8 m", "8 ft")),
    (p.parse_distance_nm, "8 miles", ("8 nm", "8 SM")),
    (p.parse_distance_nm, "8 nautical miles", ("8 nm", "8 SM")),
    (p.parse_distance_nm, "8 nmi", ("8 nm",)),
    (p.parse_distance_nm, "2500 M", ("2500 m", "2500 nm")),
    (p.parse_distance_nm, "3 cables", ("0.3 nm",)),
    (p.parse_length_ft, "8200", ("8200 ft", "8200 m")),
    (p.parse_visibility_nm, "9999", ("10 km",)),
    (p.parse_visibility_nm, "5000", ("5000 m",)),
    (p.parse_visibility_nm, "10 km or more", ("10 km",)),
    (p.parse_visibility_nm, "P6SM", ("6 SM",)),
    (p.parse_visibility_nm, "1 1/2 SM", ("1.5 SM",)),
    # fuel: pounds, kilograms, and two sizes of gallon
    (p.parse_fuel, "5500", ("5500 lb", "5500 kg", "5500 L", "5500 US gal")),
    (p.parse_fuel, "5500 lbs", ("5500 lb",)),
    (p.parse_fuel, "5500 pounds", ("5500 lb",)),
    (p.parse_fuel, "5,500 lb", ("5500 lb", "5.500 lb")),
    (p.parse_fuel, "5 500 lb", ("5500 lb",)),
    (p.parse_fuel, "5_500 lb", ("5500 lb",)),
    (p.parse_fuel, "5.5k", ("5500 lb", "5500 kg")),
    (p.parse_fuel, "300 kgs", ("300 kg",)),
    (p.parse_fuel, "120 l", ("120 L",)),
    (p.parse_fuel, "120 litres", ("120 L",)),
    (p.parse_fuel, "40 gal", ("40 US gal", "151.4 L", "181.8 L")),  # 40 x 4.54609 = 181.84
    (p.parse_fuel, "40 gallons", ("40 US gal", "151.4 L", "181.8 L")),
    (p.parse_fuel, "40 imp gal", ("181.8 L",)),
    (p.parse_fuel, "40 USG", ("40 US gal",)),
    (p.parse_fuel, "\uff15\uff15\uff10\uff10 lb", ("5500 lb",)),
    (p.parse_fuel, "\u0665\u0665\u0660\u0660 lb", ("5500 lb",)),
    (p.parse_fuel, "5500\u00a0lbs", ("5500 lb",)),
    (p.parse_fuel, " 5500 lb", ("5500 lb",)),
    (p.parse_fuel_flow, "600", ("600 lb/h", "600 kg/h", "600 L/h", "600 US gal/h")),
    (p.parse_fuel_flow, "600 lb", ("600 lb/h",)),
    (p.parse_fuel_flow, "600 pph", ("600 lb/h",)),
    (p.parse_fuel_flow, "600 lb/hr", ("600 lb/h",)),
    (p.parse_fuel_flow, "600 lbs per hour", ("600 lb/h",)),
    (p.parse_fuel_flow, "9 gph", ("9 US gal/h", "34.1 L/h", "40.9 L/h")),  # 9 x 4.54609 = 40.91
    (p.parse_density_kg_l, "0.80", ("0.80 kg/L",)),
    (p.parse_density_kg_l, "0,80 kg/L", ("0.80 kg/L",)),
    (p.parse_density_kg_l, "800 kg/m3", ("0.800 kg/L",)),
    (p.parse_density_kg_l, "6.7 lb/US gal", ("0.803 kg/L",)),  # 6.7 x 0.45359237 / 3.785411784 = 0.8028
    (p.parse_reserve, "30", ("30 min", "30 lb", "30 kg")),
    # durations
    (p.parse_duration_s, "90", ("90 s", "90 min", "90 h")),
    (p.parse_duration_s, "1:30", ("1 h 30 min", "1 min 30 s")),
    (p.parse_duration_s, "1:30:00", ("1 h 30 min 0 s",)),
    (p.parse_duration_s, "5 m", ("5 min",)),
    (p.parse_duration_s, "5 minutes", ("5 min",)),
    (p.parse_duration_s, "2 hrs", ("2 h",)),
    (p.parse_duration_s, "2h15", ("2 h 15 min",)),
    (p.parse_duration_s, "1 h 75 min", ("2 h 15 min",)),
    (p.parse_duration_s, "±4 s", ("4 s",)),
    (p.parse_duration_s, "about 2 minutes", ("2 min",)),
    (p.parse_duration_s, "30 min before sunset", ("30 min",)),
    (p.parse_pass_time, "ANTHEM end", ("end of ANTHEM",)),
    (p.parse_acceleration_kt_s, "0.1 g", ("1.91 kt/s",)),  # 0.1 x 9.80665 x 3600 / 1852 = 1.906
    (p.parse_duration_s, "135'", ("135 min",)),
    (p.parse_duration_s, '30"', ("30 s",)),
    (p.parse_duration_s, "1'30\"", ("1 min 30 s",)),
    (p.parse_t_offset, "T-30", ("T-30 s", "T-30 min")),
    (p.parse_before_leaving, "60 s", ("60 s before leave-hold",)),
    (p.parse_before_leaving, "60 sec", ("60 s before leave-hold",)),
    (p.parse_before_leaving, "1 min 30 s before leaving the hold", ("1 min 30 s before leave-hold",)),
    (p.parse_before_leaving, "60 before leave-hold", ("60 s before leave-hold", "60 min before leave-hold")),
    (p.parse_t_offset, "-30 s", ("T-30 s",)),
    (p.parse_t_offset, "30 s", ("T-30 s", "T+30 s")),
    (p.parse_t_offset, "30 s before T", ("T-30 s",)),
    (p.parse_t_offset, "T\u221230 s", ("T-30 s",)),
    (p.parse_t_offset, "T-5 m", ("T-5 min",)),
    (p.parse_t_offset, "TOT-5 min", ("T-5 min",)),
    # clocks
    (p.parse_clock_time, "14:30", ("14:30 Z", "14:30 base", "14:30 event")),
    (p.parse_clock_time, "1430", ("1430 Z", "1430 base", "1430 event")),
    (p.parse_clock_time, "14.30 Z", ("14:30 Z",)),
    (p.parse_clock_time, "14.30", ("14:30 Z", "14:30 base", "14:30 event")),
    (p.parse_clock_time, "14.24.30 event", ("14:24:30 event",)),
    (p.parse_clock_time, "2:24:30 pm event", ("14:24:30 event",)),
    (p.parse_clock_time, "8:30:15 Z", ("08:30:15 Z",)),
    (p.parse_clock_time, "14h30 base", ("14:30 base",)),
    (p.parse_clock_time, "8:30 Z", ("08:30 Z",)),
    (p.parse_clock_time, "2027-01-31 24:00 Z", ("2027-02-01 00:00 Z",)),
    (p.parse_clock_time, "2:30 pm base", ("14:30 base",)),
    (p.parse_clock_time, "12:15 am Z", ("00:15 Z",)),
    (p.parse_clock_time, "14:30 z", ("14:30 Z",)),
    (p.parse_clock_time, "14:30 UTC", ("14:30 Z",)),
    (p.parse_clock_time, "14:30 Base", ("14:30 base",)),
    (p.parse_clock_time, "1430base", ("1430 base",)),
    (p.parse_clock_time, "14:30 local", ("14:30 base", "14:30 event")),
    (p.parse_clock_time, "9.05.07 local", ("09:05:07 base", "09:05:07 event")),
    (p.parse_clock_time, "14:30 +10", ("14:30 +1000",)),
    (p.parse_clock_time, "14:30 UTC+10", ("14:30 +1000",)),
    (p.parse_clock_time, "1430-1030", ("1430 -1030",)),
    (
        p.parse_clock_range,
        "07:00 to 19:00",
        ("07:00 to 19:00 Z", "07:00 to 19:00 base", "07:00 to 19:00 event"),
    ),
    (p.parse_clock_range, "07:00-19:00 base", ("07:00 to 19:00 base",)),
    (p.parse_clock_range, "22:40-24:00 base", ("22:40 to 24:00 base",)),
    (  # the end of the 29th is before the 30th
        p.parse_clock_range,
        "2027-01-30 06:00 Z to 2027-01-28 24:00 Z",
        (
            "2027-01-30 06:00 Z to 2027-01-31 00:00 Z",
            "2027-01-28 06:00 Z to 2027-01-29 00:00 Z",
        ),
    ),
    (p.parse_clock_range, "07:00 base to 19:00", ("07:00 to 19:00 base", "07:00 base to 19:00 base")),
    (p.parse_clock_range, "1:00pm to 2:30pm base", ("13:00 to 14:30 base",)),
    (p.parse_clock_range, "11 am - 12:15 p.m. event", ("11:00 to 12:15 event",)),
    (p.parse_clock_range, "12 am Z until 1am Z", ("00:00 Z to 01:00 Z",)),
    (
        p.parse_clock_range,
        "1:00pm to 2:30pm",
        ("13:00 to 14:30 Z", "13:00 to 14:30 base", "13:00 to 14:30 event"),
    ),
    (p.parse_opening_hours, "7am to 7pm base", ("07:00 to 19:00 base",)),
    (p.parse_opening_hours, "H24 base", ("H24",)),
    (p.parse_opening_hours, "H24 Z", ("H24",)),
    (p.parse_opening_hours, "H24 local", ("H24",)),
    (p.parse_opening_hours, "24h EASTLEA", ("H24",)),
    (p.parse_pass_time, "end of anthem", ("end of ANTHEM",)),
    (p.parse_pass_time, "End of the ANTHEM", ("end of ANTHEM",)),
    (p.parse_pass_time, "ANTHEM", ("end of ANTHEM",)),
    (p.parse_date, "30/01/2027", ("2027-01-30",)),
    (p.parse_date, "01/02/2027", ("2027-02-01", "2027-01-02")),
    (p.parse_date, "30 Jan 2027", ("2027-01-30",)),
    (p.parse_date, "2027/1/30", ("2027-01-30",)),
    (p.parse_date, "20270130", ("2027-01-30",)),
    (p.parse_date_range, "2027-01-31 to 2027-01-30", ("2027-01-30 to 2027-01-31",)),
    # air
    (p.parse_temperature_c, "-16", ("-16 C",)),
    (p.parse_temperature_c, "70", ("21 C",)),  # 70 F is 21.1 C
    (p.parse_temperature_c, "50", ("50 C", "10 C")),  # 50 F is 10 C
    (p.parse_temperature_c, "70 F", ("21 C",)),
    (p.parse_temperature_c, "M16", ("-16 C",)),
    (p.parse_temperature_c, "\u221216 C", ("-16 C",)),
    (p.parse_temperature_c, "PS03", ("3 C",)),
    (p.parse_temperature_c, "minus 3", ("-3 C",)),
    (p.parse_pressure, "101.6 kPa", ("1016 hPa",)),
    (p.parse_temperature_c, "-16 deg C", ("-16 C",)),
    (p.parse_pressure, "1017", ("1017 hPa",)),
    (p.parse_pressure, "2992", ("29.92 inHg",)),
    (p.parse_pressure, "29.92", ("29.92 inHg",)),
    (p.parse_pressure, "Q1017", ("1017 hPa",)),
    (p.parse_pressure, "A2992", ("29.92 inHg",)),
    (p.parse_pressure, "1017 mb", ("1017 hPa",)),
    (p.parse_pressure, "29.92 in Hg", ("29.92 inHg",)),
    (p.parse_pressure, "760 mmHg", ("1013 hPa",)),  # 760 x 1.333224 = 1013.25
    # radio and small things
    (p.parse_frequency, "123.450", ("123.450 MHz",)),
    (p.parse_frequency, "123450 kHz", ("123.450 MHz",)),
    (p.parse_frequency, "12345", ("123.45 MHz",)),
    (p.parse_frequency, "123,450 MHz", ("123.450 MHz",)),
    (p.parse_frequency, "251 MHz", ("251.000 MHz",)),
    (p.parse_channel, "29", ("29Y", "29X")),
    (p.parse_channel, "29y", ("29Y",)),
    (p.parse_yes_no, "true", ("yes",)),
    (p.parse_yes_no, "NO", ("no",)),
    (p.parse_count, "4 sets", ("4",)),
    (p.parse_count, "four", ("4",)),
    (p.parse_count, "4.0", ("4",)),
    (p.parse_burn_factor, "104 %", ("1.04",)),
    (p.parse_burn_factor, "4 %", ("1.04",)),
    (p.parse_squawk, "401", ("0401",)),
]
ADVICE = [  # refused without a reading, with words the reader must find
    (p.parse_level, "", "nothing"),
    (p.parse_level, "200000 ft MSL", "outside"),
    (p.parse_level, "-5 ft AGL", "outside"),
    (p.parse_speed, "0 KCAS", "such as 40 KCAS for a helicopter"),
    (p.parse_speed, "0 kt", "such as 40 KCAS for a helicopter"),
    (p.parse_ground_speed, "0 KGS", "such as 40 KGS for a helicopter"),
    (p.parse_level_band, "14000 to 10000 ft MSL", "not below"),
    (p.parse_level_band, "5000 ft MSL to UNL", "top"),
    (p.parse_cloud, "FEW 4500 ft MSL top 3000 ft MSL", "top"),
    (p.parse_cloud, "SKC", "cloud: []"),
    (p.parse_cloud, "CAVOK", "leave the cloud out"),  # no cloud below 5000 ft or the MSA: ICAO Annex 3
    (p.parse_cloud, "NSC", "leave the cloud out"),
    (p.parse_cloud, "CLR", "leave the cloud out"),
    (p.parse_cloud, "NCD", "leave the cloud out"),
    (p.parse_height, "3 nm", "ft or m"),
    (p.parse_direction, "361 T", "between 000 and 360"),
    (p.parse_direction, "-10 T", "three digits"),
    (p.parse_direction, "N", "compass word"),
    (p.parse_direction, "26", "runway"),
    (p.parse_direction, "26L", "runway"),
    (p.parse_wind, "W 20kt", "compass word"),
    (p.parse_cloud, "SCT045 BKN100", "comma"),
    (p.parse_position, "53°18'N", "longitude"),
    (p.parse_variation_deg, "180.5 E", "outside"),
    (p.parse_direction, "north", "compass word"),
    (p.parse_wind, "VRB05KT", "no direction"),
    (p.parse_wind, "VRB/5kt", "no direction"),
    (p.parse_wind, "230T/10m/s", "1.944"),
    (p.parse_wind, "370T/10kt", "between 000 and 360"),
    (p.parse_speed, "300 mph", "0.869"),
    (p.parse_speed, "300 km/h", "0.540"),
    (p.parse_speed, "300 KEAS", "compressibility"),
    (p.parse_speed, "0 KTAS", "standstill"),
    (p.parse_speed, "300 KIAS", "position error"),
    (p.parse_ground_speed, "300 KTAS", "wind"),
    (p.parse_ground_speed, "M0.80", "wind"),
    (p.parse_position, "37 140", "up to 60 nm"),
    (p.parse_position, "91.0 10.0", "no latitude is 91"),
    (p.parse_position, "10.0 181.0", "no longitude is 181"),
    (p.parse_position, "530.667 -8.6667", "check the latitude: it goes to 90"),
    (p.parse_position, "53.0667 -1850.3", "check the longitude: it goes to 180"),
    (p.parse_position, "37°60.0'S 140°51.0'E", "59"),
    (p.parse_position, "37°41'60\"S 140°51'00\"E", "59"),
    (p.parse_position, "90°00.1'N 140°51.0'E", "no latitude"),
    (p.parse_position, "-37.69", "longitude"),
    (p.parse_position, "55HBU1234567890", "grid"),
    (p.parse_position, "29U NV 22000 79000", "grid"),
    (p.parse_fuel, "-100 lb", "never negative"),
    (p.parse_fuel, "80 %", "share"),
    (p.parse_fuel, "600 lb/h", "flow"),
    (p.parse_fuel, "inf lb", "plain digits"),
    (p.parse_fuel, "nan", "plain digits"),
    (p.parse_fuel, "1e3 lb", "plain digits"),
    (p.parse_fuel, "9999999 lb", "outside"),
    (p.parse_fuel, "9" * 400 + " lb", "plain digits"),
    (p.parse_density_kg_l, "0.5 kg/L", "outside"),
    (p.parse_duration_s, "9999 h", "week"),
    (p.parse_duration_s, "5 m", "metres"),
    (p.parse_duration_s, "-5 min", "not negative"),  # early is not late: which was meant is not known
    (p.parse_elevation, "230 AGL", "ground below is not the same"),
    (p.parse_clock_time, "14:30 EST", "letters of a zone"),
    (p.parse_clock_time, "14:30EST", "letters of a zone"),
    (p.parse_clock_time, "14:30HILL", "stands apart"),
    (p.parse_clock_time, "292200Z", "day, hour and minute"),
    (p.parse_clock_range, "07:00 to 19:00 IST", "letters of a zone"),
    (p.parse_duration_s, "5 M", "capital"),
    (p.parse_clock_time, "25:00 Z", "24 hours"),
    (p.parse_clock_time, "2500 Z", "24 hours"),
    (p.parse_clock_time, "1475", "60 minutes"),
    (p.parse_clock_time, "14:75 Z", "60 minutes"),
    (p.parse_clock_time, "14:30:61 Z", "60 seconds"),
    (p.parse_clock_time, "14:30:02.5 Z", "whole second"),
    (p.parse_clock_time, "14:30 K", "zone letters"),
    (p.parse_clock_time, "14:30 +1017", "quarter hours"),
    (p.parse_clock_time, "14:30 -1300", "-1200"),
    (p.parse_clock_time, "2027-02-30 14:30 Z", "not in the calendar"),
    (p.parse_clock_time, "24:00 base", "midnight"),
    (p.parse_clock_range, "07:00 to 07:00 base", "whole day"),
    (p.parse_clock_range, "24:00 to 07:00 base", "midnight"),
    (p.parse_clock_range, "sunrise to sunset", "clock times"),
    (p.parse_clock_range, "2027-01-30 06:00 Z to 2027-01-30 00:00 Z", "ends before"),
    (p.parse_clock_range, "H24", "leave the key out"),
    (p.parse_pass_time, "start of ANTHEM", "end of a cue"),
    (p.parse_pass_time, "end of ANTHEM + 10 s", "lasts"),
    (p.parse_pass_time, "end of ABCDEFGHIJKLM", "like"),
    (p.parse_date, "2026-02-30", "28 days"),
    (p.parse_date, "2026-13-01", "months go to 12"),
    (p.parse_date, "1970-01-01", "1990"),
    (p.parse_temperature_c, "80 C", "outside"),
    (p.parse_pressure, "700 hPa", "outside"),
    (p.parse_frequency, "200.000 MHz", "voice bands"),
    (p.parse_channel, "127Y", "outside"),
    (p.parse_channel, "0X", "outside"),
    (p.parse_yes_no, "maybe", "yes and no"),
    (p.parse_likelihood, "6", "1, least"),
    (p.parse_likelihood, "0", "1, least"),
    (p.parse_squawk, "0480", "8 and 9"),
    (p.parse_number, "inf", "plain digits"),
    (p.parse_count, "-1", "never negative"),
    (p.parse_burn_factor, "3", "outside"),
]


# a slip in one word: the word, and every reading with a word that is equally near (told by eye: one letter
# wrong, missing, too many or swapped)
MISTYPED = [
    (p.parse_duration_s, "15 sek", "sek", ("15 s",)),
    (p.parse_duration_s, "1 h 15 mni", "mni", ("1 h 15 min",)),
    (p.parse_fuel, "5500 bl", "bl", ("5500 lb",)),
    (p.parse_fuel, "5500 lg", "lg", ("5500 lb", "5500 kg", "5500 L")),
    (p.parse_fuel, "40 US gla", "gla", ("40 US gal",)),
    (p.parse_fuel_flow, "600 lb/hu", "hu", ("600 lb/h",)),
    (p.parse_reserve, "30 mim", "mim", ("30 min",)),
    (p.parse_density_kg_l, "0.80 gk/L", "gk", ("0.80 kg/L",)),
    (p.parse_level, "14000 ft MLS", "MLS", ("14000 ft MSL",)),
    (p.parse_level, "LF240", "LF", ("FL240",)),
    (p.parse_level_band, "10000 ot 14000 ft MSL", "ot", ("10000 to 14000 ft MSL",)),
    (p.parse_height, "30 tf", "tf", ("30 ft",)),
    (p.parse_cloud, "STC 4500 ft AGL", "STC", ("SCT 4500 ft AGL",)),
    (p.parse_speed, "300 KTSA", "KTSA", ("300 KTAS",)),
    (p.parse_speed, "300 KAS", "KAS", ("300 KCAS", "300 KTAS", "300 KGS")),
    (p.parse_ground_speed, "300 KSG", "KSG", ("300 KGS",)),
    (p.parse_wind, "230T/20kn", "kn", ("230T/20kt",)),
    (p.parse_bank_deg, "30 dge", "dge", ("30 deg",)),
    (p.parse_pressure, "1017 hP", "hP", ("1017 hPa",)),
    (p.parse_acceleration_kt_s, "2 kn/s", "kn", ("2 kt/s",)),
    (p.parse_distance_nm, "8 n", "n", ("8 nm",)),
    (p.parse_visibility_nm, "10 n", "n", ("10 nm",)),
    (p.parse_frequency, "123.450 MZh", "MZh", ("123.450 MHz",)),
    (p.parse_clock_time, "14:28:06 evnet", "evnet", ("14:28:06 event",)),
    (p.parse_clock_range, "07:00 to 19:00 bsae", "bsae", ("07:00 to 19:00 base",)),
    (p.parse_pass_time, "14:28:06 evnet", "evnet", ("14:28:06 event",)),
    (p.parse_pass_time, "edn of ANTHEM", "edn", ("end of ANTHEM",)),
    (p.parse_t_offset_or_clock, "T-5 mni", "mni", ("T-5 min",)),
]
# a word that nothing here is near to
STRANGE = [
    (p.parse_duration_s, "15 x", "x"),
    (p.parse_fuel, "5500 stone", "stone"),
    (p.parse_level, "1500 yards", "yards"),
    (p.parse_ground_speed, "300 KTSA", "KTSA"),
    (p.parse_clock_time, "14:28:06 xyzzyq", "xyzzyq"),
]


def _id(value: object) -> str | None:
    return getattr(value, "__name__", None)


def _refused(parse, text) -> Refusal:
    with pytest.raises(Refusal) as caught:
        parse(text)
    return caught.value


def _refused_in_full(parse, text):
    """With what, why and how, and offering only what is accepted."""
    refusal = _refused(parse, text)
    assert refusal.message and refusal.why and refusal.help
    for reading in refusal.readings:
        parse(reading)
    return refusal


@pytest.mark.parametrize(("parse", "text", "readings"), READINGS, ids=_id)
def test_near_miss_is_refused_with_its_readings(parse, text, readings):
    refusal = _refused_in_full(parse, text)
    assert refusal.readings == readings
    assert all(reading in refusal.help for reading in readings)


@pytest.mark.parametrize(("parse", "text", "word", "readings"), MISTYPED, ids=_id)
def test_a_mistyped_word_is_called_unknown_and_asked_for(parse, text, word, readings):
    refusal = _refused(parse, text)
    assert refusal.why == f'"{word}" is unknown here'
    assert set(refusal.readings) == set(readings)
    assert refusal.help == f"did you mean {listed(refusal.readings)}?"
    for reading in readings:
        parse(reading)


@pytest.mark.parametrize(("parse", "text", "word"), STRANGE, ids=_id)
def test_a_strange_word_is_called_unknown_and_nothing_is_guessed(parse, text, word):
    refusal = _refused(parse, text)
    assert refusal.why == f'"{word}" is unknown here'
    assert refusal.readings == () and refusal.help.startswith("write it like ")


@pytest.mark.parametrize(("parse", "text", "words"), ADVICE, ids=_id)
def test_refused_with_advice(parse, text, words):
    refusal = _refused_in_full(parse, text)
    assert words in f"{refusal.message} {refusal.why} {refusal.help}"


NO_QUANTITIES = [
    None,
    [],
    {},
    14.5,
    True,
    "",
    " ",
    "\n",
    "\x00",
    "x" * 10_000,
    "14:30\n",
    "1500 ft MSL\n",
    "T " * 500,
    "\U0001f6e9",
]


@pytest.mark.parametrize("parse", p.PARSERS, ids=_id)
def test_nothing_else_than_a_refusal_comes_out(parse):
    for value in NO_QUANTITIES:
        assert _refused(parse, value).help, value


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("2909 inHg", ("29.09 inHg",)),  # without its point
        ("1013 inHg", ("1013 hPa",)),
        ("29.92 hPa", ("29.92 inHg",)),
        ("5000 hPa", ()),
        ("20.00 inHg", ()),
    ],
)
def test_a_pressure_of_the_other_unit_or_without_its_point_is_offered(typed, meant):
    with pytest.raises(Refusal) as refused:
        p.parse_pressure(typed)
    assert refused.value.readings == meant
