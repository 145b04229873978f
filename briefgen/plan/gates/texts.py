"""What each gate says: its title, the unit of its figures, whose its limit is, what to do about it and the
key of the file that it is about. A row each; the functions of the topics hold only the rules.

What hangs on the mission stands in braces and is filled in by ``text``. A cause or a source that hangs on it
is added by ``but``: it is ``()`` and the unit's here.
"""

from __future__ import annotations

from briefgen.mission.check.pressures import APART_HPA, APART_HPA_NM, OFF_BY_30
from briefgen.mission.resolve.weather import WEATHER_NEAR_NM
from briefgen.plan.fuel.alternate import SOURCE
from briefgen.plan.gates.verdicts import COMMON, DEFAULT, SUMS, UNIT, About
from briefgen.plan.model import Source

PAIRING = Source(
    "basis from memory, verify: a pair works 63 channels apart in one band (126 channels: AFPAM 11-216)",
    ("common practice",),
)
READ_BACK = Source("read-back of the time over target", ("as given",))
RUN_IN = ("event", "pass", "run_in")
HOURS = Source("the hours as given", ("as given",))
REPORTS = Source("the report as pasted", ("as given",))
NEAR = Source(f"weather counts within {WEATHER_NEAR_NM:.0f} nm: {DEFAULT.words}", DEFAULT.basis)
FORECAST = Source("the forecast's validity", ("as given",))
FIGURES = Source("the aircraft's figures as given", ("as given",))
QNH_APART = Source(
    f"{APART_HPA:.0f} hPa, and {100 * APART_HPA_NM:.0f} more for each 100 nm: {DEFAULT.words}", DEFAULT.basis
)
AIRCRAFT = Source("the aircraft's limits as given", ("as given",))
PERMISSION = Source("the permission", ("permission",))
RESERVATION = Source("the reservation", ("permission",))
_OTHER_RUNWAY = "another runway, or wait for less wind"
_THIN_AIR = (
    "less load, cooler air or another field: take-off and landing are as long as the flight manual says"
)
_BELOW = "another time or place: the forecast is below the minimum"
_WEATHER = (  # figure, words, unit, source, remedy
    ("ceiling", "ceiling", "ft AGL", UNIT, _BELOW),
    ("visibility", "visibility", "km", UNIT, _BELOW),
)
_ELSEWHERE = (
    *_WEATHER,
    ("crosswind", "crosswind on its best runway", "kt", UNIT, _OTHER_RUNWAY),
    ("open", "open when it may be needed", "instant", HOURS, "choose another divert, or ask for its hours"),
)
_DENSITY_ALTITUDE = ("density-altitude", "density altitude", "ft", UNIT, _THIN_AIR)
_AIRFIELDS = (
    ("takeoff", "Take-off", _WEATHER),
    ("landing", "Landing", _WEATHER),
    ("alternate", "Alternate {place}", (*_ELSEWHERE, _DENSITY_ALTITUDE)),
    ("divert-{n}", "Divert {place}", _ELSEWHERE),
)
_ROWS = (
    About(
        "t-reachable",
        "True time over target can be met",
        "",
        SUMS,
        ("event", "pass", "time"),
        never_waived=True,
    ),
    About("hold-entry", "Entry into the hold", "", UNIT, ()),
    About(
        "hold-leg",
        "Hold leg as typed, against the shortest that wind allows",
        "s",
        SUMS,
        (),
        "a longer leg, or a faster hold; until then longer ones are flown",
    ),
    About("cue-first", "Cue known before {there}", "instant", SUMS, ()),
    About(
        "cues-in-hold",
        "First cue known before {there}",
        "instant",
        SUMS,
        (),
        "no cue tells in time whether the ceremony is early or late: after {cue} {left}; put a cue into the"
        " script that is heard sooner, or move the hold and the IP nearer",
    ),
    About(
        "push-slack",
        "Push-up clear of the IP",
        "s",
        COMMON,
        ("event", "pass", "late_bias"),
        "a longer run-in, a smaller bias or a higher push-up speed",
    ),
    About(
        "cap-margin",
        "Push-up speed below {cap}",
        "kt",
        DEFAULT,
        ("event", "pass", "push_up_to"),
        "a lower push-up speed",
    ),
    About(
        "slip-late",
        "Hold after the accepted late slip",
        "s",
        UNIT,
        ("event", "accept_slip"),
        "accept less slip, or a longer hold",
    ),
    About(
        "slip-early",
        "Hold after the accepted early slip",
        "s",
        SUMS,
        ("event", "accept_slip"),
        "accept less slip, or arrive at the hold earlier",
    ),
    *(
        About(
            f"slip-spread-{way}",
            f"Script may run {way}, two standard deviations",
            "s",
            Source(f"{UNIT.words}; two standard deviations: {DEFAULT.words}", ("unit", "default")),
            ("event", "accept_slip"),
            f"accept more slip {way}, or brief what the flight does when it is told more",
        )
        for way in ("early", "late")
    ),
    About(
        "slip-holes",
        "Every accepted slip can be flown",
        "",
        SUMS,
        ("event", "accept_slip"),
        "accept less slip, plan another hold or leg, or brief that these are told in two calls,"
        " laps then speed, or UNABLE",
    ),
    *(
        About(
            id,
            title,
            "s",
            SUMS,
            ("event", "accept_slip", way),
            "accept less slip, give {next} {longer}, or brief that it is dropped",
        )
        for id, way, title in (
            ("slip-next", "late", "Late slip that still keeps {next}"),
            ("slip-next-early", "early", "Early slip that still keeps {next}"),
        )
    ),
    About(
        "pass-minimum",
        "{lowest}: altimeter against MINIMUM",
        "ft MSL",
        UNIT,
        ("event", "pass", "run_in", "level"),
    ),
    About(
        "pass-height", "{lowest} above what is listed under it", "ft", UNIT, ("limits", "pass_minimum_height")
    ),
    About(
        "obstacles-near",
        "Listed obstacles {near:.2f} to {far:.0f} nm from a ship's track",
        "ft",
        DEFAULT,
        ("event", "pass", "obstacles"),
    ),
    About(
        "obstacles-age",
        "Days since the obstacles were checked",
        "days",
        DEFAULT,
        ("event", "pass", "obstacles_checked"),
        "look again, and write the new date",
    ),
    About(
        "cold-air",
        "Temperature at {station}, whose QNH the pass is flown on",
        "",
        DEFAULT,
        (),
        "give it: cold air near the ground brings the flight lower",
    ),
    About(
        "egress-turn",
        "Turn after the pass",
        "deg",
        SUMS,
        ("event", "pass", "egress"),
    ),
    About(
        "permission-lowest",
        "{lowest} against the lowest height permitted",
        "ft MSL",
        PERMISSION,
        ("event", "permission", "lowest"),
    ),
    About("obstacles-listed", "Obstacles along {parts} listed", "", SUMS, ("obstacles",)),
    About("terrain", "Terrain under {parts}", "", SUMS, ("terrain_checked",)),
    About(
        "over-again",
        "Legs over the event outside the pass",
        "",
        DEFAULT,
        ("event", "pass", "over"),
        "it is flown over without the checks of a pass: go round, or higher",
    ),
    About(
        "pass-speed",
        "Speed over the centre",
        "KCAS",
        UNIT,
        ("limits", "pass_maximum_speed"),
        "a lower push-up speed",
    ),
    About(
        "mach",
        "Subsonic: {what}",
        "Mach",
        Source("airspeeds here hold below Mach 1 only; 14 CFR 91.817 was not read", ("arithmetic",)),
        (),
        "a lower speed",
        never_waived=True,
    ),
    About(
        "aircraft-fast",
        "Fastest against the aircraft's maximum",
        "",
        AIRCRAFT,
        ("aircraft",),
        "fly it slower",
    ),
    About(
        "aircraft-slow",
        "Slowest against the aircraft's minimum",
        "",
        AIRCRAFT,
        ("aircraft",),
        "fly it faster",
    ),
    About(
        "low-speed",
        "Fastest below 10000 ft MSL, calibrated taken as indicated: {what}",
        "KCAS",
        UNIT,
        (),
        "fly it slower, or give the reference of the authority to fly so fast",
    ),
    About(
        "permission-from",
        "Permission begins before the earliest pass",
        "instant",
        PERMISSION,
        ("event", "permission", "valid"),
        "a longer permission, or accept less slip",
    ),
    About(
        "permission-until",
        "Permission lasts beyond the latest pass",
        "instant",
        PERMISSION,
        ("event", "permission", "valid"),
        "a longer permission, or accept less slip",
    ),
    About(
        "permission-requested",
        "Days from request to event",
        "days",
        UNIT,
        ("event", "permission", "requested"),
        "ask whether the late request stands",
    ),
    About(
        "airfield-from-crowd",
        "Base from the event",
        "nm",
        UNIT,
        ("ground_ops", "base"),
        "ask the authority: take-off and landing are close to the crowd",
    ),
    About(
        "ground-contact",
        "Ground contact with primary and backup",
        "",
        COMMON,
        ("event", "ground_contact"),
        "give a backup on another frequency",
    ),
    About(
        "radio-check",
        "Radio check before {there}",
        "instant",
        COMMON,
        ("event", "ground_contact", "radio_check"),
        "an earlier radio check",
    ),
    About(
        "time-hack",
        "Watches set to",
        "s",
        DEFAULT,
        ("ground_ops", "time_hack"),
        "a hack from a source good to a second, such as GPS",
    ),
    About("clocks", "", "", Source("AIM 4-2-12: Zulu, or local said with its zone", ("rule",)), ()),
    About(
        "crowd-distance",
        "Spectators to the side of the nearest ship",
        "ft",
        UNIT,
        ("event", "pass", "crowd_line"),
        "move the run-in or the spectators, or say who allows it",
    ),
    About("formation-size", "Ships of the flypast", "ships", UNIT, ("flight",), "fly fewer ships"),
    About(
        "formation-spacing",
        "Nearest two ships of the formation",
        "ft",
        DEFAULT,
        ("event", "pass", "run_in", "spacing"),
        "give more spacing, or mend the offsets",
    ),
    About(
        "step-down",
        "Least height of a wingman below the leader",
        "ft",
        COMMON,
        ("event", "pass", "run_in", "step_down"),
        "give each wingman a height below the leader's",
    ),
    About(
        "minimum-ships",
        "Ships against the fewest that fly the pass",
        "ships",
        UNIT,
        ("event", "pass", "minimum_ships"),
        "more ships, or a smaller least number",
    ),
    About(
        "second-leader",
        "A second leader",
        "",
        COMMON,
        ("flight",),
        "put one more leader into the flight, and name that ship as the one that leads without ship 1",
    ),
    About(
        "first-time-lead",
        "Flypasts led by {leader}",
        "flypasts",
        COMMON,
        ("flight", 0, "flypasts_led"),
        "first time in the lead: the supervisor should know",
    ),
    About("lead-qualified", "{leader} may lead", "", UNIT, ("flight", 0), "another leader"),
    About(
        "area-entry",
        "Area entered after its reservation begins",
        "instant",
        RESERVATION,
        ("training", "area", "reserved"),
        "enter later, or have the area earlier",
    ),
    About(
        "area-exit",
        "Area left before its reservation ends",
        "instant",
        RESERVATION,
        ("training", "area", "reserved"),
        "leave earlier, or have the area longer",
    ),
    About(
        "set-ups",
        "Set-ups flown",
        "set-ups",
        UNIT,
        ("training", "setups", "minimum"),
        "take off earlier, or carry more fuel",
    ),
    About(
        "end-by",
        "Training as planned ends by END BY",
        "instant",
        SUMS,
        ("training", "setups", "planned"),
        "take off {gap} earlier, or plan a set-up fewer",
    ),
    About(
        "blocks-inside",
        "Blocks inside the area's heights",
        "ft",
        Source("the area as given", ("as given",)),
        ("training", "blocks"),
        "move the block, or have the area higher or deeper",
    ),
    About(
        "blocks-overlap",
        "Blocks do not overlap",
        "ft",
        DEFAULT,
        ("training", "blocks"),
        "give the blocks different heights",
        never_waived=True,
    ),
    About(
        "blocks-buffer",
        "Blocks apart by the buffer",
        "ft",
        UNIT,
        ("training", "block_buffer"),
        "move the blocks further apart",
    ),
    About(
        "area-points",
        "Area entered and left inside its boundary",
        "",
        DEFAULT,
        ("training", "area", "boundary"),
        "the clock counts area time from there on: enter and leave on the boundary, or mend it",
    ),
    About(
        "aerobatics-floor",
        "Lowest aerobatics: the area's floor",
        "ft AGL",
        UNIT,
        ("training", "area", "floor"),
        "a higher floor",
    ),
    About(
        "aerobatics-place",
        "Event clear of the area of aerobatics",
        "",
        UNIT,
        ("training", "area", "boundary"),
        "another area: the crowd stands under it",
    ),
    About(
        "yardstick-own",
        "One channel for each ship",
        "",
        PAIRING,
        ("training", "yardstick"),
        "give each ship a channel of its own",
    ),
    About(
        "yardstick-pairs",
        "Pairs {apart} channels apart in one band",
        "",
        PAIRING,
        ("training", "yardstick"),
        "give the second of each pair the first's channel {apart} higher or lower",
    ),
    About(
        "fuel-order",
        "Fuel figures in their order",
        "",
        SUMS.also("the unit's tiers", "unit"),
        ("fuel",),
        never_waived=True,
    ),
    About(
        "landing-fuel",
        "Landing fuel against reserve and normal landing",
        "",
        UNIT,
        ("fuel",),
    ),
    About("way-home-fuel", "Fuel to go home", "", SUMS, ("fuel",)),
    About(
        "landing-emergency",
        "Lowest landing fuel above emergency fuel",
        "",
        UNIT,
        ("aircraft",),
        "more fuel",
        never_waived=True,
    ),
    About(
        "joker",
        "Fuel at the end of training against joker",
        "",
        SUMS,
        ("training", "setups"),
        "fewer set-ups or more fuel",
    ),
    About(
        "hold-fuel",
        "Hold and accepted slip against the longest hold on fuel",
        "s",
        SUMS,
        ("event", "accept_slip"),
    ),
    About(
        "burn-factor",
        "Least burn factor of a wingman (ship {ship})",
        "",
        Source(
            "CNATRA P-821 506: a wingman always uses more than the leader; no figure is published", ("rule",)
        ),
        (),
        "give each wingman a factor above 1",
    ),
    About("way-out", "Way to the area", "", FIGURES, ("departure",)),
    About(
        "takeoff-wait", "Later ships' fuel until take-off", "", FIGURES, ("ground_ops", "takeoff_interval")
    ),
    About("climb-out", "Climb after take-off", "", FIGURES, ()),
    About("climb-home", "Fuel of the climb on the way home", "", FIGURES, ("recovery", "climb_fuel")),
    About("reserve-time", "Reserve by {time}", "s", UNIT, ("fuel", "reserve"), "a longer reserve"),
    About("event-ceiling", "Event: ceiling", "ft AGL", UNIT, (), "cancel the pass in this weather"),
    About(
        "area-visibility",
        "Area: visibility",
        "km",
        UNIT,
        ("weather", "at", "AREA"),
        "do not train in this weather",
    ),
    About(
        "qnh-agrees",
        "QNHs of the forecast agree",
        "hPa",
        QNH_APART,
        ("weather", "at"),
        f"likelier a slip than weather, and {OFF_BY_30}: check both before any height is changed",
    ),
    About(
        "winds-aloft", "Winds aloft", "", Source("the forecast as given", ("as given",)), ("weather", "winds")
    ),
    About(
        "forecast-from",
        "Forecast valid before take-off",
        "instant",
        FORECAST,
        ("weather", "valid"),
        "get a forecast for the whole sortie",
    ),
    About(
        "forecast-until",
        "Forecast valid beyond the last landing{slip}",
        "instant",
        FORECAST,
        ("weather", "valid"),
        "get a forecast for the whole sortie",
    ),
    About(
        "forecast-age",
        "Age of the forecast at the latest pass",
        "s",
        UNIT,
        ("weather", "issued"),
        "get a newer forecast before take-off",
    ),
    About(
        "alternate-fuel",
        "Fuel for the alternate",
        "",
        Source(f"the forecast within 1 h of every arrival; {SOURCE}", ("as given", "published")),
        ("recovery", "alternate", "required"),
        "carry it, or say why it isn't needed",
    ),
    About(
        "pass-cloud",
        "Pass below cloud",
        "ft",
        UNIT,
        (),
        "a lower pass if the obstacles allow it, or cancel it",
    ),
    About(
        "abort-cloud",
        "Abort below cloud",
        "ft",
        UNIT,
        ("event", "pass", "abort", "level"),
        "a lower abort level if the obstacles allow it, or cancel the pass",
    ),
    About(
        "legs-cloud",
        "Formation legs below cloud",
        "ft",
        UNIT,
        ("weather", "at"),
        "another level, another way, or split the formation before the cloud",
    ),
    About(
        "legs-visibility",
        "Formation legs: visibility",
        "km",
        UNIT,
        ("weather", "at"),
        "another way, or split the formation",
    ),
    About(
        "area-cloud",
        "Training clear of cloud",
        "ft",
        UNIT,
        ("weather", "at", "AREA"),
        "other blocks, or do not train in this weather",
    ),
    About(
        "density-altitude",
        "Density altitude at base",
        "ft",
        UNIT,
        (),
        _THIN_AIR,
    ),
    *(
        About(f"report-{id}", f"{title} in a report", "", COMMON, (), remedy)
        for id, title, remedy in (
            ("thunderstorm", "Thunderstorm", "say how far away the flight stays, and where it goes instead"),
            ("icing", "Freezing weather or icing", "say what the aircraft may fly in, and how it gets out"),
            ("fog", "Fog", "have fuel for another field, and say until when it is waited for"),
            ("vertical-visibility", "Obscured sky", "the ceiling is how far up one sees: plan for less"),
            ("shear", "Wind shear or turbulence", "brief the speed to fly with, and when to go around"),
        )
    ),
    About(
        "report-words",
        "Words of what is pasted that are understood",
        "",
        REPORTS,
        (),
        "read them yourself, and type what they say under weather: what is typed wins",
    ),
    About(
        "report-place",
        "Report at {place} of another place",
        "nm",
        NEAR,
        (),
        "weather may be another there: type what is forecast, or tell whoever approves",
    ),
    About(
        "report-observed",
        "Observation at {place} beyond the last landing",
        "instant",
        REPORTS,
        (),
        "type the QNH and the temperature that are forecast",
    ),
    About(
        "convective-cloud",
        "Cumulonimbus or towering cumulus",
        "",
        COMMON,
        (),
        (
            "hail, turbulence, lightning and gusts reach beyond the cloud: say how far away the flight stays,"
            " and where it goes instead"
        ),
    ),
    About(
        "daylight-landing",
        "Last landing before sunset{slip}",
        "instant",
        UNIT,
        ("limits", "land_before_sunset"),
    ),
    About(
        "base-open",
        "{place} open from take-off to the last landing{slip}",
        "instant",
        HOURS,
        (),
        "ask for other hours",
    ),
    About(
        "duty-period",
        "Duty period, {what} included",
        "s",
        UNIT,
        ("limits", "duty_period"),
        "a later report, or a shorter day",
    ),
    About(
        "daylight-takeoff",
        "Take-off in daylight",
        "instant",
        DEFAULT,
        ("ground_ops", "takeoff"),
        "take off in daylight, or enter a night approval as a waiver",
    ),
    About(
        "daylight-pass",
        "Pass in daylight, slip included",
        "instant",
        DEFAULT,
        ("event", "pass", "time"),
        "another time, or enter a night approval as a waiver",
    ),
    About(
        "fall-outs",
        "Fall-out of every ship briefed",
        "",
        COMMON,
        ("contingencies", "fall_outs"),
        "add the ships that are missing",
    ),
    About(
        "divert-given",
        "A divert",
        "",
        COMMON,
        ("recovery", "diverts"),
    ),
    About(
        "abort-briefed",
        "Abort: words, who says them, what is flown",
        "",
        COMMON,
        ("event", "pass", "abort"),
        "say who may call the abort and what the flight does then",
    ),
    About(
        "abort-clear",
        "Latest abort at its level before the crowd line",
        "instant",
        SUMS,
        ("event", "pass", "abort_only_after"),
        "let nothing but ABORT be said from an earlier moment on, or a lower abort level",
    ),
    About("notices", "Notices read", "", UNIT, ("notices",), "read the notices, and write when"),
    About(
        "supervisor-apart",
        "Supervisor",
        "",
        COMMON,
        ("sortie", "supervisor", "name"),
        "name somebody who doesn't fly, or say by whose authority one may supervise one's own flight",
    ),
    About(
        "risk-reason",
        "Every lowered risk has its control",
        "",
        COMMON,
        ("risk",),
        "say what lowers it, or leave it as it was",
    ),
    About(
        "risk-accepted",
        "What remains is accepted by somebody who does not fly",
        "",
        COMMON,
        ("risk",),
        "name who accepts it, and nobody of the flight",
    ),
    *(
        About(f"{id}-{figure}", f"{airfield}: {what}", unit, source, (), remedy)
        for id, airfield, figures in _AIRFIELDS
        for figure, what, unit, source, remedy in figures
    ),
    About("crosswind", "Crosswind at base", "kt", UNIT, (), _OTHER_RUNWAY),
    About(
        "party-{n}",
        "{who} holds this time",
        "instant",
        READ_BACK,
        (),
        "NOT ACKNOWLEDGED: tell them the true time",
    ),
    About("party-{n}-from", "{who}: {what} from", "instant", READ_BACK, (), "have it begin earlier"),
    About(
        "party-{n}-until",
        "{who}: {what} until",
        "instant",
        READ_BACK,
        (),
        "have it last longer, or count it from T",
    ),
    About(
        "traffic-{n}",
        "{who} apart from the flight",
        "ft",
        DEFAULT,
        (),
        "agree on heights or times that keep them apart, and brief both",
    ),
    *(
        About(
            f"standard-{which}",
            title,
            "ft",
            UNIT,
            RUN_IN,
            "a closer formation, or the authority for a non-standard one as a waiver",
        )
        for which, title in (
            ("across", "Farthest from the leader, to the side or behind"),
            ("vertical", "Farthest above or below the leader"),
        )
    ),
    *(
        About(
            f"{which}-rate",
            f"Steepest {which} in formation",
            "ft/min",
            UNIT,
            (),
            "start the change of level earlier, or leave more room on {between}",
        )
        for which in ("descent", "climb")
    ),
    About(
        "hold-minimum",
        "Shortest hold",
        "s",
        UNIT,
        (),
        "take off {gap} earlier",
    ),
    About("hold-maximum", "Longest hold", "s", UNIT, (), "take off {gap} later, or fly more training"),
    *(
        About(
            f"authority-{way}",
            f"Speed can arrive {than}",
            "s",
            Source("spread of the last cue and the tolerance", ("as given",)),
            ("event", "script"),
            "ask for a wider speed window, or a longer run-in",
        )
        for way, than in (("early", "earlier"), ("late", "later"))
    ),
    *(
        About(f"contingency-{which}", f"{title} briefed", "", COMMON, (), "say who does what, and when")
        for which, title in (
            ("lost-wingman", "Lost wingman"),
            ("lost-communications", "Lost communications"),
            ("knock-it-off", "Knock-it-off"),
            ("inadvertent-cloud", "Inadvertent cloud"),
            ("no-ground-contact", "Loss of the ground contact"),
        )
    ),
)
TEXTS = {row.id.format(n="N"): row for row in _ROWS}


def text(id: str, n: int | None = None, **named: object) -> About:
    """The row of a gate, with what stands in braces, and of an entry of a list, whose id has N there, with
    its number; a KeyError for one that has none."""
    row = TEXTS[id]
    return row.but(id=row.id.format(n=n), title=row.title.format(**named), remedy=row.remedy.format(**named))
