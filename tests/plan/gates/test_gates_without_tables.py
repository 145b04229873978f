"""The tests of gates leave out the slip table and the last updates, which take the most time: no gate may
hang on them."""

from __future__ import annotations

import pytest

from briefgen.plan.build import fly
from briefgen.plan.gates import judge
from tests.plan.gates.gate_reading import gates, sortie


@pytest.mark.parametrize("mission", ["regatta", "overcommitted"])
def test_no_gate_hangs_on_the_tables(mission):
    whole, _ = fly(sortie(mission).mission)
    assert whole.the_pass.slips and not sortie(mission).the_pass.slips
    assert {gate.id: gate for gate in judge(whole)} == gates(mission)
