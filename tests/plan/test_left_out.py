"""What a mission leaves out leaves nothing of it in the plan."""

from __future__ import annotations

import pytest

from tests.plan.gates.gate_reading import sortie


@pytest.mark.parametrize(("edits", "forecast"), [((), True), ((("weather.winds", ""),), False)])
def test_air_is_forecast_where_winds_are_given(edits, forecast):
    """Products say of other air that none is forecast."""
    assert {leg.air.forecast for leg in sortie("regatta", edits).legs} == {forecast}


@pytest.mark.parametrize(("interval", "gathers"), [("20 s", 1), ("0 s", 0), ("", 0)])
def test_nobody_waits_for_ships_that_take_off_together(interval, gathers):
    phases = sortie("regatta", (("ground_ops.takeoff_interval", interval),)).clock.phases
    assert [phase.kind for phase in phases].count("gather") == gathers
