"""The ordered list of gates: what each is called, its topic, and the function that judges it.

A new gate is one function and one row.  An id of ``each`` stands once for each entry of a list
(``party-1``, ``party-2``); ids are what a waiver names, and do not change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from briefgen.core.records import record
from briefgen.plan.gates import (
    area,
    area_sky,
    assumed,
    contingencies,
    crowd,
    day,
    formation,
    fuel,
    ground,
    heights,
    legs,
    obstacle_lists,
    pass_sky,
    permission,
    pressures,
    reports,
    risk,
    sky,
    slips,
    speeds,
    timing,
    valid,
    weather,
)
from briefgen.plan.gates.mends import one_height
from briefgen.plan.gates.verdicts import of_piece, of_training
from briefgen.plan.model import EventPlan, Gate, GateIds, Stake, Topic
from briefgen.plan.one_block import each_block
from briefgen.plan.sortie import Sortie

GateFunction = Callable[[Sortie], Iterable[Gate]]
PassGateFunction = Callable[[Sortie, EventPlan], Iterable[Gate]]
Where = Callable[[Sortie], bool]


@record
class Row:
    """One function and the ids of the gates that it can yield; under what people look for them, and what is
    at stake with them. ``forecast``: they hold the weather that is forecast against its minima. ``aloft``:
    of what sorties their figures depend on the winds aloft."""

    topic: Topic
    stake: Stake
    judge: GateFunction
    ids: tuple[GateIds, ...]
    forecast: bool
    aloft: Where

    def gates(self, sortie: Sortie) -> Iterator[Gate]:
        """What the function yields, with what the row says of it."""
        calm = self.aloft(sortie) and not assumed.winds_given(sortie)
        return (
            replace(
                one_cause(sortie, gate),
                topic=self.topic,
                stake=self.stake,
                forecast=self.forecast,
                calm=calm and gate.verdict != "NOT CHECKED",
            )
            for gate in self.judge(sortie)
        )


def one_cause(sortie: Sortie, gate: Gate) -> Gate:
    """A gate that lacks something of the weather, where no weather is given at all, lacks just that; but for
    the winds, on which the figures rest of gates that lack nothing."""
    lacks = None if gate.settled_by is None or gate.settled_by == assumed.WINDS else gate.settled_by[0]
    if sortie.mission.file.weather is not None or lacks != "weather":
        return gate
    return replace(gate, settled_by=("weather",), why="no weather is given")


def of_pass(judge: PassGateFunction) -> GateFunction:
    """A function that judges one pass, asked for each pass in flying order; where there are several, each is
    named by its pass."""

    return lambda sortie: (
        of_piece(sortie, pass_, gate) for pass_ in sortie.passes for gate in judge(sortie, pass_)
    )


def of_block(judge: GateFunction) -> GateFunction:
    """A function that judges the training, asked for each block in flying order; where there are several,
    each is named by its block."""
    return lambda sortie: (of_training(seen, gate) for seen in each_block(sortie) for gate in judge(seen))


def each(pattern: str) -> GateIds:
    """The ids of a gate that stands once for each entry of a list of the file; its number takes the place of
    ``{}``."""
    return GateIds(pattern.format("N"), pattern)


def _never(_: Sortie) -> bool:
    return False


def _always(_: Sortie) -> bool:
    return True


def _takeoff_solved(s: Sortie) -> bool:
    return s.clock.takeoff_solved


def _row(
    topic: Topic,
    stake: Stake,
    judge: GateFunction,
    *ids: str | GateIds,
    forecast: bool = False,
    aloft: Where = _never,
) -> Row:
    own = tuple(GateIds(id) if isinstance(id, str) else id for id in ids)
    return Row(topic, stake, judge, own, forecast, aloft)


def _by_wind(
    topic: Topic, stake: Stake, judge: GateFunction, *ids: str | GateIds, where: Where = _always
) -> Row:
    """A row whose times, speeds or fuels come of the winds aloft, in every sortie or ``where`` they do."""
    return _row(topic, stake, judge, *ids, aloft=where)


_timed = assumed.timed_from_takeoff
_to_landing, _from_takeoff = assumed.timed_to_landing, assumed.solved_from_way_out


def _by_forecast(judge: GateFunction, *ids: str | GateIds) -> Row:
    """A row of the weather at some place, as the forecast has it."""
    return _row("weather", "weather", judge, *ids, forecast=True)


GATES: tuple[Row, ...] = (
    # the second
    _by_wind("time", "the second", _timed(of_pass(timing.time_reachable)), "t-reachable"),
    _by_wind(
        "time",
        "the second",
        _timed(of_pass(timing.hold_bounds)),
        "hold-minimum",
        "hold-maximum",
    ),
    _by_wind("time", "the second", of_pass(timing.hold_entry), "hold-entry"),
    _by_wind("time", "the second", of_pass(timing.hold_leg), "hold-leg"),
    _by_wind("time", "the second", of_pass(timing.cue_first), "cue-first"),
    _by_wind("time", "the second", of_pass(timing.cues_in_hold), "cues-in-hold"),
    _by_wind("time", "the second", of_pass(timing.authority_at_cue), "authority-early", "authority-late"),
    _row("time", "the second", of_pass(timing.push_slack), "push-slack"),
    _by_wind("time", "aircraft", of_pass(timing.cap_margin), "cap-margin"),
    _by_wind("time", "the second", of_pass(slips.accepted_slip), "slip-late", "slip-early"),
    _by_wind("time", "the second", of_pass(slips.holes), "slip-holes"),
    _row("time", "the second", of_pass(slips.script_spread), "slip-spread-early", "slip-spread-late"),
    _by_wind("time", "the second", of_pass(slips.next_pass), "slip-next", "slip-next-early"),
    # height over what is there
    _row("heights", "ground", of_pass(heights.obstacles), "pass-height", "obstacles-near"),
    _row("heights", "ground", of_pass(heights.pass_minimum), "pass-minimum"),
    _row("heights", "ground", of_pass(heights.obstacles_age), "obstacles-age"),
    _row(
        "heights",
        "ground",
        legs.leg_heights,
        each("height-departure-{}"),
        each("height-transit-{}"),
        "height-hold",
        "height-hold-to-ip",
        "height-run-in",
        "height-egress",
        "height-abort",
        each("height-recovery-{}"),
        "height-home",
        "height-divert",
        "height-area",
    ),
    _row("heights", "ground", of_pass(legs.over_again), "over-again"),
    _row(
        "heights",
        "ground",
        ground.over_ground,
        each("ground-departure-{}"),
        each("ground-transit-{}"),
        "ground-hold",
        "ground-hold-to-ip",
        "ground-run-in",
        "ground-egress",
        "ground-abort",
        each("ground-recovery-{}"),
        "ground-home",
        "ground-divert",
        "ground-area",
        "terrain",
    ),
    _row("heights", "ground", obstacle_lists.obstacles_listed, "obstacles-listed"),
    _row("heights", "ground", of_pass(heights.egress_turn), "egress-turn"),
    _row("heights", "ground", of_pass(heights.cold_air), "cold-air"),
    _row("ground", "ground", of_pass(heights.permission_lowest), "permission-lowest"),
    # speed
    _by_wind("heights", "aircraft", of_pass(speeds.pass_speed), "pass-speed"),
    _by_wind("heights", "aircraft", speeds.mach, "mach"),
    _by_wind("heights", "aircraft", speeds.aircraft_fast, "aircraft-fast"),
    _by_wind("heights", "aircraft", speeds.aircraft_slow, "aircraft-slow"),
    _by_wind("heights", "aircraft", speeds.low_speed, "low-speed"),
    # who has allowed it, who else is there
    _row(
        "ground", "not allowed", of_pass(permission.permission_window), "permission-from", "permission-until"
    ),
    _row("ground", "not allowed", of_pass(permission.permission_requested), "permission-requested"),
    _row("ground", "spectators", of_pass(permission.airfield_and_crowd), "airfield-from-crowd"),
    _row("ground", "spectators", of_pass(crowd.crowd_distance), "crowd-distance"),
    _row(
        "ground",
        "meeting",
        of_pass(permission.parties_hold_time),
        each("party-{}"),
        each("party-{}-from"),
        each("party-{}-until"),
    ),
    _by_wind("ground", "meeting", of_pass(permission.other_traffic), each("traffic-{}")),
    _row("ground", "the second", of_pass(permission.ground_contact), "ground-contact"),
    _by_wind("ground", "the second", of_pass(permission.radio_check), "radio-check"),
    _row("time", "the second", permission.time_hack, "time-hack"),
    _row("time", "the second", permission.clocks, "clocks"),
    # the formation
    _row("formation", "meeting", formation.formation_size, "formation-size"),
    _row("formation", "meeting", of_pass(formation.formation_spacing), "formation-spacing"),
    _row("formation", "meeting", of_pass(formation.step_down), "step-down"),
    _row(
        "formation", "meeting", of_pass(formation.standard_formation), "standard-across", "standard-vertical"
    ),
    _by_wind("heights", "meeting", formation.vertical_rates, "descent-rate", "climb-rate"),
    _row("formation", "people", of_pass(formation.minimum_ships), "minimum-ships"),
    _row("crew", "people", formation.lead_can_lead, "lead-qualified"),
    _row("crew", "people", formation.second_leader, "second-leader"),
    _row("crew", "people", formation.first_time_lead, "first-time-lead"),
    # the training
    _by_wind(
        "area",
        "not allowed",
        _timed(of_block(area.area_reserved)),
        "area-entry",
        "area-exit",
    ),
    _row("area", "not allowed", of_block(area.entry_and_exit), "area-points"),
    _by_wind("area", "people", _timed(of_block(area.setups_enough)), "set-ups"),
    _by_wind("time", "the second", _timed(of_block(area.ends_by)), "end-by"),
    _row("formation", "meeting", of_block(area.blocks), "blocks-inside", "blocks-overlap", "blocks-buffer"),
    _row("area", "ground", of_block(area.aerobatics), "aerobatics-floor", "aerobatics-place"),
    _row("formation", "meeting", of_block(area.yardstick), "yardstick-own", "yardstick-pairs"),
    # fuel
    _by_wind("fuel", "fuel", of_block(fuel.joker_kept), "joker"),
    _by_wind("fuel", "fuel", fuel.fuel_order, "fuel-order"),
    _by_wind("fuel", "fuel", fuel.way_home_fuel, "way-home-fuel"),
    _by_wind("fuel", "fuel", fuel.landing_fuel, "landing-fuel", "landing-emergency"),
    _by_wind("fuel", "fuel", of_pass(fuel.hold_fuel), "hold-fuel"),
    _row("fuel", "fuel", fuel.burn_factor, "burn-factor"),
    _row("fuel", "fuel", fuel.reserve_time, "reserve-time"),
    _row("fuel", "fuel", assumed.way_out, "way-out"),
    _row("fuel", "fuel", assumed.takeoff_wait, "takeoff-wait"),
    _row("fuel", "fuel", assumed.climbs, "climb-out", "climb-home"),
    # weather
    _row("weather", "fuel", assumed.winds_aloft, "winds-aloft"),
    _row("heights", "ground", pressures.pressures_agree, "qnh-agrees"),
    _by_forecast(
        valid.judged_over(valid.takeoff, valid.base, weather.takeoff_weather),
        "takeoff-ceiling",
        "takeoff-visibility",
    ),
    _by_forecast(
        of_block(valid.judged_over(valid.training, valid.area, weather.area_visibility)), "area-visibility"
    ),
    _by_forecast(of_block(valid.judged_over(valid.training, valid.area, area_sky.area_cloud)), "area-cloud"),
    _by_forecast(
        valid.judged_over(sky.formation_time, sky.near_legs, sky.legs_visibility), "legs-visibility"
    ),
    _by_forecast(valid.judged_over(sky.formation_time, sky.near_legs, sky.legs_cloud), "legs-cloud"),
    _by_forecast(
        of_pass(valid.judged_at_pass(weather.event_weather)),
        "event-ceiling",
        "event-visibility",
    ),
    _row(
        "heights", "weather", of_pass(valid.judged_at_pass(pass_sky.pass_cloud)), "pass-cloud", forecast=True
    ),
    _row(
        "heights",
        "weather",
        of_pass(valid.judged_at_pass(pass_sky.abort_cloud, pass_sky.places_of_abort)),
        "abort-cloud",
        forecast=True,
    ),
    _by_forecast(
        valid.judged_over(valid.at_base, valid.everywhere, sky.convective_cloud), "convective-cloud"
    ),
    _by_forecast(
        weather.landing_weather,
        "landing-ceiling",
        "landing-visibility",
        "alternate-ceiling",
        "alternate-visibility",
        each("divert-{}-ceiling"),
        each("divert-{}-visibility"),
    ),
    _by_forecast(
        weather.crosswinds,
        "crosswind",
        "alternate-crosswind",
        each("divert-{}-crosswind"),
    ),
    _row(
        "weather",
        "aircraft",
        weather.density_altitudes,
        "density-altitude",
        "alternate-density-altitude",
        forecast=True,
    ),
    _row(
        "weather",
        "weather",
        reports.hazards,
        "report-thunderstorm",
        "report-icing",
        "report-fog",
        "report-vertical-visibility",
        "report-shear",
    ),
    _row("weather", "weather", reports.understood, "report-words"),
    _row("weather", "weather", reports.own_aerodrome, "report-place"),
    _row("weather", "ground", reports.observed, "report-observed"),
    _by_wind("fuel", "fuel", fuel.alternate_fuel, "alternate-fuel", where=fuel.alternate_carried),
    _by_wind(
        "weather", "weather", _from_takeoff(weather.forecast_from), "forecast-from", where=_takeoff_solved
    ),
    _by_wind("weather", "weather", _to_landing(weather.forecast_until), "forecast-until"),
    _row("weather", "weather", weather.forecast_age, "forecast-age"),
    # light, hours, duty
    _by_wind(
        "weather", "weather", _from_takeoff(day.daylight_takeoff), "daylight-takeoff", where=_takeoff_solved
    ),
    _row("weather", "weather", of_pass(day.daylight_pass), "daylight-pass"),
    _by_wind("weather", "weather", _to_landing(day.daylight_landing), "daylight-landing"),
    _by_wind("weather", "not allowed", _from_takeoff(_to_landing(day.base_open)), "base-open"),
    _by_wind("weather", "not allowed", day.diverts_open, "alternate-open", each("divert-{}-open")),
    _by_wind("crew", "people", _from_takeoff(_to_landing(day.duty_period)), "duty-period"),
    # what is done when something goes wrong
    _row(
        "briefed",
        "people",
        contingencies.contingencies,
        "contingency-lost-wingman",
        "contingency-lost-communications",
        "contingency-knock-it-off",
        "contingency-inadvertent-cloud",
        "contingency-no-ground-contact",
    ),
    _row("crew", "people", contingencies.fall_outs, "fall-outs"),
    _row("weather", "fuel", contingencies.divert_given, "divert-given"),
    _row("briefed", "ground", of_pass(contingencies.abort_briefed), "abort-briefed"),
    _row("heights", "ground", of_pass(contingencies.abort_clear), "abort-clear"),
    _row("briefed", "ground", contingencies.notices_read, "notices"),
    _row("crew", "not allowed", risk.supervisor_apart, "supervisor-apart"),
    _row("briefed", "people", risk.risks, "risk-reason", "risk-accepted"),
)


def judge(sortie: Sortie) -> tuple[Gate, ...]:
    """Every gate's verdict, in the order of the list."""
    return one_height((gate for row in GATES for gate in row.gates(sortie)), sortie)


def known_ids() -> tuple[GateIds, ...]:
    """Every id of the list, in its order; those of a list of the file once."""
    return tuple(id for row in GATES for id in row.ids)
