"""What one value cannot show: ids that must exist, numbers that must fit each other. One small function for
each rule.

These are errors because the plan could not be made, or would mean something else than was written. What is
merely against a limit is a gate's business.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from briefgen.core.diagnostics import Diagnostic
from briefgen.mission.check import (
    crew as checks_crew,
)
from briefgen.mission.check import (
    doubts as checks_doubts,
)
from briefgen.mission.check import (
    elevations as checks_elevations,
)
from briefgen.mission.check import (
    event as checks_event,
)
from briefgen.mission.check import (
    flight as checks_flight,
)
from briefgen.mission.check import (
    ids as checks_ids,
)
from briefgen.mission.check import (
    levels as checks_levels,
)
from briefgen.mission.check import (
    mirrored as checks_letters,
)
from briefgen.mission.check import (
    mixed_units as checks_units,
)
from briefgen.mission.check import (
    slips_of_the_keyboard as checks_slips,
)
from briefgen.mission.check import (
    spelling as checks_spelling,
)
from briefgen.mission.check import (
    terrain as checks_terrain,
)
from briefgen.mission.check.checker import Checker
from briefgen.mission.schema.mission_file import MissionFile
from briefgen.mission.schema.unread import as_far_as_read

CHECKS: tuple[Callable[[Checker, MissionFile], Iterator[Diagnostic]], ...] = (
    checks_ids.places_exist,
    checks_ids.presets_begin_somewhere,
    checks_ids.weather_is_of_places,
    checks_ids.reports_are_of_aerodromes,
    checks_ids.what_is_typed_wins,
    checks_ids.alternate_is_another_place,
    checks_ids.aircraft_exist,
    checks_ids.ships_exist,
    checks_ids.nobody_follows_himself,
    checks_ids.presets_are_given_once,
    checks_ids.presets_have_frequencies_of_their_own,
    checks_ids.presets_exist,
    checks_ids.runway_exists,
    checks_ids.cue_exists,
    checks_ids.marks_are_told_apart,
    checks_ids.marks_lie_within_their_cue,
    checks_ids.contingencies_are_spelt,
    checks_flight.ships_are_numbered,
    checks_flight.nobody_flies_twice,
    checks_flight.volumes_have_density,
    checks_flight.display_has_density,
    checks_units.fuel_fits_the_tanks,
    checks_flight.flows_are_not_zero,
    checks_flight.setups_take_time,
    checks_flight.approach_takes_something,
    checks_flight.speed_limits_in_order,
    checks_flight.lands_at_the_base,
    checks_flight.something_fixes_the_clock,
    checks_flight.ground_times_in_order,
    checks_flight.gusts_are_of_a_place,
    checks_flight.forecast_levels_differ,
    checks_flight.area_has_height,
    checks_flight.area_is_an_area,
    checks_flight.rejoin_has_a_place,
    checks_levels.flight_levels_lie_above_the_transition_altitude,
    checks_levels.heights_above_ground_have_their_ground,
    checks_levels.levels_of_the_pass_lie_above_its_ground,
    checks_levels.levels_lie_above_what_is_known_near_them,
    checks_event.pass_speeds_in_order,
    checks_event.bias_can_be_made_up,
    checks_event.wingmen_are_asked,
    checks_event.slowing_is_given,
    checks_event.points_of_the_pass_differ,
    checks_event.crowd_line_is_a_line,
    checks_event.formation_is_said_once,
    checks_event.hold_times_in_order,
    checks_event.hold_has_a_leg,
    checks_event.abort_before_overhead,
    checks_event.deadband_leaves_calls,
    checks_event.no_cue_has_its_hold,
    checks_event.what_is_said_after_the_hold_has_one,
    checks_event.lost_contact_has_its_hold,
    checks_event.enough_ships,
    checks_event.parties_in_order,
    checks_slips.figures_are_no_slips,
    checks_letters.positions_keep_their_letters,
    checks_letters.corners_keep_their_letters,
    checks_slips.the_pass_is_of_one_place,
    checks_slips.obstacles_belong_to_the_pass,
    checks_slips.the_leg_of_the_hold_can_be_flown,
    checks_slips.places_lie_within_reach,
    checks_crew.crew_are_people,
    checks_doubts.pressures_are_likely,
    checks_doubts.winds_are_likely,
    checks_doubts.temperatures_aloft_keep_their_sign,
    checks_doubts.temperatures_agree,
    checks_doubts.tops_and_ground_agree,
    checks_elevations.elevations_agree,
    checks_terrain.heights_count_above_the_sea,
    checks_units.fuel_has_one_unit,
    checks_units.fuel_has_the_unit_of_its_aircraft,
    checks_doubts.figures_are_likely,
    checks_spelling.lost_contact_time_is_a_key,
    checks_spelling.what_follows_is_a_key,
)


def check_file(check: Checker, file: MissionFile) -> list[Diagnostic]:
    """Every broken rule, with its place; of a file that was read in part, every rule as far as it was
    read."""
    return [problem for rule in CHECKS for problem in as_far_as_read(rule(check, file))]
