"""One way over one spot, in an air without figures, where every height is what the altimeter reads: what is
left over it, and which level would have to be higher."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from briefgen.plan.heights.altimeter import Column, Station
from briefgen.plan.heights.legs import Spot, Way, over_at
from briefgen.plan.heights.pass_heights import largest_step_down_ft, radius_nm
from briefgen.plan.model import Height, Point, ShipOver
from briefgen.units.values import Position
from tests.plan.gates.gate_reading import sortie

BEGINS, ENDS, RATE = ("recovery", "legs", 0, "level"), ("recovery", "legs", 1, "level"), ("limits", "climb")
STANDARD = Column(Station(None, 0.0, None), (), 0.0)
AT = datetime(2027, 1, 30, tzinfo=UTC)
SHIP_2 = ShipOver(2, "vic", 0.0, 0.0, 30.0, AT, 0.0, 0.0)


def way(begins, ends, climb, *, takes_off=False):
    """At 120 kt over the ground, from the one level to the other, so many ft higher each mile."""
    start, end = (Point(name, name, lat, 0.0) for name, lat in (("A", 50.0), ("B", 51.0)))
    return Way(
        name="A to B",
        start=start,
        end=end,
        begins=Height(begins, None if takes_off else BEGINS),
        ends=Height(ends, ENDS),
        climb_ft_per_nm=climb,
        climb_key=RATE,
        gs_kt=120.0,
        ships=(),
        grounds=(),
        takes_off=takes_off,
        columns=(STANDARD,),
        sag_ft=0.0,
        air=None,
        cause=("recovery", "legs", 1),
    )


def over(flown, top_ft, along_nm, ship=None):
    """Least height 500 ft."""
    spot = Spot("Mast", Position(50.5, 0.0), top_ft, 0.0)
    return over_at(flown, spot, ship, along_nm=along_nm, minimum_ft=500.0)


def raised(found):
    return [(level.key, level.ft) for level in found.raised]


def test_a_level_is_named_that_brings_the_lowest_ship_over_it():
    """2000 - 30 - 1900 are 70 ft; the leader needs 1900 + 500 + 30."""
    found = over(way(2000, 2000, None), 1900, 5.0, SHIP_2)
    assert (found.ship, found.clearance_ft) == (2, 70)
    assert raised(found) == [(ENDS, 2430)]


# 500 ft a mile from the ground to 2000 ft, which it is at 4 miles out
@pytest.mark.parametrize(
    ("along_nm", "top_ft", "clearance_ft", "levels", "no_level"),
    [
        (3.0, 1400, 100, [], True),  # at 1500 ft, and no level makes the climb steeper
        (5.0, 1900, 100, [(ENDS, 2400)], False),  # at the level, which is too low
        (3.0, 1700, -200, [(ENDS, 2200)], True),  # both
        (3.0, 1000, 500, [], False),
    ],
)
def test_a_climb_out_too_flat_is_no_matter_of_its_level(along_nm, top_ft, clearance_ft, levels, no_level):
    found = over(way(0, 2000, 500, takes_off=True), top_ft, along_nm)
    assert (found.clearance_ft, raised(found), found.no_level) == (clearance_ft, levels, no_level)


# from 1000 ft on, 500 ft a mile; another level's wind may take a tenth of the climb: 900 ft in 2 miles
@pytest.mark.parametrize(
    ("top_ft", "levels"), [(1390, [(ENDS, 1890)]), (1410, [(ENDS, 1910), (BEGINS, 1910)])]
)
def test_where_the_climb_does_not_bring_it_past_the_level_it_begins_at_must_rise_too(top_ft, levels):
    assert raised(over(way(1000, 1800, 500), top_ft, 2.0)) == levels


@pytest.mark.parametrize(
    ("top_ft", "clearance_ft", "levels", "decides"),
    [
        (400, None, [], True),  # 2000 ft would do: what is missing is the climb
        (1600, 400, [(ENDS, 2100)], False),  # not even there
    ],
)
def test_a_climb_out_without_figures_has_no_height(top_ft, clearance_ft, levels, decides):
    found = over(way(0, 2000, None, takes_off=True), top_ft, 3.0)
    assert (found.clearance_ft, raised(found)) == (clearance_ft, levels)
    assert (found.climb.key, found.climb.ft_min, found.climb.decides) == (RATE, None, decides)


@pytest.mark.parametrize(
    ("edits", "down_ft"),
    [
        ((), 30.0),  # finger four and vic: each 10 ft below the one before it, of four ships the last 30 ft
        ((("event.pass.run_in.formation", ""),), 30.0),  # places not known: four ships below each other
    ],
)
def test_the_lowest_ship_is_a_step_for_each_ship_before_it(edits, down_ft):
    flown = sortie("regatta", edits)
    assert largest_step_down_ft(flown.mission, flown.the_pass.section) == down_ft


@pytest.mark.parametrize("regime", ["icao", "usa", "uk", "australia"])
def test_the_radius_around_a_track_is_the_larger_of_600_m_and_2000_ft(regime):
    """SERA.5005(f)(1) and 14 CFR 91.119(b)."""
    assert radius_nm(sortie("regatta", (("limits.regime", regime),)).mission) == pytest.approx(
        2000 * 0.3048 / 1852
    )
