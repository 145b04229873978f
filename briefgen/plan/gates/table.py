"""The ordered list of gates: what each is called, its topic, and the function that judges it.

A new gate is one function and one row.  An id that ends in ``-N`` stands once for each entry of a list (``party-1``, ``party-2``);
ids are what a waiver names, and do not change.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace

from briefgen.plan.gates import area, contingencies, day, formation, fuel, heights, legs, permission, risk, sky, slips, speeds, timing, weather
from briefgen.plan.model import Gate, Topic
from briefgen.plan.sortie import Sortie
from briefgen.records import record

GateFunction = Callable[[Sortie], Iterable[Gate]]


@record
class Row:
    """One function and the ids of the gates that it can yield. ``forecast``: they hold the weather that is forecast against its minima."""

    topic: Topic
    judge: GateFunction
    ids: tuple[str, ...]
    forecast: bool

    def gates(self, sortie: Sortie) -> Iterator[Gate]:
        """What the function yields, with what the row says of it."""
        return (replace(gate, topic=self.topic, forecast=self.forecast) for gate in self.judge(sortie))


def _row(topic: Topic, judge: GateFunction, *ids: str, forecast: bool = False) -> Row:
    return Row(topic, judge, ids, forecast)


GATES: tuple[Row, ...] = (
    # the second
    _row("time", timing.time_reachable, "t-reachable"),
    _row("time", timing.hold_bounds, "hold-minimum", "hold-maximum"),
    _row("time", timing.hold_entry, "hold-entry"),
    _row("time", timing.cue_first, "cue-first"),
    _row("time", timing.authority_at_cue, "authority-early", "authority-late"),
    _row("time", timing.push_slack, "push-slack"),
    _row("time", timing.cap_margin, "cap-margin"),
    _row("time", slips.accepted_slip, "slip-late", "slip-early"),
    _row("time", slips.holes, "slip-holes"),
    # height over what is there
    _row("heights", heights.obstacles, "pass-height", "obstacles-near"),
    _row("heights", heights.obstacles_age, "obstacles-age"),
    _row(
        "heights",
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
    _row("heights", legs.over_again, "over-again"),
    _row("heights", legs.terrain, "terrain"),
    _row("heights", heights.egress_turn, "egress-turn"),
    _row("heights", heights.cold_air, "cold-air"),
    _row("ground", heights.permission_lowest, "permission-lowest"),
    # speed
    _row("heights", speeds.pass_speed, "pass-speed"),
    _row("heights", speeds.mach, "mach"),
    _row("heights", speeds.aircraft_fast, "aircraft-fast"),
    _row("heights", speeds.aircraft_slow, "aircraft-slow"),
    _row("heights", speeds.low_speed, "low-speed"),
    # who has allowed it, who else is there
    _row("ground", permission.permission_window, "permission-from", "permission-until"),
    _row("ground", permission.permission_requested, "permission-requested"),
    _row("ground", permission.airfield_and_crowd, "airfield-from-crowd"),
    _row("ground", permission.parties_hold_time, "party-N", "party-N-from", "party-N-until"),
    _row("ground", permission.other_traffic, "traffic-N"),
    _row("ground", permission.ground_contact, "ground-contact"),
    _row("ground", permission.radio_check, "radio-check"),
    _row("time", permission.time_hack, "time-hack"),
    _row("time", permission.clocks, "clocks"),
    # the formation
    _row("formation", formation.formation_size, "formation-size"),
    _row("formation", formation.formation_spacing, "formation-spacing"),
    _row("formation", formation.step_down, "step-down"),
    _row("formation", formation.standard_formation, "standard-across", "standard-vertical"),
    _row("heights", formation.vertical_rates, "descent-rate", "climb-rate"),
    _row("formation", formation.minimum_ships, "minimum-ships"),
    _row("crew", formation.lead_can_lead, "lead-qualified"),
    _row("crew", formation.second_leader, "second-leader"),
    _row("crew", formation.first_time_lead, "first-time-lead"),
    # the training
    _row("area", area.area_reserved, "area-entry", "area-exit"),
    _row("area", area.setups_enough, "set-ups"),
    _row("formation", area.blocks, "blocks-inside", "blocks-overlap", "blocks-buffer"),
    _row("area", area.aerobatics, "aerobatics-floor", "aerobatics-place"),
    _row("formation", area.yardstick, "yardstick-own", "yardstick-pairs"),
    # fuel
    _row("fuel", fuel.joker_kept, "joker"),
    _row("fuel", fuel.fuel_order, "fuel-order"),
    _row("fuel", fuel.landing_fuel, "landing-fuel", "landing-emergency"),
    _row("fuel", fuel.hold_fuel, "hold-fuel"),
    _row("fuel", fuel.burn_factor, "burn-factor"),
    _row("fuel", fuel.reserve_time, "reserve-time"),
    # weather
    _row("weather", weather.takeoff_weather, "takeoff-ceiling", "takeoff-visibility", forecast=True),
    _row("weather", weather.area_visibility, "area-visibility", forecast=True),
    _row("weather", sky.area_cloud, "area-cloud", forecast=True),
    _row("weather", sky.legs_visibility, "legs-visibility", forecast=True),
    _row("weather", sky.legs_cloud, "legs-cloud", forecast=True),
    _row("weather", weather.event_weather, "event-ceiling", "event-visibility", forecast=True),
    _row("heights", sky.pass_cloud, "pass-cloud", forecast=True),
    _row("weather", sky.convective_cloud, "convective-cloud", forecast=True),
    _row(
        "weather",
        weather.landing_weather,
        "landing-ceiling",
        "landing-visibility",
        "alternate-ceiling",
        "alternate-visibility",
        "divert-N-ceiling",
        "divert-N-visibility",
        forecast=True,
    ),
    _row("weather", weather.crosswinds, "crosswind", "alternate-crosswind", "divert-N-crosswind", forecast=True),
    _row("fuel", weather.alternate_fuel, "alternate-fuel"),
    _row("weather", weather.forecast_valid, "forecast-from", "forecast-until"),
    _row("weather", weather.forecast_age, "forecast-age"),
    # light, hours, duty
    _row("weather", day.daylight_takeoff, "daylight-takeoff"),
    _row("weather", day.daylight_pass, "daylight-pass"),
    _row("weather", day.daylight_landing, "daylight-landing"),
    _row("weather", day.base_open, "base-open"),
    _row("weather", day.diverts_open, "alternate-open", "divert-N-open"),
    _row("crew", day.duty_period, "duty-period"),
    # what is done when something goes wrong
    _row(
        "briefed",
        contingencies.contingencies,
        "contingency-lost-wingman",
        "contingency-lost-communications",
        "contingency-knock-it-off",
        "contingency-inadvertent-cloud",
        "contingency-no-ground-contact",
    ),
    _row("crew", contingencies.fall_outs, "fall-outs"),
    _row("weather", contingencies.divert_given, "divert-given"),
    _row("briefed", contingencies.abort_briefed, "abort-briefed"),
    _row("heights", contingencies.abort_clear, "abort-clear"),
    _row("briefed", contingencies.notices_read, "notices"),
    _row("briefed", risk.risks, "risk-reason", "risk-accepted"),
)


def judge(sortie: Sortie) -> tuple[Gate, ...]:
    """Every gate's verdict, in the order of the list."""
    return tuple(gate for row in GATES for gate in row.gates(sortie))


def known_ids() -> tuple[str, ...]:
    """Every id of the list, in its order; those with N stand for each entry of a list of the file."""
    return tuple(id for row in GATES for id in row.ids)
