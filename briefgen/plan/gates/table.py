"""The ordered list of gates: what each is called, and the function that judges it.

A new gate is one function and one row.  An id that ends in ``-N`` stands once for each entry of a list (``party-1``, ``party-2``);
ids are what a waiver names, and do not change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

from briefgen.plan.gates import area, contingencies, day, formation, fuel, heights, legs, permission, risk, sky, speeds, timing, weather
from briefgen.plan.model import Gate
from briefgen.plan.sortie import Sortie
from briefgen.records import record

GateFunction = Callable[[Sortie], Iterable[Gate]]


@record
class Row:
    """One function and the ids of the gates that it can yield."""

    judge: GateFunction
    ids: tuple[str, ...]


def _row(judge: GateFunction, *ids: str) -> Row:
    return Row(judge, ids)


GATES: tuple[Row, ...] = (
    # the second
    _row(timing.time_reachable, "t-reachable"),
    _row(timing.hold_bounds, "hold-minimum", "hold-maximum"),
    _row(timing.hold_entry, "hold-entry"),
    _row(timing.cue_first, "cue-first"),
    _row(timing.authority_at_cue, "authority-early", "authority-late"),
    _row(timing.push_slack, "push-slack"),
    _row(timing.cap_margin, "cap-margin"),
    _row(timing.slip_in_hold, "slip-late", "slip-early"),
    # height over what is there
    _row(heights.obstacles, "pass-height", "obstacles-near"),
    _row(heights.obstacles_age, "obstacles-age"),
    _row(
        legs.leg_heights,
        "height-departure-N",
        "height-transit-N",
        "height-hold",
        "height-hold-to-ip",
        "height-run-in",
        "height-egress",
        "height-abort",
        "height-recovery-N",
        "height-home",
        "height-divert",
        "height-area",
    ),
    _row(legs.over_again, "over-again"),
    _row(legs.terrain, "terrain"),
    _row(heights.egress_turn, "egress-turn"),
    _row(heights.cold_air, "cold-air"),
    _row(heights.permission_lowest, "permission-lowest"),
    # speed
    _row(speeds.pass_speed, "pass-speed"),
    _row(speeds.mach, "mach"),
    _row(speeds.aircraft_fast, "aircraft-fast"),
    _row(speeds.aircraft_slow, "aircraft-slow"),
    _row(speeds.low_speed, "low-speed"),
    # who has allowed it, who else is there
    _row(permission.permission_window, "permission-from", "permission-until"),
    _row(permission.permission_requested, "permission-requested"),
    _row(permission.airfield_and_crowd, "airfield-from-crowd"),
    _row(permission.parties_hold_time, "party-N", "party-N-from", "party-N-until"),
    _row(permission.other_traffic, "traffic-N"),
    _row(permission.ground_contact, "ground-contact"),
    _row(permission.radio_check, "radio-check"),
    _row(permission.time_hack, "time-hack"),
    _row(permission.clocks, "clocks"),
    # the formation
    _row(formation.formation_size, "formation-size"),
    _row(formation.formation_spacing, "formation-spacing"),
    _row(formation.step_down, "step-down"),
    _row(formation.standard_formation, "standard-across", "standard-vertical"),
    _row(formation.vertical_rates, "descent-rate", "climb-rate"),
    _row(formation.minimum_ships, "minimum-ships"),
    _row(formation.lead_can_lead, "lead-qualified"),
    _row(formation.second_leader, "second-leader"),
    _row(formation.first_time_lead, "first-time-lead"),
    # the training
    _row(area.area_reserved, "area-entry", "area-exit"),
    _row(area.setups_enough, "set-ups"),
    _row(area.blocks, "blocks-inside", "blocks-overlap", "blocks-buffer"),
    _row(area.aerobatics, "aerobatics-floor", "aerobatics-place"),
    _row(area.yardstick, "yardstick-own", "yardstick-pairs"),
    # fuel
    _row(fuel.joker_kept, "joker"),
    _row(fuel.fuel_order, "fuel-order"),
    _row(fuel.landing_fuel, "landing-fuel", "landing-emergency"),
    _row(fuel.hold_fuel, "hold-fuel"),
    _row(fuel.burn_factor, "burn-factor"),
    _row(fuel.reserve_time, "reserve-time"),
    # weather
    _row(weather.takeoff_weather, "takeoff-ceiling", "takeoff-visibility"),
    _row(weather.area_visibility, "area-visibility"),
    _row(sky.area_cloud, "area-cloud"),
    _row(sky.legs_visibility, "legs-visibility"),
    _row(sky.legs_cloud, "legs-cloud"),
    _row(weather.event_weather, "event-ceiling", "event-visibility"),
    _row(sky.pass_cloud, "pass-cloud"),
    _row(sky.convective_cloud, "convective-cloud"),
    _row(
        weather.landing_weather,
        "landing-ceiling",
        "landing-visibility",
        "alternate-ceiling",
        "alternate-visibility",
        "divert-N-ceiling",
        "divert-N-visibility",
    ),
    _row(weather.crosswinds, "crosswind", "alternate-crosswind", "divert-N-crosswind"),
    _row(weather.alternate_fuel, "alternate-fuel"),
    _row(weather.forecast_valid, "forecast-from", "forecast-until"),
    _row(weather.forecast_age, "forecast-age"),
    # light, hours, duty
    _row(day.daylight_takeoff, "daylight-takeoff"),
    _row(day.daylight_pass, "daylight-pass"),
    _row(day.daylight_landing, "daylight-landing"),
    _row(day.base_open, "base-open"),
    _row(day.diverts_open, "alternate-open", "divert-N-open"),
    _row(day.duty_period, "duty-period"),
    # what is done when something goes wrong
    _row(
        contingencies.contingencies,
        "contingency-lost-wingman",
        "contingency-lost-communications",
        "contingency-knock-it-off",
        "contingency-inadvertent-cloud",
        "contingency-no-ground-contact",
    ),
    _row(contingencies.fall_outs, "fall-outs"),
    _row(contingencies.divert_given, "divert-given"),
    _row(contingencies.abort_briefed, "abort-briefed"),
    _row(contingencies.abort_clear, "abort-clear"),
    _row(contingencies.notices_read, "notices"),
    _row(risk.risks, "risk-reason", "risk-accepted"),
)


def judge(sortie: Sortie) -> tuple[Gate, ...]:
    """Every gate's verdict, in the order of the list."""
    return tuple(gate for row in GATES for gate in row.judge(sortie))


def known_ids() -> tuple[str, ...]:
    """Every id of the list, in its order; those with N stand for each entry of a list of the file."""
    return tuple(id for row in GATES for id in row.ids)
