"""The mission that a module names as its ``MISSION``, checked once."""

from __future__ import annotations

import pytest

from briefgen.build.build import Checked, check
from briefgen.plan.sortie import Plan


@pytest.fixture(scope="module")
def checked(request: pytest.FixtureRequest) -> Checked:
    return check(request.module.MISSION)


@pytest.fixture(scope="module")
def plan(checked: Checked) -> Plan:
    return checked.planned.plan
