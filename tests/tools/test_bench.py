"""The missions that the benchmarks grow are sound, and grow in what they say."""

from __future__ import annotations

import pytest

from briefgen.build.build import check
from tests.tools.bench import GROWTH, tree_of, written

COUNTED = {
    "ships": (lambda plan: len(plan.mission.file.flight), {1: 1, 8: 8}),
    "legs out": (lambda plan: sum(leg.kind == "departure" for leg in plan.legs), {1: 1, 8: 8}),
    "25 obstacles": (lambda plan: len(plan.mission.file.event.pass_.obstacles), {1: 25, 8: 200}),
    "passes": (lambda plan: len(plan.passes), {1: 1, 8: 8}),
    "100 s of accepted slip": (lambda plan: plan.mission.file.event.accept_slip.late, {1: 100.0, 8: 800.0}),
}


@pytest.mark.parametrize("what", GROWTH)
@pytest.mark.parametrize("number", [1, 8])
def test_a_grown_mission_is_planned_and_holds_so_many(tmp_path, what, number):
    mission, grow = GROWTH[what]
    name = written(tmp_path, "m", grow(tree_of(mission), number))
    checked = check(tmp_path / name)
    assert checked.exit_code in (0, 1), [d.message for d in checked.diagnostics]
    count, expected = COUNTED[what]
    assert count(checked.planned.plan) == expected[number]
